//! Which sheets are in hand, so that a moved line is answered at once?
//!
//! A sheet is made once from its bytes and kept, by the file's content and how it was taken. Only the last
//! few are kept.

use crate::bench::preview::blocking;
use crate::captures::base::Base;
use crate::error::PageError;
use crate::{AppState, context::Context};
use print::{
    PrintError, PrintReadings, Scaling, Sheet, Taken, WORK_FORMAT, WORK_VERSION, Wish, Work,
    kept_readings, opened,
};
use record::{CaptureRecord, ContentHash, Kept};
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};
use terms::Side;

/// A sheet that is worked on takes some 15 MB.
const MOST_SHEETS: usize = 4;

pub const READINGS_FORMAT: &str = "tiebeam-print-readings";

#[derive(Default)]
pub struct Sheets(Mutex<VecDeque<(ContentHash, Taken, Arc<Sheet>)>>);

impl Sheets {
    pub fn forget_all(&self) {
        self.0
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
    }
}

/// A sheet with its steps and what they give.
#[derive(Clone)]
pub struct Read {
    pub sheet: Arc<Sheet>,
    pub work: Work,
    pub readings: Arc<PrintReadings>,
}

impl Read {
    /// Where one foot stands on the sheet.
    pub fn only_side(&self) -> Option<Side> {
        match self.readings.feet.as_slice() {
            [one] => Some(one.side),
            _ => None,
        }
    }

    /// # Errors
    /// Never for what was read from a file.
    pub fn kept(&self) -> Result<(Kept, Kept), PageError> {
        let steps = Kept::of(WORK_FORMAT, WORK_VERSION, &self.work)?;
        let readings = Kept::of(READINGS_FORMAT, 1, &kept_readings(&self.readings))?;
        Ok((steps, readings))
    }
}

/// A print as its page needs it.
pub struct OpenPrint {
    pub base: Base,
    pub read: Read,
}

fn said(fault: PrintError) -> PageError {
    PageError::input(crate::error::sentence(&fault.to_string()))
}

/// Opens a file and finds every step; gives the bytes back.
///
/// # Errors
/// One sentence for the person: no foot, half a foot, text in a grid.
pub async fn begun(bytes: Vec<u8>, taken: Taken, wish: Wish) -> Result<(Vec<u8>, Read), PageError> {
    blocking(move || {
        let (taken, sheet) = first_opened(&bytes, taken).map_err(said)?;
        let read = found(Arc::new(sheet), taken, &wish)?;
        Ok((bytes, read))
    })
    .await?
}

/// A picture that does not say its scale is taken without one; it can be given on the page.
fn first_opened(bytes: &[u8], taken: Taken) -> Result<(Taken, Sheet), PrintError> {
    let limits = picture::Limits::default();
    match (opened(bytes, &taken, &limits), taken) {
        (
            Err(PrintError::BadScale { .. }),
            Taken::Picture {
                medium,
                scaling: Scaling::FileDensity,
            },
        ) => {
            let scaling = Scaling::Unknown;
            let taken = Taken::Picture { medium, scaling };
            Ok((taken, opened(bytes, &taken, &limits)?))
        }
        (sheet, _) => Ok((taken, sheet?)),
    }
}

fn found(sheet: Arc<Sheet>, taken: Taken, wish: &Wish) -> Result<Read, PageError> {
    let work = match Work::begun(&sheet, taken, wish) {
        Err(PrintError::FeetTouch) if wish.divide.is_none() => parted(&sheet, taken, wish),
        begun => begun,
    };
    let work = work.map_err(said)?;
    let readings = Arc::new(work.read(&sheet).map_err(said)?);
    Ok(Read {
        sheet,
        work,
        readings,
    })
}

/// Two prints that touch, parted down the middle of the sheet for a start: the page shows the line to be moved.
fn parted(sheet: &Sheet, taken: Taken, wish: &Wish) -> Result<Work, PrintError> {
    let middle = sheet.width() as f64 / 2.0;
    let wish = Wish {
        divide: Some([[middle, 0.0], [middle, sheet.height() as f64]]),
        ..*wish
    };
    Work::begun(sheet, taken, &wish).map_err(|_| PrintError::FeetTouch)
}

/// The same sheet, or another of the same file, with every step found anew.
///
/// # Errors
/// As for [`begun`].
pub async fn found_anew(
    state: &AppState,
    record: &CaptureRecord,
    taken: Taken,
    wish: Wish,
) -> Result<Read, PageError> {
    let sheet = sheet_of(state, record, taken).await?;
    blocking(move || found(sheet, taken, &wish)).await?
}

/// The readings of other steps.
///
/// # Errors
/// Steps that the sheet does not take, in one sentence.
pub async fn reread(
    state: &AppState,
    record: &CaptureRecord,
    work: Work,
) -> Result<Read, PageError> {
    let sheet = sheet_of(state, record, work.taken).await?;
    blocking(move || {
        let readings = Arc::new(work.read(&sheet).map_err(said)?);
        Ok(Read {
            sheet,
            work,
            readings,
        })
    })
    .await?
}

pub fn keep(state: &AppState, record: &CaptureRecord, read: Read) {
    let mut sheets = state
        .captures
        .sheets
        .0
        .lock()
        .unwrap_or_else(PoisonError::into_inner);
    sheets.retain(|(c, t, _)| (c, t) != (&record.content, &read.work.taken));
    sheets.push_front((record.content, read.work.taken, read.sheet));
    sheets.truncate(MOST_SHEETS);
}

async fn sheet_of(
    state: &AppState,
    record: &CaptureRecord,
    taken: Taken,
) -> Result<Arc<Sheet>, PageError> {
    let known = {
        let sheets = state
            .captures
            .sheets
            .0
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        let found = sheets
            .iter()
            .find(|(c, t, _)| (c, t) == (&record.content, &taken));
        found.map(|(_, _, sheet)| sheet.clone())
    };
    if let Some(known) = known {
        return Ok(known);
    }
    let bytes = state.store.capture_bytes(record.id).await?;
    let sheet = blocking(move || opened(&bytes, &taken, &picture::Limits::default()).map_err(said))
        .await??;
    Ok(Arc::new(sheet))
}

/// # Errors
/// Steps that another program wrote.
pub async fn open(context: &Context, base: Base) -> Result<OpenPrint, PageError> {
    let state = &context.state;
    let work: Work = base.kept.steps.read(WORK_FORMAT, WORK_VERSION)?;
    let read = reread(state, &base.record, work).await?;
    keep(state, &base.record, read.clone());
    Ok(OpenPrint { base, read })
}
