//! Can a device be proposed for this foot at all?
//!
//! Alarm signs come first, then the child's path, the stage, and what a rigid shell must never press on.
//! What nobody looked at holds nothing back and is shown as a thing to look at first.

use super::input::{Corrects, Facts, OrthosisInput};
use super::reason::{About, Reason};
use super::{Unknown, row};
use crate::checks::CheckState;
use crate::propose::Standing;
use knowledge::Provenance;

/// Which set of values a draft takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Path {
    /// The tendon is sore and the heel in line.
    StageOne,
    /// The heel has drifted and still corrects.
    StageTwo,
    /// A child with complaints: a simple support on trial.
    Child,
}

pub(crate) struct Gate {
    pub standing: Standing,
    pub because: Vec<Reason>,
    pub path: Option<Path>,
    pub unknown: Vec<Unknown>,
}

impl Gate {
    fn held(because: Vec<Reason>) -> Gate {
        Gate {
            standing: Standing::HeldBack,
            because,
            path: None,
            unknown: Vec::new(),
        }
    }
}

fn said(words: impl Into<String>, source: &str, provenance: Provenance) -> Reason {
    Reason::cited(words, About::Value, source, provenance)
}

pub(crate) fn gate(input: &OrthosisInput<'_>, facts: &Facts<'_>) -> Gate {
    if !input.report.may_carry_plan {
        let raised = input.report.red_flags.iter().filter(|f| f.holds_plan);
        return Gate::held(
            raised
                .map(|flag| Reason {
                    words: format!(
                        "{} ({}): {}",
                        flag.words.trim_end_matches('.'),
                        flag.urgency,
                        flag.action
                    ),
                    about: About::Value,
                    sources: flag.sources.iter().map(|c| c.key.clone()).collect(),
                    provenance: flag
                        .sources
                        .iter()
                        .map(|c| provenance_of(c.letter))
                        .min()
                        .unwrap_or(Provenance::CommonPractice),
                    opinion: false,
                })
                .collect(),
        );
    }
    let schemes = [&input.report.tendon, &input.report.traffic_light];
    if schemes.into_iter().flatten().all(|s| s.all_open()) {
        return Gate {
            standing: Standing::LookFirst,
            because: vec![said(
                "Nothing was recorded yet that settles a stage: no device is proposed from an empty sheet.",
                "common-practice",
                Provenance::CommonPractice,
            )],
            path: None,
            unknown: open(facts, Path::StageOne, &[]),
        };
    }
    let there = |stage: &str| facts.stages.iter().any(|s| s == stage);
    // The gentlest of what is still possible, so that an open stage never makes a device sterner.
    let path = if there("amber") {
        Some(Path::Child)
    } else if there("I") {
        Some(Path::StageOne)
    } else if there("II") {
        Some(Path::StageTwo)
    } else {
        None
    };
    let Some(path) = path else {
        return Gate::held(no_path(&there, facts));
    };
    if let Some(held) = against(facts) {
        return Gate::held(held);
    }
    let mut because = Vec::new();
    let fits = |stage: &str| match path {
        Path::Child => stage == "amber",
        _ => stage == "I" || stage == "II",
    };
    let others: Vec<&str> = facts
        .stages
        .iter()
        .map(String::as_str)
        .filter(|s| !fits(s))
        .collect();
    because.push(match path {
        Path::Child => said(
            "The foot is flexible and something hurts or tires: a simple support on trial, judged after 3 to 6 months and left off if it did not help.",
            "common-practice",
            Provenance::CommonPractice,
        ),
        Path::StageOne => said(
            "The tendon is sore and the heel can be held in line: a support takes load off it.",
            "common-practice",
            Provenance::CommonPractice,
        ),
        Path::StageTwo => said(
            "The heel has drifted and still corrects, so it can be held from below.",
            "common-practice",
            Provenance::CommonPractice,
        ),
    });
    if path == Path::Child {
        because.push(said(
            "In 28 children with joint disease a custom support eased pain by 1.5 of 10; for other children the trials, 1058 children in 16, do not settle it.",
            "Evans2022",
            Provenance::Abstract,
        ));
    } else {
        because.push(said(
            "No high-level evidence in adults: low for pain and eversion, moderate for sway and the cost of walking.",
            "BanwellSR2014",
            Provenance::Abstract,
        ));
    }
    let unknown = open(facts, path, &others);
    let standing = if !others.is_empty() {
        Standing::DependsOnStage
    } else if [&facts.feeling, &facts.skin]
        .iter()
        .any(|c| c.state == CheckState::NotRecorded)
        || facts.corrects.is_none()
    {
        Standing::LookFirst
    } else {
        Standing::Proposed
    };
    Gate {
        standing,
        because,
        path: Some(path),
        unknown,
    }
}

