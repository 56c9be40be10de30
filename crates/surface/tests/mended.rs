//! Is what was put into a scan said in its report, and gone from its surface?

mod common;

use common::{prepared, scan};
use mesh::topology::Topology;
use phantom::scan::{Ground, Holes, Place, ScanSpec};
use phantom::skin::{Build, SkinSpec};
use phantom::{Age, FootSpec, Pose};
use surface::{Asked, Load, Prepared};
use terms::{Sex, Side};

fn of(spec: &ScanSpec) -> Prepared {
    match prepared(&scan(spec).mesh, &Asked::load(Load::None)) {
        Ok(found) => found,
        Err(e) => panic!("{}: {e}", spec.name),
    }
}

fn base() -> ScanSpec {
    ScanSpec {
        triangles: 90_000,
        noise_mm: 0.15,
        turn_deg: [30.0, 200.0, 5.0],
        ..ScanSpec::default()
    }
}

fn count(found: &Prepared, word: &str) -> usize {
    found
        .report
        .mends
        .iter()
        .filter(|m| m.words.contains(word))
        .map(|m| m.count)
        .sum()
}

/// How many pieces a surface has whose triangles share vertices.
fn pieces(mesh: &mesh::Mesh) -> usize {
    let mut up: Vec<usize> = (0..mesh.vertices.len()).collect();
    let root = |up: &mut Vec<usize>, mut v: usize| {
        while up[v] != v {
            up[v] = up[up[v]];
            v = up[v];
        }
        v
    };
    for t in &mesh.triangles {
        for v in [t[1], t[2]] {
            let (a, b) = (root(&mut up, t[0] as usize), root(&mut up, v as usize));
            up[a] = b;
        }
    }
    let mut sizes = vec![0; up.len()];
    for t in &mesh.triangles {
        sizes[root(&mut up, t[0] as usize)] += 1;
    }
    sizes.iter().filter(|&&size| size > 0).count()
}

#[test]
fn spikes_holes_strays_doubled_and_flipped_faces_are_counted_and_gone() {
    let spec = ScanSpec {
        spikes: 40,
        strays: 9,
        doubled: 4,
        flipped: 5,
        holes: vec![
            Holes {
                place: Place::Arch,
                count: 2,
                diameter_mm: 10.0,
            },
            Holes {
                place: Place::Anywhere,
                count: 5,
                diameter_mm: 6.0,
            },
        ],
        ..base()
    };
    let found = of(&spec);
    // Pieces of the file that hold together by no vertex: the foot, nine strays, and the sheets. A sheet copied
    // from around a place between two toes is two pieces.
    let sheets = pieces(&scan(&spec).mesh) - 1 - 9;
    assert!((2..=4).contains(&sheets), "{sheets}");
    for m in &found.report.mends {
        eprintln!("{}", m.words);
    }
    assert!(
        (30..=60).contains(&count(&found, "spike")),
        "{}",
        count(&found, "spike")
    );
    assert!(
        (8..=11).contains(&count(&found, "stray")),
        "{}",
        count(&found, "stray")
    );
    // Two of the four patches are exact copies, two lie a little apart.
    assert!(count(&found, "doubled triangle") > 50 && count(&found, "once more") == sheets);
    assert!(count(&found, "flipped") > 50);
    assert!(
        (5..=7).contains(&count(&found, "closed")),
        "{}",
        count(&found, "closed")
    );
    let skin = found.foot.skin.expect("scanned");
    let topology = Topology::of(&skin);
    assert_eq!(
        (topology.components().count(), topology.rims().len()),
        (1, 1)
    );
    assert!(topology.fans().iter().all(|&f| f <= 1));
    // The skin is that of the undamaged scan.
    let clean = of(&base());
    let strayed =
        mesh::simplify::strayed(&skin, clean.foot.skin.as_ref().expect("scanned"), 40_000);
    eprintln!(
        "damaged and undamaged skin apart: typical {:.2} mm, most {:.2} mm",
        strayed.typical,
        strayed.most()
    );
    assert!(strayed.typical < 0.6 && strayed.there < 3.0, "{strayed:?}");
}

