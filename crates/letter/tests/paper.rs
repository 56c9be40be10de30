//! The finished PDF: tagged, one page where promised, the same bytes, and words that stay words.

mod common;

use common::{Visit, adult, child, visit};
use letter::{
    Block, LetterError, Pdf, break_in_sheet, compose, order_sheet, patient_letter, reading_sheet,
    referrer_letter, render,
};
use reading::figures::{invented_film, invented_points};
use std::process::Command;
use terms::{Side, View};

fn papers(visit: &Visit) -> Vec<(&'static str, Pdf)> {
    let facts = visit.letter_facts();
    vec![
        ("sheet", reading_sheet(&visit.sheet_facts(0)).unwrap()),
        ("referrer", referrer_letter(&facts).unwrap()),
        ("patient", patient_letter(&facts).unwrap()),
    ]
}

/// Order sheets and break-in sheets: the usual, the fullest, the barest.
fn device_papers() -> Vec<(&'static str, Pdf)> {
    let (usual, everything) = (common::order::usual(), common::order::everything());
    let mut bare = usual.facts();
    bare.found = &[];
    bare.strength = None;
    bare.files.clear();
    bare.drawings = &[];
    bare.signed = Some("25 November 2026, 14:10");
    let mut out = vec![
        ("usual order", order_sheet(&usual.facts()).unwrap()),
        ("fullest order", order_sheet(&everything.facts()).unwrap()),
        ("barest order", order_sheet(&bare).unwrap()),
    ];
    for (name, child, feeling_lost) in [
        ("break-in, adult", false, Some(false)),
        ("break-in, numb", false, Some(true)),
        ("break-in, child", true, None),
    ] {
        let facts = letter::BreakInFacts {
            child,
            feeling_lost,
            ..common::order::break_in(&usual.practice)
        };
        out.push((name, break_in_sheet(&facts).unwrap()));
    }
    out
}

#[test]
fn an_order_is_a_page_of_values_and_one_or_two_of_drawings_and_a_break_in_sheet_is_one_page() {
    let pages: Vec<_> = device_papers()
        .into_iter()
        .map(|(name, pdf)| (name, pdf.pages))
        .collect();
    assert_eq!(
        pages,
        [
            ("usual order", 2),
            // Its views from behind are wider than the page when they stand side by side.
            ("fullest order", 3),
            ("barest order", 1),
            ("break-in, adult", 1),
            ("break-in, numb", 1),
            ("break-in, child", 1),
        ]
    );
}

#[test]
fn a_break_in_sheet_is_one_page_for_every_device_in_every_language() {
    let practice = common::order::usual().practice;
    for language in letter::Language::ALL {
        for kind in letter::BreakInKind::ALL {
            for child in [false, true] {
                for feeling_lost in [None, Some(true), Some(false)] {
                    let facts = letter::BreakInFacts {
                        words: letter::Words::of(language),
                        kind,
                        child,
                        feeling_lost,
                        sides: &[Side::Left, Side::Right],
                        next_visit: None,
                        ..common::order::break_in(&practice)
                    };
                    let pages = break_in_sheet(&facts).unwrap().pages;
                    let which = (language.tag(), kind, child, feeling_lost);
                    assert_eq!(pages, 1, "{which:?}");
                }
            }
        }
    }
}

/// The figures of the upright ruler lie ten millimetres apart on the finished page, at either scale.
#[test]
fn a_drawing_is_printed_at_its_own_size() {
    for order in [common::order::usual(), common::order::everything()] {
        let pdf = order_sheet(&order.facts()).unwrap();
        let Some(boxes) = outside("pdftotext", &["-f", "2", "-bbox", "IN", "-"], &pdf) else {
            return;
        };
        let places = |word: &str| -> Vec<[f64; 2]> {
            words(&boxes)
                .into_iter()
                .filter(|(w, _)| w == word)
                .map(|(_, [x0, y0, x1, y1])| [(x0 + x1) / 2.0, (y0 + y1) / 2.0])
                .collect()
        };
        let ten_mm = 10.0 * 72.0 / 25.4;
        let ruler = places("10").into_iter().find(|from| {
            ["20", "30", "40"].iter().enumerate().all(|(n, word)| {
                let up = (n + 1) as f64 * ten_mm;
                places(word)
                    .iter()
                    .any(|p| (p[0] - from[0]).abs() < 0.2 && (from[1] - p[1] - up).abs() < 0.2)
            })
        });
        assert!(ruler.is_some(), "{:?} {boxes}", order.drawings[0].scale);
    }
}

/// Words of `pdftotext -bbox` with left, top, right, bottom in points.
fn words(boxes: &str) -> Vec<(String, [f64; 4])> {
    let number = |line: &str, key: &str| -> Option<f64> {
        line.split(key).nth(1)?.split('"').next()?.parse().ok()
    };
    boxes
        .lines()
        .filter_map(|l| {
            let word = l.split('>').nth(1)?.split('<').next()?;
            let side = |key: &str| number(l, key);
            let area = [
                side("xMin=\"")?,
                side("yMin=\"")?,
                side("xMax=\"")?,
                side("yMax=\"")?,
            ];
            Some((word.to_owned(), area))
        })
        .collect()
}

