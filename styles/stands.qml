<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>
<qgis version="3.22.0" styleCategories="Symbology|Labeling" labelsEnabled="0">
<renderer-v2 type="singleSymbol" symbollevels="0" enableorderby="0" forceraster="0">
<symbols>
<symbol type="fill" name="0" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="18,53,31,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="18,53,31,255"/>
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
<symbol type="marker" name="@0@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleMarker" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="name" value="circle" type="QString"/>
<Option name="color" value="160,174,165,255" type="QString"/>
<Option name="size" value="0.6" type="QString"/>
<Option name="size_unit" value="MM" type="QString"/>
<Option name="outline_style" value="no" type="QString"/>
<Option name="outline_color" value="160,174,165,255" type="QString"/>
<Option name="outline_width" value="0.15" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
</Option>
<prop k="name" v="circle"/>
<prop k="color" v="160,174,165,255"/>
<prop k="size" v="0.6"/>
<prop k="size_unit" v="MM"/>
<prop k="outline_style" v="no"/>
<prop k="outline_color" v="160,174,165,255"/>
<prop k="outline_width" v="0.15"/>
<prop k="outline_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
</symbols>
</renderer-v2>
<layerGeometryType>2</layerGeometryType>
</qgis>
