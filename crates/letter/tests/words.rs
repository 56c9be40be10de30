//! The catalogue: the same keys in every language, none unused, none missing, and no word beside it.

mod common;

use common::{Visit, adult, child, kinds, visit};
use fluent_syntax::ast::{Entry, Expression, InlineExpression, Pattern, PatternElement};
use letter::{Document, Language, Words};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use terms::Side;

/// Translations of texts that English keeps elsewhere; they carry the translated text as `.en`.
const KEPT_ELSEWHERE: [&str; 8] = [
    "ask-",
    "choice-",
    "section-",
    "measure-",
    "landmark-",
    "rung-",
    "flag-",
    "said-",
];

#[derive(Default)]
struct Message {
    variables: BTreeSet<String>,
    /// The text that this translates.
    of: Option<String>,
}

fn messages(language: Language) -> BTreeMap<String, Message> {
    let file = fluent_syntax::parser::parse(language.file())
        .unwrap_or_else(|(_, faults)| panic!("{}: {faults:?}", language.tag()));
    let mut out = BTreeMap::new();
    for entry in &file.body {
        match entry {
            Entry::Message(m) => {
                let mut message = Message::default();
                if let Some(pattern) = &m.value {
                    variables(pattern, &mut message.variables);
                }
                for attribute in m.attributes.iter().filter(|a| a.id.name == "en") {
                    message.of = Some(text(&attribute.value));
                }
                let before = out.insert(m.id.name.to_owned(), message);
                assert!(
                    before.is_none(),
                    "{} twice in {}",
                    m.id.name,
                    language.tag()
                );
            }
            Entry::Junk { content } => panic!("{}: {content}", language.tag()),
            _ => {}
        }
    }
    out
}

fn text(pattern: &Pattern<&str>) -> String {
    let parts = pattern.elements.iter().map(|e| match e {
        PatternElement::TextElement { value } => *value,
        PatternElement::Placeable { .. } => "{}",
    });
    parts.collect()
}

fn variables(pattern: &Pattern<&str>, out: &mut BTreeSet<String>) {
    // A message within a message brings what it needs itself.
    let inline = |e: &InlineExpression<&str>, out: &mut BTreeSet<String>| {
        if let InlineExpression::VariableReference { id } = e {
            out.insert(id.name.to_owned());
        }
    };
    for element in &pattern.elements {
        if let PatternElement::Placeable { expression } = element {
            match expression {
                Expression::Inline(e) => inline(e, out),
                Expression::Select { selector, variants } => {
                    inline(selector, out);
                    variants.iter().for_each(|v| variables(&v.value, out));
                }
            }
        }
    }
}

fn is_kept_elsewhere(key: &str) -> bool {
    KEPT_ELSEWHERE.iter().any(|start| key.starts_with(start))
}

#[test]
fn every_language_has_the_same_keys_with_the_same_values() {
    let english = messages(Language::English);
    assert!(english.len() > 500, "{}", english.len());
    assert!(
        english
            .keys()
            .all(|k| !is_kept_elsewhere(k) || k.starts_with("ask-for-"))
    );
    for language in Language::ALL
        .into_iter()
        .filter(|l| *l != Language::English)
    {
        let other = messages(language);
        let missing: Vec<&String> = english.keys().filter(|k| !other.contains_key(*k)).collect();
        assert!(missing.is_empty(), "{} lacks {missing:?}", language.tag());
        for (key, message) in &other {
            match english.get(key) {
                // A language may leave out what it chooses by: `side` where left and right differ in nothing.
                Some(known) => assert!(
                    message.variables.is_subset(&known.variables)
                        && known.variables.iter().all(|v| {
                            message.variables.contains(v)
                                || ["who", "side", "sex", "count", "to", "device"]
                                    .contains(&v.as_str())
                        }),
                    "{key}: {:?} and {:?}",
                    message.variables,
                    known.variables
                ),
                None => assert!(
                    is_kept_elsewhere(key) && message.of.is_some(),
                    "{key} is neither in English nor a translation with its .en"
                ),
            }
        }
    }
}

