//! Scans of invented feet: as damaged as was asked for, and the truth about them kept.

use phantom::scan::{self, Ground, Holes, Part, Place, Refusal, Scan, ScanSpec, Truth, Unit};
use phantom::skin::{Load, Mark, SkinSpec, build_skin};
use phantom::{FootSpec, Mesh};
use std::collections::{BTreeMap, BTreeSet};
use terms::Side;

fn make(spec: &ScanSpec) -> Scan {
    scan::make(spec).expect("a scan")
}

fn truth(scan: &Scan) -> &Truth {
    scan.truth.as_ref().expect("a foot")
}

/// The scan's surface in the world, millimetres.
fn in_world(scan: &Scan) -> Mesh {
    let back = truth(scan).file_from_world.inverse();
    scan.mesh.map(|v| back.point(v))
}

/// How often each pair of vertices is an edge, one way and the other.
fn edges(mesh: &Mesh) -> BTreeMap<(u32, u32), [u32; 2]> {
    let mut edges: BTreeMap<(u32, u32), [u32; 2]> = BTreeMap::new();
    for t in &mesh.triangles {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            edges.entry((a.min(b), a.max(b))).or_default()[usize::from(a > b)] += 1;
        }
    }
    edges
}

fn closed(mesh: &Mesh) -> bool {
    edges(mesh).values().all(|&n| n == [1, 1])
}

/// Numbers of triangles of the pieces that hang together by vertices, largest first.
fn pieces(mesh: &Mesh) -> Vec<usize> {
    let mut root: Vec<usize> = (0..mesh.vertices.len()).collect();
    fn find(root: &mut [usize], mut v: usize) -> usize {
        while root[v] != v {
            root[v] = root[root[v]];
            v = root[v];
        }
        v
    }
    for t in &mesh.triangles {
        let a = find(&mut root, t[0] as usize);
        for &v in &t[1..] {
            let b = find(&mut root, v as usize);
            root[b] = a;
        }
    }
    let mut count: BTreeMap<usize, usize> = BTreeMap::new();
    for t in &mesh.triangles {
        *count.entry(find(&mut root, t[0] as usize)).or_default() += 1;
    }
    let mut sizes: Vec<usize> = count.into_values().collect();
    sizes.sort_unstable_by(|a, b| b.cmp(a));
    sizes
}

/// The small ground that most tests stand on: one skin, so that it is built once.
fn clean(triangles: usize) -> ScanSpec {
    ScanSpec {
        triangles,
        lid: true,
        ..ScanSpec::default()
    }
}

#[test]
fn a_clean_scan_is_closed_and_has_the_triangles_that_were_asked_for() {
    for triangles in [1_000, 30_000, 190_000, 1_000_000] {
        let scan = make(&clean(triangles));
        assert!(
            scan.mesh.triangles.len().abs_diff(triangles) <= 1,
            "{}",
            scan.mesh.triangles.len()
        );
        assert!(closed(&scan.mesh), "{triangles}");
        assert!(scan.mesh.volume() > 0.0);
        let skin = build_skin(&scan.spec.skin).expect("skin");
        let worst = scan
            .mesh
            .vertices
            .iter()
            .map(|&v| skin.distance_mm(v).abs())
            .fold(0.0, f64::max);
        // Where toes nearly touch the distance changes within one grid spacing.
        assert!(
            worst < 0.4,
            "{triangles} triangles: a vertex lies {worst:.2} mm off the skin"
        );
    }
}

#[test]
fn the_same_spec_gives_the_same_bytes_and_another_seed_other_ones() {
    let spec = ScanSpec {
        noise_mm: 0.3,
        holes: vec![Holes {
            place: Place::Anywhere,
            count: 3,
            diameter_mm: 8.0,
        }],
        spikes: 10,
        strays: 2,
        doubled: 2,
        flipped: 2,
        ..clean(40_000)
    };
    let (one, two) = (make(&spec), make(&spec));
    assert!(one == two);
    let other = make(&ScanSpec {
        seed: 2,
        ..spec.clone()
    });
    assert!(one.mesh != other.mesh);
    assert_eq!(one.truth, other.truth);
    let text = serde_json::to_string(&spec).expect("text");
    assert_eq!(serde_json::from_str::<ScanSpec>(&text).expect("spec"), spec);
}

