//! What was a post seen to do? A band over people, never a promise.
//!
//! One surprise: a shell without any post does most of it already; each degree of post adds little, because
//! the pad under the heel and the shoe take most of a wedge up.

use super::OrthosisError;
use super::reason::{About, Reason};
use knowledge::orthosis::{Guidance, Outcome};
use knowledge::{Knowledge, Provenance};
use serde::{Deserialize, Serialize};

/// The change of the highest rearfoot eversion in walking, against no device.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ExpectedEffect {
    pub post_degrees: f64,
    /// Degrees less, lowest and highest mean over groups of people.
    pub mean_less_deg: [f64; 2],
    /// Degrees less for two people in three; below 0 is more eversion.
    ///
    /// # Assumptions
    /// The spread between people is as large as the middle effect and bell-shaped.
    pub two_in_three_less_deg: [f64; 2],
    pub words: String,
    pub why: Vec<Reason>,
}

/// What a rearfoot post of so many degrees, inner side raised, was seen to do in walking adults.
///
/// # Units
/// Degrees of post; degrees less of the highest rearfoot eversion.
///
/// # Errors
/// A post for which nobody looked.
///
/// # Sources
/// Telfer2013, Cheung2011, Sinclair2017; see the guidance row of the knowledge folder.
pub fn expected_effect(post_degrees: f64) -> Result<ExpectedEffect, OrthosisError> {
    let guidance = guidance();
    let Some(mean) = guidance.mean_band(post_degrees) else {
        return Err(OrthosisError::NotStudied {
            found: quantity::written_short(post_degrees, 1),
            from: guidance.from_deg,
            to: guidance.to_deg,
        });
    };
    let usual = |f: &knowledge::Figure| f.usual().unwrap_or(0.0);
    let middle = (usual(&guidance.baseline) + usual(&guidance.slope) * post_degrees)
        .min(usual(&guidance.cap));
    let spread = middle * usual(&guidance.person_spread);
    let person = [middle - spread, middle + spread];
    let figure = |v: f64| quantity::written(v, 1);
    let words = format!(
        "Highest eversion of the heel in walking: over groups of people {} to {}° less than without a device. \
         People differ by as much again: about two in three lie between {} and {}° less, one in six gains nothing \
         or everts more. It is no promise for this person, and no correction on a standing film: no study was \
         found that ties a post's degrees to a film.",
        figure(mean[0]),
        figure(mean[1]),
        figure(person[0]),
        figure(person[1]),
    );
    Ok(ExpectedEffect {
        post_degrees,
        mean_less_deg: mean,
        two_in_three_less_deg: person,
        words,
        why: why(guidance),
    })
}

fn guidance() -> &'static Guidance {
    let found = Knowledge::built_in()
        .orthosis()
        .guidance(Outcome::PeakRearfootEversion);
    found.unwrap_or_else(|| panic!("the built-in knowledge lacks the guidance on eversion"))
}

fn why(guidance: &Guidance) -> Vec<Reason> {
    let said = |name: &str, figure: &knowledge::Figure| {
        Reason::value(
            format!(
                "{name}: {}; {}",
                figure.words(),
                figure.note.as_deref().unwrap_or("worked out here")
            ),
            figure,
        )
    };
    vec![
        said("A shell without a post", &guidance.baseline),
        said("For each degree of post", &guidance.slope),
        said("At most", &guidance.cap),
        said(
            "Spread between people by the effect",
            &guidance.person_spread,
        ),
        Reason::cited(
            "That two in three lie within one spread and one in six below none is arithmetic of a bell-shaped spread.",
            About::Value,
            "own-judgement",
            Provenance::CommonPractice,
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand from the row: 2° (1.42 to 3.07) + 0.2 (0.1 to 0.35) for each degree, at most 4 to 5.
    #[test]
    fn a_post_of_four_degrees_is_told_as_a_band_with_the_spread_between_people() {
        let e = expected_effect(4.0).unwrap();
        assert!((e.mean_less_deg[0] - 1.82).abs() < 1e-9);
        assert!((e.mean_less_deg[1] - 4.47).abs() < 1e-9);
        assert!((e.two_in_three_less_deg[0] - 0.0).abs() < 1e-9);
        assert!((e.two_in_three_less_deg[1] - 5.6).abs() < 1e-9);
        assert!(e.words.contains("no correction on a standing film"));
    }

    #[test]
    fn no_post_is_ever_told_as_a_point_and_none_beyond_the_studied_ones_is_told() {
        for tenth in 0..=100 {
            let e = expected_effect(f64::from(tenth) / 10.0).unwrap();
            assert!(e.mean_less_deg[1] - e.mean_less_deg[0] > 0.5, "{e:?}");
            assert!(e.two_in_three_less_deg[0] <= 0.0 + 1e-9);
        }
        for post in [-1.0, 10.5, 40.0, f64::NAN, f64::INFINITY] {
            assert!(expected_effect(post).is_err(), "{post}");
        }
        assert_eq!(
            expected_effect(40.0).unwrap_err().to_string(),
            "found a post of 40°; expected one of 0° to 10°, for which the effect was studied; no effect is told \
             for others"
        );
    }
}
