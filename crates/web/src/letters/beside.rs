//! What the record holds beside one visit, up to its day: care given, change since earlier visits, legs
//! measured for a brace.

use crate::care::leg::{LEG_FORMAT, LEG_VERSION};
use crate::care::log::of_patient;
use crate::context::Context;
use crate::course::page::readings_of;
use crate::course::repeats::own_repeats;
use crate::course::scores::{self, Asked, FirstAndLast};
use crate::course::seen::Readings;
use crate::error::PageError;
use crate::visit::gather::Gathered;
use crate::words;
use care::log::Entry;
use change::{OwnRepeats, Run, Seen, WhyKind, Yards, line};
use exam::Leg;
use knowledge::yardstick::Person;
use knowledge::{Knowledge, Measure};
use letter::compose::{ChangeLine, Compared, Further, Legs, MeasuredOn, Verdict};
use record::{CaptureKind, ExamineOf, Visit};
use terms::Side;
use time::Date;

/// Readings that are told of a foot at most: what changed first.
const MOST_OF_A_FOOT: usize = 4;

/// All of it; empty where a patient was seen for the first time.
#[derive(Debug, Default)]
pub struct Beside {
    pub care: Vec<Entry>,
    pub change: Vec<ChangeLine>,
    /// Left, right.
    pub legs: [Option<Leg>; 2],
    /// The files on which something was measured, by their ids.
    pub measured_on: Vec<(String, MeasuredOn)>,
}

impl Beside {
    /// Added to what was asked on the page.
    pub fn into_further<'a>(&'a self, asked: Further<'a>) -> Further<'a> {
        let [left, right] = &self.legs;
        Further {
            care: &self.care,
            change: self.change.clone(),
            legs: Legs {
                left: left.as_ref(),
                right: right.as_ref(),
            },
            ..asked
        }
    }
}

/// # Errors
/// A leg's measures or an examination that cannot be read back.
pub async fn of_visit(context: &Context, g: &Gathered) -> Result<Beside, PageError> {
    let store = &context.state.store;
    let on = g.visit.on;
    let log = of_patient(context, &g.patient).await?;
    let mut visits: Vec<Visit> = store.visits_of(g.patient.id).await?;
    visits.retain(|v| v.on <= on);
    let readings = readings_of(context, &g.patient, &visits).await?;
    let own = own_repeats(&context.state).await?;
    let asked = Asked::of_patient(context, &g.patient, &visits).await?;
    let mut change = of_scores(context.state.knowledge, &asked, &g.person);
    change.extend(of_readings(
        context.state.knowledge,
        &g.person,
        &own,
        &readings,
        on,
    ));
    let mut legs = [None, None];
    for (leg, side) in legs.iter_mut().zip([Side::Left, Side::Right]) {
        *leg = leg_of(context, g, side).await?;
    }
    let captures = store.captures_of(g.patient.id).await?;
    Ok(Beside {
        care: as_of(&log.entries(), on),
        change,
        legs,
        measured_on: captures
            .iter()
            .map(|c| (c.id.to_string(), measured_on(c.kind)))
            .collect(),
    })
}

fn measured_on(kind: CaptureKind) -> MeasuredOn {
    match kind {
        CaptureKind::Print => MeasuredOn::Print,
        CaptureKind::Pressure => MeasuredOn::Pressure,
        CaptureKind::FromBehind | CaptureKind::FromSide => MeasuredOn::Photograph,
        CaptureKind::HeelRise => MeasuredOn::Clip,
        CaptureKind::Markers => MeasuredOn::Markers,
    }
}

/// The leg as it was measured at this visit.
async fn leg_of(context: &Context, g: &Gathered, side: Side) -> Result<Option<Leg>, PageError> {
    let of = ExamineOf::Leg(side);
    let Some(kept) = context.state.store.exam(g.visit.id, of).await? else {
        return Ok(None);
    };
    let leg: Leg = kept
        .exam
        .read(LEG_FORMAT, LEG_VERSION)
        .map_err(|e| PageError::ours("reading a leg's measures back", e))?;
    Ok((!leg.is_empty()).then_some(leg))
}

/// The log as it stood on a day: nothing begun later, and what ended later still going on.
fn as_of(entries: &[Entry], on: Date) -> Vec<Entry> {
    entries
        .iter()
        .filter(|e| e.began <= on)
        .cloned()
        .map(|mut e| {
            e.ended = e.ended.filter(|end| *end <= on);
            e
        })
        .collect()
}

