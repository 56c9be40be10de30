//! What does the page show, and how do the files come down?

use super::asked::{self, By, KEPT_FOR, Wanted, What};
use super::make::{ABOUT, About};
use super::study::NO_KEY;
use crate::{
    AppState,
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    words,
};
use askama::Template;
use axum::{
    Form,
    body::{Body, Bytes},
    extract::Path,
    http::header,
    response::{IntoResponse, Redirect, Response},
};
use record::Noted;
use serde::Deserialize;
use std::io::{self, BufWriter, Write};
use store::exports::ExportFile;
use store::jobs::{Job, JobId, JobState};
use time::OffsetDateTime;
use tokio::sync::mpsc;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

const LISTED: usize = 12;
/// Pieces of a packed file on their way to a slow line.
const AHEAD: usize = 8;
const PIECE: usize = 256 * 1024;

#[derive(Template)]
#[template(path = "exports/exports.html")]
pub struct ExportsPage {
    pub shell: Shell,
    pub asks: Vec<AskView>,
    pub rows: Vec<RowView>,
    /// Something is under way.
    pub waits: bool,
    pub days: i64,
}

pub struct AskView {
    pub key: &'static str,
    pub title: &'static str,
    pub words: &'static str,
    /// Why it cannot be asked for.
    pub not: Option<String>,
}

pub struct RowView {
    pub id: String,
    pub what: String,
    pub asked: String,
    pub state: &'static str,
    pub class: &'static str,
    pub more: String,
    /// How many of how many.
    pub progress: Option<(u32, u32)>,
    pub says: Vec<String>,
    /// What a file is called, what stands in it, how large it is.
    pub files: Vec<(String, String, String)>,
    pub size: String,
    /// Can be fetched.
    pub there: bool,
    pub open: bool,
}

fn asks(state: &AppState) -> Vec<AskView> {
    let of = |what: What, title, words| AskView {
        key: what.key(),
        title,
        words,
        not: None,
    };
    vec![
        of(
            What::Records,
            "Health records of everybody",
            "FHIR R4, one line for each resource, for another record system. With names.",
        ),
        AskView {
            not: state
                .outside
                .study_key
                .is_none()
                .then(|| crate::error::sentence(NO_KEY)),
            ..of(
                What::Study,
                "A study without names",
                "One table of feet and one of readings, as CSV and Parquet, with a dictionary.",
            )
        },
        of(
            What::Readings,
            "Every film read again",
            "Today's program reads the points of every film that was finished and tells where it differs from what was kept. Nothing that was kept changes. With chart numbers.",
        ),
    ]
}

/// `GET /exports`
pub async fn show(context: Context) -> Result<Response, PageError> {
    let state = &context.state;
    let mine = asked::of(state, By::Person(context.worker.id)).await?;
    let mut rows = Vec::new();
    for (job, wanted) in mine.iter().take(LISTED) {
        rows.push(row(&context, job, wanted).await?);
    }
    page(&ExportsPage {
        asks: asks(state),
        waits: rows.iter().any(|r| r.open),
        rows,
        days: KEPT_FOR.whole_days(),
        shell: context.shell("Exports", Nav::Practice),
    })
}

async fn row(context: &Context, job: &Job, wanted: &Wanted) -> Result<RowView, PageError> {
    let moment = |at: OffsetDateTime| words::moment(at, context.now.offset());
    let why = job.why.as_deref().map(crate::error::sentence);
    let (files, says) = match job.state {
        JobState::Done { .. } => made(&context.state, job.id).await?,
        _ => Default::default(),
    };
    let (state, class, more) = match job.state {
        JobState::Waiting { due_at } => match why {
            Some(why) => (
                "waits for another try",
                "attention",
                format!("{why} Again at {}.", moment(due_at)),
            ),
            None => ("waits", "", String::new()),
        },
        JobState::InHand { .. } => ("is being made", "", String::new()),
        JobState::Done { .. } if files.is_empty() => {
            ("gone", "", "Its files were taken away.".to_owned())
        }
        JobState::Done { .. } => (
            "ready",
            "good",
            format!("There until {}.", moment(job.asked_at + KEPT_FOR)),
        ),
        JobState::GivenUp { .. } => ("came to nothing", "attention", why.unwrap_or_default()),
    };
    let progress = job.progress.filter(|p| job.is_open() && p.of > 0);
    Ok(RowView {
        id: job.id.to_string(),
        what: words::capitalised(wanted.what.words()),
        asked: moment(job.asked_at),
        state,
        class,
        more,
        progress: progress.map(|p| (p.done, p.of)),
        says,
        size: words::size(files.iter().map(|f| f.bytes).sum()),
        files: files
            .iter()
            .filter(|f| f.name != ABOUT)
            .map(|f| (f.name.clone(), lines(f), words::size(f.bytes)))
            .collect(),
        there: !files.is_empty(),
        open: job.is_open(),
    })
}

fn lines(file: &ExportFile) -> String {
    let n = usize::try_from(file.lines).unwrap_or(usize::MAX);
    words::count(
        n,
        &format!("line ({})", file.holds),
        &format!("lines ({})", file.holds),
    )
}

