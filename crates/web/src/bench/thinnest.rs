//! Which is the thinnest wall that does what is asked of it?
//!
//! One search for each order: it says how far it is, can be stopped between two walls, and gives texts that
//! the page may take over. Nothing is stored; a wall taken over is a change like any other.

use super::fields::Field;
use super::order::{Texts, open, refused};
use super::preview::{device_of, gathered, long};
use super::values::{BadText, parsed};
use crate::context::Context;
use crate::error::PageError;
use axum::{
    Json,
    extract::Path,
    response::{IntoResponse, Response},
};
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use workshop::strength::{Wanted, thinnest};

/// A search that goes on, or went.
#[derive(Default)]
pub struct Search {
    stopped: AtomicBool,
    far: Mutex<Far>,
}

/// How far it is.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Far {
    pub share: f64,
    pub words: String,
}

impl Search {
    pub fn stop(&self) {
        self.stopped.store(true, Ordering::Relaxed);
    }

    fn step(&self, tried: usize, most: usize, wall_mm: f64) -> Option<()> {
        if self.stopped.load(Ordering::Relaxed) {
            return None;
        }
        *self.far.lock().unwrap_or_else(PoisonError::into_inner) = Far {
            share: tried as f64 / most.max(1) as f64,
            words: format!(
                "Trying {} mm, wall {} of at most {most}",
                quantity::written_short(wall_mm, 1),
                tried + 1
            ),
        };
        Some(())
    }

    fn far(&self) -> Far {
        self.far
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }
}

#[derive(Deserialize)]
pub struct Asked {
    #[serde(default)]
    texts: Texts,
    #[serde(default)]
    arch_drop: String,
    #[serde(default)]
    safety: String,
    #[serde(default)]
    arch_only: bool,
}

/// What the page shows of a search that came to its end, or was stopped.
#[derive(Serialize)]
struct Answer {
    words: String,
    /// Fields and texts that take the wall over; `None` where no wall does it.
    texts: Option<BTreeMap<&'static str, String>>,
    /// On the button that takes it over.
    take: String,
}

/// A demand is a number within what somebody could mean by it; one of the two may be left open.
fn wanted(asked: &Asked) -> Result<Wanted, BadText> {
    let number = |field: &str, text: &str, name: &str, [least, most]: [f64; 2], unit: &str| {
        let bad = |sentence: String| BadText {
            field: field.to_owned(),
            sentence,
        };
        match parsed(text) {
            Err(found) => Err(bad(format!("{name}: found {found}"))),
            Ok(Some(v)) if !(least..=most).contains(&v) => Err(bad(format!(
                "found {}{unit} as {name}; expected {least} to {most}{unit}: correct it",
                quantity::written_short(v, 2)
            ))),
            Ok(value) => Ok(value),
        }
    };
    let wanted = Wanted {
        arch_drop_mm: number(
            "thin_drop",
            &asked.arch_drop,
            "most arch drop",
            [0.1, 20.0],
            " mm",
        )?,
        safety: number(
            "thin_safety",
            &asked.safety,
            "least safety",
            [1.0, 20.0],
            "",
        )?,
        arch_only: asked.arch_only,
    };
    if wanted.arch_drop_mm.is_none() && wanted.safety.is_none() {
        return Err(BadText {
            field: "thin_drop".to_owned(),
            sentence: "found neither a most arch drop nor a least safety; expected one of them: say what the wall has to hold".to_owned(),
        });
    }
    Ok(wanted)
}

