//! Drawing edges together.
//!
//! The surface is held as half-edges with their opposites. A step takes the edge from `u` to `v`, moves `u` to
//! the best place for both, gives it what hung on `v`, and takes away the one or two triangles between them.
//!
//! A step is taken only if `u` and `v` have no other neighbours in common than those two triangles have (or a
//! handle or bridge would close), no remaining triangle turns or gets much worse, and, where a deviation is
//! asked for, every given vertex and middle of a triangle about the place stays near enough to the new surface,
//! and the new vertex and the middles of the triangles about it to the given one.
//!
//! One surprise: fans of rim vertices are walked from their rim; `out` names that half-edge, always.

use super::follow::{Followed, Places, Spot, moved_far};
use super::quadric::Quadric;
use super::queue::{Entry, Queue};
use crate::Mesh;
use crate::check::LEAST_AREA;
use crate::topology::{EdgeKind, Topology, next, previous, triangle};
use rayon::prelude::*;

pub(super) const NONE: u32 = u32::MAX;

pub(super) type P = [f64; 3];

/// Rims weigh this much more than faces of the same size.
const RIM_WEIGHT: f64 = 10.0;
/// Long edges cost as if they strayed by this share of their length, so that flat places stay even.
const SHORT_FIRST: f64 = 1e-6;
/// A triangle may turn by no more than about 75 degrees in one step.
const LEAST_COSINE: f64 = 0.25;
/// How much of where its neighbours face counts for a triangle itself.
const FACING_SHARE: f64 = 0.1;
/// Twice the area over the sum of squared sides, below which a triangle may not get worse; 0.29 is equilateral.
const LEAST_SHAPE: f64 = 0.03;

/// Quick rounds at the beginning of the steps without asking; each takes about a sixth of what is there.
const SWEEPS: usize = 3;
/// In these, long ways cost as if they strayed by the root of this share of their length.
const SWEEP_SHORT_FIRST: f64 = 1e-6;

/// So often the steps without asking are begun again with what strayed held, before none is taken.
const TRIES: usize = 4;

/// A surface on its way, with what is known of the given one.
#[derive(Debug, Clone, Default)]
pub(super) struct Draft {
    /// Every triangle names three vertices that are there.
    pub mesh: Mesh,
    /// Vertices that stay where they are, beyond those that must.
    pub fixed: Vec<bool>,
    /// Followed places of the given surface, by the triangle they are near.
    pub near: Vec<Spot>,
    /// Where the places of each triangle begin in `near`, and the end.
    pub near_first: Vec<u32>,
}

/// How far to go.
#[derive(Clone, Copy)]
pub(super) struct Limits<'a> {
    /// Triangles at which to stop.
    pub triangles: usize,
    /// How far to stray from which surface, where its places are followed.
    pub follow: Option<(f64, &'a Mesh)>,
    /// With places followed: so far, as a share of the deviation, steps go by the mean distance from the planes
    /// alone, and then all places are asked.
    pub unasked: f64,
}

