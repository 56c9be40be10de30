//! A small writer of C3D files, for tests and for the check against other readers.
#![allow(dead_code)]

use motion::marker::c3d::Place;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    Intel,
    Dec,
    Mips,
}

impl Order {
    pub const ALL: [Order; 3] = [Order::Intel, Order::Dec, Order::Mips];

    fn code(self) -> u8 {
        match self {
            Order::Intel => 84,
            Order::Dec => 85,
            Order::Mips => 86,
        }
    }

    fn word(self, v: u16) -> [u8; 2] {
        match self {
            Order::Mips => v.to_be_bytes(),
            _ => v.to_le_bytes(),
        }
    }

    fn real(self, v: f32) -> [u8; 4] {
        match self {
            Order::Intel => v.to_le_bytes(),
            Order::Mips => v.to_be_bytes(),
            Order::Dec => {
                let b = (v * 4.0).to_bits().to_le_bytes();
                if v == 0.0 {
                    [0; 4]
                } else {
                    [b[2], b[3], b[0], b[1]]
                }
            }
        }
    }
}

pub struct Content<'a> {
    pub labels: &'a [&'a str],
    /// For each label all frames.
    pub places: &'a [Vec<Place>],
    pub rate: f32,
    pub unit: &'a str,
    /// Units of a whole number, where places are written so.
    pub scale: f32,
}

fn parameter(order: Order, group: i8, name: &str, kind: i8, sizes: &[u8], data: &[u8]) -> Vec<u8> {
    let mut out = vec![name.len() as u8, group as u8];
    out.extend(name.bytes());
    // To the next record, counted from this word itself.
    let step = 2 + 2 + sizes.len() + data.len() + 1;
    out.extend(order.word(step as u16));
    out.extend([kind as u8, sizes.len() as u8]);
    out.extend(sizes);
    out.extend(data);
    out.push(0);
    out
}

pub fn written(order: Order, floating: bool, content: &Content) -> Vec<u8> {
    let markers = content.labels.len();
    let frames = content.places[0].len();
    let scale = if floating {
        -content.scale
    } else {
        content.scale
    };
    let mut parameters = vec![0, 0, 0, order.code()];
    let name = "POINT";
    parameters.extend([name.len() as u8, (-1i8) as u8]);
    parameters.extend(name.bytes());
    parameters.extend(order.word(3));
    parameters.push(0);
    let width = content.labels.iter().map(|l| l.len()).max().unwrap_or(1);
    let labels: Vec<u8> = content
        .labels
        .iter()
        .flat_map(|l| format!("{l:width$}").into_bytes())
        .collect();
    let whole = |v: usize| order.word(v as u16).to_vec();
    let real = |v: f32| order.real(v).to_vec();
    let rows: [(&str, i8, Vec<u8>, Vec<u8>); 7] = [
        ("USED", 2, vec![], whole(markers)),
        ("FRAMES", 2, vec![], whole(frames)),
        ("DATA_START", 2, vec![], whole(4)),
        ("SCALE", 4, vec![], real(scale)),
        ("RATE", 4, vec![], real(content.rate)),
        (
            "UNITS",
            -1,
            vec![content.unit.len() as u8],
            content.unit.bytes().collect(),
        ),
        ("LABELS", -1, vec![width as u8, markers as u8], labels),
    ];
    for (name, kind, sizes, data) in rows {
        parameters.extend(parameter(order, 1, name, kind, &sizes, &data));
    }
    parameters.extend([0, 0]);
    assert!(parameters.len() <= 1024);
    parameters.resize(1024, 0);
    parameters[2] = 2;

    let mut out = vec![2u8, 80];
    for v in [markers, 0, 1, frames, 0] {
        out.extend(order.word(v as u16));
    }
    out.extend(order.real(scale));
    out.extend(order.word(4));
    out.extend(order.word(0));
    out.extend(order.real(content.rate));
    out.resize(512, 0);
    out.extend(parameters);
    for frame in 0..frames {
        for marker in content.places {
            let (p, word) = match marker[frame] {
                Some(p) => (p, 0i16),
                None => ([0.0; 3], -1),
            };
            for v in p {
                if floating {
                    out.extend(order.real(v as f32));
                } else {
                    let whole = (v / f64::from(content.scale)).round() as i16;
                    out.extend(order.word(whole as u16));
                }
            }
            if floating {
                out.extend(order.real(f32::from(word)));
            } else {
                out.extend(order.word(word as u16));
            }
        }
    }
    out.resize(out.len().div_ceil(512) * 512, 0);
    out
}

pub const LABELS: [&str; 6] = ["RHEE", "RHEU", "RLEG", "RCAL", "RMT2", "LHEE"];

/// Three rises of a right heel walking across the laboratory at an angle, heel 6° out and 9° inward at the top;
/// millimetres, z up. The last marker is never seen, the second now and then not.
pub fn rising(frames: usize, rate: f64) -> Vec<Vec<Place>> {
    let direction = 0.6f64;
    let (fx, fy) = (direction.cos(), direction.sin());
    // Right of the foot's direction, seen from above.
    let (rx, ry) = (fy, -fx);
    let mut out = vec![Vec::with_capacity(frames); LABELS.len()];
    for i in 0..frames {
        let t = i as f64 / rate;
        let up = if (0.5..6.5).contains(&t) {
            0.5 - 0.5 * ((t - 0.5) / 2.0 * std::f64::consts::TAU).cos()
        } else {
            0.0
        };
        let (angle, height) = ((6.0 - 9.0 * up).to_radians(), 85.0 * up);
        let at = |right: f64, forward: f64, z: f64| {
            Some([
                300.0 + rx * right + fx * forward,
                200.0 + ry * right + fy * forward,
                z,
            ])
        };
        let heel = (angle.tan() * 40.0, 15.0 + height);
        out[0].push(at(heel.0, 0.0, heel.1));
        out[1].push(if i % 50 == 7 {
            None
        } else {
            at(0.0, 2.0, 55.0 + height)
        });
        out[2].push(at(0.0, 4.0, 140.0 + height));
        out[3].push(at(0.0, 8.0, 262.0 + height));
        out[4].push(at(3.0, 175.0, 20.0));
        out[5].push(None);
    }
    out
}
