//! Intraclass correlation: how much of the spread is between the feet, and how much is the reading?
//!
//! # Sources
//! Shrout and Fleiss, Psychol Bull 1979;86:420 (forms and mean squares). Intervals as in McGraw and
//! Wong, Psychol Methods 1996;1:30, equations as commonly printed.

use super::AgreementError;
use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, FisherSnedecor};

/// An estimate with its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct IccValue {
    pub value: f64,
    pub lower: f64,
    pub upper: f64,
}

/// The three forms for one kind of use.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct IccForms {
    /// ICC(1): every subject read by other readers.
    pub one_way: IccValue,
    /// ICC(2): the same readers, drawn from many; their bias counts as disagreement.
    pub agreement: IccValue,
    /// ICC(3): these readers alone; their bias does not count.
    pub consistency: IccValue,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MeanSquares {
    pub between_subjects: f64,
    pub within_subjects: f64,
    pub between_readers: f64,
    pub error: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Icc {
    pub subjects: usize,
    pub readers: usize,
    pub mean_squares: MeanSquares,
    /// Of one reading: ICC(1,1), (2,1), (3,1).
    pub single: IccForms,
    /// Of the mean of all readings: ICC(1,k), (2,k), (3,k).
    pub average: IccForms,
}

/// Standard errors of measurement, in the unit of the readings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Sem {
    /// With the differences between readers: √(σ²_readers + σ²_error).
    pub agreement: f64,
    /// Without them: √σ²_error.
    pub consistency: f64,
}

/// Intraclass correlations of a table: one row for each subject, one column for each reader or repeat.
///
/// # Errors
/// Fewer than two subjects or readings, rows of different length, a reading that is not finite, no
/// spread at all.
pub fn icc(table: &[Vec<f64>]) -> Result<Icc, AgreementError> {
    let mean_squares = mean_squares(table)?;
    let (n, k) = (table.len() as f64, table[0].len() as f64);
    let MeanSquares {
        between_subjects: msb,
        within_subjects: msw,
        between_readers: msj,
        error: mse,
    } = mean_squares;
    let (df_b, df_w, df_e) = (n - 1.0, n * (k - 1.0), (n - 1.0) * (k - 1.0));
    let one_way = by_ratio(msb, msw, df_b, df_w);
    let consistency = by_ratio(msb, mse, df_b, df_e);
    let single_agreement = agreement(msb, msj, mse, n, k);
    let average_of = |single: IccValue| IccValue {
        value: stepped_up(single.value, k),
        lower: stepped_up(single.lower, k),
        upper: stepped_up(single.upper, k),
    };
    let single_of = |f: Ratio| IccValue {
        value: (f.value - 1.0) / (f.value + k - 1.0),
        lower: (f.lower - 1.0) / (f.lower + k - 1.0),
        upper: (f.upper - 1.0) / (f.upper + k - 1.0),
    };
    let single_of = |f: Ratio| {
        if f.value.is_finite() {
            single_of(f)
        } else {
            PERFECT
        }
    };
    let single = IccForms {
        one_way: single_of(one_way),
        agreement: single_agreement,
        consistency: single_of(consistency),
    };
    let average = IccForms {
        one_way: average_of(single.one_way),
        agreement: average_of(single.agreement),
        consistency: average_of(single.consistency),
    };
    Ok(Icc {
        subjects: table.len(),
        readers: table[0].len(),
        mean_squares,
        single,
        average,
    })
}

const PERFECT: IccValue = IccValue {
    value: 1.0,
    lower: 1.0,
    upper: 1.0,
};

/// Standard errors of measurement from the mean squares of [`icc`].
///
/// A variance of readers that comes out below zero is taken as zero.
pub fn sem(icc: &Icc) -> Sem {
    let m = &icc.mean_squares;
    let readers = ((m.between_readers - m.error) / icc.subjects as f64).max(0.0);
    Sem {
        agreement: (readers + m.error).sqrt(),
        consistency: m.error.sqrt(),
    }
}

