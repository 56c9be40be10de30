//! Everything that is kept of one patient.
//!
//! What an export, an exchange format or a table of cases is made from, so that each of them reads one thing and
//! none of them asks a store. The bytes of files are named by their hash and fetched one by one.

use crate::{
    Act, CaptureRecord, CareRecord, Clinician, ContentHash, DecisionRecord, ExamRecord, FilmRecord,
    LetterRecord, LetterState, OrderRecord, Patient, PlanRecord, PointsRecord, Practice,
    ScanRecord, StepsRecord, Visit, VisitId, WearRecord,
};
use serde::Serialize;
use std::collections::BTreeMap;

/// Everything of one patient as it stands now, with who worked on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Chart {
    /// `None` before the practice was described.
    pub practice: Option<Practice>,
    /// Everybody of the practice, by name: readers and signers are named by their ids below.
    pub clinicians: Vec<Clinician>,
    pub patient: Patient,
    /// Newest first.
    pub visits: Vec<Visit>,
    /// In the order they were taken in, like scans and captures.
    pub films: Vec<FilmRecord>,
    /// Finished placings and those in hand, film by film.
    pub points: Vec<PointsRecord>,
    pub wear: Vec<WearRecord>,
    /// As they stand now, like decisions, plans, orders and entries of care.
    pub exams: Vec<ExamRecord>,
    pub decisions: Vec<DecisionRecord>,
    pub plans: Vec<PlanRecord>,
    /// Drafts and signed letters, without those taken away.
    pub letters: Vec<LetterRecord>,
    pub scans: Vec<ScanRecord>,
    pub orders: Vec<OrderRecord>,
    pub captures: Vec<CaptureRecord>,
    pub steps: Vec<StepsRecord>,
    pub care: Vec<CareRecord>,
    /// What was done to any of it, in order.
    pub acts: Vec<Act>,
}

impl Chart {
    /// Of somebody of whom nothing is kept yet.
    pub fn of(practice: Option<Practice>, clinicians: Vec<Clinician>, patient: Patient) -> Self {
        Self {
            practice,
            clinicians,
            patient,
            visits: Vec::new(),
            films: Vec::new(),
            points: Vec::new(),
            wear: Vec::new(),
            exams: Vec::new(),
            decisions: Vec::new(),
            plans: Vec::new(),
            letters: Vec::new(),
            scans: Vec::new(),
            orders: Vec::new(),
            captures: Vec::new(),
            steps: Vec::new(),
            care: Vec::new(),
            acts: Vec::new(),
        }
    }
}

/// A file that a chart names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedFile {
    pub content: ContentHash,
    pub media_type: String,
    pub visit: VisitId,
    /// What it is, in words for a folder: `film`, `scan`, `capture`, `letter`, `order-sheet`, `order-solids`.
    pub what: &'static str,
    /// The name it came with; none for what was made here.
    pub came_as: Option<String>,
}

impl Chart {
    pub fn visit(&self, id: VisitId) -> Option<&Visit> {
        self.visits.iter().find(|v| v.id == id)
    }

    /// Every file that is named, once each, by hash.
    pub fn files(&self) -> Vec<NamedFile> {
        let mut files: BTreeMap<ContentHash, NamedFile> = BTreeMap::new();
        let mut add = |file: NamedFile| {
            files.entry(file.content).or_insert(file);
        };
        for f in &self.films {
            add(NamedFile {
                content: f.content,
                media_type: f.media_type.clone(),
                visit: f.visit,
                what: "film",
                came_as: Some(f.file_name.clone()),
            });
        }
        for s in &self.scans {
            add(NamedFile {
                content: s.content,
                media_type: s.media_type.clone(),
                visit: s.visit,
                what: "scan",
                came_as: Some(s.file_name.clone()),
            });
        }
        for c in &self.captures {
            add(NamedFile {
                content: c.content,
                media_type: c.media_type.clone(),
                visit: c.visit,
                what: "capture",
                came_as: Some(c.file_name.clone()),
            });
        }
        for l in &self.letters {
            if let LetterState::Signed { pdf, .. } = &l.state {
                add(made(*pdf, "application/pdf", l.visit, "letter"));
            }
        }
        for o in &self.orders {
            if let Some(sent) = &o.sent {
                add(made(sent.sheet, "application/pdf", o.visit, "order-sheet"));
                add(made(sent.solids, "model/3mf", o.visit, "order-solids"));
            }
        }
        files.into_values().collect()
    }
}

fn made(content: ContentHash, media_type: &str, visit: VisitId, what: &'static str) -> NamedFile {
    NamedFile {
        content,
        media_type: media_type.into(),
        visit,
        what,
        came_as: None,
    }
}
