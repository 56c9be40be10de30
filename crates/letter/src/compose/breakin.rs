//! Getting used to a device, in plain words for whoever wears it: how long each day, what to look for, when
//! to stop.
//!
//! The hours are what is usual, and the sheet says so: no study prints them. What the clinician said goes
//! before everything here, and a foot that does not feel comes before the hours.

use super::{Composed, words};
use crate::document::{Block, Document, Notice, Pictures};
use terms::Side;

/// What a break-in sheet is made from.
#[derive(Debug, Clone)]
pub struct BreakInFacts<'a> {
    /// Name of the practice, then its lines; the telephone among them.
    pub practice: &'a [String],
    /// The practice is a demo: nothing on the sheet is anybody's.
    pub invented: bool,
    /// The day of fitting, in words.
    pub date: &'a str,
    pub patient: super::PatientLine<'a>,
    /// The feet that got a device.
    pub sides: &'a [Side],
    /// Whoever looks after a child is spoken to.
    pub child: bool,
    /// Has a foot lost its protective feeling? `None`: not looked at.
    pub feeling_lost: Option<bool>,
    pub clinician: &'a str,
    /// The next appointment, in words.
    pub next_visit: Option<&'a str>,
}

/// Hours on the first day, and how many more each day (recalled for braces, taken over as usual practice;
/// unconfirmed, and the sheet calls it usual).
const FIRST_DAY_HOURS: u32 = 1;
const MORE_EACH_DAY_HOURS: u32 = 1;
/// Days that are written out; what follows is told in words.
const DAYS: u32 = 8;
/// A mark that stays longer is pressed (common practice: 20 to 30 minutes are told; the shorter one is ours).
const MARK_MINUTES: u32 = 20;

/// Signs to stop at: key of the knowledge folder, and what is told.
const SIGNS: [(&str, &str); 6] = [
    ("blister", "a blister, or skin that is broken,"),
    ("mark", "MARK"),
    (
        "numbness",
        "numb or tingling toes, or toes that turn white or blue,",
    ),
    (
        "new-pain",
        "new pain in foot, knee, hip or back, or pain that gets worse,",
    ),
    (
        "hot-swollen",
        "a hot, red or swollen foot, or a fever: get help the same day,",
    ),
    ("crack", "a crack or a sharp edge in the insole."),
];

