//! How fast a reading goes, as a straight line through at least three visits.
//!
//! Every reading of a run counts, all placings of all films; readings of one day share what that day did to
//! them (a random intercept for each visit), and the line has an intercept and a slope per year.
//!
//! Where the run holds repeats enough ([`FEWEST_REPEATS`] beyond one a visit), the residual spread comes from
//! them ([`crate::mixed`], restricted likelihood). Else it is taken as known (the yard's, never smaller than the
//! readings' own errors), and the visit-to-visit variance alone is estimated, by restricted likelihood, not
//! below zero.
//!
//! # Sources
//! Knapp and Hartung, Stat Med 2003;22:2693 (scaled variance, t with visits − 2); formulas as commonly printed.

use crate::mixed::search::{Lowest, lowest};
use crate::mixed::{Data, Likelihood, fit};
use crate::seen::{Seen, comparable};
use crate::words::{counted, day, signed, span};
use crate::yard::{Yard, t_975};
use quantity::{Unit, Z_975};
use serde::{Deserialize, Serialize};
use terms::{MeasureKey, Side};
use time::Date;

/// Repeats beyond one a visit from which the residual spread is estimated in the run itself.
pub const FEWEST_REPEATS: usize = 10;

/// Where the spread of readings of one visit is known from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "from", rename_all = "kebab-case")]
pub enum Residual {
    /// The run's own repeats, with so many degrees of freedom.
    Repeats { sd: f64, degrees_of_freedom: f64 },
    /// The reader's repeats on other films.
    OwnRepeats { sd: f64, films: u32 },
    /// A published smallest change, over 1.96 · √2.
    Published { sd: f64 },
    /// The readings' own standard errors alone.
    OwnErrors,
}

/// A change per year.
///
/// # Units
/// The measure's, per year of 365.25 days.
///
/// # Uncertainty
/// The interval is the wider of two: that of Knapp and Hartung from the visits' own scatter (t with visits − 2
/// degrees of freedom), and that of the known error alone. Measured on invented series of 3 to 8 visits at uneven
/// times, one or two readings each (`examples/change_figures.rs`): it covers the true rate in 97.2 to 99.4 % of series
/// without scatter from visit to visit, and in 94.8 to 96.6 % where visits scatter twice as much as readings do.
/// With three visits it is wide: t with one degree of freedom is 12.7.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rate {
    pub side: Side,
    pub measure: MeasureKey,
    pub unit: Unit,
    pub per_year: f64,
    pub interval_95: [f64; 2],
    /// Of the bound that rules; `None`: normal.
    pub degrees_of_freedom: Option<f64>,
    /// The known error rules, as the visits scatter less than it.
    pub known_error_rules: bool,
    /// Standard deviation from visit to visit beyond the readings' error.
    pub visit_sd: f64,
    pub residual: Residual,
    pub visits: usize,
    pub readings: usize,
    pub since: Date,
    pub until: Date,
    pub cautions: Vec<String>,
}

struct Visit {
    years: f64,
    mean: f64,
    count: f64,
    /// Mean square of the readings' standard errors.
    own: f64,
}

/// The change per year of one run of comparable readings.
///
/// # Errors
/// A sentence why there is none: fewer than three visits, readings that are not comparable, no error at all.
pub fn rate(seen: &[Seen], yard: &Yard) -> Result<Rate, String> {
    let mut seen: Vec<&Seen> = seen.iter().collect();
    seen.sort_by_key(|s| s.day);
    let visits = visits_of(&seen)?;
    let (first, last) = (seen[0], seen[seen.len() - 1]);
    let residual = residual_of(&seen, &visits, yard);
    let (tau2, errors) = spread_of(&seen, &visits, residual)?;
    let line = Line::through(
        &visits,
        &errors.iter().map(|v| tau2 + v).collect::<Vec<_>>(),
    )?;
    let k = visits.len() as f64;
    let scatter = t_975(k - 2.0) * (line.scatter / (k - 2.0)).sqrt() * line.slope_se;
    let known = Line::through(&visits, &errors)?.slope_se;
    let (quantile, df) = match residual {
        Residual::Repeats {
            degrees_of_freedom, ..
        } => (t_975(degrees_of_freedom), Some(degrees_of_freedom)),
        Residual::OwnRepeats { films, .. } => (t_975(f64::from(films)), Some(f64::from(films))),
        Residual::Published { .. } | Residual::OwnErrors => (Z_975, None),
    };
    let known_error_rules = quantile * known > scatter;
    let half = scatter.max(quantile * known);
    if !(line.slope.is_finite() && half.is_finite() && half > 0.0) {
        return Err("No rate: the readings have no error to judge a line by.".into());
    }
    Ok(Rate {
        side: first.side,
        measure: first.measure.clone(),
        unit: first.estimate.unit,
        per_year: line.slope,
        interval_95: [line.slope - half, line.slope + half],
        degrees_of_freedom: if known_error_rules { df } else { Some(k - 2.0) },
        known_error_rules,
        visit_sd: tau2.sqrt(),
        residual,
        visits: visits.len(),
        readings: seen.len(),
        since: first.day,
        until: last.day,
        cautions: cautions(&visits),
    })
}

