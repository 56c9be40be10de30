//! How does a prescription on a foot become a solid that can be made?
//!
//! * [`prescription`]: what is asked for; [`limits`]: what can be made of it;
//! * [`positive`]: the foot with its corrections; [`layout`]: rays over it, and the rim that [`trim`] draws;
//! * [`border`](fn@border): where the shell ends on the skin; [`field`]: distance and shape; [`post`], [`mark`]: what is added below; [`solid`]: the bodies;
//! * `outline`: how far outside the border a place lies; `edge`: does the wall end where it was asked to; `finish`: rounded edges and letters on an extracted surface; `raised`: letters clear of what is about them;
//! * `sheet`: the picture that follows a hand;
//! * [`measured`]: dimensions read back from the written solid.
//!
//! # Architecture invariant
//! Nothing here knows a person, a weight or a material's strength; nothing here knows the screen.

mod border;
mod edge;
pub mod field;
mod finish;
pub mod layout;
pub mod limits;
mod mark;
pub mod measured;
mod outline;
pub mod positive;
pub mod post;
pub mod prescription;
mod raised;
mod sheet;
pub mod solid;
mod trim;

pub use border::border;
pub use layout::Layout;
pub use limits::{Caution, Making, ShellError};
pub use positive::Positive;
pub use post::Ground;
pub use prescription::Prescription;
pub use solid::{Body, Part};

use surface::Foot;
use terms::Side;

/// How finely a device is made: the grid of the sole, the layout and the lattice, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Detail {
    pub sole_mm: f64,
    pub layout_mm: f64,
    pub lattice_mm: f64,
}

impl Detail {
    /// Fast enough to follow a hand.
    pub const PREVIEW: Detail = Detail {
        sole_mm: 1.0,
        layout_mm: 2.0,
        lattice_mm: 2.0,
    };
    /// For the picture that [`lead`] draws; it has no lattice.
    const LED: Detail = Detail {
        sole_mm: 1.0,
        layout_mm: 2.5,
        lattice_mm: f64::INFINITY,
    };
    /// For files.
    pub const FINAL: Detail = Detail {
        sole_mm: 0.5,
        layout_mm: 1.0,
        lattice_mm: 1.1,
    };
}

/// A device in the foot frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Device {
    pub side: Side,
    pub positive: Positive,
    pub layout: Layout,
    /// The plane it stands on.
    pub ground: Ground,
    pub bodies: Vec<Body>,
    letters: Option<mark::Mark>,
    /// Its posts, and the room under the shell that they end in, once around.
    pub posts: Vec<post::Footing>,
    cover: Vec<[f64; 2]>,
    pub cautions: Vec<Caution>,
}

/// Makes the device that is asked for.
///
/// # Errors
/// A value that cannot be made, or a foot whose points do not fit its sole.
pub fn build(
    foot: &Foot,
    wanted: &Prescription,
    making: &Making,
    detail: Detail,
) -> Result<Device, ShellError> {
    let (positive, layout) = laid_out(foot, wanted, making, detail)?;
    let plan = solid::Plan::new(&layout, wanted, foot.side);
    let bodies = plan.solids(detail.lattice_mm);
    let ground = plan.ground;
    let mut cautions = Vec::new();
    if plan.mark.is_none() {
        cautions.push(Caution(
            "no room was found for side and order code on the underside: mark the device by hand"
                .into(),
        ));
    }
    let letters = plan.mark;
    let footing = |(part, wedge)| post::Footing::of(part, wedge);
    let posts = plan.wedges.into_iter().map(footing).collect();
    Ok(Device {
        side: foot.side,
        ground,
        bodies,
        letters,
        posts,
        cover: plan.cover,
        cautions,
        layout,
        positive,
    })
}

fn laid_out(
    foot: &Foot,
    wanted: &Prescription,
    making: &Making,
    detail: Detail,
) -> Result<(Positive, Layout), ShellError> {
    limits::check(wanted, making)?;
    check_foot(foot)?;
    let positive = positive::correct(foot, &wanted.corrections, detail.sole_mm);
    let layout = layout::lay_out(&positive, wanted, detail.layout_mm);
    Ok((positive, layout))
}

/// The device as it is drawn while the hand still moves: layout, rim and ground of [`build`], its bodies as
/// sheets. Nothing is made or measured from it.
///
/// # Errors
/// As [`build`].
pub fn lead(foot: &Foot, wanted: &Prescription, making: &Making) -> Result<Device, ShellError> {
    let (positive, layout) = laid_out(foot, wanted, making, Detail::LED)?;
    let shape = field::ShellShape::new(&layout, wanted);
    let ground = post::ground(&shape, wanted);
    let thinnest = wanted.shell.thickness.thinnest().to_mm();
    let mut bodies = vec![Body {
        part: Part::Shell,
        mesh: sheet::shell(&shape),
    }];
    let posts = post::footings(&layout, wanted, ground);
    for footing in &posts {
        let mesh = sheet::post(footing, &positive, 0.5 * thinnest);
        if footing.separate {
            bodies.push(Body {
                part: footing.part,
                mesh,
            });
        } else {
            sheet::join(&mut bodies[0].mesh, &mesh);
        }
    }
    Ok(Device {
        side: foot.side,
        ground,
        bodies,
        letters: None,
        posts,
        cover: Vec::new(),
        cautions: Vec::new(),
        layout,
        positive,
    })
}

/// Points that a layout can be made from.
fn check_foot(foot: &Foot) -> Result<(), ShellError> {
    let p = &foot.points;
    let all = [
        p.first_head,
        p.fifth_head,
        p.heel_centre,
        p.navicular,
        p.toe_tip,
    ];
    if !all.iter().flat_map(|m| m.at).all(f64::is_finite) {
        return Err(ShellError::Foot("whose points are no numbers"));
    }
    let length = foot.points.foot_length_mm();
    if !(90.0..=360.0).contains(&length) {
        return Err(ShellError::Foot("shorter than 90 mm or longer than 360 mm"));
    }
    let heads = p.first_head.at[0].min(p.fifth_head.at[0]);
    if p.first_head.at[1] - p.fifth_head.at[1] < 0.15 * length {
        return Err(ShellError::Foot(
            "whose first head does not lie well inside the fifth",
        ));
    }
    if heads - p.heel_centre.at[0] < 0.35 * length || p.heel_centre.at[0] < 0.0 {
        return Err(ShellError::Foot("whose heads lie too near to its heel"));
    }
    if foot
        .sole
        .height(p.heel_centre.at[0], p.heel_centre.at[1])
        .is_none()
    {
        return Err(ShellError::Foot("without skin over its heel's middle"));
    }
    Ok(())
}
