<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>
<qgis version="3.22.0" styleCategories="Symbology|Labeling" labelsEnabled="1">
<renderer-v2 type="categorizedSymbol" attr="slope_group" symbollevels="0" enableorderby="0" forceraster="0">
<categories>
<category symbol="0" value="A" label="A: 0 to 3°, flat to gently undulating" render="true" type="string"/>
<category symbol="1" value="B" label="B: 4 to 7°, undulating" render="true" type="string"/>
<category symbol="2" value="C" label="C: 8 to 15°, rolling" render="true" type="string"/>
<category symbol="3" value="D" label="D: 16 to 20°, strongly rolling" render="true" type="string"/>
<category symbol="4" value="E" label="E: 21 to 25°, moderately steep" render="true" type="string"/>
<category symbol="5" value="F" label="F: 26 to 35°, steep" render="true" type="string"/>
<category symbol="6" value="G" label="G: over 35°, very steep" render="true" type="string"/>
</categories>
<symbols>
<symbol type="fill" name="0" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="252,244,209,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="252,244,209,255"/>
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
<Option name="color" value="249,205,150,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="249,205,150,255"/>
<prop k="style" v="solid"/>
<prop k="outline_color" v="34,34,34,255"/>
<prop k="outline_style" v="solid"/>
<prop k="outline_width" v="0.26"/>
<prop k="outline_width_unit" v="MM"/>
<prop k="joinstyle" v="round"/>
</layer>
<layer class="PointPatternFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="distance_x" value="1.8" type="QString"/>
<Option name="distance_x_unit" value="MM" type="QString"/>
<Option name="distance_y" value="1.8" type="QString"/>
<Option name="distance_y_unit" value="MM" type="QString"/>
<Option name="displacement_x" value="0.9" type="QString"/>
<Option name="displacement_x_unit" value="MM" type="QString"/>
</Option>
<prop k="distance_x" v="1.8"/>
<prop k="distance_x_unit" v="MM"/>
<prop k="distance_y" v="1.8"/>
<prop k="distance_y_unit" v="MM"/>
<prop k="displacement_x" v="0.9"/>
<prop k="displacement_x_unit" v="MM"/>
<symbol type="marker" name="@1@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleMarker" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="name" value="circle" type="QString"/>
<Option name="color" value="99,82,60,255" type="QString"/>
<Option name="size" value="0.6" type="QString"/>
<Option name="size_unit" value="MM" type="QString"/>
<Option name="outline_style" value="no" type="QString"/>
<Option name="outline_color" value="99,82,60,255" type="QString"/>
<Option name="outline_width" value="0.15" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
</Option>
<prop k="name" v="circle"/>
<prop k="color" v="99,82,60,255"/>
<prop k="size" v="0.6"/>
<prop k="size_unit" v="MM"/>
<prop k="outline_style" v="no"/>
<prop k="outline_color" v="99,82,60,255"/>
<prop k="outline_width" v="0.15"/>
<prop k="outline_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
<symbol type="fill" name="2" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="240,166,93,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="240,166,93,255"/>
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
<Option name="color" value="96,66,37,255" type="QString"/>
</Option>
<prop k="angle" v="0"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="96,66,37,255"/>
<symbol type="line" name="@2@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="96,66,37,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="96,66,37,255"/>
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
<Option name="color" value="215,128,78,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="215,128,78,255"/>
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
<Option name="color" value="86,51,31,255" type="QString"/>
</Option>
<prop k="angle" v="45"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="86,51,31,255"/>
<symbol type="line" name="@3@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="86,51,31,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="86,51,31,255"/>
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
<Option name="color" value="189,90,63,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="189,90,63,255"/>
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
<Option name="color" value="75,36,25,255" type="QString"/>
</Option>
<prop k="angle" v="135"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="75,36,25,255"/>
<symbol type="line" name="@4@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="75,36,25,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="75,36,25,255"/>
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
<Option name="color" value="139,65,55,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="139,65,55,255"/>
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
<Option name="color" value="208,179,175,255" type="QString"/>
</Option>
<prop k="angle" v="45"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="208,179,175,255"/>
<symbol type="line" name="@5@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="208,179,175,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="208,179,175,255"/>
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
<Option name="color" value="208,179,175,255" type="QString"/>
</Option>
<prop k="angle" v="135"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="208,179,175,255"/>
<symbol type="line" name="@5@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="208,179,175,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="208,179,175,255"/>
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
<Option name="color" value="93,41,46,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="93,41,46,255"/>
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
<Option name="color" value="190,169,171,255" type="QString"/>
</Option>
<prop k="angle" v="45"/>
<prop k="distance" v="1"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="190,169,171,255"/>
<symbol type="line" name="@6@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="190,169,171,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="190,169,171,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
</symbols>
</renderer-v2>
<labeling type="simple">
<settings calloutType="simple">
<text-style fieldName="CASE WHEN &quot;slope_group&quot; = 'A' THEN 'A' WHEN &quot;slope_group&quot; = 'B' THEN 'B' WHEN &quot;slope_group&quot; = 'C' THEN 'C' WHEN &quot;slope_group&quot; = 'D' THEN 'D' WHEN &quot;slope_group&quot; = 'E' THEN 'E' WHEN &quot;slope_group&quot; = 'F' THEN 'F' WHEN &quot;slope_group&quot; = 'G' THEN 'G' END" isExpression="1" fontFamily="Arial" fontSize="8" fontSizeUnit="Point" fontWeight="75" textColor="34,34,34,255" textOpacity="1">
<text-buffer bufferDraw="1" bufferSize="0.8" bufferSizeUnits="MM" bufferColor="255,255,255,255" bufferOpacity="1"/>
</text-style>
<placement placement="1" quadOffset="4" centroidInside="1" centroidWhole="0"/>
<rendering obstacle="0" displayAll="0" drawLabels="1"/>
</settings>
</labeling>
<layerGeometryType>2</layerGeometryType>
</qgis>
