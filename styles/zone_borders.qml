<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>
<qgis version="3.22.0" styleCategories="Symbology|Labeling" labelsEnabled="1">
<renderer-v2 type="singleSymbol" symbollevels="0" enableorderby="0" forceraster="0">
<symbols>
<symbol type="fill" name="0" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleFill" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="color" value="255,255,255,255" type="QString"/>
<Option name="style" value="no" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_width" value="0.5" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
<Option name="joinstyle" value="round" type="QString"/>
</Option>
<prop k="color" v="255,255,255,255"/>
<prop k="style" v="no"/>
<prop k="outline_color" v="34,34,34,255"/>
<prop k="outline_style" v="solid"/>
<prop k="outline_width" v="0.5"/>
<prop k="outline_width_unit" v="MM"/>
<prop k="joinstyle" v="round"/>
</layer>
</symbol>
</symbols>
</renderer-v2>
<labeling type="simple">
<settings calloutType="simple">
<text-style fieldName="zone_id" isExpression="0" fontFamily="Arial" fontSize="8" fontSizeUnit="Point" fontWeight="75" textColor="34,34,34,255" textOpacity="1">
<text-buffer bufferDraw="1" bufferSize="0.8" bufferSizeUnits="MM" bufferColor="255,255,255,255" bufferOpacity="1"/>
</text-style>
<placement placement="1" quadOffset="7" centroidInside="1" centroidWhole="0" yOffset="1.5"/>
<rendering obstacle="0" displayAll="0" drawLabels="1" scaleVisibility="1" scaleMin="7500" scaleMax="0"/>
</settings>
</labeling>
<layerGeometryType>2</layerGeometryType>
</qgis>
