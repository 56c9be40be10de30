//! Invented films, an inbox in memory and a receiver on the loopback address. No person is real.
#![allow(dead_code)]

pub mod sheet;

use exchange_dicom::inbox::{Inbox, Received, Refusal};
use exchange_dicom::receive::{Caller, Receiver, ReceiverLimits, Rules};
use exchange_dicom::tls::Acceptor;
use exchange_dicom::uids::uid_of;
use film::write::{DicomFilm, PersonOnFilm};
use std::path::Path;
use std::process::{Command, Output};
use std::sync::{Arc, Mutex};
use terms::{Side, Stance, View};
use time::macros::datetime;
use tokio::net::TcpListener;
use tokio::sync::oneshot;
use uuid::Uuid;

pub fn film(number: u128) -> DicomFilm {
    let (width, height) = (64, 48);
    DicomFilm {
        width,
        height,
        pixels: (0..width * height).map(|i| (i % 4096) as u16).collect(),
        bits_stored: 12,
        view: View::Lateral,
        side: Side::Left,
        stance: Stance::Standing,
        person: PersonOnFilm {
            id: "T-0042".into(),
            name: "Invented^Person".into(),
            birth_date: Some(time::macros::date!(1961 - 03 - 04)),
            sex: None,
        },
        study_uid: uid_of(Uuid::from_u128(1)),
        series_uid: uid_of(Uuid::from_u128(2)),
        instance_uid: uid_of(Uuid::from_u128(1000 + number)),
        taken_at: datetime!(2026-05-17 10:11:12),
        accession: "A1".into(),
        study_id: "1".into(),
        series_number: 1,
        instance_number: number as u32 + 1,
        description: "left foot lateral standing".into(),
        comments: "invented".into(),
        manufacturer: "Tiebeam".into(),
        device: "computed".into(),
        detector_spacing: film::scale::Spacing {
            across_mm: 0.15,
            down_mm: 0.15,
        },
        calibrated: None,
        magnification: None,
        source_to_detector_mm: None,
        source_to_patient_mm: None,
        window: (2048.0, 4096.0),
        rows_towards: "A".into(),
        columns_towards: "F".into(),
    }
}

pub fn film_file(number: u128) -> Vec<u8> {
    film::write::dicom(&film(number)).expect("an invented film")
}

/// Keeps in memory, or refuses everything.
#[derive(Default)]
pub struct Memory {
    pub kept: Mutex<Vec<Received>>,
    pub refuse: Option<Refusal>,
}

impl Inbox for Memory {
    async fn keep(&self, received: Received) -> Result<(), Refusal> {
        if let Some(refusal) = &self.refuse {
            return Err(refusal.clone());
        }
        self.kept.lock().expect("the inbox").push(received);
        Ok(())
    }
}

impl Memory {
    pub fn count(&self) -> usize {
        self.kept.lock().expect("the inbox").len()
    }
}

pub fn rules() -> Rules {
    Rules {
        called: "TIEBEAM".into(),
        callers: vec![Caller {
            title: "XRAY".into(),
            from: vec!["127.0.0.0/8".parse().expect("a range")],
        }],
        any_title_from: Vec::new(),
        limits: ReceiverLimits::default(),
    }
}

pub struct Running {
    pub port: u16,
    pub inbox: Arc<Memory>,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<std::thread::JoinHandle<()>>,
}

impl Running {
    pub fn start(rules: Rules, inbox: Memory, tls: Option<Acceptor>) -> Running {
        let inbox = Arc::new(inbox);
        let (stop, stopped) = oneshot::channel::<()>();
        let (tell, told) = std::sync::mpsc::channel();
        let mine = inbox.clone();
        let thread = std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_multi_thread()
                .worker_threads(2)
                .enable_all()
                .build()
                .expect("a runtime");
            runtime.block_on(async move {
                let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
                tell.send(listener.local_addr().expect("an address").port())
                    .expect("told");
                let receiver = Receiver::new(rules, mine, tls);
                receiver
                    .run(listener, async {
                        let _ = stopped.await;
                    })
                    .await
                    .expect("a run");
            });
        });
        Running {
            port: told.recv().expect("a port"),
            inbox,
            stop: Some(stop),
            thread: Some(thread),
        }
    }

    pub fn plain() -> Running {
        Running::start(rules(), Memory::default(), None)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        if let Some(stop) = self.stop.take() {
            let _ = stop.send(());
        }
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

pub fn run(program: &str, arguments: &[&str]) -> Output {
    Command::new(program)
        .args(arguments)
        .output()
        .unwrap_or_else(|e| panic!("{program} ({e}); Debian packages dcmtk and dicom3tools"))
}

/// Both streams of a run, for a failure's message.
pub fn said(output: &Output) -> String {
    format!(
        "{}\n{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    )
}

pub fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}
