//! Written scenarios, each a file of `suite/care/`: facts in, plan and cautions out, and what one changed fact
//! changes.
//!
//! `BLESS=1 cargo test -p care --test suite` writes the lines anew; each was then read against the sources
//! named at the head of its file.

use care::{BUILT_IN_FILES, CareInput, CheckState, Ladder, propose};
use exam::{Examination, RedFlags, Sheet, Story};
use knowledge::Knowledge;
use serde::Deserialize;
use stage::{Facts, stage_from};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::PathBuf;
use terms::Side;

/// Facts from which scenarios start: an adult against whom nothing speaks, a child who is well.
const GROUND: [&str; 2] = ["ground-adult.toml", "ground-child.toml"];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ground {
    facts: BTreeMap<String, String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Scenario {
    title: String,
    reviewed: String,
    side: Side,
    /// `adult` or `child`.
    ground: String,
    facts: BTreeMap<String, String>,
    #[serde(default)]
    plan: String,
    #[serde(default)]
    change: Vec<Change>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Change {
    fact: String,
    to: String,
    #[serde(default)]
    gone: String,
    #[serde(default)]
    new: String,
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../suite/care")
}

fn scenarios() -> Vec<(PathBuf, Scenario)> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder())
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| {
            p.extension().is_some_and(|e| e == "toml") && !GROUND.iter().any(|g| p.ends_with(g))
        })
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            let scenario = toml::from_str(&text).unwrap_or_else(|e| panic!("{path:?}: {e}"));
            (path, scenario)
        })
        .collect()
}

/// Facts by question; an empty text leaves the question open.
fn facts_of(scenario: &Scenario) -> BTreeMap<String, String> {
    let ground = folder().join(format!("ground-{}.toml", scenario.ground));
    let text = std::fs::read_to_string(&ground).unwrap_or_else(|e| panic!("{ground:?}: {e}"));
    let mut facts = toml::from_str::<Ground>(&text).unwrap().facts;
    facts.extend(scenario.facts.clone());
    facts
}

/// Every line of plan and cautions, each with where it comes from.
fn lines(side: Side, facts: &BTreeMap<String, String>) -> Vec<String> {
    let (mut story, mut exam, mut flags) = (Story::new(), Examination::new(), RedFlags::new());
    for (key, text) in facts.iter().filter(|(_, text)| !text.is_empty()) {
        let question = exam::question(key).unwrap_or_else(|| panic!("no question {key}"));
        let done = match question.sheet {
            Sheet::Foot => exam.set(key, text),
            Sheet::Person => story.set(key, text),
            Sheet::Flags => flags.set(key, text),
            Sheet::Leg | Sheet::Given => panic!("{key} is no finding"),
        };
        done.unwrap_or_else(|e| panic!("{key}: {e}"));
    }
    let report = stage_from(&Facts::new(side, &story, &exam, &flags));
    let input = CareInput {
        person: &story,
        exam: &exam,
        flags: &flags,
    };
    let plan = propose(&report, &input);
    let mut out = vec![format!("plan: {}", plan.basis)];
    let knowledge = Knowledge::built_in();
    for flag in &report.red_flags {
        let sources: Vec<String> = knowledge
            .flag(&flag.key)
            .map(|f| f.sources.iter().map(ToString::to_string).collect())
            .unwrap_or_default();
        out.push(format!(
            "{} {} ({}): {} {} [{}]",
            if flag.holds_plan { "ALARM" } else { "flag" },
            flag.key,
            flag.urgency,
            flag.words,
            flag.action,
            sources.join(", ")
        ));
    }
    for rung in plan.rungs.iter().chain(&plan.held) {
        out.push(format!("rung {}: {}", rung.key, rung.standing.words()));
        for check in rung.checks.iter().filter(|c| c.state != CheckState::Clear) {
            let word = match check.state {
                CheckState::Against => "against",
                CheckState::NotRecorded => "look first",
                _ => "care",
            };
            out.push(format!("rung {}, {word}: {}", rung.key, check.words));
        }
        for caution in rung.cautions.iter().filter(|c| c.when != "always") {
            out.push(format!(
                "rung {}, caution: {} [{} {}]",
                rung.key, caution.words, caution.source.key, caution.source.letter
            ));
        }
    }
    // What is said of every plan says nothing of this one.
    out.extend(
        plan.cautions
            .iter()
            .filter(|c| !c.starts_with("A proposal to weigh"))
            .map(|c| format!("caution: {c}")),
    );
    out
}

