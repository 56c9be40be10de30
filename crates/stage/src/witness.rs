//! How one answer, number, total or reading speaks.

use crate::evidence::{Ask, FilmWitness, Witness, against};
use crate::facts::Facts;
use crate::place::{place, recalled_as_alarm};
use crate::report::Cite;
use crate::text;
use crate::thresholds::{Threshold, laxity_limit, of_criterion};
use crate::truth::Truth;
use exam::score;
use knowledge::{Answer, Criterion, CriterionKind, Knowledge};
use quantity::with_minus_signs;

/// What came of asking one thing.
#[derive(Default)]
pub(crate) struct Looked<'k> {
    pub witness: Option<Witness<'k>>,
    /// Questions and measures that could still speak.
    pub open: Vec<&'k str>,
    /// Who says the limits that were held against.
    pub cites: Vec<Cite>,
}

impl<'k> Looked<'k> {
    fn said(witness: Witness<'k>) -> Self {
        Looked {
            witness: Some(witness),
            ..Looked::default()
        }
    }

    fn silent(open: &[&'k str]) -> Self {
        Looked {
            open: open.to_vec(),
            ..Looked::default()
        }
    }

    fn citing(mut self, cuts: &[Threshold]) -> Self {
        self.cites.extend(cuts.iter().map(|c| c.cite.clone()));
        self
    }
}

/// Asks one thing about `sign`, whose cuts are looked up by its name.
pub(crate) fn ask<'k>(
    sign: &'static str,
    ask: &Ask,
    knowledge: &'k Knowledge,
    facts: &Facts<'_>,
) -> Looked<'k> {
    let cuts = |subject: &str| cuts_for(facts, sign, subject);
    match *ask {
        Ask::Of(key) => of_key(key, knowledge, facts),
        Ask::Against(key) => {
            let mut looked = of_key(key, knowledge, facts);
            if let Some(w) = &mut looked.witness {
                w.truth = only_against(w.truth);
                w.would_be = only_against(w.would_be);
                if w.would_be.is_unknown() {
                    w.says.clear();
                }
            }
            looked
        }
        Ask::Choice(key, yes, no) => choice(key, facts, &|given| {
            if yes.contains(&given) {
                Truth::True
            } else if no.contains(&given) {
                Truth::False
            } else {
                Truth::Unknown
            }
        }),
        Ask::Number(key) => number(key, &cuts(key), facts),
        Ask::Total(key) => total(key, &cuts(key), facts),
        Ask::Film(measure) => film(measure, cuts(measure), facts),
        Ask::Laxity => laxity(facts),
        Ask::Child => match (facts.is_child(), answer_of(facts, "age_years")) {
            (Some(child), Some(a)) => Looked::said(plain(child.into(), in_words("age_years", a))),
            _ => Looked::silent(&["age_years"]),
        },
    }
}

fn only_against(truth: Truth) -> Truth {
    if truth.is_true() {
        Truth::False
    } else {
        Truth::Unknown
    }
}

/// A criterion of the folder as a witness of a sign; one from memory says what it would, and no more.
fn of_key<'k>(key: &str, knowledge: &'k Knowledge, facts: &Facts<'_>) -> Looked<'k> {
    let Some(c) = knowledge.criterion(key) else {
        return Looked::default();
    };
    let mut looked = criterion(c, knowledge, facts);
    if let Some(w) = looked.witness.as_mut().filter(|_| !confirmed(c)) {
        w.truth = Truth::Unknown;
    }
    looked
}

/// One of several findings that add up: from memory its no counts, and its yes leaves them open.
pub(crate) fn part<'k>(
    c: &'k Criterion,
    knowledge: &'k Knowledge,
    facts: &Facts<'_>,
) -> Looked<'k> {
    let mut looked = criterion(c, knowledge, facts);
    if let Some(w) = looked.witness.as_mut().filter(|w| w.truth.is_true())
        && !confirmed(c)
    {
        w.truth = Truth::Unknown;
    }
    looked
}

