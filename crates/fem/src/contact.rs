//! A body that lies on a flat rigid floor without sticking to it: where it presses, and how it settles.
//!
//! Leaves large motion to [`large`](crate::large) and the choice of sides to
//! [`complementarity`](crate::complementarity). The body is factored once, held by a few anchors where its
//! supports leave it free; the answers of the places of contact to unit forces are then all that is needed.
//! One surprise: the anchors do not falsify the result. They are let go again in the small problem, exactly,
//! so that they carry nothing; only a slide along the floor, which nothing resists, stays anchored, and what
//! that takes is reported.

use nalgebra::{DMatrix, DVector, SymmetricEigen, Vector3};
use rayon::prelude::*;

use crate::FemError;
use crate::anchors::anchors;
use crate::complementarity::{self, Places};
use crate::flexibility::Side;
use crate::floor::{GROUP, along, apart, check};
use crate::load::{Load, resultant};
use crate::mesh::AtNodes;
use crate::model::{Freedom, Model};
use crate::pattern::{internal_forces, internal_forces_of};
use crate::system::{Balance, Displacement, System};

pub use crate::floor::Candidate;

/// A body over a floor, factored and ready for many loads.
#[derive(Debug)]
pub struct Contact {
    system: System,
    /// The body without the anchors.
    body: Model,
    normal: Vector3<f64>,
    candidates: Vec<Candidate>,
    /// Motions of the body when one anchor is moved by one and the others stay.
    motions: Vec<Displacement>,
    /// The same, of the candidates along the normal: one column for each motion that is let go.
    tilt: DMatrix<f64>,
    /// Resistance of the body against the motions that are let go; zero for rigid ones.
    resistance: DMatrix<f64>,
    /// Motions that are let go, as combinations of the anchors.
    free: DMatrix<f64>,
    /// Way of each candidate along the normal under a unit force on another, all held by the anchors.
    answers: DMatrix<f64>,
    /// A few candidates far from each other: with them the search begins.
    first: Vec<usize>,
    stiffness: f64,
    at: AtNodes,
}

/// How a load has settled.
#[derive(Debug, Clone, PartialEq)]
pub struct Rest {
    pub displacement: Displacement,
    /// Force of the floor on each candidate along the normal, none below zero.
    pub forces: Vec<f64>,
    /// Height of each candidate over the floor, none below zero but for round-off.
    pub gaps: Vec<f64>,
    /// Forces and moments of the supports at every node.
    pub reactions: Vec<f64>,
    /// Force and moment (about the origin) that keep the body from sliding where nothing resists a slide.
    pub held: (Vector3<f64>, Vector3<f64>),
    /// Largest unbalanced force over the largest force, summed again element by element.
    pub residual: f64,
    /// Part of the load that the numerical spring against rigid motion still carries; zero when it could be
    /// taken out.
    pub anchored_share: f64,
    /// Rounds of adding places of contact.
    pub rounds: usize,
}

/// A part of a load, settled; [`Contact::rest`] says more of it.
#[derive(Debug, Clone)]
pub struct Settled {
    pub displacement: Displacement,
    /// The part of the load, and the floor's answer.
    pressed: Load,
    found: Found,
}

/// The numerical spring against rigid motion, as a part of the body's stiffness at the candidates.
const SPRING: f64 = 1e-7;
/// The share of the load which, if left on that spring, says that the body tips or lifts off.
const TIPS: f64 = 1e-3;

