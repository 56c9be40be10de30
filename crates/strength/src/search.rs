//! Which thickness meets a wanted arch drop and safety?
//!
//! The thinnest wall within what can be made, of one thickness or thicker in the arch, found by halving with
//! a coarse net. Leaves the final figures to a computation with the thickness that was found. One surprise:
//! a demand that the thickest wall does not meet is answered with what that wall reaches, not with silence.
//!
//! # Assumptions
//! Thicker bends less and bears more, which the tests hold for both ways of thickening.

use quantity::Length;
use shell::field::ShellShape;
use shell::prescription::{Prescription, Thickness};
use shell::{Device, layout, post};

use crate::bench::{Bench, Question};
use crate::error::StrengthError;

/// What a wall has to do, in the cases of the question.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Demand {
    /// Most that the arch may drop in the named case, mm.
    pub arch_drop_mm: Option<f64>,
    /// Least factor between allowable and highest stress.
    pub safety: Option<f64>,
}

/// What is thickened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Thicken {
    All,
    /// The arch alone; the rest stays as prescribed.
    Arch,
}

/// Walls that can be made.
#[derive(Debug, Clone, PartialEq)]
pub enum Walls {
    /// Anything between, mm.
    Between { least_mm: f64, most_mm: f64 },
    /// Sheets that are bought, mm.
    Sheets(Vec<f64>),
}

/// What one wall reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reached {
    pub thickness_mm: f64,
    /// The larger of all ways of holding.
    pub arch_drop_mm: f64,
    /// The least of all ways of holding; `None` without an allowable stress.
    pub safety: Option<f64>,
}

/// What the search found.
#[derive(Debug, Clone, PartialEq)]
pub enum Found {
    /// The thinnest wall that meets everything.
    Meets {
        thickness: Thickness,
        reached: Reached,
    },
    /// The thickest wall does not; which of the demands it fails.
    Beyond {
        reached: Reached,
        arch_drop: bool,
        safety: bool,
    },
}

/// A wall is found to so much, mm.
const FINENESS_MM: f64 = 0.1;

/// Told before each wall that is tried: how many were, of how many at most, and its thickness in mm; answers
/// `None` to stop the search.
pub type Trying<'a> = &'a mut dyn FnMut(usize, usize, f64) -> Option<()>;

/// The thinnest wall that meets a demand in every case of the question and every way of holding.
///
/// # Errors
/// Limits that are no lengths, a demand on a safety that the material has no figure for, or a wall that
/// cannot be computed.
pub fn search_thickness(
    question: &Question<'_>,
    layout_step_mm: f64,
    demand: Demand,
    thicken: Thicken,
    walls: &Walls,
) -> Result<Found, StrengthError> {
    let mut on = |_, _, _| Some(());
    let found = search_thickness_told(question, layout_step_mm, demand, thicken, walls, &mut on)?;
    found.ok_or(StrengthError::Value {
        what: "a search that nobody stops",
        found: "one that was stopped".into(),
        expected: "its end",
    })
}

