//! Every case with its target, where the target comes from and the meshes it is run on.

use super::grid::Cut;
use super::plates::{
    BeamLoad, BeamShape, Edge, Pull, cantilever, circle, cook, isotropic, rectangle,
    rigid_in_shear, straight_beam,
};
use super::shells::{
    curved_beam, hemisphere, hypar, le5, pinched_cylinder, raasch_hook, scordelis_lo,
    slit_cylinder, twisted_beam,
};

/// One published case.
pub struct Case {
    pub name: &'static str,
    pub target: f64,
    /// How the target was read, and where it comes from.
    pub source: &'static str,
    /// Three meshes, each of half the size of the one before: the order is observed from them.
    pub meshes: [usize; 3],
    /// The largest |value / target - 1| allowed on the finest of the three meshes.
    pub within: f64,
    /// Why so much is allowed.
    pub reason: &'static str,
    /// The least order of convergence that must be observed; none where the values are exact or the
    /// remaining difference is smaller than the mesh's.
    pub least_order: Option<f64>,
    pub run: fn(usize, Cut) -> f64,
}

/// What was found for a case.
pub struct Found {
    pub values: [f64; 3],
    pub ratio: f64,
    /// Order observed from the differences of three meshes.
    pub order: f64,
    /// Value for ever finer meshes that the three suggest.
    pub limit: f64,
}

impl Case {
    pub fn find(&self, cut: Cut) -> Found {
        let values = self.meshes.map(|n| (self.run)(n, cut));
        let (first, second) = (values[1] - values[0], values[2] - values[1]);
        let order = (first / second).abs().log2();
        let limit = values[2] + second / (2.0_f64.powf(order) - 1.0);
        Found {
            values,
            ratio: values[2] / self.target,
            order,
            limit,
        }
    }
}

const PLATES: &str = "C: Navier and Levy series, 60 terms; Ritz 12 x 12 for clamped";
const SQUARE: [f64; 2] = [1.0, 1.0];
/// D of a plate with E = 1.7472e7, t = 1e-4, nu = 0.3.
const MH_D: f64 = 1.6e-6;

fn square(edge: Edge, pull: Pull, n: usize, cut: Cut) -> f64 {
    let (thickness, nu): (f64, f64) = (1e-3, 0.3);
    let bending = thickness.powi(3) / (12.0 * (1.0 - nu * nu));
    rectangle(SQUARE, thickness, 1.0, nu, edge, pull, 1.0, n, cut) * bending
}

fn long_plate(edge: Edge, pull: Pull, n: usize, cut: Cut) -> f64 {
    let size = if pull == Pull::Uniform { 1e-4 } else { 4e-4 };
    debug_assert!((1.747_2e7 * 1e-12 / (12.0 * 0.91) - MH_D).abs() < 1e-12);
    rectangle([2.0, 10.0], 1e-4, 1.747_2e7, 0.3, edge, pull, size, n, cut)
}

/// Deflection factor of a circular plate with the shear of its thickness added, in units of the thin clamped one.
fn round_target(edge: Edge, thickness: f64, nu: f64) -> f64 {
    let bend = if edge == Edge::Clamped {
        1.0
    } else {
        (5.0 + nu) / (1.0 + nu)
    };
    bend + 16.0 / 5.0 * thickness * thickness / (1.0 - nu)
}

/// Deflection of a cantilever strip, bent freely (0) or to a cylinder (Poisson's ratio), its shear added.
fn strip_target(kept_flat: f64) -> f64 {
    let (length, breadth, thickness, modulus, nu, force): (f64, f64, f64, f64, f64, f64) =
        (100.0, 30.0, 4.0, 1400.0, 0.42, 50.0);
    let inertia = breadth * thickness.powi(3) / 12.0;
    let shear = modulus / (2.0 * (1.0 + nu));
    force * length.powi(3) / (3.0 * modulus / (1.0 - kept_flat * kept_flat) * inertia)
        + force * length / (5.0 / 6.0 * shear * breadth * thickness)
}

