//! Data types, and the resources of who and when.

use serde::Serialize;

/// Writes a struct whose empty elements are left out.
macro_rules! element {
    ($(#[$doc:meta])* $name:ident { $($(#[$field_doc:meta])* $field:ident: $kind:ty),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Default, serde::Serialize)]
        #[serde(rename_all = "camelCase")]
        pub struct $name { $($(#[$field_doc])* pub $field: $kind),+ }
    };
}
pub(crate) use element;

element!(Coding {
    system: String,
    code: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    display: Option<String>,
});

element!(CodeableConcept {
    #[serde(skip_serializing_if = "Vec::is_empty")]
    extension: Vec<Extension>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    coding: Vec<Coding>,
    #[serde(skip_serializing_if = "Option::is_none")]
    text: Option<String>,
});

element!(
    /// To a resource of the same chart by `TYPE/ID`, or by words alone.
    Reference {
        #[serde(skip_serializing_if = "Option::is_none")]
        reference: Option<String>,
        #[serde(skip_serializing_if = "Option::is_none")]
        display: Option<String>,
    }
);

impl Reference {
    pub fn to(kind: super::ResourceType, id: impl std::fmt::Display) -> Self {
        Reference {
            reference: Some(format!("{}/{id}", kind.name())),
            display: None,
        }
    }
}

element!(Identifier {
    system: String,
    value: String,
});

element!(Period {
    #[serde(skip_serializing_if = "Option::is_none")]
    start: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    end: Option<String>,
});

element!(Quantity {
    value: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    system: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    code: Option<String>,
});

element!(Range {
    #[serde(skip_serializing_if = "Option::is_none")]
    low: Option<Quantity>,
    #[serde(skip_serializing_if = "Option::is_none")]
    high: Option<Quantity>,
});

element!(Annotation { text: String });

element!(
    /// One value of an extension, or further extensions.
    Extension {
        url: String,
        #[serde(skip_serializing_if = "Vec::is_empty")]
        extension: Vec<Extension>,
        #[serde(flatten)]
        value: Option<ExtensionValue>,
    }
);

#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum ExtensionValue {
    #[serde(rename = "valueString")]
    String(String),
    #[serde(rename = "valueDecimal")]
    Decimal(f64),
    #[serde(rename = "valueUnsignedInt")]
    UnsignedInt(u32),
    #[serde(rename = "valueQuantity")]
    Quantity(Quantity),
    #[serde(rename = "valueCoding")]
    Coding(Coding),
}

element!(Meta {
    #[serde(skip_serializing_if = "Option::is_none")]
    last_updated: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    tag: Vec<Coding>,
});

element!(HumanName {
    #[serde(skip_serializing_if = "Option::is_none")]
    text: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    family: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    given: Vec<String>,
});

element!(
    /// A file by the name its hash gives it. `hash` of the standard is SHA-1 and stays empty.
    Attachment {
        #[serde(skip_serializing_if = "Vec::is_empty")]
        extension: Vec<Extension>,
        #[serde(skip_serializing_if = "Option::is_none")]
        content_type: Option<String>,
        url: String,
        #[serde(skip_serializing_if = "Option::is_none")]
        title: Option<String>,
        #[serde(skip_serializing_if = "Option::is_none")]
        creation: Option<String>,
    }
);

element!(Patient {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    meta: Option<Meta>,
    identifier: Vec<Identifier>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    name: Vec<HumanName>,
    #[serde(skip_serializing_if = "Option::is_none")]
    gender: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    birth_date: Option<String>,
});

element!(Practitioner {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    meta: Option<Meta>,
    active: bool,
    name: Vec<HumanName>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    qualification: Vec<Qualification>,
});

element!(Qualification {
    code: CodeableConcept
});

element!(Encounter {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    meta: Option<Meta>,
    status: &'static str,
    class: Coding,
    subject: Reference,
    period: Period,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    reason_code: Vec<CodeableConcept>,
});

element!(Provenance {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    meta: Option<Meta>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    extension: Vec<Extension>,
    target: Vec<Reference>,
    recorded: String,
    activity: CodeableConcept,
    agent: Vec<Agent>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    entity: Vec<ProvenanceEntity>,
});

element!(Agent {
    #[serde(rename = "type")]
    kind: CodeableConcept,
    who: Reference,
});

element!(ProvenanceEntity {
    role: &'static str,
    what: Reference,
});
