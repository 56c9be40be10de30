//! Which solids does a foot, or a set of bones from files, put into the beam?

use super::Exposure;
use super::NoFilm;
use crate::foot::Foot;
use crate::meshfile::{BoneRecipe, MeshFileError, bone_from};
use crate::render::offset::DistanceGrid;
use crate::render::shapes::{ball, cuboid, rod_along_x};
use crate::render::{Body, Camera, Filler, Scene};
use mesh::Mesh;
use std::collections::BTreeMap;
use terms::{LandmarkKey, Side, View};

/// A bone from a mesh file.
#[derive(Debug, Clone)]
pub struct MeshBone {
    /// One of [`crate::meshfile::BONE_NAMES`] where it is to carry points.
    pub name: String,
    pub outer: Mesh,
    /// The inside of its cortex; without it the bone is drawn as spongy all through.
    pub inner: Option<Mesh>,
    /// Beside an adult tarsal bone (1).
    pub density: f64,
}

/// A foot of bones from mesh files, standing in the world frame (see [`crate::meshfile::stand`]).
#[derive(Debug, Clone)]
pub struct MeshFoot {
    pub side: Side,
    pub bones: Vec<MeshBone>,
    pub skin: Option<Mesh>,
}

impl MeshBone {
    /// A bone with its cortex from a closed surface, by the usual recipe.
    ///
    /// # Errors
    /// As [`bone_from`].
    pub fn from_surface(name: String, surface: &Mesh) -> Result<MeshBone, MeshFileError> {
        let (outer, inner) = bone_from(surface, BoneRecipe::for_bone(&name))?;
        Ok(MeshBone {
            name,
            outer,
            inner,
            density: 1.0,
        })
    }
}

impl MeshFoot {
    /// The points of every view, by rule on the named bones; one whose bone is not there is absent.
    pub fn landmarks(&self) -> BTreeMap<View, BTreeMap<LandmarkKey, [f64; 3]>> {
        let bones: Vec<(&str, &Mesh)> = self
            .bones
            .iter()
            .map(|b| (b.name.as_str(), &b.outer))
            .collect();
        crate::meshfile::points::find(self.side, &bones)
    }

    /// From the back of the heel to the tip of the toes, the usual flesh included; for choosing a detector.
    ///
    /// # Sources
    /// Common practice: 12 mm of flesh before and behind together.
    fn length_mm(&self) -> Option<f64> {
        let below = self.bones.iter().filter(|b| is_below_ankle(&b.name));
        let (low, high) = below
            .filter_map(|b| b.outer.bounds())
            .map(|(low, high)| (low[0], high[0]))
            .reduce(|(al, ah), (bl, bh)| (al.min(bl), ah.max(bh)))?;
        Some(high - low + 12.0)
    }

    /// The usual way to take this view, on a detector that holds a foot of this length.
    pub fn usual_exposure(&self, view: View) -> Exposure {
        match self.length_mm() {
            Some(length) => Exposure::usual_for_length(view, length),
            None => Exposure::usual(view),
        }
    }

    /// Can every mesh be drawn?
    pub(super) fn check(&self) -> Result<(), NoFilm> {
        let bones = self.bones.iter().flat_map(|b| {
            let surfaces = [Some(&b.outer), b.inner.as_ref()].into_iter().flatten();
            surfaces.map(|mesh| (b.name.as_str(), mesh))
        });
        for (name, mesh) in bones.chain(self.skin.iter().map(|skin| ("skin", skin))) {
            let fault = if mesh.triangles.is_empty() {
                "no triangle"
            } else if mesh.vertices.iter().flatten().any(|c| !c.is_finite()) {
                "a coordinate that is no finite number"
            } else if mesh
                .triangles
                .iter()
                .flatten()
                .any(|i| *i as usize >= mesh.vertices.len())
            {
                "a corner that is no vertex"
            } else {
                continue;
            };
            return Err(NoFilm::BadBone {
                bone: name.to_owned(),
                fault,
            });
        }
        Ok(())
    }
}

/// A scene with what placing the film needs to know about it.
pub(super) struct Subject<'a> {
    pub scene: Scene<'a>,
    /// Which of the scene's bones belong to the foot below the ankle.
    below_ankle: Vec<bool>,
    pub talus_middle: Option<[f64; 3]>,
}

