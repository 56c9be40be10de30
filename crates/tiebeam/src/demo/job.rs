//! The whole job for one person after another: story, examination, films, points, stage, plan, letters;
//! the first person's films, readings and papers also go into the folder.

use super::people::{
    ADDRESS, CLINICIANS, Invented, InventedFilm, InventedVisit, PEOPLE, PRACTICE, foot,
};
use crate::clock;
use crate::filmwork::{CSV_HEAD, ReadFilm, film_facts, read_film};
use anyhow::{Context, Result};
use exam::{Examination, Given, RedFlags, Story};
use film::{Limits, ScaleWish};
use knowledge::{Knowledge, Person};
use phantom::expose::dicom::Paper;
use phantom::expose::{Exposure, expose};
use rand::SeedableRng;
use rand::rngs::StdRng;
use rand_distr::{Distribution, Normal, StandardNormal};
use reading::{FilmFacts, PlacedPoint, PointSet, Reader};
use record::{
    CareId, CareRecord, Clinician, ClinicianId, ContentHash, DisplayTurn, ExamineOf, FilmId,
    FilmRecord, Kept, Patient, PatientId, PointsId, PointsToSave, Practice, Visit, VisitId,
    VisitState,
};
use stage::{StageInput, StageReport};
use std::fs;
use std::path::Path;
use store::Store;
use store_sql::SqlStore;
use terms::{Side, Stance};
use time::{Date, Duration};
use uuid::Uuid;
use web::adapt::person::{FOOT_FORMAT, FOOT_VERSION, PERSON_FORMAT, PERSON_VERSION, PersonSheet};
use web::adapt::plan::{KeptPlan, PLAN_FORMAT, PLAN_VERSION};
use web::care::log::{GIVEN_FORMAT, GIVEN_VERSION};

/// A film of a visit, on record and read.
pub struct DoneFilm {
    pub name: String,
    pub bytes: Vec<u8>,
    pub read: Option<ReadFilm>,
}

/// Everything of one visit that a letter is written from.
pub struct DoneVisit {
    pub patient: Patient,
    pub visit: Visit,
    pub person: PersonSheet,
    pub exams: [(Side, Examination); 2],
    pub films: Vec<DoneFilm>,
    pub reports: Vec<(Side, StageReport, care::Proposal)>,
    /// Rungs taken, each `side:key`.
    pub taken: Vec<String>,
    /// The decision and the plan in the clinician's words.
    pub decision: String,
    /// The foot whose stage the clinician decided on, and which.
    pub decided: Option<(Side, String)>,
    pub review: Option<String>,
}

/// Fills the practice and writes the first person's files.
pub async fn whole(store: &SqlStore, out: &Path, words: &'static letter::Words) -> Result<()> {
    let clinicians = people_of_the_practice(store).await?;
    let today = clock::now().date();
    let mut first = None;
    for (number, person) in PEOPLE.iter().enumerate() {
        let patient = Patient {
            id: PatientId::new(Uuid::now_v7()),
            chart_number: person.chart.into(),
            given_name: person.given.into(),
            family_name: person.family.into(),
            born_on: Some(person.born),
            sex: Some(person.sex),
            note: "Invented person.".into(),
        };
        store
            .add_patient(clock::stamp(clinicians[0]), patient.clone())
            .await?;
        for plan in person.visits {
            println!(
                "{} {}: visit {} days ago, {} films",
                person.given,
                person.family,
                plan.days_ago,
                plan.films.len()
            );
            let day = today - Duration::days(plan.days_ago);
            let done = one_visit(store, &clinicians, person, &patient, plan, day).await?;
            if number == 0 && plan.days_ago == 0 {
                first = Some(done);
            }
        }
        keep_care(store, clinicians[0], person, &patient, today).await?;
    }
    let first = first.context("the scenario has no first patient with a visit today")?;
    super::captures::of_visit(store, clinicians[0], &first).await?;
    write_files(&first, out)?;
    crate::letters::of_demo(store, clinicians[0], &first, out, words).await?;
    super::shells::of_visit(store, clinicians[0], &PEOPLE[0], &first, out, words).await?;
    Ok(())
}

/// What was given, with the checks of it.
async fn keep_care(
    store: &SqlStore,
    me: ClinicianId,
    person: &Invented,
    patient: &Patient,
    today: Date,
) -> Result<()> {
    let mut ids: Vec<CareId> = Vec::new();
    for care in person.care {
        let mut answers = Given::new();
        for (key, text) in care.answers {
            answers
                .set(key, text)
                .with_context(|| format!("the care of {}", person.chart))?;
        }
        let id = CareId::new(Uuid::now_v7());
        let day = |ago: i64| today - Duration::days(ago);
        let record = CareRecord {
            id,
            patient: patient.id,
            visit: None,
            about: care.about.and_then(|place| ids.get(place)).copied(),
            kind: care.kind.key().into(),
            side: care.side,
            began_on: day(care.days_ago),
            ended_on: care.until_days_ago.map(day),
            review_on: care.look_days_ago.map(day),
            answers: Kept::of(GIVEN_FORMAT, GIVEN_VERSION, &answers)?,
            taken_away: false,
            revision: 0,
            content_of: 0,
            saved_at: clock::now(),
        };
        store.save_care(clock::stamp(me), record, 0).await?;
        ids.push(id);
    }
    Ok(())
}

