//! How is adjacency made, quickly?
//!
//! Half-edges are put in lists by the vertex that they leave, in one pass; everything about a vertex's edges is
//! then found within that short list. Large meshes are shared out by ranges of vertices, each its own thread's.
//!
//! One surprise: how many threads there were is in no result. Edges are numbered by their lower vertex, then by
//! the higher one, and each range of vertices holds a run of them.

use super::{NONE, Topology, next, previous};
use crate::Mesh;
use rayon::prelude::*;
use std::sync::atomic::{AtomicU32, Ordering::Relaxed};

/// Smaller meshes are not worth a second thread.
const SHARE: usize = 20_000;
/// Every thread looks through all triangles for those of its own vertices.
const MOST_PARTS: usize = 8;

fn sides(&[a, b, c]: &[u32; 3]) -> [(u32, u32); 3] {
    [(a, b), (b, c), (c, a)]
}

/// Nearly all lists hold less than ten numbers.
fn sort(list: &mut [u64]) {
    if list.len() > 24 {
        return list.sort_unstable();
    }
    for i in 1..list.len() {
        let new = list[i];
        let mut at = i;
        while at > 0 && list[at - 1] > new {
            list[at] = list[at - 1];
            at -= 1;
        }
        list[at] = new;
    }
}

/// The edges whose lower vertex lies in one range, numbered from 0.
struct Edges {
    ends: Vec<[u32; 2]>,
    first: Vec<u32>,
    on: Vec<u32>,
}

pub(super) fn topology(mesh: &Mesh) -> Topology {
    let parts = if mesh.triangles.len() < SHARE {
        1
    } else {
        rayon::current_num_threads().clamp(1, MOST_PARTS)
    };
    in_parts(mesh, parts)
}

fn in_parts(mesh: &Mesh, parts: usize) -> Topology {
    let vertices = mesh.vertices.len();
    let bound = |p: usize| p * vertices / parts;
    let start: Vec<u32> = mesh.triangles.as_flattened().to_vec();
    let sound = |t: &[u32; 3]| {
        t[0] != t[1] && t[1] != t[2] && t[2] != t[0] && t.iter().all(|&v| (v as usize) < vertices)
    };
    // How many leave each vertex, and from that where its list begins.
    let mut leaving_first = vec![0u32; vertices + 1];
    let mut ranges = cut(&mut leaving_first[1..], parts, bound);
    each(&mut ranges, |p, counts| {
        let low = bound(p) as u32;
        for t in mesh.triangles.iter().filter(|t| sound(t)) {
            for &v in t {
                if let Some(count) = counts.get_mut(v.wrapping_sub(low) as usize) {
                    *count += 1;
                }
            }
        }
    });
    for v in 0..vertices {
        leaving_first[v + 1] += leaving_first[v];
    }
    let mut leaving = vec![0u32; leaving_first[vertices] as usize];
    let from = |p: usize| leaving_first[bound(p)] as usize;
    let mut ranges = cut(&mut leaving, parts, from);
    each(&mut ranges, |p, list| {
        let (low, high) = (bound(p), bound(p + 1));
        let shift = from(p) as u32;
        let mut at: Vec<u32> = (leaving_first[low..high].iter())
            .map(|f| f - shift)
            .collect();
        for (i, t) in mesh.triangles.iter().enumerate() {
            if !sound(t) {
                continue;
            }
            for (k, (v, _)) in sides(t).into_iter().enumerate() {
                if let Some(at) = at.get_mut((v.wrapping_sub(low as u32)) as usize) {
                    list[*at as usize] = (3 * i + k) as u32;
                    *at += 1;
                }
            }
        }
    });
    let opposite = nothing(start.len());
    let edge_of = nothing(start.len());
    let mut all: Vec<Edges> = Vec::new();
    (0..parts)
        .into_par_iter()
        .map(|p| {
            edges(
                bound(p)..bound(p + 1),
                &start,
                &leaving_first,
                &leaving,
                &opposite,
            )
        })
        .collect_into_vec(&mut all);
    let mut shifts = vec![[0u32; 2]];
    for part in &all {
        let [edges, sides] = shifts[shifts.len() - 1];
        shifts.push([edges + part.ends.len() as u32, sides + part.on.len() as u32]);
    }
    all.par_iter_mut().enumerate().for_each(|(p, part)| {
        let [edges, sides] = shifts[p];
        for (e, ends) in (edges..).zip(part.first.windows(2)) {
            for &h in &part.on[ends[0] as usize..ends[1] as usize] {
                edge_of[h as usize].store(e, Relaxed);
            }
        }
        part.first.pop();
        for first in &mut part.first {
            *first += sides;
        }
    });
    let mut all = all.into_iter();
    let mut whole = all.next().unwrap_or(Edges {
        ends: Vec::new(),
        first: Vec::new(),
        on: Vec::new(),
    });
    for part in all {
        whole.ends.extend(part.ends);
        whole.first.extend(part.first);
        whole.on.extend(part.on);
    }
    whole.first.push(whole.on.len() as u32);
    Topology {
        start,
        edge_of: numbers(edge_of),
        opposite: numbers(opposite),
        ends: whole.ends,
        edge_first: whole.first,
        on_edge: whole.on,
        leaving_first,
        leaving,
    }
}

