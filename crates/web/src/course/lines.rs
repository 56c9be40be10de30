//! One reading over the visits, of both feet side by side: its drawing and what `change` says of it.

use super::seen::Readings;
use crate::words;
use change::{Run, Seen, Verdict, Yards, line, rate};
use figure::trend::{TrendAxes, TrendBand, TrendModel, TrendPoint, trend_svg};
use knowledge::{Knowledge, Measure, yardstick::Person};
use record::Patient;
use terms::Side;
use time::{Date, Duration};

/// A small multiple and the words that say the same.
pub struct FootLine {
    pub svg: String,
    pub name: String,
    /// What is said of the last reading against the first of its run.
    pub verdict: String,
    pub class: &'static str,
    pub word: &'static str,
    pub rate: String,
    pub cautions: Vec<String>,
    pub rows: Vec<LineRow>,
    /// Why some readings stand apart.
    pub apart: Vec<String>,
    /// Every yard that stands here, with its source.
    pub yard: String,
}

pub struct LineRow {
    pub day: String,
    pub value: String,
    pub taken: String,
    pub since_first: String,
    pub since_before: String,
}

/// One measure of both feet, on the same scale and over the same days.
pub struct BothFeet {
    pub key: String,
    pub name: String,
    pub unit: &'static str,
    /// Left, right; `None` where that foot has no reading.
    pub feet: [Option<FootLine>; 2],
}

impl BothFeet {
    pub fn of(&self, side: Side) -> Option<&FootLine> {
        let [left, right] = &self.feet;
        match side {
            Side::Left => left.as_ref(),
            Side::Right => right.as_ref(),
        }
    }
}

/// What every line is drawn against.
pub struct Ground<'a> {
    pub knowledge: &'a Knowledge,
    pub patient: &'a Patient,
    pub person: &'a Person,
    pub own: &'a [change::OwnRepeats],
    /// Devices, operations and the like: foot, day, word.
    pub marks: &'a [(Side, Date, String)],
}

/// `size`: how large a change the clinician asks about, in the unit of the measure.
pub fn both_feet(
    ground: &Ground<'_>,
    measure: &Measure,
    readings: &Readings,
    size: Option<f64>,
) -> BothFeet {
    let of = |all: &[Seen]| -> Vec<Seen> {
        all.iter()
            .filter(|s| s.measure == measure.key)
            .cloned()
            .collect()
    };
    let (last, all) = (of(&readings.last), of(&readings.all));
    let yards = Yards::of(ground.knowledge, &measure.key, ground.person, ground.own);
    let runs = line(&last, std::slice::from_ref(&yards), size);
    let first_day = last.iter().map(|s| s.day).min();
    let last_day = last.iter().map(|s| s.day).max();
    let bands = match (first_day, last_day) {
        (Some(from), Some(to)) => bands(ground, measure, from, to),
        _ => Vec::new(),
    };
    let feet = Side::BOTH.map(|side| {
        let runs: Vec<&Run> = runs.iter().filter(|r| r.side == side).collect();
        let main = *runs
            .iter()
            .max_by_key(|r| (r.visits(), r.points.last().map(|p| p.seen.day)))?;
        let verdict = main.points.last().and_then(|p| p.against_first.clone());
        let rated = rate_of(main, &all, &yards);
        let model = model(
            ground, measure, side, &runs, first_day?, &bands, &verdict, &rated,
        );
        Some((runs, main, verdict, rated, model))
    });
    let models: Vec<&TrendModel> = feet.iter().flatten().map(|f| &f.4).collect();
    let axes = TrendAxes::over(&models);
    BothFeet {
        key: measure.key.to_string(),
        name: measure.name.clone(),
        unit: measure.unit.suffix(),
        feet: feet.map(|foot| {
            let (runs, main, verdict, rated, model) = foot?;
            Some(foot_line(
                measure,
                &runs,
                main,
                verdict,
                &rated,
                trend_svg(&model, &axes),
                &yards,
            ))
        }),
    }
}

