//! How are the files made: the device at full detail, checked, written, read back and measured?
//!
//! One job for each order, off the server's threads; it says what it does and how far it is, and can be
//! stopped between its steps. Its result is kept while the order stays as it is.

use super::order::{Opened, open};
use crate::context::Context;
use crate::error::PageError;
use crate::heavy;
use crate::words;
use ::shell::Making;
use ::shell::measured::Dimension;
use axum::{
    Json,
    extract::Path,
    response::{IntoResponse, Redirect, Response},
};
use knowledge::Knowledge;
use serde::Serialize;
use serde_json::json;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use workshop::{Files, OpenFoot, Wish};

enum State {
    Running { share: f64, doing: &'static str },
    Stopped,
    Failed(String),
    Done(Arc<Files>),
}

/// The making of an order's files.
pub struct Job {
    /// What it is made from; another key is another order.
    pub key: String,
    state: Mutex<State>,
    stopped: AtomicBool,
}

impl Job {
    fn new(key: String) -> Job {
        Job {
            key,
            state: Mutex::new(State::Running {
                share: 0.0,
                doing: "Beginning",
            }),
            stopped: AtomicBool::new(false),
        }
    }

    pub fn stop(&self) {
        self.stopped.store(true, Ordering::Relaxed);
    }

    fn put(&self, state: State) {
        *self.state.lock().unwrap_or_else(PoisonError::into_inner) = state;
    }

    /// Says what comes next; `None` where somebody stopped it.
    fn step(&self, share: f64, doing: &'static str) -> Option<()> {
        if self.stopped.load(Ordering::Relaxed) {
            return None;
        }
        self.put(State::Running { share, doing });
        Some(())
    }

    pub fn files(&self) -> Option<Arc<Files>> {
        match &*self.state.lock().unwrap_or_else(PoisonError::into_inner) {
            State::Done(files) => Some(files.clone()),
            _ => None,
        }
    }