pub(crate) fn confirmed(c: &Criterion) -> bool {
    c.provenance.may_decide_alone()
}

/// A criterion of the folder by itself: what was seen is told as seen, whatever stage it makes. A sign or a
/// composite says nothing here: it has witnesses of its own.
pub(crate) fn criterion<'k>(
    c: &'k Criterion,
    knowledge: &'k Knowledge,
    facts: &Facts<'_>,
) -> Looked<'k> {
    let cut = of_criterion(c, knowledge);
    match &c.kind {
        CriterionKind::Reading { measure, .. } => {
            film(measure.as_str(), cut.into_iter().collect(), facts)
        }
        CriterionKind::Finding {
            finding,
            answer,
            open,
        } => {
            let Ok(answer) = Answer::parse(answer) else {
                return Looked::default();
            };
            let open = open.as_ref().and_then(|o| Answer::parse(o).ok());
            let truth = |given: &str| {
                if answer.holds(given) {
                    Truth::True
                } else if open.as_ref().is_some_and(|o| o.holds(given)) {
                    Truth::Unknown
                } else {
                    Truth::False
                }
            };
            if TOTALS.contains(&finding.as_str()) {
                return total(finding, cut.as_slice(), facts);
            }
            match exam::question(finding).map(|q| &q.kind) {
                Some(exam::Kind::Choice { .. }) => {
                    with_what_ended_it(choice(finding, facts, &truth), finding, facts)
                }
                Some(exam::Kind::Number { .. }) if cut.is_some() => {
                    number(finding, cut.as_slice(), facts)
                }
                Some(exam::Kind::Number { .. }) => counted(finding, facts, &truth),
                _ => Looked::default(),
            }
        }
        CriterionKind::Composite { .. } => Looked::default(),
    }
}

