//! Resources of what was found, decided, given, ordered and written.

use super::base::element;
use super::{
    Annotation, Attachment, CodeableConcept, Extension, Identifier, Meta, Period, Quantity, Range,
    Reference,
};
use serde::Serialize;

/// `value[x]` of an observation or a component.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Value {
    #[serde(rename = "valueQuantity", skip_serializing_if = "Option::is_none")]
    pub quantity: Option<Quantity>,
    #[serde(
        rename = "valueCodeableConcept",
        skip_serializing_if = "Option::is_none"
    )]
    pub concept: Option<CodeableConcept>,
    #[serde(rename = "valueString", skip_serializing_if = "Option::is_none")]
    pub string: Option<String>,
    #[serde(rename = "valueInteger", skip_serializing_if = "Option::is_none")]
    pub integer: Option<i32>,
    #[serde(rename = "valueRange", skip_serializing_if = "Option::is_none")]
    pub range: Option<Range>,
}

element!(Observation {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    meta: Option<Meta>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    extension: Vec<Extension>,
    status: &'static str,
    category: Vec<CodeableConcept>,
    code: CodeableConcept,
    subject: Reference,
    encounter: Reference,
    #[serde(skip_serializing_if = "Option::is_none")]
    effective_date_time: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    issued: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    performer: Vec<Reference>,
    #[serde(flatten)]
    value: Value,
    #[serde(skip_serializing_if = "Option::is_none")]
    data_absent_reason: Option<CodeableConcept>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    interpretation: Vec<CodeableConcept>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    note: Vec<Annotation>,
    #[serde(skip_serializing_if = "Option::is_none")]
    body_site: Option<CodeableConcept>,
    #[serde(skip_serializing_if = "Option::is_none")]
    method: Option<CodeableConcept>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    reference_range: Vec<ReferenceRange>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    has_member: Vec<Reference>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    derived_from: Vec<Reference>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    component: Vec<Component>,
});

element!(ReferenceRange {
    #[serde(skip_serializing_if = "Option::is_none")]
    low: Option<Quantity>,
    #[serde(skip_serializing_if = "Option::is_none")]
    high: Option<Quantity>,
    text: String,
});

element!(Component {
    code: CodeableConcept,
    #[serde(flatten)]
    value: Value,
    #[serde(skip_serializing_if = "Option::is_none")]
    data_absent_reason: Option<CodeableConcept>,
});

element!(DiagnosticReport {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    meta: Option<Meta>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    extension: Vec<Extension>,
    status: &'static str,
    category: Vec<CodeableConcept>,
    code: CodeableConcept,
    subject: Reference,
    encounter: Reference,
    #[serde(skip_serializing_if = "Option::is_none")]
    effective_date_time: Option<String>,
    issued: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    performer: Vec<Reference>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    result: Vec<Reference>,
    #[serde(skip_serializing_if = "Option::is_none")]
    conclusion: Option<String>,
});

element!(Condition {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    meta: Option<Meta>,
    clinical_status: CodeableConcept,
    verification_status: CodeableConcept,
    category: Vec<CodeableConcept>,
    code: CodeableConcept,
    body_site: Vec<CodeableConcept>,
    subject: Reference,
    encounter: Reference,
    recorded_date: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    recorder: Option<Reference>,
    stage: Vec<ConditionStage>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    note: Vec<Annotation>,
});

element!(ConditionStage {
    summary: CodeableConcept,
    #[serde(rename = "type", skip_serializing_if = "Option::is_none")]
    kind: Option<CodeableConcept>,
});

element!(Procedure {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    meta: Option<Meta>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    extension: Vec<Extension>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    part_of: Vec<Reference>,
    status: &'static str,
    code: CodeableConcept,
    subject: Reference,
    #[serde(skip_serializing_if = "Option::is_none")]
    encounter: Option<Reference>,
    #[serde(skip_serializing_if = "Option::is_none")]
    performed_date_time: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    performed_period: Option<Period>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    body_site: Vec<CodeableConcept>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    note: Vec<Annotation>,
});

element!(DeviceRequest {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    meta: Option<Meta>,
    identifier: Vec<Identifier>,
    status: &'static str,
    intent: &'static str,
    code_codeable_concept: CodeableConcept,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    parameter: Vec<Parameter>,
    subject: Reference,
    encounter: Reference,
    #[serde(skip_serializing_if = "Option::is_none")]
    authored_on: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    supporting_info: Vec<Reference>,
});

element!(Parameter {
    code: CodeableConcept,
    #[serde(skip_serializing_if = "Option::is_none")]
    value_codeable_concept: Option<CodeableConcept>,
    #[serde(skip_serializing_if = "Option::is_none")]
    value_quantity: Option<Quantity>,
    #[serde(skip_serializing_if = "Option::is_none")]
    value_boolean: Option<bool>,
});

element!(CarePlan {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    meta: Option<Meta>,
    status: &'static str,
    intent: &'static str,
    subject: Reference,
    encounter: Reference,
    #[serde(skip_serializing_if = "Option::is_none")]
    period: Option<Period>,
    created: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    author: Option<Reference>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    activity: Vec<Activity>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    note: Vec<Annotation>,
});

element!(Activity {
    detail: ActivityDetail
});

element!(ActivityDetail {
    code: CodeableConcept,
    status: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    scheduled_period: Option<Period>,
    #[serde(skip_serializing_if = "Option::is_none")]
    description: Option<String>,
});

element!(DocumentReference {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    meta: Option<Meta>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    identifier: Vec<Identifier>,
    status: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    doc_status: Option<&'static str>,
    #[serde(rename = "type")]
    kind: CodeableConcept,
    category: Vec<CodeableConcept>,
    subject: Reference,
    #[serde(skip_serializing_if = "Option::is_none")]
    date: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    author: Vec<Reference>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    relates_to: Vec<RelatesTo>,
    #[serde(skip_serializing_if = "Option::is_none")]
    description: Option<String>,
    content: Vec<DocumentContent>,
    context: DocumentContext,
});

element!(RelatesTo {
    code: &'static str,
    target: Reference,
});

element!(DocumentContent {
    attachment: Attachment
});

element!(DocumentContext {
    encounter: Vec<Reference>,
    #[serde(skip_serializing_if = "Option::is_none")]
    period: Option<Period>,
});
