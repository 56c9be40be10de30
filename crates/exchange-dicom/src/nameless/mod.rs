//! What does a copy of a film without names keep? PS3.15 annex E: Basic Application Level Confidentiality Profile
//! with the options Retain Longitudinal Temporal Information With Modified Dates and, where rectangles are given,
//! Clean Pixel Data.
//!
//! | file | question |
//! |---|---|
//! | `rules` | which attributes stay, and in which form? |
//! | `secret` | how are people, dates and identifiers replaced? |
//! | `pixels` | how is the picture written anew? |
//!
//! A copy is built up from nothing, not a film with parts taken out. What can be read in the picture itself stays:
//! the answer says when that may be so, and only a person can look.

mod pixels;
mod rules;
mod secret;

pub use rules::profile_action;
pub use secret::Secret;

use crate::facts::{date, date_text};
use crate::objects::Build;
use crate::tree::{self, Element, Limits, Set, TreeError, Value, usual_vr};
use crate::{classes, uids::is_uid};
use dicom_core::{Tag, VR};
use dicom_dictionary_std::tags;
use film::FilmError;
use rules::{Rule, known_code, rule};
use std::borrow::Cow;
use std::ops::Range;

/// A rectangle of stored pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rect {
    pub x: u32,
    pub y: u32,
    pub width: u32,
    pub height: u32,
}

impl Rect {
    fn rows(&self, height: usize) -> Range<usize> {
        within(self.y, self.height, height)
    }

    fn columns(&self, width: usize) -> Range<usize> {
        within(self.x, self.width, width)
    }
}

fn within(from: u32, length: u32, most: usize) -> Range<usize> {
    let start = (from as usize).min(most);
    start..(from as usize).saturating_add(length as usize).min(most)
}

/// A table of a film has an entry for each of at least 256 grey values. Words put in its place could rise or fall
/// throughout only by being very short.
const SHORTEST_TABLE: usize = 256;

/// Most rectangles in one picture.
const MOST_RECTS: usize = 1_000;

/// Why no copy was made. Nothing of the film stands in it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NamelessError {
    #[error("{0}")]
    Tree(#[from] TreeError),
    #[error("{0}")]
    Film(#[from] FilmError),
    #[error(
        "found no film (another class of object); only films and pictures are copied without names"
    )]
    Class,
    #[error("found several frames; copy a single film")]
    Frames,
    #[error(
        "found a picture in colours that are not written plainly; export it uncompressed as RGB"
    )]
    Colour,
    #[error("found fewer pixels than rows and columns ask for; export the film again")]
    Short,
    #[error("found a film without study, series or identifier; export it again")]
    NoIdentifier,
    #[error("found more than {limit} rectangles; give fewer and larger ones")]
    TooManyRects { limit: usize },
}

/// What a person has to look at before a copy leaves the house.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Look {
    /// The film says that text is burned in.
    TextBurnedIn,
    /// The film does not say whether text is burned in.
    TextMayBeBurnedIn,
    /// A table of grey values was left out, because it does not look like one: the copy may look otherwise.
    TableLeftOut,
}

impl Look {
    pub fn sentence(self) -> &'static str {
        match self {
            Look::TextBurnedIn => {
                "The film says that text is burned into the picture; look at it and blacken what names a person."
            }
            Look::TextMayBeBurnedIn => {
                "The film does not say whether text is burned into the picture; look at it before it leaves the house."
            }
            Look::TableLeftOut => {
                "A table of grey values was left out of the copy, so that it may look darker or lighter than the film."
            }
        }
    }
}

/// A copy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Nameless {
    pub file: Vec<u8>,
    pub instance_uid: String,
    pub looks: Vec<Look>,
}

/// Makes a copy without names. `patient` is whatever tells the practice's patients apart; all copies made with the
/// same secret and the same patient share pseudonym and moved dates.
///
/// # Errors
/// Bytes that are no whole film, or a kind of object whose content cannot be judged.
pub fn nameless(
    file: &[u8],
    patient: &str,
    secret: &Secret,
    black: &[Rect],
) -> Result<Nameless, NamelessError> {
    if black.len() > MOST_RECTS {
        return Err(NamelessError::TooManyRects { limit: MOST_RECTS });
    }
    let mut inflated = Vec::new();
    let object = tree::file(file, &mut inflated, &Limits::default())?;
    let set = &object.set;
    let class = set
        .uid(tags::SOP_CLASS_UID)
        .filter(|c| {
            classes::is_taken(c) && *c != dicom_dictionary_std::uids::ENCAPSULATED_PDF_STORAGE
        })
        .ok_or(NamelessError::Class)?;
    let instance = set
        .uid(tags::SOP_INSTANCE_UID)
        .ok_or(NamelessError::NoIdentifier)?;
    for tag in [tags::STUDY_INSTANCE_UID, tags::SERIES_INSTANCE_UID] {
        set.uid(tag).ok_or(NamelessError::NoIdentifier)?;
    }
    let pixels = pixels::read(file, &object, black)?;
    let mut copy = Copying {
        patient,
        secret,
        looks: Vec::new(),
    };
    let mut out = Build::default();
    for element in &set.elements {
        copy.element(set, element, &mut out.set);
    }
    let pseudonym = secret.pseudonym(patient);
    out.text(tags::PATIENT_NAME, VR::PN, &pseudonym);
    out.text(tags::PATIENT_ID, VR::LO, &pseudonym);
    method(&mut out, !black.is_empty());
    picture(&mut out, pixels);
    copy.looks
        .extend(match set.text(tags::BURNED_IN_ANNOTATION).as_deref() {
            Some("NO") => None,
            Some("YES") => Some(Look::TextBurnedIn),
            _ => Some(Look::TextMayBeBurnedIn),
        });
    copy.looks.sort();
    copy.looks.dedup();
    let instance_uid = secret.uid(&instance);
    Ok(Nameless {
        file: out.file(&class, &instance_uid),
        instance_uid,
        looks: copy.looks,
    })
}

