//! The same foot from any direction, either side, open or closed, is the same foot.

mod common;

use common::{errors, prepared, scan, unit_of};
use nalgebra::{Rotation3, Vector3};
use phantom::scan::{Scan, ScanSpec, Unit as FileUnit};
use phantom::skin::SkinSpec;
use surface::{Asked, Dimensions, Hand, Load, Placed, Point, Prepared, Size, differences};
use terms::Side;

fn plain() -> ScanSpec {
    ScanSpec {
        triangles: 60_000,
        noise_mm: 0.15,
        ..ScanSpec::default()
    }
}

fn of(spec: &ScanSpec) -> (Scan, Prepared) {
    let scan = scan(spec);
    match prepared(&scan.mesh, &Asked::load(Load::None)) {
        Ok(found) => (scan, found),
        Err(e) => panic!("{:?}: {e}", spec.turn_deg),
    }
}

#[test]
fn from_any_direction_the_points_are_the_same_to_half_a_millimetre() {
    let (scan, first) = of(&plain());
    let mut farthest: f64 = 0.0;
    for i in 0..24 {
        let turn = |k: i32| f64::from((i * k + 17 * k) % 360).to_radians();
        let turn = Rotation3::from_euler_angles(turn(71), turn(113), turn(197));
        let mesh = scan.mesh.map(|v| (turn * Vector3::from(v)).into());
        let found = match prepared(&mesh, &Asked::load(Load::None)) {
            Ok(found) => found,
            Err(e) => panic!("{turn}: {e}"),
        };
        for point in Point::ALL {
            let (a, b) = (
                first.foot.points.mark(point).at,
                found.foot.points.mark(point).at,
            );
            let off = (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt();
            farthest = farthest.max(off);
            assert!(off < 0.5, "{turn} {}: {off}", point.words());
        }
    }
    eprintln!("24 directions: no point moved by more than {farthest:.2} mm");
}

#[test]
fn a_left_foot_is_its_right_foot_mirrored() {
    let right = plain();
    let left = ScanSpec {
        skin: right.skin.mirrored(),
        turn_deg: [20.0, 70.0, -40.0],
        ..right.clone()
    };
    let ((_, a), (_, b)) = (of(&right), of(&left));
    assert_eq!((a.foot.side, b.foot.side), (Side::Right, Side::Left));
    assert!(!a.alignment.mirrored && b.alignment.mirrored);
    let skin = b.foot.skin.as_ref().expect("scanned");
    // Closed by a lid it still faces outward.
    let topology = mesh::topology::Topology::of(skin);
    let volumes = mesh::mend::volume_with_lids(skin, &topology, &topology.components());
    assert!(volumes[0] > 1e5, "{volumes:?}");
    for d in differences(&Dimensions::of(&b.foot), &Dimensions::of(&a.foot)) {
        // Noise differs between the two files.
        assert!(
            d.left_less_right_mm().abs() < 1.5,
            "{}: {d:?}",
            d.size.words()
        );
    }
}

#[test]
fn open_and_closed_high_and_low_cut_scans_are_all_aligned() {
    for (cut, lid) in [
        (95.0, false),
        (95.0, true),
        (120.0, true),
        (160.0, false),
        (220.0, true),
    ] {
        let skin = SkinSpec {
            cut_height_mm: cut,
            ..plain().skin
        };
        let spec = ScanSpec {
            skin,
            lid,
            turn_deg: [100.0, 20.0, 15.0],
            ..plain()
        };
        let (scan, found) = of(&spec);
        for (point, off) in errors(&scan, &found) {
            let off = off.expect("scanned");
            assert!(off < 5.0, "{cut} {lid} {}: {off}", point.words());
        }
        assert_eq!(found.report.openings.is_empty(), lid, "{cut} {lid}");
    }
}

#[test]
fn file_and_foot_frame_lead_to_each_other_and_the_alignment_can_be_stored() {
    let spec = ScanSpec {
        unit: FileUnit::Inch,
        turn_deg: [33.0, 150.0, -80.0],
        shift_mm: [700.0, -90.0, 5.0],
        ..plain()
    };
    let (_, found) = of(&spec);
    assert_eq!(found.report.unit.unit, unit_of(spec.unit));
    for at in [[0.0; 3], [120.0, 30.0, 40.0], [-3.0, 7.0, 0.5]] {
        let there = found
            .alignment
            .foot_point(found.alignment.file_point(at))
            .expect("a way back");
        assert!(
            (0..3).all(|k| (there[k] - at[k]).abs() < 1e-9),
            "{at:?} {there:?}"
        );
    }
    let text = serde_json::to_string(&found.alignment).expect("plain data");
    let back: surface::Alignment = serde_json::from_str(&text).expect("what was written");
    assert_eq!(back, found.alignment);
    let text = serde_json::to_string(&found.report).expect("plain data");
    let back: surface::Report = serde_json::from_str(&text).expect("what was written");
    assert_eq!(back, found.report);
}

#[test]
fn a_hand_puts_a_point_on_the_skin_and_what_hangs_on_it_follows() {
    let (_, found) = of(&plain());
    let mut foot = found.foot;
    let hand = Hand::on(&foot);
    let skin = mesh::near::Tree::of(foot.skin.as_ref().expect("scanned"));
    let old = foot.points.navicular.at;
    let mark = hand.placed(&foot, [old[0] + 6.0, old[1] + 4.0, old[2] + 5.0]);
    assert_eq!(mark.placed, Placed::ByHand);
    assert!(skin.nearest(mark.at).expect("a surface").distance < 1e-9);
    let before = Dimensions::of(&foot);
    foot.points.set(Point::Navicular, mark);
    let after = Dimensions::of(&foot);
    assert_eq!(after.navicular_height_mm, mark.at[2]);
    assert_ne!(
        before.value_mm(Size::NavicularHeight),
        after.value_mm(Size::NavicularHeight)
    );
    assert_eq!(before.breadth_mm, after.breadth_mm);
}

#[test]
fn the_same_file_gives_the_same_foot_whatever_was_said_about_progress() {
    let scan = scan(&plain());
    let asked = Asked {
        working_deviation_mm: Some(0.15),
        ..Asked::load(Load::Partial)
    };
    let mut told = Vec::new();
    let a = surface::prepare_mesh(scan.mesh.clone(), None, &asked, &mut |share, words| {
        told.push((share, words))
    });
    let a = a.expect("a foot");
    assert!(
        told.len() > 4 && told.windows(2).all(|w| w[0].0 <= w[1].0),
        "{told:?}"
    );
    assert_eq!(told.last().map(|t| t.0), Some(1.0));
    let b = prepared(&scan.mesh, &asked).expect("a foot");
    assert_eq!(a.foot.points, b.foot.points);
    assert_eq!(a.foot.skin, b.foot.skin);
    assert_eq!(a.report, b.report);
    let strayed = a.report.simplified_by_mm.expect("simplified");
    assert!(
        strayed < 0.25 && a.report.triangles * 3 < a.report.triangles_in_file,
        "{strayed}"
    );
}
