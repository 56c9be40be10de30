//! Bytes to elements.

use super::{DEFLATED, Element, Encoding, Object, Set, TreeError, UNDEFINED, Value, usual_vr};
use dicom_core::{Tag, VR};
use dicom_dictionary_std::tags;
use dicom_encoding::transfer_syntax::{Codec, DataRWAdapter};
use dicom_transfer_syntax_registry::entries;
use std::borrow::Cow;
use std::collections::HashSet;
use std::io::Read;
use std::ops::Range;
use std::str::FromStr;

const ITEM: Tag = Tag(0xFFFE, 0xE000);
const ITEM_END: Tag = Tag(0xFFFE, 0xE00D);
const SEQUENCE_END: Tag = Tag(0xFFFE, 0xE0DD);

/// How much one object may ask for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    pub depth: usize,
    /// Elements and items, over all levels.
    pub elements: usize,
    pub inflated_bytes: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            depth: 16,
            elements: 100_000,
            inflated_bytes: 256 * 1024 * 1024,
        }
    }
}

/// The data set of a file as elements; `inflated` holds what a deflated one was packed from and outlives it.
///
/// # Errors
/// One sentence for everything that is no whole DICOM file.
pub fn file<'a>(
    bytes: &'a [u8],
    inflated: &'a mut Vec<u8>,
    limits: &Limits,
) -> Result<Object<'a>, TreeError> {
    let (syntax, start) = meta(bytes)?;
    let rest = bytes.get(start..).unwrap_or_default();
    let body: &'a [u8] = if syntax == DEFLATED {
        *inflated = self::inflated(rest, limits)?;
        inflated
    } else {
        rest
    };
    Ok(Object {
        set: data_set(body, Encoding::of(&syntax), limits)?,
        transfer_syntax: syntax,
    })
}

/// Inflates a data set and stops at the limit.
///
/// # Errors
/// Damage, or more bytes than the limit.
pub fn inflated(packed: &[u8], limits: &Limits) -> Result<Vec<u8>, TreeError> {
    let Codec::Dataset(Some(adapter)) = entries::DEFLATED_EXPLICIT_VR_LITTLE_ENDIAN.codec() else {
        return Err(TreeError::BadDeflate);
    };
    let mut out = Vec::new();
    let result = adapter
        .adapt_reader(Box::new(packed))
        .take(limits.inflated_bytes.saturating_add(1))
        .read_to_end(&mut out);
    if out.len() as u64 > limits.inflated_bytes {
        return Err(TreeError::InflatesTooFar {
            limit: limits.inflated_bytes,
        });
    }
    result.map_err(|_| TreeError::BadDeflate)?;
    Ok(out)
}

/// Where the data set of a file starts.
///
/// # Errors
/// As [`file`], as far as the meta group goes.
pub fn data_set_start(bytes: &[u8]) -> Result<usize, TreeError> {
    Ok(meta(bytes)?.1)
}

/// The transfer syntax and where the data set starts.
fn meta(bytes: &[u8]) -> Result<(String, usize), TreeError> {
    let start = if bytes.get(128..132) == Some(b"DICM") {
        132
    } else if bytes.starts_with(&[2, 0]) {
        0
    } else {
        return Err(TreeError::NotDicom);
    };
    let reader = Reader::new(bytes, Encoding::EXPLICIT, &Limits::default());
    let (mut at, mut syntax) = (start, None);
    // The data set that follows may be written otherwise: only its group is looked at.
    while reader.u16_at(at) == Some(2) {
        let Some(head) = reader.head(at, bytes.len())? else {
            break;
        };
        let value = head.whole(bytes.len())?;
        if head.tag == tags::TRANSFER_SYNTAX_UID {
            syntax = bytes.get(value.clone()).map(|v| {
                String::from_utf8_lossy(v)
                    .trim_matches(['\0', ' '])
                    .to_owned()
            });
        }
        at = value.end;
    }
    match syntax {
        Some(uid) if !uid.is_empty() => Ok((uid, at)),
        _ => Err(TreeError::NoSyntax),
    }
}

