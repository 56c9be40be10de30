//! Scale from something of known size on the film: a ball beside the foot, a ruler, a drawn length.

use super::{DEPTH_SE_MM, ScaleAnswer, ScaleSource, Spacing, SpacingFacts, USUAL_SOURCE_MM, known};
use crate::help::circle_through;

/// A ball whose edge points lie this far from one circle (relative to its radius) is no ball.
const ROUNDNESS: f64 = 0.05;

pub(super) fn ball(
    facts: &SpacingFacts,
    diameter_mm: f64,
    diameter_se_mm: f64,
    edge_points_px: &[[f64; 2]],
    point_se_px: f64,
) -> Result<ScaleAnswer, String> {
    size(
        diameter_mm,
        diameter_se_mm,
        point_se_px,
        "the ball's diameter",
    )?;
    let aspect = facts.aspect();
    // In a frame where pixels are square: the ball is round there.
    let points: Vec<[f64; 2]> = edge_points_px
        .iter()
        .map(|[x, y]| [*x, y * aspect])
        .collect();
    let circle = circle_through(&points, point_se_px).ok_or_else(|| {
        format!(
            "found {} edge points that give no circle; expected three or more spread around the ball; place them again",
            points.len()
        )
    })?;
    if circle.residual_px > ROUNDNESS * circle.radius_px {
        return Err(format!(
            "the edge points lie {:.1} pixels from one circle of radius {:.1}; expected the outline of one ball; place them again",
            circle.residual_px, circle.radius_px
        ));
    }
    let mm = diameter_mm / (2.0 * circle.radius_px);
    let parts = [
        circle.radius_se_px / circle.radius_px,
        diameter_se_mm / diameter_mm,
        depth_share(facts),
    ];
    let how = format!(
        "a ball of {diameter_mm:.1} mm fitted to {} edge points (radius {:.1} px, error {:.1} %), at a depth within {DEPTH_SE_MM:.0} mm of the bones (common practice)",
        points.len(),
        circle.radius_px,
        parts[0] * 100.0
    );
    let spacing = Spacing {
        across_mm: mm,
        down_mm: mm * aspect,
    };
    Ok(known(spacing, joined(&parts), ScaleSource::Ball, &how))
}

pub(super) fn length(
    facts: &SpacingFacts,
    from_px: [f64; 2],
    to_px: [f64; 2],
    length_mm: f64,
    length_se_mm: f64,
    point_se_px: f64,
) -> Result<ScaleAnswer, String> {
    size(length_mm, length_se_mm, point_se_px, "the known length")?;
    let aspect = facts.aspect();
    let span = (to_px[0] - from_px[0]).hypot((to_px[1] - from_px[1]) * aspect);
    if !(span.is_finite() && span >= 10.0) {
        return Err(format!(
            "the two ends lie {span:.1} pixels apart; expected 10 or more; mark something longer"
        ));
    }
    let mm = length_mm / span;
    // Two ends, each with its own error along the line.
    let parts = [
        std::f64::consts::SQRT_2 * point_se_px / span,
        length_se_mm / length_mm,
        depth_share(facts),
    ];
    let how = format!(
        "a known length of {length_mm:.1} mm over {span:.0} px (error of its ends {:.1} %), at a depth within {DEPTH_SE_MM:.0} mm of the bones (common practice)",
        parts[0] * 100.0
    );
    let spacing = Spacing {
        across_mm: mm,
        down_mm: mm * aspect,
    };
    Ok(known(
        spacing,
        joined(&parts),
        ScaleSource::KnownLength,
        &how,
    ))
}

fn size(mm: f64, se_mm: f64, point_se_px: f64, what: &str) -> Result<(), String> {
    if !(mm.is_finite() && mm > 0.0) {
        return Err(format!(
            "{what} is given as {mm} mm; expected a size above zero; enter it again"
        ));
    }
    if !(se_mm.is_finite() && se_mm >= 0.0 && point_se_px.is_finite() && point_se_px >= 0.0) {
        return Err(format!(
            "the errors are given as {se_mm} mm and {point_se_px} px; expected zero or more; enter them again"
        ));
    }
    Ok(())
}

fn depth_share(facts: &SpacingFacts) -> f64 {
    DEPTH_SE_MM / facts.source_to_detector_mm.unwrap_or(USUAL_SOURCE_MM.0)
}

fn joined(parts: &[f64]) -> f64 {
    parts.iter().map(|p| p * p).sum::<f64>().sqrt()
}