/// SEM = SD · √(1 − ICC), where only those two are printed.
pub fn sem_from_icc(standard_deviation: f64, icc: f64) -> f64 {
    standard_deviation * (1.0 - icc).max(0.0).sqrt()
}

fn mean_squares(table: &[Vec<f64>]) -> Result<MeanSquares, AgreementError> {
    let n = table.len();
    if n < 2 {
        return Err(AgreementError::TooFew {
            found: n,
            wanted: 2,
        });
    }
    let k = table[0].len();
    if k < 2 {
        return Err(AgreementError::OneReading { found: k });
    }
    for (i, row) in table.iter().enumerate() {
        if row.len() != k {
            return Err(AgreementError::Ragged {
                subject: i + 1,
                found: row.len(),
                wanted: k,
            });
        }
        if !row.iter().all(|v| v.is_finite()) {
            return Err(AgreementError::NotFinite { subject: i + 1 });
        }
    }
    let (nf, kf) = (n as f64, k as f64);
    let mean = |sum: f64, count: f64| sum / count;
    let grand = mean(table.iter().flatten().sum(), nf * kf);
    let subject: Vec<f64> = table.iter().map(|r| mean(r.iter().sum(), kf)).collect();
    let reader: Vec<f64> = (0..k)
        .map(|j| mean(table.iter().map(|r| r[j]).sum(), nf))
        .collect();
    let between: f64 = subject.iter().map(|m| kf * (m - grand).powi(2)).sum();
    let readers: f64 = reader.iter().map(|m| nf * (m - grand).powi(2)).sum();
    let (mut within, mut error) = (0.0, 0.0);
    for (row, s) in table.iter().zip(&subject) {
        for (v, r) in row.iter().zip(&reader) {
            within += (v - s).powi(2);
            error += (v - s - r + grand).powi(2);
        }
    }
    if between + within <= 0.0 {
        return Err(AgreementError::NoSpread);
    }
    Ok(MeanSquares {
        between_subjects: between / (nf - 1.0),
        within_subjects: within / (nf * (kf - 1.0)),
        between_readers: readers / (kf - 1.0),
        error: error / ((nf - 1.0) * (kf - 1.0)),
    })
}

/// A ratio of mean squares with the limits that its F distribution gives.
struct Ratio {
    value: f64,
    lower: f64,
    upper: f64,
}

fn by_ratio(above: f64, below: f64, df_above: f64, df_below: f64) -> Ratio {
    let value = above / below;
    Ratio {
        value,
        lower: value / f_975(df_above, df_below),
        upper: value * f_975(df_below, df_above),
    }
}

/// ICC(2,1) with the interval of McGraw and Wong (their case 2A, Satterthwaite's degrees of freedom).
fn agreement(msb: f64, msj: f64, mse: f64, n: f64, k: f64) -> IccValue {
    let value = (msb - mse) / (msb + (k - 1.0) * mse + k * (msj - mse) / n);
    if value >= 1.0 {
        return PERFECT;
    }
    let a = k * value / (n * (1.0 - value));
    let b = 1.0 + k * value * (n - 1.0) / (n * (1.0 - value));
    let df_e = (n - 1.0) * (k - 1.0);
    let v =
        (a * msj + b * mse).powi(2) / ((a * msj).powi(2) / (k - 1.0) + (b * mse).powi(2) / df_e);
    // Neither readers nor error vary about a value that is not 1: no degrees of freedom, no interval.
    if !(v.is_finite() && v > 0.0) {
        return IccValue {
            value,
            lower: f64::NEG_INFINITY,
            upper: 1.0,
        };
    }
    let (f_low, f_high) = (f_975(n - 1.0, v), f_975(v, n - 1.0));
    let rest = k * msj + (k * n - k - n) * mse;
    IccValue {
        value,
        lower: n * (msb - f_low * mse) / (f_low * rest + n * msb),
        upper: n * (f_high * msb - mse) / (rest + n * f_high * msb),
    }
}