/// A data set without meta group as elements. Trailing padding (FFFC,FFFC) is left out.
///
/// # Errors
/// One sentence for a length, a nesting or a number of elements that cannot be.
pub fn data_set<'a>(
    bytes: &'a [u8],
    encoding: Encoding,
    limits: &Limits,
) -> Result<Set<'a>, TreeError> {
    let mut reader = Reader::new(bytes, encoding, limits);
    let (set, end) = reader.set(0, bytes.len(), 0, false)?;
    let left = bytes.len() - end;
    if left > 0 && bytes.get(end..).is_some_and(|b| b.iter().any(|b| *b != 0)) {
        return Err(TreeError::Short {
            what: "an element's head",
            expected: 8,
            there: left as u64,
        });
    }
    Ok(set)
}

struct Head {
    tag: Tag,
    vr: Option<VR>,
    length: u32,
    value_at: usize,
}

impl Head {
    /// The bytes of a defined length.
    fn whole(&self, end: usize) -> Result<Range<usize>, TreeError> {
        let there = end.saturating_sub(self.value_at);
        if self.length == UNDEFINED || self.length as usize > there {
            return Err(TreeError::Short {
                what: "an element",
                expected: u64::from(self.length),
                there: there as u64,
            });
        }
        Ok(self.value_at..self.value_at + self.length as usize)
    }

    fn malformed(&self, found: &'static str, expected: &'static str) -> TreeError {
        TreeError::Malformed {
            found,
            group: self.tag.group(),
            element: self.tag.element(),
            expected,
        }
    }
}

struct Reader<'a> {
    bytes: &'a [u8],
    encoding: Encoding,
    depth: usize,
    most: usize,
    counted: usize,
}

impl<'a> Reader<'a> {
    fn new(bytes: &'a [u8], encoding: Encoding, limits: &Limits) -> Self {
        Self {
            bytes,
            encoding,
            depth: limits.depth,
            most: limits.elements,
            counted: 0,
        }
    }

    fn count(&mut self) -> Result<(), TreeError> {
        self.counted += 1;
        if self.counted > self.most {
            return Err(TreeError::TooMany { limit: self.most });
        }
        Ok(())
    }

    fn u16_at(&self, at: usize) -> Option<u16> {
        let b = *self.bytes.get(at..)?.first_chunk::<2>()?;
        Some(if self.encoding.big_endian {
            u16::from_be_bytes(b)
        } else {
            u16::from_le_bytes(b)
        })
    }

    fn u32_at(&self, at: usize) -> Option<u32> {
        let b = *self.bytes.get(at..)?.first_chunk::<4>()?;
        Some(if self.encoding.big_endian {
            u32::from_be_bytes(b)
        } else {
            u32::from_le_bytes(b)
        })
    }

    /// The head of the element at `at`; `None` where fewer than eight bytes are left.
    fn head(&self, at: usize, end: usize) -> Result<Option<Head>, TreeError> {
        let left = end.saturating_sub(at);
        if left < 8 {
            return Ok(None);
        }
        let short = || TreeError::Short {
            what: "an element's head",
            expected: 12,
            there: left as u64,
        };
        let tag = Tag(
            self.u16_at(at).ok_or_else(short)?,
            self.u16_at(at + 2).ok_or_else(short)?,
        );
        if !self.encoding.explicit || tag.group() == 0xFFFE {
            return Ok(Some(Head {
                tag,
                vr: None,
                length: self.u32_at(at + 4).ok_or_else(short)?,
                value_at: at + 8,
            }));
        }
        let vr = self
            .bytes
            .get(at + 4..at + 6)
            .and_then(|b| std::str::from_utf8(b).ok())
            .and_then(|s| VR::from_str(s).ok())
            .ok_or(TreeError::Malformed {
                found: "no kind of value",
                group: tag.group(),
                element: tag.element(),
                expected: "two letters that PS3.5 lists",
            })?;
        let (length, value_at) = if has_short_length(vr) {
            (u32::from(self.u16_at(at + 6).ok_or_else(short)?), at + 8)
        } else {
            if left < 12 {
                return Err(short());
            }
            (self.u32_at(at + 8).ok_or_else(short)?, at + 12)
        };
        Ok(Some(Head {
            tag,
            vr: Some(vr),
            length,
            value_at,
        }))
    }

