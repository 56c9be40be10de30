//! Linear mixed models with one grouping: y = Xβ + Z b(group) + e, and nothing of feet.
//!
//! `Z` has one or two columns (an intercept for each group, or intercept and slope with their full
//! covariance); b ~ N(0, G), e ~ N(0, σ²). Fixed effects and σ² are profiled out; what is searched is G/σ²
//! (Lindstrom and Bates, J Am Stat Assoc 1988;83:1014; Bates and others, J Stat Softw 2015;67(1)). The search is deterministic,
//! with exact gradients; a variance of zero is a proper answer and is marked.
//!
//! Surprise: columns and response are brought to unit size first (X and Z made orthogonal, y less its
//! least-squares fit), so that years and days, or a reading of 1000, are as well conditioned as any.

mod profile;
pub(crate) mod search;

use nalgebra::{DMatrix, DVector};
use profile::Profile;
use serde::{Deserialize, Serialize};

/// Which likelihood is made largest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Likelihood {
    /// REML: of what is left of the response beside the fixed effects.
    Restricted,
    Full,
}

/// One row for each observation.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Data {
    pub response: Vec<f64>,
    /// Columns of X, the same number in each row.
    pub fixed: Vec<Vec<f64>>,
    /// Columns of Z: one or two in each row.
    pub random: Vec<Vec<f64>>,
    /// Any numbers; rows with the same one are a group.
    pub group: Vec<u64>,
}

/// Why a model could not be fitted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Fault {
    #[error(
        "found {response} responses, {fixed} fixed rows, {random} random rows and {group} groups, expected as many of each; give one of each for an observation"
    )]
    Lengths {
        response: usize,
        fixed: usize,
        random: usize,
        group: usize,
    },
    #[error("row {row} has {found} columns, expected {wanted}; give every row the same columns")]
    Ragged {
        row: usize,
        found: usize,
        wanted: usize,
    },
    #[error("row {row} holds a number that is not finite; leave the observation out")]
    NotFinite { row: usize },
    #[error(
        "found {found} random columns, expected 1 or 2; take an intercept, or intercept and slope"
    )]
    RandomColumns { found: usize },
    #[error("found {found} observations for {unknowns} unknowns; add observations")]
    TooFew { found: usize, unknowns: usize },
    #[error("found {found} groups, expected at least 2; without groups fit a plain line")]
    OneGroup { found: usize },
    #[error(
        "no group has more observations than random columns, so their spread cannot be told from the rest; repeat an observation"
    )]
    NoRepeats,
    #[error("the {which} columns depend on one another; leave one out")]
    Dependent { which: &'static str },
    #[error(
        "the fixed effects leave nothing over, or the residual spread is zero; there is no error to judge by"
    )]
    NoResidual,
    #[error("the search did not settle (gradient {gradient:.1e}); simplify the random part")]
    NotSettled { gradient: f64 },
}

/// A fitted model, in the units of the data.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fit {
    pub likelihood: Likelihood,
    pub fixed: Vec<f64>,
    pub fixed_covariance: Vec<Vec<f64>>,
    /// G: variance of the random columns, one or two rows.
    pub random_covariance: Vec<Vec<f64>>,
    pub residual_variance: f64,
    /// Natural logarithm; restricted likelihoods hold only between models with the same fixed columns.
    pub log_likelihood: f64,
    /// G is singular: a variance of zero, or a correlation of one.
    pub on_boundary: bool,
    pub observations: usize,
    pub groups: usize,
    /// Largest part of the scaled gradient at the answer.
    pub gradient: f64,
    pub evaluations: usize,
}

impl Fit {
    pub fn standard_errors(&self) -> Vec<f64> {
        (0..self.fixed.len())
            .map(|i| self.fixed_covariance[i][i].sqrt())
            .collect()
    }
}

