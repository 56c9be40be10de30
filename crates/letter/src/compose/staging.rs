//! Alarm signs, stages with their reasons, and what is missing, foot by foot.

use super::cites::Cites;
use super::findings::in_order;
use super::{Foot, words};
use crate::document::{Block, Notice};
use knowledge::Knowledge;
use stage::{Candidate, Chance, Missing, Outcome, RaisedFlag, SchemeReport, StageReport, Truth};
use terms::Side;

/// More stages than this are counted instead of named.
const MOST_CANDIDATES: usize = 4;

/// A flag with the feet it was raised on.
struct Told<'a> {
    flag: &'a RaisedFlag,
    sides: Vec<Side>,
}

fn gather<'a>(
    feet: &[&'a Foot<'a>],
    pick: impl Fn(&'a StageReport) -> &'a [RaisedFlag],
) -> Vec<Told<'a>> {
    let mut out: Vec<Told<'a>> = Vec::new();
    for foot in feet {
        for flag in foot.stage.map(&pick).unwrap_or_default() {
            match out
                .iter_mut()
                .find(|t| t.flag.key == flag.key && t.flag.reasons == flag.reasons)
            {
                Some(told) => told.sides.push(foot.side),
                None => out.push(Told {
                    flag,
                    sides: vec![foot.side],
                }),
            }
        }
    }
    out
}

