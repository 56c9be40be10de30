//! Which bones are there, and what shape are they?
//!
//! Every bone is sculpted by hand as a distance function ([`solid`]) in the plan's frame ([`plan`]),
//! sampled once on a grid ([`grid`]) and turned into two closed surfaces ([`nets`]): its outside and the
//! inside of its cortex. A joint surface is made by taking the neighbour, blown up by the joint space,
//! away from the bone: so joint lines run parallel. No mesh from elsewhere is used.

pub(crate) mod forefoot;
pub(crate) mod grid;
pub(crate) mod hindfoot;
pub(crate) mod leg;
pub(crate) mod midfoot;
pub(crate) mod nets;
pub(crate) mod plan;
pub(crate) mod solid;

use crate::foot::PlanBone;
use grid::Grid;
use solid::P;
use std::sync::{Arc, OnceLock};

/// Width of the plain joints.
pub(crate) const GAP_MM: f64 = 2.6;

type Field = Box<dyn Fn(P) -> f64 + Send + Sync>;

/// A bone as sculpted: its function, the box around it and the thickness of its cortex.
pub(crate) struct Sculpt {
    name: &'static str,
    low: P,
    high: P,
    step: f64,
    cortex: Field,
    density: f64,
    field: Field,
}

impl Sculpt {
    pub fn new(
        name: &'static str,
        low: P,
        high: P,
        field: impl Fn(P) -> f64 + Send + Sync + 'static,
    ) -> Sculpt {
        Sculpt {
            name,
            low,
            high,
            step: 0.9,
            cortex: Box::new(|_| 1.2),
            density: 1.0,
            field: Box::new(field),
        }
    }
    pub fn step(self, step: f64) -> Sculpt {
        Sculpt { step, ..self }
    }
    pub fn cortex(self, mm: f64) -> Sculpt {
        self.cortex_by(move |_| mm)
    }
    pub fn cortex_by(self, mm: impl Fn(P) -> f64 + Send + Sync + 'static) -> Sculpt {
        Sculpt {
            cortex: Box::new(mm),
            ..self
        }
    }

    fn finish(self) -> PlanBone {
        let grid = Grid::sample(self.low, self.high, self.step, &self.field);
        let outer = nets::surface(&grid, 200);
        let inner = nets::surface(&grid.map(|q, d| d + (self.cortex)(q)), 20);
        PlanBone {
            name: self.name,
            outer: Arc::new(outer),
            inner: Arc::new(inner),
            density: self.density,
            grid: Arc::new(grid),
            inset: 0.0,
        }
    }
}

/// All bones of the plain right adult foot; sculpted once per process.
pub(crate) fn plan_bones() -> &'static [PlanBone] {
    static BONES: OnceLock<Vec<PlanBone>> = OnceLock::new();
    BONES.get_or_init(sculpt_all)
}

fn sculpt_all() -> Vec<PlanBone> {
    let mut bones: Vec<PlanBone> = vec![];
    let mut add = |sculpt: Sculpt| {
        let bone = sculpt.finish();
        let grid = bone.grid.clone();
        bones.push(bone);
        grid
    };
    let talus = add(hindfoot::talus());
    let calcaneus = add(hindfoot::calcaneus(talus.clone()));
    let navicular = add(midfoot::navicular(talus.clone()));
    let cuboid = add(midfoot::cuboid(calcaneus.clone(), navicular.clone()));
    let medial = add(midfoot::medial_cuneiform(navicular.clone()));
    let intermediate = add(midfoot::intermediate_cuneiform(
        navicular.clone(),
        medial.clone(),
    ));
    let lateral = add(midfoot::lateral_cuneiform(
        navicular.clone(),
        intermediate.clone(),
        cuboid.clone(),
    ));
    let mt1 = add(forefoot::metatarsal(0, vec![medial.clone()], None));
    let mt2 = add(forefoot::metatarsal(
        1,
        vec![intermediate.clone(), medial, lateral.clone()],
        Some(mt1.clone()),
    ));
    let mt3 = add(forefoot::metatarsal(
        2,
        vec![lateral.clone(), cuboid.clone(), intermediate],
        Some(mt2.clone()),
    ));
    let mt4 = add(forefoot::metatarsal(
        3,
        vec![cuboid.clone(), lateral],
        Some(mt3.clone()),
    ));
    let mt5 = add(forefoot::metatarsal(4, vec![cuboid], Some(mt4.clone())));
    for s in forefoot::sesamoids() {
        add(s);
    }
    for s in forefoot::phalanges(&[mt1, mt2, mt3, mt4, mt5]) {
        add(s);
    }
    let tibia = add(leg::tibia(talus.clone()));
    add(leg::fibula(talus, tibia, calcaneus));
    bones
}
