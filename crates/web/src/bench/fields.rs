//! The table of an order's values: key, label, unit, and the way to and from the prescription.
//!
//! A part of something optional (a skive's angle) cannot be given without it; it is refused with a sentence,
//! never dropped.

use ::shell::prescription::{
    ArchFill, FasciaGroove, ForefootPost, Inversion, InversionAxis, NavicularRelief, RearfootPost,
    Shoe, Skive, Thickness,
};
use care::orthosis::Making;
use quantity::{Angle, Length};
use workshop::sheet::Sheet;

/// In the order a maker works.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// What was found by hand and decides what can be asked of the device.
    Found,
    Corrections,
    Shell,
    Shoe,
    Post,
    Edges,
}

/// What kind of input it is, and its way to and from the sheet.
#[derive(Clone, Copy)]
pub enum Kind {
    Number {
        get: fn(&Sheet) -> Option<f64>,
        set: fn(&mut Sheet, Option<f64>) -> Result<(), &'static str>,
    },
    Choice {
        choices: &'static [(&'static str, &'static str)],
        get: fn(&Sheet) -> &'static str,
        set: fn(&mut Sheet, &str) -> Result<(), &'static str>,
    },
    /// A key of the knowledge folder's materials.
    Material,
}

#[derive(Clone, Copy)]
pub struct Field {
    pub key: &'static str,
    pub label: &'static str,
    pub unit: &'static str,
    pub group: Group,
    pub kind: Kind,
    pub hint: &'static str,
}

const NEEDED: &str = "an empty field; expected a number: give one, the device needs it";
const NO_YES: &[(&str, &str)] = &[("no", "no"), ("yes", "yes")];
const KNOWN: &[(&str, &str)] = &[("", "not said"), ("no", "no"), ("yes", "yes")];

fn no_yes(value: bool) -> &'static str {
    if value { "yes" } else { "no" }
}

fn known(value: Option<bool>) -> &'static str {
    value.map_or("", no_yes)
}

fn said(text: &str) -> Result<Option<bool>, &'static str> {
    match text {
        "" => Ok(None),
        "no" => Ok(Some(false)),
        "yes" => Ok(Some(true)),
        _ => Err("an answer that is neither yes nor no; expected one of both, or none"),
    }
}

/// A length that the device needs.
macro_rules! needed {
    ($($path:ident).+, $unit:ident, $read:ident) => {
        Kind::Number {
            get: |s| Some(s.prescription.$($path).+.$read()),
            set: |s, v| {
                s.prescription.$($path).+ = $unit(v.ok_or(NEEDED)?);
                Ok(())
            },
        }
    };
}

/// A value that may be left out.
macro_rules! may {
    ($($path:ident).+, $unit:ident, $read:ident) => {
        Kind::Number {
            get: |s| s.prescription.$($path).+.map(|v| v.$read()),
            set: |s, v| {
                s.prescription.$($path).+ = v.map($unit);
                Ok(())
            },
        }
    };
}

/// A value within something that is there or not; without it, it has nothing to belong to.
macro_rules! part {
    ($($path:ident).+ => $part:ident, $unit:ident, $read:ident, $usual:expr, $missing:expr) => {
        Kind::Number {
            get: |s| s.prescription.$($path).+.as_ref().map(|x| x.$part.$read()),
            set: |s, v| match (&mut s.prescription.$($path).+, v) {
                (Some(x), v) => {
                    x.$part = v.map_or($usual, $unit);
                    Ok(())
                }
                (None, None) => Ok(()),
                (None, Some(_)) => Err($missing),
            },
        }
    };
}

/// A yes or no of the order form that may be open.
macro_rules! asked {
    ($part:ident) => {
        Kind::Choice {
            choices: KNOWN,
            get: |s| known(s.asked.$part),
            set: |s, text| {
                s.asked.$part = said(text)?;
                Ok(())
            },
        }
    };
}

const fn mm(v: f64) -> Length {
    Length::mm(v)
}
const fn deg(v: f64) -> Angle {
    Angle::degrees(v)
}

