//! What is a print before anything is done to it: values on a grid, with what is known of scale and kind.
//!
//! Places are cells of what came (pixels of the picture, sensors of the grid), whole numbers at their centres. A
//! large picture is worked on coarser than it came; nobody outside sees that, places stay those of the picture.

use crate::PrintError;
use crate::field::{Field, smoothed};
use crate::light::{Evened, Light, Lit};
use crate::pressure_text::Recording;
use crate::scale::{Pitch, Scale, Scaling};
use picture::Picture;
use serde::{Deserialize, Serialize};

/// What made the print.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Medium {
    /// Ink or carbon: dark on light paper.
    Ink,
    /// A wet sole on paper: darker than the paper, of little contrast.
    Wet,
    /// The sole itself on a flat-bed scanner: bright on dark.
    Scan,
    /// A pressure grid: loaded is high.
    Pressure,
}

impl Medium {
    pub const ALL: [Medium; 4] = [Medium::Ink, Medium::Wet, Medium::Scan, Medium::Pressure];

    pub fn words(self) -> &'static str {
        match self {
            Medium::Ink => "ink or carbon on paper",
            Medium::Wet => "wet print on paper",
            Medium::Scan => "sole on a flat-bed scanner",
            Medium::Pressure => "pressure grid",
        }
    }

    /// Is the print darker than its ground?
    pub fn dark(self) -> bool {
        matches!(self, Medium::Ink | Medium::Wet)
    }

    /// How the foot is usually seen: a scanner looks at the sole from below.
    pub fn usually_seen(self) -> Seen {
        match self {
            Medium::Scan => Seen::FromBelow,
            _ => Seen::FromAbove,
        }
    }
}

/// From where the sheet shows the foot; the two are mirror images.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Seen {
    FromAbove,
    FromBelow,
}

/// The most cells of a pressure series, all frames together.
pub const MOST_CELLS: u64 = 40_000_000;
/// Fewer cells than this in either direction hold no foot.
pub const LEAST_CELLS: usize = 8;
/// A picture is worked on with at most so many cells along its longer side: on A4 a fifth of a millimetre.
const WORKED_CELLS: usize = 1500;

/// A print as it came in.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Cells of what came.
    width: usize,
    height: usize,
    pub medium: Medium,
    pub seen: Seen,
    pub scale: Scale,
    /// Whether the medium was told or is a guess.
    pub medium_told: bool,
    /// As it came, smoothed where there is grain.
    came: Field,
    /// The same with the light divided out, where that is uneven.
    evened: Option<Field>,
    /// Nothing on the picture has an edge.
    pub(crate) blank: bool,
    /// Every frame of a series, each with the field's cells; empty where there is one grid or a picture.
    pub(crate) frames: Vec<Vec<f32>>,
    /// Frames a second, where the caller said so.
    pub rate_hz: Option<f64>,
}

impl Sheet {
    /// A picture of a print. Without a `medium` it is guessed from the rim of the picture.
    ///
    /// # Errors
    /// A scale that cannot be, a picture of one colour.
    pub fn of_picture(
        picture: &Picture,
        medium: Option<Medium>,
        scaling: &Scaling,
    ) -> Result<Sheet, PrintError> {
        let (width, height) = (picture.width as usize, picture.height as usize);
        let scale = Scale::of_picture(scaling, picture.px_per_mm)?;
        let step = width.max(height).div_ceil(WORKED_CELLS).max(1);
        let worked = |medium: Medium| -> Result<Field, PrintError> {
            let ink = medium == Medium::Ink;
            let field = Field::of_rgb(&picture.rgb, width, height, step, ink);
            let mut field = field.ok_or(PrintError::TooSmall {
                columns: width,
                rows: height,
                least: LEAST_CELLS,
            })?;
            looked_at_within(&mut field, &scale);
            Ok(field)
        };
        let mut guess = medium.unwrap_or_else(|| guessed(picture));
        let mut field = worked(guess)?;
        let lit = match medium {
            Some(known) if !known.dark() => Lit::Even,
            _ => Lit::of(&field),
        };
        let blank = matches!(lit, Lit::Blank);
        let mut even = lit.evened();
        if medium.is_none()
            && let Some(e) = even.take()
        {
            // Uneven light misleads a guess by the picture's rim.
            let again = told_apart(e.paper, e.nodes.clone());
            if (again == Medium::Ink) != (guess == Medium::Ink) {
                field = worked(again)?;
                even = Lit::of(&field).evened();
            } else {
                even = Some(e);
            }
            guess = again;
            even = even.filter(|_| again.dark());
        }
        let even = even.map(|Evened { field, .. }| smoothed(field));
        Ok(Sheet {
            width,
            height,
            medium: guess,
            seen: guess.usually_seen(),
            scale,
            medium_told: medium.is_some(),
            came: smoothed(field),
            evened: even,
            blank,
            frames: Vec::new(),
            rate_hz: None,
        })
    }

