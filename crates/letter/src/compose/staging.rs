//! Stages with their reasons, and what is missing, foot by foot.

use super::cites::Cites;
use super::words;
use crate::document::Block;
use crate::words::{Words, say};
use knowledge::Knowledge;
use stage::{Candidate, Chance, Missing, Outcome, SchemeReport, StageReport, Truth};

/// More stages than this are counted instead of named.
const MOST_CANDIDATES: usize = 4;

/// The tendon's stage in half a sentence that may follow a colon.
fn tendon_in_short(w: &Words, scheme: &stage::SchemeReport) -> String {
    let would = scheme.would_words();
    let would = match would.strip_prefix("; ") {
        Some(said) => format!("; {}", w.said(said)),
        None => w.said(&would),
    };
    if !scheme.holding().is_empty() {
        // Its headline says the unconfirmed ones itself.
        say!(
            w,
            "short-stage",
            stage = words::small(&w.said(&scheme.headline))
        )
    } else if scheme.none_fits() {
        say!(w, "short-none-fits", would = would)
    } else if scheme.all_open() {
        say!(w, "short-not-settled", would = would)
    } else {
        say!(
            w,
            "short-not-settled-among",
            stages = either_of(w, &scheme.possible()),
            would = would
        )
    }
}

/// `I or IV`
fn either_of<S: AsRef<str>>(w: &Words, all: &[S]) -> String {
    let or = format!(" {} ", say!(w, "list-or"));
    let all: Vec<String> = all.iter().map(|s| w.said(s.as_ref())).collect();
    all.join(&or)
}

/// The stage of one foot in a line.
pub fn in_short(w: &Words, report: &StageReport) -> String {
    let mut parts: Vec<String> = [&report.tendon, &report.child, &report.traffic_light]
        .into_iter()
        .flatten()
        .map(|s| {
            let headline = words::small(&w.said(&s.headline));
            match s.scheme {
                stage::Scheme::Tendon => tendon_in_short(w, s),
                stage::Scheme::Child => say!(w, "short-kind", kind = headline),
                _ => say!(w, "short-light", light = headline),
            }
        })
        .collect();
    if let Some(c) = &report.consensus {
        let string = c.string.as_ref().unwrap_or(&c.so_far);
        parts.push(say!(w, "short-classes", classes = w.said(string)));
    }
    for later in parts.iter_mut().skip(1) {
        *later = words::capital(later);
    }
    say!(
        w,
        "short-of-foot",
        foot = words::capital(&words::foot(w, report.side)),
        said = parts.join(". ")
    )
}

/// Open criteria that the letter itself tells; the record tells more.
const BRIEF_MISSING: usize = 2;

/// One foot's stage for the letter: each answer, what it rests on, what is uncertain and still open.
pub fn brief(w: &Words, knowledge: &Knowledge, report: &StageReport) -> Block {
    let mut rows: Vec<(String, String)> = Vec::new();
    for scheme in [&report.tendon, &report.child, &report.traffic_light]
        .into_iter()
        .flatten()
    {
        let mut lines = vec![words::sentence(&words::capital(&w.said(&scheme.headline)))];
        let holding = scheme.candidates.iter().filter(|c| c.truth.is_true());
        let mut because: Vec<String> = holding
            .flat_map(|c| &c.because)
            .map(|b| words::small(&w.said(b)))
            .collect();
        let mut seen = std::collections::BTreeSet::new();
        because.retain(|b| seen.insert(b.clone()));
        if !because.is_empty() {
            lines.push(say!(w, "stage-because", reasons = because.join("; ")));
        }
        let chances = chances(w, &scheme.candidates);
        if !chances.is_empty() {
            lines.push(say!(w, "stage-chances", chances = chances.join("; ")));
        }
        rows.push((w.said(scheme.scheme.words()), lines.join("\n")));
    }
    if let Some(row) = consensus_row(w, report) {
        let [scheme, answer, rests] = &row[..] else {
            return uncertain(w, rows, report);
        };
        let answer = answer.replace('\n', "; ");
        rows.push((
            scheme.clone(),
            format!("{}\n{}", words::sentence(&answer), words::sentence(rests)),
        ));
    }
    if let Some(c) = &report.three_column {
        rows.push((
            w.said(c.scheme.words()),
            words::sentence(&words::capital(&w.said(&c.headline))),
        ));
    }
    let disagree: Vec<String> = report
        .criteria
        .iter()
        .filter(|c| c.disagree)
        .map(|c| words::small(&w.said(&c.words)))
        .collect();
    if !disagree.is_empty() {
        rows.push((
            say!(w, "label-contradicting"),
            say!(w, "stage-disagree", criteria = disagree.join("; ")),
        ));
    }
    if !report.notes.is_empty() {
        let notes: Vec<String> = report.notes.iter().map(|n| w.said(n)).collect();
        rows.push((say!(w, "to-know"), notes.join("\n")));
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
        .map(|m| missing_in_brief(w, knowledge, m))
        .collect();
    let more = report.missing.len() - open.len();
    if more > 0 {
        open.push(say!(w, "stage-more-open", count = more));
    }
    if !open.is_empty() {
        rows.push((say!(w, "label-still-open"), open.join("\n")));
    }
    uncertain(w, rows, report)
}

fn uncertain(w: &Words, rows: Vec<(String, String)>, report: &StageReport) -> Block {
    let short = report
        .tendon
        .as_ref()
        .or(report.traffic_light.as_ref())
        .map_or_else(String::new, |s| {
            let holding = s.holding();
            match holding.as_slice() {
                [] => say!(w, "not-settled"),
                all if s.scheme == stage::Scheme::Tendon => {
                    say!(w, "short-stage", stage = both_of(w, all))
                }
                all => say!(w, "short-light", light = both_of(w, all)),
            }
        });
    Block::Pairs {
        caption: String::new(),
        header: (
            words::capital(&words::foot(w, report.side)),
            words::capital(&short),
        ),
        rows,
    }
}

/// `Forefoot drifts outwards (not looked at): a yes leaves IV, a no leaves I.`
fn missing_in_brief(w: &Words, knowledge: &Knowledge, m: &Missing) -> String {
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
                [] => say!(w, "no-stage"),
                some => either_of(w, some),
            })
    };
    let missing = words::capital(&w.said(&m.words));
    let ask: Vec<String> = m
        .ask
        .iter()
        .take(2)
        .map(|k| words::asked(w, knowledge, k))
        .filter(|a| !a.eq_ignore_ascii_case(&missing))
        .collect();
    let what = missing_with_why(w, missing, m, &ask);
    let effects: Vec<String> = [
        ("missing-yes-leaves", first(&m.if_yes)),
        ("missing-no-leaves", first(&m.if_no)),
    ]
    .into_iter()
    .filter_map(|(key, left)| left.map(|l| say!(w, key, stages = l)))
    .collect();
    if effects.is_empty() {
        format!("{what}.")
    } else {
        let effects = format!("{}.", effects.join(", "));
        say!(w, "labelled", label = what, value = effects)
    }
}

