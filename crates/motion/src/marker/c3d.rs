//! A C3D file's bytes to named markers in time.
//!
//! Read: header, parameters, positions as whole or floating numbers in all three byte orders. What else the file
//! holds (forces, muscles) is passed over.
//!
//! # Sources
//! The format is open and described in its public user guide; written here from general knowledge of it and held
//! against two independent readers (`checks/motion`).

use super::cells::Order;
use crate::MotionError;
use crate::error::quote;
use std::collections::HashMap;

const BLOCK: usize = 512;
/// Most markers and frames taken.
const MOST_MARKERS: usize = 2_000;
const MOST_FRAMES: usize = 2_000_000;
/// Most places together: 3 × 4 bytes each are kept.
const MOST_PLACES: usize = 50_000_000;

/// A marker in a frame; `None` where the cameras did not see it.
pub type Place = Option<[f64; 3]>;

/// Named markers in time.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkerFile {
    pub labels: Vec<String>,
    /// Frames a second.
    pub rate: f64,
    /// Millimetres in the file's unit; `None` where the unit is not known.
    pub mm_per_unit: Option<f64>,
    pub unit: String,
    /// For each label all frames, in the file's unit.
    pub places: Vec<Vec<Place>>,
    pub order: Order,
}

impl MarkerFile {
    pub fn frames(&self) -> usize {
        self.places.first().map_or(0, Vec::len)
    }

    /// Without regard to case and to blanks around.
    pub fn index(&self, label: &str) -> Option<usize> {
        let wanted = label.trim();
        let exact = self.labels.iter().position(|l| l == wanted);
        exact.or_else(|| {
            self.labels
                .iter()
                .position(|l| l.eq_ignore_ascii_case(wanted))
        })
    }
}

fn damaged(found: impl Into<String>, expected: &'static str) -> MotionError {
    MotionError::C3dDamaged {
        found: found.into(),
        expected,
    }
}

/// # Errors
/// Not a C3D file, or a damaged one.
pub fn open(bytes: &[u8]) -> Result<MarkerFile, MotionError> {
    let not = |found: &str| MotionError::NotC3d {
        found: found.into(),
        expected: "a first block that begins with the block of the parameters and the number 80",
    };
    let (Some(first_block), Some(80)) = (bytes.first(), bytes.get(1)) else {
        return Err(not(if bytes.is_empty() {
            "the file is empty"
        } else {
            "other first bytes"
        }));
    };
    if bytes.len() < BLOCK {
        return Err(damaged("less than one block", "a header of 512 bytes"));
    }
    let from = usize::from(first_block.saturating_sub(1).max(1)) * BLOCK;
    let head = bytes
        .get(from..from + 4)
        .ok_or_else(|| damaged("no parameters", "parameters after the header"))?;
    let order = match head[3] {
        84 => Order::Intel,
        85 => Order::Dec,
        86 => Order::Mips,
        other => {
            return Err(damaged(
                format!("the byte order {other}"),
                "84, 85 or 86 for Intel, DEC or MIPS",
            ));
        }
    };
    let parameters = Parameters::read(bytes, from, usize::from(head[2]), order);
    let header = Header::read(bytes, order)
        .ok_or_else(|| damaged("a header cut short", "a header of 512 bytes"))?;
    build(bytes, order, &header, &parameters)
}

struct Header {
    markers: usize,
    analog_words: usize,
    first: usize,
    last: usize,
    scale: f32,
    data_block: usize,
    rate: f32,
}

impl Header {
    fn read(bytes: &[u8], order: Order) -> Option<Self> {
        let word = |n: usize| order.word(bytes, 2 * (n - 1)).map(usize::from);
        Some(Self {
            markers: word(2)?,
            analog_words: word(3)?,
            first: word(4)?,
            last: word(5)?,
            scale: order.real(bytes, 12)?,
            data_block: word(9)?,
            rate: order.real(bytes, 20)?,
        })
    }
}

enum Value {
    Text(Vec<String>),
    Numbers(Vec<f64>),
}

/// Parameters by `GROUP:NAME`.
struct Parameters(HashMap<String, Value>);

