//! Where does the foot end?
//!
//! Two answers. For films a coarse hull ([`hull`]), only an outline. For scans, shells and pictures a
//! sculpted skin ([`Skin`]) with a real sole, in two loads, with points and dimensions known on it:
//!
//! * [`build`]: proportions of people; [`warp`]: how they stretch the plain foot;
//! * [`stance`]: arch and load; [`body`]: what is sculpted with; [`flesh`], [`toes`]: the sculpture;
//! * [`sampled`]: its distances on a grid; [`marks`]: points on it; [`sizes`]: what it measures.
//!
//! One surprise: bones of a [`Foot`](crate::Foot) and a skin of the same spec go together, but the skin
//! varies more: its [`Build`] is asked for beside the bones' spec.

mod body;
pub mod build;
mod flesh;
mod hull;
pub mod marks;
mod sampled;
pub mod sizes;
mod stance;
mod toes;
mod warp;

pub use build::Build;
pub(crate) use hull::around;
pub use marks::{Frame, Mark, Marks};
pub use sizes::Sizes;

use crate::Mesh;
use crate::bones::grid::Grid;
use crate::bones::nets;
use crate::bones::solid::P;
use crate::foot::{BadSpec, FootSpec, Standing};
use flesh::Flesh;
use sampled::{fill_voids, sampled};
use serde::{Deserialize, Serialize};
use stance::{plain_length, posed};
use std::sync::{Arc, Mutex, OnceLock};
use terms::Side;

/// Does weight stand on the foot?
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "kebab-case")]
pub enum Load {
    /// Half the body on a hard floor: heel pad and ball flat.
    #[default]
    Standing,
    /// Hanging free: pads round, arch higher, foot a little shorter and narrower, leg leaning back.
    Hanging,
}

/// Everything a skin is made from; the same spec always gives the same skin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SkinSpec {
    pub foot: FootSpec,
    #[serde(default)]
    pub build: Build,
    #[serde(default)]
    pub load: Load,
    /// Height above the sole at which the leg ends.
    #[serde(default = "usual_cut_height")]
    pub cut_height_mm: f64,
}

fn usual_cut_height() -> f64 {
    120.0
}

impl SkinSpec {
    /// The skin of a foot as it is usually scanned, of mean proportions.
    pub fn of(foot: FootSpec, load: Load) -> SkinSpec {
        SkinSpec {
            foot,
            build: Build::plain(),
            load,
            cut_height_mm: usual_cut_height(),
        }
    }

    /// The spec of the same person's other foot.
    pub fn mirrored(&self) -> SkinSpec {
        let mut other = self.clone();
        other.foot.side = self.foot.side.other();
        other
    }
}

/// A closed skin in the world frame (mm; x forward, y up, z to the person's right, lowest skin at y = 0).
#[derive(Debug, Clone)]
pub struct Skin {
    pub spec: SkinSpec,
    /// Closed, two-manifold, outward; flat at the cut.
    pub mesh: Mesh,
    pub marks: Marks,
    pub sizes: Sizes,
    /// Middle of the web between neighbouring toes, where scanners see badly; great toe first.
    pub webs: [[f64; 3]; 4],
    /// Distances to the skin of a right foot, and which side is meant.
    field: Field,
}

#[derive(Debug, Clone)]
struct Field {
    grid: Arc<Grid>,
    side: Side,
}

impl Skin {
    /// Distance to the skin, negative inside; true within a few millimetres of it.
    ///
    /// # Units
    /// Millimetres of the world frame, both ways.
    pub fn distance_mm(&self, at: [f64; 3]) -> f64 {
        self.field.grid.at(self.field.plain(at))
    }

    /// The nearest point on the skin, for a point within a few millimetres of it.
    pub fn settled(&self, at: [f64; 3]) -> [f64; 3] {
        let mut q = self.field.plain(at);
        for _ in 0..3 {
            let slope = self.field.grid.slope(q);
            q -= slope * (self.field.grid.at(q) / slope.norm_squared().max(0.1));
        }
        self.field.plain(q.into()).into()
    }

    /// Direction out of the foot, of length 1.
    pub fn outward(&self, at: [f64; 3]) -> [f64; 3] {
        let slope = self.field.grid.slope(self.field.plain(at));
        let out = slope / slope.norm().max(1e-9);
        self.field.plain(out.into()).into()
    }
}

