//! To the patient, or to whoever looks after a child: what is going on, what to do, when to call.
//!
//! Short sentences, one thing each, on two pages at most. Sources stay in the other letter; what is told
//! here is the same.

use super::further::{ChangeLine, Compared, Verdict};
use super::plain::{self, Voice};
use super::plan::{self, Chosen};
use super::referrer::{PAGE_MM, document, heading, is_child, paragraph, signature};
use super::{
    Composed, Foot, LetterFacts, drawn, film, findings, over_time, programme, steps, words,
};
use crate::document::{Block, Notice, Pictures};
use crate::words::{Words, say};
use care::CheckState;
use care::programme::Programme;
use stage::RaisedFlag;
use terms::Side;

/// Readings that are told; more would not be read.
const MOST_READINGS: usize = 2;
const MOST_CHANGES: usize = 3;

/// To the patient; about a child it speaks to whoever looks after it.
pub fn patient_letter(facts: &LetterFacts<'_>) -> Composed {
    let child = is_child(facts);
    plain_letter(facts, Voice { child }, Vec::new())
}

/// To the parents of a child: who came with it, and what was agreed to, where that is recorded.
pub fn parents_letter(facts: &LetterFacts<'_>) -> Composed {
    let w = facts.words;
    let mut came = Vec::new();
    let child = facts.further.child;
    let chosen = |key: &str| facts.story.choice(key).value();
    came.extend(match child.accompanied_by {
        Some(who) => Some(say!(w, "parents-came-with", who = who.trim())),
        None => chosen("accompanied_by").and_then(|c| w.find(&format!("parents-came-{c}"))),
    });
    came.extend(match child.consent {
        Some(consent) => Some(say!(
            w,
            "parents-consent",
            consent = words::sentence(consent)
        )),
        None => chosen("consent_by").and_then(|c| w.find(&format!("parents-consent-{c}"))),
    });
    let came = (!came.is_empty()).then(|| paragraph(came.join(" ")));
    plain_letter(facts, Voice { child: true }, came.into_iter().collect())
}

fn plain_letter(facts: &LetterFacts<'_>, voice: Voice, came: Vec<Block>) -> Composed {
    let w = facts.words;
    let mut pictures = Pictures::new();
    let mut blocks = alarm(facts);
    blocks.push(paragraph(say!(w, "patient-thanks", who = voice.who())));
    blocks.extend(came);
    blocks.extend(going_on(facts, voice));
    blocks.extend(drawn::what_sags(facts, &mut pictures));
    blocks.extend(on_film(facts, voice, &mut pictures));
    blocks.extend(since_then(facts));
    blocks.extend(to_do(facts, voice));
    blocks.extend(warnings(w, voice));
    blocks.extend(come_back(facts));
    blocks.push(signature(facts));
    let title = say!(w, "title-patient", who = voice.who());
    Composed {
        document: document(facts, title, blocks),
        pictures,
    }
}

pub(super) fn alarm(facts: &LetterFacts<'_>) -> Vec<Block> {
    let w = facts.words;
    let mut seen: Vec<&RaisedFlag> = Vec::new();
    for flag in facts
        .feet
        .iter()
        .filter_map(|f| f.stage)
        .flat_map(|s| &s.red_flags)
    {
        if seen.iter().all(|s| s.key != flag.key) {
            seen.push(flag);
        }
    }
    seen.into_iter()
        .map(|flag| {
            let part = |part: &str, text: &str| w.known(&format!("flag-{}-{part}", flag.key), text);
            Block::Notice {
                notice: Notice::Alarm,
                title: say!(w, "alarm-first", sign = part("words", &flag.words)),
                lines: vec![
                    say!(w, "alarm-how-soon", urgency = w.said(&flag.urgency)),
                    say!(
                        w,
                        "alarm-what-to-do",
                        action = words::sentence(&part("action", &flag.action))
                    ),
                ],
            }
        })
        .collect()
}

