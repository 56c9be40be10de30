//! Every film whose points are finished is read again by today's program: does it still say the same?
//!
//! What was kept is never changed by this. The table sets what was kept beside what is read now; where they differ, the
//! program's way of measuring, the film's scale, or what is known of the reader's own error has changed since.

use super::make::{About, Failed, Making, aside, left_out};
use crate::desk::{
    cache::{self, OpenFilm},
    live::{POINTS_FORMAT, SHEET_FORMAT, VERSION},
    own_error,
};
use crate::words;
use exchange_table::column::{Cell, Column, Kind};
use exchange_table::{csv, dictionary};
use figure::of_reading;
use knowledge::Knowledge;
use quantity::Estimate;
use reading::{PointSet, Reading, ReadingSheet};
use record::PointsRecord;
use terms::MeasureKey;

const DOING: &str = "reading films again";
/// Of the same arithmetic on another machine.
const SAME: f64 = 1e-9;

/// What became of one reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fate {
    Same,
    /// The value stands, its standard error does not.
    OtherError,
    OtherValue,
    /// Read then, refused now.
    OnlyThen,
    OnlyNow,
}

impl Fate {
    fn of(then: Option<&Estimate>, now: Option<&Estimate>) -> Option<Self> {
        let near = |a: f64, b: f64| (a - b).abs() <= SAME * a.abs().max(b.abs()).max(1.0);
        Some(match (then, now) {
            (None, None) => return None,
            (Some(_), None) => Fate::OnlyThen,
            (None, Some(_)) => Fate::OnlyNow,
            (Some(a), Some(b)) if a.unit != b.unit || !near(a.value, b.value) => Fate::OtherValue,
            (Some(a), Some(b)) if !near(a.standard_error, b.standard_error) => Fate::OtherError,
            _ => Fate::Same,
        })
    }

    fn key(self) -> &'static str {
        match self {
            Fate::Same => "same",
            Fate::OtherError => "other-error",
            Fate::OtherValue => "other-value",
            Fate::OnlyThen => "only-then",
            Fate::OnlyNow => "only-now",
        }
    }
}

fn columns() -> Vec<Column> {
    let text = |name: &str, meaning: &str| Column::new(name, Kind::Text, meaning);
    let number = |name: &str, meaning: &str| Column::new(name, Kind::Number, meaning);
    let whole = |name: &str, meaning: &str| Column::new(name, Kind::Whole, meaning);
    vec![
        text("chart_number", "the patient's chart number"),
        text("film", "the film's id in the practice"),
        text("taken_on", "the day of the film"),
        text("side", "left or right"),
        text("view", "the key of the film's view"),
        text("reader", "who placed the points"),
        text("placed_at", "when they were placed"),
        text("measure", "the key of the measure"),
        text("name", "the name of the measure"),
        text("unit", "the unit of values and errors"),
        number("then", "the value that was kept"),
        number("then_error", "its standard error"),
        whole("then_method", "the version of the method then"),
        number("now", "the value read now from the same points"),
        number("now_error", "its standard error"),
        number("now_low_95", "lower end of its 95 % interval"),
        number("now_high_95", "upper end of its 95 % interval"),
        whole("now_method", "the version of the method now"),
        text("now_place", "where it lies against the yardsticks of today"),
        text(
            "fate",
            "same; other-error: the value stands and its error does not; other-value; only-then: refused now; only-now: refused then",
        ),
    ]
}

#[derive(Default)]
struct Counted {
    films: usize,
    readings: usize,
    differ: usize,
    other_error: usize,
    unopened: usize,
}

