//! How do bones from files come to stand in the foot's frame?
//!
//! Files have axes of their own. Forward and up are told, or found: the file's axis nearest to the way from
//! the heel bone to the metatarsals, and the one nearest to the way up to talus and tibia. Only whole axes
//! are taken, never a slant, so that a foot scanned standing keeps its stance. The side is told or found:
//! the fifth metatarsal lies on the outer side of the first. What is told and what the bones show must agree.

use mesh::Mesh;
use nalgebra::Vector3;
use std::fmt;
use std::str::FromStr;
use terms::Side;

type P = Vector3<f64>;

/// One of a file's axes, one way or the other: "x", "-z".
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Axis {
    /// 0 to 2 for x to z.
    index: usize,
    backwards: bool,
}

impl Axis {
    fn way(self) -> P {
        let mut way = P::zeros();
        way[self.index] = if self.backwards { -1.0 } else { 1.0 };
        way
    }

    /// The axis nearest to a direction, but for one that is taken already.
    fn nearest(way: P, but: Option<Axis>) -> Option<Axis> {
        let index = (0..3)
            .filter(|k| but.is_none_or(|a| a.index != *k))
            .max_by(|a, b| way[*a].abs().total_cmp(&way[*b].abs()))?;
        (way[index].abs() > 0.0).then_some(Axis {
            index,
            backwards: way[index] < 0.0,
        })
    }
}

impl fmt::Display for Axis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.backwards { "-" } else { "" };
        write!(f, "{sign}{}", ["x", "y", "z"][self.index])
    }
}

impl FromStr for Axis {
    type Err = NotStanding;

    fn from_str(word: &str) -> Result<Axis, NotStanding> {
        let name = word.trim_start_matches(['+', '-']);
        let index = ["x", "y", "z"].iter().position(|n| *n == name);
        match index {
            Some(index) if word.len() - name.len() <= 1 => Ok(Axis {
                index,
                backwards: word.starts_with('-'),
            }),
            _ => Err(NotStanding::NoAxis(word.chars().take(40).collect())),
        }
    }
}

/// Which of the file's axes run forward and up; the third follows, as files are right-handed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Axes {
    pub forward: Axis,
    pub up: Axis,
}

impl Axes {
    /// Those of the foot's own frame: x forward, y up, z to the person's right.
    pub const WORLD: Axes = Axes {
        forward: Axis {
            index: 0,
            backwards: false,
        },
        up: Axis {
            index: 1,
            backwards: false,
        },
    };
}

/// What the giver of the files says about them; the rest is found.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Told {
    pub axes: Option<Axes>,
    pub side: Option<Side>,
    /// Height of the floor in the file's frame, mm; without it the floor is laid under the lowest bone.
    pub floor_mm: Option<f64>,
}

/// How the bones were stood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stood {
    pub axes: Axes,
    pub side: Side,
    /// Height of the floor in the file's frame, mm.
    pub floor_mm: f64,
}

/// Bones that could not be stood.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotStanding {
    #[error("found {0:?} as an axis; expected x, y or z, with - before it for the other way")]
    NoAxis(String),
    #[error("found the axis {0} for both forward and up; expected two different ones")]
    OneAxis(Axis),
    #[error(
        "found no bones that show which way is {0}; say it, or name calcaneus, talus and metatarsals"
    )]
    CannotTell(&'static str),
    #[error("found {found}; expected {expected}: say other axes, or check the names of the bones")]
    Contradiction {
        found: &'static str,
        expected: &'static str,
    },
    #[error(
        "found the bones of a {} foot; expected a {} one: say the other side, or check axes and names",
        .shown.word(), .told.word()
    )]
    OtherSide { shown: Side, told: Side },
    #[error("found no bone of the foot with a place; give at least one")]
    NoBones,
}

/// What the lowest bone of a standing foot keeps below it.
///
/// # Sources
/// Common practice: the pad under the ball, under load. The phantom's thinnest, under a toe, is 6 mm.
pub const FLESH_BELOW_MM: f64 = 9.0;

/// Pairs of bones, the second further along than the first.
const FORWARD: [(&str, &str); 7] = [
    ("calcaneus", "metatarsal 2"),
    ("calcaneus", "metatarsal 3"),
    ("calcaneus", "metatarsal 1"),
    ("calcaneus", "metatarsal 5"),
    ("talus", "metatarsal 2"),
    ("talus", "navicular"),
    ("calcaneus", "cuboid"),
];
const UP: [(&str, &str); 3] = [
    ("talus", "tibia"),
    ("calcaneus", "tibia"),
    ("calcaneus", "talus"),
];
const OUT: [(&str, &str); 5] = [
    ("metatarsal 1", "metatarsal 5"),
    ("metatarsal 1", "metatarsal 4"),
    ("medial cuneiform", "cuboid"),
    ("navicular", "cuboid"),
    ("tibia", "fibula"),
];

