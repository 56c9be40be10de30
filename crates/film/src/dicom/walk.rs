//! Where things lie in a DICOM file: the meta group, the data set, its pixel data.
//!
//! Read before the library parses anything, for four reasons: every length is held against the
//! bytes that are there before memory is asked for; nesting is bounded, so that a hostile file
//! cannot exhaust the stack of the recursive parser; what nobody reads is never parsed; and files
//! without preamble or meta group can be opened at all. DICOM PS3.5 section 7 (data elements, sequences), annex A.4 (fragments),
//! PS3.10 section 7 (preamble and meta group).

use super::wanted;
use crate::FilmError;
use crate::error::quote;
use dicom_core::Tag;
use std::ops::Range;

/// Deeper nesting than any radiograph has.
const MAX_DEPTH: usize = 16;
const UNDEFINED: u32 = 0xFFFF_FFFF;
const ITEM: (u16, u16) = (0xFFFE, 0xE000);
const ITEM_END: (u16, u16) = (0xFFFE, 0xE00D);
const SEQUENCE_END: (u16, u16) = (0xFFFE, 0xE0DD);

/// How elements are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Encoding {
    pub explicit: bool,
    pub big_endian: bool,
}

/// The meta group: which transfer syntax is announced, and where the data set starts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Meta {
    pub transfer_syntax: Option<String>,
    pub data_set_at: usize,
}

/// The top-level pixel data element.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum PixelValue {
    Native {
        range: Range<usize>,
        words: bool,
    },
    /// Fragments after the offset table.
    Fragments(Vec<Range<usize>>),
}

/// A data set cut at its pixel data.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Layout {
    /// The wanted elements before the pixel data, for the parser.
    pub header: Vec<Range<usize>>,
    pub pixels: Option<PixelValue>,
    /// Float or double pixel data was there instead.
    pub float_pixels: bool,
}

/// Finds the meta group. `None` when the bytes do not look like DICOM at all.
pub(super) fn meta(bytes: &[u8]) -> Result<Option<Meta>, FilmError> {
    let with_preamble = bytes.get(128..132) == Some(b"DICM");
    let bare_meta = bytes.starts_with(&[0x02, 0x00]);
    if !with_preamble && !bare_meta && !looks_like_data_set(bytes) {
        return Ok(None);
    }
    let start = if with_preamble { 132 } else { 0 };
    let meta_encoding = Encoding {
        explicit: true,
        big_endian: false,
    };
    let walker = Walker {
        bytes,
        encoding: meta_encoding,
    };
    let mut at = start;
    let mut transfer_syntax = None;
    while let Some(element) = walker.element(at, bytes.len())? {
        if element.tag.0 != 0x0002 {
            break;
        }
        let value = walker.defined(&element, bytes.len())?;
        if element.tag == (0x0002, 0x0010) {
            transfer_syntax = bytes.get(value.clone()).map(|v| {
                String::from_utf8_lossy(v)
                    .trim_matches(['\0', ' '])
                    .to_owned()
            });
        }
        at = value.end;
    }
    // Two stray bytes at the start are no meta group.
    if bare_meta && at == 0 {
        return Ok(None);
    }
    Ok(Some(Meta {
        transfer_syntax,
        data_set_at: at,
    }))
}

/// A bare data set starts in group 0008 (identifying) in either byte order, and its first length fits.
fn looks_like_data_set(bytes: &[u8]) -> bool {
    let Some(first) = bytes.first_chunk::<8>() else {
        return false;
    };
    if !matches!(first[..2], [0x08, 0x00] | [0x00, 0x08]) {
        return false;
    }
    let encoding = sniff(
        bytes,
        Encoding {
            explicit: false,
            big_endian: first[0] == 0,
        },
    );
    let walker = Walker { bytes, encoding };
    matches!(walker.element(0, bytes.len()),
        Ok(Some(e)) if e.length == UNDEFINED || e.value_at + e.length as usize <= bytes.len())
}

