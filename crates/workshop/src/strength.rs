//! How far does a device bend under its person, and does it last? Asked of `strength`, told as a table.

use crate::sheet::Wish;
use knowledge::Knowledge;
use letter::compose::{Banded, StrengthRow, StrengthTable, Supported};
use serde::Serialize;
use shell::prescription::Thickness;
use shell::{Detail, Device};
use strength::from_knowledge;
use strength::outcome::{Outcome, Sensitivity};
use strength::search::Reached;
use strength::{
    Demand, Found, Held, Material, PAGE_UNKNOWNS, PREVIEW_UNKNOWNS, Question, Report, Thicken,
    Trying, Walls, left_out, search_thickness_told,
};

/// Steps of some years of walking; fatigue figures of fewer are not taken. Common practice: a million steps
/// a year or more.
const CYCLES: f64 = 1e6;

/// One computation, kept with its order.
pub struct Computed {
    pub weight_kg: f64,
    pub material: Material,
    /// Stiffness that was taken, its band, and how it is known.
    pub stiffness: String,
    pub report: Report,
    sensitivity: Vec<Sensitivity>,
    left_out: String,
}

/// # Errors
/// A material without figures, or a device that cannot be computed, in one sentence.
pub fn computed(
    device: &Device,
    wish: &Wish,
    weight_kg: f64,
    knowledge: &Knowledge,
) -> Result<Computed, String> {
    computed_unless(device, wish, weight_kg, knowledge, &|| false)
}

/// [`computed`], until somebody stops it.
///
/// # Errors
/// As [`computed`], or a stop.
pub fn computed_unless(
    device: &Device,
    wish: &Wish,
    weight_kg: f64,
    knowledge: &Knowledge,
    stop: strength::Stop<'_>,
) -> Result<Computed, String> {
    if stop() {
        return Err(strength::StrengthError::Stopped.to_string());
    }
    let wanted = &wish.sheet.prescription;
    let known = knowledge
        .material(&wanted.shell.material)
        .ok_or_else(|| MATERIAL_UNKNOWN.to_owned())?;
    let said = |e: strength::StrengthError| e.to_string();
    let material = from_knowledge::material(known, CYCLES).map_err(said)?;
    let cases = from_knowledge::cases(knowledge.load_cases()).map_err(said)?;
    let bench = strength::Bench::new(Question {
        device,
        wanted,
        shell: &material,
        post: None,
        weight_kg,
        cases: &cases,
        unknowns: PAGE_UNKNOWNS,
    })
    .map_err(said)?
    .stopped_by(stop);
    let (report, sensitivity) = bench.report_and_sensitivity().map_err(said)?;
    let stiffness = stiffness_words(known);
    Ok(Computed {
        weight_kg,
        material,
        stiffness,
        report,
        sensitivity,
        left_out: left_out().join(" "),
    })
}

/// `modulus 1400 MPa, 1140 to 1720 MPa (read)`
pub(crate) fn stiffness_words(material: &knowledge::Material) -> String {
    material.bending_modulus().map_or_else(
        || "the layers' own constants, recalled".to_owned(),
        |m| {
            let number = |v: f64| quantity::written_short(v, 0);
            let band = m.band().map_or(String::new(), |[low, high]| {
                format!(", {} to {} MPa", number(low), number(high))
            });
            format!(
                "modulus {} MPa{band} ({})",
                m.usual().map_or("not known".to_owned(), number),
                m.provenance.words()
            )
        },
    )
}

/// One load case in one way of holding, as pages and files show it.
#[derive(Debug, Clone, Serialize)]
pub struct Row {
    pub case: String,
    pub title: String,
    pub held: &'static str,
    pub on_shell_n: f64,
    pub arch_drop_mm: f64,
    pub arch_drop_band_mm: Option<[f64; 2]>,
    pub stress_mpa: f64,
    pub place: String,
    pub safety: Option<f64>,
    pub safety_band: Option<[f64; 2]>,
    pub fatigue_safety: Option<f64>,
}

impl Computed {
    /// The same case over the band of the modulus.
    pub fn band(&self, outcome: &Outcome) -> Option<&Sensitivity> {
        self.sensitivity
            .iter()
            .find(|s| s.case == outcome.case && s.held == outcome.held)
    }

