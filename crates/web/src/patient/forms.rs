//! Finding, adding and changing a patient, and starting a visit.
//!
//! A search is posted, so that no name ever stands in an address, a history or a log.

use crate::{
    access::closed::without_name,
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    words,
};
use askama::Template;
use axum::{
    extract::{Form, Path},
    response::{IntoResponse, Redirect, Response},
};
use record::{Patient, PatientId, Visit, VisitId, VisitState};
use serde::Deserialize;
use terms::Sex;

const MOST_FOUND: u32 = 50;

#[derive(Template)]
#[template(path = "patient/found.html")]
pub struct FoundPage {
    pub shell: Shell,
    pub asked: String,
    pub found: Vec<FoundRow>,
    pub most: u32,
}

pub struct FoundRow {
    pub id: String,
    pub name: String,
    pub about: String,
    pub chart: String,
    pub born: String,
}

#[derive(Deserialize)]
pub struct Search {
    #[serde(default)]
    words: String,
}

/// `POST /patients/find`
pub async fn find(context: Context, Form(search): Form<Search>) -> Result<Response, PageError> {
    let asked = search.words.trim().to_owned();
    let today = context.today();
    let mut found = context
        .state
        .store
        .find_patients(asked.clone(), MOST_FOUND)
        .await?;
    let hidden = context.hidden().await?;
    found.iter_mut().for_each(|p| without_name(p, &hidden));
    page(&FoundPage {
        found: found
            .iter()
            .map(|p| FoundRow {
                id: p.id.to_string(),
                name: words::list_name(p),
                about: words::age_and_sex(p, today),
                chart: p.chart_number.clone(),
                born: p
                    .born_on
                    .map_or_else(|| "not given".to_owned(), words::short_day),
            })
            .collect(),
        asked,
        most: MOST_FOUND,
        shell: context.shell("Find a patient", Nav::Today),
    })
}

/// What the form for a patient holds, as text.
#[derive(Debug, Clone, Default, Deserialize)]
pub struct PatientForm {
    #[serde(default)]
    pub chart_number: String,
    #[serde(default)]
    pub given_name: String,
    #[serde(default)]
    pub family_name: String,
    #[serde(default)]
    pub born_on: String,
    #[serde(default)]
    pub sex: String,
    #[serde(default)]
    pub note: String,
}

impl PatientForm {
    fn of(patient: &Patient) -> Self {
        Self {
            chart_number: patient.chart_number.clone(),
            given_name: patient.given_name.clone(),
            family_name: patient.family_name.clone(),
            born_on: patient.born_on.map(words::iso_day).unwrap_or_default(),
            sex: match patient.sex {
                Some(Sex::Female) => "female",
                Some(Sex::Male) => "male",
                None => "",
            }
            .to_owned(),
            note: patient.note.clone(),
        }
    }

    fn read(&self, id: PatientId) -> Result<Patient, PageError> {
        let born = self.born_on.trim();
        let born_on = match born {
            "" => None,
            text => Some(words::parse_day(text).ok_or_else(|| {
                PageError::input("the birth date is no day of the calendar; expected year-month-day such as 1968-03-02")
            })?),
        };
        let patient = Patient {
            id,
            chart_number: self.chart_number.trim().to_owned(),
            given_name: self.given_name.trim().to_owned(),
            family_name: self.family_name.trim().to_owned(),
            born_on,
            sex: match self.sex.as_str() {
                "female" => Some(Sex::Female),
                "male" => Some(Sex::Male),
                _ => None,
            },
            note: self.note.trim().to_owned(),
        };
        patient
            .check()
            .map_err(|bad| PageError::input(bad.to_string()))?;
        Ok(patient)
    }
}

#[derive(Template)]
#[template(path = "patient/form.html")]
pub struct FormPage {
    pub shell: Shell,
    pub head: &'static str,
    pub action: String,
    pub form: PatientForm,
    pub problem: Option<String>,
    pub latest_birth: String,
}

fn form_page(
    context: &Context,
    action: String,
    form: PatientForm,
    problem: Option<&PageError>,
) -> Result<Response, PageError> {
    let head = if action.ends_with("/new") {
        "Add a patient"
    } else {
        "Change a patient's details"
    };
    let wrong = problem.is_some();
    let mut response = page(&FormPage {
        shell: context.shell(head, Nav::Today),
        head,
        action,
        form,
        problem: problem.map(|p| crate::error::sentence(&p.to_string())),
        latest_birth: words::iso_day(context.today()),
    })?;
    if wrong {
        *response.status_mut() = axum::http::StatusCode::UNPROCESSABLE_ENTITY;
        // The page itself says what is wrong; it must not be replaced by the error page.
        response.extensions_mut().insert(crate::shell::OwnPage);
    }
    Ok(response)
}

