//! Who is held against the yardsticks, and which sheet belongs to the person and not to a foot?

use exam::{RedFlags, Story};
use knowledge::yardstick::Person;
use record::Patient;
use serde::{Deserialize, Serialize};
use time::Date;

pub const PERSON_FORMAT: &str = "tiebeam-person";
pub const PERSON_VERSION: u32 = 1;
pub const FOOT_FORMAT: &str = "tiebeam-examination";
pub const FOOT_VERSION: u32 = 1;

/// Story and alarm questions of one visit, kept as one sheet.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct PersonSheet {
    pub story: Story,
    pub flags: RedFlags,
}

/// Age and sex on a day; each missing where it is not known.
pub fn person_on(patient: &Patient, day: Date) -> Person {
    Person {
        age_years: patient.age_years_on(day),
        sex: patient.sex,
    }
}