/// Fits the model.
///
/// # Uncertainty
/// `fixed_covariance` is σ²(X'V⁻¹X)⁻¹ at the fitted variances; that they are fitted is not in it.
///
/// # Errors
/// Data that do not hold together, or cannot tell the parts of the model apart; each in a sentence.
pub fn fit(data: &Data, likelihood: Likelihood) -> Result<Fit, Fault> {
    let (n, p, q) = checked(data)?;
    let x = DMatrix::from_fn(n, p, |i, j| data.fixed[i][j]);
    let z = DMatrix::from_fn(n, q, |i, j| data.random[i][j]);
    let y = DVector::from_column_slice(&data.response);
    let (x_unit, x_back) = orthogonal(&x, "fixed")?;
    let (z_unit, z_back) = orthogonal(&z, "random")?;
    let plain = x_unit.transpose() * &y / n as f64;
    let rest = &y - &x_unit * &plain;
    let size = (rest.norm_squared() / n as f64).sqrt();
    let tiny = 1e-12 * (y.norm_squared() / n as f64).sqrt();
    if size <= tiny {
        return Err(Fault::NoResidual);
    }
    let profile = Profile::new(&z_unit, &x_unit, &(rest / size), &groups(data), likelihood);
    let found = search::best(&profile)?;
    let at = profile.at(&found.g);
    let m = profile.freedom();
    let variance = at.rest / m * size * size;
    let beta = &x_back * (plain + &at.beta * size);
    let covariance = &x_back * &at.inverse * x_back.transpose() * variance;
    let g = &z_back * &found.g * z_back.transpose() * variance;
    let back = x_back.determinant().abs().ln();
    let mut log_likelihood = profile.log_likelihood(&at) - m * size.ln();
    if likelihood == Likelihood::Restricted {
        log_likelihood += back;
    }
    let whole = [variance, log_likelihood];
    if !(whole.iter().chain(beta.iter()).all(|v| v.is_finite()) && variance > 0.0) {
        return Err(Fault::NoResidual);
    }
    Ok(Fit {
        likelihood,
        fixed: beta.iter().copied().collect(),
        fixed_covariance: rows(&covariance),
        random_covariance: rows(&g),
        residual_variance: variance,
        log_likelihood,
        on_boundary: found.on_boundary,
        observations: n,
        groups: profile.groups(),
        gradient: found.gradient,
        evaluations: found.evaluations,
    })
}

fn rows(m: &DMatrix<f64>) -> Vec<Vec<f64>> {
    (0..m.nrows())
        .map(|i| m.row(i).iter().copied().collect())
        .collect()
}

/// Columns made orthogonal, each of mean square 1, and the matrix that leads coefficients back.
fn orthogonal(
    columns: &DMatrix<f64>,
    which: &'static str,
) -> Result<(DMatrix<f64>, DMatrix<f64>), Fault> {
    let root = (columns.nrows() as f64).sqrt();
    let qr = columns.clone().qr();
    let r = qr.r();
    for j in 0..r.ncols() {
        let whole = columns.column(j).norm();
        if whole == 0.0 || r[(j, j)].abs() <= 1e-10 * whole {
            return Err(Fault::Dependent { which });
        }
    }
    let back = r.try_inverse().ok_or(Fault::Dependent { which })?;
    Ok((qr.q() * root, back * root))
}

/// Row numbers of each group, in the order in which the groups appear.
fn groups(data: &Data) -> Vec<Vec<usize>> {
    let mut known = std::collections::BTreeMap::new();
    let mut out: Vec<Vec<usize>> = Vec::new();
    for (row, group) in data.group.iter().enumerate() {
        let at = *known.entry(group).or_insert(out.len());
        if at == out.len() {
            out.push(Vec::new());
        }
        out[at].push(row);
    }
    out
}

fn checked(data: &Data) -> Result<(usize, usize, usize), Fault> {
    let n = data.response.len();
    if [data.fixed.len(), data.random.len(), data.group.len()] != [n; 3] {
        return Err(Fault::Lengths {
            response: n,
            fixed: data.fixed.len(),
            random: data.random.len(),
            group: data.group.len(),
        });
    }
    let (p, q) = match (data.fixed.first(), data.random.first()) {
        (Some(x), Some(z)) => (x.len(), z.len()),
        _ => {
            return Err(Fault::TooFew {
                found: 0,
                unknowns: 3,
            });
        }
    };
    if !(1..=2).contains(&q) {
        return Err(Fault::RandomColumns { found: q });
    }
    for row in 0..n {
        for (columns, wanted) in [(&data.fixed[row], p), (&data.random[row], q)] {
            if columns.len() != wanted {
                return Err(Fault::Ragged {
                    row: row + 1,
                    found: columns.len(),
                    wanted,
                });
            }
            if !columns.iter().all(|v| v.is_finite()) {
                return Err(Fault::NotFinite { row: row + 1 });
            }
        }
        if !data.response[row].is_finite() {
            return Err(Fault::NotFinite { row: row + 1 });
        }
    }
    let unknowns = p + q * (q + 1) / 2 + 1;
    if p == 0 || n < unknowns {
        return Err(Fault::TooFew { found: n, unknowns });
    }
    let groups = groups(data);
    if groups.len() < 2 {
        return Err(Fault::OneGroup {
            found: groups.len(),
        });
    }
    if groups.iter().all(|g| g.len() <= q) {
        return Err(Fault::NoRepeats);
    }
    Ok((n, p, q))
}

#[cfg(test)]
mod tests;
