//! Everything of one visit in one place: what was answered, what was read, and what follows from both.
//! The visit's page and its letters are written from this.

use crate::adapt::person::{
    FOOT_FORMAT, FOOT_VERSION, PERSON_FORMAT, PERSON_VERSION, PersonSheet, person_on,
};
use crate::adapt::plan::KeptPlan;
use crate::adapt::readings::standing;
use crate::context::Context;
use crate::error::PageError;
use care::{CareInput, Proposal};
use exam::Examination;
use knowledge::yardstick::Person;
use reading::ReadingSheet;
use record::{
    DecisionRecord, ExamineOf, FilmRecord, Patient, PlanRecord, PointsRecord, Visit, VisitId,
};
use stage::{StageInput, StageReport};
use terms::Side;

/// One film with the placing that stands for it.
pub struct VisitFilm {
    pub record: FilmRecord,
    pub placing: Option<PointsRecord>,
    pub sheet: Option<ReadingSheet>,
}

/// One foot of the visit.
pub struct VisitFoot {
    pub side: Side,
    pub exam: Examination,
    /// 0 where nothing was saved yet.
    pub revision: u32,
    pub report: StageReport,
    pub proposal: Proposal,
    pub decision: Option<DecisionRecord>,
}

impl VisitFoot {
    /// `left:orthosis`, as the plan keeps what was taken.
    pub fn rung_name(&self, rung: &care::ProposedRung) -> String {
        format!("{}:{}", self.side.word(), rung.key)
    }
}

/// The whole visit.
pub struct Gathered {
    pub visit: Visit,
    pub patient: Patient,
    pub person: Person,
    pub sheet: PersonSheet,
    pub sheet_revision: u32,
    pub feet: [VisitFoot; 2],
    pub films: Vec<VisitFilm>,
    pub plan: Option<PlanRecord>,
    pub kept_plan: KeptPlan,
}

impl Gathered {
    pub fn foot(&self, side: Side) -> &VisitFoot {
        if self.feet[0].side == side {
            &self.feet[0]
        } else {
            &self.feet[1]
        }
    }
}

/// Reads a visit from the record.
///
/// # Errors
/// No such visit, or an answer that cannot be read back.
pub async fn gather(context: &Context, id: VisitId) -> Result<Gathered, PageError> {
    let store = &context.state.store;
    let visit = store.visit(id).await?;
    let patient = store.patient(visit.patient).await?;
    let reading_back = |e| PageError::ours("reading an examination back", e);
    let (mut sheet, mut sheet_revision) = (PersonSheet::default(), 0);
    if let Some(kept) = store.exam(id, ExamineOf::Person).await? {
        sheet = kept
            .exam
            .read(PERSON_FORMAT, PERSON_VERSION)
            .map_err(reading_back)?;
        sheet_revision = kept.revision;
    }
    fill_in_person(&mut sheet, &patient, &visit);
    let mut films = Vec::new();
    for record in store.films_of_visit(id).await? {
        let placings = store.points_of(record.id).await?;
        let placing = standing(&placings).cloned();
        // A sheet that an older program wrote in another way is left out, never guessed at.
        let sheet = placing
            .as_ref()
            .and_then(|p| serde_json::from_value(p.sheet.body.clone()).ok());
        films.push(VisitFilm {
            record,
            placing,
            sheet,
        });
    }
    let sheets: Vec<ReadingSheet> = films.iter().filter_map(|f| f.sheet.clone()).collect();
    let mut feet = Vec::new();
    for side in Side::BOTH {
        let (mut exam, mut revision) = (Examination::new(), 0);
        if let Some(kept) = store.exam(id, ExamineOf::Foot(side)).await? {
            exam = kept
                .exam
                .read(FOOT_FORMAT, FOOT_VERSION)
                .map_err(reading_back)?;
            revision = kept.revision;
        }
        let report = stage::stage(&StageInput {
            knowledge: context.state.knowledge,
            person: &sheet.story,
            side,
            exam: &exam,
            sheets: &sheets,
            flags: &sheet.flags,
        });
        let proposal = care::propose(
            &report,
            &CareInput {
                person: &sheet.story,
                exam: &exam,
                flags: &sheet.flags,
            },
        );
        let decision = store.decision(id, side).await?;
        feet.push(VisitFoot {
            side,
            exam,
            revision,
            report,
            proposal,
            decision,
        });
    }
    let [left, right] = <[VisitFoot; 2]>::try_from(feet)
        .map_err(|_| PageError::ours("gathering the feet", "not two"))?;
    let plan = store.plan(id).await?;
    Ok(Gathered {
        person: person_on(&patient, visit.on),
        kept_plan: plan.as_ref().and_then(KeptPlan::of).unwrap_or_default(),
        visit,
        patient,
        sheet,
        sheet_revision,
        feet: [left, right],
        films,
        plan,
    })
}

/// Age and sex come from the patient's details; they are not asked twice.
pub fn fill_in_person(sheet: &mut PersonSheet, patient: &Patient, visit: &Visit) {
    if let Some(years) = patient.age_years_on(visit.on) {
        let _ = sheet.story.set("age_years", &format!("{years:.1}"));
    }
    match patient.sex {
        Some(terms::Sex::Female) => drop(sheet.story.set("sex", "female")),
        Some(terms::Sex::Male) => drop(sheet.story.set("sex", "male")),
        None => {}
    }
}
