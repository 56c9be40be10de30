//! Values out of a parsed data set, forgivingly: wrong representation is tried as text, and what
//! cannot be understood is absent.

use super::wanted;
use dicom_core::Tag;
use dicom_object::InMemDicomObject;
use dicom_object::mem::InMemElement;

fn element(object: &InMemDicomObject, tag: Tag) -> Option<&InMemElement> {
    debug_assert!(wanted::value(tag), "{tag} is read but not wanted");
    object.get(tag)
}

pub(super) fn text(object: &InMemDicomObject, tag: Tag) -> Option<String> {
    let value = element(object, tag)?.value().to_str().ok()?;
    let value = value.trim_matches(['\0', ' ']).trim();
    (!value.is_empty()).then(|| value.to_owned())
}

/// The first of possibly several values.
pub(super) fn first_text(object: &InMemDicomObject, tag: Tag) -> Option<String> {
    let all = text(object, tag)?;
    let first = all.split('\\').next()?.trim();
    (!first.is_empty()).then(|| first.to_owned())
}

pub(super) fn integer(object: &InMemDicomObject, tag: Tag) -> Option<i64> {
    integers(object, tag).first().copied()
}

pub(super) fn integers(object: &InMemDicomObject, tag: Tag) -> Vec<i64> {
    let Some(element) = element(object, tag) else {
        return Vec::new();
    };
    element.value().to_multi_int::<i64>().unwrap_or_default()
}

pub(super) fn number(object: &InMemDicomObject, tag: Tag) -> Option<f64> {
    numbers(object, tag).first().copied()
}

/// All values as written, NaN and zero too: whether they make sense is the caller's question.
pub(super) fn numbers(object: &InMemDicomObject, tag: Tag) -> Vec<f64> {
    let Some(element) = element(object, tag) else {
        return Vec::new();
    };
    if let Ok(values) = element.value().to_multi_float64() {
        return values;
    }
    let Ok(values) = element.value().to_multi_str() else {
        return Vec::new();
    };
    values
        .iter()
        .map(|v| v.trim().parse().unwrap_or(f64::NAN))
        .collect()
}

pub(super) fn items(object: &InMemDicomObject, tag: Tag) -> &[InMemDicomObject] {
    debug_assert!(wanted::sequence(tag), "{tag} is read but not wanted");
    object
        .get(tag)
        .and_then(|element| element.value().items())
        .unwrap_or_default()
}
