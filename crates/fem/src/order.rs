//! In which order the nodes are taken out of the equations, so that few new entries arise.
//!
//! Leaves the factorisation itself to [`factor`](crate::factor). The mesh is halved again and again by planes
//! through the middle of its points; the fewest nodes that part the halves come last. One surprise: the
//! fewest nodes are found exactly, as the smallest cover of the edges that cross the plane (König).

use nalgebra::{Matrix3, Point3, SymmetricEigen, Vector3};

/// Neighbours of each vertex: those of `v` are `to[start[v]..start[v + 1]]`.
#[derive(Debug, Clone)]
pub(crate) struct Graph {
    pub start: Vec<usize>,
    pub to: Vec<u32>,
}

impl Graph {
    /// From pairs in any order, each given once or more; pairs of a vertex with itself are left out.
    pub fn of_pairs(vertices: usize, mut pairs: Vec<(u32, u32)>) -> Self {
        pairs.retain(|(a, b)| a != b);
        let mut next = vec![0; vertices + 1];
        for &(a, b) in &pairs {
            next[a as usize + 1] += 1;
            next[b as usize + 1] += 1;
        }
        for v in 0..vertices {
            next[v + 1] += next[v];
        }
        let repeated_start = next.clone();
        let mut repeated = vec![0; 2 * pairs.len()];
        for &(a, b) in &pairs {
            for (from, to) in [(a, b), (b, a)] {
                repeated[next[from as usize]] = to;
                next[from as usize] += 1;
            }
        }
        let mut start = Vec::with_capacity(vertices + 1);
        start.push(0);
        let mut to = Vec::with_capacity(repeated.len());
        for v in 0..vertices {
            let own = &mut repeated[repeated_start[v]..repeated_start[v + 1]];
            own.sort_unstable();
            let first = to.len();
            for &near in own.iter() {
                if to.len() == first || to[to.len() - 1] != near {
                    to.push(near);
                }
            }
            start.push(to.len());
        }
        Self { start, to }
    }

    pub fn near(&self, v: u32) -> &[u32] {
        &self.to[self.start[v as usize]..self.start[v as usize + 1]]
    }
}

/// Sets this small are not halved any further.
const SMALL: usize = 4;
/// From this size on, slanted planes are tried as well.
const WORTH_TRYING: usize = 64;

/// The vertices of `among` in the order of elimination.
pub(crate) fn nested_dissection(
    points: &[Point3<f64>],
    graph: &Graph,
    among: Vec<u32>,
) -> Vec<u32> {
    let mut order = Vec::with_capacity(among.len());
    let mut work = Work {
        points,
        graph,
        label: vec![0; points.len()],
        last_label: 0,
        mate: vec![NONE; points.len()],
        from: vec![NONE; points.len()],
    };
    // Sets wait on a stack; a separator waits below its two halves and is written when they are done.
    let mut waiting = vec![Task::Halve(among)];
    while let Some(task) = waiting.pop() {
        match task {
            Task::Write(set) => order.extend(set),
            Task::Halve(set) if set.len() <= SMALL => order.extend(set),
            Task::Halve(set) => {
                let [one, other, between] = work.halve(set);
                waiting.push(Task::Write(between));
                waiting.push(Task::Halve(other));
                waiting.push(Task::Halve(one));
            }
        }
    }
    order
}

enum Task {
    Halve(Vec<u32>),
    Write(Vec<u32>),
}

const NONE: u32 = u32::MAX;

struct Work<'a> {
    points: &'a [Point3<f64>],
    graph: &'a Graph,
    label: Vec<u32>,
    last_label: u32,
    mate: Vec<u32>,
    from: Vec<u32>,
}

