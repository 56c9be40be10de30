//! Invented readings that the tests vary.
#![allow(dead_code, reason = "each test file takes what it needs")]

use change::{OwnRepeats, PublishedYard, Reader, Scale, Seen, Taken, Worn, Yard};
use knowledge::{Provenance, Raters};
use quantity::{Estimate, Unit};
use terms::{MeasureKey, Side, SourceKey, Stance, View, YardstickKey};
use time::{Date, Duration, Month};

pub fn date(days: i64) -> Date {
    Date::from_calendar_date(2026, Month::January, 10).expect("a day of the calendar")
        + Duration::days(days)
}

pub fn reader(key: &str) -> Reader {
    Reader {
        key: key.into(),
        name: format!("Dr {key}"),
    }
}

pub fn measure(key: &str) -> MeasureKey {
    MeasureKey::new(key).expect("a key")
}

pub fn taken() -> Taken {
    Taken {
        view: Some(View::Lateral),
        stance: Stance::Standing,
        method_version: 1,
        scale: Some(Scale {
            key: "ball".into(),
            words: "a ball beside the foot".into(),
        }),
        reader: Some(reader("Invented")),
        worn: Worn::Bare,
    }
}

/// A talo-first-metatarsal angle of the left foot, so many days after the first.
pub fn seen(days: i64, value: f64) -> Seen {
    Seen {
        day: date(days),
        measure: measure("meary_lat"),
        side: Side::Left,
        estimate: Estimate::new(value, 0.2, Unit::Degree),
        taken: taken(),
    }
}

pub fn own(films: u32, within_sd: f64) -> Yard {
    Yard {
        own: Some(OwnRepeats {
            reader: reader("Invented"),
            measure: measure("meary_lat"),
            method_version: 1,
            films,
            within_sd,
        }),
        published: vec![],
    }
}

pub fn published(key: &str, change: f64, raters: Option<Raters>) -> PublishedYard {
    PublishedYard {
        key: YardstickKey::new(key).expect("a key"),
        change,
        derived: false,
        source: SourceKey::new(key).expect("a key"),
        provenance: Provenance::Abstract,
        raters,
        population: "invented feet".into(),
        note: None,
        shown_only: None,
    }
}

pub fn yard_of(published: Vec<PublishedYard>) -> Yard {
    Yard {
        own: None,
        published,
    }
}
