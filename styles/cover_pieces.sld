<?xml version="1.0" encoding="UTF-8"?>
<StyledLayerDescriptor version="1.1.0" xmlns="http://www.opengis.net/sld" xmlns:se="http://www.opengis.net/se" xmlns:ogc="http://www.opengis.net/ogc">
<NamedLayer>
<se:Name>cover_pieces</se:Name>
<UserStyle>
<se:Name>cover_pieces</se:Name>
<se:FeatureTypeStyle>
<se:Rule>
<se:Name>1</se:Name>
<se:Description><se:Title>1: under 20 % protected</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsLessThan><ogc:PropertyName>protected_then</ogc:PropertyName><ogc:Literal>0.2</ogc:Literal></ogc:PropertyIsLessThan></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#FDEFDE</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>backslash</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#655F58</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>1</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>2</se:Name>
<se:Description><se:Title>2: 20 to 40 %</se:Title></se:Description>
<ogc:Filter><ogc:And><ogc:PropertyIsGreaterThanOrEqualTo><ogc:PropertyName>protected_then</ogc:PropertyName><ogc:Literal>0.2</ogc:Literal></ogc:PropertyIsGreaterThanOrEqualTo><ogc:PropertyIsLessThan><ogc:PropertyName>protected_then</ogc:PropertyName><ogc:Literal>0.4</ogc:Literal></ogc:PropertyIsLessThan></ogc:And></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#A2C9B8</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>2</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>3</se:Name>
<se:Description><se:Title>3: 40 to 60 %</se:Title></se:Description>
<ogc:Filter><ogc:And><ogc:PropertyIsGreaterThanOrEqualTo><ogc:PropertyName>protected_then</ogc:PropertyName><ogc:Literal>0.4</ogc:Literal></ogc:PropertyIsGreaterThanOrEqualTo><ogc:PropertyIsLessThan><ogc:PropertyName>protected_then</ogc:PropertyName><ogc:Literal>0.6</ogc:Literal></ogc:PropertyIsLessThan></ogc:And></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#569F9B</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>horline</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#223F3E</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>3</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>4</se:Name>
<se:Description><se:Title>4: 60 to 80 %</se:Title></se:Description>
<ogc:Filter><ogc:And><ogc:PropertyIsGreaterThanOrEqualTo><ogc:PropertyName>protected_then</ogc:PropertyName><ogc:Literal>0.6</ogc:Literal></ogc:PropertyIsGreaterThanOrEqualTo><ogc:PropertyIsLessThan><ogc:PropertyName>protected_then</ogc:PropertyName><ogc:Literal>0.8</ogc:Literal></ogc:PropertyIsLessThan></ogc:And></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#0B7683</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>slash</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#9DC8CD</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>4</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>5</se:Name>
<se:Description><se:Title>5: 80 % and more</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsGreaterThanOrEqualTo><ogc:PropertyName>protected_then</ogc:PropertyName><ogc:Literal>0.8</ogc:Literal></ogc:PropertyIsGreaterThanOrEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#004D6C</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>5</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
</se:FeatureTypeStyle>
</UserStyle>
</NamedLayer>
</StyledLayerDescriptor>
