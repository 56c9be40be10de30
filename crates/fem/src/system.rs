//! A model's equations, solved: displacements from loads, reactions from displacements.
//!
//! Leaves contact to [`contact`](crate::contact) and large motion to [`large`](crate::large). One surprise:
//! the balance that is reported is not that of the assembled matrix but is summed again element by element.

use nalgebra::{DMatrix, Vector3};

use crate::FemError;
use crate::factor::{Factor, Plan};
use crate::flexibility::{Side, flexibility};
use crate::load::Load;
use crate::model::Model;
use crate::pattern::{Matrix, Pattern, internal_forces};

/// Below this share of its diagonal a pivot is round-off, not stiffness: free bodies gave 1e-13 and less, the
/// thinnest published case (t / L = 1e-4, curved) 5e-8.
const ROUND_OFF: f64 = 2e-12;

/// Motion of every node: three shifts and three turns in the axes of the mesh.
#[derive(Debug, Clone, PartialEq)]
pub struct Displacement {
    entries: Vec<f64>,
}

impl Displacement {
    pub(crate) fn new(entries: Vec<f64>) -> Self {
        Self { entries }
    }

    #[must_use]
    pub fn entries(&self) -> &[f64] {
        &self.entries
    }

    /// Zero for a node that is not there.
    #[must_use]
    pub fn shift(&self, node: usize) -> Vector3<f64> {
        self.triple(node, 0)
    }

    /// In radians; zero for a node that is not there.
    #[must_use]
    pub fn turn(&self, node: usize) -> Vector3<f64> {
        self.triple(node, 3)
    }

    fn triple(&self, node: usize, shift: usize) -> Vector3<f64> {
        let first = node.saturating_mul(6).saturating_add(shift);
        let entry = |part: usize| {
            self.entries
                .get(first.saturating_add(part))
                .copied()
                .unwrap_or(0.0)
        };
        Vector3::new(entry(0), entry(1), entry(2))
    }

    /// Adds another displacement, scaled; what the other lacks counts as zero.
    pub fn add_scaled(&mut self, other: &Self, factor: f64) {
        for (entry, more) in self.entries.iter_mut().zip(&other.entries) {
            *entry += factor * more;
        }
    }
}

/// A model with its factored equations.
pub struct System {
    model: Model,
    pattern: Pattern,
    plan: Plan,
    matrix: Matrix,
    factor: Factor,
}

impl std::fmt::Debug for System {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("System")
            .field("equations", &self.equations())
            .finish_non_exhaustive()
    }
}

/// What a displacement leaves unbalanced and what holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Forces and moments of the supports on the structure, at every node; zero where nothing is held.
    pub reactions: Vec<f64>,
    /// Largest unbalanced force at a free node over the largest force anywhere.
    pub residual: f64,
}

impl System {
    /// # Errors
    /// A structure that can move freely, or no memory left.
    pub fn new(model: Model) -> Result<Self, FemError> {
        let pattern = Pattern::of(&model)?;
        let plan = Plan::of(&pattern)?;
        let matrix = pattern.assemble(&model)?;
        let factor = plan.factor(&pattern, &matrix)?;
        let system = Self {
            model,
            pattern,
            plan,
            matrix,
            factor,
        };
        system.check_held()?;
        Ok(system)
    }

    /// Takes a model with the same triangles and held freedoms but other thickness, material, springs to
    /// ground or places, and factors again with the same pattern.
    ///
    /// # Errors
    /// A model of another pattern, or a structure that can move freely.
    pub fn renew(&mut self, model: Model) -> Result<(), FemError> {
        self.pattern.assemble_again(&model, &mut self.matrix)?;
        self.plan
            .factor_again(&self.pattern, &self.matrix, &mut self.factor)?;
        self.model = model;
        self.check_held()
    }

    fn check_held(&self) -> Result<(), FemError> {
        let (ratio, equation) = self.smallest_pivot();
        if ratio > ROUND_OFF {
            Ok(())
        } else {
            Err(crate::factor::mechanism(&self.pattern, equation))
        }
    }

    /// The smallest pivot over its diagonal entry, and its equation.
    #[must_use]
    pub fn smallest_pivot(&self) -> (f64, usize) {
        self.plan
            .smallest_pivot(&self.pattern, &self.matrix, &self.factor)
    }