/// Turns and shifts the bones from their file's frame into the foot's: x forward, y up, z to the person's
/// right, floor at 0.
///
/// # Errors
/// Axes that cannot be told from the bones, or that contradict them; another side than told.
pub fn stand(bones: &mut [(String, Mesh)], told: &Told) -> Result<Stood, NotStanding> {
    let axes = match told.axes {
        Some(axes) => axes,
        None => found(bones)?,
    };
    if axes.forward.index == axes.up.index {
        return Err(NotStanding::OneAxis(axes.up));
    }
    let (forward, up) = (axes.forward.way(), axes.up.way());
    let right = forward.cross(&up);
    let against = |list, way: &P| way_of(bones, list).is_some_and(|w| w.dot(way) < 0.0);
    if against(&FORWARD, &forward) {
        return Err(NotStanding::Contradiction {
            found: "the forefoot behind the hindfoot",
            expected: "it in front",
        });
    }
    if against(&UP, &up) {
        return Err(NotStanding::Contradiction {
            found: "the talus or the tibia below its neighbour",
            expected: "it above",
        });
    }
    let shown = way_of(bones, &OUT).map(|w| {
        if w.dot(&right) >= 0.0 {
            Side::Right
        } else {
            Side::Left
        }
    });
    let side = match (told.side, shown) {
        (Some(told), Some(shown)) if told != shown => {
            return Err(NotStanding::OtherSide { shown, told });
        }
        (told, shown) => told
            .or(shown)
            .ok_or(NotStanding::CannotTell("the outer side"))?,
    };
    let lowest = bones
        .iter()
        .filter(|(name, _)| !matches!(name.as_str(), "tibia" | "fibula"))
        .flat_map(|(_, mesh)| &mesh.vertices)
        .map(|v| P::from(*v).dot(&up))
        .filter(|h| h.is_finite())
        .reduce(f64::min)
        .ok_or(NotStanding::NoBones)?;
    let floor_mm = told.floor_mm.unwrap_or(lowest - FLESH_BELOW_MM);
    for (_, mesh) in bones {
        *mesh = mesh.map(|v| {
            let v = P::from(v);
            [v.dot(&forward), v.dot(&up) - floor_mm, v.dot(&right)]
        });
    }
    Ok(Stood {
        axes,
        side,
        floor_mm,
    })
}

fn found(bones: &[(String, Mesh)]) -> Result<Axes, NotStanding> {
    let forward = way_of(bones, &FORWARD)
        .and_then(|w| Axis::nearest(w, None))
        .ok_or(NotStanding::CannotTell("forward"))?;
    let up = way_of(bones, &UP)
        .and_then(|w| Axis::nearest(w, Some(forward)))
        .ok_or(NotStanding::CannotTell("up"))?;
    Ok(Axes { forward, up })
}

