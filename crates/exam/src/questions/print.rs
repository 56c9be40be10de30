//! Indices of a print, standing and walking apart: norms of the one are none of the other.

use super::{Block, Q, ask, number};
use crate::form::Sheet;

pub(super) const BLOCKS: &[Block] = &[Block {
    sheet: Sheet::Foot,
    section: "Print and pressure",
    questions: INDICES,
}];

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
