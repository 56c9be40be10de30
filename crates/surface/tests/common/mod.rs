//! Invented scans with known truth, and how far found points lie from it.

#![allow(dead_code)]

use mesh::Mesh;
use phantom::scan::{Scan, ScanSpec, Unit as FileUnit, make};
use phantom::skin::Mark;
use surface::{Asked, Load, Point, Prepared, SurfaceError, Unit, prepare_mesh};
use terms::Side;

pub fn scan(spec: &ScanSpec) -> Scan {
    match make(spec) {
        Ok(scan) => scan,
        Err(e) => panic!("{}: {e}", spec.name),
    }
}

pub fn load_of(spec: &ScanSpec) -> Load {
    match spec.skin.load {
        phantom::skin::Load::Standing => Load::Full,
        phantom::skin::Load::Hanging => Load::None,
    }
}

pub fn prepared(mesh: &Mesh, asked: &Asked) -> Result<Prepared, SurfaceError> {
    prepare_mesh(mesh.clone(), None, asked, &mut |_, _| {})
}

pub fn unit_of(unit: FileUnit) -> Unit {
    match unit {
        FileUnit::Millimetre => Unit::Millimetre,
        FileUnit::Centimetre => Unit::Centimetre,
        FileUnit::Metre => Unit::Metre,
        FileUnit::Inch => Unit::Inch,
    }
}

pub const MARKS: [(Point, Mark); 5] = [
    (Point::FirstHead, Mark::FirstHead),
    (Point::FifthHead, Mark::FifthHead),
    (Point::HeelCentre, Mark::HeelCentre),
    (Point::Navicular, Mark::Navicular),
    (Point::ToeTip, Mark::ToeTip),
];

/// How far each found point lies from the true one, in mm; `None` where the scan does not hold it.
pub fn errors(scan: &Scan, found: &Prepared) -> Vec<(Point, Option<f64>)> {
    let Some(truth) = &scan.truth else {
        return Vec::new();
    };
    let world_from_file = truth.file_from_world.inverse();
    MARKS
        .into_iter()
        .map(|(point, mark)| {
            let at = found.foot.points.mark(point).at;
            let at = world_from_file.point(found.alignment.file_point(at));
            let mut wanted = world_from_file.point(truth.marks[&mark]);
            // On a glass plate the skin was pressed up to the glass: its truth is there.
            wanted[1] = wanted[1].max(scan.spec.plate_cut_mm);
            let distance =
                |to: [f64; 3]| (0..3).map(|k| (at[k] - to[k]).powi(2)).sum::<f64>().sqrt();
            let mut off = distance(wanted);
            if point == Point::ToeTip
                && let Some(other) = other_tip(scan)
            {
                off = off.min(distance(other));
            }
            (
                point,
                (!found.report.guessed.contains(&point)).then_some(off),
            )
        })
        .collect()
}

/// The tip of another toe, where one reaches as far forward as the longest: to within what turning the long axis
/// by two degrees changes between neighbouring toes (15 mm apart), 0.5 mm. Which of the two is the longest is
/// then nothing that a scan can tell, and either is right. In the world frame.
pub fn other_tip(scan: &Scan) -> Option<[f64; 3]> {
    let skin = phantom::skin::build_skin(&scan.spec.skin).ok()?;
    let frame = skin.marks.frame;
    let tip = frame.local(skin.marks.at(Mark::ToeTip));
    let another =
        |at: &[f64; 3]| (at[1] - tip[1]).abs() > 8.0 && tip[0] - at[0] < 0.5 && at[2] < 60.0;
    let ahead = |v: &[f64; 3]| frame.local(*v)[0];
    skin.mesh
        .vertices
        .iter()
        .copied()
        .filter(|v| another(&frame.local(*v)))
        .max_by(|a, b| ahead(a).total_cmp(&ahead(b)))
}

/// The value that `share` of all lie at or below.
pub fn percentile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let at = ((sorted.len() as f64 * share).ceil() as usize).clamp(1, sorted.len());
    sorted[at - 1]
}

pub fn shown_side(scan: &Scan) -> Side {
    scan.truth.as_ref().map_or(Side::Right, |t| t.shown_side)
}
