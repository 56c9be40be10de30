//! How the answers and readings speak for or against one criterion.
//!
//! A criterion has witnesses. An answer speaks through the choices that count for and against it; a
//! number speaks through the published cuts; a reading does so with its error. Witnesses either have to
//! agree ([`Mode::Agree`]: one who disagrees leaves nothing known) or add up ([`Mode::AnyOf`]: one yes is
//! enough, a no needs them all).

use crate::facts::{Facts, FilmReading};
use crate::report::Cite;
use crate::thresholds::{Threshold, laxity_limit};
use crate::truth::Truth;
use exam::score;

/// One thing that is asked about a criterion.
pub(crate) enum Ask {
    /// A choice question: answers that count as yes, answers that count as no; others leave it open.
    Choice(
        &'static str,
        &'static [&'static str],
        &'static [&'static str],
    ),
    /// A number of the examination against the cuts.
    Number(&'static str),
    /// A total of the examination against the cuts, by its bounds.
    Total(&'static str),
    /// A reading against the cuts.
    Film(&'static str),
    /// The heel rise, which takes two answers together.
    HeelRise,
    /// The loose-joint total against the limit for age and puberty.
    Laxity,
    /// Age under 18.
    Child,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mode {
    Agree,
    AnyOf,
}

/// A criterion before anybody looked.
pub(crate) struct Spec {
    pub key: &'static str,
    pub words: &'static str,
    pub mode: Mode,
    pub asks: &'static [Ask],
    pub cites: &'static [(&'static str, char)],
}

/// What one witness said.
#[derive(Debug, Clone)]
pub(crate) struct Witness {
    pub truth: Truth,
    /// With unconfirmed cuts let in where no confirmed one speaks.
    pub would_be: Truth,
    pub says: String,
    pub film: Option<FilmWitness>,
}

/// A reading that may decide, with the cuts it is held against.
#[derive(Debug, Clone)]
pub(crate) struct FilmWitness {
    pub measure: &'static str,
    pub reading: FilmReading,
    pub cuts: Vec<Threshold>,
}

/// A criterion after looking.
#[derive(Debug, Clone)]
pub(crate) struct Leaf {
    pub key: &'static str,
    pub words: &'static str,
    pub any_of: bool,
    pub witnesses: Vec<Witness>,
    /// Witnesses that are still silent: question and measure keys.
    pub open: Vec<&'static str>,
    pub cites: Vec<Cite>,
}

impl Leaf {
    pub fn truth(&self) -> Truth {
        self.combine(|w| w.truth)
    }

    pub fn would_be(&self) -> Truth {
        self.combine(|w| w.would_be)
    }

    /// The truth when each reading had exactly the value that `at` gives.
    pub fn truth_at(&self, confirmed_only: bool, at: &dyn Fn(&str) -> Option<f64>) -> Truth {
        self.combine(|w| match &w.film {
            Some(film) => match at(film.measure) {
                Some(value) => against(&film.cuts, value, confirmed_only),
                None => Truth::Unknown,
            },
            None if confirmed_only => w.truth,
            None => w.would_be,
        })
    }

    fn combine(&self, of: impl Fn(&Witness) -> Truth) -> Truth {
        let truths = self.witnesses.iter().map(of);
        if self.any_of {
            let silent = if self.open.is_empty() {
                Truth::False
            } else {
                Truth::Unknown
            };
            truths.fold(silent, Truth::or)
        } else {
            // Order must not matter: a yes and a no leave nothing known, whoever speaks afterwards.
            let all: Vec<Truth> = truths.collect();
            if all.contains(&Truth::True) && all.contains(&Truth::False) {
                Truth::Unknown
            } else {
                all.into_iter().fold(Truth::Unknown, Truth::agree)
            }
        }
    }

    pub fn disagree(&self) -> bool {
        !self.any_of
            && self.witnesses.iter().any(|w| w.truth.is_true())
            && self.witnesses.iter().any(|w| w.truth.is_false())
    }

    pub fn films(&self) -> impl Iterator<Item = &FilmWitness> {
        self.witnesses.iter().filter_map(|w| w.film.as_ref())
    }
}

/// Holds a number against cuts: yes when every speaking cut says yes, no when every one says no.
pub(crate) fn against(cuts: &[Threshold], value: f64, confirmed_only: bool) -> Truth {
    let confirmed = cuts.iter().any(Threshold::confirmed);
    let mut speaking = cuts
        .iter()
        .filter(|c| c.confirmed() || (!confirmed && !confirmed_only))
        .map(|c| c.holds(value));
    match speaking.next() {
        None => Truth::Unknown,
        Some(first) if speaking.all(|h| h == first) => first.into(),
        Some(_) => Truth::Unknown,
    }
}

pub(crate) fn look(spec: &'static Spec, facts: &Facts<'_>) -> Leaf {
    let mut leaf = Leaf {
        key: spec.key,
        words: spec.words,
        any_of: spec.mode == Mode::AnyOf,
        witnesses: Vec::new(),
        open: Vec::new(),
        cites: spec.cites.iter().map(|&(k, l)| Cite::new(k, l)).collect(),
    };
    for ask in spec.asks {
        match witness(spec.key, ask, facts) {
            Ok(w) => {
                if let (Ask::Film(measure), None) = (ask, &w.film) {
                    leaf.open.push(measure);
                }
                leaf.witnesses.push(w);
            }
            Err(open) => leaf.open.extend(open),
        }
        if let Ask::Number(subject) | Ask::Total(subject) | Ask::Film(subject) = ask {
            leaf.cites.extend(
                cuts_for(facts, spec.key, subject)
                    .into_iter()
                    .map(|c| c.cite),
            );
        }
    }
    leaf.cites.sort();
    leaf.cites.dedup();
    leaf
}

fn cuts_for(facts: &Facts<'_>, criterion: &str, subject: &str) -> Vec<Threshold> {
    facts
        .thresholds
        .iter()
        .filter(|t| t.criterion == criterion && t.subject == subject)
        .cloned()
        .collect()
}

fn answer_of<'a>(facts: &'a Facts<'_>, key: &str) -> Option<&'a exam::Answer> {
    facts
        .exam
        .get(key)
        .or_else(|| facts.person.get(key))
        .or_else(|| facts.flags.get(key))
}

/// `Heel seen from behind: clearly outwards`.
pub(crate) fn in_words(key: &str, answer: &exam::Answer) -> String {
    let Some(q) = exam::question(key) else {
        return answer.as_text();
    };
    let value = match (&q.kind, answer) {
        (exam::Kind::Choice { choices }, exam::Answer::Choice { choice }) => choices
            .iter()
            .find(|c| c.key == choice)
            .map_or_else(|| choice.clone(), |c| c.words.to_owned()),
        (exam::Kind::Number { unit, .. }, _) => with_unit(&answer.as_text(), unit),
        _ => answer.as_text(),
    };
    format!("{}: {value}", q.words)
}

fn with_unit(number: &str, unit: &str) -> String {
    match unit {
        "deg" => format!("{number}°"),
        "ratio" => number.to_owned(),
        _ => format!("{number} {unit}"),
    }
}

fn plain(truth: Truth, says: String) -> Witness {
    Witness {
        truth,
        would_be: truth,
        says,
        film: None,
    }
}

type Looked = Result<Witness, Vec<&'static str>>;

fn witness(criterion: &'static str, ask: &Ask, facts: &Facts<'_>) -> Looked {
    match *ask {
        Ask::Choice(key, yes, no) => choice_witness(key, yes, no, facts),
        Ask::Number(key) => number_witness(criterion, key, facts),
        Ask::Total(key) => total_witness(criterion, key, facts),
        Ask::Film(measure) => film_witness(criterion, measure, facts),
        Ask::HeelRise => heel_rise_witness(facts),
        Ask::Laxity => laxity_witness(facts),
        Ask::Child => match (facts.is_child(), answer_of(facts, "age_years")) {
            (Some(child), Some(a)) => Ok(plain(child.into(), in_words("age_years", a))),
            _ => Err(vec!["age_years"]),
        },
    }
}

fn choice_witness(key: &'static str, yes: &[&str], no: &[&str], facts: &Facts<'_>) -> Looked {
    let Some(answer) = answer_of(facts, key) else {
        return Err(vec![key]);
    };
    let exam::Answer::Choice { choice } = answer else {
        return Err(vec![key]);
    };
    let truth = if yes.contains(&choice.as_str()) {
        Truth::True
    } else if no.contains(&choice.as_str()) {
        Truth::False
    } else {
        Truth::Unknown
    };
    let says = match truth {
        // A question that can only speak on one side is silent on the other.
        Truth::Unknown if yes.is_empty() || no.is_empty() => String::new(),
        Truth::Unknown => format!("{}, which settles neither", in_words(key, answer)),
        _ => in_words(key, answer),
    };
    Ok(plain(truth, says))
}

fn number_witness(criterion: &'static str, key: &'static str, facts: &Facts<'_>) -> Looked {
    let Some(answer) = answer_of(facts, key) else {
        return Err(vec![key]);
    };
    let &exam::Answer::Number { number, .. } = answer else {
        return Err(vec![key]);
    };
    let cuts = cuts_for(facts, criterion, key);
    let (truth, would_be) = (against(&cuts, number, true), against(&cuts, number, false));
    let says = format!(
        "{}; {}",
        in_words(key, answer),
        place(&cuts, truth, would_be)
    );
    Ok(Witness {
        truth,
        would_be,
        says,
        film: None,
    })
}

fn total_witness(criterion: &'static str, key: &'static str, facts: &Facts<'_>) -> Looked {
    let (total, name, items): (score::Total, &str, &'static [&'static str]) = match key {
        "posture_total" => (
            score::posture_total(facts.exam),
            "Six-item posture total",
            &score::POSTURE_ITEMS,
        ),
        _ => (
            score::clot_total(facts.flags),
            "Points of the clot rule",
            &score::CLOT_ITEMS,
        ),
    };
    if total.answered == 0 {
        return Err(items.to_vec());
    }
    let cuts = cuts_for(facts, criterion, key);
    let both = |confirmed_only| {
        let (low, high) = (
            against(&cuts, f64::from(total.low), confirmed_only),
            against(&cuts, f64::from(total.high), confirmed_only),
        );
        if low == high { low } else { Truth::Unknown }
    };
    let (truth, would_be) = (both(true), both(false));
    let says = format!(
        "{name}: {}; {}",
        total.words(),
        place(&cuts, truth, would_be)
    );
    Ok(Witness {
        truth,
        would_be,
        says,
        film: None,
    })
}

