//! How are the values of an order written in a form, and read back?
//!
//! One table ([`super::fields`]) serves the form, the live preview and the fields without script. Text that
//! did not change leaves its value untouched, so that a number with more places than the form shows keeps
//! them.

use super::fields::{FIELDS, Field, Kind};
use ::shell::prescription::TrimEdit;
use quantity::Length;
use std::collections::BTreeMap;
use workshop::sheet::Sheet;

/// A text that cannot be taken: which field, and one sentence.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{sentence}")]
pub struct BadText {
    pub field: String,
    pub sentence: String,
}

impl Field {
    pub fn of(key: &str) -> Option<&'static Field> {
        FIELDS.iter().find(|f| f.key == key)
    }

    /// As the field shows it.
    pub fn text(&self, sheet: &Sheet) -> String {
        match self.kind {
            Kind::Number { get, .. } => get(sheet).map(number_text).unwrap_or_default(),
            Kind::Choice { get, .. } => get(sheet).to_owned(),
            Kind::Material => sheet.prescription.shell.material.clone(),
        }
    }

    fn set(&self, sheet: &mut Sheet, text: &str) -> Result<(), BadText> {
        let bad = |what: &str| BadText {
            field: self.key.to_owned(),
            sentence: format!("found {what}"),
        };
        match self.kind {
            Kind::Number { set, .. } => {
                let value = parsed(text).map_err(|found| bad(&found))?;
                set(sheet, value).map_err(bad)
            }
            Kind::Choice { set, .. } => set(sheet, text).map_err(bad),
            Kind::Material => {
                sheet.prescription.shell.material = text.chars().take(80).collect();
                Ok(())
            }
        }
    }
}

/// What an order asks for, as name and value; fields that say nothing are left out.
///
/// # Errors
/// `Ours` where the order does not read back.
pub fn asked_of(
    order: &record::OrderRecord,
) -> Result<Vec<(String, String)>, crate::error::PageError> {
    let wish = workshop::sheet::Wish::of(order)?;
    Ok(FIELDS
        .iter()
        .map(|field| (field, field.text(&wish.sheet)))
        .filter(|(_, text)| !text.is_empty())
        .map(|(field, text)| {
            let unit = if field.unit.is_empty() {
                String::new()
            } else {
                format!(" {}", field.unit)
            };
            (field.label.to_owned(), format!("{text}{unit}"))
        })
        .collect())
}

/// A number as a field shows it: at most hundredths, a hyphen for minus so that it can be typed over.
pub fn number_text(value: f64) -> String {
    quantity::written_short(value, 2).replace('−', "-")
}

/// Empty is nothing; a comma is a decimal point and a true minus a hyphen.
pub fn parsed(text: &str) -> Result<Option<f64>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let plain = text.replace('−', "-").replace(',', ".");
    match plain.parse::<f64>() {
        Ok(v) if v.is_finite() && v.abs() < 1e6 => Ok(Some(v)),
        _ => Err(format!(
            "{:?}; expected a number such as 4.5: correct it",
            text.chars().take(20).collect::<String>()
        )),
    }
}

/// Places of the trim line that can be moved on the page: number, station and words.
pub const HANDLES: [(u8, f64, &str); 22] = [
    (1, 0.05, "outer side, front end"),
    (2, 0.10, "outer side"),
    (3, 0.15, "outer side"),
    (4, 0.20, "outer side, middle"),
    (5, 0.25, "outer side"),
    (6, 0.30, "outer side, before the heel"),
    (7, 0.35, "heel, outer side"),
    (8, 0.40, "heel, outer side, rear"),
    (9, 0.45, "heel, outer side, rear"),
    (10, 0.50, "behind the heel"),
    (11, 0.55, "heel, inner side, rear"),
    (12, 0.60, "heel, inner side, rear"),
    (13, 0.65, "heel, inner side"),
    (14, 0.70, "inner side, before the heel"),
    (15, 0.75, "inner side"),
    (16, 0.80, "inner side, arch"),
    (17, 0.85, "inner side, arch"),
    (18, 0.90, "inner side"),
    (19, 0.95, "inner side, front end"),
    (20, 1.20, "front edge, inner third"),
    (21, 1.50, "front edge, middle"),
    (22, 1.80, "front edge, outer third"),
];

/// The name of a station's field.
pub fn trim_key(station: f64) -> String {
    format!("trim.{station:.2}")
}

pub fn trim_at(sheet: &Sheet, station: f64) -> Option<f64> {
    let edits = &sheet.prescription.shell.trim;
    let near = edits.iter().find(|e| (e.station - station).abs() < 0.005);
    near.map(|e| e.outward.to_mm())
}

