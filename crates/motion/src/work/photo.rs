//! A photograph of the standing foot, from behind or from the inner side.

use super::{
    Spots, Wanted, check_spots, kept, known_length, leg_wanted, length_wanted, one, point_key,
    wanted,
};
use crate::MotionError;
use crate::posture::{
    BehindMarks, BehindReadings, LineMark, SideMarks, SideReadings, behind::left_less_right,
    read_behind, read_side,
};
use crate::steps::{Point, Setup, Spot};
use picture::Grey;
use quantity::Estimate;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use terms::Side;

pub const PHOTO_FORMAT: &str = "tiebeam-photo-work";
pub const PHOTO_VERSION: u32 = 1;

/// From where the foot is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "from")]
pub enum View {
    /// One leg or both, the left one on the left.
    Behind,
    /// The inner side of one foot.
    Side { side: Side },
}

/// What was marked on a photograph.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhotoWork {
    pub view: View,
    pub width: usize,
    pub height: usize,
    pub spots: Spots,
    /// Lines are the middles between the edges of the skin near the points, and not the points themselves.
    #[serde(default)]
    pub by_edges: bool,
    pub length_mm: Option<f64>,
    pub setup: Setup,
}

/// What the photograph says, as far as its points go.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct PhotoReadings {
    pub behind: Vec<BehindReadings>,
    /// Left less right, where both legs are marked.
    pub between: Option<Estimate>,
    pub side: Option<SideReadings>,
    /// What could not be read and why, one sentence each.
    pub missing: Vec<String>,
}

/// Pixels of a longest side at which a mark is set to [`Setup`]'s own placing error: that of a picture that fills
/// a screen. A finer picture is marked on the same screen. Common practice; nothing was read.
const MARKED_AT_PX: f64 = 1280.0;

/// How far from the rough line an edge of the skin is sought, in lengths of that line: a leg is about as broad as
/// half the distance of its points, a heel broader than its points lie apart. Our own choice, held against the
/// rendered legs.
const LEG_REACH: f64 = 0.75;
const HEEL_REACH: f64 = 1.5;

impl PhotoWork {
    pub fn new(view: View, width: usize, height: usize) -> Self {
        let usual = Setup::default();
        let larger = (width.max(height) as f64 / MARKED_AT_PX).max(1.0);
        Self {
            view,
            width,
            height,
            spots: Spots::new(),
            by_edges: false,
            length_mm: None,
            setup: Setup {
                placing_sd_px: usual.placing_sd_px * larger,
                ..usual
            },
        }
    }

    /// The points to be set, in the order of the work.
    pub fn wanted(&self) -> Vec<Wanted> {
        match self.view {
            View::Behind => [Side::Left, Side::Right]
                .into_iter()
                .flat_map(|side| {
                    let toes = Wanted {
                        many: true,
                        ..wanted(
                            Some(side),
                            "toes",
                            "Toes seen on the outer side",
                            "a place on each toe that shows, or 'none'",
                            true,
                        )
                    };
                    leg_wanted(side).into_iter().chain([toes])
                })
                .collect(),
            View::Side { side } => side_wanted(side),
        }
    }

    /// `picture` is needed for lines by the edges of the skin.
    ///
    /// # Errors
    /// A set-up or a place that is none; what single readings lack stands in `missing`.
    pub fn read(&self, picture: Option<&Grey>) -> Result<PhotoReadings, MotionError> {
        self.setup.checked()?;
        check_spots(&self.spots, self.width, self.height)?;
        let mut read = PhotoReadings::default();
        match self.view {
            View::Behind => {
                for side in [Side::Left, Side::Right] {
                    self.read_leg(side, picture, &mut read);
                }
                if let [left, right] = read.behind.as_slice() {
                    read.between = left_less_right(left, right);
                }
            }
            View::Side { side } => match self.side_marks(side) {
                Some(marks) => match read_side(&marks, &self.setup) {
                    Ok(side) => read.side = Some(side),
                    Err(why) => read.missing.push(why.to_string()),
                },
                None if self.spots.is_empty() => {}
                None => read.missing.push(self.lacking(Some(side))),
            },
        }
        Ok(read)
    }