/// Probability that has to lie beyond every cut before a reading counts as a yes (or a no).
const SURE: f64 = 0.975;

fn film_witness(criterion: &'static str, measure: &'static str, facts: &Facts<'_>) -> Looked {
    let Some(reading) = facts.readings.get(measure) else {
        return Err(vec![measure]);
    };
    let name = crate::text::measure_name(measure);
    if !reading.usable() {
        let says = if reading.stance == terms::Stance::Standing {
            format!("{name} has no usable value or error: shown, does not decide")
        } else {
            format!(
                "{name} {}, {}: shown, does not decide",
                reading.estimate,
                reading.stance.words()
            )
        };
        // Shown in the reasons; counts as nobody having looked.
        return Ok(plain(Truth::Unknown, says));
    }
    let cuts = cuts_for(facts, criterion, measure);
    let sure = |confirmed_only| {
        let p = crate::chance::of_cuts(&cuts, reading.estimate, confirmed_only);
        if p.holds >= SURE {
            Truth::True
        } else if p.possible <= 1.0 - SURE {
            Truth::False
        } else {
            Truth::Unknown
        }
    };
    let (truth, would_be) = (sure(true), sure(false));
    let says = format!(
        "{name} {}; {}",
        reading.estimate,
        place_film(&cuts, reading, truth, would_be)
    );
    let film = Some(FilmWitness {
        measure,
        reading: *reading,
        cuts,
    });
    Ok(Witness {
        truth,
        would_be,
        says,
        film,
    })
}

