//! Sources: every yardstick and every publication, with how much of it was read.
//!
//! The small letters r, a, c and u behind a number lead here.

use crate::{
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
};
use askama::Template;
use axum::response::Response;
use knowledge::{Knowledge, Provenance, Yardstick, YardstickKind};
use quantity::Unit;
use terms::View;

#[derive(Template)]
#[template(path = "sources/sources.html")]
pub struct SourcesPage {
    pub shell: Shell,
    pub letters: Vec<(char, &'static str, &'static str)>,
    pub groups: Vec<Group>,
    pub sources: Vec<SourceRow>,
}

/// The yardsticks of one measure or examination item.
pub struct Group {
    pub key: String,
    pub name: String,
    pub about: String,
    pub where_words: String,
    pub rows: Vec<Row>,
}

pub struct Row {
    pub key: String,
    pub says: String,
    pub people: String,
    pub n: String,
    pub source: String,
    pub letter: char,
    pub provenance: &'static str,
    pub note: String,
}

pub struct SourceRow {
    pub key: String,
    pub citation: String,
    pub address: Option<String>,
    pub letter: char,
    pub provenance: &'static str,
    pub note: Option<String>,
}

/// `GET /sources`
pub async fn show(context: Context) -> Result<Response, PageError> {
    page(&of(
        context.state.knowledge,
        context.shell("Sources", Nav::Sources),
    ))
}

pub fn of(knowledge: &Knowledge, shell: Shell) -> SourcesPage {
    let mut groups = Vec::new();
    for view in View::ALL {
        for m in knowledge.measures(view) {
            groups.push(Group {
                key: m.key.to_string(),
                name: m.name.clone(),
                about: format!(
                    "{} {} Method version {}.",
                    m.construction_words,
                    crate::error::sentence(&m.sign_words),
                    m.version
                ),
                where_words: view.words().to_owned(),
                rows: knowledge.yardsticks(&m.key).into_iter().map(row).collect(),
            });
        }
    }
    for item in knowledge.items() {
        groups.push(Group {
            key: item.key.clone(),
            name: item.name.clone(),
            about: item.words.clone(),
            where_words: "examination".to_owned(),
            rows: knowledge
                .item_yardsticks(&item.key)
                .into_iter()
                .map(row)
                .collect(),
        });
    }
    SourcesPage {
        shell,
        letters: Provenance::ALL
            .into_iter()
            .map(|p| (p.letter(), p.words(), letter_words(p)))
            .collect(),
        groups,
        sources: knowledge
            .sources()
            .map(|s| SourceRow {
                key: s.key.to_string(),
                citation: s.citation.clone(),
                address: s.address(),
                letter: s.provenance.letter(),
                provenance: s.provenance.words(),
                note: s.note.clone(),
            })
            .collect(),
    }
}

fn letter_words(provenance: Provenance) -> &'static str {
    match provenance {
        Provenance::Read => "The text or the table itself was read.",
        Provenance::Abstract => "Only the abstract was read.",
        Provenance::CommonPractice => "What the trade does, without a publication behind it.",
        Provenance::Unconfirmed => {
            "Known from memory only. Shown, and never decides anything alone."
        }
    }
}

fn row(y: &Yardstick) -> Row {
    Row {
        key: y.key.to_string(),
        says: says(&y.kind, y.unit),
        people: format!("{}; {}", y.population, y.ages_words()),
        n: y.n
            .map_or_else(|| "not printed".to_owned(), |n| n.to_string()),
        source: y.source.to_string(),
        letter: y.provenance.letter(),
        provenance: y.provenance.words(),
        note: y.note.clone().unwrap_or_default(),
    }
}

/// The statement of a row in words with its unit.
pub fn says(kind: &YardstickKind, unit: Unit) -> String {
    use YardstickKind::*;
    let v = |x: f64| {
        // As many decimals as the source needs, at most three.
        format!("{}{}", quantity::written_short(x, 3), unit.suffix())
    };
    let plain = |x: f64| quantity::written(x, 2);
    let span = |a: &Option<f64>, b: &Option<f64>| match (a, b) {
        (Some(a), Some(b)) => format!("{} to {}", v(*a), v(*b)),
        (Some(a), None) => format!("from {}", v(*a)),
        (None, Some(b)) => format!("up to {}", v(*b)),
        (None, None) => "no limits printed".to_owned(),
    };
    match kind {
        Norm { mean, sd } => format!("norm: mean {}, SD {}", v(*mean), v(*sd)),
        MeanOnly { mean } => format!("mean {}, spread not printed", v(*mean)),
        Median { median } => format!("median {}", v(*median)),
        Band { lower, upper } => format!("normal from {} to {}", v(*lower), v(*upper)),
        AbnormalAbove { cut } => format!("abnormal above {}", v(*cut)),
        AbnormalBelow { cut } => format!("abnormal below {}", v(*cut)),
        Grade { name, lower, upper } => format!("{name}: {}", span(lower, upper)),
        Target { lower, upper } => format!(
            "what an operation aims at, not a norm: {}",
            span(lower, upper)
        ),
        Group {
            mean,
            sd,
            lower,
            upper,
        } => {
            let mut said = "patients or picked people, not a norm".to_owned();
            if let Some(mean) = mean {
                said.push_str(&format!(": mean {}", v(*mean)));
            }
            if let Some(sd) = sd {
                said.push_str(&format!(", SD {}", v(*sd)));
            }
            if lower.is_some() || upper.is_some() {
                said.push_str(&format!(", {}", span(lower, upper)));
            }
            said
        }
        Percentile { percent, value } => {
            format!("{} % lie at or below {}", plain(*percent), v(*value))
        }
        RangeOfMeans { lower, upper } => format!(
            "means of several studies from {} to {}",
            v(*lower),
            v(*upper)
        ),
        Reliability {
            value,
            lower,
            upper,
            ..
        } => {
            let value = value.map(plain).unwrap_or_default();
            match (lower, upper) {
                (Some(a), Some(b)) => {
                    format!("agreement {value} ({} to {})", plain(*a), plain(*b)).replace("  ", " ")
                }
                _ => format!("agreement {value}"),
            }
        }
        ReadingError { sd, .. } => format!("SD of a reading's own error {}", v(*sd)),
        LimitsOfAgreement { lower, upper, .. } => {
            format!("repeats differ by {} to {}", v(*lower), v(*upper))
        }
        SmallestChange { change, .. } => {
            format!("change beyond the error of measuring: {}", v(*change))
        }
        MeaningfulChange {
            change,
            change_upper,
            start,
        } => {
            let mut said = format!("change that people call better or worse: {}", v(*change));
            if let Some(upper) = change_upper {
                said += &format!(" to {}", v(*upper));
            }
            if let Some([from, to]) = start {
                said += &format!(", where it began at {} to {}", plain(*from), plain(*to));
            }
            said
        }
        AgeRate { per_year } => format!("{} for each year of age", v(*per_year)),
        other => other.key().to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_said_with_its_unit_and_no_needless_zeros() {
        let norm = YardstickKind::Norm {
            mean: -4.5,
            sd: 2.0,
        };
        assert_eq!(says(&norm, Unit::Degree), "norm: mean −4.5°, SD 2°");
        let cut = YardstickKind::AbnormalAbove { cut: 0.175 };
        assert_eq!(says(&cut, Unit::Ratio), "abnormal above 0.175");
    }
}
