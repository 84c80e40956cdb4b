<?xml version="1.0" encoding="UTF-8"?>
<StyledLayerDescriptor version="1.1.0" xmlns="http://www.opengis.net/sld" xmlns:se="http://www.opengis.net/se" xmlns:ogc="http://www.opengis.net/ogc">
<NamedLayer>
<se:Name>zone_borders</se:Name>
<UserStyle>
<se:Name>zone_borders</se:Name>
<se:FeatureTypeStyle>
<se:Rule>
<se:Name>zone</se:Name>
<se:Description><se:Title>r: zone</se:Title></se:Description>
<se:PolygonSymbolizer>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">1.79</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:PropertyName>zone_id</ogc:PropertyName></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
</se:FeatureTypeStyle>
</UserStyle>
</NamedLayer>
</StyledLayerDescriptor>
