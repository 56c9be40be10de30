//! The plain foot's bones: sound surfaces, right sizes, joints that fit.

use phantom::{Age, Bone, Foot, FootSpec, Pose, build};
use std::collections::BTreeMap;
use std::sync::OnceLock;
use terms::Side;

/// The plan's own size, in which the tables below are written.
const LENGTH_MM: f64 = 270.0;

fn plain() -> &'static Foot {
    static FOOT: OnceLock<Foot> = OnceLock::new();
    FOOT.get_or_init(|| {
        build(&FootSpec {
            foot_length_mm: LENGTH_MM,
            ..FootSpec::adult()
        })
        .expect("the plain foot")
    })
}

fn bone(name: &str) -> &'static Bone {
    plain()
        .bone(name)
        .unwrap_or_else(|| panic!("no bone called {name}"))
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2) + (a[2] - b[2]).powi(2)).sqrt()
}

/// Distance of each vertex of `a` to the nearest vertex of `b`, where that is less than `reach`.
fn near_distances(a: &Bone, b: &Bone, reach: f64) -> Vec<f64> {
    let cell = |q: [f64; 3]| q.map(|x| (x / reach).floor() as i64);
    let mut cells: BTreeMap<[i64; 3], Vec<[f64; 3]>> = BTreeMap::new();
    for &v in &b.outer.vertices {
        cells.entry(cell(v)).or_default().push(v);
    }
    let nearest = |q: [f64; 3]| {
        let c = cell(q);
        let mut best = f64::INFINITY;
        for i in -1..=1 {
            for j in -1..=1 {
                for k in -1..=1 {
                    for &v in cells
                        .get(&[c[0] + i, c[1] + j, c[2] + k])
                        .into_iter()
                        .flatten()
                    {
                        best = best.min(distance(q, v));
                    }
                }
            }
        }
        best
    };
    a.outer
        .vertices
        .iter()
        .map(|&v| nearest(v))
        .filter(|&d| d < reach)
        .collect()
}

#[test]
fn every_bone_of_an_adult_foot_is_there_once() {
    let names: Vec<&str> = plain().bones.iter().map(|b| b.name).collect();
    assert_eq!(
        names.len(),
        30,
        "7 tarsals, 5 metatarsals, 2 sesamoids, 14 phalanges, tibia, fibula: {names:?}"
    );
    let mut unique = names.clone();
    unique.sort_unstable();
    unique.dedup();
    assert_eq!(unique.len(), names.len());
}

#[test]
fn every_surface_is_closed_two_manifold_and_outward() {
    for b in &plain().bones {
        assert_eq!(mesh::check::closed(&b.outer), None, "outside of {}", b.name);
        assert_eq!(
            mesh::check::closed(&b.inner),
            None,
            "inside of the cortex of {}",
            b.name
        );
        assert!(
            b.inner.volume() < b.outer.volume(),
            "{}: the inside must be the smaller",
            b.name
        );
    }
    assert_eq!(mesh::check::closed(&plain().skin), None, "skin");
}

#[test]
fn the_skin_covers_every_bone_and_stands_on_the_floor() {
    let (low, high) = plain().skin.bounds().expect("skin");
    assert!(
        low[1].abs() < 0.6,
        "the sole's lowest point lies at {} mm",
        low[1]
    );
    for b in plain()
        .bones
        .iter()
        .filter(|b| b.name != "tibia" && b.name != "fibula")
    {
        let (l, h) = b.outer.bounds().expect("bone");
        assert!(
            (0..3).all(|k| l[k] > low[k] + 1.0 && h[k] < high[k] - 1.0),
            "{} sticks out",
            b.name
        );
    }
    // Heel to toe is what was asked for. The calf reaches further back than the heel, so only the foot counts.
    let foot: Vec<f64> = plain()
        .skin
        .vertices
        .iter()
        .filter(|v| v[1] < 50.0)
        .map(|v| v[0])
        .collect();
    let length = foot.iter().copied().fold(f64::MIN, f64::max)
        - foot.iter().copied().fold(f64::MAX, f64::min);
    assert!(
        (length - LENGTH_MM).abs() < 5.0,
        "{length:.1} mm from heel to toe instead of {LENGTH_MM}"
    );
}

