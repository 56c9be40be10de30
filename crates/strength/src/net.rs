//! Which triangles stand for the shell?
//!
//! Corners of an even triangular lattice inside the plan's outline, corners along the outline itself, and
//! the constrained Delaunay triangulation of both; each corner is then lifted to the shell's mid-surface.
//! Leaves supports and loads to others. One surprise: no refinement runs; an even lattice has better
//! triangles than a refined outline, and only the row next to the outline is eased afterwards.

use nalgebra::{Matrix3, Vector3};
use shell::Device;
use shell::prescription::Prescription;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use crate::error::StrengthError;
use crate::plan::{P, Place, Plan};

type V = Vector3<f64>;

/// The frame of the ground that a device stands on: x forward, y to the inner side, z up from the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundFrame {
    origin: V,
    /// Rows are the axes.
    axes: Matrix3<f64>,
}

impl GroundFrame {
    /// # Errors
    /// A ground that stands upright.
    pub fn of(ground: &shell::Ground) -> Result<Self, StrengthError> {
        let up = ground.up();
        let forward = (V::x() - up * up.x)
            .try_normalize(1e-6)
            .filter(|v| v.iter().all(|c| c.is_finite()))
            .ok_or(StrengthError::Net {
                why: "the ground stands upright",
            })?;
        let inward = up.cross(&forward);
        Ok(Self {
            origin: V::new(ground.heel[0], ground.heel[1], ground.at_heel),
            axes: Matrix3::from_rows(&[forward.transpose(), inward.transpose(), up.transpose()]),
        })
    }

    /// A place of the foot frame in the ground's.
    pub fn place(&self, p: &V) -> V {
        self.axes * (p - self.origin)
    }

    /// A direction of the foot frame in the ground's.
    pub fn direction(&self, v: &V) -> V {
        self.axes * v
    }

    /// A direction of the ground's frame in the foot's.
    pub fn to_foot(&self, v: &V) -> V {
        self.axes.transpose() * v
    }
}

/// A node of the net.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Node {
    /// On the skin above, foot frame, mm.
    pub skin: V,
    /// On the mid-surface, ground frame, mm.
    pub middle: V,
    /// On the underside, ground frame, mm.
    pub under: V,
    /// Away from the foot, ground frame.
    pub down: V,
    pub thickness: f64,
    /// On the inner side of the spine.
    pub inner: bool,
    /// On the outline.
    pub rim: bool,
}

/// The shell as triangles on its mid-surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Net {
    pub frame: GroundFrame,
    pub nodes: Vec<Node>,
    /// Corners run counter-clockwise seen from the foot: normals point to it.
    pub triangles: Vec<[usize; 3]>,
    /// Distance between neighbouring nodes in the plan, mm.
    pub spacing_mm: f64,
}

/// Nodes inside keep this share of the spacing from the outline.
const FROM_OUTLINE: f64 = 0.62;
/// Less shapely triangles of three corners of the outline are left out.
const SPLINTER: f64 = 0.01;
/// Fewer unknowns than this make no shell, more no answer in time.
const UNKNOWNS: (usize, usize) = (600, 400_000);

impl Net {
    /// Triangles for about so many unknowns (six a node).
    ///
    /// # Errors
    /// An outline that does not close, or no sheet of triangles in it.
    pub fn of(
        device: &Device,
        wanted: &Prescription,
        unknowns: usize,
    ) -> Result<Net, StrengthError> {
        let plan = Plan::new(&device.layout, wanted);
        let frame = GroundFrame::of(&device.ground)?;
        let outline = plan.outline()?;
        let area = enclosed(&outline).abs();
        let nodes = unknowns.clamp(UNKNOWNS.0, UNKNOWNS.1) as f64 / 6.0;
        // An even lattice has one node for each √3/2 of its squared spacing; the outline takes some more.
        let spacing = (area * 2.0 / (3f64.sqrt() * nodes)).sqrt();
        if !(spacing.is_finite() && spacing > 0.0) {
            return Err(StrengthError::Outline);
        }
        Self::sheet(&outline, spacing, frame, |p| plan.at(p))
    }

