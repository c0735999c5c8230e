//! A page of HTML as it grows: the only place that writes tags, so the only place that escapes.

use crate::findings::plot::Drawing;
use crate::findings::plot::svg::{Letters, escape, paint};

/// The page so far.
#[derive(Debug, Clone)]
pub(super) struct Page {
    out: String,
}

impl Page {
    pub(super) fn new(title: &str) -> Page {
        let title = escape(title);
        let style = include_str!("style.css");
        Page {
            out: format!(
                "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta \
                 name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
                 <title>{title}</title>\n<style>\n{style}</style>\n</head>\n<body>\n<main>\n"
            ),
        }
    }

    /// An element with text in it. `class`: of ours, or empty.
    pub(super) fn element(&mut self, tag: &'static str, class: &'static str, text: &str) {
        let class = if class.is_empty() { String::new() } else { format!(" class=\"{class}\"") };
        self.out.push_str(&format!("<{tag}{class}>{}</{tag}>\n", escape(text)));
    }

    pub(super) fn heading(&mut self, text: &str) {
        self.element("h2", "", text);
    }

    pub(super) fn paragraph(&mut self, text: &str) {
        self.element("p", "", text);
    }

    pub(super) fn note(&mut self, text: &str) {
        self.element("p", "note", text);
    }

    pub(super) fn figure(&mut self, drawing: &Drawing, caption: &str) {
        self.out.push_str("<figure>\n");
        self.out.push_str(&paint(drawing, Letters::Text));
        self.element("figcaption", "", caption);
        self.out.push_str("</figure>\n");
    }

    /// Doubts: what, and below it the mend.
    pub(super) fn pairs_of_lines(&mut self, lines: &[(String, String)]) {
        self.out.push_str("<ul class=\"doubts\">\n");
        for (what, mend) in lines {
            self.out.push_str(&format!(
                "<li><span>{}</span><span class=\"mend\">{}</span></li>\n",
                escape(what),
                escape(mend)
            ));
        }
        self.out.push_str("</ul>\n");
    }

    pub(super) fn list(&mut self, lines: &[String]) {
        self.out.push_str("<ul>\n");
        for line in lines {
            self.element("li", "", line);
        }
        self.out.push_str("</ul>\n");
    }

    /// A table whose first column names the row.
    pub(super) fn table(&mut self, head: &[&str], rows: &[Vec<String>]) {
        self.out.push_str("<div class=\"wide\"><table>\n<thead><tr>");
        for cell in head {
            self.out.push_str(&format!("<th scope=\"col\">{}</th>", escape(cell)));
        }
        self.out.push_str("</tr></thead>\n<tbody>\n");
        for row in rows {
            self.out.push_str("<tr>");
            for (index, cell) in row.iter().enumerate() {
                let cell = escape(cell);
                self.out.push_str(&if index == 0 {
                    format!("<th scope=\"row\">{cell}</th>")
                } else {
                    format!("<td>{cell}</td>")
                });
            }
            self.out.push_str("</tr>\n");
        }
        self.out.push_str("</tbody>\n</table></div>\n");
    }

    /// A program, line by line.
    pub(super) fn code(&mut self, text: &str) {
        self.out.push_str(&format!("<pre tabindex=\"0\"><code>{}</code></pre>\n", escape(text)));
    }

    pub(super) fn finish(mut self) -> String {
        self.out.push_str("</main>\n</body>\n</html>\n");
        self.out
    }
}
