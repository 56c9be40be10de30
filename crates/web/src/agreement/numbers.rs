//! What do pairs of readings say, and what do too few pairs not say?
//!
//! The statistics come from [`reading::agreement`]; here they are put into words with their unit and
//! interval, and held back where they would be taken for more than they are.

use crate::{
    agreement::pool::{Readers, Table},
    error::sentence,
    words,
};
use figure::{BlandAltmanModel, bland_altman_svg};
use quantity::Unit;
use reading::agreement::{
    AgreementError, Icc, IccValue, bland_altman, icc, repeatability, sem,
    smallest_detectable_change,
};

/// Films, read twice, before a smallest change of the practice's own is given.
///
/// # Uncertainty
/// A standard deviation from n differences is known to √(n / χ²) only. With ten films its 95 % interval
/// reaches from 0.70 to 1.75 times what was found, with five from 0.62 to 2.45 times; a change judged by
/// such a number would be called real, or not, by chance. Ten is a choice, not a law.
///
/// # Sources
/// Interval of a variance by the χ² distribution (textbook); the number ten is common practice.
pub const FEWEST_FOR_OWN_CHANGE: usize = 10;

/// The same for printing a correlation without a warning beside it.
///
/// # Sources
/// Common practice: agreement studies are planned with 30 subjects or more.
pub const FEW_FOR_CORRELATION: usize = 30;

/// One number with what it means.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    pub name: String,
    /// With unit and, where there is one, the 95 % interval; or what is missing.
    pub value: String,
    pub means: String,
}

/// One form of the intraclass correlation: of one reading, and of the mean of all.
#[derive(Debug, Clone, PartialEq)]
pub struct IccLine {
    pub name: String,
    pub single: String,
    pub average: String,
    pub means: &'static str,
}

/// One table of readings in words and numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    pub id: String,
    pub title: String,
    pub columns: Vec<String>,
    pub about: String,
    pub cautions: Vec<String>,
    pub lines: Vec<Line>,
    pub correlations: Vec<IccLine>,
    pub no_correlation: Option<String>,
    pub figure: Option<String>,
    pub rows: Vec<SectionRow>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct SectionRow {
    pub film: String,
    pub words: String,
    pub values: Vec<String>,
    pub difference: Option<String>,
}

/// Everything that one table says of one measure.
pub fn section(id: String, name: &str, unit: Unit, table: &Table) -> Section {
    let values = table.values();
    let (title, columns) = heads(&table.readers);
    let pair = columns.len() == 2;
    let first: Vec<f64> = values.iter().filter_map(|r| r.first().copied()).collect();
    let second: Vec<f64> = values.iter().filter_map(|r| r.get(1).copied()).collect();
    let found = icc(&values);
    let mut lines = Vec::new();
    let mut figure = None;
    if pair {
        if values.len() == 1 {
            lines.push(line(
                "Difference",
                with_unit(first[0] - second[0], unit),
                format!("{} minus {}, on this one film.", columns[0], columns[1]),
            ));
        } else if let Ok(r) = repeatability(&first, &second) {
            lines.push(line(
                "SD within a film",
                with_unit(r.within_subject_sd, unit),
                if values.len() < FEWEST_FOR_OWN_CHANGE {
                    "How far one such reading lies from its film's mean, of too few films to say how far two usually differ.".to_owned()
                } else {
                    format!(
                        "Two such readings of one film differ by less than {} in 95 of 100 films.",
                        with_unit(r.coefficient, unit)
                    )
                },
            ));
        }
        if let Ok(b) = bland_altman(&first, &second) {
            let between = |[low, high]: [f64; 2]| {
                format!("95 % {} to {}", with_unit(low, unit), with_unit(high, unit))
            };
            lines.push(line(
                "Bias",
                format!("{} ({})", with_unit(b.bias, unit), between(b.bias_interval)),
                format!("Mean of {} minus {}.", columns[0], columns[1]),
            ));
            lines.push(line(
                "Limits of agreement",
                format!(
                    "{} to {}",
                    with_unit(b.limits[0], unit),
                    with_unit(b.limits[1], unit)
                ),
                format!(
                    "Lower limit {}, upper limit {}.",
                    between(b.lower_limit_interval),
                    between(b.upper_limit_interval)
                ),
            ));
            figure = Some(bland_altman_svg(&BlandAltmanModel {
                title: format!("{name}: {} minus {}", columns[0], columns[1]),
                unit: unit.suffix().to_owned(),
                points: first
                    .iter()
                    .zip(&second)
                    .map(|(a, b)| ((a + b) / 2.0, a - b))
                    .collect(),
                bias: b.bias,
                bias_ci: b.bias_interval.into(),
                lower: b.limits[0],
                lower_ci: b.lower_limit_interval.into(),
                upper: b.limits[1],
                upper_ci: b.upper_limit_interval.into(),
            }));
        }
    }
    if let Ok(found) = &found {
        lines.extend(error_lines(found, unit));
    }
    Section {
        title,
        about: about(table),
        cautions: cautions(table),
        correlations: found.as_ref().map(correlations).unwrap_or_default(),
        no_correlation: found.err().map(|e| match e {
            AgreementError::TooFew { .. } => "One film cannot tell the spread of the feet from that of the readings; read at least two films twice, better thirty.".to_owned(),
            other => sentence(&other.to_string()),
        }),
        rows: table
            .rows
            .iter()
            .map(|r| SectionRow {
                film: r.film.to_string(),
                words: r.words.clone(),
                values: r.values.iter().map(|v| with_unit(*v, unit)).collect(),
                difference: pair.then(|| with_unit(r.values[0] - r.values[1], unit)),
            })
            .collect(),
        id,
        columns,
        lines,
        figure,
    }
}

