//! What do a settled shell's motions say?
//!
//! Drops, stresses, the floor's answer, safety and mass, from the solutions of [`crate::bench`].

use fem::{Displacement, Load, Rest};
use shell::Part;

use crate::bench::{Bench, Question, Run};
use crate::input::{Held, Material};
use crate::outcome::{Fields, Floor, Mass, Outcome, PostYield, Press, WallSide, Worst};
use crate::press::stamp;
use crate::stand::{HEEL_END, post_yield_mm};

impl<'a> Bench<'a> {
    pub(crate) fn floor_outcome(
        &self,
        run: &Run<'_>,
        hardly: &Displacement,
        rest: &Rest,
        stress: Vec<[f64; 3]>,
    ) -> Outcome {
        let on_shell = pressed(&run.load);
        let floor = self.floor(rest);
        let held_up: f64 = rest.forces.iter().sum::<f64>()
            + rest
                .reactions
                .chunks_exact(6)
                .map(|six| six[2])
                .sum::<f64>();
        let thrust = (run.held == Held::Pinned).then(|| {
            self.standing
                .front_strip
                .iter()
                .map(|&n| rest.reactions[6 * n])
                .sum::<f64>()
                .abs()
        });
        let mut outcome = self.outcome(run, hardly, &rest.displacement, stress);
        outcome.floor = Some(floor);
        outcome.thrust_n = thrust;
        outcome.residual = rest.residual;
        outcome.unbalanced_share = (held_up - on_shell).abs() / on_shell;
        outcome
    }

    pub(crate) fn floor(&self, rest: &Rest) -> Floor {
        let heel_end = HEEL_END * self.question.device.positive.foot_length_mm;
        let front = &self.question.device.layout.front;
        let strip = 0.10 * self.question.device.positive.foot_length_mm;
        let mut floor = Floor {
            heel_n: 0.0,
            front_n: 0.0,
            between_n: 0.0,
            centre: [0.0; 2],
            places: Vec::new(),
            deepest_mm: -rest.gaps.iter().copied().fold(0.0, f64::min),
        };
        let mut whole = 0.0;
        for (c, &force) in rest.forces.iter().enumerate() {
            if force <= 0.0 {
                continue;
            }
            let skin = self.net.nodes[self.standing.candidates[c].node].skin;
            if skin.x < heel_end {
                floor.heel_n += force;
            } else if front.x(skin.y) - skin.x < strip {
                floor.front_n += force;
            } else {
                floor.between_n += force;
            }
            whole += force;
            floor.centre[0] += force * skin.x;
            floor.centre[1] += force * skin.y;
            floor.places.push(Press {
                at: [skin.x, skin.y],
                force_n: force,
                through_post: self.standing.over[c].is_some(),
            });
        }
        if whole > 0.0 {
            floor.centre = floor.centre.map(|v| v / whole);
        }
        floor
    }

    /// Way of a stamp: mean of its patch's motion, weighted as it presses.
    pub(crate) fn stamp_way(&self, radius_mm: f64, motion: &Displacement) -> Option<f64> {
        let one = stamp(self.question.device, &self.net, &self.mesh, radius_mm).ok()?;
        let way: f64 = one
            .entries()
            .iter()
            .zip(motion.entries())
            .map(|(force, way)| force * way)
            .sum();
        (way > 0.0).then_some(way)
    }

