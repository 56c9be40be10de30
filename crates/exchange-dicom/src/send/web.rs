//! What do the web services of DICOM ask, and what is answered? QIDO-RS, STOW-RS and WADO-RS as pure functions
//! (PS3.18 sections 10.4 to 10.6, annex F): the pages only route them.

use super::multipart::{boundary, parts};
use crate::facts::{HeaderFacts, date};
use crate::inbox::{NotTaken, Origin, Received, well_formed};
use crate::tree::{self, Limits, Set};
use dicom_core::dictionary::{DataDictionary, DataDictionaryEntry};
use dicom_core::{DataElement, PrimitiveValue, Tag, VR};
use dicom_dictionary_std::{StandardDataDictionary, tags, uids};
use dicom_object::InMemDicomObject;
use std::collections::BTreeSet;
use time::Date;

const MOST_QUERY: usize = 4_096;
const MOST_PARAMETERS: usize = 32;
const MOST_FIELDS: usize = 64;
/// Answers to one query.
pub const MOST_ANSWERS: usize = 1_000;
const MOST_OFFSET: usize = 1_000_000;
/// Of a body of objects.
pub const MOST_BODY: u64 = 512 * 1024 * 1024;

/// A request that is not answered. Never repeats a value of it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum WebError {
    #[error(
        "found another media type; expected multipart/related; type=\"application/dicom\" with a boundary"
    )]
    MediaType,
    #[error("found {what} in the body; expected whole parts between boundaries")]
    Multipart { what: &'static str },
    #[error("found a query of more than {limit} {what}; ask for less")]
    TooMuch { limit: usize, what: &'static str },
    #[error("found a query with the unknown parameter {name:?}; expected {expected}")]
    Parameter {
        name: String,
        expected: &'static str,
    },
    #[error("found a value of {name} that is none; expected {expected}")]
    Value {
        name: &'static str,
        expected: &'static str,
    },
    #[error("the answer could not be written as JSON")]
    Json,
}

impl WebError {
    /// The status of the answer (PS3.18 tables 10.5.3-1 and 10.6.3-1).
    pub fn status(&self) -> u16 {
        match self {
            WebError::MediaType => 415,
            WebError::TooMuch { what: "bytes", .. } => 413,
            WebError::Json => 500,
            _ => 400,
        }
    }
}

/// Of which level a query asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    Studies,
    Series,
    Instances,
}

/// A query, understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Query {
    /// A whole number; a star or question mark is an ordinary sign.
    pub patient_id: Option<String>,
    pub study_uid: Option<String>,
    pub series_uid: Option<String>,
    pub instance_uid: Option<String>,
    pub accession: Option<String>,
    pub modality: Option<String>,
    /// First and last day, either open.
    pub study_date: (Option<Date>, Option<Date>),
    pub limit: usize,
    pub offset: usize,
    /// Attributes asked for beyond the usual ones; those not known of an object are left out.
    pub fields: Vec<Tag>,
    pub all_fields: bool,
}

impl Default for Query {
    fn default() -> Self {
        Self {
            patient_id: None,
            study_uid: None,
            series_uid: None,
            instance_uid: None,
            accession: None,
            modality: None,
            study_date: (None, None),
            limit: 100,
            offset: 0,
            fields: Vec::new(),
            all_fields: false,
        }
    }
}

impl Query {
    /// Reads the part of an address behind its question mark, still with its percent signs.
    ///
    /// # Errors
    /// An unknown parameter, a value without form, or too much of anything.
    pub fn read(text: &str) -> Result<Query, WebError> {
        if text.len() > MOST_QUERY {
            return Err(WebError::TooMuch {
                limit: MOST_QUERY,
                what: "characters",
            });
        }
        let mut query = Query::default();
        for (count, pair) in text.split('&').filter(|p| !p.is_empty()).enumerate() {
            if count >= MOST_PARAMETERS {
                return Err(WebError::TooMuch {
                    limit: MOST_PARAMETERS,
                    what: "parameters",
                });
            }
            let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
            let decoded = |t: &str, name| {
                decoded(t).ok_or(WebError::Value {
                    name,
                    expected: "UTF-8 in percent signs",
                })
            };
            let name = decoded(name, "a parameter's name")?;
            let value = decoded(value, "a parameter")?;
            query.take(&name, &value)?;
        }
        Ok(query)
    }

