//! Which rungs to propose for one foot, in which order, and what each still waits for.
//!
//! The stage comes from `stage`. While several stages are possible, a rung that all of them share is
//! proposed and the others wait for what would decide; the proposal never picks a stage by itself.

use crate::checks::{Check, CheckState, Known, run};
use crate::ladder::{Also, Caution, Evidence, Ladder, Look, Place, Rung, SourceNote};
use crate::text;
use exam::{Examination, RedFlags, Story};
use serde::{Deserialize, Serialize};
use stage::StageReport;
use terms::Side;

/// What a proposal rests on besides the stage.
#[derive(Debug, Clone, Copy)]
pub struct CareInput<'a> {
    pub person: &'a Story,
    pub exam: &'a Examination,
    pub flags: &'a RedFlags,
}

/// Where a rung stands for this foot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// Can be proposed as it is.
    Proposed,
    /// Can be proposed once what is not recorded has been looked at.
    LookFirst,
    /// Belongs to some of the possible stages only.
    DependsOnStage,
    /// Something speaks against it.
    HeldBack,
}

impl Standing {
    pub fn words(self) -> &'static str {
        match self {
            Standing::Proposed => "proposed",
            Standing::LookFirst => "look first",
            Standing::DependsOnStage => "depends on the stage",
            Standing::HeldBack => "held back",
        }
    }
}

/// One rung as it stands for this foot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ProposedRung {
    pub key: String,
    pub title: String,
    pub words: String,
    pub standing: Standing,
    pub place: Place,
    /// Why, one line for each stage that asks for it.
    pub why: Vec<String>,
    pub checks: Vec<Check>,
    pub dose: Vec<String>,
    pub how_long: String,
    /// For which pain, and what counts as success or as failure.
    #[serde(default)]
    pub pain: String,
    #[serde(default)]
    pub success: String,
    #[serde(default)]
    pub failure: String,
    /// Titles of the rungs that follow when it fails, and of those to go back to.
    #[serde(default)]
    pub up: Vec<String>,
    #[serde(default)]
    pub down: Vec<String>,
    pub look: Vec<Look>,
    pub evidence: Vec<Evidence>,
    pub cautions: Vec<Caution>,
    pub sources: Vec<SourceNote>,
}

/// A first proposal for one foot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Proposal {
    pub side: Side,
    /// What the proposal rests on, one sentence.
    pub basis: String,
    /// Stages that are still possible.
    pub stages: Vec<String>,
    /// Alarm signs, each with what it asks for; while there is one no rung is proposed.
    pub alarm: Vec<String>,
    pub reasons: Vec<String>,
    pub rungs: Vec<ProposedRung>,
    /// While an alarm sign is raised: the rungs that would stand here without it, each held back and why. The
    /// clinician may still pick one; the program explains and locks nothing.
    #[serde(default)]
    pub held: Vec<ProposedRung>,
    /// Cautions that hold for the whole proposal.
    pub cautions: Vec<String>,
    /// Checks that nobody recorded, each once.
    pub not_recorded: Vec<Check>,
}

impl Proposal {
    /// The proposal as plain text.
    pub fn text(&self) -> String {
        text::proposal(self)
    }

    pub fn rung(&self, key: &str) -> Option<&ProposedRung> {
        self.rungs.iter().find(|r| r.key == key)
    }
}

