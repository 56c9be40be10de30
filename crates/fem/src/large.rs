//! Large motion: shifts and turns of any size, strains that stay small.
//!
//! Leaves one element to [`corotation`](crate::corotation). The load is laid on in steps, each brought into
//! balance by Newton's corrections; a step that fails is tried again in halves. One surprise: moments are
//! turned with nothing: a load keeps its direction in space, so a moment about a fixed axis is only right
//! where the nodes turn about that axis.

use std::borrow::Cow;

use nalgebra::{DMatrix, DVector, Matrix3, Point3, Vector3};
use rayon::prelude::*;

use crate::FemError;
use crate::complementarity::{self, Places};
use crate::corotation::{Carried, Resting};
use crate::facet::Facet;
use crate::factor::{Factor, Plan};
use crate::flexibility::{Side, flexibility};
use crate::floor::{Candidate, apart, check};
use crate::load::Load;
use crate::mesh::AtNodes;
use crate::model::Model;
use crate::pattern::{Matrix, Pattern, spring_forces};
use crate::rotation::{turn_by, vector_of};
use crate::stress::Feelings;
use crate::system::Displacement;

/// How the load is laid on and when balance is close enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steps {
    pub steps: usize,
    /// Corrections in one step before it is halved.
    pub corrections: usize,
    /// Unbalanced over applied force at which a step is done.
    pub tolerance: f64,
    /// Halvings of a step before giving up.
    pub halvings: usize,
}

impl Default for Steps {
    fn default() -> Self {
        Self {
            steps: 4,
            corrections: 25,
            tolerance: 1e-8,
            halvings: 8,
        }
    }
}

/// A flat rigid floor without friction, for large motion.
#[derive(Debug, Clone, PartialEq)]
pub struct Floor {
    /// Unit vector from the floor to the body.
    pub normal: Vector3<f64>,
    pub candidates: Vec<Candidate>,
}

/// A balanced state under the whole load.
#[derive(Debug, Clone)]
pub struct Bent {
    /// Shifts, and turns as vectors of their whole size.
    pub displacement: Displacement,
    /// Corrections of each step.
    pub corrections: Vec<usize>,
    /// Unbalanced over applied force after each correction of the last step.
    pub residuals: Vec<f64>,
    /// Forces and moments of the supports at every node.
    pub reactions: Vec<f64>,
    /// Force of the floor on each candidate, none below zero.
    pub forces: Vec<f64>,
    pub gaps: Vec<f64>,
    /// What every triangle feels, in material axes that have moved with it.
    pub feelings: Feelings,
}

/// How a body over a floor is held while a correction is solved for, as parts of its stiffness at the places
/// that may touch: springs across the floor under the places that press, and damping of all places in every
/// direction. The next is tried where the body topples.
///
/// Both leave balance as it is. Springs leave the correction as it is too, since a place that presses stays on
/// the floor; damping makes it smaller, and much of it makes corrections many.
const HOLDS: [[f64; 2]; 10] = [
    [1e-4, 1e-9],
    [1e-2, 1e-9],
    [1.0, 1e-9],
    [1.0, 1e-8],
    [1.0, 1e-7],
    [1.0, 1e-6],
    [1.0, 1e-5],
    [1.0, 1e-4],
    [1.0, 1e-3],
    [1.0, 1e-2],
];

/// So many of the lowest places are looked at from the start of a correction.
const NEAR: usize = 128;

struct State {
    places: Vec<Point3<f64>>,
    turns: Vec<Matrix3<f64>>,
    pressed: Vec<f64>,
}

impl State {
    fn copy(&self) -> Self {
        Self {
            places: self.places.clone(),
            turns: self.turns.clone(),
            pressed: self.pressed.clone(),
        }
    }
}

struct Bending<'a> {
    model: &'a Model,
    load: &'a Load,
    floor: Option<&'a Floor>,
    facets: Vec<Facet>,
    resting: Vec<Resting>,
    pattern: Pattern,
    plan: Plan,
    matrix: Matrix,
    factor: Option<Factor>,
    at: AtNodes,
    /// Of the body at the places that may touch the floor.
    stiffness: f64,
    /// The weakest of [`HOLDS`] that is worth trying.
    hold: usize,
    /// Brings moments to the size of forces in the measure of balance.
    length: f64,
    /// Unbalanced force that comes from the last digits of the nodes' places alone.
    round_off: f64,
}