pub fn break_in_sheet(facts: &BreakInFacts<'_>) -> Composed {
    let (your, you) = if facts.child {
        ("your child’s", "your child")
    } else {
        ("your", "you")
    };
    let pair = facts.sides.len() > 1;
    let mut blocks = Vec::new();
    if facts.invented {
        blocks.push(notice(
            Notice::Caution,
            "Invented data",
            vec!["This practice is a demo. Nobody wears this insole.".into()],
        ));
    }
    let numb = facts.feeling_lost == Some(true);
    if numb {
        blocks.push(feeling(facts, your));
    }
    let (feet, insole) = if pair {
        ("feet need", "insoles")
    } else {
        ("foot needs", "insole")
    };
    blocks.push(paragraph(words::capital(&format!(
        "{your} {feet} time to get used to the new {insole}. Wear {} a little longer each day. What we told you goes before this sheet.",
        if pair { "them" } else { "it" },
    ))));
    blocks.push(heading("How long each day"));
    blocks.push(days(numb));
    blocks.push(Block::Paragraph {
        text: "This is the usual way. It comes from practice, not from a study. Go slower if you need to: stay at the same hours for a day or two.".into(),
    });
    let mut look = format!(
        "Each time {you} take{} it off, look at the whole foot, the sole too. Use a mirror or ask for help.",
        if facts.child { "s" } else { "" },
    );
    if !numb {
        look.push_str(&format!(
            " A red mark that fades within {MARK_MINUTES} minutes is usual."
        ));
    }
    blocks.push(paragraph(look));
    blocks.push(notice(
        Notice::Alarm,
        "Take it out, do not wear it again, and call us if you find",
        SIGNS.iter().map(|(_, words)| sign(words, numb)).collect(),
    ));
    if !numb {
        blocks.push(feeling(facts, your));
    }
    if facts.child {
        blocks.push(notice(
            Notice::Note,
            "Children grow",
            vec!["Look every month whether the insole still fits the foot and the shoe. Bring it in with every new shoe size. An insole can ease pain. It does not build an arch.".into()],
        ));
    }
    blocks.push(heading("Shoes and care"));
    blocks.push(Block::List { items: care() });
    blocks.push(heading("When we see you again"));
    blocks.push(paragraph(match facts.next_visit {
        Some(when) => format!("Your next visit: {} Bring the insole and the shoes.", words::sentence(when)),
        None => "No date is written down. Ask us for one; about two weeks after you got the insole is usual. Bring it with your shoes.".into(),
    }));
    blocks.push(paragraph(format!(
        "Call us if anything worries you: {}. {} decides what is right for {you}; this sheet does not.",
        telephone(facts.practice),
        facts.clinician,
    )));
    let sides: Vec<String> = facts.sides.iter().map(|s| s.word().to_owned()).collect();
    let mut head = super::sheet::patient_line(&facts.patient);
    head.retain(|(_, value)| value != "not recorded");
    let feet = if sides.is_empty() {
        "not recorded".to_owned()
    } else {
        terms::listed(&sides)
    };
    head.push((if pair { "Feet" } else { "Foot" }.to_owned(), feet));
    let title = match (facts.child, pair) {
        (false, false) => "Getting used to your new insole",
        (false, true) => "Getting used to your new insoles",
        (true, false) => "Getting used to your child’s new insole",
        (true, true) => "Getting used to your child’s new insoles",
    };
    let document = Document {
        title: title.into(),
        language: "en".into(),
        practice: facts.practice.to_vec(),
        recipient: Vec::new(),
        date: facts.date.to_owned(),
        head,
        blocks,
        foot: super::sheet::foot_line(&facts.patient),
        draft: false,
        compact: false,
    };
    Composed {
        document,
        pictures: Pictures::new(),
    }
}

/// A foot without feeling stops at any mark.
fn sign(words: &str, numb: bool) -> String {
    match (words, numb) {
        ("MARK", true) => "– any red mark,".to_owned(),
        ("MARK", false) => {
            format!("– a red mark that is still there after {MARK_MINUTES} minutes,")
        }
        _ => format!("– {words}"),
    }
}

fn paragraph(text: String) -> Block {
    Block::Paragraph { text }
}

fn heading(text: &str) -> Block {
    Block::Heading { text: text.into() }
}

fn notice(notice: Notice, title: &str, lines: Vec<String>) -> Block {
    Block::Notice {
        notice,
        title: title.into(),
        lines,
    }
}

/// Day by day, with room to tick.
fn days(numb: bool) -> Block {
    let mut rows: Vec<Vec<String>> = (0..DAYS)
        .map(|n| {
            let hours = FIRST_DAY_HOURS + n * MORE_EACH_DAY_HOURS;
            let unit = if hours == 1 { "hour" } else { "hours" };
            vec![
                format!("Day {}", n + 1),
                format!("{hours} {unit}"),
                String::new(),
                String::new(),
            ]
        })
        .collect();
    let after = if numb {
        "Only as long as we told you"
    } else {
        "All day if skin and foot feel well; sport and long walks last"
    };
    rows.push(vec![
        "After that".into(),
        after.into(),
        String::new(),
        String::new(),
    ]);
    Block::Table {
        caption: String::new(),
        header: [
            "Day",
            "Wear it at most",
            "Hours worn",
            "What the skin looked like",
        ]
        .map(str::to_owned)
        .to_vec(),
        rows,
    }
}

