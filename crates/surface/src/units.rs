//! In which unit is a file written?
//!
//! Only the foot itself can tell: its length must be that of a foot. What the clinician says wins, what the file
//! says is believed unless no foot is so long.
//!
//! One surprise: a foot of 10.5 to 13.4 in a file's numbers may be a small child's in centimetres or a large
//! man's in inches. Then both are named and a reason decides.

use crate::SurfaceError;
use serde::{Deserialize, Serialize};

/// Feet of small children start here, of large men end there.
///
/// # Sources
/// Boys of three years 156 ± 8 mm (Cheng 1997, read), men's 95th percentile 293 mm (ANSUR II, computed); the
/// margins beyond are common practice.
pub const SHORTEST_MM: f64 = 105.0;
pub const LONGEST_MM: f64 = 340.0;

/// The unit of a file's numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
    Micrometre,
    Millimetre,
    Centimetre,
    Metre,
    Inch,
    Foot,
}

impl Unit {
    /// In the order in which they are preferred where nothing else decides.
    pub const ALL: [Unit; 6] = [
        Unit::Millimetre,
        Unit::Metre,
        Unit::Centimetre,
        Unit::Inch,
        Unit::Micrometre,
        Unit::Foot,
    ];

    pub fn to_mm(self) -> f64 {
        match self {
            Unit::Micrometre => 0.001,
            Unit::Millimetre => 1.0,
            Unit::Centimetre => 10.0,
            Unit::Metre => 1000.0,
            Unit::Inch => 25.4,
            Unit::Foot => 304.8,
        }
    }

    /// As it stands in records.
    pub fn key(self) -> &'static str {
        match self {
            Unit::Micrometre => "micrometre",
            Unit::Millimetre => "millimetre",
            Unit::Centimetre => "centimetre",
            Unit::Metre => "metre",
            Unit::Inch => "inch",
            Unit::Foot => "foot",
        }
    }

    pub fn from_key(key: &str) -> Option<Unit> {
        Unit::ALL.into_iter().find(|u| u.key() == key)
    }

    pub fn plural(self) -> &'static str {
        match self {
            Unit::Micrometre => "micrometres",
            Unit::Millimetre => "millimetres",
            Unit::Centimetre => "centimetres",
            Unit::Metre => "metres",
            Unit::Inch => "inches",
            Unit::Foot => "feet",
        }
    }
}

impl From<mesh::Unit> for Unit {
    fn from(unit: mesh::Unit) -> Unit {
        match unit {
            mesh::Unit::Micrometre => Unit::Micrometre,
            mesh::Unit::Millimetre => Unit::Millimetre,
            mesh::Unit::Centimetre => Unit::Centimetre,
            mesh::Unit::Metre => Unit::Metre,
            mesh::Unit::Inch => Unit::Inch,
            mesh::Unit::Foot => Unit::Foot,
        }
    }
}

/// How a unit came to be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ToldBy {
    /// The clinician said so.
    Asked,
    /// The file names it.
    File,
    /// No other unit makes a foot of it.
    Length,
    /// Two units would; the age decided or, where it is not known, that few who are scanned have feet so small.
    Choice,
}

/// The unit taken for a file, and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FoundUnit {
    pub unit: Unit,
    pub told_by: ToldBy,
    /// Another unit in which the foot could be a foot.
    pub other: Option<Unit>,
    /// For the report.
    pub words: String,
}

/// What is known about the unit before the foot is measured.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Hints {
    pub asked: Option<Unit>,
    pub declared: Option<Unit>,
    pub age_years: Option<f64>,
}

/// Below this age a foot of 105 to 134 mm is likelier than one of 267 to 340 mm.
const SMALL_FEET_YEARS: f64 = 5.0;