/// For each foot what was found and what it means, as one paragraph.
fn going_on(facts: &LetterFacts<'_>, voice: Voice) -> Vec<Block> {
    let w = facts.words;
    let mut out = vec![heading(say!(w, "heading-going-on"))];
    let told: Vec<(Side, Vec<String>)> = findings::in_order(&facts.feet)
        .into_iter()
        .map(|foot| {
            let found = plain::findings(w, foot.exam);
            let first = if found.is_empty() {
                say!(w, "nothing-written-down")
            } else {
                words::small(&found.join(" "))
            };
            let lines = std::iter::once(first).chain(means(w, foot, voice));
            (foot.side, lines.collect())
        })
        .collect();
    match told.as_slice() {
        [(_, one), (_, other)] if one == other => {
            out.push(paragraph(say!(
                w,
                "both-feet-alike",
                who = voice.who(),
                said = one.join(" ")
            )));
        }
        all => out.extend(all.iter().map(|(side, lines)| {
            let whose = words::capital(&voice.foot(w, *side));
            let said = lines.join(" ");
            paragraph(say!(w, "labelled", label = whose, value = said))
        })),
    }
    out
}

fn means(w: &Words, foot: &Foot<'_>, voice: Voice) -> Option<String> {
    let report = foot.stage?;
    if !report.may_carry_plan {
        return Some(say!(w, "means-alarm-first"));
    }
    // What the clinician decided stands before what the program found.
    if let Some(said) = foot.decided.and_then(|d| plain::decided(w, d)) {
        return Some(say!(w, "means-we-think", meaning = words::small(&said)));
    }
    if let Some(said) = plain::stage(w, report) {
        return Some(say!(w, "means", meaning = words::small(&said)));
    }
    if report.child.is_none() && report.tendon.as_ref().is_some_and(|t| t.none_fits()) {
        return Some(say!(w, "means-no-tendon"));
    }
    Some(say!(w, "means-open", who = voice.who()))
}

/// One picture with the few readings that a lay reader can follow.
fn on_film(facts: &LetterFacts<'_>, voice: Voice, pictures: &mut Pictures) -> Vec<Block> {
    let w = facts.words;
    // The first film with a picture is shown, since it is the one that the clinician put first.
    let Some(film) = facts
        .films
        .iter()
        .find(|f| f.picture.is_some())
        .or(facts.films.first())
    else {
        return Vec::new();
    };
    let standing = film.sheet.stance == terms::Stance::Standing;
    let told: Vec<String> = film
        .sheet
        .readings
        .iter()
        .enumerate()
        .filter_map(|(i, r)| Some((plain::measure(w, r.measure.as_str())?, i, r)))
        .filter(|(_, i, _)| {
            film::comparison(film, *i).is_some_and(|c| c.summary != reading::Summary::NoYardstick)
        })
        .take(MOST_READINGS)
        .map(|(what, i, r)| {
            let place = film::comparison(film, i)
                .filter(|_| standing)
                .map_or_else(String::new, |c| {
                    plain::where_it_lies(w, r.measure.as_str(), c.summary)
                });
            let value = format!("{}. {place}", super::rows::value(w, r));
            say!(w, "labelled", label = what, value = value.trim_end())
        })
        .collect();
    let side = film.side.or(film.sheet.side);
    let view = plain::view(w, film.sheet.view);
    let seen = match side {
        Some(side) => say!(w, "film-seen", side = side.word(), view = view),
        None => view,
    };
    let mut picture = film::picture(w, facts.knowledge, film, 100.0, pictures);
    if let Some(Block::Figure { caption, .. }) = &mut picture {
        *caption = say!(
            w,
            "film-caption-plain",
            seen = words::capital(&seen),
            stance = words::stance(w, film.sheet.stance)
        );
    }
    if told.is_empty() && picture.is_none() {
        return Vec::new();
    }
    let mut said: Vec<Block> = Vec::new();
    if !standing {
        said.push(paragraph(say!(w, "film-not-standing-plain")));
    }
    if !told.is_empty() {
        said.push(paragraph(say!(
            w,
            "film-is",
            who = voice.who(),
            seen = seen
        )));
        said.extend(told.into_iter().map(paragraph));
        said.push(Block::Small {
            text: say!(w, "film-error-plain"),
        });
    }
    let mut out = vec![heading(say!(w, "heading-x-ray"))];
    match picture {
        Some(picture) => out.push(Block::Columns {
            left: vec![picture],
            right: said,
            left_percent: film::column_percent(film::least_width_mm(film), PAGE_MM),
        }),
        None => out.extend(said),
    }
    out
}

