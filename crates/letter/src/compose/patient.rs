//! To the patient, or to whoever looks after a child: what is going on, what to do, when to call.
//!
//! Short sentences, one thing each, on two pages at most. Sources stay in the other letter; what is told
//! here is the same.

use super::plain::{self, Voice};
use super::plan::{self, Chosen};
use super::referrer::{PAGE_MM, document, heading, is_child, paragraph, signature};
use super::{Composed, Foot, LetterFacts, film, findings, steps, words};
use crate::document::{Block, Notice, Pictures};
use care::CheckState;
use stage::RaisedFlag;
use terms::Side;

/// Readings that are told; more would not be read.
const MOST_READINGS: usize = 2;

pub fn patient_letter(facts: &LetterFacts<'_>) -> Composed {
    let voice = Voice {
        child: is_child(facts),
    };
    let mut pictures = Pictures::new();
    let mut blocks = alarm(facts);
    blocks.push(paragraph(if voice.child {
        "Thank you for bringing your child to us. This letter tells you what we found and what helps now."
    } else {
        "Thank you for coming to see us. This letter tells you what we found and what helps now."
    }));
    blocks.extend(going_on(facts, voice));
    blocks.extend(on_film(facts, &mut pictures));
    blocks.extend(to_do(facts, voice));
    blocks.extend(warnings(voice));
    blocks.extend(come_back(facts));
    blocks.push(signature(facts));
    let title = if voice.child {
        "Your child’s feet: what is going on, and what to do"
    } else {
        "Your feet: what is going on, and what to do"
    };
    Composed {
        document: document(facts, title, blocks),
        pictures,
    }
}

fn alarm(facts: &LetterFacts<'_>) -> Vec<Block> {
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
        .map(|flag| Block::Notice {
            notice: Notice::Alarm,
            title: format!("This comes first: {}", flag.words),
            lines: vec![
                format!("How soon: {}.", flag.urgency),
                format!("What has to be done: {}", words::sentence(&flag.action)),
            ],
        })
        .collect()
}

/// For each foot what was found and what it means, as one paragraph.
fn going_on(facts: &LetterFacts<'_>, voice: Voice) -> Vec<Block> {
    let mut out = vec![heading("What is going on")];
    let told: Vec<(Side, Vec<String>)> = findings::in_order(&facts.feet)
        .into_iter()
        .map(|foot| {
            let found = plain::findings(foot.exam);
            let first = if found.is_empty() {
                "nothing is written down from this visit.".to_owned()
            } else {
                words::small(&found.join(" "))
            };
            let lines = std::iter::once(first).chain(means(foot, voice));
            (foot.side, lines.collect())
        })
        .collect();
    match told.as_slice() {
        [(_, one), (_, other)] if one == other => {
            let whose = if voice.child {
                "of your child’s"
            } else {
                "of your"
            };
            out.push(paragraph(format!(
                "Both {whose} feet are alike: {}",
                one.join(" ")
            )));
        }
        all => out.extend(all.iter().map(|(side, lines)| {
            let whose = words::capital(&voice.foot(*side));
            paragraph(format!("{whose}: {}", lines.join(" ")))
        })),
    }
    out
}

fn means(foot: &Foot<'_>, voice: Voice) -> Option<String> {
    let report = foot.stage?;
    if !report.may_carry_plan {
        return Some("First comes what stands at the top of this letter. How far the arch has gone is a later question.".into());
    }
    // What the clinician decided stands before what the program found.
    if let Some(words) = foot.decided.and_then(plain::decided) {
        return Some(format!("What we think it is: {}", words::small(&words)));
    }
    if let Some(words) = plain::stage(report) {
        return Some(format!("What it means: {}", words::small(&words)));
    }
    if report.child.is_none() && report.tendon.as_ref().is_some_and(|t| t.none_fits()) {
        return Some("What we found here does not fit a tendon that is giving way.".into());
    }
    let whose = if voice.child {
        "your child’s"
    } else {
        "your"
    };
    Some(format!(
        "We cannot yet say whether and how far {whose} arch has gone here. We need to look at more first."
    ))
}

