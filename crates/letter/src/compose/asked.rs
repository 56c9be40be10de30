//! Every value of a prescription in words, beside what was measured on the file.
//!
//! What is not asked for is named in one line: an empty line could mean that nobody thought of it. What cannot
//! be seen on the file alone (a turn of the foot under the shell) says so and is never given as kept.

use super::order::{measured, millimetres};
use super::words;
use crate::document::Block;
use crate::words::{Words, say};
use quantity::{Angle, Length, Unit, written_short};
use shell::Prescription;
use shell::measured::Dimension;
use shell::prescription::{
    ArchFill, Corrections, ForefootPost, InversionAxis, RearfootPost, ShellBody, Shoe, Thickness,
};

/// What is neither asked for nor measured.
const NOTHING: &str = "–";

pub(super) fn blocks(w: &Words, wanted: &Prescription, found: &[Dimension]) -> Vec<Block> {
    let mut rows = Rows {
        w,
        found,
        taken: vec![false; found.len()],
        rows: Vec::new(),
        absent: Vec::new(),
    };
    rows.corrections(&wanted.corrections);
    rows.shell(&wanted.shell);
    rows.head("asked-edges");
    rows.row("asked-edge-rounding", mm(w, wanted.edges.radius), "");
    rows.rearfoot_post(wanted.rearfoot_post.as_ref());
    rows.forefoot_post(wanted.forefoot_post.as_ref());
    rows.shoe(wanted.shoe.as_ref());
    rows.rest();
    let Rows { rows, absent, .. } = rows;
    let mut out = vec![Block::Table {
        caption: say!(w, "dimensions-caption"),
        header: ["head-dimension", "head-asked-for", "head-in-the-file"]
            .map(|key| say!(w, key))
            .to_vec(),
        rows,
    }];
    if !absent.is_empty() {
        out.push(Block::Small {
            text: say!(w, "asked-not", parts = w.listed(&absent)),
        });
    }
    out
}

struct Rows<'a> {
    w: &'a Words,
    found: &'a [Dimension],
    taken: Vec<bool>,
    rows: Vec<Vec<String>>,
    absent: Vec<String>,
}

fn mm(w: &Words, length: Length) -> String {
    format!("{} mm", w.figures(&written_short(length.to_mm(), 2)))
}

fn degrees(w: &Words, angle: Angle) -> String {
    format!("{}°", w.figures(&written_short(angle.to_degrees(), 2)))
}

/// `4°, inner side raised`
fn raised(w: &Words, angle: Angle) -> String {
    let value = angle.to_degrees();
    let size = w.figures(&written_short(value.abs(), 2));
    if value > 0.0 {
        say!(w, "asked-inner-raised", angle = size)
    } else if value < 0.0 {
        say!(w, "asked-outer-raised", angle = size)
    } else {
        say!(w, "asked-level")
    }
}

