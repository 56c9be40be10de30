//! Where do the detector, the collimator, the lead letters and the ball go for each view?

use super::scene::Subject;
use super::{BallTruth, BallWish, Collimation, Exposure};
use crate::render::detector::Opening;
use crate::render::marks::LeadText;
use crate::render::{Ball, Camera};
use terms::{Side, View};

/// The exposed rectangle, film pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Field {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
}

/// The point that the central ray meets: the middle of the foot's bones, low on the lateral view so
/// that the floor is seen edge on; the talus from behind and in front.
pub(super) fn aim(subject: &Subject<'_>, view: View) -> Option<[f64; 3]> {
    let (low, high) = subject.foot_bounds()?;
    let middle: [f64; 3] = std::array::from_fn(|k| (low[k] + high[k]) / 2.0);
    Some(match view {
        View::Lateral => [middle[0], 30.0, middle[2]],
        View::Dorsoplantar => [middle[0], 35.0, middle[2]],
        View::HindfootAlignment | View::AnkleFront => subject.talus_middle.unwrap_or(middle),
    })
}

/// Slides the detector so that the foot lies well on the film.
pub(super) fn slide(subject: &Subject<'_>, exposure: &Exposure, camera: Camera) -> Camera {
    let Some((low, high)) = subject.flesh_bounds() else {
        return camera;
    };
    let corners = (0..8).map(|i| {
        camera.project(std::array::from_fn(|k| {
            if i >> k & 1 == 1 { high[k] } else { low[k] }
        }))
    });
    let (left, right) = corners.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, r), [x, _]| {
        (l.min(x), r.max(x))
    });
    let (w, h) = (camera.width as f64 - 1.0, camera.height as f64 - 1.0);
    let to_middle = (w - left - right) / 2.0;
    let floor = |share: f64| h * share - camera.project([low[0], 0.0, (low[2] + high[2]) / 2.0])[1];
    match exposure.view {
        View::Lateral => camera.slid_px(to_middle, floor(0.86)),
        // The toes' flesh 15 mm below the upper edge; the heel and the leg above it fall where they fall.
        View::Dorsoplantar => {
            let toes = subject.highest_near_floor(&camera).unwrap_or(0.0);
            camera.slid_px(to_middle, 15.0 / exposure.pixel_mm - toes)
        }
        View::HindfootAlignment => camera.slid_px(to_middle, floor(0.88)),
        View::AnkleFront => camera.slid_px(to_middle, floor(0.90)),
    }
}

/// The part of the film that is exposed.
pub(super) fn field(subject: &Subject<'_>, exposure: &Exposure, camera: &Camera) -> Field {
    let (w, h) = (camera.width as f64 - 1.0, camera.height as f64 - 1.0);
    let Collimation::Border { mm } = exposure.collimation else {
        return Field {
            left: -1e9,
            right: 1e9,
            top: -1e9,
            bottom: 1e9,
        };
    };
    let border = (mm / exposure.pixel_mm).clamp(0.0, w.min(h) / 3.0);
    let mut field = Field {
        left: border,
        right: w - border,
        top: border,
        bottom: h - border,
    };
    // The cut end of the lower leg never shows.
    if exposure.view != View::Dorsoplantar
        && let Some(cut) = subject.leg_cut(camera)
    {
        field.top = field.top.max(cut + 2.0 / exposure.pixel_mm).min(h * 0.45);
    }
    field
}

/// Part of the beam let through to each pixel: 1 inside, falling to next to nothing within 1 mm.
pub(super) fn opening(camera: &Camera, f: Field, pixel_mm: f64) -> Opening {
    let soft = 0.5 / pixel_mm;
    let edge = |inside: f64| (0.5 + inside / (2.0 * soft)).clamp(0.0, 1.0) as f32;
    let along = |n: usize, low: f64, high: f64| {
        (0..n)
            .map(|i| edge((i as f64 - low).min(high - i as f64)))
            .collect()
    };
    Opening {
        columns: along(camera.width, f.left, f.right),
        rows: along(camera.height, f.top, f.bottom),
    }
}

