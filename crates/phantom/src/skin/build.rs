//! How do feet of one length differ from each other?
//!
//! A [`Build`] says how broad, high and long in its parts a foot is beside its length. Spreads follow the
//! published survey; what it does not measure (arch, toes) is chosen by hand and says so.

use serde::{Deserialize, Serialize};
use terms::Sex;

/// Proportions of a standing foot.
///
/// # Units
/// Ratios to foot length, degrees, and millimetres where the name says so.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Build {
    /// Greatest breadth of the ball beside foot length.
    pub ball_breadth: f64,
    pub heel_breadth: f64,
    /// Across both malleoli.
    pub ankle_breadth: f64,
    /// Outermost point of the outer malleolus above the floor.
    pub malleolus_height: f64,
    /// Heel to the first metatarsal head.
    pub ball_length: f64,
    /// Height of the forefoot and instep beside the plain foot's.
    pub instep: f64,
    /// How much higher the inner arch stands than the plain one, 1 for a clearly high arch, −1 for a low one.
    pub arch: f64,
    /// How much thicker the flesh under the arch is, mm at 270 mm foot length.
    pub padding_mm: f64,
    /// How much longer each toe is than the plain one, mm at 270 mm foot length; great toe first.
    pub toes_mm: [f64; 5],
    /// Great toe turned towards the others.
    pub hallux_deg: f64,
}

/// Means of men and women together, ANSUR II 2012; ratios to foot length.
const MEANS: [(f64, f64); 5] = [
    (0.376, 0.018),
    (0.269, 0.018),
    (0.275, 0.013),
    (0.265, 0.022),
    (0.740, 0.014),
];

impl Default for Build {
    fn default() -> Build {
        Build::plain()
    }
}

impl Build {
    /// The mean of men and women.
    ///
    /// # Sources
    /// ANSUR II 2012 (public data), means computed from it: breadth 0.376, heel breadth 0.269, bimalleolar
    /// breadth 0.275, outer malleolus height 0.265, ball length 0.740 of foot length.
    pub fn plain() -> Build {
        Build {
            ball_breadth: MEANS[0].0,
            heel_breadth: MEANS[1].0,
            ankle_breadth: MEANS[2].0,
            malleolus_height: MEANS[3].0,
            ball_length: MEANS[4].0,
            instep: 1.0,
            arch: 0.0,
            padding_mm: 0.0,
            toes_mm: [0.0; 5],
            hallux_deg: 0.0,
        }
    }

    /// As the bones of [`crate::Foot`] have it: with this build the skin fits them without any stretch.
    pub fn of_the_bones() -> Build {
        super::warp::PLAIN
    }

    /// Somebody of this foot length; 0 is the plain foot.
    ///
    /// Length and breadth are only loosely tied: a short foot is broad for its length. So each dimension
    /// runs along its regression on foot length, with the residual of the survey about it.
    ///
    /// # Sources
    /// Regressions and residuals of ANSUR II 2012 by sex. Arch, padding, toes and the great toe's direction:
    /// chosen by eye (no such figures in the survey), unconfirmed.
    pub fn of_adult(seed: u64, sex: Sex, foot_length_mm: f64) -> Build {
        if seed == 0 {
            return Build::plain();
        }
        let mut dice = Dice::new(seed);
        let rows: [(f64, f64, f64); 5] = match sex {
            Sex::Male => [
                (38.1, 0.2352, 4.23),
                (17.7, 0.2019, 4.8),
                (23.8, 0.1881, 3.3),
                (33.9, 0.1439, 5.3),
                (0.46, 0.7393, 3.98),
            ],
            Sex::Female => [
                (40.2, 0.2134, 3.98),
                (14.5, 0.2137, 4.4),
                (25.1, 0.1705, 2.8),
                (31.4, 0.1272, 4.9),
                (2.61, 0.7286, 3.30),
            ],
        };
        // Breadths of one foot go together; half of their spread is common (by eye, unconfirmed).
        let broad = dice.normal();
        let drawn = [0, 1, 2, 3, 4].map(|i| {
            let (at_zero, slope, residual) = rows[i];
            let own = dice.normal();
            let z = if i < 3 {
                0.7 * broad + 0.714 * own
            } else {
                own
            };
            (at_zero + slope * foot_length_mm + residual * z.clamp(-2.2, 2.2)) / foot_length_mm
        });
        Build::drawn(drawn, &mut dice)
    }

    /// A child: the same ratios, spread by the survey's ratios; a fuller and lower arch the younger it is.
    ///
    /// # Sources
    /// Breadth beside length of children 3 to 15 years is 0.37 to 0.41 (Cheng 1997, Mickle 2008, a Czech
    /// sample; means read), like the adults' 0.376. The arch by age is chosen by eye, unconfirmed.
    pub fn of_child(seed: u64, years: f64) -> Build {
        let mut dice = Dice::new(seed ^ 0xC41D);
        let drawn = MEANS.map(|(mean, sd)| mean + sd * dice.normal().clamp(-2.2, 2.2));
        let mut build = if seed == 0 {
            Build::plain()
        } else {
            Build::drawn(drawn, &mut dice)
        };
        let young = ((10.0 - years) / 8.0).clamp(0.0, 1.0);
        build.padding_mm += 5.0 * young;
        build.arch -= 0.7 * young;
        build.ball_breadth *= 1.0 + 0.03 * young;
        build
    }

    fn drawn(ratios: [f64; 5], dice: &mut Dice) -> Build {
        let mut z = || dice.normal().clamp(-2.2, 2.2);
        let second = 3.5 * z();
        Build {
            ball_breadth: ratios[0],
            heel_breadth: ratios[1],
            ankle_breadth: ratios[2],
            malleolus_height: ratios[3],
            ball_length: ratios[4],
            instep: 1.0 + 0.035 * z(),
            arch: 0.8 * z(),
            padding_mm: 1.0 * z(),
            toes_mm: [
                0.0,
                second,
                0.8 * second + z(),
                0.6 * second + z(),
                0.4 * second + z(),
            ],
            hallux_deg: 4.0 + 3.5 * z(),
        }
    }
}

/// Numbers without order from a seed (splitmix64): the same on every machine.
#[derive(Debug, Clone)]
pub(crate) struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x2545_F491_4F6C_DD1D) ^ 0x5851_F42D_4C95_7F2D)
    }

    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        mixed(self.0)
    }

    /// 0 to 1, 1 not reached.
    pub fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// One of `count`; 0 where there is none.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// Mean 0, standard deviation 1 (Box and Muller).
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.unit(), self.unit());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

/// Scatters bits (the last step of splitmix64).
pub(crate) fn mixed(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}
