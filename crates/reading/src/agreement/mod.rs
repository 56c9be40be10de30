//! Do two readings of one film agree, by the same reader or another?
//!
//! * [`icc`]: intraclass correlations with intervals, and the standard errors of measurement from them;
//! * [`bland_altman`]: bias and limits of agreement of two series;
//! * [`lin_ccc`]: Lin's concordance correlation;
//! * [`repeatability`]: the spread within a subject from pairs;
//! * [`smallest_detectable_change`]: what a later reading must differ by to be more than error.
//!
//! # Sources
//! Formulas from the papers named beside them; worked examples in the tests, each with its origin.

mod correlation;
mod pairs;

pub use correlation::{Icc, IccForms, IccValue, MeanSquares, Sem, icc, sem, sem_from_icc};
pub use pairs::{
    BlandAltman, LinCcc, Repeatability, bland_altman, bland_altman_by, lin_ccc, repeatability,
};

/// Why agreement could not be computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AgreementError {
    #[error("found {found} subjects, expected at least {wanted}; read more films twice")]
    TooFew { found: usize, wanted: usize },
    #[error("found {found} readings of a subject, expected at least 2; add a second reading")]
    OneReading { found: usize },
    #[error(
        "subject {subject} has {found} readings, expected {wanted} as for the first; leave it out or complete it"
    )]
    Ragged {
        subject: usize,
        found: usize,
        wanted: usize,
    },
    #[error(
        "subject {subject} has a reading that is not a finite number; leave it out or read it again"
    )]
    NotFinite { subject: usize },
    #[error("all readings are the same, so agreement has no meaning; choose films that differ")]
    NoSpread,
}

/// The change between two readings that error alone exceeds in 5 % of cases: 1.96 · √2 · SEM.
///
/// # Units
/// That of the standard error of measurement.
pub fn smallest_detectable_change(sem: f64) -> f64 {
    quantity::Z_975 * std::f64::consts::SQRT_2 * sem
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Origin: SD 5 and ICC 0.90 give SEM 1.581 and a smallest detectable change of 4.383
    /// (formula SEM = SD √(1 − ICC), test-retest form).
    #[test]
    fn the_smallest_detectable_change_agrees_with_an_example() {
        let sem = sem_from_icc(5.0, 0.90);
        assert!((sem - 1.581).abs() < 5e-4, "{sem}");
        let change = smallest_detectable_change(sem);
        assert!((change - 4.383).abs() < 5e-4, "{change}");
    }
}