async fn people_of_the_practice(store: &SqlStore) -> Result<[ClinicianId; 2]> {
    let ids = [
        ClinicianId::new(Uuid::now_v7()),
        ClinicianId::new(Uuid::now_v7()),
    ];
    let practice = Practice {
        name: PRACTICE.into(),
        address: ADDRESS.map(Into::into).to_vec(),
        telephone: None,
        demo: true,
    };
    store.save_practice(clock::stamp(ids[0]), practice).await?;
    for (id, (name, qualification)) in ids.into_iter().zip(CLINICIANS) {
        let clinician = Clinician {
            id,
            name: name.into(),
            qualification: qualification.into(),
            active: true,
        };
        store
            .save_clinician(clock::stamp(ids[0]), clinician)
            .await?;
    }
    Ok(ids)
}

async fn one_visit(
    store: &SqlStore,
    by: &[ClinicianId; 2],
    person: &Invented,
    patient: &Patient,
    plan: &InventedVisit,
    day: Date,
) -> Result<DoneVisit> {
    let me = by[0];
    let visit = Visit {
        id: VisitId::new(Uuid::now_v7()),
        patient: patient.id,
        on: day,
        reason: plan.reason.into(),
        state: VisitState::Open,
    };
    store.open_visit(clock::stamp(me), visit.clone()).await?;

    let mut sheet = PersonSheet {
        story: Story::new(),
        flags: RedFlags::new(),
    };
    if let Some(years) = patient.age_years_on(day) {
        sheet.story.set("age_years", &format!("{years:.1}"))?;
    }
    sheet.story.set(
        "sex",
        if person.sex == terms::Sex::Female {
            "female"
        } else {
            "male"
        },
    )?;
    for (key, text) in plan.story {
        sheet
            .story
            .set(key, text)
            .with_context(|| format!("the story of {}", person.chart))?;
    }
    for (key, text) in plan.flags {
        sheet
            .flags
            .set(key, text)
            .with_context(|| format!("the alarm signs of {}", person.chart))?;
    }
    store
        .save_exam(
            clock::stamp(me),
            visit.id,
            ExamineOf::Person,
            Kept::of(PERSON_FORMAT, PERSON_VERSION, &sheet)?,
            0,
        )
        .await?;
    let mut exams = [
        (Side::Left, Examination::new()),
        (Side::Right, Examination::new()),
    ];
    for (side, exam) in &mut exams {
        for (key, text) in if *side == Side::Left {
            plan.left
        } else {
            plan.right
        } {
            exam.set(key, text)
                .with_context(|| format!("the {} foot of {}", side.word(), person.chart))?;
        }
        store
            .save_exam(
                clock::stamp(me),
                visit.id,
                ExamineOf::Foot(*side),
                Kept::of(FOOT_FORMAT, FOOT_VERSION, exam)?,
                0,
            )
            .await?;
    }

    let mut films = Vec::new();
    for (i, wanted) in plan.films.iter().enumerate() {
        films.push(one_film(store, by, person, patient, &visit, wanted, i as u64).await?);
    }

    let sheets: Vec<_> = films
        .iter()
        .filter_map(|f| f.read.as_ref().map(|r| r.sheet.clone()))
        .collect();
    let reports = exams
        .iter()
        .map(|(side, exam)| {
            let report = stage::stage(&StageInput {
                knowledge: Knowledge::built_in(),
                person: &sheet.story,
                side: *side,
                exam,
                sheets: &sheets,
                flags: &sheet.flags,
            });
            let proposal = care::propose(
                &report,
                &care::CareInput {
                    person: &sheet.story,
                    exam,
                    flags: &sheet.flags,
                },
            );
            (*side, report, proposal)
        })
        .collect();
    let decided = plan.decision.as_ref();
    let done = DoneVisit {
        patient: patient.clone(),
        visit,
        person: sheet,
        exams,
        films,
        reports,
        taken: decided
            .map(|d| {
                d.rungs
                    .iter()
                    .map(|r| format!("{}:{r}", d.side.word()))
                    .collect()
            })
            .unwrap_or_default(),
        decision: decided.map(|d| d.words.to_owned()).unwrap_or_default(),
        decided: decided.map(|d| (d.side, d.chosen.to_owned())),
        review: plan
            .review_days
            .map(|d| web::words::day(day + Duration::days(d))),
    };
    decide(store, me, plan, &done, day).await?;
    Ok(done)
}