impl Subject<'_> {
    /// The bones below the ankle.
    pub fn foot_bounds(&self) -> Option<([f64; 3], [f64; 3])> {
        let wanted = self
            .below_ankle
            .iter()
            .zip(&self.scene.bodies)
            .filter(|(below, _)| **below);
        wanted
            .filter_map(|(_, body)| body.outer.bounds())
            .reduce(|(al, ah), (bl, bh)| {
                (
                    std::array::from_fn(|k| al[k].min(bl[k])),
                    std::array::from_fn(|k| ah[k].max(bh[k])),
                )
            })
    }

    /// The bones below the ankle with the flesh around them, as far as it lies near the floor.
    pub fn flesh_bounds(&self) -> Option<([f64; 3], [f64; 3])> {
        let (low, high) = self.foot_bounds()?;
        let near_floor = self
            .scene
            .skin
            .into_iter()
            .flat_map(|s| &s.vertices)
            .filter(|v| v[1] < 45.0);
        Some(near_floor.fold((low, high), |(l, h), v| {
            (
                std::array::from_fn(|k| l[k].min(v[k])),
                std::array::from_fn(|k| h[k].max(v[k])),
            )
        }))
    }

    /// How far up the film the skin (or, without one, bone) near the floor reaches.
    pub fn highest_near_floor(&self, camera: &Camera) -> Option<f64> {
        let bones = self.scene.bodies.iter().map(|body| body.outer);
        let meshes: Vec<&Mesh> = match self.scene.skin {
            Some(skin) => vec![skin],
            None => bones.collect(),
        };
        meshes
            .iter()
            .flat_map(|mesh| &mesh.vertices)
            .filter(|v| v[1] < 45.0)
            .map(|&v| camera.project(v)[1])
            .reduce(f64::min)
    }

    /// How far down the film the upper end of the lower leg reaches; `None` without a lower leg.
    pub fn leg_cut(&self, camera: &Camera) -> Option<f64> {
        let leg = self
            .below_ankle
            .iter()
            .zip(&self.scene.bodies)
            .filter(|(below, _)| !**below);
        let meshes = leg.map(|(_, body)| body.outer).chain(self.scene.skin);
        let mut lowest: Option<f64> = None;
        for mesh in meshes {
            let Some((_, high)) = mesh.bounds() else {
                continue;
            };
            let end = mesh
                .vertices
                .iter()
                .filter(|v| v[1] > high[1] - 4.0)
                .map(|&v| camera.project(v)[1])
                .fold(f64::NEG_INFINITY, f64::max);
            lowest = Some(lowest.map_or(end, |l| l.max(end)));
        }
        lowest.filter(|y| y.is_finite())
    }
}

pub(super) fn of_foot(foot: &Foot) -> Result<Subject<'_>, NoFilm> {
    let bodies = foot
        .bones
        .iter()
        .map(|bone| Body {
            outer: &bone.outer,
            inner: (!bone.inner.triangles.is_empty()).then_some(&bone.inner),
            density: bone.density,
            lines: stress_lines(bone.name),
        })
        .collect();
    let muscle = if foot.skin.triangles.is_empty() {
        None
    } else {
        Some(muscle_within(
            &foot.skin,
            foot.bone("calcaneus").map(|b| &b.outer),
            foot.bone("tibia").map(|b| &b.outer),
        )?)
    };
    let fillers = foot
        .bone("calcaneus")
        .map_or(vec![], |bone| neutral_triangle(&bone.outer));
    Ok(Subject {
        scene: Scene {
            bodies,
            skin: (!foot.skin.triangles.is_empty()).then_some(&foot.skin),
            muscle,
            fillers,
            ..Scene::default()
        },
        below_ankle: foot.bones.iter().map(|b| is_below_ankle(b.name)).collect(),
        talus_middle: foot.bone("talus").and_then(|b| middle(&b.outer)),
    })
}