    pub(crate) fn outcome(
        &self,
        run: &Run<'_>,
        hardly: &Displacement,
        loaded: &Displacement,
        stress: Vec<[f64; 3]>,
    ) -> Outcome {
        let shell = self.question.shell;
        let worst = self.worst(&stress);
        let bent = |n: usize| loaded.shift(n) - hardly.shift(n);
        let motion: Vec<[f64; 3]> = (0..self.net.nodes.len())
            .map(|n| self.net.frame.to_foot(&loaded.shift(n)).into())
            .collect();
        let over = |figure: Option<f64>| {
            figure
                .filter(|_| worst.stress_mpa > 0.0)
                .map(|f| f / worst.stress_mpa)
        };
        Outcome {
            case: run.case.key.clone(),
            title: run.case.title.clone(),
            held: run.held,
            whole_n: run.whole_n,
            on_shell_n: pressed(&run.load),
            arch_drop_mm: self.arch_drop(hardly, loaded),
            stiffness_n_per_mm: None,
            largest_motion_mm: (0..motion.len())
                .map(|n| bent(n).norm())
                .fold(0.0, f64::max),
            safety: over(shell.allowable_mpa),
            fatigue_safety: over(
                shell
                    .fatigue
                    .as_ref()
                    .filter(|_| run.case.cycles.is_some())
                    .map(|f| f.stress_mpa),
            ),
            worst,
            floor: None,
            thrust_n: None,
            residual: 0.0,
            unbalanced_share: 0.0,
            fields: Fields {
                motion,
                stress_mpa: stress,
            },
        }
    }

    pub(crate) fn arch_drop(&self, hardly: &Displacement, loaded: &Displacement) -> f64 {
        self.presses
            .arch_nodes
            .iter()
            .map(|&(n, weight)| weight * (hardly.shift(n).z - loaded.shift(n).z))
            .sum()
    }

    pub(crate) fn worst(&self, stress: &[[f64; 3]]) -> Worst {
        let (node, side, stress_mpa) = highest(stress).unwrap_or((0, WallSide::Middle, 0.0));
        let place = &self.net.nodes[node];
        Worst {
            stress_mpa,
            side,
            at: place.skin.into(),
            words: crate::words::place(self.question.device, &place.skin, side),
        }
    }

    pub(crate) fn post_yields(&self, hardest_n: f64) -> Vec<PostYield> {
        self.standing
            .columns
            .iter()
            .map(|&(part, area_mm2, height_mm)| {
                let modulus = self.material_of(part).and_then(Material::block_modulus_mpa);
                PostYield {
                    post: part.words().into(),
                    yield_mm: modulus
                        .and_then(|m| post_yield_mm(hardest_n, area_mm2, height_mm, m)),
                    area_mm2,
                    height_mm,
                }
            })
            .collect()
    }

    pub(crate) fn material_of(&self, part: Part) -> Option<&'a Material> {
        let wanted = self.question.wanted;
        let separate = match part {
            Part::RearfootPost => wanted.rearfoot_post.is_some_and(|p| p.separate),
            Part::ForefootPost => wanted.forefoot_post.is_some_and(|p| p.separate),
            _ => false,
        };
        if separate {
            self.question.post
        } else {
            Some(self.question.shell)
        }
    }
}

/// Force straight down.
pub(crate) fn pressed(load: &Load) -> f64 {
    -load
        .entries()
        .chunks_exact(6)
        .map(|six| six[2])
        .sum::<f64>()
}

/// Node, side and size of the highest stress.
pub(crate) fn highest(stress: &[[f64; 3]]) -> Option<(usize, WallSide, f64)> {
    let mut best: Option<(usize, WallSide, f64)> = None;
    for (n, three) in stress.iter().enumerate() {
        for (side, &value) in WallSide::ALL.iter().zip(three) {
            if best.is_none_or(|b| value > b.2) {
                best = Some((n, *side, value));
            }
        }
    }
    best
}

pub(crate) fn masses(question: &Question<'_>) -> Vec<Mass> {
    question
        .device
        .bodies
        .iter()
        .map(|body| {
            let material = match body.part {
                Part::Shell => Some(question.shell),
                _ => question.post,
            };
            let volume_cm3 = body.mesh.volume() / 1000.0;
            Mass {
                body: body.part.words().into(),
                material: material.map_or_else(|| "not stated".into(), |m| m.name.clone()),
                volume_cm3,
                grams: material.and_then(|m| m.density).map(|d| d * volume_cm3),
            }
        })
        .collect()
}