#[test]
fn neighbours_lie_a_joint_space_apart_over_the_whole_facet() {
    let joints = [
        ("tibia", "talus"),
        ("fibula", "talus"),
        ("talus", "calcaneus"),
        ("talus", "navicular"),
        ("calcaneus", "cuboid"),
        ("navicular", "medial cuneiform"),
        ("navicular", "intermediate cuneiform"),
        ("navicular", "lateral cuneiform"),
        ("medial cuneiform", "metatarsal 1"),
        ("intermediate cuneiform", "metatarsal 2"),
        ("lateral cuneiform", "metatarsal 3"),
        ("cuboid", "metatarsal 4"),
        ("cuboid", "metatarsal 5"),
        ("cuboid", "lateral cuneiform"),
        ("metatarsal 1", "toe 1 proximal"),
        ("metatarsal 2", "toe 2 proximal"),
        ("metatarsal 5", "toe 5 proximal"),
        ("toe 1 proximal", "toe 1 distal"),
        ("metatarsal 1", "medial sesamoid"),
        ("metatarsal 1", "lateral sesamoid"),
    ];
    for (a, b) in joints {
        let gaps = near_distances(bone(a), bone(b), 4.5);
        let least = gaps.iter().copied().fold(f64::INFINITY, f64::min);
        // A facet of 25 vertices is about 20 mm², the smallest joint here (sesamoid).
        assert!(
            gaps.len() >= 25,
            "{a} – {b}: only {} vertices face each other",
            gaps.len()
        );
        assert!(
            (1.4..=3.4).contains(&least),
            "{a} – {b}: narrowest at {least:.2} mm"
        );
    }
}

#[test]
fn no_two_bones_of_the_plain_foot_touch() {
    let bones = &plain().bones;
    for (i, a) in bones.iter().enumerate() {
        for b in &bones[i + 1..] {
            let least = near_distances(a, b, 1.0)
                .into_iter()
                .fold(f64::INFINITY, f64::min);
            assert!(
                least.is_infinite(),
                "{} and {} are {least:.2} mm apart",
                a.name,
                b.name
            );
        }
    }
}

/// Greatest distance between two points of a bone, mm, measured on the separable foot bones in the PyPI
/// package `myo-sim` 0.2.4 (Apache-2.0), one adult whose heel-to-first-metatarsal-head length (193.6 mm)
/// is that of a foot 270 mm long here. Left out: its talus and cuneiforms (coarse, too small: its joint
/// gaps are 5 to 8 mm), its cuboid (same), and the lesser toes (scaled copies of one shape).
const REFERENCE_LENGTHS_MM: [(&str, f64); 9] = [
    ("metatarsal 1", 71.0),
    ("metatarsal 2", 84.5),
    ("metatarsal 3", 74.9),
    ("metatarsal 4", 75.3),
    ("metatarsal 5", 78.0),
    ("calcaneus", 79.2),
    ("navicular", 36.2),
    ("toe 1 proximal", 42.4),
    ("toe 1 distal", 27.1),
];

#[test]
fn bone_lengths_are_those_of_reference_bones() {
    for (name, reference) in REFERENCE_LENGTHS_MM {
        let v = &bone(name).outer.vertices;
        // Every eighth vertex: 0.9 mm grid, so the loss is well below 1 %.
        let some: Vec<_> = v.iter().step_by(8).collect();
        let length = some
            .iter()
            .flat_map(|a| some.iter().map(move |b| distance(**a, **b)))
            .fold(0.0, f64::max);
        // 15 %: bone lengths of adults with the same foot length differ by about 5 % (one SD), and the
        // reference is one person; three SD.
        assert!(
            (length / reference - 1.0).abs() < 0.15,
            "{name}: {length:.1} mm, reference {reference} mm"
        );
    }
}