impl Parameters {
    /// Reads on until the chain ends; a chain that breaks leaves what was read before.
    fn read(bytes: &[u8], from: usize, blocks: usize, order: Order) -> Self {
        let end = from.saturating_add(blocks.max(1) * BLOCK).min(bytes.len());
        // Some writers count no blocks although the chain goes on.
        let end = if blocks == 0 { bytes.len() } else { end };
        let mut groups: HashMap<i8, String> = HashMap::new();
        let mut waiting: Vec<(i8, String, Value)> = Vec::new();
        let mut at = from + 4;
        // Each record is at least five bytes long: no chain is longer than this.
        for _ in 0..(end.saturating_sub(from) / 5 + 1) {
            let Some(record) = bytes.get(at..end) else {
                break;
            };
            let Some((name, id, next, rest)) = record_at(record, order) else {
                break;
            };
            if id < 0 {
                groups.insert(id.saturating_neg(), name);
            } else if let Some(value) = value_at(rest, order) {
                waiting.push((id, name, value));
            }
            match next {
                Some(step) => at += step,
                None => break,
            }
        }
        Self(
            waiting
                .into_iter()
                .filter_map(|(id, name, value)| {
                    Some((format!("{}:{name}", groups.get(&id)?), value))
                })
                .collect(),
        )
    }

    fn numbers(&self, name: &str) -> Option<&[f64]> {
        match self.0.get(name)? {
            Value::Numbers(n) => Some(n),
            Value::Text(_) => None,
        }
    }

    fn number(&self, name: &str) -> Option<f64> {
        self.numbers(name)?.first().copied()
    }

    fn texts(&self, name: &str) -> &[String] {
        match self.0.get(name) {
            Some(Value::Text(t)) => t,
            _ => &[],
        }
    }
}

/// Name, group, step to the next record from this one's first byte, and what follows the step.
#[allow(clippy::type_complexity)]
fn record_at(record: &[u8], order: Order) -> Option<(String, i8, Option<usize>, &[u8])> {
    let length = usize::from((*record.first()? as i8).unsigned_abs());
    let id = *record.get(1)? as i8;
    if length == 0 || id == 0 {
        return None;
    }
    let name = record.get(2..2 + length)?;
    let name = String::from_utf8_lossy(name).trim().to_ascii_uppercase();
    let step_at = 2 + length;
    let step = usize::from(order.word(record, step_at)?);
    let next = (step >= 2).then_some(step_at + step);
    Some((name, id, next, record.get(step_at + 2..)?))
}

fn value_at(rest: &[u8], order: Order) -> Option<Value> {
    let kind = *rest.first()? as i8;
    let count = usize::from(*rest.get(1)?);
    if count > 7 {
        return None;
    }
    let sizes: Vec<usize> = rest
        .get(2..2 + count)?
        .iter()
        .map(|b| usize::from(*b))
        .collect();
    let cells = sizes.iter().try_fold(1usize, |n, s| n.checked_mul(*s))?;
    let data = rest.get(2 + count..)?;
    match kind {
        -1 => {
            let data = data.get(..cells)?;
            let length = sizes.first().copied().unwrap_or(cells).max(1);
            Some(Value::Text(
                data.chunks(length)
                    .map(|c| {
                        String::from_utf8_lossy(c)
                            .trim_matches(|c: char| c.is_whitespace() || c == '\0')
                            .to_owned()
                    })
                    .collect(),
            ))
        }
        1 => Some(Value::Numbers(
            data.get(..cells)?.iter().map(|b| f64::from(*b)).collect(),
        )),
        2 => (0..cells)
            // Counts above 32767 are written in the same two bytes; none of those read here is negative.
            .map(|i| order.word(data, 2 * i).map(f64::from))
            .collect::<Option<Vec<f64>>>()
            .map(Value::Numbers),
        4 => (0..cells)
            .map(|i| order.real(data, 4 * i).map(f64::from))
            .collect::<Option<Vec<f64>>>()
            .map(Value::Numbers),
        _ => None,
    }
}

