//! Which script, styles and fonts does a page load, and how are they served?
//!
//! `ui/` is bundled by vite into `dist/`, whose `manifest.json` names the hashed files. They may be
//! kept by the browser for ever. Without a bundle the style sheets are served as they were written;
//! every page works without script.

use crate::error::PageError;
use axum::{
    extract::Path,
    http::header,
    response::{IntoResponse, Response},
};
use rust_embed::RustEmbed;
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(RustEmbed)]
#[folder = "dist"]
struct Bundle;

const PLAIN_NAME: &str = "plain.css";
/// An arch and the beam that ties it.
const ICON: (&str, &str) = ("icon.svg", include_str!("layout/icon.svg"));
const PLAIN: &str = concat!(
    include_str!("../ui/styles/tokens.css"),
    include_str!("../ui/styles/base.css"),
    include_str!("../ui/styles/parts.css"),
    include_str!("../ui/styles/pages.css"),
    include_str!("../ui/styles/visit.css"),
    include_str!("../ui/styles/desk.css"),
    include_str!("../ui/styles/bench.css"),
    include_str!("../ui/styles/print.css"),
);

/// Addresses of what a page loads, without the leading `/assets/`.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Assets {
    pub styles: Vec<String>,
    pub page_script: Option<String>,
    pub desk_script: Option<String>,
    pub desk_styles: Vec<String>,
    pub bench_script: Option<String>,
    pub bench_styles: Vec<String>,
}

#[derive(Deserialize)]
struct Entry {
    file: String,
    #[serde(default)]
    css: Vec<String>,
}

impl Assets {
    /// Reads the bundle's manifest; falls back to the plain style sheet where there is none.
    pub fn found() -> Self {
        let manifest = Bundle::get("manifest.json")
            .and_then(|f| serde_json::from_slice::<BTreeMap<String, Entry>>(&f.data).ok())
            .unwrap_or_default();
        Self::from_manifest(manifest)
    }

    fn from_manifest(mut manifest: BTreeMap<String, Entry>) -> Self {
        let page = manifest.remove("src/page.ts");
        let desk = manifest.remove("desk/desk.ts");
        let bench = manifest.remove("bench/bench.ts");
        let styles = page
            .as_ref()
            .map(|p| p.css.clone())
            .filter(|css| !css.is_empty());
        Self {
            styles: styles.unwrap_or_else(|| vec![PLAIN_NAME.to_owned()]),
            page_script: page.map(|p| p.file),
            desk_styles: desk.as_ref().map(|d| d.css.clone()).unwrap_or_default(),
            desk_script: desk.map(|d| d.file),
            bench_styles: bench.as_ref().map(|b| b.css.clone()).unwrap_or_default(),
            bench_script: bench.map(|b| b.file),
        }
    }
}

/// `GET /assets/{name}`
pub async fn serve(Path(name): Path<String>) -> Result<Response, PageError> {
    if name == PLAIN_NAME {
        let headers = [
            (header::CONTENT_TYPE, "text/css; charset=utf-8"),
            (header::CACHE_CONTROL, "no-cache"),
        ];
        return Ok((headers, PLAIN).into_response());
    }
    if name == ICON.0 {
        let headers = [
            (header::CONTENT_TYPE, "image/svg+xml"),
            (header::CACHE_CONTROL, "public, max-age=86400"),
        ];
        return Ok((headers, ICON.1).into_response());
    }
    let file = Bundle::get(&name).ok_or(PageError::NotFound {
        what: "file of the page",
    })?;
    let kind = file.metadata.mimetype().to_owned();
    let headers = [
        (header::CONTENT_TYPE, kind),
        (
            header::CACHE_CONTROL,
            "public, max-age=31536000, immutable".to_owned(),
        ),
    ];
    Ok((headers, file.data.into_owned()).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_bundle_the_plain_style_sheet_is_used_and_no_script() {
        let assets = Assets::from_manifest(BTreeMap::new());
        assert_eq!(assets.styles, ["plain.css"]);
        assert_eq!(assets.page_script, None);
        assert_eq!(assets.desk_script, None);
    }

    #[test]
    fn a_bundle_gives_its_hashed_names() {
        let manifest = r#"{"src/page.ts": {"file": "page-1.js", "css": ["page-2.css"]},
                           "desk/desk.ts": {"file": "desk-3.js", "imports": ["_x.js"]}}"#;
        let assets = Assets::from_manifest(serde_json::from_str(manifest).unwrap());
        assert_eq!(assets.styles, ["page-2.css"]);
        assert_eq!(assets.page_script.as_deref(), Some("page-1.js"));
        assert_eq!(assets.desk_script.as_deref(), Some("desk-3.js"));
    }
}
