//! From readings and yardsticks to the models that are drawn: one way for page, paper and files.

use crate::overlay::{OverlayFigure, OverlayModel, OverlayPoint, PointState};
use crate::strip::{Place, StripModel};
use knowledge::{Applies, Knowledge, Yardstick, YardstickKind};
use quantity::with_minus_signs;
use reading::{Comparison, PointSet, Reading, ReadingSheet, Summary, YardstickRow};
use std::collections::BTreeSet;
use terms::LandmarkKey;

/// The word and the shape for where a reading lies.
fn place(summary: Summary) -> Place {
    match summary {
        Summary::Inside => Place::Inside,
        Summary::Outside(_) => Place::Outside,
        Summary::Straddles => Place::Straddles,
        Summary::SourcesDiffer => Place::SourcesDiffer,
        Summary::NoYardstick => Place::NoYardstick,
    }
}

/// The same, telling a reading that only unfit yardsticks stand beside from one that has none at all.
pub fn place_of(comparison: &Comparison) -> Place {
    match place(comparison.summary) {
        Place::NoYardstick if not_judged_because(comparison).is_some() => Place::NotJudged,
        other => other,
    }
}

/// Why no yardstick judges, where there is one that would: its row, and the reason.
pub fn not_judged_because(comparison: &Comparison) -> Option<(&YardstickRow, &str)> {
    if comparison.summary != Summary::NoYardstick {
        return None;
    }
    comparison
        .rows
        .iter()
        .filter(|r| r.yardstick.limits().is_some())
        .find_map(|r| match (&r.applies, &r.shown_only_because) {
            (Applies::Yes, Some(why)) => Some((r, why.as_str())),
            (Applies::CannotTell(why), _) => Some((r, why.as_str())),
            _ => None,
        })
}

/// The strip of one reading against the rows that may judge it.
pub fn strip(name: &str, comparison: &Comparison, size: (f64, f64)) -> StripModel {
    let estimate = comparison.estimate;
    let deciding = comparison.rows.iter().filter(|r| r.decides);
    let mut bands = Vec::new();
    let mut cuts = Vec::new();
    for row in deciding {
        match (row.limits, &row.yardstick.kind) {
            (_, YardstickKind::AbnormalAbove { cut } | YardstickKind::AbnormalBelow { cut }) => {
                cuts.push(*cut)
            }
            (Some(limits), _) => bands.push((limits.lower, limits.upper)),
            (None, _) => {}
        }
    }
    StripModel {
        title: format!("{name}: {estimate}"),
        value: estimate.value,
        interval_95: estimate.interval_95(),
        bands,
        cuts,
        place: place_of(comparison),
        size,
    }
}

/// A yardstick's numbers and people in a few words: `20.9 ± 3.4° (young adults, n 28)`.
pub fn yardstick_words(y: &Yardstick) -> String {
    let d = y.unit.decimals();
    let s = y.unit.suffix();
    let numbers = match &y.kind {
        YardstickKind::Norm { mean, sd } => format!("{mean:.d$} ± {sd:.d$}{s}"),
        YardstickKind::MeanOnly { mean } => format!("mean {mean:.d$}{s}"),
        YardstickKind::Median { median } => format!("median {median:.d$}{s}"),
        YardstickKind::Band { lower, upper } => format!("{lower:.d$} to {upper:.d$}{s}"),
        YardstickKind::AbnormalAbove { cut } => format!("above {cut:.d$}{s}"),
        YardstickKind::AbnormalBelow { cut } => format!("below {cut:.d$}{s}"),
        other => other.key().replace('-', " "),
    };
    let calls = y
        .calls
        .as_ref()
        .map(|c| format!(" = {c}"))
        .unwrap_or_default();
    let n = y.n.map(|n| format!(", n {n}")).unwrap_or_default();
    with_minus_signs(&format!("{numbers}{calls} ({}{n})", y.population))
}

/// Rows worth printing beside a value: first those that decide, then the others that set limits.
pub fn rows_to_show(comparison: &Comparison, most: usize) -> Vec<&YardstickRow> {
    let mut rows: Vec<&YardstickRow> = comparison
        .rows
        .iter()
        .filter(|r| r.applies.yes() && r.limits.is_some())
        .collect();
    rows.sort_by_key(|r| !r.decides);
    rows.truncate(most);
    rows
}