impl Contact {
    /// # Errors
    /// No candidates, candidates or normal that are not fit, or a body that moves freely even when anchored.
    pub fn new(
        body: Model,
        normal: Vector3<f64>,
        candidates: Vec<Candidate>,
    ) -> Result<Self, FemError> {
        check(&body, &normal, &candidates)?;
        let nodes = body.mesh().nodes().len();
        let anchors = anchors(&body);
        let mut supports = body.supports().clone();
        for &(node, freedom) in &anchors {
            supports.hold(node, &[freedom]);
        }
        let system = System::new(body.clone().with_supports(supports)?)?;

        // One motion for each anchor, and what the body does against it.
        let unit = |&(node, freedom): &(usize, Freedom)| {
            let mut full = vec![0.0; 6 * nodes];
            full[6 * node + freedom.index()] = 1.0;
            full
        };
        let at = body.mesh().at_nodes();
        let pulls: Vec<Vec<f64>> = anchors
            .iter()
            .map(|anchor| {
                let near = at.near(anchor.0).iter().map(|&(triangle, _)| triangle);
                internal_forces_of(&body, near, &[&unit(anchor)]).remove(0)
            })
            .collect();
        let n = system.equations();
        let mut sides = vec![0.0; n * anchors.len()];
        for (pull, side) in pulls.iter().zip(sides.chunks_exact_mut(n)) {
            system.pattern().gather(pull, side);
            side.iter_mut().for_each(|entry| *entry = -*entry);
        }
        system.solve_equations(&mut sides)?;
        let motions: Vec<Displacement> = anchors
            .iter()
            .zip(sides.chunks_exact(n))
            .map(|(&(node, freedom), side)| {
                let mut full = system.spread(side, false).entries().to_vec();
                full[6 * node + freedom.index()] = 1.0;
                Displacement::new(full)
            })
            .collect();
        let dot = |a: &[f64], b: &[f64]| -> f64 { a.iter().zip(b).map(|(x, y)| x * y).sum() };
        let k = anchors.len();
        let resistance = DMatrix::from_fn(k, k, |i, j| {
            (dot(&pulls[i], motions[j].entries()) + dot(&pulls[j], motions[i].entries())) / 2.0
        });
        let local: f64 = pulls
            .iter()
            .zip(&anchors)
            .map(|(pull, &(node, freedom))| pull[6 * node + freedom.index()])
            .fold(0.0, f64::max);
        // What is left of a rigid motion's resistance is round-off of the stiffness at the anchor.
        let resistance = resistance.map(|value| {
            if value.abs() < 1e-11 * local {
                0.0
            } else {
                value
            }
        });
        let tilt = DMatrix::from_fn(candidates.len(), k, |c, j| {
            along(motions[j].entries(), candidates[c].node, &normal)
        });

        let mut contact = Self {
            answers: DMatrix::zeros(0, 0),
            first: Vec::new(),
            system,
            body,
            normal,
            candidates,
            motions,
            tilt,
            resistance,
            free: DMatrix::identity(k, k),
            stiffness: 0.0,
            at,
        };
        let pressed: Vec<Side> = (0..contact.candidates.len())
            .map(|c| contact.pressed(c))
            .collect();
        contact.answers = contact.system.flexibility(&pressed);
        contact.first = contact.spread_out();
        let mut flexibility: Vec<f64> = contact
            .first
            .iter()
            .map(|&c| contact.answers[(c, c)])
            .filter(|value| *value > 0.0)
            .collect();
        flexibility.sort_by(f64::total_cmp);
        contact.stiffness = flexibility
            .get(flexibility.len() / 2)
            .map_or(1.0, |value| 1.0 / value);
        contact.let_go();
        Ok(contact)
    }

    #[must_use]
    pub fn system(&self) -> &System {
        &self.system
    }

    #[must_use]
    pub fn candidates(&self) -> &[Candidate] {
        &self.candidates
    }

    /// Parts the anchors' motions into those that the floor or the body resists, which are let go, and
    /// slides along the floor, which stay.
    fn let_go(&mut self) {
        let k = self.motions.len();
        if k == 0 {
            return;
        }
        let count = self.candidates.len() as f64;
        let measure =
            &self.resistance / self.stiffness + self.tilt.transpose() * &self.tilt / count;
        let eigen = SymmetricEigen::new(measure);
        let largest = eigen.eigenvalues.amax();
        let kept: Vec<usize> = (0..k)
            .filter(|&i| eigen.eigenvalues[i] > 1e-9 * largest)
            .collect();
        self.free = DMatrix::from_fn(k, kept.len(), |row, column| {
            eigen.eigenvectors[(row, kept[column])]
        });
        self.tilt = &self.tilt * &self.free;
        self.resistance = self.free.transpose() * &self.resistance * &self.free;
    }

    /// A few candidates, far from each other, the lowest first.
    fn spread_out(&self) -> Vec<usize> {
        let place = |c: usize| self.body.mesh().nodes()[self.candidates[c].node];
        let mut chosen = Vec::new();
        let mut distance = vec![f64::INFINITY; self.candidates.len()];
        let lowest = (0..self.candidates.len()).min_by(|&a, &b| {
            self.candidates[a]
                .gap
                .total_cmp(&self.candidates[b].gap)
                .then(a.cmp(&b))
        });
        let mut next = lowest.unwrap_or(0);
        while chosen.len() < GROUP.min(self.candidates.len()) {
            chosen.push(next);
            let mut farthest = (0.0, next);
            for (c, distance) in distance.iter_mut().enumerate() {
                *distance = distance.min((place(c) - place(next)).norm());
                if *distance > farthest.0 {
                    farthest = (*distance, c);
                }
            }
            if farthest.0 == 0.0 {
                break;
            }
            next = farthest.1;
        }
        chosen.sort_unstable();
        chosen
    }

