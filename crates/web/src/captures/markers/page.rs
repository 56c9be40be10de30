//! The page of a marker file: which label is which point, curves and every rise.

use super::steps::{self, LEGS, OpenMarkers, ROLES, key};
use crate::captures::base::{Base, Texts};
use crate::captures::clip::page::told;
use crate::captures::facts::{Head, facts, head, shell};
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Shell, page};
use crate::words;
use askama::Template;
use axum::response::Response;

#[derive(Template)]
#[template(path = "captures/markers/markers.html")]
struct MarkersPage {
    shell: Shell,
    id: String,
    head: Head,
    readings: String,
    revision: u32,
    legs: Vec<LegFields>,
    labels: Vec<String>,
    texts: Texts,
    up: String,
    rule: String,
    facts: String,
}

struct LegFields {
    head: &'static str,
    fields: Vec<RoleField>,
}

struct RoleField {
    key: String,
    label: &'static str,
    is: String,
}

/// `GET /capture/{id}` of a marker file.
///
/// # Errors
/// Steps that another program wrote.
pub async fn show(context: Context, base: Base) -> Result<Response, PageError> {
    let opened = steps::open(&context, base).await?;
    let texts = steps::texts(&opened.work);
    let get = |key: &str| texts.get(key).cloned().unwrap_or_default();
    let file = &opened.file;
    let size = format!(
        "{} markers, {} frames at {} a second",
        file.labels.len(),
        file.frames(),
        quantity::written(file.rate, 0)
    );
    let legs = LEGS
        .iter()
        .map(|side| LegFields {
            head: words::side_head(*side),
            fields: ROLES
                .iter()
                .map(|(role, label, _)| RoleField {
                    key: key(*side, role),
                    label,
                    is: get(&key(*side, role)),
                })
                .collect(),
        })
        .collect();
    page(&MarkersPage {
        id: opened.base.record.id.to_string(),
        head: head(&opened.base),
        readings: readings(&context, &opened).await?,
        revision: opened.base.kept.revision,
        legs,
        labels: file.labels.clone(),
        up: get("up"),
        rule: get("rule"),
        facts: facts(&opened.base.record, &size)?,
        shell: shell(&context, &opened.base),
        texts,
    })
}

/// # Errors
/// No such visit.
pub async fn readings(context: &Context, opened: &OpenMarkers) -> Result<String, PageError> {
    let before = match (&opened.refused, &opened.readings) {
        (Some(why), _) => why.as_str(),
        (None, Some(_)) => "",
        (None, None) => "Choose which label is the heel and which the metatarsal head of a leg.",
    };
    told(
        context,
        &opened.base,
        opened.readings.as_ref(),
        before,
        None,
    )
    .await
}
