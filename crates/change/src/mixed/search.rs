//! The deterministic search for G/σ²: a bracketed root of the gradient for one column, damped Newton steps in
//! the Cholesky factor from a fixed set of starts for two.

use super::Fault;
use super::profile::Profile;
use nalgebra::{DMatrix, DVector, SymmetricEigen};

pub(crate) struct Found {
    pub g: DMatrix<f64>,
    pub on_boundary: bool,
    pub gradient: f64,
    pub evaluations: usize,
}

/// A gain of deviance below this is no gain.
const EVEN: f64 = 1e-9;

pub(crate) fn best(profile: &Profile) -> Result<Found, Fault> {
    if profile.columns() == 1 {
        one_column(profile)
    } else {
        two_columns(profile)
    }
}

fn one_column(profile: &Profile) -> Result<Found, Fault> {
    let mut evaluations = 0;
    let lowest = lowest(1e-8, 1e8, &mut |g| {
        evaluations += 1;
        let at = profile.at(&DMatrix::from_element(1, 1, g));
        (at.deviance, at.slope[(0, 0)])
    });
    let g = match lowest {
        Lowest::Zero => 0.0,
        Lowest::At(g) => g,
        Lowest::Beyond => return Err(Fault::NoResidual),
    };
    let slope = profile.at(&DMatrix::from_element(1, 1, g)).slope[(0, 0)];
    Ok(Found {
        g: DMatrix::from_element(1, 1, g),
        on_boundary: g == 0.0,
        gradient: if g == 0.0 { 0.0 } else { (slope * g).abs() },
        evaluations,
    })
}

/// Where a function of one number not below zero is lowest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Lowest {
    Zero,
    At(f64),
    /// Still falling at the end of the range.
    Beyond,
}

/// Goes over a logarithmic grid, then to the root of the slope around its lowest point. `f` gives value and
/// slope.
pub(crate) fn lowest(from: f64, to: f64, f: &mut dyn FnMut(f64) -> (f64, f64)) -> Lowest {
    let steps = ((to / from).log10() * 4.0).round() as usize;
    let grid: Vec<f64> = std::iter::once(0.0)
        .chain((0..=steps).map(|i| from * 10f64.powf(i as f64 / 4.0)))
        .collect();
    let seen: Vec<(f64, f64)> = grid.iter().map(|g| f(*g)).collect();
    let mut best = 0;
    for (i, (value, _)) in seen.iter().enumerate() {
        if *value < seen[best].0 {
            best = i;
        }
    }
    if best == grid.len() - 1 {
        return Lowest::Beyond;
    }
    let (low, high) = if seen[best].1 < 0.0 {
        (best, best + 1)
    } else if best == 0 {
        return Lowest::Zero;
    } else {
        (best - 1, best)
    };
    if seen[low].1 >= 0.0 || seen[high].1 <= 0.0 {
        // The slope does not turn between them: the grid's point stands.
        return if low == 0 && seen[0].1 >= 0.0 {
            Lowest::Zero
        } else {
            Lowest::At(grid[best])
        };
    }
    Lowest::At(root(
        grid[low],
        grid[high],
        seen[low].1,
        seen[high].1,
        &mut |g| f(g).1,
    ))
}

/// Root between two points of opposite sign: Illinois form of false position, with halving where it is slow.
fn root(mut a: f64, mut b: f64, mut fa: f64, mut fb: f64, f: &mut dyn FnMut(f64) -> f64) -> f64 {
    let mut side = 0;
    for step in 0..300 {
        if (b - a).abs() <= 1e-15 * b.abs() {
            break;
        }
        let falsi = (a * fb - b * fa) / (fb - fa);
        let c = if step % 4 == 3 || !(falsi > a && falsi < b) {
            0.5 * (a + b)
        } else {
            falsi
        };
        if c <= a || c >= b {
            break;
        }
        let fc = f(c);
        if fc == 0.0 {
            return c;
        }
        if fc > 0.0 {
            (b, fb) = (c, fc);
            if side == 1 {
                fa *= 0.5;
            }
            side = 1;
        } else {
            (a, fa) = (c, fc);
            if side == -1 {
                fb *= 0.5;
            }
            side = -1;
        }
    }
    if fa.abs() < fb.abs() { a } else { b }
}

/// G = ΛΛ' of the free entries of Λ, in the order (1,1), (2,1), (2,2); missing ones are zero.
fn factor(l: &DVector<f64>) -> DMatrix<f64> {
    let mut out = DMatrix::zeros(2, 2);
    out[(0, 0)] = l[0];
    out[(1, 0)] = l[1];
    if l.len() == 3 {
        out[(1, 1)] = l[2];
    }
    out
}