/// `GET /patients/new`
pub async fn new_form(context: Context) -> Result<Response, PageError> {
    form_page(
        &context,
        "/patients/new".to_owned(),
        PatientForm::default(),
        None,
    )
}

/// `POST /patients/new`
pub async fn add(context: Context, Form(form): Form<PatientForm>) -> Result<Response, PageError> {
    let id = PatientId::new(context.state.ids.fresh());
    let done = form.read(id).and_then(|patient| {
        not_ahead(&patient, context.today())?;
        Ok(patient)
    });
    let done = match done {
        Ok(patient) => context
            .state
            .store
            .add_patient(context.stamp(), patient)
            .await
            .map_err(PageError::from),
        Err(bad) => Err(bad),
    };
    match done {
        Ok(()) => Ok(Redirect::to(&format!("/patient/{id}")).into_response()),
        Err(bad @ PageError::Input { .. }) => {
            form_page(&context, "/patients/new".to_owned(), form, Some(&bad))
        }
        Err(other) => Err(other),
    }
}

/// `GET /patient/{id}/details`
pub async fn edit(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let patient = context.state.store.patient(id.parse()?).await?;
    form_page(
        &context,
        format!("/patient/{}/details", patient.id),
        PatientForm::of(&patient),
        None,
    )
}

/// `POST /patient/{id}/details`
pub async fn save(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<PatientForm>,
) -> Result<Response, PageError> {
    let id: PatientId = id.parse()?;
    let done = match form.read(id) {
        Ok(patient) => check_birth(&context, &patient).await.map(|()| patient),
        Err(bad) => Err(bad),
    };
    let done = match done {
        Ok(patient) => context
            .state
            .store
            .save_patient(context.stamp(), patient)
            .await
            .map_err(PageError::from),
        Err(bad) => Err(bad),
    };
    // Age and sex decide which yardsticks apply to the films in hand.
    context.state.films.forget_all();
    match done {
        Ok(()) => Ok(Redirect::to(&format!("/patient/{id}")).into_response()),
        Err(bad @ PageError::Input { .. }) => {
            form_page(&context, format!("/patient/{id}/details"), form, Some(&bad))
        }
        Err(other) => Err(other),
    }
}

fn not_ahead(patient: &Patient, today: time::Date) -> Result<(), PageError> {
    match patient.born_on {
        Some(born) if born > today => Err(PageError::input(
            "the birth date lies ahead; expected today or an earlier day: correct it",
        )),
        _ => Ok(()),
    }
}

/// A birth after a visit would leave a visit before birth.
async fn check_birth(context: &Context, patient: &Patient) -> Result<(), PageError> {
    not_ahead(patient, context.today())?;
    let visits = context.state.store.visits_of(patient.id).await?;
    match (patient.born_on, visits.iter().map(|v| v.on).min()) {
        (Some(born), Some(first)) if born > first => Err(PageError::input(format!(
            "the birth date lies after the first visit of {}; expected an earlier day: correct it",
            words::day(first)
        ))),
        _ => Ok(()),
    }
}

#[derive(Deserialize)]
pub struct NewVisit {
    #[serde(default)]
    reason: String,
    /// Left open: today.
    #[serde(default)]
    on: String,
}

/// `POST /patient/{id}/visits`: `reason`, and `on` where it was another day than today.
pub async fn start_visit(
    context: Context,
    Path(id): Path<String>,
    Form(new): Form<NewVisit>,
) -> Result<Redirect, PageError> {
    let patient = context.state.store.patient(id.parse()?).await?;
    let on = match new.on.trim() {
        "" => context.today(),
        text => words::parse_day(text).ok_or_else(|| {
            PageError::input(format!(
                "found {text:?} as the day of the visit; expected a day such as 2026-11-24"
            ))
        })?,
    };
    words::check_day("the day of the visit", on, &patient, context.today())?;
    let visit = Visit {
        id: VisitId::new(context.state.ids.fresh()),
        patient: patient.id,
        on,
        reason: new.reason.trim().to_owned(),
        state: VisitState::Open,
    };
    let place = format!("/visit/{}", visit.id);
    context
        .state
        .store
        .open_visit(context.stamp(), visit)
        .await?;
    Ok(Redirect::to(&place))
}
