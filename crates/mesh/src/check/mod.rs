//! Is a surface fit to be made, and if not, why?
//!
//! * [`check`]: everything about one surface in one [`Report`], its [`Fault`]s in sentences;
//! * [`closed`]: only whether it is closed and faces outward, which is quick;
//! * [`crossing`]: where a surface runs through itself, decided exactly;
//! * [`wall`]: how thick a solid is.
//!
//! One surprise: every separate part must face outward by itself. A hollow inside a body, whose surface faces
//! inward, counts as turned inside out; nothing made here has one.

pub mod crossing;
pub mod wall;

pub use crossing::{Crossings, crossings};
pub use wall::{Wall, WallOptions, wall, wall_where};

use crate::near::Tree;
use crate::topology::{EdgeKind, Topology};
use crate::{Mesh, read::FARTHEST};
use std::fmt;

/// Smaller triangles are faults: their normals are noise, and readers may drop them.
///
/// # Units
/// Square millimetres.
pub const LEAST_AREA: f64 = 1e-6;

/// A place in a sentence, to a tenth of a millimetre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct At(pub [f64; 3]);

impl fmt::Display for At {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [x, y, z] = self.0;
        write!(f, "({x:.1}, {y:.1}, {z:.1})")
    }
}

/// What keeps a surface from being a sound solid. Places are where the first of a kind lies.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Fault {
    #[error("found no triangles; expected a closed surface: make or read the surface again")]
    NoTriangles,
    #[error(
        "found triangle {triangle} with corner {corner} where there are {vertices} vertices; expected corners that are there: read the surface again"
    )]
    MissingCorner {
        triangle: usize,
        corner: u32,
        vertices: usize,
    },
    #[error(
        "found vertex {vertex} at no finite place; expected coordinates of at most {FARTHEST:e}: read the surface again"
    )]
    NoPlace { vertex: usize },
    #[error(
        "found {triangles} triangles that name one corner twice, the first is {first}; expected three corners each: mend the surface"
    )]
    Repeated { triangles: usize, first: usize },
    #[error(
        "found {edges} edges with only one triangle, the first at {at}; expected a surface without holes: mend it"
    )]
    Open { edges: usize, at: At },
    #[error(
        "found {edges} edges with more than two triangles, the first at {at}; expected two each: mend the surface"
    )]
    Crowded { edges: usize, at: At },
    #[error(
        "found {edges} edges whose two triangles are turned against each other, the first at {at}; expected all to face outward: mend the surface"
    )]
    Turned { edges: usize, at: At },
    #[error(
        "found {vertices} vertices where the surface only touches itself, the first at {at}; expected one ring of triangles about each: mend the surface"
    )]
    Pinched { vertices: usize, at: At },
    #[error(
        "found {parts} parts that face inward or enclose nothing, the first with {volume:.3} mm³; expected every part to face outward: turn it"
    )]
    InsideOut { parts: usize, volume: f64 },
    #[error(
        "found {triangles} triangles smaller than {LEAST_AREA:e} mm², the first at {at}; expected larger ones: simplify the surface"
    )]
    Tiny { triangles: usize, at: At },
    #[error(
        "found {pairs} pairs of triangles that run through each other, the first at {at}; expected a surface that keeps clear of itself: mend it or change what it is made from"
    )]
    Crossing { pairs: Count, at: At },
    #[error(
        "found {pairs} pairs of triangles that touch without belonging together, the first at {at}; expected a surface that keeps clear of itself: mend it or change what it is made from"
    )]
    Touching { pairs: Count, at: At },
}

/// A number of pairs; counting stops at some point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Count {
    Exactly(usize),
    AtLeast(usize),
}

impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Count::Exactly(n) => write!(f, "{n}"),
            Count::AtLeast(n) => write!(f, "at least {n}"),
        }
    }
}

/// What to look at beyond closedness and orientation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    pub crossings: bool,
    pub wall: Option<WallOptions>,
}

impl Default for Options {
    /// Crossings and walls.
    fn default() -> Options {
        Options {
            crossings: true,
            wall: Some(WallOptions::default()),
        }
    }
}

/// Everything found about one surface.
///
/// # Units
/// Millimetres, square and cubic millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// None for a sound solid; the most fundamental first.
    pub faults: Vec<Fault>,
    /// Vertices that triangles use.
    pub vertices: usize,
    pub edges: usize,
    pub triangles: usize,
    /// Separate parts.
    pub components: usize,
    /// Handles of all parts together; none where the surface is not closed and two-manifold.
    pub genus: Option<i64>,
    /// Enclosed volume; none where the surface is not closed.
    pub volume: Option<f64>,
    pub area: f64,
    pub least_area: f64,
    pub bounds: Option<([f64; 3], [f64; 3])>,
    /// None where it was not asked for, the surface is not closed, or nothing in it is a wall.
    pub wall: Option<Wall>,
}

impl Report {
    pub fn is_sound(&self) -> bool {
        self.faults.is_empty()
    }
}

/// The first fault that keeps a surface from being closed, without turned or crowded edges, and facing
/// outward as a whole.
pub fn closed(mesh: &Mesh) -> Option<Fault> {
    let mut faults = corners(mesh);
    if faults.is_empty() {
        faults = edges(mesh, &Topology::of(mesh));
    }
    if faults.is_empty() {
        let volume = mesh.volume();
        if volume.is_nan() || volume <= 0.0 {
            faults.push(Fault::InsideOut { parts: 1, volume });
        }
    }
    faults.into_iter().next()
}

