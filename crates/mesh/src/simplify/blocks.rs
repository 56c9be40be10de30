//! Large surfaces block by block.
//!
//! Drawing an edge together touches what lies about it, and the next best edge is somewhere else entirely; on a
//! large surface nearly all the time goes into waiting for memory. So triangles are put into blocks of neighbours
//! that fit close to the processor, each block is simplified by itself with its seams held fixed, several at a
//! time, and then again in other blocks, within which the seams lie.
//!
//! The blocks follow from the surface alone, never from how many processors there are.

use super::Target;
use super::collapse::{Draft, Limits, NONE, run};
use super::follow::Spot;
use crate::Mesh;
use rayon::prelude::*;

const BLOCK: usize = 8192;
/// The farthest of a few thousand places is mostly less than five times as far as the mean of a step; where it is
/// not, the block is begun again.
const UNASKED: f64 = 0.2;
/// By these shares of the whole the later blocks are moved: not by sums of halves, quarters and so on.
const SHIFTS: [f64; 2] = [0.29, 0.43];
/// As many as that are made of what is left by then.
const LATER_BLOCKS: usize = 6;
/// So many rings of triangles about a seam are free in the end.
const RINGS: usize = 4;
/// To this many times the final count of triangles blocks are brought, where a count is asked for: flat and
/// curved blocks then still have what to give and what to keep.
const SPARE: f64 = 2.0;

/// The new surface; with a deviation asked for, the given places come along.
pub(super) fn simplified(mesh: &Mesh, target: &Target) -> Draft {
    let limits = Limits {
        triangles: match target.triangles {
            Some(count) => count,
            None if target.deviation.is_some() => 0,
            None => usize::MAX,
        },
        follow: target.deviation.map(|deviation| (deviation, mesh)),
        unasked: UNASKED,
    };
    let mut draft = given(mesh, limits.follow.is_some());
    let count = draft.mesh.triangles.len();
    let share = (SPARE * limits.triangles as f64 / count.max(1) as f64).min(1.0);
    if count <= 3 * BLOCK || share >= 0.9 {
        return run(draft, &limits).0;
    }
    let (whole, seam) = by_blocks(draft, (0.0, BLOCK), share, &limits);
    if limits.triangles > 0 {
        return run(whole, &limits).0;
    }
    // Other blocks, within which the seams lie now; in the end only about the seams of those more can be drawn, and
    // that about few of them.
    draft = only_about(whole, seam);
    for shift in SHIFTS {
        let size = (draft.mesh.triangles.len() / LATER_BLOCKS).max(BLOCK / 4);
        let (whole, seam) = by_blocks(draft, (shift, size), share, &limits);
        draft = only_about(whole, seam);
    }
    draft
}

/// The sound triangles of the given surface; their middles are followed.
fn given(mesh: &Mesh, follow: bool) -> Draft {
    let there = |v: u32| (v as usize) < mesh.vertices.len();
    let sound =
        |&[a, b, c]: &[u32; 3]| there(a) && there(b) && there(c) && a != b && b != c && c != a;
    let mut draft = Draft::default();
    draft.mesh.vertices = mesh.vertices.clone();
    draft.mesh.triangles = mesh.triangles.iter().copied().filter(sound).collect();
    draft.near_first = vec![0; draft.mesh.triangles.len() + 1];
    if follow {
        let mut seen = vec![false; mesh.vertices.len()];
        draft
            .near
            .reserve(draft.mesh.triangles.len() + mesh.vertices.len());
        let whole = mesh.triangles.iter().enumerate().filter(|(_, t)| sound(t));
        for (n, (t, corners)) in whole.enumerate() {
            draft.near.push(Spot {
                at: middle(mesh, t),
                of: t as u32,
            });
            for &v in corners {
                if !std::mem::replace(&mut seen[v as usize], true) {
                    draft.near.push(Spot {
                        at: mesh.vertices[v as usize],
                        of: NONE,
                    });
                }
            }
            draft.near_first[n + 1] = draft.near.len() as u32;
        }
    }
    draft
}

fn middle(mesh: &Mesh, t: usize) -> [f64; 3] {
    let [a, b, c] = mesh.corners(t);
    [0, 1, 2].map(|k| (a[k] + b[k] + c[k]) / 3.0)
}

/// Triangles in an order in which neighbours in space are mostly neighbours in the list; by another `shift`, a share
/// of the whole, the order leaps elsewhere.
fn along_space(mesh: &Mesh, shift: f64) -> Vec<u32> {
    let (low, high) = mesh.bounds().unwrap_or_default();
    let reach = (0..3).map(|k| high[k] - low[k]).fold(0.0, f64::max);
    let scale = 1023.0 / ((1.0 + shift) * reach).max(f64::MIN_POSITIVE);
    let mut keys: Vec<u64> = (0..mesh.triangles.len())
        .into_par_iter()
        .with_min_len(4096)
        .map(|t| {
            let m = middle(mesh, t);
            // Places that are no numbers come first; the cast sees to that.
            let [x, y, z] =
                [0, 1, 2].map(|k| spread(((m[k] - low[k] + shift * reach) * scale) as u16));
            (x | y << 1 | z << 2) << 32 | t as u64
        })
        .collect();
    keys.par_sort_unstable();
    keys.into_iter().map(|key| key as u32).collect()
}

/// Every bit three places apart.
fn spread(value: u16) -> u64 {
    let mut v = u64::from(value);
    v = (v | v << 16) & 0x0000_ff00_00ff;
    v = (v | v << 8) & 0x00f0_0f00_f00f;
    v = (v | v << 4) & 0x0c30_c30c_30c3;
    (v | v << 2) & 0x2492_4924_9249
}

