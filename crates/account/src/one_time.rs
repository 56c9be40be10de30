//! Is a six-digit code the right one, and was it used before?
//!
//! Time-based codes of RFC 6238: SHA-1, six digits, 30 seconds, the step before and after accepted. A step once used is
//! never accepted again.

use totp_rs::{Algorithm, Builder, Secret, Totp};

pub const STEP_SECONDS: u64 = 30;
const DIGITS: u8 = 6;

/// The time step whose code this is, where it lies within one step of now and after `last_used`.
pub fn step_of(
    secret: &[u8],
    code: &str,
    unix_seconds: u64,
    last_used: Option<u64>,
) -> Option<u64> {
    let code: String = code.chars().filter(|c| !c.is_whitespace()).collect();
    if code.len() != usize::from(DIGITS) || !code.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let now = unix_seconds / STEP_SECONDS;
    (now.saturating_sub(1)..=now + 1)
        .filter(|step| last_used.is_none_or(|used| *step > used))
        .find(|step| code_at(secret, *step).as_deref() == Some(code.as_str()))
}

/// The code of one time step; `None` for a secret that is too short.
pub fn code_at(secret: &[u8], step: u64) -> Option<String> {
    let time = step.checked_mul(STEP_SECONDS)?;
    Some(of(secret)?.generate(time).to_string())
}

fn of(secret: &[u8]) -> Option<Totp> {
    Builder::new()
        .with_algorithm(Algorithm::SHA1)
        .with_digits(DIGITS)
        .with_skew(0)
        .with_step_duration(STEP_SECONDS)
        .with_secret(secret)
        .build()
        .ok()
}

/// The secret as it is typed by hand, base32.
pub fn in_letters(secret: &[u8]) -> String {
    Secret::from(secret).to_base32()
}

/// The address an authenticator reads from the square code.
pub fn address(secret: &[u8], login: &str, practice: &str) -> String {
    let clean = |text: &str| -> String {
        text.bytes()
            .map(|b| match b {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' => {
                    char::from(b).to_string()
                }
                other => format!("%{other:02X}"),
            })
            .collect()
    };
    format!(
        "otpauth://totp/{0}:{1}?secret={2}&issuer={0}&algorithm=SHA1&digits={DIGITS}&period={STEP_SECONDS}",
        clean(practice),
        clean(login),
        in_letters(secret)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The secret and the codes below are recalled from RFC 6238, appendix B, not read; the library makes the same.
    const SECRET: &[u8] = b"12345678901234567890";

    #[test]
    fn the_codes_of_the_published_table_are_made() {
        // SHA-1 rows, last six of the eight digits.
        for (time, code) in [
            (59, "287082"),
            (1_111_111_109, "081804"),
            (1_111_111_111, "050471"),
            (1_234_567_890, "005924"),
            (2_000_000_000, "279037"),
            (20_000_000_000, "353130"),
        ] {
            assert_eq!(
                code_at(SECRET, time / STEP_SECONDS).as_deref(),
                Some(code),
                "{time}"
            );
        }
    }

    #[test]
    fn a_code_is_good_for_one_step_around_and_only_once() {
        let step = 1_234_567_890 / STEP_SECONDS;
        assert_eq!(step_of(SECRET, "005 924", 1_234_567_890, None), Some(step));
        assert_eq!(
            step_of(SECRET, "005924", 1_234_567_890 + 30, None),
            Some(step)
        );
        assert_eq!(step_of(SECRET, "005924", 1_234_567_890 + 90, None), None);
        assert_eq!(step_of(SECRET, "005924", 1_234_567_890, Some(step)), None);
        for rubbish in ["", "00592", "0059245", "00592x", "۰۰۵۹۲۴"] {
            assert_eq!(
                step_of(SECRET, rubbish, 1_234_567_890, None),
                None,
                "{rubbish}"
            );
        }
    }

    #[test]
    fn the_address_holds_no_sign_that_would_end_it() {
        let address = address(SECRET, "mara & co", "Foot/Practice?");
        assert_eq!(
            address,
            "otpauth://totp/Foot%2FPractice%3F:mara%20%26%20co?secret=GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ&issuer=Foot%2FPractice%3F&algorithm=SHA1&digits=6&period=30"
        );
    }
}
