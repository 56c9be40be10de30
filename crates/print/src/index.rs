//! What is read from a print, by name.

use quantity::Unit;
use serde::{Deserialize, Serialize};

/// One index. Definitions of the trade, as far as read; each says where the trade leaves something open.
///
/// # Sources
/// Arch index: Murley2009, vanSchie2000 (construction read). Chippaux-Smirak and Staheli: FootprintMethods (which
/// breadth over which), Hernandez2007. Which breadths are meant, Clarke's angle and the excursion index: unconfirmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Index {
    /// Area of the middle third of the toeless print over its whole area; the thirds part the length between the
    /// two lines across the axis that touch the toeless print.
    ArchIndex,
    /// Narrowest breadth between the broadest heel and the broadest ball, over the broadest ball, times 100.
    /// Breadths are what is printed on a line across the axis; the ball's is sought in the front third of the
    /// toeless length, the heel's in the rear third. Nothing printed between them is 0.
    ChippauxSmirak,
    /// The same narrowest breadth over the broadest heel.
    StaheliIndex,
    /// At the ball's end of the inner tangent: between the tangent and the line to the deepest point of the inner
    /// border. The deepest point is the top of a parabola through the border where it lies within 3 % of the
    /// greatest depth below the tangent; where the ball touches it is told from the stretches close to it. Not there where the print is broken between heel and ball.
    ClarkeAngle,
    /// From heel to the front of the toeless print, along the axis.
    TruncatedLength,
    /// From heel to the longest toe, along the axis.
    FootLength,
    BallWidth,
    HeelWidth,
    /// The narrowest breadth between them.
    MidfootWidth,
    /// Of the whole print with toes.
    ContactArea,
    /// Greatest distance of the path of pressure from the chord between its ends, outwards, over the path's points
    /// in the front third of the foot, over the ball's breadth, times 100. Which level of the front third is meant
    /// is not settled by what was read.
    ExcursionIndex,
    /// Share of the foot's load behind the middle of its length.
    RearLoad,
}

impl Index {
    pub const ALL: [Index; 12] = [
        Index::ArchIndex,
        Index::ChippauxSmirak,
        Index::StaheliIndex,
        Index::ClarkeAngle,
        Index::TruncatedLength,
        Index::FootLength,
        Index::BallWidth,
        Index::HeelWidth,
        Index::MidfootWidth,
        Index::ContactArea,
        Index::ExcursionIndex,
        Index::RearLoad,
    ];

    pub fn key(self) -> &'static str {
        match self {
            Index::ArchIndex => "arch_index",
            Index::ChippauxSmirak => "chippaux_smirak",
            Index::StaheliIndex => "staheli_index",
            Index::ClarkeAngle => "clarke_angle",
            Index::TruncatedLength => "truncated_length",
            Index::FootLength => "foot_length",
            Index::BallWidth => "ball_width",
            Index::HeelWidth => "heel_width",
            Index::MidfootWidth => "midfoot_width",
            Index::ContactArea => "contact_area",
            Index::ExcursionIndex => "excursion_index",
            Index::RearLoad => "rear_load",
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            Index::ArchIndex => "arch index",
            Index::ChippauxSmirak => "Chippaux-Smirak index",
            Index::StaheliIndex => "Staheli index",
            Index::ClarkeAngle => "Clarke angle",
            Index::TruncatedLength => "length without toes",
            Index::FootLength => "foot length",
            Index::BallWidth => "breadth of the ball",
            Index::HeelWidth => "breadth of the heel",
            Index::MidfootWidth => "narrowest breadth of the midfoot",
            Index::ContactArea => "printed area",
            Index::ExcursionIndex => "excursion of the path of pressure",
            Index::RearLoad => "load on the rear half",
        }
    }

    pub fn unit(self) -> Unit {
        match self {
            Index::ArchIndex | Index::StaheliIndex => Unit::Ratio,
            Index::ChippauxSmirak | Index::ExcursionIndex | Index::RearLoad => Unit::Percent,
            Index::ClarkeAngle => Unit::Degree,
            Index::ContactArea => Unit::SquareCentimetre,
            _ => Unit::Millimetre,
        }
    }

    /// The item of `knowledge` it is held against, standing or walking apart; `None` where nothing is published.
    pub fn item(self, walking: bool) -> Option<&'static str> {
        match (self, walking) {
            (Index::ArchIndex, false) => Some("arch_index_standing"),
            (Index::ArchIndex, true) => Some("arch_index_walking"),
            (Index::ChippauxSmirak, false) => Some("chippaux_smirak_standing"),
            (Index::StaheliIndex, false) => Some("staheli_index_standing"),
            (Index::ClarkeAngle, false) => Some("clarke_angle_standing"),
            (Index::ExcursionIndex, true) => Some("excursion_index_walking"),
            _ => None,
        }
    }

    /// How the number moves with the scale: not, as a length, as an area.
    pub(crate) fn power_of_scale(self) -> f64 {
        match self.unit() {
            Unit::Millimetre => 1.0,
            Unit::SquareCentimetre => 2.0,
            _ => 0.0,
        }
    }
}

/// Regions of the sole. Heel, midfoot and forefoot are the thirds of the toeless length; inner and outer midfoot lie
/// to either side of the axis; the forefoot is cut into thirds of the ball's breadth; the great toe is what lies
/// before the toe line and over the inner third (common practice: sources cut differently).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Region {
    Heel,
    MidfootInner,
    MidfootOuter,
    ForefootInner,
    ForefootMiddle,
    ForefootOuter,
    GreatToe,
    LesserToes,
}

impl Region {
    pub const ALL: [Region; 8] = [
        Region::Heel,
        Region::MidfootInner,
        Region::MidfootOuter,
        Region::ForefootInner,
        Region::ForefootMiddle,
        Region::ForefootOuter,
        Region::GreatToe,
        Region::LesserToes,
    ];

    pub fn words(self) -> &'static str {
        match self {
            Region::Heel => "heel",
            Region::MidfootInner => "midfoot, inner",
            Region::MidfootOuter => "midfoot, outer",
            Region::ForefootInner => "forefoot, inner",
            Region::ForefootMiddle => "forefoot, middle",
            Region::ForefootOuter => "forefoot, outer",
            Region::GreatToe => "great toe",
            Region::LesserToes => "lesser toes",
        }
    }
}