/// One picture with the few readings that a lay reader can follow.
fn on_film(facts: &LetterFacts<'_>, pictures: &mut Pictures) -> Vec<Block> {
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
        .filter_map(|(i, r)| Some((plain::measure(r.measure.as_str())?, i, r)))
        .filter(|(_, i, _)| {
            film::comparison(film, *i).is_some_and(|c| c.summary != reading::Summary::NoYardstick)
        })
        .take(MOST_READINGS)
        .map(|(what, i, r)| {
            let place = film::comparison(film, i)
                .filter(|_| standing)
                .map_or("", |c| plain::where_it_lies(r.measure.as_str(), c.summary));
            format!("{what}: {}. {place}", super::rows::value(r))
                .trim_end()
                .to_owned()
        })
        .collect();
    let side = film.side.or(film.sheet.side);
    let seen = match side {
        Some(side) => format!("{} foot, {}", side.word(), plain::view(film.sheet.view)),
        None => plain::view(film.sheet.view).to_owned(),
    };
    let mut picture = film::picture(facts.knowledge, film, 100.0, pictures);
    if let Some(Block::Figure { caption, .. }) = &mut picture {
        *caption = format!(
            "{}, {}. The lines are how we measure it.",
            words::capital(&seen),
            film.sheet.stance.words()
        );
    }
    if told.is_empty() && picture.is_none() {
        return Vec::new();
    }
    let mut said: Vec<Block> = Vec::new();
    if !standing {
        said.push(paragraph(
            "It is not known to have been taken standing, so its numbers say little about the arch under load.",
        ));
    }
    if !told.is_empty() {
        said.push(paragraph(format!("This is your {seen}.").replace(
            "your",
            if is_child(facts) {
                "your child’s"
            } else {
                "your"
            },
        )));
        said.extend(told.into_iter().map(paragraph));
        said.push(Block::Small {
            text: "No measurement is perfect. The number behind ± says how far off it may be, 19 times in 20.".into(),
        });
    }
    let mut out = vec![heading("What the X-ray shows")];
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
    let mut out = vec![heading(if voice.child {
        "What we do now, and what helps at home"
    } else {
        "What we do now, and what you do at home"
    })];
    if !facts.decision.trim().is_empty() {
        out.push(Block::Paragraph {
            text: format!("Decided: {}", words::sentence(facts.decision)),
        });
    }
    let feet = findings::in_order(&facts.feet);
    let any = feet.iter().any(|f| !f.chosen.is_empty());
    for foot in feet {
        out.extend(steps_of(foot, voice));
    }
    if !any && facts.decision.trim().is_empty() {
        out.push(Block::Paragraph {
            text: "No step was decided at this visit. Ask us before you start anything.".into(),
        });
    }
    out.push(Block::Notice {
        notice: Notice::Caution,
        title: "Stop and call us".into(),
        lines: vec![format!(
            "If a step makes {} worse, stop it and call us. Ask before you take any medicine, also one without prescription.",
            if voice.child { "your child’s foot" } else { "the foot" }
        )],
    });
    out
}

fn steps_of(foot: &Foot<'_>, voice: Voice) -> Vec<Block> {
    let chosen = plan::chosen(foot);
    if chosen.is_empty() {
        return Vec::new();
    }
    let rows = chosen
        .iter()
        .zip(foot.chosen)
        .map(|(step, key)| {
            let title = steps::plain(key).map_or(plan::title(step), |p| p.title);
            (title.to_owned(), step_words(step, key))
        })
        .collect();
    vec![Block::Pairs {
        caption: String::new(),
        header: (
            words::capital(&format!("{} foot", foot.side.word())),
            if voice.child {
                "What helps"
            } else {
                "What to do"
            }
            .into(),
        ),
        rows,
    }]
}

fn step_words(step: &Chosen<'_>, key: &str) -> String {
    let (Chosen::Proposed(rung), Some(plain)) = (step, steps::plain(key)) else {
        return "As we talked about.".into();
    };
    let mut lines = vec![format!("{} {}", plain.what, plain.home)];
    lines.push(plain.care.to_owned());
    let open: Vec<String> = rung
        .checks
        .iter()
        .filter(|c| c.state == CheckState::NotRecorded)
        .map(|c| plain::check(&c.key).to_owned())
        .collect();
    if !open.is_empty() {
        lines.push(format!(
            "Before you start, we still have to find out {}.",
            terms::listed(&open)
        ));
    }
    lines.join("\n")
}

/// The next visit, and when each step is looked at again.
fn come_back(facts: &LetterFacts<'_>) -> Vec<Block> {
    let mut items: Vec<String> = Vec::new();
    if let Some(next) = facts.next_visit {
        items.push(format!("We see you again: {}", words::sentence(next)));
    }
    let mut looks: Vec<String> = Vec::new();
    for foot in findings::in_order(&facts.feet) {
        for (step, key) in plan::chosen(foot).iter().zip(foot.chosen) {
            let (Chosen::Proposed(rung), Some(plain)) = (step, steps::plain(key)) else {
                continue;
            };
            let when: Vec<String> = rung.look.iter().map(|l| words::small(&l.when)).collect();
            let line = format!("{} {}", words::small(plain.title), terms::listed(&when));
            if !when.is_empty() && !looks.contains(&line) {
                looks.push(line);
            }
        }
    }
    if !looks.is_empty() {
        items.push(format!("We check how it goes: {}.", looks.join("; ")));
    }
    if items.is_empty() {
        items.push("No date is written down. Ask us for one.".into());
    }
    vec![heading("Your next visit"), paragraph(items.join(" "))]
}

fn warnings(voice: Voice) -> Vec<Block> {
    let mut out = vec![heading("When to call at once")];
    let signs = if voice.child {
        plain::WARNINGS_CHILD
    } else {
        plain::WARNINGS
    };
    for (title, lines) in signs {
        out.push(Block::Notice {
            notice: Notice::Alarm,
            title: title.into(),
            lines: lines.iter().map(|l| format!("– {l}")).collect(),
        });
    }
    out.push(Block::Small {
        text: "Everybody gets this list. It does not mean that you have these signs. It is common practice; where local rules say otherwise, follow them.".into(),
    });
    out
}