/// Corrects an announced encoding by what the first element looks like: some writers announce
/// implicit and write explicit, or leave the announcement out.
pub(super) fn sniff(data_set: &[u8], announced: Encoding) -> Encoding {
    let Some(first) = data_set.first_chunk::<6>() else {
        return announced;
    };
    let explicit = is_known_vr([first[4], first[5]]);
    // Group 0008 as the first two bytes tells the byte order beyond doubt.
    let big_endian = match first[..2] {
        [0x00, 0x08] => true,
        [0x08, 0x00] => false,
        _ => announced.big_endian,
    };
    Encoding {
        explicit,
        big_endian: big_endian && explicit,
    }
}

/// Walks the top level of a data set up to its pixel data.
pub(super) fn layout(bytes: &[u8], start: usize, encoding: Encoding) -> Result<Layout, FilmError> {
    let walker = Walker { bytes, encoding };
    let mut at = start;
    let mut header = Vec::new();
    let mut float_pixels = false;
    while let Some(element) = walker.element(at, bytes.len())? {
        match element.tag {
            (0x7FE0, 0x0010) => {
                let pixels = Some(walker.pixel_value(&element)?);
                return Ok(Layout {
                    header,
                    pixels,
                    float_pixels,
                });
            }
            (0x7FE0, 0x0008 | 0x0009) => float_pixels = true,
            // Trailing padding ends a data set; an item tag here means that it is not one.
            (0xFFFC, 0xFFFC) => break,
            (0xFFFE, _) => {
                return Err(FilmError::NotAFilm {
                    found: "a broken DICOM data set".to_owned(),
                });
            }
            _ => {}
        }
        let mut safe = true;
        let end = walker.end_of(&element, bytes.len(), 0, &mut safe)?;
        if safe && element.is_wanted() {
            header.push(at..end);
        }
        at = end;
    }
    Ok(Layout {
        header,
        pixels: None,
        float_pixels,
    })
}

#[derive(Debug, Clone, Copy)]
struct Element {
    tag: (u16, u16),
    vr: Option<[u8; 2]>,
    length: u32,
    value_at: usize,
}

impl Element {
    fn tag(&self) -> Tag {
        Tag(self.tag.0, self.tag.1)
    }

    fn is_wanted(&self) -> bool {
        wanted::value(self.tag()) && self.length != UNDEFINED || wanted::sequence(self.tag())
    }

    /// Whether the parser will find the element's end where the walk finds it. An open length is
    /// understood on sequences that say so or are known as such; a length that is no multiple of its
    /// numbers' size would make it lose step, and take what follows for a length.
    fn is_safe(&self) -> bool {
        if self.length == UNDEFINED {
            let says_sequence = self.vr.is_none_or(|vr| vr == *b"SQ");
            return says_sequence && wanted::sequence(self.tag());
        }
        let size = match self.vr {
            Some(vr) => number_size(vr),
            None if wanted::number(self.tag()) => 2,
            None => 1,
        };
        self.length.is_multiple_of(size)
    }
}

/// Bytes of one number of a binary value representation; 1 for text, bytes and sequences.
fn number_size(vr: [u8; 2]) -> u32 {
    match &vr {
        b"US" | b"SS" | b"OW" => 2,
        b"AT" | b"FL" | b"OF" | b"OL" | b"SL" | b"UL" => 4,
        b"FD" | b"OD" | b"OV" | b"SV" | b"UV" => 8,
        _ => 1,
    }
}

#[derive(Clone, Copy)]
struct Walker<'a> {
    bytes: &'a [u8],
    encoding: Encoding,
}

