//! Where does a bone have a joint, and so a subchondral plate?
//!
//! A triangle whose middle lies close to another bone's surface belongs to a joint. Its plate is a thin
//! dense shell that the beam crosses the longer, the flatter it meets it.

use super::camera::V;
use super::scene::Body;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Beyond this distance from the next bone there is no joint surface, mm.
const REACH_MM: f64 = 4.5;
/// Places closer than this to each other are answered as one, mm: a joint surface is far larger.
const CELL_MM: f64 = 1.0;

/// For every bone, how close each triangle lies to the next bone: 1 touching, 0 out of reach.
pub(crate) fn closeness(bodies: &[Body<'_>]) -> Vec<Vec<f32>> {
    let clouds: Vec<Cloud> = bodies
        .par_iter()
        .map(|b| Cloud::new(&b.outer.vertices))
        .collect();
    bodies
        .par_iter()
        .enumerate()
        .map(|(i, body)| {
            let Some(own) = body.outer.bounds() else {
                return Vec::new();
            };
            let others: Vec<&Cloud> = clouds
                .iter()
                .enumerate()
                .filter(|&(j, cloud)| j != i && cloud.near(own))
                .map(|(_, cloud)| cloud)
                .collect();
            if others.is_empty() {
                return vec![0.0; body.outer.triangles.len()];
            }
            let mut known: BTreeMap<[i32; 3], f32> = BTreeMap::new();
            body.outer
                .triangles
                .iter()
                .map(|t| {
                    let place = body.outer.vertices[t[0] as usize];
                    *known.entry(cell_of(place)).or_insert_with(|| {
                        let d = others
                            .iter()
                            .map(|o| o.distance(place))
                            .fold(REACH_MM, f64::min);
                        let near = (1.0 - (d - 1.5).max(0.0) / (REACH_MM - 1.5)).max(0.0);
                        (near * near * (3.0 - 2.0 * near)) as f32
                    })
                })
                .collect()
        })
        .collect()
}

fn cell_of(v: [f64; 3]) -> [i32; 3] {
    v.map(|c| (c / CELL_MM).floor() as i32)
}

/// One vertex per small cell, sorted into cells as wide as the reach.
struct Cloud {
    low: [f64; 3],
    high: [f64; 3],
    counts: [usize; 3],
    /// Start of every cell's points in `points`.
    starts: Vec<u32>,
    points: Vec<[f64; 3]>,
}

impl Cloud {
    fn new(vertices: &[[f64; 3]]) -> Cloud {
        let mut low = [f64::INFINITY; 3];
        let mut high = [f64::NEG_INFINITY; 3];
        for v in vertices {
            for k in 0..3 {
                low[k] = low[k].min(v[k]);
                high[k] = high[k].max(v[k]);
            }
        }
        let counts =
            std::array::from_fn(|k| ((high[k] - low[k]) / REACH_MM).clamp(0.0, 255.0) as usize + 1);
        let mut cloud = Cloud {
            low,
            high,
            counts,
            starts: Vec::new(),
            points: Vec::new(),
        };
        let thinned: BTreeMap<[i32; 3], [f64; 3]> =
            vertices.iter().map(|&v| (cell_of(v), v)).collect();
        let mut filed: Vec<(usize, [f64; 3])> = thinned
            .into_values()
            .map(|v| (cloud.index(std::array::from_fn(|k| cloud.cell(v, k))), v))
            .collect();
        filed.sort_by_key(|&(cell, _)| cell);
        let mut starts = vec![0u32; counts[0] * counts[1] * counts[2] + 1];
        for (cell, _) in &filed {
            starts[cell + 1] += 1;
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        cloud.starts = starts;
        cloud.points = filed.into_iter().map(|(_, v)| v).collect();
        cloud
    }

    fn near(&self, (low, high): ([f64; 3], [f64; 3])) -> bool {
        (0..3).all(|k| self.low[k] <= high[k] + REACH_MM && self.high[k] >= low[k] - REACH_MM)
    }

    fn cell(&self, p: [f64; 3], k: usize) -> usize {
        (((p[k] - self.low[k]) / REACH_MM).max(0.0) as usize).min(self.counts[k] - 1)
    }

    fn index(&self, c: [usize; 3]) -> usize {
        (c[2] * self.counts[1] + c[1]) * self.counts[0] + c[0]
    }

    /// To the nearest point, as far as the reach; the reach itself beyond.
    fn distance(&self, p: [f64; 3]) -> f64 {
        let outside =
            (0..3).any(|k| p[k] < self.low[k] - REACH_MM || p[k] > self.high[k] + REACH_MM);
        if outside {
            return REACH_MM;
        }
        let range = |k: usize| {
            let cell = |at: f64| {
                (((at - self.low[k]) / REACH_MM).max(0.0) as usize).min(self.counts[k] - 1)
            };
            cell(p[k] - REACH_MM)..=cell(p[k] + REACH_MM)
        };
        let mut best = REACH_MM * REACH_MM;
        for z in range(2) {
            for y in range(1) {
                for x in range(0) {
                    let i = self.index([x, y, z]);
                    for q in &self.points[self.starts[i] as usize..self.starts[i + 1] as usize] {
                        let d = V(p) - V(*q);
                        best = best.min(d.dot(d));
                    }
                }
            }
        }
        best.sqrt()
    }
}
