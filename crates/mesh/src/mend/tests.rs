//! Surfaces of known shape, damaged on purpose.

use super::noise::{Smoothing, roughness, smooth};
use super::*;
use crate::Mesh;
use crate::check::closed;
use crate::near::Tree;
use crate::shapes::{ball, beside, cuboid, quartered, shifted};
use crate::topology::Topology;

/// Numbers without order, the same every time; mean 0, deviation 1.
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.unit(), self.unit());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }

    fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count - 1)
    }
}

/// Every triangle with corners of its own.
fn loose(mesh: &Mesh) -> Mesh {
    let vertices = (0..mesh.triangles.len())
        .flat_map(|t| mesh.corners(t))
        .collect();
    let triangles = (0..mesh.triangles.len() as u32)
        .map(|t| [3 * t, 3 * t + 1, 3 * t + 2])
        .collect();
    Mesh {
        vertices,
        triangles,
    }
}

/// Without the triangles whose middle lies within `reach` of a place.
fn pierced(mesh: &Mesh, at: [f64; 3], reach: f64) -> Mesh {
    keep(mesh, |t| {
        length(sub(faces::middle(&mesh.vertices, &mesh.triangles[t]), at)) > reach
    })
}

fn filled(mesh: &Mesh) -> (Mesh, Done) {
    let sewn = sew(mesh.clone(), 1e-6);
    let rings = Rings::of(&sewn.topology);
    let mut out = sewn.mesh;
    let found = holes(&out, &sewn.topology);
    let done = holes::fill(&mut out, &rings, &found);
    (out, done)
}

#[test]
fn a_sound_surface_is_left_as_it_is() {
    let mesh = ball(30.0, 4);
    let sewn = sew(mesh.clone(), 1e-3);
    assert_eq!(sewn.mesh, mesh);
    assert_eq!(sewn.done, []);
    let mut same = mesh.clone();
    let back = spikes::set_back(&mut same, &sewn.topology, &Rings::of(&sewn.topology));
    assert_eq!((back.done.count, same), (0, mesh));
}

#[test]
fn loose_triangles_are_joined_though_their_corners_differ_a_little() {
    let whole = ball(30.0, 4);
    let mut mesh = loose(&whole);
    let mut dice = Dice(3);
    for v in &mut mesh.vertices {
        *v = v.map(|c| c + 1e-5 * (dice.unit() - 0.5));
    }
    let sewn = sew(mesh, 1e-4);
    assert_eq!(closed(&sewn.mesh), None);
    assert_eq!(
        sewn.count(What::Welded),
        3 * whole.triangles.len() - whole.vertices.len()
    );
    assert!((sewn.mesh.volume() - whole.volume()).abs() < 1e-3 * whole.area());
}

#[test]
fn turned_doubled_and_faulty_triangles_are_found_and_counted() {
    let whole = ball(30.0, 4);
    let mut mesh = whole.clone();
    let mut dice = Dice(8);
    let mut turned = std::collections::BTreeSet::new();
    while turned.len() < 300 {
        turned.insert(dice.below(mesh.triangles.len()));
    }
    for &t in &turned {
        mesh.triangles[t].swap(0, 1);
    }
    for t in 0..40 {
        let [a, b, c] = mesh.triangles[t * 7];
        mesh.triangles
            .push(if t % 2 == 0 { [b, c, a] } else { [c, b, a] });
    }
    mesh.vertices.push([f64::NAN, 0.0, 0.0]);
    let bad = mesh.vertices.len() as u32 - 1;
    mesh.triangles
        .extend([[0, 0, 1], [0, 1, bad], [0, 1, bad + 7]]);
    let sewn = sew(mesh, 1e-6);
    assert_eq!(sewn.count(What::Faulty), 3);
    assert_eq!(sewn.count(What::Doubled), 40);
    assert_eq!(sewn.count(What::Turned), 300);
    assert_eq!(closed(&sewn.mesh), None);
    assert!((sewn.mesh.volume() - whole.volume()).abs() < 1e-9 * whole.volume());
}

