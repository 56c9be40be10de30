//! Modality and VOI tables out of the header. What does not make sense is left out with a note.

use super::pixels::Shape;
use super::value;
use crate::tone::{Curve, Modality, Table, Tone, Voi};
use dicom_core::Tag;
use dicom_dictionary_std::tags;
use dicom_object::InMemDicomObject;
use std::ops::RangeInclusive;

pub(super) fn read(object: &InMemDicomObject, shape: &Shape, notes: &mut Vec<String>) -> Tone {
    let modality = modality(object, shape, notes);
    let signed = match &modality {
        Modality::Table(_) => false,
        Modality::Rescale { intercept, .. } => shape.signed || *intercept < 0.0,
    };
    Tone {
        voi: voi(object, signed, notes),
        modality,
        inverse: shape.inverse,
        padding: padding(object, shape),
    }
}

fn modality(object: &InMemDicomObject, shape: &Shape, notes: &mut Vec<String>) -> Modality {
    if let Some(item) = value::items(object, tags::MODALITY_LUT_SEQUENCE).first() {
        match table(item, shape.signed) {
            Some(table) => return Modality::Table(table),
            None => {
                notes.push("the file's Modality LUT cannot be read and was left out".to_owned())
            }
        }
    }
    let slope = value::number(object, tags::RESCALE_SLOPE).unwrap_or(1.0);
    let intercept = value::number(object, tags::RESCALE_INTERCEPT).unwrap_or(0.0);
    if slope.is_finite() && slope != 0.0 && intercept.is_finite() {
        Modality::Rescale { slope, intercept }
    } else {
        notes.push(
            "the file's rescale slope or intercept is no usable number and was left out".to_owned(),
        );
        Modality::Rescale {
            slope: 1.0,
            intercept: 0.0,
        }
    }
}

fn voi(object: &InMemDicomObject, signed: bool, notes: &mut Vec<String>) -> Voi {
    if let Some(item) = value::items(object, tags::VOILUT_SEQUENCE).first() {
        match table(item, signed) {
            Some(table) => return Voi::Table(table),
            None => notes.push("the file's VOI LUT cannot be read and was left out".to_owned()),
        }
    }
    let centres = value::numbers(object, tags::WINDOW_CENTER);
    let widths = value::numbers(object, tags::WINDOW_WIDTH);
    let (Some(&centre), Some(&width)) = (centres.first(), widths.first()) else {
        return Voi::None;
    };
    let curve = match value::text(object, tags::VOILUT_FUNCTION).as_deref() {
        Some("SIGMOID") => Curve::Sigmoid,
        Some("LINEAR_EXACT") => Curve::LinearExact,
        _ => Curve::Linear,
    };
    // PS3.3 C.11.2.1.2: at least 1 for LINEAR, above 0 for the others.
    let least = if curve == Curve::Linear {
        1.0
    } else {
        f64::MIN_POSITIVE
    };
    if !(centre.is_finite() && width.is_finite() && width >= least) {
        notes.push("the file's window is no usable pair of numbers and was left out".to_owned());
        return Voi::None;
    }
    if centres.len() > 1 {
        notes.push(format!(
            "the file offers {} windows; the first is used",
            centres.len()
        ));
    }
    Voi::Window {
        centre,
        width,
        curve,
    }
}

/// PS3.3 C.11.1.1: descriptor (entries, first input, bits) and data.
fn table(item: &InMemDicomObject, signed: bool) -> Option<Table> {
    let descriptor = value::integers(item, tags::LUT_DESCRIPTOR);
    let [count, first, bits] = *descriptor.first_chunk::<3>()?;
    // Zero stands for 65,536 entries. Negative numbers come from files that say SS instead of US.
    let count = match count & 0xFFFF {
        0 => 1 << 16,
        n => n as usize,
    };
    let first = if first > 32_767 && signed {
        first - 65_536
    } else {
        first
    };
    if !(8..=16).contains(&bits) {
        return None;
    }
    let data = value::integers(item, tags::LUT_DATA);
    let entries: Vec<u16> = if data.len() >= count {
        data.iter().take(count).map(|v| *v as u16).collect()
    } else if bits == 8 && data.len() * 2 >= count {
        // Two 8-bit entries in each word.
        data.iter()
            .flat_map(|w| (*w as u16).to_le_bytes())
            .map(u16::from)
            .take(count)
            .collect()
    } else {
        return None;
    };
    Some(Table {
        first: first as f64,
        entries,
        bits: bits as u16,
    })
}

/// PS3.3 C.7.5.1.1.2: pixels outside a shaped plate.
fn padding(object: &InMemDicomObject, shape: &Shape) -> Option<RangeInclusive<i32>> {
    let stored = |tag: Tag| {
        let found = value::integer(object, tag)?;
        let pattern = found as u16;
        Some(if shape.signed {
            i32::from(pattern as i16)
        } else {
            i32::from(pattern)
        })
    };
    let one = stored(tags::PIXEL_PADDING_VALUE)?;
    let other = stored(tags::PIXEL_PADDING_RANGE_LIMIT).unwrap_or(one);
    Some(one.min(other)..=one.max(other))
}