/// Alarm signs as notices, most urgent first; empty where none is raised or open.
pub fn alarm(knowledge: &Knowledge, feet: &[Foot<'_>], cites: &mut Cites) -> Vec<Block> {
    let feet = in_order(feet);
    let several = feet.len() > 1;
    let mut out = Vec::new();
    for told in gather(&feet, |r| &r.red_flags) {
        let mut lines: Vec<String> = told.flag.reasons.iter().map(|r| found(r)).collect();
        lines.push(format!(
            "{} {}",
            words::sentence(&told.flag.action),
            cites.of_stage(&told.flag.sources)
        ));
        out.push(Block::Notice {
            notice: Notice::Alarm,
            title: format!(
                "Alarm, {}{}: {}",
                told.flag.urgency,
                on(&told, several),
                told.flag.words
            ),
            lines,
        });
    }
    let held: Vec<String> = feet
        .iter()
        .filter(|f| f.stage.is_some_and(|s| !s.may_carry_plan))
        .map(|f| words::foot(f.side))
        .collect();
    if !held.is_empty() {
        out.push(Block::Paragraph {
            text: format!(
                "No plan for the {} rests on a stage until this is dealt with.",
                terms::listed(&held)
            ),
        });
    }
    for told in gather(&feet, |r| &r.not_cleared) {
        let mut lines: Vec<String> = told.flag.reasons.iter().map(|r| found(r)).collect();
        let ask: Vec<String> = told
            .flag
            .ask
            .iter()
            .map(|k| words::asked(knowledge, k))
            .collect();
        if !ask.is_empty() {
            lines.push(format!(
                "Still to be asked or looked at: {}.",
                ask.join("; ")
            ));
        }
        lines.push(format!(
            "If so: {} {}",
            words::sentence(&words::small(&told.flag.action)),
            cites.of_stage(&told.flag.sources)
        ));
        out.push(Block::Notice {
            notice: Notice::Caution,
            title: format!("Not cleared{}: {}", on(&told, several), told.flag.words),
            lines,
        });
    }
    out
}

fn on(told: &Told<'_>, several: bool) -> String {
    match told.sides.as_slice() {
        [one] if several => format!(", {}", words::foot(*one)),
        _ => String::new(),
    }
}

fn found(reason: &str) -> String {
    format!("Found: {}", words::sentence(reason))
}

/// The tendon's stage in half a sentence that may follow a colon.
fn tendon_in_short(scheme: &stage::SchemeReport) -> String {
    let would = scheme.would_words();
    if !scheme.holding().is_empty() {
        // Its headline says the unconfirmed ones itself.
        format!("stage {}", words::small(&scheme.headline))
    } else if scheme.none_fits() {
        format!("no stage of the failing tendon fits what was found{would}")
    } else if scheme.all_open() {
        format!("stage not settled{would}")
    } else {
        format!(
            "stage not settled, {}{would}",
            scheme.possible().join(" or ")
        )
    }
}

/// The stage of one foot in a line.
pub fn in_short(report: &StageReport) -> String {
    let mut parts: Vec<String> = [&report.tendon, &report.child, &report.traffic_light]
        .into_iter()
        .flatten()
        .map(|s| {
            let headline = words::small(&s.headline);
            match s.scheme {
                stage::Scheme::Tendon => tendon_in_short(s),
                stage::Scheme::Child => format!("kind of flat foot: {headline}"),
                _ => format!("traffic light: {headline}"),
            }
        })
        .collect();
    if let Some(c) = &report.consensus {
        let string = c.string.as_ref().unwrap_or(&c.so_far);
        parts.push(format!("classes of 2020: {string}"));
    }
    for later in parts.iter_mut().skip(1) {
        *later = words::capital(later);
    }
    format!(
        "{}: {}.",
        words::capital(&words::foot(report.side)),
        parts.join(". ")
    )
}

/// Open criteria that the letter itself tells; the record tells more.
const BRIEF_MISSING: usize = 2;

/// One foot's stage for the letter: each answer, what it rests on, what is uncertain and still open.
pub fn brief(knowledge: &Knowledge, report: &StageReport) -> Block {
    let mut rows: Vec<(String, String)> = Vec::new();
    for scheme in [&report.tendon, &report.child, &report.traffic_light]
        .into_iter()
        .flatten()
    {
        let mut lines = vec![words::sentence(&words::capital(&scheme.headline))];
        let holding = scheme.candidates.iter().filter(|c| c.truth.is_true());
        let mut because: Vec<String> = holding
            .flat_map(|c| &c.because)
            .map(|b| words::small(b))
            .collect();
        let mut seen = std::collections::BTreeSet::new();
        because.retain(|b| seen.insert(b.clone()));
        if !because.is_empty() {
            lines.push(format!("Because: {}.", because.join("; ")));
        }
        let chances = chances(&scheme.candidates);
        if !chances.is_empty() {
            lines.push(format!(
                "Chances from the readings’ error alone: {}.",
                chances.join("; ")
            ));
        }
        rows.push((scheme.scheme.words().to_owned(), lines.join("\n")));
    }
    if let Some(row) = consensus_row(report) {
        let [scheme, answer, rests] = &row[..] else {
            return uncertain(rows, report);
        };
        let answer = answer.replace('\n', "; ");
        rows.push((
            scheme.clone(),
            format!("{}\n{}", words::sentence(&answer), words::sentence(rests)),
        ));
    }
    if let Some(c) = &report.three_column {
        rows.push((
            c.scheme.words().to_owned(),
            words::sentence(&words::capital(&c.headline)),
        ));
    }
    let disagree: Vec<String> = report
        .criteria
        .iter()
        .filter(|c| c.disagree)
        .map(|c| words::small(&c.words))
        .collect();
    if !disagree.is_empty() {
        rows.push((
            "Contradicting".into(),
            format!("Answers and readings disagree on: {}.", disagree.join("; ")),
        ));
    }
    if !report.notes.is_empty() {
        rows.push(("To know".into(), report.notes.join("\n")));
    }
    // What would narrow only an unconfirmed scheme is left to the record.
    let narrowing: Vec<&Missing> = report
        .missing
        .iter()
        .filter(|m| {
            m.if_yes
                .iter()
                .chain(&m.if_no)
                .any(|o| o.scheme != stage::Scheme::ThreeColumn)
        })
        .collect();
    let mut open: Vec<String> = narrowing
        .iter()
        .take(BRIEF_MISSING)
        .map(|m| missing_in_brief(knowledge, m))
        .collect();
    let more = report.missing.len() - open.len();
    if more > 0 {
        let unit = if more == 1 { "criterion" } else { "criteria" };
        open.push(format!("{more} more open {unit} in the record."));
    }
    if !open.is_empty() {
        rows.push(("Still open".into(), open.join("\n")));
    }
    uncertain(rows, report)
}

fn uncertain(rows: Vec<(String, String)>, report: &StageReport) -> Block {
    let short = report
        .tendon
        .as_ref()
        .or(report.traffic_light.as_ref())
        .map_or_else(String::new, |s| {
            let holding = s.holding();
            match holding.as_slice() {
                [] => "not settled".to_owned(),
                all if s.scheme == stage::Scheme::Tendon => {
                    format!("stage {}", all.join(" and "))
                }
                all => format!("traffic light: {}", all.join(" and ")),
            }
        });
    Block::Pairs {
        caption: String::new(),
        header: (
            words::capital(&words::foot(report.side)),
            words::capital(&short),
        ),
        rows,
    }
}

/// `Forefoot drifts outwards (not looked at): a yes leaves IV, a no leaves I.`
fn missing_in_brief(knowledge: &Knowledge, m: &Missing) -> String {
    let first = |all: &[Outcome]| {
        all.iter()
            .find(|o| {
                !matches!(
                    o.scheme,
                    stage::Scheme::ThreeColumn | stage::Scheme::Consensus
                )
            })
            .filter(|o| o.candidates.len() <= MOST_CANDIDATES)
            .map(|o| match o.candidates.as_slice() {
                [] => "no stage".to_owned(),
                some => some.join(" or "),
            })
    };
    let mut out = format!("{} ({}", words::capital(&m.words), m.why);
    let ask: Vec<String> = m
        .ask
        .iter()
        .take(2)
        .map(|k| words::asked(knowledge, k))
        .filter(|a| !a.eq_ignore_ascii_case(&m.words))
        .collect();
    if !ask.is_empty() {
        out.push_str(&format!("; look at: {}", ask.join(", ")));
    }
    out.push(')');
    let effects: Vec<String> = [("yes", first(&m.if_yes)), ("no", first(&m.if_no))]
        .into_iter()
        .filter_map(|(answer, left)| left.map(|l| format!("a {answer} leaves {l}")))
        .collect();
    if !effects.is_empty() {
        out.push_str(&format!(": {}", effects.join(", ")));
    }
    out.push('.');
    out
}

/// Answers of all schemes, the reasons behind them, and what would change them.
pub fn blocks(
    knowledge: &Knowledge,
    report: &StageReport,
    cites: &mut Cites,
    most_missing: usize,
) -> Vec<Block> {
    let side = words::capital(&words::foot(report.side));
    let mut rows: Vec<Vec<String>> = report
        .schemes()
        .into_iter()
        .map(|s| scheme_row(s, cites))
        .collect();
    if let Some(row) = consensus_row(report) {
        rows.insert(rows.len().min(2), row);
    }
    let mut out = vec![Block::Table {
        caption: format!(
            "{side}: stage in each scheme. Chances come from the readings' error only."
        ),
        header: ["Scheme", "Answer", "Rests on"].map(String::from).to_vec(),
        rows,
    }];
    if let Some(reasons) = reasons(report, cites) {
        out.push(reasons);
    }
    let absent: Vec<String> = report
        .criteria
        .iter()
        .filter(|c| c.truth.is_false())
        .map(|c| words::small(&c.words))
        .collect();
    if !absent.is_empty() {
        out.push(Block::Paragraph {
            text: format!("Looked for and not there: {}.", absent.join("; ")),
        });
    }
    if !report.missing.is_empty() {
        let mut items: Vec<String> = report
            .missing
            .iter()
            .take(most_missing)
            .map(|m| missing(knowledge, m))
            .collect();
        let more = report.missing.len().saturating_sub(most_missing);
        if more > 0 {
            let unit = if more == 1 { "criterion" } else { "criteria" };
            let rest: Vec<String> = report
                .missing
                .iter()
                .skip(most_missing)
                .map(|m| words::small(&m.words))
                .collect();
            items.push(format!(
                "{more} more open {unit} of less weight: {}.",
                rest.join("; ")
            ));
        }
        out.push(Block::Paragraph {
            text: format!("{side}: what is missing, and what it would change"),
        });
        out.push(Block::List { items });
    }
    for note in report.notes.iter().chain(&report.told) {
        cites.add_named(knowledge, note);
        out.push(Block::Small { text: note.clone() });
    }
    out
}

fn scheme_row(scheme: &SchemeReport, cites: &mut Cites) -> Vec<String> {
    let telling: Vec<&Candidate> = scheme
        .candidates
        .iter()
        .filter(|c| c.truth.is_true())
        .collect();
    let mut rests: Vec<String> = Vec::new();
    for c in &telling {
        if !c.because.is_empty() {
            let because: Vec<String> = c.because.iter().map(|b| words::small(b)).collect();
            rests.push(words::capital(&because.join("; ")));
        }
    }
    if telling.is_empty() {
        let mut open: Vec<String> = scheme
            .candidates
            .iter()
            .filter(|c| c.would_be.is_none() && c.truth.is_unknown())
            .flat_map(|c| &c.open)
            .map(|o| words::small(o))
            .collect();
        open.sort();
        open.dedup();
        if !open.is_empty() {
            rests.push(format!("Open: {}", open.join("; ")));
        }
    }
    let shown: Vec<&Candidate> = if telling.is_empty() {
        scheme.candidates.iter().collect()
    } else {
        telling
    };
    let marks: Vec<(&str, char)> = shown
        .iter()
        .flat_map(|c| &c.sources)
        .map(|c| (c.key.as_str(), c.letter))
        .collect();
    let mark = cites.mark(marks);
    if !mark.is_empty() {
        rests.push(mark);
    }
    let mut answer = vec![words::capital(&scheme.headline)];
    answer.extend(chances(&scheme.candidates));
    vec![
        scheme.scheme.words().to_owned(),
        answer.join("\n"),
        rests.join("\n"),
    ]
}

/// Chances that say more than the answer itself.
fn chances(candidates: &[Candidate]) -> Vec<String> {
    candidates
        .iter()
        .filter_map(|c| c.chance.map(|p| (c, p)))
        .filter(|(_, p)| p.holds >= 0.005 && p.holds < 0.995)
        .map(|(c, p)| format!("{}: {}", c.key, chance(p)))
        .collect()
}

fn chance(p: Chance) -> String {
    let percent = |share: f64| format!("{:.0}", 100.0 * share);
    let (low, high) = (percent(p.holds), percent(p.possible));
    if low == high {
        format!("{low} %")
    } else {
        format!("{low} to {high} %")
    }
}

fn consensus_row(report: &StageReport) -> Option<Vec<String>> {
    let c = report.consensus.as_ref()?;
    let mut answer = vec![c.string.clone().unwrap_or_else(|| c.so_far.clone())];
    answer.extend(
        c.strings
            .iter()
            .filter(|(_, p)| **p >= 0.005 && **p < 0.995)
            .map(|(string, p)| format!("{string}: {:.0} %", 100.0 * p)),
    );
    let classes: Vec<String> = c
        .classes
        .iter()
        .filter(|k| k.present.is_true())
        .map(|k| {
            let supple = match k.flexible {
                Truth::True => "flexible",
                Truth::False => "rigid",
                Truth::Unknown => "flexible or rigid not known",
            };
            format!("{} {}, {supple}", k.letter, k.words)
        })
        .collect();
    let rests = if classes.is_empty() {
        "No class is known to be present".to_owned()
    } else {
        classes.join("; ")
    };
    Some(vec![
        stage::Scheme::Consensus.words().to_owned(),
        answer.join("\n"),
        rests,
    ])
}

/// Criteria that are there, and those on which answers and readings disagree, each with who says so.
fn reasons(report: &StageReport, cites: &mut Cites) -> Option<Block> {
    let rows: Vec<Vec<String>> = report
        .criteria
        .iter()
        .filter(|c| !c.truth.is_false() && !c.reasons.is_empty())
        .map(|c| {
            let mut why = vec![words::capital(&c.reasons.join("; "))];
            if let Some(p) = c
                .probability
                .filter(|p| p.holds >= 0.005 && p.holds < 0.995)
            {
                why.push(format!("Chance from the reading's error: {}", chance(p)));
            }
            // A source that a reason names is not named again below it.
            let (named, rest): (Vec<_>, Vec<_>) = c.sources.iter().cloned().partition(|s| {
                let inline = format!("({} {})", s.key, s.letter);
                c.reasons.iter().any(|r| r.contains(&inline))
            });
            named.iter().for_each(|s| cites.add(&s.key, s.letter));
            let mark = cites.of_stage(&rest);
            if !mark.is_empty() {
                why.push(mark);
            }
            vec![
                words::capital(&c.words),
                c.truth.word().to_owned(),
                why.join("\n"),
            ]
        })
        .collect();
    (!rows.is_empty()).then(|| Block::Table {
        caption: format!(
            "{}: criteria and their reasons",
            words::capital(&words::foot(report.side))
        ),
        header: ["Criterion", "There", "Because"].map(String::from).to_vec(),
        rows,
    })
}

fn missing(knowledge: &Knowledge, m: &Missing) -> String {
    let ask: Vec<String> = m.ask.iter().map(|k| words::asked(knowledge, k)).collect();
    let mut out = format!("{} ({}", words::capital(&m.words), m.why);
    if !ask.is_empty() {
        out.push_str("; look at: ");
        out.push_str(&ask.join(", "));
    }
    out.push_str(").");
    let (yes, no) = (outcomes(&m.if_yes), outcomes(&m.if_no));
    if !yes.is_empty() {
        out.push_str(&format!(" If yes: {yes}."));
    }
    if !no.is_empty() {
        out.push_str(&format!(" If no: {no}."));
    }
    out
}

fn outcomes(all: &[Outcome]) -> String {
    let parts: Vec<String> = all
        .iter()
        .map(|o| {
            let left = match o.candidates.len() {
                0 => "none left".to_owned(),
                n if n > MOST_CANDIDATES => format!("{n} left"),
                _ => o.candidates.join(" or "),
            };
            format!("{}: {left}", words::small(o.scheme.words()))
        })
        .collect();
    parts.join("; ")
}