/// Twist of the straight beam: length over shear modulus and Saint-Venant's constant of a rectangle 0.2 by 0.1.
fn rectangle_twist() -> f64 {
    let (breadth, thickness): (f64, f64) = (0.2, 0.1);
    let series: f64 = (0..40)
        .map(|k| {
            let odd = f64::from(2 * k + 1);
            (odd * std::f64::consts::FRAC_PI_2 * breadth / thickness).tanh() / odd.powi(5)
        })
        .sum();
    let constant = breadth * thickness.powi(3) / 3.0
        * (1.0 - 192.0 / std::f64::consts::PI.powi(5) * thickness / breadth * series);
    6.0 / (1e7 / 2.6 * constant)
}

/// Radial motion of the free end of a quarter ring under a radial force of 1 on a wall of 0.1.
fn quarter_ring() -> f64 {
    let (a, b): (f64, f64) = (4.12, 4.32);
    let squares = a * a + b * b;
    let n = a * a - b * b + squares * (b / a).ln();
    std::f64::consts::PI * squares / (1e7 * 0.1 * n)
}

pub fn cases() -> Vec<Case> {
    use BeamLoad::{Extension, InPlane, OutOfPlane, Twist};
    use BeamShape::{Parallelograms, Regular, Trapezoids};
    vec![
        Case {
            name: "square plate, simply supported, uniform",
            target: 0.004_062_35,
            source: PLATES,
            meshes: [4, 8, 16],
            within: 0.005,
            reason: "error of the mesh",
            least_order: Some(1.7),
            run: |n, cut| square(Edge::Simple, Pull::Uniform, n, cut),
        },
        Case {
            name: "square plate, simply supported, point",
            target: 0.011_600_8,
            source: PLATES,
            meshes: [4, 8, 16],
            within: 0.005,
            reason: "error of the mesh at a point load",
            least_order: Some(1.3),
            run: |n, cut| square(Edge::Simple, Pull::Point, n, cut),
        },
        Case {
            name: "square plate, clamped, uniform",
            target: 0.001_265_32,
            source: PLATES,
            meshes: [4, 8, 16],
            within: 0.01,
            reason: "error of the mesh",
            least_order: Some(1.7),
            run: |n, cut| square(Edge::Clamped, Pull::Uniform, n, cut),
        },
        Case {
            name: "square plate, clamped, point",
            target: 0.005_612,
            source: "M: handbook limit 0.00561; C: Ritz 0.005584 rising",
            meshes: [4, 8, 16],
            within: 0.01,
            reason: "error of the mesh at a point load",
            least_order: Some(1.2),
            run: |n, cut| square(Edge::Clamped, Pull::Point, n, cut),
        },
        Case {
            name: "square plate, clamped, uniform, t/a = 1e-6",
            target: 0.001_265_32,
            source: PLATES,
            meshes: [4, 8, 16],
            within: 0.01,
            reason: "as at t/a = 1e-3: nothing locks",
            least_order: Some(1.7),
            run: |n, cut| {
                let bending = 1e-18 / (12.0 * 0.91);
                rectangle(
                    SQUARE,
                    1e-6,
                    1.0,
                    0.3,
                    Edge::Clamped,
                    Pull::Uniform,
                    1.0,
                    n,
                    cut,
                ) * bending
            },
        },
        Case {
            name: "plate 1:5, simply supported, uniform",
            target: 12.97,
            source: "M: MacNeal & Harder 1985; C: series",
            meshes: [4, 8, 16],
            within: 0.005,
            reason: "error of the mesh, target of four digits",
            least_order: None,
            run: |n, cut| long_plate(Edge::Simple, Pull::Uniform, n, cut),
        },
        Case {
            name: "plate 1:5, simply supported, point",
            target: 16.96,
            source: "M: MacNeal & Harder 1985; C: series",
            meshes: [16, 32, 64],
            within: 0.003,
            reason: "elements five times longer than wide under a point load",
            least_order: Some(1.2),
            run: |n, cut| long_plate(Edge::Simple, Pull::Point, n, cut),
        },
        Case {
            name: "plate 1:5, clamped, uniform",
            target: 2.604_17,
            source: "D: q a^4 / 384 D of an endless strip, whose ends five widths off do not matter; M: MacNeal & Harder print 2.56",
            meshes: [8, 16, 32],
            within: 0.005,
            reason: "error of the mesh",
            least_order: Some(1.6),
            run: |n, cut| long_plate(Edge::Clamped, Pull::Uniform, n, cut),
        },
        Case {
            name: "plate 1:5, clamped, point",
            target: 7.23,
            source: "M: MacNeal & Harder 1985",
            meshes: [16, 32, 64],
            within: 0.005,
            reason: "elements five times longer than wide under a point load; target of three digits",
            least_order: None,
            run: |n, cut| long_plate(Edge::Clamped, Pull::Point, n, cut),
        },
        Case {
            name: "round plate, clamped, uniform, t/a = 0.01",
            target: round_target(Edge::Clamped, 0.01, 0.3),
            source: "S: q a^4 / 64 D; D: shear added",
            meshes: [6, 12, 24],
            within: 0.002,
            reason: "a polygon for a circle",
            least_order: None,
            run: |n, _| circle(0.01, 0.3, Edge::Clamped, Pull::Uniform, n),
        },
        Case {
            name: "round plate, clamped, uniform, t/a = 0.2",
            target: round_target(Edge::Clamped, 0.2, 0.3),
            source: "S: q a^4 / 64 D; D: shear added",
            meshes: [6, 12, 24],
            within: 0.002,
            reason: "a polygon for a circle",
            least_order: Some(1.0),
            run: |n, _| circle(0.2, 0.3, Edge::Clamped, Pull::Uniform, n),
        },
        Case {
            name: "round plate, simply supported, uniform, t/a = 0.2",
            target: round_target(Edge::Simple, 0.2, 0.3),
            source: "S: (5 + nu) / (1 + nu) q a^4 / 64 D; D: shear added",
            meshes: [6, 12, 24],
            within: 0.002,
            reason: "a polygon for a circle",
            least_order: Some(1.7),
            run: |n, _| circle(0.2, 0.3, Edge::Simple, Pull::Uniform, n),
        },
        Case {
            name: "round plate, clamped, point, t/a = 0.001",
            target: 1.0,
            source: "M: P a^2 / 16 pi D, thin",
            meshes: [6, 12, 24],
            within: 0.005,
            reason: "a polygon for a circle",
            least_order: Some(1.3),
            run: |n, _| circle(0.001, 0.3, Edge::Clamped, Pull::Point, n),
        },
        Case {
            name: "Cook's panel",
            target: 23.97,
            source: "S",
            meshes: [8, 16, 32],
            within: 0.007,
            reason: "error of the mesh, target of four digits",
            least_order: Some(1.3),
            run: cook,
        },
        Case {
            name: "straight beam, extension",
            target: 3.0e-5,
            source: "M: MacNeal & Harder 1985; D: P L / E A",
            meshes: [1, 2, 4],
            within: 0.004,
            reason: "contraction at the clamp, which the bar formula leaves out",
            least_order: None,
            run: |n, cut| straight_beam(Extension, Regular, n, cut),
        },
        Case {
            name: "straight beam, in plane",
            target: 0.1081,
            source: "M: MacNeal & Harder 1985",
            meshes: [1, 2, 4],
            within: 0.01,
            reason: "error of the mesh",
            least_order: None,
            run: |n, cut| straight_beam(InPlane, Regular, n, cut),
        },
        Case {
            name: "straight beam, in plane, trapezoids",
            target: 0.1081,
            source: "M: MacNeal & Harder 1985",
            meshes: [1, 2, 4],
            within: 0.01,
            reason: "only the first mesh is distorted",
            least_order: None,
            run: |n, cut| straight_beam(InPlane, Trapezoids, n, cut),
        },
        Case {
            name: "straight beam, in plane, parallelograms",
            target: 0.1081,
            source: "M: MacNeal & Harder 1985",
            meshes: [1, 2, 4],
            within: 0.01,
            reason: "only the first mesh is distorted",
            least_order: None,
            run: |n, cut| straight_beam(InPlane, Parallelograms, n, cut),
        },
        Case {
            name: "straight beam, out of plane",
            target: 0.4321,
            source: "M: MacNeal & Harder 1985",
            meshes: [1, 2, 4],
            within: 0.01,
            reason: "the clamp stiffens a plate more than a beam",
            least_order: None,
            run: |n, cut| straight_beam(OutOfPlane, Regular, n, cut),
        },
        Case {
            name: "straight beam, twist",
            target: rectangle_twist(),
            source: "D: T L / G J, J by Saint-Venant's series; M: MacNeal & Harder print 0.03208",
            meshes: [12, 24, 48],
            within: 0.02,
            reason: "shear dies out within half a thickness of the sides, which takes a fine mesh; the clamp stops warping",
            least_order: None,
            run: |n, cut| straight_beam(Twist, Regular, n, cut),
        },
        Case {
            name: "Scordelis-Lo roof",
            target: 0.3024,
            source: "S: 0.3024 and 0.30202; M: 0.3006 rigid in shear",
            meshes: [8, 16, 32],
            within: 0.006,
            reason: "published targets spread from 0.3006 to 0.3024",
            least_order: Some(1.5),
            run: scordelis_lo,
        },
        Case {
            name: "pinched cylinder, diaphragms",
            target: 1.824_88e-5,
            source: "S",
            meshes: [16, 32, 64],
            within: 0.015,
            reason: "shear adds to the target of thin theory: 1.2 % here; without shear see the next row",
            least_order: None,
            run: |n, cut| {
                pinched_cylinder(300.0, 600.0, 3.0, isotropic(3e6, 0.3), 1.0, true, n, cut)
            },
        },
        Case {
            name: "pinched cylinder, diaphragms, rigid in shear",
            target: 1.824_88e-5,
            source: "S",
            meshes: [16, 32, 64],
            within: 0.006,
            reason: "error of the mesh at a point load",
            least_order: None,
            run: |n, cut| {
                let section = rigid_in_shear(3e6, 0.3);
                pinched_cylinder(300.0, 600.0, 3.0, section, 1.0, true, n, cut)
            },
        },
        Case {
            name: "pinched cylinder, free ends, t = 0.094",
            target: 0.1139,
            source: "M; S: formula with k gives 0.1134",
            meshes: [8, 16, 32],
            within: 0.006,
            reason: "the two published values differ by 0.4 %",
            least_order: Some(1.6),
            run: |n, cut| {
                pinched_cylinder(
                    4.953,
                    10.35,
                    0.094,
                    isotropic(10.5e6, 0.3125),
                    100.0,
                    false,
                    n,
                    cut,
                )
            },
        },
        Case {
            name: "pinched cylinder, free ends, t/R = 1e-4",
            target: 1.912 * 100.0 * 4.953 / (10.5e6 * 4.953e-4_f64 * 4.953e-4 * 4.953e-4),
            source: "S: k = 1.912",
            meshes: [16, 32, 64],
            within: 0.002,
            reason: "error of the mesh",
            least_order: None,
            run: |n, cut| {
                pinched_cylinder(
                    4.953,
                    10.35,
                    4.953e-4,
                    isotropic(10.5e6, 0.3125),
                    100.0,
                    false,
                    n,
                    cut,
                )
            },
        },
        Case {
            name: "pinched hemisphere, closed",
            target: 0.0924,
            source: "S",
            meshes: [8, 16, 32],
            within: 0.003,
            reason: "target of three digits",
            least_order: Some(2.0),
            run: |n, cut| hemisphere(false, n, cut),
        },
        Case {
            name: "pinched hemisphere, 18 degree hole",
            target: 0.0940,
            source: "M: MacNeal & Harder 1985; S: 0.093 also used",
            meshes: [8, 16, 32],
            within: 0.011,
            reason: "two published targets, 0.093 and 0.094; this converges to 0.0935",
            least_order: Some(2.0),
            run: |n, cut| hemisphere(true, n, cut),
        },
        Case {
            name: "twisted beam t = 0.32, along the width",
            target: 0.005_424_534_868_469,
            source: "S: Zupan & Saje 2004",
            meshes: [2, 4, 8],
            within: 0.004,
            reason: "error of the mesh; a beam's target for a shell",
            least_order: None,
            run: |n, cut| twisted_beam(0.32, 1.0, true, n, cut),
        },
        Case {
            name: "twisted beam t = 0.32, across the width",
            target: 0.001_753_248_285_256,
            source: "S: Zupan & Saje 2004",
            meshes: [2, 4, 8],
            within: 0.004,
            reason: "error of the mesh; a beam's target for a shell",
            least_order: None,
            run: |n, cut| twisted_beam(0.32, 1.0, false, n, cut),
        },
        Case {
            name: "twisted beam t = 0.0032, along the width",
            target: 0.005_256,
            source: "S",
            meshes: [4, 8, 16],
            within: 0.003,
            reason: "error of the mesh; target of four digits",
            least_order: Some(1.6),
            run: |n, cut| twisted_beam(0.0032, 1e-6, true, n, cut),
        },
        Case {
            name: "twisted beam t = 0.0032, across the width",
            target: 0.001_294,
            source: "S",
            meshes: [4, 8, 16],
            within: 0.003,
            reason: "error of the mesh; target of four digits",
            least_order: Some(1.6),
            run: |n, cut| twisted_beam(0.0032, 1e-6, false, n, cut),
        },
        Case {
            name: "curved beam, in plane",
            target: quarter_ring(),
            source: "D: Golovin's exact curved bar; S: MacNeal & Harder print 0.08734",
            meshes: [1, 2, 4],
            within: 0.01,
            reason: "Golovin's bar may warp at its clamp",
            least_order: None,
            run: |n, cut| curved_beam(true, n, cut),
        },
        Case {
            name: "curved beam, out of plane",
            target: 0.5022,
            source: "S",
            meshes: [8, 16, 32],
            within: 0.02,
            reason: "shear dies out within half a thickness of the sides, which takes a fine mesh",
            least_order: None,
            run: |n, cut| curved_beam(false, n, cut),
        },
        Case {
            name: "Raasch hook",
            target: 5.02,
            source: "S: 5.02, 20-node solid 5.022; M: 4.9352",
            meshes: [8, 16, 32],
            within: 0.01,
            reason: "published references spread from 4.93 to 5.02",
            least_order: None,
            run: raasch_hook,
        },
        Case {
            name: "clamped saddle, t/L = 1e-2",
            target: 9.3355e-5,
            source: "S: Bathe 2000",
            meshes: [8, 16, 32],
            within: 0.006,
            reason: "error of the mesh",
            least_order: None,
            run: |n, cut| hypar(0.01, 80.0, n, cut).0,
        },
        Case {
            name: "clamped saddle, t/L = 1e-3",
            target: 6.3941e-3,
            source: "S: Bathe 2000",
            meshes: [8, 16, 32],
            within: 0.01,
            reason: "error of the mesh",
            least_order: None,
            run: |n, cut| hypar(0.001, 8.0, n, cut).0,
        },
        Case {
            name: "clamped saddle, t/L = 1e-4",
            target: 5.2988e-1,
            source: "S: Bathe 2000",
            meshes: [12, 24, 48],
            within: 0.01,
            reason: "error of the mesh; boundary layers of width sqrt(t)",
            least_order: None,
            run: |n, cut| hypar(0.0001, 0.8, n, cut).0,
        },
        Case {
            name: "clamped saddle, t/L = 1e-3, energy",
            target: 1.1013e-2,
            source: "S: Bathe 2000",
            meshes: [8, 16, 32],
            within: 0.01,
            reason: "error of the mesh",
            least_order: None,
            run: |n, cut| hypar(0.001, 8.0, n, cut).1,
        },
        Case {
            name: "slit cylinder under torque, slide of the slit",
            target: 1.0,
            source: "S: NAFEMS P12, exact",
            meshes: [8, 16, 32],
            within: 0.003,
            reason: "error of the mesh",
            least_order: Some(1.6),
            run: slit_cylinder,
        },
        Case {
            name: "LE5 Z-section, stress",
            target: -108.0,
            source: "S: NAFEMS LE5; C: Vlasov 107.87; shell references 107 to 112",
            meshes: [4, 8, 16],
            within: 0.035,
            reason: "shell references spread from 107 to 112; Vlasov gives 107.87",
            least_order: None,
            run: le5,
        },
        Case {
            name: "cantilever strip, narrow",
            target: strip_target(0.0),
            source: "D: P L^3 / 3 E I + P L / (5/6 G A)",
            meshes: [16, 32, 64],
            within: 0.004,
            reason: "the clamp keeps the sides from bending back, which beam theory leaves out",
            least_order: None,
            run: |n, _| cantilever(100.0, 3.0, isotropic(1400.0, 0.42), |_| 4.0, 5.0, n, false),
        },
        Case {
            name: "cantilever strip, wide",
            target: strip_target(0.42),
            source: "D: as above with E / (1 - nu^2)",
            meshes: [16, 32, 64],
            within: 0.0005,
            reason: "error of the mesh",
            least_order: Some(1.5),
            run: |n, _| cantilever(100.0, 30.0, isotropic(1400.0, 0.42), |_| 4.0, 50.0, n, true),
        },
    ]
}