    /// Every case in every way of holding.
    pub fn rows(&self) -> Vec<Row> {
        self.report
            .outcomes
            .iter()
            .map(|o| Row {
                case: o.case.clone(),
                title: o.title.clone(),
                held: o.held.words(),
                on_shell_n: o.on_shell_n,
                arch_drop_mm: o.arch_drop_mm,
                arch_drop_band_mm: self.band(o).map(|s| {
                    let (low, high) = ends(s.arch_drop_mm);
                    [low, high]
                }),
                stress_mpa: o.worst.stress_mpa,
                place: o.worst.words.clone(),
                safety: o.safety,
                safety_band: self.safety(o).and_then(|s| s.band).map(|(l, h)| [l, h]),
                fatigue_safety: o.fatigue_safety,
            })
            .collect()
    }

    /// As a table with commas; what is not known is empty.
    pub fn csv(&self) -> String {
        let mut out = String::from(
            "case,title,held,load_on_shell_n,arch_drop_mm,arch_drop_low_mm,arch_drop_high_mm,highest_stress_mpa,place,safety,fatigue_safety\n",
        );
        let may = |v: Option<f64>, places| v.map_or(String::new(), |v| plain(v, places));
        let quoted = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
        for r in self.rows() {
            let fields = [
                r.case,
                quoted(&r.title),
                quoted(r.held),
                plain(r.on_shell_n, 1),
                plain(r.arch_drop_mm, 3),
                may(r.arch_drop_band_mm.map(|b| b[0]), 3),
                may(r.arch_drop_band_mm.map(|b| b[1]), 3),
                plain(r.stress_mpa, 3),
                quoted(&r.place),
                may(r.safety, 2),
                may(r.fatigue_safety, 2),
            ];
            out += &fields.join(",");
            out.push('\n');
        }
        out
    }

    /// A few lines for a terminal.
    pub fn text(&self) -> String {
        let number = |v: f64, places| quantity::written(v, places);
        let mut out = format!(
            "  strength under {} kg, {}, {}\n",
            quantity::written_short(self.weight_kg, 1),
            self.material.name,
            self.stiffness
        );
        for r in self.rows() {
            let safety = r.safety.map_or("safety not known".to_owned(), |s| {
                format!("safety {}", number(s, 1))
            });
            out += &format!(
                "    {} {}, {}: {} N on the shell, arch drops {} mm, stress up to {} MPa, {safety}\n",
                r.case,
                r.title,
                r.held,
                number(r.on_shell_n, 0),
                number(r.arch_drop_mm, 2),
                number(r.stress_mpa, 1),
            );
        }
        out
    }

    /// As the order sheet prints it.
    pub fn table(&self) -> StrengthTable<'_> {
        let supported = |case: &str, held: Held| {
            let found = self
                .report
                .outcomes
                .iter()
                .find(|o| o.case == case && o.held == held);
            found.map_or_else(Supported::default, |o| Supported {
                deflection_mm: Some(self.drop(o)),
                safety: self.safety(o),
            })
        };
        let mut cases: Vec<&Outcome> = Vec::new();
        for outcome in &self.report.outcomes {
            if cases.iter().all(|o| o.case != outcome.case) {
                cases.push(outcome);
            }
        }
        StrengthTable {
            weight_kg: self.weight_kg,
            stiffness: &self.stiffness,
            rows: cases
                .iter()
                .map(|o| StrengthRow {
                    case: &o.title,
                    load_n: o.on_shell_n,
                    free_to_slide: supported(&o.case, Held::Slides),
                    held: supported(&o.case, Held::Pinned),
                })
                .collect(),
            wanted_safety: None,
            flattening_mm: self
                .report
                .outcomes
                .iter()
                .find(|o| o.case == "L2" && o.held == Held::Slides)
                .map(|o| self.drop(o)),
            left_out: &self.left_out,
        }
    }

    fn drop(&self, o: &Outcome) -> Banded {
        Banded {
            value: o.arch_drop_mm,
            band: self.band(o).map(|s| ends(s.arch_drop_mm)),
        }
    }

    fn safety(&self, o: &Outcome) -> Option<Banded> {
        let allowable = self.material.allowable_mpa?;
        Some(Banded {
            value: o.safety?,
            band: self
                .band(o)
                .map(|s| ends(s.stress_mpa.map(|stress| allowable / stress.max(1e-9)))),
        })
    }
}

