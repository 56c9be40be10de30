//! Two series of readings of the same films: bias, limits of agreement, concordance, repeatability.

use super::AgreementError;
use quantity::Z_975;
use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, StudentsT};

/// Bias and limits of agreement of `first − second`, in the unit of the readings.
///
/// # Sources
/// Bland and Altman, Lancet 1986;327:307: standard errors s/√n and √(3 s²/n), quantiles of t with n − 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BlandAltman {
    pub n: usize,
    /// Mean of `first − second`.
    pub bias: f64,
    pub standard_deviation: f64,
    /// bias − m · SD and bias + m · SD.
    pub limits: [f64; 2],
    /// The m above: 1.96 unless asked otherwise.
    pub multiplier: f64,
    pub bias_standard_error: f64,
    pub limit_standard_error: f64,
    /// 95 % intervals.
    pub bias_interval: [f64; 2],
    pub lower_limit_interval: [f64; 2],
    pub upper_limit_interval: [f64; 2],
}

/// Lin's concordance correlation with its parts.
///
/// # Sources
/// Lin, Biometrics 1989;45:255; denominators n, interval by Fisher's z as printed there.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LinCcc {
    pub n: usize,
    pub value: f64,
    /// 95 % interval; `None` where the correlation is perfect or there are fewer than three pairs.
    pub interval: Option<[f64; 2]>,
    /// Pearson's correlation: how well the pairs lie on some line.
    pub correlation: f64,
    /// How near that line is to equality.
    pub bias_correction: f64,
}

/// Spread within a subject from pairs of readings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Repeatability {
    pub n: usize,
    /// √(Σ d² / 2n).
    pub within_subject_sd: f64,
    /// Two readings differ by less than this in 95 % of cases: 1.96 · √2 · within-subject SD.
    pub coefficient: f64,
}

fn check(first: &[f64], second: &[f64], wanted: usize) -> Result<(), AgreementError> {
    let (n, m) = (first.len(), second.len());
    if n != m {
        let subject = n.min(m) + 1;
        return Err(AgreementError::Ragged {
            subject,
            found: 1,
            wanted: 2,
        });
    }
    if n < wanted {
        return Err(AgreementError::TooFew { found: n, wanted });
    }
    let broken = first
        .iter()
        .zip(second)
        .position(|(a, b)| !(a.is_finite() && b.is_finite()));
    broken.map_or(Ok(()), |i| {
        Err(AgreementError::NotFinite { subject: i + 1 })
    })
}

/// Bias and limits of agreement with the multiplier 1.96.
///
/// # Errors
/// Series of different length, fewer than two pairs, a value that is not finite.
pub fn bland_altman(first: &[f64], second: &[f64]) -> Result<BlandAltman, AgreementError> {
    bland_altman_by(first, second, Z_975)
}

/// The same with another multiplier: the paper of 1986 uses 2.
///
/// # Errors
/// As [`bland_altman`].
pub fn bland_altman_by(
    first: &[f64],
    second: &[f64],
    multiplier: f64,
) -> Result<BlandAltman, AgreementError> {
    check(first, second, 2)?;
    let n = first.len() as f64;
    let differences: Vec<f64> = first.iter().zip(second).map(|(a, b)| a - b).collect();
    let bias = differences.iter().sum::<f64>() / n;
    let square: f64 = differences.iter().map(|d| (d - bias).powi(2)).sum();
    let sd = (square / (n - 1.0)).sqrt();
    let t = StudentsT::new(0.0, 1.0, n - 1.0).map_or(f64::NAN, |t| t.inverse_cdf(0.975));
    let (bias_se, limit_se) = (sd / n.sqrt(), (3.0 * sd * sd / n).sqrt());
    let about = |value: f64, se: f64| [value - t * se, value + t * se];
    let limits = [bias - multiplier * sd, bias + multiplier * sd];
    Ok(BlandAltman {
        n: first.len(),
        bias,
        standard_deviation: sd,
        limits,
        multiplier,
        bias_standard_error: bias_se,
        limit_standard_error: limit_se,
        bias_interval: about(bias, bias_se),
        lower_limit_interval: about(limits[0], limit_se),
        upper_limit_interval: about(limits[1], limit_se),
    })
}

/// Lin's concordance correlation.
///
/// # Errors
/// Series of different length, fewer than two pairs, a value that is not finite, a series without spread.
pub fn lin_ccc(first: &[f64], second: &[f64]) -> Result<LinCcc, AgreementError> {
    check(first, second, 2)?;
    let n = first.len() as f64;
    let mean = |s: &[f64]| s.iter().sum::<f64>() / n;
    let (ma, mb) = (mean(first), mean(second));
    let (mut aa, mut bb, mut ab) = (0.0, 0.0, 0.0);
    for (a, b) in first.iter().zip(second) {
        aa += (a - ma).powi(2) / n;
        bb += (b - mb).powi(2) / n;
        ab += (a - ma) * (b - mb) / n;
    }
    if aa <= 0.0 || bb <= 0.0 {
        return Err(AgreementError::NoSpread);
    }
    let value = 2.0 * ab / (aa + bb + (ma - mb).powi(2));
    let correlation = (ab / (aa * bb).sqrt()).clamp(-1.0, 1.0);
    // Asymptotic variance of Fisher's z of the concordance (Lin 1989, with the correction of 2000).
    let (c2, r2) = (value * value, correlation * correlation);
    let u2 = (ma - mb).powi(2) / (aa * bb).sqrt();
    let variance = ((1.0 - r2) * c2 / ((1.0 - c2) * r2)
        + 2.0 * value.powi(3) * (1.0 - value) * u2 / (correlation * (1.0 - c2).powi(2))
        - value.powi(4) * u2 * u2 / (2.0 * r2 * (1.0 - c2).powi(2)))
        / (n - 2.0);
    let z = value.atanh();
    let half = Z_975 * variance.max(0.0).sqrt();
    let interval = [(z - half).tanh(), (z + half).tanh()];
    Ok(LinCcc {
        n: first.len(),
        value,
        interval: (n > 2.0 && interval.iter().all(|v| v.is_finite())).then_some(interval),
        correlation,
        bias_correction: value / correlation,
    })
}