impl Field {
    /// The right foot's point for a point of this foot, and back again.
    fn plain(&self, q: [f64; 3]) -> P {
        match self.side {
            Side::Right => P::from(q),
            Side::Left => P::new(q[0], q[1], -q[2]),
        }
    }
}

/// Grid spacing beside foot length: 1 mm for a foot of 255 mm.
const STEP_TO_LENGTH: f64 = 1.0 / 255.0;

/// Builds the skin that the spec asks for, or takes it from the last few that were built.
///
/// # Errors
/// A foot that cannot be built (see [`crate::build`]), or proportions that nobody has, or a leg cut outside
/// 35 to 93 % of the foot's length.
pub fn build_skin(spec: &SkinSpec) -> Result<Arc<Skin>, BadSpec> {
    static KEPT: OnceLock<Mutex<Vec<Arc<Skin>>>> = OnceLock::new();
    const KEEP: usize = 6;
    let kept = KEPT.get_or_init(Mutex::default);
    // A poisoned lock only means that somebody else's build failed; the list itself is whole.
    let find = |list: &[Arc<Skin>]| list.iter().find(|s| s.spec == *spec).cloned();
    if let Some(skin) = find(&kept.lock().unwrap_or_else(|e| e.into_inner())) {
        return Ok(skin);
    }
    let skin = Arc::new(sculpted(spec)?);
    let mut list = kept.lock().unwrap_or_else(|e| e.into_inner());
    if list.len() >= KEEP {
        list.remove(0);
    }
    list.push(skin.clone());
    Ok(skin)
}

fn sculpted(spec: &SkinSpec) -> Result<Skin, BadSpec> {
    crate::foot::check(&spec.foot)?;
    check(spec)?;
    let loaded = spec.load == Load::Standing;
    let mut foot = spec.foot.clone();
    foot.side = Side::Right;
    let bones = crate::bones::plan_bones();
    // The scale comes from the plain stance: a flattened foot is longer, a hanging one shorter.
    let scale = foot.foot_length_mm / plain_length(&foot, &spec.build);
    foot.pose = posed(&foot.pose, &spec.build, spec.load);
    let standing = Standing::new(&foot, bones);
    let flesh = Flesh::new(&standing, &spec.build, loaded);

    let sag = if loaded { 0.0 } else { flesh.lowest() };
    let top = spec.cut_height_mm / scale + sag;
    let step = foot.foot_length_mm * STEP_TO_LENGTH;
    let mut grid = sampled(&flesh, scale, top, step);
    fill_voids(&mut grid);
    // Takes the edges off where bodies meet; narrower than any toe's gap.
    let mut grid = grid.blurred(2);
    let mut mesh = nets::surface(&grid, 5000);
    // Down to the lowest skin: hanging, nothing else says where the ground is.
    let lowest = mesh
        .vertices
        .iter()
        .map(|v| v[1])
        .fold(f64::INFINITY, f64::min);
    let lowest = if lowest.is_finite() { lowest } else { 0.0 };
    mesh.vertices.iter_mut().for_each(|v| v[1] -= lowest);
    grid.origin.y -= lowest;

    let guide = marks::Guide::new(&standing, &flesh, scale, lowest);
    let (marks, frame) = marks::find(&mesh, &grid, &guide);
    let sizes = sizes::measured(&mesh, &marks, &frame, &guide);
    let skin = Skin {
        spec: spec.clone(),
        mesh,
        marks: Marks {
            points: marks,
            frame,
        },
        sizes,
        webs: guide.webs,
        field: Field {
            grid: Arc::new(grid),
            side: spec.foot.side,
        },
    };
    Ok(if spec.foot.side == Side::Left {
        mirrored(skin)
    } else {
        skin
    })
}

