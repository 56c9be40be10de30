//! The file's own spacing: calibrated, or at the detector with a magnification that is known,
//! measured, or only usual.

use super::{
    Calibration, DEPTH_SE_MM, ObjectDistance, ScaleAnswer, ScaleSource, Spacing, SpacingFacts,
    USUAL_OBJECT_MM, USUAL_SOURCE_MM, known,
};

/// A sender who calibrated without saying how.
const UNTOLD_CALIBRATION_SE: f64 = 0.02;

/// The part of a length at the detector that is the bone's own, `1/M`, with its standard error.
struct Shrink {
    factor: f64,
    se: f64,
}

impl Shrink {
    fn relative(&self) -> f64 {
        self.se / self.factor
    }
}

pub(super) fn choose(
    facts: &SpacingFacts,
    object: Option<ObjectDistance>,
) -> Result<ScaleAnswer, String> {
    let detector = facts.imager_pixel_spacing;
    if let Some(object) = object {
        let (spacing, name) = at_detector(facts).ok_or_else(|| nothing(facts))?;
        return measured_distance(facts, spacing, name, object);
    }
    if let (Some(spacing), Some(how)) = (facts.pixel_spacing, facts.calibration) {
        return Ok(calibrated(facts, spacing, how));
    }
    if let (Some(spacing), Some(detector)) = (facts.pixel_spacing, detector)
        && !spacing.nearly(detector)
    {
        let how = format!(
            "PixelSpacing, which differs from the detector's ({}), so the sender calibrated it without saying how",
            detector.words()
        );
        return Ok(known(
            spacing,
            UNTOLD_CALIBRATION_SE,
            ScaleSource::CalibratedSpacing,
            &how,
        ));
    }
    let (spacing, name) = at_detector(facts).ok_or_else(|| nothing(facts))?;
    if let Some((magnification, from)) = told_magnification(facts) {
        let source_mm = facts.source_to_detector_mm.unwrap_or(USUAL_SOURCE_MM.0);
        let shrink = Shrink {
            factor: 1.0 / magnification,
            se: DEPTH_SE_MM / source_mm,
        };
        let how = format!(
            "{name} ({}) divided by the magnification {magnification:.3} {from}; \
             error from the depth of the bones (± {DEPTH_SE_MM:.0} mm, common practice)",
            spacing.words()
        );
        let scale = spacing.over(magnification);
        return Ok(known(
            scale,
            shrink.relative(),
            ScaleSource::DetectorSpacing,
            &how,
        ));
    }
    Ok(unconfirmed(facts, spacing, name))
}

/// PixelSpacing alone may already be corrected; it is then still the best there is.
fn at_detector(facts: &SpacingFacts) -> Option<(Spacing, &'static str)> {
    match (
        facts.imager_pixel_spacing,
        facts.pixel_spacing,
        facts.calibration,
    ) {
        (Some(spacing), _, _) => Some((spacing, "ImagerPixelSpacing")),
        (None, Some(spacing), None) => Some((spacing, "PixelSpacing")),
        _ => None,
    }
}

fn calibrated(facts: &SpacingFacts, spacing: Spacing, how: Calibration) -> ScaleAnswer {
    let source_mm = facts.source_to_detector_mm.unwrap_or(USUAL_SOURCE_MM.0);
    let se = DEPTH_SE_MM / source_mm;
    let how = match how {
        Calibration::Geometry => {
            "PixelSpacing, corrected by the sender for the distances of the film"
        }
        Calibration::Fiducial => {
            "PixelSpacing, calibrated by the sender on an object of known size"
        }
    };
    let how = format!(
        "{how}; error from the depth of the bones (± {DEPTH_SE_MM:.0} mm, common practice)"
    );
    known(spacing, se, ScaleSource::CalibratedSpacing, &how)
}

/// The magnification the file states. Exactly 1 is what devices write when nobody knew.
fn told_magnification(facts: &SpacingFacts) -> Option<(f64, &'static str)> {
    let sensible = |m: &f64| *m > 1.0 && *m < 2.0;
    let by_distance = || {
        let m = facts.source_to_detector_mm? / facts.source_to_patient_mm?;
        Some((m, "from the file's two distances of the source")).filter(|(m, _)| sensible(m))
    };
    facts
        .magnification
        .filter(sensible)
        .map(|m| (m, "that the file states"))
        .or_else(by_distance)
}