fn heads(readers: &Readers) -> (String, Vec<String>) {
    match readers {
        Readers::Same(name) => (
            format!("{name}, twice"),
            vec!["first reading".to_owned(), "second reading".to_owned()],
        ),
        Readers::Several(names) => (list(names), names.clone()),
    }
}

/// `A and B`, `A, B and C`
fn list(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// Which films: `7 films of 5 people: 4 left, 3 right.`
fn about(table: &Table) -> String {
    let sides: Vec<String> = [
        (Some(terms::Side::Left), "left"),
        (Some(terms::Side::Right), "right"),
        (None, "side not said"),
    ]
    .into_iter()
    .map(|(side, word)| (table.feet(side), word))
    .filter(|(n, _)| *n > 0)
    .map(|(n, word)| format!("{n} {word}"))
    .collect();
    format!(
        "{} of {}: {}.",
        words::count(table.rows.len(), "film", "films"),
        words::count(table.people(), "person", "people"),
        sides.join(", ")
    )
}

fn cautions(table: &Table) -> Vec<String> {
    let n = table.rows.len();
    let mut said = Vec::new();
    if n < 2 {
        said.push(
            "One film says how far two readings lie apart once, not how far they usually do."
                .to_owned(),
        );
    } else if n < FEW_FOR_CORRELATION {
        said.push(format!(
            "Few films: {n}. The intervals say how little is known; studies of agreement are planned with {FEW_FOR_CORRELATION} or more."
        ));
    }
    if table.people() < n {
        said.push("Some films are of the same person, so they are not independent and the intervals are narrower than they should be.".to_owned());
    }
    said
}

fn error_lines(found: &Icc, unit: Unit) -> Vec<Line> {
    let error = sem(found);
    let change = match found.subjects {
        n if n < FEWEST_FOR_OWN_CHANGE => line(
            "Smallest detectable change",
            format!("not given yet: {n} of {FEWEST_FOR_OWN_CHANGE} films"),
            format!(
                "At least {FEWEST_FOR_OWN_CHANGE} films are needed before a smallest change of your own is used; with fewer it may be wrong by half or double."
            ),
        ),
        _ => line(
            "Smallest detectable change",
            with_unit(smallest_detectable_change(error.agreement), unit),
            "1.96 · √2 · SEM with bias: placing alone exceeds it in 5 of 100 repeats of one film."
                .to_owned(),
        ),
    };
    vec![
        line(
            "SEM, bias counted",
            with_unit(error.agreement, unit),
            "Standard error of one reading, the difference between the columns included."
                .to_owned(),
        ),
        line(
            "SEM, bias left aside",
            with_unit(error.consistency, unit),
            "Standard error of one reading where everybody is compared with themselves only."
                .to_owned(),
        ),
        change,
    ]
}

fn correlations(found: &Icc) -> Vec<IccLine> {
    let k = found.readers;
    let forms = [
        (
            1,
            found.single.one_way,
            found.average.one_way,
            "Each film read by anybody: all differences count.",
        ),
        (
            2,
            found.single.agreement,
            found.average.agreement,
            "The same readers, standing for others like them: their bias counts.",
        ),
        (
            3,
            found.single.consistency,
            found.average.consistency,
            "These readers alone: a constant bias does not count.",
        ),
    ];
    forms
        .into_iter()
        .map(|(form, single, average, means)| IccLine {
            name: format!("ICC({form})"),
            single: format!("ICC({form},1) = {}", correlation(single, None)),
            average: format!(
                "ICC({form},{k}) = {}",
                correlation(average, Some((single, k)))
            ),
            means,
        })
        .collect()
}

/// `0.83 (0.41 to 0.95)`. For a mean, the single reading's interval says where the formula ends.
fn correlation(v: IccValue, mean_of: Option<(IccValue, usize)>) -> String {
    let floor = mean_of.is_some_and(|(single, k)| single.lower * (k as f64 - 1.0) <= -1.0);
    let two = |x: f64| quantity::written(x, 2);
    let value = if v.value.is_finite() && v.value >= -1.0 {
        two(v.value)
    } else {
        "below −1".to_owned()
    };
    match (v.lower, v.upper) {
        (low, high) if high.is_finite() && (floor || low < -1.0) => {
            format!("{value} (below −1 to {})", two(high))
        }
        (low, high) if low.is_finite() && high.is_finite() => {
            format!("{value} ({} to {})", two(low), two(high))
        }
        _ => format!("{value} (interval not known)"),
    }
}

/// One decimal more than a reading has: differences are smaller than values.
pub fn with_unit(value: f64, unit: Unit) -> String {
    format!(
        "{}{}",
        quantity::written(value, unit.decimals() + 1),
        unit.suffix()
    )
}

fn line(name: &str, value: String, means: String) -> Line {
    Line {
        name: name.to_owned(),
        value,
        means,
    }
}