fn check(spec: &SkinSpec) -> Result<(), BadSpec> {
    let b = &spec.build;
    let within = [
        (
            "ball breadth beside foot length",
            b.ball_breadth,
            0.28,
            0.50,
        ),
        (
            "heel breadth beside foot length",
            b.heel_breadth,
            0.19,
            0.36,
        ),
        (
            "malleolar breadth beside foot length",
            b.ankle_breadth,
            0.21,
            0.36,
        ),
        (
            "malleolus height beside foot length",
            b.malleolus_height,
            0.19,
            0.36,
        ),
        ("ball length beside foot length", b.ball_length, 0.68, 0.79),
        ("instep beside the plain one", b.instep, 0.8, 1.25),
        ("arch", b.arch, -2.0, 2.0),
        ("padding under the arch in mm", b.padding_mm, -4.0, 12.0),
        ("great toe's turn in degrees", b.hallux_deg, -8.0, 25.0),
        (
            "cut height beside foot length",
            spec.cut_height_mm / spec.foot.foot_length_mm,
            0.35,
            0.93,
        ),
    ];
    let toes = b
        .toes_mm
        .map(|mm| ("toe's change of length in mm", mm, -12.0, 12.0));
    for (what, found, low, high) in within.into_iter().chain(toes) {
        if !(low..=high).contains(&found) {
            return Err(BadSpec {
                what,
                found,
                expected: "a value that people have; give one nearer to the plain build's, and cut the leg at 0.35 to 0.93 of foot length",
            });
        }
    }
    Ok(())
}

fn mirrored(mut skin: Skin) -> Skin {
    let flip = |q: [f64; 3]| [q[0], q[1], -q[2]];
    skin.mesh = skin.mesh.map(flip).turned_inside_out();
    skin.marks.points.values_mut().for_each(|q| *q = flip(*q));
    skin.marks.frame.origin = flip(skin.marks.frame.origin);
    skin.marks.frame.forward = flip(skin.marks.frame.forward);
    skin.marks.frame.medial = flip(skin.marks.frame.medial);
    skin.webs.iter_mut().for_each(|q| *q = flip(*q));
    skin
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flesh_of(build: &Build, loaded: bool) -> (Flesh, f64) {
        let foot = FootSpec::adult();
        let standing = Standing::new(&foot, crate::bones::plan_bones());
        (Flesh::new(&standing, build, loaded), standing.scale)
    }

    #[test]
    fn asking_only_the_bodies_nearby_changes_nothing() {
        let (flesh, _) = flesh_of(&Build::of_adult(5, terms::Sex::Male, 255.0), true);
        let (low, high) = flesh.bounds(115.0);
        let mut dice = build::Dice::new(1);
        let mut worst = 0.0f64;
        let mut asked = 0;
        while asked < 4000 {
            let q = P::from_fn(|k, _| dice.between(low[k], high[k]));
            let d = flesh.at(q);
            if d.abs() > 5.0 {
                continue;
            }
            let near = flesh.near(q, d, 2.6);
            let there = q + P::from_fn(|_, _| dice.between(-1.5, 1.5));
            worst = worst.max((flesh.at_near(there, &near) - flesh.at(there)).abs());
            asked += 1;
        }
        // A hundredth of a millimetre cannot be seen on a grid of one.
        assert!(worst < 0.01, "{worst} mm");
    }

    #[test]
    fn the_stretch_forwards_and_backwards_is_one() {
        for seed in 1..30 {
            let build = Build::of_adult(seed, terms::Sex::Female, 240.0);
            let warp = warp::Warp::new(&build, P::new(1.0, 0.98, 1.03), seed % 2 == 0);
            let mut dice = build::Dice::new(seed);
            for _ in 0..200 {
                let q = P::new(
                    dice.between(0.0, 270.0),
                    dice.between(0.0, 120.0),
                    dice.between(-50.0, 50.0),
                );
                let there_and_back = warp.back(warp.onto(q));
                assert!((there_and_back - q).norm() < 2e-3, "{q} {there_and_back}");
            }
        }
    }

    #[test]
    fn the_same_spec_is_sculpted_into_the_same_bytes() {
        let spec = SkinSpec {
            build: Build::of_adult(9, terms::Sex::Male, 255.0),
            ..SkinSpec::of(FootSpec::adult(), Load::Hanging)
        };
        let (one, two) = (
            sculpted(&spec).expect("skin"),
            sculpted(&spec).expect("skin"),
        );
        assert!(one.mesh == two.mesh);
        assert_eq!(one.marks, two.marks);
        assert_eq!(one.sizes, two.sizes);
    }
}
