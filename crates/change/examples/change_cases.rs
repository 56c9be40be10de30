//! Invented tables with our mixed models, rates and verdicts, as JSON for the second implementation
//! (`checks/change/mixed.py`).
//!
//! `cargo run -p change --example change_cases`

use change::mixed::{Data, Likelihood, fit};
use change::{OwnRepeats, Reader, Seen, Taken, Worn, Yard, rate, verdict};
use quantity::{Estimate, Unit};
use rand::{Rng, SeedableRng, rngs::StdRng};
use rand_distr::StandardNormal;
use serde_json::{Value, json};
use terms::{MeasureKey, Side, Stance, View};
use time::{Date, Duration, Month};

fn main() {
    let mut draws = Draws(StdRng::seed_from_u64(20_261_126));
    let mut models = Vec::new();
    for (name, data) in tables(&mut draws) {
        for likelihood in [Likelihood::Restricted, Likelihood::Full] {
            let fit = fit(&data, likelihood).map_err(|e| e.to_string());
            models.push(match fit {
                Ok(fit) => {
                    json!({ "name": name, "data": data, "fit": fit, "standard_errors": fit.standard_errors() })
                }
                Err(fault) => json!({ "name": name, "fault": fault }),
            });
        }
    }
    let rates: Vec<Value> = (3..=8)
        .flat_map(|visits| [0.0, 1.5].map(|scatter| (visits, scatter)))
        .filter_map(|(visits, scatter)| rate_case(visits, scatter, &mut draws))
        .collect();
    let verdicts: Vec<Value> = [(10, 0.4), (14, -4.1), (23, 2.2), (60, 7.0)]
        .into_iter()
        .map(|(films, change)| verdict_case(films, change))
        .collect();
    println!(
        "{}",
        json!({ "models": models, "rates": rates, "verdicts": verdicts })
    );
}

struct Draws(StdRng);

impl Draws {
    fn normal(&mut self) -> f64 {
        self.0.sample(StandardNormal)
    }

    fn upto(&mut self, most: usize) -> usize {
        self.0.random_range(1..=most)
    }
}

/// Davies and Goldsmith, Statistical Methods in Research and Production, 4th edition 1972, table 6.1.
fn dyestuff() -> Data {
    let batches: [[f64; 5]; 6] = [
        [1545.0, 1440.0, 1440.0, 1520.0, 1580.0],
        [1540.0, 1555.0, 1490.0, 1560.0, 1495.0],
        [1595.0, 1550.0, 1605.0, 1510.0, 1560.0],
        [1445.0, 1440.0, 1595.0, 1465.0, 1545.0],
        [1595.0, 1630.0, 1515.0, 1635.0, 1625.0],
        [1520.0, 1455.0, 1450.0, 1480.0, 1445.0],
    ];
    let mut data = Data::default();
    for (g, batch) in batches.iter().enumerate() {
        for v in batch {
            push(&mut data, *v, vec![1.0], vec![1.0], g);
        }
    }
    data
}

fn push(data: &mut Data, y: f64, fixed: Vec<f64>, random: Vec<f64>, group: usize) {
    data.response.push(y);
    data.fixed.push(fixed);
    data.random.push(random);
    data.group.push(group as u64);
}

/// Visits of one foot: readings 15 − 1.2 a year, so many placings a visit, scatter from visit to visit.
fn visits(draws: &mut Draws, count: usize, placings: Option<usize>, scatter: f64) -> Data {
    let mut data = Data::default();
    for g in 0..count {
        let years = 0.4 * g as f64 + 0.1 * draws.normal().abs();
        let shift = scatter * draws.normal();
        let n = placings.unwrap_or_else(|| draws.upto(6));
        for _ in 0..n {
            let y = 15.0 - 1.2 * years + shift + 0.9 * draws.normal();
            push(&mut data, y, vec![1.0, years], vec![1.0], g);
        }
    }
    data
}

/// Feet with a level and a slope of their own; `spread` of the slope, `tied` to the level or not.
fn feet(draws: &mut Draws, count: usize, each: Option<usize>, spread: f64, tied: bool) -> Data {
    let mut data = Data::default();
    for g in 0..count {
        let (level, own) = (draws.normal(), draws.normal());
        let slope = spread * if tied { level } else { 0.5 * level + own };
        let adult = f64::from(u8::from(draws.normal() > 0.0));
        let n = each.unwrap_or_else(|| 1 + draws.upto(7));
        for i in 0..n {
            let t = i as f64 * 0.5 + 0.1 * draws.normal();
            let y = 10.0 + 3.0 * level + (0.8 + slope) * t + 2.0 * adult + 0.7 * draws.normal();
            push(&mut data, y, vec![1.0, t, adult], vec![1.0, t], g);
        }
    }
    data
}

