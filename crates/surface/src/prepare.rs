//! The whole way from a file to a foot.
//!
//! Joined and reduced to one body, recognised, brought to millimetres, mended, aligned, its points proposed and
//! its sole taken; or refused with one sentence. The order matters: what is a foot is told before lengths mean
//! anything, and mending that needs millimetres comes after.

use crate::SurfaceError;
use crate::align::Alignment;
use crate::clean::{self, Cleaned, Removed};
use crate::foot::{Foot, Origin};
use crate::frame::{Binned, Frame, Sections, Settled, settle};
use crate::look::looks;
use crate::outline::Outline;
use crate::points::{self, Proposed};
use crate::recognise::{Reading, Trait, Witness, readings, witnesses};
use crate::report::{self, Mend, Opening, Report, Smoothed, counted};
use crate::sample::{Sample, V};
use crate::sole::Sole;
use crate::units::{self, Hints, Unit};
use mesh::Mesh;
use mesh::mend::{self, Done, Rings, What};
use mesh::read::File;
use mesh::simplify::{Target, simplify};
use mesh::topology::Topology;
use rayon::prelude::*;
use terms::{Load, Side};

/// A foot with toes and arch cannot be told from fewer.
pub const FEWEST_TRIANGLES: usize = 2000;
/// Points by which a body is recognised, and by which it is aligned.
const POINTS_TO_RECOGNISE: usize = 12_000;
const POINTS_TO_ALIGN: usize = 60_000;
/// Grid of the sole.
pub const SOLE_STEP_MM: f64 = 0.5;
/// Larger holes are left open, of foot length (40 mm in a foot of 250).
const LARGEST_HOLE: f64 = 0.16;
/// Smoother surfaces are left as they are.
const SMOOTH_ENOUGH_MM: f64 = 0.004;
/// Smoothing moves no skin farther: more than a hand-held scanner's noise, less than any shape of a sole.
const SMOOTHED_BY_MM: f64 = 0.6;

/// What a file cannot tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    pub load: Load,
    /// Where given, it must agree with what the surface shows.
    pub side: Option<Side>,
    pub unit: Option<Unit>,
    pub age_years: Option<f64>,
    /// How far the kept skin may stray from the mended one; `None` keeps every triangle.
    pub working_deviation_mm: Option<f64>,
}

impl Asked {
    /// Nothing but the load, which must be asked.
    pub fn load(load: Load) -> Asked {
        Asked {
            load,
            side: None,
            unit: None,
            age_years: None,
            working_deviation_mm: None,
        }
    }
}

/// A foot, and how it came to be.
#[derive(Debug, Clone, PartialEq)]
pub struct Prepared {
    pub foot: Foot,
    pub report: Report,
    pub alignment: Alignment,
}

