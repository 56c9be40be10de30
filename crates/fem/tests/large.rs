//! Large motion against exact and tabled solutions.

mod cases;

use std::f64::consts::PI;

use cases::grid::{Cut, Grid};
use fem::{
    Candidate, Contact, FemError, Floor, Freedom, Isotropic, Load, Mesh, Mirror, Model, Section,
    Steps, Supports, System, Thickness, bend,
};
use nalgebra::{Point3, Vector3};

/// A strip clamped at x = 0, length 10, breadth 1, without sideways contraction: a beam.
fn strip(columns: usize, thickness: f64) -> (Grid, Model, f64) {
    let grid = Grid::new(columns, 2, Cut::Alternating, |u, v| {
        Point3::new(10.0 * u, v, 0.0)
    });
    let mesh = Mesh::new(
        grid.nodes.clone(),
        grid.triangles.clone(),
        Thickness::Uniform(thickness),
    )
    .unwrap();
    let mut supports = Supports::none(grid.nodes.len());
    for node in grid.column(0) {
        supports.hold_all(node);
    }
    let section = Section::isotropic(Isotropic {
        modulus: 1.2e6,
        poisson: 0.0,
    })
    .unwrap();
    let stiffness = 1.2e6 * thickness.powi(3) / 12.0;
    (
        grid,
        Model::new(mesh, section).with_supports(supports).unwrap(),
        stiffness,
    )
}

fn at_end(grid: &Grid, columns: usize, add: impl Fn(&mut Load, usize, f64)) -> Load {
    let mut load = Load::none(grid.nodes.len());
    for (node, share) in grid.column(columns).into_iter().zip([0.25, 0.5, 0.25]) {
        add(&mut load, node, share);
    }
    load
}

/// Source: D, exact: a moment 2 pi EI / L bends a bar into a full circle, half of it into a half circle.
#[test]
fn an_end_moment_bends_a_strip_into_a_half_and_a_full_circle() {
    let (grid, model, stiffness) = strip(40, 0.1);
    for (turns, steps) in [(0.5, 8), (1.0, 16)] {
        let moment = 2.0 * PI * turns * stiffness / 10.0;
        // A positive moment about -y raises the end.
        let load = at_end(&grid, 40, |load, node, share| {
            load.moment(node, Vector3::y() * (-moment * share)).unwrap();
        });
        let bent = bend(
            &model,
            &load,
            None,
            &Steps {
                steps,
                ..Steps::default()
            },
        )
        .unwrap();
        let end = grid.nodes[grid.at(40, 1)] + bent.displacement.shift(grid.at(40, 1));
        let angle = 2.0 * PI * turns;
        let (x, z) = (
            10.0 / angle * angle.sin(),
            10.0 / angle * (1.0 - angle.cos()),
        );
        // 0.2 % of the length: forty facets stand for the arc, whose chord is shorter by 1 - (a/n)²/24.
        let off = (end.x - x).hypot(end.z - z);
        assert!(
            off < 0.02,
            "{turns}: {end} for {x}, {z}, corrections {:?}",
            bent.corrections
        );
        let last = bent.residuals.len();
        assert!(bent.residuals[last - 1] < 1e-8);
    }
}

/// Source: Mattiasson, Int. J. Numer. Methods Engrg. 17 (1981) 145, elliptic integrals; the row of P L² / EI =
/// 10 from memory (w/L 0.81061, u/L 0.55500), all rows recomputed here by quadrature of the elastica.
#[test]
fn a_cantilever_under_a_tip_force_follows_the_elastica() {
    let (grid, model, stiffness) = strip(40, 0.1);
    for ratio in [1.0, 5.0, 10.0] {
        let force = ratio * stiffness / 100.0;
        let load = at_end(&grid, 40, |load, node, share| {
            load.force(node, Vector3::z() * (force * share)).unwrap()
        });
        let bent = bend(&model, &load, None, &Steps::default()).unwrap();
        let shift = bent.displacement.shift(grid.at(40, 1));
        let (sideways, inwards) = elastica(ratio);
        if ratio == 10.0 {
            assert!(
                (sideways - 0.810_61).abs() < 2e-5 && (inwards - 0.555_00).abs() < 2e-5,
                "{sideways} {inwards}"
            );
        }
        // 0.2 %: facets for a curve, and the stretch and shear that the elastica leaves out.
        assert!(
            (shift.z / 10.0 / sideways - 1.0).abs() < 2e-3,
            "{ratio}: {} {sideways}",
            shift.z / 10.0
        );
        assert!(
            (-shift.x / 10.0 / inwards - 1.0).abs() < 2e-3,
            "{ratio}: {} {inwards}",
            -shift.x / 10.0
        );
    }
}

