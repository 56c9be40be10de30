//! One film with its points, off the page: open, scale, read, compare, draw. Used by `read` and `demo`.

use anyhow::{Context, Result, anyhow};
use figure::of_reading::{self, OverlayWish};
use film::{Film, Limits, ScaleAnswer, ScaleWish};
use knowledge::{Knowledge, Person};
use reading::{Comparison, FilmFacts, PointSet, ReadingSheet};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;
use terms::Stance;

/// A film, its points and what was read.
pub struct ReadFilm {
    pub film: Film,
    pub set: PointSet,
    pub scale: ScaleAnswer,
    pub sheet: ReadingSheet,
    pub comparisons: Vec<Comparison>,
}

/// What the readings need to know of an opened film; `stance` overrules what its file says.
pub fn film_facts(film: &Film, scale: &ScaleAnswer, stance: Option<Stance>) -> FilmFacts {
    FilmFacts {
        pixel_aspect: Some(scale.pixel_aspect()),
        scale: scale.known(),
        no_scale_reason: match scale {
            ScaleAnswer::Unknown { reason, .. } => Some(reason.clone()),
            ScaleAnswer::Known { .. } => None,
        },
        stance: stance.unwrap_or(film.header.stance),
        ..FilmFacts::of_size(film.width, film.height)
    }
}

/// Reads points on a film's bytes. `stance` overrules what the file says.
pub fn read_film(
    knowledge: &Knowledge,
    bytes: &[u8],
    set: PointSet,
    stance: Option<Stance>,
    person: &Person,
) -> Result<ReadFilm> {
    let film = film::open(bytes, &Limits::default())?;
    if let Some(view) = film.header.view.filter(|v| *v != set.view) {
        return Err(anyhow!(
            "the film says it is a {} view and the points are for {}; give the points of this film",
            view.words(),
            set.view.words()
        ));
    }
    if let (Some(film_side), Some(points_side)) = (film.header.side, set.side)
        && film_side != points_side
    {
        return Err(anyhow!(
            "the film says {} and the points file says {}; find out which foot it is and correct one of them",
            film_side.word(),
            points_side.word()
        ));
    }
    let scale = film::scale::choose(&film.spacing, &ScaleWish::File { object: None });
    let facts = film_facts(&film, &scale, stance);
    let sheet = reading::read_all(knowledge, &set, &facts);
    let comparisons = sheet
        .readings
        .iter()
        .map(|r| reading::against(knowledge, r, person))
        .collect();
    Ok(ReadFilm {
        film,
        set,
        scale,
        sheet,
        comparisons,
    })
}

/// Reads a film file with a points file.
pub fn read_files(
    knowledge: &Knowledge,
    film: &Path,
    points: &Path,
    stance: Option<Stance>,
    person: &Person,
) -> Result<ReadFilm> {
    let bytes =
        fs::read(film).with_context(|| format!("the film {} could not be read", film.display()))?;
    let text = fs::read_to_string(points)
        .with_context(|| format!("the points file {} could not be read", points.display()))?;
    let set = PointSet::from_json(&text).with_context(|| format!("{}", points.display()))?;
    read_film(knowledge, &bytes, set, stance, person).with_context(|| format!("{}", film.display()))
}

impl ReadFilm {
    /// Readings as they go into a file: everything that is needed to make them again.
    pub fn json(&self, knowledge: &Knowledge, name: &str) -> Value {
        let readings: Vec<Value> = self
            .sheet
            .readings
            .iter()
            .zip(&self.comparisons)
            .map(|(r, c)| {
                let (low, high) = r.estimate.interval_95();
                json!({
                    "measure": r.measure,
                    "name": knowledge.measure(&r.measure).map(|m| &m.name),
                    "value": r.estimate.value,
                    "standard_error": r.estimate.standard_error,
                    "interval_95": [low, high],
                    "unit": r.estimate.unit,
                    "sign": knowledge.measure(&r.measure).map(|m| &m.sign_words),
                    "error_parts": r.error_parts,
                    "method_version": r.method_version,
                    "points_used": r.points_used,
                    "stance": r.stance,
                    "place": of_reading::place_of(c).word(),
                    "not_judged_because": of_reading::not_judged_because(c).map(|(_, why)| why),
                    "yardsticks": of_reading::rows_to_show(c, 8).into_iter().map(|row| json!({
                        "words": of_reading::yardstick_words(&row.yardstick),
                        "provenance": row.yardstick.provenance,
                        "source": row.yardstick.source,
                        "probability_outside": row.probability_outside,
                        "decides": row.decides,
                    })).collect::<Vec<_>>(),
                    "notes": r.notes,
                })
            })
            .collect();
        json!({
            "film": name,
            "view": self.sheet.view,
            "side": self.sheet.side,
            "stance": self.sheet.stance,
            "scale": self.scale,
            "readings": readings,
            "refused": self.sheet.refused,
            "warnings": self.sheet.warnings,
            "points": self.set,
        })
    }

    /// Rows of the readings table: film, side, view, measure, value, error, interval, unit, place.
    pub fn csv_rows(&self, name: &str) -> String {
        let side = self.sheet.side.map_or("", |s| s.word());
        self.sheet
            .readings
            .iter()
            .zip(&self.comparisons)
            .map(|(r, c)| {
                let (low, high) = r.estimate.interval_95();
                format!(
                    "{},{side},{},{},{:.4},{:.4},{low:.4},{high:.4},{},{},{},{}\n",
                    csv(name),
                    self.sheet.view.key(),
                    r.measure,
                    r.estimate.value,
                    r.estimate.standard_error,
                    r.estimate.unit.key(),
                    r.method_version,
                    stance_key(r.stance),
                    of_reading::place_of(c).word(),
                )
            })
            .collect()
    }

    /// The 8-bit display picture as PNG.
    pub fn picture_png(&self) -> Result<Vec<u8>> {
        let pixels = self.film.display8(self.film.default_window());
        Ok(film::encode_png8(
            &pixels,
            self.film.width,
            self.film.height,
        )?)
    }

    /// What lies over the film on paper.
    pub fn overlay(
        &self,
        knowledge: &Knowledge,
        title: &str,
        picture_width: u32,
    ) -> figure::OverlayModel {
        let lead = |r: &reading::Reading| {
            knowledge
                .measure(&r.measure)
                .is_some_and(|m| m.importance >= 80)
        };
        of_reading::overlay(
            knowledge,
            &self.set,
            &self.sheet,
            &OverlayWish {
                title: title.to_owned(),
                shown_size: (f64::from(self.film.width), f64::from(self.film.height)),
                pen: f64::from(self.film.width) / f64::from(picture_width.max(1)),
                shown_from_film: &|p| p,
                emphasised: &lead,
                labelled: &lead,
                with_points: true,
                active: None,
            },
        )
    }
}

pub const CSV_HEAD: &str =
    "film,side,view,measure,value,standard_error,low_95,high_95,unit,method_version,stance,place\n";

fn stance_key(stance: Stance) -> &'static str {
    match stance {
        Stance::Standing => "standing",
        Stance::NotStanding => "not-standing",
        Stance::Unknown => "unknown",
    }
}

/// A text as one CSV field (RFC 4180).
fn csv(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_with_a_comma_or_a_quote_stays_one_field() {
        assert_eq!(csv("plain"), "plain");
        assert_eq!(csv("a,b\"c"), "\"a,b\"\"c\"");
    }
}