const NO_INVERSION: &str =
    "a tilt of the axis without an inversion; expected both: give the inversion's degrees first";
const NO_SKIVE: &str = "a skive's angle without its depth; expected both: give the depth first";
const NO_GROOVE: &str = "a groove's width without its depth; expected both: give the depth first";
const NO_REARFOOT: &str = "a measure of the rearfoot post without its angle; expected both: give the angle first (0 is level)";
const NO_FOREFOOT: &str = "a measure of the forefoot post without its angle; expected both: give the angle first (0 is level)";

/// A way to own a post, in the words of the form.
const OF_ITS_OWN: &[(&str, &str)] = &[("no", "of one piece"), ("yes", "a body of its own")];

// One value, one row.
#[rustfmt::skip]
pub const FIELDS: &[Field] = &[
    // What the hand finds.
    Field {
        key: "passive_inversion",
        label: "Heel turns in by hand, from where it stands",
        unit: "°",
        group: Group::Found,
        hint: "No post and no inversion goes beyond it.",
        kind: Kind::Number {
            get: |s| s.asked.passive_inversion.map(Angle::to_degrees),
            set: |s, v| {
                s.asked.passive_inversion = v.map(deg);
                Ok(())
            },
        },
    },
    Field { key: "resists_turning_in", label: "Resists being turned in", unit: "", group: Group::Found, hint: "", kind: asked!(resists_turning_in) },
    Field { key: "more_control", label: "More control wanted than usual", unit: "", group: Group::Found, hint: "", kind: asked!(more_control) },
    Field { key: "axis_far_inward", label: "Subtalar axis far to the inner side", unit: "", group: Group::Found, hint: "", kind: asked!(axis_far_inward) },
    Field { key: "turning_in_tolerated", label: "Turning in is tolerated", unit: "", group: Group::Found, hint: "", kind: asked!(turning_in_tolerated) },
    Field { key: "cuneiform_on_floor", label: "Inner cuneiform stands on the floor", unit: "", group: Group::Found, hint: "", kind: asked!(cuneiform_on_floor) },
    Field { key: "thin_heel_pad", label: "Thin heel pad", unit: "", group: Group::Found, hint: "", kind: asked!(thin_heel_pad) },
    Field { key: "pressure_checked", label: "Pressure will be measured, the device lined, the skin looked at daily", unit: "", group: Group::Found, hint: "", kind: asked!(pressure_checked) },
    Field {
        key: "making",
        label: "Made by",
        unit: "",
        group: Group::Found,
        hint: "",
        kind: Kind::Choice {
            choices: &[("", "not said"), ("printed", "printing"), ("formed", "forming over a positive")],
            get: |s| match s.asked.making {
                None => "",
                Some(Making::Printed) => "printed",
                Some(Making::Formed) => "formed",
            },
            set: |s, text| {
                s.asked.making = match text {
                    "" => None,
                    "printed" => Some(Making::Printed),
                    "formed" => Some(Making::Formed),
                    _ => return Err("another way of making; expected printing or forming"),
                };
                Ok(())
            },
        },
    },
    // Corrections of the positive.
    Field {
        key: "inversion",
        label: "Rearfoot inversion",
        unit: "°",
        group: Group::Corrections,
        hint: "Turns the inner side of the heel up before the shell is laid on. Empty: none.",
        kind: Kind::Number {
            get: |s| s.prescription.corrections.inversion.map(|i| i.angle.to_degrees()),
            set: |s, v| {
                let now = &mut s.prescription.corrections.inversion;
                *now = v.map(|v| Inversion {
                    angle: deg(v),
                    about: now.map(|i| i.about).unwrap_or_default(),
                });
                Ok(())
            },
        },
    },
    Field {
        key: "inversion_rise",
        label: "Its axis rises by",
        unit: "°",
        group: Group::Corrections,
        hint: "Empty: level, along the foot.",
        kind: Kind::Number {
            get: |s| axis(s).map(|(rise, _)| rise.to_degrees()),
            set: |s, v| set_axis(s, v, None),
        },
    },
    Field {
        key: "inversion_inward",
        label: "and points inward by",
        unit: "°",
        group: Group::Corrections,
        hint: "",
        kind: Kind::Number {
            get: |s| axis(s).map(|(_, inward)| inward.to_degrees()),
            set: |s, v| set_axis(s, None, v),
        },
    },
    Field { key: "forefoot_balance", label: "Forefoot balance", unit: "°", group: Group::Corrections, hint: "Turns the forefoot against the rearfoot, inner side up. Empty: as captured.", kind: may!(corrections.forefoot_balance, deg, to_degrees) },
    Field {
        key: "arch_fill",
        label: "Arch fill",
        unit: "",
        group: Group::Corrections,
        hint: "",
        kind: Kind::Choice {
            choices: &[("minimal", "minimal"), ("standard", "standard"), ("maximal", "maximal")],
            get: |s| match s.prescription.corrections.arch_fill {
                ArchFill::Minimal => "minimal",
                ArchFill::Standard => "standard",
                ArchFill::Maximal => "maximal",
            },
            set: |s, text| {
                s.prescription.corrections.arch_fill = match text {
                    "minimal" => ArchFill::Minimal,
                    "standard" => ArchFill::Standard,
                    "maximal" => ArchFill::Maximal,
                    _ => return Err("another arch fill; expected minimal, standard or maximal"),
                };
                Ok(())
            },
        },
    },
    Field {
        key: "skive_depth",
        label: "Medial heel skive, depth",
        unit: "mm",
        group: Group::Corrections,
        hint: "Empty: none.",
        kind: Kind::Number {
            get: |s| s.prescription.corrections.skive.map(|k| k.depth.to_mm()),
            set: |s, v| {
                let now = &mut s.prescription.corrections.skive;
                *now = v.map(|v| Skive {
                    depth: mm(v),
                    angle: now.map_or(Skive::usual_angle(), |k| k.angle),
                    clipped: now.is_some_and(|k| k.clipped),
                });
                Ok(())
            },
        },
    },
    Field { key: "skive_angle", label: "Its angle to the ground", unit: "°", group: Group::Corrections, hint: "15° unless said.", kind: part!(corrections.skive => angle, deg, to_degrees, Skive::usual_angle(), NO_SKIVE) },
    Field {
        key: "skive_clipped",
        label: "Cut the inner side only",
        unit: "",
        group: Group::Corrections,
        hint: "",
        kind: Kind::Choice {
            choices: NO_YES,
            get: |s| no_yes(s.prescription.corrections.skive.is_some_and(|k| k.clipped)),
            set: |s, text| {
                let clipped = said(text)? == Some(true);
                if let Some(skive) = &mut s.prescription.corrections.skive {
                    skive.clipped = clipped;
                }
                Ok(())
            },
        },
    },
    Field { key: "heel_expansion", label: "Heel widened by", unit: "mm", group: Group::Corrections, hint: "Both sides together. Empty: as captured.", kind: may!(corrections.heel_expansion, mm, to_mm) },
    Field {
        key: "groove_depth",
        label: "Groove for the fascia, depth",
        unit: "mm",
        group: Group::Corrections,
        hint: "Empty: none.",
        kind: Kind::Number {
            get: |s| s.prescription.corrections.fascia_groove.map(|g| g.depth.to_mm()),
            set: |s, v| {
                let now = &mut s.prescription.corrections.fascia_groove;
                *now = v.map(|v| FasciaGroove {
                    depth: mm(v),
                    width: now.map_or(mm(12.0), |g| g.width),
                });
                Ok(())
            },
        },
    },
    Field { key: "groove_width", label: "Its width", unit: "mm", group: Group::Corrections, hint: "12 mm unless said.", kind: part!(corrections.fascia_groove => width, mm, to_mm, mm(12.0), NO_GROOVE) },
    Field {
        key: "relief_depth",
        label: "Navicular relief, depth",
        unit: "mm",
        group: Group::Corrections,
        hint: "Empty: none.",
        kind: Kind::Number {
            get: |s| s.prescription.corrections.navicular_relief.map(|r| r.depth.to_mm()),
            set: |s, v| {
                let now = &mut s.prescription.corrections.navicular_relief;
                *now = v.map(|v| NavicularRelief {
                    depth: mm(v),
                    radius: now.map_or(mm(15.0), |r| r.radius),
                    forward: now.and_then(|r| r.forward),
                    upward: now.and_then(|r| r.upward),
                });
                Ok(())
            },
        },
    },
    Field { key: "relief_radius", label: "Its radius", unit: "mm", group: Group::Corrections, hint: "15 mm unless said.", kind: part!(corrections.navicular_relief => radius, mm, to_mm, mm(15.0), "a relief's radius without its depth; expected both: give the depth first") },
    Field { key: "relief_forward", label: "forward of the navicular", unit: "mm", group: Group::Corrections, hint: "", kind: Kind::Number { get: |s| s.prescription.corrections.navicular_relief?.forward.map(Length::to_mm), set: |s, v| relief(s, v, |r, v| r.forward = v) } },
    Field { key: "relief_upward", label: "above the navicular", unit: "mm", group: Group::Corrections, hint: "", kind: Kind::Number { get: |s| s.prescription.corrections.navicular_relief?.upward.map(Length::to_mm), set: |s, v| relief(s, v, |r, v| r.upward = v) } },
    Field {
        key: "cut_out",
        label: "First-ray cut-out",
        unit: "",
        group: Group::Corrections,
        hint: "",
        kind: Kind::Choice {
            choices: NO_YES,
            get: |s| no_yes(s.prescription.corrections.first_ray_cut_out),
            set: |s, text| {
                s.prescription.corrections.first_ray_cut_out = said(text)? == Some(true);
                Ok(())
            },
        },
    },
    // The shell itself.
    Field { key: "material", label: "Material", unit: "", group: Group::Shell, hint: "", kind: Kind::Material },
    Field {
        key: "thickness",
        label: "Thickness",
        unit: "mm",
        group: Group::Shell,
        hint: "",
        kind: Kind::Number {
            get: |s| Some(match s.prescription.shell.thickness {
                Thickness::Uniform { all } => all.to_mm(),
                Thickness::ThickerArch { rest, .. } => rest.to_mm(),
            }),
            set: |s, v| {
                let v = mm(v.ok_or(NEEDED)?);
                match &mut s.prescription.shell.thickness {
                    Thickness::Uniform { all } => *all = v,
                    Thickness::ThickerArch { rest, .. } => *rest = v,
                }
                Ok(())
            },
        },
    },
    Field {
        key: "thickness_arch",
        label: "Thickness of the arch",
        unit: "mm",
        group: Group::Shell,
        hint: "Empty: the same everywhere.",
        kind: Kind::Number {
            get: |s| match s.prescription.shell.thickness {
                Thickness::Uniform { .. } => None,
                Thickness::ThickerArch { arch, .. } => Some(arch.to_mm()),
            },
            set: |s, v| {
                let now = &mut s.prescription.shell.thickness;
                let rest = match *now {
                    Thickness::Uniform { all } => all,
                    Thickness::ThickerArch { rest, .. } => rest,
                };
                *now = match v {
                    None => Thickness::Uniform { all: rest },
                    Some(v) => Thickness::ThickerArch { arch: mm(v), rest },
                };
                Ok(())
            },
        },
    },
    Field { key: "heel_cup", label: "Heel cup depth", unit: "mm", group: Group::Shell, hint: "Rim above the lowest skin of the heel.", kind: needed!(shell.heel_cup_depth, mm, to_mm) },
    Field { key: "behind_heads", label: "Front edge behind the heads", unit: "mm", group: Group::Shell, hint: "", kind: needed!(shell.behind_heads, mm, to_mm) },
    Field { key: "medial_flange", label: "Inner flange, rim above the ground", unit: "mm", group: Group::Shell, hint: "Empty: none.", kind: may!(shell.medial_flange, mm, to_mm) },
    Field { key: "lateral_flange", label: "Outer flange, rim above the ground", unit: "mm", group: Group::Shell, hint: "Empty: none.", kind: may!(shell.lateral_flange, mm, to_mm) },
    // The shoe.
    Field {
        key: "shoe_heel",
        label: "Shoe inside, width at the heel",
        unit: "mm",
        group: Group::Shoe,
        hint: "Empty: no shoe is checked.",
        kind: Kind::Number {
            get: |s| s.prescription.shoe.map(|x| x.heel_width.to_mm()),
            set: |s, v| {
                let now = &mut s.prescription.shoe;
                *now = v.map(|v| Shoe {
                    heel_width: mm(v),
                    // Refused by `values::apply` unless it is given too.
                    ball_width: now.map_or(mm(f64::NAN), |x| x.ball_width),
                    toe_box_height: now.and_then(|x| x.toe_box_height),
                });
                Ok(())
            },
        },
    },
    Field {
        key: "shoe_ball",
        label: "width at the ball",
        unit: "mm",
        group: Group::Shoe,
        hint: "",
        kind: Kind::Number {
            get: |s| s.prescription.shoe.map(|x| x.ball_width.to_mm()).filter(|v| v.is_finite()),
            set: |s, v| match (&mut s.prescription.shoe, v) {
                (Some(shoe), Some(v)) => {
                    shoe.ball_width = mm(v);
                    Ok(())
                }
                (None, None) => Ok(()),
                (Some(_), None) => Err("a shoe without its width at the ball; expected both widths: measure it, or take the other out"),
                (None, Some(_)) => Err("a shoe without its width at the heel; expected both widths: measure it, or take the other out"),
            },
        },
    },
    Field {
        key: "toe_box",
        label: "height over the toes",
        unit: "mm",
        group: Group::Shoe,
        hint: "",
        kind: Kind::Number {
            get: |s| s.prescription.shoe?.toe_box_height.map(Length::to_mm),
            set: |s, v| match (&mut s.prescription.shoe, v) {
                (Some(shoe), v) => {
                    shoe.toe_box_height = v.map(mm);
                    Ok(())
                }
                (None, None) => Ok(()),
                (None, Some(_)) => Err("a toe box without the shoe's widths; expected them too: measure the widths first"),
            },
        },
    },
    Field {
        key: "short_of_room",
        label: "No room for a post under the heel",
        unit: "",
        group: Group::Shoe,
        hint: "",
        kind: Kind::Choice {
            choices: KNOWN,
            get: |s| known(s.short_of_room),
            set: |s, text| {
                s.short_of_room = said(text)?;
                Ok(())
            },
        },
    },
    // Posts.
    Field {
        key: "post",
        label: "Rearfoot post",
        unit: "°",
        group: Group::Post,
        hint: "Inner side raised; flat on the ground. Empty: none.",
        kind: Kind::Number {
            get: |s| s.prescription.rearfoot_post.map(|p| p.angle.to_degrees()),
            set: |s, v| {
                let now = &mut s.prescription.rearfoot_post;
                *now = v.map(|v| RearfootPost {
                    angle: deg(v),
                    ..now.unwrap_or(RearfootPost {
                        angle: deg(v),
                        length: mm(62.0),
                        bevel: RearfootPost::usual_bevel(),
                        separate: false,
                        lift: RearfootPost::no_lift(),
                    })
                });
                Ok(())
            },
        },
    },
    Field { key: "post_length", label: "Its length from the rear", unit: "mm", group: Group::Post, hint: "62 mm unless said.", kind: part!(rearfoot_post => length, mm, to_mm, mm(62.0), NO_REARFOOT) },
    Field { key: "post_bevel", label: "Bevel of its sides", unit: "°", group: Group::Post, hint: "12° unless said.", kind: part!(rearfoot_post => bevel, deg, to_degrees, RearfootPost::usual_bevel(), NO_REARFOOT) },
    Field { key: "post_lift", label: "Heel lift", unit: "mm", group: Group::Post, hint: "Least height under the lowest place.", kind: part!(rearfoot_post => lift, mm, to_mm, RearfootPost::no_lift(), NO_REARFOOT) },
    Field {
        key: "post_own",
        label: "The post is",
        unit: "",
        group: Group::Post,
        hint: "",
        kind: Kind::Choice {
            choices: OF_ITS_OWN,
            get: |s| no_yes(s.prescription.rearfoot_post.is_some_and(|p| p.separate)),
            set: |s, text| {
                let own = said(text)? == Some(true);
                if let Some(post) = &mut s.prescription.rearfoot_post {
                    post.separate = own;
                }
                Ok(())
            },
        },
    },
    Field {
        key: "forepost",
        label: "Forefoot post",
        unit: "°",
        group: Group::Post,
        hint: "Inner side raised. Empty: none.",
        kind: Kind::Number {
            get: |s| s.prescription.forefoot_post.map(|p| p.angle.to_degrees()),
            set: |s, v| {
                let now = &mut s.prescription.forefoot_post;
                *now = v.map(|v| ForefootPost {
                    angle: deg(v),
                    ..now.unwrap_or(ForefootPost {
                        angle: deg(v),
                        length: mm(30.0),
                        separate: false,
                    })
                });
                Ok(())
            },
        },
    },
    Field { key: "forepost_length", label: "Its length from the front edge", unit: "mm", group: Group::Post, hint: "30 mm unless said.", kind: part!(forefoot_post => length, mm, to_mm, mm(30.0), NO_FOREFOOT) },
    Field {
        key: "forepost_own",
        label: "The forefoot post is",
        unit: "",
        group: Group::Post,
        hint: "",
        kind: Kind::Choice {
            choices: OF_ITS_OWN,
            get: |s| no_yes(s.prescription.forefoot_post.is_some_and(|p| p.separate)),
            set: |s, text| {
                let own = said(text)? == Some(true);
                if let Some(post) = &mut s.prescription.forefoot_post {
                    post.separate = own;
                }
                Ok(())
            },
        },
    },
    // Edges.
    Field { key: "edge_radius", label: "Rounding of every edge", unit: "mm", group: Group::Edges, hint: "More than half the thickness becomes half the thickness.", kind: needed!(edges.radius, mm, to_mm) },
];