    fn take(&mut self, name: &str, value: &str) -> Result<(), WebError> {
        match name {
            "limit" => self.limit = number(value, "limit", MOST_ANSWERS)?,
            "offset" => self.offset = number(value, "offset", MOST_OFFSET)?,
            "includefield" => return self.include(value),
            "fuzzymatching" if value == "false" => {}
            _ => match tag_of(name) {
                Some(tags::PATIENT_ID) => self.patient_id = some(value, "PatientID", 64)?,
                Some(tags::ACCESSION_NUMBER) => {
                    self.accession = some(value, "AccessionNumber", 16)?
                }
                Some(tags::MODALITY | tags::MODALITIES_IN_STUDY) => {
                    self.modality = some(value, "Modality", 16)?;
                }
                Some(tags::STUDY_INSTANCE_UID) => self.study_uid = uid(value, "StudyInstanceUID")?,
                Some(tags::SERIES_INSTANCE_UID) => {
                    self.series_uid = uid(value, "SeriesInstanceUID")?;
                }
                Some(tags::SOP_INSTANCE_UID) => self.instance_uid = uid(value, "SOPInstanceUID")?,
                Some(tags::STUDY_DATE) => self.study_date = range(value)?,
                _ => {
                    return Err(WebError::Parameter {
                        name: name.chars().filter(|c| !c.is_control()).take(40).collect(),
                        expected: "PatientID, StudyInstanceUID, SeriesInstanceUID, SOPInstanceUID, AccessionNumber, Modality, StudyDate, limit, offset or includefield",
                    });
                }
            },
        }
        Ok(())
    }

    fn include(&mut self, value: &str) -> Result<(), WebError> {
        for field in value.split(',').filter(|f| !f.is_empty()) {
            if field == "all" {
                self.all_fields = true;
                continue;
            }
            let tag = tag_of(field).ok_or(WebError::Value {
                name: "includefield",
                expected: "a keyword of the dictionary, eight hexadecimal digits or all",
            })?;
            if self.fields.len() >= MOST_FIELDS {
                return Err(WebError::TooMuch {
                    limit: MOST_FIELDS,
                    what: "fields",
                });
            }
            if !self.fields.contains(&tag) {
                self.fields.push(tag);
            }
        }
        Ok(())
    }

    /// Does an object with this header fit what is asked?
    pub fn fits(&self, facts: &HeaderFacts) -> bool {
        let same = |asked: &Option<String>, there: &Option<String>| {
            asked.is_none() || asked.as_deref().map(str::trim) == there.as_deref().map(str::trim)
        };
        let day = match self.study_date {
            (None, None) => true,
            (from, to) => facts
                .study_date
                .is_some_and(|d| from.is_none_or(|f| f <= d) && to.is_none_or(|t| d <= t)),
        };
        day && same(&self.patient_id, &facts.patient_id)
            && same(&self.study_uid, &facts.study_uid)
            && same(&self.series_uid, &facts.series_uid)
            && same(&self.instance_uid, &facts.instance_uid)
            && same(&self.accession, &facts.accession)
            && same(&self.modality, &facts.modality)
    }

    /// How many answers are given at most.
    pub fn most(&self) -> usize {
        self.limit.min(MOST_ANSWERS)
    }

    /// The stretch of the answers that is asked for.
    pub fn page<T>(&self, all: impl IntoIterator<Item = T>) -> Vec<T> {
        all.into_iter()
            .skip(self.offset)
            .take(self.most())
            .collect()
    }
}

fn some(value: &str, name: &'static str, most: usize) -> Result<Option<String>, WebError> {
    if value.chars().count() > most || value.chars().any(char::is_control) {
        return Err(WebError::Value {
            name,
            expected: "a short text",
        });
    }
    // An empty key matches everything (PS3.4 C.2.2.2.3).
    Ok((!value.trim().is_empty()).then(|| value.trim().to_owned()))
}

fn uid(value: &str, name: &'static str) -> Result<Option<String>, WebError> {
    match value {
        "" => Ok(None),
        uid if crate::uids::is_uid(uid) => Ok(Some(uid.to_owned())),
        _ => Err(WebError::Value {
            name,
            expected: "one identifier of digits and dots",
        }),
    }
}

fn number(value: &str, name: &'static str, most: usize) -> Result<usize, WebError> {
    let digits = !value.is_empty() && value.len() <= 9 && value.bytes().all(|b| b.is_ascii_digit());
    value
        .parse::<usize>()
        .ok()
        .filter(|_| digits)
        .map(|n| n.min(most))
        .ok_or(WebError::Value {
            name,
            expected: "a whole number",
        })
}