    /// A unit force on a candidate along the normal.
    fn pressed(&self, candidate: usize) -> Side {
        let node = self.candidates[candidate].node;
        (0..3)
            .filter(|&part| self.normal[part] != 0.0)
            .filter_map(|part| {
                let number = self.system.pattern().equation(node, part)?;
                Some((number, self.normal[part]))
            })
            .collect()
    }

    /// Settles one load.
    ///
    /// # Errors
    /// A load for another number of nodes, a body that tips or lifts off, or contact that does not settle.
    pub fn settle(&self, load: &Load) -> Result<Rest, FemError> {
        self.settle_all(&[load])?.remove(0)
    }

    /// Settles many loads, each by itself: one may tip where another rests.
    ///
    /// # Errors
    /// A load for another number of nodes, or no memory left.
    pub fn settle_all(&self, loads: &[&Load]) -> Result<Vec<Result<Rest, FemError>>, FemError> {
        let settled = self.settle_parts(loads, &[1.0])?.into_iter().flatten();
        let settled: Vec<Result<Settled, FemError>> = settled.collect();
        let (pressed, moved): (Vec<&Load>, Vec<&Displacement>) = settled
            .iter()
            .flatten()
            .map(|settled| (&settled.pressed, &settled.displacement))
            .unzip();
        let mut balances = self.system.balance(&pressed, &moved)?.into_iter();
        Ok(settled
            .into_iter()
            .map(|settled| {
                let balance = balances.by_ref();
                settled.and_then(|settled| {
                    let balance = balance.next().ok_or(FemError::NoCandidates)?;
                    Ok(self.told(settled, balance))
                })
            })
            .collect())
    }

    /// Settles the same parts of each of many loads. Prescribed motions stay whole.
    ///
    /// # Errors
    /// A load for another number of nodes, or no memory left.
    pub fn settle_parts(
        &self,
        loads: &[&Load],
        parts: &[f64],
    ) -> Result<Vec<Vec<Result<Settled, FemError>>>, FemError> {
        // Without a load the prescribed motions alone are left: everything else is in proportion to the load.
        let nothing = Load::none(self.body.mesh().nodes().len());
        let prescribed = self.prescribed_push();
        let mut asked = loads.to_vec();
        asked.extend(prescribed.as_ref().map(|_| &nothing));
        let mut anchored = self.system.solve(&asked)?;
        let still = prescribed.as_ref().and_then(|_| anchored.pop());
        let heights = |moved: &Displacement| -> DVector<f64> {
            let ways = self.candidates.iter();
            DVector::from_iterator(
                self.candidates.len(),
                ways.map(|c| along(moved.entries(), c.node, &self.normal)),
            )
        };
        let zero = DVector::zeros(self.candidates.len());
        let still = still.as_ref().map_or(zero, heights);
        let bare =
            DVector::from_iterator(self.candidates.len(), self.candidates.iter().map(|c| c.gap))
                + &still;
        let found: Vec<Vec<Result<Found, FemError>>> = loads
            .par_iter()
            .zip(&anchored)
            .map(|(load, anchored)| {
                let ways = heights(anchored) - &still;
                let work = self.motions.iter().map(|motion| {
                    let both = motion.entries().iter().zip(load.entries());
                    both.map(|(way, force)| way * force).sum::<f64>()
                });
                let work = DVector::from_iterator(self.motions.len(), work);
                let mut before: Vec<(f64, Vec<usize>)> = Vec::new();
                let mut all = Vec::new();
                for &part in parts {
                    let mut push = &work * part;
                    if let Some(prescribed) = &prescribed {
                        push -= prescribed;
                    }
                    let heights = &bare + &ways * part;
                    // The floor is touched much as under the part that is nearest in size.
                    let off = |other: f64| (other / part).ln().abs();
                    let near = before.iter().min_by(|a, b| off(a.0).total_cmp(&off(b.0)));
                    let start = near.map_or(&[][..], |(_, places)| places);
                    let found = self.find(&push, heights.as_slice(), start);
                    if let Ok(found) = &found {
                        before.push((part, found.places.clone()));
                    }
                    all.push(found);
                }
                all
            })
            .collect();
        self.finish(loads, parts, found)
    }

    /// What else is known of a settled load.
    ///
    /// # Errors
    /// A load settled on another body.
    pub fn rest(&self, settled: Settled) -> Result<Rest, FemError> {
        let (loads, moved) = ([&settled.pressed], [&settled.displacement]);
        let balance = self.system.balance(&loads, &moved)?.remove(0);
        Ok(self.told(settled, balance))
    }

