//! How the answers and readings speak for or against one criterion.
//!
//! A criterion has witnesses. An answer speaks through the choices that count for and against it; a
//! number speaks through the published cuts; a reading does so with its error. Witnesses either have to
//! agree ([`Mode::Agree`]: one who disagrees leaves nothing known) or add up ([`Mode::AnyOf`]: one yes is
//! enough, a no needs them all).

use crate::facts::{Facts, FilmReading};
use crate::report::Cite;
use crate::text;
use crate::thresholds::{Threshold, laxity_limit};
use crate::truth::Truth;
use exam::score;
use quantity::with_minus_signs;

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
    /// The same for an alarm sign, where an unconfirmed limit counts.
    pub says_as_alarm: Option<String>,
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
    format!("{}: {}", q.words, with_minus_signs(&value))
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
        says_as_alarm: None,
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
        Truth::Unknown => unsettled(key, in_words(key, answer)),
        _ => in_words(key, answer),
    };
    Ok(plain(truth, says))
}

/// An answer between yes and no, and what would settle it where that can be said.
fn unsettled(key: &str, told: String) -> String {
    let needed = match key {
        "heel_corrects" => {
            ": neither flexible nor rigid; look again whether all of the drift comes back"
        }
        "forefoot_varus_corrects" => {
            ": neither flexible nor fixed; look again, heel held neutral, whether all of it comes down"
        }
        "forefoot_drift_corrects" | "ankle_tilt_corrects" => {
            ": neither flexible nor rigid; look again whether all of it comes back"
        }
        _ => ", which settles neither",
    };
    format!("{told}{needed}")
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
    let told = in_words(key, answer);
    let says = format!("{told}; {}", place(&cuts, number, truth, would_be));
    Ok(Witness {
        truth,
        would_be,
        says,
        says_as_alarm: recalled_as_alarm(&told, &cuts),
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
    let told = format!("{name}: {}", with_minus_signs(&total.words()));
    let says = format!(
        "{told}; {}",
        place(&cuts, f64::from(total.low), truth, would_be)
    );
    Ok(Witness {
        truth,
        would_be,
        says,
        says_as_alarm: recalled_as_alarm(&told, &cuts),
        film: None,
    })
}

/// Probability that has to lie beyond every cut before a reading counts as a yes (or a no).
const SURE: f64 = 0.975;

fn film_witness(criterion: &'static str, measure: &'static str, facts: &Facts<'_>) -> Looked {
    let Some(reading) = facts.readings.get(measure) else {
        return Err(vec![measure]);
    };
    let name = text::measure_name(measure);
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
        place(&cuts, reading.estimate.value, truth, would_be)
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
        says_as_alarm: None,
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

/// Where a number lies, in words that name the limits and who says so.
fn place(cuts: &[Threshold], value: f64, truth: Truth, would_be: Truth) -> String {
    let of = |confirmed: bool| -> Vec<&Threshold> {
        cuts.iter().filter(|c| c.confirmed() == confirmed).collect()
    };
    let (firm, recalled) = (of(true), of(false));
    if cuts.is_empty() {
        return "no published limit to hold it against".to_owned();
    }
    if firm.is_empty() {
        return only_recalled(&recalled, would_be);
    }
    let named = |say: &dyn Fn(&Threshold) -> String| {
        let parts: Vec<String> = firm.iter().map(|c| say(c)).collect();
        terms::listed(&parts)
    };
    match truth {
        Truth::True => named(&Threshold::words),
        Truth::False => named(&Threshold::words_not),
        Truth::Unknown => {
            let holding = firm.iter().filter(|c| c.holds(value)).count();
            let limits = named(&Threshold::words);
            match (firm.len(), holding) {
                (1, _) => format!("too close to the limit to tell: {limits}"),
                (n, k) if k == 0 || k == n => {
                    format!("too close to the limits to tell: {limits}")
                }
                _ => {
                    let sides: Vec<String> = firm
                        .iter()
                        .map(|c| {
                            if c.holds(value) {
                                c.words()
                            } else {
                                c.words_not()
                            }
                        })
                        .collect();
                    format!("between the limits: {}", terms::listed(&sides))
                }
            }
        }
    }
}

/// An alarm sign may be raised on an unconfirmed limit; the reader is told that it was.
fn recalled_as_alarm(told: &str, cuts: &[Threshold]) -> Option<String> {
    if cuts.is_empty() || cuts.iter().any(Threshold::confirmed) {
        return None;
    }
    let named: Vec<String> = cuts.iter().map(Threshold::words).collect();
    Some(format!(
        "{told}; {}: unconfirmed, and enough for an alarm sign",
        terms::listed(&named)
    ))
}

fn only_recalled(cuts: &[&Threshold], would_be: Truth) -> String {
    let named: Vec<String> = cuts.iter().map(|c| c.words()).collect();
    let named = terms::listed(&named);
    let would = match would_be {
        Truth::True => "; it would say yes",
        Truth::False => "; it would say no",
        Truth::Unknown => "",
    };
    // A source that was read may still not judge: its people were picked, or it asks another question.
    let recalled = cuts.iter().all(|c| c.cite.letter == 'u');
    let what = if recalled {
        "unconfirmed"
    } else {
        "shown only"
    };
    if cuts.len() == 1 {
        format!("the only yardstick, {named}, is {what} and does not decide{would}")
    } else {
        let would = would.replace("; it", "; they");
        format!("the only yardsticks, {named}, are {what} and do not decide{would}")
    }
}

impl Threshold {
    /// `more than 8 mm (Saltzman1995 a)`.
    pub fn words(&self) -> String {
        format!("{} {}", self.direction.words(), self.shown_with_source())
    }

    /// `at most 8 mm (Saltzman1995 a)` for a cut above 8 mm that is not passed.
    pub fn words_not(&self) -> String {
        format!(
            "{} {}",
            self.direction.words_not(),
            self.shown_with_source()
        )
    }

    fn shown_with_source(&self) -> String {
        format!("{} ({} {})", self.shown, self.cite.key, self.cite.letter)
    }
}
