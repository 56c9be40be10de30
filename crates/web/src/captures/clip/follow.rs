//! Points are followed off the server's threads; the page asks how far it is and can stop it.

use super::hand::frames;
use super::steps::{OpenClip, kept, open};
use crate::AppState;
use crate::captures::base::{BadField, base, refused, unsaved};
use crate::context::Context;
use crate::error::{PageError, sentence};
use crate::heavy;
use axum::{
    Json,
    extract::Path,
    response::{IntoResponse, Redirect, Response},
};
use motion::frames::packed::Packed;
use motion::track::follow::follow_with;
use motion::work::ClipWork;
use motion::{Frame, Frames, Marks, MotionError, Track};
use record::{CaptureId, CaptureKind, Stamp};
use serde::Serialize;
use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// What is being followed, and what came of the last time.
#[derive(Default)]
pub struct Jobs(Mutex<HashMap<CaptureId, Arc<Job>>>);

impl Jobs {
    pub fn forget_all(&self) {
        self.0
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
    }
}

#[derive(Default)]
pub struct Job {
    now: Mutex<Now>,
    stopped: AtomicBool,
}

#[derive(Debug, Clone, Default, PartialEq)]
enum Now {
    #[default]
    Beginning,
    Running {
        done: usize,
        of: usize,
    },
    Stopped,
    Failed(String),
    Done,
}

/// For page and script.
#[derive(Debug, Default, Serialize)]
pub struct Shown {
    /// `none`, `running`, `stopped`, `failed`, `done`.
    pub state: &'static str,
    pub share: f64,
    pub words: String,
}

impl Job {
    fn put(&self, now: Now) {
        *self.now.lock().unwrap_or_else(PoisonError::into_inner) = now;
    }

    fn now(&self) -> Now {
        self.now
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    fn runs(&self) -> bool {
        matches!(self.now(), Now::Beginning | Now::Running { .. })
    }

    fn shown(&self) -> Shown {
        let (state, share, words) = match self.now() {
            Now::Beginning => ("running", 0.0, "Opening the frames".to_owned()),
            Now::Running { done, of } => (
                "running",
                done as f64 / of.max(1) as f64,
                format!("Following: frame {done} of {of}"),
            ),
            Now::Stopped => (
                "stopped",
                0.0,
                "Stopped; what was there before stands.".to_owned(),
            ),
            Now::Failed(why) => ("failed", 0.0, sentence(&why)),
            Now::Done => ("done", 1.0, "Followed and saved.".to_owned()),
        };
        Shown {
            state,
            share,
            words,
        }
    }
}

impl Jobs {
    fn of(&self, id: CaptureId) -> Option<Arc<Job>> {
        let jobs = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        jobs.get(&id).cloned()
    }

    /// `None` where it runs already.
    fn begun(&self, id: CaptureId) -> Option<Arc<Job>> {
        let mut jobs = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if jobs.get(&id).is_some_and(|j| j.runs()) {
            return None;
        }
        jobs.retain(|_, j| j.runs());
        let job = Arc::new(Job::default());
        jobs.insert(id, job.clone());
        Some(job)
    }
}

/// Frames until somebody stops.
struct Stoppable<'j> {
    frames: Packed,
    job: &'j Job,
}

impl Frames for Stoppable<'_> {
    fn count(&self) -> usize {
        self.frames.count()
    }

    fn time_s(&self, frame: usize) -> Option<f64> {
        self.frames.time_s(frame)
    }

    fn frame(&mut self, frame: usize) -> Result<Frame, MotionError> {
        if self.job.stopped.load(Ordering::Relaxed) {
            return Err(MotionError::FrameDamaged {
                frame,
                found: "stopped by hand".to_owned(),
            });
        }
        self.frames.frame(frame)
    }
}

fn followed(job: &Job, frames: Packed, marks: &Marks) -> Result<Track, MotionError> {
    let mut frames = Stoppable { frames, job };
    follow_with(&mut frames, marks, &mut |done, of| {
        job.put(Now::Running { done, of });
    })
}

async fn run(
    state: AppState,
    stamp: Stamp,
    job: Arc<Job>,
    frames: Packed,
    opened: OpenClip,
    marks: Marks,
) {
    let (own, to_follow) = (job.clone(), marks.clone());
    let track =
        tokio::task::spawn_blocking(move || heavy::done(|| followed(&own, frames, &to_follow)))
            .await;
    let end = match track {
        Err(_) => Now::Failed("following broke off; try once more".to_owned()),
        Ok(Err(_)) if job.stopped.load(Ordering::Relaxed) => Now::Stopped,
        Ok(Err(why)) => Now::Failed(why.to_string()),
        Ok(Ok(track)) => match saved(&state, stamp, opened, marks, track).await {
            Ok(()) => Now::Done,
            Err(why) => Now::Failed(why),
        },
    };
    job.put(end);
}

async fn saved(
    state: &AppState,
    stamp: Stamp,
    opened: OpenClip,
    marks: Marks,
    track: Track,
) -> Result<(), String> {
    let mut work: ClipWork = opened.work;
    work.keep(marks, track);
    let readings = work.read().map_err(|e| e.to_string())?;
    let (steps, readings) = kept(&work, readings.as_ref()).map_err(|e| e.to_string())?;
    let steps = unsaved(&stamp, opened.base.record.id, steps, readings);
    let seen = opened.base.kept.revision;
    let kept = state.store.save_steps(stamp, steps, seen).await;
    kept.map(|_| ()).map_err(|_| {
        "the points were changed while they were followed; follow them once more".to_owned()
    })
}

/// `POST /capture/{id}/follow`
pub async fn begin(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let base = base(&context, id.parse()?).await?;
    if base.record.kind != CaptureKind::HeelRise {
        return Err(PageError::NotFound { what: "clip" });
    }
    let id = base.record.id;
    let opened = open(base)?;
    let marks = match opened.work.marks() {
        Ok(marks) => marks,
        Err(fault) => return refused(&context, BadField::said("", &fault)),
    };
    let state = &context.state;
    let frames = frames(state, &opened.base.record).await?;
    if let Some(job) = state.captures.jobs.begun(id) {
        tokio::spawn(run(
            state.clone(),
            context.stamp(),
            job,
            frames,
            opened,
            marks,
        ));
    }
    answer(&context, id)
}

/// `GET /capture/{id}/follow`: how far it is.
pub async fn state(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    answer(&context, id.parse()?)
}

/// `POST /capture/{id}/follow/stop`
pub async fn stop(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let id = id.parse()?;
    if let Some(job) = context.state.captures.jobs.of(id) {
        job.stopped.store(true, Ordering::Relaxed);
    }
    answer(&context, id)
}

/// How far a clip is.
pub fn shown(context: &Context, id: CaptureId) -> Shown {
    let job = context.state.captures.jobs.of(id);
    job.map_or_else(
        || Shown {
            state: "none",
            ..Shown::default()
        },
        |j| j.shown(),
    )
}

fn answer(context: &Context, id: CaptureId) -> Result<Response, PageError> {
    if context.by_script {
        return Ok(Json(shown(context, id)).into_response());
    }
    Ok(Redirect::to(&format!("/capture/{id}#readings")).into_response())
}