    /// A sheet of triangles within a closed line of the plan, lifted to where each place says.
    pub(crate) fn sheet(
        outline: &[P],
        spacing: f64,
        frame: GroundFrame,
        at: impl Fn(&P) -> Option<Place>,
    ) -> Result<Net, StrengthError> {
        let (corners, rim) = corners(outline, spacing);
        let (flat, triangles) = triangulate(corners, rim)?;
        let places: Option<Vec<Place>> = flat.iter().map(at).collect();
        let places = places.ok_or(StrengthError::Net {
            why: "a corner lies off the layout",
        })?;
        Ok(Net {
            frame,
            nodes: places
                .iter()
                .enumerate()
                .map(|(n, place)| lifted(place, n < rim, &frame))
                .collect(),
            triangles,
            spacing_mm: spacing,
        })
    }

    /// The node whose skin lies nearest to a place of the foot frame.
    pub fn nearest(&self, to: &V) -> usize {
        let mut best = (f64::INFINITY, 0);
        for (n, node) in self.nodes.iter().enumerate() {
            let away = (node.skin - to).norm_squared();
            if away < best.0 {
                best = (away, n);
            }
        }
        best.1
    }
}

fn lifted(place: &Place, rim: bool, frame: &GroundFrame) -> Node {
    let middle = place.skin + place.normal * (0.5 * place.thickness);
    let under = place.skin + place.normal * place.thickness;
    Node {
        skin: place.skin,
        middle: frame.place(&middle),
        under: frame.place(&under),
        down: frame.direction(&place.normal),
        thickness: place.thickness,
        inner: place.inner,
        rim,
    }
}

/// Twice-signed area over two of a closed line.
fn enclosed(line: &[P]) -> f64 {
    let next = line.iter().cycle().skip(1);
    line.iter().zip(next).map(|(a, b)| a.perp(b)).sum::<f64>() / 2.0
}

/// Corners on the outline, evenly apart, then those of a lattice inside; and how many lie on the outline.
fn corners(outline: &[P], spacing: f64) -> (Vec<P>, usize) {
    let mut out = evenly(outline, spacing);
    let rim = out.len();
    let (mut low, mut high) = (P::repeat(f64::INFINITY), P::repeat(f64::NEG_INFINITY));
    for p in &out {
        low = low.inf(p);
        high = high.sup(p);
    }
    let row = spacing * 3f64.sqrt() / 2.0;
    let rows = ((high.y - low.y) / row) as usize + 1;
    let columns = ((high.x - low.x) / spacing) as usize + 2;
    let border = out.clone();
    for j in 0..rows {
        let y = low.y + (j as f64 + 0.5) * row;
        let shift = if j % 2 == 0 { 0.0 } else { 0.5 };
        let crossings = crossings(&border, y);
        for i in 0..columns {
            let p = P::new(low.x + (i as f64 + shift) * spacing, y);
            let inside = crossings.iter().filter(|x| **x < p.x).count() % 2 == 1;
            if inside && clear(&border, &p, FROM_OUTLINE * spacing) {
                out.push(p);
            }
        }
    }
    (out, rim)
}

