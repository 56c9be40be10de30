//! Patch tests: a state of constant strain must come out to round-off on any mesh. Source: MacNeal & Harder
//! 1985 (patch from memory, M); the exact states are derived (D).

mod cases;

use fem::{
    Displacement, Freedom, Isotropic, Layer, Load, Mesh, Model, Orthotropic, Section, Supports,
    System, Thickness, feel,
};
use nalgebra::{Matrix3, Point3, Rotation3, Vector3};

/// The patch of MacNeal and Harder, its five four-sided pieces cut into triangles either way.
fn patch(spin: &Rotation3<f64>, other_cut: bool, thickness: f64) -> Mesh {
    let flat = [
        (0.0, 0.0),
        (0.24, 0.0),
        (0.24, 0.12),
        (0.0, 0.12),
        (0.04, 0.02),
        (0.18, 0.03),
        (0.16, 0.08),
        (0.08, 0.08),
    ];
    let nodes = flat
        .iter()
        .map(|&(x, y)| spin * Point3::new(x, y, 0.0))
        .collect();
    let pieces = [
        [0, 1, 5, 4],
        [1, 2, 6, 5],
        [2, 3, 7, 6],
        [3, 0, 4, 7],
        [4, 5, 6, 7],
    ];
    let triangles = pieces
        .iter()
        .flat_map(|&[a, b, c, d]| {
            if other_cut {
                [[a, b, d], [b, c, d]]
            } else {
                [[a, b, c], [a, c, d]]
            }
        })
        .collect();
    Mesh::new(nodes, triangles, Thickness::Uniform(thickness)).unwrap()
}

/// Holds the outer nodes at an exact state (as motion and turn in the flat axes) and solves for the inner.
fn solve(
    mesh: Mesh,
    section: Section,
    spin: &Rotation3<f64>,
    exact: impl Fn(f64, f64) -> [Vector3<f64>; 2],
) -> (Model, Displacement, f64) {
    let at = |node: usize| {
        let flat = spin.inverse() * mesh.nodes()[node];
        exact(flat.x, flat.y).map(|part| spin * part)
    };
    let mut supports = Supports::none(8);
    for node in 0..4 {
        let [shift, turn] = at(node);
        for part in 0..3 {
            supports.prescribe(node, Freedom::SHIFTS[part], shift[part]);
            supports.prescribe(node, Freedom::TURNS[part], turn[part]);
        }
    }
    let expected: Vec<[Vector3<f64>; 2]> = (0..8).map(at).collect();
    let model = Model::new(mesh, section)
        .with_supports(supports)
        .unwrap()
        .with_axis(spin * Vector3::x())
        .unwrap();
    let system = System::new(model.clone()).unwrap();
    let none = Load::none(8);
    let moved = system.solve(&[&none]).unwrap().remove(0);
    let size = expected
        .iter()
        .flatten()
        .map(Vector3::norm)
        .fold(0.0, f64::max);
    let off = (0..8)
        .map(|node| {
            (moved.shift(node) - expected[node][0])
                .norm()
                .max((moved.turn(node) - expected[node][1]).norm())
        })
        .fold(0.0, f64::max);
    (model, moved, off / size)
}

fn membrane(x: f64, y: f64) -> [Vector3<f64>; 2] {
    // u = 1e-3 (x + y/2), v = 1e-3 (y + x/2): no turn about the normal.
    [
        Vector3::new(x + y / 2.0, y + x / 2.0, 0.0) * 1e-3,
        Vector3::zeros(),
    ]
}

fn bending(x: f64, y: f64) -> [Vector3<f64>; 2] {
    // w = 0.5e-3 (x² + x y + y²); turns w,y about x and -w,x about y.
    let (slope_x, slope_y) = (1e-3 * (x + y / 2.0), 1e-3 * (y + x / 2.0));
    [
        Vector3::new(0.0, 0.0, 0.5e-3 * (x * x + x * y + y * y)),
        Vector3::new(slope_y, -slope_x, 0.0),
    ]
}

fn spins() -> [Rotation3<f64>; 2] {
    [
        Rotation3::identity(),
        Rotation3::from_euler_angles(0.7, -0.4, 1.9),
    ]
}