async fn decide(
    store: &SqlStore,
    me: ClinicianId,
    plan: &InventedVisit,
    done: &DoneVisit,
    day: Date,
) -> Result<()> {
    let Some(decision) = &plan.decision else {
        if let Some(days) = plan.review_days {
            keep_plan(
                store,
                me,
                done,
                KeptPlan::default(),
                Some(day + Duration::days(days)),
            )
            .await?;
        }
        return Ok(());
    };
    if let Some((side, report, _)) = done.reports.iter().find(|r| r.0 == decision.side) {
        let record = record::DecisionRecord {
            visit: done.visit.id,
            side: *side,
            report: Kept::of("tiebeam-stage-report", 1, report)?,
            chosen: Some(decision.chosen.into()),
            overruled_reason: None,
            revision: 0,
            saved_at: clock::now(),
        };
        store.save_decision(clock::stamp(me), record, 0).await?;
    }
    let kept = KeptPlan {
        proposed: done
            .reports
            .iter()
            .filter_map(|r| serde_json::to_value(&r.2).ok())
            .collect(),
        taken: decision
            .rungs
            .iter()
            .map(|r| format!("{}:{r}", decision.side.word()))
            .collect(),
        worn_left: decision.worn_left.into(),
        worn_right: decision.worn_right.into(),
        words: decision.words.into(),
    };
    keep_plan(
        store,
        me,
        done,
        kept,
        plan.review_days.map(|d| day + Duration::days(d)),
    )
    .await
}

async fn keep_plan(
    store: &SqlStore,
    me: ClinicianId,
    done: &DoneVisit,
    kept: KeptPlan,
    review_on: Option<Date>,
) -> Result<()> {
    let record = record::PlanRecord {
        visit: done.visit.id,
        plan: Kept::of(PLAN_FORMAT, PLAN_VERSION, &kept)?,
        review_on,
        revision: 0,
        saved_at: clock::now(),
    };
    store.save_plan(clock::stamp(me), record, 0).await?;
    Ok(())
}

/// Computes a film, takes it in, and places its points as two readers would.
async fn one_film(
    store: &SqlStore,
    by: &[ClinicianId; 2],
    person: &Invented,
    patient: &Patient,
    visit: &Visit,
    wanted: &InventedFilm,
    number: u64,
) -> Result<DoneFilm> {
    let age = patient.age_years_on(visit.on).unwrap_or(40.0);
    let spec = foot(person, wanted.side, wanted.collapse, age);
    let seed = spec.seed + number + visit.on.ordinal() as u64;
    let exposure = Exposure {
        seed,
        foot_rotation_deg: jitter(seed, 2.0),
        ..Exposure::usual(wanted.view)
    };
    let (name, bytes, truth) = tokio::task::spawn_blocking({
        let (chart, on) = (patient.chart_number.clone(), visit.on);
        let named = format!("{}^{}", patient.family_name, patient.given_name);
        let (born, sex) = (patient.born_on, patient.sex);
        move || -> Result<_> {
            let film = expose(&phantom::build(&spec)?, &exposure)?;
            let mut paper = Paper::invented(on.with_hms(9, 30, 0)?, seed * 16 + number);
            paper.person.id = chart;
            paper.person.name = named;
            paper.person.birth_date = born;
            paper.person.sex = sex;
            let name = format!("{}-{}", film.side.word(), film.exposure.view.key());
            Ok((
                name,
                film.dicom(&paper)?,
                crate::phantoms::true_points(&film),
            ))
        }
    })
    .await??;
    let opened = film::open(&bytes, &film::Limits::default())?;
    let answer = film::scale::choose(&opened.spacing, &ScaleWish::File { object: None });
    let record = FilmRecord {
        id: FilmId::new(Uuid::now_v7()),
        patient: patient.id,
        visit: visit.id,
        view: Some(wanted.view),
        side: Some(wanted.side),
        stance: Stance::Standing,
        worn: Some(terms::Worn::Bare),
        taken_on: Some(visit.on),
        file_name: format!("{name}.dcm"),
        content: ContentHash::of(&bytes),
        media_type: "application/dicom".into(),
        width_px: opened.width,
        height_px: opened.height,
        scale_wish: None,
        scale_answer: Some(Kept::of(
            web::desk::cache::ANSWER_FORMAT,
            web::desk::cache::SCALE_VERSION,
            &answer,
        )?),
        turn: DisplayTurn::default(),
        note: String::new(),
    };
    store
        .import_film(clock::stamp(by[0]), record.clone(), bytes.clone())
        .await?;
    let knowledge = Knowledge::built_in();
    let who = Person {
        age_years: patient.age_years_on(visit.on),
        sex: patient.sex,
    };
    let mut read = None;
    if wanted.placed {
        let opened = film::open(&bytes, &Limits::default())?;
        let scale = film::scale::choose(&opened.spacing, &ScaleWish::File { object: None });
        let facts = film_facts(&opened, &scale, None);
        let usual = Reader::new(knowledge, truth.view);
        for (attempt, reader) in [(1, by[0]), (2, by[0]), (3, by[1])] {
            let set = placed_by_hand(&usual, &truth, &facts, seed * 10 + attempt);
            let done = read_film(knowledge, &bytes, set, None, &who)?;
            let points = PointsToSave {
                id: PointsId::new(Uuid::now_v7()),
                film: record.id,
                reader,
                finished: true,
                points: Kept::of(
                    reading::points::POINTS_FORMAT,
                    reading::points::POINTS_VERSION,
                    &done.set,
                )?,
                sheet: Kept::of("tiebeam-reading-sheet", 1, &done.sheet)?,
            };
            store.save_points(clock::stamp(reader), points).await?;
            read = Some(done);
        }
    }
    Ok(DoneFilm { name, bytes, read })
}