impl Walker<'_> {
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

    /// The element that starts at `at`; `None` at the end (fewer than eight bytes left).
    fn element(&self, at: usize, end: usize) -> Result<Option<Element>, FilmError> {
        if end.saturating_sub(at) < 8 {
            return Ok(None);
        }
        let cut = || FilmError::Truncated {
            what: "an element's head".to_owned(),
            expected: 12,
            found: end.saturating_sub(at) as u64,
        };
        let tag = (
            self.u16_at(at).ok_or_else(cut)?,
            self.u16_at(at + 2).ok_or_else(cut)?,
        );
        let vr = self
            .bytes
            .get(at + 4..)
            .and_then(|b| b.first_chunk::<2>())
            .copied();
        let bare = !self.encoding.explicit || tag.0 == 0xFFFE;
        let (vr, length, value_at) = match vr {
            Some(vr) if !bare && has_short_length(vr) => (
                Some(vr),
                u32::from(self.u16_at(at + 6).ok_or_else(cut)?),
                at + 8,
            ),
            Some(vr) if !bare => (Some(vr), self.u32_at(at + 8).ok_or_else(cut)?, at + 12),
            _ => (None, self.u32_at(at + 4).ok_or_else(cut)?, at + 8),
        };
        Ok(Some(Element {
            tag,
            vr,
            length,
            value_at,
        }))
    }

    /// The bytes of a value of defined length, held against the bytes that are there.
    fn defined(&self, element: &Element, end: usize) -> Result<Range<usize>, FilmError> {
        let there = end.saturating_sub(element.value_at);
        let length = element.length as usize;
        if element.length == UNDEFINED || length > there {
            return Err(FilmError::Truncated {
                what: format!("element ({:04X},{:04X})", element.tag.0, element.tag.1),
                expected: u64::from(element.length),
                found: there as u64,
            });
        }
        Ok(element.value_at..element.value_at + length)
    }

    /// Where the element ends, walking into sequences to bound their depth.
    ///
    /// `safe` turns false when something inside would mislead the parser about a length.
    fn end_of(
        &self,
        element: &Element,
        end: usize,
        depth: usize,
        safe: &mut bool,
    ) -> Result<usize, FilmError> {
        *safe &= element.is_safe();
        if depth > MAX_DEPTH {
            return Err(FilmError::NotAFilm {
                found: format!("sequences nested more than {MAX_DEPTH} deep"),
            });
        }
        if element.length == UNDEFINED {
            // A sequence of unknown representation is written implicitly inside (PS3.5 6.2.2).
            let inner = if element.vr == Some(*b"UN") {
                Encoding {
                    explicit: false,
                    big_endian: false,
                }
            } else {
                self.encoding
            };
            let walker = Walker {
                bytes: self.bytes,
                encoding: inner,
            };
            return walker.items(element.value_at, end, depth, true, safe);
        }
        let value = self.defined(element, end)?;
        match element.vr {
            Some(vr) if vr == *b"SQ" => {
                self.items(value.start, value.end, depth, false, safe)?;
            }
            // Written implicitly, a sequence can be told by its first item alone. What merely looks
            // like one is not an error, unless it is nested beyond the bound.
            None if self.u16_at(value.start) == Some(ITEM.0)
                && self.u16_at(value.start + 2) == Some(ITEM.1) =>
            {
                match self.items(value.start, value.end, depth, false, safe) {
                    Err(error @ FilmError::NotAFilm { .. }) => return Err(error),
                    Err(_) => *safe = false,
                    Ok(_) => {}
                }
            }
            _ => {}
        }
        Ok(value.end)
    }

    /// Walks the items of a sequence and returns where it ends.
    fn items(
        &self,
        start: usize,
        end: usize,
        depth: usize,
        open: bool,
        safe: &mut bool,
    ) -> Result<usize, FilmError> {
        let mut at = start;
        while let Some(item) = self.element(at, end)? {
            match item.tag {
                SEQUENCE_END if open => return Ok(item.value_at),
                ITEM if item.length == UNDEFINED => {
                    at = self.item_elements(item.value_at, end, depth, true, safe)?;
                }
                ITEM => {
                    let value = self.defined(&item, end)?;
                    self.item_elements(value.start, value.end, depth, false, safe)?;
                    at = value.end;
                }
                tag => {
                    return Err(FilmError::Contradiction {
                        attribute: "sequence",
                        found: format!("({:04X},{:04X})", tag.0, tag.1),
                        expected: "an item".to_owned(),
                    });
                }
            }
        }
        if open {
            Err(open_ended("a sequence", end))
        } else {
            Ok(end)
        }
    }

    fn item_elements(
        &self,
        start: usize,
        end: usize,
        depth: usize,
        open: bool,
        safe: &mut bool,
    ) -> Result<usize, FilmError> {
        let mut at = start;
        while let Some(element) = self.element(at, end)? {
            if element.tag == ITEM_END && open {
                return Ok(element.value_at);
            }
            at = self.end_of(&element, end, depth + 1, safe)?;
        }
        if open {
            Err(open_ended("an item of a sequence", end))
        } else {
            Ok(end)
        }
    }

    fn pixel_value(&self, element: &Element) -> Result<PixelValue, FilmError> {
        let end = self.bytes.len();
        if element.length != UNDEFINED {
            let there = end.saturating_sub(element.value_at);
            // A short native value is judged later against rows and columns, with better words.
            let length = (element.length as usize).min(there);
            let range = element.value_at..element.value_at + length;
            return Ok(PixelValue::Native {
                range,
                words: element.vr != Some(*b"OB"),
            });
        }
        let mut fragments = Vec::new();
        let mut at = element.value_at;
        while let Some(item) = self.element(at, end)? {
            match item.tag {
                ITEM => {
                    let there = end.saturating_sub(item.value_at);
                    let cut = item.length as usize > there;
                    // The last fragment may lack its tail; the decoder says whether that matters.
                    let length = (item.length as usize).min(there);
                    fragments.push(item.value_at..item.value_at + length);
                    at = item.value_at + length;
                    if cut {
                        break;
                    }
                }
                SEQUENCE_END => break,
                _ => break,
            }
        }
        if fragments.is_empty() {
            return Err(FilmError::NoPixels {
                what: "its pixel data are empty".to_owned(),
            });
        }
        fragments.remove(0);
        Ok(PixelValue::Fragments(fragments))
    }
}

