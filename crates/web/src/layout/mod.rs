//! What stands around every page: head, navigation, the demo note, and the page for an error.

use crate::{
    assets::Assets,
    error::{PageError, Told},
};
use askama::Template;
use axum::{
    http::{StatusCode, header},
    response::{Html, IntoResponse, Response},
};
use std::sync::Arc;

/// Where in the navigation a page belongs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Nav {
    Today,
    Letters,
    Practice,
    Sources,
    /// A patient's, visit's or film's own page.
    Inside,
}

/// Which light the person works in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Theme {
    #[default]
    System,
    Light,
    Dark,
}

impl Theme {
    pub fn from_key(key: &str) -> Theme {
        match key {
            "light" => Theme::Light,
            "dark" => Theme::Dark,
            _ => Theme::System,
        }
    }

    pub fn key(self) -> &'static str {
        match self {
            Theme::System => "system",
            Theme::Light => "light",
            Theme::Dark => "dark",
        }
    }
}

/// Everything around the page itself.
#[derive(Debug, Clone)]
pub struct Shell {
    pub title: String,
    pub nav: Nav,
    pub demo: bool,
    pub practice: String,
    pub worker: Option<String>,
    pub several_workers: bool,
    pub theme: Theme,
    pub assets: Arc<Assets>,
    /// The film desk's own script and styles are loaded too.
    pub desk: bool,
    /// The shell bench's own script and styles are loaded too.
    pub bench: bool,
}

impl Shell {
    /// For pages that come before anybody is known: first start, errors.
    pub fn bare(title: impl Into<String>, theme: Theme, assets: Arc<Assets>) -> Self {
        Self {
            title: title.into(),
            nav: Nav::Inside,
            demo: false,
            practice: String::new(),
            worker: None,
            several_workers: false,
            theme,
            assets,
            desk: false,
            bench: false,
        }
    }

    /// Is this the navigation's `key`?
    pub fn at(&self, key: &str) -> bool {
        let here = match self.nav {
            Nav::Today => "today",
            Nav::Letters => "letters",
            Nav::Practice => "practice",
            Nav::Sources => "sources",
            Nav::Inside => return false,
        };
        here == key
    }
}

/// Writes a page; never kept by the browser, since it may hold personal data.
pub fn page(template: &impl Template) -> Result<Response, PageError> {
    Ok((
        [(header::CACHE_CONTROL, "no-store")],
        Html(template.render()?),
    )
        .into_response())
}

#[derive(Template)]
#[template(path = "layout/error.html")]
struct ErrorPage {
    shell: Shell,
    told: Told,
}

/// The page for an error. Falls back to plain text where even that cannot be written.
pub fn error_page(status: StatusCode, told: Told, theme: Theme, assets: Arc<Assets>) -> Response {
    let shell = Shell::bare(told.title, theme, assets);
    let plain = format!("{} {}", told.happened, told.todo);
    match (ErrorPage { shell, told }).render() {
        Ok(html) => (status, [(header::CACHE_CONTROL, "no-store")], Html(html)).into_response(),
        Err(_) => (status, plain).into_response(),
    }
}
