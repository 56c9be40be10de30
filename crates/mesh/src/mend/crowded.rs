//! What where more than two triangles meet on an edge, or where a surface touches itself at a vertex?
//!
//! On a crowded edge two triangles may stay: those that belong to the largest sheets and, among equals, go on
//! most evenly. The rest is cut off, which frees the sheet it belonged to. A pinched vertex is doubled, one for
//! each fan of triangles at it.

use super::faces::drop_marked;
use super::{Done, V, What, cross, dot, length, scaled, sub};
use crate::Mesh;
use crate::topology::{Topology, previous, triangle};

/// Leaves no more than two triangles on every edge.
pub(super) fn cut_off(mesh: &mut Mesh, topology: &Topology) -> Done {
    let mut done = Done::new(What::Crowded);
    let crowded: Vec<u32> = (0..topology.edge_count() as u32)
        .filter(|&e| topology.on_edge(e).len() > 2)
        .collect();
    if crowded.is_empty() {
        return done;
    }
    let sheets = sheets(mesh, topology);
    let mut drop = vec![false; mesh.triangles.len()];
    for e in crowded {
        let [from, to] = topology.ends(e).map(|v| mesh.vertices[v as usize]);
        let mut here: Vec<u32> = topology
            .on_edge(e)
            .iter()
            .copied()
            .filter(|&h| !drop[triangle(h) as usize])
            .collect();
        let Some((first, second)) = best_pair(mesh, topology, &sheets, &here, from, to) else {
            continue;
        };
        here.retain(|&h| h != first && h != second);
        for h in here {
            drop[triangle(h) as usize] = true;
        }
    }
    drop_marked(mesh, &drop, &mut done);
    done
}

/// The area of the sheet that each triangle belongs to: as far as edges with two triangles lead.
fn sheets(mesh: &Mesh, topology: &Topology) -> Vec<f64> {
    let count = mesh.triangles.len();
    let mut sheet = vec![u32::MAX; count];
    let mut areas = Vec::new();
    let mut waiting = Vec::new();
    for seed in 0..count {
        if sheet[seed] != u32::MAX {
            continue;
        }
        let number = areas.len() as u32;
        let mut area = 0.0;
        sheet[seed] = number;
        waiting.push(seed as u32);
        while let Some(t) = waiting.pop() {
            area += mesh.area_of(t as usize);
            for h in 3 * t..3 * t + 3 {
                let Some(e) = topology.edge_of(h) else {
                    continue;
                };
                let pair = topology.on_edge(e);
                if pair.len() != 2 {
                    continue;
                }
                for &o in pair {
                    let other = triangle(o) as usize;
                    if sheet[other] == u32::MAX {
                        sheet[other] = number;
                        waiting.push(other as u32);
                    }
                }
            }
        }
        areas.push(area);
    }
    sheet.into_iter().map(|s| areas[s as usize]).collect()
}

/// `None` where two or fewer are there.
fn best_pair(
    mesh: &Mesh,
    topology: &Topology,
    sheets: &[f64],
    here: &[u32],
    from: V,
    to: V,
) -> Option<(u32, u32)> {
    if here.len() <= 2 {
        return None;
    }
    // Direction of each triangle away from the edge, square to it.
    let along = sub(to, from);
    let along = scaled(along, 1.0 / length(along).max(f64::MIN_POSITIVE));
    let away = |h: u32| {
        let apex = sub(mesh.vertices[topology.start(previous(h)) as usize], from);
        let across = cross(cross(along, apex), along);
        scaled(across, 1.0 / length(across).max(f64::MIN_POSITIVE))
    };
    let mut best: Option<(f64, f64, (u32, u32))> = None;
    for (i, &a) in here.iter().enumerate() {
        for &b in &here[i + 1..] {
            let area = sheets[triangle(a) as usize].min(sheets[triangle(b) as usize]);
            let even = -dot(away(a), away(b));
            let better = best.is_none_or(|(most, evenest, _)| {
                area > most * (1.0 + 1e-9) || (area >= most * (1.0 - 1e-9) && even > evenest)
            });
            if better {
                best = Some((area, even, (a, b)));
            }
        }
    }
    best.map(|(_, _, pair)| pair)
}

/// Gives every fan of triangles its own vertex.
pub(super) fn part_pinched(mesh: &mut Mesh, topology: &Topology) -> Done {
    let mut done = Done::new(What::Pinched);
    for (v, fans) in topology.fans().into_iter().enumerate() {
        if fans < 2 {
            continue;
        }
        done.at(mesh.vertices[v]);
        let leaving = topology.leaving(v as u32);
        let mut seen: Vec<u32> = Vec::new();
        for &h in leaving {
            if seen.contains(&h) {
                continue;
            }
            let fan = topology.fan(h);
            let first = seen.is_empty();
            seen.extend(&fan);
            if first {
                continue;
            }
            let own = mesh.vertices.len() as u32;
            mesh.vertices.push(mesh.vertices[v]);
            for g in fan {
                let corner = &mut mesh.triangles[triangle(g) as usize][g as usize % 3];
                *corner = own;
            }
        }
    }
    done
}