/// A day, or two joined by a dash, either of them left out (PS3.4 C.2.2.2.5).
fn range(value: &str) -> Result<(Option<Date>, Option<Date>), WebError> {
    let bad = WebError::Value {
        name: "StudyDate",
        expected: "20260517, 20260501-20260531, 20260501- or -20260531",
    };
    let day = |text: &str| match text {
        "" => Ok(None),
        text => date(text).map(Some).ok_or(bad.clone()),
    };
    match value.split_once('-') {
        None => {
            let one = day(value)?;
            Ok((one, one))
        }
        Some(("", "")) => Err(bad.clone()),
        Some((from, to)) => Ok((day(from)?, day(to)?)),
    }
}

/// A keyword or eight hexadecimal digits.
fn tag_of(name: &str) -> Option<Tag> {
    let number = (name.len() == 8)
        .then(|| u32::from_str_radix(name, 16).ok())
        .flatten();
    match number {
        Some(n) => {
            let tag = Tag((n >> 16) as u16, n as u16);
            StandardDataDictionary.by_tag(tag).map(|_| tag)
        }
        None => StandardDataDictionary.by_name(name).map(|e| e.tag()),
    }
}

fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(b) = rest.next() {
        bytes.push(match b {
            b'%' => {
                let hex = [rest.next()?, rest.next()?];
                if !hex.iter().all(u8::is_ascii_hexdigit) {
                    return None;
                }
                u8::from_str_radix(std::str::from_utf8(&hex).ok()?, 16).ok()?
            }
            b'+' => b' ',
            b => b,
        });
    }
    String::from_utf8(bytes).ok()
}

/// The usual attributes of an answer (PS3.18 tables 10.6.3-3 to 10.6.3-5), as far as a film has them.
fn usual(level: Level) -> Vec<Tag> {
    let mut all = vec![
        tags::STUDY_DATE,
        tags::STUDY_TIME,
        tags::ACCESSION_NUMBER,
        tags::REFERRING_PHYSICIAN_NAME,
        tags::PATIENT_NAME,
        tags::PATIENT_ID,
        tags::PATIENT_BIRTH_DATE,
        tags::PATIENT_SEX,
        tags::STUDY_INSTANCE_UID,
        tags::STUDY_ID,
    ];
    if level != Level::Studies {
        all.extend([
            tags::MODALITY,
            tags::SERIES_DESCRIPTION,
            tags::SERIES_INSTANCE_UID,
            tags::SERIES_NUMBER,
        ]);
    }
    if level == Level::Instances {
        all.extend([
            tags::SOP_CLASS_UID,
            tags::SOP_INSTANCE_UID,
            tags::INSTANCE_NUMBER,
            tags::ROWS,
            tags::COLUMNS,
            tags::BITS_ALLOCATED,
        ]);
    }
    all
}

/// One answer: the attributes asked for out of an object's header, as far as they are plain text or numbers.
pub fn answer(set: &Set<'_>, level: Level, query: &Query) -> InMemDicomObject {
    let mut tags_asked = usual(level);
    if query.all_fields {
        tags_asked.extend(set.elements.iter().map(|e| e.tag).take(2_000));
    }
    tags_asked.extend(&query.fields);
    let mut out = InMemDicomObject::new_empty();
    out.put(DataElement::new(
        tags::SPECIFIC_CHARACTER_SET,
        VR::CS,
        PrimitiveValue::from("ISO_IR 192"),
    ));
    for tag in tags_asked {
        // Only what the dictionary knows: a private attribute means nothing to the other side.
        if tag.group() % 2 == 1 || tag.group() == 0xFFFE || tag == tags::SPECIFIC_CHARACTER_SET {
            continue;
        }
        if let Some(element) = plain(set, tag) {
            out.put(element);
        }
    }
    if level == Level::Studies
        && let Some(modality) = set.text(tags::MODALITY)
    {
        out.put(DataElement::new(
            tags::MODALITIES_IN_STUDY,
            VR::CS,
            PrimitiveValue::from(modality),
        ));
    }
    out
}

fn plain(set: &Set<'_>, tag: Tag) -> Option<DataElement<InMemDicomObject>> {
    let bytes = set.bytes(tag)?;
    let vr = tree::usual_vr(tag);
    let value = match vr {
        VR::US => PrimitiveValue::from(set.u16(tag)?),
        VR::AE
        | VR::AS
        | VR::CS
        | VR::DA
        | VR::DT
        | VR::LO
        | VR::LT
        | VR::PN
        | VR::SH
        | VR::ST
        | VR::TM
        | VR::UC
        | VR::UI
        | VR::UR
        | VR::UT => match set.whole_text(tag) {
            None => PrimitiveValue::Empty,
            Some(text) if matches!(vr, VR::LT | VR::ST | VR::UT | VR::UR) => {
                PrimitiveValue::from(text)
            }
            Some(text) => PrimitiveValue::Strs(text.split('\\').map(str::to_owned).collect()),
        },
        VR::DS | VR::IS => {
            let text = set.whole_text(tag).unwrap_or_default();
            let good = text
                .split('\\')
                .all(|v| v.trim().parse::<f64>().is_ok_and(f64::is_finite));
            if !good && !bytes.is_empty() {
                return None;
            }
            PrimitiveValue::Strs(
                text.split('\\')
                    .map(|v| v.trim().to_owned())
                    .filter(|v| !v.is_empty())
                    .collect(),
            )
        }
        _ => return None,
    };
    Some(DataElement::new(tag, vr, value))
}