    /// Elements from `at` on, up to `end` or, in an open item, to its delimiter; and where they end.
    fn set(
        &mut self,
        start: usize,
        end: usize,
        depth: usize,
        open: bool,
    ) -> Result<(Set<'a>, usize), TreeError> {
        if depth > self.depth {
            return Err(TreeError::TooDeep { limit: self.depth });
        }
        let mut set = Set {
            elements: Vec::new(),
            big_endian: self.encoding.big_endian,
        };
        let mut seen: Option<HashSet<Tag>> = None;
        let mut at = start;
        while let Some(head) = self.head(at, end)? {
            if head.tag == ITEM_END && open {
                return Ok((set, head.value_at));
            }
            if head.tag == Tag(0xFFFC, 0xFFFC) {
                return Ok((set, end));
            }
            if head.tag.group() == 0xFFFE {
                return Err(head.malformed("a delimiter", "an element"));
            }
            self.count()?;
            let (value, after) = self.value(&head, end, depth)?;
            // In order, as PS3.5 7.1 asks, a repetition would be the next; out of order it is looked for.
            if seen.is_none() && set.elements.last().is_some_and(|e| e.tag >= head.tag) {
                seen = Some(set.elements.iter().map(|e| e.tag).collect());
            }
            if seen.as_mut().is_some_and(|tags| !tags.insert(head.tag)) {
                return Err(head.malformed("the same element twice", "each element once"));
            }
            set.elements.push(Element {
                tag: head.tag,
                vr: match head.vr {
                    Some(vr) => vr,
                    None if matches!(value, Value::Items(_)) => VR::SQ,
                    None => usual_vr(head.tag),
                },
                value,
            });
            at = after;
        }
        if open {
            return Err(TreeError::Short {
                what: "an item without its end",
                expected: 8,
                there: end.saturating_sub(at) as u64,
            });
        }
        Ok((set, at))
    }

    fn value(
        &mut self,
        head: &Head,
        end: usize,
        depth: usize,
    ) -> Result<(Value<'a>, usize), TreeError> {
        if head.length == UNDEFINED {
            if head.tag == tags::PIXEL_DATA {
                return self.fragments(head, end);
            }
            return match head.vr {
                None | Some(VR::SQ) => self.items(head.value_at, end, depth, true),
                // Of unknown kind: written implicitly inside, whatever stands around it (PS3.5 6.2.2).
                Some(VR::UN) => {
                    let around = std::mem::replace(&mut self.encoding, Encoding::IMPLICIT);
                    let result = self.items(head.value_at, end, depth, true);
                    self.encoding = around;
                    result
                }
                Some(_) => Err(head.malformed("an open length", "a length")),
            };
        }
        let range = head.whole(end)?;
        let after = range.end;
        let sequence = match head.vr {
            Some(vr) => vr == VR::SQ,
            None => usual_vr(head.tag) == VR::SQ,
        };
        if sequence {
            return Ok((self.items(range.start, after, depth, false)?.0, after));
        }
        let bytes = self.bytes.get(range).unwrap_or_default();
        Ok((Value::Bytes(Cow::Borrowed(bytes)), after))
    }

    fn items(
        &mut self,
        start: usize,
        end: usize,
        depth: usize,
        open: bool,
    ) -> Result<(Value<'a>, usize), TreeError> {
        let mut items = Vec::new();
        let mut at = start;
        while let Some(head) = self.head(at, end)? {
            if head.tag == SEQUENCE_END && open {
                return Ok((Value::Items(items), head.value_at));
            }
            if head.tag != ITEM {
                return Err(head.malformed("another element in a sequence", "an item"));
            }
            self.count()?;
            let (set, after) = if head.length == UNDEFINED {
                self.set(head.value_at, end, depth + 1, true)?
            } else {
                let range = head.whole(end)?;
                let (set, stopped) = self.set(range.start, range.end, depth + 1, false)?;
                if stopped != range.end {
                    return Err(TreeError::Short {
                        what: "an element in an item",
                        expected: 8,
                        there: (range.end - stopped) as u64,
                    });
                }
                (set, range.end)
            };
            items.push(set);
            at = after;
        }
        if open || at != end {
            return Err(TreeError::Short {
                what: "a sequence without its end",
                expected: 8,
                there: end.saturating_sub(at) as u64,
            });
        }
        Ok((Value::Items(items), at))
    }

