//! What may speak against a rung: circulation, feeling, skin, clot, medicines, tear.
//!
//! A check that rests on a question nobody answered is 'not recorded'. That is neither clear nor a reason
//! to hold back; it is a thing to look at first, and is shown so.

use exam::{Examination, RedFlags, Story, score};
use serde::{Deserialize, Serialize};
use stage::{StageReport, Truth};

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CheckState {
    /// Looked at, nothing speaks against it.
    Clear,
    /// Not all of it was looked at.
    NotRecorded,
    /// With care.
    Caution,
    /// Speaks against the rung.
    Against,
}

/// One check with its outcome.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Check {
    pub key: String,
    pub state: CheckState,
    pub words: String,
    /// Questions that are open.
    pub ask: Vec<String>,
}

/// All checks.
pub const KEYS: [&str; 14] = [
    "feeling",
    "flow",
    "clot",
    "skin",
    "heart",
    "paste",
    "nsaid",
    "tear",
    "corrects",
    "oedema",
    "hands",
    "deformity",
    "injection",
    "fitness",
];

pub(crate) struct Known<'a> {
    pub person: &'a Story,
    pub exam: &'a Examination,
    pub flags: &'a RedFlags,
    pub report: &'a StageReport,
}

/// Ankle-brachial index below which compression is not used at all.
///
/// # Sources
/// Recalled, unconfirmed; it holds back and never lets through.
const INDEX_NONE: f64 = 0.5;
/// Below this compression belongs to a specialist (recalled, unconfirmed).
const INDEX_SPECIALIST: f64 = 0.8;

pub(crate) fn run(key: &str, k: &Known<'_>) -> Check {
    match key {
        "feeling" => feeling(k),
        "flow" => flow(k),
        "clot" => clot(k),
        "skin" => list(
            k,
            key,
            "Skin",
            Kind::Against,
            &["skin_ulcer", "skin_infection", "skin_weeping"],
            &["skin_fragile"],
        ),
        "heart" => list(k, key, "Heart", Kind::Against, &["heart_failure"], &[]),
        "paste" => list(k, key, "Paste", Kind::Against, &["paste_allergy"], &[]),
        "nsaid" => nsaid(k),
        "tear" => tear(k),
        "corrects" => corrects(k),
        "oedema" => oedema(k),
        "hands" => list(k, key, "Hands", Kind::Against, &["hands_weak"], &[]),
        "deformity" => deformity(k),
        "injection" => injection(k),
        _ => list(
            k,
            "fitness",
            "Fitness for surgery",
            Kind::Caution,
            &[
                "nicotine",
                "diabetes_uncontrolled",
                "takes_steroid",
                "known_neuropathy",
            ],
            &[],
        ),
    }
}

enum Kind {
    Against,
    Caution,
}

fn done(key: &str, state: CheckState, words: impl Into<String>) -> Check {
    Check {
        key: key.to_owned(),
        state,
        words: words.into(),
        ask: Vec::new(),
    }
}

fn open(key: &str, words: impl Into<String>, ask: &[&str]) -> Check {
    let ask = ask.iter().map(|a| (*a).to_owned()).collect();
    Check {
        key: key.to_owned(),
        state: CheckState::NotRecorded,
        words: words.into(),
        ask,
    }
}

fn yes(k: &Known<'_>, key: &str) -> Option<bool> {
    k.exam
        .yes(key)
        .or_else(|| k.person.yes(key))
        .or_else(|| k.flags.yes(key))
}

fn words(key: &str) -> &'static str {
    exam::question(key).map_or("", |q| q.words)
}

/// Yes-or-no questions: `main` of the given kind, `mild` only a caution.
fn list(k: &Known<'_>, key: &str, name: &str, kind: Kind, main: &[&str], mild: &[&str]) -> Check {
    let there = |keys: &[&str]| -> Vec<&str> {
        keys.iter()
            .filter(|q| yes(k, q) == Some(true))
            .map(|q| words(q))
            .collect()
    };
    let open_keys: Vec<&str> = main
        .iter()
        .chain(mild)
        .filter(|q| yes(k, q).is_none())
        .copied()
        .collect();
    let (bad, soft) = (there(main), there(mild));
    if !bad.is_empty() {
        let state = match kind {
            Kind::Against => CheckState::Against,
            Kind::Caution => CheckState::Caution,
        };
        done(key, state, format!("{name}: {}", bad.join("; ")))
    } else if !open_keys.is_empty() {
        open(key, format!("{name}: not recorded"), &open_keys)
    } else if !soft.is_empty() {
        done(
            key,
            CheckState::Caution,
            format!("{name}: {}", soft.join("; ")),
        )
    } else {
        done(
            key,
            CheckState::Clear,
            format!("{name}: nothing against it"),
        )
    }
}

