//! Round bodies that flesh is modelled from, and how they melt into each other.
//!
//! Two kinds are enough: ropes along a curve for muscles, tendons and toes, eggs for pads. Where many hang
//! together most of the time would go into asking those that are far away; [`Near`] remembers for a small
//! place which ones can have a say.

use crate::bones::solid::{P, join};
use nalgebra::Isometry3;

/// A round body and over what width it melts into the rest.
#[derive(Debug, Clone)]
pub(super) struct Body {
    pub shape: Shape,
    pub blend: f64,
    /// A box around it.
    pub low: P,
    pub high: P,
}

#[derive(Debug, Clone)]
pub(super) struct Piece {
    from: P,
    along: P,
    inverse_square: f64,
    radius: f64,
    growth: f64,
}

#[derive(Debug, Clone)]
pub(super) enum Shape {
    /// A rope of changing thickness along a curve, as short straight pieces.
    Rope(Vec<Piece>),
    Egg {
        local: Isometry3<f64>,
        half: P,
    },
}

impl Body {
    pub fn new(shape: Shape, blend: f64) -> Body {
        let (mut low, mut high) = (P::repeat(f64::INFINITY), P::repeat(f64::NEG_INFINITY));
        let mut take = |at: P, by: P| {
            low = low.inf(&(at - by));
            high = high.sup(&(at + by));
        };
        match &shape {
            Shape::Rope(pieces) => {
                for piece in pieces {
                    take(piece.from, P::repeat(piece.radius));
                    take(
                        piece.from + piece.along,
                        P::repeat(piece.radius + piece.growth),
                    );
                }
            }
            Shape::Egg { local, half } => {
                take(local.inverse().translation.vector, P::repeat(half.max()));
            }
        }
        Body {
            shape,
            blend,
            low,
            high,
        }
    }

    /// Distance from the box, 0 within.
    pub fn beyond(&self, q: P) -> f64 {
        (self.low - q).sup(&(q - self.high)).sup(&P::zeros()).norm()
    }
}

/// Which bodies can have a say about a place, a bit for each, and which pieces of each rope.
#[derive(Debug, Clone)]
pub(super) struct Near {
    pub bodies: u64,
    pub pieces: [(u8, u8); 64],
}

impl Near {
    pub const ALL: Near = Near {
        bodies: u64::MAX,
        pieces: [(0, u8::MAX); 64],
    };

    pub fn has(&self, n: usize) -> bool {
        self.bodies >> n & 1 == 1
    }

    /// Melts the named bodies into what is `d` away.
    pub fn melted(&self, bodies: &[Body], q: P, mut d: f64) -> f64 {
        for (n, b) in bodies.iter().enumerate() {
            if self.has(n) && b.beyond(q) < (d + b.blend).max(0.0) {
                d = join(d, b.shape.at_pieces(q, self.pieces[n]), b.blend);
            }
        }
        d
    }
}

impl Piece {
    fn at(&self, q: P) -> f64 {
        let off = q - self.from;
        let t = (off.dot(&self.along) * self.inverse_square).clamp(0.0, 1.0);
        (off - self.along * t).norm() - (self.radius + self.growth * t)
    }
}

impl Shape {
    pub fn at(&self, q: P) -> f64 {
        self.at_pieces(q, (0, u8::MAX))
    }

    /// The distance, looking at some pieces of a rope only.
    fn at_pieces(&self, q: P, (from, to): (u8, u8)) -> f64 {
        match self {
            Shape::Rope(pieces) => {
                let mut least = f64::INFINITY;
                let to = usize::from(to).min(pieces.len());
                for piece in &pieces[usize::from(from).min(to)..to] {
                    let off = q - piece.from;
                    let t = (off.dot(&piece.along) * piece.inverse_square).clamp(0.0, 1.0);
                    let square = (off - piece.along * t).norm_squared();
                    let radius = piece.radius + piece.growth * t;
                    // The root is only drawn where this piece is the nearest so far.
                    let most = least + radius;
                    if most > 0.0 && square < most * most {
                        least = square.sqrt() - radius;
                    }
                }
                least
            }
            Shape::Egg { local, half } => {
                let l = (local * nalgebra::Point3::from(q)).coords;
                let k0 = l.component_div(half).norm();
                let k1 = l.component_div(&half.component_mul(half)).norm();
                if k1 < 1e-9 {
                    -half.min()
                } else {
                    k0 * (k0 - 1.0) / k1
                }
            }
        }
    }

    /// The pieces that can be the nearest within `reach` of `q`.
    pub fn near(&self, q: P, reach: f64) -> (u8, u8) {
        let Shape::Rope(pieces) = self else {
            return (0, u8::MAX);
        };
        let least = self.at(q);
        let most = least + 2.0 * reach;
        let near = |piece: &Piece| piece.at(q) <= most;
        let first = pieces.iter().position(near).unwrap_or(0);
        let last = pieces.iter().rposition(near).unwrap_or(pieces.len());
        (
            u8::try_from(first).unwrap_or(0),
            u8::try_from(last + 1).unwrap_or(u8::MAX),
        )
    }
}

/// A smooth curve through the points, cut into short pieces.
pub(super) fn curve(points: &[(P, f64)]) -> Vec<Piece> {
    const PIECES: usize = 6;
    let at = |i: isize| points[i.clamp(0, points.len() as isize - 1) as usize];
    let mut fine = Vec::with_capacity(points.len() * PIECES);
    for i in 0..points.len() as isize - 1 {
        let [a, b, c, d] = [at(i - 1), at(i), at(i + 1), at(i + 2)];
        for n in 0..PIECES {
            let t = n as f64 / PIECES as f64;
            let (t2, t3) = (t * t, t * t * t);
            let w = [
                0.5 * (-t + 2.0 * t2 - t3),
                0.5 * (2.0 - 5.0 * t2 + 3.0 * t3),
                0.5 * (t + 4.0 * t2 - 3.0 * t3),
                0.5 * (t3 - t2),
            ];
            fine.push((
                a.0 * w[0] + b.0 * w[1] + c.0 * w[2] + d.0 * w[3],
                a.1 * w[0] + b.1 * w[1] + c.1 * w[2] + d.1 * w[3],
            ));
        }
    }
    fine.extend(points.last());
    fine.windows(2)
        .map(|pair| {
            let along = pair[1].0 - pair[0].0;
            Piece {
                from: pair[0].0,
                along,
                inverse_square: 1.0 / along.norm_squared().max(1e-12),
                radius: pair[0].1,
                growth: pair[1].1 - pair[0].1,
            }
        })
        .collect()
}