/// Answers of all schemes, the reasons behind them, and what would change them.
pub fn blocks(
    w: &Words,
    knowledge: &Knowledge,
    report: &StageReport,
    cites: &mut Cites,
    most_missing: usize,
) -> Vec<Block> {
    let side = words::capital(&words::foot(w, report.side));
    let mut rows: Vec<Vec<String>> = report
        .schemes()
        .into_iter()
        .map(|s| scheme_row(w, s, cites))
        .collect();
    if let Some(row) = consensus_row(w, report) {
        rows.insert(rows.len().min(2), row);
    }
    let mut out = vec![Block::Table {
        caption: say!(w, "schemes-caption", foot = side.clone()),
        header: ["head-scheme", "head-answer", "head-rests-on"]
            .map(|key| say!(w, key))
            .to_vec(),
        rows,
    }];
    if let Some(reasons) = reasons(w, report, cites) {
        out.push(reasons);
    }
    let absent: Vec<String> = report
        .criteria
        .iter()
        .filter(|c| c.truth.is_false())
        .map(|c| words::small(&w.said(&c.words)))
        .collect();
    if !absent.is_empty() {
        out.push(Block::Paragraph {
            text: say!(w, "criteria-absent", criteria = absent.join("; ")),
        });
    }
    if !report.missing.is_empty() {
        let mut items: Vec<String> = report
            .missing
            .iter()
            .take(most_missing)
            .map(|m| missing(w, knowledge, m))
            .collect();
        let more = report.missing.len().saturating_sub(most_missing);
        if more > 0 {
            let rest: Vec<String> = report
                .missing
                .iter()
                .skip(most_missing)
                .map(|m| words::small(&w.said(&m.words)))
                .collect();
            items.push(say!(
                w,
                "criteria-more-open",
                count = more,
                criteria = rest.join("; ")
            ));
        }
        out.push(Block::Paragraph {
            text: say!(w, "criteria-missing", foot = side),
        });
        out.push(Block::List { items });
    }
    for note in report.notes.iter().chain(&report.told) {
        cites.add_named(knowledge, note);
        out.push(Block::Small { text: w.said(note) });
    }
    out
}

