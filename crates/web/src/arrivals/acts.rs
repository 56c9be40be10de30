//! How does a person take a film that waits, put it away, and put it back?

use super::{
    inbox::{into_visit, open},
    seen::seen,
};
use crate::{context::Context, error::PageError, intake::kept_already, words};
use account::Action;
use axum::{Form, extract::Path, response::Redirect};
use record::{ArrivalRecord, ArrivalState, PatientId, Visit, VisitId, VisitState};
use serde::Deserialize;

#[derive(Debug, Default, Deserialize)]
pub struct Taking {
    #[serde(default)]
    patient: String,
    /// A visit's id, or `new`: opened for the day the film was taken on.
    #[serde(default)]
    visit: String,
}

/// `POST /arrival/{id}/take`
pub async fn take(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<Taking>,
) -> Result<Redirect, PageError> {
    let arrival = seen(&context, &id).await?;
    let store = &context.state.store;
    let patient: PatientId = form.patient.parse()?;
    if context.hidden().await?.contains(&patient) {
        return Err(PageError::MayNot {
            sentence: "this record is closed to you; open it with a reason from the patient's page"
                .to_owned(),
        });
    }
    // Before a visit is opened for it.
    if arrival.state != ArrivalState::Waiting {
        return Err(PageError::NotNow {
            sentence:
                "this film does not wait any more; load the page again to see what became of it"
                    .to_owned(),
        });
    }
    kept_already(&context.state, patient, arrival.content).await?;
    let picture = open(&context.state, &arrival).await?;
    let visit = match form.visit.as_str() {
        "" => {
            return Err(PageError::input(
                "found no visit; choose the visit that the film belongs to",
            ));
        }
        "new" => open_for(&context, &arrival, patient).await?,
        id => store.visit(id.parse::<VisitId>()?).await?,
    };
    if visit.patient != patient {
        return Err(PageError::input(
            "found a visit of another patient; choose one of this patient's visits",
        ));
    }
    let film = into_visit(&context.state, context.stamp(), &arrival, &visit, &picture).await?;
    Ok(Redirect::to(&format!("/film/{film}")))
}

async fn open_for(
    context: &Context,
    arrival: &ArrivalRecord,
    patient: PatientId,
) -> Result<Visit, PageError> {
    context.must(Action::ChangePatients).await?;
    let patient = context.state.store.patient(patient).await?;
    let on = arrival.says.taken_on.unwrap_or(context.today());
    words::check_day("the day of the visit", on, &patient, context.today())?;
    let visit = Visit {
        id: VisitId::new(context.state.ids.fresh()),
        patient: patient.id,
        on,
        reason: String::new(),
        state: VisitState::Open,
    };
    context
        .state
        .store
        .open_visit(context.stamp(), visit.clone())
        .await?;
    Ok(visit)
}

#[derive(Debug, Default, Deserialize)]
pub struct Reason {
    #[serde(default)]
    reason: String,
}

/// `POST /arrival/{id}/away`
pub async fn put_away(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<Reason>,
) -> Result<Redirect, PageError> {
    let arrival = seen(&context, &id).await?;
    let reason = form.reason.trim().to_owned();
    context
        .state
        .store
        .put_away_arrival(context.stamp(), arrival.id, reason)
        .await?;
    Ok(Redirect::to("/arrivals#away"))
}

/// `POST /arrival/{id}/back`
pub async fn put_back(context: Context, Path(id): Path<String>) -> Result<Redirect, PageError> {
    let arrival = seen(&context, &id).await?;
    context
        .state
        .store
        .put_back_arrival(context.stamp(), arrival.id)
        .await?;
    Ok(Redirect::to(&format!("/arrivals#film-{}", arrival.id)))
}