#[test]
fn noise_has_the_strength_and_the_reach_that_were_asked_for() {
    let spec = ScanSpec {
        noise_mm: 0.4,
        noise_reach_mm: 5.0,
        ..clean(150_000)
    };
    let (noisy, clean) = (
        make(&spec),
        make(&ScanSpec {
            noise_mm: 0.0,
            ..spec.clone()
        }),
    );
    let by: Vec<f64> = noisy
        .mesh
        .vertices
        .iter()
        .zip(&clean.mesh.vertices)
        .map(|(a, b)| (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt())
        .collect();
    // The mean is taken out, so the root mean square is the standard deviation.
    let sd = (by.iter().map(|d| d * d).sum::<f64>() / by.len() as f64).sqrt();
    assert!((sd - 0.4).abs() < 0.01, "{sd:.3} mm");
    // Alike over a triangle's edge, which is far shorter than the reach.
    let jump = noisy
        .mesh
        .triangles
        .iter()
        .map(|t| (by[t[0] as usize] - by[t[1] as usize]).abs())
        .sum::<f64>()
        / noisy.mesh.triangles.len() as f64;
    assert!(jump < 0.4 * sd, "{jump:.3} mm from vertex to vertex");
}

#[test]
fn the_truth_is_in_the_files_own_coordinates_whatever_unit_turn_and_mirror() {
    let plain = make(&clean(20_000));
    let length = truth(&plain).sizes.foot_length_mm;
    for (unit, mirrored) in [
        (Unit::Inch, false),
        (Unit::Metre, true),
        (Unit::Centimetre, false),
    ] {
        let spec = ScanSpec {
            unit,
            mirrored,
            turn_deg: [31.0, -112.0, 67.0],
            shift_mm: [200.0, -3.0, 77.0],
            ..clean(20_000)
        };
        let scan = make(&spec);
        let t = truth(&scan);
        let at = |mark| *t.marks.get(&mark).expect("mark");
        let d = (0..3)
            .map(|k| (at(Mark::HeelBack)[k] - at(Mark::ToeTip)[k]).powi(2))
            .sum::<f64>()
            .sqrt();
        // Not quite along the axis: heel and tip lie a little beside it and at different heights.
        assert!((d * unit.mm() / length - 1.0).abs() < 0.02, "{d}");
        assert!(scan.mesh.volume() > 0.0, "outward, mirrored or not");
        assert_eq!(
            t.shown_side,
            if mirrored { Side::Left } else { Side::Right }
        );
        assert_eq!(t.side, Side::Right);
        for mark in Mark::ALL {
            let (here, there) = (
                t.mark_in_foot_frame(mark),
                truth(&plain).mark_in_foot_frame(mark),
            );
            let (here, there) = (here.expect("mark"), there.expect("mark"));
            assert!(
                (0..3).all(|k| (here[k] - there[k]).abs() < 1e-6),
                "{mark:?}"
            );
        }
        for (a, b) in in_world(&scan).vertices.iter().zip(&plain.mesh.vertices) {
            assert!((0..3).all(|k| (a[k] - b[k]).abs() < 1e-6));
        }
    }
}

#[test]
fn holes_are_torn_where_they_were_asked_for() {
    let whole = make(&clean(100_000));
    for (place, count, diameter_mm) in [
        (Place::Arch, 1, 14.0),
        (Place::BetweenToes, 4, 9.0),
        (Place::Anywhere, 5, 10.0),
    ] {
        let spec = ScanSpec {
            holes: vec![Holes {
                place,
                count,
                diameter_mm,
            }],
            ..clean(100_000)
        };
        let torn = make(&spec);
        assert!(torn.mesh.triangles.len() < whole.mesh.triangles.len());
        let rim: Vec<[f64; 3]> = edges(&torn.mesh)
            .iter()
            .filter(|(_, n)| n[0] + n[1] == 1)
            .map(|(&(a, _), _)| truth(&torn).in_foot_frame(torn.mesh.vertices[a as usize]))
            .collect();
        assert!(
            rim.len() > 10 * count,
            "{place:?}: {} edges of rims",
            rim.len()
        );
        let length = truth(&torn).sizes.foot_length_mm;
        let within = |low: f64, high: f64| {
            rim.iter()
                .all(|q| q[0] > low * length && q[0] < high * length)
        };
        match place {
            Place::Arch => assert!(within(0.2, 0.75)),
            Place::BetweenToes => assert!(within(0.65, 1.0)),
            Place::Anywhere => {}
        }
    }
}

#[test]
fn without_a_lid_the_leg_is_open_above_and_only_there() {
    let scan = make(&ScanSpec {
        lid: false,
        ..clean(80_000)
    });
    let top = scan.mesh.vertices.iter().map(|v| v[1]).fold(0.0, f64::max);
    assert!(
        (top - scan.spec.skin.cut_height_mm).abs() < 2.5,
        "cut at {top:.1} mm"
    );
    let rim: BTreeSet<u32> = edges(&scan.mesh)
        .iter()
        .filter(|(_, n)| n[0] + n[1] == 1)
        .map(|(&(a, _), _)| a)
        .collect();
    assert!(rim.len() > 50);
    assert!(
        rim.iter()
            .all(|&v| scan.mesh.vertices[v as usize][1] > top - 8.0)
    );
    assert_eq!(pieces(&scan.mesh).len(), 1);
}

#[test]
fn spikes_strays_doubled_and_flipped_faces_are_there() {
    let base = clean(60_000);
    let skin = build_skin(&base.skin).expect("skin");
    let off = |scan: &Scan| {
        scan.mesh
            .vertices
            .iter()
            .filter(|&&v| skin.distance_mm(v) > 2.0)
            .count()
    };
    assert_eq!(off(&make(&base)), 0);
    let spiked = make(&ScanSpec {
        spikes: 30,
        ..base.clone()
    });
    assert!((20..=30).contains(&off(&spiked)), "{}", off(&spiked));
    let strayed = make(&ScanSpec {
        strays: 4,
        ..base.clone()
    });
    // A patch that reaches from toe to toe is more than one piece.
    assert!((5..10).contains(&pieces(&strayed.mesh).len()));
    let doubled = make(&ScanSpec {
        doubled: 4,
        ..base.clone()
    });
    let mut seen = BTreeSet::new();
    let twice = doubled
        .mesh
        .triangles
        .iter()
        .filter(|t| !seen.insert(**t))
        .count();
    assert!(twice > 20 && pieces(&doubled.mesh).len() >= 3, "{twice}");
    let flipped = make(&ScanSpec {
        flipped: 4,
        ..base.clone()
    });
    assert!(
        edges(&flipped.mesh)
            .values()
            .filter(|&&n| n == [2, 0] || n == [0, 2])
            .count()
            > 20
    );
    let inward = make(&ScanSpec {
        inside_out: true,
        ..base
    });
    assert!(inward.mesh.volume() < 0.0);
}

#[test]
fn a_glass_plate_presses_flat_what_is_below_it() {
    let scan = make(&ScanSpec {
        plate_cut_mm: 3.0,
        ..clean(80_000)
    });
    let flat = scan.mesh.vertices.iter().filter(|v| v[1] == 3.0).count();
    assert!(
        flat > 500 && scan.mesh.vertices.iter().all(|v| v[1] >= 3.0),
        "{flat}"
    );
}

#[test]
fn a_plate_is_a_piece_of_its_own_below_the_foot() {
    let scan = make(&ScanSpec {
        ground: Ground::Plate { below_mm: 5.0 },
        noise_mm: 0.1,
        ..clean(50_000)
    });
    let sizes = pieces(&scan.mesh);
    assert_eq!(sizes.len(), 2, "{sizes:?}");
    let low = scan.mesh.vertices.iter().filter(|v| v[1] < -4.0).count();
    assert!(low > 500);
}

#[test]
fn a_foam_box_shows_the_sole_from_above_and_nothing_else() {
    let depth_mm = 26.0;
    let spec = ScanSpec {
        skin: SkinSpec::of(FootSpec::adult(), Load::Standing),
        ground: Ground::FoamBox { depth_mm },
        ..clean(120_000)
    };
    let scan = make(&spec);
    // Every face looks up, none lies over another.
    for i in 0..scan.mesh.triangles.len() {
        let [a, b, c] = scan.mesh.corners(i);
        let up = (b[2] - a[2]) * (c[0] - a[0]) - (b[0] - a[0]) * (c[2] - a[2]);
        assert!(up > 0.0);
    }
    let skin = build_skin(&spec.skin).expect("skin");
    let high = scan.mesh.vertices.iter().map(|v| v[1]).fold(0.0, f64::max);
    assert!((high - depth_mm).abs() < 1e-9);
    let sole: Vec<_> = scan
        .mesh
        .vertices
        .iter()
        .filter(|v| v[1] < depth_mm - 0.5)
        .collect();
    assert!(sole.len() > 10_000);
    assert!(sole.iter().all(|&&v| skin.distance_mm(v).abs() < 0.5));
    let t = truth(&scan);
    for mark in [Mark::FirstHead, Mark::FifthHead, Mark::HeelCentre] {
        let at = t.marks[&mark];
        let near = scan
            .mesh
            .vertices
            .iter()
            .map(|v| (0..3).map(|k| (v[k] - at[k]).powi(2)).sum::<f64>().sqrt())
            .fold(f64::INFINITY, f64::min);
        assert!(near < 1.0, "{mark:?} lies {near:.2} mm from the impression");
    }
}

#[test]
fn parts_are_what_their_names_say() {
    let of = |part: Part| {
        make(&ScanSpec {
            part,
            lid: false,
            ..clean(60_000)
        })
    };
    let upper = of(Part::Upper);
    let t = truth(&upper);
    let length = t.sizes.foot_length_mm;
    let sole = upper
        .mesh
        .vertices
        .iter()
        .map(|&v| t.in_foot_frame(v))
        .filter(|q| q[2] < 0.03 * length && q[0] > 0.05 * length && q[0] < 0.95 * length)
        .count();
    assert_eq!(sole, 0);
    let reach = |scan: &Scan| {
        let along: Vec<f64> = scan
            .mesh
            .vertices
            .iter()
            .map(|&v| truth(scan).in_foot_frame(v)[0] / length)
            .collect();
        (
            along.iter().copied().fold(f64::MAX, f64::min),
            along.iter().copied().fold(f64::MIN, f64::max),
        )
    };
    let (rear, front) = (reach(&of(Part::Rear)), reach(&of(Part::Front)));
    assert!(rear.0 < 0.01 && rear.1 < 0.48, "{rear:?}");
    assert!(front.0 > 0.48 && front.1 > 0.99, "{front:?}");
    let both = pieces(&of(Part::BothFeet).mesh);
    assert_eq!(both.len(), 2);
    assert!(both[1] * 10 > both[0] * 9);
    let hand = of(Part::Hand);
    assert!(hand.truth.is_none());
    assert!(closed(&hand.mesh) && pieces(&hand.mesh).len() == 1);
}

#[test]
fn twenty_presets_build_and_cover_what_they_should() {
    let presets = scan::presets();
    assert_eq!(presets.len(), 20);
    let names: BTreeSet<&str> = presets.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names.len(), 20);
    let count = |what: &dyn Fn(&ScanSpec) -> bool| presets.iter().filter(|p| what(p)).count();
    for side in Side::BOTH {
        assert!(count(&|p| p.skin.foot.side == side) >= 8);
    }
    for load in [Load::Standing, Load::Hanging] {
        assert!(count(&|p| p.skin.load == load) >= 8);
    }
    assert!(count(&|p| p.triangles == 1_000_000) == 1 && count(&|p| p.triangles == 30_000) == 1);
    for unit in [Unit::Millimetre, Unit::Centimetre, Unit::Metre, Unit::Inch] {
        assert!(count(&|p| p.unit == unit) >= 1);
    }
    for spec in &presets {
        let scan = make(spec);
        let t = truth(&scan);
        assert!(
            scan.mesh.triangles.len() * 10 > spec.triangles * 8,
            "{}",
            spec.name
        );
        assert!(
            scan.mesh.vertices.iter().flatten().all(|c| c.is_finite()),
            "{}",
            spec.name
        );
        assert_eq!(t.marks.len(), Mark::ALL.len());
        // A little more or less than the spec: fallen arches lengthen, hanging feet are shorter.
        let ratio = t.sizes.foot_length_mm / spec.skin.foot.foot_length_mm;
        assert!((0.95..1.07).contains(&ratio), "{}: {ratio:.3}", spec.name);
        if !matches!(spec.ground, Ground::FoamBox { .. }) {
            // The sole's points are on the surface as far as noise and holes leave it.
            let (heel, mm) = (t.marks[&Mark::HeelCentre], spec.unit.mm());
            let near = scan
                .mesh
                .vertices
                .iter()
                .map(|v| (0..3).map(|k| (v[k] - heel[k]).powi(2)).sum::<f64>().sqrt() * mm)
                .fold(f64::INFINITY, f64::min);
            assert!(
                near < 4.0 + spec.plate_cut_mm,
                "{}: heel centre {near:.1} mm off",
                spec.name
            );
        }
    }
}