/// What round-off may leave: in a turned patch the stiffness of stretch, larger than that of bending by the
/// square of size over thickness, is mixed into every entry and its last digits with it.
fn round_off(spin: &Rotation3<f64>, thickness: f64) -> f64 {
    let mixed = if spin.angle() == 0.0 {
        0.0
    } else {
        (0.24 / thickness).powi(2)
    };
    1e-15 * (1e3 + 2.0 * mixed)
}

fn plain() -> Section {
    Section::isotropic(Isotropic {
        modulus: 1e6,
        poisson: 0.25,
    })
    .unwrap()
}

#[test]
fn constant_stretch_is_exact_and_gives_the_published_stress() {
    for spin in spins() {
        for cut in [false, true] {
            let (model, moved, off) = solve(patch(&spin, cut, 0.001), plain(), &spin, membrane);
            assert!(off < round_off(&spin, 0.001), "{off}");
            for stress in feel(&model, &moved)
                .unwrap()
                .stresses(&model)
                .unwrap()
                .iter()
                .flatten()
            {
                for layer in stress.layers() {
                    let flat = spin.inverse().matrix() * layer.0 * spin.matrix();
                    let expected = Matrix3::new(
                        4000.0 / 3.0,
                        400.0,
                        0.0,
                        400.0,
                        4000.0 / 3.0,
                        0.0,
                        0.0,
                        0.0,
                        0.0,
                    );
                    assert!((flat - expected).amax() < 1e-7, "{flat}");
                }
            }
        }
    }
}

#[test]
fn constant_bending_is_exact_thin_and_thick_and_gives_the_published_moment_and_stress() {
    for spin in spins() {
        for cut in [false, true] {
            for thickness in [1e-5, 0.001, 0.05] {
                let (model, moved, off) =
                    solve(patch(&spin, cut, thickness), plain(), &spin, bending);
                let allowed = round_off(&spin, thickness);
                assert!(off < allowed, "{thickness}: {off}");
                // Strains are differences of motions over elements of a tenth of the patch.
                let near = (1e3 * allowed).max(1e-8);
                let feelings = feel(&model, &moved).unwrap();
                let scale = (thickness / 0.001_f64).powi(3);
                for corner in feelings.corners.iter().flatten() {
                    // A positive curvature of w turns the top away: moments and stresses are negative here.
                    let expected =
                        Vector3::new(-1.0 / 9.0 * 1e-6, -1.0 / 9.0 * 1e-6, -1.0 / 3.0 * 1e-7)
                            * scale;
                    assert!(
                        (corner.moment - expected).amax() < near * expected.amax(),
                        "{}",
                        corner.moment
                    );
                    assert!(
                        corner.shear.amax() < near * expected.amax() / thickness,
                        "{}",
                        corner.shear
                    );
                }
                for through in feelings.stresses(&model).unwrap().iter().flatten() {
                    let top = spin.inverse().matrix() * through.top.0 * spin.matrix();
                    let bottom = spin.inverse().matrix() * through.bottom.0 * spin.matrix();
                    let size = thickness / 0.001;
                    assert!(
                        (top[(0, 0)] + 2.0 / 3.0 * size).abs() < near * size,
                        "{top}"
                    );
                    assert!((top[(0, 1)] + 0.2 * size).abs() < near * size, "{top}");
                    assert!(
                        (bottom[(1, 1)] - 2.0 / 3.0 * size).abs() < near * size,
                        "{bottom}"
                    );
                }
            }
        }
    }
}