fn heel_rise_witness(facts: &Facts<'_>) -> Looked {
    let able = facts.exam.choice("heel_rise_single").value();
    let turns = facts.exam.yes("heel_rise_turns_in");
    let told = |key: &str| facts.exam.get(key).map(|a| in_words(key, a));
    let mut says: Vec<String> = [
        "heel_rise_single",
        "heel_rise_turns_in",
        "heel_rise_stopped_by",
    ]
    .iter()
    .filter_map(|k| told(k))
    .collect();
    let truth = match (able, turns) {
        (Some("unable"), _) | (_, Some(false)) => Truth::True,
        (Some("able"), Some(true)) => Truth::False,
        (None, None) => return Err(vec!["heel_rise_single", "heel_rise_turns_in"]),
        _ => Truth::Unknown,
    };
    if truth.is_true() && facts.exam.choice("heel_rise_stopped_by").value() == Some("pain") {
        says.push("stopped by pain, which is not proof of a torn tendon".to_owned());
    }
    Ok(plain(truth, says.join("; ")))
}

/// The limit falls with puberty and again with 50; without either, every limit has to agree.
///
/// # Sources
/// FPNotebookBeighton; not to be used alone (Malek2021).
fn laxity_witness(facts: &Facts<'_>) -> Looked {
    let total = score::laxity_total(facts.person);
    if total.answered == 0 {
        return Err(score::LAXITY_ITEMS.to_vec());
    }
    const BEFORE: &str = "laxity-before-puberty";
    const AFTER: &str = "laxity-after-puberty";
    let rows: &[&str] = match (facts.person.yes("puberty_done"), facts.age()) {
        (_, Some(age)) if age > 50.0 => &["laxity-over-50"],
        (Some(true), _) => &[AFTER],
        (Some(false), _) => &[BEFORE],
        (None, Some(age)) if age >= 18.0 => &[AFTER],
        (None, Some(age)) if age < 8.0 => &[BEFORE],
        (None, Some(_)) => &[BEFORE, AFTER],
        (None, None) => &[BEFORE, AFTER, "laxity-over-50"],
    };
    let limits: Vec<f64> = rows
        .iter()
        .filter_map(|r| laxity_limit(facts.knowledge, r))
        .collect();
    let truth = if limits.is_empty() {
        Truth::Unknown
    } else if limits.iter().all(|l| f64::from(total.low) > *l) {
        Truth::True
    } else if limits.iter().all(|l| f64::from(total.high) <= *l) {
        Truth::False
    } else {
        Truth::Unknown
    };
    let limit = limits
        .iter()
        .map(|l| format!("over {l}"))
        .collect::<Vec<_>>()
        .join(" or ");
    Ok(plain(
        truth,
        format!("Loose-joint total: {}; counts when {limit}", total.words()),
    ))
}

