//! What are bones sculpted from? Distance functions of simple bodies, and ways to join and carve them.
//!
//! A function gives the distance from a point to a body's surface in millimetres, negative inside.
//! Only the sign and the neighbourhood of zero need be right: the grid that samples a finished bone
//! rescales it to true distances afterwards.

use nalgebra::{Matrix3, Vector3};

pub(crate) type P = Vector3<f64>;

pub(crate) fn p(x: f64, y: f64, z: f64) -> P {
    P::new(x, y, z)
}

/// A place and three directions, in which a body is described upright.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Frame {
    origin: P,
    local_from_world: Matrix3<f64>,
}

impl Frame {
    /// Turned by yaw about the upright axis (+ brings forward x towards −z, the inner side), then by
    /// pitch (+ raises the forward end), then by roll about its own x axis (+ brings y towards z).
    pub fn new(origin: P, yaw_deg: f64, pitch_deg: f64, roll_deg: f64) -> Frame {
        let turn = nalgebra::Rotation3::from_axis_angle(&P::y_axis(), yaw_deg.to_radians())
            * nalgebra::Rotation3::from_axis_angle(&P::z_axis(), pitch_deg.to_radians())
            * nalgebra::Rotation3::from_axis_angle(&P::x_axis(), roll_deg.to_radians());
        Frame {
            origin,
            local_from_world: turn.matrix().transpose(),
        }
    }

    /// x runs from `origin` to `to`; y is as upright as that allows; then rolled about x.
    pub fn along(origin: P, to: P, roll_deg: f64) -> Frame {
        let x = (to - origin).normalize();
        let z = x.cross(&P::y()).normalize();
        let y = z.cross(&x);
        let (sin, cos) = roll_deg.to_radians().sin_cos();
        let (y, z) = (y * cos + z * sin, z * cos - y * sin);
        Frame {
            origin,
            local_from_world: Matrix3::from_rows(&[x.transpose(), y.transpose(), z.transpose()]),
        }
    }

    pub fn local(&self, world: P) -> P {
        self.local_from_world * (world - self.origin)
    }

    pub fn world(&self, local: P) -> P {
        self.local_from_world.transpose() * local + self.origin
    }
}

pub(crate) fn ball(q: P, centre: P, radius: f64) -> f64 {
    (q - centre).norm() - radius
}

/// Ellipsoid with the half axes `half` along the frame's directions.
pub(crate) fn egg(q: P, frame: &Frame, half: P) -> f64 {
    let l = frame.local(q);
    let k0 = l.component_div(&half).norm();
    let k1 = l.component_div(&half.component_mul(&half)).norm();
    if k1 < 1e-9 {
        -half.min()
    } else {
        k0 * (k0 - 1.0) / k1
    }
}

/// Box with rounded edges; `half` counts the rounding in.
pub(crate) fn block(q: P, frame: &Frame, half: P, round: f64) -> f64 {
    let d = frame.local(q).abs() - half.add_scalar(-round);
    let outside = d.sup(&P::zeros()).norm();
    outside + d.max().min(0.0) - round
}

/// Capsule whose radius runs from `ra` to `rb`.
pub(crate) fn horn(q: P, a: P, b: P, ra: f64, rb: f64) -> f64 {
    let (aq, ab) = (q - a, b - a);
    let t = (aq.dot(&ab) / ab.norm_squared()).clamp(0.0, 1.0);
    (aq - ab * t).norm() - (ra + (rb - ra) * t)
}

/// Endless cylinder through `at` along `axis` (a unit vector).
pub(crate) fn cylinder(q: P, at: P, axis: P, radius: f64) -> f64 {
    (q - at).cross(&axis).norm() - radius
}

/// Half space: positive on the side to which `outward` (a unit vector) points.
pub(crate) fn plane(q: P, at: P, outward: P) -> f64 {
    (q - at).dot(&outward)
}

/// Both bodies, the corner between them filled over a width `k`.
pub(crate) fn join(a: f64, b: f64, k: f64) -> f64 {
    let h = (k - (a - b).abs()).max(0.0);
    a.min(b) - h * h / (4.0 * k)
}

