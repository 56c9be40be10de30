//! One secret, and what it makes of names, dates and identifiers: always the same for the same input, and nothing
//! that leads back without the secret.

use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;
use std::fmt;
use time::{Date, Duration};

/// Kept by the practice; without it no copy can be led back, with it every copy of one patient fits the others.
#[derive(Clone)]
pub struct Secret([u8; 32]);

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret(…)")
    }
}

/// Shortest and longest move of a patient's dates, in days, always into the past.
const MOVED: (u32, u32) = (30, 3650);

impl Secret {
    /// From 32 random bytes.
    pub fn new(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }

    fn hash(&self, what: &str, of: &str) -> [u8; 32] {
        // A key of any length is taken.
        let mut mac = match Hmac::<Sha256>::new_from_slice(&self.0) {
            Ok(mac) => mac,
            Err(_) => return [0; 32],
        };
        mac.update(what.as_bytes());
        mac.update(&[0]);
        mac.update(of.as_bytes());
        mac.finalize().into_bytes().into()
    }

    /// 2.25 and a number of 128 bits in the form of a UUID.
    pub fn uid(&self, of: &str) -> String {
        let hash = self.hash("identifier", of);
        let mut bytes = [0; 16];
        bytes.copy_from_slice(&hash[..16]);
        crate::uids::uid_of(uuid::Builder::from_custom_bytes(bytes).into_uuid())
    }

    /// What stands for the patient: 12 letters and digits.
    pub fn pseudonym(&self, patient: &str) -> String {
        const LETTERS: &[u8; 32] = b"ABCDEFGHJKLMNPQRSTUVWXYZ23456789";
        self.hash("patient", patient)
            .iter()
            .take(12)
            .map(|b| char::from(LETTERS[usize::from(b % 32)]))
            .collect()
    }

    /// A date of this patient, moved. `None` where it would leave the calendar.
    pub fn moved(&self, patient: &str, date: Date) -> Option<Date> {
        let hash = self.hash("dates", patient);
        let number = u32::from_le_bytes([hash[0], hash[1], hash[2], hash[3]]);
        let days = MOVED.0 + number % (MOVED.1 - MOVED.0 + 1);
        date.checked_sub(Duration::days(i64::from(days)))
            .filter(|d| d.year() > 0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn the_days_between_two_films_of_a_patient_stay() {
        let secret = Secret::new([7; 32]);
        let (a, b) = (date!(2024 - 02 - 28), date!(2026 - 05 - 17));
        let moved = |patient, day| secret.moved(patient, day).unwrap();
        assert_eq!(moved("1", b) - moved("1", a), b - a);
        assert!(moved("1", b) < b);
        assert_ne!(moved("1", a), moved("2", a));
    }

    #[test]
    fn another_secret_gives_other_names_and_identifiers() {
        let (one, other) = (Secret::new([1; 32]), Secret::new([2; 32]));
        assert_eq!(one.uid("1.2.3"), one.uid("1.2.3"));
        assert_ne!(one.uid("1.2.3"), other.uid("1.2.3"));
        assert_ne!(one.pseudonym("1"), other.pseudonym("1"));
        assert!(crate::uids::is_uid(&one.uid("1.2.3")));
        assert!(!format!("{one:?}").contains('1'));
    }
}