/// Within-subject spread from first and second readings of the same subjects.
///
/// # Sources
/// Bland and Altman, Lancet 1986;327:307, section on repeatability; there with 2 for 1.96.
///
/// # Errors
/// Series of different length, no pair, a value that is not finite.
pub fn repeatability(first: &[f64], second: &[f64]) -> Result<Repeatability, AgreementError> {
    check(first, second, 1)?;
    let square: f64 = first.iter().zip(second).map(|(a, b)| (a - b).powi(2)).sum();
    let within_subject_sd = (square / (2.0 * first.len() as f64)).sqrt();
    let coefficient = Z_975 * std::f64::consts::SQRT_2 * within_subject_sd;
    Ok(Repeatability {
        n: first.len(),
        within_subject_sd,
        coefficient,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Peak flow of 17 people, large and mini meter, first and second readings: Bland and Altman,
    /// Lancet 1986;327:307, table 1.
    const LARGE: [f64; 17] = [
        494., 395., 516., 434., 476., 557., 413., 442., 650., 433., 417., 656., 267., 478., 178.,
        423., 427.,
    ];
    const MINI: [f64; 17] = [
        512., 430., 520., 428., 500., 600., 364., 380., 658., 445., 432., 626., 260., 477., 259.,
        350., 451.,
    ];
    const LARGE_AGAIN: [f64; 17] = [
        490., 397., 512., 401., 470., 611., 415., 431., 638., 429., 420., 633., 275., 492., 165.,
        372., 421.,
    ];
    const MINI_AGAIN: [f64; 17] = [
        525., 415., 508., 444., 500., 625., 460., 390., 642., 432., 420., 605., 227., 467., 268.,
        370., 443.,
    ];

    fn near(found: f64, expected: f64, digits: f64) {
        assert!(
            (found - expected).abs() <= 0.5001 * digits,
            "found {found}, expected {expected}"
        );
    }

    /// Origin: the paper's own text: d −2.1, s 38.8, limits −79.7 and 75.5 (with 2 s), standard error of
    /// d 9.4, its interval −22.0 to 17.8, standard error of a limit 16.3. To four digits: −2.1176, 38.7651.
    #[test]
    fn bias_and_limits_agree_with_bland_and_altman_1986() {
        let b = bland_altman_by(&LARGE, &MINI, 2.0).expect("seventeen pairs");
        near(b.bias, -2.1176, 1e-4);
        near(b.standard_deviation, 38.7651, 1e-4);
        // The paper doubles the rounded 38.8: −79.7 and 75.5 there, −79.6 and 75.4 from full digits.
        near(b.limits[0], -79.7, 0.2);
        near(b.limits[1], 75.5, 0.2);
        near(b.bias_standard_error, 9.4, 0.1);
        near(b.bias_interval[0], -22.0, 0.2);
        near(b.bias_interval[1], 17.8, 0.1);
        near(b.limit_standard_error, 16.3, 0.1);
        let usual = bland_altman(&LARGE, &MINI).expect("seventeen pairs");
        near(usual.limits[0], -78.1, 0.1);
        near(usual.limits[1], 73.9, 0.1);
    }

    /// Origin: the same data with denominator n, recomputed by a public validation page: 0.942742, r 0.9433.
    #[test]
    fn the_concordance_agrees_with_a_published_recomputation() {
        let ccc = lin_ccc(&LARGE, &MINI).expect("seventeen pairs");
        near(ccc.value, 0.942742, 1e-6);
        near(ccc.correlation, 0.9433, 1e-4);
        near(ccc.bias_correction * ccc.correlation, ccc.value, 1e-12);
    }

    /// Origin: computed by hand from the table: 15.31 and 19.91; doubled differences 43.3 and 56.3.
    #[test]
    fn repeatability_agrees_with_the_same_people_read_twice() {
        let large = repeatability(&LARGE, &LARGE_AGAIN).expect("seventeen pairs");
        let mini = repeatability(&MINI, &MINI_AGAIN).expect("seventeen pairs");
        near(large.within_subject_sd, 15.31, 0.01);
        near(mini.within_subject_sd, 19.91, 0.01);
        let doubled = 2.0 / Z_975;
        near(large.coefficient * doubled, 43.3, 0.1);
        near(mini.coefficient * doubled, 56.3, 0.1);
    }

    #[test]
    fn pairs_that_cannot_be_compared_are_refused() {
        assert!(bland_altman(&[1.0], &[2.0]).is_err());
        assert!(bland_altman(&[1.0, 2.0], &[2.0]).is_err());
        assert_eq!(
            lin_ccc(&[1.0, 1.0], &[2.0, 3.0]),
            Err(AgreementError::NoSpread)
        );
        assert!(matches!(
            repeatability(&[1.0, f64::INFINITY], &[2.0, 3.0]),
            Err(AgreementError::NotFinite { subject: 2 })
        ));
    }
}