/// Draws edges together until a limit is met or nothing more can be drawn.
///
/// The vertices kept are in their old order; their old numbers come with them.
pub(super) fn run(draft: Draft, limits: &Limits<'_>) -> (Draft, Vec<u32>) {
    let mut work = Work::new(&draft);
    let Some((reach, surface)) = limits.follow else {
        work.draw(limits.triangles, f64::INFINITY);
        return work.into_draft(None);
    };
    let places = Places::of(&draft.near, &draft.near_first, work.middle);
    let before = Before {
        place: work.place.clone(),
        triangles: draft.mesh.triangles.clone(),
    };
    // Most of the way without asking at every step.
    for _ in 0..TRIES {
        work.draw(limits.triangles, (limits.unasked * reach).powi(2));
        let (triangle, strayed) = places.found(&before, &work, reach * reach);
        let followed = Followed::new((reach, surface), &work, &places.spots, &triangle);
        let far = moved_far(&before, &work, &followed);
        if strayed.is_empty() && far.is_empty() {
            work.followed = Some(followed);
            break;
        }
        // Again from the beginning, with what led too far left as it is.
        let corners = strayed
            .iter()
            .flat_map(|&i| before.triangles[places.triangle[i as usize] as usize]);
        let roots = work.roots();
        let mut hold = vec![false; roots.len()];
        for v in corners.map(|v| roots[v as usize]).chain(far) {
            hold[v as usize] = true;
        }
        let mut held = std::mem::take(&mut work.held);
        for (held, root) in held.iter_mut().zip(roots) {
            *held |= hold[root as usize];
        }
        work = Work::new(&draft);
        work.held = held;
    }
    drop(draft);
    work.held.fill(false);
    // And the rest with asking.
    if work.followed.is_none() {
        work.followed = Some({
            let near = &places.triangle;
            Followed::new((reach, surface), &work, &places.spots, near)
        });
    }
    drop(places);
    work.draw(limits.triangles, f64::INFINITY);
    let followed = work.followed.take();
    work.into_draft(followed.as_ref())
}

/// A surface before any step.
pub(super) struct Before {
    pub place: Vec<P>,
    pub triangles: Vec<[u32; 3]>,
}

pub(super) struct Work<'a> {
    /// Of every half-edge; of a triangle taken away, none.
    start: Vec<u32>,
    opposite: Vec<u32>,
    /// A half-edge that leaves the vertex; on a rim, the one without opposite.
    out: Vec<u32>,
    place: Vec<P>,
    quadric: Vec<Quadric>,
    /// Grows whenever something about the vertex changes.
    age: Vec<u32>,
    /// What a vertex taken away was drawn into, itself for the others.
    into: Vec<u32>,
    /// Counts the steps; begins at 1.
    clock: u32,
    /// When something about the vertex or its neighbours changed.
    changed: Vec<u32>,
    /// When the edge was tried in vain.
    tried: Vec<u32>,
    rim: Vec<bool>,
    fixed: Vec<bool>,
    /// Fixed for a while.
    held: Vec<bool>,
    /// Triangles left.
    left: usize,
    /// Subtracted from all places, so that large coordinates cost no digits.
    pub middle: P,
    mark: Vec<u32>,
    marked: u32,
    spokes_u: Vec<u32>,
    spokes_v: Vec<u32>,
    /// Square of the mean distance from the planes that a step may reach.
    cap: f64,
    followed: Option<Followed<'a>>,
}