pub(super) fn of_meshes(foot: &MeshFoot) -> Result<Subject<'_>, NoFilm> {
    let bodies = foot
        .bones
        .iter()
        .map(|bone| Body {
            outer: &bone.outer,
            inner: bone.inner.as_ref(),
            density: bone.density,
            lines: stress_lines(&bone.name),
        })
        .collect();
    let named = |name: &str| foot.bones.iter().find(|b| b.name == name).map(|b| &b.outer);
    let (calcaneus, tibia) = (named("calcaneus"), named("tibia"));
    let muscle = foot
        .skin
        .as_ref()
        .map(|skin| muscle_within(skin, calcaneus, tibia))
        .transpose()?;
    Ok(Subject {
        scene: Scene {
            bodies,
            skin: foot.skin.as_ref(),
            muscle,
            ..Scene::default()
        },
        below_ankle: foot.bones.iter().map(|b| is_below_ankle(&b.name)).collect(),
        talus_middle: foot
            .bones
            .iter()
            .find(|b| b.name == "talus")
            .and_then(|b| middle(&b.outer)),
    })
}

fn middle(mesh: &Mesh) -> Option<[f64; 3]> {
    mesh.bounds()
        .map(|(l, h)| std::array::from_fn(|k| (l[k] + h[k]) / 2.0))
}

fn is_below_ankle(name: &str) -> bool {
    !(name.contains("tibia") || name.contains("fibula"))
}

/// The muscle and tendon within the skin: thin fat under the skin, a thick pad under heel and ball, and
/// the fat before the Achilles tendon where calcaneus and tibia are there to place it.
fn muscle_within(
    skin: &Mesh,
    calcaneus: Option<&Mesh>,
    tibia: Option<&Mesh>,
) -> Result<Mesh, NoFilm> {
    let mut grid = DistanceGrid::of(&[skin], 3.0, 3.0, 1.5)?;
    let triangle = FatTriangle::between(calcaneus, tibia);
    let middle = skin
        .bounds()
        .map_or(0.0, |(low, high)| (low[2] + high[2]) / 2.0);
    grid.change(|at, d| {
        // Fat of 3 mm; below 22 mm above the floor it thickens to a pad of up to 12 mm, thinner to the
        // sides, so that no edge runs straight along the beam.
        let low = (1.0 - (at[1] - 4.0) / 18.0).clamp(0.0, 1.0) as f32;
        let aside = (((at[2] - middle) / 32.0).powi(2)).min(1.0) as f32;
        let muscle = d + 3.0 + (9.0 - 5.0 * aside) * low * low * (3.0 - 2.0 * low);
        match &triangle {
            Some(fat) => muscle.max(-fat.distance(at, d)),
            None => muscle,
        }
    });
    Ok(grid.surface(0.0))
}

/// The fat between Achilles tendon, calcaneus and the deep muscles behind the tibia: dark on a lateral
/// film, and what a swelling of the tendon fills first.
struct FatTriangle {
    calcaneus_top: f64,
    tibia_back: f64,
    middle: f64,
    /// Beside an adult of 255 mm.
    scale: f64,
}

impl FatTriangle {
    fn between(calcaneus: Option<&Mesh>, tibia: Option<&Mesh>) -> Option<FatTriangle> {
        let (low, high) = calcaneus?.bounds()?;
        // An adult calcaneus is some 76 mm long.
        let scale = ((high[0] - low[0]) / 76.0).clamp(0.2, 1.6);
        let back = low[0] + (high[0] - low[0]) / 5.0;
        let calcaneus_top = calcaneus?
            .vertices
            .iter()
            .filter(|v| v[0] < back)
            .map(|v| v[1])
            .fold(f64::NEG_INFINITY, f64::max);
        let tibia_back = tibia?
            .vertices
            .iter()
            .filter(|v| v[1] < calcaneus_top + 90.0 * scale)
            .map(|v| v[0])
            .fold(f64::INFINITY, f64::min);
        let middle = (low[2] + high[2]) / 2.0;
        (calcaneus_top.is_finite() && tibia_back.is_finite()).then_some(FatTriangle {
            calcaneus_top,
            tibia_back,
            middle,
            scale,
        })
    }