/// A foot without feeling does not warn: first on the sheet where it is known, a caution for everybody else.
fn feeling(facts: &BreakInFacts<'_>, your: &str) -> Block {
    let feet = if facts.child {
        "your child’s feet"
    } else {
        "your feet"
    };
    if facts.feeling_lost == Some(true) {
        return notice(
            Notice::Alarm,
            &format!("{} do not feel all they should", words::capital(feet)),
            vec![
                "A sore can start without pain. Begin only if we said so, and never go barefoot.".into(),
                "Look at both feet every day, morning and evening, for as long as the insole is worn. Feel into the shoe before you put it on.".into(),
                "Stop at the first mark. Do not wait for pain.".into(),
            ],
        );
    }
    let mut lines = vec![format!(
        "If {} feet are numb, or the feeling gets less, tell us before you start. Then look at both feet every day: a sore can start without pain.",
        your
    )];
    if facts.feeling_lost.is_none() {
        lines.push("We have not written down how well the feet feel. Ask us.".into());
    }
    notice(Notice::Caution, "Numb feet", lines)
}

fn care() -> Vec<String> {
    [
        "Wear it in a shoe with a firm heel that laces or straps. Take the shoe’s own inlay out if it gets tight.",
        "Feel into the shoe before you put it on: no stone, no fold.",
        "Keep it away from heat. Do not leave it in a hot car, on a heater or in the sun: it can lose its shape.",
        "Wipe it with a damp cloth and mild soap. Let it dry in the air.",
        "Do not cut, heat or bend it. If it rubs or creaks, bring it to us.",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// The line of the practice that has a telephone, else its name.
fn telephone(practice: &[String]) -> String {
    let spoken = |l: &&String| {
        let small = l.to_lowercase();
        small.contains("telephone") || small.contains("phone") || small.contains("tel.")
    };
    practice
        .iter()
        .find(spoken)
        .or(practice.first())
        .map_or_else(|| "ask for our number".to_owned(), |l| l.trim().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn facts() -> BreakInFacts<'static> {
        BreakInFacts {
            practice: &[],
            invented: false,
            date: "25 November 2026",
            patient: crate::PatientLine::default(),
            sides: &[Side::Left],
            child: false,
            feeling_lost: Some(false),
            clinician: "Your clinician",
            next_visit: None,
        }
    }

    /// The words that are read, without headings and tables.
    fn read(facts: &BreakInFacts<'_>) -> String {
        let mut out = String::new();
        for block in &break_in_sheet(facts).document.blocks {
            match block {
                Block::Paragraph { text } | Block::Small { text } => out.push_str(text),
                Block::List { items } => out.push_str(&items.join(" ")),
                Block::Notice { title, lines, .. } => {
                    out.push_str(&format!("{title}. {}", lines.join(" ")));
                }
                _ => {}
            }
            out.push(' ');
        }
        out
    }

    #[test]
    fn a_twelve_year_old_can_read_the_sheet() {
        for child in [false, true] {
            for feeling_lost in [None, Some(true), Some(false)] {
                let grade = super::super::plain::school_grade(&read(&BreakInFacts {
                    child,
                    feeling_lost,
                    ..facts()
                }));
                assert!(grade < 6.5, "{child} {feeling_lost:?}: {grade}");
            }
        }
    }

    #[test]
    fn the_first_day_has_one_hour_and_each_day_one_more() {
        let Block::Table { rows, .. } = days(false) else {
            panic!("no table");
        };
        assert_eq!(rows[0][..2], ["Day 1", "1 hour"]);
        assert_eq!(rows[4][..2], ["Day 5", "5 hours"]);
        assert!(
            read(&facts())
                .contains("This is the usual way. It comes from practice, not from a study.")
        );
    }

    #[test]
    fn a_foot_that_does_not_feel_comes_before_the_hours() {
        let lost = BreakInFacts {
            feeling_lost: Some(true),
            ..facts()
        };
        let first = &break_in_sheet(&lost).document.blocks[0];
        assert!(
            matches!(
                first,
                Block::Notice {
                    notice: Notice::Alarm,
                    ..
                }
            ),
            "{first:?}"
        );
        assert!(!read(&lost).contains("All day"));
        assert!(!read(&lost).contains("minutes") && read(&lost).contains("any red mark"));
        assert!(read(&facts()).contains("still there after 20 minutes"));
        let unknown = BreakInFacts {
            feeling_lost: None,
            ..facts()
        };
        assert!(read(&unknown).contains("We have not written down how well the feet feel."));
        assert!(!read(&facts()).contains("We have not written down"));
    }
}
