//! What stands around every page: head, navigation, the demo note, and the page for an error.

use crate::{
    access::gate::Who,
    assets::Assets,
    error::{PageError, Told},
};
use account::Action;
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
    Arrivals,
    Letters,
    Practice,
    Sources,
    People,
    Trail,
    Backups,
    Lab,
    Readings,
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
    /// By an account, and can leave.
    pub signed_in: bool,
    /// Where the navigation leads this person.
    pub places: Vec<Place>,
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
            signed_in: false,
            places: Vec::new(),
            theme,
            assets,
            desk: false,
            bench: false,
        }
    }

    /// Is the page this place of the navigation?
    pub fn at(&self, place: &Place) -> bool {
        self.nav == place.nav
    }
}

/// One place of the navigation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    pub nav: Nav,
    pub address: &'static str,
    pub words: &'static str,
    /// How many things wait there.
    pub count: Option<u32>,
}

/// Where the navigation leads, by what somebody may do. `arrivals` is how many films wait; `None` leaves their place
/// out.
pub fn places(who: &Who, arrivals: Option<u32>) -> Vec<Place> {
    let all = [
        (Action::SeePatients, Nav::Today, "/", "Today"),
        (
            Action::TakeFiles,
            Nav::Arrivals,
            "/arrivals",
            "Films that wait",
        ),
        (Action::SeePatients, Nav::Letters, "/letters", "Letters"),
        (Action::SeeReleasedOrders, Nav::Lab, "/lab", "Orders"),
        (
            Action::ReadBlinded,
            Nav::Readings,
            "/second-readings",
            "Films to read",
        ),
        (Action::SeePractice, Nav::Practice, "/practice", "Practice"),
        (Action::ManagePeople, Nav::People, "/people", "People"),
        (Action::SeeTrail, Nav::Trail, "/trail", "Trail"),
        (Action::KeepBackups, Nav::Backups, "/backups", "Backups"),
        (Action::SeeSources, Nav::Sources, "/sources", "Sources"),
    ];
    all.into_iter()
        .filter(|(action, nav, ..)| {
            who.may(*action) && (*nav != Nav::Arrivals || arrivals.is_some())
        })
        .map(|(_, nav, address, words)| Place {
            nav,
            address,
            words,
            count: arrivals.filter(|n| nav == Nav::Arrivals && *n > 0),
        })
        .collect()
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