#[test]
fn scans_that_must_be_refused_build_and_cover_every_reason() {
    let refused = scan::refused();
    let reasons: BTreeSet<String> = refused.iter().map(|(_, why)| format!("{why:?}")).collect();
    assert_eq!(reasons.len(), 7);
    for (spec, why) in &refused {
        let scan = make(spec);
        assert!(!scan.mesh.triangles.is_empty(), "{}", spec.name);
        match why {
            Refusal::WrongSide => assert_ne!(truth(&scan).shown_side, spec.skin.foot.side),
            Refusal::TooFewTriangles => assert!(scan.mesh.triangles.len() < 400),
            Refusal::NotAFoot => assert!(scan.truth.is_none()),
            Refusal::NoUnitFits => {
                let (low, high) = scan.mesh.bounds().expect("bounds");
                let longest = (0..3).map(|k| high[k] - low[k]).fold(0.0, f64::max);
                assert!((50.0..90.0).contains(&longest), "{longest}");
            }
            _ => {}
        }
    }
}

#[test]
fn a_scan_that_nobody_makes_is_refused_with_a_sentence() {
    let wrong = [
        ScanSpec {
            triangles: 3,
            ..ScanSpec::default()
        },
        ScanSpec {
            triangles: usize::MAX,
            ..ScanSpec::default()
        },
        ScanSpec {
            noise_mm: f64::NAN,
            ..ScanSpec::default()
        },
        ScanSpec {
            turn_deg: [f64::INFINITY, 0.0, 0.0],
            ..ScanSpec::default()
        },
        ScanSpec {
            scale: 0.0,
            ..ScanSpec::default()
        },
        ScanSpec {
            ground: Ground::FoamBox { depth_mm: -1.0 },
            ..ScanSpec::default()
        },
        ScanSpec {
            holes: vec![Holes {
                place: Place::Arch,
                count: usize::MAX,
                diameter_mm: 5.0,
            }],
            ..ScanSpec::default()
        },
    ];
    for spec in wrong {
        let words = scan::make(&spec).expect_err("refused").to_string();
        assert!(
            words.contains("found") && words.contains("expected"),
            "{words}"
        );
    }
}
