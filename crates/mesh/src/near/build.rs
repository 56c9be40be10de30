//! How are the triangles parted, so that few boxes need be looked at?
//!
//! Top down: at each step the longest axis of the triangles' middles is cut into bins, and the border between
//! bins is taken where the surface of both halves times their number is least. Deep down, where that goes on
//! for too long, the list is halved instead, which bounds the depth.

use super::{Node, Tree, box_of};
use crate::Mesh;
use rayon::prelude::*;

const LEAF: usize = 4;
const BINS: usize = 16;
/// From here on the list is halved; 24 more levels are enough for any list of 32-bit numbers in leaves.
const HALVE_FROM: usize = 30;
/// Smaller lists are not worth a second thread.
const SHARE: usize = 8192;

#[derive(Clone, Copy)]
struct Item {
    low: [f32; 3],
    high: [f32; 3],
    triangle: u32,
}

impl Item {
    fn middle(&self, axis: usize) -> f32 {
        self.low[axis] * 0.5 + self.high[axis] * 0.5
    }
}

/// The nearest `f32` that is not above.
pub(super) fn round_down(value: f64) -> f32 {
    let near = value as f32;
    if f64::from(near) > value {
        near.next_down()
    } else {
        near
    }
}

/// The nearest `f32` that is not below.
pub(super) fn round_up(value: f64) -> f32 {
    let near = value as f32;
    if f64::from(near) < value {
        near.next_up()
    } else {
        near
    }
}

pub(super) fn tree(mesh: &Mesh) -> Tree {
    let count = mesh.vertices.len();
    // Beyond the range of f32 a box would be endless; such corners are no place either.
    let placed = |v: &u32| {
        (*v as usize) < count
            && mesh.vertices[*v as usize]
                .iter()
                .all(|c| c.abs() < f64::from(f32::MAX) * 0.5)
    };
    let mut items: Vec<Item> = mesh
        .triangles
        .par_iter()
        .enumerate()
        .filter(|(_, t)| t.iter().all(placed))
        .map(|(i, _)| {
            let (low, high) = box_of(&mesh.corners(i));
            Item {
                low: low.map(round_down),
                high: high.map(round_up),
                triangle: i as u32,
            }
        })
        .collect();
    let nodes = if items.is_empty() {
        Vec::new()
    } else {
        grow(&mut items, 0, 0)
    };
    let order: Vec<u32> = items.iter().map(|i| i.triangle).collect();
    let corners = order
        .par_iter()
        .map(|&t| mesh.corners(t as usize))
        .collect();
    Tree {
        nodes,
        order,
        corners,
    }
}

/// The nodes of a list, its root first; `base` is where the list starts in the tree's order.
fn grow(items: &mut [Item], base: usize, depth: usize) -> Vec<Node> {
    if items.len() <= SHARE {
        let mut nodes = vec![blank()];
        fill(items, base, depth, &mut nodes, 0);
        return nodes;
    }
    let mut root = blank();
    bound(items, &mut root);
    let middle = part(items, depth);
    let (left, right) = items.split_at_mut(middle);
    let (left, right) = rayon::join(
        || grow(left, base, depth + 1),
        || grow(right, base + middle, depth + 1),
    );
    // Both roots come first, side by side; what follows each is moved along.
    let moved = |nodes: &[Node], by: u32, out: &mut Vec<Node>| {
        out.extend(nodes.iter().map(|n| Node {
            first: if n.count == 0 { n.first + by } else { n.first },
            ..*n
        }));
    };
    root.first = 1;
    let mut nodes = Vec::with_capacity(left.len() + right.len() + 1);
    nodes.push(root);
    let (by_left, by_right) = (2, left.len() as u32 + 1);
    moved(&left[..1], by_left, &mut nodes);
    moved(&right[..1], by_right, &mut nodes);
    moved(&left[1..], by_left, &mut nodes);
    moved(&right[1..], by_right, &mut nodes);
    nodes
}

fn blank() -> Node {
    Node {
        low: [f32::INFINITY; 3],
        high: [f32::NEG_INFINITY; 3],
        first: 0,
        count: 0,
    }
}

fn bound(items: &[Item], node: &mut Node) {
    for item in items {
        for k in 0..3 {
            node.low[k] = node.low[k].min(item.low[k]);
            node.high[k] = node.high[k].max(item.high[k]);
        }
    }
}

fn fill(items: &mut [Item], base: usize, depth: usize, nodes: &mut Vec<Node>, at: usize) {
    let mut node = blank();
    bound(items, &mut node);
    if items.len() <= LEAF {
        node.first = base as u32;
        node.count = items.len() as u32;
        nodes[at] = node;
        return;
    }
    let middle = part(items, depth);
    let first = nodes.len();
    node.first = first as u32;
    nodes[at] = node;
    nodes.extend([blank(), blank()]);
    let (left, right) = items.split_at_mut(middle);
    fill(left, base, depth + 1, nodes, first);
    fill(right, base + middle, depth + 1, nodes, first + 1);
}