/// What both bodies share, the edge between them rounded over a width `k`.
pub(crate) fn meet(a: f64, b: f64, k: f64) -> f64 {
    -join(-a, -b, k)
}

/// The first body without the second.
pub(crate) fn carve(a: f64, b: f64, k: f64) -> f64 {
    meet(a, -b, k)
}

/// One cross-section of a [`Loft`]: half height and half width, and where its middle lies.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Section {
    pub x: f64,
    pub half_y: f64,
    pub half_z: f64,
    pub mid_y: f64,
    pub mid_z: f64,
    /// 2 is an ellipse; more is squarer.
    pub square: f64,
}

pub(crate) fn section(x: f64, half_y: f64, half_z: f64) -> Section {
    Section {
        x,
        half_y,
        half_z,
        mid_y: 0.0,
        mid_z: 0.0,
        square: 2.0,
    }
}

impl Section {
    pub fn mid(self, mid_y: f64, mid_z: f64) -> Section {
        Section {
            mid_y,
            mid_z,
            ..self
        }
    }
    pub fn square(self, square: f64) -> Section {
        Section { square, ..self }
    }
}

/// A body through cross-sections along x, its radii running smoothly from one to the next, cut square
/// at both ends with the edges rounded over `edge`.
#[derive(Debug, Clone)]
pub(crate) struct Loft {
    pub sections: Vec<Section>,
    pub edge: f64,
}

impl Loft {
    pub fn new(edge: f64, sections: &[Section]) -> Loft {
        Loft {
            sections: sections.to_vec(),
            edge,
        }
    }

    /// Distance in the loft's own frame.
    pub fn at(&self, l: P) -> f64 {
        let s = &self.sections;
        let (first, last) = (s[0], s[s.len() - 1]);
        let x = l.x.clamp(first.x, last.x);
        let i = s
            .iter()
            .rposition(|c| c.x <= x)
            .unwrap_or(0)
            .min(s.len() - 2);
        let at = |k: isize| s[k.clamp(0, s.len() as isize - 1) as usize];
        let i = i as isize;
        let (a, b, c, d) = (at(i - 1), at(i), at(i + 1), at(i + 2));
        let t = (x - b.x) / (c.x - b.x);
        let run = |f: fn(&Section) -> f64| hermite([&a, &b, &c, &d], f, t);
        let (hy, hz) = (run(|s| s.half_y).max(0.3), run(|s| s.half_z).max(0.3));
        let (y, z) = (l.y - run(|s| s.mid_y), l.z - run(|s| s.mid_z));
        let n = b.square + (c.square - b.square) * t;
        let q = if n == 2.0 {
            (y / hy).hypot(z / hz)
        } else {
            ((y / hy).abs().powf(n) + (z / hz).abs().powf(n)).powf(1.0 / n)
        };
        let side = (q - 1.0) * hy.min(hz);
        let ends = (first.x - l.x).max(l.x - last.x);
        meet(side, ends, self.edge)
    }
}

/// Cubic through uneven stations with slopes limited so that it never overshoots.
fn hermite(s: [&Section; 4], f: fn(&Section) -> f64, t: f64) -> f64 {
    let h = s[2].x - s[1].x;
    let rise = |a: &Section, b: &Section| {
        if b.x > a.x {
            (f(b) - f(a)) / (b.x - a.x)
        } else {
            f64::NAN
        }
    };
    let here = rise(s[1], s[2]);
    let slope = |other: f64| {
        if other.is_nan() {
            here
        } else if other * here <= 0.0 {
            0.0
        } else {
            2.0 * other * here / (other + here)
        }
    };
    let (m0, m1) = (slope(rise(s[0], s[1])) * h, slope(rise(s[2], s[3])) * h);
    let (t2, t3) = (t * t, t * t * t);
    f(s[1]) * (2.0 * t3 - 3.0 * t2 + 1.0)
        + m0 * (t3 - 2.0 * t2 + t)
        + f(s[2]) * (3.0 * t2 - 2.0 * t3)
        + m1 * (t3 - t2)
}