/// Looks at everything that `options` asks for.
pub fn check(mesh: &Mesh, options: &Options) -> Report {
    let mut report = Report {
        faults: corners(mesh),
        vertices: 0,
        edges: 0,
        triangles: mesh.triangles.len(),
        components: 0,
        genus: None,
        volume: None,
        area: 0.0,
        least_area: 0.0,
        bounds: None,
        wall: None,
    };
    if !report.faults.is_empty() {
        // Nothing can be measured on corners that are not there.
        return report;
    }
    let topology = Topology::of(mesh);
    report.bounds = crate::topology::without_unused(mesh).bounds();
    report.edges = topology.edge_count();
    report.faults = edges(mesh, &topology);
    let closed = report.faults.is_empty();
    let fans = topology.fans();
    report.vertices = fans.iter().filter(|&&n| n > 0).count();
    let components = topology.components();
    report.components = components.count();
    if closed {
        let mut pinched = fans.iter().enumerate().filter(|(_, n)| **n > 1);
        let first = pinched.next();
        if let Some((v, _)) = first {
            report.faults.push(Fault::Pinched {
                vertices: 1 + pinched.count(),
                at: At(mesh.vertices[v]),
            });
        } else {
            let euler = report.vertices as i64 - report.edges as i64 + report.triangles as i64;
            report.genus = Some(report.components as i64 - euler / 2);
        }
        volumes(mesh, &components, &mut report);
    }
    areas(mesh, &mut report);
    if options.crossings || options.wall.is_some() {
        let tree = Tree::of(mesh);
        if options.crossings {
            report.faults.extend(crossings(mesh, &tree).faults(mesh));
        }
        if let (true, Some(options)) = (closed, &options.wall) {
            report.wall = wall(mesh, &tree, options);
        }
    }
    report
}

fn corners(mesh: &Mesh) -> Vec<Fault> {
    if mesh.triangles.is_empty() {
        return vec![Fault::NoTriangles];
    }
    let vertices = mesh.vertices.len();
    for (triangle, t) in mesh.triangles.iter().enumerate() {
        if let Some(&corner) = t.iter().find(|&&v| v as usize >= vertices) {
            return vec![Fault::MissingCorner {
                triangle,
                corner,
                vertices,
            }];
        }
    }
    let placed = |v: &[f64; 3]| v.iter().all(|c| c.abs() <= FARTHEST);
    if let Some(vertex) = mesh.vertices.iter().position(|v| !placed(v)) {
        return vec![Fault::NoPlace { vertex }];
    }
    Vec::new()
}

fn edges(mesh: &Mesh, topology: &Topology) -> Vec<Fault> {
    let mut faults = Vec::new();
    let twice = |t: &[u32; 3]| t[0] == t[1] || t[1] == t[2] || t[2] == t[0];
    let mut repeated = mesh.triangles.iter().enumerate().filter(|(_, t)| twice(t));
    if let Some((first, _)) = repeated.next() {
        faults.push(Fault::Repeated {
            triangles: 1 + repeated.count(),
            first,
        });
    }
    let mut counts = [(0usize, 0u32); 3];
    for e in 0..topology.edge_count() as u32 {
        let kind = match topology.kind(e) {
            EdgeKind::Inner => continue,
            EdgeKind::Rim => 0,
            EdgeKind::Crowded => 1,
            EdgeKind::Turned => 2,
        };
        if counts[kind].0 == 0 {
            counts[kind].1 = e;
        }
        counts[kind].0 += 1;
    }
    let at = |e: u32| {
        let [a, b] = topology.ends(e).map(|v| mesh.vertices[v as usize]);
        At([0, 1, 2].map(|k| (a[k] + b[k]) / 2.0))
    };
    let [open, crowded, turned] = counts;
    if open.0 > 0 {
        faults.push(Fault::Open {
            edges: open.0,
            at: at(open.1),
        });
    }
    if crowded.0 > 0 {
        faults.push(Fault::Crowded {
            edges: crowded.0,
            at: at(crowded.1),
        });
    }
    if turned.0 > 0 {
        faults.push(Fault::Turned {
            edges: turned.0,
            at: at(turned.1),
        });
    }
    faults
}

fn volumes(mesh: &Mesh, components: &crate::topology::Components, report: &mut Report) {
    // From the middle of the whole: a distant origin would take digits from the sum.
    let middle = report
        .bounds
        .map_or([0.0; 3], |(l, h)| [0, 1, 2].map(|k| (l[k] + h[k]) / 2.0));
    let mut sums = vec![0.0; components.count()];
    for t in 0..mesh.triangles.len() {
        if let Some(c) = components.of_triangle(t) {
            let [a, b, c3] = mesh.corners(t).map(|p| [0, 1, 2].map(|k| p[k] - middle[k]));
            sums[c as usize] += (a[0] * (b[1] * c3[2] - b[2] * c3[1])
                + a[1] * (b[2] * c3[0] - b[0] * c3[2])
                + a[2] * (b[0] * c3[1] - b[1] * c3[0]))
                / 6.0;
        }
    }
    report.volume = Some(sums.iter().sum());
    let mut inward = sums.iter().filter(|v| v.is_nan() || **v <= 0.0);
    if let Some(&volume) = inward.next() {
        report.faults.push(Fault::InsideOut {
            parts: 1 + inward.count(),
            volume,
        });
    }
}

fn areas(mesh: &Mesh, report: &mut Report) {
    report.least_area = f64::INFINITY;
    let mut tiny = (0, [0.0; 3]);
    for t in 0..mesh.triangles.len() {
        let area = mesh.area_of(t);
        report.area += area;
        report.least_area = report.least_area.min(area);
        if area.is_nan() || area < LEAST_AREA {
            if tiny.0 == 0 {
                tiny.1 = mesh.corners(t)[0];
            }
            tiny.0 += 1;
        }
    }
    if tiny.0 > 0 {
        report.faults.push(Fault::Tiny {
            triangles: tiny.0,
            at: At(tiny.1),
        });
    }
}
