<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>
<qgis version="3.22.0" styleCategories="Symbology|Labeling" labelsEnabled="1">
<renderer-v2 type="graduatedSymbol" attr="protected_then" graduatedMethod="GraduatedColor" symbollevels="0" enableorderby="0" forceraster="0">
<ranges>
<range symbol="0" lower="0.000000" upper="0.200000" label="1: under 20 % protected" render="true"/>
<range symbol="1" lower="0.200000" upper="0.400000" label="2: 20 to 40 %" render="true"/>
<range symbol="2" lower="0.400000" upper="0.600000" label="3: 40 to 60 %" render="true"/>
<range symbol="3" lower="0.600000" upper="0.800000" label="4: 60 to 80 %" render="true"/>
<range symbol="4" lower="0.800000" upper="1.000000" label="5: 80 % and more" render="true"/>
</ranges>
<symbols>
<symbol type="fill" name="0" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="253,239,222,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="253,239,222,255"/>
<prop k="style" v="solid"/>
<prop k="outline_color" v="34,34,34,255"/>
<prop k="outline_style" v="solid"/>
<prop k="outline_width" v="0.26"/>
<prop k="outline_width_unit" v="MM"/>
<prop k="joinstyle" v="round"/>
</layer>
<layer class="LinePatternFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="angle" value="135" type="QString"/>
<Option name="distance" value="2" type="QString"/>
<Option name="distance_unit" value="MM" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="color" value="101,95,88,255" type="QString"/>
</Option>
<prop k="angle" v="135"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="101,95,88,255"/>
<symbol type="line" name="@0@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="101,95,88,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="101,95,88,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
<symbol type="fill" name="1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="162,201,184,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="162,201,184,255"/>
<prop k="style" v="solid"/>
<prop k="outline_color" v="34,34,34,255"/>
<prop k="outline_style" v="solid"/>
<prop k="outline_width" v="0.26"/>
<prop k="outline_width_unit" v="MM"/>
<prop k="joinstyle" v="round"/>
</layer>
</symbol>
<symbol type="fill" name="2" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="86,159,155,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="86,159,155,255"/>
<prop k="style" v="solid"/>
<prop k="outline_color" v="34,34,34,255"/>
<prop k="outline_style" v="solid"/>
<prop k="outline_width" v="0.26"/>
<prop k="outline_width_unit" v="MM"/>
<prop k="joinstyle" v="round"/>
</layer>
<layer class="LinePatternFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="angle" value="0" type="QString"/>
<Option name="distance" value="2" type="QString"/>
<Option name="distance_unit" value="MM" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="color" value="34,63,62,255" type="QString"/>
</Option>
<prop k="angle" v="0"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="34,63,62,255"/>
<symbol type="line" name="@2@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="34,63,62,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="34,63,62,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
<symbol type="fill" name="3" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="11,118,131,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="11,118,131,255"/>
<prop k="style" v="solid"/>
<prop k="outline_color" v="34,34,34,255"/>
<prop k="outline_style" v="solid"/>
<prop k="outline_width" v="0.26"/>
<prop k="outline_width_unit" v="MM"/>
<prop k="joinstyle" v="round"/>
</layer>
<layer class="LinePatternFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="angle" value="45" type="QString"/>
<Option name="distance" value="2" type="QString"/>
<Option name="distance_unit" value="MM" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="color" value="157,200,205,255" type="QString"/>
</Option>
<prop k="angle" v="45"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="157,200,205,255"/>
<symbol type="line" name="@3@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="157,200,205,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="157,200,205,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
<symbol type="fill" name="4" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="0,77,108,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="0,77,108,255"/>
<prop k="style" v="solid"/>
<prop k="outline_color" v="34,34,34,255"/>
<prop k="outline_style" v="solid"/>
<prop k="outline_width" v="0.26"/>
<prop k="outline_width_unit" v="MM"/>
<prop k="joinstyle" v="round"/>
</layer>
</symbol>
</symbols>
</renderer-v2>
<labeling type="simple">
<settings calloutType="simple">
<text-style fieldName="CASE WHEN &quot;protected_then&quot; &lt; 0.2 THEN '1' WHEN &quot;protected_then&quot; &lt; 0.4 THEN '2' WHEN &quot;protected_then&quot; &lt; 0.6 THEN '3' WHEN &quot;protected_then&quot; &lt; 0.8 THEN '4' ELSE '5' END" isExpression="1" fontFamily="Arial" fontSize="8" fontSizeUnit="Point" fontWeight="75" textColor="34,34,34,255" textOpacity="1">
<text-buffer bufferDraw="1" bufferSize="0.8" bufferSizeUnits="MM" bufferColor="255,255,255,255" bufferOpacity="1"/>
</text-style>
<placement placement="1" quadOffset="4" centroidInside="1" centroidWhole="0"/>
<rendering obstacle="0" displayAll="0" drawLabels="1"/>
</settings>
</labeling>
<layerGeometryType>2</layerGeometryType>
</qgis>