fn changed(scenario: &Scenario, change: &Change) -> (String, String) {
    let facts = facts_of(scenario);
    assert_ne!(
        facts.get(&change.fact),
        Some(&change.to),
        "{}: no change",
        scenario.title
    );
    let before = lines(scenario.side, &facts);
    let mut after = facts;
    after.insert(change.fact.clone(), change.to.clone());
    let after = lines(scenario.side, &after);
    let only = |a: &[String], b: &[String]| -> String {
        let mut text = String::new();
        for line in a.iter().filter(|l| !b.contains(l)) {
            let _ = writeln!(text, "{line}");
        }
        text
    };
    (only(&before, &after), only(&after, &before))
}

fn joined(lines: &[String]) -> String {
    lines.iter().fold(String::new(), |mut text, line| {
        let _ = writeln!(text, "{line}");
        text
    })
}

/// The file with its lines written anew; the facts stay as they stand.
fn blessed(scenario: &Scenario, text: &str) -> String {
    let head = text.split("\nplan = ").next().unwrap_or(text);
    let head = head.split("\n[[change]]").next().unwrap_or(head).trim_end();
    let (top, facts) = head.split_once("\n[facts]").expect("facts follow the head");
    let plan = joined(&lines(scenario.side, &facts_of(scenario)));
    let mut out = format!("{top}\nplan = '''\n{plan}'''\n\n[facts]{facts}\n");
    for change in &scenario.change {
        let (gone, new) = changed(scenario, change);
        let _ = write!(
            out,
            "\n[[change]]\nfact = {:?}\nto = {:?}\ngone = '''\n{gone}'''\nnew = '''\n{new}'''\n",
            change.fact, change.to
        );
    }
    out
}

#[test]
fn every_written_scenario_gives_its_plan_and_its_cautions_line_by_line() {
    let bless = std::env::var_os("BLESS").is_some();
    for (path, scenario) in scenarios() {
        if bless {
            let text = std::fs::read_to_string(&path).unwrap();
            let plain = unblessed(&text);
            std::fs::write(&path, blessed(&scenario, &plain)).unwrap();
            continue;
        }
        assert!(
            scenario.reviewed.len() > 20,
            "{path:?} says against what it was reviewed"
        );
        let plan = joined(&lines(scenario.side, &facts_of(&scenario)));
        assert_eq!(plan, scenario.plan, "{path:?}");
    }
}

/// Without the lines that blessing writes.
fn unblessed(text: &str) -> String {
    match (text.find("\nplan = '''"), text.find("\n[facts]")) {
        (Some(from), Some(to)) if from < to => format!("{}{}", &text[..from], &text[to..]),
        _ => text.to_owned(),
    }
}

#[test]
fn one_changed_fact_changes_just_what_it_should() {
    if std::env::var_os("BLESS").is_some() {
        return;
    }
    let mut changes = 0;
    for (path, scenario) in scenarios() {
        for change in &scenario.change {
            let (gone, new) = changed(&scenario, change);
            let what = format!("{path:?}: {} = {}", change.fact, change.to);
            assert_eq!(gone, change.gone, "gone, {what}");
            assert_eq!(new, change.new, "new, {what}");
            assert!(
                !(gone.is_empty() && new.is_empty()),
                "{what} changes nothing"
            );
            changes += 1;
        }
    }
    assert!(changes >= 12, "{changes}");
}

#[test]
fn the_scenarios_cover_every_alarm_and_every_rung() {
    let all = scenarios();
    assert!(all.len() >= 12, "{}", all.len());
    let said: String = all.iter().map(|(_, s)| s.plan.as_str()).collect();
    let ladder = Ladder::built_in();
    assert_eq!(ladder.rungs().len(), BUILT_IN_FILES.len());
    let rungs: BTreeSet<&str> = ladder.rungs().iter().map(|r| r.key.as_str()).collect();
    for rung in rungs {
        assert!(
            said.contains(&format!("rung {rung}: ")),
            "no scenario has the rung {rung}"
        );
    }
    for flag in Knowledge::built_in().flags() {
        let raised = [
            format!("ALARM {} (", flag.key),
            format!("flag {} (", flag.key),
        ];
        assert!(
            raised.iter().any(|r| said.contains(r)),
            "no scenario raises {}",
            flag.key
        );
    }
}
