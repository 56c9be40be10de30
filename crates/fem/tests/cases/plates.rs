//! Flat plates and beams made of plate.

use fem::{
    Freedom, Isotropic, Layer, Load, Mesh, Mirror, Model, Orthotropic, Section, Supports, System,
    Thickness,
};
use nalgebra::{Point3, Vector3};

use super::grid::{Cut, Grid, Rings};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// Deflection and the turn along the edge held ("hard" support).
    Simple,
    Clamped,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pull {
    Uniform,
    Point,
}

pub fn isotropic(modulus: f64, poisson: f64) -> Section {
    Section::isotropic(Isotropic { modulus, poisson }).unwrap()
}

/// Isotropic, but a thousand times stiffer across the thickness: what thin theory assumes.
pub fn rigid_in_shear(modulus: f64, poisson: f64) -> Section {
    let mut material = Orthotropic::from(Isotropic { modulus, poisson });
    material.g13 *= 1e3;
    material.g23 *= 1e3;
    Section::layered(&[Layer {
        share: 1.0,
        angle: 0.0,
        material,
    }])
    .unwrap()
}

/// Deflection at the centre of a rectangle a × b, one quarter meshed n × n; load q per area or P at the centre.
#[allow(clippy::too_many_arguments)]
pub fn rectangle(
    [a, b]: [f64; 2],
    thickness: f64,
    modulus: f64,
    poisson: f64,
    edge: Edge,
    pull: Pull,
    size: f64,
    n: usize,
    cut: Cut,
) -> f64 {
    let grid = Grid::new(n, n, cut, |u, v| Point3::new(u * a / 2.0, v * b / 2.0, 0.0));
    let mesh = Mesh::new(
        grid.nodes.clone(),
        grid.triangles.clone(),
        Thickness::Uniform(thickness),
    )
    .unwrap();
    let mut supports = Supports::none(grid.nodes.len());
    for node in 0..grid.nodes.len() {
        supports.hold(node, &[Freedom::Ux, Freedom::Uy, Freedom::Rz]);
    }
    for node in grid.column(0) {
        supports.mirror(node, Mirror::AcrossX);
    }
    for node in grid.row(0) {
        supports.mirror(node, Mirror::AcrossY);
    }
    for (nodes, along) in [(grid.column(n), Freedom::Rx), (grid.row(n), Freedom::Ry)] {
        for node in nodes {
            match edge {
                Edge::Simple => supports.hold(node, &[Freedom::Uz, along]),
                Edge::Clamped => supports.hold_all(node),
            };
        }
    }
    let mut load = Load::none(grid.nodes.len());
    match pull {
        Pull::Uniform => load.traction(&mesh, |_| [Vector3::z() * size; 3]).unwrap(),
        Pull::Point => load.force(0, Vector3::z() * (size / 4.0)).unwrap(),
    }
    let model = Model::new(mesh, isotropic(modulus, poisson))
        .with_supports(supports)
        .unwrap();
    System::new(model).unwrap().solve(&[&load]).unwrap()[0]
        .shift(0)
        .z
}

/// Centre deflection of a circular plate, in units of q a^4 / (64 D) or P a² / (16 π D).
pub fn circle(thickness: f64, poisson: f64, edge: Edge, pull: Pull, n: usize) -> f64 {
    let rings = Rings::new(n, |r, angle| {
        Point3::new(r * angle.cos(), r * angle.sin(), 0.0)
    });
    let mesh = Mesh::new(
        rings.nodes.clone(),
        rings.triangles.clone(),
        Thickness::Uniform(thickness),
    )
    .unwrap();
    let mut supports = Supports::none(rings.nodes.len());
    for node in 0..rings.nodes.len() {
        supports.hold(node, &[Freedom::Ux, Freedom::Uy, Freedom::Rz]);
    }
    for node in rings.last_edge() {
        supports.mirror(node, Mirror::AcrossX);
    }
    for node in rings.first_edge() {
        supports.mirror(node, Mirror::AcrossY);
    }
    for node in rings.rim() {
        match edge {
            // Soft support: the rim's tangent is no coordinate axis; for a round plate hard and soft agree.
            Edge::Simple => supports.hold(node, &[Freedom::Uz]),
            Edge::Clamped => supports.hold_all(node),
        };
    }
    let mut load = Load::none(rings.nodes.len());
    match pull {
        Pull::Uniform => load.traction(&mesh, |_| [Vector3::z(); 3]).unwrap(),
        Pull::Point => load.force(0, Vector3::z() / 4.0).unwrap(),
    }
    let model = Model::new(mesh, isotropic(1.0, poisson))
        .with_supports(supports)
        .unwrap();
    let bending = thickness.powi(3) / (12.0 * (1.0 - poisson * poisson));
    let scale = match pull {
        Pull::Uniform => 64.0 * bending,
        Pull::Point => 16.0 * std::f64::consts::PI * bending,
    };
    System::new(model).unwrap().solve(&[&load]).unwrap()[0]
        .shift(0)
        .z
        * scale
}