fn to_do(facts: &LetterFacts<'_>, voice: Voice) -> Vec<Block> {
    let w = facts.words;
    let mut out = vec![heading(say!(w, "heading-to-do", who = voice.who()))];
    if !facts.decision.trim().is_empty() {
        out.push(paragraph(say!(
            w,
            "decided",
            decision = words::sentence(facts.decision)
        )));
    }
    let feet = findings::in_order(&facts.feet);
    let any = feet.iter().any(|f| !f.chosen.is_empty());
    for foot in feet {
        out.extend(steps_of(facts, foot, voice));
    }
    if !any && facts.decision.trim().is_empty() {
        out.push(paragraph(say!(w, "no-step-decided")));
    }
    out.push(Block::Notice {
        notice: Notice::Caution,
        title: say!(w, "stop-and-call-title"),
        lines: vec![say!(w, "stop-and-call", who = voice.who())],
    });
    out
}

fn steps_of(facts: &LetterFacts<'_>, foot: &Foot<'_>, voice: Voice) -> Vec<Block> {
    let w = facts.words;
    let chosen = plan::chosen(foot);
    if chosen.is_empty() {
        return Vec::new();
    }
    let rows = chosen
        .iter()
        .zip(foot.chosen)
        .map(|(step, key)| {
            let title = steps::plain(w, key).map_or_else(|| plan::title(w, step), |p| p.title);
            (title, step_words(facts, foot.side, step, key))
        })
        .collect();
    vec![Block::Pairs {
        caption: String::new(),
        header: (
            words::capital(&words::foot(w, foot.side)),
            say!(w, "head-to-do", who = voice.who()),
        ),
        rows,
    }]
}

fn step_words(facts: &LetterFacts<'_>, side: Side, step: &Chosen<'_>, key: &str) -> String {
    let w = facts.words;
    let (Chosen::Proposed(rung), Some(plain)) = (step, steps::plain(w, key)) else {
        return say!(w, "as-talked-about");
    };
    let mut lines = match prescribed(facts, side, key) {
        Some(prescribed) => std::iter::once(plain.what).chain(prescribed).collect(),
        None => vec![format!("{} {}", plain.what, plain.home), plain.care],
    };
    let open: Vec<String> = rung
        .checks
        .iter()
        .filter(|c| c.state == CheckState::NotRecorded)
        .map(|c| plain::check(w, &c.key))
        .collect();
    if !open.is_empty() {
        lines.push(say!(w, "find-out-first", checks = w.listed(&open)));
    }
    lines.join("\n")
}

/// The exercises of this foot as they were prescribed, in place of the usual amounts: a dose told twice must
/// never be two doses.
fn prescribed(facts: &LetterFacts<'_>, side: Side, key: &str) -> Option<Vec<String>> {
    let w = facts.words;
    if key != "therapy" {
        return None;
    }
    let care = facts.further.care;
    let mut lines: Vec<String> = programme::of_foot(care, side)
        .iter()
        .map(|l| {
            let name = programme::Line {
                side: None,
                ..l.clone()
            }
            .name(w);
            say!(w, "labelled", label = name, value = l.amount(w))
        })
        .collect();
    if lines.is_empty() {
        return None;
    }
    let limit = programme::pain_limit(care, side).unwrap_or(Programme::built_in().load.pain_limit);
    lines.push(say!(w, "exercises-care", limit = limit));
    Some(lines)
}