/// Brings a body into balance under a load, with large motion.
///
/// # Errors
/// A load for another number of nodes, a body that can move freely, or no balance.
pub fn bend(
    model: &Model,
    load: &Load,
    floor: Option<&Floor>,
    steps: &Steps,
) -> Result<Bent, FemError> {
    let nodes = model.mesh().nodes();
    if load.entries().len() != 6 * nodes.len() {
        return Err(FemError::Count {
            what: "the load",
            found: load.entries().len(),
            expected: 6 * nodes.len(),
        });
    }
    if let Some(floor) = floor {
        check(model, &floor.normal, &floor.candidates)?;
    }
    let mut bending = Bending::new(model, load, floor)?;
    let mut state = State {
        places: nodes.to_vec(),
        turns: vec![Matrix3::identity(); nodes.len()],
        pressed: vec![0.0; floor.map_or(0, |floor| floor.candidates.len())],
    };
    let (mut done, mut share) = (0.0, 1.0 / steps.steps.max(1) as f64);
    let (mut corrections, mut residuals) = (Vec::new(), Vec::new());
    let mut halvings = 0;
    while done < 1.0 - 1e-12 {
        let next = f64::min(done + share, 1.0);
        let mut trial = state.copy();
        if done > 0.0 {
            for pressed in &mut trial.pressed {
                *pressed *= next / done;
            }
        }
        let iterations = match bending.step(&mut trial, done, next, steps) {
            Ok(history) => {
                corrections.push(history.len());
                residuals = history;
                state = trial;
                done = next;
                continue;
            }
            Err(FemError::NotBalanced { iterations, .. }) => iterations,
            Err(FemError::Mechanism { .. }) => 0,
            Err(other) => return Err(other),
        };
        if halvings == steps.halvings {
            return Err(FemError::NotBalanced {
                iterations,
                share: next,
            });
        }
        halvings += 1;
        share /= 2.0;
    }
    bending.finish(&state, corrections, residuals)
}

impl<'a> Bending<'a> {
    fn new(model: &'a Model, load: &'a Load, floor: Option<&'a Floor>) -> Result<Self, FemError> {
        let mesh = model.mesh();
        let facets: Vec<Facet> = (0..mesh.triangles().len())
            .map(|triangle| {
                let facet = model.facet(triangle).ok_or(FemError::NoArea { triangle })?;
                Ok(facet.into_owned())
            })
            .collect::<Result<_, FemError>>()?;
        let resting = facets
            .iter()
            .map(|facet| Resting {
                frame: facet.frame,
                stiffness: facet.local_stiffness(),
            })
            .collect();
        let pattern = Pattern::of(model)?;
        let plan = Plan::of(&pattern)?;
        let matrix = pattern.assemble(model)?;
        let mut own: Vec<f64> = floor
            .map_or(&[][..], |floor| &floor.candidates)
            .iter()
            .flat_map(|candidate| (0..3).filter_map(|part| pattern.equation(candidate.node, part)))
            .map(|equation| matrix.values()[pattern.lower().0[equation]])
            .collect();
        own.sort_by(f64::total_cmp);
        let stiffness = own.get(own.len() / 2).copied().unwrap_or(0.0);
        let length = (mesh.area() / mesh.triangles().len() as f64).sqrt();
        let reach = mesh
            .nodes()
            .iter()
            .map(|node| node.coords.norm())
            .fold(0.0, f64::max);
        let starts = &pattern.lower().0[..pattern.equations()];
        let stiffest = starts
            .iter()
            .map(|&start| matrix.values()[start])
            .fold(0.0, f64::max);
        let round_off = f64::EPSILON * stiffest * reach * (pattern.equations() as f64).sqrt();
        Ok(Self {
            model,
            load,
            floor,
            facets,
            resting,
            pattern,
            plan,
            matrix,
            factor: None,
            at: mesh.at_nodes(),
            stiffness,
            hold: 0,
            length,
            round_off,
        })
    }

    /// Brings one step into balance; gives what was unbalanced after each correction.
    fn step(
        &mut self,
        state: &mut State,
        from: f64,
        to: f64,
        steps: &Steps,
    ) -> Result<Vec<f64>, FemError> {
        let mut history = Vec::new();
        let mut push = to - from;
        self.hold = self.hold.saturating_sub(1);
        let unsettled = |history: &[f64]| FemError::NotBalanced {
            iterations: history.len(),
            share: to,
        };
        loop {
            let carried = self.carry(state).ok_or_else(|| unsettled(&history))?;
            let internal = self.internal(state, &carried);
            // The first state of a step does not know the step's prescribed motions yet.
            if push == 0.0 {
                let (off, scale) = self.off_balance(state, &internal, to);
                history.push(if scale > 0.0 { off / scale } else { 0.0 });
                if off <= steps.tolerance * scale || off <= self.round_off {
                    return Ok(history);
                }
                if !off.is_finite() || history.len() > steps.corrections {
                    return Err(unsettled(&history));
                }
            }
            self.correct(state, &carried, &internal, to, push)?;
            push = 0.0;
        }
    }

