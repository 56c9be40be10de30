//! How do the bytes of a DICOM file become elements, with every length held against the bytes that are there?
//!
//! Everything from outside passes here before anything else looks at it: nesting, the number of elements and the
//! size of what is inflated are bounded, values are borrowed from the bytes, and nothing is ever allocated from a
//! length that a file claims. DICOM PS3.5 sections 7 and A.4, PS3.10 section 7.
//!
//! Left to others: what a value means ([`crate::facts`]), which attributes may go out ([`crate::nameless`]).

mod read;
mod text;
mod write;

pub use read::{Limits, data_set, data_set_start, file, inflated};
pub use write::{write_data_set, write_file};

use dicom_core::{Tag, VR};
use std::borrow::Cow;

pub(crate) const UNDEFINED: u32 = 0xFFFF_FFFF;
pub(crate) const IMPLICIT: &str = "1.2.840.10008.1.2";
pub(crate) const DEFLATED: &str = "1.2.840.10008.1.2.1.99";
pub(crate) const BIG_ENDIAN: &str = "1.2.840.10008.1.2.2";

/// Why bytes are no DICOM object. One sentence, without a word of what stands in it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum TreeError {
    #[error("found no DICOM file (no preamble and no meta group); expected one; export it again")]
    NotDicom,
    #[error(
        "found a file without transfer syntax; expected the meta group to name it; export it again"
    )]
    NoSyntax,
    #[error(
        "found {what} that needs {expected} bytes where {there} are left; send the whole object"
    )]
    Short {
        what: &'static str,
        expected: u64,
        there: u64,
    },
    #[error("found sequences nested more than {limit} deep; expected a film or document")]
    TooDeep { limit: usize },
    #[error("found more than {limit} elements; expected a film or document")]
    TooMany { limit: usize },
    #[error("found a deflated object that grows beyond {limit} bytes; send it without deflation")]
    InflatesTooFar { limit: u64 },
    #[error("found damaged deflated bytes; send the object again")]
    BadDeflate,
    #[error(
        "found {found} at ({group:04X},{element:04X}); expected {expected}; send the object again"
    )]
    Malformed {
        found: &'static str,
        group: u16,
        element: u16,
        expected: &'static str,
    },
}

/// How elements are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Encoding {
    pub explicit: bool,
    pub big_endian: bool,
}

impl Encoding {
    pub const IMPLICIT: Encoding = Encoding {
        explicit: false,
        big_endian: false,
    };
    pub const EXPLICIT: Encoding = Encoding {
        explicit: true,
        big_endian: false,
    };

    /// Of the data set under a transfer syntax, once it is inflated.
    pub fn of(transfer_syntax: &str) -> Encoding {
        match transfer_syntax {
            IMPLICIT => Encoding::IMPLICIT,
            BIG_ENDIAN => Encoding {
                explicit: true,
                big_endian: true,
            },
            _ => Encoding::EXPLICIT,
        }
    }
}

/// One data element.
#[derive(Debug, Clone, PartialEq)]
pub struct Element<'a> {
    pub tag: Tag,
    /// As written; by the dictionary where the file does not say.
    pub vr: VR,
    pub value: Value<'a>,
}

/// What stands in an element.
#[derive(Debug, Clone, PartialEq)]
pub enum Value<'a> {
    Bytes(Cow<'a, [u8]>),
    Items(Vec<Set<'a>>),
    /// Pixel data cut in fragments; the first is the offset table.
    Fragments(Vec<Cow<'a, [u8]>>),
}

/// A data set or an item of a sequence, in the order of the file.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Set<'a> {
    pub elements: Vec<Element<'a>>,
    pub big_endian: bool,
}

/// A file: what its meta group says and what it holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Object<'a> {
    pub transfer_syntax: String,
    pub set: Set<'a>,
}

impl<'a> Set<'a> {
    pub fn get(&self, tag: Tag) -> Option<&Element<'a>> {
        self.elements.iter().find(|e| e.tag == tag)
    }

    pub fn bytes(&self, tag: Tag) -> Option<&[u8]> {
        match &self.get(tag)?.value {
            Value::Bytes(bytes) => Some(bytes),
            _ => None,
        }
    }

    pub fn items(&self, tag: Tag) -> &[Set<'a>] {
        match self.get(tag).map(|e| &e.value) {
            Some(Value::Items(items)) => items,
            _ => &[],
        }
    }

    /// A 16-bit number (US).
    pub fn u16(&self, tag: Tag) -> Option<u16> {
        let b = *self.bytes(tag)?.first_chunk::<2>()?;
        Some(if self.big_endian {
            u16::from_be_bytes(b)
        } else {
            u16::from_le_bytes(b)
        })
    }

    /// Puts an element in its place by tag, over an older one.
    pub fn put(&mut self, element: Element<'a>) {
        self.elements.retain(|e| e.tag != element.tag);
        let at = self.elements.partition_point(|e| e.tag < element.tag);
        self.elements.insert(at, element);
    }

    /// Puts a text, padded to an even length as its kind asks.
    pub fn put_text(&mut self, tag: Tag, vr: VR, text: &str) {
        let mut bytes = text.as_bytes().to_vec();
        if bytes.len() % 2 == 1 {
            bytes.push(if vr == VR::UI { 0 } else { b' ' });
        }
        self.put(Element {
            tag,
            vr,
            value: Value::Bytes(Cow::Owned(bytes)),
        });
    }

    /// Puts a 16-bit number in the byte order of the set.
    pub fn put_u16(&mut self, tag: Tag, value: u16) {
        let bytes = if self.big_endian {
            value.to_be_bytes()
        } else {
            value.to_le_bytes()
        };
        self.put(Element {
            tag,
            vr: VR::US,
            value: Value::Bytes(Cow::Owned(bytes.to_vec())),
        });
    }
}

/// The kind of value by the dictionary; `UN` where it does not know the tag.
pub(crate) fn usual_vr(tag: Tag) -> VR {
    use dicom_core::dictionary::{DataDictionary, DataDictionaryEntry};
    if tag.element() == 0 {
        return VR::UL;
    }
    dicom_dictionary_std::StandardDataDictionary
        .by_tag(tag)
        .map_or(VR::UN, |entry| entry.vr().relaxed())
}