impl Work<'_> {
    fn halve(&mut self, set: Vec<u32>) -> [Vec<u32>; 3] {
        let axes = principal(self.points, &set);
        let mut directions = vec![axes[0]];
        if set.len() >= WORTH_TRYING {
            directions.push(axes[0] + axes[1] * 0.6);
            directions.push(axes[0] - axes[1] * 0.6);
            directions.push(axes[1]);
        }
        let mut best: Option<([Vec<u32>; 3], f64)> = None;
        for direction in directions {
            let parts = self.part(&set, &direction);
            // A longer separator costs with its cube, a poor balance with the larger half.
            let larger = parts[0].len().max(parts[1].len()) as f64 / set.len() as f64;
            let cost = parts[2].len() as f64 * (1.0 + 2.0 * (larger - 0.45).max(0.0));
            if best.as_ref().is_none_or(|(_, least)| cost < *least) {
                best = Some((parts, cost));
            }
        }
        let Some(([one, other, mut between], _)) = best else {
            return [set, Vec::new(), Vec::new()];
        };
        let along = axes[1];
        let place = |v: u32| along.dot(&self.points[v as usize].coords);
        between.sort_unstable_by(|&a, &b| place(a).total_cmp(&place(b)).then(a.cmp(&b)));
        [one, other, between]
    }

    fn part(&mut self, set: &[u32], direction: &Vector3<f64>) -> [Vec<u32>; 3] {
        let mut keyed: Vec<(f64, u32)> = set
            .iter()
            .map(|&v| (direction.dot(&self.points[v as usize].coords), v))
            .collect();
        let middle = keyed.len() / 2;
        keyed.select_nth_unstable_by(middle, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let (low, high) = (self.last_label + 1, self.last_label + 2);
        self.last_label = high;
        for &(_, v) in &keyed[..middle] {
            self.label[v as usize] = low;
        }
        for &(_, v) in &keyed[middle..] {
            self.label[v as usize] = high;
        }
        let cover = self.cover(&keyed[..middle], low, high);
        // The cover takes a label of its own, so that the halves can be told from it.
        self.last_label += 1;
        for &v in &cover {
            self.label[v as usize] = self.last_label;
        }
        let keep = |half: &[(f64, u32)], label: u32, labels: &[u32]| {
            let mut kept: Vec<u32> = half
                .iter()
                .map(|h| h.1)
                .filter(|&v| labels[v as usize] == label)
                .collect();
            kept.sort_unstable();
            kept
        };
        [
            keep(&keyed[..middle], low, &self.label),
            keep(&keyed[middle..], high, &self.label),
            cover,
        ]
    }

    /// The fewest vertices that touch every edge between the labels: a largest matching, then König.
    fn cover(&mut self, lows: &[(f64, u32)], low: u32, high: u32) -> Vec<u32> {
        let graph = self.graph;
        let mut rim: Vec<u32> = lows
            .iter()
            .map(|l| l.1)
            .filter(|&v| {
                graph
                    .near(v)
                    .iter()
                    .any(|&w| self.label[w as usize] == high)
            })
            .collect();
        rim.sort_unstable();
        let mut touched = Vec::new();
        let mut reached = Vec::new();
        for &start in &rim {
            // One search for a path that frees a mate, breadth first.
            let mut queue = vec![start];
            reached.clear();
            let mut next = 0;
            let mut end = NONE;
            'search: while next < queue.len() {
                let v = queue[next];
                next += 1;
                for &w in graph.near(v) {
                    if self.label[w as usize] != high || self.from[w as usize] != NONE {
                        continue;
                    }
                    self.from[w as usize] = v;
                    reached.push(w);
                    if self.mate[w as usize] == NONE {
                        end = w;
                        break 'search;
                    }
                    queue.push(self.mate[w as usize]);
                }
            }
            while end != NONE {
                let v = self.from[end as usize];
                let before = self.mate[v as usize];
                self.mate[v as usize] = end;
                self.mate[end as usize] = v;
                touched.push(end);
                end = before;
            }
            for &w in &reached {
                self.from[w as usize] = NONE;
            }
        }
        // All that alternating paths reach from the unmatched: keep out of the cover on the low side.
        let mut queue: Vec<u32> = rim
            .iter()
            .copied()
            .filter(|&v| self.mate[v as usize] == NONE)
            .collect();
        let mut seen_low = queue.clone();
        let mut seen_high = Vec::new();
        while let Some(v) = queue.pop() {
            for &w in graph.near(v) {
                if self.label[w as usize] == high && self.from[w as usize] == NONE {
                    self.from[w as usize] = v;
                    seen_high.push(w);
                    let mate = self.mate[w as usize];
                    if mate != NONE {
                        queue.push(mate);
                        seen_low.push(mate);
                    }
                }
            }
        }
        seen_low.sort_unstable();
        let mut cover: Vec<u32> = rim
            .iter()
            .copied()
            .filter(|v| seen_low.binary_search(v).is_err())
            .collect();
        cover.extend(&seen_high);
        for &w in &seen_high {
            self.from[w as usize] = NONE;
        }
        for v in rim.into_iter().chain(touched) {
            self.mate[v as usize] = NONE;
        }
        debug_assert!(lows.iter().all(|l| self.label[l.1 as usize] == low));
        cover.sort_unstable();
        cover
    }
}