impl<'a> Work<'a> {
    fn new(draft: &Draft) -> Work<'a> {
        let mesh = &draft.mesh;
        let mut fixed = draft.fixed.clone();
        let topology = Topology::of(mesh);
        let vertices = mesh.vertices.len();
        let middle = middle(mesh);
        let place: Vec<P> = mesh
            .vertices
            .iter()
            .map(|v| [0, 1, 2].map(|k| v[k] - middle[k]))
            .collect();
        let sides = mesh.triangles.len() as u32 * 3;
        let mut start = vec![NONE; sides as usize];
        let mut opposite = vec![NONE; sides as usize];
        let mut out = vec![NONE; vertices];
        fixed.resize(vertices, false);
        for ((f, p), fans) in fixed.iter_mut().zip(&place).zip(topology.fans()) {
            *f |= fans != 1 || !p.iter().all(|c| c.is_finite());
        }
        for e in 0..topology.edge_count() as u32 {
            if matches!(topology.kind(e), EdgeKind::Turned | EdgeKind::Crowded) {
                for v in topology.ends(e) {
                    fixed[v as usize] = true;
                }
            }
        }
        let mut left = 0;
        for h in 0..sides {
            if topology.edge_of(h).is_none() {
                continue;
            }
            left += usize::from(h % 3 == 0);
            let v = topology.start(h);
            start[h as usize] = v;
            opposite[h as usize] = topology.opposite(h).unwrap_or(NONE);
            if out[v as usize] == NONE || opposite[h as usize] == NONE {
                out[v as usize] = h;
            }
        }
        let mut work = Work {
            start,
            opposite,
            out,
            place,
            quadric: Vec::new(),
            age: vec![0; vertices],
            into: (0..vertices as u32).collect(),
            clock: 1,
            changed: vec![1; vertices],
            tried: vec![0; sides as usize],
            rim: topology.rim_vertices(),
            fixed,
            held: vec![false; vertices],
            left,
            middle,
            mark: vec![0; vertices],
            marked: 0,
            spokes_u: Vec::new(),
            spokes_v: Vec::new(),
            cap: f64::INFINITY,
            followed: None,
        };
        work.quadric = work.quadrics();
        work
    }

    /// Draws edges together down to a count, or until nothing more can be drawn. `cap` is the square of the mean
    /// distance from the planes that a step may reach.
    fn draw(&mut self, triangles: usize, cap: f64) {
        self.cap = cap;
        if cap < f64::INFINITY && triangles == 0 {
            for _ in 0..SWEEPS {
                self.sweep();
            }
        }
        loop {
            let before = self.left;
            let mut queue = self.queue();
            while self.left > triangles {
                let Some(next) = queue.pop() else { break };
                self.step(next, &mut queue);
            }
            if cap < f64::INFINITY {
                return;
            }
            // An edge that could not be drawn together may have become free when its neighbours moved.
            if self.left <= triangles || before - self.left < before / 10 + 1 {
                return;
            }
        }
    }

    /// Draws vertices into a neighbour, one after the other and none beside another: not the best order, but quick, and
    /// where triangles are many more than are needed it does not show.
    fn sweep(&mut self) {
        let begun = self.clock;
        self.clock += 1;
        let mut spokes = std::mem::take(&mut self.spokes_u);
        let mut others = std::mem::take(&mut self.spokes_v);
        for v in 0..self.place.len() as u32 {
            let at = v as usize;
            let stays = self.fixed[at] || self.held[at] || self.rim[at];
            if stays || self.out[at] == NONE || self.changed[at] > begun {
                continue;
            }
            self.spokes(v, &mut spokes);
            let from = self.at(v);
            let own = self.quadric[at];
            let mut best = (f64::INFINITY, NONE);
            for &g in &spokes {
                let to = self.at(self.end(g));
                let along = minus(to, from);
                let cost = own.at(to) + SWEEP_SHORT_FIRST * own.weight() * dot(along, along);
                if cost < best.0 {
                    best = (cost, g);
                }
            }
            let Some(h) = Some(best.1)
                .filter(|&g| g != NONE)
                .map(|g| self.opposite[g as usize])
                .filter(|&h| h != NONE)
            else {
                continue;
            };
            let u = self.start(h);
            if self.fixed[u as usize] || self.held[u as usize] {
                continue;
            }
            let place = self.at(u);
            let mut sum = own;
            sum.add(&self.quadric[u as usize]);
            if sum.at(place) > self.cap * sum.weight() {
                continue;
            }
            self.spokes(u, &mut others);
            if self.may(h, place, &others, &spokes) {
                self.join(h, place, &spokes);
                for &g in &spokes {
                    let w = self.start(previous(g));
                    if w != NONE {
                        self.changed[w as usize] = self.clock;
                    }
                }
                self.changed[u as usize] = self.clock;
            }
        }
        self.spokes_u = spokes;
        self.spokes_v = others;
        self.clock += 1;
    }

    /// The vertices that are elsewhere than before.
    pub fn moved(&self, before: &[P]) -> impl Iterator<Item = u32> {
        (0..self.place.len() as u32)
            .filter(|&v| self.out[v as usize] != NONE && self.at(v) != before[v as usize])
    }

    /// For every vertex the one it was drawn into.
    pub fn roots(&self) -> Vec<u32> {
        let mut roots = self.into.clone();
        for v in 0..roots.len() {
            let mut end = v;
            while roots[end] as usize != end {
                end = roots[end] as usize;
            }
            let mut at = v;
            while roots[at] as usize != end {
                at = std::mem::replace(&mut roots[at], end as u32) as usize;
            }
        }
        roots
    }

    pub fn triangle_count(&self) -> usize {
        self.start.len() / 3
    }

    /// The corners of a triangle by number.
    #[inline]
    pub fn names(&self, t: u32) -> [u32; 3] {
        [0, 1, 2].map(|k| self.start[(3 * t + k) as usize])
    }

    /// Is a triangle just where it was at the beginning?
    #[inline]
    pub fn untouched(&self, t: u32) -> bool {
        (self.names(t).iter()).all(|&v| v != NONE && self.age[v as usize] == 0)
    }

    /// Of every vertex: the planes of its triangles, and upright ones along rims.
    fn quadrics(&self) -> Vec<Quadric> {
        let mut sums = vec![Quadric::default(); self.place.len()];
        for t in 0..self.triangle_count() as u32 {
            let names = self.names(t);
            if names[0] == NONE {
                continue;
            }
            let corners = self.corners(t);
            let (n, twice) = normal(&corners);
            if twice > 0.0 {
                let plane = Quadric::plane(n, corners[0], twice / 2.0);
                for v in names {
                    sums[v as usize].add(&plane);
                }
            }
            for side in 3 * t..3 * t + 3 {
                if self.opposite[side as usize] == NONE {
                    let (u, v) = (self.start(side), self.end(side));
                    let along = minus(self.at(v), self.at(u));
                    let across = cross(along, n);
                    let square = dot(along, along);
                    let length = dot(across, across).sqrt();
                    if length > 0.0 {
                        let upright = across.map(|c| c / length);
                        let plane = Quadric::plane(upright, self.at(u), square * RIM_WEIGHT);
                        sums[u as usize].add(&plane);
                        sums[v as usize].add(&plane);
                    }
                }
            }
        }
        sums
    }

    fn queue(&self) -> Queue {
        let entries: Vec<(f64, Entry)> = (0..self.start.len() as u32)
            .into_par_iter()
            .filter(|&h| {
                let o = self.opposite[h as usize];
                let start = self.start[h as usize];
                start != NONE && (o == NONE || h < o) && {
                    let tried = self.tried[h as usize];
                    let end = self.end(h);
                    self.changed[start as usize] > tried || self.changed[end as usize] > tried
                }
            })
            .filter_map(|h| self.entry(h))
            .collect();
        let mut queue = Queue::new();
        for entry in entries {
            queue.push(entry);
        }
        queue
    }

    fn entry(&self, h: u32) -> Option<(f64, Entry)> {
        let (u, v) = (self.start(h), self.end(h));
        if [u, v]
            .iter()
            .any(|&v| self.fixed[v as usize] || self.held[v as usize])
        {
            return None;
        }
        let (cost, _, square) = self.target(u, v);
        if square > self.cap {
            return None;
        }
        let age = self.age[u as usize].wrapping_add(self.age[v as usize]);
        let entry = Entry { half_edge: h, age };
        cost.is_finite().then_some((cost, entry))
    }

    /// What it costs to draw both ends together, where they would go, and their mean square from the planes there.
    fn target(&self, u: u32, v: u32) -> (f64, P, f64) {
        let mut sum = self.quadric[u as usize];
        sum.add(&self.quadric[v as usize]);
        let (a, b) = (self.at(u), self.at(v));
        let along = minus(b, a);
        let square = dot(along, along);
        let place = match (self.rim[u as usize], self.rim[v as usize]) {
            (true, false) => a,
            (false, true) => b,
            _ => {
                let middle = [0, 1, 2].map(|k| (a[k] + b[k]) / 2.0);
                let near = |p: &P| {
                    let off = minus(*p, middle);
                    dot(off, off) <= square
                };
                match sum.best(middle).filter(near) {
                    Some(best) => best,
                    None => [a, b, middle]
                        .into_iter()
                        .min_by(|p, q| sum.at(*p).total_cmp(&sum.at(*q)))
                        .unwrap_or(middle),
                }
            }
        };
        let (error, weight) = (sum.at(place).max(0.0), sum.weight());
        let cost = error + SHORT_FIRST * SHORT_FIRST * weight * square;
        (cost, place, error / weight)
    }

    fn start(&self, h: u32) -> u32 {
        self.start[h as usize]
    }

    #[inline]
    pub fn end(&self, h: u32) -> u32 {
        self.start[next(h) as usize]
    }

    #[inline]
    pub fn at(&self, v: u32) -> P {
        self.place[v as usize]
    }

    #[inline]
    pub fn corners(&self, t: u32) -> [P; 3] {
        [0, 1, 2].map(|k| self.at(self.start[(3 * t + k) as usize]))
    }

    /// The half-edges that leave a vertex, counter-clockwise.
    pub fn spokes(&self, v: u32, into: &mut Vec<u32>) {
        into.clear();
        let first = self.out[v as usize];
        let mut at = first;
        while at != NONE {
            into.push(at);
            at = self.opposite[previous(at) as usize];
            if at == first {
                break;
            }
        }
    }

    fn step(&mut self, entry: Entry, queue: &mut Queue) {
        let Entry { half_edge: h, age } = entry;
        if self.start[h as usize] == NONE {
            return;
        }
        let (u, v) = (self.start(h), self.end(h));
        if self.age[u as usize].wrapping_add(self.age[v as usize]) != age {
            return;
        }
        let mut spokes_u = std::mem::take(&mut self.spokes_u);
        let mut spokes_v = std::mem::take(&mut self.spokes_v);
        self.spokes(u, &mut spokes_u);
        self.spokes(v, &mut spokes_v);
        let (_, place, _) = self.target(u, v);
        let taken = [triangle(h), self.across(h)];
        if self.may(h, place, &spokes_u, &spokes_v)
            && self.follow(place, [&spokes_u, &spokes_v], taken)
        {
            self.join(h, place, &spokes_v);
            self.spokes(u, &mut spokes_u);
            // The rim edge that comes in has no half-edge that leaves.
            let incoming = spokes_u
                .last()
                .map(|&last| previous(last))
                .filter(|&side| self.opposite[side as usize] == NONE);
            for side in spokes_u.iter().copied().chain(incoming) {
                let (a, b) = (self.start(side), self.end(side));
                self.changed[a as usize] = self.clock;
                self.changed[b as usize] = self.clock;
                if let Some(entry) = self.entry(side) {
                    queue.push(entry);
                }
            }
            self.clock += 1;
        } else {
            self.tried[h as usize] = self.clock - 1;
        }
        self.spokes_u = spokes_u;
        self.spokes_v = spokes_v;
    }

    /// Does the surface stay sound if the ends of an edge are drawn together at a place?
    fn may(&mut self, h: u32, place: P, spokes_u: &[u32], spokes_v: &[u32]) -> bool {
        if !self.linked(h, spokes_u, spokes_v) {
            return false;
        }
        let taken = [triangle(h), self.across(h)];
        let ring = || {
            let both = spokes_u.iter().chain(spokes_v).copied();
            both.filter(|&g| !taken.contains(&triangle(g)))
        };
        let mut facing = [0.0; 3];
        for g in ring() {
            let n = area_vector(&self.corners(triangle(g)));
            facing = [0, 1, 2].map(|k| facing[k] + n[k]);
        }
        ring().all(|g| self.stays_sound(g, place, facing))
    }

    /// The triangle on the other side of a half-edge, or none.
    fn across(&self, h: u32) -> u32 {
        match self.opposite[h as usize] {
            NONE => NONE,
            o => triangle(o),
        }
    }

    /// Does the surface stay two-manifold and keep its handles and borders?
    fn linked(&mut self, h: u32, spokes_u: &[u32], spokes_v: &[u32]) -> bool {
        let (u, v) = (self.start(h), self.end(h));
        let o = self.opposite[h as usize];
        if o != NONE && self.rim[u as usize] && self.rim[v as usize] {
            return false;
        }
        self.marked += 1;
        for &g in spokes_u {
            let (a, b) = (self.end(g), self.start(previous(g)));
            self.mark[a as usize] = self.marked;
            self.mark[b as usize] = self.marked;
        }
        let mut common = 0;
        let last = spokes_v.last().map(|&g| previous(g));
        let rim_end = last
            .filter(|&g| self.opposite[g as usize] == NONE)
            .map(|g| self.start(g));
        for w in spokes_v.iter().map(|&g| self.end(g)).chain(rim_end) {
            common += usize::from(self.mark[w as usize] == self.marked);
        }
        if common != if o == NONE { 1 } else { 2 } {
            return false;
        }
        // What remains beside each triangle taken away must be two different triangles, and not nothing.
        let closes = |side: u32| {
            let a = self.opposite[next(side) as usize];
            let b = self.opposite[previous(side) as usize];
            match (a, b) {
                (NONE, NONE) => false,
                (NONE, _) | (_, NONE) => true,
                (a, b) => self.start(previous(a)) != self.start(previous(b)),
            }
        };
        closes(h) && (o == NONE || closes(o))
    }

    /// Would the triangle of this spoke still be well if its start moved?
    ///
    /// It may not turn from where it faced. A triangle that is small beside its neighbours may face anywhere,
    /// so a share of where all of them face is added to its own direction.
    fn stays_sound(&self, spoke: u32, place: P, facing: P) -> bool {
        let (b, c) = (
            self.at(self.end(spoke)),
            self.at(self.start(previous(spoke))),
        );
        let before = [self.at(self.start(spoke)), b, c];
        let after = [place, b, c];
        let (n, m) = (area_vector(&before), area_vector(&after));
        let (square, new_square) = (dot(n, n), dot(m, m));
        if new_square < square && new_square < (4.0 * LEAST_AREA).powi(2) {
            return false;
        }
        let faced = [0, 1, 2].map(|k| n[k] + FACING_SHARE * facing[k]);
        let turned = dot(faced, m);
        if turned < 0.0
            || turned * turned < LEAST_COSINE * LEAST_COSINE * dot(faced, faced) * new_square
        {
            return false;
        }
        let (shape, new_shape) = (
            square / squares(&before).powi(2),
            new_square / squares(&after).powi(2),
        );
        new_shape > LEAST_SHAPE * LEAST_SHAPE || new_shape >= shape
    }

    /// Does the deviation asked for allow this step?
    fn follow(&mut self, place: P, spokes: [&[u32]; 2], taken: [u32; 2]) -> bool {
        let Some(followed) = &mut self.followed else {
            return true;
        };
        let corner = |g: u32| self.place[self.start[g as usize] as usize];
        let ring = (spokes[0].iter().chain(spokes[1]))
            .map(|&g| (triangle(g), [place, corner(next(g)), corner(previous(g))]))
            .filter(|(t, _)| !taken.contains(t));
        followed.allows(ring, taken, place)
    }

    /// Draws the edge together: `v` goes, `u` moves.
    fn join(&mut self, h: u32, place: P, spokes_v: &[u32]) {
        let (u, v) = (self.start(h), self.end(h));
        let o = self.opposite[h as usize];
        let rim_out = if self.rim[v as usize] {
            self.out[v as usize]
        } else {
            self.out[u as usize]
        };
        for &g in spokes_v {
            self.start[g as usize] = u;
        }
        // The rim of the joined vertex leaves where that of `v` or of `u` left, unless that side goes too.
        let mut out = rim_out;
        for side in [h, o] {
            if side == NONE {
                continue;
            }
            let (n, p) = (next(side), previous(side));
            let (a, b) = (self.opposite[n as usize], self.opposite[p as usize]);
            if a != NONE {
                self.opposite[a as usize] = b;
            }
            if b != NONE {
                self.opposite[b as usize] = a;
            }
            // The vertex across loses the side that leaves it to the joined one.
            let w = self.start[p as usize];
            if self.out[w as usize] == p {
                self.out[w as usize] = if a != NONE { a } else { next(b) };
            }
            // Of this triangle, both sides that leave the joined vertex or its partner go.
            if out == n || out == side {
                out = if b != NONE { b } else { next(a) };
            }
        }
        for side in [h, o] {
            if side != NONE {
                let t = triangle(side) as usize;
                self.start[3 * t..3 * t + 3].fill(NONE);
                self.left -= 1;
            }
        }
        self.out[u as usize] = out;
        self.out[v as usize] = NONE;
        self.into[v as usize] = u;
        self.rim[u as usize] |= self.rim[v as usize];
        self.place[u as usize] = place;
        let other = self.quadric[v as usize];
        self.quadric[u as usize].add(&other);
        self.age[u as usize] = self.age[u as usize]
            .wrapping_add(self.age[v as usize])
            .wrapping_add(1);
    }

    fn into_draft(self, followed: Option<&Followed<'_>>) -> (Draft, Vec<u32>) {
        let world = |p: P| [0, 1, 2].map(|k| p[k] + self.middle[k]);
        let mut number = vec![NONE; self.place.len()];
        for &v in self.start.iter().filter(|&&v| v != NONE) {
            number[v as usize] = 0;
        }
        let mut draft = Draft::default();
        let mut kept = Vec::new();
        for (v, n) in number.iter_mut().enumerate() {
            if *n != NONE {
                *n = kept.len() as u32;
                kept.push(v as u32);
                draft.mesh.vertices.push(world(self.place[v]));
            }
        }
        draft.near_first.push(0);
        for (t, corners) in (0..).zip(self.start.chunks_exact(3)) {
            if corners[0] == NONE {
                continue;
            }
            let corners = [corners[0], corners[1], corners[2]];
            let corners = corners.map(|v| number[v as usize]);
            draft.mesh.triangles.push(corners);
            if let Some(followed) = followed {
                draft.near.extend(followed.near(t).iter().map(|spot| Spot {
                    at: world(spot.at),
                    of: spot.of,
                }));
            }
            draft.near_first.push(draft.near.len() as u32);
        }
        (draft, kept)
    }
}