#[test]
fn the_calcaneus_has_the_volume_of_the_reference_bone() {
    // Same source: 61.1 cm³. 15 % of length would be 50 % of volume; 20 % asked.
    let volume = bone("calcaneus").outer.volume();
    assert!((volume / 61_143.0 - 1.0).abs() < 0.2, "{volume:.0} mm³");
}

#[test]
fn heel_to_ball_and_malleolus_height_are_those_of_anthropometry() {
    // ANSUR II 2012, men: ball length 0.46 + 0.7393 L (SEE 4.0), lateral malleolus height 33.9 + 0.1439 L
    // (SEE 5.3), bimalleolar breadth 23.8 + 0.1881 L (SEE 3.3). Skin lies outside bone: the malleolus is
    // measured at its most prominent point, 5 to 12 mm above its bony tip; 3.5 mm of skin over
    // each malleolus is assumed. Two SEE.
    let heel = plain()
        .skin
        .vertices
        .iter()
        .filter(|v| v[1] < 50.0)
        .map(|v| v[0])
        .fold(f64::MAX, f64::min);
    let head = &bone("metatarsal 1").outer;
    let medial = head
        .vertices
        .iter()
        .min_by(|a, b| a[2].total_cmp(&b[2]))
        .expect("head");
    let ball = medial[0] - heel;
    assert!(
        (ball - (0.46 + 0.7393 * LENGTH_MM)).abs() < 8.0,
        "ball length {ball:.1} mm"
    );
    let (fibula_low, fibula_high) = bone("fibula").outer.bounds().expect("fibula");
    let (tibia_low, _) = bone("tibia").outer.bounds().expect("tibia");
    let malleolus = fibula_low[1] + 8.5;
    assert!(
        (malleolus - (33.9 + 0.1439 * LENGTH_MM)).abs() < 10.6,
        "malleolus {malleolus:.1} mm"
    );
    let breadth = fibula_high[2] - tibia_low[2] + 7.0;
    assert!(
        (breadth - (23.8 + 0.1881 * LENGTH_MM)).abs() < 6.6,
        "breadth {breadth:.1} mm"
    );
}

#[test]
fn a_left_foot_is_the_mirror_of_a_right_one() {
    let left = build(&FootSpec {
        side: Side::Left,
        foot_length_mm: LENGTH_MM,
        ..FootSpec::adult()
    })
    .expect("left foot");
    let (a, b) = (bone("talus"), left.bone("talus").expect("talus"));
    assert_eq!(mesh::check::closed(&b.outer), None);
    assert!(
        a.outer
            .vertices
            .iter()
            .zip(&b.outer.vertices)
            .all(|(a, b)| a[2] == -b[2] && a[0] == b[0])
    );
}

#[test]
fn the_same_seed_gives_the_same_foot_and_another_a_different_one() {
    let of = |seed| {
        build(&FootSpec {
            seed,
            ..FootSpec::adult()
        })
        .expect("foot")
    };
    let (one, again, other) = (of(7), of(7), of(8));
    assert_eq!(one.bones, again.bones);
    assert_eq!(one.landmarks, again.landmarks);
    assert_ne!(one.bones[0].outer, other.bones[0].outer);
}

#[test]
fn what_cannot_be_built_is_refused_with_a_sentence() {
    let tiny = build(&FootSpec {
        foot_length_mm: 12.0,
        ..FootSpec::adult()
    })
    .expect_err("too short");
    assert!(tiny.to_string().contains("found 12"), "{tiny}");
    assert!(
        build(&FootSpec {
            foot_length_mm: f64::NAN,
            ..FootSpec::adult()
        })
        .is_err()
    );
    let unborn = FootSpec {
        age: Age::Child { years: -1.0 },
        ..FootSpec::adult()
    };
    assert!(build(&unborn).is_err());
    let bent = Pose {
        talar_declination_deg: f64::INFINITY,
        ..Pose::neutral()
    };
    assert!(
        build(&FootSpec {
            pose: bent,
            ..FootSpec::adult()
        })
        .is_err()
    );
}