    /// Where the floor presses and how the anchors move, from the work of load and prescribed motions on the
    /// anchors and the candidates' heights; the search begins at places that may press.
    fn find(
        &self,
        push: &DVector<f64>,
        heights: &[f64],
        start: &[usize],
    ) -> Result<Found, FemError> {
        let push = self.free.transpose() * push;
        let k = push.len();
        let spring = SPRING * self.stiffness;
        let resistance = &self.resistance + DMatrix::identity(k, k) * spring;
        let mut pressing = vec![false; self.candidates.len()];
        let mut looked_at = vec![false; self.candidates.len()];
        for &c in self.first.iter().chain(start) {
            looked_at[c] = true;
        }
        for &c in start {
            pressing[c] = true;
        }
        let mut rounds = 0;
        let (set, pressure, mut motion) = loop {
            rounds += 1;
            let known: Vec<usize> = (0..self.candidates.len())
                .filter(|&c| looked_at[c])
                .collect();
            let flexible = self.between(&known);
            let lift = DMatrix::from_fn(known.len(), k, |i, j| self.tilt[(known[i], j)]);
            let at_rest = DVector::from_fn(known.len(), |i, _| heights[known[i]]);
            let start: Vec<bool> = known.iter().map(|&c| pressing[c]).collect();
            let places = Places {
                flexible: &flexible,
                at_rest: &at_rest,
                lift: &lift,
                resistance: &resistance,
                push: &push,
            };
            let (pressure, motion) = complementarity::solve(&places, &start)?;
            for (&c, &p) in known.iter().zip(pressure.iter()) {
                pressing[c] = p > 0.0;
            }
            let (gaps, reach) = self.gaps(heights, &known, &pressure, &motion);
            let mut below: Vec<usize> = (0..self.candidates.len())
                .filter(|&c| !looked_at[c] && gaps[c] < -1e-10 * reach)
                .collect();
            if below.is_empty() {
                break (known, pressure, motion);
            }
            below.sort_by(|&a, &b| gaps[a].total_cmp(&gaps[b]).then(a.cmp(&b)));
            for c in apart(&self.body, &self.at, &self.candidates, &below) {
                looked_at[c] = true;
            }
        };

        // The weak spring's share, then the same places pressing without it.
        let active: Vec<usize> = (0..set.len()).filter(|&i| pressure[i] > 0.0).collect();
        let places: Vec<usize> = active.iter().map(|&i| set[i]).collect();
        let mut force = DVector::from_iterator(active.len(), active.iter().map(|&i| pressure[i]));
        let pushed = push.amax();
        let mut anchored_share = if pushed > 0.0 {
            (&motion * spring).amax() / pushed
        } else {
            0.0
        };
        if anchored_share > TIPS {
            return Err(FemError::Tips);
        }
        if let Some((exact_force, exact_motion)) = self.without_spring(&places, heights, &push) {
            (force, motion) = (exact_force, exact_motion);
            anchored_share = 0.0;
        }
        Ok(Found {
            places,
            force,
            motion,
            anchored_share,
            rounds,
        })
    }

    /// Work of the anchored body's own forces from prescribed motions on the anchors' motions; `None` where
    /// nothing is moved.
    fn prescribed_push(&self) -> Option<DVector<f64>> {
        let held = self.body.supports().held();
        if held.iter().flatten().flatten().all(|value| *value == 0.0) {
            return None;
        }
        let given: Vec<f64> = held
            .iter()
            .flatten()
            .map(|value| value.unwrap_or(0.0))
            .collect();
        let forces = internal_forces(&self.body, &[&given]).remove(0);
        let work = self.motions.iter().map(|motion| {
            let both = motion.entries().iter().zip(&forces);
            both.map(|(a, b)| a * b).sum()
        });
        Some(DVector::from_iterator(self.motions.len(), work))
    }

    fn between(&self, places: &[usize]) -> DMatrix<f64> {
        DMatrix::from_fn(places.len(), places.len(), |i, j| {
            self.answers[(places[i], places[j])]
        })
    }

    /// Heights of all candidates under pressures and a motion, and the size of what moves them.
    fn gaps(
        &self,
        heights: &[f64],
        places: &[usize],
        pressure: &DVector<f64>,
        motion: &DVector<f64>,
    ) -> (Vec<f64>, f64) {
        let lifted = &self.tilt * motion;
        let reach = heights.iter().map(|h| h.abs()).fold(0.0, f64::max) + lifted.amax();
        let mut gaps: Vec<f64> = heights
            .iter()
            .zip(lifted.iter())
            .map(|(h, l)| h + l)
            .collect();
        for (&c, &p) in places.iter().zip(pressure.iter()) {
            if p != 0.0 {
                for (gap, way) in gaps.iter_mut().zip(self.answers.column(c).iter()) {
                    *gap += way * p;
                }
            }
        }
        (gaps, reach)
    }

