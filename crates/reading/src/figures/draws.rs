//! Seeded random numbers that are the same on every machine and in every version.

/// SplitMix64 and the polar method; good enough for a few million draws of a check.
///
/// # Sources
/// Steele, Lea and Flood, OOPSLA 2014 (generator); Marsaglia and Bray, SIAM Rev 1964;6:260 (normals).
#[derive(Debug, Clone)]
pub struct Draws {
    state: u64,
    spare: Option<f64>,
}

impl Draws {
    pub fn new(seed: u64) -> Self {
        Self {
            state: seed,
            spare: None,
        }
    }

    fn next(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// In [0, 1).
    pub fn uniform(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Standard normal.
    pub fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let (u, v) = (2.0 * self.uniform() - 1.0, 2.0 * self.uniform() - 1.0);
            let s = u * u + v * v;
            if s > 0.0 && s < 1.0 {
                let factor = (-2.0 * s.ln() / s).sqrt();
                self.spare = Some(v * factor);
                return u * factor;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_normal_draws_have_the_moments_of_a_normal() {
        let mut draws = Draws::new(1);
        let n = 200_000;
        let (mut mean, mut square, mut beyond) = (0.0, 0.0, 0);
        for _ in 0..n {
            let z = draws.normal();
            mean += z / f64::from(n);
            square += z * z / f64::from(n);
            beyond += u32::from(z.abs() > 1.959_963_984_540_054);
        }
        // Five standard errors of each at this n.
        assert!(mean.abs() < 0.0112, "{mean}");
        assert!((square - 1.0).abs() < 0.0158, "{square}");
        assert!(
            (f64::from(beyond) / f64::from(n) - 0.05).abs() < 0.0025,
            "{beyond}"
        );
    }
}
