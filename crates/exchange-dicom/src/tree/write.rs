//! Elements to bytes, in the encoding asked for. Values stay as they are: the caller keeps to their byte order.

use super::read::has_short_length;
use super::{Encoding, Set, UNDEFINED, Value};
use dicom_core::{Tag, VR};

/// A data set without meta group; sequences with open lengths.
pub fn write_data_set(set: &Set<'_>, encoding: Encoding) -> Vec<u8> {
    let mut out = Out {
        bytes: Vec::new(),
        encoding,
    };
    out.set(set);
    out.bytes
}

/// A file: empty preamble, meta group with nothing but what is needed, and the data set as it is.
pub fn write_file(
    sop_class: &str,
    sop_instance: &str,
    transfer_syntax: &str,
    data_set: &[u8],
) -> Vec<u8> {
    let mut meta = Set::default();
    for (element, uid) in [
        (0x0002, sop_class),
        (0x0003, sop_instance),
        (0x0010, transfer_syntax),
        (0x0012, crate::IMPLEMENTATION_UID),
    ] {
        meta.put_text(Tag(2, element), VR::UI, uid);
    }
    meta.put_text(Tag(2, 0x0013), VR::SH, crate::IMPLEMENTATION_NAME);
    let version = b"\x02\x00\x01\x00OB\x00\x00\x02\x00\x00\x00\x00\x01";
    let rest = write_data_set(&meta, Encoding::EXPLICIT);
    let length = (version.len() + rest.len()) as u32;
    let mut out = Vec::with_capacity(156 + rest.len() + data_set.len());
    out.extend([0; 128]);
    out.extend(b"DICM\x02\x00\x00\x00UL\x04\x00");
    out.extend(length.to_le_bytes());
    out.extend(version);
    out.extend(rest);
    out.extend(data_set);
    out
}

struct Out {
    bytes: Vec<u8>,
    encoding: Encoding,
}

impl Out {
    fn u16(&mut self, v: u16) {
        self.bytes.extend(if self.encoding.big_endian {
            v.to_be_bytes()
        } else {
            v.to_le_bytes()
        });
    }

    fn u32(&mut self, v: u32) {
        self.bytes.extend(if self.encoding.big_endian {
            v.to_be_bytes()
        } else {
            v.to_le_bytes()
        });
    }

    fn bare(&mut self, element: u16, length: u32) {
        self.u16(0xFFFE);
        self.u16(element);
        self.u32(length);
    }

    fn head(&mut self, tag: Tag, vr: VR, length: u32) {
        self.u16(tag.group());
        self.u16(tag.element());
        if !self.encoding.explicit {
            return self.u32(length);
        }
        self.bytes.extend(vr.to_string().as_bytes());
        if has_short_length(vr) {
            self.u16(length as u16);
        } else {
            self.bytes.extend([0, 0]);
            self.u32(length);
        }
    }

    fn set(&mut self, set: &Set<'_>) {
        for e in &set.elements {
            match &e.value {
                Value::Bytes(bytes) => {
                    // What does not fit a short length goes as bytes of unknown kind (PS3.5 6.2.2).
                    let vr = if has_short_length(e.vr) && bytes.len() > 0xFFFE {
                        VR::UN
                    } else {
                        e.vr
                    };
                    let padded = bytes.len() + bytes.len() % 2;
                    self.head(e.tag, vr, padded as u32);
                    self.bytes.extend(bytes.iter());
                    self.bytes.resize(self.bytes.len() + bytes.len() % 2, 0);
                }
                Value::Items(items) => {
                    self.head(e.tag, VR::SQ, UNDEFINED);
                    for item in items {
                        self.bare(0xE000, UNDEFINED);
                        self.set(item);
                        self.bare(0xE00D, 0);
                    }
                    self.bare(0xE0DD, 0);
                }
                Value::Fragments(fragments) => {
                    self.head(e.tag, VR::OB, UNDEFINED);
                    for f in fragments {
                        self.bare(0xE000, (f.len() + f.len() % 2) as u32);
                        self.bytes.extend(f.iter());
                        self.bytes.resize(self.bytes.len() + f.len() % 2, 0);
                    }
                    self.bare(0xE0DD, 0);
                }
            }
        }
    }
}
