//! How large is this foot, against other people's, in which shoe, and against the other foot?

use knowledge::anthropometry::{Dimension, SizeKind};
use knowledge::{Knowledge, Person};
use quantity::written_short;
use serde::Serialize;
use surface::measure::{Dimensions, Size};

/// One size of a foot, for a table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SizeLine {
    pub name: &'static str,
    pub value_mm: f64,
    pub usual: Option<Usual>,
}

/// The same size in other people.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Usual {
    pub population: String,
    pub mean_mm: f64,
    pub sd_mm: f64,
    /// The 5th, 50th and 95th of a hundred.
    pub percentiles_mm: Option<[f64; 3]>,
    /// Where this foot lies: `in the upper half`.
    pub place: Option<&'static str>,
    pub sources: Vec<String>,
    /// How the figure is known.
    pub letter: char,
}

/// A shoe size by one of the ways of numbering.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShoeLine {
    pub name: String,
    pub lowest: f64,
    pub highest: f64,
    /// How it is counted.
    pub words: String,
    pub provenance: &'static str,
}

impl ShoeLine {
    pub fn size_words(&self) -> String {
        let [low, high] = [self.lowest, self.highest].map(|v| written_short(v, 1));
        if low == high {
            low
        } else {
            format!("{low} to {high}")
        }
    }
}

/// Said beside every shoe size.
pub const SHOE_CAUTION: &str =
    "A conversion is uncertain by a size either way; order by the foot's length.";

fn dimension(size: Size) -> Option<Dimension> {
    Some(match size {
        Size::FootLength => Dimension::FootLength,
        Size::BallLength => Dimension::BallLength,
        Size::Breadth => Dimension::FootBreadth,
        Size::HeelBreadth => Dimension::HeelBreadth,
        Size::BallGirth => Dimension::BallGirth,
        Size::HeelAnkleGirth => Dimension::HeelAnkleGirth,
        Size::InstepHeight => Dimension::DorsumHeight,
        Size::NavicularHeight => Dimension::NavicularHeight,
        Size::ArchClearance => Dimension::ArchClearance,
        Size::InstepGirth => return None,
    })
}

/// Every size that was measured; what was not scanned has no line.
pub fn lines(sizes: &Dimensions, person: &Person, knowledge: &Knowledge) -> Vec<SizeLine> {
    Size::ALL
        .into_iter()
        .filter_map(|size| {
            let value_mm = sizes.value_mm(size).filter(|v| v.is_finite())?;
            let known = dimension(size).and_then(|d| knowledge.spread_for(d, person));
            let usual = known.and_then(|row| match row.kind {
                SizeKind::Spread {
                    mean,
                    sd,
                    percentiles,
                } if row.dimension.unit() == "mm" => Some(Usual {
                    population: row.population.clone(),
                    mean_mm: mean,
                    sd_mm: sd,
                    percentiles_mm: percentiles,
                    place: row.place_words(value_mm),
                    sources: row.sources.iter().map(ToString::to_string).collect(),
                    letter: row.provenance.letter(),
                }),
                _ => None,
            });
            Some(SizeLine {
                name: size.words(),
                value_mm,
                usual,
            })
        })
        .collect()
}

/// Shoe sizes by the rules that number this person's shoes; what is not known of a person leaves none out.
pub fn shoes(foot_length_mm: f64, person: &Person, knowledge: &Knowledge) -> Vec<ShoeLine> {
    knowledge
        .shoe_rules()
        .iter()
        .filter(|rule| rule.is_for(person))
        .filter_map(|rule| {
            let [lowest, highest] = rule.sizes(foot_length_mm)?;
            // A number below one is on no shoe.
            (lowest >= 1.0).then(|| ShoeLine {
                name: rule.name.clone(),
                lowest,
                highest,
                words: rule.words.clone(),
                provenance: rule.provenance.words(),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use terms::Sex;

    fn sizes(length: f64) -> Dimensions {
        let measures = surface::built::Measures {
            foot_length: length,
            ball_width: 0.38 * length,
            heel_width: 0.25 * length,
            navicular_height: 35.0,
            heel_pad_length: None,
            print: Vec::new(),
        };
        Dimensions::of(&surface::built(&measures, terms::Side::Right).expect("a foot"))
    }

    #[test]
    fn a_size_stands_beside_the_survey_of_the_same_sex_and_without_a_sex_beside_none() {
        let knowledge = Knowledge::built_in();
        let man = Person {
            age_years: Some(40.0),
            sex: Some(Sex::Male),
        };
        let all = lines(&sizes(280.0), &man, knowledge);
        let length = all
            .iter()
            .find(|l| l.name == "foot length")
            .expect("a length");
        let usual = length.usual.as_ref().expect("the survey has men");
        // ANSUR II, men: mean 271.2, 95th of a hundred 293.
        assert_eq!(
            (usual.mean_mm, usual.place),
            (271.2, Some("in the upper half"))
        );
        assert!(
            !all.iter().any(|l| l.name == "girth of the ball"),
            "a built sole has no girth"
        );
        let unknown = lines(&sizes(280.0), &Person::default(), knowledge);
        assert!(
            unknown
                .iter()
                .filter(|l| l.name == "foot length")
                .all(|l| l.usual.is_none())
        );
    }

    #[test]
    fn shoe_sizes_are_those_of_the_age() {
        let knowledge = Knowledge::built_in();
        // Paris point: (266 + 10) / 10 · 1.5 = 41.4, (266 + 20) / 10 · 1.5 = 42.9; whole sizes.
        let aged = |years, sex| Person {
            age_years: Some(years),
            sex,
        };
        let adult = shoes(266.0, &aged(50.0, Some(Sex::Female)), knowledge);
        let paris = adult
            .iter()
            .find(|s| s.name == "Paris point")
            .expect("a size");
        assert_eq!(paris.size_words(), "41 to 43");
        assert!(!adult.iter().any(|s| s.name.contains("children")));
        assert!(adult.iter().any(|s| s.name == "US, women"));
        assert!(!adult.iter().any(|s| s.name == "US, men"));
        let child = shoes(160.0, &aged(6.0, None), knowledge);
        assert!(child.iter().any(|s| s.name.contains("children")));
        assert!(!child.iter().any(|s| s.name.contains("adults")));
    }
}