fn visits_of(seen: &[&Seen]) -> Result<Vec<Visit>, String> {
    let Some(first) = seen.first() else {
        return Err("No rate: there is no reading.".into());
    };
    for s in seen {
        if s.side != first.side || s.measure != first.measure {
            return Err("No rate: the readings are of several feet or measures.".into());
        }
        if s.estimate.unit != first.estimate.unit {
            return Err("No rate: the readings have several units.".into());
        }
        let e = &s.estimate;
        if !(e.value.is_finite() && e.standard_error.is_finite() && e.standard_error >= 0.0) {
            return Err("No rate: a reading or its error is not a number.".into());
        }
        if let Err(whys) = comparable(&first.taken, &s.taken, first.estimate.unit) {
            let whys: Vec<String> = whys.into_iter().map(|w| w.words).collect();
            return Err(format!(
                "No rate: the readings are not comparable. {}",
                whys.join(" ")
            ));
        }
    }
    let visits: Vec<Visit> = seen
        .chunk_by(|a, b| a.day == b.day)
        .map(|day| {
            let count = day.len() as f64;
            Visit {
                years: (day[0].day - first.day).whole_days() as f64 / 365.25,
                mean: day.iter().map(|s| s.estimate.value / count).sum(),
                count,
                own: day
                    .iter()
                    .map(|s| s.estimate.standard_error.powi(2) / count)
                    .sum(),
            }
        })
        .collect();
    if visits.len() < 3 {
        return Err(format!(
            "No rate: it needs three visits, and there {}.",
            if visits.len() == 1 {
                "is one".into()
            } else {
                format!("are {}", visits.len())
            }
        ));
    }
    Ok(visits)
}

fn residual_of(seen: &[&Seen], visits: &[Visit], yard: &Yard) -> Residual {
    let repeats = seen.len() - visits.len();
    if repeats >= FEWEST_REPEATS {
        let squares: f64 = seen
            .chunk_by(|a, b| a.day == b.day)
            .zip(visits)
            .flat_map(|(day, v)| day.iter().map(|s| (s.estimate.value - v.mean).powi(2)))
            .sum();
        if squares > 0.0 {
            return Residual::Repeats {
                sd: (squares / repeats as f64).sqrt(),
                degrees_of_freedom: repeats as f64,
            };
        }
    }
    match (
        yard.own.as_ref().filter(|o| o.may_judge()),
        yard.judging_row(false),
    ) {
        (Some(own), _) => Residual::OwnRepeats {
            sd: own.within_sd,
            films: own.films,
        },
        (None, Some(row)) => Residual::Published {
            sd: row.change / (Z_975 * std::f64::consts::SQRT_2),
        },
        (None, None) => Residual::OwnErrors,
    }
}

/// Variance from visit to visit, and the error variance of each visit's mean.
///
/// The readings' own errors are not divided by the number of readings: what all readings of a film share (turn
/// of the foot, scale) does not shrink with repeats.
fn spread_of(
    seen: &[&Seen],
    visits: &[Visit],
    residual: Residual,
) -> Result<(f64, Vec<f64>), String> {
    let of_sd = |sd: f64| -> Vec<f64> {
        visits
            .iter()
            .map(|v| (sd * sd / v.count).max(v.own))
            .collect()
    };
    match residual {
        Residual::Repeats { sd, .. } => {
            match fit(&as_model(seen, visits), Likelihood::Restricted) {
                Ok(fit) => Ok((
                    fit.random_covariance[0][0].max(0.0),
                    of_sd(fit.residual_variance.sqrt()),
                )),
                Err(_) => known_spread(visits, of_sd(sd)),
            }
        }
        Residual::OwnRepeats { sd, .. } | Residual::Published { sd } => {
            known_spread(visits, of_sd(sd))
        }
        Residual::OwnErrors => known_spread(visits, of_sd(0.0)),
    }
}

