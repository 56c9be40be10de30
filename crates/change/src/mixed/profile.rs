//! The profiled likelihood and its gradient at one value of G/σ².
//!
//! With V = I + Z G Z' by group: Z'V⁻¹ = (I + Z'Z G)⁻¹ Z', log|V| = log|I + Z'Z G|, and
//! A'V⁻¹B = A'B − (Z'A)' G (Z'V⁻¹B). Minus two times the log-likelihood is, but for a constant,
//! D = log|V| + log|X'V⁻¹X| + (n − p) log r'V⁻¹r (restricted) or log|V| + n log r'V⁻¹r (full), and
//! dD = tr(S dG) with S = Σ Z'V⁻¹Z − W A⁻¹ W' − m/(r'V⁻¹r) u u', W = Z'V⁻¹X, u = Z'V⁻¹r.

use super::Likelihood;
use nalgebra::{DMatrix, DVector};

struct Group {
    zz: DMatrix<f64>,
    zx: DMatrix<f64>,
    zy: DVector<f64>,
}

pub(crate) struct Profile {
    groups: Vec<Group>,
    xx: DMatrix<f64>,
    xy: DVector<f64>,
    yy: f64,
    n: f64,
    p: f64,
    q: usize,
    likelihood: Likelihood,
}

/// What the model is at one G/σ².
pub(crate) struct At {
    /// D above.
    pub deviance: f64,
    /// S above.
    pub slope: DMatrix<f64>,
    pub beta: DVector<f64>,
    /// (X'V⁻¹X)⁻¹
    pub inverse: DMatrix<f64>,
    /// r'V⁻¹r
    pub rest: f64,
}

impl Profile {
    pub fn new(
        z: &DMatrix<f64>,
        x: &DMatrix<f64>,
        y: &DVector<f64>,
        groups: &[Vec<usize>],
        likelihood: Likelihood,
    ) -> Profile {
        let of = |rows: &Vec<usize>| {
            let (zi, xi) = (z.select_rows(rows), x.select_rows(rows));
            let yi = DVector::from_iterator(rows.len(), rows.iter().map(|r| y[*r]));
            Group {
                zz: zi.transpose() * &zi,
                zx: zi.transpose() * xi,
                zy: zi.transpose() * yi,
            }
        };
        Profile {
            groups: groups.iter().map(of).collect(),
            xx: x.transpose() * x,
            xy: x.transpose() * y,
            yy: y.norm_squared(),
            n: y.len() as f64,
            p: x.ncols() as f64,
            q: z.ncols(),
            likelihood,
        }
    }

    pub fn groups(&self) -> usize {
        self.groups.len()
    }

    /// Random columns.
    pub fn columns(&self) -> usize {
        self.q
    }

    pub fn observations(&self) -> f64 {
        self.n
    }

    /// What r'V⁻¹r is divided by: n − p, or n.
    pub fn freedom(&self) -> f64 {
        match self.likelihood {
            Likelihood::Restricted => self.n - self.p,
            Likelihood::Full => self.n,
        }
    }

    /// −½ (D + m (1 + log 2π/m))
    pub fn log_likelihood(&self, at: &At) -> f64 {
        let m = self.freedom();
        -0.5 * (at.deviance + m * (1.0 + (2.0 * std::f64::consts::PI / m).ln()))
    }

    /// A value that no search keeps: not positive definite, or not finite.
    fn nowhere(&self) -> At {
        let (q, p) = (self.q, self.p as usize);
        At {
            deviance: f64::INFINITY,
            slope: DMatrix::zeros(q, q),
            beta: DVector::zeros(p),
            inverse: DMatrix::zeros(p, p),
            rest: f64::NAN,
        }
    }

    pub fn at(&self, g: &DMatrix<f64>) -> At {
        self.tried(g).unwrap_or_else(|| self.nowhere())
    }

    fn tried(&self, g: &DMatrix<f64>) -> Option<At> {
        let one = DMatrix::identity(self.q, self.q);
        let (mut a, mut c, mut yy) = (self.xx.clone(), self.xy.clone(), self.yy);
        let mut log_v = 0.0;
        let mut parts = Vec::with_capacity(self.groups.len());
        for group in &self.groups {
            let m = &one + &group.zz * g;
            log_v += m.determinant().ln();
            let m = m.try_inverse()?;
            // Z'V⁻¹ [Z X y]
            let (vz, vx, vy) = (&m * &group.zz, &m * &group.zx, &m * &group.zy);
            a -= group.zx.transpose() * g * &vx;
            c -= group.zx.transpose() * g * &vy;
            yy -= (group.zy.transpose() * g * &vy)[0];
            parts.push((vz, vx, vy));
        }
        let root = ((&a + a.transpose()) * 0.5).cholesky()?;
        let inverse = root.inverse();
        let beta = &inverse * &c;
        let rest = yy - c.dot(&beta);
        if !(rest > 0.0 && log_v.is_finite()) {
            return None;
        }
        let m = self.freedom();
        let restricted = self.likelihood == Likelihood::Restricted;
        let mut slope = DMatrix::zeros(self.q, self.q);
        for (vz, vx, vy) in parts {
            let u = vy - &vx * &beta;
            slope += vz - &u * u.transpose() * (m / rest);
            if restricted {
                slope -= &vx * &inverse * vx.transpose();
            }
        }
        let log_a = 2.0 * root.l_dirty().diagonal().map(f64::ln).sum();
        let deviance = log_v + m * rest.ln() + if restricted { log_a } else { 0.0 };
        deviance.is_finite().then_some(At {
            deviance,
            slope: (&slope + slope.transpose()) * 0.5,
            beta,
            inverse,
            rest,
        })
    }
}