fn rate_of(main: &Run, all: &[Seen], yards: &Yards) -> Result<change::Rate, String> {
    let Some(first) = main.points.first().map(|p| &p.seen) else {
        return Err("No rate: there is no reading.".to_owned());
    };
    let of_run: Vec<Seen> = all
        .iter()
        .filter(|s| s.side == main.side)
        .filter(|s| change::comparable(&first.taken, &s.taken, main.unit).is_ok())
        .cloned()
        .collect();
    rate(&of_run, &yards.for_pair(first, first))
}

#[expect(
    clippy::too_many_arguments,
    reason = "one drawing of what stands ready here"
)]
fn model(
    ground: &Ground<'_>,
    measure: &Measure,
    side: Side,
    runs: &[&Run],
    first_day: Date,
    bands: &[TrendBand],
    verdict: &Option<Verdict>,
    rated: &Result<change::Rate, String>,
) -> TrendModel {
    let at = |day: Date| (day - first_day).whole_days() as f64;
    let mut points: Vec<TrendPoint> = runs
        .iter()
        .enumerate()
        .flat_map(|(number, run)| {
            run.points.iter().map(move |p| TrendPoint {
                day: at(p.seen.day),
                date: words::short_day(p.seen.day),
                value: p.seen.estimate.value,
                interval_95: p.seen.estimate.interval_95(),
                run: (run.visits() > 1).then_some(number),
            })
        })
        .collect();
    points.sort_by(|a, b| a.day.total_cmp(&b.day));
    let course = rated.as_ref().ok().and_then(|rate| {
        let values: Vec<&Seen> = runs
            .iter()
            .flat_map(|r| &r.points)
            .map(|p| &p.seen)
            .filter(|s| s.day >= rate.since && s.day <= rate.until)
            .collect();
        let n = values.len() as f64;
        let mean = |f: &dyn Fn(&Seen) -> f64| values.iter().map(|s| f(s)).sum::<f64>() / n;
        let (day, value) = (mean(&|s| at(s.day)), mean(&|s| s.estimate.value));
        (n > 0.0).then(|| {
            [rate.since, rate.until]
                .map(|d| (at(d), value + rate.per_year * (at(d) - day) / 365.25))
        })
    });
    TrendModel {
        title: format!("{}, {}", measure.name, side.word()),
        unit: measure.unit.suffix().to_owned(),
        points,
        bands: bands.to_vec(),
        marks: ground
            .marks
            .iter()
            .filter(|(s, day, _)| *s == side && *day >= first_day)
            .map(|(_, day, word)| (at(*day), word.clone()))
            .collect(),
        course,
        smallest_change: verdict.as_ref().and_then(|v| v.smallest_shown),
        size: (520.0, 160.0),
    }
}

/// What some yardstick accepts, over the days of the drawing: an adult's does not change, a child's does with
/// each month of age.
fn bands(ground: &Ground<'_>, measure: &Measure, from: Date, to: Date) -> Vec<TrendBand> {
    let limits = |day: Date| {
        let person = Person {
            age_years: ground.patient.age_years_on(day),
            sex: ground.person.sex,
        };
        let widest = ground.knowledge.band(&measure.key, &person).widest;
        widest.map(|l| (l.lower, l.upper))
    };
    let at = |day: Date| (day - from).whole_days() as f64;
    let mut out: Vec<TrendBand> = Vec::new();
    let child = ground.patient.age_years_on(from).is_some_and(|y| y < 18.0);
    let step = if child {
        30
    } else {
        1 + (to - from).whole_days()
    };
    let mut day = from;
    loop {
        let next = day + Duration::days(step.max(1));
        if let Some((lower, upper)) = limits(day) {
            let days = (at(day), at(next.min(to + Duration::days(60))));
            match out.last_mut() {
                Some(band)
                    if (band.lower, band.upper) == (lower, upper) && band.days.1 >= days.0 =>
                {
                    band.days.1 = days.1;
                }
                _ => out.push(TrendBand { days, lower, upper }),
            }
        }
        if next > to {
            break;
        }
        day = next;
    }
    // Left of the first and right of the last day the same holds.
    if let Some(first) = out.first_mut()
        && first.days.0 <= 0.0
    {
        first.days.0 = -1e6;
    }
    if let Some(last) = out.last_mut()
        && last.days.1 >= at(to)
    {
        last.days.1 = 1e6;
    }
    out
}