#[test]
fn pieces_that_face_inward_are_turned_each_by_itself_also_open_ones() {
    let bowl = keep(&ball(30.0, 4), |_| true);
    let bowl = keep(&bowl, |t| {
        faces::middle(&bowl.vertices, &bowl.triangles[t])[2] < -5.0
    });
    let inward = shifted(&bowl, [100.0, 0.0, 0.0]).turned_inside_out();
    let sewn = sew(beside(&bowl, &inward), 1e-6);
    assert_eq!(sewn.count(What::InsideOut), 1);
    assert_eq!(
        sewn.mesh.triangles[..bowl.triangles.len()],
        bowl.triangles[..]
    );
    let volumes = volume_with_lids(&sewn.mesh, &sewn.topology, &sewn.topology.components());
    assert!((volumes[0] / volumes[1] - 1.0).abs() < 1e-9, "{volumes:?}");
}

#[test]
fn a_sheet_grown_onto_a_ball_is_cut_off_and_the_ball_stays_closed() {
    let mut mesh = ball(30.0, 3);
    let count = mesh.triangles.len();
    // A fin on three edges in a row.
    let topology = Topology::of(&mesh);
    let mut at = 0u32;
    for _ in 0..3 {
        let (a, b) = (topology.start(at), topology.end(at));
        let high = mesh.vertices.len() as u32;
        mesh.vertices.push(scaled(mesh.vertices[a as usize], 1.3));
        mesh.vertices.push(scaled(mesh.vertices[b as usize], 1.3));
        mesh.triangles.extend([[a, b, high], [b, high + 1, high]]);
        at = topology.leaving(b)[3];
    }
    let sewn = sew(mesh, 1e-6);
    assert_eq!(sewn.count(What::Crowded), 3, "{:?}", sewn.done);
    let components = sewn.topology.components();
    let whole = keep(&sewn.mesh, |t| {
        components.of_triangle(t) == components.of_triangle(0)
    });
    assert_eq!((closed(&whole), whole.triangles.len()), (None, count));
}

#[test]
fn surfaces_that_touch_at_a_vertex_are_parted_there() {
    let mut mesh = beside(&ball(10.0, 2), &shifted(&ball(10.0, 2), [0.0, 0.0, 25.0]));
    let half = mesh.vertices.len() as u32 / 2;
    for v in mesh.triangles.iter_mut().flatten() {
        if *v == half {
            *v = 0;
        }
    }
    let sewn = sew(mesh, 1e-9);
    assert_eq!(sewn.count(What::Pinched), 1);
    assert!(sewn.topology.fans().iter().all(|&f| f <= 1));
}

#[test]
fn a_triangle_without_height_gives_its_long_side_away_and_leaves_no_gap() {
    // A square whose lower right half has its diagonal's middle as a corner of a flat triangle.
    let mesh = Mesh {
        vertices: vec![
            [0.0; 3],
            [2.0, 0.0, 0.0],
            [2.0, 2.0, 0.0],
            [0.0, 2.0, 0.0],
            [1.0, 1.0, 0.0],
        ],
        triangles: vec![[0, 2, 3], [0, 4, 2], [0, 1, 4], [1, 2, 4]],
    };
    let sewn = sew(mesh, 1e-3);
    assert_eq!(sewn.count(What::Flat), 1);
    assert_eq!(sewn.mesh.triangles.len(), 4);
    assert_eq!(holes(&sewn.mesh, &sewn.topology).len(), 1);
    assert!((0..4).all(|t| sewn.mesh.area_of(t) > 0.5));
}

#[test]
fn spikes_of_one_and_of_several_vertices_are_set_back() {
    let whole = ball(60.0, 5);
    let mut mesh = whole.clone();
    let topology = Topology::of(&mesh);
    let rings = Rings::of(&topology);
    let side = (mesh.area() / mesh.triangles.len() as f64 / 0.433).sqrt();
    let tips: Vec<usize> = (0..40).map(|i| 37 + i * 250).collect();
    for (i, &v) in tips.iter().enumerate() {
        let high = side * (2.0 + i as f64 * 0.3);
        let out = |v: [f64; 3], by: f64| add(v, scaled(v, by / length(v)));
        mesh.vertices[v] = out(mesh.vertices[v], if i % 3 == 0 { -high } else { high });
        if i % 4 == 1 {
            // Its neighbour sticks out too.
            let w = rings.of_vertex(v)[i % 5] as usize;
            mesh.vertices[w] = out(mesh.vertices[w], -high / 2.0);
        }
    }
    let back = spikes::set_back(&mut mesh, &topology, &rings);
    let far = |mesh: &Mesh| {
        mesh.vertices
            .iter()
            .map(|v| (length(*v) - 60.0).abs())
            .fold(0.0, f64::max)
    };
    eprintln!(
        "spikes: {} vertices set back, the farthest by {:.1} mm; {:.2} mm remain of {:.1} mm, sides {:.2} mm",
        back.done.count,
        back.farthest,
        far(&mesh),
        side * 13.7,
        side
    );
    assert!(back.done.count >= 40 && back.farthest > 12.0 * side);
    assert!(far(&mesh) < 0.3 * side, "{}", far(&mesh));
}

