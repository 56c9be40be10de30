//! Files come in: what is on them is found before they are kept, and what no file says is asked.

use super::base::unsaved;
use super::print::hand;
use super::{clip, markers, photo};
use crate::bench::preview::blocking;
use crate::context::Context;
use crate::error::{PageError, sentence};
use ::print::{Medium, Pitch, PressureUnit, Scaling, Taken, Wish};
use axum::{
    extract::{Multipart, Path},
    response::Redirect,
};
use motion::frames::packed::Packed;
use motion::work::{ClipWork, MarkerWork, PhotoReadings, PhotoWork, View};
use motion::{Frames, MotionError};
use picture::PictureError;
use record::{CaptureId, CaptureKind, CaptureRecord, ContentHash, Doing, Kept, Visit, VisitId};
use std::collections::BTreeMap;
use std::sync::Arc;
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

/// What came with a form.
struct Sent {
    bytes: Vec<u8>,
    file_name: String,
    texts: BTreeMap<String, String>,
}

impl Sent {
    fn text(&self, key: &str) -> &str {
        self.texts.get(key).map_or("", |t| t.trim())
    }

    async fn of(mut form: Multipart) -> Result<Sent, PageError> {
        let mut sent = Sent {
            bytes: Vec::new(),
            file_name: String::new(),
            texts: BTreeMap::new(),
        };
        let broken = |_| PageError::input("the upload broke off; choose the file again");
        while let Some(field) = form.next_field().await.map_err(broken)? {
            match field.name().unwrap_or_default().to_owned().as_str() {
                "file" => {
                    sent.file_name = crate::words::file_name(field.file_name());
                    let whole = field.bytes().await.map_err(|_| {
                        PageError::input(
                            "the file could not be taken in whole; send one of at most 256 MB, a clip cut to the rises themselves",
                        )
                    })?;
                    sent.bytes = whole.to_vec();
                }
                name => {
                    let text = field.text().await.map_err(broken)?;
                    sent.texts.insert(name.to_owned(), text);
                }
            }
        }
        match sent.bytes.is_empty() {
            true => Err(PageError::input(
                "found no file, or an empty one; choose one first",
            )),
            false => Ok(sent),
        }
    }
}

/// What a file gave, before it is kept.
struct Begun {
    kind: CaptureKind,
    side: Option<Side>,
    steps: Kept,
    readings: Kept,
}

/// `POST /visit/{id}/captures`: the file, and what is known of it.
pub async fn take_in(
    context: Context,
    Path(id): Path<String>,
    form: Multipart,
) -> Result<Redirect, PageError> {
    let store = &context.state.store;
    let visit = store.visit(id.parse::<VisitId>()?).await?;
    let mut sent = Sent::of(form).await?;
    let content = ContentHash::of(&sent.bytes);
    let known = store.captures_of(visit.patient).await?;
    if let Some(own) = known.iter().find(|c| c.content == content) {
        return Ok(Redirect::to(&format!("/capture/{}", own.id)));
    }
    let kind = match CaptureKind::from_key(sent.text("kind")) {
        None | Some(CaptureKind::Pressure) => CaptureKind::Print,
        Some(kind) => kind,
    };
    let (begun, read) = match kind {
        CaptureKind::Print | CaptureKind::Pressure => {
            let (begun, read) = print_begun(&mut sent).await?;
            (begun, Some(read))
        }
        CaptureKind::FromBehind | CaptureKind::FromSide => (photo_begun(&sent, kind)?, None),
        CaptureKind::HeelRise => (clip_begun(&mut sent).await?, None),
        CaptureKind::Markers => (markers_begun(&sent)?, None),
    };
    let record = record_of(&context, &visit, &sent, content, &begun);
    let capture = record.id;
    store
        .import_capture(context.stamp(), record.clone(), sent.bytes)
        .await?;
    let stamp = context.stamp();
    let steps = unsaved(&stamp, capture, begun.steps, begun.readings);
    store.save_steps(stamp, steps, 0).await?;
    if let Some(read) = read {
        hand::keep(&context.state, &record, read);
    }
    Ok(Redirect::to(&format!("/capture/{capture}")))
}

fn record_of(
    context: &Context,
    visit: &Visit,
    sent: &Sent,
    content: ContentHash,
    begun: &Begun,
) -> CaptureRecord {
    let doing = Doing::from_key(sent.text("doing"));
    CaptureRecord {
        id: CaptureId::new(context.state.ids.fresh()),
        patient: visit.patient,
        visit: visit.id,
        kind: begun.kind,
        doing: doing.filter(|d| begun.kind.doings().contains(d)),
        side: begun.side,
        taken_on: Some(visit.on),
        file_name: sent.file_name.clone(),
        content,
        media_type: media_type(begun.kind, &sent.bytes).to_owned(),
        note: String::new(),
    }
}