/// Keys stand in the source as they are, or are made from a start that does.
#[test]
fn no_key_is_left_over() {
    let mut source = String::new();
    for folder in ["src", "src/compose", "src/words", "../web/src/letters"] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        for file in std::fs::read_dir(folder).unwrap() {
            let path = file.unwrap().path();
            if path.extension().is_some_and(|e| e == "rs" || e == "html") {
                source.push_str(&std::fs::read_to_string(path).unwrap());
            }
        }
    }
    let starts: BTreeSet<&str> = source
        .split('"')
        .filter_map(|s| s.split_once("-{").map(|(start, _)| start))
        .filter(|s| !s.is_empty() && s.chars().all(|c| c.is_ascii_lowercase() || c == '-'))
        .collect();
    let all = messages(Language::English);
    let mut left_over = Vec::new();
    for key in all.keys() {
        let said = source.contains(&format!("\"{key}\""));
        let made = starts
            .iter()
            .any(|start| key.strip_prefix(start).is_some_and(|k| k.starts_with('-')));
        let within = Language::English.file().contains(&format!("{{ {key} }}"));
        if !(said || made || within) {
            left_over.push(key);
        }
    }
    assert!(left_over.is_empty(), "{left_over:?}");
}

/// A translation whose text is kept nowhere any more is dead weight, and its source has changed.
#[test]
fn no_translation_of_a_text_that_is_kept_elsewhere_is_stale() {
    let mut known: BTreeMap<String, String> = BTreeMap::new();
    for (key, text) in letter::compose::texts_kept_elsewhere(knowledge::Knowledge::built_in()) {
        known.extend(key.map(|key| (key, text)));
    }
    for q in exam::form() {
        if let exam::Kind::Choice { choices } = q.kind {
            for c in choices {
                let name = c.key.replace('+', "plus").replace('-', "minus");
                known.insert(format!("choice-{}-{name}", q.key), c.words.to_owned());
            }
        }
    }
    for language in Language::ALL {
        let stale: Vec<String> = messages(language)
            .into_iter()
            .filter(|(key, _)| {
                KEPT_ELSEWHERE.iter().any(|s| key.starts_with(s))
                    && !["said-", "landmark-"].iter().any(|s| key.starts_with(s))
            })
            .filter_map(|(key, m)| {
                let of = m.of?;
                let holds = known.get(&key) == Some(&of);
                (!holds).then(|| format!("{key}: {of}"))
            })
            .collect();
        assert!(stale.is_empty(), "{}: {stale:#?}", language.tag());
    }
}

fn spoken(mut visit: Visit, words: &'static Words) -> Visit {
    visit.words = words;
    visit
}

/// Visits that between them say what the demo's visits say, and more.
fn visits() -> Vec<(&'static str, Visit, bool)> {
    let mut alarm = common::ADULT.to_vec();
    alarm.retain(|(k, _)| !["mass", "fever", "sudden_collapse"].contains(k));
    alarm.extend([
        ("mass", "yes"),
        ("fever", "yes"),
        ("sudden_collapse", "yes"),
    ]);
    vec![
        ("adult", adult(), false),
        ("child", child(), true),
        (
            "alarm",
            visit(
                &alarm,
                &[(Side::Left, common::ADULT_LEFT)],
                &[],
                &["therapy"],
            ),
            false,
        ),
        (
            "empty",
            visit(&[], &[(Side::Left, &[]), (Side::Right, &[])], &[], &[]),
            false,
        ),
    ]
}

/// Every word of a kind that has to be whole is there in every language.
#[test]
fn nothing_is_missing_in_papers_for_patients_parents_therapists_schools_and_employers() {
    for language in Language::ALL {
        let watched: &'static Words = Box::leak(Box::new(Words::watched(language)));
        let mut missing: BTreeMap<String, String> = BTreeMap::new();
        for (_, visit, is_child) in visits() {
            let visit = spoken(visit, watched);
            let mut facts = visit.letter_facts();
            for full in [true, false] {
                facts.further = if full {
                    kinds::further(is_child)
                } else {
                    Default::default()
                };
                // Only the kinds that have to be whole are composed.
                let _ = [
                    letter::compose::patient_letter(&facts),
                    letter::compose::parents_letter(&facts),
                    letter::compose::therapist_letter(&facts),
                    letter::compose::school_note(&facts),
                    letter::compose::employer_note(&facts),
                    letter::compose::home_sheet(&facts),
                ];
            }
            for kind in letter::BreakInKind::ALL {
                for (child, numb) in [(false, None), (true, Some(true)), (false, Some(false))] {
                    letter::compose::break_in_sheet(&letter::BreakInFacts {
                        words: watched,
                        kind,
                        child,
                        feeling_lost: numb,
                        ..common::order::break_in(&visit.practice)
                    });
                }
            }
        }
        missing.extend(watched.missed());
        // Words of people, which no file can hold.
        missing.retain(|_, text| !text.contains("Q7") && !text.contains("invented"));
        assert!(missing.is_empty(), "{}: {missing:#?}", language.tag());
    }
}

