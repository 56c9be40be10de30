//! What does an order keep, and how is it read back?
//!
//! Beside the prescription stand the answers that the order form asks and nobody else does. An order that a
//! command line wrote holds a bare prescription; it is read the same way.

use care::orthosis::Asked;
use record::kept::KeptError;
use record::{Kept, OrderRecord};
use serde::{Deserialize, Serialize};
use shell::Prescription;
use surface::{Alignment, Foot, Mark, Placed, Points};

pub const SHEET_FORMAT: &str = "tiebeam-order";
/// A prescription by itself.
pub const PRESCRIPTION_FORMAT: &str = "tiebeam-prescription";
pub const POINTS_FORMAT: &str = "tiebeam-foot-points";
pub const VERSION: u32 = 1;

/// The prescription with what was asked for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sheet {
    pub prescription: Prescription,
    #[serde(default)]
    pub asked: Asked,
    /// There is no room for a post under the heel.
    #[serde(default)]
    pub short_of_room: Option<bool>,
    /// Which plane and axis the foot was set on when the order began; `None` for a built sole.
    #[serde(default)]
    pub set_on: Option<Alignment>,
}

impl Sheet {
    /// A prescription with nothing asked beside it.
    pub fn of(prescription: Prescription) -> Sheet {
        Sheet {
            prescription,
            asked: Asked::default(),
            short_of_room: None,
            set_on: None,
        }
    }
}

/// The points of a foot by name, in the order they are listed.
pub const POINTS: [(&str, &str); 5] = [
    ("first_head", "First metatarsal head"),
    ("fifth_head", "Fifth metatarsal head"),
    ("heel_centre", "Heel centre"),
    ("navicular", "Navicular"),
    ("toe_tip", "Longest toe"),
];

/// Points moved by hand, in the foot frame; the others stand as they were found.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Moved {
    pub first_head: Option<[f64; 3]>,
    pub fifth_head: Option<[f64; 3]>,
    pub heel_centre: Option<[f64; 3]>,
    pub navicular: Option<[f64; 3]>,
    pub toe_tip: Option<[f64; 3]>,
}

impl Moved {
    pub fn is_empty(&self) -> bool {
        *self == Moved::default()
    }

    pub fn of_mut(&mut self, key: &str) -> Option<&mut Option<[f64; 3]>> {
        Some(match key {
            "first_head" => &mut self.first_head,
            "fifth_head" => &mut self.fifth_head,
            "heel_centre" => &mut self.heel_centre,
            "navicular" => &mut self.navicular,
            "toe_tip" => &mut self.toe_tip,
            _ => return None,
        })
    }

    /// The foot's points with those of the hand in their places.
    pub fn over(&self, found: &Points) -> Points {
        let put = |moved: Option<[f64; 3]>, found: Mark| match moved {
            Some(at) => Mark {
                at,
                placed: Placed::ByHand,
            },
            None => found,
        };
        Points {
            first_head: put(self.first_head, found.first_head),
            fifth_head: put(self.fifth_head, found.fifth_head),
            heel_centre: put(self.heel_centre, found.heel_centre),
            navicular: put(self.navicular, found.navicular),
            toe_tip: put(self.toe_tip, found.toe_tip),
        }
    }
}

pub fn point_of<'p>(points: &'p Points, key: &str) -> Option<&'p Mark> {
    Some(match key {
        "first_head" => &points.first_head,
        "fifth_head" => &points.fifth_head,
        "heel_centre" => &points.heel_centre,
        "navicular" => &points.navicular,
        "toe_tip" => &points.toe_tip,
        _ => return None,
    })
}

/// Everything that a device follows from, beside the foot itself.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wish {
    pub sheet: Sheet,
    pub moved: Moved,
}

impl Wish {
    /// # Errors
    /// A kept sheet or kept points that do not read back.
    pub fn of(order: &OrderRecord) -> Result<Wish, KeptError> {
        let kept = &order.prescription;
        let mut sheet: Sheet = if kept.format == PRESCRIPTION_FORMAT {
            Sheet::of(kept.read(PRESCRIPTION_FORMAT, VERSION)?)
        } else {
            kept.read(SHEET_FORMAT, VERSION)?
        };
        // The code is the order's own; a prescription copied from elsewhere carries another.
        sheet.prescription.order_code = order.code.clone();
        let moved = match &order.points {
            Some(points) => points.read(POINTS_FORMAT, VERSION)?,
            None => Moved::default(),
        };
        Ok(Wish { sheet, moved })
    }

    /// # Errors
    /// What no record can hold.
    pub fn kept_sheet(&self) -> Result<Kept, KeptError> {
        Kept::of(SHEET_FORMAT, VERSION, &self.sheet)
    }

    /// # Errors
    /// What no record can hold.
    pub fn kept_points(&self) -> Result<Option<Kept>, KeptError> {
        if self.moved.is_empty() {
            return Ok(None);
        }
        Kept::of(POINTS_FORMAT, VERSION, &self.moved).map(Some)
    }

    /// The foot with the points of this wish.
    pub fn foot(&self, found: &Foot) -> Foot {
        Foot {
            points: self.moved.over(&found.points),
            ..found.clone()
        }
    }

    /// The same wish has the same key; the order's code belongs to it, since it stands on the device.
    pub fn key(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }
}