fn foot_line(
    measure: &Measure,
    runs: &[&Run],
    main: &Run,
    verdict: Option<Verdict>,
    rated: &Result<change::Rate, String>,
    svg: String,
    yards: &Yards,
) -> FootLine {
    let (class, word) = match &verdict {
        None => ("none", "cannot tell yet"),
        Some(v) => match v.kind {
            change::Kind::Changed { .. } => ("outside", "changed"),
            change::Kind::NoChangeShown => ("inside", "no change shown"),
            change::Kind::CannotTell { .. } => ("straddles", "cannot tell"),
        },
    };
    let mut cautions: Vec<String> = main.caution().into_iter().collect();
    cautions.extend(verdict.iter().flat_map(|v| v.cautions.clone()));
    if let Ok(rate) = rated {
        cautions.extend(rate.cautions.clone());
    }
    let mut rows: Vec<(Date, LineRow)> = runs
        .iter()
        .flat_map(|r| &r.points)
        .map(|p| (p.seen.day, row(measure, p)))
        .collect();
    rows.sort_by_key(|r| r.0);
    let first = main.points.first().map(|p| &p.seen);
    FootLine {
        svg,
        name: measure.name.clone(),
        verdict: match (&verdict, days_of(runs)) {
            (Some(v), _) => v.words(),
            (None, 0 | 1) => "One visit so far: nothing to hold it against.".to_owned(),
            (None, _) => {
                "Cannot tell: no two of these readings were come by in the same way.".to_owned()
            }
        },
        class,
        word,
        rate: match rated {
            Ok(rate) => rate.words(),
            Err(why) => why.clone(),
        },
        cautions,
        rows: rows.into_iter().map(|r| r.1).collect(),
        apart: runs
            .iter()
            .filter(|r| !r.apart.is_empty())
            .map(|r| {
                let whys: Vec<&str> = r.apart.iter().map(|w| w.words.as_str()).collect();
                let from = r.points.first().map(|p| words::short_day(p.seen.day));
                format!(
                    "Kept apart from {}: {}",
                    from.unwrap_or_default(),
                    whys.join(" ")
                )
            })
            .collect(),
        yard: first
            .map(|f| yards.for_pair(f, f).words(main.unit))
            .unwrap_or_default(),
    }
}

fn days_of(runs: &[&Run]) -> usize {
    let mut days: Vec<Date> = runs
        .iter()
        .flat_map(|r| &r.points)
        .map(|p| p.seen.day)
        .collect();
    days.sort();
    days.dedup();
    days.len()
}

