//! A report as one HTML file: nothing is loaded from elsewhere, no script runs, and it prints.

use palette::escaped;
use std::collections::BTreeSet;

use crate::document::{Document, Picture, Piece, Section, Sheet, Table};
use crate::record::Cell;
use crate::text::put;

/// Style of the page. Letters are dark on white (contrast over 7 to 1).
const STYLE: &str = "@page{size:A4;margin:14mm}\
*{box-sizing:border-box}\
body{font:11pt/1.45 'Open Sans','Segoe UI',Helvetica,Arial,sans-serif;color:#222;background:#fff;margin:0}\
main,header,nav,footer{max-width:1080px;margin:0 auto;padding:0 16px}\
header{padding-top:18px}h1{font-size:24pt;line-height:1.15;margin:0}\
.sub{font-size:12pt;color:#444;margin:2px 0 10px}\
nav{border-top:1px solid #999;border-bottom:1px solid #999;padding-top:6px;padding-bottom:6px}\
nav ul{list-style:none;margin:0;padding:0;display:flex;flex-wrap:wrap;gap:2px 18px}\
nav a{display:inline-block;min-height:28px;padding:3px 0}\
a{color:#0b4f78}a:focus-visible{outline:3px solid #0b4f78;outline-offset:2px}\
section{margin:26px 0}h2{font-size:17pt;margin:0 0 8px;border-bottom:3px solid #616505;padding-bottom:3px}\
h3{font-size:12.5pt;margin:18px 0 4px;break-after:avoid}h2{break-after:avoid}\
p{margin:0 0 8px;max-width:80ch}.note{color:#444;font-size:9.5pt}\
.mind{border:2px solid #222;padding:8px 12px;max-width:none;font-weight:600}\
ul{margin:4px 0 10px;padding-left:22px}li{margin:0 0 3px;max-width:90ch}\
.wide{overflow-x:auto;margin:8px 0 14px}.wide:focus-visible{outline:3px solid #0b4f78}\
table{border-collapse:collapse;width:100%;font-size:9.5pt}\
caption{text-align:left;font-weight:600;padding:2px 0 4px}\
th,td{border-bottom:1px solid #bbb;padding:3px 8px 3px 0;text-align:left;vertical-align:top}\
thead th{border-bottom:2px solid #222;vertical-align:bottom}\
.n{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}thead .n{white-space:normal}\
tr{break-inside:avoid}thead{display:table-header-group}\
figure{margin:10px 0 16px;break-inside:avoid}figure svg{width:100%;height:auto;display:block}\
figure.sheet{border:1px solid #999}figcaption{font-size:9.5pt;color:#444;padding:4px 6px}\
footer{border-top:1px solid #999;padding:10px 16px 30px;font-size:9pt;color:#444;overflow-wrap:anywhere}\
.off{position:absolute;width:0;height:0;overflow:hidden}\
.skip{position:absolute;left:-999em}.skip:focus{position:static}\
@media print{nav,.skip{display:none}body{font-size:10pt}main,header,footer{max-width:none;padding:0}\
section{break-before:page;margin:0}section:first-of-type{break-before:auto}.wide{overflow:visible}\
p,li{max-width:none}}";

/// The page, UTF-8.
pub(crate) fn html(document: &Document) -> String {
    let title = escaped(&format!("{}: {}", document.property, document.subtitle));
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" \
         content=\"width=device-width, initial-scale=1\">\n<title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n\
         <a class=\"skip\" href=\"#{}\">Skip to the report</a>\n<header>\n<h1>{}</h1>\n<p class=\"sub\">{}</p>\n</header>\n",
        document.sections.first().map_or("", |first| first.id),
        escaped(&document.property),
        escaped(&document.subtitle)
    );
    page += "<nav aria-label=\"Parts of the report\">\n<ul>\n";
    for section in &document.sections {
        put(
            &mut page,
            format_args!("<li><a href=\"#{}\">{}</a></li>\n", section.id, escaped(section.title)),
        );
    }
    page += "</ul>\n</nav>\n<main>\n";
    for part in &document.sections {
        section(&mut page, part, &document.sheets);
    }
    put(
        &mut page,
        format_args!("</main>\n<footer>{}</footer>\n</body>\n</html>\n", escaped(&document.foot)),
    );
    page
}

fn section(page: &mut String, section: &Section, sheets: &[Sheet]) {
    put(
        page,
        format_args!(
            "<section id=\"{0}\" aria-labelledby=\"{0}-title\">\n<h2 id=\"{0}-title\">{1}</h2>\n",
            section.id,
            escaped(section.title)
        ),
    );
    for piece in &section.pieces {
        match piece {
            Piece::Heading(words) => put(page, format_args!("<h3>{}</h3>\n", escaped(words))),
            Piece::Text(words) => put(page, format_args!("<p>{}</p>\n", escaped(words))),
            Piece::Said(cells) => said(page, cells),
            Piece::Note(words) => {
                put(page, format_args!("<p class=\"note\">{}</p>\n", escaped(words)));
            }
            Piece::Mind(words) => {
                put(page, format_args!("<p class=\"mind\">{}</p>\n", escaped(words)));
            }
            Piece::List(items) => list(page, items),
            Piece::Table(rows) => table(page, rows),
            Piece::Picture(drawn) => picture(page, drawn),
            Piece::Sheets => all_sheets(page, sheets),
        }
    }
    page.push_str("</section>\n");
}