    fn read_leg(&self, side: Side, picture: Option<&Grey>, read: &mut PhotoReadings) {
        let any = self.wanted().into_iter();
        let of_side = any.filter(|w| w.side == Some(side));
        if !of_side.into_iter().any(|w| self.spots.contains_key(&w.key)) {
            return;
        }
        let Some(marks) = self.behind_marks(side) else {
            read.missing.push(self.lacking(Some(side)));
            return;
        };
        match read_behind(picture, &marks, &self.setup) {
            Ok(leg) => read.behind.push(leg),
            Err(why) => {
                read.missing.push(format!("{} leg: {why}", side.word()));
            }
        }
    }

    fn lacking(&self, side: Option<Side>) -> String {
        let names: Vec<&str> = self
            .wanted()
            .iter()
            .filter(|w| w.side == side && !w.optional && !self.spots.contains_key(&w.key))
            .map(|w| w.name)
            .collect();
        let whose = side.map_or_else(String::new, |s| format!("{} foot: ", s.word()));
        format!("{whose}still to be set: {}", names.join("; "))
    }

    fn behind_marks(&self, side: Side) -> Option<BehindMarks> {
        let at = |point| one(&self.spots, &point_key(side, point));
        let line = |upper: Spot, lower: Spot, reach: f64| {
            let length = (lower.x - upper.x).hypot(lower.y - upper.y);
            match self.by_edges {
                true => LineMark::Edges {
                    upper,
                    lower,
                    reach_px: reach * length,
                },
                false => LineMark::Points { upper, lower },
            }
        };
        Some(BehindMarks {
            side,
            leg: line(at(Point::LegUpper)?, at(Point::LegLower)?, LEG_REACH),
            heel: line(at(Point::HeelUpper)?, at(Point::HeelLower)?, HEEL_REACH),
            toes: self.spots.get(&format!("{}-toes", side.word())).cloned(),
        })
    }

    fn side_marks(&self, side: Side) -> Option<SideMarks> {
        let at = |key: &str| one(&self.spots, &format!("{}-{key}", side.word()));
        Some(SideMarks {
            side,
            floor: [at("floor-back")?, at("floor-front")?],
            heel_back: at("heel-back")?,
            longest_toe: at("longest-toe")?,
            first_joint: at("first-joint")?,
            dorsum: at("dorsum"),
            navicular: at("navicular"),
            known_length: known_length(&self.spots, self.length_mm),
        })
    }
}

fn side_wanted(side: Side) -> Vec<Wanted> {
    let of = |key, name, hint, optional| wanted(Some(side), key, name, hint, optional);
    let floor = "where the foot meets the floor";
    let mut all = vec![
        of("floor-back", "Floor, under the heel", floor, false),
        of("floor-front", "Floor, under the ball", floor, false),
        of("heel-back", "Back of the heel", "its hindmost point", false),
        of(
            "longest-toe",
            "Tip of the longest toe",
            "without the nail",
            false,
        ),
        of(
            "first-joint",
            "Joint of the great toe",
            "where the truncated length ends",
            false,
        ),
        of(
            "dorsum",
            "Top of the foot",
            "over half the length of the foot",
            true,
        ),
        of(
            "navicular",
            "Tip of the navicular",
            "as felt and marked on the skin",
            true,
        ),
    ];
    all.extend(length_wanted());
    all
}