const FILAMENTS: [&str; 3] = ["filament_great_toe", "filament_mt1", "filament_mt5"];

/// Does a foot feel what protects it? `None`: not all three places were asked, and none was lost.
pub fn protective_feeling(story: &Story, exam: &Examination) -> Option<bool> {
    let at = |key: &str| exam.choice(key).value();
    let lost = FILAMENTS.iter().any(|f| at(f) == Some("not_felt"));
    if lost || story.yes("known_neuropathy") == Some(true) {
        return Some(false);
    }
    FILAMENTS.iter().all(|f| at(f).is_some()).then_some(true)
}

fn feeling(k: &Known<'_>) -> Check {
    match protective_feeling(k.person, k.exam) {
        Some(false) => done("feeling", CheckState::Caution, "Protective feeling is lost"),
        Some(true) => done("feeling", CheckState::Clear, "Protective feeling is there"),
        None => {
            let missing: Vec<&str> = FILAMENTS
                .into_iter()
                .filter(|f| k.exam.choice(f).value().is_none())
                .collect();
            open("feeling", "Protective feeling: not recorded", &missing)
        }
    }
}

fn flow(k: &Known<'_>) -> Check {
    let pulse = |key: &str| k.exam.choice(key).value();
    let pulses = [pulse("pulse_dorsal"), pulse("pulse_tibial")];
    match k.exam.number("ankle_brachial_index").value() {
        Some(index) if index < INDEX_NONE => done(
            "flow",
            CheckState::Against,
            format!("Ankle-brachial index {index}: below {INDEX_NONE} (unconfirmed limit)"),
        ),
        Some(index) if index < INDEX_SPECIALIST => done(
            "flow",
            CheckState::Against,
            format!(
                "Ankle-brachial index {index}: below {INDEX_SPECIALIST}, only with a specialist (unconfirmed limit)"
            ),
        ),
        Some(index) => done(
            "flow",
            CheckState::Clear,
            format!("Ankle-brachial index {index}; stiff arteries read too high"),
        ),
        None if pulses.iter().any(|p| matches!(p, Some("weak" | "absent"))) => {
            let mut check = done(
                "flow",
                CheckState::Against,
                "A pulse is weak or missing: measure the ankle-brachial index first",
            );
            check.ask.push("ankle_brachial_index".to_owned());
            check
        }
        None if pulses.iter().all(|p| *p == Some("strong")) => {
            done("flow", CheckState::Clear, "Both pulses easily felt")
        }
        None => open(
            "flow",
            "Pulses and ankle-brachial index: not recorded",
            &["pulse_dorsal", "pulse_tibial", "ankle_brachial_index"],
        ),
    }
}

/// Two points or more hold back (Wells; the limit of two is recalled, unconfirmed).
fn clot(k: &Known<'_>) -> Check {
    let total = score::clot_total(k.flags);
    if total.low >= 2 {
        done("clot", CheckState::Against, "Clot in the leg is likely")
    } else if total.high < 2 {
        done(
            "clot",
            CheckState::Clear,
            format!("Clot rule: {} points", total.words()),
        )
    } else {
        open("clot", "Clot in the leg: not recorded", &score::CLOT_ITEMS)
    }
}

const NSAID_NEVER: [&str; 4] = [
    "heart_failure",
    "liver_failure",
    "stomach_ulcer_now",
    "kidney_disease",
];
const NSAID_CARE: [&str; 8] = [
    "stomach_ulcer_before",
    "takes_aspirin",
    "takes_anticoagulant",
    "takes_steroid",
    "takes_ssri",
    "takes_ace_or_arb",
    "takes_diuretic",
    "asthma",
];