/// Letters between colleagues hold sentences that other crates compose; those of these visits and orders are all
/// there. One that is composed in another way is told in English. `MISSING_WORDS=FILE` writes what is missing.
#[test]
fn nothing_is_missing_in_the_other_letters_of_these_visits_either() {
    let watched: &'static Words = Box::leak(Box::new(Words::watched(Language::Spanish)));
    for (_, visit, is_child) in visits() {
        let visit = spoken(visit, watched);
        let mut facts = visit.letter_facts();
        facts.further = kinds::further(is_child);
        kinds::letters(&facts);
        for at in 0..visit.sheets.len() {
            letter::compose::reading_sheet(&visit.sheet_facts(at));
        }
    }
    for order in [common::order::usual(), common::order::everything()] {
        let order = order.spoken(watched);
        letter::compose::order_sheet(&letter::OrderFacts {
            words: watched,
            ..order.facts()
        });
    }
    let mut missing = watched.missed();
    missing.retain(|_, text| !text.contains("Q7"));
    if let Some(path) = std::env::var_os("MISSING_WORDS") {
        let lines: Vec<String> = missing
            .iter()
            .map(|(key, text)| format!("{key} =\n    .en = {text}\n"))
            .collect();
        std::fs::write(path, lines.concat()).unwrap();
    }
    assert!(missing.is_empty(), "{missing:#?}");
}

/// Another alphabet for every letter of the catalogue.
fn marked(text: &str) -> Cow<'_, str> {
    Cow::Owned(
        text.chars()
            .map(|c| match c {
                'a'..='z' => char::from_u32(0xff41 + (c as u32 - 'a' as u32)).unwrap_or(c),
                'A'..='Z' => char::from_u32(0xff21 + (c as u32 - 'A' as u32)).unwrap_or(c),
                _ => c,
            })
            .collect(),
    )
}

/// All that a document prints but what it is named by.
fn printed(document: &Document) -> String {
    document.text()
}

/// What is a fact, a name, a number's unit, or a mark of a source, and no word of a language.
const NO_WORDS: [&str; 9] = ["mm", "cm", "kg", "kB", "MB", "cm³", "N", "g", "Q7"];

#[test]
fn nothing_but_recorded_facts_escapes_the_catalogue() {
    let pseudo: &'static Words = Box::leak(Box::new(Words::marked(marked)));
    for (name, visit, is_child) in visits() {
        let mut visit = spoken(visit, pseudo);
        visit.decision = "Q7".into();
        if visit.story.get("complaint").is_some() {
            for key in ["complaint", "tried", "goal"] {
                visit.story.set(key, "Q7").unwrap();
            }
        }
        let mut facts: Vec<String> = visit.practice.clone();
        facts.extend(visit.recipient.clone());
        facts.extend(
            [
                "Sample Person (invented)",
                "Dr C. Clinician (invented)",
                "R. Reader (invented)",
            ]
            .map(str::to_owned),
        );
        facts.extend(
            kinds::papers(&visit, kinds::further(is_child))
                .iter()
                .flat_map(|_| {
                    knowledge::Knowledge::built_in()
                        .sources()
                        .map(|s| s.citation.clone())
                }),
        );
        for (kind, composed) in kinds::papers(&visit, kinds::further(is_child)) {
            let mut text = printed(&composed.document);
            // How the plain text shows what the page shows by its form.
            for mark in ["DRAFT\n", "[figure]", "[alarm]", "[caution]", "[note]"] {
                text = text.replace(mark, "\n");
            }
            for fact in &facts {
                text = text.replace(fact.as_str(), " ");
            }
            let escaped: Vec<&str> = text
                .split(|c: char| c.is_whitespace() || "()[],;:.|/“”+".contains(c))
                .filter(|word| word.chars().any(|c| c.is_ascii_alphabetic()))
                .filter(|word| {
                    !NO_WORDS.contains(word) && !word.starts_with("Q7") && !is_mark(word)
                })
                .collect();
            assert!(escaped.is_empty(), "{name} {kind}: {escaped:?}\n{text}");
        }
    }
}

