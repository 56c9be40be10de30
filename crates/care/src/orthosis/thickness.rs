//! How thick: by one trial's rule and by the workshop's, which do not agree, and for another material by
//! equal stiffness in bending.

use super::reason::{About, Proposal, Reason, weaker};
use super::row;
use knowledge::orthosis::{RuleFoot, ThicknessByWeight, ThicknessRule};
use knowledge::{Figure, Knowledge, Material, Provenance};
use quantity::Length;
use shell::prescription::Thickness;

/// Ratios of the new case to the known one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    pub weight: f64,
    pub length: f64,
    pub modulus: f64,
}

impl Default for Change {
    fn default() -> Self {
        Change {
            weight: 1.0,
            length: 1.0,
            modulus: 1.0,
        }
    }
}

/// The thickness that sags by as much under the heavier person, longer foot or other material.
///
/// # Units
/// Millimetres in, millimetres out.
///
/// # Assumptions
/// A bending beam whose width grows with its length: sag ~ W·L²/(E·t³). A curved shell also carries by its
/// membrane, which this leaves out.
///
/// # Errors
/// `None` where a ratio or the thickness is not above 0.
pub fn equally_stiff_mm(known_mm: f64, change: Change) -> Option<f64> {
    let all = [known_mm, change.weight, change.length, change.modulus];
    if !all.iter().all(|v| v.is_finite() && *v > 0.0) {
        return None;
    }
    Some(known_mm * (change.weight * change.length.powi(2) / change.modulus).cbrt())
}

/// The polypropylene thickness of a rule at a weight.
pub(crate) fn by_rule(rule: ThicknessRule, weight_kg: f64) -> Option<&'static ThicknessByWeight> {
    Knowledge::built_in()
        .orthosis()
        .thickness(rule, RuleFoot::NeutralOrPronated, weight_kg)
}

/// How thick a shell of `material` bends like one of the rule's own material, `None` where a modulus is not
/// known.
pub(crate) fn in_material(rule: &ThicknessByWeight, material: &Material) -> Option<f64> {
    let known = rule.thickness.usual()?;
    if material.key == rule.material {
        return Some(known);
    }
    let from = Knowledge::built_in()
        .material(&rule.material)?
        .bending_modulus()?;
    let to = material.bending_modulus()?;
    let modulus = to.usual()? / from.usual()?;
    equally_stiff_mm(
        known,
        Change {
            modulus,
            ..Change::default()
        },
    )
}

/// A weight for a foot whose weight is not known: the lighter row of each rule.
const UNKNOWN_WEIGHT_KG: f64 = 70.0;

pub(crate) fn propose(
    material: &Material,
    weight_kg: Option<f64>,
    child: bool,
) -> Proposal<Thickness> {
    let weight = weight_kg.unwrap_or(UNKNOWN_WEIGHT_KG);
    let own = if child {
        ThicknessRule::Workshop
    } else {
        ThicknessRule::Trial
    };
    let other = if child {
        ThicknessRule::Trial
    } else {
        ThicknessRule::Workshop
    };
    let uniform = |mm: f64| Thickness::Uniform {
        all: Length::mm(rounded(mm)),
    };
    let (Some(rule), Some(second)) = (by_rule(own, weight), by_rule(other, weight)) else {
        // Only for a weight that is no number; the sheet does not take one.
        return Proposal::of(
            uniform(4.0),
            vec![Reason::own("No rule speaks of this weight.")],
        );
    };
    let value = in_material(rule, material)
        .unwrap_or_else(|| rule.thickness.usual().unwrap_or(4.0))
        .max(least_wall_mm(material));
    let mut why = reasons(rule, material, own);
    if child && own == ThicknessRule::Workshop {
        why.push(Reason::cited(
            "Neither rule was made for children.",
            About::Direction,
            "own-judgement",
            Provenance::CommonPractice,
        ));
    }
    let others = in_material(second, material).zip(reasons(second, material, other).pop());
    let agree = others
        .as_ref()
        .is_some_and(|(mm, _)| rounded(*mm) == rounded(value));
    if let Some((_, reason)) = others.as_ref().filter(|_| agree) {
        why.push(reason.clone());
    }
    let mut out = Proposal::of(uniform(value), why);
    if let Some((mm, why)) = others.filter(|_| !agree) {
        out = out.or(
            uniform(mm),
            Reason {
                words: format!("{} The rules do not agree.", why.words),
                ..why
            },
        );
    }
    if let Some(usual) = &material.making.usual_thickness
        && usual.band().is_some_and(|[l, u]| !(l..=u).contains(&value))
    {
        out = out.beware(Reason::value(
            format!("Shells of {} are usually {}.", material.name, usual.words()),
            usual,
        ));
    }
    if !child {
        let high = row::setting("sheet-high-control");
        if material.key == rule.material {
            out = out.or(
                uniform(high.amount.usual().unwrap_or(value)),
                Reason {
                    opinion: high.opinion,
                    ..Reason::value("The usual sheet for high control.", &high.amount)
                },
            );
        }
    }
    out
}

