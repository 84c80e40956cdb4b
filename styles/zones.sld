<?xml version="1.0" encoding="UTF-8"?>
<StyledLayerDescriptor version="1.1.0" xmlns="http://www.opengis.net/sld" xmlns:se="http://www.opengis.net/se" xmlns:ogc="http://www.opengis.net/ogc">
<NamedLayer>
<se:Name>zones</se:Name>
<UserStyle>
<se:Name>zones</se:Name>
<se:FeatureTypeStyle>
<se:Rule>
<se:Name>A</se:Name>
<se:Description><se:Title>A: 0 to 3°, flat to gently undulating</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>slope_group</ogc:PropertyName><ogc:Literal>A</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#FCF4D1</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>A</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>B</se:Name>
<se:Description><se:Title>B: 4 to 7°, undulating</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>slope_group</ogc:PropertyName><ogc:Literal>B</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#F9CD96</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>circle</se:WellKnownName><se:Fill><se:SvgParameter name="fill">#63523C</se:SvgParameter></se:Fill></se:Mark><se:Size>6.43</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>B</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>C</se:Name>
<se:Description><se:Title>C: 8 to 15°, rolling</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>slope_group</ogc:PropertyName><ogc:Literal>C</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#F0A65D</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>horline</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#604225</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>C</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>D</se:Name>
<se:Description><se:Title>D: 16 to 20°, strongly rolling</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>slope_group</ogc:PropertyName><ogc:Literal>D</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#D7804E</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>slash</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#56331F</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>D</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>E</se:Name>
<se:Description><se:Title>E: 21 to 25°, moderately steep</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>slope_group</ogc:PropertyName><ogc:Literal>E</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#BD5A3F</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>backslash</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#4B2419</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>E</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>F</se:Name>
<se:Description><se:Title>F: 26 to 35°, steep</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>slope_group</ogc:PropertyName><ogc:Literal>F</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#8B4137</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>x</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#D0B3AF</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>F</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>G</se:Name>
<se:Description><se:Title>G: over 35°, very steep</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>slope_group</ogc:PropertyName><ogc:Literal>G</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#5D292E</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>slash</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#BEA9AB</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>3.57</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>G</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
</se:FeatureTypeStyle>
</UserStyle>
</NamedLayer>
</StyledLayerDescriptor>