/// What to show of a sheet over its film.
pub struct OverlayWish<'a> {
    pub title: String,
    /// Size of the picture as shown, after turn and mirror.
    pub shown_size: (f64, f64),
    pub pen: f64,
    /// Film pixels to shown pixels.
    pub shown_from_film: &'a dyn Fn([f64; 2]) -> [f64; 2],
    /// Readings drawn strong, with their values; empty: all get values.
    pub emphasised: &'a dyn Fn(&Reading) -> bool,
    pub labelled: &'a dyn Fn(&Reading) -> bool,
    pub with_points: bool,
    pub active: Option<&'a LandmarkKey>,
}

/// The overlay of a sheet.
pub fn overlay(
    knowledge: &Knowledge,
    set: &PointSet,
    sheet: &ReadingSheet,
    wish: &OverlayWish<'_>,
) -> OverlayModel {
    let map = wish.shown_from_film;
    // On paper only what carries its value is drawn; on the desk the other lines stay, thin.
    let shown = |r: &&Reading| !wish.with_points || (wish.labelled)(r);
    let drawn: BTreeSet<&LandmarkKey> = sheet
        .readings
        .iter()
        .filter(shown)
        .flat_map(|r| &r.points_used)
        .collect();
    let figures = sheet
        .readings
        .iter()
        .filter(shown)
        .map(|r| {
            let short = knowledge
                .measure(&r.measure)
                .map_or_else(|| r.measure.to_string(), |m| m.short.clone());
            OverlayFigure {
                key: r.measure.to_string(),
                name: short,
                value: r.estimate.to_string(),
                label_at: map(r.drawing.label_at),
                lines: r
                    .drawing
                    .segments
                    .iter()
                    .map(|s| (map(s[0]), map(s[1])))
                    .collect(),
                arc: r
                    .drawing
                    .arc
                    .map(|a| a.polyline(24).into_iter().map(map).collect())
                    .unwrap_or_default(),
                emphasised: (wish.emphasised)(r),
                labelled: (wish.labelled)(r),
            }
        })
        .collect();
    let points = set
        .points
        .iter()
        // Without a reading there is nothing yet to leave out.
        .filter(|(key, _)| wish.with_points && (drawn.is_empty() || drawn.contains(key)))
        .map(|(key, p)| OverlayPoint {
            key: key.to_string(),
            name: knowledge
                .landmark(key)
                .map_or_else(|| key.to_string(), |l| l.name.clone()),
            at: map([p.x_px, p.y_px]),
            state: if wish.active == Some(key) {
                PointState::Active
            } else {
                PointState::Placed
            },
            named: wish.active == Some(key),
        })
        .collect();
    let spoken: Vec<String> = sheet
        .readings
        .iter()
        .map(|r| format!("{} {}", r.measure, r.estimate))
        .collect();
    OverlayModel {
        width_px: wish.shown_size.0,
        height_px: wish.shown_size.1,
        pen: wish.pen,
        title: wish.title.clone(),
        description: spoken.join("; "),
        points,
        figures,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use reading::figures::{invented_film, invented_points};
    use reading::{Person, against, read_all};
    use terms::{Side, View};

    #[test]
    fn no_yardstick_is_said_only_where_no_yardstick_is_shown() {
        let knowledge = Knowledge::built_in();
        let (mut judged, mut not_judged) = (0, 0);
        for view in [View::Lateral, View::Dorsoplantar] {
            let mut points = invented_points(view);
            points.side = Some(Side::Left);
            let person = Person {
                age_years: Some(58.0),
                sex: None,
            };
            for reading in read_all(knowledge, &points, &invented_film()).readings {
                let compared = against(knowledge, &reading, &person);
                match place_of(&compared) {
                    Place::NoYardstick => assert!(not_judged_because(&compared).is_none()),
                    Place::NotJudged => {
                        let (row, why) = not_judged_because(&compared).unwrap();
                        assert!(!row.decides && !why.is_empty());
                        not_judged += 1;
                    }
                    _ => judged += 1,
                }
            }
        }
        assert!(judged > 2 && not_judged > 1, "{judged} {not_judged}");
    }
}