/// Least and most of the three.
pub fn ends(three: [f64; 3]) -> (f64, f64) {
    three
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(*v), h.max(*v))
        })
}

/// For files: a plain minus and point, whatever a page would print.
fn plain(value: f64, places: usize) -> String {
    format!("{value:.places$}")
}

/// What a wall has to do, and which wall may be changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// Most that the arch may drop under body weight, mm.
    pub arch_drop_mm: Option<f64>,
    /// Least factor between allowable and highest stress; taken only where the material has an allowable one.
    pub safety: Option<f64>,
    /// Thicken the arch alone.
    pub arch_only: bool,
}

/// The thinnest wall that meets what is wanted, from those that are sold or can be made; told in a sentence.
pub struct Thinnest {
    /// `None` where no wall meets it.
    pub thickness: Option<Thickness>,
    pub words: String,
}

/// Walls past this are no shells any more (own judgement).
const THICKEST_MM: f64 = 6.0;

/// Looks for the thinnest wall, standing on one leg and at the strike of the heel; `None` where `trying`
/// stopped it.
///
/// # Errors
/// As [`computed`].
pub fn thinnest(
    device: &Device,
    wish: &Wish,
    weight_kg: f64,
    wanted: Wanted,
    knowledge: &Knowledge,
    trying: Trying<'_>,
) -> Result<Option<Thinnest>, String> {
    let prescription = &wish.sheet.prescription;
    let known = knowledge
        .material(&prescription.shell.material)
        .ok_or_else(|| MATERIAL_UNKNOWN.to_owned())?;
    let said = |e: strength::StrengthError| e.to_string();
    let material = from_knowledge::material(known, CYCLES).map_err(said)?;
    let mut cases = from_knowledge::cases(knowledge.load_cases()).map_err(said)?;
    cases.retain(|c| SEARCHED.contains(&c.key.as_str()));
    let making = crate::making(knowledge, prescription);
    let walls = match &known.making.stock_mm {
        Some(stock) => Walls::Sheets(
            stock
                .thicknesses
                .iter()
                .copied()
                .filter(|t| *t >= making.least_wall_mm)
                .collect(),
        ),
        None => Walls::Between {
            least_mm: making.least_wall_mm,
            most_mm: THICKEST_MM,
        },
    };
    let demand = Demand {
        arch_drop_mm: wanted.arch_drop_mm,
        safety: material.allowable_mpa.and(wanted.safety),
    };
    let question = Question {
        device,
        wanted: prescription,
        shell: &material,
        post: None,
        weight_kg,
        cases: &cases,
        unknowns: PREVIEW_UNKNOWNS,
    };
    let thicken = if wanted.arch_only {
        Thicken::Arch
    } else {
        Thicken::All
    };
    let found = search_thickness_told(
        &question,
        Detail::PREVIEW.layout_mm,
        demand,
        thicken,
        &walls,
        trying,
    )
    .map_err(said)?;
    let Some(found) = found else {
        return Ok(None);
    };
    let number = |v: f64| quantity::written(v, 1);
    let reached = |r: &Reached| {
        let safety = r.safety.map_or(String::new(), |s| {
            format!(" and the least safety is {}", number(s))
        });
        format!(
            "with {} mm the arch drops {} mm{safety}",
            number(r.thickness_mm),
            number(r.arch_drop_mm)
        )
    };
    let of = if wanted.arch_only {
        "thickness of the arch"
    } else {
        "thickness"
    };
    Ok(Some(match found {
        Found::Meets {
            thickness,
            reached: r,
        } => Thinnest {
            thickness: Some(thickness),
            words: format!(
                "the least {of} that meets this is {} mm: {}; computed with a coarse net, look at the table with this wall",
                number(r.thickness_mm),
                reached(&r)
            ),
        },
        Found::Beyond { reached: r, .. } => Thinnest {
            thickness: None,
            words: format!(
                "found no {of} that meets this, since {}; choose a stiffer material, ask for less, or post it",
                reached(&r)
            ),
        },
    }))
}

/// Standing on one leg and the strike of the heel: what a wall is chosen by.
const SEARCHED: [&str; 2] = ["L2", "L3"];

const MATERIAL_UNKNOWN: &str = "found a material that is not in the knowledge folder; expected one with figures: choose another";