#[test]
fn the_sheet_of_a_whole_lateral_film_is_one_page() {
    for visit in [adult(), child()] {
        assert!(visit.sheets[0].1.readings.len() >= 12);
        assert_eq!(reading_sheet(&visit.sheet_facts(0)).unwrap().pages, 1);
    }
}

#[test]
fn the_sheet_is_one_page_and_the_letter_to_the_patient_two_in_every_language() {
    for language in letter::Language::ALL {
        for mut visit in [adult(), child()] {
            visit.words = letter::Words::of(language);
            assert_eq!(reading_sheet(&visit.sheet_facts(0)).unwrap().pages, 1);
            assert!(patient_letter(&visit.letter_facts()).unwrap().pages <= 2);
        }
    }
}

#[test]
fn a_sheet_without_picture_scale_or_points_is_one_page_too() {
    let mut visit = adult();
    visit.sheets[0].1.readings.clear();
    let mut facts = visit.sheet_facts(0);
    facts.film.picture = None;
    facts.film.scale = None;
    facts.reader = None;
    assert_eq!(reading_sheet(&facts).unwrap().pages, 1);
}

#[test]
fn the_sheet_of_every_view_is_one_page_also_with_a_tall_film() {
    for view in terms::View::ALL {
        for (width, height) in [(300.0, 220.0), (200.0, 420.0)] {
            let mut visit = visit(
                common::ADULT,
                &[(Side::Left, common::ADULT_LEFT)],
                &[(invented_points(view), invented_film())],
                &[],
            );
            visit.picture = common::drawn_film_of(width, height);
            let facts = visit.sheet_facts(0);
            assert!(!facts.film.sheet.readings.is_empty(), "{view:?}");
            let pages = reading_sheet(&facts).unwrap().pages;
            assert_eq!(pages, 1, "{view:?} {width} × {height}");
        }
    }
}

/// Pages before the record.
fn letter_pages(visit: &Visit) -> usize {
    let mut composed = compose::referrer_letter(&visit.letter_facts());
    let blocks = &mut composed.document.blocks;
    let record = blocks
        .iter()
        .position(|b| matches!(b, Block::Heading { text } if text == "Record of the visit"))
        .expect("a record");
    assert!(
        matches!(blocks[record - 1], Block::Signature { .. }),
        "the record follows the signature"
    );
    // Its heading stays, alone on the page on which it begins.
    blocks.truncate(record + 1);
    render(&composed.document, &composed.pictures)
        .unwrap()
        .pages
        - 1
}

#[test]
fn the_letter_itself_is_two_pages_for_one_staged_foot_and_three_for_two() {
    let one = visit(
        common::ADULT,
        &[(Side::Left, common::ADULT_LEFT)],
        &[
            (invented_points(View::Lateral), invented_film()),
            (invented_points(View::Dorsoplantar), invented_film()),
        ],
        &["calm", "therapy", "orthosis"],
    );
    assert!(letter_pages(&one) <= 2, "{}", letter_pages(&one));
    // The other foot looked at for comparison only.
    assert!(letter_pages(&adult()) <= 2, "{}", letter_pages(&adult()));
    let mut both = visit(
        common::ADULT,
        &[
            (Side::Left, common::ADULT_LEFT),
            (Side::Right, common::ADULT_LEFT),
        ],
        &[
            (invented_points(View::Lateral), invented_film()),
            (invented_points(View::Lateral), invented_film()),
        ],
        &["calm", "therapy", "orthosis"],
    );
    both.feet[1].chosen = both.feet[0].chosen.clone();
    both.sheets[1].1.side = Some(Side::Right);
    assert!(letter_pages(&both) <= 3, "{}", letter_pages(&both));
    assert!(letter_pages(&child()) <= 3, "{}", letter_pages(&child()));
}

#[test]
fn the_letter_to_the_patient_is_two_pages_at_most() {
    for visit in [adult(), child()] {
        let pages = patient_letter(&visit.letter_facts()).unwrap().pages;
        assert!(pages <= 2, "{pages}");
    }
}

#[test]
fn the_same_facts_give_the_same_bytes() {
    for ((name, a), (_, b)) in papers(&adult()).into_iter().zip(papers(&adult())) {
        assert_eq!(a.bytes, b.bytes, "{name}");
    }
}