fn axis(s: &Sheet) -> Option<(Angle, Angle)> {
    match s.prescription.corrections.inversion?.about {
        InversionAxis::Long => None,
        InversionAxis::Oblique {
            inclination,
            inward,
        } => Some((inclination, inward)),
    }
}

/// One of both changes; both empty is the level axis along the foot.
fn set_axis(s: &mut Sheet, rise: Option<f64>, inward: Option<f64>) -> Result<(), &'static str> {
    let now = axis(s);
    let Some(inversion) = &mut s.prescription.corrections.inversion else {
        return if rise.is_some() || inward.is_some() {
            Err(NO_INVERSION)
        } else {
            Ok(())
        };
    };
    inversion.about = match (rise, inward, now) {
        (None, None, _) => InversionAxis::Long,
        (rise, inward, now) => InversionAxis::Oblique {
            inclination: rise.map(deg).or(now.map(|n| n.0)).unwrap_or(deg(0.0)),
            inward: inward.map(deg).or(now.map(|n| n.1)).unwrap_or(deg(0.0)),
        },
    };
    Ok(())
}

fn relief(
    s: &mut Sheet,
    v: Option<f64>,
    put: fn(&mut NavicularRelief, Option<Length>),
) -> Result<(), &'static str> {
    match (&mut s.prescription.corrections.navicular_relief, v) {
        (Some(relief), v) => {
            put(relief, v.map(mm));
            Ok(())
        }
        (None, None) => Ok(()),
        (None, Some(_)) => {
            Err("a relief's place without its depth; expected both: give the depth first")
        }
    }
}