impl Rows<'_> {
    fn head(&mut self, key: &str) {
        self.rows.push(vec![say!(self.w, key)]);
    }

    /// A row whose value was measured under a name; without one it is not seen on the file.
    fn row(&mut self, what: &str, asked: String, name: &str) {
        let in_file = if name.is_empty() {
            say!(self.w, "not-measured")
        } else {
            self.in_file(name)
        };
        self.rows.push(vec![say!(self.w, what), asked, in_file]);
    }

    fn in_file(&mut self, name: &str) -> String {
        match self.found.iter().position(|d| d.what == name) {
            Some(at) => {
                self.taken[at] = true;
                said(self.w, &self.found[at])
            }
            None => say!(self.w, "not-measured"),
        }
    }

    fn in_surface(&mut self, what: &str, asked: String) {
        let what = say!(self.w, what);
        self.in_surface_named(what, asked);
    }

    /// In the file a correction is part of the surface.
    fn in_surface_named(&mut self, what: String, asked: String) {
        self.rows
            .push(vec![what, asked, say!(self.w, "in-the-surface")]);
    }

    fn absent(&mut self, key: &str) {
        self.absent.push(say!(self.w, key));
    }

    fn corrections(&mut self, wanted: &Corrections) {
        let w = self.w;
        self.head("asked-corrections");
        match wanted.inversion {
            Some(turn) => {
                let axis = match turn.about {
                    InversionAxis::Long => say!(w, "asked-long-axis"),
                    InversionAxis::Oblique {
                        inclination,
                        inward,
                    } => say!(
                        w,
                        "asked-oblique-axis",
                        rise = degrees(w, inclination),
                        inward = degrees(w, inward)
                    ),
                };
                self.in_surface(
                    "asked-inversion",
                    format!("{}, {axis}", degrees(w, turn.angle)),
                );
            }
            None => self.absent("asked-inversion-absent"),
        }
        match wanted.forefoot_balance {
            Some(angle) => self.in_surface("asked-balance", raised(w, angle)),
            None => self.absent("asked-balance-absent"),
        }
        let fill = match wanted.arch_fill {
            ArchFill::Minimal => "asked-fill-minimal",
            ArchFill::Standard => "asked-fill-standard",
            ArchFill::Maximal => "asked-fill-maximal",
        };
        self.in_surface("asked-fill", say!(w, fill));
        match wanted.skive {
            Some(skive) => {
                let depth = mm(w, skive.depth);
                let depth = if skive.clipped {
                    say!(w, "asked-skive-clipped", depth = depth)
                } else {
                    depth
                };
                self.row("asked-skive-depth", depth, "skive's depth");
                self.row(
                    "asked-skive-angle",
                    degrees(w, skive.angle),
                    "skive's angle",
                );
            }
            None => self.absent("asked-skive-absent"),
        }
        match wanted.heel_expansion {
            Some(wider) => self.in_surface("asked-expansion", mm(w, wider)),
            None => self.absent("asked-expansion-absent"),
        }
        match wanted.fascia_groove {
            Some(groove) => self.in_surface(
                "asked-groove",
                say!(
                    w,
                    "asked-groove-size",
                    depth = mm(w, groove.depth),
                    width = mm(w, groove.width)
                ),
            ),
            None => self.absent("asked-groove-absent"),
        }
        match wanted.navicular_relief {
            Some(relief) => {
                let mut asked = say!(
                    w,
                    "asked-relief-size",
                    depth = mm(w, relief.depth),
                    radius = mm(w, relief.radius)
                );
                for (shift, way) in [
                    (relief.forward, "asked-relief-forward"),
                    (relief.upward, "asked-relief-upward"),
                ] {
                    if let Some(shift) = shift {
                        asked.push_str(", ");
                        asked.push_str(&say!(w, way, shift = mm(w, shift)));
                    }
                }
                self.in_surface("asked-relief", asked);
            }
            None => self.absent("asked-relief-absent"),
        }
        if wanted.first_ray_cut_out {
            self.in_surface("asked-first-ray", say!(w, "yes"));
        } else {
            self.absent("asked-first-ray-absent");
        }
    }

    fn shell(&mut self, wanted: &ShellBody) {
        let w = self.w;
        self.head("asked-shell");
        match wanted.thickness {
            Thickness::Uniform { all } => {
                self.row("asked-thickness", mm(w, all), "shell's thickness")
            }
            Thickness::ThickerArch { arch, rest } => {
                self.row("asked-thickness-arch", mm(w, arch), "thickness at the arch");
                self.row("asked-thickness-rest", mm(w, rest), "shell's thickness");
            }
        }
        self.row(
            "asked-heel-cup",
            mm(w, wanted.heel_cup_depth),
            "heel cup's depth",
        );
        self.row(
            "asked-front-edge",
            mm(w, wanted.behind_heads),
            "front edge behind the heads",
        );
        for (what, flange, name) in [
            (
                "asked-inner-rim",
                wanted.medial_flange,
                "inner rim at the navicular above the ground",
            ),
            (
                "asked-outer-rim",
                wanted.lateral_flange,
                "outer rim at the navicular above the ground",
            ),
        ] {
            let asked = flange.map_or_else(
                || say!(w, "asked-no-flange"),
                |h| say!(w, "asked-flange", height = mm(w, h)),
            );
            self.row(what, asked, name);
        }
        for edit in &wanted.trim {
            let way = if edit.outward.to_mm() < 0.0 {
                "asked-trim-inward"
            } else {
                "asked-trim-outward"
            };
            let shift = w.figures(&written_short(edit.outward.to_mm().abs(), 1));
            let what = say!(
                w,
                "asked-trim",
                station = w.figures(&written_short(edit.station, 2))
            );
            self.in_surface_named(what, say!(w, way, shift = shift));
        }
    }

    fn rearfoot_post(&mut self, wanted: Option<&RearfootPost>) {
        let Some(post) = wanted else {
            self.absent("asked-rearfoot-post-absent");
            return;
        };
        let w = self.w;
        self.head("asked-rearfoot-post");
        self.row("asked-angle", raised(w, post.angle), "rearfoot post");
        self.row(
            "asked-rear-length",
            mm(w, post.length),
            "rearfoot post's length",
        );
        self.row(
            "asked-bevel",
            degrees(w, post.bevel),
            "rearfoot post's bevel",
        );
        self.row("asked-heel-lift", mm(w, post.lift), "heel lift");
        self.body(post.separate);
    }

    fn body(&mut self, separate: bool) {
        let key = if separate {
            "asked-own-solid"
        } else {
            "asked-one-piece"
        };
        let said = say!(self.w, key);
        self.not_in_file("asked-made-as", said);
    }

    /// A row that no measuring of the file could fill.
    fn not_in_file(&mut self, what: &str, asked: String) {
        self.rows
            .push(vec![say!(self.w, what), asked, NOTHING.to_owned()]);
    }

    fn forefoot_post(&mut self, wanted: Option<&ForefootPost>) {
        let Some(post) = wanted else {
            self.absent("asked-forefoot-post-absent");
            return;
        };
        let w = self.w;
        self.head("asked-forefoot-post");
        self.row("asked-angle", raised(w, post.angle), "forefoot post");
        self.row(
            "asked-front-length",
            mm(w, post.length),
            "forefoot post's length",
        );
        self.body(post.separate);
    }

    fn shoe(&mut self, wanted: Option<&Shoe>) {
        let Some(shoe) = wanted else { return };
        let w = self.w;
        self.head("asked-shoe");
        self.not_in_file("asked-shoe-heel", mm(w, shoe.heel_width));
        self.not_in_file("asked-shoe-ball", mm(w, shoe.ball_width));
        if let Some(height) = shoe.toe_box_height {
            self.not_in_file("asked-shoe-toes", mm(w, height));
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
        let w = self.w;
        self.head("asked-as-it-comes-out");
        for d in rest {
            let asked = d.asked.map_or_else(
                || NOTHING.to_owned(),
                |a| format!("{}{}", w.figures(&written_short(a, 2)), d.unit.suffix()),
            );
            let what = words::capital(&w.said(d.what));
            self.rows.push(vec![what, asked, said(w, d)]);
        }
    }
}

/// A measured value; one that is not as asked says so.
fn said(w: &Words, dimension: &Dimension) -> String {
    let value = if dimension.unit == Unit::Millimetre && dimension.asked.is_none() {
        millimetres(w, dimension.found)
    } else {
        measured(w, dimension)
    };
    if dimension.kept() {
        value
    } else {
        say!(w, "asked-differs", value = value)
    }
}
