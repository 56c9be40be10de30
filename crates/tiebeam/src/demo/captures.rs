//! The first person's print, photograph from behind and heel rise: computed, taken in, marked at the true places
//! and followed.

use super::job::DoneVisit;
use crate::clock;
use anyhow::{Context, Result};
use image::codecs::{jpeg::JpegEncoder, png::PngEncoder};
use image::{ExtendedColorType, ImageEncoder};
use motion::frames::packed::{Packed, packed};
use motion::steps::{Point, Spot};
use motion::work::{ClipWork, KNOWN_FROM, KNOWN_TO, PhotoWork, View, kept_rises, point_key};
use phantom::clip::{Clip, ClipSpec, LegSpec};
use phantom::print::{PaperSpec, PrintSpec, sheet};
use print::{Medium, Scaling, Taken, Wish, Work};
use record::{
    CaptureId, CaptureKind, CaptureRecord, ClinicianId, ContentHash, Doing, Kept, StepsRecord,
};
use store::Store;
use store_sql::SqlStore;
use terms::Side;
use uuid::Uuid;

/// A capture with what was done to it.
struct Made {
    kind: CaptureKind,
    doing: Option<Doing>,
    side: Option<Side>,
    file_name: &'static str,
    media_type: &'static str,
    bytes: Vec<u8>,
    steps: Kept,
    readings: Kept,
}

/// Takes them in at the visit.
pub async fn of_visit(store: &SqlStore, me: ClinicianId, done: &DoneVisit) -> Result<()> {
    let all = tokio::task::spawn_blocking(|| -> Result<[Made; 3]> {
        Ok([inked()?, from_behind()?, rising()?])
    })
    .await??;
    for made in all {
        let record = CaptureRecord {
            id: CaptureId::new(Uuid::now_v7()),
            patient: done.patient.id,
            visit: done.visit.id,
            kind: made.kind,
            doing: made.doing,
            side: made.side,
            taken_on: Some(done.visit.on),
            file_name: made.file_name.into(),
            content: ContentHash::of(&made.bytes),
            media_type: made.media_type.into(),
            note: "Invented, computed.".into(),
        };
        let capture = record.id;
        store
            .import_capture(clock::stamp(me), record, made.bytes)
            .await?;
        let steps = StepsRecord {
            capture,
            steps: made.steps,
            readings: made.readings,
            revision: 0,
            content_of: 0,
            saved_at: clock::now(),
        };
        store.save_steps(clock::stamp(me), steps, 0).await?;
    }
    Ok(())
}

/// An ink print of the left foot, standing.
fn inked() -> Result<Made> {
    let spec = PrintSpec {
        arch_depth: 14.0,
        ..PrintSpec::plain(Side::Left)
    };
    let sheet = sheet(
        &[(spec, [105.0, 270.0], -4.0)],
        &PaperSpec {
            noise: 3.0,
            blotches: 3,
            mm_per_cell: 0.25,
            ..PaperSpec::default()
        },
    );
    let mut bytes = Vec::new();
    PngEncoder::new(&mut bytes).write_image(
        &sheet.rgb(),
        sheet.width as u32,
        sheet.height as u32,
        ExtendedColorType::Rgb8,
    )?;
    let taken = Taken::Picture {
        medium: Some(Medium::Ink),
        scaling: Scaling::Corners {
            corners: sheet.corners,
            paper: print::Paper::A4,
        },
    };
    let opened = print::opened(&bytes, &taken, &picture::Limits::default())?;
    let wish = Wish {
        side: Some(Side::Left),
        ..Wish::default()
    };
    let work = Work::begun(&opened, taken, &wish)?;
    let readings = work.read(&opened)?;
    Ok(Made {
        kind: CaptureKind::Print,
        doing: Some(Doing::Standing),
        side: Some(Side::Left),
        file_name: "print-left.png",
        media_type: "image/png",
        bytes,
        steps: Kept::of(print::WORK_FORMAT, print::WORK_VERSION, &work)?,
        readings: Kept::of(
            web::captures::print::hand::READINGS_FORMAT,
            1,
            &print::kept_readings(&readings),
        )?,
    })
}

