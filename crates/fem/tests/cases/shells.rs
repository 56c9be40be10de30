//! Curved shells of the published obstacle courses.

use std::f64::consts::{FRAC_PI_2, PI};

use fem::{
    Displacement, Freedom, Load, Mesh, Mirror, Model, Section, Supports, System, Thickness, feel,
    smooth,
};
use nalgebra::{Point3, Vector3};

use super::grid::{Cut, Grid, Rings};
use super::plates::isotropic;

fn solve(mesh: Mesh, section: Section, supports: Supports, load: &Load) -> Displacement {
    let model = Model::new(mesh, section).with_supports(supports).unwrap();
    System::new(model)
        .unwrap()
        .solve(&[load])
        .unwrap()
        .remove(0)
}

fn mesh_of(grid: &Grid, thickness: f64) -> Mesh {
    Mesh::new(
        grid.nodes.clone(),
        grid.triangles.clone(),
        Thickness::Uniform(thickness),
    )
    .unwrap()
}

/// Fall of the middle of the free edge of a roof under its weight.
pub fn scordelis_lo(n: usize, cut: Cut) -> f64 {
    let (radius, length) = (25.0, 50.0);
    let grid = Grid::new(n, n, cut, |u, v| {
        let angle = 40.0_f64.to_radians() * u;
        Point3::new(radius * angle.sin(), v * length / 2.0, radius * angle.cos())
    });
    let mesh = mesh_of(&grid, 0.25);
    let mut supports = Supports::none(grid.nodes.len());
    for node in grid.row(n) {
        supports.hold(node, &[Freedom::Ux, Freedom::Uz]);
    }
    for node in grid.row(0) {
        supports.mirror(node, Mirror::AcrossY);
    }
    for node in grid.column(0) {
        supports.mirror(node, Mirror::AcrossX);
    }
    let mut load = Load::none(grid.nodes.len());
    load.traction(&mesh, |_| [Vector3::z() * -90.0; 3]).unwrap();
    -solve(mesh, isotropic(4.32e8, 0.0), supports, &load)
        .shift(grid.at(n, 0))
        .z
}

/// Motion under the load of a pinched cylinder, one eighth meshed.
#[allow(clippy::too_many_arguments)]
pub fn pinched_cylinder(
    radius: f64,
    length: f64,
    thickness: f64,
    section: Section,
    force: f64,
    diaphragms: bool,
    n: usize,
    cut: Cut,
) -> f64 {
    let grid = Grid::new(n, n, cut, |u, v| {
        let angle = FRAC_PI_2 * u;
        Point3::new(radius * angle.sin(), v * length / 2.0, radius * angle.cos())
    });
    let mesh = mesh_of(&grid, thickness);
    let mut supports = Supports::none(grid.nodes.len());
    if diaphragms {
        for node in grid.row(n) {
            supports.hold(node, &[Freedom::Ux, Freedom::Uz]);
        }
    }
    for node in grid.row(0) {
        supports.mirror(node, Mirror::AcrossY);
    }
    for node in grid.column(0) {
        supports.mirror(node, Mirror::AcrossX);
    }
    for node in grid.column(n) {
        supports.mirror(node, Mirror::AcrossZ);
    }
    let mut load = Load::none(grid.nodes.len());
    load.force(0, Vector3::z() * (-force / 4.0)).unwrap();
    -solve(mesh, section, supports, &load).shift(0).z
}

