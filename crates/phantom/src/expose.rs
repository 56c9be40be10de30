//! How does a drawn foot become a film?
//!
//! An [`Exposure`] says how tube, detector and foot stand; [`expose`] draws the foot and gives a
//! [`PhantomFilm`] with its true points. [`dicom`] writes it as a DICOM object.

pub mod dicom;
mod facts;
mod place;
mod scene;

use crate::foot::Foot;
use crate::render::detector::{self, Counting, Tone};
use crate::render::marks::LeadText;
use crate::render::{Ball, Beam, BehindSource, Camera, Scene, Setup};
use crate::truth::TrueValue;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::{LandmarkKey, Side, View};

pub use scene::{MeshBone, MeshFoot};

/// How tube, detector and foot stand for one film.
///
/// # Units
/// Millimetres on the detector and along the central ray; degrees.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Exposure {
    pub view: View,
    /// Along the central ray.
    pub source_to_detector_mm: f64,
    /// From the middle of the foot's bones (hindfoot and ankle: of the talus) to the detector, along the central ray.
    pub object_to_detector_mm: f64,
    /// Dorsoplantar: from upright towards the heel. Else: downwards from level.
    pub beam_angle_deg: f64,
    /// + = toes turned to the foot's outer side.
    pub foot_rotation_deg: f64,
    pub pixel_mm: f64,
    pub width: usize,
    pub height: usize,
    pub counting: Counting,
    pub tone: Tone,
    pub collimation: Collimation,
    /// A lead letter for the side, and 'STANDING' with an arrow to the floor.
    pub marker: bool,
    pub ball: Option<BallWish>,
    /// The platform under the foot and the wire that marks its surface.
    pub platform: bool,
    /// Of the bone texture; the noise has its own in [`Counting`].
    pub seed: u64,
}

/// What of the detector is exposed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Collimation {
    /// Nothing is shut out.
    Open,
    /// A border of this width on every side; the top comes down further where the lower leg ends.
    Border { mm: f64 },
}

/// A steel ball for the scale, beside the foot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BallWish {
    pub diameter_mm: f64,
    /// Where its middle lies; without it, beside the foot at the height of the middle of the bones.
    pub centre_mm: Option<[f64; 3]>,
}

/// The ball as it falls on the film.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BallTruth {
    pub diameter_mm: f64,
    pub centre_mm: [f64; 3],
    pub centre_px: [f64; 2],
    /// Length of the shadow along its short axis.
    pub diameter_px: f64,
    pub magnification: f64,
}

/// What was drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MadeOf {
    InventedFoot,
    BonesFromFiles,
}

impl MadeOf {
    pub fn words(self) -> &'static str {
        match self {
            MadeOf::InventedFoot => "an invented foot",
            MadeOf::BonesFromFiles => "bones from mesh files",
        }
    }
}

/// A film of a phantom, with the truth about it.
#[derive(Debug, Clone)]
pub struct PhantomFilm {
    pub made_of: MadeOf,
    pub side: Side,
    pub width: usize,
    pub height: usize,
    /// Dense bright; the lowest `bits_stored` bits are used.
    pub pixels: Vec<u16>,
    pub detector_spacing_mm: f64,
    /// At the middle of the foot, to which millimetres on the film are reduced.
    pub magnification: f64,
    pub camera: Camera,
    /// The point of the world that the central ray meets.
    pub aim_mm: [f64; 3],
    /// The true points, in film pixels; those off the exposed field, or on no bone yet, are absent.
    pub landmarks_px: BTreeMap<LandmarkKey, [f64; 2]>,
    /// The same points in the world.
    pub landmarks_mm: BTreeMap<LandmarkKey, [f64; 3]>,
    /// True values in space and as this film shows them; none where no point of the view is known.
    pub truth: Option<FilmTruth>,
    pub ball: Option<BallTruth>,
    pub exposure: Exposure,
}

/// What every measure of the view truly is.
#[derive(Debug, Clone, PartialEq)]
pub struct FilmTruth {
    /// On the standing foot, seen square.
    pub in_space: Vec<TrueValue>,
    /// As the point source throws it on the film, brought back to the size of life at mid foot.
    pub on_film: Vec<TrueValue>,
}

