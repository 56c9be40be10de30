//! What is asked of a shell, in the order a maker works: corrections, shell, edges, posts, marks.
//!
//! Everything is in the foot frame of `surface`: inner side positive, up positive. Inversion is positive:
//! it raises the inner side of the heel. Nothing here is checked; see [`crate::limits`].

use quantity::{Angle, Length};
use serde::{Deserialize, Serialize};

/// One foot's order, without the person.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Prescription {
    #[serde(default)]
    pub corrections: Corrections,
    pub shell: ShellBody,
    #[serde(default)]
    pub edges: Edges,
    #[serde(default)]
    pub rearfoot_post: Option<RearfootPost>,
    #[serde(default)]
    pub forefoot_post: Option<ForefootPost>,
    #[serde(default)]
    pub shoe: Option<Shoe>,
    /// Raised on the underside beside the side's letter; the practice's code, never a name.
    #[serde(default)]
    pub order_code: String,
}

/// What is done to the positive before a shell is laid on it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Corrections {
    pub inversion: Option<Inversion>,
    /// Forefoot turned against the rearfoot, inner side up positive; 0 leaves it as captured.
    pub forefoot_balance: Option<Angle>,
    pub arch_fill: ArchFill,
    pub skive: Option<Skive>,
    /// Widening of the heel, both sides together.
    pub heel_expansion: Option<Length>,
    pub fascia_groove: Option<FasciaGroove>,
    pub navicular_relief: Option<NavicularRelief>,
    pub first_ray_cut_out: bool,
}

/// The rearfoot of the positive turned before the ground is laid under it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inversion {
    pub angle: Angle,
    #[serde(default)]
    pub about: InversionAxis,
}

#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "axis", deny_unknown_fields)]
pub enum InversionAxis {
    /// Level, along the foot, through the ground under the heel centre.
    #[default]
    Long,
    /// Rising forward and pointing inward, through the same place.
    Oblique { inclination: Angle, inward: Angle },
}

/// How much of the captured arch is filled before the shell is laid on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ArchFill {
    Minimal,
    #[default]
    Standard,
    Maximal,
}

/// A flat cut on the inner side of the positive's heel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Skive {
    pub depth: Length,
    /// Of the cut to the ground, inner side up.
    #[serde(default = "Skive::usual_angle")]
    pub angle: Angle,
    /// Nothing is cut on the outer side of the heel's middle.
    #[serde(default)]
    pub clipped: bool,
}

impl Skive {
    /// The usual tilt of the cut.
    pub fn usual_angle() -> Angle {
        Angle::degrees(15.0)
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FasciaGroove {
    pub depth: Length,
    pub width: Length,
}

/// Room for a prominent navicular.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NavicularRelief {
    pub depth: Length,
    pub radius: Length,
    /// From the navicular point, along the foot (forward positive).
    #[serde(default)]
    pub forward: Option<Length>,
    /// From the navicular point, upward along the skin.
    #[serde(default)]
    pub upward: Option<Length>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShellBody {
    /// Key of a material in the knowledge folder.
    pub material: String,
    pub thickness: Thickness,
    /// Rim above the lowest skin of the heel.
    pub heel_cup_depth: Length,
    /// Front edge behind the metatarsal heads.
    pub behind_heads: Length,
    /// Inner rim at the arch above the ground; `None`: the shell ends where the plan does.
    #[serde(default)]
    pub medial_flange: Option<Length>,
    #[serde(default)]
    pub lateral_flange: Option<Length>,
    /// Where a hand has moved the trim line.
    #[serde(default)]
    pub trim: Vec<TrimEdit>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind", deny_unknown_fields)]
pub enum Thickness {
    Uniform { all: Length },
    ThickerArch { arch: Length, rest: Length },
}

impl Thickness {
    pub fn thinnest(&self) -> Length {
        match *self {
            Thickness::Uniform { all } => all,
            Thickness::ThickerArch { arch, rest } => {
                if arch < rest {
                    arch
                } else {
                    rest
                }
            }
        }
    }
}

/// The trim line moved outward (positive) or inward by a length along the surface, fading out to both sides.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TrimEdit {
    /// Along the rim: 0 at the outer end of the front edge, 0.5 behind the heel, 1 at its inner end;
    /// 1 to 2 runs back along the front edge to the outer side.
    pub station: f64,
    pub outward: Length,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Edges {
    /// Rounding of every free edge; more than half the thickness becomes half the thickness.
    pub radius: Length,
}

impl Default for Edges {
    fn default() -> Self {
        Edges {
            radius: Length::mm(1.2),
        }
    }
}

/// A wedge under the heel, flat on the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RearfootPost {
    /// Inner side raised.
    pub angle: Angle,
    /// From the rearmost edge of the shell forward.
    pub length: Length,
    /// Slope of the post's sides, inward toward the ground.
    #[serde(default = "RearfootPost::usual_bevel")]
    pub bevel: Angle,
    /// A body of its own, to be made of another material.
    #[serde(default)]
    pub separate: bool,
    /// Least height under the lowest place of the shell.
    #[serde(default = "RearfootPost::no_lift")]
    pub lift: Length,
}

impl RearfootPost {
    pub fn usual_bevel() -> Angle {
        Angle::degrees(12.0)
    }
    pub fn no_lift() -> Length {
        Length::mm(0.0)
    }
}

/// A wedge under the front of the shell, behind the heads.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ForefootPost {
    /// Inner side raised.
    pub angle: Angle,
    /// From the front edge backward.
    pub length: Length,
    #[serde(default)]
    pub separate: bool,
}

/// The inside of the shoe that the device must go into.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shoe {
    pub heel_width: Length,
    pub ball_width: Length,
    /// Inner height over the toes, where it is known.
    #[serde(default)]
    pub toe_box_height: Option<Length>,
}
