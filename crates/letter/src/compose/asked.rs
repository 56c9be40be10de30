//! Every value of a prescription in words, beside what was measured on the file.
//!
//! What is not asked for is named in one line: an empty line could mean that nobody thought of it. What cannot
//! be seen on the file alone (a turn of the foot under the shell) says so and is never given as kept.

use super::order::{measured, millimetres};
use super::words;
use crate::document::Block;
use quantity::{Angle, Length, Unit, written_short};
use shell::Prescription;
use shell::measured::Dimension;
use shell::prescription::{
    ArchFill, Corrections, ForefootPost, InversionAxis, RearfootPost, ShellBody, Shoe, Thickness,
};

/// In the file a correction is part of the surface.
const IN_THE_SURFACE: &str = "in the surface";

pub(super) fn blocks(wanted: &Prescription, found: &[Dimension]) -> Vec<Block> {
    let mut rows = Rows {
        found,
        taken: vec![false; found.len()],
        rows: Vec::new(),
        absent: Vec::new(),
    };
    rows.corrections(&wanted.corrections);
    rows.shell(&wanted.shell);
    rows.head("Edges");
    rows.row("Rounding of every free edge", mm(wanted.edges.radius), "");
    rows.rearfoot_post(wanted.rearfoot_post.as_ref());
    rows.forefoot_post(wanted.forefoot_post.as_ref());
    rows.shoe(wanted.shoe.as_ref());
    rows.rest();
    let Rows { rows, absent, .. } = rows;
    let mut out = vec![Block::Table {
        caption: "What is asked for, and what was measured again on the written file".to_owned(),
        header: ["Dimension", "Asked for", "In the file"]
            .map(str::to_owned)
            .to_vec(),
        rows,
    }];
    if !absent.is_empty() {
        out.push(Block::Small {
            text: format!("Not asked for: {}.", terms::listed(&absent)),
        });
    }
    out
}

struct Rows<'a> {
    found: &'a [Dimension],
    taken: Vec<bool>,
    rows: Vec<Vec<String>>,
    absent: Vec<String>,
}

fn mm(length: Length) -> String {
    format!("{} mm", written_short(length.to_mm(), 2))
}

fn degrees(angle: Angle) -> String {
    format!("{}°", written_short(angle.to_degrees(), 2))
}

/// `4°, inner side raised`
fn raised(angle: Angle) -> String {
    let value = angle.to_degrees();
    let size = written_short(value.abs(), 2);
    if value > 0.0 {
        format!("{size}°, inner side raised")
    } else if value < 0.0 {
        format!("{size}°, outer side raised")
    } else {
        "0°, level".to_owned()
    }
}

