<?xml version="1.0" encoding="UTF-8"?>
<StyledLayerDescriptor version="1.1.0" xmlns="http://www.opengis.net/sld" xmlns:se="http://www.opengis.net/se" xmlns:ogc="http://www.opengis.net/ogc">
<NamedLayer>
<se:Name>blocks</se:Name>
<UserStyle>
<se:Name>blocks</se:Name>
<se:FeatureTypeStyle>
<se:Rule>
<se:Name>LINE-1</se:Name>
<se:Description><se:Title>A: first line planted</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>stock_id</ogc:PropertyName><ogc:Literal>LINE-1</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#62C7F4</se:SvgParameter></se:Fill>
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
<se:Name>LINE-2</se:Name>
<se:Description><se:Title>B: second line planted</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>stock_id</ogc:PropertyName><ogc:Literal>LINE-2</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#7B269D</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>slash</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#CAA8D7</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>B</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>LINE-3</se:Name>
<se:Description><se:Title>C: third line planted</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>stock_id</ogc:PropertyName><ogc:Literal>LINE-3</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#FEC887</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>horline</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#655036</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>C</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>LINE-4</se:Name>
<se:Description><se:Title>D: fourth line planted</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>stock_id</ogc:PropertyName><ogc:Literal>LINE-4</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#616505</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>line</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#BFC19B</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>D</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>LINE-5</se:Name>
<se:Description><se:Title>E: fifth line planted</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>stock_id</ogc:PropertyName><ogc:Literal>LINE-5</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#ED369A</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>backslash</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#5E153D</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>E</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>LINE-6</se:Name>
<se:Description><se:Title>F: sixth line planted</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>stock_id</ogc:PropertyName><ogc:Literal>LINE-6</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#7EB90E</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>x</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#324A05</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>F</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>LINE-7</se:Name>
<se:Description><se:Title>G: seventh line planted</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>stock_id</ogc:PropertyName><ogc:Literal>LINE-7</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#595FF3</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>cross</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#BCBFFA</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>7.14</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>G</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
<se:Rule>
<se:Name>LINE-8</se:Name>
<se:Description><se:Title>H: eighth line planted</se:Title></se:Description>
<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>stock_id</ogc:PropertyName><ogc:Literal>LINE-8</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>
<se:PolygonSymbolizer>
<se:Fill><se:SvgParameter name="fill">#D18172</se:SvgParameter></se:Fill>
<se:Stroke><se:SvgParameter name="stroke">#222222</se:SvgParameter><se:SvgParameter name="stroke-width">0.93</se:SvgParameter></se:Stroke>
</se:PolygonSymbolizer>
<se:PolygonSymbolizer>
<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>slash</se:WellKnownName><se:Stroke><se:SvgParameter name="stroke">#53332D</se:SvgParameter><se:SvgParameter name="stroke-width">0.89</se:SvgParameter></se:Stroke></se:Mark><se:Size>3.57</se:Size></se:Graphic></se:GraphicFill></se:Fill>
</se:PolygonSymbolizer>
<se:TextSymbolizer>
<se:Label><ogc:Literal>H</ogc:Literal></se:Label>
<se:Font><se:SvgParameter name="font-family">Arial</se:SvgParameter><se:SvgParameter name="font-size">10</se:SvgParameter><se:SvgParameter name="font-weight">bold</se:SvgParameter></se:Font>
<se:Halo><se:Radius>2</se:Radius><se:Fill><se:SvgParameter name="fill">#FFFFFF</se:SvgParameter></se:Fill></se:Halo>
<se:Fill><se:SvgParameter name="fill">#222222</se:SvgParameter></se:Fill>
</se:TextSymbolizer>
</se:Rule>
</se:FeatureTypeStyle>
</UserStyle>
</NamedLayer>
</StyledLayerDescriptor>