    pub fn shown(&self) -> Shown {
        let mut shown = Shown::default();
        match &*self.state.lock().unwrap_or_else(PoisonError::into_inner) {
            State::Running { share, doing } => {
                shown.state = "running";
                shown.share = *share;
                shown.words = (*doing).to_owned();
            }
            State::Stopped => {
                shown.state = "stopped";
                shown.words = "Stopped; no file was made.".to_owned();
            }
            State::Failed(why) => {
                shown.state = "failed";
                shown.words = crate::error::sentence(why);
            }
            State::Done(files) => {
                shown.state = "done";
                shown.words = done_words(files);
                shown.done = Some(DoneShown::of(files));
            }
        }
        shown
    }
}

fn done_words(files: &Files) -> String {
    let off = files.dimensions.iter().filter(|d| !d.kept()).count();
    match (files.is_sound(), off) {
        (false, _) => {
            "The files were made, but a body is no sound solid: do not send them.".to_owned()
        }
        (true, 0) => "The files are made, closed, and have the prescribed dimensions.".to_owned(),
        (true, n) => format!(
            "The files are made and closed; {n} of the dimensions differ from the prescription by more than 0.1 mm or 0.2°."
        ),
    }
}

/// How far a job is, for page and script.
#[derive(Default, Serialize)]
pub struct Shown {
    /// `none`, `running`, `stopped`, `failed`, `done`.
    pub state: &'static str,
    pub share: f64,
    pub words: String,
    /// The order changed since.
    pub outdated: bool,
    pub done: Option<DoneShown>,
}

impl Shown {
    pub fn percent(&self) -> u32 {
        (self.share * 100.0).round() as u32
    }
}

#[derive(Serialize)]
pub struct DoneShown {
    pub product: &'static str,
    pub sound: bool,
    pub bodies: Vec<BodyShown>,
    pub dimensions: Vec<DimensionShown>,
    pub cautions: Vec<String>,
    pub files: Vec<FileShown>,
}

#[derive(Serialize)]
pub struct BodyShown {
    pub name: &'static str,
    pub words: String,
    pub faults: Vec<String>,
}

#[derive(Serialize)]
pub struct DimensionShown {
    pub what: &'static str,
    pub asked: String,
    pub found: String,
    /// `kept`, `off`, or empty where nothing was asked for.
    pub state: &'static str,
}

#[derive(Serialize)]
pub struct FileShown {
    pub name: String,
    pub words: String,
    pub size: String,
}

impl DoneShown {
    fn of(files: &Files) -> DoneShown {
        let number = |value: f64, d: &Dimension| {
            format!("{}{}", quantity::written(value, 2), d.unit.suffix())
        };
        DoneShown {
            product: files.product.words(),
            sound: files.is_sound(),
            bodies: files
                .bodies
                .iter()
                .map(|b| BodyShown {
                    name: b.name,
                    words: b.words(),
                    faults: b.faults.clone(),
                })
                .collect(),
            dimensions: files
                .dimensions
                .iter()
                .map(|d| DimensionShown {
                    what: d.what,
                    asked: d.asked.map(|a| number(a, d)).unwrap_or_default(),
                    found: number(d.found, d),
                    state: match (d.asked, d.kept()) {
                        (None, _) => "",
                        (Some(_), true) => "kept",
                        (Some(_), false) => "off",
                    },
                })
                .collect(),
            cautions: files.cautions.clone(),
            files: files
                .files
                .iter()
                .map(|f| FileShown {
                    name: f.name.clone(),
                    words: f.words.clone(),
                    size: words::size(f.bytes.len() as u64),
                })
                .collect(),
        }
    }
}

/// `POST /order/{id}/final`: begins with the order as saved; what is made already is not made again.
pub async fn begin(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    if opened.record.sent.is_some() {
        return Err(PageError::NotNow {
            sentence: "this order was sent; its files are kept with it and are not made again"
                .to_owned(),
        });
    }
    let key = opened.wish.key();
    let usable =
        |job: &Arc<Job>| job.key == key && !matches!(job.shown().state, "stopped" | "failed");
    if opened.hand.job().as_ref().is_none_or(|j| !usable(j)) {
        let job = Arc::new(Job::new(key));
        opened.hand.begin(job.clone());
        let (foot, wish) = (opened.foot.clone(), opened.wish.clone());
        let knowledge = context.state.knowledge;
        let making = workshop::making(knowledge, &wish.sheet.prescription);
        let work = move || run(&job, &foot, wish, making, knowledge);
        tokio::task::spawn_blocking(|| heavy::done(work));
    }
    answer(&context, &opened)
}

/// `GET /order/{id}/final`: how far it is.
pub async fn state(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    answer(&context, &opened)
}

/// `POST /order/{id}/final/stop`
pub async fn stop(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    if let Some(job) = opened.hand.job() {
        job.stop();
    }
    answer(&context, &opened)
}

fn answer(context: &Context, opened: &Opened) -> Result<Response, PageError> {
    if context.by_script {
        Ok(Json(json!(shown(opened))).into_response())
    } else {
        Ok(Redirect::to(&format!("/order/{}#check", opened.record.id)).into_response())
    }
}

pub fn shown(opened: &Opened) -> Shown {
    match opened.hand.job() {
        None => Shown {
            state: "none",
            ..Shown::default()
        },
        Some(job) => Shown {
            outdated: job.key != opened.wish.key(),
            ..job.shown()
        },
    }
}

/// The files of the order as it stands now.
pub fn current(opened: &Opened) -> Option<Arc<Files>> {
    let job = opened.hand.job()?;
    (job.key == opened.wish.key()).then(|| job.files())?
}

fn run(job: &Job, foot: &OpenFoot, wish: Wish, making: Making, knowledge: &Knowledge) {
    let mut step = |share, doing| job.step(share, doing);
    let end = match workshop::make(foot, wish, making, knowledge, &mut step) {
        Some(Ok(files)) => State::Done(Arc::new(files)),
        Some(Err(why)) => State::Failed(why),
        None => State::Stopped,
    };
    job.put(end);
}
