//! One reading over the visits, of both feet side by side, put together for its drawings.

use crate::{
    adapt::readings::{Change, Dated, measures_in},
    words,
};
use figure::trend::{TrendAxes, TrendModel, TrendPoint, trend_svg};
use knowledge::{Knowledge, Measure, yardstick::Person};
use terms::{Side, Stance};
use time::Date;

/// A small multiple and the words that say the same.
pub struct Trend {
    pub svg: String,
    pub name: String,
    /// Day, value with error, and how it was taken, oldest first.
    pub rows: Vec<(String, String, &'static str)>,
    pub change: Option<String>,
}

/// One measure of both feet, on the same scale and over the same days.
pub struct BothFeet {
    pub name: String,
    /// Left, right; `None` where that foot has no reading.
    pub feet: [Option<Trend>; 2],
}

impl BothFeet {
    pub fn of(&self, side: Side) -> Option<&Trend> {
        let [left, right] = &self.feet;
        match side {
            Side::Left => left.as_ref(),
            Side::Right => right.as_ref(),
        }
    }
}

/// The most important measures: of each foot at most `most`.
pub fn trends(
    knowledge: &Knowledge,
    person: &Person,
    dated: &[Dated],
    most: usize,
) -> Vec<BothFeet> {
    let mut dated = dated.to_vec();
    dated.sort_by_key(|d| d.on);
    let foremost: Vec<&Measure> = Side::BOTH
        .into_iter()
        .flat_map(|side| {
            let of_side: Vec<Dated> = dated.iter().filter(|d| d.side == side).cloned().collect();
            measures_in(knowledge, &of_side).into_iter().take(most)
        })
        .collect();
    let mut measures = measures_in(knowledge, &dated);
    measures.retain(|m| foremost.iter().any(|f| f.key == m.key));
    // What can be compared stands first.
    let of_foot = |m: &Measure, side: Side| {
        dated
            .iter()
            .filter(|d| d.side == side && d.reading.measure == m.key)
            .count()
    };
    measures.sort_by_key(|m| !Side::BOTH.iter().any(|side| of_foot(m, *side) > 1));
    measures
        .into_iter()
        .map(|m| both_feet(knowledge, person, m, &dated))
        .collect()
}

fn both_feet(
    knowledge: &Knowledge,
    person: &Person,
    measure: &Measure,
    dated: &[Dated],
) -> BothFeet {
    let of_measure: Vec<&Dated> = dated
        .iter()
        .filter(|d| d.reading.measure == measure.key)
        .collect();
    let first_day = of_measure.first().map(|d| d.on);
    let band = knowledge.band(&measure.key, person);
    let band = band.widest.map(|l| (l.lower, l.upper));
    let feet = [Side::Left, Side::Right].map(|side| {
        let points: Vec<&Dated> = of_measure
            .iter()
            .copied()
            .filter(|d| d.side == side)
            .collect();
        (!points.is_empty()).then(|| {
            let change = change_of(&points);
            let model = model(measure, side, &points, first_day, band, change.as_ref());
            (points, change, model)
        })
    });
    let models: Vec<&TrendModel> = feet.iter().flatten().map(|(_, _, model)| model).collect();
    let axes = TrendAxes::over(&models);
    BothFeet {
        name: measure.name.clone(),
        feet: feet.map(|foot| {
            let (points, change, model) = foot?;
            let since = points.first().map(|d| words::short_day(d.on));
            Some(Trend {
                svg: trend_svg(&model, &axes),
                name: measure.name.clone(),
                rows: points.iter().copied().map(row).collect(),
                change: change.map(|c| change_words(&c, measure, since)),
            })
        }),
    }
}

fn model(
    measure: &Measure,
    side: Side,
    points: &[&Dated],
    first_day: Option<Date>,
    band: Option<(Option<f64>, Option<f64>)>,
    change: Option<&Change>,
) -> TrendModel {
    TrendModel {
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
        band,
        smallest_change: change.map(|c| c.error_of_change),
        size: (520.0, 150.0),
    }
}

fn row(dated: &Dated) -> (String, String, &'static str) {
    let e = &dated.reading.estimate;
    (
        words::short_day(dated.on),
        format!("{} {}", words::value(e), words::plus_minus(e)),
        stance_words(dated),
    )
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::adapt::readings::KeptReading;
    use quantity::Estimate;
    use terms::MeasureKey;
    use time::macros::date;

    fn read(on: Date, side: Side, measure: &Measure, value: f64) -> Dated {
        Dated {
            on,
            side,
            reading: KeptReading {
                measure: measure.key.clone(),
                estimate: Estimate::new(value, 1.0, measure.unit),
                stance: Some(Stance::Standing),
            },
            finished: true,
        }
    }

    /// Where values and days are printed: `x` and `y` of every text but the title, with its words.
    fn axes_of(trend: &Trend) -> Vec<&str> {
        trend.svg.split("<text ").skip(2).collect()
    }

    #[test]
    fn left_and_right_of_a_measure_stand_on_the_same_scale_over_the_same_days() {
        let knowledge = Knowledge::built_in();
        let measure = knowledge
            .measure(&MeasureKey::new("calc_pitch").unwrap())
            .unwrap();
        let dated = [
            read(date!(2026 - 11 - 24), Side::Right, measure, 25.0),
            read(date!(2025 - 01 - 10), Side::Left, measure, 12.0),
            read(date!(2026 - 11 - 24), Side::Left, measure, 9.0),
        ];
        let all = trends(knowledge, &Person::default(), &dated, 4);
        let [only] = all.as_slice() else {
            panic!("{} measures", all.len())
        };
        let [Some(left), Some(right)] = &only.feet else {
            panic!("a foot is missing")
        };
        let labels = |t| -> Vec<String> {
            axes_of(t)
                .iter()
                .map(|text| text.split("</text>").next().unwrap().to_owned())
                .collect()
        };
        assert_eq!(labels(left), labels(right));
        for label in ["20°", "10 Jan 2025", "24 Nov 2026"] {
            assert!(
                labels(right)
                    .iter()
                    .any(|l| l.ends_with(&format!(">{label}"))),
                "{label}: {:?}",
                labels(right)
            );
        }
        // What is said of a foot is of its own films.
        assert!(left.change.as_ref().unwrap().contains("10 Jan 2025"));
        assert_eq!((right.rows.len(), &right.change), (1, &None));
    }

    #[test]
    fn the_foremost_measures_of_each_foot_are_all_there_and_a_foot_without_a_reading_is_told() {
        let knowledge = Knowledge::built_in();
        let on = date!(2026 - 11 - 24);
        let mut by_importance: Vec<&Measure> = terms::View::ALL
            .iter()
            .flat_map(|view| knowledge.measures(*view))
            .collect();
        by_importance.sort_by_key(|m| (std::cmp::Reverse(m.importance), m.key.clone()));
        let (high, low) = (by_importance[0], by_importance[by_importance.len() - 1]);
        let dated = [
            read(on, Side::Left, high, 1.0),
            read(on, Side::Left, low, 1.0),
            read(on, Side::Right, low, 1.0),
        ];
        let all = trends(knowledge, &Person::default(), &dated, 1);
        let told: Vec<(&str, bool, bool)> = all
            .iter()
            .map(|m| {
                (
                    m.name.as_str(),
                    m.of(Side::Left).is_some(),
                    m.of(Side::Right).is_some(),
                )
            })
            .collect();
        assert_eq!(
            told,
            [
                (high.name.as_str(), true, false),
                (low.name.as_str(), true, true)
            ]
        );
    }
}