fn leg(side: Side, standing_deg: f64, rises: usize) -> LegSpec {
    LegSpec {
        side,
        rises,
        height_mm: 62.0,
        decay: 0.12,
        standing_deg,
        turn_deg: 1.0,
        ..ClipSpec::plain(1).legs[0].clone()
    }
}

fn clip(legs: Vec<LegSpec>) -> Clip {
    Clip::new(ClipSpec {
        legs,
        width: 540,
        height: 720,
        rate: 24.0,
        px_per_mm: 1.8,
        ..ClipSpec::plain(107)
    })
}

fn jpeg(clip: &Clip, frame: usize) -> Result<Vec<u8>> {
    let (width, height) = (clip.spec().width as u32, clip.spec().height as u32);
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 90).write_image(
        &clip.frame(frame),
        width,
        height,
        ExtendedColorType::L8,
    )?;
    Ok(bytes)
}

/// The points of a leg where the truth has them in a frame.
fn points(clip: &Clip, leg: usize, frame: usize) -> Vec<(Side, Point, Spot)> {
    let truth = &clip.truth().legs[leg];
    let spots = truth.spots[frame].iter();
    Point::ALL
        .into_iter()
        .zip(spots)
        .map(|(point, (x, y))| (truth.side, point, Spot::new(*x, *y)))
        .collect()
}

fn from_behind() -> Result<Made> {
    let clip = clip(vec![leg(Side::Left, 12.0, 1), leg(Side::Right, 5.0, 1)]);
    let bytes = jpeg(&clip, 0)?;
    let mut work = PhotoWork::new(View::Behind, clip.spec().width, clip.spec().height);
    for at in 0..2 {
        for (side, point, spot) in points(&clip, at, 0) {
            work.spots.insert(point_key(side, point), vec![spot]);
        }
    }
    let readings = work.read(None)?;
    let (steps, readings) =
        web::captures::photo::steps::kept(&work, &readings).map_err(|e| anyhow::anyhow!("{e}"))?;
    Ok(Made {
        kind: CaptureKind::FromBehind,
        doing: None,
        side: None,
        file_name: "from-behind.jpg",
        media_type: "image/jpeg",
        bytes,
        steps,
        readings,
    })
}

/// Four rises on the left leg, lower each time, the heel staying out.
fn rising() -> Result<Made> {
    let clip = clip(vec![leg(Side::Left, 12.0, 4)]);
    let pictures = (0..clip.count())
        .map(|frame| jpeg(&clip, frame))
        .collect::<Result<Vec<_>>>()?;
    let times_s = clip.truth().times_s.clone();
    let bytes = packed(
        pictures
            .iter()
            .map(Vec::as_slice)
            .zip(times_s.iter().copied()),
    )?;
    let spec = clip.spec();
    let mut work = ClipWork::new(spec.width, spec.height, times_s);
    for (side, point, spot) in points(&clip, 0, 0) {
        work.set_point(side, point, 0, Some(spot));
    }
    // A ruler that is not in the picture: the phantom's own scale.
    let y = spec.height as f64 - 20.0;
    let end = 20.0 + 100.0 * clip.truth().px_per_mm;
    for (key, x) in [(KNOWN_FROM, 20.0), (KNOWN_TO, end)] {
        work.spots.insert(key.into(), vec![Spot::new(x, y)]);
    }
    work.length_mm = Some(100.0);
    let marks = work.marks()?;
    let mut frames = Packed::open(bytes.clone().into())?;
    let track = motion::follow(&mut frames, &marks)?;
    work.keep(marks, track);
    let readings = work.read()?.context("the rises were not followed")?;
    Ok(Made {
        kind: CaptureKind::HeelRise,
        doing: Some(Doing::OneLeg),
        side: Some(Side::Left),
        file_name: "heel-rise-left.zip",
        media_type: "application/zip",
        bytes,
        steps: Kept::of(
            motion::work::clip::CLIP_FORMAT,
            motion::work::clip::CLIP_VERSION,
            &work,
        )?,
        readings: Kept::of(
            web::captures::clip::steps::READINGS_FORMAT,
            1,
            &kept_rises(&readings),
        )?,
    })
}