/// Where a closed line crosses a height.
fn crossings(line: &[P], y: f64) -> Vec<f64> {
    let next = line.iter().cycle().skip(1);
    line.iter()
        .zip(next)
        .filter(|(a, b)| (a.y > y) != (b.y > y))
        .map(|(a, b)| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
        .collect()
}

/// Is a point at least so far from a closed line?
fn clear(line: &[P], p: &P, least: f64) -> bool {
    let next = line.iter().cycle().skip(1);
    line.iter().zip(next).all(|(a, b)| {
        if (a.y - p.y).abs().min((b.y - p.y).abs()) > 3.0 * least {
            return true;
        }
        let along = b - a;
        let t = ((p - a).dot(&along) / along.norm_squared().max(1e-300)).clamp(0.0, 1.0);
        (p - a - along * t).norm() >= least
    })
}

/// A closed line with its corners evenly apart, about `spacing`.
fn evenly(line: &[P], spacing: f64) -> Vec<P> {
    let closed: Vec<P> = line.iter().chain(line.first()).copied().collect();
    let mut lengths = vec![0.0];
    for pair in closed.windows(2) {
        lengths.push(lengths[lengths.len() - 1] + (pair[1] - pair[0]).norm());
    }
    let whole = lengths[lengths.len() - 1];
    let count = ((whole / spacing).round() as usize).max(12);
    (0..count)
        .map(|n| {
            let at = whole * n as f64 / count as f64;
            let after = lengths
                .partition_point(|l| *l <= at)
                .clamp(1, closed.len() - 1);
            let (a, b) = (lengths[after - 1], lengths[after]);
            let t = if b > a { (at - a) / (b - a) } else { 0.0 };
            closed[after - 1] + (closed[after] - closed[after - 1]) * t
        })
        .collect()
}

type Sheet = (Vec<P>, Vec<[usize; 3]>);

fn triangulate(mut corners: Vec<P>, rim: usize) -> Result<Sheet, StrengthError> {
    let vertices: Vec<Point2<f64>> = corners.iter().map(|p| Point2::new(p.x, p.y)).collect();
    let edges: Vec<[usize; 2]> = (0..rim).map(|n| [n, (n + 1) % rim]).collect();
    let mut crossed = false;
    let sheet =
        ConstrainedDelaunayTriangulation::<Point2<f64>>::try_bulk_load_cdt(vertices, edges, |_| {
            crossed = true
        })
        .map_err(|_| StrengthError::Net {
            why: "a corner is no number",
        })?;
    if crossed {
        return Err(StrengthError::Net {
            why: "the outline crosses itself",
        });
    }
    if sheet.num_vertices() != corners.len() {
        return Err(StrengthError::Net {
            why: "two corners lie in one place",
        });
    }
    let border: Vec<P> = corners[..rim].to_vec();
    let mut triangles = Vec::new();
    for face in sheet.inner_faces() {
        let mut named = face.vertices().map(|v| v.fix().index());
        let [a, b, c] = named.map(|n| corners[n]);
        let centre = (a + b + c) / 3.0;
        let crossings = crossings(&border, centre.y);
        if crossings.iter().filter(|x| **x < centre.x).count() % 2 == 0 {
            continue;
        }
        // Three corners of a straight stretch of the outline: nothing lies between them, whichever side of
        // the line round-off has put it on, and its strain would be noise.
        if named.iter().all(|n| *n < rim) && shapeliness(&[a, b, c]) < SPLINTER {
            continue;
        }
        let least = (0..3).min_by_key(|k| named[*k]).unwrap_or(0);
        named.rotate_left(least);
        triangles.push(named);
    }
    triangles.sort_unstable();
    let used = used(corners.len(), &triangles);
    if used.iter().any(|u| !u) {
        return Err(StrengthError::Net {
            why: "a corner belongs to no triangle",
        });
    }
    ease(&mut corners, rim, &triangles);
    Ok((corners, triangles))
}

fn used(count: usize, triangles: &[[usize; 3]]) -> Vec<bool> {
    let mut used = vec![false; count];
    for &n in triangles.iter().flatten() {
        used[n] = true;
    }
    used
}

/// Twice the area over the sum of the squared sides: 0.29 for three equal sides, 0 for a line.
fn shapeliness([a, b, c]: &[P; 3]) -> f64 {
    let sides = (b - a).norm_squared() + (c - b).norm_squared() + (a - c).norm_squared();
    (b - a).perp(&(c - a)) / sides.max(1e-300)
}

/// Moves corners inside to the middle of their neighbours where no triangle turns flat by it.
fn ease(corners: &mut [P], rim: usize, triangles: &[[usize; 3]]) {
    let mut around: Vec<Vec<usize>> = vec![Vec::new(); corners.len()];
    for (t, named) in triangles.iter().enumerate() {
        for &n in named {
            around[n].push(t);
        }
    }
    let quality = |corners: &[P], t: usize| shapeliness(&triangles[t].map(|n| corners[n]));
    for _ in 0..4 {
        for n in rim..corners.len() {
            let worst = |corners: &[P]| {
                around[n]
                    .iter()
                    .map(|&t| quality(corners, t))
                    .fold(f64::INFINITY, f64::min)
            };
            let before = worst(corners);
            let here = corners[n];
            let mut sum = P::zeros();
            let mut count = 0.0;
            for &t in &around[n] {
                for &other in triangles[t].iter().filter(|o| **o != n) {
                    sum += corners[other];
                    count += 1.0;
                }
            }
            corners[n] = sum / f64::max(count, 1.0);
            if worst(corners) < before {
                corners[n] = here;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stand::elements;
    use fem::{Freedom, Isotropic, Load, Model, Section, Supports, System, feel, smooth};

    fn flat(outline: &[P], spacing: f64, thickness: f64) -> Net {
        let level = shell::Ground {
            heel: [0.0; 2],
            at_heel: 0.0,
            pitch: 0.0,
            tilt: 0.0,
        };
        Net::sheet(outline, spacing, GroundFrame::of(&level).unwrap(), |p| {
            Some(Place {
                skin: V::new(p.x, p.y, thickness),
                normal: -V::z(),
                thickness,
                inner: p.y > 0.0,
            })
        })
        .unwrap()
    }

    fn strip(length: f64, breadth: f64) -> Vec<P> {
        [(0.0, 0.0), (length, 0.0), (length, breadth), (0.0, breadth)]
            .map(|(x, y)| P::new(x, y))
            .to_vec()
    }

    /// Cantilever of the mechanics notes 7.3 without contraction across, so that beam theory is exact:
    /// P L³/(3 E I) + P L/(κ G A).
    #[test]
    fn a_flat_strip_bends_as_a_cantilever_does() {
        let (length, breadth, thickness, modulus, force) = (100.0, 30.0, 4.0, 1400.0, 50.0);
        let net = flat(&strip(length, breadth), 2.0, thickness);
        let mesh = elements(&net).unwrap();
        let mut supports = Supports::none(net.nodes.len());
        let mut load = Load::none(net.nodes.len());
        let end: Vec<usize> = (0..net.nodes.len())
            .filter(|&n| net.nodes[n].middle.x > length - 1e-6)
            .collect();
        for n in 0..net.nodes.len() {
            if net.nodes[n].middle.x < 1e-6 {
                supports.hold_all(n);
            }
        }
        for &n in &end {
            load.add(n, Freedom::Uz, -force / end.len() as f64).unwrap();
        }
        let section = Section::isotropic(Isotropic {
            modulus,
            poisson: 0.0,
        })
        .unwrap();
        let model = Model::new(mesh, section).with_supports(supports).unwrap();
        let system = System::new(model).unwrap();
        let motion = system.solve(&[&load]).unwrap().remove(0);
        let inertia = breadth * thickness * thickness * thickness / 12.0;
        let shear = 5.0 / 6.0 * modulus / 2.0 * breadth * thickness;
        let target = force * length.powi(3) / (3.0 * modulus * inertia) + force * length / shear;
        let tip = -end.iter().map(|&n| motion.shift(n).z).sum::<f64>() / end.len() as f64;
        assert!((tip / target - 1.0).abs() < 2e-3, "{tip} against {target}");
        // Stress halfway: 6 P (L/2) / (b t²), pulled on the foot's side, which the tip is bent away from.
        let stresses = smooth(
            system.model(),
            &feel(system.model(), &motion)
                .unwrap()
                .stresses(system.model())
                .unwrap(),
            0.5,
        )
        .unwrap();
        let target = 3.0 * force * length / (breadth * thickness * thickness);
        let mut seen = 0;
        for (corners, through) in net.triangles.iter().zip(&stresses) {
            for (&n, through) in corners.iter().zip(through) {
                let p = net.nodes[n].middle;
                if (p.x - length / 2.0).abs() < 1.0 && (p.y - breadth / 2.0).abs() < 5.0 {
                    let [bottom, _, top] = through.layers().map(|s| s.along(&V::x()));
                    let here = target * (length - p.x) / (length / 2.0);
                    assert!((top / here - 1.0).abs() < 0.02, "{top} against {here}");
                    assert!(
                        (bottom / here + 1.0).abs() < 0.02,
                        "{bottom} against {here}"
                    );
                    seen += 1;
                }
            }
        }
        assert!(seen > 4);
    }

    #[test]
    fn a_sheet_fills_its_outline_with_triangles_of_good_shape() {
        let ring: Vec<P> = (0..300)
            .map(|n| {
                let a = f64::from(n) / 300.0 * std::f64::consts::TAU;
                P::new(a.cos(), a.sin()) * (40.0 + 8.0 * (3.0 * a).cos())
            })
            .collect();
        let net = flat(&ring, 2.0, 1.0);
        let mesh = elements(&net).unwrap();
        assert!((mesh.area() / enclosed(&ring).abs() - 1.0).abs() < 3e-3);
        let mut least = 180.0_f64;
        for t in &net.triangles {
            let p = t.map(|n| net.nodes[n].middle);
            for k in 0..3 {
                let (a, b) = (p[(k + 1) % 3] - p[k], p[(k + 2) % 3] - p[k]);
                assert!(a.cross(&b).z > 0.0, "normals point to the foot");
                least = least.min(a.angle(&b).to_degrees());
            }
        }
        assert!(least > 25.0, "{least}");
    }

    /// A vaulted panel held on its two straight borders, pressed by its own weight. Nets of different spacing
    /// are not nested, so the error does not fall evenly; over a quarter of the spacing it must fall at least
    /// with the power 1.5 (2 is what these triangles reach on even nets).
    #[test]
    fn a_vault_converges_with_the_spacing() {
        let (length, breadth, rise) = (80.0, 40.0, 25.0);
        let way = |spacing: f64| {
            let mut net = flat(&strip(length, breadth), spacing, 1.0);
            for node in &mut net.nodes {
                let u = node.middle.x / length;
                node.middle.z += 4.0 * rise * u * (1.0 - u);
            }
            let mesh = elements(&net).unwrap();
            let mut supports = Supports::none(net.nodes.len());
            for (n, node) in net.nodes.iter().enumerate() {
                if node.middle.x < 1e-6 || node.middle.x > length - 1e-6 {
                    supports.hold_all(n);
                }
            }
            let mut load = Load::none(net.nodes.len());
            load.self_weight(&mesh, 1e-3, -V::z()).unwrap();
            let section = Section::isotropic(Isotropic {
                modulus: 1400.0,
                poisson: 0.4,
            })
            .unwrap();
            let model = Model::new(mesh, section).with_supports(supports).unwrap();
            let system = System::new(model).unwrap();
            let motion = system.solve(&[&load]).unwrap().remove(0);
            // Work of the load: one number for the whole panel.
            load.entries()
                .iter()
                .zip(motion.entries())
                .map(|(f, u)| f * u)
                .sum::<f64>()
        };
        let target = way(1.0);
        let off = [10.0, 5.0, 2.5].map(|spacing| (way(spacing) / target - 1.0).abs());
        let order = (off[0] / off[2]).log2() / 2.0;
        println!("off by {off:.5?}, order {order:.2}");
        assert!(order > 1.5, "{off:?}: {order}");
    }

    #[test]
    fn an_outline_that_crosses_itself_is_refused() {
        let eight: Vec<P> = (0..100)
            .map(|n| {
                let a = f64::from(n) / 100.0 * std::f64::consts::TAU;
                P::new(40.0 * a.sin(), 30.0 * (2.0 * a).sin())
            })
            .collect();
        let level = shell::Ground {
            heel: [0.0; 2],
            at_heel: 0.0,
            pitch: 0.0,
            tilt: 0.0,
        };
        let frame = GroundFrame::of(&level).unwrap();
        let fault = Net::sheet(&eight, 2.0, frame, |p| {
            Some(Place {
                skin: V::new(p.x, p.y, 0.0),
                normal: -V::z(),
                thickness: 1.0,
                inner: true,
            })
        });
        assert!(matches!(fault, Err(StrengthError::Net { .. })));
    }
}