/// Values that were told before, each in a sentence; at most a few, what changed first.
fn since_then(facts: &LetterFacts<'_>) -> Vec<Block> {
    let w = facts.words;
    // No pain then and none now is no news.
    let news =
        |l: &&ChangeLine| !(matches!(l.of, Compared::Question(_)) && l.from == 0.0 && l.to == 0.0);
    let mut all: Vec<&ChangeLine> = facts.further.change.iter().filter(news).collect();
    all.sort_by_key(|l| match (&l.of, &l.verdict) {
        (Compared::Question(_), Verdict::Matters { by, .. }) if *by > 0 => 0,
        (_, Verdict::Changed) => 1,
        (Compared::Question(_), _) => 2,
        (_, Verdict::CannotTell(_)) => 4,
        _ => 3,
    });
    let told = all.into_iter().filter_map(|line| match &line.of {
        Compared::Question(_) => Some((over_time::compared(facts, line), line)),
        Compared::Reading(key) => Some((plain::measure(w, key.as_str())?, line)),
    });
    let items: Vec<String> = told
        .take(MOST_CHANGES)
        .map(|(what, line)| {
            let side = line.side.map(|side| words::foot(w, side));
            let what = match side {
                Some(side) => say!(w, "reading-of-side", reading = what, side = side),
                None => what,
            };
            let said = match line.verdict {
                Verdict::Changed => "since-changed",
                Verdict::NoChangeShown => "since-same",
                Verdict::CannotTell(_) => "since-cannot-tell",
                Verdict::Matters { .. } if line.from == line.to => "since-as-then",
                Verdict::Matters { by: 0, of: 0 } => "since-number",
                Verdict::Matters { by: 0, .. } => "since-small",
                Verdict::Matters { by, of } if by < of => "since-matters-some",
                Verdict::Matters { .. } => "since-matters",
            };
            let said = say!(w, said);
            let line = say!(
                w,
                "since-line",
                what = words::capital(&what),
                then = over_time::value(w, line, line.from),
                day = w.day(&line.since),
                now = over_time::value(w, line, line.to)
            );
            format!("{line} {said}").trim().to_owned()
        })
        .collect();
    if items.is_empty() {
        return Vec::new();
    }
    vec![heading(say!(w, "heading-since")), Block::List { items }]
}

/// The next visit, and when each step is looked at again.
pub(super) fn come_back(facts: &LetterFacts<'_>) -> Vec<Block> {
    let w = facts.words;
    let mut items: Vec<String> = Vec::new();
    if let Some(next) = facts.next_visit {
        let when = words::sentence(&w.day(next));
        items.push(say!(w, "see-you-again", when = when));
    }
    let mut looks: Vec<String> = Vec::new();
    for foot in findings::in_order(&facts.feet) {
        for (step, key) in plan::chosen(foot).iter().zip(foot.chosen) {
            let (Chosen::Proposed(rung), Some(plain)) = (step, steps::plain(w, key)) else {
                continue;
            };
            let when: Vec<String> = rung
                .look
                .iter()
                .map(|l| words::small(&w.said(&l.when)))
                .collect();
            let line = say!(
                w,
                "look-at-step",
                step = words::small(&plain.title),
                when = w.listed(&when)
            );
            if !when.is_empty() && !looks.contains(&line) {
                looks.push(line);
            }
        }
    }
    if !looks.is_empty() {
        items.push(say!(w, "look-again-plain", looks = looks.join("; ")));
    }
    if items.is_empty() {
        items.push(say!(w, "no-date"));
    }
    vec![
        heading(say!(w, "heading-next-visit")),
        paragraph(items.join(" ")),
    ]
}

pub(super) fn warnings(w: &Words, voice: Voice) -> Vec<Block> {
    let mut out = vec![heading(say!(w, "heading-warnings"))];
    for (title, lines) in plain::warnings(w, voice) {
        out.push(Block::Notice {
            notice: Notice::Alarm,
            title,
            lines: lines.iter().map(|l| format!("– {l}")).collect(),
        });
    }
    out.push(Block::Small {
        text: say!(w, "warnings-everybody"),
    });
    out
}
