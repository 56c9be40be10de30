//! Where on the foot may a point be put, and where does it come to lie?
//!
//! Points move in the foot frame in tenths of a millimetre: forward from the rearmost heel, inward from the
//! long axis, upward from the ground. Those under the foot take their height from the sole, the navicular
//! comes to lie on the skin; no point floats.

use super::values::{BadText, parsed};
use std::collections::BTreeMap;
use workshop::OpenFoot;
use workshop::sheet::{Moved, POINTS, point_of};

pub const AXES: [(&str, &str); 3] = [("x", "forward"), ("y", "inward"), ("z", "up")];

/// The name of one coordinate's field.
pub fn field(point: &str, axis: &str) -> String {
    format!("point.{point}.{axis}")
}

pub fn coordinate_text(value: f64) -> String {
    quantity::written_short(value, 1).replace('−', "-")
}

/// Takes over every coordinate whose text differs from what stood there; all three empty put the point back
/// where it was found.
///
/// # Errors
/// A text that is no number, or a place that is not on the foot.
pub fn apply(
    moved: &mut Moved,
    open: &OpenFoot,
    texts: &BTreeMap<String, String>,
) -> Result<(), BadText> {
    let standing = moved.over(&open.foot.points);
    for (key, name) in POINTS {
        let Some(mark) = point_of(&standing, key) else {
            continue;
        };
        let said = AXES.map(|(axis, _)| texts.get(&field(key, axis)).map(|t| t.trim()));
        let Some(slot) = moved.of_mut(key) else {
            continue;
        };
        if said.iter().all(|t| *t == Some("")) {
            *slot = None;
            continue;
        }
        let mut at = mark.at;
        let mut changed = false;
        for (k, (axis, _)) in AXES.iter().enumerate() {
            let Some(text) = said[k].filter(|t| *t != coordinate_text(mark.at[k])) else {
                continue;
            };
            let bad = |found: String| BadText {
                field: field(key, axis),
                sentence: format!("found {found}"),
            };
            at[k] = parsed(text).map_err(bad)?.ok_or_else(|| {
                bad("an empty coordinate; expected a number: give one, or empty all three to put the point back".to_owned())
            })?;
            changed = true;
        }
        if changed {
            *slot = Some(placed(open, key, at).ok_or_else(|| BadText {
                field: field(key, "x"),
                sentence: format!(
                    "found the point {name:?} beside the foot; expected a place on it: move it back"
                ),
            })?);
        }
    }
    Ok(())
}

/// A point may be put on skin at most so far from where it was pointed to.
const REACH_MM: f64 = 25.0;

/// Where a point comes to lie; `None` beside the foot.
fn placed(open: &OpenFoot, key: &str, at: [f64; 3]) -> Option<[f64; 3]> {
    let [x, y, _] = at;
    match key {
        // On the skin of the inner side and of the toe's end, not under the foot.
        "navicular" | "toe_tip" => {
            let on = open.placed(at);
            let away = [0, 1, 2].map(|k| on[k] - at[k]);
            (away.iter().map(|d| d * d).sum::<f64>() < REACH_MM * REACH_MM).then_some(on)
        }
        _ => Some([x, y, open.foot.sole.height(x, y)?]),
    }
}