/// A film that cannot be taken.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoFilm {
    #[error("found {found} as {what}; expected {expected}")]
    BadExposure {
        what: &'static str,
        found: f64,
        expected: &'static str,
    },
    #[error(transparent)]
    BehindSource(#[from] BehindSource),
    #[error("found no bone to draw; a foot with at least one bone was expected")]
    NoBones,
    #[error("found {fault} in the mesh of {bone:?}; expected a surface of finite points: mend it")]
    BadBone { bone: String, fault: &'static str },
    #[error(transparent)]
    NoSoftTissue(#[from] crate::render::offset::NoGrid),
}

impl Exposure {
    /// The usual way to take this view.
    ///
    /// # Sources
    /// Common practice: 1,050 mm to the detector (hindfoot view 1,000 mm, 20° to the floor with the
    /// detector square to the beam and before the toes, so that the heel is drawn about a quarter larger than
    /// life); dorsoplantar beam 15° towards the heel; a detector of 24 × 30 cm, for the hindfoot view of 34 × 42 cm.
    pub fn usual(view: View) -> Exposure {
        let (sid, oid, angle, width, height) = match view {
            View::Lateral => (1050.0, 60.0, 0.0, 3000, 2400),
            View::Dorsoplantar => (1050.0, 50.0, 15.0, 2400, 3000),
            View::HindfootAlignment => (1000.0, 220.0, 20.0, 2400, 3000),
            View::AnkleFront => (1050.0, 80.0, 0.0, 2400, 3000),
        };
        Exposure {
            view,
            source_to_detector_mm: sid,
            object_to_detector_mm: oid,
            beam_angle_deg: angle,
            foot_rotation_deg: 0.0,
            pixel_mm: if view == View::HindfootAlignment {
                0.14
            } else {
                0.1
            },
            width,
            height,
            counting: Counting::default(),
            tone: Tone::default(),
            collimation: Collimation::Border { mm: 6.0 },
            marker: true,
            ball: None,
            platform: !matches!(view, View::Dorsoplantar),
            seed: 1,
        }
    }

    /// The usual way, on the next larger detector (35 × 43 cm) where a foot of this length would not
    /// fit on the usual one.
    pub fn usual_for_length(view: View, foot_length_mm: f64) -> Exposure {
        let mut exposure = Exposure::usual(view);
        let flat = matches!(view, View::Lateral | View::Dorsoplantar);
        if flat && foot_length_mm > 265.0 {
            let upright = exposure.height > exposure.width;
            (exposure.width, exposure.height) = if upright { (3500, 4300) } else { (4300, 3500) };
        }
        exposure
    }

    fn check(&self) -> Result<(), NoFilm> {
        let rules = [
            (
                "the distance from source to detector, mm",
                self.source_to_detector_mm,
                400.0,
                5000.0,
                "400 to 5000",
            ),
            (
                "the distance from object to detector, mm",
                self.object_to_detector_mm,
                0.0,
                self.source_to_detector_mm / 2.0,
                "0 to half the source distance",
            ),
            (
                "the beam angle, degrees",
                self.beam_angle_deg,
                -60.0,
                60.0,
                "-60 to 60",
            ),
            (
                "the foot rotation, degrees",
                self.foot_rotation_deg,
                -180.0,
                180.0,
                "-180 to 180",
            ),
            ("the pixel, mm", self.pixel_mm, 0.02, 5.0, "0.02 to 5"),
            (
                "the width, pixels",
                self.width as f64,
                16.0,
                20_000.0,
                "16 to 20000",
            ),
            (
                "the height, pixels",
                self.height as f64,
                16.0,
                20_000.0,
                "16 to 20000",
            ),
            (
                "the counts in a pixel",
                self.counting.counts,
                0.0,
                1e9,
                "0 to 1e9",
            ),
            (
                "the scatter fraction",
                self.counting.scatter_fraction,
                0.0,
                0.95,
                "0 to 0.95",
            ),
            (
                "the bits stored",
                f64::from(self.tone.bits_stored),
                8.0,
                16.0,
                "8 to 16",
            ),
        ];
        for (what, found, low, high, expected) in rules {
            if !(low..=high).contains(&found) {
                return Err(NoFilm::BadExposure {
                    what,
                    found,
                    expected,
                });
            }
        }
        Ok(())
    }
}

/// Draws a phantom foot as one film.
///
/// # Errors
/// An exposure outside its bounds, or a foot that reaches beside the tube.
pub fn expose(foot: &Foot, exposure: &Exposure) -> Result<PhantomFilm, NoFilm> {
    exposure.check()?;
    let points = Points {
        made_of: MadeOf::InventedFoot,
        side: foot.spec.side,
        landmarks: &foot.landmarks,
    };
    take(scene::of_foot(foot)?, &points, exposure)
}

/// Draws bones that came from mesh files as one film, with the points that the rules of
/// [`crate::meshfile::points`] find on the named ones.
///
/// # Errors
/// As [`expose`], no bone at all, and a mesh that is none.
pub fn expose_meshes(foot: &MeshFoot, exposure: &Exposure) -> Result<PhantomFilm, NoFilm> {
    exposure.check()?;
    foot.check()?;
    let points = Points {
        made_of: MadeOf::BonesFromFiles,
        side: foot.side,
        landmarks: &foot.landmarks(),
    };
    take(scene::of_meshes(foot)?, &points, exposure)
}

/// What is known of a foot besides its shape.
struct Points<'a> {
    made_of: MadeOf,
    side: Side,
    landmarks: &'a BTreeMap<View, BTreeMap<LandmarkKey, [f64; 3]>>,
}

fn take(
    subject: scene::Subject<'_>,
    foot: &Points<'_>,
    exposure: &Exposure,
) -> Result<PhantomFilm, NoFilm> {
    let side = foot.side;
    let aim = place::aim(&subject, exposure.view).ok_or(NoFilm::NoBones)?;
    let camera = place::slide(
        &subject,
        exposure,
        Camera::new(&Setup {
            beam: Beam::of(exposure.view, side, exposure.beam_angle_deg),
            aim,
            source_to_detector_mm: exposure.source_to_detector_mm,
            object_to_detector_mm: exposure.object_to_detector_mm,
            foot_rotation_deg: exposure.foot_rotation_deg,
            side,
            pixel_mm: exposure.pixel_mm,
            width: exposure.width,
            height: exposure.height,
        }),
    );
    let field = place::field(&subject, exposure, &camera);
    let ball = exposure
        .ball
        .map(|wish| place::ball(&subject, side, exposure, wish));
    let heel_back = subject.foot_bounds().map_or(aim[0], |(low, _)| low[0]);
    let mut scene: Scene<'_> = subject.scene;
    scene.seed = exposure.seed;
    scene.balls.extend(ball);
    if exposure.platform {
        scene
            .fillers
            .extend(scene::platform(exposure.view, aim, heel_back));
    }
    let mut drawn = crate::render::scene::attenuation_grey(&camera, &scene)?;
    let open = place::opening(&camera, field, exposure.pixel_mm);
    if exposure.marker {
        for text in place::lead_texts(exposure.view, side, &camera, field) {
            LeadText::draw(&text, camera.width, camera.height, &mut drawn.values);
        }
    }
    let counted = detector::counts(drawn, &open, exposure.pixel_mm, &exposure.counting);
    let full = if exposure.counting.counts > 0.0 {
        exposure.counting.counts
    } else {
        1.0
    };
    let pixels = detector::grey_levels(counted, &open, exposure.pixel_mm, full, &exposure.tone);
    let in_field = |[x, y]: [f64; 2]| {
        x >= field.left && x <= field.right && y >= field.top && y <= field.bottom
    };
    let none = BTreeMap::new();
    let points = foot.landmarks.get(&exposure.view).unwrap_or(&none);
    let mut landmarks_mm = points.clone();
    landmarks_mm.retain(|_, at| in_field(camera.project(*at)));
    let magnification = camera.magnification(aim);
    let mut in_space = crate::truth::in_space(side, foot.landmarks).values;
    in_space.retain(|value| value.view == exposure.view);
    let on_film =
        crate::truth::cast(side, exposure.view, points, &camera, 1.0 / magnification).values;
    Ok(PhantomFilm {
        made_of: foot.made_of,
        side,
        width: camera.width,
        height: camera.height,
        pixels,
        detector_spacing_mm: exposure.pixel_mm,
        magnification,
        aim_mm: aim,
        landmarks_px: landmarks_mm
            .iter()
            .map(|(key, &at)| (key.clone(), camera.project(at)))
            .collect(),
        landmarks_mm,
        truth: (!points.is_empty()).then_some(FilmTruth { in_space, on_film }),
        ball: ball.map(|b: Ball| place::ball_truth(&camera, b)),
        exposure: exposure.clone(),
        camera,
    })
}