/// From the middle of the first to the middle of the second bone of the first pair that is there.
fn way_of(bones: &[(String, Mesh)], pairs: &[(&str, &str)]) -> Option<P> {
    let middle = |name: &str| {
        let (_, mesh) = bones.iter().find(|(n, _)| n == name)?;
        let (low, high) = mesh.bounds()?;
        let middle = (P::from(low) + P::from(high)) / 2.0;
        middle.iter().all(|c| c.is_finite()).then_some(middle)
    };
    pairs
        .iter()
        .find_map(|(from, to)| Some(middle(to)? - middle(from)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::shapes::ball;

    /// Balls where the bones of a right foot lie, in the foot's own frame with the lowest point at `low`.
    fn balls(low: f64) -> Vec<(String, Mesh)> {
        [
            ("calcaneus", [50.0, 25.0, 0.0]),
            ("talus", [68.0, 60.0, -4.0]),
            ("metatarsal 1", [170.0, 20.0, -28.0]),
            ("metatarsal 5", [150.0, 10.0, 30.0]),
            ("tibia", [62.0, 150.0, -4.0]),
        ]
        .map(|(name, [x, y, z])| (name.to_owned(), ball([x, y + low, z], 10.0, 12)))
        .into()
    }

    fn turned(to: impl Fn([f64; 3]) -> [f64; 3]) -> Vec<(String, Mesh)> {
        let mut bones = balls(0.0);
        for (_, mesh) in &mut bones {
            *mesh = mesh.map(&to);
        }
        bones
    }

    fn close(a: &[(String, Mesh)], b: &[(String, Mesh)]) -> bool {
        let pairs = a
            .iter()
            .zip(b)
            .flat_map(|((_, a), (_, b))| a.vertices.iter().zip(&b.vertices));
        pairs
            .into_iter()
            .all(|(a, b)| (P::from(*a) - P::from(*b)).norm() < 1e-9)
    }

    #[test]
    fn a_foot_in_any_axes_is_found_and_stood_the_same() {
        let stood = balls(FLESH_BELOW_MM);
        // Scanners' axes: z up and toes towards -y; z up and toes towards x; x up and toes towards -z.
        let files = [
            (turned(|[x, y, z]| [-z, -x, y]), "-y", "z"),
            (turned(|[x, y, z]| [x, -z, y]), "x", "z"),
            (turned(|[x, y, z]| [y, -z, -x]), "-z", "x"),
        ];
        for (mut bones, forward, up) in files {
            let how = stand(&mut bones, &Told::default()).expect("a foot that stands");
            assert_eq!(
                (how.axes.forward.to_string(), how.axes.up.to_string()),
                (forward.into(), up.into())
            );
            assert_eq!(how.side, Side::Right);
            assert!((how.floor_mm + FLESH_BELOW_MM).abs() < 1e-9);
            assert!(close(&bones, &stood), "{forward} {up}");
        }
    }

    #[test]
    fn a_mirrored_foot_is_a_left_one_and_refused_as_a_right_one() {
        let mut left = turned(|[x, y, z]| [x, y, -z]);
        assert_eq!(
            stand(&mut left.clone(), &Told::default()).map(|s| s.side),
            Ok(Side::Left)
        );
        let right = Told {
            side: Some(Side::Right),
            ..Told::default()
        };
        let refused = stand(&mut left, &right)
            .expect_err("a left foot")
            .to_string();
        assert!(refused.contains("bones of a left foot"), "{refused}");
    }

    #[test]
    fn the_flesh_under_the_lowest_bone_is_about_the_phantoms_own() {
        let foot = crate::build(&crate::FootSpec::adult()).expect("the plain foot");
        let bones = foot.bones.iter().filter_map(|b| b.outer.bounds());
        let lowest = bones.map(|(low, _)| low[1]).fold(f64::INFINITY, f64::min);
        // Its thinnest lies under a toe; feet differ by a few millimetres.
        assert!((lowest - FLESH_BELOW_MM).abs() < 5.0, "{lowest:.1} mm");
    }

    #[test]
    fn told_axes_and_floor_are_kept_and_held_against_the_bones() {
        let mut bones = balls(0.0);
        let told = Told {
            axes: Some(Axes::WORLD),
            floor_mm: Some(-20.0),
            ..Told::default()
        };
        stand(&mut bones, &told).expect("a foot that stands");
        assert!(close(&bones, &balls(20.0)));
        let axes = |forward: &str, up: &str| Told {
            axes: Some(Axes {
                forward: forward.parse().unwrap(),
                up: up.parse().unwrap(),
            }),
            ..Told::default()
        };
        let refused = |told: &Told| {
            stand(&mut balls(0.0), told)
                .expect_err("wrong axes")
                .to_string()
        };
        assert!(refused(&axes("-x", "y")).contains("behind the hindfoot"));
        assert!(refused(&axes("x", "-y")).contains("below its neighbour"));
        assert!(refused(&axes("x", "-x")).contains("both forward and up"));
    }

    #[test]
    fn bones_that_show_nothing_are_refused_with_what_is_missing() {
        let stand = |bones: &[(&str, Mesh)], told: &Told| {
            let mut bones: Vec<_> = bones
                .iter()
                .map(|(n, m)| ((*n).to_owned(), m.clone()))
                .collect();
            super::stand(&mut bones, told)
                .expect_err("nothing shown")
                .to_string()
        };
        let one = ball([0.0; 3], 10.0, 12);
        assert!(
            stand(&[("talus", one.clone())], &Told::default()).contains("which way is forward")
        );
        let world = Told {
            axes: Some(Axes::WORLD),
            ..Told::default()
        };
        assert!(stand(&[("talus", one.clone())], &world).contains("the outer side"));
        let right = Told {
            side: Some(Side::Right),
            ..world
        };
        assert!(stand(&[("tibia", one)], &right).contains("no bone of the foot"));
        assert!(stand(&[("talus", Mesh::default())], &right).contains("no bone of the foot"));
        assert!(
            "w".parse::<Axis>()
                .expect_err("no axis")
                .to_string()
                .contains("\"w\"")
        );
        assert!("--x".parse::<Axis>().is_err() && "".parse::<Axis>().is_err());
    }
}