/// The files of an export that is ready, and what there is to say of them.
async fn made(state: &AppState, job: JobId) -> Result<(Vec<ExportFile>, Vec<String>), PageError> {
    let files = state.store.export_files(job).await?;
    if files.iter().all(|f| f.name != ABOUT) {
        return Ok((files, Vec::new()));
    }
    let about = state.store.export_bytes(job, ABOUT.to_owned()).await?;
    let about: About = serde_json::from_slice(&about)
        .map_err(|e| PageError::ours("reading what there is to say of an export", e))?;
    Ok((files, about.says))
}

#[derive(Debug, Default, Deserialize)]
pub struct Ask {
    #[serde(default)]
    what: String,
}

/// `POST /exports`
pub async fn ask(context: Context, Form(form): Form<Ask>) -> Result<Redirect, PageError> {
    let Some(what) = What::of_key(&form.what) else {
        return Err(PageError::input(
            "found no export of this name; choose one of those on the page",
        ));
    };
    if what == What::Study && context.state.outside.study_key.is_none() {
        return Err(PageError::NotNow {
            sentence: NO_KEY.to_owned(),
        });
    }
    let wanted = Wanted {
        what,
        by: By::Person(context.worker.id),
        closed_too: false,
        types: Vec::new(),
        request: None,
    };
    let detail = format!("{}: asked for", what.words());
    let note = context.who.note(&context.state, Noted::TookOut, detail);
    asked::ask(&context.state, context.now, note, wanted).await?;
    Ok(Redirect::to("/exports"))
}

/// `POST /exports/{job}/stop`
pub async fn stop(context: Context, Path(job): Path<String>) -> Result<Redirect, PageError> {
    let (job, _) = asked::one(&context.state, By::Person(context.worker.id), &job).await?;
    off(&context.state, context.now, job.id).await?;
    Ok(Redirect::to("/exports"))
}

/// Whoever has it in hand can add nothing from then on.
pub async fn off(state: &AppState, now: OffsetDateTime, job: JobId) -> Result<(), PageError> {
    state
        .store
        .call_off_job(job, "it was stopped".to_owned(), now)
        .await?;
    Ok(state.store.forget_export(job).await?)
}

/// `POST /exports/{job}/away`
pub async fn away(context: Context, Path(job): Path<String>) -> Result<Redirect, PageError> {
    let (job, _) = asked::one(&context.state, By::Person(context.worker.id), &job).await?;
    context.state.store.forget_export(job.id).await?;
    Ok(Redirect::to("/exports"))
}

/// `GET /exports/{job}/all.zip`
pub async fn all(context: Context, Path(job): Path<String>) -> Result<Response, PageError> {
    let state = &context.state;
    let (job, wanted) = asked::one(state, By::Person(context.worker.id), &job).await?;
    let files = match job.state {
        JobState::Done { .. } => state.store.export_files(job.id).await?,
        _ => Vec::new(),
    };
    if files.is_empty() {
        return Err(PageError::NotFound { what: "export" });
    }
    let detail = format!("{}, export {}: fetched", wanted.what.words(), job.id);
    let note = context.who.note(state, Noted::TookOut, detail);
    state.store.note(note).await?;
    let heads = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!(
                "attachment; filename=\"{}-{}.zip\"",
                wanted.what.key(),
                job.id
            ),
        ),
        (header::CACHE_CONTROL, "no-store".to_owned()),
    ];
    Ok((heads, packed(state.clone(), job.id, files)).into_response())
}

/// Packed on the way: no more than one file of it is in memory.
fn packed(state: AppState, job: JobId, files: Vec<ExportFile>) -> Body {
    let (to, mut from) = mpsc::channel::<io::Result<Bytes>>(AHEAD);
    let hold = tokio::runtime::Handle::current();
    tokio::task::spawn_blocking(move || {
        let line = BufWriter::with_capacity(PIECE, Line(to.clone()));
        let bytes_of = |name: &str| {
            hold.block_on(state.store.export_bytes(job, name.to_owned()))
                .map_err(io::Error::other)
        };
        if let Err(fault) = pack(line, &files, bytes_of)
            && fault.kind() != io::ErrorKind::BrokenPipe
        {
            tracing::warn!(%fault, "an export could not be given whole");
            // The other side must not take what it has for the whole.
            let _ = to.blocking_send(Err(fault));
        }
    });
    Body::from_stream(futures_util::stream::poll_fn(move |at| from.poll_recv(at)))
}

fn pack(
    line: impl Write,
    files: &[ExportFile],
    bytes_of: impl Fn(&str) -> io::Result<Vec<u8>>,
) -> io::Result<()> {
    let mut zip = ZipWriter::new_stream(line);
    let plain = SimpleFileOptions::default()
        .last_modified_time(DateTime::default())
        .compression_method(CompressionMethod::Deflated);
    for file in files {
        let large = file.bytes > u64::from(u32::MAX);
        zip.start_file(file.name.as_str(), plain.large_file(large))?;
        zip.write_all(&bytes_of(&file.name)?)?;
    }
    zip.finish()?.into_inner().flush()
}

/// To whoever fetches.
struct Line(mpsc::Sender<io::Result<Bytes>>);

impl Write for Line {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0
            .blocking_send(Ok(Bytes::copy_from_slice(bytes)))
            .map_err(|_| io::Error::from(io::ErrorKind::BrokenPipe))?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