/// Answers as application/dicom+json.
///
/// # Errors
/// Only for our own fault.
pub fn json(answers: &[InMemDicomObject]) -> Result<Vec<u8>, WebError> {
    dicom_json::to_vec(answers).map_err(|_| WebError::Json)
}

/// What a body of objects held.
pub struct Stored {
    /// Whole objects, to be kept one by one.
    pub objects: Vec<Received>,
    /// The others, in the order of the body.
    pub refused: Vec<Unkept>,
}

/// A part that is no object of a kind that is taken.
pub struct Unkept {
    pub why: NotTaken,
    /// Class and identifier, where they can be read.
    pub named: Option<(String, String)>,
}

impl Unkept {
    fn of(file: &[u8], why: NotTaken, limits: &Limits) -> Self {
        let mut inflated = Vec::new();
        let object = tree::file(file, &mut inflated, limits).ok();
        let facts = object.map(|o| HeaderFacts::of(&o.set));
        Self {
            why,
            named: facts.and_then(|f| f.class_uid.zip(f.instance_uid)),
        }
    }
}

/// Reads a STOW-RS request.
///
/// # Errors
/// Another media type, or a body that is none.
pub fn stow(content_type: &str, body: &[u8], limits: &Limits) -> Result<Stored, WebError> {
    if body.len() as u64 > MOST_BODY {
        return Err(WebError::TooMuch {
            limit: MOST_BODY as usize,
            what: "bytes",
        });
    }
    let boundary = boundary(content_type)?;
    let mut stored = Stored {
        objects: Vec::new(),
        refused: Vec::new(),
    };
    for part in parts(&boundary, body)? {
        if !matches!(part.media_type.as_str(), "application/dicom" | "") {
            return Err(WebError::MediaType);
        }
        match well_formed(part.bytes.to_vec(), Origin::Handed, limits) {
            Ok(received) => stored.objects.push(received),
            Err(why) => stored.refused.push(Unkept::of(part.bytes, why, limits)),
        }
    }
    Ok(stored)
}

/// One object of a STOW-RS request and what became of it: `None` for kept, else a status of PS3.4 table B.2-1.
pub struct Outcome<'a> {
    pub sop_class: &'a str,
    pub sop_instance: &'a str,
    pub failed: Option<u16>,
}

/// The answer to a STOW-RS request: its HTTP status and the JSON of PS3.18 table 10.5.3-2. `unread`: parts that were
/// no objects.
///
/// # Errors
/// Only for our own fault.
pub fn stowed(outcomes: &[Outcome<'_>], unread: usize) -> Result<(u16, Vec<u8>), WebError> {
    let item = |o: &Outcome<'_>| {
        let mut item = InMemDicomObject::from_element_iter([
            DataElement::new(
                tags::REFERENCED_SOP_CLASS_UID,
                VR::UI,
                PrimitiveValue::from(o.sop_class),
            ),
            DataElement::new(
                tags::REFERENCED_SOP_INSTANCE_UID,
                VR::UI,
                PrimitiveValue::from(o.sop_instance),
            ),
        ]);
        if let Some(status) = o.failed {
            item.put(DataElement::new(
                tags::FAILURE_REASON,
                VR::US,
                PrimitiveValue::from(status),
            ));
        }
        item
    };
    let (kept, failed): (Vec<_>, Vec<_>) = outcomes.iter().partition(|o| o.failed.is_none());
    let mut out = InMemDicomObject::new_empty();
    let mut sequence = |tag, items: Vec<InMemDicomObject>| {
        if !items.is_empty() {
            let value = dicom_core::value::DataSetSequence::from(items);
            out.put(DataElement::new(tag, VR::SQ, value));
        }
    };
    sequence(
        tags::REFERENCED_SOP_SEQUENCE,
        kept.iter().map(|o| item(o)).collect(),
    );
    let mut not_kept: Vec<_> = failed.iter().map(|o| item(o)).collect();
    for _ in 0..unread {
        not_kept.push(InMemDicomObject::from_element_iter([DataElement::new(
            tags::FAILURE_REASON,
            VR::US,
            PrimitiveValue::from(crate::dimse::CANNOT_UNDERSTAND),
        )]));
    }
    let status = match (kept.is_empty(), not_kept.is_empty()) {
        (_, true) => 200,
        (false, false) => 202,
        (true, false) => 409,
    };
    sequence(tags::FAILED_SOP_SEQUENCE, not_kept);
    let bytes = dicom_json::to_vec(&out).map_err(|_| WebError::Json)?;
    Ok((status, bytes))
}