/// Up to whole tenths of a millimetre: finer is not made, and thinner would not bend alike.
fn rounded(mm: f64) -> f64 {
    (mm * 10.0 - 1e-6).ceil() / 10.0
}

fn least_wall_mm(material: &Material) -> f64 {
    let making = &material.making;
    let least = making.min_wall_loaded.as_ref().or(making.min_wall.as_ref());
    least.and_then(Figure::usual).unwrap_or(0.0)
}

fn reasons(rule: &ThicknessByWeight, material: &Material, whose: ThicknessRule) -> Vec<Reason> {
    let name = match whose {
        ThicknessRule::Trial => "One trial's protocol, the only rule published",
        ThicknessRule::Workshop => "Workshop convention, recalled",
    };
    let words = format!(
        "{name}: {} of polypropylene {}.",
        rule.thickness.words(),
        weights(rule)
    );
    if material.key == rule.material {
        return vec![Reason::value(words, &rule.thickness)];
    }
    let moduli = Knowledge::built_in()
        .material(&rule.material)
        .and_then(Material::bending_modulus)
        .zip(material.bending_modulus());
    let Some((from, to)) = moduli else {
        return vec![
            Reason::direction(words, &rule.thickness),
            Reason::own(format!(
                "The stiffness of {} is not known: the thickness is polypropylene's.",
                material.name
            )),
        ];
    };
    let provenance = weaker(&from, &to).max(rule.thickness.provenance);
    let mut sources: Vec<String> = Vec::new();
    for key in rule
        .thickness
        .sources
        .iter()
        .chain(&from.sources)
        .chain(&to.sources)
    {
        if !sources.iter().any(|s| s == key.as_str()) {
            sources.push(key.as_str().to_owned());
        }
    }
    let converted = in_material(rule, material).map_or("".to_owned(), |mm| {
        format!(", {} mm", quantity::written_short(rounded(mm), 1))
    });
    vec![
        Reason::direction(words.clone(), &rule.thickness),
        Reason {
            opinion: false,
            words: format!(
                "{words} As stiff in bending in {}{converted}: {} against {}, worked out here.",
                material.name,
                to.words(),
                from.words()
            ),
            about: About::Value,
            sources,
            provenance,
        },
    ]
}

fn weights(rule: &ThicknessByWeight) -> String {
    match (rule.from_kg, rule.below_kg) {
        (None, None) => "at any weight".to_owned(),
        (Some(from), None) => format!("from {from} kg"),
        (None, Some(below)) => format!("below {below} kg"),
        (Some(from), Some(below)) => format!("from {from} to below {below} kg"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: 4.0·(1.3/1.7)^(1/3) = 3.66; 4.0·(100/75)^(1/3) = 4.40; a foot a tenth longer asks
    /// for 1.1^(2/3) = 1.066 times.
    #[test]
    fn equal_sag_gives_the_worked_thicknesses() {
        let at = |change: Change| equally_stiff_mm(4.0, change).unwrap();
        let base = Change::default();
        let printed = at(Change {
            modulus: 1.7 / 1.3,
            ..base
        });
        assert!((printed - 3.66).abs() < 0.005, "{printed}");
        let heavy = at(Change {
            weight: 100.0 / 75.0,
            ..base
        });
        assert!((heavy - 4.40).abs() < 0.005, "{heavy}");
        let long = at(Change {
            length: 1.1,
            ..base
        });
        assert!((long / 4.0 - 1.0656).abs() < 0.001, "{long}");
    }

    #[test]
    fn equal_sag_of_nonsense_is_nothing() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(equally_stiff_mm(bad, Change::default()).is_none());
            let change = Change {
                modulus: bad,
                ..Change::default()
            };
            assert!(equally_stiff_mm(4.0, change).is_none());
        }
    }
}