fn provenance_of(letter: char) -> Provenance {
    Provenance::ALL
        .into_iter()
        .find(|p| p.letter() == letter)
        .unwrap_or(Provenance::Unconfirmed)
}

/// Why none of the stages that a foot orthosis is for is left.
fn no_path(there: &dyn Fn(&str) -> bool, facts: &Facts<'_>) -> Vec<Reason> {
    if there("green") {
        let mut out = vec![
            said(
                "A flexible, painless flat foot of a child gets no device: most become less flat by themselves, and a support does not make an arch.",
                "RCHflat",
                Provenance::Read,
            ),
            said(
                "Of 129 children, 98 finished three years or more: all groups improved alike, those left alone too.",
                "Wenger1989",
                Provenance::Abstract,
            ),
            said(
                "16 trials, 1058 children: very low to low certainty.",
                "Evans2022",
                Provenance::Abstract,
            ),
        ];
        if there("red") {
            out.push(said(
                "Or something in it has to be looked into first; neither calls for a device now.",
                "common-practice",
                Provenance::CommonPractice,
            ));
        }
        return out;
    }
    if there("red") {
        return vec![said(
            "Rigid, one-sided, new, or with a warning sign: look for the cause before any support.",
            "RCHflat",
            Provenance::Read,
        )];
    }
    if there("III") || there("IV") {
        return vec![
            Reason::value(row::advice("fixed").words.clone(), row::advice("fixed")),
            said(
                "Braces that hold a stiff foot or a tilting ankle stand on the ladder of care.",
                "common-practice",
                Provenance::CommonPractice,
            ),
        ];
    }
    let because = if facts.stages.is_empty() {
        "No stage fits what was found, so no device is proposed; one can still be ordered by hand."
    } else {
        "None of the possible stages is one that a foot orthosis is for."
    };
    vec![said(because, "common-practice", Provenance::CommonPractice)]
}

/// What a rigid, corrective shell must never do.
fn against(facts: &Facts<'_>) -> Option<Vec<Reason>> {
    let mut out = Vec::new();
    if facts.corrects == Some(Corrects::Not) || facts.is("subtalar_motion", "none") {
        out.push(Reason::value(
            row::advice("fixed").words.clone(),
            row::advice("fixed"),
        ));
    }
    if facts.feeling_lost() && facts.asked.pressure_checked != Some(true) {
        out.push(Reason::value(
            row::advice("numb").words.clone(),
            row::advice("numb"),
        ));
    }
    if facts.skin.state == CheckState::Against {
        out.push(said(
            format!("{}: heal it first.", facts.skin.words),
            "common-practice",
            Provenance::CommonPractice,
        ));
    }
    (!out.is_empty()).then_some(out)
}

fn open(facts: &Facts<'_>, path: Path, others: &[&str]) -> Vec<Unknown> {
    let mut out = Vec::new();
    let mut add = |what: &str, ask: &[String], would_change: String| {
        out.push(Unknown {
            what: what.to_owned(),
            ask: ask.to_vec(),
            would_change,
        });
    };
    let keys = |keys: &[&str]| keys.iter().map(|k| (*k).to_owned()).collect::<Vec<_>>();
    if facts.person.age_years.is_none() {
        add(
            "Age",
            &keys(&["age_years"]),
            "a child without pain would get no device, an adult's amounts would not hold for a child"
                .to_owned(),
        );
    }
    if !others.is_empty() {
        add(
            "Stage",
            &[],
            format!(
                "{} would call for another device or none",
                others.join(" or ")
            ),
        );
    }
    if path == Path::StageOne && facts.stages.iter().any(|s| s == "II") {
        add(
            "Has the heel drifted (stage I or II)",
            &keys(&["heel_line", "heel_angle_deg"]),
            "stage II would add a skive, a deeper cup and, where the heel allows, inversion"
                .to_owned(),
        );
    }
    if facts.corrects.is_none() {
        add(
            "Does the heel come back by hand",
            &keys(&["heel_corrects"]),
            "a fixed heel gets no correction; one that comes back in part gets less".to_owned(),
        );
    }
    if facts.feeling.state == CheckState::NotRecorded {
        add(
            "Protective feeling",
            &facts.feeling.ask,
            "without it no rigid shell unless pressure is checked".to_owned(),
        );
    }
    if facts.skin.state == CheckState::NotRecorded {
        add(
            "Skin",
            &facts.skin.ask,
            "an open or infected place comes first".to_owned(),
        );
    }
    out
}