/// Tip of an elastica of length 1 and stiffness 1 under a force across it: shots from the clamp.
fn elastica(force: f64) -> (f64, f64) {
    // Slope s' = k, k' = -P cos s; k = 0 at the tip. Fourth-order steps, the clamp's k found by halving.
    let shoot = |k: f64| {
        let rates = |s: [f64; 4]| [s[1], -force * s[0].cos(), s[0].cos(), s[0].sin()];
        let mut state = [0.0, k, 0.0, 0.0];
        let n = 2000;
        let h = 1.0 / f64::from(n);
        for _ in 0..n {
            let add = |s: [f64; 4], r: [f64; 4], f: f64| [0, 1, 2, 3].map(|i| s[i] + f * r[i]);
            let r1 = rates(state);
            let r2 = rates(add(state, r1, h / 2.0));
            let r3 = rates(add(state, r2, h / 2.0));
            let r4 = rates(add(state, r3, h));
            state = [0, 1, 2, 3]
                .map(|i| state[i] + h / 6.0 * (r1[i] + 2.0 * r2[i] + 2.0 * r3[i] + r4[i]));
        }
        state
    };
    let (mut low, mut high) = (0.0, force);
    for _ in 0..100 {
        let middle = (low + high) / 2.0;
        if shoot(middle)[1] > 0.0 {
            high = middle
        } else {
            low = middle
        }
    }
    let tip = shoot((low + high) / 2.0);
    (tip[3], 1.0 - tip[2])
}

/// Source: D. Corrections near the end of a step must at least square the error, down to round-off.
#[test]
fn balance_comes_quadratically() {
    let (grid, model, stiffness) = strip(20, 0.5);
    let force = 2.0 * stiffness / 100.0;
    let load = at_end(&grid, 20, |load, node, share| {
        load.force(node, Vector3::z() * (force * share)).unwrap()
    });
    let bent = bend(
        &model,
        &load,
        None,
        &Steps {
            steps: 1,
            ..Steps::default()
        },
    )
    .unwrap();
    let history = &bent.residuals;
    let last = history.len();
    assert!((3..=12).contains(&last), "{history:?}");
    assert!(history[last - 1] < 1e-8, "{history:?}");
    // One of the last corrections gains at least four digits at once.
    assert!(
        (1..last).any(|i| history[i] < history[i - 1] * 1e-4),
        "{history:?}"
    );
}

/// Source: D. A small load must give the linear answer, to the order of its square.
#[test]
fn a_small_load_gives_the_linear_answer_on_a_curved_shell_too() {
    let grid = Grid::new(12, 8, Cut::Rising, |u, v| {
        let (x, y) = (u - 0.5, v - 0.5);
        Point3::new(100.0 * x, 60.0 * y, 20.0 * (x * x - 0.7 * y * y))
    });
    let mesh = Mesh::new(
        grid.nodes.clone(),
        grid.triangles.clone(),
        Thickness::Uniform(3.0),
    )
    .unwrap();
    let mut supports = Supports::none(grid.nodes.len());
    for node in grid.column(0) {
        supports.hold_all(node);
    }
    let section = Section::isotropic(Isotropic {
        modulus: 1400.0,
        poisson: 0.42,
    })
    .unwrap();
    let model = Model::new(mesh, section).with_supports(supports).unwrap();
    let mut load = Load::none(grid.nodes.len());
    load.traction(model.mesh(), |_| [Vector3::new(0.0, 0.0, -1e-7); 3])
        .unwrap();
    let linear = System::new(model.clone())
        .unwrap()
        .solve(&[&load])
        .unwrap()
        .remove(0);
    let bent = bend(
        &model,
        &load,
        None,
        &Steps {
            steps: 1,
            ..Steps::default()
        },
    )
    .unwrap();
    let size = linear.entries().iter().fold(0.0_f64, |a, b| a.max(b.abs()));
    let off = linear
        .entries()
        .iter()
        .zip(bent.displacement.entries())
        .map(|(a, b)| (a - b).abs())
        .fold(0.0, f64::max);
    assert!(off < 1e-5 * size, "{off} of {size}");
    let one = fem::feel(&model, &linear).unwrap();
    let (a, b) = (
        one.corners[10][0].moment,
        bent.feelings.corners[10][0].moment,
    );
    assert!((a - b).norm() < 1e-4 * a.norm(), "{a} {b}");
}