pub async fn make(making: &Making) -> Result<About, Failed> {
    let state = &making.state;
    let (people, closed) = making.wanted.people(state).await?;
    let mut rows = Vec::new();
    let mut counted = Counted::default();
    for (n, patient) in people.iter().enumerate() {
        making.is(n, people.len()).await;
        let mut any = false;
        for film in state.store.films_of(patient.id).await? {
            let mut placings = state.store.points_of(film.id).await?;
            placings.retain(|p| p.finished);
            if placings.is_empty() {
                continue;
            }
            // Damaged, or of a kind that is no longer read: the others are read all the same.
            let Ok(open) = cache::facts_alone(state, film).await else {
                counted.unopened += 1;
                continue;
            };
            counted.films += 1;
            any = true;
            for placing in &placings {
                read_again(making, &open, placing, &mut rows, &mut counted).await?;
            }
        }
        if any {
            making.takes_out(patient.id).await?;
        }
    }
    let lines = rows.len();
    let (table, meanings) = aside(DOING, move || {
        let columns = columns();
        let (mut table, mut meanings) = (Vec::new(), Vec::new());
        let written = csv::write(&mut table, &columns, &rows)
            .and_then(|()| dictionary::csv(&mut meanings, &[("readings", &columns)]));
        written.map(|()| (table, meanings))
    })
    .await?
    .map_err(|_| Failed::Ours { doing: DOING })?;
    making.keep("readings.csv", "reading", lines, table).await?;
    let described = columns().len();
    making
        .keep("dictionary.csv", "column", described, meanings)
        .await?;
    Ok(About {
        says: said(&counted, closed),
    })
}

fn said(counted: &Counted, closed: usize) -> Vec<String> {
    let read = format!(
        "{} of {} read again.",
        words::count(counted.readings, "reading", "readings"),
        words::count(counted.films, "film", "films"),
    );
    let differ = match (counted.differ, counted.other_error) {
        (0, 0) => "Each is what was kept, with the same error.".to_owned(),
        (0, n) => format!(
            "Each value is what was kept; {} now: the film's scale, or what is known of how its reader places points, has changed since.",
            words::count(n, "has another error", "have another error")
        ),
        (n, _) => format!(
            "{} from what was kept: look at the column 'fate' before you compare visits.",
            words::count(n, "value differs", "values differ")
        ),
    };
    let unopened = (counted.unopened > 0).then(|| {
        format!(
            "{} could not be opened: run 'tiebeam verify'.",
            words::count(counted.unopened, "film", "films")
        )
    });
    [Some(read), Some(differ), unopened, left_out(closed)]
        .into_iter()
        .flatten()
        .collect()
}

async fn read_again(
    making: &Making,
    open: &OpenFilm,
    placing: &PointsRecord,
    rows: &mut Vec<Vec<Cell>>,
    counted: &mut Counted,
) -> Result<(), Failed> {
    let state = &making.state;
    let kept = |what| {
        Failed::Said(format!(
            "found {what} of placing {} unreadable; expected what this program wrote: run 'tiebeam verify'",
            placing.id
        ))
    };
    let set: PointSet = placing
        .points
        .read(POINTS_FORMAT, VERSION)
        .map_err(|_| kept("the points"))?;
    let then: ReadingSheet = placing
        .sheet
        .read(SHEET_FORMAT, VERSION)
        .map_err(|_| kept("the readings"))?;
    let reader = own_error::reader(state, placing.reader, set.view)
        .await
        .map_err(|failed| Failed::Said(failed.to_string()))?;
    let now = open.read(&reader, &set);
    let mut measures: Vec<&MeasureKey> = then.readings.iter().map(|r| &r.measure).collect();
    for reading in &now.readings {
        if !measures.contains(&&reading.measure) {
            measures.push(&reading.measure);
        }
    }
    for measure in measures {
        let (old, new) = (then.reading(measure), now.reading(measure));
        let Some(fate) = Fate::of(old.map(|r| &r.estimate), new.map(|r| &r.estimate)) else {
            continue;
        };
        counted.readings += 1;
        match fate {
            Fate::Same => {}
            Fate::OtherError => counted.other_error += 1,
            Fate::OtherValue | Fate::OnlyThen | Fate::OnlyNow => counted.differ += 1,
        }
        rows.push(row(state.knowledge, open, placing, measure, old, new, fate));
    }
    Ok(())
}

