//! A small writer of SVG text: numbers short and never NaN, words escaped.

use std::fmt::Write;

/// An SVG document being written.
pub struct Svg {
    text: String,
    open: Vec<&'static str>,
}

impl Svg {
    /// Starts a drawing of the given user units, with a title and a description for those who listen.
    pub fn new(width: f64, height: f64, title: &str, description: &str) -> Self {
        Self::with_view([0.0, 0.0, width, height], title, description)
    }

    /// The same, of a part of the plane: left, top, right, bottom.
    pub fn with_view(view: [f64; 4], title: &str, description: &str) -> Self {
        let mut svg = Self {
            text: String::with_capacity(4096),
            open: vec!["svg"],
        };
        let _ = write!(
            svg.text,
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="{x} {y} {w} {h}" width="{w}" height="{h}" role="img" font-family="{family}">"#,
            x = number(view[0]),
            y = number(view[1]),
            w = number(view[2] - view[0]),
            h = number(view[3] - view[1]),
            family = crate::FONT_FAMILY
        );
        let _ = write!(svg.text, "<title>{}</title>", escape(title));
        if !description.is_empty() {
            let _ = write!(svg.text, "<desc>{}</desc>", escape(description));
        }
        svg
    }

    /// Writes one element without content.
    pub fn element(&mut self, name: &str, attributes: &[(&str, &str)]) -> &mut Self {
        self.start(name, attributes);
        self.text.push_str("/>");
        self
    }

    pub fn open(&mut self, name: &'static str, attributes: &[(&str, &str)]) -> &mut Self {
        self.start(name, attributes);
        self.text.push('>');
        self.open.push(name);
        self
    }

    pub fn close(&mut self) -> &mut Self {
        if self.open.len() > 1
            && let Some(name) = self.open.pop()
        {
            let _ = write!(self.text, "</{name}>");
        }
        self
    }

    fn start(&mut self, name: &str, attributes: &[(&str, &str)]) {
        let _ = write!(self.text, "<{name}");
        for (key, value) in attributes {
            let _ = write!(self.text, r#" {key}="{}""#, escape(value));
        }
    }

    pub fn line(&mut self, from: [f64; 2], to: [f64; 2], stroke: &str, width: f64) -> &mut Self {
        self.element(
            "line",
            &[
                ("x1", &number(from[0])),
                ("y1", &number(from[1])),
                ("x2", &number(to[0])),
                ("y2", &number(to[1])),
                ("stroke", stroke),
                ("stroke-width", &number(width)),
                ("stroke-linecap", "round"),
            ],
        )
    }

    pub fn rect(&mut self, at: [f64; 2], size: [f64; 2], fill: &str) -> &mut Self {
        self.element(
            "rect",
            &[
                ("x", &number(at[0])),
                ("y", &number(at[1])),
                ("width", &number(size[0].max(0.0))),
                ("height", &number(size[1].max(0.0))),
                ("fill", fill),
            ],
        )
    }

    pub fn path(&mut self, d: &str, fill: &str, stroke: &str, width: f64) -> &mut Self {
        self.element(
            "path",
            &[
                ("d", d),
                ("fill", fill),
                ("stroke", stroke),
                ("stroke-width", &number(width)),
                ("stroke-linejoin", "round"),
            ],
        )
    }

    pub fn circle(
        &mut self,
        at: [f64; 2],
        r: f64,
        fill: &str,
        stroke: &str,
        width: f64,
    ) -> &mut Self {
        self.element(
            "circle",
            &[
                ("cx", &number(at[0])),
                ("cy", &number(at[1])),
                ("r", &number(r)),
                ("fill", fill),
                ("stroke", stroke),
                ("stroke-width", &number(width)),
            ],
        )
    }

    pub fn text(&mut self, at: [f64; 2], words: &str, look: Text) -> &mut Self {
        let (x, y, size) = (number(at[0]), number(at[1]), number(look.size));
        let mut attributes = vec![
            ("x", x.as_str()),
            ("y", y.as_str()),
            ("font-size", size.as_str()),
            ("fill", look.fill),
        ];
        if look.anchor != "start" {
            attributes.push(("text-anchor", look.anchor));
        }
        if look.bold {
            attributes.push(("font-weight", "700"));
        }
        let halo = number(look.size * 0.22);
        if let Some(colour) = look.halo {
            attributes.extend([
                ("stroke", colour),
                ("stroke-width", halo.as_str()),
                ("paint-order", "stroke"),
                ("stroke-linejoin", "round"),
            ]);
        }
        self.start("text", &attributes);
        let _ = write!(self.text, ">{}</text>", escape(words));
        self
    }

    /// Puts ready SVG in; the caller vouches for it.
    pub fn raw(&mut self, svg: &str) -> &mut Self {
        self.text.push_str(svg);
        self
    }

    pub fn finish(mut self) -> String {
        while let Some(name) = self.open.pop() {
            let _ = write!(self.text, "</{name}>");
        }
        self.text
    }
}

/// How words look.
#[derive(Clone, Copy)]
pub struct Text {
    pub size: f64,
    pub fill: &'static str,
    pub anchor: &'static str,
    pub bold: bool,
    pub halo: Option<&'static str>,
}

impl Text {
    pub const fn new(size: f64, fill: &'static str) -> Self {
        Self {
            size,
            fill,
            anchor: "start",
            bold: false,
            halo: None,
        }
    }
    pub const fn middle(mut self) -> Self {
        self.anchor = "middle";
        self
    }
    pub const fn end(mut self) -> Self {
        self.anchor = "end";
        self
    }
    pub const fn bold(mut self) -> Self {
        self.bold = true;
        self
    }
    pub const fn halo(mut self, colour: &'static str) -> Self {
        self.halo = Some(colour);
        self
    }
}

/// A coordinate with at most two decimals; what is not a finite number is drawn at zero, since a
/// drawing never carries a value that is not printed beside it as text.
pub fn number(x: f64) -> String {
    if !x.is_finite() {
        return "0".into();
    }
    let mut text = format!("{:.2}", x.clamp(-1e7, 1e7));
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".into() } else { text }
}

/// `M` and `L` commands through points.
pub fn polyline(points: &[[f64; 2]]) -> String {
    let mut d = String::new();
    for (i, p) in points.iter().enumerate() {
        let _ = write!(
            d,
            "{}{} {}",
            if i == 0 { "M" } else { "L" },
            number(p[0]),
            number(p[1])
        );
    }
    d
}

/// Words made safe inside an element or a double-quoted attribute.
pub fn escape(words: &str) -> String {
    let mut safe = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            c if c.is_control() && c != '\n' && c != '\t' => safe.push(' '),
            c => safe.push(c),
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_from_outside_cannot_leave_their_element() {
        let mut svg = Svg::new(10.0, 10.0, "</title><script>alert(1)</script>", "");
        svg.text([1.0, 1.0], "\"><script>", Text::new(3.0, "#000"));
        let text = svg.finish();
        assert!(!text.contains("<script>"), "{text}");
    }

    #[test]
    fn numbers_are_short_and_always_numbers() {
        assert_eq!(number(1.0), "1");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(12.345), "12.35");
        assert_eq!(number(f64::NAN), "0");
        assert_eq!(number(100.0), "100");
    }
}