/// Directions of largest and second largest spread.
fn principal(points: &[Point3<f64>], set: &[u32]) -> [Vector3<f64>; 2] {
    let mut mean = Vector3::zeros();
    for &v in set {
        mean += points[v as usize].coords;
    }
    mean /= set.len() as f64;
    let mut spread = Matrix3::zeros();
    for &v in set {
        let arm = points[v as usize].coords - mean;
        spread += arm * arm.transpose();
    }
    let eigen = SymmetricEigen::new(spread);
    let mut by_size = [0, 1, 2];
    by_size.sort_by(|&a, &b| eigen.eigenvalues[b].total_cmp(&eigen.eigenvalues[a]));
    [0, 1].map(|rank| eigen.eigenvectors.column(by_size[rank]).into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(n: u32) -> (Vec<Point3<f64>>, Graph) {
        let points = (0..n * n)
            .map(|v| Point3::new(f64::from(v % n), f64::from(v / n), 0.0))
            .collect();
        let mut pairs = Vec::new();
        for v in 0..n * n {
            let (x, y) = (v % n, v / n);
            if x + 1 < n {
                pairs.push((v, v + 1));
            }
            if y + 1 < n {
                pairs.push((v, v + n));
            }
            if x + 1 < n && y + 1 < n {
                pairs.push((v, v + n + 1));
            }
        }
        (points, Graph::of_pairs((n * n) as usize, pairs))
    }

    #[test]
    fn every_vertex_comes_once_and_the_last_ones_part_the_square() {
        let n = 17;
        let (points, graph) = grid(n);
        let order = nested_dissection(&points, &graph, (0..n * n).collect());
        let mut sorted = order.clone();
        sorted.sort_unstable();
        assert_eq!(sorted, (0..n * n).collect::<Vec<_>>());
        // Without the last row's worth of vertices the graph falls into parts, none above 60 %.
        let gone: Vec<u32> = order[order.len() - n as usize..].to_vec();
        let mut seen = vec![false; points.len()];
        for &v in &gone {
            seen[v as usize] = true;
        }
        let mut largest = 0;
        for start in 0..n * n {
            let mut stack = vec![start];
            let mut size = 0;
            while let Some(v) = stack.pop() {
                if std::mem::replace(&mut seen[v as usize], true) {
                    continue;
                }
                size += 1;
                stack.extend(graph.near(v));
            }
            largest = largest.max(size);
        }
        assert!(largest < (n * n) * 6 / 10, "{largest}");
    }

    #[test]
    fn points_that_all_lie_in_one_place_are_still_ordered() {
        let (points, graph) = grid(5);
        let same = vec![Point3::origin(); points.len()];
        assert_eq!(
            nested_dissection(&same, &graph, (0..25).collect()).len(),
            25
        );
    }
}