fn scheme_row(w: &Words, scheme: &SchemeReport, cites: &mut Cites) -> Vec<String> {
    let telling: Vec<&Candidate> = scheme
        .candidates
        .iter()
        .filter(|c| c.truth.is_true())
        .collect();
    let mut rests: Vec<String> = Vec::new();
    for c in &telling {
        if !c.because.is_empty() {
            let because: Vec<String> = c.because.iter().map(|b| words::small(&w.said(b))).collect();
            rests.push(words::capital(&because.join("; ")));
        }
    }
    if telling.is_empty() {
        let mut open: Vec<String> = scheme
            .candidates
            .iter()
            .filter(|c| c.would_be.is_none() && c.truth.is_unknown())
            .flat_map(|c| &c.open)
            .map(|o| words::small(&w.said(o)))
            .collect();
        open.sort();
        open.dedup();
        if !open.is_empty() {
            rests.push(say!(w, "scheme-open", criteria = open.join("; ")));
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
    let mut answer = vec![words::capital(&w.said(&scheme.headline))];
    answer.extend(chances(w, &scheme.candidates));
    vec![
        w.said(scheme.scheme.words()),
        answer.join("\n"),
        rests.join("\n"),
    ]
}

/// Chances that say more than the answer itself.
fn chances(w: &Words, candidates: &[Candidate]) -> Vec<String> {
    candidates
        .iter()
        .filter_map(|c| c.chance.map(|p| (c, p)))
        .filter(|(_, p)| p.holds >= 0.005 && p.holds < 0.995)
        .map(|(c, p)| {
            say!(
                w,
                "labelled",
                label = c.key.to_string(),
                value = chance(w, p)
            )
        })
        .collect()
}

fn chance(w: &Words, p: Chance) -> String {
    let percent = |share: f64| format!("{:.0}", 100.0 * share);
    let (low, high) = (percent(p.holds), percent(p.possible));
    if low == high {
        format!("{low} %")
    } else {
        say!(w, "span", low = low, high = format!("{high} %"))
    }
}

fn consensus_row(w: &Words, report: &StageReport) -> Option<Vec<String>> {
    let c = report.consensus.as_ref()?;
    let mut answer = vec![w.said(c.string.as_ref().unwrap_or(&c.so_far))];
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
                Truth::True => "class-flexible",
                Truth::False => "class-rigid",
                Truth::Unknown => "class-unknown",
            };
            say!(
                w,
                "class",
                letter = k.letter.to_string(),
                words = w.said(&k.words),
                supple = say!(w, supple)
            )
        })
        .collect();
    let rests = if classes.is_empty() {
        say!(w, "class-none")
    } else {
        classes.join("; ")
    };
    Some(vec![
        w.said(stage::Scheme::Consensus.words()),
        answer.join("\n"),
        rests,
    ])
}

/// Criteria that are there, and those on which answers and readings disagree, each with who says so.
fn reasons(w: &Words, report: &StageReport, cites: &mut Cites) -> Option<Block> {
    let rows: Vec<Vec<String>> = report
        .criteria
        .iter()
        .filter(|c| !c.truth.is_false() && !c.reasons.is_empty())
        .map(|c| {
            let mut why = vec![words::capital(
                &c.reasons
                    .iter()
                    .map(|r| w.said(r))
                    .collect::<Vec<_>>()
                    .join("; "),
            )];
            if let Some(p) = c
                .probability
                .filter(|p| p.holds >= 0.005 && p.holds < 0.995)
            {
                why.push(say!(w, "criterion-chance", chance = chance(w, p)));
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
                words::capital(&w.said(&c.words)),
                w.said(c.truth.word()),
                why.join("\n"),
            ]
        })
        .collect();
    (!rows.is_empty()).then(|| Block::Table {
        caption: say!(
            w,
            "criteria-caption",
            foot = words::capital(&words::foot(w, report.side))
        ),
        header: ["head-criterion", "head-there", "head-because"]
            .map(|key| say!(w, key))
            .to_vec(),
        rows,
    })
}

/// `II and III`
fn both_of<S: AsRef<str>>(w: &Words, all: &[S]) -> String {
    let all: Vec<String> = all.iter().map(|s| w.said(s.as_ref())).collect();
    let and = format!(" {} ", say!(w, "list-and"));
    all.join(&and)
}

/// A criterion with the reason why it is open, and what to look at.
fn missing_with_why(w: &Words, missing: String, m: &Missing, ask: &[String]) -> String {
    let why = w.said(&m.why);
    if ask.is_empty() {
        say!(w, "aside", what = missing, aside = why)
    } else {
        say!(
            w,
            "missing-look-at",
            what = missing,
            why = why,
            asks = ask.join(", ")
        )
    }
}

fn missing(w: &Words, knowledge: &Knowledge, m: &Missing) -> String {
    let ask: Vec<String> = m
        .ask
        .iter()
        .map(|k| words::asked(w, knowledge, k))
        .collect();
    let missing = words::capital(&w.said(&m.words));
    let mut out = format!("{}.", missing_with_why(w, missing, m, &ask));
    for (key, all) in [("missing-if-yes", &m.if_yes), ("missing-if-no", &m.if_no)] {
        let left = outcomes(w, all);
        if !left.is_empty() {
            out.push(' ');
            out.push_str(&say!(w, key, left = left));
        }
    }
    out
}

fn outcomes(w: &Words, all: &[Outcome]) -> String {
    let parts: Vec<String> = all
        .iter()
        .map(|o| {
            let left = match o.candidates.len() {
                0 => say!(w, "none-left"),
                n if n > MOST_CANDIDATES => say!(w, "count-left", count = n),
                _ => either_of(w, &o.candidates),
            };
            let scheme = words::small(&w.said(o.scheme.words()));
            say!(w, "labelled", label = scheme, value = left)
        })
        .collect();
    parts.join("; ")
}
