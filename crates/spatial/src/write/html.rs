//! Pages to read and print: nothing is loaded from elsewhere and no script runs.

use std::fmt::{Arguments, Write};

/// Style of an upright A4 page of text, tables and pictures; what a page adds goes after it.
pub(crate) const UPRIGHT: &str = "@page{size:A4;margin:14mm}\
body{font:10pt sans-serif;color:#000;background:#fff;margin:0 auto;max-width:182mm;padding:4mm}\
h1{font-size:16pt;margin:0 0 1mm}h2{font-size:12pt;margin:6mm 0 1mm;break-after:avoid}\
p{margin:0 0 1.5mm}ul{margin:0;padding-left:5mm}li{margin:0 0 .8mm}\
table{border-collapse:collapse;width:100%;margin:1mm 0 2mm}thead{display:table-header-group}\
th,td{border-bottom:.2mm solid #999;padding:.7mm 1.5mm;text-align:left;vertical-align:top;font-size:8.5pt}\
th{font-size:8pt;border-bottom:.4mm solid #333}td.n,th.n{text-align:right;white-space:nowrap}\
tr{break-inside:avoid}.note{color:#333;font-size:8.5pt}";

/// The end of a page.
pub(crate) const PAGE_END: &str = "</body>\n</html>\n";

/// A page up to its heading; texts are escaped already.
pub(crate) fn page_head(title: &str, style: &[&str], heading: &str) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{title}</title>\n\
         <style>{}</style>\n</head>\n<body>\n<h1>{heading}</h1>\n",
        style.concat()
    )
}

/// A line of a page.
pub(crate) fn put(page: &mut String, line: Arguments<'_>) {
    // Writing to a String cannot fail.
    let _ = writeln!(page, "{line}");
}
