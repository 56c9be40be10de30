//! Why a clamped shell stiffens with less than the cube of its wall: what share of a stamp's work goes into
//! stretching, and what is left when the shell cannot carry it as a vault.

#[path = "../../shell/tests/common/mod.rs"]
mod common;

use fem::{Displacement, Mesh, Model, System, Thickness, feel};
use nalgebra::Point3;
use shell::Detail;
use strength::further::PlateCase;
use strength::{Band, Bench, Material, Question, Stiffness};
use terms::Side;

const MODULUS_MPA: f64 = 1400.0;
const POISSON: f64 = 0.4;

/// The stamp's case (L4) with heel and front edge clamped, on an uneven wall of about 3 mm.
fn stamped() -> PlateCase {
    let wanted = common::plain();
    let foot = common::foot(255.0, 18.0, Side::Right);
    let device = shell::build(&foot, &wanted, &common::POWDER, Detail::PREVIEW).unwrap();
    let cases =
        strength::from_knowledge::cases(knowledge::Knowledge::built_in().load_cases()).unwrap();
    let material = Material {
        name: "invented plastic".into(),
        stiffness: Stiffness::Alike {
            modulus_mpa: Band::exactly(MODULUS_MPA),
            poisson: POISSON,
        },
        density: None,
        allowable_mpa: None,
        fatigue: None,
    };
    let bench = Bench::new(Question {
        device: &device,
        wanted: &wanted,
        shell: &material,
        post: None,
        weight_kg: 75.0,
        cases: &cases,
        unknowns: 6_000,
    })
    .unwrap();
    bench.clamped_stamp().unwrap().unwrap()
}

/// The same body with its wall scaled and its heights (z) scaled about the floor; the load stays.
fn changed(model: &Model, wall: f64, height: f64) -> Model {
    let mesh = model.mesh();
    let nodes: Vec<Point3<f64>> = mesh
        .nodes()
        .iter()
        .map(|p| Point3::new(p.x, p.y, p.z * height))
        .collect();
    let mut thickness = vec![0.0; nodes.len()];
    for (corners, own) in mesh.triangles().iter().zip(mesh.thickness()) {
        for (&node, t) in corners.iter().zip(own) {
            thickness[node] = t * wall;
        }
    }
    let triangles = mesh.triangles().to_vec();
    let mesh = Mesh::new(nodes, triangles, Thickness::PerNode(&thickness)).unwrap();
    Model::new(mesh, model.section(0).unwrap().clone())
        .with_supports(model.supports().clone())
        .unwrap()
}

/// Work of the load on the way it causes: for a given load, the inverse of stiffness.
fn yielding(model: Model, case: &PlateCase) -> (f64, Model, Displacement) {
    let system = System::new(model).unwrap();
    let moved = system.solve(&[&case.load]).unwrap().remove(0);
    let pairs = case.load.entries().iter().zip(moved.entries());
    let work = pairs.map(|(f, u)| f * u).sum();
    (work, system.model().clone(), moved)
}

/// Twice the energy of stretching, of bending and of shear across the wall.
fn energies(model: &Model, moved: &Displacement) -> [f64; 3] {
    let shear_modulus = MODULUS_MPA / (2.0 * (1.0 + POISSON));
    let mut sums = [0.0; 3];
    for (triangle, corners) in feel(model, moved).unwrap().corners.iter().enumerate() {
        let (area, _) = model.mesh().area_and_normal(triangle).unwrap();
        // Linear over the triangle, so the middles of the sides integrate their products exactly where the
        // wall is even, and to a small part of its change elsewhere.
        for (i, j) in [(0, 1), (1, 2), (2, 0)] {
            let (a, b) = (&corners[i], &corners[j]);
            let wall = (a.thickness + b.thickness) / 2.0;
            let strain = (a.strain + b.strain) / 2.0;
            let curvature = (a.curvature + b.curvature) / 2.0;
            let slip = (a.shear / a.thickness + b.shear / b.thickness) / 2.0;
            let section = model.section(triangle).unwrap();
            let share = area / 3.0;
            sums[0] += share * strain.dot(&(section.stretch_stiffness(wall) * strain));
            sums[1] += share * curvature.dot(&(section.bending_stiffness(wall) * curvature));
            sums[2] += share * slip.norm_squared() * wall / (5.0 / 6.0 * shear_modulus);
        }
    }
    sums
}

/// Stretching stiffness goes with the wall, bending stiffness with its cube; by the theorem of the changed
/// stiffness (the change of compliance is minus the energy of the change) the power is their mean, weighted by
/// energy. The power of a clamped shell, 1.8, so comes of more than half of the work going into stretching: a
/// vault between two clamps carries by thrust. Nothing touches a floor in this case.
#[test]
fn the_power_of_the_wall_is_the_mean_of_one_and_three_weighted_by_energy() {
    let case = stamped();
    let (work, model, moved) = yielding(case.model.clone(), &case);
    let [stretch, bend, shear] = energies(&model, &moved);
    let whole = stretch + bend + shear;
    assert!((whole / work - 1.0).abs() < 1e-6, "{whole} {work}");
    let predicted = (stretch + 3.0 * bend + shear) / whole;
    let [thin, thick] = [0.99, 1.01].map(|wall| yielding(changed(&case.model, wall, 1.0), &case).0);
    let seen = (thin / thick).ln() / (1.01_f64 / 0.99).ln();
    println!(
        "stretching {:.3}, bending {:.3}, shear {:.4} of the work: power {predicted:.4}, seen {seen:.4}",
        stretch / whole,
        bend / whole,
        shear / whole
    );
    // The side's ratio of bending to shear moves with the wall as well: a part of the shear's share.
    assert!((predicted - seen).abs() < 2.0 * shear / whole + 1e-4);
    assert!(1.5 < seen && seen < 2.2);
}

/// The lower the vault, the nearer to a plate's third power; a twentieth of the height leaves hardly any thrust.
#[test]
fn a_shell_pressed_flat_stiffens_with_the_cube_of_its_wall() {
    let case = stamped();
    let powers = [1.0, 0.3, 0.05, 0.0].map(|height| {
        let [thin, thick] =
            [0.99, 1.01].map(|wall| yielding(changed(&case.model, wall, height), &case).0);
        (thin / thick).ln() / (1.01_f64 / 0.99).ln()
    });
    println!("powers at 1, 0.3, 0.05 and 0 of the height: {powers:.3?}");
    assert!(powers.windows(2).all(|two| two[0] < two[1]), "{powers:?}");
    assert!(powers[3] > 2.9 && powers[3] < 3.0, "{powers:?}");
}