/// How far the work is: 0 to 1, and what is being done.
pub type Progress<'a> = &'a mut dyn FnMut(f64, &'static str);

/// Makes a foot of a file, or says why not.
///
/// # Errors
/// No foot, no sole, half a foot, two feet, the other side, no unit; each in one sentence.
pub fn prepare(
    file: File,
    asked: &Asked,
    progress: Progress<'_>,
) -> Result<Prepared, SurfaceError> {
    let declared = file.declared_unit.map(Unit::from);
    let dropped = file.dropped.flat_triangles;
    let mut done = prepare_mesh(file.mesh, declared, asked, progress)?;
    if dropped > 0 {
        let words = format!(
            "{} left out on reading that named a corner twice",
            counted(dropped, "triangle", "triangles")
        );
        done.report.mends.insert(
            0,
            Mend {
                words,
                count: dropped,
                places_mm: Vec::new(),
            },
        );
        done.report.triangles_in_file += dropped;
    }
    Ok(done)
}

/// [`prepare`] for a surface that is no file.
///
/// # Errors
/// As [`prepare`].
pub fn prepare_mesh(
    mesh: Mesh,
    declared: Option<Unit>,
    asked: &Asked,
    progress: Progress<'_>,
) -> Result<Prepared, SurfaceError> {
    let triangles_in_file = mesh.triangles.len();
    enough(triangles_in_file)?;
    progress(0.0, "joining and cleaning");
    let cleaned = clean::clean(mesh);
    enough(cleaned.sewn.mesh.triangles.len())?;
    if cleaned.removed.rivals > 0 {
        return Err(SurfaceError::MoreThanOne {
            found: cleaned.removed.rivals + 1,
        });
    }
    progress(0.35, "looking for heel, toes and side");
    let recognised = recognise(&cleaned, asked.side)?;
    let hints = Hints {
        asked: asked.unit,
        declared,
        age_years: asked.age_years,
    };
    let unit = units::find(recognised.best.settled.length, &hints)?;
    progress(0.5, "mending");
    let scale = unit.unit.to_mm();
    let Cleaned {
        sewn,
        removed,
        spikes,
    } = cleaned;
    let mut frame = recognised.best.settled.frame;
    frame.origin *= scale;
    let length = recognised.best.settled.length * scale;
    let mut mesh = sewn.mesh;
    mesh.vertices
        .par_iter_mut()
        .for_each(|v| *v = v.map(|c| c * scale));
    let mut steps: Vec<Done> = sewn.done;
    let mended = mend_skin(&mut mesh, &sewn.topology, &frame, length);
    progress(0.7, "aligning");
    let (settled, mesh) = align(mesh, frame)?;
    let mut alignment = Alignment::new(&settled, scale, recognised.side);
    alignment.strangeness = -recognised.best.score;
    alignment.side_confidence = recognised.side_gap;
    alignment.ends_confidence = recognised.ends_gap;
    alignment.side_witnesses = recognised.side_witnesses;
    alignment.ends_witnesses = recognised.ends_witnesses;
    progress(0.8, "taking the sole");
    let sole = Sole::of(&mesh, SOLE_STEP_MM);
    let Proposed {
        points,
        not_scanned,
    } = points::propose(&mesh, &sole, &settled);
    let (skin, simplified_by_mm) = match asked.working_deviation_mm {
        Some(deviation) if deviation > 0.0 => {
            progress(0.85, "simplifying");
            let simple = simplify(
                &mesh,
                &Target {
                    deviation: Some(deviation),
                    triangles: None,
                },
            );
            (simple.mesh, Some(simple.strayed.most()))
        }
        _ => (mesh, None),
    };
    steps.extend(mended.closed);
    let report = Report {
        triangles_in_file,
        triangles: skin.triangles.len(),
        unit,
        mends: mends(&removed, spikes, scale, &steps, &alignment),
        smoothed: mended.smoothed,
        simplified_by_mm,
        openings: mended
            .openings
            .into_iter()
            .map(|o| Opening {
                middle_mm: settled.frame.local(&o.0).into(),
                across_mm: o.1,
            })
            .collect(),
        guessed: not_scanned,
        notes: recognised.notes,
    };
    progress(1.0, "done");
    Ok(Prepared {
        foot: Foot {
            side: recognised.side,
            skin: Some(skin),
            sole,
            points,
            origin: Origin::Scanned { load: asked.load },
        },
        report,
        alignment,
    })
}

fn enough(triangles: usize) -> Result<(), SurfaceError> {
    if triangles < FEWEST_TRIANGLES {
        return Err(SurfaceError::TooFewTriangles { found: triangles });
    }
    Ok(())
}

/// The reading that was chosen.
struct Recognised {
    best: Reading,
    side: Side,
    side_gap: f64,
    ends_gap: f64,
    side_witnesses: Vec<Witness>,
    ends_witnesses: Vec<Witness>,
    notes: Vec<String>,
}

/// A foot's traits may be so many deviations from the mean together, and singly.
const STRANGEST: f64 = -17.0;
const STRANGEST_TRAIT: f64 = 3.6;
/// Feet have 1 to 8 together.
const DOUBTFUL: f64 = -9.0;
/// Share of the lowest places that may be lid.
const MOST_LID: f64 = 0.30;
/// From this share of the body's area a lid is an opening that a leg or a cut leaves.
const LARGE_LID: f64 = 0.025;
/// A side that is likelier by less than this is not told.
const CLEAR: f64 = 1.5;

fn recognise(cleaned: &Cleaned, asked: Option<Side>) -> Result<Recognised, SurfaceError> {
    let sample = Sample::of(
        &cleaned.sewn.mesh,
        &cleaned.sewn.topology,
        POINTS_TO_RECOGNISE,
    );
    let all = readings(&sample, &looks(&sample));
    let Some(best) = all.first() else {
        return Err(SurfaceError::NoHeelAndBall);
    };
    whole(&sample, best)?;
    let strangest = [
        Trait::HeelBreadth,
        Trait::BallBreadth,
        Trait::InnerBall,
        Trait::OuterBall,
        Trait::Parts,
        Trait::Leg,
        Trait::Fill,
    ]
    .into_iter()
    .max_by(|a, b| {
        best.strangeness(*a)
            .abs()
            .total_cmp(&best.strangeness(*b).abs())
    });
    let up = best.settled.frame.up;
    let forward = best.settled.frame.forward;
    let mirrored = best.settled.frame.mirrored();
    let same_way = |r: &&Reading| r.settled.frame.up.dot(&up) > 0.7;
    let along = |r: &&Reading| r.settled.frame.forward.dot(&forward) > 0.0;
    let other_side = all
        .iter()
        .filter(same_way)
        .filter(along)
        .find(|r| r.settled.frame.mirrored() != mirrored);
    let other_end = all.iter().filter(same_way).find(|r| !along(r));
    let gap = |other: Option<&Reading>| {
        other
            .map_or(f64::INFINITY, |o| best.score - o.score)
            .min(99.0)
    };
    let side_gap = gap(other_side);
    // A hand has a heel and a ball, but no side: what is stranger than feet are must at least be clear in that.
    let strange = best.score < STRANGEST || (best.score < DOUBTFUL && side_gap < CLEAR);
    if let Some(t) = strangest
        && (strange || best.strangeness(t).abs() > STRANGEST_TRAIT)
    {
        return Err(SurfaceError::NotAFoot {
            what: t.words(),
            found: best.value(t).unwrap_or(f64::NAN),
            expected: t.mean(),
        });
    }
    let mut found = if mirrored { Side::Left } else { Side::Right };
    let side_witnesses = other_side.map_or_else(Vec::new, |o| witnesses(best, o));
    let mut chosen = best.clone();
    let mut notes = Vec::new();
    match asked {
        Some(side) if side != found => {
            if side_gap > CLEAR {
                let strongest = side_witnesses
                    .iter()
                    .max_by(|a, b| a.weight.total_cmp(&b.weight));
                return Err(SurfaceError::WrongSide {
                    found,
                    asked: side,
                    witness: strongest.map_or_else(|| "its shape".into(), |w| w.what.clone()),
                });
            }
            if let Some(other) = other_side {
                chosen = other.clone();
            }
            notes.push(format!(
                "the surface could be a {} foot as well; taken as {}, as was said",
                found.word(),
                side.word()
            ));
            found = side;
        }
        None if side_gap < CLEAR => return Err(SurfaceError::SideUnclear),
        _ => {}
    }
    Ok(Recognised {
        side: found,
        side_gap,
        ends_gap: gap(other_end),
        side_witnesses,
        ends_witnesses: other_end.map_or_else(Vec::new, |o| witnesses(best, o)),
        best: chosen,
        notes,
    })
}

/// Refuses what has no sole, and what was cut through.
fn whole(sample: &Sample, best: &Reading) -> Result<(), SurfaceError> {
    let frame = &best.settled.frame;
    let mut large: Vec<_> = sample
        .lids
        .iter()
        .filter(|l| l.area > LARGE_LID * sample.area)
        .collect();
    large.sort_by(|a, b| b.area.total_cmp(&a.area));
    let strange = best.score < STRANGEST;
    // Of a body that is only half a foot the frame says little, so that any level cut counts.
    let level = |facing: &V| {
        facing.dot(&frame.up).abs() < 0.6 && (strange || facing.dot(&frame.forward).abs() > 0.6)
    };
    // A leg's opening is the only large one of a whole foot, and it faces up.
    let cut = match large[..] {
        [] => None,
        [one] => level(&one.facing).then_some(one),
        _ => large
            .iter()
            .copied()
            .filter(|l| level(&l.facing))
            .max_by(|a, b| a.area.total_cmp(&b.area)),
    };
    if best.look.lid > MOST_LID && cut.is_none() {
        return Err(SurfaceError::NoSole);
    }
    if let Some(cut) = cut {
        return Err(SurfaceError::CutThrough {
            across_share: 100.0 * cut.across / best.settled.length,
        });
    }
    Ok(())
}

struct Mended {
    smoothed: Option<Smoothed>,
    closed: Option<Done>,
    /// Middle and width of what stayed open.
    openings: Vec<(V, f64)>,
}

/// Smooths and closes, in millimetres.
fn mend_skin(mesh: &mut Mesh, topology: &Topology, frame: &Frame, length: f64) -> Mended {
    let rings = Rings::of(topology);
    let rough = mend::noise::roughness(mesh, topology, &rings);
    let smoothed = (rough > SMOOTH_ENOUGH_MM).then(|| {
        // Waves of up to about 4 mm go; with coarser triangles there are none to be seen.
        let side = clean::usual_side(mesh);
        let rounds = (4.0 * (1.1 / side).powi(2)).round().clamp(1.0, 10.0) as u32;
        let how = mend::noise::Smoothing {
            rounds,
            most: SMOOTHED_BY_MM,
        };
        let did = mend::noise::smooth(mesh, topology, &rings, how);
        Smoothed {
            roughness_before_mm: did.before,
            roughness_after_mm: did.after,
            moved_typical_mm: did.typical,
            moved_most_mm: did.farthest,
        }
    });
    let (small, large): (Vec<_>, Vec<_>) = mend::holes(mesh, topology).into_iter().partition(|h| {
        let facing = V::from(h.facing);
        let at = frame.local(&V::from(h.middle));
        // A narrow leg cut high is an opening, not a hole.
        let leg = at.z > 0.3 * length && facing.dot(&frame.up) > 0.5 * facing.norm();
        h.across < LARGEST_HOLE * length && !leg
    });
    let closed = mend::holes::fill(mesh, &rings, &small);
    Mended {
        smoothed,
        closed: (closed.count > 0).then_some(closed),
        openings: large
            .iter()
            .map(|h| (V::from(h.middle), h.across))
            .collect(),
    }
}

/// Sections of a mesh that is not yet in the frame.
struct Exact<'a>(&'a Mesh);

