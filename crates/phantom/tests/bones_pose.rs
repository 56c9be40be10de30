//! Standing: every landmark on its bone, true values that follow the pose, children.

use phantom::truth::{self, Truth};
use phantom::{Age, Foot, FootSpec, Pose, build, child};
use terms::{Joint, LandmarkKey, Sex, Side, View};

fn foot(pose: Pose) -> Foot {
    build(&FootSpec {
        pose,
        ..FootSpec::adult()
    })
    .expect("foot")
}

fn value(t: &Truth, key: &str) -> f64 {
    t.value(key)
        .unwrap_or_else(|| panic!("no true value for {key}"))
}

const KEYS: [(View, &[&str]); 4] = [
    (
        View::Lateral,
        &[
            "floor_back",
            "floor_front",
            "calc_plantar_tuber",
            "calc_plantar_front",
            "calc_back",
            "talus_dome_top",
            "talus_head_top",
            "talus_back_low",
            "talus_head_low",
            "nav_low",
            "cuneiform1_low",
            "cuboid_low",
            "calc_cuboid_top",
            "mt1_base_top",
            "mt1_base_low",
            "mt1_head_centre",
            "mt1_head_front",
            "mt5_base_low",
            "mt5_head_low",
            "hallux_tip",
        ],
    ),
    (
        View::Dorsoplantar,
        &[
            "dp_talus_head_med",
            "dp_talus_head_lat",
            "dp_talus_neck_med",
            "dp_talus_neck_lat",
            "dp_nav_med",
            "dp_nav_lat",
            "dp_calc_back",
            "dp_calc_front_med",
            "dp_calc_front_lat",
            "dp_calc_lat_back",
            "dp_cuboid_lat_back",
            "dp_cuboid_lat_front",
            "dp_cun1_front_med",
            "dp_mt1_base_med",
            "dp_mt1_base_lat",
            "dp_mt1_head_centre",
            "dp_mt2_base_med",
            "dp_mt2_base_lat",
            "dp_mt2_head_centre",
            "dp_mt5_head_centre",
        ],
    ),
    (
        View::HindfootAlignment,
        &[
            "hf_tibia_high_med",
            "hf_tibia_high_lat",
            "hf_tibia_low_med",
            "hf_tibia_low_lat",
            "hf_calc_low",
            "hf_calc_upper_med",
            "hf_calc_upper_lat",
            "hf_calc_lower_med",
            "hf_calc_lower_lat",
            "hf_lat_mall",
        ],
    ),
    (
        View::AnkleFront,
        &[
            "an_tibia_high_med",
            "an_tibia_high_lat",
            "an_tibia_low_med",
            "an_tibia_low_lat",
            "an_plafond_med",
            "an_plafond_lat",
            "an_dome_med",
            "an_dome_lat",
            "an_lat_mall",
        ],
    ),
];

#[test]
fn every_landmark_of_every_view_exists_on_an_adult() {
    for pose in [Pose::neutral(), Pose::arch_collapse(1.0)] {
        let foot = foot(pose);
        for (view, keys) in KEYS {
            for key in keys {
                let k = LandmarkKey::new(*key).expect("key");
                assert!(
                    foot.landmarks[&view].contains_key(&k),
                    "{} has no {key}",
                    view.words()
                );
            }
            assert_eq!(foot.landmarks[&view].len(), keys.len(), "{}", view.words());
        }
    }
}

/// Points that lie within a bone or on the floor, and so not on a surface.
const WITHIN: [&str; 7] = [
    "floor_back",
    "floor_front",
    "mt1_head_centre",
    "dp_calc_back",
    "dp_mt1_head_centre",
    "dp_mt2_head_centre",
    "dp_mt5_head_centre",
];

#[test]
fn every_landmark_lies_on_a_bones_surface_or_says_that_it_lies_within() {
    for pose in [Pose::neutral(), Pose::arch_collapse(1.0)] {
        let foot = foot(pose);
        for (key, at) in foot.landmarks.values().flatten() {
            if WITHIN.contains(&key.as_str()) {
                continue;
            }
            let nearest = foot
                .bones
                .iter()
                .flat_map(|b| &b.outer.vertices)
                .map(|v| (0..3).map(|k| (v[k] - at[k]).powi(2)).sum::<f64>())
                .fold(f64::INFINITY, f64::min)
                .sqrt();
            // Vertices lie up to 1 mm apart, so a surface point lies up to 0.7 mm from the next one.
            assert!(nearest < 0.75, "{key}: {nearest:.2} mm from any bone");
        }
    }
}

