//! Can this be made at all, and what should the maker look at twice?
//!
//! Geometry and making only: what a value means for the person (passive inversion, weight, a numb foot)
//! is judged in `care`. A refusal names what was found, what was expected and what to do.

use crate::prescription::{Prescription, Thickness};

/// What a way of making allows, from the knowledge folder's materials.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Making {
    /// Thinnest loaded wall, mm.
    pub least_wall_mm: f64,
    /// Smallest rounding, mm.
    pub least_radius_mm: f64,
}

/// A prescription or a foot that no shell can be made from.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ShellError {
    #[error("found {found} as {what}; expected {expected}: {hint}")]
    Value {
        what: &'static str,
        found: String,
        expected: String,
        hint: &'static str,
    },
    #[error(
        "found a foot {0}; expected a sole from heel to metatarsal heads: scan it again or set its points by hand"
    )]
    Foot(&'static str),
    #[error(
        "found no closed solid for the {part} ({fault}); expected one: change the prescription's last step and try again"
    )]
    Open { part: &'static str, fault: String },
}

/// A sentence that goes with a device which can be made.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Caution(pub String);

struct Check {
    first: Option<ShellError>,
}

impl Check {
    fn range(
        &mut self,
        what: &'static str,
        value: f64,
        unit: &str,
        (low, high): (f64, f64),
        hint: &'static str,
    ) {
        // NaN is in no range.
        if self.first.is_none() && !(low..=high).contains(&value) {
            self.first = Some(ShellError::Value {
                what,
                found: format!("{}{unit}", quantity::written_short(value, 2)),
                expected: format!(
                    "{} to {}{unit}",
                    quantity::written_short(low, 1),
                    quantity::written_short(high, 1)
                ),
                hint,
            });
        }
    }
}

/// Longest code that is written on a device.
pub const LONGEST_CODE: usize = 10;

/// The first value that cannot be made.
///
/// # Errors
/// Any value outside what geometry or making allows.
pub fn check(wanted: &Prescription, making: &Making) -> Result<(), ShellError> {
    let mut c = Check { first: None };
    let body = &wanted.shell;
    let thicknesses = match body.thickness {
        Thickness::Uniform { all } => vec![all],
        Thickness::ThickerArch { arch, rest } => vec![arch, rest],
    };
    for t in thicknesses {
        c.range(
            "the shell's thickness",
            t.to_mm(),
            " mm",
            (making.least_wall_mm, 8.0),
            "take a thickness that the material and its process allow",
        );
    }
    c.range(
        "the heel cup's depth",
        body.heel_cup_depth.to_mm(),
        " mm",
        (6.0, 40.0),
        "take a usual depth",
    );
    c.range(
        "the distance of the front edge behind the heads",
        body.behind_heads.to_mm(),
        " mm",
        (0.0, 45.0),
        "end the shell just behind the metatarsal heads",
    );
    for (what, flange) in [
        ("the inner flange's height", body.medial_flange),
        ("the outer flange's height", body.lateral_flange),
    ] {
        if let Some(height) = flange {
            c.range(
                what,
                height.to_mm(),
                " mm",
                (5.0, 60.0),
                "take a height that lies on the foot",
            );
        }
    }
    for edit in &body.trim {
        c.range(
            "a trim edit's station",
            edit.station,
            "",
            (0.0, 2.0),
            "take a station on the rim (0 to 1) or the front edge (1 to 2)",
        );
        c.range(
            "a trim edit",
            edit.outward.to_mm(),
            " mm",
            (-40.0, 40.0),
            "move the line in smaller steps",
        );
    }
    c.range(
        "the rounding of the edges",
        wanted.edges.radius.to_mm(),
        " mm",
        (making.least_radius_mm.max(1.0), 4.0),
        "round every edge by 1 mm or more",
    );
    check_corrections(&mut c, wanted);
    if let Some(post) = &wanted.rearfoot_post {
        c.range(
            "the rearfoot post",
            post.angle.to_degrees(),
            "°",
            (-8.0, 12.0),
            "take an angle that a foot can stand on",
        );
        c.range(
            "the rearfoot post's length",
            post.length.to_mm(),
            " mm",
            (20.0, 110.0),
            "end the post behind the arch",
        );
        c.range(
            "the post's bevel",
            post.bevel.to_degrees(),
            "°",
            (0.0, 45.0),
            "take a smaller slope",
        );
        c.range(
            "the heel lift",
            post.lift.to_mm(),
            " mm",
            (0.0, 15.0),
            "take a smaller lift",
        );
    }
    if let Some(post) = &wanted.forefoot_post {
        c.range(
            "the forefoot post",
            post.angle.to_degrees(),
            "°",
            (-10.0, 10.0),
            "take a smaller angle",
        );
        c.range(
            "the forefoot post's length",
            post.length.to_mm(),
            " mm",
            (8.0, 60.0),
            "end the post in front of the arch",
        );
    }
    if let Some(shoe) = &wanted.shoe {
        c.range(
            "the shoe's width at the heel",
            shoe.heel_width.to_mm(),
            " mm",
            (35.0, 120.0),
            "measure inside the shoe in mm",
        );
        c.range(
            "the shoe's width at the ball",
            shoe.ball_width.to_mm(),
            " mm",
            (45.0, 160.0),
            "measure inside the shoe in mm",
        );
        if let Some(height) = shoe.toe_box_height {
            c.range(
                "the toe box's height",
                height.to_mm(),
                " mm",
                (8.0, 90.0),
                "measure inside the shoe in mm",
            );
        }
    }
    let code = &wanted.order_code;
    if c.first.is_none()
        && (code.chars().count() > LONGEST_CODE
            || !code
                .chars()
                .all(|ch| ch.is_ascii_alphanumeric() || "-/ ".contains(ch)))
    {
        c.first = Some(ShellError::Value {
            what: "the order code",
            found: format!(
                "{} characters, or one that is no letter or digit",
                code.chars().count()
            ),
            expected: format!("at most {LONGEST_CODE} letters, digits, hyphens"),
            hint: "take the practice's code, never a name",
        });
    }
    c.first.map_or(Ok(()), Err)
}