    fn carry(&self, state: &State) -> Option<Vec<Carried>> {
        self.model
            .mesh()
            .triangles()
            .par_iter()
            .zip(&self.resting)
            .map(|(corners, resting)| {
                resting.carry(
                    &corners.map(|node| state.places[node]),
                    &corners.map(|node| state.turns[node]),
                    true,
                )
            })
            .collect()
    }

    fn shifts(&self, state: &State) -> Vec<f64> {
        let nodes = self.model.mesh().nodes();
        nodes
            .iter()
            .zip(&state.places)
            .zip(&state.turns)
            .flat_map(|((rest, place), turn)| {
                let (shift, turn) = (place - rest, vector_of(turn));
                [shift.x, shift.y, shift.z, turn.x, turn.y, turn.z]
            })
            .collect()
    }

    fn gap(&self, state: &State, floor: &Floor, candidate: &Candidate) -> f64 {
        let rest = self.model.mesh().nodes()[candidate.node];
        candidate.gap + floor.normal.dot(&(state.places[candidate.node] - rest))
    }

    /// Forces that the body answers with at every node; the floor's are not among them.
    fn internal(&self, state: &State, carried: &[Carried]) -> Vec<f64> {
        let mut forces = vec![0.0; 6 * state.places.len()];
        for (corners, carried) in self.model.mesh().triangles().iter().zip(carried) {
            for (i, value) in carried.force.iter().enumerate() {
                forces[6 * corners[i / 6] + i % 6] += value;
            }
        }
        spring_forces(self.model, &self.shifts(state), &mut forces);
        forces
    }

    /// Load and floor less what the body answers with, at every node.
    fn unbalanced(&self, state: &State, internal: &[f64], share: f64) -> Vec<f64> {
        let loads = self.load.entries().iter().zip(internal);
        let mut off: Vec<f64> = loads
            .map(|(load, internal)| load * share - internal)
            .collect();
        if let Some(floor) = self.floor {
            for (candidate, &pressed) in floor.candidates.iter().zip(&state.pressed) {
                for part in 0..3 {
                    off[6 * candidate.node + part] += floor.normal[part] * pressed;
                }
            }
        }
        off
    }

    fn off_balance(&self, state: &State, internal: &[f64], share: f64) -> (f64, f64) {
        let (mut off, mut applied, mut answered) = (0.0_f64, 0.0_f64, 0.0_f64);
        let unbalanced = self.unbalanced(state, internal, share);
        for (entry, (unbalanced, load)) in unbalanced.iter().zip(self.load.entries()).enumerate() {
            let size = if entry % 6 < 3 {
                1.0
            } else {
                1.0 / self.length
            };
            applied += (load * share * size).powi(2);
            if self.pattern.equation(entry / 6, entry % 6).is_some() {
                off += (unbalanced * size).powi(2);
            } else {
                answered += (unbalanced * size).powi(2);
            }
        }
        (off.sqrt(), applied.max(answered).sqrt())
    }

    fn correct(
        &mut self,
        state: &mut State,
        carried: &[Carried],
        internal: &[f64],
        share: f64,
        push: f64,
    ) -> Result<(), FemError> {
        self.pattern.sum(self.model, &mut self.matrix, |triangle| {
            Some(Cow::Borrowed(&carried[triangle].stiffness))
        })?;
        let bare = State {
            places: Vec::new(),
            turns: Vec::new(),
            pressed: vec![0.0; state.pressed.len()],
        };
        let mut side = vec![0.0; self.pattern.equations()];
        self.pattern
            .gather(&self.unbalanced(&bare, internal, share), &mut side);
        for (entry, more) in side.iter_mut().zip(&self.matrix.push) {
            *entry += more * push;
        }
        let spring = self.factor(state)?;
        match self.floor {
            Some(floor) => {
                let places = floor.candidates.iter().zip(&state.pressed);
                for (candidate, _) in places.filter(|(_, pressed)| **pressed > 0.0) {
                    // What a spring does where its place stays on the floor.
                    let back = spring * self.gap(state, floor, candidate);
                    for part in 0..3 {
                        if let Some(number) = self.pattern.equation(candidate.node, part) {
                            side[number] -= back * floor.normal[part];
                        }
                    }
                }
                side = self.press(state, floor, &side)?;
            }
            None => self.solve(&mut side)?,
        }
        let held = self.model.supports().held();
        let mut step: Vec<f64> = held
            .iter()
            .flatten()
            .map(|value| value.unwrap_or(0.0) * push)
            .collect();
        self.pattern.scatter(&side, &mut step);
        let moved = state.places.iter_mut().zip(&mut state.turns);
        for (six, (place, turn)) in step.chunks_exact(6).zip(moved) {
            *place += Vector3::new(six[0], six[1], six[2]);
            *turn = turn_by(&Vector3::new(six[3], six[4], six[5])) * *turn;
        }
        Ok(())
    }