    #[must_use]
    pub fn model(&self) -> &Model {
        &self.model
    }

    #[must_use]
    pub fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    #[must_use]
    pub fn matrix(&self) -> &Matrix {
        &self.matrix
    }

    #[must_use]
    pub fn equations(&self) -> usize {
        self.pattern.equations()
    }

    /// Displacements for many loads at once, prescribed motions included in each.
    ///
    /// # Errors
    /// A load for another number of nodes, or no memory left.
    pub fn solve(&self, loads: &[&Load]) -> Result<Vec<Displacement>, FemError> {
        let n = self.equations();
        let expected = 6 * self.model.mesh().nodes().len();
        let mut sides = vec![0.0; n * loads.len()];
        for (load, side) in loads.iter().zip(sides.chunks_exact_mut(n)) {
            if load.entries().len() != expected {
                return Err(FemError::Count {
                    what: "the load",
                    found: load.entries().len(),
                    expected,
                });
            }
            self.pattern.gather(load.entries(), side);
            for (entry, push) in side.iter_mut().zip(&self.matrix.push) {
                *entry += push;
            }
        }
        self.solve_equations(&mut sides)?;
        Ok(sides
            .chunks_exact(n)
            .map(|side| self.spread(side, true))
            .collect())
    }

    pub(crate) fn solve_equations(&self, sides: &mut [f64]) -> Result<(), FemError> {
        self.plan.solve(&self.factor, sides)
    }

    /// Way along each side under each other one.
    pub(crate) fn flexibility(&self, sides: &[Side]) -> DMatrix<f64> {
        flexibility(&self.plan, &self.factor, sides)
    }

    /// A solution of the equations as a displacement of all nodes; prescribed motions are put in or left out.
    pub(crate) fn spread(&self, free: &[f64], prescribed: bool) -> Displacement {
        let mut full: Vec<f64> = if prescribed {
            self.model
                .supports()
                .held()
                .iter()
                .flatten()
                .map(|held| held.unwrap_or(0.0))
                .collect()
        } else {
            vec![0.0; 6 * self.model.mesh().nodes().len()]
        };
        self.pattern.scatter(free, &mut full);
        Displacement::new(full)
    }

    /// Reactions at the supports and what is left unbalanced elsewhere, for each load and its displacement.
    ///
    /// # Errors
    /// A load or displacement for another number of nodes, or not as many of one as of the other.
    pub fn balance(
        &self,
        loads: &[&Load],
        displacements: &[&Displacement],
    ) -> Result<Vec<Balance>, FemError> {
        if loads.len() != displacements.len() {
            return Err(FemError::Count {
                what: "the loads",
                found: loads.len(),
                expected: displacements.len(),
            });
        }
        let expected = 6 * self.model.mesh().nodes().len();
        let found = loads.iter().map(|load| load.entries().len());
        if let Some(found) = found
            .chain(displacements.iter().map(|d| d.entries().len()))
            .find(|f| *f != expected)
        {
            return Err(FemError::Count {
                what: "the load or displacement",
                found,
                expected,
            });
        }
        let full: Vec<&[f64]> = displacements.iter().map(|d| d.entries()).collect();
        Ok(internal_forces(&self.model, &full)
            .into_iter()
            .zip(loads)
            .map(|(internal, load)| balance_of(&self.pattern, internal, load.entries()))
            .collect())
    }
}

/// Internal forces less the load: reactions where held, unbalanced elsewhere.
pub(crate) fn balance_of(pattern: &Pattern, mut internal: Vec<f64>, load: &[f64]) -> Balance {
    let (mut unbalanced, mut largest) = (0.0_f64, 0.0_f64);
    for (entry, reaction) in internal.iter_mut().enumerate() {
        largest = largest.max(reaction.abs()).max(load[entry].abs());
        *reaction -= load[entry];
        if pattern.equation(entry / 6, entry % 6).is_some() {
            unbalanced = unbalanced.max(reaction.abs());
            *reaction = 0.0;
        }
    }
    let residual = if largest > 0.0 {
        unbalanced / largest
    } else {
        0.0
    };
    Balance {
        reactions: internal,
        residual,
    }
}