#[test]
fn a_plate_beside_the_foot_and_the_foam_around_it_are_taken_away_and_told() {
    let plate = of(&ScanSpec {
        ground: Ground::Plate { below_mm: 0.3 },
        ..base()
    });
    assert_eq!(count(&plate, "flat plate"), 1);
    let foam = of(&ScanSpec {
        ground: Ground::FoamBox { depth_mm: 26.0 },
        ..base()
    });
    assert!(count(&foam, "flat plane around") > 1000);
    let (_, high) = foam
        .foot
        .skin
        .as_ref()
        .and_then(|s| s.bounds())
        .expect("scanned");
    assert!(high[2] > 15.0 && high[2] < 30.0, "{high:?}");
    // Turned over or not, an impression becomes a sole that faces down.
    let over = of(&ScanSpec {
        ground: Ground::FoamBox { depth_mm: 26.0 },
        inside_out: true,
        ..base()
    });
    for point in surface::Point::ALL
        .into_iter()
        .filter(|p| *p != surface::Point::Navicular)
    {
        let (a, b) = (
            foam.foot.points.mark(point).at,
            over.foot.points.mark(point).at,
        );
        assert!(
            (0..3).all(|k| (a[k] - b[k]).abs() < 1e-6),
            "{}: {a:?} {b:?}",
            point.words()
        );
    }
    assert!(foam.report.guessed.contains(&surface::Point::Navicular));
}

#[test]
fn foam_is_found_around_a_foot_whose_block_lies_between_the_directions_first_looked_along() {
    let foot = FootSpec {
        side: Side::Left,
        foot_length_mm: 264.0,
        age: Age::Adult,
        pose: Pose::arch_collapse(0.55),
        seed: 206,
    };
    let skin = SkinSpec {
        build: Build::of_adult(206, Sex::Female, 264.0),
        cut_height_mm: 118.8,
        ..SkinSpec::of(foot, phantom::skin::Load::Hanging)
    };
    let found = of(&ScanSpec {
        name: "foam askew".into(),
        skin,
        triangles: 45_000,
        seed: 913,
        noise_mm: 0.3,
        turn_deg: [300.0, 204.0, 12.0],
        mirrored: true,
        spikes: 25,
        ground: Ground::FoamBox { depth_mm: 26.4 },
        ..ScanSpec::default()
    });
    assert!(count(&found, "flat plane around") > 20_000);
    let (low, high) = found
        .foot
        .skin
        .as_ref()
        .and_then(|s| s.bounds())
        .expect("scanned");
    // What is left is the impression: no longer than the foot, and no higher than it was deep.
    assert!((high[0] - low[0] - 264.0).abs() < 8.0, "{low:?} {high:?}");
    // 26.4 mm deep; the foot hangs in the block turned by one and a half degrees, which lifts the edge about the heel
    // by up to 4 mm over that.
    assert!(high[2] < 33.0, "{high:?}");
}

#[test]
fn a_foot_pressed_flat_on_glass_keeps_its_contact_and_stands_on_it() {
    let found = of(&ScanSpec {
        plate_cut_mm: 4.0,
        ..base()
    });
    assert_eq!(found.alignment.ground, surface::align::GroundFrom::FlatSole);
    assert_eq!(count(&found, "flat"), 0);
    let heel = found.foot.points.heel_centre.at;
    assert!(heel[2].abs() < 0.6, "{heel:?}");
}

#[test]
fn a_clean_closed_surface_runs_through_untouched() {
    let spec = ScanSpec {
        noise_mm: 0.0,
        lid: true,
        triangles: 60_000,
        ..ScanSpec::default()
    };
    let found = of(&spec);
    let touched: Vec<_> = found
        .report
        .mends
        .iter()
        .filter(|m| !m.words.contains("touched itself"))
        .collect();
    assert!(touched.is_empty(), "{touched:?}");
    assert!(found.report.openings.is_empty() && found.report.guessed.is_empty());
}
