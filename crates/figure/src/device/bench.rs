//! How does a device lie on the bench, and from where is it looked at?
//!
//! The device stands on its ground. Along runs forward from its rearmost edge, inward to the inner side from
//! the heel's middle, height up from the ground; all three are square to each other, so a view is two of
//! them. One surprise: the foot's own level is tilted on the bench by the post, as it will be in the shoe.

use mesh::Mesh;
use shell::Device;
use terms::Side;

/// A place on the bench: along, inward, height; mm.
pub(crate) type Place = [f64; 3];

/// From where the device is looked at. Left and right on the page are as for somebody who stands there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    /// From above, toes up.
    Plan,
    /// From the inner side, toes left or right as they are.
    Inner,
    /// The same, turned so that it stands beside the plan with its toes up.
    InnerStanding,
    /// From behind the heel; sections are drawn from here too.
    Behind,
}

/// Where the bench lies in the foot frame.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bench {
    side: Side,
    origin: [f64; 3],
    axes: [[f64; 3]; 3],
}

impl Bench {
    pub fn of(device: &Device) -> Bench {
        let ground = device.ground;
        let up = ground.up();
        let up = [up.x, up.y, up.z];
        let forward = unit([0, 1, 2].map(|k| f64::from(u8::from(k == 0)) - up[0] * up[k]));
        let inward = cross(up, forward);
        let [x, y] = ground.heel;
        let mut bench = Bench {
            side: device.side,
            origin: [x, y, ground.height(x, y)],
            axes: [forward, inward, up],
        };
        let rear = device
            .bodies
            .iter()
            .flat_map(|b| &b.mesh.vertices)
            .map(|v| bench.place(*v)[0])
            .fold(f64::INFINITY, f64::min);
        if rear.is_finite() {
            bench.origin = bench.foot([rear, 0.0, 0.0]);
        }
        bench
    }

    /// From the foot frame to the bench.
    pub fn place(&self, p: [f64; 3]) -> Place {
        let w = [0, 1, 2].map(|k| p[k] - self.origin[k]);
        self.axes.map(|axis| dot(axis, w))
    }

    /// From the bench to the foot frame.
    pub fn foot(&self, [a, i, h]: Place) -> [f64; 3] {
        [0, 1, 2].map(|k| {
            self.origin[k] + self.axes[0][k] * a + self.axes[1][k] * i + self.axes[2][k] * h
        })
    }

    /// A place as it is seen: to the right and downward, mm.
    pub fn seen(&self, view: View, [a, i, h]: Place) -> [f64; 2] {
        // A right foot's inner side is on the left for whoever looks along its toes.
        let (across, along) = match self.side {
            Side::Right => (-i, -a),
            Side::Left => (i, a),
        };
        match view {
            View::Plan => [across, -a],
            View::Inner => [along, -h],
            // Turned up from the edge of the plan that it stands beside: the device's top is nearest to it.
            View::InnerStanding => [if self.inner_is_left() { h } else { -h }, -a],
            View::Behind => [across, -h],
        }
    }

    /// Is the inner side drawn on the left, in plan and from behind?
    pub fn inner_is_left(&self) -> bool {
        self.side == Side::Right
    }

    /// Triangles of a mesh that lies on the bench as they are seen, those whose corners all pass.
    pub fn triangles(
        &self,
        mesh: &Mesh,
        view: View,
        passes: impl Fn(Place) -> bool,
    ) -> Vec<[[f64; 2]; 3]> {
        let seen: Vec<Option<[f64; 2]>> = mesh
            .vertices
            .iter()
            .map(|p| passes(*p).then(|| self.seen(view, *p)))
            .collect();
        let corner = |n: u32| seen.get(n as usize).copied().flatten();
        mesh.triangles
            .iter()
            .filter_map(|t| Some([corner(t[0])?, corner(t[1])?, corner(t[2])?]))
            .collect()
    }
}

/// Smallest and largest coordinates.
pub(crate) fn extent(places: impl Iterator<Item = Place>) -> Option<(Place, Place)> {
    places.fold(None, |known, p| {
        let (low, high) = known.unwrap_or((p, p));
        Some((
            [0, 1, 2].map(|k| f64::min(low[k], p[k])),
            [0, 1, 2].map(|k| f64::max(high[k], p[k])),
        ))
    })
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

fn unit(v: [f64; 3]) -> [f64; 3] {
    let long = dot(v, v).sqrt();
    if long > 0.0 {
        v.map(|c| c / long)
    } else {
        [1.0, 0.0, 0.0]
    }
}