/// A paragraph whose words from records tell where they come from.
fn said(page: &mut String, cells: &[Cell]) {
    page.push_str("<p>");
    for cell in cells {
        let words = escaped(&cell.text);
        match source(cell) {
            source if source.is_empty() => page.push_str(&words),
            source => put(page, format_args!("<span{source}>{words}</span>")),
        }
    }
    page.push_str("</p>\n");
}

fn list(page: &mut String, items: &[(String, String)]) {
    if items.is_empty() {
        return;
    }
    page.push_str("<ul>\n");
    for (about, words) in items {
        let about =
            if about.is_empty() { String::new() } else { format!("<b>{}</b>: ", escaped(about)) };
        put(page, format_args!("<li>{about}{}</li>\n", escaped(words)));
    }
    page.push_str("</ul>\n");
}

/// A table that can be reached and scrolled by key.
fn table(page: &mut String, table: &Table) {
    let caption = escaped(&table.caption);
    put(
        page,
        format_args!(
            "<div class=\"wide\" role=\"region\" aria-label=\"{caption}\" tabindex=\"0\">\n<table>\n<caption>{caption}\
             </caption>\n<thead><tr>"
        ),
    );
    for column in &table.columns {
        let class = if column.is_number { " class=\"n\"" } else { "" };
        put(page, format_args!("<th scope=\"col\"{class}>{}</th>", escaped(&column.head)));
    }
    page.push_str("</tr></thead>\n<tbody>\n");
    for row in &table.rows {
        page.push_str("<tr>");
        for (at, (cell, column)) in row.iter().zip(&table.columns).enumerate() {
            let (tag, scope) = if at == 0 { ("th", " scope=\"row\"") } else { ("td", "") };
            let class = if column.is_number { " class=\"n\"" } else { "" };
            put(
                page,
                format_args!(
                    "<{tag}{scope}{class}{}>{}</{tag}>",
                    source(cell),
                    escaped(&cell.text)
                ),
            );
        }
        page.push_str("</tr>\n");
    }
    page.push_str("</tbody>\n</table>\n</div>\n");
}

/// Where a cell comes from, for those who check: `data-from` and `data-form`.
fn source(cell: &Cell) -> String {
    match (&cell.from, cell.form) {
        (Some(from), Some(form)) => {
            format!(" data-from=\"{}\" data-form=\"{}\"", escaped(from), form.name())
        }
        _ => String::new(),
    }
}

fn picture(page: &mut String, picture: &Picture) {
    let caption = escaped(&picture.caption);
    put(
        page,
        format_args!("<figure>\n{}<figcaption>{caption}</figcaption>\n</figure>\n", picture.svg),
    );
}

/// The sheets; a picture that several have stands in the page once.
fn all_sheets(page: &mut String, sheets: &[Sheet]) {
    let mut known = BTreeSet::new();
    let images: Vec<_> = sheets.iter().flat_map(|sheet| &sheet.svg.images).collect();
    let images: Vec<_> = images.into_iter().filter(|image| known.insert(&image.id)).collect();
    if !images.is_empty() {
        page.push_str(
            "<svg class=\"off\" width=\"0\" height=\"0\" aria-hidden=\"true\" focusable=\"false\"><defs>\n",
        );
        for image in images {
            let [x, y, w, h] = image.place_mm;
            put(
                page,
                format_args!(
                    "<image id=\"{}\" x=\"{x:.3}\" y=\"{y:.3}\" width=\"{w:.3}\" height=\"{h:.3}\" \
                     preserveAspectRatio=\"none\" href=\"{}\"/>\n",
                    image.id, image.data
                ),
            );
        }
        page.push_str("</defs></svg>\n");
    }
    for sheet in sheets {
        let [wide, high] = sheet.size_mm;
        put(
            page,
            format_args!(
                "<figure class=\"sheet\">\n<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {wide} {high}\" \
                 role=\"img\" aria-label=\"{}\" font-family=\"'Open Sans',Helvetica,Arial,sans-serif\">\n{}",
                escaped(&format!("{}. {}", sheet.title, sheet.words)),
                sheet.svg.before
            ),
        );
        for image in &sheet.svg.images {
            put(page, format_args!("<use href=\"#{}\"/>\n", image.id));
        }
        put(
            page,
            format_args!(
                "{}</svg>\n<figcaption>{}</figcaption>\n</figure>\n",
                sheet.svg.after,
                escaped(&format!("{}. {}", sheet.title, sheet.words))
            ),
        );
    }
}
