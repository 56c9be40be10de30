//! How do a sheet and its steps become indices with their error?
//!
//! Everything is worked out once as the steps say, and again with each step moved either way by its standard error;
//! the root mean square of the two changes is that step's part of the error. Parts are taken as unrelated.

use crate::PrintError;
use crate::draw::drawn;
use crate::index::{Index, Region};
use crate::loads::{Loads, PressureReading, RegionLoad, VALUES, loads};
use crate::measure::{Cast, Laid, Moved, Shape, cast, grid_error_cells, laid, shape};
use crate::printed::Printed;
use crate::sheet::{Medium, Sheet};
use crate::steps::{Doubt, FootSteps, Place, Steps};
use quantity::{Estimate, Unit};
use serde::Serialize;
use terms::Side;

/// Parts of a standard error, each in the unit of the reading.
///
/// # Uncertainty
/// `pixel`: the outline moved by the error of the grid (a twentieth of a worked cell for pictures, 0.29 of a cell
/// for pressure; for Clarke's angle also the place where the ball touches its tangent). `edge`: the level moved by its standard error. `axis`: turned about the heel's centre. `toe_line`:
/// moved along the foot. `scale`: the relative error of the pitch. `divide`: the line between touching prints moved across. Sizes stand beside each step; where nobody
/// publishes one it is common practice.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct ErrorParts {
    pub pixel: f64,
    pub edge: f64,
    pub axis: f64,
    pub toe_line: f64,
    pub scale: f64,
    /// Nought where no line parts the print from another.
    #[serde(skip_serializing_if = "is_nought")]
    pub divide: f64,
}

fn is_nought(part: &f64) -> bool {
    *part == 0.0
}

impl ErrorParts {
    pub fn together(&self) -> f64 {
        [
            self.pixel,
            self.edge,
            self.axis,
            self.toe_line,
            self.scale,
            self.divide,
        ]
        .iter()
        .map(|p| p * p)
        .sum::<f64>()
        .sqrt()
    }
}

/// Lines and points over the sheet, in its cells.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Drawn {
    pub lines: Vec<[Place; 2]>,
    pub points: Vec<Place>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IndexReading {
    pub index: Index,
    pub estimate: Estimate,
    pub error_parts: ErrorParts,
    pub drawn: Drawn,
}

/// An index that this print does not give, and why.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Missing {
    pub index: Index,
    pub why: &'static str,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FootReadings {
    pub side: Side,
    pub readings: Vec<IndexReading>,
    pub missing: Vec<Missing>,
    pub pressure: Option<PressureReading>,
    /// Rings around the print, in cells of the sheet.
    pub outline: Vec<Vec<Place>>,
    pub doubts: Vec<Doubt>,
}

impl FootReadings {
    pub fn of(&self, index: Index) -> Option<&IndexReading> {
        self.readings.iter().find(|r| r.index == index)
    }
}

/// How the load is split between two feet, percent.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Split {
    pub left: Estimate,
    pub right: Estimate,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PrintReadings {
    pub feet: Vec<FootReadings>,
    /// Only where two feet of different sides stand on one pressure grid.
    pub split: Option<Split>,
}

/// Reads a sheet by its steps; the same input always gives the same readings.
///
/// # Errors
/// Steps that are none of this sheet: no print where they say, an axis of no length, no toe line.
pub fn read(sheet: &Sheet, steps: &Steps) -> Result<PrintReadings, PrintError> {
    steps.check(sheet)?;
    let level = steps.level.is;
    let by = level.standard_error;
    let levels = [level, level.moved(-by), level.moved(by)];
    let light = steps.light.is;
    let divide = steps.divide.as_ref().map(|d| d.is);
    let printed = levels.map(|l| Printed::on(sheet, light, l, divide.as_ref()));
    let moved = divide.map(|d| {
        [-1.0, 1.0].map(|errors| Printed::on(sheet, light, level, Some(&d.moved(errors))))
    });
    let mut feet = Vec::new();
    for foot in &steps.feet {
        let casts = Casts {
            levels: printed.each_ref().map(|p| cast(p, foot)),
            moved: match &moved {
                Some(both) => both.each_ref().map(|p| cast(p, foot)),
                None => [None, None],
            },
        };
        feet.push(foot_readings(sheet, steps, foot, casts)?);
    }
    let split = split(&feet);
    Ok(PrintReadings { feet, split })
}

/// One foot's print at the level, below and above it, and with the dividing line moved.
struct Casts {
    levels: [Option<Cast>; 3],
    moved: [Option<Cast>; 2],
}

/// One way to lay a foot out, measured.
struct Way {
    laid: Laid,
    shape: Shape,
    loads: Option<Loads>,
}

impl Way {
    fn value(&self, index: Index) -> Option<f64> {
        let of_loads = self.loads.as_ref().and_then(|l| l.value(index));
        self.shape.value(index).or(of_loads)
    }
}

/// One standard error of each step, tried both ways.
struct Ways {
    pixel: [Option<Way>; 2],
    edge: [Option<Way>; 2],
    axis: [Option<Way>; 2],
    toe_line: [Option<Way>; 2],
    divide: [Option<Way>; 2],
}

impl Ways {
    fn parts(&self, at: f64, scale: f64, value: impl Fn(&Way) -> Option<f64>) -> ErrorParts {
        let half = |pair: &[Option<Way>; 2]| {
            let [a, b] = [0, 1].map(|k| pair[k].as_ref().and_then(&value));
            match (a, b) {
                (Some(a), Some(b)) => (0.5 * ((a - at).powi(2) + (b - at).powi(2))).sqrt(),
                (Some(one), None) | (None, Some(one)) => (one - at).abs(),
                (None, None) => 0.0,
            }
        };
        ErrorParts {
            pixel: half(&self.pixel),
            edge: half(&self.edge),
            axis: half(&self.axis),
            toe_line: half(&self.toe_line),
            scale,
            divide: half(&self.divide),
        }
    }
}

