//! Readings get into the examination: as measured, with where they can be made again.

use super::base::{Base, base};
use super::{clip, markers, photo, print};
use crate::adapt::person::{FOOT_FORMAT, FOOT_VERSION};
use crate::context::Context;
use crate::error::PageError;
use axum::{extract::Path, response::Redirect};
use exam::{Examination, Found, Measured};
use motion::RiseReadings;
use motion::rise::Verdict;
use motion::work::PhotoReadings;
use quantity::{Estimate, Unit};
use record::{CaptureKind, Doing, ExamineOf, Kept, VisitState};
use terms::Side;

/// For a question of a foot's examination.
type Answered = (Side, &'static str, Found);

/// `POST /capture/{id}/examine`: every reading that the examination asks for, of each foot.
pub async fn take_over(context: Context, Path(id): Path<String>) -> Result<Redirect, PageError> {
    let base = base(&context, id.parse()?).await?;
    let store = &context.state.store;
    let (visit, capture, revision) = (base.record.visit, base.record.id, base.kept.revision);
    if store.visit(visit).await?.state == VisitState::Closed {
        return Err(PageError::NotNow {
            sentence: "this visit is closed; open it again to change it".to_owned(),
        });
    }
    let answers = answers(&context, base).await?;
    for side in [Side::Left, Side::Right] {
        let of = ExamineOf::Foot(side);
        let before = store.exam(visit, of).await?;
        let mut exam: Examination = match &before {
            Some(kept) => kept.exam.read(FOOT_FORMAT, FOOT_VERSION)?,
            None => Examination::new(),
        };
        let was = exam.clone();
        for (_, key, found) in answers.iter().filter(|(s, _, _)| *s == side) {
            let measured = Measured {
                found: found.clone(),
                on: capture.to_string(),
                revision,
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
            .save_exam(context.stamp(), visit, of, kept, seen)
            .await?;
    }
    Ok(Redirect::to(&format!("/visit/{visit}#exam")))
}

async fn answers(context: &Context, base: Base) -> Result<Vec<Answered>, PageError> {
    let unsaid = |what: &str| PageError::NotNow {
        sentence: format!("{what}; say so first"),
    };
    let doing = base.record.doing;
    let rises = || {
        doing.ok_or_else(|| {
            unsaid("it is not said whether the rises were done on one leg or on both")
        })
    };
    Ok(match base.record.kind {
        CaptureKind::Print | CaptureKind::Pressure => {
            let doing = doing.ok_or_else(|| {
                unsaid("the print does not say whether it was taken standing or walking")
            })?;
            let opened = print::hand::open(context, base).await?;
            of_print(&opened.read.readings, doing)
        }
        CaptureKind::FromBehind | CaptureKind::FromSide => {
            of_photo(&photo::steps::open(context, base).await?.readings)
        }
        CaptureKind::HeelRise => {
            let doing = rises()?;
            let read = clip::steps::open(base)?.readings;
            of_rises(
                &read.ok_or_else(|| unsaid("the points are not followed yet"))?,
                doing,
            )
        }
        CaptureKind::Markers => {
            let doing = rises()?;
            let read = markers::steps::open(context, base).await?.readings;
            of_rises(
                &read.ok_or_else(|| unsaid("no label is chosen yet"))?,
                doing,
            )
        }
    })
}

fn number(estimate: Estimate, per: f64) -> Found {
    Found::Number {
        number: estimate.value / per,
        standard_error: estimate.standard_error / per,
    }
}

fn exactly(count: usize) -> Found {
    Found::Number {
        number: count as f64,
        standard_error: 0.0,
    }
}

fn of_print(readings: &::print::PrintReadings, doing: Doing) -> Vec<Answered> {
    let walking = doing == Doing::Walking;
    let feet = readings.feet.iter();
    feet.flat_map(|foot| {
        foot.readings.iter().filter_map(move |r| {
            let key = r.index.item(walking)?;
            Some((foot.side, key, number(r.estimate, 1.0)))
        })
    })
    .collect()
}

fn of_photo(readings: &PhotoReadings) -> Vec<Answered> {
    let mut all = Vec::new();
    for leg in &readings.behind {
        all.push((leg.side, "heel_angle_deg", number(leg.heel_to_upright, 1.0)));
        all.extend(leg.toes.map(|n| (leg.side, "toes_seen", exactly(n))));
    }
    if let Some(foot) = &readings.side {
        for (key, estimate) in [
            ("navicular_height_mm", foot.navicular_height),
            ("navicular_height_truncated", foot.navicular_truncated),
            ("navicular_height_foot", foot.navicular_foot),
            ("arch_height_index_standing", foot.arch_height_index),
        ] {
            all.extend(estimate.map(|e| (foot.side, key, number(e, 1.0))));
        }
    }
    all
}

fn of_rises(readings: &RiseReadings, doing: Doing) -> Vec<Answered> {
    let single = doing == Doing::OneLeg;
    let mut all = Vec::new();
    for leg in &readings.legs {
        let count = match single {
            true => "heel_rise_count",
            false => "heel_rise_double_count",
        };
        // A count that may be too small is no answer.
        let counted = leg.count.filter(|_| !leg.count_is_a_least());
        all.extend(counted.map(|n| (leg.side, count, exactly(n))));
        let height = leg.best_height.filter(|h| h.unit == Unit::Millimetre);
        if let Some(height) = height.filter(|_| single) {
            // The form asks for centimetres.
            all.push((leg.side, "heel_rise_height_cm", number(height, 10.0)));
        }
        let turns = match single {
            true => "heel_rise_turns_in",
            false => "heel_rise_double_turns_in",
        };
        let told = leg.turn.as_ref().and_then(|turn| match turn.verdict {
            Verdict::Inverts => Some(("yes", turn.probability)),
            Verdict::DoesNot => Some(("no", 1.0 - turn.probability)),
            Verdict::CannotTell => None,
        });
        all.extend(told.map(|(choice, probability)| {
            let choice = choice.to_owned();
            let found = Found::Choice {
                choice,
                probability,
            };
            (leg.side, turns, found)
        }));
    }
    all
}
