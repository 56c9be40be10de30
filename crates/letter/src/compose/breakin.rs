//! Getting used to a device, in plain words for whoever wears it: how long each day, what to look for, when
//! to stop.
//!
//! An insole, and the braces that hold the ankle too: these are put on over a sock, closed from below, and press
//! on the ankle bones. The hours are what is usual, and the sheet says so: no study prints them. What the
//! clinician said goes before everything here, and a foot that does not feel comes before the hours.

use super::referrer::{heading, paragraph};
use super::{Composed, words};
use crate::document::{Block, Document, Notice, Pictures};
use crate::words::{Words, say};
use terms::Side;

/// What is got used to.
///
/// # Sources
/// `common-practice`, unconfirmed: how a brace is put on, where it presses, which shoe it needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum BreakInKind {
    /// An insole.
    #[default]
    FootOrthosis,
    HingedAfo,
    SolidAfo,
    /// A leather lacer with a stiff inside.
    Gauntlet,
}

impl BreakInKind {
    pub const ALL: [BreakInKind; 4] = [
        BreakInKind::FootOrthosis,
        BreakInKind::HingedAfo,
        BreakInKind::SolidAfo,
        BreakInKind::Gauntlet,
    ];

    /// Its rung on the ladder of care.
    pub fn key(self) -> &'static str {
        match self {
            BreakInKind::FootOrthosis => "orthosis",
            BreakInKind::HingedAfo => "hinged-afo",
            BreakInKind::SolidAfo => "solid-afo",
            BreakInKind::Gauntlet => "gauntlet",
        }
    }

    /// The device of a rung; `None` for what is not broken in, or in another way.
    pub fn of_rung(key: &str) -> Option<BreakInKind> {
        BreakInKind::ALL.into_iter().find(|k| k.key() == key)
    }

    /// Does it hold the ankle?
    pub fn is_brace(self) -> bool {
        self != BreakInKind::FootOrthosis
    }

    /// As plain words name it: the `device` of a sentence.
    fn device(self) -> &'static str {
        if self.is_brace() { "brace" } else { "insole" }
    }
}

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
    pub kind: BreakInKind,
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
const SIGNS: [&str; 7] = [
    "blister",
    "mark",
    "numbness",
    "new-pain",
    "hot-swollen",
    "tight",
    "crack",
];
/// Signs that only what goes round the leg can give.
const SIGNS_OF_BRACES: [&str; 1] = ["tight"];
const CARE: [&str; 5] = ["shoe", "feel", "heat", "clean", "repair"];
/// How a brace is put on, each with words `put-on-…`.
const PUT_ON: [&str; 4] = ["sock", "heel", "close", "morning"];