/// Radial motion under the loads of a pinched hemisphere, one quarter meshed.
pub fn hemisphere(hole: bool, n: usize, cut: Cut) -> f64 {
    let radius = 10.0;
    let place = |latitude: f64, angle: f64| {
        Point3::new(
            radius * latitude.cos() * angle.cos(),
            radius * latitude.cos() * angle.sin(),
            radius * latitude.sin(),
        )
    };
    let (nodes, triangles, first, last, one, other);
    if hole {
        let grid = Grid::new(n, n, cut, |u, v| {
            place(72.0_f64.to_radians() * v, FRAC_PI_2 * u)
        });
        (first, last) = (grid.column(0), grid.column(n));
        (one, other) = (grid.at(0, 0), grid.at(n, 0));
        (nodes, triangles) = (grid.nodes, grid.triangles);
    } else {
        let rings = Rings::new(n, |ring, angle| place(FRAC_PI_2 * (1.0 - ring), angle));
        (first, last) = (rings.first_edge(), rings.last_edge());
        (one, other) = (rings.at(n, 0), rings.at(n, n));
        (nodes, triangles) = (rings.nodes, rings.triangles);
    }
    let mesh = Mesh::new(nodes, triangles, Thickness::Uniform(0.04)).unwrap();
    let mut supports = Supports::none(mesh.nodes().len());
    for &node in &last {
        supports.mirror(node, Mirror::AcrossX);
    }
    for &node in &first {
        supports.mirror(node, Mirror::AcrossY);
    }
    // One node keeps it from rising.
    supports.hold(one, &[Freedom::Uz]);
    let mut load = Load::none(mesh.nodes().len());
    load.force(one, Vector3::x()).unwrap();
    load.force(other, -Vector3::y()).unwrap();
    let moved = solve(mesh, isotropic(6.825e7, 0.3), supports, &load);
    (moved.shift(one).x - moved.shift(other).y) / 2.0
}

/// Motion of the tip of a strip twisted by a quarter turn, along the load: `across` the tip's width or its
/// thickness.
pub fn twisted_beam(thickness: f64, force: f64, along_width: bool, n: usize, cut: Cut) -> f64 {
    let (length, width) = (12.0, 1.1);
    let (columns, rows) = (6 * n, n);
    let grid = Grid::new(columns, rows, cut, |u, v| {
        let angle = FRAC_PI_2 * u;
        let arm = (v - 0.5) * width;
        Point3::new(u * length, arm * angle.cos(), arm * angle.sin())
    });
    let mesh = mesh_of(&grid, thickness);
    let mut supports = Supports::none(grid.nodes.len());
    for node in grid.column(0) {
        supports.hold_all(node);
    }
    let pull = if along_width {
        Vector3::z()
    } else {
        Vector3::y()
    };
    let mut load = Load::none(grid.nodes.len());
    for ends in grid.column(columns).windows(2) {
        load.along_edge(&mesh, [ends[0], ends[1]], [pull * (force / width); 2])
            .unwrap();
    }
    let moved = solve(mesh, isotropic(29e6, 0.22), supports, &load);
    if rows % 2 == 0 {
        moved.shift(grid.at(columns, rows / 2)).dot(&pull)
    } else {
        (moved.shift(grid.at(columns, rows / 2)) + moved.shift(grid.at(columns, rows / 2 + 1)))
            .dot(&pull)
            / 2.0
    }
}

/// Motion of the tip of a quarter ring in its plane (radially) or out of it.
pub fn curved_beam(in_plane: bool, n: usize, cut: Cut) -> f64 {
    let (inner, outer) = (4.12, 4.32);
    let (columns, rows) = (6 * n, n);
    let grid = Grid::new(columns, rows, cut, |u, v| {
        let angle = FRAC_PI_2 * u;
        let radius = inner + (outer - inner) * v;
        Point3::new(radius * angle.sin(), radius * angle.cos(), 0.0)
    });
    // The map turns clockwise; only the sign of the normal depends on it.
    let mesh = mesh_of(&grid, 0.1);
    let mut supports = Supports::none(grid.nodes.len());
    for node in grid.column(0) {
        supports.hold_all(node);
    }
    let pull = if in_plane { Vector3::x() } else { Vector3::z() };
    let mut load = Load::none(grid.nodes.len());
    let tip = grid.column(columns);
    for ends in tip.windows(2) {
        load.along_edge(&mesh, [ends[0], ends[1]], [pull / (outer - inner); 2])
            .unwrap();
    }
    let moved = solve(mesh, isotropic(1e7, 0.25), supports, &load);
    tip.iter()
        .map(|&node| moved.shift(node).dot(&pull))
        .sum::<f64>()
        / tip.len() as f64
}