/// Where a number lies, in words that name the cuts.
fn place(cuts: &[Threshold], truth: Truth, would_be: Truth) -> String {
    let list = |confirmed: bool| {
        let named: Vec<String> = cuts
            .iter()
            .filter(|c| c.confirmed() == confirmed)
            .map(Threshold::words)
            .collect();
        named.join(", ")
    };
    if cuts.is_empty() {
        "no published cut to hold it against".to_owned()
    } else if cuts.iter().all(|c| !c.confirmed()) {
        format!(
            "cannot tell from confirmed sources; by {} it would be {}",
            list(false),
            would_be.word()
        )
    } else {
        match truth {
            Truth::True => format!("yes by {}", list(true)),
            Truth::False => format!("no by {}", list(true)),
            Truth::Unknown => format!("not sure either way of {}", list(true)),
        }
    }
}

fn place_film(cuts: &[Threshold], reading: &FilmReading, truth: Truth, would_be: Truth) -> String {
    if cuts.is_empty() || !(truth.is_unknown() && would_be.is_unknown()) {
        return place(cuts, truth, would_be);
    }
    let confirmed_only = cuts.iter().any(Threshold::confirmed);
    let p = crate::chance::of_cuts(cuts, reading.estimate, confirmed_only);
    let placed = place(cuts, truth, would_be);
    if (p.possible - p.holds).abs() < 0.005 {
        format!("{placed}; yes with probability {:.2}", p.holds)
    } else {
        format!(
            "{placed}; yes by all of them with probability {:.2}, by one of them with {:.2}",
            p.holds, p.possible
        )
    }
}

impl Threshold {
    /// `above 8 mm (Saltzman1995, a: 80 % of healthy adults lie within 8 mm)`.
    pub fn words(&self) -> String {
        format!(
            "{} {} ({}, {}: {})",
            self.direction.words(),
            self.cut,
            self.cite.key,
            self.cite.letter,
            self.says
        )
    }
}
