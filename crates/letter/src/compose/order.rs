//! The order of a device: what is asked for, what the file holds, how strong it is, and how it looks.
//!
//! Goes to a maker, so no name stands on it: the facts have no place for one. One surprise: a dimension that
//! was measured again and does not agree is printed as it is, with a caution on top; nobody signs it unseen.

use super::{Composed, asked, sheet, words};
use crate::document::{Block, Document, Notice, Pictures};
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
    pub fn words(self) -> &'static str {
        match self {
            Product::PrintableShell => "printable shell",
            Product::CorrectedPositive => "corrected positive, to form a sheet over",
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
    let mut pictures = Pictures::new();
    let mut blocks = Vec::new();
    if facts.invented {
        blocks.push(notice(
            Notice::Caution,
            "Invented data",
            vec!["This practice is a demo: patient, foot and order are invented. Make nothing from this sheet.".into()],
        ));
    }
    blocks.extend(differs(facts.found));
    let mut right = vec![made_of(facts)];
    right.extend(bodies(facts));
    right.push(files(&facts.files));
    right.extend(cautions(facts.cautions));
    blocks.push(Block::Columns {
        left: asked::blocks(facts.wanted, facts.found),
        right,
        left_percent: 56.0,
    });
    blocks.extend(strength(facts.strength.as_ref()));
    blocks.push(signature(facts));
    for (n, drawing) in facts.drawings.iter().enumerate() {
        let picture = format!("device-{}.svg", n + 1);
        pictures.insert(picture.clone(), drawing.svg.clone().into_bytes());
        blocks.push(Block::Figure {
            picture,
            alt: drawing.alt.clone(),
            caption: KEY.into(),
            width_percent: 100.0 * drawing.width_mm / PAGE_MM,
        });
    }
    let document = Document {
        title: format!(
            "Order {}: foot orthosis, {} foot",
            facts.order_code,
            facts.side.word()
        ),
        language: "en".into(),
        practice: facts.practice.to_vec(),
        recipient: Vec::new(),
        date: facts.date.to_owned(),
        head: head(facts),
        blocks,
        foot: format!(
            "Order {}, patient {}, {} foot. {}",
            facts.order_code,
            patient(facts),
            facts.side.word(),
            sheet::FOOT
        ),
        draft: facts.signed.is_none(),
        compact: true,
    };
    Composed { document, pictures }
}

fn head(facts: &OrderFacts<'_>) -> Vec<(String, String)> {
    [
        ("Order", facts.order_code),
        ("Patient’s code", patient(facts)),
        ("Side", facts.side.word()),
        ("Product", facts.product.words()),
    ]
    .map(|(label, value)| (label.to_owned(), value.to_owned()))
    .to_vec()
}

fn patient<'a>(facts: &OrderFacts<'a>) -> &'a str {
    let code = facts.patient_code.map(str::trim);
    code.filter(|c| !c.is_empty()).unwrap_or("not recorded")
}

/// What it is made for and of.
fn made_of(facts: &OrderFacts<'_>) -> Block {
    let length = |l: Option<f64>| l.map_or_else(|| "not recorded".to_owned(), millimetres);
    let material = |m: &Material<'_>| format!("{}; {}", m.name, m.process);
    let mut rows = vec![
        (
            format!("Length of the {} foot", facts.side.word()),
            length(facts.foot_length_mm),
        ),
        (
            format!("Length of the {} foot", facts.side.other().word()),
            length(facts.other_foot_length_mm),
        ),
        (
            "Surface".to_owned(),
            facts.surface.unwrap_or("not recorded").to_owned(),
        ),
        ("Material".to_owned(), material(&facts.material)),
    ];
    if let Some(post) = &facts.post_material {
        rows.push(("Material of the post".to_owned(), material(post)));
    }
    Block::Pairs {
        caption: "What it is made for, and of".to_owned(),
        header: ("Product".to_owned(), words::capital(facts.product.words())),
        rows,
    }
}

/// `13.7 mm`
pub(super) fn millimetres(value: f64) -> String {
    format!("{} mm", written_short(value, 1))
}

/// A measured dimension with its unit; one decimal more where it is not as asked for.
pub(super) fn measured(dimension: &Dimension) -> String {
    let decimals = if dimension.kept() { 1 } else { 2 };
    format!(
        "{}{}",
        written(dimension.found, decimals),
        dimension.unit.suffix()
    )
}

/// Dimensions of the file that are not as asked for.
fn differs(found: &[Dimension]) -> Option<Block> {
    let lines: Vec<String> = found
        .iter()
        .filter(|d| !d.kept())
        .map(|d| {
            let asked = d.asked.map_or_else(String::new, |a| {
                format!(", asked for {}{}", written_short(a, 2), d.unit.suffix())
            });
            format!("{}: {}{asked}.", words::capital(d.what), measured(d))
        })
        .collect();
    (!lines.is_empty()).then(|| {
        notice(
            Notice::Alarm,
            "The file is not what was asked for: do not make it before this is settled",
            lines,
        )
    })
}

