//! How far is a point from a set of planes?
//!
//! The sum of weighted squared distances from any number of planes is ten numbers.
//!
//! # Sources
//! Garland, Heckbert 1997, "Surface simplification using quadric error metrics" (unconfirmed: written from
//! memory; the tests hold it against the planes themselves).

#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Quadric {
    /// xx, xy, xz, yy, yz, zz.
    a: [f64; 6],
    b: [f64; 3],
    c: f64,
}

impl Quadric {
    /// Of the plane through `point` with the unit normal `n`.
    pub fn plane(n: [f64; 3], point: [f64; 3], weight: f64) -> Quadric {
        let d = -(n[0] * point[0] + n[1] * point[1] + n[2] * point[2]);
        Quadric {
            a: [
                n[0] * n[0] * weight,
                n[0] * n[1] * weight,
                n[0] * n[2] * weight,
                n[1] * n[1] * weight,
                n[1] * n[2] * weight,
                n[2] * n[2] * weight,
            ],
            b: n.map(|c| c * d * weight),
            c: d * d * weight,
        }
    }

    #[inline]
    pub fn add(&mut self, other: &Quadric) {
        for k in 0..6 {
            self.a[k] += other.a[k];
        }
        for k in 0..3 {
            self.b[k] += other.b[k];
        }
        self.c += other.c;
    }

    /// The sum of all weights.
    #[inline]
    pub fn weight(&self) -> f64 {
        self.a[0] + self.a[3] + self.a[5]
    }

    #[inline]
    fn times(&self, v: [f64; 3]) -> [f64; 3] {
        let [xx, xy, xz, yy, yz, zz] = self.a;
        [
            xx * v[0] + xy * v[1] + xz * v[2],
            xy * v[0] + yy * v[1] + yz * v[2],
            xz * v[0] + yz * v[1] + zz * v[2],
        ]
    }

    /// Weighted sum of squared distances.
    #[inline]
    pub fn at(&self, p: [f64; 3]) -> f64 {
        let ap = self.times(p);
        let mut sum = self.c;
        for k in 0..3 {
            sum += p[k] * (ap[k] + 2.0 * self.b[k]);
        }
        sum
    }

    /// The point with the least sum, drawn a little to `middle` where the planes leave it free.
    #[inline]
    pub fn best(&self, middle: [f64; 3]) -> Option<[f64; 3]> {
        let pull = 1e-8 * self.weight();
        let [xx, xy, xz, yy, yz, zz] = self.a;
        let (xx, yy, zz) = (xx + pull, yy + pull, zz + pull);
        let am = self.times(middle);
        let r = [0, 1, 2].map(|k| -(am[k] + self.b[k]));
        // Cofactors of a symmetric matrix.
        let (c0, c1, c2) = (yy * zz - yz * yz, xz * yz - xy * zz, xy * yz - xz * yy);
        let det = xx * c0 + xy * c1 + xz * c2;
        let (d1, d2, e2) = (xx * zz - xz * xz, xy * xz - xx * yz, xx * yy - xy * xy);
        let step = [
            (c0 * r[0] + c1 * r[1] + c2 * r[2]) / det,
            (c1 * r[0] + d1 * r[1] + d2 * r[2]) / det,
            (c2 * r[0] + d2 * r[1] + e2 * r[2]) / det,
        ];
        let best = [0, 1, 2].map(|k| middle[k] + step[k]);
        best.iter().all(|c| c.is_finite()).then_some(best)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::near::tests::Shuffled;

    #[test]
    fn the_sum_is_that_of_the_planes_and_the_best_point_is_where_three_meet() {
        let mut shuffled = Shuffled(8);
        for _ in 0..200 {
            let corner = shuffled.place(20.0);
            let planes: Vec<([f64; 3], f64)> = (0..3)
                .map(|k| {
                    let mut n = shuffled.place(0.4);
                    n[k] += 1.0;
                    let length = n.iter().map(|c| c * c).sum::<f64>().sqrt();
                    (n.map(|c| c / length), 0.5 + shuffled.next())
                })
                .collect();
            let mut all = Quadric::default();
            for (n, w) in &planes {
                all.add(&Quadric::plane(*n, corner, *w));
            }
            let p = shuffled.place(20.0);
            let sum: f64 = planes
                .iter()
                .map(|(n, w)| {
                    let d: f64 = (0..3).map(|k| n[k] * (p[k] - corner[k])).sum();
                    w * d * d
                })
                .sum();
            assert!((all.at(p) - sum).abs() < 1e-9 * (1.0 + sum));
            let near = [0, 1, 2].map(|k| corner[k] + shuffled.next());
            let best = all.best(near).expect("three planes");
            for k in 0..3 {
                assert!((best[k] - corner[k]).abs() < 1e-3, "{best:?} {corner:?}");
            }
        }
    }
}