/// `POST /order/{id}/thinnest`: looks for it, for the device in hand, saved or not.
pub async fn find(
    context: Context,
    Path(id): Path<String>,
    Json(asked): Json<Asked>,
) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    let wish = match opened.with(&asked.texts) {
        Ok(wish) => wish,
        Err(bad) => return Ok(refused(&bad)),
    };
    let wanted = match wanted(&asked) {
        Ok(wanted) => wanted,
        Err(bad) => return Ok(refused(&bad)),
    };
    let person = gathered(&context, &opened).await?;
    let weight_kg = super::strength::weight_kg(&person)?;
    let device = match device_of(&context, &opened, &wish).await {
        Ok(device) => device,
        Err(bad) => return Ok(refused(&bad)),
    };
    let search = Arc::new(Search::default());
    opened.hand.begin_search(search.clone());
    let knowledge = context.state.knowledge;
    let answer = long(move || {
        let mut trying = |tried, most, mm| search.step(tried, most, mm);
        let found = thinnest(&device, &wish, weight_kg, wanted, knowledge, &mut trying)?;
        let Some(found) = found else {
            return Ok(Answer {
                words: "Stopped; no wall was chosen.".to_owned(),
                texts: None,
                take: String::new(),
            });
        };
        let texts = found.thickness.map(|thickness| {
            let mut sheet = wish.sheet.clone();
            sheet.prescription.shell.thickness = thickness;
            ["thickness", "thickness_arch"]
                .into_iter()
                .filter_map(Field::of)
                .map(|f| (f.key, f.text(&sheet)))
                .collect::<BTreeMap<_, _>>()
        });
        let key = if wanted.arch_only {
            "thickness_arch"
        } else {
            "thickness"
        };
        let of = if wanted.arch_only {
            " for the arch"
        } else {
            ""
        };
        let take = texts
            .as_ref()
            .and_then(|t| t.get(key))
            .map_or(String::new(), |t| format!("Take {t} mm{of}"));
        Ok::<Answer, String>(Answer {
            words: crate::error::sentence(&found.words),
            texts,
            take,
        })
    })
    .await?
    .map_err(PageError::input)?;
    Ok(Json(answer).into_response())
}

/// `GET /order/{id}/thinnest`: how far the search is.
pub async fn state(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    let far = opened.hand.search().map(|s| s.far()).unwrap_or_default();
    Ok(Json(far).into_response())
}

/// `POST /order/{id}/thinnest/stop`
pub async fn stop(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    if let Some(search) = opened.hand.search() {
        search.stop();
    }
    Ok(Json(json!({})).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(arch_drop: &str, safety: &str) -> Asked {
        Asked {
            texts: Texts::new(),
            arch_drop: arch_drop.to_owned(),
            safety: safety.to_owned(),
            arch_only: false,
        }
    }

    #[test]
    fn a_demand_that_nobody_means_is_told_at_its_field() {
        let good = wanted(&asked("2,5", "1.5")).unwrap();
        assert_eq!((good.arch_drop_mm, good.safety), (Some(2.5), Some(1.5)));
        assert_eq!(wanted(&asked("", "1.5")).unwrap().arch_drop_mm, None);
        for (drop, safety, field, says) in [
            (
                "",
                " ",
                "thin_drop",
                "found neither a most arch drop nor a least safety; expected one of them: say what the wall has to hold",
            ),
            (
                "400",
                "1.5",
                "thin_drop",
                "found 400 mm as most arch drop; expected 0.1 to 20 mm: correct it",
            ),
            (
                "2",
                "0.5",
                "thin_safety",
                "found 0.5 as least safety; expected 1 to 20: correct it",
            ),
        ] {
            let bad = wanted(&asked(drop, safety)).unwrap_err();
            assert_eq!((bad.field.as_str(), bad.sentence.as_str()), (field, says));
        }
        assert_eq!(
            wanted(&asked("much", "1.5")).unwrap_err().field,
            "thin_drop"
        );
    }

    #[test]
    fn a_stopped_search_tries_no_further_wall_and_one_that_goes_on_says_which() {
        let search = Search::default();
        assert_eq!(search.step(2, 7, 3.4), Some(()));
        assert_eq!(search.far().words, "Trying 3.4 mm, wall 3 of at most 7");
        search.stop();
        assert_eq!(search.step(3, 7, 3.0), None);
    }
}
