//! Prints come in: the foot is found before the file is kept, and what no file says is asked.

use super::hand::{self, Read};
use crate::context::Context;
use crate::error::PageError;
use axum::{
    extract::{Multipart, Path},
    response::Redirect,
};
use print::{Medium, Pitch, PressureUnit, Scaling, Taken, Wish};
use record::{CaptureId, CaptureKind, CaptureRecord, ContentHash, Doing, StepsRecord, VisitId};
use std::collections::BTreeMap;
use terms::Side;

/// What a print may be, by the key of the form; the empty key leaves it to the picture.
pub const MEDIA: [(&str, Medium); 4] = [
    ("ink", Medium::Ink),
    ("wet", Medium::Wet),
    ("scan", Medium::Scan),
    ("pressure", Medium::Pressure),
];

pub fn medium_of(key: &str) -> Option<Medium> {
    MEDIA.iter().find(|(k, _)| *k == key).map(|(_, m)| *m)
}

pub fn side_of(key: &str) -> Option<Side> {
    match key {
        "left" => Some(Side::Left),
        "right" => Some(Side::Right),
        _ => None,
    }
}

/// What a grid's maker says of the distance of its sensors is taken to be this sure (common practice).
const PITCH_ERROR: f64 = 0.01;

/// `POST /visit/{id}/captures`: the file, and what is known of it.
pub async fn take_in(
    context: Context,
    Path(id): Path<String>,
    mut form: Multipart,
) -> Result<Redirect, PageError> {
    let store = &context.state.store;
    let visit = store.visit(id.parse::<VisitId>()?).await?;
    let (mut bytes, mut file_name) = (Vec::new(), String::new());
    let mut texts: BTreeMap<String, String> = BTreeMap::new();
    let broken = |_| PageError::input("the upload broke off; choose the file again");
    while let Some(field) = form.next_field().await.map_err(broken)? {
        match field.name().unwrap_or_default().to_owned().as_str() {
            "print" => {
                file_name = crate::words::file_name(field.file_name());
                let whole = field.bytes().await.map_err(|_| {
                    PageError::input(
                        "the file could not be taken in whole; send one picture or grid of at most 128 MB",
                    )
                })?;
                bytes = whole.to_vec();
            }
            name => {
                let text = field.text().await.map_err(broken)?;
                texts.insert(name.to_owned(), text);
            }
        }
    }
    if bytes.is_empty() {
        return Err(PageError::input(
            "found no file; choose a picture of a print (PNG, JPEG or TIFF) or a grid of pressures (CSV or TSV) first",
        ));
    }
    let content = ContentHash::of(&bytes);
    let known = store.captures_of(visit.patient).await?;
    if let Some(own) = known.iter().find(|c| c.content == content) {
        return Ok(Redirect::to(&format!("/capture/{}", own.id)));
    }
    let text = |key: &str| texts.get(key).map_or("", |t| t.trim());
    let medium = medium_of(text("medium"));
    let taken = taken(medium, &text)?;
    let wish = Wish {
        side: side_of(text("side")),
        ..Wish::default()
    };
    let (bytes, read) = hand::begun(bytes, taken, wish).await?;
    let record = CaptureRecord {
        id: CaptureId::new(context.state.ids.fresh()),
        patient: visit.patient,
        visit: visit.id,
        kind: match taken {
            Taken::Picture { .. } => CaptureKind::Print,
            Taken::Grid { .. } => CaptureKind::Pressure,
        },
        doing: Doing::from_key(text("doing")),
        side: read.only_side(),
        taken_on: Some(visit.on),
        file_name,
        content,
        media_type: media_type(&bytes).to_owned(),
        note: String::new(),
    };
    let capture = record.id;
    store
        .import_capture(context.stamp(), record.clone(), bytes)
        .await?;
    let steps = kept(&context, capture, &read)?;
    store.save_steps(context.stamp(), steps, 0).await?;
    hand::keep(&context.state, &record, read);
    Ok(Redirect::to(&format!("/capture/{capture}")))
}

fn taken<'t>(
    medium: Option<Medium>,
    text: &impl Fn(&'static str) -> &'t str,
) -> Result<Taken, PageError> {
    if medium != Some(Medium::Pressure) {
        return Ok(Taken::Picture {
            medium,
            scaling: Scaling::FileDensity,
        });
    }
    let number = |key: &'static str, what: &str| {
        let typed = text(key);
        typed.replace(',', ".").parse::<f64>().map_err(|_| {
            PageError::input(format!(
                "found {typed:?} for the {what}; expected a number such as 8.5"
            ))
        })
    };
    let x_mm = number("pitch_x", "distance of two sensors across, in mm")?;
    let y_mm = match text("pitch_y") {
        "" => x_mm,
        _ => number("pitch_y", "distance of two sensors along, in mm")?,
    };
    let rate_hz = match text("rate") {
        "" => None,
        _ => Some(number("rate", "grids a second")?),
    };
    let pitch = Pitch::new(x_mm, y_mm, PITCH_ERROR).map_err(|e| PageError::input(e.to_string()))?;
    Ok(Taken::Grid {
        unit: match text("unit") {
            "n-per-cm2" => PressureUnit::NewtonPerSquareCentimetre,
            _ => PressureUnit::Kilopascal,
        },
        pitch,
        rate_hz,
    })
}

/// As the store keeps it; the store gives the revision.
pub fn kept(context: &Context, capture: CaptureId, read: &Read) -> Result<StepsRecord, PageError> {
    let (steps, readings) = read.kept()?;
    Ok(StepsRecord {
        capture,
        steps,
        readings,
        revision: 0,
        content_of: 0,
        saved_at: context.stamp().at,
    })
}

/// By the file's own first bytes; the name it came with says nothing.
fn media_type(bytes: &[u8]) -> &'static str {
    match bytes {
        [0x89, b'P', b'N', b'G', ..] => "image/png",
        [0xFF, 0xD8, 0xFF, ..] => "image/jpeg",
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => "image/tiff",
        _ => "text/csv",
    }
}