fn build(
    bytes: &[u8],
    order: Order,
    header: &Header,
    parameters: &Parameters,
) -> Result<MarkerFile, MotionError> {
    let whole = |name: &str| {
        parameters
            .number(name)
            .filter(|v| *v >= 0.0 && v.fract() == 0.0)
            .map(|v| v as usize)
    };
    let markers = whole("POINT:USED").unwrap_or(header.markers);
    if markers == 0 || markers > MOST_MARKERS {
        return Err(damaged(
            format!("{markers} markers"),
            "1 to 2000 markers in the file",
        ));
    }
    let scale = parameters
        .number("POINT:SCALE")
        .unwrap_or(f64::from(header.scale));
    if !scale.is_finite() || scale == 0.0 {
        return Err(damaged(
            format!("the scale {scale}"),
            "a scale that is a number and not zero",
        ));
    }
    let floating = scale < 0.0;
    let size = if floating { 4 } else { 2 };
    let stride = (4 * markers + header.analog_words) * size;
    let block = whole("POINT:DATA_START")
        .filter(|b| *b > 0)
        .unwrap_or(header.data_block);
    let from = block.saturating_sub(1).saturating_mul(BLOCK);
    let there = bytes.len().saturating_sub(from) / stride;
    let asked = frames_asked(header, parameters);
    if block < 2 || from >= bytes.len() || there == 0 {
        return Err(damaged("no positions", "positions after the parameters"));
    }
    if asked == 0 || asked > MOST_FRAMES || asked.saturating_mul(markers) > MOST_PLACES {
        return Err(damaged(
            format!("{asked} frames of {markers} markers"),
            "frames of a usual number",
        ));
    }
    if there < asked {
        return Err(damaged(
            format!("{there} of {asked} frames"),
            "all frames that the header counts",
        ));
    }
    let rate = parameters
        .number("POINT:RATE")
        .unwrap_or(f64::from(header.rate));
    let rate = crate::frames::checked_rate(rate)?;
    let places = (0..markers)
        .map(|m| {
            (0..asked)
                .map(|f| {
                    let at = from + f * stride + 4 * m * size;
                    place_at(bytes, at, order, floating, scale)
                })
                .collect()
        })
        .collect();
    let unit = parameters
        .texts("POINT:UNITS")
        .first()
        .cloned()
        .unwrap_or_default();
    Ok(MarkerFile {
        labels: labels(parameters, markers),
        rate,
        mm_per_unit: match unit.to_ascii_lowercase().as_str() {
            "mm" => Some(1.0),
            "cm" => Some(10.0),
            "m" => Some(1000.0),
            _ => None,
        },
        unit: quote(&unit).trim_matches('\'').to_owned(),
        places,
        order,
    })
}

/// The header counts in 16 bits; longer files say it in their parameters.
fn frames_asked(header: &Header, parameters: &Parameters) -> usize {
    let field = |name: &str| {
        let words = parameters.numbers(name)?;
        match words {
            [low, high, ..] => Some(low + 65536.0 * high),
            [one] => Some(*one),
            [] => None,
        }
    };
    if let (Some(first), Some(last)) = (
        field("TRIAL:ACTUAL_START_FIELD"),
        field("TRIAL:ACTUAL_END_FIELD"),
    ) && first >= 1.0
        && last >= first
        && last < 1e9
    {
        return (last - first) as usize + 1;
    }
    let counted = (header.last + 1).saturating_sub(header.first);
    match parameters.number("POINT:FRAMES") {
        // Where the header's sixteen bits ran over, the parameter goes before it.
        Some(n) if n >= 1.0 && n.fract() == 0.0 && (header.last == 65535 || counted == 0) => {
            n as usize
        }
        _ => counted,
    }
}

fn place_at(bytes: &[u8], at: usize, order: Order, floating: bool, scale: f64) -> Place {
    let (place, seen) = if floating {
        let cell = |i: usize| order.real(bytes, at + 4 * i).map(f64::from);
        // The fourth number is a 16-bit word written as a float: negative where the marker was not seen.
        (
            [cell(0)?, cell(1)?, cell(2)?],
            cell(3).is_some_and(|w| w >= 0.0),
        )
    } else {
        let cell = |i: usize| order.whole(bytes, at + 2 * i);
        let to = |i: usize| cell(i).map(|v| f64::from(v) * scale);
        ([to(0)?, to(1)?, to(2)?], cell(3).is_some_and(|w| w >= 0))
    };
    (seen && place.iter().all(|v| v.is_finite())).then_some(place)
}

/// Labels go on in `LABELS2`, `LABELS3` where one parameter cannot hold them; what has none is numbered.
fn labels(parameters: &Parameters, markers: usize) -> Vec<String> {
    let mut out: Vec<String> = parameters.texts("POINT:LABELS").to_vec();
    for more in 2..=9 {
        out.extend_from_slice(parameters.texts(&format!("POINT:LABELS{more}")));
    }
    out.truncate(markers);
    for label in &mut out {
        *label = label.chars().filter(|c| !c.is_control()).take(80).collect();
    }
    while out.len() < markers {
        out.push(String::new());
    }
    for (i, label) in out.iter_mut().enumerate() {
        if label.is_empty() {
            *label = format!("marker {}", i + 1);
        }
    }
    out
}
