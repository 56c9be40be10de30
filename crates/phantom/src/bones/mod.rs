//! Which bones are there, and what shape are they?

use crate::mesh::Mesh;

/// Name, centre, half axes of a first rough foot.
pub(crate) const ROUGH: &[(&str, [f64; 3], [f64; 3])] = &[
    ("calcaneus", [36.0, 38.0, 0.0], [36.0, 19.0, 15.0]),
    ("talus", [60.0, 70.0, -4.0], [26.0, 14.0, 16.0]),
    ("navicular", [92.0, 58.0, -12.0], [7.0, 14.0, 18.0]),
    ("cuboid", [92.0, 36.0, 14.0], [17.0, 12.0, 13.0]),
    ("medial cuneiform", [112.0, 50.0, -16.0], [12.0, 15.0, 8.0]),
    ("tibia", [52.0, 150.0, -6.0], [18.0, 64.0, 18.0]),
    ("metatarsal 1", [150.0, 32.0, -20.0], [30.0, 8.0, 8.0]),
    ("metatarsal 5", [134.0, 18.0, 26.0], [32.0, 6.0, 6.0]),
];

/// A ball stretched along the axes.
pub(crate) fn ellipsoid(centre: [f64; 3], half: [f64; 3]) -> Mesh {
    let (rings, around) = (24u32, 48u32);
    let point = |theta: f64, phi: f64| {
        [
            centre[0] + half[0] * theta.sin() * phi.cos(),
            centre[1] + half[1] * theta.cos(),
            centre[2] - half[2] * theta.sin() * phi.sin(),
        ]
    };
    let mut mesh = Mesh {
        vertices: vec![point(0.0, 0.0)],
        triangles: vec![],
    };
    for i in 1..rings {
        for j in 0..around {
            let theta = std::f64::consts::PI * f64::from(i) / f64::from(rings);
            mesh.vertices.push(point(
                theta,
                std::f64::consts::TAU * f64::from(j) / f64::from(around),
            ));
        }
    }
    mesh.vertices.push(point(std::f64::consts::PI, 0.0));
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