/// Spearman and Brown: the reliability of a mean of `k` readings.
fn stepped_up(single: f64, k: f64) -> f64 {
    k * single / (1.0 + (k - 1.0) * single)
}

/// The 97.5 % quantile of the F distribution.
fn f_975(df_above: f64, df_below: f64) -> f64 {
    FisherSnedecor::new(df_above, df_below).map_or(f64::NAN, |f| f.inverse_cdf(0.975))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shrout_fleiss() -> Vec<Vec<f64>> {
        [
            [9, 2, 5, 8],
            [6, 1, 3, 2],
            [8, 4, 6, 8],
            [7, 1, 2, 6],
            [10, 5, 6, 9],
            [6, 2, 4, 7],
        ]
        .iter()
        .map(|row| row.iter().map(|v| f64::from(*v)).collect())
        .collect()
    }

    fn near(found: f64, expected: f64) {
        assert!(
            (found - expected).abs() < 5e-5,
            "found {found}, expected {expected}"
        );
    }

    /// Data and formulas: Shrout and Fleiss, Psychol Bull 1979;86:420, six subjects, four judges. Their
    /// printed .17 .29 .71 .44 .62 .91, here to four digits by the same formulas.
    #[test]
    fn the_six_forms_agree_with_shrout_and_fleiss() {
        let icc = icc(&shrout_fleiss()).expect("a full table");
        let m = icc.mean_squares;
        near(m.between_subjects, 11.2417);
        near(m.within_subjects, 6.2639);
        near(m.between_readers, 32.4861);
        near(m.error, 1.0194);
        near(icc.single.one_way.value, 0.1657);
        near(icc.single.agreement.value, 0.2898);
        near(icc.single.consistency.value, 0.7148);
        near(icc.average.one_way.value, 0.4428);
        near(icc.average.agreement.value, 0.6201);
        near(icc.average.consistency.value, 0.9093);
    }

    /// Origin: the same table; √((MSJ − MSE)/6 + MSE) and √MSE worked by hand.
    #[test]
    fn the_standard_errors_of_measurement_agree_with_the_same_table() {
        let sem = sem(&icc(&shrout_fleiss()).expect("a full table"));
        near(sem.agreement, 2.5028);
        near(sem.consistency, 1.0097);
    }

    /// Limits by McGraw and Wong's formulas with scipy 1.17 quantiles; `checks/reading/second.py`
    /// recomputes them.
    #[test]
    fn the_intervals_agree_with_a_second_computation() {
        let icc = icc(&shrout_fleiss()).expect("a full table");
        let all = [
            (icc.single.one_way, -0.13293, 0.72260),
            (icc.single.agreement, 0.01879, 0.76108),
            (icc.single.consistency, 0.34247, 0.94583),
        ];
        for (value, lower, upper) in all {
            near(value.lower, lower);
            near(value.upper, upper);
        }
    }

    #[test]
    fn readers_who_agree_fully_have_a_correlation_of_one() {
        let icc = icc(&[vec![1.0, 1.0], vec![2.0, 2.0], vec![4.0, 4.0]]).expect("a full table");
        assert_eq!(icc.single.agreement, PERFECT);
        assert_eq!(icc.single.consistency.value, 1.0);
        assert_eq!(sem(&icc).agreement, 0.0);
    }

    #[test]
    fn a_broken_table_is_refused_with_a_sentence() {
        let fault = |t: &[Vec<f64>]| icc(t).expect_err("a broken table").to_string();
        assert!(fault(&[vec![1.0, 2.0]]).contains("found 1 subjects"));
        assert!(fault(&[vec![1.0], vec![2.0]]).contains("found 1 readings"));
        assert!(fault(&[vec![1.0, 2.0], vec![2.0]]).contains("subject 2 has 1"));
        assert!(fault(&[vec![1.0, 2.0], vec![f64::NAN, 2.0]]).contains("subject 2"));
        assert!(fault(&[vec![3.0, 3.0], vec![3.0, 3.0]]).contains("all readings are the same"));
    }
}