#[test]
fn a_layered_section_passes_both_at_once_with_its_stretch_and_bending_coupled() {
    let material = Orthotropic {
        e1: 130e3,
        e2: 9e3,
        nu12: 0.29,
        g12: 4.5e3,
        g13: 4.5e3,
        g23: 3.2e3,
    };
    let layers = [(0.2, 0.3), (0.5, -1.1), (0.3, 0.8)].map(|(share, angle)| Layer {
        share,
        angle,
        material,
    });
    let section = Section::layered(&layers)
        .unwrap()
        .with_offset(0.35)
        .unwrap();
    for spin in spins() {
        let both = |x: f64, y: f64| {
            let ([a, b], [c, d]) = (membrane(x, y), bending(x, y));
            [a + c, b + d]
        };
        let (model, moved, off) = solve(patch(&spin, true, 0.01), section.clone(), &spin, both);
        assert!(off < round_off(&spin, 0.01), "{off}");
        let strain = Vector3::new(1e-3, 1e-3, 1e-3);
        let curvature = Vector3::new(-1e-3, -1e-3, -1e-3);
        let force =
            section.stretch_stiffness(0.01) * strain + section.coupling_stiffness(0.01) * curvature;
        let moment =
            section.coupling_stiffness(0.01) * strain + section.bending_stiffness(0.01) * curvature;
        for corner in feel(&model, &moved).unwrap().corners.iter().flatten() {
            assert!(
                (corner.force - force).norm() < 1e-8 * force.norm(),
                "{} {force}",
                corner.force
            );
            assert!((corner.moment - moment).norm() < 1e-8 * moment.norm());
        }
    }
}

#[test]
fn one_turned_model_gives_the_turned_answer() {
    let grid = cases::grid::Grid::new(6, 5, cases::grid::Cut::Alternating, |u, v| {
        Point3::new(3.0 * u, 2.0 * v, 0.5 * (u * u - v * v) + 0.2 * u * v)
    });
    let answer = |spin: &Rotation3<f64>| {
        let nodes = grid.nodes.iter().map(|node| spin * node).collect();
        let mesh = Mesh::new(nodes, grid.triangles.clone(), Thickness::Uniform(0.05)).unwrap();
        let mut supports = Supports::none(grid.nodes.len());
        for node in grid.column(0) {
            supports.hold_all(node);
        }
        let mut load = Load::none(grid.nodes.len());
        load.pressure(&mesh, |triangle| [1.0 + triangle as f64 * 0.01; 3])
            .unwrap();
        let model = Model::new(mesh, plain()).with_supports(supports).unwrap();
        System::new(model)
            .unwrap()
            .solve(&[&load])
            .unwrap()
            .remove(0)
    };
    let here = answer(&Rotation3::identity());
    let spin = Rotation3::from_euler_angles(-1.2, 0.5, 2.8);
    let there = answer(&spin);
    let size = here.shift(grid.at(6, 5)).norm();
    for node in 0..grid.nodes.len() {
        assert!((there.shift(node) - spin * here.shift(node)).norm() < 1e-9 * size);
        assert!((there.turn(node) - spin * here.turn(node)).norm() < 1e-9 * size);
    }
}

#[test]
fn the_assembled_body_of_a_curved_shell_has_six_motions_for_nothing() {
    let grid = cases::grid::Grid::new(3, 3, cases::grid::Cut::Rising, |u, v| {
        Point3::new(3.0 * u, 2.0 * v, 0.5 * (u * u - v * v) + 0.2 * u * v)
    });
    let mesh = Mesh::new(
        grid.nodes.clone(),
        grid.triangles.clone(),
        Thickness::Uniform(0.05),
    )
    .unwrap();
    let model = Model::new(mesh, plain());
    let pattern = fem::pattern::Pattern::of(&model).unwrap();
    let matrix = pattern.assemble(&model).unwrap();
    let n = pattern.equations();
    assert_eq!(n, 96);
    let mut dense = nalgebra::DMatrix::zeros(n, n);
    let (start, rows) = pattern.lower();
    for column in 0..n {
        for entry in start[column]..start[column + 1] {
            dense[(rows[entry], column)] = matrix.values()[entry];
            dense[(column, rows[entry])] = matrix.values()[entry];
        }
    }
    let mut found: Vec<f64> = dense.symmetric_eigenvalues().iter().copied().collect();
    found.sort_by(f64::total_cmp);
    let largest = found[n - 1];
    assert!(
        found[..6].iter().all(|value| value.abs() < 1e-13 * largest),
        "{:?}",
        &found[..8]
    );
    assert!(found[6] > 1e-9 * largest, "{:?}", &found[..8]);
}