/// The side's letter, and 'STANDING' with an arrow to the floor, in a corner away from the foot.
pub(super) fn lead_texts(view: View, side: Side, camera: &Camera, f: Field) -> Vec<LeadText> {
    let mm = |v: f64| v / camera.pixel_mm;
    let (w, h) = (camera.width as f64, camera.height as f64);
    let (left, right) = (f.left.max(0.0), f.right.min(w));
    let (top, bottom) = (f.top.max(0.0), f.bottom.min(h));
    let letter = if side == Side::Right { "R" } else { "L" };
    let words = "STANDING ↓";
    let (big, small) = (mm(11.0), mm(4.2));
    let text = |text: &str, at: [f64; 2], height_px: f64, wire_mm: f64| LeadText {
        text: text.into(),
        at,
        height_px,
        wire_px: mm(wire_mm),
        attenuation: 2.6,
    };
    // On the lateral view over the toes; else on the foot's outer side, as far as the letters' width.
    let width = LeadText::width_px(words, small);
    let at_right = match view {
        View::Lateral | View::Dorsoplantar | View::HindfootAlignment => side == Side::Right,
        View::AnkleFront => side == Side::Left,
    };
    let x = if at_right {
        right - mm(8.0) - width
    } else {
        left + mm(8.0)
    };
    let y = match view {
        View::Lateral => top + mm(12.0),
        View::Dorsoplantar => bottom - mm(40.0),
        View::HindfootAlignment | View::AnkleFront => top + (bottom - top) * 0.35,
    };
    vec![
        text(
            letter,
            [
                if at_right {
                    right - mm(8.0) - mm(7.0)
                } else {
                    x
                },
                y,
            ],
            big,
            1.7,
        ),
        text(words, [x, y + big + mm(4.0)], small, 0.8),
    ]
}

/// Beside the foot, where its shadow meets no bone.
pub(super) fn ball(subject: &Subject<'_>, side: Side, exposure: &Exposure, wish: BallWish) -> Ball {
    let (low, high) = subject.foot_bounds().unwrap_or(([0.0; 3], [0.0; 3]));
    let middle: [f64; 3] = std::array::from_fn(|k| (low[k] + high[k]) / 2.0);
    let out = if side == Side::Right { 1.0 } else { -1.0 };
    let r = wish.diameter_mm / 2.0;
    let beside = match exposure.view {
        View::Lateral => [high[0] - 35.0, 85.0 + r, middle[2]],
        View::Dorsoplantar => [
            low[0] + 70.0,
            35.0f64.max(r),
            middle[2] + out * (22.0 + r + (high[2] - low[2]) / 2.0),
        ],
        View::HindfootAlignment | View::AnkleFront => {
            let at = subject.talus_middle.unwrap_or(middle);
            [at[0], at[1], at[2] + out * (50.0 + r)]
        }
    };
    Ball {
        centre_mm: wish.centre_mm.unwrap_or(beside),
        diameter_mm: wish.diameter_mm,
    }
}

/// # Assumptions
/// The short axis of the shadow: the ball's own widening by a point source is kept, r/√(d² − r²).
pub(super) fn ball_truth(camera: &Camera, ball: Ball) -> BallTruth {
    let magnification = camera.magnification(ball.centre_mm);
    let depth = camera.source_to_detector_plane_mm() / magnification;
    let r = ball.diameter_mm / 2.0;
    let widening = depth / (depth * depth - r * r).max(1.0).sqrt();
    BallTruth {
        diameter_mm: ball.diameter_mm,
        centre_mm: ball.centre_mm,
        centre_px: camera.project(ball.centre_mm),
        diameter_px: ball.diameter_mm * magnification * widening / camera.pixel_mm,
        magnification,
    }
}