/// PS3.15 E.1.1; codes of CID 7050 as pydicom 3.0.2 prints them.
fn method(out: &mut Build, blackened: bool) {
    out.words(tags::PATIENT_IDENTITY_REMOVED, VR::CS, "YES");
    out.words(
        tags::LONGITUDINAL_TEMPORAL_INFORMATION_MODIFIED,
        VR::CS,
        "MODIFIED",
    );
    out.words(
        tags::DEIDENTIFICATION_METHOD,
        VR::LO,
        "Basic profile, dates moved, built from listed attributes only",
    );
    let mut codes = vec![
        ("113100", "Basic Application Confidentiality Profile"),
        (
            "113107",
            "Retain Longitudinal Temporal Information Modified Dates Option",
        ),
    ];
    if blackened {
        codes.push(("113101", "Clean Pixel Data Option"));
    }
    let items = codes
        .into_iter()
        .map(|(value, meaning)| code("DCM", value, meaning))
        .collect();
    out.items(tags::DEIDENTIFICATION_METHOD_CODE_SEQUENCE, items);
}

fn code(scheme: &str, value: &str, meaning: &str) -> Build {
    let mut item = Build::default();
    item.text(tags::CODE_VALUE, VR::SH, value);
    item.text(tags::CODING_SCHEME_DESIGNATOR, VR::SH, scheme);
    item.text(tags::CODE_MEANING, VR::LO, meaning);
    item
}

fn picture(out: &mut Build, pixels: pixels::Pixels) {
    out.us(tags::SAMPLES_PER_PIXEL, pixels.samples);
    out.us(tags::BITS_ALLOCATED, pixels.bits_allocated);
    out.us(tags::BITS_STORED, pixels.bits_stored);
    out.us(tags::HIGH_BIT, pixels.bits_stored - 1);
    out.us(tags::PIXEL_REPRESENTATION, u16::from(pixels.signed));
    if pixels.samples == 1 {
        out.set
            .elements
            .retain(|e| e.tag != tags::PLANAR_CONFIGURATION);
    }
    let vr = if pixels.bits_allocated == 8 {
        VR::OB
    } else {
        VR::OW
    };
    out.raw(tags::PIXEL_DATA, vr, pixels.bytes);
}

struct Copying<'a> {
    patient: &'a str,
    secret: &'a Secret,
    looks: Vec<Look>,
}

