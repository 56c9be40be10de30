//! The model part of a 3MF file: objects, what they are composed of, and where they are placed.
//!
//! Numbers of triangles and placings are added up while objects are read, so that nested objects are refused
//! before anything is multiplied.

use super::{text, unread};
use crate::MeshError;
use crate::error::words;
use crate::read::{Gathered, MOST_TRIANGLES, MOST_VERTICES, Unit};
use quick_xml::events::{BytesStart, Event};
use std::collections::BTreeMap;
use std::io::BufRead;

/// The most times that objects may be placed, so that nested objects cannot multiply without end.
const MOST_PLACED: u64 = 100_000;

const CORE: &str = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02";
/// Required extensions that leave the shape as the core tells it.
const HARMLESS: [&str; 2] = [
    "http://schemas.microsoft.com/3dmanufacturing/material/2015/02",
    "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07",
];

/// From a column vector's view: nine of a matrix, then three of a shift, as the file has them.
type Transform = [f64; 12];

const STILL: Transform = [1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0];

fn transform(element: &BytesStart<'_>, gathered: &Gathered) -> Result<Transform, MeshError> {
    let Some(given) = text(element, "transform", gathered)? else {
        return Ok(STILL);
    };
    let numbers: Vec<f64> = given
        .split_ascii_whitespace()
        .map_while(|w| w.parse().ok())
        .filter(|v: &f64| v.is_finite())
        .collect();
    match <Transform>::try_from(numbers) {
        Ok(t) if given.split_ascii_whitespace().count() == 12 && determinant(&t) != 0.0 => Ok(t),
        _ => {
            let found = format!("the transform \"{}\"", words(given.as_bytes()));
            Err(gathered.broken(found, "twelve numbers that can be turned back"))
        }
    }
}

fn determinant(t: &Transform) -> f64 {
    t[0] * (t[4] * t[8] - t[5] * t[7]) - t[1] * (t[3] * t[8] - t[5] * t[6])
        + t[2] * (t[3] * t[7] - t[4] * t[6])
}

fn moved(t: &Transform, p: [f64; 3]) -> [f64; 3] {
    [0, 1, 2].map(|k| p[0] * t[k] + p[1] * t[3 + k] + p[2] * t[6 + k] + t[9 + k])
}

/// First `inner`, then `outer`.
fn both(inner: &Transform, outer: &Transform) -> Transform {
    let mut t = [0.0; 12];
    for row in 0..4 {
        for k in 0..3 {
            t[3 * row + k] = (0..3)
                .map(|j| inner[3 * row + j] * outer[3 * j + k])
                .sum::<f64>()
                + if row == 3 { outer[9 + k] } else { 0.0 };
        }
    }
    t
}

#[derive(Default)]
struct Object {
    vertices: Vec<[f64; 3]>,
    triangles: Vec<[u32; 3]>,
    /// Objects by their place in the list, all of them before this one.
    parts: Vec<(usize, Transform)>,
    left_out: bool,
    /// Triangles and placings, with those of all parts.
    triangles_in_all: u64,
    placed_in_all: u64,
}

pub(super) struct Model {
    pub unit: Unit,
    objects: Vec<Object>,
    items: Vec<(usize, Transform)>,
}