/// Of the box about all vertices that lie somewhere.
fn middle(mesh: &Mesh) -> P {
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for v in mesh
        .vertices
        .iter()
        .filter(|v| v.iter().all(|c| c.is_finite()))
    {
        for k in 0..3 {
            low[k] = low[k].min(v[k]);
            high[k] = high[k].max(v[k]);
        }
    }
    let middle = [0, 1, 2].map(|k| (low[k] + high[k]) / 2.0);
    if middle.iter().all(|c| c.is_finite()) {
        middle
    } else {
        [0.0; 3]
    }
}

#[inline]
pub(super) fn minus(a: P, b: P) -> P {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

#[inline]
pub(super) fn dot(a: P, b: P) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

#[inline]
pub(super) fn cross(a: P, b: P) -> P {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

/// Where a triangle faces, as long as twice its area.
#[inline]
pub(super) fn area_vector(t: &[P; 3]) -> P {
    cross(minus(t[1], t[0]), minus(t[2], t[0]))
}

/// Unit normal and twice the area; nothing of both for a triangle without area.
fn normal(t: &[P; 3]) -> (P, f64) {
    let n = area_vector(t);
    let length = dot(n, n).sqrt();
    if length > 0.0 {
        (n.map(|c| c / length), length)
    } else {
        ([0.0; 3], 0.0)
    }
}

/// Sum of the squared sides.
fn squares(t: &[P; 3]) -> f64 {
    (0..3)
        .map(|k| {
            let side = minus(t[(k + 1) % 3], t[k]);
            dot(side, side)
        })
        .sum()
}