/// Motion of the tip of a hook along its width; `n` rectangles across the width.
pub fn raasch_hook(n: usize, cut: Cut) -> f64 {
    let (small, large, width) = (14.0, 46.0, 20.0);
    let (first, second) = (PI / 3.0, 5.0 * PI / 6.0);
    // As long elements in the small arc as in the large one: columns by arc length.
    let total = small * first + large * second;
    let columns = (total / width * n as f64).round() as usize;
    let in_first = ((columns as f64) * small * first / total).round().max(1.0) as usize;
    let grid = Grid::new(columns, n, cut, |u, v| {
        let step = (u * columns as f64).round() as usize;
        let z = v * width;
        if step <= in_first {
            // Begins at the origin going up, bends to the left about (-14, 0).
            let angle = first * step as f64 / in_first as f64;
            Point3::new(small * (angle.cos() - 1.0), small * angle.sin(), z)
        } else {
            // Bends back the other way about a centre on the same radius line.
            let angle = second * (step - in_first) as f64 / (columns - in_first) as f64;
            let joint = Vector3::new(small * (first.cos() - 1.0), small * first.sin(), 0.0);
            let outward = Vector3::new(first.cos(), first.sin(), 0.0);
            let centre = joint + outward * large;
            let turned = PI + first - angle;
            Point3::new(
                centre.x + large * turned.cos(),
                centre.y + large * turned.sin(),
                z,
            )
        }
    });
    let mesh = mesh_of(&grid, 2.0);
    let mut supports = Supports::none(grid.nodes.len());
    for node in grid.column(0) {
        supports.hold_all(node);
    }
    let mut load = Load::none(grid.nodes.len());
    let tip = grid.column(columns);
    for ends in tip.windows(2) {
        load.along_edge(&mesh, [ends[0], ends[1]], [Vector3::z() / width; 2])
            .unwrap();
    }
    let moved = solve(mesh, isotropic(3300.0, 0.35), supports, &load);
    tip.iter().map(|&node| moved.shift(node).z).sum::<f64>() / tip.len() as f64
}

/// Fall of the middle of the free end, and twice the energy stored, of a clamped saddle; one half meshed.
pub fn hypar(thickness: f64, weight: f64, n: usize, cut: Cut) -> (f64, f64) {
    let grid = Grid::new(2 * n, n, cut, |u, v| {
        let (x, y) = (u - 0.5, v / 2.0);
        Point3::new(x, y, x * x - y * y)
    });
    let mesh = mesh_of(&grid, thickness);
    let mut supports = Supports::none(grid.nodes.len());
    for node in grid.row(0) {
        supports.mirror(node, Mirror::AcrossY);
    }
    for node in grid.column(0) {
        supports.hold_all(node);
    }
    let mut load = Load::none(grid.nodes.len());
    load.traction(&mesh, |_| [Vector3::z() * -weight; 3])
        .unwrap();
    let moved = solve(mesh, isotropic(2e11, 0.3), supports, &load);
    let work: f64 = load
        .entries()
        .iter()
        .zip(moved.entries())
        .map(|(pull, way)| pull * way)
        .sum();
    (-moved.shift(grid.at(2 * n, 0)).z, work)
}

