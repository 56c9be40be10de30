//! From the hardness of a solid rubber to its stiffness: two published formulas, and both answers.
//!
//! For posts of solid elastomer only. Foam is no solid: its gas and its cell walls carry the load, and
//! neither formula holds for it. One surprise: a page in circulation prints the second formula with the
//! wrong logarithm and halves the stiffness at 50 Shore A; the table in the tests would tell.

use serde::Serialize;

/// Stiffness by both formulas, in megapascals.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ByHardness {
    /// From theory of a punch pressed into rubber.
    ///
    /// # Sources
    /// Gent1958 (formula recalled; its abstract says it holds above about 40).
    pub gent_mpa: f64,
    /// From computed indentation of a neo-Hookean solid.
    ///
    /// # Sources
    /// QiJoyceBoyce2003 (formula recalled, abstract read).
    pub qi_mpa: f64,
}

impl ByHardness {
    /// The lower and the higher of both: they differ by 1.4 times at 50 and 1.9 times at 80.
    pub fn band_mpa(self) -> [f64; 2] {
        [
            self.gent_mpa.min(self.qi_mpa),
            self.gent_mpa.max(self.qi_mpa),
        ]
    }
}

/// Young's modulus of a solid elastomer of this Shore A hardness; `None` outside 20 to 80, where one of
/// the formulas is not meant to be used.
pub fn stiffness_of_shore_a(shore_a: f64) -> Option<ByHardness> {
    if !(20.0..=80.0).contains(&shore_a) {
        return None;
    }
    let gent = 0.0981 * (56.0 + 7.62336 * shore_a) / (0.137505 * (254.0 - 2.54 * shore_a));
    let qi = 10f64.powf(0.0235 * shore_a - 0.6403);
    Some(ByHardness {
        gent_mpa: gent,
        qi_mpa: qi,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Both formulas worked out by hand calculator, three figures.
    #[test]
    fn hardness_gives_the_stiffness_of_the_worked_table() {
        for (shore, gent, qi) in [
            (20.0, 0.73, 0.68),
            (30.0, 1.14, 1.16),
            (40.0, 1.69, 1.99),
            (50.0, 2.46, 3.43),
            (60.0, 3.61, 5.88),
            (70.0, 5.52, 10.1),
            (80.0, 9.35, 17.4),
        ] {
            let found = stiffness_of_shore_a(shore).unwrap();
            // the table prints three figures: half a unit of the last one
            assert!(
                (found.gent_mpa - gent).abs() < 0.006 * gent.max(1.0),
                "{shore}: {found:?}"
            );
            assert!(
                (found.qi_mpa - qi).abs() < 0.006 * qi.max(1.0),
                "{shore}: {found:?}"
            );
        }
    }

    #[test]
    fn the_natural_logarithm_would_halve_it_at_fifty() {
        let wrong = (0.0235f64 * 50.0 - 0.6403).exp();
        let right = stiffness_of_shore_a(50.0).unwrap().qi_mpa;
        assert!(
            (right / wrong - 2.0).abs() < 0.1,
            "right {right}, wrong {wrong}"
        );
    }

    #[test]
    fn hardness_outside_the_formulas_gives_nothing() {
        for shore in [f64::NAN, -1.0, 19.9, 80.1, 95.0] {
            assert!(stiffness_of_shore_a(shore).is_none(), "{shore}");
        }
    }
}