/// Proposes rungs for one foot from the built-in ladder.
pub fn propose(report: &StageReport, input: &CareInput<'_>) -> Proposal {
    let mut out = Proposal {
        side: report.side,
        basis: String::new(),
        stages: possible(report),
        alarm: Vec::new(),
        reasons: Vec::new(),
        rungs: Vec::new(),
        held: Vec::new(),
        cautions: vec!["A proposal to weigh, not a prescription: the clinician decides; local codes and licensed practice come first.".to_owned()],
        not_recorded: Vec::new(),
    };
    for flag in &report.red_flags {
        let line = format!(
            "{} ({}): {}",
            flag.words.trim_end_matches('.'),
            flag.urgency,
            flag.action
        );
        if flag.holds_plan {
            out.alarm.push(line)
        } else {
            out.cautions.push(line)
        }
    }
    let known = Known {
        person: input.person,
        exam: input.exam,
        flags: input.flags,
        report,
    };
    if !report.may_carry_plan {
        out.basis = "An alarm sign is raised: deal with it first; no rung is proposed.".to_owned();
        out.held = held(&out.stages, report, &known);
        return out;
    }
    out.basis = basis(report, &out.stages);
    out.rungs = Ladder::built_in()
        .rungs()
        .iter()
        .filter_map(|rung| proposed(rung, &out.stages, &known))
        .collect();
    out.rungs
        .sort_by_key(|r| (r.standing == Standing::DependsOnStage, r.place));
    for check in out
        .rungs
        .iter()
        .flat_map(|r| &r.checks)
        .filter(|c| c.state == CheckState::NotRecorded)
    {
        if out.not_recorded.iter().all(|c| c.key != check.key) {
            out.not_recorded.push(check.clone());
        }
    }
    out.reasons = reasons(report, input);
    out.cautions.extend(report.not_cleared.iter().map(|f| {
        format!(
            "Not cleared: {} Look before anything rigid, tight or injected.",
            f.words
        )
    }));
    if !report.not_asked.is_empty() {
        out.cautions.push(format!(
            "Alarm signs not asked about: {}.",
            report.not_asked.len()
        ));
    }
    out
}

/// What the ladder would hold without the alarm, each rung saying what holds it back.
fn held(stages: &[String], report: &StageReport, known: &Known<'_>) -> Vec<ProposedRung> {
    let first: Vec<&str> = report
        .red_flags
        .iter()
        .filter(|f| f.holds_plan)
        .map(|f| f.words.trim_end_matches('.'))
        .collect();
    let mut rungs: Vec<ProposedRung> = Ladder::built_in()
        .rungs()
        .iter()
        .filter_map(|rung| proposed(rung, stages, known))
        .collect();
    rungs.sort_by_key(|r| r.place);
    let refers = |key: &str| Ladder::built_in().rung(key).is_some_and(|r| r.refers);
    for rung in rungs.iter_mut().filter(|r| !refers(&r.key)) {
        rung.standing = Standing::HeldBack;
        rung.why.insert(
            0,
            format!(
                "Held back: {} has to be dealt with first.",
                first.join("; ")
            ),
        );
    }
    rungs
}

/// Stages with a confirmed definition that are not ruled out. A child's light and an adult's stages are
/// both there while the age is open.
pub(crate) fn possible(report: &StageReport) -> Vec<String> {
    let schemes = [&report.tendon, &report.traffic_light]
        .into_iter()
        .flatten();
    let not_flat = report
        .child
        .as_ref()
        .is_some_and(|c| c.holding() == ["not-flat"]);
    let stages = schemes
        .flat_map(|s| s.possible())
        .filter(|key| !(not_flat && *key == "green"));
    stages.map(str::to_owned).collect()
}

fn basis(report: &StageReport, stages: &[String]) -> String {
    let adult_holding = report
        .tendon
        .as_ref()
        .is_some_and(|t| !t.holding().is_empty());
    let child_holding = report
        .traffic_light
        .as_ref()
        .is_some_and(|t| !t.holding().is_empty());
    match stages {
        [] => "No stage fits what was found: nothing to propose from the ladder.".to_owned(),
        [one] if report.tendon.is_some() && adult_holding => format!("Stage {one}."),
        [one] if child_holding => format!("Child's path: {one}."),
        [one] => format!("{one} is the only one left, and not yet certain."),
        many => format!(
            "Not settled: {}. Rungs that all of them share come first.",
            many.join(" or ")
        ),
    }
}

