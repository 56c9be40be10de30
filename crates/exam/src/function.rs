//! The Foot Function Index from subscale sums: no item text is kept or shown, only what was counted.
//!
//! # Sources
//! FFIrehab (read): 23 items, pain 9, disability 9, limitation 5; a score is the sum over the highest sum
//! possible, times 100; skipped items leave the denominator; the total may instead be the mean of the three.
//! 0 is best.

use crate::Story;

/// One of the three parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    Pain,
    Disability,
    Limitation,
}

impl Part {
    pub const ALL: [Part; 3] = [Part::Pain, Part::Disability, Part::Limitation];

    pub fn words(self) -> &'static str {
        match self {
            Part::Pain => "pain",
            Part::Disability => "disability",
            Part::Limitation => "limitation",
        }
    }

    fn keys(self) -> (&'static str, &'static str) {
        match self {
            Part::Pain => ("ffi_pain_sum", "ffi_pain_items"),
            Part::Disability => ("ffi_disability_sum", "ffi_disability_items"),
            Part::Limitation => ("ffi_limitation_sum", "ffi_limitation_items"),
        }
    }
}

/// Scores of 0 (best) to 100; each `None` where something it needs is not recorded, or cannot be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FootFunction {
    /// Pain, disability, limitation.
    pub parts: [Option<f64>; 3],
    /// All sums over all that was possible.
    pub total: Option<f64>,
    /// The other published form: the mean of the three parts.
    pub mean_of_parts: Option<f64>,
}

/// The index of one visit; `None` where nothing of it was entered.
pub fn foot_function(story: &Story) -> Option<FootFunction> {
    let number = |key: &str| story.number(key).value();
    let most = number("ffi_item_most");
    // Sum and what the answered items could have summed to.
    let counted = Part::ALL.map(|part| {
        let (sum, items) = part.keys();
        let (sum, possible) = (number(sum)?, number(items)? * most?);
        (possible > 0.0 && sum <= possible).then_some((sum, possible))
    });
    if Part::ALL.iter().all(|p| number(p.keys().0).is_none()) {
        return None;
    }
    let parts = counted.map(|c| c.map(|(sum, possible)| 100.0 * sum / possible));
    let whole = match counted {
        [Some(a), Some(b), Some(c)] => Some(100.0 * (a.0 + b.0 + c.0) / (a.1 + b.1 + c.1)),
        _ => None,
    };
    let mean = match parts {
        [Some(a), Some(b), Some(c)] => Some((a + b + c) / 3.0),
        _ => None,
    };
    Some(FootFunction {
        parts,
        total: whole,
        mean_of_parts: mean,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn story(answers: &[(&str, &str)]) -> Story {
        let mut story = Story::new();
        for (key, text) in answers {
            story.set(key, text).unwrap();
        }
        story
    }

    const WHOLE: [(&str, &str); 7] = [
        ("ffi_pain_sum", "45"),
        ("ffi_pain_items", "9"),
        ("ffi_disability_sum", "18"),
        ("ffi_disability_items", "9"),
        ("ffi_limitation_sum", "10"),
        ("ffi_limitation_items", "5"),
        ("ffi_item_most", "10"),
    ];

    #[test]
    fn a_score_is_the_sum_over_what_was_possible() {
        let f = foot_function(&story(&WHOLE)).unwrap();
        assert_eq!(f.parts, [Some(50.0), Some(20.0), Some(20.0)]);
        // 73 of 230; and (50 + 20 + 20) / 3.
        assert!((f.total.unwrap() - 100.0 * 73.0 / 230.0).abs() < 1e-12);
        assert_eq!(f.mean_of_parts, Some(30.0));
    }

    #[test]
    fn a_skipped_item_leaves_the_denominator() {
        let mut one_less = WHOLE;
        one_less[1].1 = "8";
        let f = foot_function(&story(&one_less)).unwrap();
        assert_eq!(f.parts[0], Some(100.0 * 45.0 / 80.0));
        assert!((f.total.unwrap() - 100.0 * 73.0 / 220.0).abs() < 1e-12);
    }

    #[test]
    fn a_part_that_was_not_entered_or_cannot_be_leaves_the_total_open_and_not_zero() {
        let f = foot_function(&story(
            &WHOLE[..4]
                .iter()
                .copied()
                .chain([WHOLE[6]])
                .collect::<Vec<_>>(),
        ))
        .unwrap();
        assert_eq!((f.parts[0], f.parts[2]), (Some(50.0), None));
        assert_eq!((f.total, f.mean_of_parts), (None, None));
        let mut too_much = WHOLE;
        too_much[0].1 = "91";
        assert_eq!(foot_function(&story(&too_much)).unwrap().parts[0], None);
        assert_eq!(foot_function(&story(&[])), None);
    }

    #[test]
    fn a_weight_of_nothing_and_of_700_kg_is_refused_with_a_sentence() {
        for wrong in ["0", "700"] {
            let said = Story::new()
                .set("weight_kg", wrong)
                .unwrap_err()
                .to_string();
            assert!(
                said.starts_with(&format!("found {wrong} for 'Weight'; expected 2 to 350 kg")),
                "{said}"
            );
        }
    }
}
