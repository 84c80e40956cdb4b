<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>
<qgis version="3.22.0" styleCategories="Symbology|Labeling" labelsEnabled="1">
<renderer-v2 type="categorizedSymbol" attr="stock_id" symbollevels="0" enableorderby="1" forceraster="0">
<categories>
<category symbol="0" value="LINE-1" label="A: first line planted" render="true" type="string"/>
<category symbol="1" value="LINE-2" label="B: second line planted" render="true" type="string"/>
<category symbol="2" value="LINE-3" label="C: third line planted" render="true" type="string"/>
<category symbol="3" value="LINE-4" label="D: fourth line planted" render="true" type="string"/>
<category symbol="4" value="LINE-5" label="E: fifth line planted" render="true" type="string"/>
<category symbol="5" value="LINE-6" label="F: sixth line planted" render="true" type="string"/>
<category symbol="6" value="LINE-7" label="G: seventh line planted" render="true" type="string"/>
<category symbol="7" value="LINE-8" label="H: eighth line planted" render="true" type="string"/>
</categories>
<symbols>
<symbol type="fill" name="0" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="98,199,244,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="98,199,244,255"/>
<prop k="style" v="solid"/>
<prop k="outline_color" v="34,34,34,255"/>
<prop k="outline_style" v="solid"/>
<prop k="outline_width" v="0.26"/>
<prop k="outline_width_unit" v="MM"/>
<prop k="joinstyle" v="round"/>
</layer>
</symbol>
<symbol type="fill" name="1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="123,38,157,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="123,38,157,255"/>
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
<Option name="color" value="202,168,215,255" type="QString"/>
</Option>
<prop k="angle" v="45"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="202,168,215,255"/>
<symbol type="line" name="@1@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="202,168,215,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="202,168,215,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
<symbol type="fill" name="2" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="254,200,135,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="254,200,135,255"/>
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
<Option name="color" value="101,80,54,255" type="QString"/>
</Option>
<prop k="angle" v="0"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="101,80,54,255"/>
<symbol type="line" name="@2@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="101,80,54,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="101,80,54,255"/>
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
<Option name="color" value="97,101,5,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="97,101,5,255"/>
<prop k="style" v="solid"/>
<prop k="outline_color" v="34,34,34,255"/>
<prop k="outline_style" v="solid"/>
<prop k="outline_width" v="0.26"/>
<prop k="outline_width_unit" v="MM"/>
<prop k="joinstyle" v="round"/>
</layer>
<layer class="LinePatternFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="angle" value="90" type="QString"/>
<Option name="distance" value="2" type="QString"/>
<Option name="distance_unit" value="MM" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="color" value="191,193,155,255" type="QString"/>
</Option>
<prop k="angle" v="90"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="191,193,155,255"/>
<symbol type="line" name="@3@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="191,193,155,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="191,193,155,255"/>
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
<Option name="color" value="237,54,154,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="237,54,154,255"/>
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
<Option name="color" value="94,21,61,255" type="QString"/>
</Option>
<prop k="angle" v="135"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="94,21,61,255"/>
<symbol type="line" name="@4@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="94,21,61,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="94,21,61,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
<symbol type="fill" name="5" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="126,185,14,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="126,185,14,255"/>
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
<Option name="color" value="50,74,5,255" type="QString"/>
</Option>
<prop k="angle" v="45"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="50,74,5,255"/>
<symbol type="line" name="@5@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="50,74,5,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="50,74,5,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
<layer class="LinePatternFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="angle" value="135" type="QString"/>
<Option name="distance" value="2" type="QString"/>
<Option name="distance_unit" value="MM" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="color" value="50,74,5,255" type="QString"/>
</Option>
<prop k="angle" v="135"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="50,74,5,255"/>
<symbol type="line" name="@5@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="50,74,5,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="50,74,5,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
<symbol type="fill" name="6" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="89,95,243,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="89,95,243,255"/>
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
<Option name="color" value="188,191,250,255" type="QString"/>
</Option>
<prop k="angle" v="0"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="188,191,250,255"/>
<symbol type="line" name="@6@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="188,191,250,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="188,191,250,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
<layer class="LinePatternFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="angle" value="90" type="QString"/>
<Option name="distance" value="2" type="QString"/>
<Option name="distance_unit" value="MM" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="color" value="188,191,250,255" type="QString"/>
</Option>
<prop k="angle" v="90"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="188,191,250,255"/>
<symbol type="line" name="@6@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="188,191,250,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="188,191,250,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
<symbol type="fill" name="7" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="209,129,114,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="209,129,114,255"/>
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
<Option name="distance" value="1" type="QString"/>
<Option name="distance_unit" value="MM" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="color" value="83,51,45,255" type="QString"/>
</Option>
<prop k="angle" v="45"/>
<prop k="distance" v="1"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="83,51,45,255"/>
<symbol type="line" name="@7@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="83,51,45,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="83,51,45,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
</symbols>
<orderby><orderByClause asc="1" nullsFirst="1">"share"</orderByClause></orderby>
</renderer-v2>
<labeling type="simple">
<settings calloutType="simple">
<text-style fieldName="concatenate(CASE WHEN &quot;stock_id&quot; = 'LINE-1' THEN 'A' WHEN &quot;stock_id&quot; = 'LINE-2' THEN 'B' WHEN &quot;stock_id&quot; = 'LINE-3' THEN 'C' WHEN &quot;stock_id&quot; = 'LINE-4' THEN 'D' WHEN &quot;stock_id&quot; = 'LINE-5' THEN 'E' WHEN &quot;stock_id&quot; = 'LINE-6' THEN 'F' WHEN &quot;stock_id&quot; = 'LINE-7' THEN 'G' WHEN &quot;stock_id&quot; = 'LINE-8' THEN 'H' END, group_by:=&quot;zone_id&quot;, concatenator:=' ', order_by:=-&quot;share&quot;)" isExpression="1" fontFamily="Arial" fontSize="8" fontSizeUnit="Point" fontWeight="75" textColor="34,34,34,255" textOpacity="1">
<text-buffer bufferDraw="1" bufferSize="0.8" bufferSizeUnits="MM" bufferColor="255,255,255,255" bufferOpacity="1"/>
</text-style>
<placement placement="1" quadOffset="4" centroidInside="1" centroidWhole="0"/>
<rendering obstacle="0" displayAll="0" drawLabels="1"/>
</settings>
</labeling>
<layerGeometryType>2</layerGeometryType>
</qgis>