fn measured_distance(
    facts: &SpacingFacts,
    spacing: Spacing,
    name: &str,
    object: ObjectDistance,
) -> Result<ScaleAnswer, String> {
    let usual = (USUAL_SOURCE_MM.0 + USUAL_SOURCE_MM.1) / 2.0;
    let (source_mm, source_se, source_words) = match facts.source_to_detector_mm {
        Some(mm) => (mm, 10.0, format!("the file's source distance {mm:.0} mm")),
        None => (
            usual,
            (USUAL_SOURCE_MM.1 - USUAL_SOURCE_MM.0) / 12_f64.sqrt(),
            format!("a source distance of {usual:.0} mm (usual, unconfirmed)"),
        ),
    };
    let near = (0.0..source_mm / 2.0).contains(&object.mm);
    if !(near && object.se_mm.is_finite() && object.se_mm >= 0.0) {
        return Err(format!(
            "the distance between foot and detector is given as {} ± {} mm; expected 0 to {:.0} mm with an error; measure it again",
            object.mm,
            object.se_mm,
            source_mm / 2.0
        ));
    }
    // 1/M = 1 − OID/SID
    let share = object.mm / source_mm;
    let shrink = Shrink {
        factor: 1.0 - share,
        se: (object.se_mm / source_mm).hypot(share * source_se / source_mm),
    };
    let how = format!(
        "{name} ({}) divided by the magnification {:.3} from {source_words} and the measured {:.0} ± {:.0} mm between foot and detector",
        spacing.words(),
        1.0 / shrink.factor,
        object.mm,
        object.se_mm
    );
    let scale = spacing.over(1.0 / shrink.factor);
    Ok(known(
        scale,
        shrink.relative(),
        ScaleSource::DetectorSpacing,
        &how,
    ))
}

fn unconfirmed(facts: &SpacingFacts, spacing: Spacing, name: &str) -> ScaleAnswer {
    // PixelSpacing without a word on calibration may already be corrected: no object distance then.
    let nearest = if name == "PixelSpacing" && facts.imager_pixel_spacing.is_none() {
        0.0
    } else {
        USUAL_OBJECT_MM.0
    };
    let source = facts
        .source_to_detector_mm
        .map_or(USUAL_SOURCE_MM, |mm| (mm, mm));
    let shrink = usual_shrink(source, (nearest, USUAL_OBJECT_MM.1));
    let least = source.1 / (source.1 - nearest);
    let most = source.0 / (source.0 - USUAL_OBJECT_MM.1);
    let how = format!(
        "{name} ({}) divided by the usual magnification {:.3} of a standing foot film ({least:.2} to {most:.2}, common practice, unconfirmed) because the file states none; use a ball or a known length for better",
        spacing.words(),
        1.0 / shrink.factor
    );
    let scale = spacing.over(1.0 / shrink.factor);
    known(
        scale,
        shrink.relative(),
        ScaleSource::UnconfirmedMagnification,
        &how,
    )
}

/// Mean and standard deviation of `1 − OID/SID`, both distances even over their range.
fn usual_shrink(source: (f64, f64), object: (f64, f64)) -> Shrink {
    let span = source.1 - source.0;
    // E[1/S] = ln(b/a)/(b−a) and E[1/S²] = 1/(ab) for S even over (a, b).
    let inverse = if span > 0.0 {
        (source.1 / source.0).ln() / span
    } else {
        1.0 / source.0
    };
    let inverse_square = 1.0 / (source.0 * source.1);
    let mean = (object.0 + object.1) / 2.0;
    let mean_square = mean * mean + (object.1 - object.0).powi(2) / 12.0;
    let variance = mean_square * inverse_square - (mean * inverse).powi(2);
    Shrink {
        factor: 1.0 - mean * inverse,
        se: variance.max(0.0).sqrt(),
    }
}

fn nothing(facts: &SpacingFacts) -> String {
    let remedy = "mark a ball or a known length for millimetres; angles work without";
    if facts.refused.is_empty() {
        format!("the file gives no pixel spacing; {remedy}")
    } else {
        format!(
            "the file's spacing cannot be used: {}; expected the height and width of a pixel in millimetres; {remedy}",
            facts.refused.join(", ")
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_shrink_agrees_with_a_sum_over_both_ranges() {
        let (source, object) = (USUAL_SOURCE_MM, USUAL_OBJECT_MM);
        let n = 400;
        let at = |(a, b): (f64, f64), i: usize| a + (b - a) * (i as f64 + 0.5) / n as f64;
        let all: Vec<f64> = (0..n)
            .flat_map(|i| (0..n).map(move |j| 1.0 - at(object, j) / at(source, i)))
            .collect();
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        let variance = all.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / all.len() as f64;
        let shrink = usual_shrink(source, object);
        assert!((shrink.factor - mean).abs() < 1e-6);
        assert!((shrink.se - variance.sqrt()).abs() < 1e-6);
    }
}