fn jitter(seed: u64, sd: f64) -> f64 {
    let mut rng = StdRng::seed_from_u64(seed);
    Normal::new(0.0, sd)
        .map(|n| n.sample(&mut rng))
        .unwrap_or(0.0)
}

/// The true points, each missed as readers usually miss it.
fn placed_by_hand(usual: &Reader, truth: &PointSet, facts: &FilmFacts, seed: u64) -> PointSet {
    let placing = usual.placing_covariances_px2(truth, facts);
    let mut rng = StdRng::seed_from_u64(seed);
    let mut set = truth.clone();
    for (key, point) in &mut set.points {
        let Some(c) = placing.get(key) else { continue };
        let [right, down] = c.slip([(); 2].map(|()| StandardNormal.sample(&mut rng)));
        let hundredth = |v: f64| (v * 100.0).round() / 100.0;
        *point = PlacedPoint::at(hundredth(point.x_px + right), hundredth(point.y_px + down));
    }
    set
}

/// Films, readings and pictures of the first patient, and the table of what was found.
fn write_files(done: &DoneVisit, out: &Path) -> Result<()> {
    let knowledge = Knowledge::built_in();
    let films = out.join("films");
    fs::create_dir_all(&films).with_context(|| format!("{} could not be made", films.display()))?;
    let (mut csv, mut json) = (CSV_HEAD.to_owned(), Vec::new());
    for film in &done.films {
        let Some(read) = &film.read else { continue };
        csv += &read.csv_rows(&film.name);
        json.push(read.json(knowledge, &film.name));
        let picture = read.picture_png()?;
        let title = format!(
            "{} {} (invented)",
            read.sheet.side.map_or("", |s| s.word()),
            read.sheet.view.words()
        );
        let model = read.overlay(knowledge, &title, 1400);
        put(&films, &format!("{}.dcm", film.name), &film.bytes)?;
        put(
            &films,
            &format!("{}.points.json", film.name),
            read.set.to_json().as_bytes(),
        )?;
        put(
            &films,
            &format!("{}-annotated.svg", film.name),
            figure::annotated_film_svg(&picture, &model).as_bytes(),
        )?;
        put(
            &films,
            &format!("{}-annotated.png", film.name),
            &figure::annotated_film_png(&picture, &model, 1400)?,
        )?;
        print!("\n{}", crate::read::table(knowledge, &film.name, read));
    }
    put(out, "readings.csv", csv.as_bytes())?;
    put(
        out,
        "readings.json",
        serde_json::to_string_pretty(&json)?.as_bytes(),
    )?;
    for (side, report, proposal) in &done.reports {
        println!("\n{} foot", side.word());
        for scheme in [&report.tendon, &report.three_column, &report.child]
            .into_iter()
            .flatten()
        {
            println!("  {}: {}", scheme.scheme.words(), scheme.headline);
        }
        if let Some(consensus) = &report.consensus {
            println!(
                "  {}: {}",
                stage::Scheme::Consensus.words(),
                consensus.string.as_deref().unwrap_or(&consensus.so_far)
            );
        }
        let proposed: Vec<&str> = proposal
            .rungs
            .iter()
            .filter(|r| r.standing == care::Standing::Proposed)
            .map(|r| r.title.as_str())
            .collect();
        println!(
            "  first plan: {}",
            if proposed.is_empty() {
                "nothing proposed".to_owned()
            } else {
                proposed.join(", ")
            }
        );
    }
    Ok(())
}

pub fn put(folder: &Path, name: &str, bytes: &[u8]) -> Result<()> {
    let path = folder.join(name);
    fs::write(&path, bytes).with_context(|| format!("{} could not be written", path.display()))
}
