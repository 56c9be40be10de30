//! Who is working, in which light, on which day: what every page needs before it does anything.

use crate::{
    AppState,
    access::gate::{Blinded, Who, hidden_from},
    error::PageError,
    layout::{Nav, Shell, Theme, places},
};
use account::Action;
use axum::{
    extract::FromRequestParts,
    http::{HeaderMap, header, request::Parts},
};
use record::{ActId, Clinician, PatientId, Practice, Stamp};
use std::collections::BTreeSet;
use time::{Date, OffsetDateTime};

pub const WORKER_COOKIE: &str = "tiebeam_worker";
pub const THEME_COOKIE: &str = "tiebeam_light";

/// One request by one known clinician.
pub struct Context {
    pub state: AppState,
    pub practice: Practice,
    pub worker: Clinician,
    pub now: OffsetDateTime,
    /// The script asked, so the answer is JSON.
    pub by_script: bool,
    pub who: Who,
    /// Must see neither whose film it is nor what others read.
    pub blinded: bool,
    theme: Theme,
    several: bool,
    /// How many films that came in by themselves wait; `None` where that is nobody's business here.
    arrivals: Option<u32>,
}

impl Context {
    pub fn today(&self) -> Date {
        self.now.date()
    }

    /// A fresh act of the clinician who is working, now.
    pub fn stamp(&self) -> Stamp {
        Stamp {
            act: ActId::new(self.state.ids.fresh()),
            at: self.now,
            by: self.worker.id,
        }
    }

    /// Whose names this person must not see in a list.
    ///
    /// # Errors
    /// Whatever the store fails with.
    pub async fn hidden(&self) -> Result<BTreeSet<PatientId>, PageError> {
        hidden_from(&self.state, &self.who).await
    }

    /// For what an address does beside what its row in the table needs.
    ///
    /// # Errors
    /// `MayNot`, and an entry of the trail, where their roles do not let them.
    pub async fn must(&self, action: Action) -> Result<(), PageError> {
        self.who.must(&self.state, action, action.words()).await
    }

    pub fn shell(&self, title: impl Into<String>, nav: Nav) -> Shell {
        Shell {
            title: title.into(),
            nav,
            demo: self.practice.demo,
            practice: self.practice.name.clone(),
            worker: Some(self.worker.name.clone()),
            several_workers: self.several,
            signed_in: self.who.account().is_some(),
            places: places(&self.who, self.arrivals),
            theme: self.theme,
            assets: self.state.assets.clone(),
            desk: false,
            bench: false,
        }
    }
}

impl FromRequestParts<AppState> for Context {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, state: &AppState) -> Result<Self, PageError> {
        let practice = state.store.practice().await?;
        let clinicians: Vec<Clinician> = state
            .store
            .clinicians()
            .await?
            .into_iter()
            .filter(|c| c.active)
            .collect();
        let (Some(practice), false) = (practice, clinicians.is_empty()) else {
            return Err(PageError::GoTo {
                place: "/start".to_owned(),
            });
        };
        let Some(who) = parts.extensions.get::<Who>().cloned() else {
            return Err(PageError::NotIn);
        };
        let asked = who.person();
        let several = clinicians.len() > 1 && who.account().is_none();
        let worker = match asked.and_then(|id| clinicians.iter().find(|c| c.id == id)) {
            Some(known) => known.clone(),
            None if who.account().is_some() => {
                return Err(PageError::MayNot {
                    sentence: "the person your account belongs to has left the practice".to_owned(),
                });
            }
            None if !several => clinicians.into_iter().next().ok_or(PageError::Stale)?,
            None => {
                return Err(PageError::GoTo {
                    place: "/who".to_owned(),
                });
            }
        };
        let now = state.clock.now();
        state.pace.asked(now);
        let by_script = wants_json(&parts.headers);
        // Not with every move of a point.
        let arrivals = match by_script {
            true => None,
            false => arrivals(state, &who).await?,
        };
        Ok(Self {
            practice,
            worker,
            now,
            arrivals,
            by_script,
            theme: theme(&parts.headers),
            several,
            who,
            blinded: parts.extensions.get::<Blinded>().is_some(),
            state: state.clone(),
        })
    }
}

/// How many films that came in by themselves wait; `None` where they are not this person's business, or none ever come.
pub async fn arrivals(state: &AppState, who: &Who) -> Result<Option<u32>, PageError> {
    if !who.may(Action::TakeFiles) {
        return Ok(None);
    }
    let waiting = state.store.count_arrivals_waiting().await?;
    Ok((waiting > 0 || !state.outside.ways_in.is_empty()).then_some(waiting))
}

/// Did the page's own script ask?
pub fn wants_json(headers: &HeaderMap) -> bool {
    headers
        .get(header::ACCEPT)
        .and_then(|v| v.to_str().ok())
        .is_some_and(|v| v.contains("application/json"))
}

pub fn theme(headers: &HeaderMap) -> Theme {
    cookie(headers, THEME_COOKIE).map_or(Theme::System, Theme::from_key)
}

/// The value of one cookie of the request.
pub fn cookie<'h>(headers: &'h HeaderMap, name: &str) -> Option<&'h str> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|v| v.to_str().ok())
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(key, _)| *key == name)
        .map(|(_, value)| value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cookie_is_found_among_others_and_by_its_whole_name() {
        let mut headers = HeaderMap::new();
        headers.insert(
            header::COOKIE,
            "a=1; tiebeam_light=dark; b=2".parse().unwrap(),
        );
        assert_eq!(cookie(&headers, "tiebeam_light"), Some("dark"));
        assert_eq!(cookie(&headers, "light"), None);
    }
}
