//! A letter as an object of its patient's study: Encapsulated PDF (PS3.3 A.45.1). The paper's bytes stay as signed.

use super::about::About;
use super::{Made, MakeError};
use crate::uids::Uids;
use dicom_core::VR;
use dicom_dictionary_std::{tags, uids};

/// Most bytes of a paper.
const MOST_BYTES: usize = 64 * 1024 * 1024;

/// # Errors
/// Bytes that are no PDF, or too many of them.
pub fn document(
    about: &About,
    title: &str,
    pdf: &[u8],
    uids: &mut dyn Uids,
) -> Result<Made, MakeError> {
    if !pdf.starts_with(b"%PDF-") || pdf.len() > MOST_BYTES {
        return Err(MakeError::Paper);
    }
    let (series, instance) = (uids.uid(), uids.uid());
    let mut b = about.start("DOC", &series, "Letter", None)?;
    b.words(tags::CONVERSION_TYPE, VR::CS, "WSD");
    b.date(tags::CONTENT_DATE, Some(about.made_at.date()));
    b.time(tags::CONTENT_TIME, Some(about.made_at.time()));
    b.words(tags::ACQUISITION_DATE_TIME, VR::DT, "");
    // A letter names its patient.
    b.words(tags::BURNED_IN_ANNOTATION, VR::CS, "YES");
    b.text(tags::DOCUMENT_TITLE, VR::ST, title);
    b.items(tags::CONCEPT_NAME_CODE_SEQUENCE, Vec::new());
    b.words(
        tags::MIME_TYPE_OF_ENCAPSULATED_DOCUMENT,
        VR::LO,
        "application/pdf",
    );
    b.raw(
        tags::ENCAPSULATED_DOCUMENT_LENGTH,
        VR::UL,
        (pdf.len() as u32).to_le_bytes().to_vec(),
    );
    let mut padded = pdf.to_vec();
    padded.resize(pdf.len().next_multiple_of(2), 0);
    b.raw(tags::ENCAPSULATED_DOCUMENT, VR::OB, padded);
    Ok(Made::of(
        b,
        uids::ENCAPSULATED_PDF_STORAGE,
        instance,
        series,
    ))
}
