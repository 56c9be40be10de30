//! The points change, and are read again.

use super::page;
use crate::bench::preview::blocking;
use crate::captures::base::{Answer, BadField, Base, Texts, answered, refused};
use crate::captures::points::{self, changed, parsed, setup_applied, setup_texts};
use crate::context::Context;
use crate::error::PageError;
use axum::response::Response;
use motion::work::photo::{PHOTO_FORMAT, PHOTO_VERSION, kept_readings};
use motion::work::{PhotoReadings, PhotoWork, View};
use record::{CaptureId, Kept};
use terms::Side;

pub const READINGS_FORMAT: &str = "tiebeam-photo-readings";

/// A photograph as its page needs it.
pub struct OpenPhoto {
    pub base: Base,
    pub work: PhotoWork,
    pub readings: PhotoReadings,
}

/// # Errors
/// Steps that another program wrote.
pub async fn open(context: &Context, base: Base) -> Result<OpenPhoto, PageError> {
    let work: PhotoWork = base.kept.steps.read(PHOTO_FORMAT, PHOTO_VERSION)?;
    let readings = match read(context, base.record.id, &work).await? {
        Ok(readings) => readings,
        Err(bad) => return Err(PageError::input(bad.sentence)),
    };
    Ok(OpenPhoto {
        base,
        work,
        readings,
    })
}

/// The picture is opened only where lines go by the edges of the skin.
async fn read(
    context: &Context,
    id: CaptureId,
    work: &PhotoWork,
) -> Result<Result<PhotoReadings, BadField>, PageError> {
    let bytes = match work.by_edges {
        true => Some(context.state.store.capture_bytes(id).await?),
        false => None,
    };
    let work = work.clone();
    let read = blocking(move || {
        let grey = bytes.and_then(|b| {
            let picture = picture::open(&b, &picture::Limits::default()).ok()?;
            Some(picture.grey())
        });
        work.read(grey.as_ref())
    })
    .await?;
    Ok(read.map_err(|e| BadField::said("", &e)))
}

/// # Errors
/// Never for points that could be read.
pub fn kept(work: &PhotoWork, readings: &PhotoReadings) -> Result<(Kept, Kept), PageError> {
    Ok((
        Kept::of(PHOTO_FORMAT, PHOTO_VERSION, work)?,
        Kept::of(READINGS_FORMAT, 1, &kept_readings(readings))?,
    ))
}

/// Every step as its field shows it.
pub fn texts(work: &PhotoWork) -> Texts {
    let mut all = points::texts_of(&work.spots, &work.wanted());
    all.extend(setup_texts(&work.setup, work.length_mm));
    let lines = if work.by_edges { "edges" } else { "points" };
    all.insert("lines".into(), lines.into());
    if let View::Side { side } = work.view {
        all.insert("side".into(), side.word().into());
    }
    all
}

/// The work with what was typed.
///
/// # Errors
/// The first text that is no such step.
pub fn applied(work: &PhotoWork, typed: &Texts) -> Result<PhotoWork, BadField> {
    let own = texts(work);
    let changed = |key: &str| changed(typed, &own, key);
    let mut new = work.clone();
    for wanted in work.wanted() {
        let Some(text) = changed(&wanted.key) else {
            continue;
        };
        match parsed(&wanted, text)? {
            Some(spots) => new.spots.insert(wanted.key, spots),
            None => new.spots.remove(&wanted.key),
        };
    }
    if let Some(lines) = changed("lines") {
        new.by_edges = lines == "edges";
    }
    setup_applied(&mut new.setup, &mut new.length_mm, &changed)?;
    if let (View::Side { side }, Some(_)) = (work.view, changed("side")) {
        turn_round(&mut new, side);
    }
    Ok(new)
}

/// The same points, of the other foot.
fn turn_round(work: &mut PhotoWork, was: Side) {
    let is = match was {
        Side::Left => Side::Right,
        Side::Right => Side::Left,
    };
    let old = std::mem::take(&mut work.spots);
    let own = format!("{}-", was.word());
    work.spots = old
        .into_iter()
        .map(|(key, spots)| match key.strip_prefix(&own) {
            Some(name) => (format!("{}-{name}", is.word()), spots),
            None => (key, spots),
        })
        .collect();
    work.view = View::Side { side: is };
}

/// The texts of the page.
///
/// # Errors
/// Another revision than the one seen.
pub async fn save(
    context: &Context,
    base: Base,
    texts: &Texts,
    seen: u32,
) -> Result<Response, PageError> {
    let mut opened = open(context, base).await?;
    let work = match applied(&opened.work, texts) {
        Ok(work) => work,
        Err(bad) => return refused(context, bad),
    };
    if work != opened.work {
        let id = opened.base.record.id;
        let readings = match read(context, id, &work).await? {
            Ok(readings) => readings,
            Err(bad) => return refused(context, bad),
        };
        let kept = kept(&work, &readings)?;
        opened = OpenPhoto {
            base: opened.base.save(context, kept, seen).await?,
            work,
            readings,
        };
    }
    answer(context, &opened).await
}

/// What the page or its script gets of what stands now.
///
/// # Errors
/// No such visit.
pub async fn answer(context: &Context, opened: &OpenPhoto) -> Result<Response, PageError> {
    let base = &opened.base;
    answered(context, base.record.id, async {
        Ok(Answer {
            revision: base.kept.revision,
            can_undo: base.can_undo,
            svg: page::drawing(opened),
            readings: page::readings(context, opened).await?,
            texts: texts(&opened.work),
        })
    })
    .await
}