fn open_ended(what: &str, end: usize) -> FilmError {
    FilmError::Truncated {
        what: format!("{what} without its end"),
        expected: end as u64 + 8,
        found: end as u64,
    }
}

/// Value representations with a 16-bit length (PS3.5 table 7.1-2); all others have 32 bits.
fn has_short_length(vr: [u8; 2]) -> bool {
    is_known_vr(vr)
        && !matches!(
            &vr,
            b"OB"
                | b"OD"
                | b"OF"
                | b"OL"
                | b"OV"
                | b"OW"
                | b"SQ"
                | b"SV"
                | b"UC"
                | b"UN"
                | b"UR"
                | b"UT"
                | b"UV"
        )
}

fn is_known_vr(vr: [u8; 2]) -> bool {
    const KNOWN: &[u8] = b"AEASATCSDADSDTFDFLISLOLTOBODOFOLOVOWPNSHSLSQSSSTSVTMUCUIULUNURUSUTUV";
    KNOWN.chunks_exact(2).any(|known| known == vr)
}

/// What the first bytes of a stranger look like, for the refusal.
pub(super) fn describe(bytes: &[u8]) -> String {
    let head = bytes.get(..4).unwrap_or(bytes);
    match head {
        b"%PDF" => "a PDF".to_owned(),
        [b'P', b'K', 3, 4] => "a ZIP archive".to_owned(),
        [0x1F, 0x8B, ..] => "a gzip archive".to_owned(),
        b"GIF8" => "a GIF picture".to_owned(),
        [b'B', b'M', ..] => "a BMP picture".to_owned(),
        _ if bytes
            .iter()
            .take(64)
            .all(|b| b.is_ascii_graphic() || b.is_ascii_whitespace()) =>
        {
            let text: String = bytes.iter().take(24).map(|b| char::from(*b)).collect();
            format!("text that starts with {}", quote(&text))
        }
        _ => "bytes of no known kind".to_owned(),
    }
}