/// A source's key or its letter, a stage, a class.
fn is_mark(word: &str) -> bool {
    let knowledge = knowledge::Knowledge::built_in();
    ["r", "a", "c", "u", "common-practice"].contains(&word)
        || knowledge.sources().any(|s| s.key.as_str() == word)
        || word.chars().all(|c| "IVABCDE0123456789".contains(c))
}

#[test]
fn a_language_writes_days_numbers_and_lists_in_its_own_way() {
    let es = Words::of(Language::Spanish);
    assert_eq!(es.day("6 January 2027, 10:00"), "6 de enero de 2027, 10:00");
    assert_eq!(es.figures("4.1° ± 0.5°"), "4,1° ± 0,5°");
    assert_eq!(Language::Spanish.name(), "Español");
    let en = Words::english();
    assert_eq!(en.day("6 de enero de 2027, 10:00"), "6 January 2027, 10:00");
    assert_eq!(en.day("soon"), "soon");
}

#[test]
fn a_paper_names_its_language() {
    for language in Language::ALL {
        let visit = spoken(adult(), Words::of(language));
        for (kind, composed) in kinds::papers(&visit, kinds::further(false)) {
            assert_eq!(composed.document.language, language.tag(), "{kind}");
        }
    }
    assert_eq!(Language::from_tag("es-MX"), Some(Language::Spanish));
    assert_eq!(Language::from_tag("xx"), None);
}

/// How a film got its scale stands in letters and on the reading sheet, as `film` says it.
#[test]
fn how_a_film_got_its_scale_is_told_in_every_language() {
    use film::scale::{Calibration, ObjectDistance, ScaleAnswer, Spacing, choose};
    use film::{ScaleWish, SpacingFacts};
    let pixel = Spacing::new(0.148, 0.148).ok();
    let oblong = Spacing::new(0.1, 0.2).ok();
    let facts = |pixel_spacing, imager_pixel_spacing| SpacingFacts {
        pixel_spacing,
        imager_pixel_spacing,
        ..SpacingFacts::default()
    };
    let calibrated = |how| SpacingFacts {
        calibration: Some(how),
        ..facts(pixel, None)
    };
    let file = |object| ScaleWish::File { object };
    let measured = Some(ObjectDistance {
        mm: 60.0,
        se_mm: 10.0,
    });
    let length = ScaleWish::KnownLength {
        from_px: [10.0, 10.0],
        to_px: [10.0, 210.0],
        length_mm: 30.0,
        length_se_mm: 0.1,
        point_se_px: 0.5,
    };
    let circle = |i: f64| {
        [
            200.0 + 80.0 * (i * 0.7).cos(),
            200.0 + 80.0 * (i * 0.7).sin(),
        ]
    };
    let ball = ScaleWish::Ball {
        diameter_mm: 25.0,
        diameter_se_mm: 0.05,
        edge_points_px: (0..9).map(|i| circle(f64::from(i))).collect(),
        point_se_px: 0.5,
    };
    let with_distance = SpacingFacts {
        source_to_detector_mm: Some(1100.0),
        ..facts(None, pixel)
    };
    let cases = [
        (calibrated(Calibration::Geometry), file(None)),
        (calibrated(Calibration::Fiducial), file(None)),
        (facts(oblong, pixel), file(None)),
        (facts(pixel, None), file(None)),
        (facts(None, pixel), file(None)),
        (facts(None, pixel), file(measured)),
        (with_distance.clone(), file(measured)),
        (
            SpacingFacts {
                magnification: Some(1.05),
                ..facts(None, pixel)
            },
            file(None),
        ),
        (
            SpacingFacts {
                source_to_patient_mm: Some(1050.0),
                ..with_distance
            },
            file(None),
        ),
        (facts(None, None), file(None)),
        (facts(None, None), length),
        (facts(None, None), ball),
    ];
    for language in Language::ALL {
        let words = Words::watched(language);
        let mut said = Vec::new();
        for (facts, wish) in &cases {
            let text = match choose(facts, wish) {
                ScaleAnswer::Known { words, .. } => format!("{words}."),
                ScaleAnswer::Unknown { reason, .. } => {
                    format!("No scale: {reason}. Angles work; millimetres do not.")
                }
            };
            said.push((words.said(&text), text));
        }
        assert!(words.missed().is_empty(), "{:#?}", words.missed());
        for (in_words, english) in said {
            assert_eq!(
                in_words == english,
                language == Language::English,
                "{in_words}"
            );
        }
    }
}
