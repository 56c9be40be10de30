//! What stands beside the foot: boxes, rods, balls, all closed and turned outward.

use mesh::Mesh;

/// A box between two opposite corners.
pub fn cuboid(low: [f64; 3], high: [f64; 3]) -> Mesh {
    let vertices = (0..8)
        .map(|i| std::array::from_fn(|k| if i >> k & 1 == 1 { high[k] } else { low[k] }))
        .collect();
    let quads = [
        [0u32, 4, 6, 2],
        [1, 3, 7, 5],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 2, 3, 1],
        [4, 5, 7, 6],
    ];
    let triangles = quads
        .iter()
        .flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]])
        .collect();
    Mesh {
        vertices,
        triangles,
    }
}

/// A ball of triangles: `around` of them around its waist, half as many rings from pole to pole.
pub fn ball(centre: [f64; 3], radius: f64, around: u32) -> Mesh {
    let around = around.max(4);
    let rings = around / 2;
    let point = |i: u32, j: u32| {
        let theta = std::f64::consts::PI * f64::from(i) / f64::from(rings);
        let phi = std::f64::consts::TAU * f64::from(j) / f64::from(around);
        let (s, c) = theta.sin_cos();
        [
            centre[0] + radius * s * phi.cos(),
            centre[1] + radius * c,
            centre[2] - radius * s * phi.sin(),
        ]
    };
    let mut mesh = Mesh {
        vertices: vec![point(0, 0)],
        triangles: vec![],
    };
    for i in 1..rings {
        mesh.vertices.extend((0..around).map(|j| point(i, j)));
    }
    mesh.vertices.push(point(rings, 0));
    let last = mesh.vertices.len() as u32 - 1;
    let at = |i: u32, j: u32| 1 + (i - 1) * around + j % around;
    for j in 0..around {
        mesh.triangles.push([0, at(1, j), at(1, j + 1)]);
        mesh.triangles
            .push([last, at(rings - 1, j + 1), at(rings - 1, j)]);
        for i in 1..rings - 1 {
            mesh.triangles
                .push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
            mesh.triangles
                .push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
    }
    mesh
}

/// A round rod along x.
pub fn rod_along_x(from: [f64; 3], length: f64, radius: f64) -> Mesh {
    const AROUND: u32 = 16;
    let mut mesh = Mesh {
        vertices: vec![from, [from[0] + length, from[1], from[2]]],
        triangles: vec![],
    };
    for j in 0..AROUND {
        let (s, c) = (std::f64::consts::TAU * f64::from(j) / f64::from(AROUND)).sin_cos();
        for x in [from[0], from[0] + length] {
            mesh.vertices
                .push([x, from[1] + radius * c, from[2] + radius * s]);
        }
    }
    let (near, far) = (|j: u32| 2 + 2 * (j % AROUND), |j: u32| 3 + 2 * (j % AROUND));
    for j in 0..AROUND {
        mesh.triangles.push([0, near(j + 1), near(j)]);
        mesh.triangles.push([1, far(j), far(j + 1)]);
        mesh.triangles.push([near(j), near(j + 1), far(j)]);
        mesh.triangles.push([far(j), near(j + 1), far(j + 1)]);
    }
    mesh
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_shape_is_closed_and_holds_the_volume_it_should() {
        let pi = std::f64::consts::PI;
        for (mesh, volume) in [
            (cuboid([-1.0, 0.0, 2.0], [3.0, 2.0, 5.0]), 24.0),
            (ball([1.0, 2.0, 3.0], 10.0, 200), pi * 4000.0 / 3.0),
            (rod_along_x([0.0; 3], 10.0, 2.0), 40.0 * pi),
        ] {
            assert_eq!(mesh::check::closed(&mesh), None);
            assert!(
                (mesh.volume() / volume - 1.0).abs() < 0.03,
                "{} {volume}",
                mesh.volume()
            );
        }
    }
}