fn row(
    knowledge: &Knowledge,
    open: &OpenFilm,
    placing: &PointsRecord,
    measure: &MeasureKey,
    then: Option<&Reading>,
    now: Option<&Reading>,
    fate: Fate,
) -> Vec<Cell> {
    let film = &open.record;
    let number = |reading: Option<&Reading>, of: fn(&Estimate) -> f64| {
        Cell::number(reading.map(|r| of(&r.estimate)))
    };
    let method = |reading: Option<&Reading>| Cell::whole(reading.map(|r| r.method_version.into()));
    let place =
        now.map(|r| of_reading::place_of(&reading::against(knowledge, r, &open.person)).word());
    vec![
        own_words(open.patient.chart_number.trim()),
        Cell::text(film.id.to_string()),
        Cell::word(film.taken_on.map(words::iso_day).as_deref()),
        Cell::word(film.side.map(terms::Side::word)),
        Cell::word(film.view.map(terms::View::key)),
        own_words(placing.reader_name.trim()),
        Cell::text(at(placing)),
        Cell::text(measure.to_string()),
        Cell::word(knowledge.measure(measure).map(|m| m.name.as_str())),
        Cell::word(now.or(then).map(|r| r.estimate.unit.key())),
        number(then, |e| e.value),
        number(then, |e| e.standard_error),
        method(then),
        number(now, |e| e.value),
        number(now, |e| e.standard_error),
        number(now, |e| e.interval_95().0),
        number(now, |e| e.interval_95().1),
        method(now),
        Cell::word(place),
        Cell::text(fate.key()),
    ]
}

fn at(placing: &PointsRecord) -> String {
    placing
        .placed_at
        .format(&time::format_description::well_known::Rfc3339)
        .unwrap_or_default()
}

/// What somebody typed; kept from being taken for a formula by whatever opens the table (common practice).
fn own_words(text: &str) -> Cell {
    match text.chars().next() {
        None => Cell::Missing,
        Some('=' | '+' | '-' | '@') => Cell::text(format!("'{text}")),
        Some(_) => Cell::text(text),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::Unit;

    fn estimate(value: f64, standard_error: f64) -> Estimate {
        Estimate {
            value,
            standard_error,
            unit: Unit::Degree,
        }
    }

    #[test]
    fn a_reading_is_the_same_or_it_is_said_how_it_differs() {
        let (a, b) = (estimate(12.5, 1.0), estimate(12.5 + 1e-12, 1.0));
        let fate = |then: Option<&Estimate>, now: Option<&Estimate>| Fate::of(then, now);
        assert_eq!(fate(Some(&a), Some(&b)), Some(Fate::Same));
        assert_eq!(
            fate(Some(&a), Some(&estimate(12.5, 1.1))),
            Some(Fate::OtherError)
        );
        assert_eq!(
            fate(Some(&a), Some(&estimate(12.6, 1.0))),
            Some(Fate::OtherValue)
        );
        assert_eq!(fate(Some(&a), None), Some(Fate::OnlyThen));
        assert_eq!(fate(None, Some(&a)), Some(Fate::OnlyNow));
        assert_eq!(fate(None, None), None);
    }

    #[test]
    fn what_somebody_typed_is_no_formula() {
        assert_eq!(own_words("=1+1"), Cell::text("'=1+1"));
        assert_eq!(own_words("C-7"), Cell::text("C-7"));
        assert_eq!(own_words(""), Cell::Missing);
    }

    #[test]
    fn what_is_said_tells_whether_anything_differs() {
        let of = |differ, other_error, unopened| {
            let counted = Counted {
                films: 2,
                readings: 9,
                differ,
                other_error,
                unopened,
            };
            said(&counted, 1).join(" ")
        };
        assert!(of(0, 0, 0).contains("Each is what was kept, with the same error."));
        assert!(of(0, 2, 0).contains("2 have another error now"));
        assert!(
            of(1, 2, 3).contains("1 value differs") && of(1, 2, 3).contains("3 films could not")
        );
        assert!(of(0, 0, 0).ends_with("1 closed record is not in it."));
    }
}
