//! How is one object told from another? Identifiers of DICOM objects (PS3.5 section 9 and annex B.2).

use uuid::Uuid;

/// New identifiers, made by the caller: nothing here makes randomness.
pub trait Uids {
    fn uuid(&mut self) -> Uuid;

    /// `2.25.` and the number of a UUID.
    fn uid(&mut self) -> String {
        uid_of(self.uuid())
    }
}

/// The identifier made of a UUID's number.
pub fn uid_of(uuid: Uuid) -> String {
    format!("2.25.{}", uuid.as_u128())
}

/// Is it 1 to 64 digits and dots, no part empty or led by a zero?
pub fn is_uid(text: &str) -> bool {
    let part = |p: &str| {
        !p.is_empty()
            && p.bytes().all(|b| b.is_ascii_digit())
            && (p.len() == 1 || !p.starts_with('0'))
    };
    text.len() <= 64 && text.contains('.') && text.split('.').all(part)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_identifier_from_a_uuid_has_the_form_that_the_standard_asks() {
        let largest = uid_of(Uuid::from_u128(u128::MAX));
        assert_eq!(largest, "2.25.340282366920938463463374607431768211455");
        assert!(is_uid(&largest));
        assert!(is_uid(&uid_of(Uuid::nil())));
    }

    #[test]
    fn a_path_a_leading_zero_and_an_empty_part_are_no_identifiers() {
        for bad in ["../1", "1.02", "1..2", "", "1", ".1"] {
            assert!(!is_uid(bad), "{bad}");
        }
    }
}
