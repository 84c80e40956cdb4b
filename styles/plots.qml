<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>
<qgis version="3.22.0" styleCategories="Symbology|Labeling" labelsEnabled="1">
<renderer-v2 type="singleSymbol" symbollevels="0" enableorderby="0" forceraster="0">
<symbols>
<symbol type="marker" name="0" alpha="1" clip_to_extent="1" force_rhr="0">
<layer class="SimpleMarker" enabled="1" pass="0" locked="0">
<Option type="Map">
<Option name="name" value="circle" type="QString"/>
<Option name="color" value="255,255,255,255" type="QString"/>
<Option name="size" value="2.8" type="QString"/>
<Option name="size_unit" value="MM" type="QString"/>
<Option name="outline_style" value="solid" type="QString"/>
<Option name="outline_color" value="34,34,34,255" type="QString"/>
<Option name="outline_width" value="0.15" type="QString"/>
<Option name="outline_width_unit" value="MM" type="QString"/>
</Option>
<prop k="name" v="circle"/>
<prop k="color" v="255,255,255,255"/>
<prop k="size" v="2.8"/>
<prop k="size_unit" v="MM"/>
<prop k="outline_style" v="solid"/>
<prop k="outline_color" v="34,34,34,255"/>
<prop k="outline_width" v="0.15"/>
<prop k="outline_width_unit" v="MM"/>
</layer>
</symbol>
</symbols>
</renderer-v2>
<labeling type="simple">
<settings calloutType="simple">
<text-style fieldName="plot_id" isExpression="0" fontFamily="Arial" fontSize="8" fontSizeUnit="Point" fontWeight="75" textColor="34,34,34,255" textOpacity="1">
<text-buffer bufferDraw="1" bufferSize="0.8" bufferSizeUnits="MM" bufferColor="255,255,255,255" bufferOpacity="1"/>
</text-style>
<placement placement="0" dist="1" distUnits="MM"/>
<rendering obstacle="0" displayAll="0" drawLabels="1"/>
</settings>
</labeling>
<layerGeometryType>0</layerGeometryType>
</qgis>
