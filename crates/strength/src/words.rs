//! How is a result said in words, and what does the computation leave out?

use nalgebra::Vector3;
use shell::Device;

use crate::outcome::WallSide;
use crate::stand::HEEL_END;

/// A place of the shell for someone who holds it in the hand.
pub(crate) fn place(device: &Device, skin: &Vector3<f64>, side: WallSide) -> String {
    let length = device.positive.foot_length_mm;
    let points = &device.positive.points;
    let navicular = points.navicular.at[0];
    let spine = points.heel_centre.at[1];
    let across = if (skin.y - spine).abs() < 0.03 * length {
        "in the middle"
    } else if skin.y > spine {
        "on the inner side"
    } else {
        "on the outer side"
    };
    let along = if skin.x < points.heel_centre.at[0] - 0.03 * length {
        "at the back of the heel cup"
    } else if skin.x < HEEL_END * length {
        "in the heel cup"
    } else if skin.x < navicular - 0.05 * length {
        "where the heel cup passes into the arch"
    } else if skin.x < navicular + 0.05 * length {
        "at the navicular's station"
    } else if device.layout.front.x(skin.y) - skin.x > 0.06 * length {
        "in front of the navicular"
    } else {
        "at the front edge"
    };
    format!(
        "{along}, {across}, {} mm in front of the heel's back, {}",
        quantity::written_short(skin.x, 0),
        side.words()
    )
}

/// What the figures do not know; printed wherever they are.
pub fn left_out() -> &'static [&'static str] {
    &[
        "A load that stays: plastics creep, and a shell stood on for hours bends further than a step bends it.",
        "Warmth: plastics soften, in a hot shoe a little, in a hot car for good.",
        "How a print was built: layers, direction and pores make some places weaker than others.",
        "The shoe: its inside is no flat plate, its heel counter and lacing hold the shell, its sole gives way.",
        "The foot: skin, fat and muscle spread and shift the load; here it is a fixed share on each region.",
        "The heel's own roundness: it holds a cup in shape from inside. A cup without a post stands on a small place here and flattens, so its stress comes out too high.",
        "Time: impact, damping and how fast a load comes.",
        "The scatter of fatigue: figures are of test bars, few in number, loaded in other ways than a shell.",
        "Edges, letters and grooves: roundings and raised marks are not in the net, nor what a scratch begins.",
        "Posts that give way: they are taken as stiff; how far each would shorten is told beside the result.",
        "Large motion: every figure is of small motion; where the arch drops by more than the wall is thick, it is rough.",
        "Layers that part: a laminate is held against no strength of its own here.",
    ]
}
