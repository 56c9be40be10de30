//! Whose foot, and who wrote it down?

use crate::{BadRecord, ClinicianId, PatientId, check_text, dates};
use serde::{Deserialize, Serialize};
use terms::Sex;
use time::Date;

/// The practice as it stands at the head of a letter.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Practice {
    pub name: String,
    /// One line each, as on an envelope.
    pub address: Vec<String>,
    pub telephone: Option<String>,
    /// True for invented data: said on every page and paper.
    pub demo: bool,
}

impl Practice {
    /// # Errors
    /// A blank name, or text that is too long.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the practice's name", &self.name, true, 200)?;
        check_text(
            "the practice's telephone",
            self.telephone.as_deref().unwrap_or(""),
            false,
            60,
        )?;
        self.address
            .iter()
            .try_for_each(|l| check_text("the practice's address", l, false, 200))
    }
}

/// Somebody who examines, places points, decides or signs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Clinician {
    pub id: ClinicianId,
    pub name: String,
    /// As it stands under the name on a letter; blank where none is given.
    pub qualification: String,
    /// False once they have left: their work stays, they are no longer offered as a reader.
    pub active: bool,
}

impl Clinician {
    /// # Errors
    /// A blank name, or text that is too long.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the clinician's name", &self.name, true, 200)?;
        check_text(
            "the clinician's qualification",
            &self.qualification,
            false,
            200,
        )
    }
}

/// The person whose feet are looked at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Patient {
    pub id: PatientId,
    /// The practice's own number; no two patients share one.
    pub chart_number: String,
    pub given_name: String,
    pub family_name: String,
    #[serde(with = "dates::iso::option")]
    pub born_on: Option<Date>,
    pub sex: Option<Sex>,
    pub note: String,
}

impl Patient {
    /// # Errors
    /// A blank chart number or no name at all, or text that is too long.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the chart number", &self.chart_number, true, 64)?;
        check_text("the given name", &self.given_name, false, 200)?;
        check_text("the family name", &self.family_name, false, 200)?;
        check_text("the patient's note", &self.note, false, 20_000)?;
        if self.given_name.trim().is_empty() && self.family_name.trim().is_empty() {
            return Err(BadRecord::new(
                "the patient's name",
                "nothing",
                "a given or family name",
            ));
        }
        Ok(())
    }

    /// Age on a day.
    ///
    /// # Units
    /// Years: whole years at the last birthday plus the part of the year since. A child is
    /// exactly 7.0 on the seventh birthday, so that a yardstick 'from 7 years' starts that day.
    /// Born on 29 February counts as 1 March in other years.
    ///
    /// `None` where the birth date is missing or lies after the day.
    pub fn age_years_on(&self, day: Date) -> Option<f64> {
        let born = self.born_on.filter(|b| *b <= day)?;
        let mut whole = day.year() - born.year();
        if birthday(born, day.year()) > day {
            whole -= 1;
        }
        let last = birthday(born, born.year() + whole);
        let next = birthday(born, born.year() + whole + 1);
        let part = (day - last).whole_days() as f64 / (next - last).whole_days() as f64;
        Some(f64::from(whole) + part)
    }
}

fn birthday(born: Date, year: i32) -> Date {
    born.replace_year(year).unwrap_or_else(|_| {
        // Only 29 February has no place in another year.
        Date::from_calendar_date(year, time::Month::March, 1).unwrap_or(born)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;
    use uuid::Uuid;

    fn born(on: Option<Date>) -> Patient {
        Patient {
            id: PatientId::new(Uuid::from_u128(1)),
            chart_number: "1".into(),
            given_name: "Invented".into(),
            family_name: "Person".into(),
            born_on: on,
            sex: None,
            note: String::new(),
        }
    }

    #[test]
    fn a_child_is_seven_on_the_seventh_birthday_and_not_the_day_before() {
        let child = born(Some(date!(2019 - 05 - 17)));
        assert_eq!(child.age_years_on(date!(2026 - 05 - 17)), Some(7.0));
        assert!(child.age_years_on(date!(2026 - 05 - 16)).unwrap() < 7.0);
    }

    #[test]
    fn a_leap_day_child_has_a_birthday_every_year() {
        let child = born(Some(date!(2020 - 02 - 29)));
        assert_eq!(child.age_years_on(date!(2027 - 03 - 01)), Some(7.0));
        assert!(child.age_years_on(date!(2027 - 02 - 28)).unwrap() < 7.0);
        assert_eq!(child.age_years_on(date!(2028 - 02 - 29)), Some(8.0));
    }

    #[test]
    fn age_is_missing_where_the_birth_date_is_missing_or_later() {
        assert_eq!(born(None).age_years_on(date!(2026 - 01 - 01)), None);
        assert_eq!(
            born(Some(date!(2027 - 01 - 01))).age_years_on(date!(2026 - 01 - 01)),
            None
        );
    }

    #[test]
    fn a_patient_without_any_name_is_refused_without_repeating_the_chart_number() {
        let nobody = Patient {
            given_name: " ".into(),
            family_name: String::new(),
            ..born(None)
        };
        let said = nobody.check().unwrap_err().to_string();
        assert!(said.contains("a given or family name"), "{said}");
    }

    #[test]
    fn a_birth_date_stands_in_json_as_year_month_day() {
        let json = serde_json::to_value(born(Some(date!(2019 - 05 - 17)))).unwrap();
        assert_eq!(json["born_on"], "2019-05-17");
        let back: Patient = serde_json::from_value(json).unwrap();
        assert_eq!(back.born_on, Some(date!(2019 - 05 - 17)));
    }
}