async fn print_begun(sent: &mut Sent) -> Result<(Begun, hand::Read), PageError> {
    let taken = taken(medium_of(sent.text("medium")), &|key| sent.text(key))?;
    let wish = Wish {
        side: side_of(sent.text("side")),
        ..Wish::default()
    };
    let (bytes, read) = hand::begun(std::mem::take(&mut sent.bytes), taken, wish).await?;
    sent.bytes = bytes;
    let (steps, readings) = read.kept()?;
    let begun = Begun {
        kind: match taken {
            Taken::Picture { .. } => CaptureKind::Print,
            Taken::Grid { .. } => CaptureKind::Pressure,
        },
        side: read.only_side(),
        steps,
        readings,
    };
    Ok((begun, read))
}

fn photo_begun(sent: &Sent, kind: CaptureKind) -> Result<Begun, PageError> {
    let limits = picture::Limits::default();
    let picture = picture::open(&sent.bytes, &limits)
        .map_err(|e| PageError::input(sentence(&e.to_string())))?;
    let side = side_of(sent.text("side"));
    let view = match (kind, side) {
        (CaptureKind::FromBehind, _) => View::Behind,
        (_, Some(side)) => View::Side { side },
        (_, None) => {
            return Err(PageError::input(
                "a photograph from the side does not say which foot it shows; choose left or right",
            ));
        }
    };
    let work = PhotoWork::new(view, picture.width as usize, picture.height as usize);
    let (steps, readings) = photo::steps::kept(&work, &PhotoReadings::default())?;
    Ok(Begun {
        kind,
        side: match view {
            View::Behind => None,
            View::Side { side } => Some(side),
        },
        steps,
        readings,
    })
}

/// Longest clip that a page works on: a minute at 60 frames a second.
const MOST_FRAMES: usize = 3600;

async fn clip_begun(sent: &mut Sent) -> Result<Begun, PageError> {
    let limits = picture::Limits::default();
    if let Err(PictureError::Clip) = picture::open(&sent.bytes, &limits) {
        return Err(PageError::input(
            "a clip is unpacked by the browser's own decoder, which needs script to be on; turn it on, or send a ZIP of the clip's numbered pictures with times.csv",
        ));
    }
    let bytes: Arc<[u8]> = std::mem::take(&mut sent.bytes).into();
    let held = bytes.clone();
    let work = blocking(move || clip_work(held))
        .await?
        .map_err(|e| PageError::input(sentence(&e.to_string())))?;
    sent.bytes = bytes.to_vec();
    let (steps, readings) = clip::steps::kept(&work, None)?;
    Ok(Begun {
        kind: CaptureKind::HeelRise,
        side: None,
        steps,
        readings,
    })
}

fn clip_work(bytes: Arc<[u8]>) -> Result<ClipWork, MotionError> {
    let mut packed = Packed::open(bytes)?;
    let count = packed.count();
    if count > MOST_FRAMES {
        return Err(MotionError::TooManyFrames {
            count,
            most: MOST_FRAMES,
        });
    }
    let times_s = motion::frames::times(&packed)?;
    let first = packed.frame(0)?;
    Ok(ClipWork::new(first.width(), first.height(), times_s))
}

fn markers_begun(sent: &Sent) -> Result<Begun, PageError> {
    motion::marker::open(&sent.bytes).map_err(|e| PageError::input(sentence(&e.to_string())))?;
    let (steps, readings) = markers::steps::kept(&MarkerWork::default(), None)?;
    Ok(Begun {
        kind: CaptureKind::Markers,
        side: None,
        steps,
        readings,
    })
}

fn taken<'t>(medium: Option<Medium>, text: &impl Fn(&str) -> &'t str) -> Result<Taken, PageError> {
    if medium != Some(Medium::Pressure) {
        return Ok(Taken::Picture {
            medium,
            scaling: Scaling::FileDensity,
        });
    }
    let number = |key: &str, what: &str| {
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

/// By the file's own first bytes; the name it came with says nothing.
fn media_type(kind: CaptureKind, bytes: &[u8]) -> &'static str {
    match bytes {
        _ if kind == CaptureKind::Markers => "application/octet-stream",
        [0x89, b'P', b'N', b'G', ..] => "image/png",
        [0xFF, 0xD8, 0xFF, ..] => "image/jpeg",
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => "image/tiff",
        [b'P', b'K', ..] => "application/zip",
        _ => "text/csv",
    }
}