const NOWHERE: u32 = u32::MAX;
const SEAM: u32 = u32::MAX - 1;

/// `shift` is where the blocks begin and `size` how many triangles each has, `share` what is to be left of each.
/// Tells which vertices lie on seams.
fn by_blocks(
    draft: Draft,
    (shift, size): (f64, usize),
    share: f64,
    limits: &Limits<'_>,
) -> (Draft, Vec<bool>) {
    let order = along_space(&draft.mesh, shift);
    let mut block_of = vec![NOWHERE; draft.mesh.vertices.len()];
    // Within its block each vertex has the number in which it is met there; seams leave gaps.
    let mut local_of = vec![0u32; draft.mesh.vertices.len()];
    for (b, block) in order.chunks(size).enumerate() {
        let mut met = 0;
        for &t in block {
            for v in draft.mesh.triangles[t as usize] {
                let of = &mut block_of[v as usize];
                if *of == NOWHERE {
                    *of = b as u32;
                    local_of[v as usize] = met;
                    met += 1;
                } else if *of != b as u32 {
                    *of = SEAM;
                }
            }
        }
    }
    let done: Vec<(Draft, Vec<u32>)> = order
        .par_chunks(size)
        .map(|block| {
            let (cut, names) = cut_out(&draft, block, &block_of, &local_of);
            let limits = Limits {
                triangles: (block.len() as f64 * share) as usize,
                ..*limits
            };
            // Where nothing may move, nothing is asked.
            if cut.fixed.iter().all(|f| *f) {
                return (cut, names);
            }
            let (simple, kept) = run(cut, &limits);
            let names = kept.iter().map(|&v| names[v as usize]).collect();
            (simple, names)
        })
        .collect();
    // One surface again: vertices of seams by their old numbers, the others as they come.
    let mut whole = Draft::default();
    let mut on_seam = Vec::new();
    let mut seam = vec![NOWHERE; draft.mesh.vertices.len()];
    whole.near_first.push(0);
    for (part, names) in done {
        let numbers: Vec<u32> = (part.mesh.vertices.iter())
            .zip(names)
            .map(|(&place, name)| {
                let at_seam = block_of[name as usize] == SEAM;
                if at_seam && seam[name as usize] != NOWHERE {
                    return seam[name as usize];
                }
                let number = whole.mesh.vertices.len() as u32;
                // The given place itself: it was never moved, and must be the same from every side.
                let place = if at_seam {
                    draft.mesh.vertices[name as usize]
                } else {
                    place
                };
                whole.mesh.vertices.push(place);
                on_seam.push(at_seam);
                if at_seam {
                    seam[name as usize] = number;
                }
                number
            })
            .collect();
        let shift = whole.near.len() as u32;
        whole.near.extend(part.near);
        whole
            .near_first
            .extend(part.near_first.iter().skip(1).map(|n| n + shift));
        let renamed = part
            .mesh
            .triangles
            .iter()
            .map(|t| t.map(|v| numbers[v as usize]));
        whole.mesh.triangles.extend(renamed);
    }
    (whole, on_seam)
}

/// Leaves free what is not far from a seam.
fn only_about(mut draft: Draft, mut free: Vec<bool>) -> Draft {
    for _ in 0..RINGS {
        let before = free.clone();
        for t in &draft.mesh.triangles {
            if t.iter().any(|&v| before[v as usize]) {
                for &v in t {
                    free[v as usize] = true;
                }
            }
        }
    }
    draft.fixed = free.iter().map(|f| !f).collect();
    draft
}

/// One block as a surface of its own, its seams fixed, and the old numbers of its vertices.
fn cut_out(draft: &Draft, block: &[u32], block_of: &[u32], local_of: &[u32]) -> (Draft, Vec<u32>) {
    let (mut names, mut seams) = (Vec::new(), Vec::new());
    for v in block.iter().flat_map(|&t| draft.mesh.triangles[t as usize]) {
        if block_of[v as usize] == SEAM {
            seams.push(v);
        } else {
            let number = local_of[v as usize] as usize;
            if number >= names.len() {
                // Gaps name some vertex, by which nothing is changed.
                names.resize(number + 1, v);
            }
            names[number] = v;
        }
    }
    seams.sort_unstable();
    seams.dedup();
    let inner = names.len();
    names.extend(&seams);
    let local = |v: u32| match block_of[v as usize] {
        SEAM => seams.binary_search(&v).map_or(0, |n| (inner + n) as u32),
        _ => local_of[v as usize],
    };
    let mut cut = Draft {
        mesh: Mesh {
            vertices: names
                .iter()
                .map(|&v| draft.mesh.vertices[v as usize])
                .collect(),
            triangles: block
                .iter()
                .map(|&t| draft.mesh.triangles[t as usize].map(local))
                .collect(),
        },
        fixed: names
            .iter()
            .map(|&v| {
                let before = draft.fixed.get(v as usize).copied();
                block_of[v as usize] == SEAM || before.unwrap_or(false)
            })
            .collect(),
        near: Vec::new(),
        near_first: vec![0],
    };
    for &t in block {
        let t = t as usize;
        let near = draft.near_first[t] as usize..draft.near_first[t + 1] as usize;
        cut.near.extend_from_slice(&draft.near[near]);
        cut.near_first.push(cut.near.len() as u32);
    }
    (cut, names)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bits_are_spread_three_apart() {
        for value in [0u16, 1, 2, 3, 0x8000, 0xffff, 0x1234] {
            let slow = (0..16).fold(0u64, |sum, b| sum | u64::from(value >> b & 1) << (3 * b));
            assert_eq!(spread(value), slow, "{value:x}");
        }
    }
}