fn tables(draws: &mut Draws) -> Vec<(&'static str, Data)> {
    let mut days = visits(draws, 7, None, 1.1);
    for row in &mut days.fixed {
        row[1] *= 365.25;
    }
    for y in &mut days.response {
        *y = 4000.0 + 25.0 * *y;
    }
    // Groups that differ less than their own spread explains: the variance between them is zero.
    let mut level = Data::default();
    for g in 0..6 {
        for i in 0..5 {
            let y = 20.0 + [-2.0, 1.5, 0.3, -0.9, 1.1][i] + 0.01 * g as f64;
            push(
                &mut level,
                y,
                vec![1.0, 0.3 * g as f64 + 0.02 * i as f64],
                vec![1.0],
                g,
            );
        }
    }
    vec![
        ("dyestuff of Davies and Goldsmith", dyestuff()),
        ("visits, two placings each", visits(draws, 6, Some(2), 1.5)),
        ("visits, one to six placings", visits(draws, 8, None, 1.5)),
        ("many visits", visits(draws, 40, None, 0.6)),
        (
            "little scatter between visits",
            visits(draws, 9, None, 0.25),
        ),
        ("no variance between groups", level),
        ("large numbers, days instead of years", days),
        ("own slopes, balanced", feet(draws, 18, Some(8), 0.6, false)),
        (
            "own slopes, two to eight rows",
            feet(draws, 25, None, 0.6, false),
        ),
        (
            "own slopes tied to the level",
            feet(draws, 20, Some(6), 0.4, true),
        ),
        (
            "no slopes of their own",
            feet(draws, 15, Some(6), 0.0, false),
        ),
    ]
}

fn date(days: i64) -> Date {
    Date::from_calendar_date(2023, Month::January, 10).expect("a day of the calendar")
        + Duration::days(days)
}

fn reader() -> Reader {
    Reader {
        key: "invented-1".into(),
        name: "Dr Invented".into(),
    }
}

fn seen(days: i64, value: f64, standard_error: f64) -> Seen {
    Seen {
        day: date(days),
        measure: MeasureKey::new("meary_lat").expect("a key"),
        side: Side::Left,
        estimate: Estimate::new(value, standard_error, Unit::Degree),
        taken: Taken {
            view: Some(View::Lateral),
            stance: Stance::Standing,
            method_version: 1,
            scale: None,
            reader: Some(reader()),
            worn: Worn::Bare,
        },
    }
}

fn own(films: u32, within_sd: f64) -> Yard {
    Yard {
        own: Some(OwnRepeats {
            reader: reader(),
            measure: MeasureKey::new("meary_lat").expect("a key"),
            method_version: 1,
            films,
            within_sd,
        }),
        published: vec![],
    }
}

fn rate_case(visits: usize, scatter: f64, draws: &mut Draws) -> Option<Value> {
    let (sd, films) = (0.8, 14);
    let mut rows = Vec::new();
    for v in 0..visits {
        let days = 170 * v as i64 + draws.upto(60) as i64;
        let shift = scatter * draws.normal();
        for _ in 0..draws.upto(2) {
            let value = -8.0 - 0.004 * days as f64 + shift + sd * draws.normal();
            rows.push(seen(days, value, 0.7 + 0.2 * draws.normal().abs()));
        }
    }
    let rate = rate(&rows, &own(films, sd)).ok()?;
    let table: Vec<Value> = rows
        .iter()
        .map(|s| {
            let days = (s.day - rows[0].day).whole_days();
            json!({ "days": days, "value": s.estimate.value, "standard_error": s.estimate.standard_error })
        })
        .collect();
    Some(json!({ "films": films, "within_sd": sd, "readings": table, "rate": rate }))
}

fn verdict_case(films: u32, change: f64) -> Value {
    let size = 3.0;
    let found = verdict(
        &seen(0, -10.0, 0.3),
        &seen(400, -10.0 + change, 0.4),
        &own(films, 1.1),
        Some(size),
    );
    json!({ "films": films, "within_sd": 1.1, "change": change, "size": size, "verdict": found })
}
