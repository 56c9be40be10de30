//! One number of the trade: its usual value, its band, its unit, and who says so.
//!
//! This file answers "what may be written down about a number that is no reading": moduli, forces, sizes,
//! settings. What a number means is its field's or its row's question. One surprise: where sources
//! disagree the number is a band from the lowest to the highest of them, and no mean is taken.

use crate::source::Provenance;
use serde::{Deserialize, Serialize};
use terms::SourceKey;

/// Units of numbers that are not readings of a foot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum FigureUnit {
    #[serde(rename = "GPa")]
    GigaPascal,
    #[serde(rename = "MPa")]
    MegaPascal,
    #[serde(rename = "g/cm3")]
    GramPerCubicCentimetre,
    #[serde(rename = "ratio")]
    Ratio,
    #[serde(rename = "%")]
    Percent,
    #[serde(rename = "mm")]
    Millimetre,
    #[serde(rename = "mm/year")]
    MillimetrePerYear,
    #[serde(rename = "mm/min")]
    MillimetrePerMinute,
    #[serde(rename = "deg")]
    Degree,
    #[serde(rename = "deg/deg")]
    DegreePerDegree,
    #[serde(rename = "kg")]
    Kilogram,
    /// Body weights: a force by the weight of the person.
    #[serde(rename = "BW")]
    BodyWeight,
    #[serde(rename = "cycles")]
    Cycles,
    #[serde(rename = "cycles/year")]
    CyclesPerYear,
    #[serde(rename = "degC")]
    Celsius,
    #[serde(rename = "months")]
    Months,
    /// A standardised difference: the difference by the spread between people.
    #[serde(rename = "SMD")]
    StandardisedDifference,
    /// On a pain scale of 0 to 100.
    #[serde(rename = "of 100")]
    OfHundred,
}

impl FigureUnit {
    /// As printed after a number, with its leading space where one belongs.
    pub fn suffix(self) -> &'static str {
        use FigureUnit::*;
        match self {
            GigaPascal => " GPa",
            MegaPascal => " MPa",
            GramPerCubicCentimetre => " g/cm³",
            Ratio => "",
            Percent => " %",
            Millimetre => " mm",
            MillimetrePerYear => " mm a year",
            MillimetrePerMinute => " mm a minute",
            Degree => "°",
            DegreePerDegree => "° for each degree",
            Kilogram => " kg",
            BodyWeight => " body weights",
            Cycles => " cycles",
            CyclesPerYear => " cycles a year",
            Celsius => " °C",
            Months => " months",
            StandardisedDifference => " standard deviations",
            OfHundred => " of 100",
        }
    }

    /// The word used in the files.
    pub fn key(self) -> &'static str {
        use FigureUnit::*;
        match self {
            GigaPascal => "GPa",
            MegaPascal => "MPa",
            GramPerCubicCentimetre => "g/cm3",
            Ratio => "ratio",
            Percent => "%",
            Millimetre => "mm",
            MillimetrePerYear => "mm/year",
            MillimetrePerMinute => "mm/min",
            Degree => "deg",
            DegreePerDegree => "deg/deg",
            Kilogram => "kg",
            BodyWeight => "BW",
            Cycles => "cycles",
            CyclesPerYear => "cycles/year",
            Celsius => "degC",
            Months => "months",
            StandardisedDifference => "SMD",
            OfHundred => "of 100",
        }
    }
}

/// A number with its band and its sources.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// The value to start from; `None` where only a band is known.
    #[serde(default)]
    pub value: Option<f64>,
    /// Lowest and highest that a source gives; open where not said.
    #[serde(default)]
    pub lower: Option<f64>,
    #[serde(default)]
    pub upper: Option<f64>,
    pub unit: FigureUnit,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    /// Worked out here from what the sources print; the note says how.
    #[serde(default)]
    pub derived: bool,
    /// Our own choice, by nobody published; the note says from what.
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

impl Figure {
    /// The value, or the middle of a band that has both ends.
    pub fn usual(&self) -> Option<f64> {
        self.value.or(match (self.lower, self.upper) {
            (Some(lower), Some(upper)) => Some((lower + upper) / 2.0),
            _ => None,
        })
    }

    /// Both ends of the band; a value without a band is both. `None` where an end is open.
    pub fn band(&self) -> Option<[f64; 2]> {
        let lower = self.lower.or(self.value)?;
        let upper = self.upper.or(self.value)?;
        Some([lower, upper])
    }

    /// The figure in megapascals; `None` where it is no pressure.
    pub fn to_megapascal(&self) -> Option<Figure> {
        let factor = match self.unit {
            FigureUnit::MegaPascal => 1.0,
            FigureUnit::GigaPascal => 1000.0,
            _ => return None,
        };
        let scaled = |end: Option<f64>| end.map(|v| v * factor);
        Some(Figure {
            value: scaled(self.value),
            lower: scaled(self.lower),
            upper: scaled(self.upper),
            unit: FigureUnit::MegaPascal,
            ..self.clone()
        })
    }

