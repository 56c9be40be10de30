//! The order of a device: what is asked for, what the file holds, how strong it is, and how it looks.
//!
//! Goes to a maker, so no name stands on it: the facts have no place for one. One surprise: a dimension that
//! was measured again and does not agree is printed as it is, with a caution on top; nobody signs it unseen.

use super::{Composed, asked, words};
use crate::document::{Block, Document, Notice, Pictures};
use crate::words::{Words, say};
use figure::device::{Drawing, KEY};
use quantity::{written, written_short};
use shell::Prescription;
use shell::measured::Dimension;
use terms::Side;

/// What the maker gets a solid of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Product {
    PrintableShell,
    CorrectedPositive,
}

impl Product {
    fn words(self, w: &Words) -> String {
        match self {
            Product::PrintableShell => say!(w, "product-shell"),
            Product::CorrectedPositive => say!(w, "product-positive"),
        }
    }
}

/// A material in the words of the knowledge folder.
#[derive(Debug, Clone, Copy)]
pub struct Material<'a> {
    pub name: &'a str,
    /// How a part of it is made.
    pub process: &'a str,
}

/// A solid of the order.
#[derive(Debug, Clone)]
pub struct BodyLine<'a> {
    pub name: &'a str,
    pub material: &'a str,
    pub volume_cm3: f64,
    /// `None` where the material's density is not known.
    pub mass_g: Option<f64>,
}

/// A file that goes with the order.
#[derive(Debug, Clone)]
pub struct FileLine<'a> {
    pub name: &'a str,
    pub bytes: u64,
    /// SHA-256 in hexadecimal.
    pub hash: &'a str,
}

/// A computed value, and what it becomes over the band of the material's stiffness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Banded {
    pub value: f64,
    pub band: Option<(f64, f64)>,
}

/// One load case with the front edge supported in one way.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Supported {
    pub deflection_mm: Option<Banded>,
    /// How many times the stress could grow until it reaches the allowable one.
    pub safety: Option<Banded>,
}

#[derive(Debug, Clone)]
pub struct StrengthRow<'a> {
    pub case: &'a str,
    pub load_n: f64,
    pub free_to_slide: Supported,
    pub held: Supported,
}

/// What the computation of strength found.
#[derive(Debug, Clone)]
pub struct StrengthTable<'a> {
    pub weight_kg: f64,
    /// Stiffness that was taken, its band, and how it is known.
    pub stiffness: &'a str,
    pub rows: Vec<StrengthRow<'a>>,
    /// Safety that is wanted; rows below it say so.
    pub wanted_safety: Option<f64>,
    /// How far the arch gives way under body weight.
    pub flattening_mm: Option<Banded>,
    /// What the model leaves out.
    pub left_out: &'a str,
}

/// What an order sheet is made from.
#[derive(Debug, Clone)]
pub struct OrderFacts<'a> {
    /// The language of the sheet.
    pub words: &'a Words,
    /// Name of the practice, then its lines.
    pub practice: &'a [String],
    /// The practice is a demo: nothing on the sheet is anybody's.
    pub invented: bool,
    /// The day of the order, in words.
    pub date: &'a str,
    /// The practice's code for the patient, never a name.
    pub patient_code: Option<&'a str>,
    pub order_code: &'a str,
    pub side: Side,
    /// Lengths of the ordered and of the other foot, mm.
    pub foot_length_mm: Option<f64>,
    pub other_foot_length_mm: Option<f64>,
    /// Where the surface comes from: scanned under which load, or built from measurements.
    pub surface: Option<&'a str>,
    pub product: Product,
    pub material: Material<'a>,
    /// Of a post that is a body of its own.
    pub post_material: Option<Material<'a>>,
    pub wanted: &'a Prescription,
    /// Dimensions as measured on the written file; empty where it was not measured.
    pub found: &'a [Dimension],
    pub bodies: Vec<BodyLine<'a>>,
    pub strength: Option<StrengthTable<'a>>,
    pub cautions: &'a [String],
    pub files: Vec<FileLine<'a>>,
    pub clinician: &'a str,
    /// `None`: a draft. Else when it was signed, in words.
    pub signed: Option<&'a str>,
    /// From [`figure::device::sheets`] with [`drawing_room_mm`].
    pub drawings: &'a [Drawing],
}

/// Paper that the drawing may fill on its page: width and height, mm.
pub fn drawing_room_mm() -> [f64; 2] {
    // The page less its margins, and less the key under the drawing.
    [PAGE_MM, 258.0]
}

/// Width of the text on a sheet.
const PAGE_MM: f64 = 180.0;