    /// One grid or a series of pressures; of a series the greatest value of each cell is the print.
    ///
    /// # Errors
    /// Too small, too large, or the same all over.
    pub fn of_pressure(recording: Recording, pitch: Pitch) -> Result<Sheet, PrintError> {
        let (width, height) = (recording.columns, recording.rows);
        let count = (width as u64).saturating_mul(height as u64);
        if width < LEAST_CELLS || height < LEAST_CELLS {
            return Err(PrintError::TooSmall {
                columns: width,
                rows: height,
                least: LEAST_CELLS,
            });
        }
        let all = count.saturating_mul(recording.frames_kpa.len() as u64);
        if all > MOST_CELLS {
            return Err(PrintError::TooLarge {
                found: all,
                limit: MOST_CELLS,
            });
        }
        let mut most = vec![0.0_f32; width * height];
        for frame in &recording.frames_kpa {
            if frame.len() != most.len() {
                return Err(PrintError::EmptyGrid);
            }
            for (m, v) in most.iter_mut().zip(frame) {
                if !v.is_finite() {
                    return Err(PrintError::NotANumber);
                }
                *m = m.max(*v);
            }
        }
        let first = most.first().copied().unwrap_or_default();
        if most.iter().all(|v| *v == first) {
            return Err(PrintError::AllEqual {
                value: format!("{first} kPa"),
            });
        }
        let pitch = Pitch::new(pitch.x_mm, pitch.y_mm, pitch.relative_standard_error)?;
        let frames = match recording.frames_kpa.len() {
            0 | 1 => Vec::new(),
            _ => recording.frames_kpa,
        };
        Ok(Sheet {
            width,
            height,
            medium: Medium::Pressure,
            seen: Seen::FromAbove,
            scale: Scale::Even(pitch),
            medium_told: true,
            came: Field::new(width, height, most),
            evened: None,
            blank: false,
            frames,
            rate_hz: recording.rate_hz,
        })
    }

    /// Cells of what came, across.
    pub fn width(&self) -> usize {
        self.width
    }

    pub fn height(&self) -> usize {
        self.height
    }

    /// Each worked cell is a square of so many cells of what came.
    pub fn worked_step(&self) -> usize {
        self.came.step
    }

    pub fn frame_count(&self) -> usize {
        self.frames.len().max(1)
    }

    /// The values that are worked on, rows from the top: grey 0 to 255, or kPa; evened where the light is uneven.
    pub fn worked(&self) -> (usize, usize, &[f32]) {
        let field = self.field(self.light());
        (field.width, field.height, &field.values)
    }

    /// How the light is taken if nobody says otherwise.
    pub fn light(&self) -> Light {
        match self.evened {
            Some(_) => Light::Evened,
            None => Light::AsItCame,
        }
    }

    /// The values under that light; as they came where there is nothing to even.
    pub(crate) fn field(&self, light: Light) -> &Field {
        match (light, &self.evened) {
            (Light::Evened, Some(field)) => field,
            _ => &self.came,
        }
    }
}

/// What lies off the paper is not looked at, nor is its very edge, where shadows lie.
fn looked_at_within(field: &mut Field, scale: &Scale) {
    let Scale::Tilted { paper_mm, .. } = scale else {
        return;
    };
    let rim = 0.01 * paper_mm[0].min(paper_mm[1]);
    let mut outside = vec![false; field.values.len()];
    for (i, out) in outside.iter_mut().enumerate() {
        let (x, y) = (i % field.width, i / field.width);
        let p = scale.on_ground(field.to_cells([x as f64, y as f64]));
        let within = |at: f64, size: f64| at > rim && at < size - rim;
        *out = !(within(p.x, paper_mm[0]) && within(p.y, paper_mm[1]));
    }
    field.set_outside(outside);
}

/// Bright rim: a print on paper, wet where the darkest tenth is not far below it. Dark rim: a scanner.
fn guessed(picture: &Picture) -> Medium {
    let grey = |x: usize, y: usize| {
        let at = 3 * (y * picture.width as usize + x);
        match picture.rgb.get(at..at + 3) {
            Some([r, g, b]) => (u32::from(*r) + u32::from(*g) + u32::from(*b)) / 3,
            _ => 0,
        }
    };
    let (w, h) = (picture.width as usize, picture.height as usize);
    let (dx, dy) = ((w / 200).max(1), (h / 200).max(1));
    let median = |mut values: Vec<u32>, share: f64| {
        values.sort_unstable();
        let at = (share * values.len() as f64) as usize;
        values.get(at).copied().unwrap_or(0)
    };
    let mut rim = Vec::new();
    let mut all = Vec::new();
    for y in (0..h).step_by(dy) {
        for x in (0..w).step_by(dx) {
            let value = grey(x, y);
            all.push(value);
            let near = |at: usize, size: usize| at < size / 20 || at >= size - size / 20;
            if near(x, w) || near(y, h) {
                rim.push(value);
            }
        }
    }
    by_ground(
        median(rim, 0.5) as f32,
        median(all.clone(), 0.02) as f32,
        median(all, 0.98) as f32,
    )
}

/// By the evened values of nodes.
fn told_apart(paper: f32, mut values: Vec<f32>) -> Medium {
    values.sort_by(f32::total_cmp);
    let at = |share: f64| {
        let at = (share * values.len() as f64) as usize;
        values.get(at).copied().unwrap_or(paper)
    };
    by_ground(paper, at(0.02), at(0.98))
}

/// By the ground's grey, and by greys that hardly anything is darker or brighter than.
fn by_ground(ground: f32, dark: f32, bright: f32) -> Medium {
    if (ground - dark).abs() < (ground - bright).abs() {
        return Medium::Scan;
    }
    // Water darkens paper by a third at most (common practice, unconfirmed).
    if dark * 3.0 > ground * 2.0 {
        Medium::Wet
    } else {
        Medium::Ink
    }
}
