//! Copies without names: whatever is planted anywhere in a film does not come out.

mod common;

use common::{film, film_file, run, said, text};
use dicom_core::dictionary::{DataDictionary, DataDictionaryEntry};
use dicom_core::{Tag, VR};
use dicom_dictionary_std::{StandardDataDictionary, tags};
use exchange_dicom::nameless::{Look, NamelessError, Rect, Secret, nameless, profile_action};
use exchange_dicom::tree::{self, Element, Encoding, Limits, Set, Value};
use std::borrow::Cow;

/// No word of any standard, number of any film or identifier holds it.
const PLANTED: &str = "Zqxw";

fn secret() -> Secret {
    Secret::new([42; 32])
}

fn opened<T>(file: &[u8], look: impl FnOnce(&tree::Object<'_>) -> T) -> T {
    let mut inflated = Vec::new();
    look(&tree::file(file, &mut inflated, &Limits::default()).unwrap())
}

fn owned(set: &Set<'_>) -> Set<'static> {
    let elements = set
        .elements
        .iter()
        .map(|e| Element {
            tag: e.tag,
            vr: e.vr,
            value: match &e.value {
                Value::Bytes(b) => Value::Bytes(Cow::Owned(b.to_vec())),
                Value::Items(items) => Value::Items(items.iter().map(owned).collect()),
                Value::Fragments(f) => {
                    Value::Fragments(f.iter().map(|b| Cow::Owned(b.to_vec())).collect())
                }
            },
        })
        .collect();
    Set {
        elements,
        big_endian: set.big_endian,
    }
}

fn bytes(value: &str) -> Value<'static> {
    let mut bytes = value.as_bytes().to_vec();
    if bytes.len() % 2 == 1 {
        bytes.push(b' ');
    }
    Value::Bytes(Cow::Owned(bytes))
}

/// What the picture needs to be read at all.
const STRUCTURE: &[Tag] = &[
    tags::SOP_CLASS_UID,
    tags::SOP_INSTANCE_UID,
    tags::STUDY_INSTANCE_UID,
    tags::SERIES_INSTANCE_UID,
    tags::SAMPLES_PER_PIXEL,
    tags::PHOTOMETRIC_INTERPRETATION,
    tags::ROWS,
    tags::COLUMNS,
    tags::NUMBER_OF_FRAMES,
    tags::BITS_ALLOCATED,
    tags::BITS_STORED,
    tags::HIGH_BIT,
    tags::PIXEL_REPRESENTATION,
    tags::PIXEL_DATA,
    tags::FLOAT_PIXEL_DATA,
    tags::DOUBLE_FLOAT_PIXEL_DATA,
    tags::SPECIFIC_CHARACTER_SET,
];

/// Every attribute that the dictionary knows, filled with the planted word in its own kind of value.
fn planted_everywhere() -> (Vec<u8>, usize) {
    let plain = film_file(1);
    let mut set = opened(&plain, |o| owned(&o.set));
    let mut count = 0;
    let groups = (0x0008..=0x0100_u16).step_by(2).chain([
        0x0400, 0x2000, 0x2010, 0x2020, 0x2030, 0x2040, 0x2050, 0x2100, 0x2110, 0x2120, 0x2130,
        0x2200, 0x3002, 0x3004, 0x3006, 0x3008, 0x300A, 0x300C, 0x300E, 0x3010, 0x4000, 0x4008,
        0x4010, 0x5200, 0x6000, 0x60FE, 0x7FE0, 0xFFFA,
    ]);
    for group in groups {
        for element in 1..=0xFFFF_u16 {
            let tag = Tag(group, element);
            if STRUCTURE.contains(&tag) {
                continue;
            }
            let Some(entry) = StandardDataDictionary.by_tag(tag) else {
                continue;
            };
            let vr = entry.vr().relaxed();
            let value = match vr {
                VR::SQ => {
                    let mut item = Set::default();
                    item.put(Element {
                        tag: tags::PATIENT_NAME,
                        vr: VR::PN,
                        value: bytes(PLANTED),
                    });
                    item.put(Element {
                        tag: tags::CODE_VALUE,
                        vr: VR::SH,
                        value: bytes("56459004"),
                    });
                    item.put(Element {
                        tag: tags::CODING_SCHEME_DESIGNATOR,
                        vr: VR::SH,
                        value: bytes("SCT"),
                    });
                    item.put(Element {
                        tag: tags::CODE_MEANING,
                        vr: VR::LO,
                        value: bytes(PLANTED),
                    });
                    item.put(Element {
                        tag: tags::LUT_DESCRIPTOR,
                        vr: VR::US,
                        value: Value::Bytes(Cow::Owned(vec![2, 0, 0, 0, 16, 0])),
                    });
                    item.put(Element {
                        tag: tags::LUT_EXPLANATION,
                        vr: VR::LO,
                        value: bytes(PLANTED),
                    });
                    item.put(Element {
                        tag: tags::LUT_DATA,
                        vr: VR::OW,
                        value: bytes(PLANTED),
                    });
                    Value::Items(vec![item])
                }
                VR::CS | VR::AE => bytes(&PLANTED.to_uppercase()),
                _ => bytes(&PLANTED.repeat(4)),
            };
            set.put(Element { tag, vr, value });
            count += 1;
        }
    }
    // Private blocks of every kind of value, and one of unknown kind and open length.
    for (i, vr) in [
        "AE", "CS", "LO", "LT", "OB", "OW", "PN", "SH", "ST", "UC", "UN", "UR", "UT",
    ]
    .into_iter()
    .enumerate()
    {
        let tag = Tag(0x0009, 0x1000 + i as u16);
        set.put(Element {
            tag,
            vr: vr.parse().unwrap(),
            value: bytes(PLANTED),
        });
        count += 1;
    }
    set.put(Element {
        tag: Tag(9, 0x10),
        vr: VR::LO,
        value: bytes(PLANTED),
    });
    let mut item = Set::default();
    item.put(Element {
        tag: tags::PATIENT_NAME,
        vr: VR::PN,
        value: bytes(PLANTED),
    });
    set.put(Element {
        tag: Tag(0x0029, 0x1010),
        vr: VR::SQ,
        value: Value::Items(vec![item]),
    });
    // Behind the last row.
    let Some(Value::Bytes(pixels)) = set.get(tags::PIXEL_DATA).map(|e| e.value.clone()) else {
        panic!("pixels");
    };
    let mut long = pixels.to_vec();
    long.extend(PLANTED.as_bytes());
    set.put(Element {
        tag: tags::PIXEL_DATA,
        vr: VR::OW,
        value: Value::Bytes(Cow::Owned(long)),
    });
    set.put(Element {
        tag: Tag(0xFFFC, 0xFFFC),
        vr: VR::OB,
        value: bytes(PLANTED),
    });
    let data = tree::write_data_set(&set, Encoding::EXPLICIT);
    let mut file = tree::write_file(
        "1.2.840.10008.5.1.4.1.1.1.1",
        "2.25.1001",
        "1.2.840.10008.1.2.1",
        &data,
    );
    // In the preamble and in the meta group.
    file[..4].copy_from_slice(PLANTED.as_bytes());
    let meta = b"\x02\x00\x16\x00AE\x04\x00Zqxw";
    let at = file.len() - data.len();
    file.splice(at..at, meta.iter().copied());
    (file, count)
}

fn contains(haystack: &[u8], needle: &str) -> bool {
    let needle = needle.to_lowercase();
    haystack
        .windows(needle.len())
        .any(|w| w.eq_ignore_ascii_case(needle.as_bytes()))
}

#[test]
fn nothing_planted_in_any_attribute_of_the_dictionary_comes_out() {
    let (file, count) = planted_everywhere();
    assert!(count > 3_500, "{count}");
    assert!(contains(&file, PLANTED));
    let copy = nameless(&file, "patient 7", &secret(), &[]).unwrap();
    assert!(!contains(&copy.file, PLANTED));
    // And nothing that the film said by itself.
    for told in [
        "Invented",
        "T-0042",
        "19610304",
        "20260517",
        "101112",
        "A1\0",
        "2.25.1001",
        "computed",
        "Tiebeam inc",
    ] {
        assert!(!contains(&copy.file, told), "{told}");
    }
    assert_eq!(copy.looks, [Look::TextMayBeBurnedIn, Look::TableLeftOut]);
}

#[test]
fn every_attribute_that_stays_is_one_that_the_basic_profile_leaves_or_replaces() {
    let (file, _) = planted_everywhere();
    let copy = nameless(&file, "7", &secret(), &[]).unwrap();
    opened(&copy.file, |o| {
        for e in &o.set.elements {
            assert!(e.tag.group() % 2 == 0, "{}", e.tag);
            if profile_action(e.tag) == Some("X") {
                panic!("{} should have gone", e.tag);
            }
        }
    });
}

#[test]
fn the_copy_of_a_film_is_valid_says_how_it_was_made_and_shows_the_same_picture() {
    let file = film_file(1);
    let copy = nameless(&file, "7", &secret(), &[]).unwrap();
    assert_eq!(copy.looks, []);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("copy.dcm");
    std::fs::write(&path, &copy.file).unwrap();
    let words = said(&run("dciodvfy", &["-new", text(&path)]));
    assert!(!words.lines().any(|l| l.starts_with("Error")), "{words}");
    let limits = film::Limits::default();
    let (before, after) = (
        film::open(&file, &limits).unwrap(),
        film::open(&copy.file, &limits).unwrap(),
    );
    assert_eq!(before.samples, after.samples);
    assert_eq!(before.spacing, after.spacing);
    assert_eq!(
        (before.header.view, before.header.side, before.header.stance),
        (after.header.view, after.header.side, after.header.stance)
    );
    assert_eq!(after.header.birth_date, None);
    assert_ne!(before.header.taken_on, after.header.taken_on);
    assert_eq!(after.header.patient_id, Some(secret().pseudonym("7")));
    opened(&copy.file, |o| {
        assert_eq!(
            o.set.text(tags::PATIENT_IDENTITY_REMOVED).as_deref(),
            Some("YES")
        );
        let codes: Vec<_> = o
            .set
            .items(tags::DEIDENTIFICATION_METHOD_CODE_SEQUENCE)
            .iter()
            .map(|i| i.text(tags::CODE_VALUE).unwrap())
            .collect();
        assert_eq!(codes, ["113100", "113107"]);
    });
}

#[test]
fn two_films_of_one_patient_keep_their_days_apart_and_their_study_together() {
    let mut later = film(2);
    later.taken_at = time::macros::datetime!(2026-11-17 10:11:12);
    let later = film::write::dicom(&later).unwrap();
    let copies = [film_file(1), later].map(|f| nameless(&f, "7", &secret(), &[]).unwrap().file);
    let seen = copies.map(|c| film::open(&c, &film::Limits::default()).unwrap().header);
    let days = seen[1].taken_on.unwrap() - seen[0].taken_on.unwrap();
    assert_eq!(days.whole_days(), 184);
    assert_eq!(seen[0].study_uid, seen[1].study_uid);
    assert_ne!(seen[0].instance_uid, seen[1].instance_uid);
    assert_ne!(seen[0].study_uid.as_deref(), Some("2.25.1"));
}

#[test]
fn rectangles_become_black_and_the_rest_stays() {
    let file = film_file(1);
    let rects = [
        Rect {
            x: 2,
            y: 3,
            width: 4,
            height: 2,
        },
        Rect {
            x: 60,
            y: 47,
            width: 1000,
            height: u32::MAX,
        },
        Rect {
            x: 9999,
            y: 9999,
            width: 1,
            height: 1,
        },
    ];
    let copy = nameless(&file, "7", &secret(), &rects).unwrap();
    let limits = film::Limits::default();
    let (before, after) = (
        film::open(&file, &limits).unwrap(),
        film::open(&copy.file, &limits).unwrap(),
    );
    for y in 0..48_usize {
        for x in 0..64_usize {
            let black = ((2..6).contains(&x) && (3..5).contains(&y)) || (x >= 60 && y >= 47);
            let expected = if black {
                Some(0)
            } else {
                before.samples.get(y * 64 + x)
            };
            assert_eq!(after.samples.get(y * 64 + x), expected, "{x} {y}");
        }
    }
    opened(&copy.file, |o| {
        assert_eq!(
            o.set
                .items(tags::DEIDENTIFICATION_METHOD_CODE_SEQUENCE)
                .len(),
            3
        );
    });
}

#[test]
fn a_comment_in_a_packed_picture_and_bytes_behind_it_do_not_come_out() {
    let folder = tempfile::tempdir().unwrap();
    let (plain, packed) = (folder.path().join("a.dcm"), folder.path().join("b.dcm"));
    std::fs::write(&plain, film_file(1)).unwrap();
    for (converter, option) in [("dcmcjpeg", "+e1"), ("dcmcjpls", "+el"), ("dcmcrle", "-v")] {
        let output = run(converter, &[option, text(&plain), text(&packed)]);
        assert!(output.status.success(), "{}", said(&output));
        let file = std::fs::read(&packed).unwrap();
        let (mut set, syntax) = opened(&file, |o| (owned(&o.set), o.transfer_syntax.clone()));
        let Some(Value::Fragments(mut fragments)) =
            set.get(tags::PIXEL_DATA).map(|e| e.value.clone())
        else {
            panic!("fragments");
        };
        let stream = fragments[1].to_mut();
        if converter != "dcmcrle" {
            stream.splice(2..2, b"\xFF\xFE\x00\x06Zqxw".iter().copied());
        }
        stream.extend(PLANTED.as_bytes());
        fragments[0] = Cow::Borrowed(b"");
        set.put(Element {
            tag: tags::PIXEL_DATA,
            vr: VR::OB,
            value: Value::Fragments(fragments),
        });
        let data = tree::write_data_set(&set, Encoding::EXPLICIT);
        let planted = tree::write_file("1.2.840.10008.5.1.4.1.1.1.1", "2.25.1001", &syntax, &data);
        assert!(contains(&planted, PLANTED));
        let copy = nameless(&planted, "7", &secret(), &[]).unwrap();
        assert!(!contains(&copy.file, PLANTED), "{converter}");
        let limits = film::Limits::default();
        let (before, after) = (
            film::open(&film_file(1), &limits).unwrap(),
            film::open(&copy.file, &limits).unwrap(),
        );
        assert_eq!(before.samples, after.samples, "{converter}");
    }
}

#[test]
fn films_in_other_byte_orders_give_the_same_copy() {
    let folder = tempfile::tempdir().unwrap();
    let (plain, other) = (folder.path().join("a.dcm"), folder.path().join("b.dcm"));
    std::fs::write(&plain, film_file(1)).unwrap();
    let expected = nameless(&film_file(1), "7", &secret(), &[]).unwrap();
    for option in ["+ti", "+tb", "+td"] {
        let output = run("dcmconv", &[option, text(&plain), text(&other)]);
        assert!(output.status.success(), "{}", said(&output));
        let copy = nameless(&std::fs::read(&other).unwrap(), "7", &secret(), &[]).unwrap();
        assert_eq!(copy.file, expected.file, "{option}");
    }
}

#[test]
fn what_is_no_film_is_refused() {
    let film = film_file(1);
    let letter = common::sheet::all(&film).remove(3).1.file;
    let report = common::sheet::all(&film).remove(0).1.file;
    for other in [letter, report] {
        assert_eq!(
            nameless(&other, "7", &secret(), &[]),
            Err(NamelessError::Class)
        );
    }
    for cut in [0, 10, 140, 700, film.len() - 1] {
        assert!(nameless(&film[..cut], "7", &secret(), &[]).is_err());
    }
}

#[test]
fn a_picture_in_colour_is_blackened_too() {
    let picture = common::sheet::all(&film_file(1)).remove(2).1.file;
    let rect = Rect {
        x: 1,
        y: 1,
        width: 2,
        height: 1,
    };
    let copy = nameless(&picture, "7", &secret(), &[rect]).unwrap();
    opened(&copy.file, |o| {
        let pixels = o.set.bytes(tags::PIXEL_DATA).unwrap();
        let mut expected: Vec<u8> = (0..45).collect();
        expected[18..24].fill(0);
        assert_eq!(pixels[..45], expected[..]);
    });
}
