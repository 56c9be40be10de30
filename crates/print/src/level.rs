//! Where does print end and ground begin, as a value?

use crate::PrintError;
use serde::{Deserialize, Serialize};

/// The value that parts print from ground.
///
/// # Uncertainty
/// `standard_error`: where the criterion of [`otsu`] lies within 1 % of its greatest value nothing speaks for one
/// place; half that span over √3 is taken, as for a value known to lie in it (common practice, unconfirmed).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Level {
    pub at: f64,
    pub standard_error: f64,
    /// Is the print below it?
    pub dark: bool,
}

impl Level {
    pub(crate) fn moved(self, by: f64) -> Level {
        Level {
            at: self.at + by,
            ..self
        }
    }

    pub(crate) fn holds(self, value: f32) -> bool {
        let value = f64::from(value);
        if self.dark {
            value < self.at
        } else {
            value > self.at
        }
    }
}

/// Two classes of values and what parts them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parted {
    /// Middle of the bin that parts best; values above it are the bright class.
    pub threshold: f64,
    pub low_mean: f64,
    pub high_mean: f64,
    /// Ends of the span within 1 % of the best.
    pub span: [f64; 2],
}

const BINS: usize = 256;

/// Otsu's parting of values into two classes: over 256 equal bins from least to greatest, the one where the
/// variance between the classes is greatest.
///
/// # Errors
/// Values that are all the same, not finite, or none.
pub fn otsu(values: &[f32]) -> Result<Parted, PrintError> {
    let (mut low, mut high) = (f32::INFINITY, f32::NEG_INFINITY);
    let mut finite = true;
    for v in values {
        finite &= v.is_finite();
        low = low.min(*v);
        high = high.max(*v);
    }
    if values.is_empty() {
        return Err(PrintError::EmptyGrid);
    }
    if !finite {
        return Err(PrintError::NotANumber);
    }
    if low >= high {
        return Err(PrintError::AllEqual {
            value: format!("{low:.1}"),
        });
    }
    let (low, span) = (f64::from(low), f64::from(high) - f64::from(low));
    let mut counts = [0_u64; BINS];
    let per = BINS as f64 / span;
    for v in values {
        let bin = ((f64::from(*v) - low) * per) as usize;
        counts[bin.min(BINS - 1)] += 1;
    }
    let centre = |bin: usize| low + (bin as f64 + 0.5) / per;
    let total = values.len() as f64;
    let all: f64 = (0..BINS).map(|b| counts[b] as f64 * centre(b)).sum();
    let (mut below, mut sum) = (0.0, 0.0);
    let mut between = [0.0_f64; BINS];
    let mut means = [(0.0, 0.0); BINS];
    for bin in 0..BINS - 1 {
        below += counts[bin] as f64;
        sum += counts[bin] as f64 * centre(bin);
        let above = total - below;
        if below > 0.0 && above > 0.0 {
            means[bin] = (sum / below, (all - sum) / above);
            between[bin] = below * above * (means[bin].0 - means[bin].1).powi(2);
        }
    }
    let best = (0..BINS).fold(0, |b, bin| if between[bin] > between[b] { bin } else { b });
    let near = |bin: &usize| between[*bin] >= 0.99 * between[best];
    let first = (0..best).rev().take_while(near).last().unwrap_or(best);
    let last = (best..BINS).take_while(near).last().unwrap_or(best);
    Ok(Parted {
        threshold: centre(best),
        low_mean: means[best].0,
        high_mean: means[best].1,
        span: [centre(first), centre(last)],
    })
}

impl Parted {
    /// Midway between the means of the classes: where the criterion is greatest if values are not binned, and
    /// where a sharp edge that a cell only half covers really lies.
    pub fn level(&self, dark: bool) -> Level {
        Level {
            at: 0.5 * (self.low_mean + self.high_mean),
            standard_error: 0.5 * (self.span[1] - self.span[0]) / 3.0_f64.sqrt(),
            dark,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_clear_values_are_parted_midway() {
        let mut values = vec![10.0_f32; 900];
        values.extend(vec![200.0_f32; 100]);
        let level = otsu(&values).unwrap().level(false);
        // Means are those of bins, half a bin off at most.
        assert!((level.at - 105.0).abs() < 0.5, "{level:?}");
        assert!(
            level.standard_error > 20.0,
            "nothing speaks for one place between: {level:?}"
        );
        assert!(level.holds(200.0) && !level.holds(10.0));
    }

    #[test]
    fn values_that_are_the_same_or_no_numbers_are_refused() {
        assert!(matches!(otsu(&[3.0; 9]), Err(PrintError::AllEqual { .. })));
        assert_eq!(otsu(&[3.0, f32::NAN]), Err(PrintError::NotANumber));
        assert_eq!(otsu(&[]), Err(PrintError::EmptyGrid));
    }
}