impl Sections for Exact<'_> {
    fn outline(&self, frame: &Frame, _: &[V], length: f64) -> Outline {
        Outline::of_mesh(self.0, &|v| frame.local(&V::from(v)).into(), length)
    }
}

fn moved(mut mesh: Mesh, frame: &Frame) -> Mesh {
    mesh.vertices
        .par_iter_mut()
        .for_each(|v| *v = frame.local(&V::from(*v)).into());
    mesh
}

/// The exact frame, and the mesh in it.
fn align(mesh: Mesh, start: Frame) -> Result<(Settled, Mesh), SurfaceError> {
    let points = Sample::of_skin(&mesh, POINTS_TO_ALIGN);
    let rough = settle(&points, start, &Binned(120), 3).ok_or(SurfaceError::NoHeelAndBall)?;
    let settled =
        settle(&points, rough.frame, &Exact(&mesh), 3).ok_or(SurfaceError::NoHeelAndBall)?;
    let mirrored = settled.frame.mirrored();
    let mut mesh = moved(mesh, &settled.frame);
    if mirrored {
        mesh.triangles.par_iter_mut().for_each(|t| t.swap(1, 2));
    }
    Ok((settled, mesh))
}

/// Everything that was mended, as statements.
fn mends(
    removed: &Removed,
    spikes: (usize, f64),
    scale: f64,
    steps: &[Done],
    alignment: &Alignment,
) -> Vec<Mend> {
    let mut all = Vec::new();
    let mut say = |count: usize, words: String| {
        if count > 0 {
            all.push(Mend {
                words,
                count,
                places_mm: Vec::new(),
            });
        }
    };
    say(
        removed.strays,
        format!(
            "{} removed, {} in all",
            counted(removed.strays, "stray piece", "stray pieces"),
            counted(removed.stray_triangles, "triangle", "triangles")
        ),
    );
    say(
        removed.sheets,
        format!(
            "{} removed that lay on the skin once more",
            counted(removed.sheets, "sheet", "sheets")
        ),
    );
    say(
        removed.plates,
        format!(
            "{} removed beside the foot",
            counted(removed.plates, "flat plate", "flat plates")
        ),
    );
    if removed.rim {
        say(
            removed.rim_triangles,
            format!(
                "a flat plane around the foot removed, {}",
                counted(removed.rim_triangles, "triangle", "triangles")
            ),
        );
    }
    say(
        spikes.0,
        format!(
            "{}, the farthest by {:.1} mm",
            report::words(What::Spikes, spikes.0),
            spikes.1 * scale
        ),
    );
    for step in steps {
        // Closed holes are already in millimetres, the rest in the file's numbers.
        let unit = if step.what == What::Holes {
            1.0 / scale
        } else {
            1.0
        };
        all.push(Mend {
            words: report::words(step.what, step.count),
            count: step.count,
            places_mm: step
                .places
                .iter()
                .filter_map(|p| alignment.foot_point(p.map(|c| c * unit)))
                .collect(),
        });
    }
    all
}
