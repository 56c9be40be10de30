//! Which of the knowledge folder's figures does a computation take?
//!
//! The design modulus with its band, the middle of other bands, and the lowest fatigue figure that rests on
//! more than memory. A figure that is missing there stays missing here.

use fem::{Layer, Orthotropic};
use knowledge::figure::Figure;
use knowledge::load as known;
use knowledge::material as made;

use crate::error::StrengthError;
use crate::input::{Band, Case, Fatigue, Material, Presses, Stiffness};

/// What a stamp presses with on the bench; any force will do, a linear stiffness does not depend on it.
const STAMP_N: f64 = 100.0;

fn missing(what: &'static str) -> StrengthError {
    StrengthError::Value {
        what,
        found: "no figure".into(),
        expected: "one in the knowledge folder",
    }
}

fn band(figure: &Figure) -> Option<Band> {
    let usual = figure.usual()?;
    let [low, high] = figure.band().unwrap_or([usual; 2]);
    Some(Band { low, usual, high })
}

/// # Errors
/// A material without stiffness: no modulus, or none of its layers' constants.
pub fn material(known: &made::Material, cycles: f64) -> Result<Material, StrengthError> {
    let stiffness = match (&known.orthotropic, known.bending_modulus()) {
        (Some(layer), _) => laminate(layer)?,
        (None, Some(modulus)) => Stiffness::Alike {
            modulus_mpa: band(&modulus).ok_or_else(|| missing("a modulus"))?,
            poisson: known
                .poisson
                .as_ref()
                .and_then(Figure::usual)
                .ok_or_else(|| missing("a Poisson's ratio"))?,
        },
        (None, None) => return Err(missing("a modulus")),
    };
    let fatigue = known.fatigue_at(cycles).and_then(|f| {
        Some(Fatigue {
            stress_mpa: f.stress.usual()?,
            cycles: f.cycles,
            words: f.words.clone(),
            firm: f.stress.provenance.may_decide_alone(),
        })
    });
    let out = Material {
        name: known.name.clone(),
        stiffness,
        density: known.density.as_ref().and_then(Figure::usual),
        allowable_mpa: known
            .allowable
            .as_ref()
            .and_then(Figure::to_megapascal)
            .and_then(|f| f.usual()),
        fatigue,
    };
    out.check()?;
    Ok(out)
}

/// One layer through the wall, its first direction along the foot.
///
/// # Assumptions
/// Shear through the wall is as stiff as in the plane where the folder gives none.
fn laminate(layer: &made::Orthotropic) -> Result<Stiffness, StrengthError> {
    let mpa = |figure: &Figure| {
        figure
            .to_megapascal()
            .and_then(|f| f.usual())
            .ok_or_else(|| missing("a layer's modulus"))
    };
    let through = |figure: &Option<Figure>| figure.as_ref().map_or_else(|| mpa(&layer.g12), mpa);
    let e1 = band(&layer.e1).ok_or_else(|| missing("a layer's modulus"))?;
    Ok(Stiffness::Layered {
        layers: vec![Layer {
            share: 1.0,
            angle: 0.0,
            material: Orthotropic {
                e1: mpa(&layer.e1)?,
                e2: mpa(&layer.e2)?,
                nu12: layer
                    .nu12
                    .usual()
                    .ok_or_else(|| missing("a layer's contraction"))?,
                g12: mpa(&layer.g12)?,
                g13: through(&layer.g13)?,
                g23: through(&layer.g23)?,
            },
        }],
        factor: Band {
            low: e1.low / e1.usual,
            usual: 1.0,
            high: e1.high / e1.usual,
        },
    })
}

/// # Errors
/// A case with neither a load nor a stamp.
pub fn case(known: &known::LoadCase) -> Result<Case, StrengthError> {
    let presses = match (&known.total, &known.shares, &known.indenter) {
        (Some(total), Some(shares), _) => Presses::Foot {
            body_weights: total.usual().ok_or_else(|| missing("a load"))?,
            shares: *shares,
        },
        (_, _, Some(indenter)) => Presses::Stamp {
            radius_mm: indenter
                .radius
                .usual()
                .ok_or_else(|| missing("a stamp's radius"))?,
            force_n: STAMP_N,
        },
        _ => return Err(missing("a load")),
    };
    let out = Case {
        key: known.key.clone(),
        title: known.title.clone(),
        presses,
        held: known.held.clone(),
        cycles: known.cycles.as_ref().and_then(Figure::usual),
    };
    out.check()?;
    Ok(out)
}

/// All cases of a knowledge folder, in its order.
///
/// # Errors
/// As [`case`].
pub fn cases(known: &[known::LoadCase]) -> Result<Vec<Case>, StrengthError> {
    known.iter().map(case).collect()
}