fn of_scores(knowledge: &Knowledge, asked: &Asked, person: &Person) -> Vec<ChangeLine> {
    scores::first_and_last(knowledge, asked, person)
        .into_iter()
        .map(|s| {
            let (verdict, smallest) = of_score(&s);
            ChangeLine {
                of: Compared::Question(s.key),
                side: s.side,
                from: s.from.1,
                to: s.to.1,
                unit: None,
                since: words::day(s.from.0),
                verdict,
                by: Some(s.to.1 - s.from.1),
                smallest,
            }
        })
        .collect()
}

/// What was measured both times is held against its error; what was asked, against what matters to people.
fn of_score(s: &FirstAndLast) -> (Verdict, Option<f64>) {
    let measured = s.measured.as_ref();
    match measured.map(|v| (&v.kind, v.smallest_shown)) {
        Some((change::Kind::Changed { .. }, smallest)) => (Verdict::Changed, smallest),
        Some((change::Kind::NoChangeShown, smallest)) => (Verdict::NoChangeShown, smallest),
        Some((change::Kind::CannotTell { .. }, _)) | None => {
            let (by, of) = s.judged.as_ref().map_or((0, 0), |j| (j.reached, j.sources));
            (Verdict::Matters { by, of }, None)
        }
    }
}

/// For each foot the measures that were read on two days or more, what changed first.
fn of_readings(
    knowledge: &Knowledge,
    person: &Person,
    own: &[OwnRepeats],
    readings: &Readings,
    on: Date,
) -> Vec<ChangeLine> {
    let measures = readings.measures(knowledge);
    let mut out = Vec::new();
    for side in Side::BOTH {
        let mut of_foot: Vec<ChangeLine> = measures
            .iter()
            .filter_map(|measure| {
                let seen: Vec<Seen> = readings
                    .last
                    .iter()
                    .filter(|s| s.measure == measure.key && s.side == side && s.day <= on)
                    .cloned()
                    .collect();
                let yards = Yards::of(knowledge, &measure.key, person, own);
                of_measure(measure, side, &line(&seen, &[yards], None))
            })
            .collect();
        of_foot.sort_by_key(|l| match l.verdict {
            Verdict::Changed => 0,
            Verdict::NoChangeShown => 1,
            _ => 2,
        });
        of_foot.truncate(MOST_OF_A_FOOT);
        out.extend(of_foot);
    }
    out
}

/// The longest run's last reading against its first; where no two may be compared, why not.
fn of_measure(measure: &Measure, side: Side, runs: &[Run]) -> Option<ChangeLine> {
    let main = runs
        .iter()
        .max_by_key(|r| (r.visits(), r.points.last().map(|p| p.seen.day)))?;
    let told = |first: &Seen, last: &Seen, verdict, by, smallest| ChangeLine {
        of: Compared::Reading(measure.key.clone()),
        side: Some(side),
        from: first.estimate.value,
        to: last.estimate.value,
        unit: Some(measure.unit),
        since: words::day(first.day),
        verdict,
        by,
        smallest,
    };
    if let (Some(first), Some(last)) = (main.points.first(), main.points.last())
        && let Some(found) = &last.against_first
    {
        let verdict = match &found.kind {
            change::Kind::Changed { .. } => Verdict::Changed,
            change::Kind::NoChangeShown => Verdict::NoChangeShown,
            change::Kind::CannotTell { .. } => Verdict::CannotTell(vec!["no-yard"]),
        };
        return Some(told(
            &first.seen,
            &last.seen,
            verdict,
            found.difference,
            found.smallest_shown,
        ));
    }
    // Runs come by the day they began.
    let first = &runs.first()?.points.first()?.seen;
    let last = runs.last()?;
    let then = &last.points.last()?.seen;
    if then.day == first.day {
        return None;
    }
    let why = last.apart.iter().map(|w| why_key(w.kind)).collect();
    Some(told(first, then, Verdict::CannotTell(why), None, None))
}

fn why_key(kind: WhyKind) -> &'static str {
    match kind {
        WhyKind::View => "view",
        WhyKind::Stance => "stance",
        WhyKind::Worn => "worn",
        WhyKind::Method => "method",
        WhyKind::Scale => "scale",
        WhyKind::TwoReaders => "two-readers",
        WhyKind::UnknownReader => "unknown-reader",
    }
}
