//! What does the page's picture need of a device: triangles, border, handles, ground, thickness?
//!
//! Everything is as held in the hand: a left foot is mirrored back out of the foot frame. One answer holds a
//! short JSON head and then plain numbers, so that the page copies nothing: the head's length as `u32`, the
//! head padded to four bytes, and for each body its corners (`f32`), triangles (`u32`) and, where the wall
//! differs, the wall's thickness at each corner (`f32`).

use super::values::{HANDLES, trim_at};
use ::shell::field::ShellShape;
use ::shell::prescription::Thickness;
use ::shell::{Device, Part};
use mesh::Mesh;
use serde::Serialize;
use surface::{Placed, Points};
use terms::Side;
use workshop::OpenFoot;
use workshop::sheet::{POINTS, Sheet, point_of};

#[derive(Serialize)]
pub struct BodyHead {
    pub part: &'static str,
    pub name: &'static str,
    pub vertices: usize,
    pub triangles: usize,
    /// Thickness follows the triangles.
    pub walls: bool,
}

/// A place of the trim line that the hand can take.
#[derive(Serialize)]
pub struct Handle {
    pub number: u8,
    pub station: f64,
    pub words: &'static str,
    pub at: [f64; 3],
    /// Outward along the surface, unit length.
    pub out: [f64; 3],
    pub moved: f64,
}

#[derive(Serialize)]
pub struct PointShown {
    pub key: &'static str,
    pub name: &'static str,
    pub at: [f64; 3],
    /// As the form shows them: forward, inward, up.
    pub texts: [String; 3],
    pub by_hand: bool,
}

#[derive(Serialize)]
pub struct GroundShown {
    pub at: [f64; 3],
    pub up: [f64; 3],
}

/// Sizes that tell a device at a glance, from the preview's triangles.
#[derive(Serialize)]
pub struct Sizes {
    pub length_mm: f64,
    pub width_mm: f64,
    pub height_mm: f64,
    pub volume_cm3: f64,
}

#[derive(Serialize)]
pub struct Picture {
    pub side: &'static str,
    pub bodies: Vec<BodyHead>,
    pub rim: Vec<[f64; 3]>,
    pub handles: Vec<Handle>,
    pub points: Vec<PointShown>,
    pub ground: GroundShown,
    pub sizes: Option<Sizes>,
    /// Thinnest and thickest wall of the shell, mm.
    pub walls: [f64; 2],
    #[serde(skip)]
    numbers: Vec<u8>,
}

/// From the foot frame into the hand.
fn mirrored(side: Side, [x, y, z]: [f64; 3]) -> [f64; 3] {
    match side {
        Side::Right => [x, y, z],
        Side::Left => [x, -y, z],
    }
}

fn put(numbers: &mut Vec<u8>, mesh: &Mesh, side: Side) {
    numbers.reserve(12 * (mesh.vertices.len() + mesh.triangles.len()));
    for &v in &mesh.vertices {
        for c in mirrored(side, v) {
            numbers.extend((c as f32).to_le_bytes());
        }
    }
    for &[a, b, c] in &mesh.triangles {
        let turned = if side == Side::Left {
            [a, c, b]
        } else {
            [a, b, c]
        };
        for corner in turned {
            numbers.extend(corner.to_le_bytes());
        }
    }
}

/// The foot by itself; it does not change with the prescription.
pub fn of_foot(open: &OpenFoot) -> Vec<u8> {
    #[derive(Serialize)]
    struct Head {
        side: &'static str,
        bodies: Vec<BodyHead>,
        outline: Vec<[f64; 2]>,
    }
    let side = open.foot.side;
    let mut numbers = Vec::new();
    put(&mut numbers, &open.glass, side);
    let head = Head {
        side: side.word(),
        bodies: vec![BodyHead {
            part: "foot",
            name: "foot",
            vertices: open.glass.vertices.len(),
            triangles: open.glass.triangles.len(),
            walls: false,
        }],
        outline: open
            .outline
            .iter()
            .map(|&[x, y]| {
                let [x, y, _] = mirrored(side, [x, y, 0.0]);
                [x, y]
            })
            .collect(),
    };
    packed(&head, &numbers)
}

/// Head and numbers as one answer.
pub fn packed(head: &impl Serialize, numbers: &[u8]) -> Vec<u8> {
    let mut json = serde_json::to_vec(head).unwrap_or_default();
    json.resize(json.len().next_multiple_of(4), b' ');
    let mut out = Vec::with_capacity(4 + json.len() + numbers.len());
    out.extend((json.len() as u32).to_le_bytes());
    out.extend(json);
    out.extend(numbers);
    out
}

