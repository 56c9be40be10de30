//! Values in DICOM's text forms (PS3.5 section 6.2).

use super::WriteError;
use dicom_core::VR;
use time::{Date, Time};

/// A text within its representation's length, without the characters that would split it.
pub(super) fn checked_text(
    attribute: &'static str,
    vr: VR,
    text: &str,
) -> Result<String, WriteError> {
    let most = match vr {
        VR::SH | VR::CS => 16,
        VR::LT => 10_240,
        _ => 64,
    };
    let found = text.chars().count();
    if found > most || text.chars().any(|c| c == '\\' || c.is_control()) {
        return Err(WriteError::Text {
            attribute,
            found,
            most,
        });
    }
    Ok(text.to_owned())
}

pub(super) fn checked_uid(attribute: &'static str, uid: &str) -> Result<String, WriteError> {
    let part = |p: &str| {
        !p.is_empty()
            && p.bytes().all(|b| b.is_ascii_digit())
            && (p.len() == 1 || !p.starts_with('0'))
    };
    if uid.len() <= 64 && uid.contains('.') && uid.split('.').all(part) {
        Ok(uid.to_owned())
    } else {
        Err(WriteError::Uid { attribute })
    }
}

/// At most 16 characters, as exact as they allow.
pub(super) fn decimal(value: f64) -> String {
    let plain = format!("{value}");
    if plain.len() <= 16 {
        return plain;
    }
    (0..=12)
        .rev()
        .map(|digits| format!("{value:.digits$e}"))
        .find(|text| text.len() <= 16)
        .unwrap_or_else(|| "0".to_owned())
}

pub(super) fn date_text(date: Date) -> String {
    format!(
        "{:04}{:02}{:02}",
        date.year(),
        u8::from(date.month()),
        date.day()
    )
}

pub(super) fn time_text(time: Time) -> String {
    format!("{:02}{:02}{:02}", time.hour(), time.minute(), time.second())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_keeps_to_sixteen_characters_and_its_value() {
        for value in [
            0.148,
            1.0 / 3.0,
            0.143_712_574_850_299_4,
            1100.0,
            1e-9 / 7.0,
            -65_535.123_456_789,
        ] {
            let text = decimal(value);
            assert!(text.len() <= 16, "{text}");
            let back: f64 = text.parse().unwrap();
            assert!((back - value).abs() <= 1e-8 * value.abs(), "{text}");
        }
    }

    #[test]
    fn an_identifier_with_letters_or_leading_zeros_is_refused() {
        assert!(checked_uid("x", "2.25.12345").is_ok());
        for bad in ["", "2.25.", "2.25.012", "abc", "1.2.x", "25"] {
            assert!(checked_uid("x", bad).is_err(), "{bad}");
        }
    }
}