fn set_trim(sheet: &mut Sheet, key: &str, text: &str) -> Result<(), BadText> {
    let bad = |what: String| BadText {
        field: key.to_owned(),
        sentence: format!("found {what}"),
    };
    let station = key
        .strip_prefix("trim.")
        .and_then(|s| s.parse::<f64>().ok())
        .filter(|s| (0.0..=2.0).contains(s))
        .ok_or_else(|| bad("a place of the trim line that is not there; expected one between 0 and 2: load the page again".to_owned()))?;
    let outward = parsed(text).map_err(bad)?.filter(|v| *v != 0.0);
    let edits = &mut sheet.prescription.shell.trim;
    edits.retain(|e| (e.station - station).abs() >= 0.005);
    if let Some(outward) = outward {
        edits.push(TrimEdit {
            station,
            outward: Length::mm(outward),
        });
        edits.sort_by(|a, b| a.station.total_cmp(&b.station));
    }
    Ok(())
}

/// Takes over every text that differs from what the sheet showed before. Other names are left alone.
///
/// # Errors
/// The first text that cannot be read, with its field.
pub fn apply(sheet: &mut Sheet, texts: &BTreeMap<String, String>) -> Result<(), BadText> {
    let before = sheet.clone();
    for field in FIELDS {
        if let Some(text) = texts.get(field.key)
            && text.trim() != field.text(&before)
        {
            field.set(sheet, text.trim())?;
        }
    }
    if sheet
        .prescription
        .shoe
        .is_some_and(|s| !s.ball_width.to_mm().is_finite())
    {
        return Err(BadText {
            field: "shoe_ball".to_owned(),
            sentence: "found a shoe without its width at the ball; expected both widths: measure it, or take the other out".to_owned(),
        });
    }
    for (key, text) in texts.iter().filter(|(k, _)| k.starts_with("trim.")) {
        let station = key.trim_start_matches("trim.").parse().unwrap_or(f64::NAN);
        let shown = trim_at(&before, station)
            .map(number_text)
            .unwrap_or_default();
        if text.trim() != shown {
            set_trim(sheet, key, text)?;
        }
    }
    Ok(())
}

/// Every text of the form, by field.
pub fn texts(sheet: &Sheet) -> BTreeMap<String, String> {
    let mut out: BTreeMap<String, String> = FIELDS
        .iter()
        .map(|f| (f.key.to_owned(), f.text(sheet)))
        .collect();
    for station in stations(sheet) {
        let text = trim_at(sheet, station).map(number_text).unwrap_or_default();
        out.insert(trim_key(station), text);
    }
    out
}

/// The page's stations and any other that the prescription moves.
pub fn stations(sheet: &Sheet) -> Vec<f64> {
    let mut all: Vec<f64> = HANDLES.iter().map(|h| h.1).collect();
    for edit in &sheet.prescription.shell.trim {
        if all.iter().all(|s| (s - edit.station).abs() >= 0.005) {
            all.push(edit.station);
        }
    }
    all.sort_by(f64::total_cmp);
    all
}