#[test]
fn spikes_on_a_torn_border_are_set_back_and_its_teeth_stay() {
    let whole = ball(60.0, 5);
    let torn = pierced(&whole, [0.0, 0.0, 60.0], 20.0);
    let side = (whole.area() / whole.triangles.len() as f64 / 0.433).sqrt();
    let topology = Topology::of(&torn);
    let rings = Rings::of(&topology);
    let mut same = torn.clone();
    let back = spikes::set_back(&mut same, &topology, &rings);
    assert_eq!((back.done.count, &same), (0, &torn));
    let rim: Vec<usize> = (0..torn.vertices.len())
        .filter(|&v| topology.rim_vertices()[v])
        .collect();
    let mut mesh = torn.clone();
    // Also two neighbours, and such with a single triangle.
    let mut tips: Vec<usize> = rim.iter().copied().step_by(9).collect();
    tips.extend(
        rim.iter()
            .copied()
            .filter(|&v| topology.leaving(v as u32).len() == 1)
            .take(3),
    );
    tips.sort_unstable();
    tips.dedup();
    for (i, &v) in tips.iter().enumerate() {
        let by = side * (3.0 + i as f64);
        let away = if i % 3 == 0 { -by } else { by };
        mesh.vertices[v] = add(mesh.vertices[v], scaled(mesh.vertices[v], away / 60.0));
    }
    let back = spikes::set_back(&mut mesh, &topology, &rings);
    let far = mesh
        .vertices
        .iter()
        .map(|v| (length(*v) - 60.0).abs())
        .fold(0.0, f64::max);
    eprintln!(
        "{} of {} border vertices, {} set back; {far:.2} mm remain, sides {side:.2} mm",
        tips.len(),
        rim.len(),
        back.done.count
    );
    assert!(back.done.count >= tips.len() && tips.len() > 6);
    assert!(far < 0.5 * side, "{far}");
    assert!((0..mesh.triangles.len()).all(|t| mesh.area_of(t) > 0.02 * side * side));
}

#[test]
fn noise_is_measured_and_taken_away_without_shrinking() {
    let whole = ball(40.0, 6);
    let topology = Topology::of(&whole);
    let rings = Rings::of(&topology);
    let mut mesh = whole.clone();
    let mut dice = Dice(21);
    for v in &mut mesh.vertices {
        let by = 0.2 * dice.normal();
        *v = add(*v, scaled(*v, by / length(*v)));
    }
    let before = mesh.volume();
    let told = roughness(&mesh, &topology, &rings);
    assert!((told - 0.2).abs() < 0.02, "told {told}");
    let did = smooth(
        &mut mesh,
        &topology,
        &rings,
        Smoothing {
            rounds: 10,
            most: 0.6,
        },
    );
    let off: f64 = mesh
        .vertices
        .iter()
        .map(|v| (length(*v) - 40.0).powi(2))
        .sum();
    let off = (off / mesh.vertices.len() as f64).sqrt();
    eprintln!(
        "noise: 0.200 mm put in, {told:.3} mm told, {off:.3} mm left; volume changed by {:.4} %; {did:?}",
        100.0 * (mesh.volume() / before - 1.0)
    );
    assert!(off < 0.07, "{off}");
    assert!((mesh.volume() / before - 1.0).abs() < 1e-3);
    assert!(did.farthest <= 0.6 + 1e-12 && did.after < 0.3 * did.before);
    // A sound surface tells no noise and keeps its place.
    let mut same = whole.clone();
    assert!(roughness(&same, &topology, &rings) < 0.002);
    smooth(
        &mut same,
        &topology,
        &rings,
        Smoothing {
            rounds: 10,
            most: 0.6,
        },
    );
    // Along the surface vertices of uneven triangles may slide; out of it they stay.
    let off = same
        .vertices
        .iter()
        .map(|v| (length(*v) - 40.0).abs())
        .fold(0.0, f64::max);
    assert!(off < 0.005, "{off}");
}

