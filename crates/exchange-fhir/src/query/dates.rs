//! A date or moment of the standard as a span of time: `2026` is a whole year.
//!
//! A moment without a zone is taken as universal time, as days are.

use time::{Date, Month, OffsetDateTime, Time, UtcOffset};

/// Nanoseconds since 1970, the end not in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    pub from: i128,
    pub until: i128,
}

const SECOND: i128 = 1_000_000_000;

/// `None` for what is no date of the standard.
pub fn span(text: &str) -> Option<Span> {
    // The longest: a moment with nanoseconds and a zone.
    if text.len() > 40 || !text.is_ascii() {
        return None;
    }
    let (day, clock) = match text.split_once('T') {
        Some((day, clock)) => (day, Some(clock)),
        None => (text, None),
    };
    let mut parts = day.split('-');
    let year: i32 = digits(parts.next()?, 4)?.try_into().ok()?;
    let month = parts.next().map(|m| digits(m, 2));
    let date = parts.next().map(|d| digits(d, 2));
    if parts.next().is_some() || year == 0 {
        return None;
    }
    let at = |year: i32, month: u32, day: u32| -> Option<Date> {
        let month = Month::try_from(u8::try_from(month).ok()?).ok()?;
        Date::from_calendar_date(year, month, u8::try_from(day).ok()?).ok()
    };
    let begins = |date: Date| date.midnight().assume_utc().unix_timestamp_nanos();
    match (month, date, clock) {
        (None, None, None) => Some(Span {
            from: begins(at(year, 1, 1)?),
            until: begins(at(year, 12, 31)?) + 86_400 * SECOND,
        }),
        (Some(month), None, None) => {
            let month = month?;
            let first = at(year, month, 1)?;
            let days = first.month().length(year);
            let from = begins(first);
            Some(Span {
                from,
                until: from + i128::from(days) * 86_400 * SECOND,
            })
        }
        (Some(month), Some(day), None) => {
            let from = begins(at(year, month?, day?)?);
            Some(Span {
                from,
                until: from + 86_400 * SECOND,
            })
        }
        (Some(month), Some(day), Some(clock)) => moment(at(year, month?, day?)?, clock),
        _ => None,
    }
}

fn digits(text: &str, exactly: usize) -> Option<u32> {
    (text.len() == exactly && text.bytes().all(|b| b.is_ascii_digit()))
        .then(|| text.parse().ok())
        .flatten()
}

/// `hh:mm`, `hh:mm:ss` or with parts of a second, and a zone or none.
fn moment(date: Date, clock: &str) -> Option<Span> {
    let zone_at = clock.find(['Z', '+', '-', ' ']);
    let (clock, zone) = match zone_at {
        Some(at) => (clock.get(..at)?, clock.get(at..)?),
        None => (clock, "Z"),
    };
    let offset = match zone.as_bytes().first()? {
        b'Z' if zone.len() == 1 => UtcOffset::UTC,
        // A plus that was not escaped arrives as a blank.
        sign @ (b'+' | b'-' | b' ') => {
            let (hours, minutes) = zone.get(1..)?.split_once(':')?;
            let hours = i8::try_from(digits(hours, 2)?).ok()?;
            let minutes = i8::try_from(digits(minutes, 2)?).ok()?;
            let sign = if *sign == b'-' { -1 } else { 1 };
            if minutes > 59 || hours > 14 {
                return None;
            }
            UtcOffset::from_hms(sign * hours, sign * minutes, 0).ok()?
        }
        _ => return None,
    };
    let mut parts = clock.split(':');
    let hour = u8::try_from(digits(parts.next()?, 2)?).ok()?;
    let minute = u8::try_from(digits(parts.next()?, 2)?).ok()?;
    let second = parts.next();
    if parts.next().is_some() {
        return None;
    }
    let (second, nanos, width) = match second {
        None => (0, 0, 60 * SECOND),
        Some(text) => match text.split_once('.') {
            None => (digits(text, 2)?, 0, SECOND),
            Some((whole, part)) => {
                if part.is_empty() || part.len() > 9 {
                    return None;
                }
                let shift = 10_u32.pow(9 - part.len() as u32);
                let nanos = digits(part, part.len())? * shift;
                (digits(whole, 2)?, nanos, i128::from(shift))
            }
        },
    };
    let time = Time::from_hms_nano(hour, minute, u8::try_from(second).ok()?, nanos).ok()?;
    let from = OffsetDateTime::new_in_offset(date, time, offset).unix_timestamp_nanos();
    Some(Span {
        from,
        until: from + width,
    })
}

