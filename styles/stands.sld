<?xml version="1.0" encoding="UTF-8"?>
<StyledLayerDescriptor version="1.1.0" xmlns="http://www.opengis.net/sld" xmlns:se="http://www.opengis.net/se" xmlns:ogc="http://www.opengis.net/ogc">
<NamedLayer>
<se:Name>stands</se:Name>
<UserStyle>
<se:Name>stands</se:Name>
<se:FeatureTypeStyle>
<se:Rule>
<se:Name>stand</se:Name>
<se:Description><se:Title>s: native stand, kept</se:Title></se:Description>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#12351F</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>circle</se:WellKnownName><se:Fill><se:SvgParameter name="fill">#A0AEA5</se:SvgParameter></se:Fill></se:Mark><se:Size>6.43</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
</se:Rule>
</se:FeatureTypeStyle>
</UserStyle>
</NamedLayer>
</StyledLayerDescriptor>