fn cuts_for(facts: &Facts<'_>, sign: &str, subject: &str) -> Vec<Threshold> {
    facts
        .thresholds
        .iter()
        .filter(|t| t.criterion == sign && t.subject == subject)
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

/// As answered, and that it was measured rather than seen.
pub(crate) fn told(facts: &Facts<'_>, key: &str, answer: &exam::Answer) -> String {
    let said = in_words(key, answer);
    match (facts.exam.measured(key), facts.exam.overruled(key)) {
        (Some(_), None) => format!("{said}; measured"),
        (Some(_), Some(_)) => format!("{said}; measured otherwise and the answer given is used"),
        (None, _) => said,
    }
}

fn with_unit(number: &str, unit: &str) -> String {
    match unit {
        "deg" => format!("{number}°"),
        "ratio" => number.to_owned(),
        _ => format!("{number} {unit}"),
    }
}

fn plain<'k>(truth: Truth, says: String) -> Witness<'k> {
    Witness {
        truth,
        would_be: truth,
        says,
        says_as_alarm: None,
        film: None,
    }
}

fn choice<'k>(key: &'k str, facts: &Facts<'_>, truth: &dyn Fn(&str) -> Truth) -> Looked<'k> {
    match answer_of(facts, key) {
        Some(answer @ exam::Answer::Choice { choice }) => {
            let truth = truth(choice);
            let told = told(facts, key, answer);
            let says = if truth.is_unknown() {
                unsettled(key, told)
            } else {
                told
            };
            Looked::said(plain(truth, says))
        }
        _ => Looked::silent(&[key]),
    }
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

/// What ended a heel rise is told with it; pain is no proof (Wheeless, read).
fn with_what_ended_it<'k>(mut looked: Looked<'k>, question: &str, facts: &Facts<'_>) -> Looked<'k> {
    let ended = facts.exam.get("heel_rise_stopped_by");
    if let (Some(w), "heel_rise_single", Some(ended)) = (&mut looked.witness, question, ended) {
        w.says = format!("{}; {}", w.says, in_words("heel_rise_stopped_by", ended));
    }
    let pain = facts.exam.choice("heel_rise_stopped_by").value() == Some("pain");
    let heel_rise = ["heel_rise_single", "heel_rise_turns_in"].contains(&question);
    if let Some(w) = looked
        .witness
        .as_mut()
        .filter(|w| pain && heel_rise && w.truth.is_true())
    {
        w.says += "; stopped by pain, which is not proof of a torn tendon";
    }
    looked
}

/// A number against cuts.
fn number<'k>(key: &'k str, cuts: &[Threshold], facts: &Facts<'_>) -> Looked<'k> {
    let looked = match answer_of(facts, key) {
        Some(answer @ &exam::Answer::Number { number, .. }) => {
            let (truth, would_be) = (against(cuts, number, true), against(cuts, number, false));
            let told = told(facts, key, answer);
            Looked::said(Witness {
                truth,
                would_be,
                says: format!("{told}; {}", place(cuts, number, truth, would_be)),
                says_as_alarm: recalled_as_alarm(&told, cuts),
                film: None,
            })
        }
        _ => Looked::silent(&[key]),
    };
    looked.citing(cuts)
}

/// A number that makes a criterion true by a range or by being just that.
fn counted<'k>(key: &'k str, facts: &Facts<'_>, truth: &dyn Fn(&str) -> Truth) -> Looked<'k> {
    match answer_of(facts, key) {
        Some(answer @ exam::Answer::Number { number, .. }) => {
            let told = told(facts, key, answer);
            Looked::said(plain(truth(&number.to_string()), told))
        }
        _ => Looked::silent(&[key]),
    }
}

/// Totals of the examination that a criterion may name like a question.
pub(crate) const TOTALS: [&str; 2] = ["posture_total", "clot_total"];

fn total<'k>(key: &str, cuts: &[Threshold], facts: &Facts<'_>) -> Looked<'k> {
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
        return Looked::silent(items).citing(cuts);
    }
    let both = |confirmed_only| {
        let (low, high) = (
            against(cuts, f64::from(total.low), confirmed_only),
            against(cuts, f64::from(total.high), confirmed_only),
        );
        if low == high { low } else { Truth::Unknown }
    };
    let (truth, would_be) = (both(true), both(false));
    let told = format!("{name}: {}", with_minus_signs(&total.words()));
    let says = format!(
        "{told}; {}",
        place(cuts, f64::from(total.low), truth, would_be)
    );
    Looked::said(Witness {
        truth,
        would_be,
        says,
        says_as_alarm: recalled_as_alarm(&told, cuts),
        film: None,
    })
    .citing(cuts)
}

/// Probability that has to lie beyond every cut before a reading counts as a yes (or a no).
const SURE: f64 = 0.975;

fn film<'k>(measure: &'k str, cuts: Vec<Threshold>, facts: &Facts<'_>) -> Looked<'k> {
    let Some(reading) = facts.readings.get(measure) else {
        return Looked::silent(&[measure]).citing(&cuts);
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
        let mut looked = Looked::said(plain(Truth::Unknown, says)).citing(&cuts);
        looked.open.push(measure);
        return looked;
    }
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
    let looked = Looked::default().citing(&cuts);
    Looked {
        witness: Some(Witness {
            truth,
            would_be,
            says,
            says_as_alarm: None,
            film: Some(FilmWitness {
                measure,
                reading: *reading,
                cuts,
            }),
        }),
        ..looked
    }
}

/// The limit falls with puberty and again with 50; without either, every limit has to agree.
///
/// # Sources
/// FPNotebookBeighton; not to be used alone (Malek2021).
fn laxity<'k>(facts: &Facts<'_>) -> Looked<'k> {
    let total = score::laxity_total(facts.person);
    if total.answered == 0 {
        return Looked::silent(&score::LAXITY_ITEMS);
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
    Looked::said(plain(
        truth,
        format!("Loose-joint total: {}; counts when {limit}", total.words()),
    ))
}