fn titles(keys: &[String]) -> Vec<String> {
    let ladder = Ladder::built_in();
    keys.iter()
        .filter_map(|key| ladder.rung(key))
        .map(|r| r.title.clone())
        .collect()
}

fn proposed(rung: &Rung, stages: &[String], known: &Known<'_>) -> Option<ProposedRung> {
    let also = |stage: &String| {
        let asked = |a: &&Also| known.person.choice(&a.question).value() == Some(a.answer.as_str());
        let also = rung.also.iter().filter(|a| a.stages.contains(stage));
        also.clone().find(asked).map(|a| (a.place, &a.why))
    };
    let fitting: Vec<(&String, Place, &String)> = stages
        .iter()
        .filter_map(|s| {
            let (place, why) = match rung.stage.get(s) {
                Some(f) => (f.place, &f.why),
                None => also(s)?,
            };
            Some((s, place, why))
        })
        .collect();
    // The latest turn of all, so that an open stage never brings a rung forward.
    let place = fitting.iter().map(|(_, place, _)| *place).max()?;
    let checks: Vec<Check> = rung.rule_out.iter().map(|key| run(key, known)).collect();
    let worst = checks
        .iter()
        .map(|c| c.state)
        .max()
        .unwrap_or(CheckState::Clear);
    let unrecorded = checks.iter().any(|c| c.state == CheckState::NotRecorded);
    let standing = if worst == CheckState::Against {
        Standing::HeldBack
    } else if fitting.len() < stages.len() {
        Standing::DependsOnStage
    } else if unrecorded {
        Standing::LookFirst
    } else {
        Standing::Proposed
    };
    let shown = |c: &&Caution| {
        c.when == "always"
            || checks
                .iter()
                .any(|k| k.key == c.when && k.state != CheckState::Clear)
    };
    Some(ProposedRung {
        key: rung.key.clone(),
        title: rung.title.clone(),
        words: rung.words.clone(),
        standing,
        place,
        why: fitting
            .iter()
            .map(|(s, place, why)| format!("{s}, {}: {why}", place.words()))
            .collect(),
        dose: rung.dose.clone(),
        how_long: rung.how_long.clone(),
        pain: rung.pain.clone(),
        success: rung.success.clone(),
        failure: rung.failure.clone(),
        up: titles(&rung.up),
        down: titles(&rung.down),
        look: rung.look.clone(),
        evidence: rung.evidence.clone(),
        cautions: rung.caution.iter().filter(shown).cloned().collect(),
        sources: rung.sources.clone(),
        checks,
    })
}

/// Weeks of steady care after which asking a surgeon is due: three months.
///
/// # Sources
/// Recalled, unconfirmed; it asks for an opinion, nothing more.
const WEEKS_OF_CARE: f64 = 12.0;

fn reasons(report: &StageReport, input: &CareInput<'_>) -> Vec<String> {
    let mut out = Vec::new();
    let scheme = report.tendon.as_ref().or(report.traffic_light.as_ref());
    for candidate in scheme
        .iter()
        .flat_map(|s| &s.candidates)
        .filter(|c| c.truth.is_true())
    {
        out.push(format!(
            "{}: {}",
            candidate.key,
            candidate.because.join("; ")
        ));
    }
    if let Some(weeks) = input.person.number("tried_weeks").value()
        && weeks >= WEEKS_OF_CARE
    {
        out.push(format!(
            "{weeks} weeks of steady care so far: without gain, a surgical opinion is due"
        ));
    }
    if input
        .exam
        .choice("tendon_image")
        .value()
        .is_some_and(|c| c.ends_with("tear"))
    {
        out.push("The tendon is torn: a surgical opinion belongs early".to_owned());
    }
    if let Some(first) = report.missing.first() {
        out.push(format!(
            "What would narrow it most: {}",
            first.words.to_lowercase()
        ));
    }
    out
}