/// Source: D. A prescribed end shift of a strip shortened by its own bow needs less than the linear force.
#[test]
fn a_prescribed_motion_is_reached_exactly_and_its_reaction_balances() {
    let (grid, model, _) = strip(20, 0.2);
    let mut supports = model.supports().clone();
    for node in grid.column(20) {
        supports.prescribe(node, Freedom::Uz, 4.0);
    }
    let model = model.with_supports(supports).unwrap();
    let none = Load::none(grid.nodes.len());
    let bent = bend(&model, &none, None, &Steps::default()).unwrap();
    let up: f64 = grid
        .column(20)
        .iter()
        .map(|&n| bent.reactions[6 * n + 2])
        .sum();
    let down: f64 = grid
        .column(0)
        .iter()
        .map(|&n| bent.reactions[6 * n + 2])
        .sum();
    assert!(
        grid.column(20)
            .iter()
            .all(|&n| (bent.displacement.shift(n).z - 4.0).abs() < 1e-12)
    );
    assert!(up > 0.0 && (up + down).abs() < 1e-6 * up, "{up} {down}");
}

/// Source: D. An arch on a floor, free to slide at one foot and held at the other: little load gives what
/// linear contact gives, much load flattens it by more than in proportion.
#[test]
fn an_arch_on_a_floor_agrees_with_linear_contact_and_softens_as_it_flattens() {
    let grid = Grid::new(24, 4, Cut::Alternating, |u, v| {
        Point3::new(100.0 * u, 30.0 * v, 20.0 * (1.0 - (2.0 * u - 1.0).powi(2)))
    });
    let mesh = Mesh::new(
        grid.nodes.clone(),
        grid.triangles.clone(),
        Thickness::Uniform(3.0),
    )
    .unwrap();
    let mut supports = Supports::none(grid.nodes.len());
    for node in grid.column(24) {
        supports.hold(node, &[Freedom::Ux]);
    }
    for node in grid.row(0) {
        supports.mirror(node, Mirror::AcrossY);
    }
    let section = Section::isotropic(Isotropic {
        modulus: 1400.0,
        poisson: 0.3,
    })
    .unwrap();
    let model = Model::new(mesh, section).with_supports(supports).unwrap();
    let candidates: Vec<Candidate> = grid
        .nodes
        .iter()
        .enumerate()
        .map(|(node, place)| Candidate { node, gap: place.z })
        .collect();
    let mut load = Load::none(grid.nodes.len());
    for ends in grid.column(12).windows(2) {
        load.along_edge(
            model.mesh(),
            [ends[0], ends[1]],
            [Vector3::z() * (-1.0 / 30.0); 2],
        )
        .unwrap();
    }
    let floor = Floor {
        normal: Vector3::z(),
        candidates: candidates.clone(),
    };
    let contact = Contact::new(model.clone(), Vector3::z(), candidates).unwrap();
    let crown = grid.at(12, 2);
    let with = |size: f64| {
        let mut scaled = Load::none(grid.nodes.len());
        scaled.add_scaled(&load, size).unwrap();
        scaled
    };
    let small = bend(
        &model,
        &with(0.1),
        Some(&floor),
        &Steps {
            steps: 1,
            ..Steps::default()
        },
    )
    .unwrap();
    let linear = contact.settle(&with(0.1)).unwrap();
    let (a, b) = (
        small.displacement.shift(crown).z,
        linear.displacement.shift(crown).z,
    );
    assert!((a / b - 1.0).abs() < 2e-3, "{a} {b}");
    let total: f64 = small.forces.iter().sum();
    // The last digits of places of size 100 on a stiff sheet are worth some 1e-6 of force.
    assert!((total - 0.1).abs() < 1e-5, "{total}");

    let much = bend(&model, &with(60.0), Some(&floor), &Steps::default()).unwrap();
    let line = contact.settle(&with(60.0)).unwrap();
    let (a, b) = (
        much.displacement.shift(crown).z,
        line.displacement.shift(crown).z,
    );
    assert!(a < b * 1.02 && a > -20.0, "{a} {b}");
    assert!(much.gaps.iter().all(|gap| *gap > -1e-4));
    let total: f64 = much.forces.iter().sum();
    assert!((total - 60.0).abs() < 1e-4, "{total}");
}

