<?xml version="1.0" encoding="UTF-8"?>
<StyledLayerDescriptor version="1.1.0" xmlns="http://www.opengis.net/sld" xmlns:se="http://www.opengis.net/se" xmlns:ogc="http://www.opengis.net/ogc">
<NamedLayer>
<se:Name>keep_clear</se:Name>
<UserStyle>
<se:Name>keep_clear</se:Name>
<se:FeatureTypeStyle>
<se:Rule>
<se:Name>keep_clear</se:Name>
<se:Description><se:Title>k: kept clear</se:Title></se:Description>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#E4E2DC</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>backslash</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#5B5A58</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
</se:Rule>
</se:FeatureTypeStyle>
</UserStyle>
</NamedLayer>
</StyledLayerDescriptor>