impl Picture {
    pub fn of(device: &Device, sheet: &Sheet, points: &Points) -> Picture {
        let side = device.side;
        let wanted = &sheet.prescription;
        let walls = match wanted.shell.thickness {
            Thickness::Uniform { all } => [all.to_mm(); 2],
            Thickness::ThickerArch { arch, rest } => {
                let (a, b) = (arch.to_mm(), rest.to_mm());
                [a.min(b), a.max(b)]
            }
        };
        let shape = ShellShape::new(&device.layout, wanted);
        let mut numbers = Vec::new();
        let mut bodies = Vec::new();
        for body in &device.bodies {
            put(&mut numbers, &body.mesh, side);
            let with_walls = body.part == Part::Shell && walls[0] < walls[1];
            if with_walls {
                for thick in walls_at(device, &shape, &body.mesh) {
                    numbers.extend((thick as f32).to_le_bytes());
                }
            }
            bodies.push(BodyHead {
                part: body.part.key(),
                name: body.part.words(),
                vertices: body.mesh.vertices.len(),
                triangles: body.mesh.triangles.len(),
                walls: with_walls,
            });
        }
        let heel = device.ground.heel;
        let under_heel = [heel[0], heel[1], device.ground.height(heel[0], heel[1])];
        Picture {
            side: side.word(),
            rim: rim(device),
            handles: handles(device, sheet),
            points: points_shown(points, side),
            ground: GroundShown {
                at: mirrored(side, under_heel),
                up: mirrored(side, device.ground.up().into()),
            },
            sizes: sizes(device),
            bodies,
            walls,
            numbers,
        }
    }

    pub fn numbers(&self) -> &[u8] {
        &self.numbers
    }
}

fn rim(device: &Device) -> Vec<[f64; 3]> {
    ::shell::border(device)
        .into_iter()
        .map(|p| mirrored(device.side, p))
        .collect()
}

fn handles(device: &Device, sheet: &Sheet) -> Vec<Handle> {
    let layout = &device.layout;
    let front = &layout.front;
    HANDLES
        .iter()
        .filter_map(|&(number, station, words)| {
            let (at, out): ([f64; 3], [f64; 3]) = if station <= 1.0 {
                let ray = layout.ray_at_station(station);
                let rim = layout.rim(ray);
                let (at, _) = layout.at(ray, rim);
                let (within, _) = layout.at(ray, rim - 2.0);
                let (beyond, _) = layout.at(ray, rim + 2.0);
                (at.into(), (beyond - within).try_normalize(1e-9)?.into())
            } else {
                let (first, fifth) = (front.first_head()[1], front.fifth_head()[1]);
                let y = first + (fifth - first) * (station - 1.0);
                let x = front.x(y);
                let z = device.positive.sole.height(x, y)?;
                ([x, y, z], [1.0, 0.0, 0.0])
            };
            Some(Handle {
                number,
                station,
                words,
                at: mirrored(device.side, at),
                out: mirrored(device.side, out),
                moved: trim_at(sheet, station).unwrap_or(0.0),
            })
        })
        .collect()
}

pub fn points_shown(points: &Points, side: Side) -> Vec<PointShown> {
    POINTS
        .iter()
        .filter_map(|&(key, name)| {
            let mark = point_of(points, key)?;
            Some(PointShown {
                key,
                name,
                at: mirrored(side, mark.at),
                texts: mark.at.map(super::points::coordinate_text),
                by_hand: mark.placed == Placed::ByHand,
            })
        })
        .collect()
}

fn sizes(device: &Device) -> Option<Sizes> {
    let (mut low, mut high, mut volume) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3], 0.0);
    for body in &device.bodies {
        let (l, h) = body.mesh.bounds()?;
        for k in 0..3 {
            low[k] = low[k].min(l[k]);
            high[k] = high[k].max(h[k]);
        }
        volume += body.mesh.volume() / 1000.0;
    }
    Some(Sizes {
        length_mm: high[0] - low[0],
        width_mm: high[1] - low[1],
        height_mm: high[2] - low[2],
        volume_cm3: volume,
    })
}

/// Places in boxes, to find those nearest to the corners of a solid.
pub struct Nodes<'p> {
    places: &'p [[f64; 3]],
    low: [f64; 3],
    size: [usize; 3],
    boxes: Vec<Vec<u32>>,
}

/// A box is as wide as walls are thick at most, so that the nearest place lies in it or beside it.
const BOX_MM: f64 = 8.0;
/// So many places lend a corner their values.
const LENDERS: usize = 4;