/// [`search_thickness`], telling how far it is; `None` where `trying` stopped it.
///
/// # Errors
/// As [`search_thickness`].
pub fn search_thickness_told(
    question: &Question<'_>,
    layout_step_mm: f64,
    demand: Demand,
    thicken: Thicken,
    walls: &Walls,
    trying: Trying<'_>,
) -> Result<Option<Found>, StrengthError> {
    if demand.safety.is_some() && question.shell.allowable_mpa.is_none() {
        return Err(StrengthError::Value {
            what: "a demand on safety",
            found: "a material without allowable stress".into(),
            expected: "a figure for it",
        });
    }
    let candidates = candidates(walls)?;
    // Halving tries the thickest, and then one wall for each power of two.
    let most = 1 + candidates.len().next_power_of_two().trailing_zeros() as usize;
    let mut tried = 0;
    let mut try_wall = |mm: f64| {
        let goes_on = trying(tried, most, mm);
        tried += 1;
        goes_on
            .map(|()| reached(question, layout_step_mm, thicken, mm))
            .transpose()
    };
    // A figure that is no number meets nothing.
    let fails = |r: &Reached| {
        let meets_drop = demand
            .arch_drop_mm
            .is_none_or(|most| r.arch_drop_mm <= most);
        let meets_safety = demand
            .safety
            .is_none_or(|least| r.safety.is_some_and(|s| s >= least));
        (!meets_drop, !meets_safety)
    };
    let (mut low, mut high) = (0, candidates.len() - 1);
    let Some(mut best) = try_wall(candidates[high])? else {
        return Ok(None);
    };
    let (arch_drop, safety) = fails(&best);
    if arch_drop || safety {
        return Ok(Some(Found::Beyond {
            reached: best,
            arch_drop,
            safety,
        }));
    }
    while low < high {
        let middle = (low + high) / 2;
        let Some(here) = try_wall(candidates[middle])? else {
            return Ok(None);
        };
        if fails(&here) == (false, false) {
            best = here;
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    Ok(Some(Found::Meets {
        thickness: thickened(question.wanted, thicken, best.thickness_mm),
        reached: best,
    }))
}

fn candidates(walls: &Walls) -> Result<Vec<f64>, StrengthError> {
    let mut out = match walls {
        Walls::Between { least_mm, most_mm } => {
            if !(*least_mm > 0.0 && least_mm <= most_mm && *most_mm <= 20.0) {
                return Err(StrengthError::Value {
                    what: "a range of thickness in mm",
                    found: format!(
                        "{} to {}",
                        quantity::written_short(*least_mm, 2),
                        quantity::written_short(*most_mm, 2)
                    ),
                    expected: "two lengths up to 20 in rising order",
                });
            }
            let steps = ((most_mm - least_mm) / FINENESS_MM + 1e-9).floor() as usize;
            (0..=steps)
                .map(|n| least_mm + n as f64 * FINENESS_MM)
                .collect()
        }
        Walls::Sheets(sheets) => sheets.clone(),
    };
    out.sort_by(f64::total_cmp);
    if out.is_empty() || out.iter().any(|t| !(*t > 0.0 && *t <= 20.0)) {
        return Err(StrengthError::Value {
            what: "a thickness in mm among the sheets",
            found: out
                .last()
                .map_or_else(|| "none".into(), |t| quantity::written_short(*t, 2)),
            expected: "at least one, above 0 and up to 20",
        });
    }
    Ok(out)
}

fn thickened(wanted: &Prescription, thicken: Thicken, mm: f64) -> Thickness {
    let new = Length::mm(mm);
    match (thicken, wanted.shell.thickness) {
        (Thicken::All, _) => Thickness::Uniform { all: new },
        (Thicken::Arch, Thickness::Uniform { all: rest } | Thickness::ThickerArch { rest, .. }) => {
            Thickness::ThickerArch { arch: new, rest }
        }
    }
}

/// The device with another wall, as far as the computation needs it: the bodies are left out.
fn rewalled(device: &Device, wanted: &Prescription, layout_step_mm: f64) -> Device {
    let mut out = device.clone();
    out.bodies.clear();
    out.layout = layout::lay_out(&out.positive, wanted, layout_step_mm);
    out.ground = post::ground(&ShellShape::new(&out.layout, wanted), wanted);
    out
}

fn reached(
    question: &Question<'_>,
    layout_step_mm: f64,
    thicken: Thicken,
    mm: f64,
) -> Result<Reached, StrengthError> {
    let mut wanted = question.wanted.clone();
    wanted.shell.thickness = thickened(question.wanted, thicken, mm);
    let device = rewalled(question.device, &wanted, layout_step_mm);
    let report = Bench::new(Question {
        device: &device,
        wanted: &wanted,
        ..*question
    })?
    .report()?;
    let least = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    Ok(Reached {
        thickness_mm: mm,
        arch_drop_mm: report
            .outcomes
            .iter()
            .map(|o| o.arch_drop_mm)
            .fold(0.0, f64::max),
        safety: report.outcomes.iter().map(|o| o.safety).fold(None, least),
    })
}