fn two_columns(profile: &Profile) -> Result<Found, Fault> {
    let mut evaluations = 0;
    let mut f = |l: &DVector<f64>| {
        evaluations += 1;
        let lambda = factor(l);
        let at = profile.at(&(&lambda * lambda.transpose()));
        // dD/dΛ = 2 S Λ
        let slope = at.slope * lambda * 2.0;
        let all = [slope[(0, 0)], slope[(1, 0)], slope[(1, 1)]];
        (at.deviance, DVector::from_column_slice(&all[..l.len()]))
    };
    let full = best_of(&starts(3), &mut f);
    let flat = best_of(&starts(2), &mut f);
    let none = f(&DVector::zeros(2)).0;
    let scale = profile.observations();
    let (l, value, gradient) = if none <= full.1.min(flat.1) + EVEN {
        (DVector::zeros(2), none, 0.0)
    } else if flat.1 <= full.1 + EVEN {
        flat
    } else {
        full
    };
    if !value.is_finite() {
        return Err(Fault::NoResidual);
    }
    let lambda = factor(&l);
    let g = &lambda * lambda.transpose();
    if g.amax() > 1e9 {
        return Err(Fault::NoResidual);
    }
    if gradient > 1e-6 * scale {
        return Err(Fault::NotSettled { gradient });
    }
    Ok(Found {
        on_boundary: l.len() == 2,
        g,
        gradient,
        evaluations,
    })
}

fn starts(free: usize) -> Vec<DVector<f64>> {
    let sizes = [0.1, 1.0, 10.0];
    let mut out = Vec::new();
    for a in sizes {
        for b in sizes {
            if free == 3 {
                out.push(DVector::from_column_slice(&[a, 0.0, b]));
            } else {
                out.push(DVector::from_column_slice(&[a, b]));
                out.push(DVector::from_column_slice(&[a, -b]));
            }
        }
    }
    out
}

type Point = (DVector<f64>, f64, f64);
type Function<'f> = dyn FnMut(&DVector<f64>) -> (f64, DVector<f64>) + 'f;

fn best_of(starts: &[DVector<f64>], f: &mut Function<'_>) -> Point {
    let mut best: Option<Point> = None;
    for start in starts {
        let found = newton(start.clone(), f);
        let settled = |p: &Point| (p.1, p.2);
        if best.as_ref().is_none_or(|b| {
            settled(&found).0 < b.1 - 1e-12 || (found.1 <= b.1 + 1e-12 && found.2 < b.2)
        }) {
            best = Some(found);
        }
    }
    best.unwrap_or((DVector::zeros(2), f64::INFINITY, f64::INFINITY))
}

/// Damped Newton steps with a Hessian from differences of the exact gradient.
fn newton(mut l: DVector<f64>, f: &mut Function<'_>) -> Point {
    let (mut value, mut slope) = f(&l);
    for _ in 0..100 {
        if !value.is_finite() || slope.amax() <= 1e-12 {
            break;
        }
        let step = direction(&l, &slope, f);
        let mut share = 1.0;
        let mut moved = false;
        while share > 1e-10 {
            let next = &l + &step * share;
            let (v, s) = f(&next);
            // Near the lowest point values no longer tell steps apart; the gradient does.
            let lower =
                v < value || (v <= value + 1e-11 * (1.0 + value.abs()) && s.norm() < slope.norm());
            if lower {
                (l, value, slope, moved) = (next, v, s, true);
                break;
            }
            share *= 0.5;
        }
        if !moved {
            break;
        }
    }
    let gradient = slope.amax();
    (l, value, gradient)
}

fn direction(l: &DVector<f64>, slope: &DVector<f64>, f: &mut Function<'_>) -> DVector<f64> {
    let n = l.len();
    let mut hessian = DMatrix::zeros(n, n);
    for j in 0..n {
        let h = 1e-5 * (1.0 + l[j].abs());
        let (mut up, mut down) = (l.clone(), l.clone());
        up[j] += h;
        down[j] -= h;
        let column = (f(&up).1 - f(&down).1) / (2.0 * h);
        hessian.set_column(j, &column);
    }
    let hessian = (&hessian + hessian.transpose()) * 0.5;
    if !hessian.iter().all(|v| v.is_finite()) {
        return -slope;
    }
    let eigen = SymmetricEigen::new(hessian);
    let most = eigen.eigenvalues.amax().max(1e-300);
    let along = eigen.eigenvectors.transpose() * slope;
    let scaled = DVector::from_iterator(
        n,
        along
            .iter()
            .zip(eigen.eigenvalues.iter())
            .map(|(s, e)| -s / e.abs().max(1e-8 * most)),
    );
    eigen.eigenvectors * scaled
}