pub fn order_sheet(facts: &OrderFacts<'_>) -> Composed {
    let w = facts.words;
    let mut pictures = Pictures::new();
    let mut blocks = Vec::new();
    if facts.invented {
        blocks.push(notice(
            Notice::Caution,
            say!(w, "invented-title"),
            vec![say!(w, "order-invented")],
        ));
    }
    blocks.extend(differs(w, facts.found));
    let mut right = vec![made_of(facts)];
    right.extend(bodies(facts));
    right.push(files(w, &facts.files));
    right.extend(cautions(w, facts.cautions));
    blocks.push(Block::Columns {
        left: asked::blocks(w, facts.wanted, facts.found),
        right,
        left_percent: 56.0,
    });
    blocks.extend(strength(w, facts.strength.as_ref()));
    blocks.push(signature(facts));
    for (n, drawing) in facts.drawings.iter().enumerate() {
        let picture = format!("device-{}.svg", n + 1);
        pictures.insert(picture.clone(), drawing.svg.clone().into_bytes());
        blocks.push(Block::Figure {
            picture,
            alt: w.said(&drawing.alt),
            caption: w.said(KEY),
            width_percent: 100.0 * drawing.width_mm / PAGE_MM,
        });
    }
    let document = Document {
        title: say!(
            w,
            "title-order",
            code = facts.order_code,
            side = facts.side.word()
        ),
        language: w.tag().into(),
        practice: facts.practice.to_vec(),
        recipient: Vec::new(),
        date: w.day(facts.date),
        head: head(facts),
        blocks,
        foot: format!(
            "{} {}",
            say!(
                w,
                "order-foot",
                code = facts.order_code,
                patient = patient(facts),
                side = facts.side.word()
            ),
            say!(w, "page-foot")
        ),
        draft: facts.signed.is_none(),
        compact: true,
    };
    Composed { document, pictures }
}

fn head(facts: &OrderFacts<'_>) -> Vec<(String, String)> {
    let w = facts.words;
    [
        ("label-order", facts.order_code.to_owned()),
        ("label-patient-code", patient(facts)),
        ("label-side", words::side(w, facts.side)),
        ("label-product", facts.product.words(w)),
    ]
    .map(|(label, value)| (say!(w, label), value))
    .to_vec()
}

fn patient(facts: &OrderFacts<'_>) -> String {
    words::or_not_recorded(facts.words, facts.patient_code)
}

/// What it is made for and of.
fn made_of(facts: &OrderFacts<'_>) -> Block {
    let w = facts.words;
    let length =
        |l: Option<f64>| l.map_or_else(|| say!(w, "not-recorded"), |mm| millimetres(w, mm));
    let label = |side: Side| say!(w, "label-foot-length", side = side.word());
    let material = |m: &Material<'_>| format!("{}; {}", w.said(m.name), w.said(m.process));
    let surface = facts.surface.map(|s| w.said(s));
    let mut rows = vec![
        (label(facts.side), length(facts.foot_length_mm)),
        (
            label(facts.side.other()),
            length(facts.other_foot_length_mm),
        ),
        (
            say!(w, "label-surface"),
            words::or_not_recorded(w, surface.as_deref()),
        ),
        (say!(w, "label-material"), material(&facts.material)),
    ];
    if let Some(post) = &facts.post_material {
        rows.push((say!(w, "label-post-material"), material(post)));
    }
    Block::Pairs {
        caption: say!(w, "made-of-caption"),
        header: (
            say!(w, "label-product"),
            words::capital(&facts.product.words(w)),
        ),
        rows,
    }
}

/// `13.7 mm`
pub(super) fn millimetres(w: &Words, value: f64) -> String {
    format!("{} mm", w.figures(&written_short(value, 1)))
}

/// A measured dimension with its unit; one decimal more where it is not as asked for.
pub(super) fn measured(w: &Words, dimension: &Dimension) -> String {
    let decimals = if dimension.kept() { 1 } else { 2 };
    format!(
        "{}{}",
        w.figures(&written(dimension.found, decimals)),
        dimension.unit.suffix()
    )
}

/// Dimensions of the file that are not as asked for.
fn differs(w: &Words, found: &[Dimension]) -> Option<Block> {
    let lines: Vec<String> = found
        .iter()
        .filter(|d| !d.kept())
        .map(|d| {
            let value = match d.asked {
                Some(a) => say!(
                    w,
                    "order-differs-asked",
                    found = measured(w, d),
                    asked = format!("{}{}", w.figures(&written_short(a, 2)), d.unit.suffix())
                ),
                None => measured(w, d),
            };
            let what = words::capital(&w.said(d.what));
            say!(w, "labelled", label = what, value = format!("{value}."))
        })
        .collect();
    (!lines.is_empty()).then(|| notice(Notice::Alarm, say!(w, "order-differs-title"), lines))
}

fn notice(notice: Notice, title: String, lines: Vec<String>) -> Block {
    Block::Notice {
        notice,
        title,
        lines,
    }
}

fn bodies(facts: &OrderFacts<'_>) -> Vec<Block> {
    if facts.bodies.is_empty() {
        return Vec::new();
    }
    let w = facts.words;
    let volume_words = |v: f64| format!("{} cm³", w.figures(&written(v, 1)));
    let mass_words = |m: Option<f64>| {
        m.map_or_else(
            || say!(w, "not-known"),
            |m| format!("{} g", w.figures(&written(m, 1))),
        )
    };
    let mut rows: Vec<Vec<String>> = facts
        .bodies
        .iter()
        .map(|b| {
            vec![
                format!(
                    "{}\n{}",
                    words::capital(&w.said(b.name)),
                    w.said(b.material)
                ),
                volume_words(b.volume_cm3),
                mass_words(b.mass_g),
            ]
        })
        .collect();
    if facts.bodies.len() > 1 {
        let mass: Option<f64> = facts.bodies.iter().map(|b| b.mass_g).sum();
        let volume: f64 = facts.bodies.iter().map(|b| b.volume_cm3).sum();
        rows.push(vec![
            say!(w, "order-together"),
            volume_words(volume),
            mass_words(mass),
        ]);
    }
    vec![Block::Table {
        caption: say!(w, "solids-caption"),
        header: ["head-solid", "head-volume", "head-mass"]
            .map(|key| say!(w, key))
            .to_vec(),
        rows,
    }]
}