/// A list `readings`, each with measure, side, value, error, unit and method version.
pub fn kept_readings(readings: &PhotoReadings) -> Value {
    let mut list = Vec::new();
    for leg in &readings.behind {
        let side = Some(leg.side);
        list.push(kept("heel_to_upright", side, leg.heel_to_upright));
        list.push(kept("heel_to_leg", side, leg.heel_to_leg));
        list.push(kept("leg_to_upright", side, leg.leg_to_upright));
    }
    if let Some(foot) = &readings.side {
        let side = Some(foot.side);
        let all = [
            ("navicular_height", foot.navicular_height),
            ("navicular_truncated", foot.navicular_truncated),
            ("navicular_foot", foot.navicular_foot),
            ("dorsum_height", foot.dorsum_height),
            ("arch_height_index", foot.arch_height_index),
            ("foot_length", foot.foot_length),
            ("truncated_length", foot.truncated_length),
        ];
        list.extend(
            all.into_iter()
                .filter_map(|(measure, e)| Some(kept(measure, side, e?))),
        );
    }
    let toes: Vec<Value> = readings
        .behind
        .iter()
        .filter_map(|leg| Some(json!({"side": leg.side, "toes": leg.toes?})))
        .collect();
    json!({ "readings": list, "toes": toes })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placed(work: &mut PhotoWork, all: &[(&str, f64, f64)]) {
        for (key, x, y) in all {
            work.spots.insert((*key).into(), vec![Spot::new(*x, *y)]);
        }
    }

    const RIGHT: [(&str, f64, f64); 4] = [
        ("right-leg-upper", 800.0, 100.0),
        ("right-leg-lower", 800.0, 400.0),
        ("right-heel-upper", 800.0, 500.0),
        ("right-heel-lower", 808.0, 580.0),
    ];

    #[test]
    fn a_leg_half_marked_says_what_is_still_to_be_set_and_the_other_is_read() {
        let mut work = PhotoWork::new(View::Behind, 1200, 800);
        assert_eq!(work.read(None).unwrap(), PhotoReadings::default());
        placed(&mut work, &RIGHT);
        placed(&mut work, &[("left-leg-upper", 300.0, 100.0)]);
        let read = work.read(None).unwrap();
        assert_eq!(read.behind.len(), 1);
        let expected = 0.1f64.atan().to_degrees();
        assert!((read.behind[0].heel_to_upright.value - expected).abs() < 1e-9);
        assert_eq!(read.behind[0].toes, None);
        assert_eq!(
            read.missing,
            ["left foot: still to be set: Leg, lower; Heel, upper; Heel, lower"]
        );
        work.spots.insert("right-toes".into(), vec![]);
        assert_eq!(work.read(None).unwrap().behind[0].toes, Some(0));
    }

    #[test]
    fn a_finer_picture_of_the_same_foot_is_as_sure_as_a_coarse_one() {
        let sure = |times: f64| {
            let px = (1280.0 * times) as usize;
            let mut work = PhotoWork::new(View::Behind, px, px);
            let all = RIGHT.map(|(k, x, y)| (k, x * times, y * times));
            placed(&mut work, &all);
            work.read(None).unwrap().behind[0]
                .heel_to_upright
                .standard_error
        };
        // Slopes are taken by differences of a quarter pixel, which is not the same part of both.
        assert!((sure(1.0) - sure(3.0)).abs() < 1e-4);
    }

    #[test]
    fn from_the_side_shares_come_without_a_length_and_heights_with_one() {
        let mut work = PhotoWork::new(View::Side { side: Side::Left }, 1000, 700);
        placed(
            &mut work,
            &[
                ("left-floor-back", 150.0, 500.0),
                ("left-floor-front", 680.0, 500.0),
                ("left-heel-back", 150.0, 480.0),
                ("left-longest-toe", 870.0, 490.0),
                ("left-first-joint", 680.0, 470.0),
                ("left-navicular", 420.0, 405.0),
            ],
        );
        let side = work.read(None).unwrap().side.unwrap();
        assert!((side.navicular_truncated.unwrap().value - 95.0 / 530.0).abs() < 1e-9);
        assert_eq!(side.navicular_height, None);
        placed(
            &mut work,
            &[
                (super::super::KNOWN_FROM, 100.0, 600.0),
                (super::super::KNOWN_TO, 400.0, 600.0),
            ],
        );
        work.length_mm = Some(100.0);
        let side = work.read(None).unwrap().side.unwrap();
        assert!((side.navicular_height.unwrap().value - 95.0 / 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_point_outside_the_picture_and_lines_upside_down_get_a_sentence() {
        let mut work = PhotoWork::new(View::Behind, 1200, 800);
        placed(&mut work, &RIGHT);
        placed(&mut work, &[("right-heel-lower", 800.0, 450.0)]);
        let read = work.read(None).unwrap();
        assert!(
            read.missing[0].contains("lies below the lower"),
            "{:?}",
            read.missing
        );
        placed(&mut work, &[("right-heel-lower", 1300.0, 450.0)]);
        let said = work.read(None).unwrap_err().to_string();
        assert!(said.contains("inside the picture"), "{said}");
    }

    #[test]
    fn work_comes_back_from_its_text_as_it_was() {
        let mut work = PhotoWork::new(View::Side { side: Side::Right }, 1200, 800);
        placed(&mut work, &[("right-dorsum", 500.0, 320.0)]);
        let text = serde_json::to_string(&work).unwrap();
        assert_eq!(serde_json::from_str::<PhotoWork>(&text).unwrap(), work);
    }
}
