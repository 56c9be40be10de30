//! Units and numbers with their error; nothing of ours below it.
//!
//! An [`Estimate`] is a value and a standard error in one [`Unit`]. Angles and lengths with a fixed
//! unit are newtypes made by named constructors and read back the same way.

use serde::{Deserialize, Serialize};

/// The units a reading may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Unit {
    #[serde(rename = "deg")]
    Degree,
    #[serde(rename = "mm")]
    Millimetre,
    #[serde(rename = "%")]
    Percent,
    #[serde(rename = "ratio")]
    Ratio,
    #[serde(rename = "points")]
    Points,
    #[serde(rename = "count")]
    Count,
    #[serde(rename = "cm2")]
    SquareCentimetre,
    #[serde(rename = "kPa")]
    Kilopascal,
}

impl Unit {
    /// As printed after a number, with its leading space where one belongs.
    pub fn suffix(self) -> &'static str {
        match self {
            Unit::Degree => "°",
            Unit::Millimetre => " mm",
            Unit::Percent => " %",
            Unit::Ratio | Unit::Count => "",
            Unit::Points => " points",
            Unit::SquareCentimetre => " cm²",
            Unit::Kilopascal => " kPa",
        }
    }

    pub fn key(self) -> &'static str {
        match self {
            Unit::Degree => "deg",
            Unit::Millimetre => "mm",
            Unit::Percent => "%",
            Unit::Ratio => "ratio",
            Unit::Points => "points",
            Unit::Count => "count",
            Unit::SquareCentimetre => "cm2",
            Unit::Kilopascal => "kPa",
        }
    }

    /// Decimals worth printing: one for degrees, millimetres, percent and square centimetres, three for ratios.
    pub fn decimals(self) -> usize {
        match self {
            Unit::Degree | Unit::Millimetre | Unit::Percent | Unit::SquareCentimetre => 1,
            Unit::Ratio => 3,
            Unit::Points | Unit::Count | Unit::Kilopascal => 0,
        }
    }
}

/// An angle; made and read in a named unit only.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Angle {
    degrees: f64,
}

impl Angle {
    pub const fn degrees(degrees: f64) -> Self {
        Self { degrees }
    }
    pub fn radians(radians: f64) -> Self {
        Self {
            degrees: radians.to_degrees(),
        }
    }
    pub const fn to_degrees(self) -> f64 {
        self.degrees
    }
    pub fn to_radians(self) -> f64 {
        self.degrees.to_radians()
    }
}

/// A length; made and read in millimetres.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Length {
    mm: f64,
}

impl Length {
    pub const fn mm(mm: f64) -> Self {
        Self { mm }
    }
    pub const fn to_mm(self) -> f64 {
        self.mm
    }
}

/// A value with its standard error, both in the unit beside them.
///
/// # Uncertainty
/// `standard_error` is one standard deviation of the value's error; the 95 % interval is
/// `value ± 1.959964 · standard_error` (normal quantile).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    pub value: f64,
    pub standard_error: f64,
    pub unit: Unit,
}

/// The 97.5 % quantile of the standard normal distribution.
pub const Z_975: f64 = 1.959_963_984_540_054;

impl Estimate {
    pub fn new(value: f64, standard_error: f64, unit: Unit) -> Self {
        Self {
            value,
            standard_error,
            unit,
        }
    }

    /// Lower and upper end of the 95 % interval.
    pub fn interval_95(&self) -> (f64, f64) {
        (
            self.value - Z_975 * self.standard_error,
            self.value + Z_975 * self.standard_error,
        )
    }
}

/// A number with this many decimals and a true minus sign; what rounds to zero has none.
pub fn written(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

/// [`written`] without the zeros at its end: `15` and `11.4` of one decimal.
pub fn written_short(value: f64, decimals: usize) -> String {
    let mut text = written(value, decimals);
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    text
}

/// A ready text with the hyphen that leads a number as a minus sign; between letters it stays.
pub fn with_minus_signs(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let mut before = None;
    let mut rest = words.chars().peekable();
    while let Some(c) = rest.next() {
        let leads = before.is_none_or(|b: char| b.is_whitespace() || "([~".contains(b));
        let number = rest.peek().is_some_and(char::is_ascii_digit);
        out.push(if c == '-' && leads && number {
            '−'
        } else {
            c
        });
        before = Some(c);
    }
    out
}

impl std::fmt::Display for Estimate {
    /// `12.3° ± 1.1°`: the value and half the width of its 95 % interval.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (d, s) = (self.unit.decimals(), self.unit.suffix());
        write!(
            f,
            "{}{s} ± {}{s}",
            written(self.value, d),
            written(Z_975 * self.standard_error, d)
        )
    }
}

/// Millimetres per pixel of a film, along its columns' direction (x) and its rows' (y), in the plane of
/// the anatomy, with the relative standard error that both share (from magnification, ball or ruler).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PixelScale {
    pub mm_per_px_x: f64,
    pub mm_per_px_y: f64,
    pub relative_standard_error: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_estimate_prints_its_interval_and_not_its_standard_error() {
        assert_eq!(
            Estimate::new(10.04, 1.0, Unit::Degree).to_string(),
            "10.0° ± 2.0°"
        );
    }

    #[test]
    fn radians_and_degrees_agree() {
        assert!((Angle::radians(std::f64::consts::PI).to_degrees() - 180.0).abs() < 1e-12);
    }

    #[test]
    fn a_minus_stands_before_a_number_and_a_hyphen_between_letters() {
        assert_eq!(
            with_minus_signs("Talo-first -6.5° (-2 to 3)"),
            "Talo-first −6.5° (−2 to 3)"
        );
        assert_eq!(
            Estimate::new(-6.5, 1.0, Unit::Degree).to_string(),
            "−6.5° ± 2.0°"
        );
        assert_eq!(written(-0.04, 1), "0.0");
        assert_eq!(written(f64::NAN, 1), "NaN");
        assert_eq!(
            [
                written_short(15.0, 1),
                written_short(-4.5, 1),
                written_short(20.0, 0)
            ],
            ["15", "−4.5", "20"]
        );
    }
}
