//! Indices of a print, standing and walking apart: norms of the one are none of the other. Heights of the arch
//! from the side, by hand or from a photograph.

use super::{Block, Q, ask, number};
use crate::form::Sheet;

pub(super) const BLOCKS: &[Block] = &[
    Block {
        sheet: Sheet::Foot,
        section: "Print and pressure",
        questions: INDICES,
    },
    Block {
        sheet: Sheet::Foot,
        section: "Arch from the side",
        questions: HEIGHTS,
    },
];

const HEIGHTS: &[Q] = &[
    ask(
        "navicular_height_mm",
        "Navicular height, standing",
        number("mm", -10.0, 100.0),
        "From the floor to the tip of the tuberosity, felt through the skin.",
        &["FootArch6to19"],
    ),
    ask(
        "navicular_height_truncated",
        "Navicular height over length to the first joint",
        number("", -0.2, 0.8),
        "The length from heel to the joint of the great toe; taken on the skin.",
        &["Murley2009"],
    ),
    ask(
        "navicular_height_foot",
        "Navicular height over foot length",
        number("", -0.2, 0.6),
        "The length from heel to the longest toe; taken on the skin.",
        &["FootArch6to19"],
    ),
    ask(
        "arch_height_index_standing",
        "Arch height index, standing",
        number("", 0.0, 0.8),
        "Height of the top of the foot at half its length over the length to the first joint.",
        &["Butler2008", "Hillstrom2013"],
    ),
];

/// Which breadth over which was read; which breadths are meant is known from memory only.
const BREADTHS: &[&str] = &["FootprintMethods", "Banwell2018"];

const INDICES: &[Q] = &[
    ask(
        "arch_index_standing",
        "Arch index, standing print",
        number("", 0.0, 1.0),
        "Middle third of the print without toes over the whole of it.",
        &["Murley2009", "FootprintMethods"],
    ),
    ask(
        "arch_index_walking",
        "Arch index, walking print",
        number("", 0.0, 1.0),
        "As standing; walking prints have norms of their own.",
        &["Murley2009", "FootprintMethods"],
    ),
    ask(
        "chippaux_smirak_standing",
        "Chippaux-Smirak index, standing print",
        number("%", 0.0, 150.0),
        "Narrowest midfoot over the broadest ball, times 100.",
        BREADTHS,
    ),
    ask(
        "staheli_index_standing",
        "Staheli index, standing print",
        number("", 0.0, 4.0),
        "Narrowest midfoot over the broadest heel.",
        BREADTHS,
    ),
    ask(
        "clarke_angle_standing",
        "Clarke angle, standing print",
        number("deg", -30.0, 90.0),
        "Between the inner tangent and the line from its front end to the deepest point of the arch.",
        &["Onodera2008"],
    ),
    ask(
        "excursion_index_walking",
        "Excursion of the path of pressure, walking",
        number("%", -100.0, 100.0),
        "Greatest distance of the path from its chord over the breadth of the ball, times 100.",
        &["Song1996"],
    ),
];
