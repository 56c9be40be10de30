//! Coded terms of a standing foot film (DICOM PS3.16; SNOMED CT concept ids as that part prints them).

use dicom_core::{DataElement, VR};
use dicom_dictionary_std::tags;
use dicom_object::InMemDicomObject;
use terms::{Side, View};

pub(super) struct Code {
    value: &'static str,
    scheme: &'static str,
    meaning: &'static str,
}

const fn sct(value: &'static str, meaning: &'static str) -> Code {
    Code {
        value,
        scheme: "SCT",
        meaning,
    }
}

impl Code {
    pub fn item(&self) -> InMemDicomObject {
        InMemDicomObject::from_element_iter([
            DataElement::new(tags::CODE_VALUE, VR::SH, self.value),
            DataElement::new(tags::CODING_SCHEME_DESIGNATOR, VR::SH, self.scheme),
            DataElement::new(tags::CODE_MEANING, VR::LO, self.meaning),
        ])
    }
}

/// CID 91.
pub(super) const WEIGHT_BEARING: Code = sct("87731000", "Weight bearing");
/// CID 19.
pub(super) const ERECT: Code = Code {
    value: "C86043",
    scheme: "NCIt",
    meaning: "erect",
};
pub(super) const RECUMBENT: Code = sct("102538003", "recumbent");
/// CID 20.
pub(super) const STANDING: Code = sct("10904000", "standing");

// CID 4010.
const LATERAL: Code = sct("399067008", "lateral");
const DORSOPLANTAR: Code = sct("399335002", "dorsoplantar");
const FROM_BEHIND: Code = sct("272479007", "postero-anterior");
const FROM_FRONT: Code = sct("399348003", "antero-posterior");

// CID 4009.
const FOOT: Code = sct("56459004", "Foot");
const ANKLE: Code = sct("70258002", "Ankle joint");
const CALCANEUS: Code = sct("80144004", "Calcaneus");

pub(super) fn view(view: View) -> &'static Code {
    match view {
        View::Lateral => &LATERAL,
        View::Dorsoplantar => &DORSOPLANTAR,
        View::HindfootAlignment => &FROM_BEHIND,
        View::AnkleFront => &FROM_FRONT,
    }
}

pub(super) fn region(view: View) -> &'static Code {
    match view {
        View::Lateral | View::Dorsoplantar => &FOOT,
        View::HindfootAlignment => &CALCANEUS,
        View::AnkleFront => &ANKLE,
    }
}

/// PS3.16 annex L.
pub(super) fn body_part(view: View) -> &'static str {
    match view {
        View::Lateral | View::Dorsoplantar => "FOOT",
        View::HindfootAlignment => "CALCANEUS",
        View::AnkleFront => "ANKLE",
    }
}

/// PS3.3 C.8.1.1.1: the view relative to the person; a dorsoplantar film of the foot is an AP one.
pub(super) fn view_position(view: View, side: Side) -> &'static str {
    match (view, side) {
        (View::Lateral, Side::Left) => "LL",
        (View::Lateral, Side::Right) => "RL",
        (View::Dorsoplantar | View::AnkleFront, _) => "AP",
        (View::HindfootAlignment, _) => "PA",
    }
}