#[test]
fn a_hole_in_a_ball_is_closed_to_a_ball_again() {
    for reach in [3.0f64, 8.0, 15.0] {
        let whole = ball(40.0, 5);
        let torn = pierced(&whole, [0.0, 24.0, 32.0], reach);
        let (mesh, done) = filled(&torn);
        assert_eq!((done.count, closed(&mesh)), (1, None));
        let far = mesh.vertices[torn.vertices.len()..]
            .iter()
            .map(|v| (length(*v) - 40.0).abs())
            .fold(0.0, f64::max);
        let flat = 40.0 - (40.0f64 * 40.0 - reach * reach).sqrt();
        eprintln!(
            "hole of {:.0} mm: {far:.3} mm off the ball, a flat lid {flat:.3} mm",
            2.0 * reach
        );
        // Sides of 1.6 mm lie up to 0.01 mm inside the ball themselves.
        assert!(far < 0.01 + 0.15 * flat, "{reach} {far}");
        // As fine as what is around it.
        let new = mesh.triangles.len() - torn.triangles.len();
        let gone = whole.triangles.len() - torn.triangles.len();
        assert!(
            new * 2 > gone.min(900) && new < gone * 2 + 8,
            "{new} of {gone}"
        );
    }
}

#[test]
fn many_holes_close_and_the_chosen_border_stays_open() {
    let whole = ball(50.0, 5);
    let mut torn = pierced(&whole, [0.0, 0.0, 50.0], 25.0);
    let mut dice = Dice(4);
    for _ in 0..25 {
        let at = torn.vertices[dice.below(torn.vertices.len())];
        if at[2] < 30.0 {
            torn = pierced(&torn, at, 1.5 + 4.0 * dice.unit());
        }
    }
    let sewn = sew(torn, 1e-6);
    let rings = Rings::of(&sewn.topology);
    let mut mesh = sewn.mesh;
    let found = holes(&mesh, &sewn.topology);
    let chosen: Vec<Hole> = found.iter().filter(|h| h.across < 40.0).cloned().collect();
    let done = holes::fill(&mut mesh, &rings, &chosen);
    assert_eq!((done.count, found.len()), (chosen.len(), chosen.len() + 1));
    let after = Topology::of(&mesh);
    assert_eq!(after.rims().len(), 1);
    assert!(after.fans().iter().all(|&f| f <= 1));
    let tree = Tree::of(&whole);
    let far = mesh
        .vertices
        .iter()
        .filter_map(|&v| tree.nearest(v).map(|n| n.distance))
        .fold(0.0, f64::max);
    assert!(far < 0.4, "{far}");
}

#[test]
fn holes_on_edges_and_corners_of_a_box_close_without_crossing_what_is_there() {
    let cube = quartered(&cuboid([0.0; 3], [20.0; 3]), 4);
    for at in [[0.0, 10.0, 0.0], [20.0, 20.0, 20.0], [10.0, 10.0, 20.0]] {
        let (mesh, done) = filled(&pierced(&cube, at, 4.0));
        assert_eq!((done.count, closed(&mesh)), (1, None));
        assert!(
            mesh.volume() > 0.97 * 8000.0 && mesh.volume() < 8100.0,
            "{}",
            mesh.volume()
        );
    }
}

#[test]
fn torn_beyond_repair_does_no_harm() {
    let mut dice = Dice(77);
    let vertices: Vec<[f64; 3]> = (0..60)
        .map(|_| [dice.unit(), dice.unit(), dice.unit()])
        .collect();
    let mut mesh = Mesh {
        vertices,
        triangles: Vec::new(),
    };
    for _ in 0..400 {
        mesh.triangles.push([
            dice.below(62) as u32,
            dice.below(60) as u32,
            dice.below(60) as u32,
        ]);
    }
    let sewn = sew(mesh.clone(), 1e-3);
    assert!(sewn.topology.fans().iter().all(|&f| f <= 1));
    let again = sew(mesh, 1e-3);
    assert_eq!(sewn.mesh, again.mesh);
    let rings = Rings::of(&sewn.topology);
    let mut out = sewn.mesh.clone();
    let found = holes(&out, &sewn.topology);
    holes::fill(&mut out, &rings, &found);
    assert_eq!(sew(Mesh::default(), 1e-3).mesh, Mesh::default());
}