/// How a span is held against another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Prefix {
    Eq,
    Ne,
    Gt,
    Lt,
    Ge,
    Le,
    /// Starts after.
    Sa,
    /// Ends before.
    Eb,
}

impl Prefix {
    /// The prefix and what follows; `Err` with the prefix that is not offered.
    pub fn split(text: &str) -> Result<(Prefix, &str), &str> {
        let Some((head, rest)) = text.split_at_checked(2) else {
            return Ok((Prefix::Eq, text));
        };
        let prefix = match head {
            "eq" => Prefix::Eq,
            "ne" => Prefix::Ne,
            "gt" => Prefix::Gt,
            "lt" => Prefix::Lt,
            "ge" => Prefix::Ge,
            "le" => Prefix::Le,
            "sa" => Prefix::Sa,
            "eb" => Prefix::Eb,
            other if other.bytes().all(|b| b.is_ascii_lowercase()) => return Err(head),
            _ => return Ok((Prefix::Eq, text)),
        };
        Ok((prefix, rest))
    }

    /// As the standard defines it over ranges.
    pub fn holds(self, found: Span, asked: Span) -> bool {
        let within = asked.from <= found.from && found.until <= asked.until;
        match self {
            Prefix::Eq => within,
            Prefix::Ne => !within,
            Prefix::Gt => found.until > asked.until,
            Prefix::Lt => found.from < asked.from,
            Prefix::Ge => found.until > asked.until || within,
            Prefix::Le => found.from < asked.from || within,
            Prefix::Sa => found.from >= asked.until,
            Prefix::Eb => found.until <= asked.from,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_year_a_month_a_day_and_a_second_span_what_they_name() {
        let width = |text: &str| span(text).map(|s| (s.until - s.from) / SECOND);
        assert_eq!(width("2024"), Some(366 * 86_400));
        assert_eq!(width("2026-02"), Some(28 * 86_400));
        assert_eq!(width("2026-11-27"), Some(86_400));
        assert_eq!(width("2026-11-27T10:00"), Some(60));
        assert_eq!(width("2026-11-27T10:00:01+01:00"), Some(1));
        let milli = span("2026-11-27T10:00:01.250Z").unwrap();
        assert_eq!(milli.until - milli.from, 1_000_000);
        assert_eq!(
            span("2026-11-27T10:00:00+01:00").unwrap().from,
            span("2026-11-27T09:00:00Z").unwrap().from
        );
    }

    #[test]
    fn what_is_no_date_is_none() {
        for bad in [
            "",
            "26",
            "2026-13",
            "2026-02-30",
            "2026-1-1",
            "2026-01-01T",
            "2026-01-01T25:00Z",
            "2026-01-01T10:00:00.Z",
            "2026-01-01T10:00+99:00",
            "0000",
            "2026-01-01-01",
            "-2026",
            "2026-01-01T10:00:00ZZ",
            "２０２６",
            "2026T10:00",
            "2026-01-01T10:00:61Z",
        ] {
            assert_eq!(span(bad), None, "{bad:?}");
        }
    }

    #[test]
    fn prefixes_compare_ranges_as_the_standard_says() {
        let (year, day) = (span("2026").unwrap(), span("2026-03-04").unwrap());
        assert!(Prefix::Eq.holds(day, year) && !Prefix::Eq.holds(year, day));
        assert!(Prefix::Ge.holds(day, year) && Prefix::Le.holds(day, year));
        assert!(!Prefix::Gt.holds(day, year) && !Prefix::Lt.holds(day, year));
        assert!(Prefix::Gt.holds(year, day) && Prefix::Lt.holds(year, day));
        let before = span("2025-12-31").unwrap();
        assert!(Prefix::Eb.holds(before, year) && Prefix::Sa.holds(day, before));
        assert_eq!(Prefix::split("ap2026"), Err("ap"));
        assert_eq!(Prefix::split("é"), Ok((Prefix::Eq, "é")));
    }
}