    /// `1.4 GPa (1.14 to 1.55)`, `0.5 to 1 MPa`, `at least 14 mm`.
    pub fn words(&self) -> String {
        let suffix = self.unit.suffix();
        let written = |v: f64| quantity::written_short(v, decimals(v));
        match (self.value, self.lower, self.upper) {
            (Some(v), Some(l), Some(u)) => {
                format!("{}{suffix} ({} to {})", written(v), written(l), written(u))
            }
            (Some(v), _, _) => format!("{}{suffix}", written(v)),
            (None, Some(l), Some(u)) => format!("{} to {}{suffix}", written(l), written(u)),
            (None, Some(l), None) => format!("at least {}{suffix}", written(l)),
            (None, None, Some(u)) => format!("at most {}{suffix}", written(u)),
            (None, None, None) => "not known".to_owned(),
        }
    }
}

/// Decimals that show three figures of a number below one, and never more than four.
fn decimals(value: f64) -> usize {
    match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 1.0 => 2,
        v if v >= 0.1 => 3,
        _ => 4,
    }
}

/// What can be asked of everything that rests on sources.
pub trait Sourced {
    fn sources(&self) -> &[SourceKey];
    fn provenance(&self) -> Provenance;
    /// Worked out here from what the sources print.
    fn derived(&self) -> bool;
    /// Our own choice.
    fn judgement(&self) -> bool;
    fn note(&self) -> Option<&str>;
}

macro_rules! sourced {
    ($($name:ty),+ $(,)?) => {$(
        impl $crate::figure::Sourced for $name {
            fn sources(&self) -> &[terms::SourceKey] {
                &self.sources
            }
            fn provenance(&self) -> $crate::source::Provenance {
                self.provenance
            }
            fn derived(&self) -> bool {
                self.derived
            }
            fn judgement(&self) -> bool {
                self.judgement
            }
            fn note(&self) -> Option<&str> {
                self.note.as_deref()
            }
        }
    )+};
}
pub(crate) use sourced;

sourced!(Figure);

/// A field, what was found in it, what was expected.
pub(crate) type Wrong = (&'static str, String, String);

/// Are the numbers of a band finite and in order? The same for figures and for rows that hold one.
pub(crate) fn band_faults(
    value: Option<f64>,
    lower: Option<f64>,
    upper: Option<f64>,
) -> Vec<Wrong> {
    let mut out = Vec::new();
    for (field, number) in [("value", value), ("lower", lower), ("upper", upper)] {
        if let Some(number) = number.filter(|n| !n.is_finite()) {
            out.push((
                field,
                format!("{field} = {number}"),
                "a finite number".to_owned(),
            ));
        }
    }
    if !out.is_empty() {
        return out;
    }
    if let (Some(l), Some(u)) = (lower, upper)
        && l > u
    {
        out.push((
            "lower",
            format!("lower = {l} and upper = {u}"),
            "the smaller number first".to_owned(),
        ));
    } else if let Some(v) = value {
        let low = lower.unwrap_or(f64::NEG_INFINITY);
        let high = upper.unwrap_or(f64::INFINITY);
        if !(low..=high).contains(&v) {
            out.push((
                "value",
                format!("value = {v}"),
                format!("a value inside its band, {}", ends(lower, upper)),
            ));
        }
    }
    out
}

fn ends(lower: Option<f64>, upper: Option<f64>) -> String {
    match (lower, upper) {
        (Some(l), Some(u)) => format!("{l} to {u}"),
        (Some(l), None) => format!("{l} or more"),
        (None, Some(u)) => format!("{u} or less"),
        (None, None) => "which is open".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(value: Option<f64>, lower: Option<f64>, upper: Option<f64>) -> Figure {
        Figure {
            value,
            lower,
            upper,
            unit: FigureUnit::GigaPascal,
            sources: Vec::new(),
            provenance: Provenance::Read,
            derived: false,
            judgement: false,
            note: None,
        }
    }

    #[test]
    fn a_band_without_a_value_is_used_by_its_middle_and_an_open_one_by_nothing() {
        assert_eq!(figure(None, Some(1.0), Some(2.0)).usual(), Some(1.5));
        assert_eq!(figure(None, Some(1.0), None).usual(), None);
        assert_eq!(figure(Some(1.4), None, None).band(), Some([1.4, 1.4]));
        assert_eq!(figure(None, Some(1.0), None).band(), None);
    }

    #[test]
    fn a_figure_is_read_as_a_person_would_say_it() {
        assert_eq!(
            figure(Some(1.4), Some(1.14), Some(1.55)).words(),
            "1.4 GPa (1.14 to 1.55)"
        );
        assert_eq!(
            figure(None, Some(0.0005), Some(0.005)).words(),
            "0.0005 to 0.005 GPa"
        );
        assert_eq!(figure(None, Some(14.0), None).words(), "at least 14 GPa");
    }

    #[test]
    fn a_gigapascal_is_a_thousand_megapascals() {
        let mega = figure(Some(1.4), Some(1.14), None).to_megapascal().unwrap();
        assert_eq!(mega.value, Some(1400.0));
        assert!((mega.lower.unwrap() - 1140.0).abs() < 1e-9);
        assert_eq!(mega.upper, None);
        let mut length = figure(Some(1.0), None, None);
        length.unit = FigureUnit::Millimetre;
        assert!(length.to_megapascal().is_none());
    }

    #[test]
    fn every_unit_is_written_in_the_files_by_its_own_word() {
        for unit in ["GPa", "g/cm3", "deg/deg", "cycles/year", "of 100", "SMD"] {
            #[derive(serde::Deserialize)]
            struct Only {
                unit: FigureUnit,
            }
            let read: Only = toml::from_str(&format!("unit = {unit:?}")).unwrap();
            assert_eq!(read.unit.key(), unit);
        }
    }
}