impl Copying<'_> {
    fn element(&mut self, from: &Set<'_>, element: &Element<'_>, to: &mut Set<'static>) {
        let tag = element.tag;
        let Some(rule) = rule(tag) else {
            return;
        };
        let vr = usual_vr(tag);
        let text = || from.whole_text(tag).unwrap_or_default();
        match rule {
            Rule::Terms(known) => {
                let all = text();
                let kept: Vec<&str> = all
                    .split('\\')
                    .map(str::trim)
                    .take_while(|v| known.contains(v))
                    .collect();
                to.put_text(tag, vr, &kept.join("\\"));
            }
            Rule::Numbers(count) => {
                let all = text();
                let good = !all.is_empty()
                    && all.split('\\').all(is_number)
                    && (count == 0 || all.split('\\').count() == count)
                    && all.len() <= 256;
                to.put_text(tag, vr, if good { &all } else { "" });
            }
            Rule::Shorts(count) => {
                if let Some(values) = shorts(from, tag, count) {
                    let vr = match tag {
                        tags::PIXEL_INTENSITY_RELATIONSHIP_SIGN => VR::SS,
                        tags::PIXEL_PADDING_VALUE | tags::PIXEL_PADDING_RANGE_LIMIT
                            if from.u16(tags::PIXEL_REPRESENTATION) == Some(1) =>
                        {
                            VR::SS
                        }
                        _ => VR::US,
                    };
                    put_shorts(to, tag, vr, &values);
                }
            }
            Rule::Date | Rule::DateTime => {
                let moved = text()
                    .get(..8)
                    .and_then(date)
                    .and_then(|d| self.secret.moved(self.patient, d))
                    .map(date_text);
                to.put_text(tag, vr, &moved.unwrap_or_default());
            }
            Rule::Empty | Rule::Time => to.put_text(tag, vr, ""),
            Rule::Uid => {
                if let Some(uid) = from.uid(tag) {
                    to.put_text(tag, VR::UI, &self.secret.uid(&uid));
                }
            }
            Rule::Class => {
                if let Some(uid) = from.uid(tag).filter(|u| is_uid(u) && classes::is_taken(u)) {
                    to.put_text(tag, VR::UI, &uid);
                }
            }
            Rule::NoItems => put_items(to, tag, Vec::new()),
            Rule::Codes => {
                let items = from.items(tag).iter().take(16);
                let kept = items.filter_map(|i| self.code(i)).collect();
                put_items(to, tag, kept);
            }
            Rule::Table => {
                let items = from.items(tag);
                let kept: Vec<_> = items.iter().take(16).filter_map(grey_table).collect();
                if kept.len() < items.len() {
                    self.looks.push(Look::TableLeftOut);
                }
                if !kept.is_empty() {
                    put_items(to, tag, kept);
                }
            }
        }
    }

    fn code(&mut self, item: &Set<'_>) -> Option<Set<'static>> {
        let scheme = item.text(tags::CODING_SCHEME_DESIGNATOR)?;
        let value = item.text(tags::CODE_VALUE)?;
        let (scheme, value, meaning) = known_code(&scheme, &value)?;
        let mut out = code(scheme, value, meaning).set;
        for tag in [
            tags::VIEW_MODIFIER_CODE_SEQUENCE,
            tags::PATIENT_ORIENTATION_MODIFIER_CODE_SEQUENCE,
            tags::ANATOMIC_REGION_MODIFIER_SEQUENCE,
        ] {
            if item.get(tag).is_some() {
                let items = item.items(tag).iter().take(16);
                // One level: a modifier has no modifiers.
                let kept = items
                    .filter_map(|i| {
                        let scheme = i.text(tags::CODING_SCHEME_DESIGNATOR)?;
                        let known = known_code(&scheme, &i.text(tags::CODE_VALUE)?)?;
                        Some(code(known.0, known.1, known.2).set)
                    })
                    .collect();
                put_items(&mut out, tag, kept);
            }
        }
        Some(out)
    }
}

fn put_items(to: &mut Set<'static>, tag: Tag, items: Vec<Set<'static>>) {
    to.put(Element {
        tag,
        vr: VR::SQ,
        value: Value::Items(items),
    });
}

fn put_shorts(to: &mut Set<'static>, tag: Tag, vr: VR, values: &[u16]) {
    let bytes = values.iter().flat_map(|v| v.to_le_bytes()).collect();
    to.put(Element {
        tag,
        vr,
        value: Value::Bytes(Cow::Owned(bytes)),
    });
}

/// 16-bit numbers in the byte order of the set; exactly `count`, or any number of them for 0.
fn shorts(from: &Set<'_>, tag: Tag, count: usize) -> Option<Vec<u16>> {
    let bytes = from.bytes(tag)?;
    if bytes.len() % 2 != 0 || (count != 0 && bytes.len() != count * 2) {
        return None;
    }
    let (pairs, _) = bytes.as_chunks::<2>();
    Some(
        pairs
            .iter()
            .map(|b| {
                if from.big_endian {
                    u16::from_be_bytes(*b)
                } else {
                    u16::from_le_bytes(*b)
                }
            })
            .collect(),
    )
}

/// A decimal number as PS3.5 writes it, and no more of it than a film needs.
fn is_number(text: &str) -> bool {
    let text = text.trim();
    text.len() <= 16
        && text
            .bytes()
            .all(|b| b.is_ascii_digit() || matches!(b, b'+' | b'-' | b'.' | b'e' | b'E'))
        && text.parse::<f64>().is_ok_and(|v| v.abs() < 1e7)
}

/// Descriptor and data of a table, without its explanation; a text would neither rise nor fall throughout.
fn grey_table(item: &Set<'_>) -> Option<Set<'static>> {
    let descriptor = shorts(item, tags::LUT_DESCRIPTOR, 3)?;
    let data = shorts(item, tags::LUT_DATA, 0)?;
    let entries = match descriptor.first()? {
        0 => 65_536,
        n => usize::from(*n),
    };
    // Eight-bit entries may lie two to a word; those are rare and left out.
    if entries < SHORTEST_TABLE || data.len() != entries {
        return None;
    }
    let rises = data.windows(2).all(|w| w[0] <= w[1]);
    let falls = data.windows(2).all(|w| w[0] >= w[1]);
    if !rises && !falls {
        return None;
    }
    let mut out = Set::default();
    put_shorts(&mut out, tags::LUT_DESCRIPTOR, VR::US, &descriptor);
    if let Some(kind) = item
        .text(tags::MODALITY_LUT_TYPE)
        .filter(|k| ["US", "OD", "HU"].contains(&k.as_str()))
    {
        out.put_text(tags::MODALITY_LUT_TYPE, VR::LO, &kind);
    }
    put_shorts(&mut out, tags::LUT_DATA, VR::OW, &data);
    Some(out)
}