/// Cook's tapered panel: vertical motion of the middle of the loaded end.
pub fn cook(n: usize, cut: Cut) -> f64 {
    let grid = Grid::new(n, n, cut, |u, v| {
        Point3::new(48.0 * u, 44.0 * u * (1.0 - v) + v * (44.0 + 16.0 * u), 0.0)
    });
    let mesh = Mesh::new(
        grid.nodes.clone(),
        grid.triangles.clone(),
        Thickness::Uniform(1.0),
    )
    .unwrap();
    let mut supports = Supports::none(grid.nodes.len());
    for node in 0..grid.nodes.len() {
        supports.hold(node, &[Freedom::Uz, Freedom::Rx, Freedom::Ry]);
    }
    for node in grid.column(0) {
        supports.hold_all(node);
    }
    let mut load = Load::none(grid.nodes.len());
    for ends in grid.column(n).windows(2) {
        load.along_edge(&mesh, [ends[0], ends[1]], [Vector3::y() / 16.0; 2])
            .unwrap();
    }
    let model = Model::new(mesh, isotropic(1.0, 1.0 / 3.0))
        .with_supports(supports)
        .unwrap();
    System::new(model).unwrap().solve(&[&load]).unwrap()[0]
        .shift(grid.at(n, n / 2))
        .y
}

/// The straight beam's four loads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BeamLoad {
    Extension,
    InPlane,
    OutOfPlane,
    Twist,
}

/// Shapes of the straight beam's elements.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BeamShape {
    Regular,
    Trapezoids,
    Parallelograms,
}

/// MacNeal-Harder straight beam, 6 × `n` by 1 × `n` rectangles: motion of the tip along the load.
pub fn straight_beam(load_kind: BeamLoad, shape: BeamShape, n: usize, cut: Cut) -> f64 {
    let (length, depth, columns) = (6.0, 0.2, 6 * n);
    let grid = Grid::new(columns, n, cut, |u, v| {
        // Inner cross lines lean by 45 degrees: by half the depth each way about the middle.
        let line = (u * 6.0).round() as i64;
        let lean = if n == 1 && line > 0 && line < 6 {
            (v - 0.5) * depth
        } else {
            0.0
        };
        let lean = match shape {
            BeamShape::Regular => 0.0,
            BeamShape::Trapezoids => lean * if line % 2 == 0 { 1.0 } else { -1.0 },
            BeamShape::Parallelograms => lean,
        };
        Point3::new(u * length + lean, v * depth, 0.0)
    });
    let mesh = Mesh::new(
        grid.nodes.clone(),
        grid.triangles.clone(),
        Thickness::Uniform(0.1),
    )
    .unwrap();
    let mut supports = Supports::none(grid.nodes.len());
    for node in grid.column(0) {
        supports.hold_all(node);
    }
    let tip = grid.column(columns);
    let mut load = Load::none(grid.nodes.len());
    let pull = match load_kind {
        BeamLoad::Extension => Vector3::x(),
        BeamLoad::InPlane => Vector3::y(),
        BeamLoad::OutOfPlane => Vector3::z(),
        BeamLoad::Twist => Vector3::zeros(),
    };
    for ends in tip.windows(2) {
        load.along_edge(&mesh, [ends[0], ends[1]], [pull / depth; 2])
            .unwrap();
    }
    if load_kind == BeamLoad::Twist {
        // A couple of two forces across the depth.
        load.force(tip[0], -Vector3::z() / depth).unwrap();
        load.force(tip[n], Vector3::z() / depth).unwrap();
    }
    let model = Model::new(mesh, isotropic(1e7, 0.3))
        .with_supports(supports)
        .unwrap();
    let moved = System::new(model)
        .unwrap()
        .solve(&[&load])
        .unwrap()
        .remove(0);
    if load_kind == BeamLoad::Twist {
        (moved.shift(tip[n]).z - moved.shift(tip[0]).z) / depth
    } else {
        tip.iter()
            .map(|&node| moved.shift(node).dot(&pull))
            .sum::<f64>()
            / tip.len() as f64
    }
}

/// A flat cantilever strip of the given section under an end force: mean deflection of the end.
pub fn cantilever(
    length: f64,
    breadth: f64,
    section: Section,
    thickness: impl Fn(f64) -> f64,
    force: f64,
    n: usize,
    cylindrical: bool,
) -> f64 {
    let across = (n / 4).max(2);
    let grid = Grid::new(n, across, Cut::Alternating, |u, v| {
        Point3::new(u * length, v * breadth, 0.0)
    });
    let per_node: Vec<f64> = grid
        .nodes
        .iter()
        .map(|node| thickness(node.x / length))
        .collect();
    let mesh = Mesh::new(
        grid.nodes.clone(),
        grid.triangles.clone(),
        Thickness::PerNode(&per_node),
    )
    .unwrap();
    let mut supports = Supports::none(grid.nodes.len());
    for node in grid.column(0) {
        if cylindrical {
            supports.hold_all(node);
        } else {
            // Free to draw in sideways: what beam theory assumes.
            supports.hold(node, &[Freedom::Ux, Freedom::Uz, Freedom::Ry, Freedom::Rz]);
        }
    }
    if cylindrical {
        for node in grid.row(0).into_iter().chain(grid.row(across)) {
            supports.mirror(node, Mirror::AcrossY);
        }
    } else {
        supports.hold(grid.at(0, 0), &[Freedom::Uy]);
    }
    let mut load = Load::none(grid.nodes.len());
    for ends in grid.column(n).windows(2) {
        load.along_edge(
            &mesh,
            [ends[0], ends[1]],
            [Vector3::z() * (force / breadth); 2],
        )
        .unwrap();
    }
    let model = Model::new(mesh, section).with_supports(supports).unwrap();
    let moved = System::new(model)
        .unwrap()
        .solve(&[&load])
        .unwrap()
        .remove(0);
    let tip = grid.column(n);
    tip.iter().map(|&node| moved.shift(node).z).sum::<f64>() / tip.len() as f64
}