fn check_corrections(c: &mut Check, wanted: &Prescription) {
    let x = &wanted.corrections;
    if let Some(inversion) = &x.inversion {
        c.range(
            "the rearfoot inversion",
            inversion.angle.to_degrees(),
            "°",
            (-15.0, 35.0),
            "take an angle within what was published (15° to 35° at most)",
        );
        if let crate::prescription::InversionAxis::Oblique {
            inclination,
            inward,
        } = inversion.about
        {
            c.range(
                "the axis's inclination",
                inclination.to_degrees(),
                "°",
                (0.0, 70.0),
                "take the axis's rise from the ground",
            );
            c.range(
                "the axis's inward turn",
                inward.to_degrees(),
                "°",
                (-10.0, 50.0),
                "take the axis's turn from the foot's long axis",
            );
        }
    }
    if let Some(balance) = x.forefoot_balance {
        c.range(
            "the forefoot balance",
            balance.to_degrees(),
            "°",
            (-15.0, 15.0),
            "take a smaller angle",
        );
    }
    if let Some(skive) = &x.skive {
        c.range(
            "the skive's depth",
            skive.depth.to_mm(),
            " mm",
            (0.5, 8.0),
            "take 2 to 6 mm",
        );
        c.range(
            "the skive's angle",
            skive.angle.to_degrees(),
            "°",
            (5.0, 25.0),
            "take 15°",
        );
        c.range(
            "the heel cup's depth beside a skive",
            wanted.shell.heel_cup_depth.to_mm(),
            " mm",
            (skive.depth.to_mm() + 6.0, 40.0),
            "deepen the cup, or the skive leaves no wall to hold the heel",
        );
    }
    if let Some(wider) = x.heel_expansion {
        c.range(
            "the heel's widening",
            wider.to_mm(),
            " mm",
            (0.0, 10.0),
            "take 2 to 4 mm",
        );
    }
    if let Some(groove) = &x.fascia_groove {
        c.range(
            "the groove's depth",
            groove.depth.to_mm(),
            " mm",
            (0.5, 5.0),
            "take 2 to 3 mm",
        );
        c.range(
            "the groove's width",
            groove.width.to_mm(),
            " mm",
            (6.0, 30.0),
            "take about 12 mm",
        );
    }
    if let Some(relief) = &x.navicular_relief {
        c.range(
            "the relief's depth",
            relief.depth.to_mm(),
            " mm",
            (0.5, 8.0),
            "take 2 to 3 mm",
        );
        c.range(
            "the relief's radius",
            relief.radius.to_mm(),
            " mm",
            (8.0, 40.0),
            "take 15 to 20 mm",
        );
        for (what, shift) in [
            ("the relief's forward shift", relief.forward),
            ("the relief's upward shift", relief.upward),
        ] {
            if let Some(shift) = shift {
                c.range(
                    what,
                    shift.to_mm(),
                    " mm",
                    (-30.0, 30.0),
                    "keep the relief near the navicular",
                );
            }
        }
    }
}
