<?xml version="1.0" encoding="UTF-8"?>
<StyledLayerDescriptor version="1.1.0" xmlns="http://www.opengis.net/sld" xmlns:se="http://www.opengis.net/se" xmlns:ogc="http://www.opengis.net/ogc">
<NamedLayer>
<se:Name>plots</se:Name>
<UserStyle>
<se:Name>plots</se:Name>
<se:FeatureTypeStyle>
<se:Rule>
<se:Name>counting plot</se:Name>
<se:Description><se:Title>r: counting plot</se:Title></se:Description>
<se:PointSymbolizer>
<se:Graphic>
<se:Mark>
<se:WellKnownName>circle</se:WellKnownName>
<se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.54</se:SvgParameter></se:Stroke>
</se:Mark>
<se:Size>10.00</se:Size>
</se:Graphic>
</se:PointSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:PropertyName>plot_id</ogc:PropertyName></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:LabelPlacement><se:PointPlacement><se:Displacement><se:DisplacementX>8</se:DisplacementX><se:DisplacementY>8</se:DisplacementY></se:Displacement></se:PointPlacement></se:LabelPlacement>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
</se:FeatureTypeStyle>
</UserStyle>
</NamedLayer>
</StyledLayerDescriptor>
