<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>
<qgis version="3.22.0" styleCategories="Symbology|Labeling" labelsEnabled="0">
<renderer-v2 type="singleSymbol" symbollevels="0" enableorderby="0" forceraster="0">
<symbols>
<symbol type="fill" name="0" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="228,226,220,255" type="QString"/>
<Option name="style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.26" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="228,226,220,255"/>
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
<Option name="color" value="91,90,88,255" type="QString"/>
</Option>
<prop k="angle" v="135"/>
<prop k="distance" v="2"/>
<prop k="distance_unit" v="MM"/>
<prop k="line_width" v="0.25"/>
<prop k="color" v="91,90,88,255"/>
<symbol type="line" name="@0@1" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleLine" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="line_color" value="91,90,88,255" type="QString"/>
<Option name="line_style" value="solid" type="QString"/>
<Option name="line_width" value="0.25" type="QString"/>
<Option name="line_width_unit" value="MM" type="QString"/>
</Option>
<prop k="line_color" v="91,90,88,255"/>
<prop k="line_style" v="solid"/>
<prop k="line_width" v="0.25"/>
<prop k="line_width_unit" v="MM"/>
</layer>
</symbol>
</layer>
</symbol>
</symbols>
</renderer-v2>
<layerGeometryType>2</layerGeometryType>
</qgis>