/// Source: C. A shell that nothing holds along the floor, not in one place: the floor's forces add up to the
/// load, no place is below the floor, and each step ends by Newton's corrections, not by giving up digits.
#[test]
fn a_shell_that_slides_freely_comes_into_balance_to_the_last_digits() {
    let grid = Grid::new(40, 16, Cut::Alternating, |u, v| {
        let (x, y) = (2.0 * u - 1.0, 2.0 * v - 1.0);
        Point3::new(
            80.0 * x,
            35.0 * y,
            20.0 * (1.0 - x * x) * (1.0 - 0.3 * y) + 4.0 * y * y,
        )
    });
    let mesh = Mesh::new(
        grid.nodes.clone(),
        grid.triangles.clone(),
        Thickness::Uniform(3.0),
    )
    .unwrap();
    let section = Section::isotropic(Isotropic {
        modulus: 1400.0,
        poisson: 0.3,
    })
    .unwrap();
    let model = Model::new(mesh, section);
    let mut load = Load::none(grid.nodes.len());
    let mut whole = 0.0;
    for (node, place) in grid.nodes.iter().enumerate() {
        let share = 0.2 * (1.0 - (place.x / 90.0).powi(2));
        load.force(node, Vector3::z() * -share).unwrap();
        whole += share;
    }
    let lowest = grid.nodes.iter().map(|n| n.z).fold(f64::INFINITY, f64::min);
    let floor = Floor {
        normal: Vector3::z(),
        candidates: grid
            .nodes
            .iter()
            .enumerate()
            .map(|(node, place)| Candidate {
                node,
                gap: place.z - lowest,
            })
            .collect(),
    };
    let bent = bend(&model, &load, Some(&floor), &Steps::default()).unwrap();
    // Springs and damping that hold the body while it is solved for must not cost corrections, nor digits.
    assert!(
        bent.corrections.iter().all(|count| *count <= 9),
        "{:?}",
        bent.corrections
    );
    let last = bent.residuals[bent.residuals.len() - 1];
    assert!(last < 2e-9, "{:?}", bent.residuals);
    let total: f64 = bent.forces.iter().sum();
    assert!((total / whole - 1.0).abs() < 1e-9, "{total} of {whole}");
    assert!(bent.gaps.iter().all(|gap| *gap > -1e-11));
    let off_floor = |(force, gap): (&f64, &f64)| *force == 0.0 || gap.abs() < 1e-11;
    assert!(bent.forces.iter().zip(&bent.gaps).all(off_floor));
}

#[test]
fn what_cannot_be_balanced_is_said_in_a_sentence() {
    let (grid, model, stiffness) = strip(10, 0.1);
    // A push along the strip far above buckling, in one step with few corrections.
    let load = at_end(&grid, 10, |load, node, share| {
        load.force(
            node,
            Vector3::new(-400.0 * stiffness / 100.0, 0.0, 1e-3) * share,
        )
        .unwrap();
    });
    let steps = Steps {
        steps: 1,
        corrections: 3,
        halvings: 1,
        ..Steps::default()
    };
    let error = bend(&model, &load, None, &steps).unwrap_err();
    assert!(matches!(error, FemError::NotBalanced { .. }), "{error}");
    assert!(bend(&model, &Load::none(3), None, &steps).is_err());
}