    /// Factors the present matrix, over a floor held as weakly as it can be; gives the springs' stiffness.
    fn factor(&mut self, state: &State) -> Result<f64, FemError> {
        let Some(floor) = self.floor else {
            self.factor_held()?;
            return Ok(0.0);
        };
        let lies = state.pressed.iter().any(|pressed| *pressed > 0.0);
        let first = if lies { self.hold } else { 0 };
        let across = floor.normal * floor.normal.transpose();
        let mut held = [0.0; 2];
        let mut done = Ok(());
        for (hold, parts) in HOLDS.iter().enumerate().skip(first) {
            let wanted = parts.map(|part| part * self.stiffness);
            if !lies && wanted[1] == held[1] {
                continue;
            }
            let spring = across * (wanted[0] - held[0]);
            let damping = Matrix3::identity() * (wanted[1] - held[1]);
            for (candidate, &pressed) in floor.candidates.iter().zip(&state.pressed) {
                let more = if pressed > 0.0 {
                    spring + damping
                } else {
                    damping
                };
                let node = candidate.node;
                self.pattern
                    .add_triple(&mut self.matrix, node, node, 0, &more);
            }
            held = wanted;
            done = self.factor_held();
            if !matches!(done, Err(FemError::Mechanism { .. })) {
                if lies {
                    self.hold = hold;
                }
                break;
            }
        }
        done.map(|()| held[0])
    }

    fn factor_held(&mut self) -> Result<(), FemError> {
        match &mut self.factor {
            Some(factor) => self.plan.factor_again(&self.pattern, &self.matrix, factor),
            None => {
                self.factor = Some(self.plan.factor(&self.pattern, &self.matrix)?);
                Ok(())
            }
        }
    }

    fn solve(&self, sides: &mut [f64]) -> Result<(), FemError> {
        let factor = self.factor.as_ref().ok_or(FemError::Memory)?;
        self.plan.solve(factor, sides)
    }

    /// A correction from unbalanced forces with what the floor adds, so that no place ends below it; sets the
    /// floor's forces.
    ///
    /// Without the floor the body is hardly held and flies far off; so does what the floor's forces alone
    /// would do. The sum of the two ways has lost its last eight digits: both are solved for together.
    fn press(
        &self,
        state: &mut State,
        floor: &Floor,
        unbalanced: &[f64],
    ) -> Result<Vec<f64>, FemError> {
        let mut step = unbalanced.to_vec();
        self.solve(&mut step)?;
        let along = |free: &[f64], node: usize| -> f64 {
            (0..3)
                .filter_map(|part| {
                    Some(floor.normal[part] * free[self.pattern.equation(node, part)?])
                })
                .sum()
        };
        let all = &floor.candidates;
        let heights: Vec<f64> = all
            .iter()
            .map(|candidate| self.gap(state, floor, candidate) + along(&step, candidate.node))
            .collect();
        let reach = heights
            .iter()
            .map(|height| height.abs())
            .fold(0.0, f64::max);
        let low = |height: f64| height < -1e-10 * reach;

        // Places that press or lie lowest; the others join when a correction would take them below.
        let mut by_gap: Vec<usize> = (0..all.len()).collect();
        let gaps: Vec<f64> = all.iter().map(|c| self.gap(state, floor, c)).collect();
        by_gap.sort_by(|&a, &b| gaps[a].total_cmp(&gaps[b]).then(a.cmp(&b)));
        let mut near: Vec<usize> = by_gap.iter().copied().take(NEAR).collect();
        near.extend((0..all.len()).filter(|&c| state.pressed[c] > 0.0));
        let factor = self.factor.as_ref().ok_or(FemError::Memory)?;
        loop {
            near.sort_unstable();
            near.dedup();
            let sides: Vec<Side> = near
                .iter()
                .map(|&c| {
                    (0..3)
                        .filter_map(|part| {
                            let number = self.pattern.equation(all[c].node, part)?;
                            Some((number, floor.normal[part]))
                        })
                        .collect()
                })
                .collect();
            let answers = flexibility(&self.plan, factor, &sides);
            let pressed = self.press_near(state, floor, &near, &answers, &heights)?;
            step.copy_from_slice(unbalanced);
            for (&p, side) in pressed.iter().zip(&sides) {
                for &(number, way) in side {
                    step[number] += p * way;
                }
            }
            self.solve(&mut step)?;
            let before = near.len();
            let under = |c: &usize| low(gaps[*c] + along(&step, all[*c].node));
            let missed: Vec<usize> = (0..all.len())
                .filter(|c| near.binary_search(c).is_err() && under(c))
                .collect();
            near.extend(missed);
            if near.len() > before {
                continue;
            }
            state.pressed.fill(0.0);
            for (&c, &p) in near.iter().zip(&pressed) {
                state.pressed[c] = p;
            }
            return Ok(step);
        }
    }