pub(super) fn parse(source: impl BufRead, gathered: &mut Gathered) -> Result<Model, MeshError> {
    let mut reader = quick_xml::Reader::from_reader(source);
    let mut model = Model {
        unit: Unit::Millimetre,
        objects: Vec::new(),
        items: Vec::new(),
    };
    let mut numbers: BTreeMap<u64, usize> = BTreeMap::new();
    let mut prefix: Option<String> = None;
    let mut open: Option<(u64, Object)> = None;
    let mut ended = false;
    let mut held = (0usize, 0usize);
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        let event = reader
            .read_event_into(&mut buffer)
            .map_err(|e| unread(&e, gathered))?;
        let (element, empty) = match &event {
            Event::Start(e) => (e, false),
            Event::Empty(e) => (e, true),
            Event::End(e) => {
                match own(e.name().as_ref(), prefix.as_deref()) {
                    Some("object") => close(&mut open, &mut model, &mut numbers, gathered)?,
                    Some("model") => ended = true,
                    _ => {}
                }
                continue;
            }
            Event::DocType(_) => {
                return Err(gathered.broken("a document type declaration", "none, for safety"));
            }
            Event::Eof => break,
            _ => continue,
        };
        if prefix.is_none() {
            prefix = Some(root(element, &mut model, gathered)?);
            ended = empty;
            continue;
        }
        let name = element.name();
        match own(name.as_ref(), prefix.as_deref()) {
            Some("vertex") => {
                if let Some((_, object)) = &mut open {
                    let at = vertex(element, gathered)?;
                    gathered.placed(at)?;
                    object.vertices.push(at);
                    held.0 += 1;
                    if held.0 > MOST_VERTICES {
                        return Err(gathered.too_large("vertices", held.0 as u64));
                    }
                }
            }
            Some("triangle") => {
                if let Some((_, object)) = &mut open {
                    let corners = triangle(element, object.vertices.len(), gathered)?;
                    object.triangles.push(corners);
                    held.1 += 1;
                    if held.1 > MOST_TRIANGLES {
                        return Err(gathered.too_large("triangles", held.1 as u64));
                    }
                }
            }
            Some("object") => {
                let id = whole(element, "id", gathered)?;
                let kind = text(element, "type", gathered)?;
                let left_out =
                    matches!(kind.as_deref(), Some("support" | "solidsupport" | "other"));
                open = Some((
                    id,
                    Object {
                        left_out,
                        ..Object::default()
                    },
                ));
                if empty {
                    close(&mut open, &mut model, &mut numbers, gathered)?;
                }
            }
            Some("component") => {
                let part = referred(element, &numbers, gathered)?;
                if let Some((_, object)) = &mut open {
                    object.parts.push(part);
                }
            }
            Some("item") => model.items.push(referred(element, &numbers, gathered)?),
            _ => {}
        }
    }
    if ended && open.is_none() {
        Ok(model)
    } else {
        Err(gathered.cut_off("within its model part"))
    }
}

/// The local name of an element of the core namespace.
fn own<'a>(name: &'a str, prefix: Option<&str>) -> Option<&'a str> {
    match prefix? {
        "" => (!name.contains(':')).then_some(name),
        prefix => name.strip_prefix(prefix)?.strip_prefix(':'),
    }
}

/// Reads the root; gives the prefix of the core namespace.
fn root(
    element: &BytesStart<'_>,
    model: &mut Model,
    gathered: &Gathered,
) -> Result<String, MeshError> {
    let no_model = || {
        let found = format!("the element {}", words(element.name().as_ref().as_bytes()));
        gathered.broken(found, "a model of the 3MF core")
    };
    let (mut prefix, mut spaces) = (None, Vec::new());
    for attribute in element.attributes().with_checks(false) {
        let attribute = attribute
            .map_err(|_| gathered.broken("an attribute without value", "name=\"value\""))?;
        let (key, value) = (
            attribute.key.as_ref().to_owned(),
            attribute.value.trim().to_owned(),
        );
        let bound = if key == "xmlns" {
            Some("")
        } else {
            key.strip_prefix("xmlns:")
        };
        if let Some(bound) = bound {
            if value == CORE {
                prefix = prefix.or(Some(bound.to_owned()));
            }
            spaces.push((bound.to_owned(), value));
        }
    }
    let prefix = prefix.ok_or_else(no_model)?;
    if own(element.name().as_ref(), Some(&prefix)) != Some("model") {
        return Err(no_model());
    }
    if let Some(unit) = text(element, "unit", gathered)? {
        model.unit = match unit.as_str() {
            "micron" => Unit::Micrometre,
            "millimeter" => Unit::Millimetre,
            "centimeter" => Unit::Centimetre,
            "meter" => Unit::Metre,
            "inch" => Unit::Inch,
            "foot" => Unit::Foot,
            other => {
                let found = format!("the unit {}", words(other.as_bytes()));
                return Err(gathered.broken(found, "a unit that the format names"));
            }
        };
    }
    let required = text(element, "requiredextensions", gathered)?.unwrap_or_default();
    for wanted in required.split_ascii_whitespace() {
        let space = spaces
            .iter()
            .find(|(bound, _)| bound == wanted)
            .map_or(wanted, |(_, space)| space.as_str());
        if !HARMLESS.contains(&space) {
            return Err(MeshError::Unsupported {
                format: gathered.format,
                found: format!("the required extension {}", words(space.as_bytes())),
                expected: "a model of the core format",
                remedy: "export it again without extensions, or as STL",
            });
        }
    }
    Ok(prefix)
}