/// Whether anything speaks against anti-inflammatory tablets.
///
/// # Sources
/// GGCNSAID, NIformulary, DevonNSAID (read).
fn nsaid(k: &Known<'_>) -> Check {
    let pregnancy = k.person.choice("pregnancy").value();
    if matches!(pregnancy, Some("from_20" | "after_28")) {
        return done(
            "nsaid",
            CheckState::Against,
            "Pregnancy from week 20: avoid; never after week 28",
        );
    }
    let against = list(
        k,
        "nsaid",
        "Tablets",
        Kind::Against,
        &NSAID_NEVER,
        &NSAID_CARE,
    );
    let age = k.person.number("age_years").value();
    match against.state {
        CheckState::Against => against,
        CheckState::NotRecorded => {
            let there: Vec<&str> = NSAID_CARE
                .iter()
                .filter(|q| yes(k, q) == Some(true))
                .map(|q| words(q))
                .collect();
            let seen = if there.is_empty() {
                String::new()
            } else {
                format!(" (so far: {})", there.join("; "))
            };
            Check {
                words: format!(
                    "Illnesses and medicines that speak against tablets: not all recorded{seen}"
                ),
                ..against
            }
        }
        _ => match age {
            None => open("nsaid", "Age: not recorded", &["age_years"]),
            Some(a) if a >= 65.0 => done(
                "nsaid",
                CheckState::Caution,
                format!("65 or older; {}", against.words),
            ),
            Some(_) => against,
        },
    }
}

fn tear(k: &Known<'_>) -> Check {
    match k.exam.choice("tendon_image").value() {
        Some("partial_tear" | "full_tear") => {
            done("tear", CheckState::Against, "The tendon is torn")
        }
        Some(_) => done("tear", CheckState::Clear, "No tear on imaging"),
        None => open("tear", "Tear: no image recorded", &["tendon_image"]),
    }
}

fn corrects(k: &Known<'_>) -> Check {
    match k.exam.choice("heel_corrects").value() {
        Some("not") => done(
            "corrects",
            CheckState::Against,
            "The heel does not correct: a device would have to force it",
        ),
        // As the stage has it: neither flexible nor rigid, until somebody looks again.
        Some("partly") => {
            let mut check = done(
                "corrects",
                CheckState::Caution,
                "The heel corrects only in part, which is neither flexible nor rigid: post no further than it goes, and look again whether all of the drift comes back",
            );
            check.ask.push("heel_corrects".to_owned());
            check
        }
        Some(_) => done("corrects", CheckState::Clear, "The heel corrects"),
        None => open(
            "corrects",
            "Does the heel correct: not recorded",
            &["heel_corrects"],
        ),
    }
}

fn oedema(k: &Known<'_>) -> Check {
    match k.exam.choice("swelling_leg").value() {
        Some("none") => done("oedema", CheckState::Clear, "No swelling of foot and leg"),
        Some(_) => done("oedema", CheckState::Caution, "Foot and leg swell"),
        None => open(
            "oedema",
            "Swelling of foot and leg: not recorded",
            &["swelling_leg"],
        ),
    }
}

fn deformity(k: &Known<'_>) -> Check {
    match k.report.truth("heel_valgus") {
        Truth::True => done(
            "deformity",
            CheckState::Caution,
            "The heel has drifted: only in a specialist's hands",
        ),
        Truth::False => done("deformity", CheckState::Clear, "The heel is in line"),
        Truth::Unknown => open(
            "deformity",
            "Is the heel in line: not known",
            &["heel_line"],
        ),
    }
}

/// Injections are held for infection or its signs, badly controlled sugar and after two; blood thinners ask for care.
///
/// # Sources
/// Recalled as the trade's rule, unconfirmed: it holds back and never lets through.
fn injection(k: &Known<'_>) -> Check {
    // Two of the alarm's own questions: each alone is enough to wait.
    for (flag, words) in [
        (
            "fever",
            "Fever: no injection until an infection is ruled out",
        ),
        (
            "hot_red_swollen",
            "Hot, red and swollen: no injection until an infection is ruled out",
        ),
    ] {
        if k.flags.yes(flag) == Some(true) {
            return done("injection", CheckState::Against, words.to_owned());
        }
    }
    match k.person.number("steroid_injections_here").value() {
        Some(n) if n >= 2.0 => {
            return done(
                "injection",
                CheckState::Against,
                format!("{n} injections already"),
            );
        }
        None => {
            let rest = list(
                k,
                "injection",
                "Injection",
                Kind::Against,
                &["infection_now", "diabetes_uncontrolled", "skin_infection"],
                &["takes_anticoagulant"],
            );
            return match rest.state {
                CheckState::Against => rest,
                _ => {
                    let mut check = open(
                        "injection",
                        "Earlier injections, infection, sugar, blood thinners: not all recorded",
                        &["steroid_injections_here"],
                    );
                    check.ask.extend(rest.ask);
                    check
                }
            };
        }
        Some(_) => {}
    }
    list(
        k,
        "injection",
        "Injection",
        Kind::Against,
        &["infection_now", "diabetes_uncontrolled", "skin_infection"],
        &["takes_anticoagulant"],
    )
}