fn as_model(seen: &[&Seen], visits: &[Visit]) -> Data {
    let mut data = Data::default();
    for (group, (day, visit)) in seen.chunk_by(|a, b| a.day == b.day).zip(visits).enumerate() {
        for s in day {
            data.response.push(s.estimate.value);
            data.fixed.push(vec![1.0, visit.years]);
            data.random.push(vec![1.0]);
            data.group.push(group as u64);
        }
    }
    data
}

/// Restricted likelihood of the visits' means with known error variances: only τ² is searched.
fn known_spread(visits: &[Visit], mut errors: Vec<f64>) -> Result<(f64, Vec<f64>), String> {
    let k = visits.len() as f64;
    let plain = Line::through(visits, &vec![1.0; visits.len()])?;
    let scale = (plain.scatter / (k - 2.0)).max(errors.iter().sum::<f64>() / k);
    if !(scale.is_finite() && scale > 0.0) {
        return Err("No rate: the readings have no error to judge a line by.".into());
    }
    // A reading without any error would take the whole weight.
    for e in &mut errors {
        *e = e.max(1e-9 * scale);
    }
    let found = lowest(1e-8 * scale, 1e4 * scale, &mut |tau2| {
        let variances: Vec<f64> = errors.iter().map(|v| tau2 + v).collect();
        Line::through(visits, &variances)
            .map_or((f64::INFINITY, 0.0), |l| (l.deviance, l.deviance_slope))
    });
    match found {
        Lowest::Zero => Ok((0.0, errors)),
        Lowest::At(tau2) => Ok((tau2, errors)),
        Lowest::Beyond => Err("No rate: the visits scatter beyond any measure.".into()),
    }
}

/// A weighted straight line through the visits' means.
struct Line {
    slope: f64,
    slope_se: f64,
    /// Σ w r²
    scatter: f64,
    /// Minus twice the restricted log-likelihood, but for a constant, and its slope by a variance common to
    /// all visits.
    deviance: f64,
    deviance_slope: f64,
}

impl Line {
    fn through(visits: &[Visit], variances: &[f64]) -> Result<Line, String> {
        let w: Vec<f64> = variances.iter().map(|v| 1.0 / v).collect();
        let sum = |f: &dyn Fn(usize) -> f64| -> f64 { (0..visits.len()).map(f).sum() };
        let s0 = sum(&|i| w[i]);
        let middle = sum(&|i| w[i] * visits[i].years) / s0;
        let mean = sum(&|i| w[i] * visits[i].mean) / s0;
        let t = |i: usize| visits[i].years - middle;
        let s2 = sum(&|i| w[i] * t(i).powi(2));
        let slope = sum(&|i| w[i] * t(i) * (visits[i].mean - mean)) / s2;
        let r = |i: usize| visits[i].mean - mean - slope * t(i);
        let scatter = sum(&|i| w[i] * r(i).powi(2));
        let fixed = sum(&|i| w[i].powi(2) * (1.0 / s0 + t(i).powi(2) / s2));
        let line = Line {
            slope,
            slope_se: s2.recip().sqrt(),
            scatter,
            deviance: sum(&|i| variances[i].ln()) + s0.ln() + s2.ln() + scatter,
            deviance_slope: s0 - fixed - sum(&|i| (w[i] * r(i)).powi(2)),
        };
        if slope.is_finite() && line.slope_se.is_finite() {
            Ok(line)
        } else {
            Err("No rate: the readings have no error to judge a line by.".into())
        }
    }
}

fn cautions(visits: &[Visit]) -> Vec<String> {
    let mut out = vec!["A straight line is taken; it says nothing of what comes.".to_owned()];
    let span = visits.last().map_or(0.0, |v| v.years);
    if span < 1.0 {
        out.push(format!(
            "Seen over {} days only: a rate per year reaches beyond what was seen.",
            (span * 365.25).round()
        ));
    }
    if visits.len() == 3 {
        out.push("Three visits tell little of their own scatter, so the interval is wide.".into());
    }
    out
}

impl Rate {
    /// The interval leaves zero out.
    pub fn shown(&self) -> bool {
        self.interval_95[0] > 0.0 || self.interval_95[1] < 0.0
    }

    /// One sentence for page and letter.
    pub fn words(&self) -> String {
        let over = format!(
            "{} of {} from {} to {}",
            counted(self.readings, "reading", "readings"),
            counted(self.visits, "visit", "visits"),
            day(self.since),
            day(self.until)
        );
        let (rate, ends) = (
            signed(self.per_year, self.unit),
            span(self.interval_95, self.unit),
        );
        if self.shown() {
            format!("Changes by {rate} a year (95 %: {ends}); {over}.")
        } else {
            format!(
                "No steady change shown: {rate} a year, and {ends} a year fits as well (95 %); {over}."
            )
        }
    }
}