fn notice(notice: Notice, title: &str, lines: Vec<String>) -> Block {
    Block::Notice {
        notice,
        title: title.to_owned(),
        lines,
    }
}

fn bodies(facts: &OrderFacts<'_>) -> Vec<Block> {
    if facts.bodies.is_empty() {
        return Vec::new();
    }
    let mut rows: Vec<Vec<String>> = facts
        .bodies
        .iter()
        .map(|b| {
            vec![
                format!("{}\n{}", words::capital(b.name), b.material),
                format!("{} cm³", written(b.volume_cm3, 1)),
                b.mass_g.map_or_else(
                    || "not known".to_owned(),
                    |m| format!("{} g", written(m, 1)),
                ),
            ]
        })
        .collect();
    if facts.bodies.len() > 1 {
        let mass: Option<f64> = facts.bodies.iter().map(|b| b.mass_g).sum();
        let volume: f64 = facts.bodies.iter().map(|b| b.volume_cm3).sum();
        rows.push(vec![
            "Together".to_owned(),
            format!("{} cm³", written(volume, 1)),
            mass.map_or_else(
                || "not known".to_owned(),
                |m| format!("{} g", written(m, 1)),
            ),
        ]);
    }
    vec![Block::Table {
        caption: "Solids of the file".to_owned(),
        header: ["Solid", "Volume", "Mass"].map(str::to_owned).to_vec(),
        rows,
    }]
}

fn cautions(cautions: &[String]) -> Vec<Block> {
    if cautions.is_empty() {
        return Vec::new();
    }
    let lines = cautions
        .iter()
        .map(|c| words::sentence(&words::capital(c)))
        .collect();
    vec![notice(Notice::Caution, "To look at twice", lines)]
}

fn strength(table: Option<&StrengthTable<'_>>) -> Vec<Block> {
    let Some(table) = table else {
        return vec![notice(
            Notice::Caution,
            "Strength not computed",
            vec!["Nobody has computed how far this device bends and whether it lasts.".into()],
        )];
    };
    let rows = table
        .rows
        .iter()
        .map(|row| {
            let safety = |s: &Supported| {
                let words = banded(s.safety, 1, "");
                let short = table
                    .wanted_safety
                    .zip(s.safety)
                    .filter(|(least, s)| s.value < *least);
                match short {
                    Some((least, _)) => format!("{words}, below {}", written_short(least, 1)),
                    None => words,
                }
            };
            vec![
                row.case.to_owned(),
                format!("{} N", written(row.load_n, 0)),
                banded(row.free_to_slide.deflection_mm, 1, " mm"),
                banded(row.held.deflection_mm, 1, " mm"),
                safety(&row.free_to_slide),
                safety(&row.held),
            ]
        })
        .collect();
    let header = [
        "Load case",
        "Load",
        "Bends, front edge free to slide",
        "Bends, front edge held",
        "Safety, free",
        "Safety, held",
    ];
    let mut small = vec![format!(
        "Stiffness: {}. In brackets: over the band of that stiffness. Safety: how many times the stress could grow until it reaches the allowable one.",
        table.stiffness.trim_end_matches('.')
    )];
    small.push(format!("Left out: {}", words::sentence(table.left_out)));
    let flattening = table
        .flattening_mm
        .map_or_else(|| "not computed".to_owned(), |f| banded(Some(f), 1, " mm"));
    vec![
        Block::Table {
            caption: format!(
                "Strength under {} kg; the arch gives way by {flattening} at body weight",
                written_short(table.weight_kg, 1)
            ),
            header: header.map(str::to_owned).to_vec(),
            rows,
        },
        Block::Small {
            text: small.join("\n"),
        },
    ]
}

/// `2.1 (1.8–2.6) mm`
fn banded(value: Option<Banded>, decimals: usize, unit: &str) -> String {
    let Some(Banded { value, band }) = value else {
        return "not computed".to_owned();
    };
    let band = band.map_or_else(String::new, |(low, high)| {
        format!(" ({}–{})", written(low, decimals), written(high, decimals))
    });
    format!("{}{band}{unit}", written(value, decimals))
}

fn files(files: &[FileLine<'_>]) -> Block {
    if files.is_empty() {
        return notice(
            Notice::Caution,
            "No file goes with this sheet",
            vec!["The dimensions in it are those that were asked for, not those of a file.".into()],
        );
    }
    Block::Table {
        caption: "Files of this order. Make nothing from one whose hash differs.".to_owned(),
        header: ["File", "SHA-256"].map(str::to_owned).to_vec(),
        rows: files
            .iter()
            .map(|f| {
                let size = f.bytes as f64;
                let size = if size < 1e6 {
                    format!("{} kB", written(size / 1e3, 0))
                } else {
                    format!("{} MB", written(size / 1e6, 1))
                };
                vec![format!("{}\n{size}", f.name), grouped(f.hash)]
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
    let line = match facts.signed {
        Some(when) => format!("Signed: {when}"),
        None => "Signature and day: ______________________________".to_owned(),
    };
    Block::Signature {
        lines: vec![format!("Ordered by {}. {line}", facts.clinician)],
    }
}