    /// Pressures of some places that keep each of them from ending below the floor.
    fn press_near(
        &self,
        state: &State,
        floor: &Floor,
        near: &[usize],
        answers: &DMatrix<f64>,
        heights: &[f64],
    ) -> Result<Vec<f64>, FemError> {
        let reach = heights
            .iter()
            .map(|height| height.abs())
            .fold(0.0, f64::max);
        let lowest: Vec<Candidate> = near.iter().map(|&c| floor.candidates[c]).collect();
        let mut known: Vec<usize> = (0..near.len())
            .filter(|&i| state.pressed[near[i]] > 0.0)
            .collect();
        let mut pressure = DVector::zeros(0);
        loop {
            let count = known.len();
            let flexible = DMatrix::from_fn(count, count, |i, j| answers[(known[i], known[j])]);
            let places = Places {
                flexible: &flexible,
                at_rest: &DVector::from_fn(count, |i, _| heights[near[known[i]]]),
                lift: &DMatrix::zeros(count, 0),
                resistance: &DMatrix::zeros(0, 0),
                push: &DVector::zeros(0),
            };
            let start: Vec<bool> = (0..count)
                .map(|i| pressure.get(i).is_none_or(|p: &f64| *p > 0.0))
                .collect();
            (pressure, _) = complementarity::solve(&places, &start)?;
            let mut now: Vec<f64> = near.iter().map(|&c| heights[c]).collect();
            for (&i, &p) in known.iter().zip(pressure.iter()).filter(|(_, p)| **p > 0.0) {
                for (height, way) in now.iter_mut().zip(answers.column(i).iter()) {
                    *height += p * way;
                }
            }
            let mut below: Vec<usize> = (0..now.len())
                .filter(|i| now[*i] < -1e-10 * reach && !known.contains(i))
                .collect();
            if below.is_empty() {
                break;
            }
            below.sort_by(|&a, &b| now[a].total_cmp(&now[b]).then(a.cmp(&b)));
            known.extend(apart(self.model, &self.at, &lowest, &below));
        }
        let mut pressed = vec![0.0; near.len()];
        for (&i, &p) in known.iter().zip(pressure.iter()) {
            pressed[i] = p;
        }
        Ok(pressed)
    }

    fn finish(
        &self,
        state: &State,
        corrections: Vec<usize>,
        residuals: Vec<f64>,
    ) -> Result<Bent, FemError> {
        let carried = self.carry(state).ok_or(FemError::NotBalanced {
            iterations: 0,
            share: 1.0,
        })?;
        let internal = self.internal(state, &carried);
        let mut reactions = self.unbalanced(state, &internal, 1.0);
        for (entry, reaction) in reactions.iter_mut().enumerate() {
            let held = self.pattern.equation(entry / 6, entry % 6).is_none();
            *reaction = if held { -*reaction } else { 0.0 };
        }
        let feelings = Feelings {
            corners: self
                .facets
                .iter()
                .zip(&carried)
                .map(|(facet, carried)| facet.feel(&carried.left))
                .collect(),
            axes: self
                .facets
                .iter()
                .zip(&carried)
                .map(|(facet, carried)| facet.material_axes_in(&carried.axes))
                .collect(),
        };
        let gaps = self.floor.map_or_else(Vec::new, |floor| {
            let all = floor.candidates.iter();
            all.map(|candidate| self.gap(state, floor, candidate))
                .collect()
        });
        Ok(Bent {
            displacement: Displacement::new(self.shifts(state)),
            corrections,
            residuals,
            reactions,
            forces: state.pressed.clone(),
            gaps,
            feelings,
        })
    }
}