fn foot_readings(
    sheet: &Sheet,
    steps: &Steps,
    foot: &FootSteps,
    casts: Casts,
) -> Result<FootReadings, PrintError> {
    let lost = || PrintError::BadSteps {
        found: "no print where they say the foot is".into(),
        expected: "steps of this sheet",
    };
    let [here, lower, higher] = casts.levels;
    let here = here.ok_or_else(lost)?;
    let seen = steps.seen.is;
    let way = |cast: &Cast, moved: Moved| -> Option<Way> {
        let laid = laid(sheet, seen, foot, cast, moved)?;
        let shape = shape(&laid, sheet, cast.cell)?;
        let loads = loads(sheet, cast, &laid, &shape);
        Some(Way { laid, shape, loads })
    };
    let plain = way(&here, Moved::default()).ok_or_else(lost)?;
    let (heel, toes) = plain.shape.length;
    let grown = grid_error_cells(sheet.medium) * here.cell;
    let turned = foot.axis.is.turn_error_deg.to_radians();
    let forwards = foot.toe_line.is.error_share * (toes - heel);
    let both = |with: &dyn Fn(f64) -> Moved| [-1.0, 1.0].map(|sign| way(&here, with(sign)));
    let ways = Ways {
        pixel: both(&|s| Moved {
            grown: s * grown,
            ..Moved::default()
        }),
        edge: [lower, higher].map(|c| c.and_then(|c| way(&c, Moved::default()))),
        divide: casts
            .moved
            .map(|c| c.and_then(|c| way(&c, Moved::default()))),
        axis: both(&|s| Moved {
            turned_rad: s * turned,
            ..Moved::default()
        }),
        toe_line: both(&|s| Moved {
            toe_line: s * forwards,
            ..Moved::default()
        }),
    };
    let relative = sheet.scale.relative_standard_error();
    let mut readings = Vec::new();
    let mut missing = Vec::new();
    for index in Index::ALL {
        let Some(value) = plain.value(index) else {
            if let Some(why) = why_missing(index, sheet) {
                missing.push(Missing { index, why });
            }
            continue;
        };
        let scale = index.power_of_scale() * relative * value.abs();
        let mut error_parts = ways.parts(value, scale, |w| w.value(index));
        if index == Index::ClarkeAngle {
            error_parts.pixel = error_parts.pixel.hypot(plain.shape.touch_error_deg);
        }
        readings.push(IndexReading {
            index,
            estimate: Estimate::new(value, error_parts.together(), index.unit()),
            error_parts,
            drawn: drawn(
                index,
                sheet,
                &plain.laid,
                &plain.shape,
                plain.loads.as_ref(),
            ),
        });
    }
    let outline = here
        .ground
        .iter()
        .map(|r| r.iter().map(|p| sheet.scale.in_cells(*p)).collect())
        .collect();
    Ok(FootReadings {
        side: foot.side.is.side,
        readings,
        missing,
        pressure: pressure(&plain, &ways),
        outline,
        doubts: foot.doubts.clone(),
    })
}

fn why_missing(index: Index, sheet: &Sheet) -> Option<&'static str> {
    let of_pressure = matches!(index, Index::ExcursionIndex | Index::RearLoad);
    match (index, sheet.medium) {
        (_, medium) if of_pressure && medium != Medium::Pressure => None,
        (Index::ExcursionIndex, _) => Some(
            "it needs a walk over the grid in at least five frames, up to the front third of the foot",
        ),
        (Index::ClarkeAngle, _) => {
            Some("the print is broken between heel and ball, or has no hollow on the inner side")
        }
        (i, _) if i.power_of_scale() > 0.0 && !sheet.scale.is_known() => {
            Some("the scale is not known")
        }
        _ => Some("the print does not give it"),
    }
}

fn pressure(plain: &Way, ways: &Ways) -> Option<PressureReading> {
    let loads = plain.loads.as_ref()?;
    let estimate = |k: usize, unit: Unit| -> Option<Estimate> {
        let value = loads.values.get(k).copied()??;
        let parts = ways.parts(value, 0.0, |w| w.loads.as_ref()?.values[k]);
        Some(Estimate::new(value, parts.together(), unit))
    };
    let regions = (0..VALUES / 2).filter_map(|k| {
        Some(RegionLoad {
            region: Region::ALL[k],
            load_share: estimate(k, Unit::Percent)?,
            peak: estimate(k + VALUES / 2, Unit::Kilopascal)?,
        })
    });
    Some(PressureReading {
        regions: regions.collect(),
        path: loads.path.clone(),
        force_sum_n: loads.force_sum_n,
    })
}

/// # Uncertainty
/// None is published for a plate's own gain, and both feet share it; the error is given as zero for the split alone.
fn split(feet: &[FootReadings]) -> Option<Split> {
    let [a, b] = feet else { return None };
    if a.side == b.side {
        return None;
    }
    let sum = |f: &FootReadings| f.pressure.as_ref().map(|p| p.force_sum_n);
    let (one, two) = (sum(a)?, sum(b)?);
    let share = |s: f64| Estimate::new(100.0 * s / (one + two), 0.0, Unit::Percent);
    let (left, right) = match a.side {
        Side::Left => (share(one), share(two)),
        Side::Right => (share(two), share(one)),
    };
    Some(Split { left, right })
}