fn cautions(w: &Words, cautions: &[String]) -> Vec<Block> {
    if cautions.is_empty() {
        return Vec::new();
    }
    let lines = cautions
        .iter()
        .map(|c| words::sentence(&words::capital(&w.said(c))))
        .collect();
    vec![notice(Notice::Caution, say!(w, "order-look-twice"), lines)]
}

fn strength(w: &Words, table: Option<&StrengthTable<'_>>) -> Vec<Block> {
    let Some(table) = table else {
        return vec![notice(
            Notice::Caution,
            say!(w, "order-no-strength-title"),
            vec![say!(w, "order-no-strength")],
        )];
    };
    let rows = table
        .rows
        .iter()
        .map(|row| {
            let safety = |s: &Supported| {
                let words = banded(w, s.safety, 1, "");
                let short = table
                    .wanted_safety
                    .zip(s.safety)
                    .filter(|(least, s)| s.value < *least);
                match short {
                    Some((least, _)) => say!(
                        w,
                        "strength-below",
                        safety = words,
                        least = w.figures(&written_short(least, 1))
                    ),
                    None => words,
                }
            };
            vec![
                w.said(row.case),
                format!("{} N", written(row.load_n, 0)),
                banded(w, row.free_to_slide.deflection_mm, 1, " mm"),
                banded(w, row.held.deflection_mm, 1, " mm"),
                safety(&row.free_to_slide),
                safety(&row.held),
            ]
        })
        .collect();
    let header = [
        "head-load-case",
        "head-load",
        "head-bends-free",
        "head-bends-held",
        "head-safety-free",
        "head-safety-held",
    ];
    let mut small = vec![say!(
        w,
        "strength-stiffness",
        stiffness = w.said(table.stiffness.trim_end_matches('.'))
    )];
    small.push(say!(
        w,
        "strength-left-out",
        what = words::sentence(&w.said(table.left_out))
    ));
    let flattening = table
        .flattening_mm
        .map_or_else(|| say!(w, "not-computed"), |f| banded(w, Some(f), 1, " mm"));
    vec![
        Block::Table {
            caption: say!(
                w,
                "strength-caption",
                weight = w.figures(&written_short(table.weight_kg, 1)),
                flattening = flattening
            ),
            header: header.map(|key| say!(w, key)).to_vec(),
            rows,
        },
        Block::Small {
            text: small.join("\n"),
        },
    ]
}

/// `2.1 (1.8–2.6) mm`
fn banded(w: &Words, value: Option<Banded>, decimals: usize, unit: &str) -> String {
    let Some(Banded { value, band }) = value else {
        return say!(w, "not-computed");
    };
    let band = band.map_or_else(String::new, |(low, high)| {
        format!(" ({}–{})", written(low, decimals), written(high, decimals))
    });
    w.figures(&format!("{}{band}{unit}", written(value, decimals)))
}

fn files(w: &Words, files: &[FileLine<'_>]) -> Block {
    if files.is_empty() {
        return notice(
            Notice::Caution,
            say!(w, "order-no-file-title"),
            vec![say!(w, "order-no-file")],
        );
    }
    Block::Table {
        caption: say!(w, "files-caption"),
        header: vec![say!(w, "head-file"), say!(w, "head-hash")],
        rows: files
            .iter()
            .map(|f| {
                let size = f.bytes as f64;
                let size = if size < 1e6 {
                    format!("{} kB", written(size / 1e3, 0))
                } else {
                    format!("{} MB", written(size / 1e6, 1))
                };
                vec![format!("{}\n{}", f.name, w.figures(&size)), grouped(f.hash)]
            })
            .collect(),
    }
}

/// In groups that an eye can compare, two on a line.
fn grouped(hash: &str) -> String {
    let characters: Vec<char> = hash.chars().collect();
    let groups: Vec<String> = characters.chunks(16).map(|g| g.iter().collect()).collect();
    let lines: Vec<String> = groups.chunks(2).map(|pair| pair.join(" ")).collect();
    lines.join("\n")
}

fn signature(facts: &OrderFacts<'_>) -> Block {
    let w = facts.words;
    let line = match facts.signed {
        Some(when) => say!(w, "order-signed", when = w.day(when)),
        None => format!(
            "{} ______________________________",
            say!(w, "order-sign-here")
        ),
    };
    Block::Signature {
        lines: vec![format!(
            "{} {line}",
            say!(w, "order-by", clinician = facts.clinician)
        )],
    }
}