    /// Forces and motions with the given places pressing and no spring; `None` where that has no answer or
    /// another choice of places.
    fn without_spring(
        &self,
        places: &[usize],
        heights: &[f64],
        push: &DVector<f64>,
    ) -> Option<(DVector<f64>, DVector<f64>)> {
        let (m, k) = (places.len(), push.len());
        let flexible = self.between(places);
        let lift = DMatrix::from_fn(m, k, |i, j| self.tilt[(places[i], j)]);
        let at_rest = DVector::from_fn(m, |i, _| heights[places[i]]);
        let all = Places {
            flexible: &flexible,
            at_rest: &at_rest,
            lift: &lift,
            resistance: &self.resistance,
            push,
        };
        let (force, motion) = complementarity::with_sides(&all, &vec![true; m]).ok()?;
        let moved = &self.resistance * &motion - push - lift.transpose() * &force;
        if moved.amax() > 1e-9 * push.amax() || force.iter().any(|f| *f < -1e-9 * force.amax()) {
            return None;
        }
        let (gaps, reach) = self.gaps(heights, places, &force, &motion);
        let fits = gaps.iter().all(|gap| *gap > -1e-7 * reach)
            && places.iter().all(|&c| gaps[c].abs() < 1e-7 * reach);
        fits.then(|| (force.map(|f| f.max(0.0)), motion))
    }

    fn finish(
        &self,
        loads: &[&Load],
        parts: &[f64],
        found: Vec<Vec<Result<Found, FemError>>>,
    ) -> Result<Vec<Vec<Result<Settled, FemError>>>, FemError> {
        let mut pressed = Vec::new();
        for (load, found) in loads.iter().zip(&found) {
            for (&part, found) in parts.iter().zip(found) {
                let Ok(found) = found else { continue };
                let mut all = Load::none(self.body.mesh().nodes().len());
                all.add_scaled(load, part)?;
                for (&c, &f) in found.places.iter().zip(found.force.iter()) {
                    all.force(self.candidates[c].node, self.normal * f)?;
                }
                pressed.push(all);
            }
        }
        let moved = self.system.solve(&pressed.iter().collect::<Vec<_>>())?;
        let mut solved = pressed.into_iter().zip(moved);
        let mut settled = |found: Result<Found, FemError>| {
            let found = found?;
            let (pressed, mut displacement) = solved.next().ok_or(FemError::NoCandidates)?;
            let anchors = &self.free * &found.motion;
            for (way, &size) in self.motions.iter().zip(anchors.iter()) {
                displacement.add_scaled(way, size);
            }
            Ok(Settled {
                displacement,
                pressed,
                found,
            })
        };
        Ok(found
            .into_iter()
            .map(|parts| parts.into_iter().map(&mut settled).collect())
            .collect())
    }

    fn told(&self, settled: Settled, balance: Balance) -> Rest {
        let Settled {
            displacement,
            found,
            ..
        } = settled;
        let mut forces = vec![0.0; self.candidates.len()];
        for (&c, &f) in found.places.iter().zip(found.force.iter()) {
            forces[c] = f;
        }
        let height = |c: &Candidate| c.gap + along(displacement.entries(), c.node, &self.normal);
        let gaps = self.candidates.iter().map(height).collect();
        // Balance of the anchored body: what the anchors take beside the supports is what holds a slide.
        let mut reactions = balance.reactions;
        let mut slide = vec![0.0; reactions.len()];
        for (entry, reaction) in reactions.iter_mut().enumerate() {
            if self.body.supports().held()[entry / 6][entry % 6].is_none() {
                slide[entry] = std::mem::replace(reaction, 0.0);
            }
        }
        let held = resultant(&slide, self.body.mesh(), &nalgebra::Point3::origin());
        Rest {
            displacement,
            forces,
            gaps,
            reactions,
            held,
            residual: balance.residual,
            anchored_share: found.anchored_share,
            rounds: found.rounds,
        }
    }
}

/// Places that press, their forces, and how the anchors have moved.
#[derive(Debug, Clone)]
struct Found {
    places: Vec<usize>,
    force: DVector<f64>,
    motion: DVector<f64>,
    anchored_share: f64,
    rounds: usize,
}