/// The header of a file as an answer, and what it is.
///
/// # Errors
/// When the file is no whole object.
pub fn described(
    file: &[u8],
    level: Level,
    query: &Query,
) -> Result<Option<InMemDicomObject>, tree::TreeError> {
    let mut inflated = Vec::new();
    let object = tree::file(file, &mut inflated, &Limits::default())?;
    let fits = query.fits(&HeaderFacts::of(&object.set));
    Ok(fits.then(|| answer(&object.set, level, query)))
}

/// A study is described from one of its objects: with the modalities of all of them.
pub fn of_study(mut answer: InMemDicomObject, modalities: &BTreeSet<String>) -> InMemDicomObject {
    answer.put(DataElement::new(
        tags::MODALITIES_IN_STUDY,
        VR::CS,
        PrimitiveValue::Strs(modalities.iter().cloned().collect()),
    ));
    answer
}

/// The plain part of a film: what a search is answered from without the film at hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// As a file, without picture, sequences and long values.
    pub file: Vec<u8>,
    pub facts: HeaderFacts,
    /// Of the whole film.
    pub transfer_syntax: String,
}

/// Longer values stay with the film.
const LONGEST_IN_HEAD: usize = 4_096;

/// The head of a file; `None` where it names no class, study, series or object that could be asked for.
///
/// # Errors
/// When the file is no whole object.
pub fn head(file: &[u8]) -> Result<Option<Head>, tree::TreeError> {
    let mut inflated = Vec::new();
    let mut object = tree::file(file, &mut inflated, &Limits::default())?;
    let facts = HeaderFacts::of(&object.set);
    let (Some(class), Some(instance), Some(_), Some(_)) = (
        facts.class_uid.as_deref(),
        facts.instance_uid.as_deref(),
        facts.study_uid.as_deref(),
        facts.series_uid.as_deref(),
    ) else {
        return Ok(None);
    };
    object.set.elements.retain(|e| match &e.value {
        tree::Value::Bytes(bytes) => e.tag != tags::PIXEL_DATA && bytes.len() <= LONGEST_IN_HEAD,
        tree::Value::Items(_) | tree::Value::Fragments(_) => false,
    });
    // What was deflated stands here inflated.
    let syntax = match object.transfer_syntax.as_str() {
        tree::DEFLATED => uids::EXPLICIT_VR_LITTLE_ENDIAN,
        other => other,
    };
    let data_set = tree::write_data_set(&object.set, tree::Encoding::of(syntax));
    Ok(Some(Head {
        file: tree::write_file(class, instance, syntax, &data_set),
        transfer_syntax: object.transfer_syntax.clone(),
        facts,
    }))
}

/// The media type under which WADO-RS hands a whole object out alone.
pub const OBJECT: &str = "application/dicom";
/// Of QIDO-RS answers.
pub const ANSWERS: &str = "application/dicom+json";
/// A letter without the object around it; `None` where the file holds none.
///
/// # Errors
/// When the file is no whole object.
pub fn paper(file: &[u8]) -> Result<Option<Vec<u8>>, tree::TreeError> {
    let mut inflated = Vec::new();
    let object = tree::file(file, &mut inflated, &Limits::default())?;
    let set = &object.set;
    if set.uid(tags::SOP_CLASS_UID).as_deref() != Some(uids::ENCAPSULATED_PDF_STORAGE) {
        return Ok(None);
    }
    let length = set
        .bytes(tags::ENCAPSULATED_DOCUMENT_LENGTH)
        .and_then(|b| b.first_chunk::<4>())
        .map(|b| {
            if set.big_endian {
                u32::from_be_bytes(*b)
            } else {
                u32::from_le_bytes(*b)
            }
        });
    Ok(set.bytes(tags::ENCAPSULATED_DOCUMENT).map(|bytes| {
        let whole = length.map_or(bytes.len(), |l| (l as usize).min(bytes.len()));
        bytes.get(..whole).unwrap_or_default().to_vec()
    }))
}