impl Rows<'_> {
    fn head(&mut self, words: &str) {
        self.rows.push(vec![words.to_owned()]);
    }

    /// A row whose value was measured under a name; without one it is not seen on the file.
    fn row(&mut self, what: &str, asked: String, name: &str) {
        let in_file = if name.is_empty() {
            "not measured".to_owned()
        } else {
            self.in_file(name)
        };
        self.rows.push(vec![what.to_owned(), asked, in_file]);
    }

    fn in_file(&mut self, name: &str) -> String {
        match self.found.iter().position(|d| d.what == name) {
            Some(at) => {
                self.taken[at] = true;
                said(&self.found[at])
            }
            None => "not measured".to_owned(),
        }
    }

    fn in_surface(&mut self, what: &str, asked: String) {
        self.rows
            .push(vec![what.to_owned(), asked, IN_THE_SURFACE.to_owned()]);
    }

    fn corrections(&mut self, wanted: &Corrections) {
        self.head("Corrections of the positive");
        match wanted.inversion {
            Some(turn) => {
                let axis = match turn.about {
                    InversionAxis::Long => "about the long axis".to_owned(),
                    InversionAxis::Oblique {
                        inclination,
                        inward,
                    } => format!(
                        "about an axis rising {} and turned inward {}",
                        degrees(inclination),
                        degrees(inward)
                    ),
                };
                self.in_surface(
                    "Inversion of the rearfoot",
                    format!("{}, {axis}", degrees(turn.angle)),
                );
            }
            None => self.absent.push("inversion of the rearfoot".into()),
        }
        match wanted.forefoot_balance {
            Some(angle) => self.in_surface("Forefoot balance", raised(angle)),
            None => self.absent.push("forefoot balance".into()),
        }
        let fill = match wanted.arch_fill {
            ArchFill::Minimal => "minimal",
            ArchFill::Standard => "standard",
            ArchFill::Maximal => "maximal",
        };
        self.in_surface("Arch fill", fill.to_owned());
        match wanted.skive {
            Some(skive) => {
                let clip = if skive.clipped {
                    ", inner half only"
                } else {
                    ""
                };
                self.row(
                    "Medial heel skive, depth",
                    format!("{}{clip}", mm(skive.depth)),
                    "skive's depth",
                );
                self.row(
                    "Medial heel skive, angle",
                    degrees(skive.angle),
                    "skive's angle",
                );
            }
            None => self.absent.push("medial heel skive".into()),
        }
        match wanted.heel_expansion {
            Some(wider) => self.in_surface("Heel expansion, both sides together", mm(wider)),
            None => self.absent.push("heel expansion".into()),
        }
        match wanted.fascia_groove {
            Some(groove) => self.in_surface(
                "Plantar-fascia groove",
                format!("{} deep, {} wide", mm(groove.depth), mm(groove.width)),
            ),
            None => self.absent.push("plantar-fascia groove".into()),
        }
        match wanted.navicular_relief {
            Some(relief) => {
                let mut asked = format!("{} deep, radius {}", mm(relief.depth), mm(relief.radius));
                for (shift, way) in [(relief.forward, "forward"), (relief.upward, "upward")] {
                    if let Some(shift) = shift {
                        asked.push_str(&format!(", {} {way}", mm(shift)));
                    }
                }
                self.in_surface("Navicular relief", asked);
            }
            None => self.absent.push("navicular relief".into()),
        }
        if wanted.first_ray_cut_out {
            self.in_surface("First-ray cut-out", "yes".to_owned());
        } else {
            self.absent.push("first-ray cut-out".into());
        }
    }

    fn shell(&mut self, wanted: &ShellBody) {
        self.head("Shell");
        match wanted.thickness {
            Thickness::Uniform { all } => {
                self.row("Thickness, everywhere", mm(all), "shell's thickness")
            }
            Thickness::ThickerArch { arch, rest } => {
                self.row("Thickness at the arch", mm(arch), "thickness at the arch");
                self.row("Thickness elsewhere", mm(rest), "shell's thickness");
            }
        }
        self.row(
            "Heel cup, depth",
            mm(wanted.heel_cup_depth),
            "heel cup's depth",
        );
        self.row(
            "Front edge behind the metatarsal heads",
            mm(wanted.behind_heads),
            "front edge behind the heads",
        );
        for (what, flange, name) in [
            (
                "Inner rim at the navicular",
                wanted.medial_flange,
                "inner rim at the navicular above the ground",
            ),
            (
                "Outer rim at the navicular",
                wanted.lateral_flange,
                "outer rim at the navicular above the ground",
            ),
        ] {
            let asked =
                flange.map_or_else(|| "no flange".to_owned(), |h| format!("flange, {}", mm(h)));
            self.row(what, asked, name);
        }
        for edit in &wanted.trim {
            let way = if edit.outward.to_mm() < 0.0 {
                "inward"
            } else {
                "outward"
            };
            let asked = format!("{} mm {way}", written_short(edit.outward.to_mm().abs(), 1));
            let what = format!(
                "Trim line moved at station {}",
                written_short(edit.station, 2)
            );
            self.in_surface(&what, asked);
        }
    }

    fn rearfoot_post(&mut self, wanted: Option<&RearfootPost>) {
        let Some(post) = wanted else {
            self.absent.push("rearfoot post".into());
            return;
        };
        self.head("Rearfoot post");
        self.row("Angle", raised(post.angle), "rearfoot post");
        self.row(
            "Length from the rear edge",
            mm(post.length),
            "rearfoot post's length",
        );
        self.row(
            "Bevel of its sides",
            degrees(post.bevel),
            "rearfoot post's bevel",
        );
        self.row("Heel lift", mm(post.lift), "heel lift");
        self.body(post.separate);
    }

    fn body(&mut self, separate: bool) {
        let words = if separate {
            "a solid of its own"
        } else {
            "one piece with the shell"
        };
        self.rows
            .push(vec!["Made as".into(), words.into(), "–".into()]);
    }

    fn forefoot_post(&mut self, wanted: Option<&ForefootPost>) {
        let Some(post) = wanted else {
            self.absent.push("forefoot post".into());
            return;
        };
        self.head("Forefoot post");
        self.row("Angle", raised(post.angle), "forefoot post");
        self.row(
            "Length from the front edge",
            mm(post.length),
            "forefoot post's length",
        );
        self.body(post.separate);
    }

    fn shoe(&mut self, wanted: Option<&Shoe>) {
        let Some(shoe) = wanted else { return };
        self.head("Inside of the shoe");
        self.rows.push(vec![
            "Width at the heel".into(),
            mm(shoe.heel_width),
            "–".into(),
        ]);
        self.rows.push(vec![
            "Width at the ball".into(),
            mm(shoe.ball_width),
            "–".into(),
        ]);
        if let Some(height) = shoe.toe_box_height {
            self.rows
                .push(vec!["Height over the toes".into(), mm(height), "–".into()]);
        }
    }

    /// What was measured and stands in no row yet.
    fn rest(&mut self) {
        let rest: Vec<&Dimension> = self
            .found
            .iter()
            .zip(&self.taken)
            .filter(|(_, taken)| !**taken)
            .map(|(d, _)| d)
            .collect();
        if rest.is_empty() {
            return;
        }
        self.head("As it comes out");
        for d in rest {
            let asked = d.asked.map_or_else(
                || "–".to_owned(),
                |a| format!("{}{}", written_short(a, 2), d.unit.suffix()),
            );
            self.rows.push(vec![words::capital(d.what), asked, said(d)]);
        }
    }
}

/// A measured value; one that is not as asked says so.
fn said(dimension: &Dimension) -> String {
    let value = if dimension.unit == Unit::Millimetre && dimension.asked.is_none() {
        millimetres(dimension.found)
    } else {
        measured(dimension)
    };
    if dimension.kept() {
        value
    } else {
        format!("{value}, differs")
    }
}
