//! Readings get into the examination: as measured, with where they can be made again.

use super::hand;
use crate::adapt::person::{FOOT_FORMAT, FOOT_VERSION};
use crate::context::Context;
use crate::error::PageError;
use axum::{extract::Path, response::Redirect};
use exam::{Examination, Found, Measured};
use record::{Doing, ExamineOf, Kept, VisitState};

/// `POST /capture/{id}/examine`: every reading that the examination asks for, of each foot.
pub async fn take_over(context: Context, Path(id): Path<String>) -> Result<Redirect, PageError> {
    let opened = hand::open(&context, id.parse()?).await?;
    let record = &opened.record;
    let store = &context.state.store;
    let Some(doing) = record.doing else {
        return Err(PageError::NotNow {
            sentence:
                "the print does not say whether it was taken standing or walking; say so first"
                    .to_owned(),
        });
    };
    if store.visit(record.visit).await?.state == VisitState::Closed {
        return Err(PageError::NotNow {
            sentence: "this visit is closed; open it again to change it".to_owned(),
        });
    }
    for foot in &opened.read.readings.feet {
        let of = ExamineOf::Foot(foot.side);
        let before = store.exam(record.visit, of).await?;
        let mut exam: Examination = match &before {
            Some(kept) => kept.exam.read(FOOT_FORMAT, FOOT_VERSION)?,
            None => Examination::new(),
        };
        let was = exam.clone();
        for reading in &foot.readings {
            let Some(key) = reading.index.item(doing == Doing::Walking) else {
                continue;
            };
            let measured = Measured {
                found: Found::Number {
                    number: reading.estimate.value,
                    standard_error: reading.estimate.standard_error,
                },
                on: record.id.to_string(),
                revision: opened.revision,
            };
            // Taken over before: what the clinician has written over it since stays.
            if exam.measured(key) == Some(&measured) {
                continue;
            }
            exam.measure(key, measured)
                .map_err(|e| PageError::input(crate::error::sentence(&e.to_string())))?;
        }
        if exam == was {
            continue;
        }
        let kept = Kept::of(FOOT_FORMAT, FOOT_VERSION, &exam)?;
        let seen = before.map_or(0, |b| b.revision);
        store
            .save_exam(context.stamp(), record.visit, of, kept, seen)
            .await?;
    }
    Ok(Redirect::to(&format!("/visit/{}#exam", record.visit)))
}
