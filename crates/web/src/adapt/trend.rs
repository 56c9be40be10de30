//! One reading of one foot over the visits, put together for its drawing.

use crate::{
    adapt::readings::{Change, Dated},
    words,
};
use figure::trend::{TrendModel, TrendPoint, trend_svg};
use knowledge::{Knowledge, Measure, yardstick::Person};
use terms::{Side, Stance};

/// A small multiple and the words that say the same.
pub struct Trend {
    pub svg: String,
    pub name: String,
    /// Day, value with error, and how it was taken, oldest first.
    pub rows: Vec<(String, String, &'static str)>,
    pub change: Option<String>,
}

/// The most important measures of one foot, at most `most`.
pub fn trends(
    knowledge: &Knowledge,
    person: &Person,
    side: Side,
    dated: &[Dated],
    most: usize,
) -> Vec<Trend> {
    let mut of_side: Vec<&Dated> = dated.iter().filter(|d| d.side == side).collect();
    of_side.sort_by_key(|d| d.on);
    let mut measures: Vec<&Measure> = Vec::new();
    for d in &of_side {
        if let Some(m) = knowledge.measure(&d.reading.measure)
            && !measures.iter().any(|known| known.key == m.key)
        {
            measures.push(m);
        }
    }
    measures.sort_by_key(|m| std::cmp::Reverse(m.importance));
    measures
        .into_iter()
        .take(most)
        .map(|m| trend(knowledge, person, side, m, &of_side))
        .collect()
}

fn trend(
    knowledge: &Knowledge,
    person: &Person,
    side: Side,
    measure: &Measure,
    of_side: &[&Dated],
) -> Trend {
    let points: Vec<&Dated> = of_side
        .iter()
        .copied()
        .filter(|d| d.reading.measure == measure.key)
        .collect();
    let change = change_of(&points);
    let band = knowledge.band(&measure.key, person);
    let first_day = points.first().map(|d| d.on);
    let model = TrendModel {
        title: format!("{}, {}", measure.name, side.word()),
        unit: measure.unit.suffix().to_owned(),
        points: points
            .iter()
            .map(|d| TrendPoint {
                day: first_day.map_or(0.0, |f| (d.on - f).whole_days() as f64),
                date: words::short_day(d.on),
                value: d.reading.estimate.value,
                interval_95: d.reading.estimate.interval_95(),
                comparable: standing(d),
            })
            .collect(),
        band: band.widest.map(|l| (l.lower, l.upper)),
        smallest_change: change.as_ref().map(|c| c.error_of_change),
        size: (520.0, 150.0),
    };
    Trend {
        svg: trend_svg(&model),
        name: measure.name.clone(),
        rows: points
            .iter()
            .map(|d| {
                let e = &d.reading.estimate;
                (
                    words::short_day(d.on),
                    format!("{} {}", words::value(e), words::plus_minus(e)),
                    stance_words(d),
                )
            })
            .collect(),
        change: change.map(|c| change_words(&c, measure, first_day.map(words::short_day))),
    }
}

fn standing(dated: &Dated) -> bool {
    dated.reading.stance == Some(Stance::Standing)
}

fn stance_words(dated: &Dated) -> &'static str {
    dated.reading.stance.unwrap_or(Stance::Unknown).words()
}

/// Between the first and the last standing film; none where there are not two.
fn change_of(points: &[&Dated]) -> Option<Change> {
    let mut comparable = points.iter().filter(|d| standing(d));
    let first = comparable.next()?;
    let last = comparable.next_back()?;
    Change::between(&first.reading.estimate, &last.reading.estimate)
}

fn change_words(change: &Change, measure: &Measure, since: Option<String>) -> String {
    let d = measure.unit.decimals();
    let by = quantity::written(change.by, d);
    let sign = if change.by > 0.0 { "+" } else { "" };
    let error = quantity::written(change.error_of_change, d);
    let unit = measure.unit.suffix();
    let since = since.map(|s| format!(" since {s}")).unwrap_or_default();
    if change.is_real() {
        format!(
            "Changed by {sign}{by}{unit}{since}, more than both readings' errors explain ({error}{unit})."
        )
    } else {
        format!(
            "No change that can be told from error{since}: {sign}{by}{unit}, and the errors alone can make {error}{unit}."
        )
    }
}