/// The unit in which `length` of the file's numbers is a foot's length.
///
/// # Errors
/// No unit fits, or the one that was given does not.
pub fn find(length: f64, hints: &Hints) -> Result<FoundUnit, SurfaceError> {
    let fits = |u: Unit| (SHORTEST_MM..=LONGEST_MM).contains(&(length * u.to_mm()));
    let mm = |u: Unit| length * u.to_mm();
    if let Some(unit) = hints.asked {
        if !fits(unit) {
            return Err(SurfaceError::UnitDoesNotFit {
                unit: unit.plural(),
                found_mm: mm(unit),
            });
        }
        return Ok(FoundUnit {
            unit,
            told_by: ToldBy::Asked,
            other: None,
            words: format!(
                "read in {}, as was said: the foot is {:.0} mm long",
                unit.plural(),
                mm(unit)
            ),
        });
    }
    let plausible: Vec<Unit> = Unit::ALL.into_iter().filter(|u| fits(*u)).collect();
    let mut not_so = String::new();
    if let Some(unit) = hints.declared {
        if fits(unit) {
            return Ok(FoundUnit {
                unit,
                told_by: ToldBy::File,
                other: plausible.into_iter().find(|u| *u != unit),
                words: format!(
                    "read in {}, as the file says: the foot is {:.0} mm long",
                    unit.plural(),
                    mm(unit)
                ),
            });
        }
        not_so = format!(
            "; the file says {}, in which it would be {:.1} mm long",
            unit.plural(),
            mm(unit)
        );
    }
    match plausible[..] {
        [] => Err(SurfaceError::NoUnitFits { found: length }),
        [unit] => Ok(FoundUnit {
            unit,
            told_by: ToldBy::Length,
            other: None,
            words: format!(
                "read in {}, the only unit in which it is as long as a foot, {:.0} mm{not_so}",
                unit.plural(),
                mm(unit)
            ),
        }),
        [first, second, ..] => {
            let (small, large) = if mm(first) < mm(second) {
                (first, second)
            } else {
                (second, first)
            };
            let (unit, why) = match hints.age_years {
                Some(age) if age < SMALL_FEET_YEARS => {
                    (small, format!("at {age:.0} years a foot is small"))
                }
                Some(age) => (
                    large,
                    format!("at {age:.0} years a foot is no longer so small"),
                ),
                None => (
                    large,
                    format!("only feet of children under {SMALL_FEET_YEARS:.0} years are so small"),
                ),
            };
            let other = if unit == first { second } else { first };
            Ok(FoundUnit {
                unit,
                told_by: ToldBy::Choice,
                other: Some(other),
                words: format!(
                    "read in {}: the foot is {:.0} mm long, in {} it would be {:.0} mm, and {why}; say the unit if this is wrong{not_so}",
                    unit.plural(),
                    mm(unit),
                    other.plural(),
                    mm(other)
                ),
            })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_that_is_a_foot_in_one_unit_tells_it() {
        for (length, unit) in [
            (251.0, Unit::Millimetre),
            (25.1, Unit::Centimetre),
            (0.251, Unit::Metre),
            (9.9, Unit::Inch),
            (0.82, Unit::Foot),
            (251_000.0, Unit::Micrometre),
        ] {
            let found = find(length, &Hints::default());
            match found {
                Ok(f) => assert_eq!(
                    (f.unit, f.told_by == ToldBy::Asked),
                    (unit, false),
                    "{}",
                    f.words
                ),
                Err(e) => panic!("{length}: {e}"),
            }
        }
    }

    #[test]
    fn between_a_childs_centimetres_and_a_mans_inches_age_decides_and_both_are_named() {
        let by = |age_years| {
            find(
                12.6,
                &Hints {
                    age_years,
                    ..Hints::default()
                },
            )
        };
        assert_eq!(by(Some(2.0)).map(|f| f.unit), Ok(Unit::Centimetre));
        assert_eq!(by(Some(40.0)).map(|f| f.unit), Ok(Unit::Inch));
        let open = by(None).expect("both fit");
        assert_eq!(
            (open.unit, open.other, open.told_by),
            (Unit::Inch, Some(Unit::Centimetre), ToldBy::Choice)
        );
        assert!(
            open.words.contains("126 mm") && open.words.contains("320 mm"),
            "{}",
            open.words
        );
    }

    #[test]
    fn what_was_said_wins_and_what_the_file_says_is_believed_if_it_can_be() {
        let said = Hints {
            asked: Some(Unit::Inch),
            declared: Some(Unit::Centimetre),
            age_years: Some(2.0),
        };
        assert_eq!(find(12.6, &said).map(|f| f.unit), Ok(Unit::Inch));
        let told = Hints {
            declared: Some(Unit::Inch),
            ..Hints::default()
        };
        assert_eq!(
            find(12.6, &told).map(|f| (f.unit, f.told_by)),
            Ok((Unit::Inch, ToldBy::File))
        );
        // 3MF files say millimetres when nobody chose.
        let unbelieved = find(
            0.26,
            &Hints {
                declared: Some(Unit::Millimetre),
                ..Hints::default()
            },
        );
        let unbelieved = unbelieved.expect("metres fit");
        assert_eq!(unbelieved.unit, Unit::Metre);
        assert!(
            unbelieved.words.contains("the file says millimetres"),
            "{}",
            unbelieved.words
        );
    }

    #[test]
    fn what_is_a_foot_in_no_unit_is_refused_also_when_a_unit_was_said() {
        assert!(matches!(
            find(66.0, &Hints::default()),
            Err(SurfaceError::NoUnitFits { .. })
        ));
        let said = Hints {
            asked: Some(Unit::Metre),
            ..Hints::default()
        };
        let error = find(251.0, &said).expect_err("a quarter of a kilometre");
        assert_eq!(
            error.to_string(),
            "found a foot 251000 mm long in the unit that was given, metres; expected 105 to 340 mm: give the unit in which the file was written"
        );
        for length in [f64::NAN, 0.0, -3.0, f64::INFINITY] {
            assert!(find(length, &Hints::default()).is_err());
        }
    }

    #[test]
    fn keys_lead_back_to_their_units() {
        for unit in Unit::ALL {
            assert_eq!(Unit::from_key(unit.key()), Some(unit));
        }
    }
}