/// A slit tube under torque at its ends: the slide of one lip of the slit along the other, over its exact
/// value 2 π C.
pub fn slit_cylinder(n: usize, cut: Cut) -> f64 {
    let (radius, thickness, length, torque): (f64, f64, f64, f64) = (300.0, 3.0, 900.0, 1000.0);
    let (modulus, poisson): (f64, f64) = (3e6, 0.3);
    let bending = modulus * thickness.powi(3) / (12.0 * (1.0 - poisson * poisson));
    let slide = torque * radius / (4.0 * PI * bending * (1.0 - poisson));
    let twisting = bending * (1.0 - poisson) * slide / (radius * radius);
    let (columns, rows) = (2 * n, n);
    // Axis along x; u runs round from -π to π, v along.
    let grid = Grid::new(columns, rows, cut, |u, v| {
        let angle = PI * (2.0 * u - 1.0);
        Point3::new(v * length, radius * angle.cos(), radius * angle.sin())
    });
    let mesh = mesh_of(&grid, thickness);
    let mut supports = Supports::none(grid.nodes.len());
    supports.hold_all(grid.at(n, n / 2));
    let hoop = |node: usize| {
        let place = &grid.nodes[node];
        Vector3::new(0.0, -place.z, place.y) / radius
    };
    let mut load = Load::none(grid.nodes.len());
    let mut along = |nodes: &[usize], direction: &dyn Fn(usize) -> Vector3<f64>, size: f64| {
        for ends in nodes.windows(2) {
            let step = (grid.nodes[ends[1]] - grid.nodes[ends[0]]).norm();
            for &node in ends {
                load.moment(node, direction(node) * (size * step / 2.0))
                    .unwrap();
            }
        }
    };
    // The exact state is one twisting moment everywhere. Edges carry it as couples about their normals; balance
    // about the normal of a curved piece adds an equal share of the torque as shear along the two ends.
    along(&grid.row(rows), &|_| Vector3::x(), twisting);
    along(&grid.row(0), &|_| Vector3::x(), -twisting);
    along(&grid.column(columns), &hoop, -twisting);
    along(&grid.column(0), &hoop, twisting);
    for (row, sign) in [(rows, 1.0), (0, -1.0)] {
        for ends in grid.row(row).windows(2) {
            let step = (grid.nodes[ends[1]] - grid.nodes[ends[0]]).norm();
            for &node in ends {
                load.force(node, hoop(node) * (sign * twisting / radius * step / 2.0))
                    .unwrap();
            }
        }
    }
    let moved = solve(mesh, isotropic(modulus, poisson), supports, &load);
    let lips = moved.shift(grid.at(0, rows)) - moved.shift(grid.at(columns, rows));
    lips.x / (2.0 * PI * slide)
}

/// A Z-section under torque, clamped at one end: stress along the beam at the middle of the wall, at the free
/// edge of a flange a quarter of the length from the clamp; the torque has the sense that presses that edge. Smoothed among triangles of one plane.
pub fn le5(n: usize, cut: Cut) -> f64 {
    let (length, wall) = (10.0, 0.1);
    // Along the section: flange down at y = -1, web, flange up at y = 1; n rectangles per metre.
    let (columns, rows) = (4 * n * 10 / 4, 4 * n);
    let grid = Grid::new(columns, rows, cut, |u, v| {
        let s = 4.0 * v;
        let (y, z) = if s <= 1.0 {
            (-1.0, s - 1.0)
        } else if s <= 3.0 {
            (s - 2.0, 0.0)
        } else {
            (1.0, s - 3.0)
        };
        Point3::new(u * length, y, z)
    });
    let mesh = mesh_of(&grid, wall);
    let mut supports = Supports::none(grid.nodes.len());
    for node in grid.column(0) {
        supports.hold_all(node);
    }
    let mut load = Load::none(grid.nodes.len());
    let end = grid.column(columns);
    for ends in end[..=n].windows(2) {
        load.along_edge(&mesh, [ends[0], ends[1]], [Vector3::z() * -0.6; 2])
            .unwrap();
    }
    for ends in end[3 * n..].windows(2) {
        load.along_edge(&mesh, [ends[0], ends[1]], [Vector3::z() * 0.6; 2])
            .unwrap();
    }
    let model = Model::new(mesh, isotropic(210e3, 0.3))
        .with_supports(supports)
        .unwrap();
    let moved = System::new(model.clone())
        .unwrap()
        .solve(&[&load])
        .unwrap()
        .remove(0);
    let stresses = feel(&model, &moved).unwrap().stresses(&model).unwrap();
    let smoothed = smooth(&model, &stresses, 0.1).unwrap();
    let place = Point3::new(2.5, -1.0, -1.0);
    let node = model.mesh().nearest(&place);
    assert!(
        (model.mesh().nodes()[node] - place).norm() < 1e-9,
        "the place must be a node"
    );
    for (triangle, corners) in model.mesh().triangles().iter().enumerate() {
        if let Some(corner) = corners.iter().position(|&c| c == node) {
            return smoothed[triangle][corner].middle.along(&Vector3::x());
        }
    }
    f64::NAN
}