pub fn break_in_sheet(facts: &BreakInFacts<'_>) -> Composed {
    let w = facts.words;
    let who = if facts.child { "child" } else { "adult" };
    let count = facts.sides.len().max(1);
    let kind = facts.kind;
    let device = kind.device();
    let mut blocks = Vec::new();
    if facts.invented {
        blocks.push(notice(
            Notice::Caution,
            say!(w, "invented-title"),
            vec![say!(w, "break-in-invented", device = device)],
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
        count = count,
        device = device
    )));
    let hours = vec![heading(say!(w, "heading-hours")), days(w, numb)];
    blocks.extend(beside(put_on(w, kind), hours, 36.0));
    blocks.push(paragraph(say!(w, "break-in-usual")));
    let mut look = say!(w, "break-in-look", who = who);
    if !numb {
        look.push(' ');
        look.push_str(&say!(w, "break-in-mark-fades", minutes = MARK_MINUTES));
    }
    if kind.is_brace() {
        look.push(' ');
        look.push_str(&say!(w, "break-in-look-brace", kind = kind.key()));
    }
    blocks.push(paragraph(look));
    let stop = vec![notice(
        Notice::Alarm,
        say!(w, "break-in-stop", device = device),
        SIGNS
            .iter()
            .filter(|key| kind.is_brace() || !SIGNS_OF_BRACES.contains(key))
            .map(|key| sign(w, key, numb, kind))
            .collect(),
    )];
    let mut to_know = Vec::new();
    if !numb {
        to_know.push(feeling(facts, who));
    }
    if facts.child {
        to_know.push(notice(
            Notice::Note,
            say!(w, "children-grow-title"),
            vec![say!(w, "children-grow", device = device)],
        ));
    }
    if kind.is_brace() {
        blocks.extend(beside(stop, to_know, 58.0));
    } else {
        blocks.extend(stop);
        blocks.extend(to_know);
    }
    let care = vec![
        heading(say!(w, "heading-shoes-and-care")),
        Block::List {
            items: CARE
                .iter()
                .map(|key| w.with(&format!("device-care-{key}"), &[("device", device.into())]))
                .collect(),
        },
    ];
    let again = see_again(facts, who);
    if kind.is_brace() {
        blocks.extend(beside(care, again, 60.0));
    } else {
        blocks.extend(care);
        blocks.extend(again);
    }
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
    if kind.is_brace() {
        head.push((
            say!(w, "label-device"),
            say!(w, "break-in-kind", kind = kind.key()),
        ));
    }
    let document = Document {
        title: say!(
            w,
            "title-break-in",
            who = who,
            count = count,
            device = device
        ),
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

/// Over a sock, heel first, closed from below; nothing for an insole, which lies in the shoe.
fn put_on(w: &Words, kind: BreakInKind) -> Vec<Block> {
    if !kind.is_brace() {
        return Vec::new();
    }
    let mut items: Vec<String> = PUT_ON
        .iter()
        .map(|key| w.with(&format!("put-on-{key}"), &[("kind", kind.key().into())]))
        .collect();
    // An ankle that is stopped loads knee and hip, and stairs are another thing with it.
    if kind == BreakInKind::SolidAfo {
        items.push(say!(w, "put-on-steps"));
    }
    vec![heading(say!(w, "heading-put-on")), Block::List { items }]
}

fn see_again(facts: &BreakInFacts<'_>, who: &str) -> Vec<Block> {
    let w = facts.words;
    let device = facts.kind.device();
    vec![
        heading(say!(w, "heading-see-again")),
        paragraph(match facts.next_visit {
            Some(when) => say!(
                w,
                "break-in-next-visit",
                when = words::sentence(&w.day(when)),
                device = device
            ),
            None => say!(w, "break-in-no-date", device = device),
        }),
        paragraph(say!(
            w,
            "break-in-call",
            who = who,
            telephone = telephone(w, facts.practice),
            clinician = facts.clinician
        )),
    ]
}

/// A brace has more to tell, and its sheet is one page too: side by side, where both sides have something.
fn beside(left: Vec<Block>, right: Vec<Block>, left_percent: f64) -> Vec<Block> {
    if left.is_empty() || right.is_empty() {
        return left.into_iter().chain(right).collect();
    }
    vec![Block::Columns {
        left,
        right,
        left_percent,
    }]
}

fn sign(w: &Words, key: &str, numb: bool, kind: BreakInKind) -> String {
    let said = if key == "mark" && numb {
        say!(w, "sign-any-mark")
    } else {
        w.with(
            &format!("sign-{key}"),
            &[
                ("minutes", MARK_MINUTES.into()),
                ("kind", kind.key().into()),
            ],
        )
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
        let mut lines = vec![say!(w, "feeling-lost-begin")];
        if facts.kind.is_brace() {
            lines.push(say!(w, "feeling-lost-lining"));
        }
        lines.push(say!(w, "feeling-lost-look", device = facts.kind.device()));
        lines.push(say!(w, "feeling-lost-stop"));
        return notice(
            Notice::Alarm,
            say!(w, "feeling-lost-title", who = who),
            lines,
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
            kind: BreakInKind::FootOrthosis,
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
        words_of(&break_in_sheet(facts).document.blocks, &mut out);
        out
    }

    fn words_of(blocks: &[Block], out: &mut String) {
        for block in blocks {
            match block {
                Block::Columns { left, right, .. } => {
                    words_of(left, out);
                    words_of(right, out);
                }
                Block::Paragraph { text } | Block::Small { text } => out.push_str(text),
                Block::List { items } => out.push_str(&items.join(" ")),
                Block::Notice { title, lines, .. } => {
                    out.push_str(&format!("{title}. {}", lines.join(" ")));
                }
                _ => {}
            }
            out.push(' ');
        }
    }

    #[test]
    fn a_twelve_year_old_can_read_the_sheet() {
        for kind in BreakInKind::ALL {
            for child in [false, true] {
                for feeling_lost in [None, Some(true), Some(false)] {
                    let grade = super::super::reading_age::school_grade(&read(&BreakInFacts {
                        kind,
                        child,
                        feeling_lost,
                        ..facts()
                    }));
                    assert!(grade < 6.5, "{kind:?} {child} {feeling_lost:?}: {grade}");
                }
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

    #[test]
    fn a_brace_is_put_on_over_a_sock_closed_from_below_and_looked_at_over_the_ankle_bones() {
        for (kind, closed) in [
            (BreakInKind::HingedAfo, "Close the straps from below"),
            (BreakInKind::SolidAfo, "Close the straps from below"),
            (BreakInKind::Gauntlet, "Close the laces from below"),
        ] {
            let said = read(&BreakInFacts { kind, ..facts() });
            for words in [
                "above the upper edge of the brace",
                closed,
                "Morning and evening",
                "inner and the outer ankle bone",
                "in the morning, before it swells",
                "extra depth, a firm heel and a wide, stable sole",
                "This is the usual way. It comes from practice, not from a study.",
            ] {
                assert!(said.contains(words), "{kind:?}: {words}\n{said}");
            }
            assert!(!said.contains("insole"), "{kind:?}: {said}");
        }
        let insole = read(&facts());
        assert!(!insole.contains("brace") && !insole.contains("sock"));
    }

    #[test]
    fn a_brace_on_a_foot_that_does_not_feel_is_lined_or_asked_about_first() {
        for kind in BreakInKind::ALL {
            let said = read(&BreakInFacts {
                kind,
                feeling_lost: Some(true),
                ..facts()
            });
            assert_eq!(said.contains("lined all over"), kind.is_brace(), "{kind:?}");
        }
    }

    #[test]
    fn a_rung_of_the_ladder_says_which_sheet_is_given() {
        let ladder = care::Ladder::built_in();
        for kind in BreakInKind::ALL {
            assert_eq!(BreakInKind::of_rung(kind.key()), Some(kind));
            assert!(
                ladder.rung(kind.key()).is_some(),
                "{} is no rung",
                kind.key()
            );
        }
        assert_eq!(BreakInKind::of_rung("boot"), None);
    }
}