/// The edges of a range of vertices, in their order; those that are sound get their opposites.
fn edges(
    range: std::ops::Range<usize>,
    start: &[u32],
    leaving_first: &[u32],
    leaving: &[u32],
    opposite: &[AtomicU32],
) -> Edges {
    let most = (leaving_first[range.end] - leaving_first[range.start]) as usize;
    let mut edges = Edges {
        ends: Vec::with_capacity(most / 2 + most / 8),
        first: Vec::with_capacity(most / 2 + most / 8),
        on: Vec::with_capacity(most + most / 8),
    };
    let mut list: Vec<u64> = Vec::new();
    for low in range {
        list.clear();
        let here = leaving_first[low] as usize..leaving_first[low + 1] as usize;
        for &h in &leaving[here] {
            // The side that leaves, and the one of the same triangle that comes.
            let back = previous(h);
            let end = start[next(h) as usize];
            if end as usize > low {
                list.push(u64::from(end) << 32 | u64::from(h));
            }
            let from = start[back as usize];
            if from as usize > low {
                list.push(u64::from(from) << 32 | u64::from(back));
            }
        }
        sort(&mut list);
        for same in list.chunk_by(|a, b| a >> 32 == b >> 32) {
            edges.first.push(edges.on.len() as u32);
            edges.ends.push([low as u32, (same[0] >> 32) as u32]);
            edges.on.extend(same.iter().map(|&h| h as u32));
            if let &[a, b] = same {
                let (a, b) = (a as u32, b as u32);
                if start[a as usize] != start[b as usize] {
                    opposite[a as usize].store(b, Relaxed);
                    opposite[b as usize].store(a, Relaxed);
                }
            }
        }
    }
    edges.first.push(edges.on.len() as u32);
    edges
}

/// Every place is written once or not at all, by whichever thread has its edge.
fn nothing(count: usize) -> Vec<AtomicU32> {
    vec![NONE; count].into_iter().map(AtomicU32::new).collect()
}

fn numbers(list: Vec<AtomicU32>) -> Vec<u32> {
    list.into_iter().map(AtomicU32::into_inner).collect()
}

/// A list in consecutive parts; part `p` begins at `bound(p)`.
fn cut(mut list: &mut [u32], parts: usize, bound: impl Fn(usize) -> usize) -> Vec<&mut [u32]> {
    let mut all = Vec::with_capacity(parts);
    for p in 0..parts {
        let (part, rest) = list.split_at_mut(bound(p + 1) - bound(p));
        all.push(part);
        list = rest;
    }
    all
}

fn each(parts: &mut [&mut [u32]], work: impl Fn(usize, &mut [u32]) + Sync) {
    match parts {
        [one] => work(0, one),
        parts => parts
            .par_iter_mut()
            .enumerate()
            .for_each(|(p, part)| work(p, part)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::torus;

    #[test]
    fn any_number_of_parts_gives_the_same_also_of_torn_turned_and_crowded_triangles() {
        let mut mesh = torus(30.0, 8.0, 40, 20);
        mesh.triangles.swap_remove(100);
        mesh.triangles[300].swap(0, 1);
        let [a, b, c] = mesh.triangles[500];
        mesh.triangles
            .extend([[a, b, 7], [a, a, b], [b, c, 90_000], [a, b, c]]);
        let one = in_parts(&mesh, 1);
        for parts in [2, 3, 8] {
            assert_eq!(in_parts(&mesh, parts), one);
        }
        // Every side lies on one edge, between that edge's ends, in rising order.
        for e in 0..one.edge_count() as u32 {
            let sides = one.on_edge(e);
            assert!(sides.windows(2).all(|s| s[0] < s[1]));
            for &h in sides {
                let mut ends = [one.start(h), one.end(h)];
                ends.sort_unstable();
                assert_eq!((ends, one.edge_of(h)), (one.ends(e), Some(e)));
            }
        }
        let edges: Vec<[u32; 2]> = (0..one.edge_count() as u32).map(|e| one.ends(e)).collect();
        assert!(edges.windows(2).all(|e| e[0] < e[1]));
    }
}