fn vertex(element: &BytesStart<'_>, gathered: &Gathered) -> Result<[f64; 3], MeshError> {
    let mut at = [None; 3];
    for attribute in element.attributes().with_checks(false).flatten() {
        let axis = match attribute.key.as_ref() {
            "x" => 0,
            "y" => 1,
            "z" => 2,
            _ => continue,
        };
        at[axis] = attribute.value.trim().parse::<f64>().ok();
    }
    match at {
        [Some(x), Some(y), Some(z)] => Ok([x, y, z]),
        _ => Err(gathered.broken("a vertex without three numbers", "x, y and z")),
    }
}

fn triangle(
    element: &BytesStart<'_>,
    vertices: usize,
    gathered: &Gathered,
) -> Result<[u32; 3], MeshError> {
    let mut corners = [f64::NAN; 3];
    for attribute in element.attributes().with_checks(false).flatten() {
        let corner = match attribute.key.as_ref() {
            "v1" => 0,
            "v2" => 1,
            "v3" => 2,
            _ => continue,
        };
        corners[corner] = attribute.value.trim().parse().unwrap_or(f64::NAN);
    }
    let [a, b, c] = corners;
    Ok([
        gathered.number(a, vertices)?,
        gathered.number(b, vertices)?,
        gathered.number(c, vertices)?,
    ])
}

fn whole(element: &BytesStart<'_>, name: &str, gathered: &Gathered) -> Result<u64, MeshError> {
    text(element, name, gathered)?
        .and_then(|v| v.parse().ok())
        .ok_or_else(|| {
            gathered.broken(
                "an object without number",
                "a number that others can refer to",
            )
        })
}

/// The object that a component or item means, which must stand before it.
fn referred(
    element: &BytesStart<'_>,
    numbers: &BTreeMap<u64, usize>,
    gathered: &Gathered,
) -> Result<(usize, Transform), MeshError> {
    let id = whole(element, "objectid", gathered)?;
    let at = numbers.get(&id).ok_or_else(|| {
        let found = format!("a reference to object {id}");
        gathered.broken(found, "objects that stand in the file before they are used")
    })?;
    Ok((*at, transform(element, gathered)?))
}

fn close(
    open: &mut Option<(u64, Object)>,
    model: &mut Model,
    numbers: &mut BTreeMap<u64, usize>,
    gathered: &Gathered,
) -> Result<(), MeshError> {
    let Some((id, mut object)) = open.take() else {
        return Ok(());
    };
    object.triangles_in_all = object.triangles.len() as u64;
    object.placed_in_all = 1;
    for &(part, _) in &object.parts {
        let part = &model.objects[part];
        object.triangles_in_all = object
            .triangles_in_all
            .saturating_add(part.triangles_in_all);
        object.placed_in_all = object.placed_in_all.saturating_add(part.placed_in_all);
    }
    if numbers.insert(id, model.objects.len()).is_some() {
        return Err(gathered.broken(format!("two objects with the number {id}"), "one"));
    }
    model.objects.push(object);
    Ok(())
}

/// Puts every item where it belongs.
pub(super) fn place(model: &Model, gathered: &mut Gathered) -> Result<(), MeshError> {
    let (mut triangles, mut placed) = (0u64, 0u64);
    for &(at, _) in &model.items {
        triangles = triangles.saturating_add(model.objects[at].triangles_in_all);
        placed = placed.saturating_add(model.objects[at].placed_in_all);
    }
    if triangles > MOST_TRIANGLES as u64 {
        return Err(gathered.too_large("triangles", triangles));
    }
    if placed > MOST_PLACED {
        return Err(gathered.broken(format!("{placed} placed objects"), "at most 100000"));
    }
    let mut waiting: Vec<(usize, Transform)> = model.items.iter().rev().copied().collect();
    while let Some((at, t)) = waiting.pop() {
        let object = &model.objects[at];
        // The kind counts for meshes only; an object of parts is what its parts are.
        if object.left_out && object.parts.is_empty() {
            gathered.dropped.objects += 1;
            continue;
        }
        let first = gathered.vertices.len() as u32;
        for &v in &object.vertices {
            gathered.vertex(moved(&t, v))?;
        }
        let mirrored = determinant(&t) < 0.0;
        for &[a, b, c] in &object.triangles {
            let [b, c] = if mirrored { [c, b] } else { [b, c] };
            gathered.triangle([first + a, first + b, first + c])?;
        }
        for (part, own) in object.parts.iter().rev() {
            waiting.push((*part, both(own, &t)));
        }
    }
    Ok(())
}