fn row(measure: &Measure, p: &change::Point) -> LineRow {
    let said = |v: &Option<Verdict>| match v {
        None => String::new(),
        Some(v) => {
            let by = v.difference.map_or_else(String::new, |d| {
                let sign = if d > 0.0 { "+" } else { "" };
                let decimals = measure.unit.decimals().max(1);
                format!("{sign}{}: ", quantity::written(d, decimals))
            });
            match &v.kind {
                change::Kind::Changed { .. } => format!("{by}changed"),
                change::Kind::NoChangeShown => format!("{by}no change shown"),
                change::Kind::CannotTell { .. } => "cannot tell".to_owned(),
            }
        }
    };
    let taken = &p.seen.taken;
    let reader = taken
        .reader
        .as_ref()
        .map_or("reader not known", |r| &r.name);
    LineRow {
        day: words::short_day(p.seen.day),
        value: words::kept_together(&p.seen.estimate),
        taken: format!("{}, {}; {reader}", taken.stance.words(), taken.worn.words()),
        since_first: said(&p.against_first),
        since_before: said(&p.against_previous),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use change::{Reader, Taken, Worn};
    use quantity::Estimate;
    use record::PatientId;
    use terms::{MeasureKey, Stance, View};
    use time::macros::date;
    use uuid::Uuid;

    fn patient(born: Date) -> Patient {
        Patient {
            id: PatientId::new(Uuid::from_u128(1)),
            chart_number: "1".into(),
            given_name: "Invented".into(),
            family_name: "Person".into(),
            born_on: Some(born),
            sex: None,
            note: String::new(),
        }
    }

    fn measure(key: &str) -> &'static Measure {
        let key = MeasureKey::new(key).unwrap();
        Knowledge::built_in().measure(&key).unwrap()
    }

    fn read(day: Date, side: Side, measure: &Measure, value: f64, reader: &str) -> Seen {
        Seen {
            day,
            measure: measure.key.clone(),
            side,
            estimate: Estimate::new(value, 1.0, measure.unit),
            taken: Taken {
                view: Some(View::Lateral),
                stance: Stance::Standing,
                method_version: 1,
                scale: None,
                reader: Some(Reader {
                    key: reader.into(),
                    name: reader.into(),
                }),
                worn: Worn::Bare,
            },
        }
    }

    fn drawn(born: Date, key: &str, seen: &[Seen]) -> BothFeet {
        let patient = patient(born);
        let person = Person {
            age_years: patient.age_years_on(date!(2026 - 11 - 24)),
            sex: None,
        };
        let ground = Ground {
            knowledge: Knowledge::built_in(),
            patient: &patient,
            person: &person,
            own: &[],
            marks: &[],
        };
        let readings = Readings {
            last: seen.to_vec(),
            all: seen.to_vec(),
            left_out: 0,
        };
        both_feet(&ground, measure(key), &readings, None)
    }

    /// Where values and days are printed, with their words.
    fn labels(line: &FootLine) -> Vec<String> {
        line.svg
            .split("<text ")
            .skip(2)
            .map(|t| t.split("</text>").next().unwrap().to_owned())
            .collect()
    }

    #[test]
    fn left_and_right_of_a_measure_stand_on_the_same_scale_over_the_same_days() {
        let m = measure("calc_pitch");
        let seen = [
            read(date!(2026 - 11 - 24), Side::Right, m, 25.0, "A"),
            read(date!(2025 - 01 - 10), Side::Left, m, 12.0, "A"),
            read(date!(2026 - 11 - 24), Side::Left, m, 2.0, "A"),
        ];
        let both = drawn(date!(1968 - 03 - 14), "calc_pitch", &seen);
        let (left, right) = (both.of(Side::Left).unwrap(), both.of(Side::Right).unwrap());
        assert_eq!(labels(left), labels(right));
        assert!(
            left.verdict.contains("10 Jan 2025") && left.word == "changed",
            "{}",
            left.verdict
        );
        assert_eq!((right.rows.len(), right.word), (1, "cannot tell yet"));
        assert!(
            right.verdict.starts_with("One visit so far"),
            "{}",
            right.verdict
        );
    }

    #[test]
    fn what_two_readers_read_is_kept_apart_and_says_why() {
        let m = measure("calc_pitch");
        let seen = [
            read(date!(2025 - 01 - 10), Side::Left, m, 12.0, "A"),
            read(date!(2026 - 11 - 24), Side::Left, m, 2.0, "B"),
        ];
        let both = drawn(date!(1968 - 03 - 14), "calc_pitch", &seen);
        let left = both.of(Side::Left).unwrap();
        assert_eq!(left.word, "cannot tell yet");
        assert!(
            left.apart.iter().any(|w| w.contains("two readers")),
            "{:?}",
            left.apart
        );
        assert!(
            !left.svg.contains(" stroke-width=\"1.4\"") || !left.svg.contains("<path"),
            "joined by no line"
        );
    }

    #[test]
    fn a_child_s_band_changes_with_age_and_an_adult_s_does_not() {
        let key = Knowledge::built_in()
            .measures(View::Lateral)
            .into_iter()
            .map(|m| m.key.to_string())
            .find(|key| {
                let m = measure(key);
                let at = |age| {
                    let person = Person {
                        age_years: Some(age),
                        sex: None,
                    };
                    Knowledge::built_in().band(&m.key, &person).widest
                };
                at(2.5).is_some() && at(8.5).is_some() && at(2.5) != at(8.5)
            })
            .expect("some measure has bands by age");
        let m = measure(&key);
        let over = |born| {
            let seen = [
                read(date!(2019 - 11 - 24), Side::Left, m, 30.0, "A"),
                read(date!(2026 - 11 - 24), Side::Left, m, 30.0, "A"),
            ];
            let both = drawn(born, &key, &seen);
            both.of(Side::Left).unwrap().svg.matches("<rect").count()
        };
        assert!(over(date!(2017 - 06 - 01)) > 1, "{key}");
        assert!(over(date!(1968 - 03 - 14)) <= 1, "{key}");
    }
}