/// Puts the list into two parts, neither empty; gives the length of the first.
fn part(items: &mut [Item], depth: usize) -> usize {
    let (mut low, mut high) = ([f32::INFINITY; 3], [f32::NEG_INFINITY; 3]);
    for item in items.iter() {
        for k in 0..3 {
            low[k] = low[k].min(item.middle(k));
            high[k] = high[k].max(item.middle(k));
        }
    }
    let reach = [0, 1, 2].map(|k| high[k] - low[k]);
    let mut axis = 0;
    for k in 1..3 {
        if reach[k] > reach[axis] {
            axis = k;
        }
    }
    if depth < HALVE_FROM
        && reach[axis] > 0.0
        && let Some(middle) = by_bins(items, axis, low[axis], reach[axis])
    {
        return middle;
    }
    let middle = items.len() / 2;
    items.select_nth_unstable_by(middle, |a, b| {
        (a.middle(axis).total_cmp(&b.middle(axis))).then(a.triangle.cmp(&b.triangle))
    });
    middle
}

#[derive(Clone, Copy)]
struct Bin {
    low: [f32; 3],
    high: [f32; 3],
    count: usize,
}

const EMPTY: Bin = Bin {
    low: [f32::INFINITY; 3],
    high: [f32::NEG_INFINITY; 3],
    count: 0,
};

impl Bin {
    fn add(&mut self, other: &Bin) {
        for k in 0..3 {
            self.low[k] = self.low[k].min(other.low[k]);
            self.high[k] = self.high[k].max(other.high[k]);
        }
        self.count += other.count;
    }

    fn cost(&self) -> f32 {
        if self.count == 0 {
            return 0.0;
        }
        let [x, y, z] = [0, 1, 2].map(|k| self.high[k] - self.low[k]);
        (x * y + y * z + z * x) * self.count as f32
    }
}

fn by_bins(items: &mut [Item], axis: usize, low: f32, reach: f32) -> Option<usize> {
    let scale = BINS as f32 / reach;
    if !scale.is_finite() {
        return None;
    }
    let bin_of = |item: &Item| (((item.middle(axis) - low) * scale) as usize).min(BINS - 1);
    let mut bins = [EMPTY; BINS];
    for item in items.iter() {
        bins[bin_of(item)].add(&Bin {
            low: item.low,
            high: item.high,
            count: 1,
        });
    }
    let mut above = [0.0f32; BINS];
    let mut gathered = EMPTY;
    for b in (1..BINS).rev() {
        gathered.add(&bins[b]);
        above[b] = gathered.cost();
    }
    let mut gathered = EMPTY;
    let mut best = (f32::INFINITY, 0);
    for b in 1..BINS {
        gathered.add(&bins[b - 1]);
        let cost = gathered.cost() + above[b];
        if gathered.count > 0 && gathered.count < items.len() && cost < best.0 {
            best = (cost, b);
        }
    }
    if best.1 == 0 {
        return None;
    }
    // Exchanging from both ends.
    let (mut left, mut right) = (0, items.len());
    while left < right {
        if bin_of(&items[left]) < best.1 {
            left += 1;
        } else {
            right -= 1;
            items.swap(left, right);
        }
    }
    Some(left)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::near::DEPTH;
    use crate::near::tests::litter;

    fn depth(tree: &Tree, at: usize) -> usize {
        let node = &tree.nodes[at];
        if node.count > 0 {
            1
        } else {
            1 + depth(tree, node.first as usize).max(depth(tree, node.first as usize + 1))
        }
    }

    #[test]
    fn a_tree_holds_every_triangle_once_and_stays_shallow() {
        // Each triangle half as far out as the one before: the worst for bins. And many at one place.
        let mut steep = Mesh::default();
        for i in 0..4000 {
            let x = 0.5f64.powi(i / 32);
            let n = steep.vertices.len() as u32;
            steep
                .vertices
                .extend([[x, 0.0, 0.0], [x, x, 0.0], [x, 0.0, x]]);
            steep.triangles.push([n, n + 1, n + 2]);
        }
        for mesh in [litter(40_000), steep] {
            let tree = Tree::of(&mesh);
            let mut all = tree.order.clone();
            all.sort_unstable();
            assert!(all.iter().enumerate().all(|(i, &t)| i == t as usize));
            assert_eq!(all.len(), mesh.triangles.len());
            assert!(depth(&tree, 0) < DEPTH);
            for node in &tree.nodes {
                for slot in node.first..node.first + node.count {
                    let (low, high) = box_of(&tree.corners[slot as usize]);
                    for k in 0..3 {
                        assert!(f64::from(node.low[k]) <= low[k]);
                        assert!(f64::from(node.high[k]) >= high[k]);
                    }
                }
            }
        }
    }
}