impl<'p> Nodes<'p> {
    pub fn of(places: &'p [[f64; 3]]) -> Nodes<'p> {
        let (mut low, mut high) = ([0.0f64; 3], [0.0f64; 3]);
        for p in places {
            for k in 0..3 {
                low[k] = low[k].min(p[k]);
                high[k] = high[k].max(p[k]);
            }
        }
        let size = [0, 1, 2].map(|k| ((high[k] - low[k]) / BOX_MM) as usize + 1);
        let mut nodes = Nodes {
            places,
            low,
            size,
            boxes: vec![Vec::new(); size[0] * size[1] * size[2]],
        };
        for (n, p) in places.iter().enumerate() {
            let [i, j, k] = nodes.cell(*p);
            let at = nodes.number(i, j, k);
            nodes.boxes[at].push(n as u32);
        }
        nodes
    }

    fn cell(&self, p: [f64; 3]) -> [usize; 3] {
        [0, 1, 2].map(|k| (((p[k] - self.low[k]) / BOX_MM).max(0.0) as usize).min(self.size[k] - 1))
    }

    fn number(&self, i: usize, j: usize, k: usize) -> usize {
        (k * self.size[1] + j) * self.size[0] + i
    }

    /// The nearest places, each with its weight; together 1, and none where no place is near.
    pub fn around(&self, p: [f64; 3]) -> Vec<(usize, f64)> {
        let [i, j, k] = self.cell(p);
        let beside = |c: usize, n: usize| c.saturating_sub(1)..=(c + 1).min(n - 1);
        let mut best: Vec<(f64, usize)> = Vec::with_capacity(LENDERS + 1);
        for k in beside(k, self.size[2]) {
            for j in beside(j, self.size[1]) {
                for i in beside(i, self.size[0]) {
                    for &n in &self.boxes[self.number(i, j, k)] {
                        let q = self.places[n as usize];
                        let far: f64 = (0..3).map(|k| (q[k] - p[k]).powi(2)).sum();
                        if best.len() < LENDERS || best.last().is_some_and(|b| far < b.0) {
                            let at = best.partition_point(|b| b.0 <= far);
                            best.insert(at, (far, n as usize));
                            best.truncate(LENDERS);
                        }
                    }
                }
            }
        }
        let weights: Vec<f64> = best.iter().map(|b| 1.0 / (b.0 + 0.25)).collect();
        let whole: f64 = weights.iter().sum();
        best.iter()
            .zip(weights)
            .map(|(b, w)| (b.1, w / whole))
            .collect()
    }
}

/// Wall of the shell at each corner of a mesh, mm.
fn walls_at(device: &Device, shape: &ShellShape<'_>, mesh: &Mesh) -> Vec<f64> {
    let layout = &device.layout;
    let places: Vec<[f64; 3]> = layout.points.iter().map(|p| (*p).into()).collect();
    let nodes = Nodes::of(&places);
    let wall = |node: usize| {
        let (ray, sample) = (node / layout.samples, node % layout.samples);
        shape.thickness(ray as f64, sample as f64 * layout.rays[ray].spacing)
    };
    mesh.vertices
        .iter()
        .map(|p| nodes.around(*p).iter().map(|(n, w)| wall(*n) * w).sum())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn head_and_numbers_stand_where_the_page_looks_for_them() {
        let mut numbers = Vec::new();
        let mesh = Mesh {
            vertices: vec![[1.0, 2.0, 3.0], [4.0, 5.0, 6.0], [7.0, 8.0, 9.0]],
            triangles: vec![[0, 1, 2]],
        };
        put(&mut numbers, &mesh, Side::Left);
        let out = packed(&serde_json::json!({"a": 1}), &numbers);
        let head = u32::from_le_bytes(out[..4].try_into().unwrap()) as usize;
        assert_eq!(head % 4, 0);
        let said: serde_json::Value = serde_json::from_slice(&out[4..4 + head]).unwrap();
        assert_eq!(said["a"], 1);
        let at = 4 + head;
        let float =
            |n: usize| f32::from_le_bytes(out[at + 4 * n..at + 4 * n + 4].try_into().unwrap());
        assert_eq!([float(0), float(1), float(2)], [1.0, -2.0, 3.0]);
        // A mirrored triangle is turned, so that it still faces outward.
        let corner = |n: usize| {
            u32::from_le_bytes(out[at + 36 + 4 * n..at + 40 + 4 * n].try_into().unwrap())
        };
        assert_eq!([corner(0), corner(1), corner(2)], [0, 2, 1]);
        assert_eq!(out.len(), at + 48);
    }
}
