//! To the patient, or to whoever looks after a child: what was found, what to do, when to come back.
//!
//! Short sentences, one thing each. Sources stay in the other letter; what is told here is the same.

use super::plain::{self, Voice};
use super::plan::{self, Chosen};
use super::referrer::{document, heading, is_child, signature};
use super::{Composed, Film, Foot, LetterFacts, film, findings, words};
use crate::document::{Block, Notice, Pictures};
use care::CheckState;
use stage::RaisedFlag;

/// Readings that are told; more would not be read.
const MOST_READINGS: usize = 3;

pub fn patient_letter(facts: &LetterFacts<'_>) -> Composed {
    let voice = Voice {
        child: is_child(facts),
    };
    let mut pictures = Pictures::new();
    let mut blocks = alarm(facts);
    blocks.extend(found(facts, voice, &mut pictures));
    blocks.extend(means(facts, voice));
    blocks.extend(to_do(facts, voice));
    blocks.extend(come_back(facts));
    blocks.extend(warnings(voice));
    blocks.push(signature(facts));
    let title = if voice.child {
        "Your child’s feet: what we found and what to do"
    } else {
        "Your feet: what we found and what to do"
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

fn found(facts: &LetterFacts<'_>, voice: Voice, pictures: &mut Pictures) -> Vec<Block> {
    let mut out = vec![heading("What we found")];
    for foot in findings::in_order(&facts.feet) {
        let items = plain::findings(foot.exam);
        let whose = words::capital(&voice.foot(foot.side));
        if items.is_empty() {
            out.push(Block::Paragraph {
                text: format!("{whose}: nothing is written down from this visit."),
            });
        } else {
            out.push(Block::Paragraph {
                text: format!("{whose}:"),
            });
            out.push(Block::List { items });
        }
    }
    for film in &facts.films {
        out.extend(on_film(facts, film, pictures));
    }
    out
}

fn on_film(facts: &LetterFacts<'_>, film: &Film<'_>, pictures: &mut Pictures) -> Vec<Block> {
    let items: Vec<String> = film
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
            let value = super::rows::value(r);
            let place = film::comparison(film, i).map_or("", |c| plain::place(c.summary));
            let place = if film.sheet.stance == terms::Stance::Standing {
                place
            } else {
                ""
            };
            format!("{what}: {value}. {place}").trim_end().to_owned()
        })
        .collect();
    let mut out = Vec::new();
    if items.is_empty() && film.picture.is_none() {
        return out;
    }
    out.push(Block::Paragraph {
        text: format!("On the X-ray ({}):", words::small(film.title)),
    });
    out.extend(film::stance_caution(film).map(|_| Block::Paragraph {
        text: "It is not known to have been taken standing, so its numbers say little about the arch under load.".into(),
    }));
    let mut said: Vec<Block> = Vec::new();
    if !items.is_empty() {
        said.push(Block::List { items });
        said.push(Block::Small {
            text: "Every measurement has an error. The number behind ± says how far off it may be, 19 times in 20.".into(),
        });
    }
    match film::picture(facts.knowledge, film, 100.0, pictures) {
        Some(picture) => out.push(Block::Columns {
            left: said,
            right: vec![picture],
            left_percent: 52.0,
        }),
        None => out.extend(said),
    }
    out
}

fn means(facts: &LetterFacts<'_>, voice: Voice) -> Vec<Block> {
    let mut out = Vec::new();
    for foot in findings::in_order(&facts.feet) {
        let Some(report) = foot.stage else { continue };
        let whose = words::capital(&voice.foot(foot.side));
        if !report.may_carry_plan {
            out.push(Block::Paragraph {
                text: format!("{whose}: first comes what stands at the top of this letter. How far the arch has gone is a later question."),
            });
        } else if let Some(words) = plain::stage(report) {
            out.push(Block::Paragraph {
                text: format!("{whose}: {}", words::small(&words)),
            });
        } else {
            let open = report
                .missing
                .first()
                .map(|m| format!(" Still open: “{}”.", words::small(&m.words)))
                .unwrap_or_default();
            out.push(Block::Paragraph {
                text: format!("{whose}: we cannot yet say whether and how far it has gone.{open}"),
            });
        }
    }
    if !out.is_empty() {
        out.insert(0, heading("What it means"));
    }
    out
}

fn to_do(facts: &LetterFacts<'_>, voice: Voice) -> Vec<Block> {
    let mut out = vec![heading("What to do now")];
    if !facts.decision.trim().is_empty() {
        out.push(Block::Paragraph {
            text: words::sentence(facts.decision),
        });
    }
    let feet = findings::in_order(&facts.feet);
    let any = feet.iter().any(|f| !f.chosen.is_empty());
    for foot in feet {
        out.extend(steps(foot, voice));
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

fn steps(foot: &Foot<'_>, voice: Voice) -> Vec<Block> {
    let chosen = plan::chosen(foot);
    if chosen.is_empty() {
        return Vec::new();
    }
    let rows = chosen
        .iter()
        .map(|step| (plan::title(step).to_owned(), step_words(step)))
        .collect();
    vec![Block::Pairs {
        caption: format!("For {}", voice.foot(foot.side)),
        header: ("Step".into(), "What to do".into()),
        rows,
    }]
}

fn step_words(step: &Chosen<'_>) -> String {
    let Chosen::Proposed(rung) = step else {
        return "As we talked about.".into();
    };
    let mut lines = vec![words::sentence(&rung.words)];
    lines.extend(rung.dose.iter().map(|d| words::sentence(d)));
    lines.push(format!("How long: {}.", rung.how_long));
    let open: Vec<String> = rung
        .checks
        .iter()
        .filter(|c| c.state == CheckState::NotRecorded)
        .map(|c| plain::check(&c.key).to_owned())
        .collect();
    if !open.is_empty() {
        lines.push(format!(
            "Before it starts we still have to look at: {}.",
            words::listed(&open)
        ));
    }
    lines.extend(
        rung.cautions
            .iter()
            .map(|c| format!("Take care: {}", words::small(&c.words))),
    );
    lines.join("\n")
}

fn come_back(facts: &LetterFacts<'_>) -> Vec<Block> {
    let mut items: Vec<String> = Vec::new();
    if let Some(next) = facts.next_visit {
        items.push(format!("Next visit: {}", words::sentence(next)));
    }
    for foot in findings::in_order(&facts.feet) {
        for step in plan::chosen(foot) {
            let Chosen::Proposed(rung) = step else {
                continue;
            };
            for look in &rung.look {
                let line = format!(
                    "{}, for “{}”, we look at: {}.",
                    words::capital(&look.when),
                    words::small(&rung.title),
                    words::small(&look.what)
                );
                if !items.contains(&line) {
                    items.push(line);
                }
            }
        }
    }
    if items.is_empty() {
        items.push("No date is written down. Ask us for one.".into());
    }
    vec![heading("When to come back"), Block::List { items }]
}

fn warnings(voice: Voice) -> Vec<Block> {
    let mut out = vec![heading("Do not wait for the next visit if")];
    for (title, lines) in plain::WARNINGS {
        let mut lines: Vec<String> = lines.iter().map(|l| (*l).to_owned()).collect();
        if voice.child && title.contains("same day") {
            lines.extend(plain::WARNINGS_CHILD.map(String::from));
        }
        out.push(Block::Notice {
            notice: Notice::Alarm,
            title: title.into(),
            lines,
        });
    }
    out.push(Block::Small {
        text: "These signs are common practice and are given to everybody; they do not mean that you have them. Where local rules say otherwise, follow them.".into(),
    });
    out
}
