//! Getting used to a device, in plain words for whoever wears it: how long each day, what to look for, when
//! to stop.
//!
//! The hours are what is usual, and the sheet says so: no study prints them. What the clinician said goes
//! before everything here, and a foot that does not feel comes before the hours.

use super::referrer::{heading, paragraph};
use super::{Composed, words};
use crate::document::{Block, Document, Notice, Pictures};
use crate::words::{Words, say};
use terms::Side;

/// What a break-in sheet is made from.
#[derive(Debug, Clone)]
pub struct BreakInFacts<'a> {
    /// The language of the sheet.
    pub words: &'a Words,
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

/// Signs to stop at, each with words `sign-…`. A foot without feeling stops at any mark.
const SIGNS: [&str; 6] = [
    "blister",
    "mark",
    "numbness",
    "new-pain",
    "hot-swollen",
    "crack",
];
const CARE: [&str; 5] = ["shoe", "feel", "heat", "clean", "repair"];

pub fn break_in_sheet(facts: &BreakInFacts<'_>) -> Composed {
    let w = facts.words;
    let who = if facts.child { "child" } else { "adult" };
    let count = facts.sides.len().max(1);
    let mut blocks = Vec::new();
    if facts.invented {
        blocks.push(notice(
            Notice::Caution,
            say!(w, "invented-title"),
            vec![say!(w, "break-in-invented")],
        ));
    }
    let numb = facts.feeling_lost == Some(true);
    if numb {
        blocks.push(feeling(facts, who));
    }
    blocks.push(paragraph(say!(
        w,
        "break-in-start",
        who = who,
        count = count
    )));
    blocks.push(heading(say!(w, "heading-hours")));
    blocks.push(days(w, numb));
    blocks.push(paragraph(say!(w, "break-in-usual")));
    let mut look = say!(w, "break-in-look", who = who);
    if !numb {
        look.push(' ');
        look.push_str(&say!(w, "break-in-mark-fades", minutes = MARK_MINUTES));
    }
    blocks.push(paragraph(look));
    blocks.push(notice(
        Notice::Alarm,
        say!(w, "break-in-stop"),
        SIGNS.iter().map(|key| sign(w, key, numb)).collect(),
    ));
    if !numb {
        blocks.push(feeling(facts, who));
    }
    if facts.child {
        blocks.push(notice(
            Notice::Note,
            say!(w, "children-grow-title"),
            vec![say!(w, "children-grow")],
        ));
    }
    blocks.push(heading(say!(w, "heading-shoes-and-care")));
    blocks.push(Block::List {
        items: CARE
            .iter()
            .map(|key| w.plain(&format!("device-care-{key}")))
            .collect(),
    });
    blocks.push(heading(say!(w, "heading-see-again")));
    blocks.push(paragraph(match facts.next_visit {
        Some(when) => say!(
            w,
            "break-in-next-visit",
            when = words::sentence(&w.day(when))
        ),
        None => say!(w, "break-in-no-date"),
    }));
    blocks.push(paragraph(say!(
        w,
        "break-in-call",
        who = who,
        telephone = telephone(w, facts.practice),
        clinician = facts.clinician
    )));
    let sides: Vec<String> = facts.sides.iter().map(|s| words::side(w, *s)).collect();
    let mut head = super::sheet::patient_line(w, &facts.patient);
    let missing = say!(w, "not-recorded");
    head.retain(|(_, value)| *value != missing);
    let feet = if sides.is_empty() {
        missing
    } else {
        w.listed(&sides)
    };
    head.push((say!(w, "label-feet", count = count), feet));
    let document = Document {
        title: say!(w, "title-break-in", who = who, count = count),
        language: w.tag().into(),
        practice: facts.practice.to_vec(),
        recipient: Vec::new(),
        date: w.day(facts.date),
        head,
        blocks,
        foot: super::sheet::foot_line(w, &facts.patient),
        draft: false,
        compact: false,
    };
    Composed {
        document,
        pictures: Pictures::new(),
    }
}

fn sign(w: &Words, key: &str, numb: bool) -> String {
    let said = if key == "mark" && numb {
        say!(w, "sign-any-mark")
    } else {
        w.with(&format!("sign-{key}"), &[("minutes", MARK_MINUTES.into())])
    };
    format!("– {said}")
}

fn notice(notice: Notice, title: String, lines: Vec<String>) -> Block {
    Block::Notice {
        notice,
        title,
        lines,
    }
}

/// Day by day, with room to tick.
fn days(w: &Words, numb: bool) -> Block {
    let mut rows: Vec<Vec<String>> = (0..DAYS)
        .map(|n| {
            let hours = FIRST_DAY_HOURS + n * MORE_EACH_DAY_HOURS;
            vec![
                say!(w, "day-number", number = n + 1),
                say!(w, "hours", count = hours),
                String::new(),
                String::new(),
            ]
        })
        .collect();
    let after = if numb {
        "after-days-numb"
    } else {
        "after-days"
    };
    rows.push(vec![
        say!(w, "after-that"),
        say!(w, after),
        String::new(),
        String::new(),
    ]);
    Block::Table {
        caption: String::new(),
        header: [
            "head-day",
            "head-wear-at-most",
            "head-hours-worn",
            "head-skin",
        ]
        .map(|key| say!(w, key))
        .to_vec(),
        rows,
    }
}

/// A foot without feeling does not warn: first on the sheet where it is known, a caution for everybody else.
fn feeling(facts: &BreakInFacts<'_>, who: &str) -> Block {
    let w = facts.words;
    if facts.feeling_lost == Some(true) {
        return notice(
            Notice::Alarm,
            say!(w, "feeling-lost-title", who = who),
            [
                "feeling-lost-begin",
                "feeling-lost-look",
                "feeling-lost-stop",
            ]
            .map(|key| say!(w, key))
            .to_vec(),
        );
    }
    let mut lines = vec![say!(w, "numb-feet", who = who)];
    if facts.feeling_lost.is_none() {
        lines.push(say!(w, "feeling-not-recorded"));
    }
    notice(Notice::Caution, say!(w, "numb-feet-title"), lines)
}

/// The line of the practice that has a telephone, else its name.
fn telephone(w: &Words, practice: &[String]) -> String {
    let spoken = |l: &&String| {
        let small = l.to_lowercase();
        ["telephone", "phone", "tel.", "teléfono"]
            .iter()
            .any(|word| small.contains(word))
    };
    practice
        .iter()
        .find(spoken)
        .or(practice.first())
        .map_or_else(|| say!(w, "ask-for-number"), |l| l.trim().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn facts() -> BreakInFacts<'static> {
        BreakInFacts {
            words: Words::english(),
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
                let grade = super::super::reading_age::school_grade(&read(&BreakInFacts {
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
        let Block::Table { rows, .. } = days(Words::english(), false) else {
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