/// Which field a fault of `shell` belongs to, by what it names.
pub fn field_of(what: &str) -> Option<&'static str> {
    Some(match what {
        "the shell's thickness" => "thickness",
        "the heel cup's depth" | "the heel cup's depth beside a skive" => "heel_cup",
        "the distance of the front edge behind the heads" => "behind_heads",
        "the inner flange's height" => "medial_flange",
        "the outer flange's height" => "lateral_flange",
        "the rounding of the edges" => "edge_radius",
        "the rearfoot post" => "post",
        "the rearfoot post's length" => "post_length",
        "the post's bevel" => "post_bevel",
        "the heel lift" => "post_lift",
        "the forefoot post" => "forepost",
        "the forefoot post's length" => "forepost_length",
        "the shoe's width at the heel" => "shoe_heel",
        "the shoe's width at the ball" => "shoe_ball",
        "the toe box's height" => "toe_box",
        "the rearfoot inversion" => "inversion",
        "the axis's inclination" => "inversion_rise",
        "the axis's inward turn" => "inversion_inward",
        "the forefoot balance" => "forefoot_balance",
        "the skive's depth" => "skive_depth",
        "the skive's angle" => "skive_angle",
        "the heel's widening" => "heel_expansion",
        "the groove's depth" => "groove_depth",
        "the groove's width" => "groove_width",
        "the relief's depth" => "relief_depth",
        "the relief's radius" => "relief_radius",
        "the relief's forward shift" => "relief_forward",
        "the relief's upward shift" => "relief_upward",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use ::shell::Prescription;
    use ::shell::prescription::{Corrections, Edges, ShellBody, Thickness};
    use care::orthosis::Asked;
    use quantity::Angle;

    fn sheet() -> Sheet {
        Sheet {
            prescription: Prescription {
                corrections: Corrections::default(),
                shell: ShellBody {
                    material: "pa12-laser".into(),
                    thickness: Thickness::Uniform {
                        all: Length::mm(3.123_456),
                    },
                    heel_cup_depth: Length::mm(14.0),
                    behind_heads: Length::mm(8.0),
                    medial_flange: None,
                    lateral_flange: None,
                    trim: Vec::new(),
                },
                edges: Edges::default(),
                rearfoot_post: None,
                forefoot_post: None,
                shoe: None,
                order_code: "T1".into(),
            },
            asked: Asked::default(),
            short_of_room: None,
            set_on: None,
        }
    }

    fn with(texts: &[(&str, &str)]) -> Result<Sheet, BadText> {
        let mut s = sheet();
        let texts = texts
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect();
        apply(&mut s, &texts).map(|()| s)
    }

    #[test]
    fn what_the_form_shows_sent_back_unchanged_changes_nothing() {
        let mut s = sheet();
        apply(&mut s, &texts(&sheet())).unwrap();
        assert_eq!(s, sheet());
    }

    #[test]
    fn every_field_that_is_filled_in_shows_what_was_typed() {
        let filled = with(&[
            ("inversion", "5"),
            ("skive_depth", "3"),
            ("groove_depth", "2"),
            ("relief_depth", "2.5"),
            ("post", "4"),
            ("forepost", "-2"),
            ("shoe_heel", "62"),
            ("shoe_ball", "90"),
        ])
        .unwrap();
        for field in FIELDS {
            let typed = match field.kind {
                Kind::Number { .. } => "7.25",
                Kind::Choice { choices, .. } => choices[choices.len() - 1].0,
                Kind::Material => "pp-copolymer",
            };
            let mut s = filled.clone();
            apply(
                &mut s,
                &BTreeMap::from([(field.key.to_owned(), typed.to_owned())]),
            )
            .unwrap();
            assert_eq!(field.text(&s), typed, "{}", field.key);
        }
    }

    #[test]
    fn a_post_is_taken_out_by_emptying_its_angle_though_its_length_still_stands_there() {
        let posted = with(&[("post", "4"), ("post_length", "60")]).unwrap();
        let mut s = posted.clone();
        let mut shown = texts(&posted);
        shown.insert("post".into(), String::new());
        apply(&mut s, &shown).unwrap();
        assert_eq!(s.prescription.rearfoot_post, None);
    }

    #[test]
    fn a_measure_without_its_whole_is_refused_at_its_field_in_one_sentence() {
        let bad = with(&[("skive_angle", "12")]).unwrap_err();
        assert_eq!(bad.field, "skive_angle");
        assert!(
            bad.sentence
                .starts_with("found a skive's angle without its depth"),
            "{bad}"
        );
        let bad = with(&[("heel_cup", "deep")]).unwrap_err();
        assert_eq!(bad.field, "heel_cup");
        assert!(bad.sentence.contains("\"deep\""), "{bad}");
        assert_eq!(with(&[("heel_cup", "")]).unwrap_err().field, "heel_cup");
        assert_eq!(
            with(&[("thickness", "NaN")]).unwrap_err().field,
            "thickness"
        );
    }

    #[test]
    fn a_comma_and_a_true_minus_are_numbers_too() {
        let s = with(&[("forefoot_balance", "−2,5")]).unwrap();
        assert_eq!(
            s.prescription.corrections.forefoot_balance,
            Some(Angle::degrees(-2.5))
        );
    }

    #[test]
    fn trim_places_are_set_and_taken_out_one_by_one() {
        let s = with(&[("trim.0.80", "3"), ("trim.1.50", "-2")]).unwrap();
        assert_eq!(s.prescription.shell.trim.len(), 2);
        let mut again = s.clone();
        apply(
            &mut again,
            &BTreeMap::from([("trim.0.80".to_owned(), "0".to_owned())]),
        )
        .unwrap();
        assert_eq!(again.prescription.shell.trim.len(), 1);
        assert!(with(&[("trim.9", "1")]).is_err() && with(&[("trim.", "1")]).is_err());
    }
}
