//! From a distance grid to a closed surface: surface nets over a well-composed grid.
//!
//! Plain surface nets tie knots where a cube's inside corners hang together only across a diagonal.
//! Such cubes are mended first by moving their least certain corner to the other side; after that
//! every cube holds one sheet of the surface, and the net is two-manifold by construction.

use super::grid::Grid;
use super::solid::P;
use mesh::Mesh;

/// The zero surface of the grid, outward; parts smaller than `smallest` corners are dropped.
pub(crate) fn surface(grid: &Grid, smallest: usize) -> Mesh {
    let mut grid = grid.clone();
    drop_crumbs(&mut grid, smallest);
    mend(&mut grid);
    net(&grid)
}

/// Offsets of a cube's corners: bit 0 is x, bit 1 is y, bit 2 is z.
fn corner(c: usize) -> [usize; 3] {
    [c & 1, (c >> 1) & 1, (c >> 2) & 1]
}

/// Do the corners in `mask` hang together along the cube's edges?
fn in_one_piece(mask: u8) -> bool {
    if mask == 0 {
        return true;
    }
    let mut reached = 1u8 << mask.trailing_zeros();
    loop {
        let mut next = reached;
        for c in 0..8 {
            if reached >> c & 1 == 1 {
                for axis in 0..3 {
                    next |= 1 << (c ^ (1 << axis));
                }
            }
        }
        next &= mask;
        if next == reached {
            return reached == mask;
        }
        reached = next;
    }
}

fn mend(grid: &mut Grid) {
    let sound: Vec<bool> = (0..=255u8)
        .map(|m| in_one_piece(m) && in_one_piece(!m))
        .collect();
    let [nx, ny, nz] = grid.size;
    let tiny = (grid.step * 0.02) as f32;
    for _pass in 0..50 {
        let mut changed = false;
        for k in 0..nz - 1 {
            for j in 0..ny - 1 {
                for i in 0..nx - 1 {
                    let at = |c: usize| {
                        let [a, b, d] = corner(c);
                        (i + a, j + b, k + d)
                    };
                    let value = |c: usize| {
                        let (a, b, d) = at(c);
                        grid.values[grid.index(a, b, d)]
                    };
                    let mask = (0..8).fold(0u8, |m, c| m | (u8::from(value(c) < 0.0) << c));
                    if sound[mask as usize] {
                        continue;
                    }
                    // Filling the gap can always go on; opening could run against the border.
                    let fill = (0..8)
                        .filter(|&c| value(c) >= 0.0)
                        .filter(|&c| {
                            let (a, b, d) = at(c);
                            a > 0 && b > 0 && d > 0 && a < nx - 1 && b < ny - 1 && d < nz - 1
                        })
                        .min_by(|&a, &b| value(a).total_cmp(&value(b)));
                    if let Some(c) = fill {
                        let (a, b, d) = at(c);
                        let index = grid.index(a, b, d);
                        grid.values[index] = -tiny;
                        changed = true;
                    }
                }
            }
        }
        if !changed {
            return;
        }
    }
}

/// Turns inside parts with fewer corners than `smallest` into outside.
fn drop_crumbs(grid: &mut Grid, smallest: usize) {
    let [nx, ny, _] = grid.size;
    let steps = [1isize, nx as isize, (nx * ny) as isize];
    let mut seen = vec![false; grid.values.len()];
    for start in 0..grid.values.len() {
        if seen[start] || grid.values[start] >= 0.0 {
            continue;
        }
        let mut part = vec![start];
        seen[start] = true;
        let mut next = 0;
        while next < part.len() {
            let here = part[next] as isize;
            next += 1;
            for step in steps {
                // The border is always outside, so a step never leaves the grid or wraps round.
                for neighbour in [here - step, here + step] {
                    let n = neighbour as usize;
                    if !seen[n] && grid.values[n] < 0.0 {
                        seen[n] = true;
                        part.push(n);
                    }
                }
            }
        }
        if part.len() < smallest {
            part.iter()
                .for_each(|&i| grid.values[i] = (grid.step * 0.02) as f32);
        }
    }
}

fn net(grid: &Grid) -> Mesh {
    let [nx, ny, nz] = grid.size;
    let mut vertex_of = vec![u32::MAX; grid.values.len()];
    let mut mesh = Mesh::default();
    for k in 0..nz - 1 {
        for j in 0..ny - 1 {
            for i in 0..nx - 1 {
                if let Some(q) = crossing(grid, i, j, k) {
                    vertex_of[grid.index(i, j, k)] = mesh.vertices.len() as u32;
                    mesh.vertices.push(settle(grid, q).into());
                }
            }
        }
    }
    let stride = [1, nx, nx * ny];
    for k in 1..nz - 1 {
        for j in 1..ny - 1 {
            for i in 1..nx - 1 {
                let here = grid.index(i, j, k);
                let inside = grid.values[here] < 0.0;
                for axis in 0..3 {
                    if inside == (grid.values[here + stride[axis]] < 0.0) {
                        continue;
                    }
                    let (u, v) = (stride[(axis + 1) % 3], stride[(axis + 2) % 3]);
                    let ring = [here - u - v, here - v, here, here - u].map(|c| vertex_of[c]);
                    push_quad(
                        &mut mesh,
                        if inside {
                            ring
                        } else {
                            [ring[3], ring[2], ring[1], ring[0]]
                        },
                    );
                }
            }
        }
    }
    mesh
}

/// Mean of the points where the surface crosses the cube's edges.
fn crossing(grid: &Grid, i: usize, j: usize, k: usize) -> Option<P> {
    let value = |c: usize| {
        let [a, b, d] = corner(c);
        f64::from(grid.values[grid.index(i + a, j + b, k + d)])
    };
    let values: [f64; 8] = std::array::from_fn(value);
    if values.iter().all(|&v| v < 0.0) || values.iter().all(|&v| v >= 0.0) {
        return None;
    }
    let place = |c: usize| {
        let [a, b, d] = corner(c);
        grid.place(i + a, j + b, k + d)
    };
    let (mut sum, mut count) = (P::zeros(), 0.0);
    for a in 0..8 {
        for axis in 0..3 {
            let b = a | (1 << axis);
            if b != a && (values[a] < 0.0) != (values[b] < 0.0) {
                let t = values[a] / (values[a] - values[b]);
                sum += place(a) + (place(b) - place(a)) * t;
                count += 1.0;
            }
        }
    }
    Some(sum / count)
}

/// Moves a vertex onto the surface, but never out of its own cube's reach.
fn settle(grid: &Grid, q: P) -> P {
    let mut at = q;
    for _ in 0..2 {
        let slope = grid.slope(at);
        let length = slope.norm_squared().max(0.1);
        at -= slope * (grid.at(at) / length);
    }
    let away = at - q;
    let most = grid.step * 0.45;
    if away.norm() > most {
        q + away * (most / away.norm())
    } else {
        at
    }
}

/// Splits a quadrilateral along its shorter diagonal.
fn push_quad(mesh: &mut Mesh, [a, b, c, d]: [u32; 4]) {
    let at = |v: u32| P::from(mesh.vertices[v as usize]);
    let split = if (at(a) - at(c)).norm_squared() <= (at(b) - at(d)).norm_squared() {
        [[a, b, c], [a, c, d]]
    } else {
        [[a, b, d], [b, c, d]]
    };
    mesh.triangles.extend(split);
}