    fn fragments(&mut self, pixel: &Head, end: usize) -> Result<(Value<'a>, usize), TreeError> {
        let mut fragments = Vec::new();
        let mut at = pixel.value_at;
        while let Some(head) = self.head(at, end)? {
            if head.tag == SEQUENCE_END {
                return Ok((Value::Fragments(fragments), head.value_at));
            }
            if head.tag != ITEM {
                return Err(head.malformed("another element among fragments", "an item"));
            }
            self.count()?;
            let range = head.whole(end)?;
            at = range.end;
            fragments.push(Cow::Borrowed(self.bytes.get(range).unwrap_or_default()));
        }
        Err(TreeError::Short {
            what: "pixel data without their end",
            expected: 8,
            there: end.saturating_sub(at) as u64,
        })
    }
}

/// Kinds of value with a 16-bit length (PS3.5 table 7.1-2).
pub(super) fn has_short_length(vr: VR) -> bool {
    !matches!(
        vr,
        VR::OB
            | VR::OD
            | VR::OF
            | VR::OL
            | VR::OV
            | VR::OW
            | VR::SQ
            | VR::SV
            | VR::UC
            | VR::UN
            | VR::UR
            | VR::UT
            | VR::UV
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn explicit(bytes: &[u8]) -> Result<Set<'_>, TreeError> {
        data_set(bytes, Encoding::EXPLICIT, &Limits::default())
    }

    #[test]
    fn a_length_beyond_the_bytes_is_refused_and_allocates_nothing() {
        let bytes = b"\x10\x00\x10\x00OB\x00\x00\xFE\xFF\xFF\xFFab";
        assert!(matches!(explicit(bytes), Err(TreeError::Short { .. })));
    }

    #[test]
    fn deep_nesting_is_refused() {
        let mut bytes = Vec::new();
        for _ in 0..5000 {
            bytes.extend(b"\x08\x00\x40\x11SQ\x00\x00\xFF\xFF\xFF\xFF");
            bytes.extend(b"\xFE\xFF\x00\xE0\xFF\xFF\xFF\xFF");
        }
        assert_eq!(explicit(&bytes), Err(TreeError::TooDeep { limit: 16 }));
    }

    #[test]
    fn an_item_that_lacks_its_end_is_refused() {
        let bytes = b"\x08\x00\x40\x11SQ\x00\x00\xFF\xFF\xFF\xFF\xFE\xFF\x00\xE0\xFF\xFF\xFF\xFF";
        assert!(matches!(explicit(bytes), Err(TreeError::Short { .. })));
    }

    #[test]
    fn a_second_patient_number_anywhere_is_refused_and_another_order_is_not() {
        let (id, sex) = (
            b"\x10\x00\x20\x00LO\x02\x0012",
            b"\x10\x00\x40\x00CS\x02\x00F ",
        );
        assert!(explicit(&[&sex[..], &id[..]].concat()).is_ok());
        for twice in [[&id[..], id, sex], [id, sex, id], [sex, id, id]] {
            assert!(matches!(
                explicit(&twice.concat()),
                Err(TreeError::Malformed { .. })
            ));
        }
    }

    #[test]
    fn a_sequence_of_unknown_kind_and_open_length_is_read_implicitly() {
        let mut bytes = b"\x09\x00\x01\x10UN\x00\x00\xFF\xFF\xFF\xFF".to_vec();
        bytes.extend(b"\xFE\xFF\x00\xE0\xFF\xFF\xFF\xFF\x10\x00\x10\x00\x02\x00\x00\x00ab");
        bytes.extend(b"\xFE\xFF\x0D\xE0\x00\x00\x00\x00\xFE\xFF\xDD\xE0\x00\x00\x00\x00");
        let set = explicit(&bytes).unwrap();
        assert_eq!(
            set.items(Tag(9, 0x1001))[0].bytes(tags::PATIENT_NAME),
            Some(&b"ab"[..])
        );
    }
}
