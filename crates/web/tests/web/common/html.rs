//! Just enough of HTML to hold a page against its rules: its tags with their attributes, in order.

use std::collections::{BTreeMap, BTreeSet};

#[derive(Debug, Clone, PartialEq)]
pub struct Tag {
    /// `/p` for an end tag.
    pub name: String,
    pub attributes: BTreeMap<String, String>,
    /// Text up to the next tag.
    pub text: String,
}

impl Tag {
    pub fn get(&self, attribute: &str) -> Option<&str> {
        self.attributes.get(attribute).map(String::as_str)
    }
}

pub fn tags(html: &str) -> Vec<Tag> {
    let mut out = Vec::new();
    let mut rest = html;
    while let Some(start) = rest.find('<') {
        rest = &rest[start + 1..];
        if rest.starts_with('!') {
            continue;
        }
        let (inside, after) = until_end(rest);
        let text = after.split('<').next().unwrap_or_default().to_owned();
        out.push(tag(inside, text));
        rest = after;
    }
    out
}

/// Splits at the first `>` outside quotes.
fn until_end(text: &str) -> (&str, &str) {
    let mut quote = None;
    for (i, c) in text.char_indices() {
        match (quote, c) {
            (None, '>') => return (&text[..i], &text[i + 1..]),
            (None, '"' | '\'') => quote = Some(c),
            (Some(q), c) if q == c => quote = None,
            _ => {}
        }
    }
    (text, "")
}

fn tag(inside: &str, text: String) -> Tag {
    let inside = inside.trim_end_matches('/').trim();
    let (name, mut rest) = inside
        .split_once(char::is_whitespace)
        .unwrap_or((inside, ""));
    let mut attributes = BTreeMap::new();
    loop {
        rest = rest.trim_start();
        if rest.is_empty() {
            break;
        }
        let end = rest
            .find(|c: char| c == '=' || c.is_whitespace())
            .unwrap_or(rest.len());
        let key = rest[..end].to_lowercase();
        rest = rest[end..].trim_start();
        let mut value = String::new();
        if let Some(after) = rest.strip_prefix('=') {
            let after = after.trim_start();
            let quote = after.chars().next().filter(|c| matches!(c, '"' | '\''));
            match quote {
                Some(q) => {
                    let body = &after[1..];
                    let end = body.find(q).unwrap_or(body.len());
                    value = body[..end].to_owned();
                    rest = body.get(end + 1..).unwrap_or("");
                }
                None => {
                    let end = after.find(char::is_whitespace).unwrap_or(after.len());
                    value = after[..end].to_owned();
                    rest = &after[end..];
                }
            }
        }
        attributes.insert(key, value);
    }
    Tag {
        name: name.to_lowercase(),
        attributes,
        text,
    }
}

/// Every rule of a page; each broken one is one sentence.
pub fn faults(html: &str) -> Vec<String> {
    let tags = tags(html);
    let mut faults = Vec::new();
    let count = |name: &str| tags.iter().filter(|t| t.name == name).count();
    for (name, wanted) in [("main", 1), ("h1", 1), ("title", 1)] {
        // Drawings have titles of their own.
        let found = if name == "title" {
            html.split("<svg")
                .next()
                .unwrap_or(html)
                .matches("<title>")
                .count()
        } else {
            count(name)
        };
        if found != wanted {
            faults.push(format!("found {found} <{name}>, expected {wanted}"));
        }
    }
    if !tags
        .iter()
        .any(|t| t.name == "html" && t.get("lang").is_some_and(|l| !l.is_empty()))
    {
        faults.push("found no language on <html>".into());
    }
    inline(&tags, &mut faults);
    references(&tags, &mut faults);
    labels(&tags, &mut faults);
    faults
}

fn inline(tags: &[Tag], faults: &mut Vec<String>) {
    for t in tags {
        if t.name == "style" || t.attributes.contains_key("style") {
            faults.push(format!("found an inline style on <{}>", t.name));
        }
        if t.name == "script" && t.get("src").is_none_or(str::is_empty) {
            faults.push("found an inline script".into());
        }
        if let Some(on) = t.attributes.keys().find(|k| k.starts_with("on")) {
            faults.push(format!("found the handler {on} on <{}>", t.name));
        }
        if t.name == "img" && t.get("alt").is_none() {
            faults.push("found a picture without words".into());
        }
        for address in [t.get("href"), t.get("src"), t.get("action")]
            .into_iter()
            .flatten()
        {
            if !(address.starts_with('/') || address.starts_with('#')) || address.starts_with("//")
            {
                faults.push(format!("found an address that leads elsewhere: {address}"));
            }
        }
    }
}

fn references(tags: &[Tag], faults: &mut Vec<String>) {
    let mut ids = BTreeSet::new();
    for id in tags.iter().filter_map(|t| t.get("id")) {
        if !ids.insert(id) {
            faults.push(format!("found the id {id} twice"));
        }
    }
    for t in tags {
        for attribute in ["for", "aria-labelledby", "aria-describedby", "list"] {
            for wanted in t.get(attribute).unwrap_or_default().split_whitespace() {
                if !ids.contains(wanted) {
                    faults.push(format!(
                        "{attribute} on <{}> names {wanted}, which is not on the page",
                        t.name
                    ));
                }
            }
        }
        if let Some(anchor) = t.get("href").and_then(|h| h.strip_prefix('#'))
            && !ids.contains(anchor)
        {
            faults.push(format!(
                "a link leads to #{anchor}, which is not on the page"
            ));
        }
    }
}

fn labels(tags: &[Tag], faults: &mut Vec<String>) {
    let named: BTreeSet<&str> = tags
        .iter()
        .filter(|t| t.name == "label")
        .filter_map(|t| t.get("for"))
        .collect();
    let mut within = 0usize;
    for t in tags {
        match t.name.as_str() {
            "label" => within += 1,
            "/label" => within = within.saturating_sub(1),
            "input" | "select" | "textarea" => {
                let hidden = t.get("type") == Some("hidden");
                let by_id = t.get("id").is_some_and(|id| named.contains(id));
                let by_words = t.get("aria-label").is_some_and(|w| !w.trim().is_empty());
                if !(hidden || within > 0 || by_id || by_words) {
                    faults.push(format!(
                        "found <{}> named {:?} without a label",
                        t.name,
                        t.get("name").unwrap_or_default()
                    ));
                }
            }
            _ => {}
        }
    }
}

/// The names of all tags in order: what a hostile text must not be able to change.
pub fn shape(html: &str) -> Vec<String> {
    tags(html).into_iter().map(|t| t.name).collect()
}

#[test]
fn the_scanner_sees_what_it_is_there_to_find() {
    let bad = r##"<html><main><h1 id="a">x</h1><p id="a" style="x">y</p><script>1</script><input name="n">
        <a href="https://elsewhere.example">z</a><a href="#nowhere">w</a><b onclick="x">v</b><img src="/x"></main></html>"##;
    let said = faults(bad).join("; ");
    for part in [
        "id a twice",
        "inline style",
        "inline script",
        "without a label",
        "elsewhere",
        "#nowhere",
        "onclick",
        "without words",
        "language",
        "<title>",
    ] {
        assert!(said.contains(part), "{part} not in: {said}");
    }
    let good = r#"<html lang="en"><title>t</title><main><h1>x</h1><label>a <input name="n"></label></main></html>"#;
    assert_eq!(faults(good), Vec::<String>::new());
}