#[test]
fn the_lines_of_the_measures_are_long_enough_to_be_read() {
    let foot = foot(Pose::neutral());
    let at = |view: View, key: &str| foot.landmarks[&view][&LandmarkKey::new(key).expect("key")];
    let middle =
        |a: [f64; 3], b: [f64; 3]| -> [f64; 3] { std::array::from_fn(|k| (a[k] + b[k]) / 2.0) };
    let apart =
        |a: [f64; 3], b: [f64; 3]| (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt();
    // A plafond is some 28 mm wide; both lines take the flat part of it.
    let ankle = |key: &str| at(View::AnkleFront, key);
    for line in ["plafond", "dome"] {
        let width = apart(
            ankle(&format!("an_{line}_med")),
            ankle(&format!("an_{line}_lat")),
        );
        assert!((22.0..28.0).contains(&width), "{line}: {width:.1} mm");
    }
    let heel = |key: &str| at(View::HindfootAlignment, key);
    for wall in ["med", "lat"] {
        let (up, low) = (
            heel(&format!("hf_calc_upper_{wall}")),
            heel(&format!("hf_calc_lower_{wall}")),
        );
        // The film's own upright is tilted by 20° towards the toes.
        let height = (up[1] - low[1]) * 20f64.to_radians().cos()
            + (up[0] - low[0]) * 20f64.to_radians().sin();
        assert!(height >= 22.0, "{wall}: {height:.1} mm");
    }
    let above = |key: &str| at(View::Dorsoplantar, key);
    let seen = |q: [f64; 3]| [q[0], 0.0, q[2]];
    let talus = apart(
        seen(middle(
            above("dp_talus_neck_med"),
            above("dp_talus_neck_lat"),
        )),
        seen(middle(
            above("dp_talus_head_med"),
            above("dp_talus_head_lat"),
        )),
    );
    assert!(talus >= 14.0, "axis of the talus: {talus:.1} mm");
}

#[test]
fn inner_points_lie_on_the_inner_side_on_both_feet() {
    for (side, out) in [(Side::Right, 1.0), (Side::Left, -1.0)] {
        let foot = build(&FootSpec {
            side,
            ..FootSpec::adult()
        })
        .expect("foot");
        for (view, keys) in KEYS {
            for med in keys.iter().filter(|k| k.ends_with("_med")) {
                let lat = med.replace("_med", "_lat");
                let at = |k: &str| {
                    foot.landmarks[&view]
                        .get(&LandmarkKey::new(k).expect("key"))
                        .map(|q| q[2] * out)
                };
                if let (Some(m), Some(l)) = (at(med), at(&lat)) {
                    assert!(m < l, "{med} at {m:.1} and {lat} at {l:.1}, outwards");
                }
            }
        }
    }
}

#[test]
fn the_plain_foot_reads_like_a_normal_standing_foot() {
    let t = truth::of_foot(&foot(Pose::neutral()));
    // Band, and where it comes from. Wide where the sources differ.
    let bands = [
        ("meary_lat", -4.0, 4.0), // normal band within ±4 (footprint methods study)
        ("calc_pitch", 18.0, 26.0), // 22.9 ± 1.9 (n = 90) and 20.9 ± 3.4 (n = 28)
        ("tca_lat", 35.0, 50.0),  // adults 40; normal 25–50
        ("c1ma_lat", 125.0, 141.0), // 132.8 ± 4.0
        ("c5ma_lat", 140.0, 155.0), // 146
        ("tnca", 1.0, 17.0),      // 8.0 ± 2.2 and 12.5 ± 8.6
        ("t1mt_dp", 3.0, 13.0),   // 7.8 ± 2.2
        ("t2mt_dp", 6.0, 20.0),   // 13.3 ± 6.3
        ("tca_dp", 15.0, 30.0),   // adults 18; normal 15–30
        ("hma", -8.0, 8.0),       // 80 % of 57 adults
        ("haa", 0.0, 6.0),        // healthy 2–6 valgus
        ("mdta", 89.5, 97.0),     // 92.1 ± 2.2 to 94.6 ± 2.6
        ("talar_tilt", -1.5, 1.5),
        ("mc_floor", 18.0, 30.0), // medial column 23.6 ± 2.8
        ("nav_height_truncated", 0.18, 0.28),
        ("cc_abd", 0.0, 5.0),     // recalled 0–5
        ("lia", -15.0, 5.0),      // left in abduction from 5 (after operations)
        ("maa", 5.0, 15.5), // adductus above 15 on the film, which shows 3° less than square from above
        ("cyma_step", -3.0, 3.5), // by eye a whole line; no limit in millimetres is published
    ];
    for (key, low, high) in bands {
        let v = value(&t, key);
        assert!(
            (low..=high).contains(&v),
            "{key} is {v:.2}, expected {low} to {high}"
        );
    }
}

#[test]
fn the_identities_of_the_lateral_view_hold() {
    let t = truth::of_foot(&foot(Pose::arch_collapse(0.6)));
    let v = |k| value(&t, k);
    assert!((v("tca_lat") - v("talar_decl") - v("calc_pitch")).abs() < 1e-9);
    assert!((v("meary_lat") - v("talar_decl") + v("mt1_decl")).abs() < 1e-9);
    assert!((v("c1ma_lat") - 180.0 + v("calc_pitch") + v("mt1_decl")).abs() < 1e-9);
}

/// The true value of `key` as one quantity of the pose grows must grow (or fall) all the way.
fn monotone(key: &str, rising: bool, poses: impl Fn(f64) -> Pose) {
    let values: Vec<f64> = [0.0, 0.25, 0.5, 0.75, 1.0]
        .map(|t| value(&truth::of_foot(&foot(poses(t))), key))
        .to_vec();
    for pair in values.windows(2) {
        assert!((pair[1] > pair[0]) == rising, "{key}: {values:?}");
    }
}

#[test]
fn each_quantity_of_the_pose_moves_its_own_reading() {
    let p = Pose::neutral;
    monotone("hma", true, |t| Pose {
        hindfoot_valgus_deg: 10.0 * t,
        ..p()
    });
    monotone("haa", true, |t| Pose {
        hindfoot_valgus_deg: 10.0 * t,
        ..p()
    });
    monotone("calc_pitch", false, |t| Pose {
        calcaneal_pitch_deg: -8.0 * t,
        ..p()
    });
    monotone("talar_decl", true, |t| Pose {
        talar_declination_deg: 15.0 * t,
        ..p()
    });
    monotone("tnca", true, |t| Pose {
        talonavicular_abduction_deg: 20.0 * t,
        ..p()
    });
    monotone("t1mt_dp", true, |t| Pose {
        talonavicular_abduction_deg: 20.0 * t,
        ..p()
    });
    monotone("mc_floor", true, |t| Pose {
        forefoot_varus_deg: 8.0 * t,
        ..p()
    });
    monotone("meary_lat", true, |t| Pose {
        first_ray_elevation_deg: 8.0 * t,
        ..p()
    });
    monotone("talar_tilt", true, |t| Pose {
        ankle_tilt_deg: 8.0 * t,
        ..p()
    });
}

#[test]
fn a_collapsing_arch_moves_all_readings_the_clinical_way() {
    let rising = [
        "meary_lat",
        "talar_decl",
        "c1ma_lat",
        "c5ma_lat",
        "tnca",
        "tn_uncov",
        "t1mt_dp",
        "t2mt_dp",
        "tca_dp",
        "hma",
        "haa",
        "cc_abd",
        "lia",
        "cyma_step",
    ];
    let falling = [
        "calc_pitch",
        "mt1_decl",
        "mc_floor",
        "mc_mt5",
        "nav_height",
        "cuboid_height",
        "nav_height_truncated",
        "nav_height_foot",
    ];
    let of = |c: f64| truth::of_foot(&foot(Pose::arch_collapse(c)));
    let (plain, half, flat) = (of(0.0), of(0.5), of(1.0));
    for key in rising {
        assert!(
            value(&plain, key) < value(&half, key) && value(&half, key) < value(&flat, key),
            "{key}"
        );
    }
    for key in falling {
        assert!(
            value(&plain, key) > value(&half, key) && value(&half, key) > value(&flat, key),
            "{key}"
        );
    }
}

#[test]
fn no_bone_enters_another_however_far_the_arch_collapses() {
    for degree in [0.5, 1.0] {
        let foot = foot(Pose::arch_collapse(degree));
        for pair in [
            ("talus", "calcaneus"),
            ("calcaneus", "cuboid"),
            ("talus", "navicular"),
            ("talus", "tibia"),
            ("talus", "fibula"),
            ("metatarsal 3", "metatarsal 4"),
            ("intermediate cuneiform", "metatarsal 1"),
            ("lateral cuneiform", "cuboid"),
        ] {
            let (a, b) = (
                foot.bone(pair.0).expect("bone"),
                foot.bone(pair.1).expect("bone"),
            );
            // Seen from each vertex of one, the nearest vertex of the other lies on the outer side.
            let normals = vertex_normals(&b.outer);
            let mut deepest = f64::INFINITY;
            for p in a.outer.vertices.iter().step_by(2) {
                let Some((i, d2)) = b
                    .outer
                    .vertices
                    .iter()
                    .enumerate()
                    .map(|(i, q)| (i, (0..3).map(|k| (p[k] - q[k]).powi(2)).sum::<f64>()))
                    .min_by(|x, y| x.1.total_cmp(&y.1))
                else {
                    continue;
                };
                if d2 < 9.0 {
                    let q = b.outer.vertices[i];
                    deepest =
                        deepest.min((0..3).map(|k| (p[k] - q[k]) * normals[i][k]).sum::<f64>());
                }
            }
            // A rigid joint far from its plain place may graze; 0.3 mm is a third of the sculpting grid.
            assert!(deepest > -0.3, "{pair:?} at {degree}: {deepest:.2} mm");
        }
    }
}

fn vertex_normals(mesh: &phantom::Mesh) -> Vec<[f64; 3]> {
    let mut sums = vec![[0.0f64; 3]; mesh.vertices.len()];
    for (i, t) in mesh.triangles.iter().enumerate() {
        let [a, b, c] = mesh.corners(i);
        let (u, v) = (
            [b[0] - a[0], b[1] - a[1], b[2] - a[2]],
            [c[0] - a[0], c[1] - a[1], c[2] - a[2]],
        );
        let n = [
            u[1] * v[2] - u[2] * v[1],
            u[2] * v[0] - u[0] * v[2],
            u[0] * v[1] - u[1] * v[0],
        ];
        for &corner in t {
            for k in 0..3 {
                sums[corner as usize][k] += n[k];
            }
        }
    }
    sums.iter()
        .map(|n| {
            let length = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt().max(1e-12);
            n.map(|x| x / length)
        })
        .collect()
}

#[test]
fn the_heel_turns_by_as_much_as_was_asked() {
    let pitch = |d| {
        value(
            &truth::of_foot(&foot(Pose {
                calcaneal_pitch_deg: d,
                ..Pose::neutral()
            })),
            "calc_pitch",
        )
    };
    // The lowest point of the tuberosity moves along it as it turns, so the line turns a little less.
    assert!((pitch(-8.0) - pitch(0.0) + 8.0).abs() < 1.2);
    let tilt = |d| {
        value(
            &truth::of_foot(&foot(Pose {
                ankle_tilt_deg: d,
                ..Pose::neutral()
            })),
            "talar_tilt",
        )
    };
    assert!((tilt(6.0) - tilt(0.0) - 6.0).abs() < 0.2);
}

#[test]
fn a_joint_that_lost_its_space_lets_its_bones_come_closer() {
    let gap = |pose: Pose, a: &str, b: &str| {
        let foot = foot(pose);
        let (a, b) = (
            foot.bone(a).expect("bone").outer.clone(),
            foot.bone(b).expect("bone").outer.clone(),
        );
        a.vertices
            .iter()
            .step_by(3)
            .flat_map(|p| {
                b.vertices
                    .iter()
                    .step_by(2)
                    .map(move |q| (0..3).map(|k| (p[k] - q[k]).powi(2)).sum::<f64>())
            })
            .fold(f64::INFINITY, f64::min)
            .sqrt()
    };
    for (joint, a, b) in [
        (Joint::Ankle, "tibia", "talus"),
        (Joint::Subtalar, "talus", "calcaneus"),
        (Joint::Talonavicular, "talus", "navicular"),
        (Joint::Calcaneocuboid, "calcaneus", "cuboid"),
        (Joint::Naviculocuneiform, "navicular", "medial cuneiform"),
        (
            Joint::FirstTarsometatarsal,
            "medial cuneiform",
            "metatarsal 1",
        ),
        (
            Joint::LesserTarsometatarsal,
            "lateral cuneiform",
            "metatarsal 3",
        ),
    ] {
        let narrowed = Pose {
            narrowing_mm: [(joint, 1.2)].into(),
            ..Pose::neutral()
        };
        let (before, after) = (gap(Pose::neutral(), a, b), gap(narrowed, a, b));
        assert!(
            after < before - 0.4 && after > 0.3,
            "{joint:?}: {before:.2} to {after:.2} mm"
        );
    }
}

#[test]
fn a_mirrored_foot_has_the_same_true_values() {
    let of = |side| {
        truth::of_foot(
            &build(&FootSpec {
                side,
                pose: Pose::arch_collapse(0.7),
                ..FootSpec::adult()
            })
            .expect("foot"),
        )
    };
    let (right, left) = (of(Side::Right), of(Side::Left));
    assert_eq!(right.values.len(), left.values.len());
    for (r, l) in right.values.iter().zip(&left.values) {
        assert!((r.true_value - l.true_value).abs() < 1e-9, "{}", r.key);
    }
}

/// A source infinitely far away, square to the anatomy, seen from the tube's side.
struct Parallel(View, Side);

impl phantom::Camera for Parallel {
    fn project(&self, [x, y, z]: [f64; 3]) -> [f64; 2] {
        let out = if self.1 == Side::Right { 1.0 } else { -1.0 };
        match self.0 {
            View::Lateral => [out * x, -y],
            View::Dorsoplantar => [z, -x],
            View::HindfootAlignment => [z, -y],
            View::AnkleFront => [-z, -y],
        }
    }
}

#[test]
fn a_film_without_perspective_shows_the_truth_in_space() {
    for side in Side::BOTH {
        let spec = FootSpec {
            side,
            pose: Pose::arch_collapse(0.4),
            ..FootSpec::adult()
        };
        let foot = build(&spec).expect("foot");
        let space = truth::of_foot(&foot);
        for view in View::ALL {
            let film = truth::on_film(&foot, view, &Parallel(view, side), 1.0);
            assert!(!film.values.is_empty());
            for v in &film.values {
                let gap = (v.true_value - value(&space, &v.key)).abs();
                assert!(
                    gap < 1e-9,
                    "{} on the {} film is {gap} off",
                    v.key,
                    side.word()
                );
            }
        }
    }
}

#[test]
fn lengths_grow_with_the_foot_and_angles_do_not() {
    let of = |mm| {
        truth::of_foot(
            &build(&FootSpec {
                foot_length_mm: mm,
                ..FootSpec::adult()
            })
            .expect("foot"),
        )
    };
    let (small, large) = (of(220.0), of(275.0));
    assert!((value(&large, "nav_height") / value(&small, "nav_height") - 1.25).abs() < 1e-9);
    assert!((value(&large, "meary_lat") - value(&small, "meary_lat")).abs() < 1e-9);
}

#[test]
fn bones_appear_in_the_order_in_which_they_ossify() {
    let at = |years| {
        build(&FootSpec {
            age: Age::Child { years },
            foot_length_mm: 160.0,
            ..FootSpec::adult()
        })
        .expect("child")
    };
    let (two, four, seven, ten) = (at(2.5), at(4.0), at(7.0), at(10.0));
    assert!(two.bone("navicular").is_none() && two.bone("medial cuneiform").is_some());
    assert!(four.bone("navicular").is_some() && four.bone("medial sesamoid").is_none());
    let nav_low = LandmarkKey::new("nav_low").expect("key");
    assert!(!two.landmarks[&View::Lateral].contains_key(&nav_low));
    let edge = LandmarkKey::new("dp_nav_med").expect("key");
    assert!(
        !four.landmarks[&View::Dorsoplantar].contains_key(&edge),
        "no edge on a navicular of cartilage"
    );
    assert!(ten.landmarks[&View::Dorsoplantar].contains_key(&edge));
    assert!(
        truth::of_foot(&four).value("tnca").is_none()
            && truth::of_foot(&ten).value("tnca").is_some()
    );
    for name in ["talus", "calcaneus", "cuboid", "navicular"] {
        let volume = |f: &Foot| f.bone(name).map_or(0.0, |b| b.outer.volume());
        assert!(
            volume(&four) < volume(&seven) && volume(&seven) < volume(&ten),
            "{name}"
        );
    }
    for child in [&two, &four, &seven, &ten] {
        for b in &child.bones {
            assert_eq!(mesh::check::closed(&b.outer), None, "{}", b.name);
        }
    }
}

#[test]
fn children_have_the_published_foot_lengths() {
    // Cheng 1997: boys 156 mm at 3 years and 258 at 18, girls 153 at 3 and 234 at 17.
    assert_eq!(child::foot_length_mm(3.0, Sex::Male), 156.0);
    assert_eq!(child::foot_length_mm(18.0, Sex::Male), 258.0);
    assert_eq!(child::foot_length_mm(17.0, Sex::Female), 234.0);
    // A second source: 213.5 mm at a mean age of about 10.5 years (469 Czech children, 6 to 15).
    let mean =
        (child::foot_length_mm(10.5, Sex::Male) + child::foot_length_mm(10.5, Sex::Female)) / 2.0;
    assert!((mean - 213.5).abs() < 15.0, "{mean:.1}");
}