#[test]
fn hostile_words_come_out_as_words() {
    let hostile =
        "#panic() *b* $x$ @l <l> \\ \"q\" `c` = h \u{202e}evil\u{0} שלום مرحبا \u{1f9b6} 张";
    let long = "x".repeat(400);
    let mut visit = adult();
    visit.name = format!("{hostile} {long}");
    visit.decision = format!("{long} {hostile}\n= not a heading\n- not a list");
    visit.practice = vec![hostile.into(), long.clone()];
    visit.recipient = vec![hostile.into()];
    visit.story.set("complaint", hostile).unwrap();
    visit.story.set("goal", &long).unwrap();
    visit.sheets[0].0 = hostile.into();
    for (name, pdf) in papers(&visit) {
        assert!(
            pdf.without_shape.contains(&'\u{1f9b6}'),
            "{name}: {:?}",
            pdf.without_shape
        );
        let Some(text) = outside("pdftotext", &["-raw", "IN", "-"], &pdf) else {
            continue;
        };
        let flat: String = text
            .chars()
            .filter(|c| !c.is_whitespace() && *c != '\u{200b}')
            .collect();
        for word in [
            "#panic()",
            "*b*",
            "$x$",
            "@l",
            "<l>",
            "`c`",
            "[U+1F9B6]",
            "evil",
        ] {
            assert!(flat.contains(word), "{name}: {word} in {text}");
        }
        assert!(
            flat.contains(&"x".repeat(400)),
            "{name}: the long word is cut"
        );
    }
}

#[test]
fn marks_piled_on_letters_do_not_stop_a_letter() {
    let mut visit = adult();
    visit.name =
        "e\u{301}\u{323}\u{489}\u{20dd} \u{0928}\u{93f} \u{e000}\u{10ffff} a\u{200d}b".into();
    for (name, pdf) in papers(&visit) {
        assert!(pdf.pages > 0, "{name}");
    }
}

#[test]
fn every_paper_is_tagged_and_sound() {
    for all in [papers(&adult()), papers(&child()), device_papers()] {
        for (name, pdf) in all {
            let text = String::from_utf8_lossy(&pdf.bytes);
            assert!(text.contains("<pdfuaid:part>1</pdfuaid:part>"), "{name}");
            assert!(text.contains("/StructTreeRoot"), "{name}");
            if let Some(info) = outside("pdfinfo", &["IN"], &pdf) {
                let tagged = info
                    .lines()
                    .any(|l| l.starts_with("Tagged:") && l.ends_with("yes"));
                assert!(tagged, "{name}: {info}");
                assert!(
                    info.lines()
                        .any(|l| l.starts_with("Title:") && l.len() > 20),
                    "{info}"
                );
            }
            if let Some(told) = outside("qpdf", &["--check", "IN"], &pdf) {
                assert!(
                    told.contains("No syntax or stream encoding errors"),
                    "{name}: {told}"
                );
            }
        }
    }
}

/// The box of a word is 1.3 times its type size in the font of the small print.
#[test]
fn no_type_on_any_paper_is_smaller_than_seven_points() {
    for all in [papers(&adult()), papers(&child()), device_papers()] {
        for (name, pdf) in all {
            let Some(boxes) = outside("pdftotext", &["-bbox", "IN", "-"], &pdf) else {
                continue;
            };
            // Words stand upright on a drawing, too: a long one that is much taller than wide has its type in its
            // width. Of a short one, "A" or "(r,", the larger side is the type however it stands.
            let heights: Vec<(f64, String)> = words(&boxes)
                .into_iter()
                .map(|(word, [x0, y0, x1, y1])| {
                    let (wide, high) = (x1 - x0, y1 - y0);
                    let height = if word.chars().count() < 4 {
                        wide.max(high)
                    } else if high > 1.4 * wide {
                        wide
                    } else {
                        high
                    };
                    (height, word)
                })
                .collect();
            assert!(heights.len() > 100, "{name}: {}", heights.len());
            let least = heights.iter().min_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
            assert!(
                least.0 / 1.3 > 6.99,
                "{name}: {:.2} pt, {:?}",
                least.0 / 1.3,
                least.1
            );
        }
    }
}

#[test]
fn a_picture_that_is_none_is_refused_with_a_sentence() {
    let mut visit = adult();
    visit.picture = b"no picture".to_vec();
    let refused = reading_sheet(&visit.sheet_facts(0)).unwrap_err();
    assert!(matches!(refused, LetterError::NotSet(_)), "{refused}");
}

/// Runs a program of poppler or qpdf on the PDF; `None`, with a message, where it is not installed.
fn outside(program: &str, arguments: &[&str], pdf: &Pdf) -> Option<String> {
    let name = format!(
        "tiebeam-{}-{:x}.pdf",
        std::process::id(),
        pdf.bytes.as_ptr() as usize
    );
    let path = std::env::temp_dir().join(name);
    std::fs::write(&path, &pdf.bytes).unwrap();
    let file = path.to_string_lossy().into_owned();
    let arguments = arguments
        .iter()
        .map(|a| if *a == "IN" { file.as_str() } else { a });
    let done = Command::new(program).args(arguments).output();
    std::fs::remove_file(&path).unwrap();
    match done {
        Ok(done) => {
            assert!(
                done.status.success(),
                "{program}: {}",
                String::from_utf8_lossy(&done.stderr)
            );
            Some(String::from_utf8_lossy(&done.stdout).into_owned())
        }
        Err(_) => {
            eprintln!("{program} is not installed; this check is skipped");
            None
        }
    }
}
