//! A data set under construction: values in DICOM's text forms (PS3.5 section 6.2), always within their lengths.

use super::codes::Code;
use crate::facts::date_text;
use crate::tree::{Element, Encoding, Set, Value, write_data_set, write_file};
use dicom_core::{Tag, VR};
use dicom_dictionary_std::tags;
use std::borrow::Cow;
use time::{Date, Time};

/// A data set of ours: explicit, little-endian, UTF-8.
#[derive(Debug, Clone, Default)]
pub(crate) struct Build {
    pub set: Set<'static>,
}

impl Build {
    pub fn raw(&mut self, tag: Tag, vr: VR, bytes: Vec<u8>) {
        self.set.put(Element {
            tag,
            vr,
            value: Value::Bytes(Cow::Owned(bytes)),
        });
    }

    /// One value, clipped to what its kind may hold.
    pub fn text(&mut self, tag: Tag, vr: VR, text: &str) {
        self.set.put_text(tag, vr, &clipped(vr, text));
    }

    /// Several values of letters that are known to fit.
    pub fn words(&mut self, tag: Tag, vr: VR, words: &str) {
        self.set.put_text(tag, vr, words);
    }

    pub fn uid(&mut self, tag: Tag, uid: &str) {
        self.set.put_text(tag, VR::UI, uid);
    }

    pub fn us(&mut self, tag: Tag, value: u16) {
        self.set.put_u16(tag, value);
    }

    pub fn number(&mut self, tag: Tag, value: f64) {
        self.set.put_text(tag, VR::DS, &decimal(value));
    }

    pub fn floats(&mut self, tag: Tag, values: &[f64]) {
        let bytes = values
            .iter()
            .flat_map(|v| (*v as f32).to_le_bytes())
            .collect();
        self.raw(tag, VR::FL, bytes);
    }

    pub fn date(&mut self, tag: Tag, date: Option<Date>) {
        self.set
            .put_text(tag, VR::DA, &date.map(date_text).unwrap_or_default());
    }

    pub fn time(&mut self, tag: Tag, time: Option<Time>) {
        self.set
            .put_text(tag, VR::TM, &time.map(time_text).unwrap_or_default());
    }

    pub fn items(&mut self, tag: Tag, items: Vec<Build>) {
        self.set.put(Element {
            tag,
            vr: VR::SQ,
            value: Value::Items(items.into_iter().map(|b| b.set).collect()),
        });
    }

    pub fn code(&mut self, tag: Tag, code: &Code) {
        self.items(tag, vec![code.item()]);
    }

    /// A reference to an object: class and identifier.
    pub fn reference(class: &str, instance: &str) -> Build {
        let mut item = Build::default();
        item.uid(tags::REFERENCED_SOP_CLASS_UID, class);
        item.uid(tags::REFERENCED_SOP_INSTANCE_UID, instance);
        item
    }

    /// The file.
    pub fn file(mut self, class: &str, instance: &str) -> Vec<u8> {
        self.words(tags::SPECIFIC_CHARACTER_SET, VR::CS, "ISO_IR 192");
        self.uid(tags::SOP_CLASS_UID, class);
        self.uid(tags::SOP_INSTANCE_UID, instance);
        let data = write_data_set(&self.set, Encoding::EXPLICIT);
        write_file(class, instance, crate::classes::WRITTEN.uid, &data)
    }
}

/// Without what would split or break a value, and no longer than its kind allows (in characters; PS3.5 table
/// 6.2-1).
pub(crate) fn clipped(vr: VR, text: &str) -> String {
    let most = match vr {
        VR::CS | VR::SH | VR::AE => 16,
        VR::LO | VR::PN => 64,
        VR::ST => 1024,
        VR::LT => 10_240,
        _ => 100_000,
    };
    let lines = matches!(vr, VR::ST | VR::LT | VR::UT);
    text.chars()
        .map(|c| match c {
            '\n' | '\r' if lines => c,
            c if c.is_control() => ' ',
            '\\' if !lines => '/',
            c => c,
        })
        .take(most)
        .collect::<String>()
        .trim()
        .to_owned()
}

/// family^given, without the signs that part the components.
pub(crate) fn person_name(family: &str, given: &str) -> String {
    let part = |text: &str| {
        text.chars()
            .map(|c| {
                if matches!(c, '^' | '=' | '\\') || c.is_control() {
                    ' '
                } else {
                    c
                }
            })
            .take(31)
            .collect::<String>()
            .trim()
            .to_owned()
    };
    let name = format!("{}^{}", part(family), part(given));
    name.trim_end_matches('^').to_owned()
}

/// A reader is written down as one text: the last word is taken as the family name.
pub(crate) fn reader_as_name(name: &str) -> String {
    match name.trim().rsplit_once(' ') {
        Some((given, family)) => person_name(family, given),
        None => person_name(name, ""),
    }
}

/// At most 16 characters, as exact as they allow.
pub(crate) fn decimal(value: f64) -> String {
    let plain = format!("{value}");
    if plain.len() <= 16 && value.is_finite() {
        return plain;
    }
    (0..=14)
        .rev()
        .flat_map(|digits| [format!("{value:.digits$}"), format!("{value:.digits$e}")])
        .filter(|text| value.is_finite() && text.len() <= 16)
        // The one that loses least.
        .min_by(|a, b| {
            let off = |t: &String| {
                t.parse::<f64>()
                    .map_or(f64::INFINITY, |v| (v - value).abs())
            };
            off(a).total_cmp(&off(b))
        })
        .unwrap_or_else(|| "0".to_owned())
}

pub(crate) fn time_text(time: Time) -> String {
    format!("{:02}{:02}{:02}", time.hour(), time.minute(), time.second())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_keeps_to_sixteen_characters_and_nearly_its_value() {
        for value in [
            18.2,
            -1.0 / 3.0,
            1e-9,
            123_456.789_012_345,
            0.1 + 0.2,
            1.5e200,
        ] {
            let text = decimal(value);
            assert!(text.len() <= 16, "{text}");
            let back: f64 = text.parse().unwrap();
            assert!((back - value).abs() <= value.abs() * 1e-8, "{text}");
        }
        assert_eq!(decimal(f64::NAN), "0");
    }

    #[test]
    fn signs_that_part_values_and_components_are_taken_out() {
        assert_eq!(clipped(VR::LO, "a\\b\nc"), "a/b c");
        assert_eq!(person_name("Fa^mi=ly", "Gi\\ven"), "Fa mi ly^Gi ven");
        assert_eq!(clipped(VR::SH, "12345678901234567890"), "1234567890123456");
    }
}
