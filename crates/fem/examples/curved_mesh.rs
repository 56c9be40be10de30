//! Solves one curved shell of uneven thickness on an uneven mesh and writes mesh, load and answer as text, so
//! that another program may solve the same body another way.
//!
//! `cargo run -p fem --example curved_mesh FILE [FINENESS]`
//!
//! First line: nodes, triangles, modulus, Poisson's ratio. Then a line for each node: place, normal, thickness,
//! 1 where it is clamped and 0 elsewhere, and the shift found here. Then a line for each triangle: its corners
//! and the force per area on it.

#[path = "../tests/cases/grid.rs"]
#[allow(dead_code)]
mod grid;

use std::io::Write;

use fem::{Isotropic, Load, Mesh, Model, Section, Supports, System, Thickness};
use grid::{Cut, Grid};
use nalgebra::{Point3, Vector3};

fn main() {
    let mut arguments = std::env::args().skip(1);
    let path = arguments.next().expect("a file to write");
    let n: usize = arguments
        .next()
        .map_or(16, |text| text.parse().expect("a number"));
    // A trough that deepens at one end, like a heel cup that runs out into an arch; invented.
    let surface = |x: f64, y: f64| {
        let side = (1.0 - x / 160.0).max(0.0);
        Point3::new(
            x,
            y,
            14.0 * (std::f64::consts::PI * x / 160.0).sin() + (0.004 + 0.008 * side) * y * y,
        )
    };
    let grid = Grid::new(2 * n, n, Cut::Alternating, |u, v| {
        // Uneven steps, so that no triangle is like its neighbour.
        let x = 160.0 * (u + 0.02 * (9.0 * u).sin() * (7.0 * v).cos() * u * (1.0 - u));
        let y = 80.0 * (v - 0.5 + 0.03 * (8.0 * u).cos() * (std::f64::consts::TAU * v).sin());
        surface(x, y)
    });
    let thickness: Vec<f64> = grid.nodes.iter().map(|p| 3.0 + p.x / 160.0).collect();
    let held = grid.column(0);
    let mesh =
        Mesh::new(grid.nodes, grid.triangles, Thickness::PerNode(&thickness)).expect("a mesh");
    let mut supports = Supports::none(mesh.nodes().len());
    for &node in &held {
        supports.hold_all(node);
    }
    let (modulus, poisson) = (1400.0, 0.42);
    let pull = |triangle: usize| {
        let corners = mesh.triangles()[triangle].map(|node| mesh.nodes()[node].coords);
        let middle = (corners[0] + corners[1] + corners[2]) / 3.0;
        Vector3::new(0.0, 0.001, -0.004 * middle.x / 160.0)
    };
    let mut load = Load::none(mesh.nodes().len());
    load.traction(&mesh, |triangle| [pull(triangle); 3])
        .expect("a load");
    let section = Section::isotropic(Isotropic { modulus, poisson }).expect("a section");
    let model = Model::new(mesh.clone(), section)
        .with_supports(supports)
        .expect("supports");
    let system = System::new(model).expect("a system");
    let moved = system.solve(&[&load]).expect("a solution").remove(0);

    let mut normals = vec![Vector3::zeros(); mesh.nodes().len()];
    for (corners, own) in mesh.triangles().iter().zip(mesh.normals()) {
        for (&node, normal) in corners.iter().zip(own) {
            normals[node] = *normal;
        }
    }
    let mut text = format!(
        "{} {} {modulus} {poisson}\n",
        mesh.nodes().len(),
        mesh.triangles().len()
    );
    for (node, (place, normal)) in mesh.nodes().iter().zip(&normals).enumerate() {
        let shift = moved.shift(node);
        text += &format!(
            "{:.12} {:.12} {:.12} {:.12} {:.12} {:.12} {:.12} {} {:.12e} {:.12e} {:.12e}\n",
            place.x,
            place.y,
            place.z,
            normal.x,
            normal.y,
            normal.z,
            thickness[node],
            u8::from(held.contains(&node)),
            shift.x,
            shift.y,
            shift.z
        );
    }
    for (triangle, [a, b, c]) in mesh.triangles().iter().enumerate() {
        let force = pull(triangle);
        text += &format!(
            "{a} {b} {c} {:.12e} {:.12e} {:.12e}\n",
            force.x, force.y, force.z
        );
    }
    let mut file = std::fs::File::create(&path).expect("a file");
    file.write_all(text.as_bytes()).expect("the text written");
    let largest = (0..mesh.nodes().len())
        .map(|node| moved.shift(node).norm())
        .fold(0.0, f64::max);
    println!(
        "{path}: {} unknowns, largest shift {largest:.6}",
        system.equations()
    );
}
