//! How is a page written that needs no script and loads nothing?

use std::fmt::Write as _;

/// Text with the signs of the language spelt out; what cannot be shown is left away.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\n' | '\t' => out.push(c),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// A page that grows from the top.
#[derive(Debug, Default)]
pub struct Page {
    body: String,
}

impl Page {
    pub fn heading(&mut self, level: u8, id: &str, words: &str) {
        let id = if id.is_empty() {
            String::new()
        } else {
            format!(" id=\"{}\"", escaped(id))
        };
        let _ = writeln!(self.body, "<h{level}{id}>{}</h{level}>", escaped(words));
    }

    /// Nothing where the words are blank.
    pub fn paragraph(&mut self, words: &str) {
        if !words.trim().is_empty() {
            let _ = writeln!(self.body, "<p>{}</p>", escaped(words));
        }
    }

    pub fn list(&mut self, items: &[String]) {
        if items.is_empty() {
            return;
        }
        self.body.push_str("<ul>\n");
        for item in items {
            let _ = writeln!(self.body, "<li>{item}</li>");
        }
        self.body.push_str("</ul>\n");
    }

    /// A table with a caption; cells are markup already, rows begin with a heading. Nothing where there are no rows.
    pub fn table(&mut self, caption: &str, head: &[&str], rows: &[Vec<String>]) {
        if rows.is_empty() {
            return;
        }
        let _ = writeln!(
            self.body,
            "<table><caption>{}</caption>\n<thead><tr>",
            escaped(caption)
        );
        for cell in head {
            let _ = write!(self.body, "<th scope=\"col\">{}</th>", escaped(cell));
        }
        self.body.push_str("</tr></thead>\n<tbody>\n");
        for row in rows {
            self.body.push_str("<tr>");
            for (at, cell) in row.iter().enumerate() {
                let _ = match at {
                    0 => write!(self.body, "<th scope=\"row\">{cell}</th>"),
                    _ => write!(self.body, "<td>{cell}</td>"),
                };
            }
            self.body.push_str("</tr>\n");
        }
        self.body.push_str("</tbody></table>\n");
    }

    /// Longer text that opens on demand.
    pub fn details(&mut self, summary: &str, text: &str) {
        let _ = writeln!(
            self.body,
            "<details><summary>{}</summary><pre>{}</pre></details>",
            escaped(summary),
            escaped(text)
        );
    }

    pub fn section(&mut self, id: &str, fill: impl FnOnce(&mut Page)) {
        let _ = writeln!(self.body, "<section aria-labelledby=\"{}\">", escaped(id));
        fill(self);
        self.body.push_str("</section>\n");
    }

    /// The whole page; `nav` is pairs of place and words.
    pub fn finished(self, title: &str, nav: &[(String, String)]) -> String {
        let links: String = nav
            .iter()
            .map(|(to, words)| format!("<li>{}</li>\n", link(&format!("#{to}"), words)))
            .collect();
        format!(
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
             <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\"/>\n\
             <title>{}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n\
             <a class=\"skip\" href=\"#main\">To the content</a>\n\
             <nav aria-label=\"Contents\"><ul>\n{links}</ul></nav>\n<main id=\"main\">\n{}</main>\n</body>\n</html>\n",
            escaped(title),
            self.body
        )
    }
}

pub fn link(to: &str, words: &str) -> String {
    format!("<a href=\"{}\">{}</a>", escaped(to), escaped(words))
}

const STYLE: &str = "\
body{font:1rem/1.5 sans-serif;color:#111;background:#fff;max-width:60rem;margin:0 auto;padding:1rem}\
table{border-collapse:collapse;margin:1rem 0;width:100%}\
caption{text-align:left;font-weight:bold;padding:.3rem 0}\
th,td{border:1px solid #767676;padding:.25rem .5rem;text-align:left;vertical-align:top}\
pre{white-space:pre-wrap}a{color:#0645ad}\
.skip{position:absolute;left:-999rem}.skip:focus{left:1rem;background:#fff;padding:.5rem}\
@media print{nav,.skip{display:none}}";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_typed_cannot_become_markup() {
        assert_eq!(
            escaped("<b a=\"x\">&'\u{0}"),
            "&lt;b a=&quot;x&quot;&gt;&amp;&#39;"
        );
        let mut page = Page::default();
        page.paragraph("<script>alert(1)</script>");
        let text = page.finished("</title><script>", &[]);
        assert!(!text.contains("<script"), "{text}");
    }
}