    /// Negative inside; `skin` is the distance to the skin, negative within it.
    fn distance(&self, [x, y, z]: [f64; 3], skin: f32) -> f32 {
        let up = y - self.calcaneus_top;
        let aside = (z - self.middle).abs();
        // The tendon keeps 10 mm under the skin; the deep muscles thicken upwards and to the sides.
        let tendon = f64::from(skin) + 10.0 * self.scale;
        let muscles = x - (self.tibia_back - 2.0 * self.scale - 0.36 * up.max(0.0) - 0.35 * aside);
        let floor = 1.0 * self.scale + 0.12 * aside - up;
        rounded_max(
            rounded_max(tendon, muscles, 5.0 * self.scale),
            floor,
            4.0 * self.scale,
        ) as f32
    }
}

/// The larger of two, rounded where they cross within `k`.
fn rounded_max(a: f64, b: f64, k: f64) -> f64 {
    let h = (0.5 + 0.5 * (a - b) / k).clamp(0.0, 1.0);
    b + (a - b) * h + k * h * (1.0 - h)
}

/// The sparse spongy bone below the sinus tarsi, between the calcaneus' bundles: nested balls stretched
/// along the bone, each holding back a little less than what it lies in.
fn neutral_triangle(calcaneus: &Mesh) -> Vec<Filler> {
    let Some((low, high)) = calcaneus.bounds() else {
        return vec![];
    };
    let at = |k: usize, part: f64| low[k] + part * (high[k] - low[k]);
    let centre = [at(0, 0.63), at(1, 0.40), at(2, 0.5)];
    let half = [
        0.17 * (high[0] - low[0]),
        0.20 * (high[1] - low[1]),
        0.22 * (high[2] - low[2]),
    ];
    [1.0, 0.78, 0.56, 0.34]
        .into_iter()
        .map(|part| Filler {
            mesh: ball([0.0; 3], 1.0, 48)
                .map(|v| std::array::from_fn(|k| centre[k] + part * half[k] * v[k])),
            per_mm: -0.0030,
        })
        .collect()
}

/// The platform that the person stands on, with a thin steel wire let into its top. Lateral: the wire
/// runs under the middle of the foot, so that it is the floor at the foot's own scale. From behind and
/// in front it runs across behind the heel. None on the dorsoplantar view, which is taken on the detector.
pub(super) fn platform(view: View, aim: [f64; 3], heel_back: f64) -> Vec<Filler> {
    const WIRE: f64 = 0.35;
    let slab = |low, high, per_mm| Filler {
        mesh: cuboid(low, high),
        per_mm,
    };
    match view {
        View::Lateral => vec![
            slab(
                [aim[0] - 260.0, -60.0, aim[2] - 75.0],
                [aim[0] + 230.0, -0.8, aim[2] + 75.0],
                0.0016,
            ),
            Filler {
                mesh: rod_along_x([aim[0] - 258.0, -WIRE, aim[2]], 486.0, WIRE),
                per_mm: 0.12,
            },
        ],
        View::Dorsoplantar => vec![],
        View::HindfootAlignment | View::AnkleFront => {
            let across = rod_along_x([-240.0, -WIRE, heel_back], 480.0, WIRE);
            // x and z change places, which turns the rod inside out, and back.
            let across = across
                .map(|[x, y, z]| [z, y, x + aim[2]])
                .turned_inside_out();
            vec![
                slab(
                    [heel_back - 25.0, -14.0, aim[2] - 240.0],
                    [heel_back + 300.0, -0.8, aim[2] + 240.0],
                    0.0016,
                ),
                Filler {
                    mesh: across,
                    per_mm: 0.12,
                },
            ]
        }
    }
}

/// The main directions of a bone's trabeculae (x forward, y up).
///
/// # Sources
/// Common practice: calcaneal bundles run from the posterior facet back and down and arch over the
/// sole from the tuberosity; the leg's and the long bones' run lengthways.
fn stress_lines(name: &str) -> Vec<[f64; 3]> {
    if name.contains("calcaneus") {
        vec![[-0.62, -0.78, 0.0], [0.93, 0.36, 0.0]]
    } else if name.contains("talus") {
        vec![[0.45, -0.89, 0.0], [0.94, -0.34, 0.0]]
    } else if name.contains("tibia") || name.contains("fibula") {
        vec![[0.0, 1.0, 0.0]]
    } else if name.contains("metatarsal") || name.contains("phalanx") {
        vec![[0.95, -0.31, 0.0]]
    } else {
        vec![[1.0, -0.2, 0.0], [0.1, 1.0, 0.1]]
    }
}
