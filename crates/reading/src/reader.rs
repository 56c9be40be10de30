//! All measures of one view, compiled once and read on any number of films.

use crate::drawing::drawing;
use crate::error::{EDGE_TILT_SD_DEG, Whole, rotation};
use crate::frame::{self, Frame, WitnessIx};
use crate::gather::{ASSUMED_LONG_SIDE_MM, FloorState, Gathered, KnownLandmark, State};
use crate::placing::PlacingErrors;
use crate::plan::{LineIx, MOST_INPUTS, Plan, line};
use crate::points::{FilmFacts, PointSet, USUAL_YAW_SD_DEG};
use crate::sheet::{ErrorParts, Reading, ReadingSheet, Refusal, Refused, Warning, WarningKind};
use crate::side::{Pair, witnesses};
use geometry::{Covariance2, Vec2};
use knowledge::{Knowledge, Landmark, Measure};
use quantity::{Estimate, Unit};
use std::collections::BTreeMap;
use terms::{LandmarkKey, MeasureKey, Stance, View};

/// Reads one film: all measures of the view of the points.
///
/// Compiles the measures anew; keep a [`Reader`] where many films are read.
pub fn read_all(knowledge: &Knowledge, points: &PointSet, film: &FilmFacts) -> ReadingSheet {
    Reader::new(knowledge, points.view).read(points, film)
}

/// The measures of one view, ready to read.
#[derive(Debug, Clone)]
pub struct Reader {
    view: View,
    /// Sorted by key.
    table: Vec<KnownLandmark>,
    witnesses: WitnessIx,
    floor_ix: Option<(usize, usize)>,
    plans: Vec<Plan>,
    broken: Vec<Refused>,
    /// Of all views, to name the view to which a foreign point belongs.
    views: BTreeMap<LandmarkKey, View>,
}

/// A value with its error, before words and drawing.
struct Measured {
    estimate: Estimate,
    parts: ErrorParts,
    rotation_bias: f64,
    points: [Vec2; MOST_INPUTS],
    guessed: bool,
}

/// One film in the view's frame.
struct Film<'r> {
    gathered: Gathered<'r>,
    frame: Result<Frame, Refusal>,
    points: Vec<Vec2>,
    covariances: Vec<Covariance2>,
    guessed: Vec<bool>,
    yaw_sd_deg: f64,
}

impl Reader {
    pub fn new(knowledge: &Knowledge, view: View) -> Self {
        let landmarks = View::ALL.into_iter().flat_map(|v| knowledge.landmarks(v));
        let landmarks: Vec<&Landmark> = landmarks.collect();
        Self::from_parts(view, &landmarks, &knowledge.measures(view))
    }

    /// A reader from the landmarks of all views and from measures in the order wanted.
    /// A measure that cannot be compiled is refused on every sheet.
    pub fn from_parts(view: View, landmarks: &[&Landmark], measures: &[&Measure]) -> Self {
        let mut own: Vec<&Landmark> = landmarks
            .iter()
            .copied()
            .filter(|l| l.view == view)
            .collect();
        own.sort_by(|a, b| a.key.cmp(&b.key));
        own.dedup_by(|a, b| a.key == b.key);
        let place = |key: &LandmarkKey| own.iter().position(|l| l.key == *key);
        let table: Vec<KnownLandmark> = own
            .iter()
            .map(|l| KnownLandmark {
                key: l.key.clone(),
                usual_error_mm: l.usual_error_mm,
                border: l
                    .border
                    .as_ref()
                    .and_then(|b| Some((place(&b.towards)?, b.along_mm))),
                own_mm2: None,
            })
            .collect();
        let by_key: BTreeMap<LandmarkKey, usize> = table
            .iter()
            .enumerate()
            .map(|(i, l)| (l.key.clone(), i))
            .collect();
        let (mut plans, mut broken) = (Vec::new(), Vec::new());
        for measure in measures {
            match Plan::new(measure, &by_key) {
                Ok(plan) => plans.push(plan),
                Err(fault) => {
                    let why = Refusal::BrokenMeasure { fault };
                    broken.push(Refused::new(measure.key.clone(), why));
                }
            }
        }
        let find = |name: &str| table.iter().position(|l| l.key.as_str() == name);
        let pairs = |names: &[Pair]| {
            names
                .iter()
                .filter_map(|(a, b)| Some((find(a)?, find(b)?)))
                .collect()
        };
        let names = witnesses(view);
        let witnesses = WitnessIx {
            x: pairs(names.x),
            y: pairs(names.y),
            x_first: pairs(names.x_first),
        };
        let floor_ix = find("floor_back").zip(find("floor_front"));
        let views = landmarks.iter().map(|l| (l.key.clone(), l.view)).collect();
        Self {
            view,
            table,
            witnesses,
            floor_ix,
            plans,
            broken,
            views,
        }
    }

    /// Uses a reader's own placing errors where a point carries none.
    pub fn with_placing(mut self, errors: &PlacingErrors) -> Self {
        for landmark in &mut self.table {
            landmark.own_mm2 = errors.covariance_mm2(&landmark.key);
        }
        self
    }

    pub fn view(&self) -> View {
        self.view
    }

    /// The placing covariance that a reading of these points uses, in film pixels: the point's own, else the
    /// reader's, else the landmark's usual one. Empty where the points do not say how the foot lies.
    pub fn placing_covariances_px2(
        &self,
        set: &PointSet,
        facts: &FilmFacts,
    ) -> BTreeMap<LandmarkKey, Covariance2> {
        let film = self.film(set, facts, &mut Vec::new());
        let Ok(frame) = &film.frame else {
            return BTreeMap::new();
        };
        let back = frame.linear_back();
        film.good_points()
            .map(|(i, key)| (key.clone(), film.covariances[i].through(back)))
            .collect()
    }

    /// The usual placing covariances of these points along the frame's axes, mm²; empty where the points do
    /// not say how the foot lies.
    pub(crate) fn usual_in_frame(
        &self,
        set: &PointSet,
        facts: &FilmFacts,
    ) -> BTreeMap<LandmarkKey, Covariance2> {
        let film = self.film(set, facts, &mut Vec::new());
        if film.frame.is_err() {
            return BTreeMap::new();
        }
        let per_mm = film.gathered.unit_per_mm;
        let to_mm = [[1.0 / per_mm, 0.0], [0.0, 1.0 / per_mm]];
        film.good_points()
            .map(|(i, key)| (key.clone(), film.usual_covariance(i).through(to_mm)))
            .collect()
    }

    /// The measures in the order of the readings and of [`Reader::estimates`].
    pub fn measures(&self) -> impl Iterator<Item = &MeasureKey> {
        self.plans.iter().map(|p| &p.key)
    }

    /// Is the rotation of the foot in the error of the measure at this place of the order?
    pub(crate) fn models_rotation(&self, index: usize) -> bool {
        self.plans.get(index).is_some_and(|p| p.rotation)
    }

    /// Reads all measures, with refusals, warnings and drawings.
    pub fn read(&self, set: &PointSet, facts: &FilmFacts) -> ReadingSheet {
        let mut warnings = Vec::new();
        let mut sheet = ReadingSheet {
            view: set.view,
            side: set.side,
            stance: facts.stance,
            readings: Vec::with_capacity(self.plans.len()),
            refused: self.broken.clone(),
            warnings: Vec::new(),
            frame: None,
        };
        if set.view != self.view {
            let (found, wanted) = (set.view.words(), self.view.words());
            let reason = format!(
                "the points are of the {found} view, expected {wanted}; choose that view or place the points again"
            );
            for plan in &self.plans {
                let why = Refusal::NoFrame {
                    reason: reason.clone(),
                };
                sheet.refused.push(Refused::new(plan.key.clone(), why));
            }
            return sheet;
        }
        let film = self.film(set, facts, &mut warnings);
        film.gathered.warn(facts, &mut warnings);
        self.warn(set, facts, &film, &mut warnings);
        for plan in &self.plans {
            match film.measure(plan) {
                Ok(measured) => sheet
                    .readings
                    .push(film.reading(plan, measured, set, facts)),
                Err(why) => sheet.refused.push(Refused::new(plan.key.clone(), why)),
            }
        }
        sheet.frame = film.frame.ok().map(|f| f.facts);
        sheet.warnings = warnings;
        sheet
    }

    /// Values with error alone, in the order of [`Reader::measures`]; `None` where a measure is refused.
    /// For many point sets in a row.
    pub fn estimates(&self, set: &PointSet, facts: &FilmFacts) -> Vec<Option<Estimate>> {
        if set.view != self.view {
            return vec![None; self.plans.len()];
        }
        let film = self.film(set, facts, &mut Vec::new());
        self.plans
            .iter()
            .map(|plan| film.measure(plan).ok().map(|m| m.estimate))
            .collect()
    }

    /// Film pixels to frame for these points; `None` where the points do not say.
    pub(crate) fn frame_of(&self, set: &PointSet, facts: &FilmFacts) -> Option<Frame> {
        self.film(set, facts, &mut Vec::new()).frame.ok()
    }

    fn film(&self, set: &PointSet, facts: &FilmFacts, warnings: &mut Vec<Warning>) -> Film<'_> {
        let gathered = Gathered::new(&self.table, self.floor_ix, set, facts);
        let frame = frame::find(self.view, &self.witnesses, &gathered, set.side, warnings);
        let n = self.table.len();
        let mut film = Film {
            gathered,
            frame,
            points: vec![Vec2::new(f64::NAN, f64::NAN); n],
            covariances: vec![Covariance2::round(0.0); n],
            guessed: vec![false; n],
            yaw_sd_deg: usable_yaw(facts),
        };
        film.carry_into_frame();
        film
    }

    fn warn(&self, set: &PointSet, facts: &FilmFacts, film: &Film, warnings: &mut Vec<Warning>) {
        self.warn_foreign(set, warnings);
        if facts.stance == Stance::NotStanding {
            warnings.push(Warning::new(
                WarningKind::NotStanding,
                "the film was not taken standing: readings of a loaded foot are expected; repeat it standing before deciding by it",
            ));
        }
        let guessed = film.guessed.iter().any(|g| *g);
        if guessed && film.gathered.scale.is_err() {
            warnings.push(Warning::new(
                WarningKind::GuessedError,
                format!(
                    "there is no scale, so usual placing errors in millimetres were turned into pixels as if the film's longer side were {ASSUMED_LONG_SIDE_MM:.0} mm: take the errors as rough"
                ),
            ));
        }
        let yaw = facts.yaw_sd_deg;
        if film.yaw_sd_deg != yaw {
            warnings.push(Warning::new(
                WarningKind::FilmFacts,
                format!("found {yaw}° as the foot's usual rotation, expected 0 to 30°: {USUAL_YAW_SD_DEG}° was used"),
            ));
        }
    }

    fn warn_foreign(&self, set: &PointSet, warnings: &mut Vec<Warning>) {
        let mut foreign: BTreeMap<Option<View>, Vec<&str>> = BTreeMap::new();
        for key in set.points.keys() {
            let view = self.views.get(key).copied();
            if view != Some(self.view) {
                foreign.entry(view).or_default().push(key.as_str());
            }
        }
        for (view, keys) in foreign {
            let (n, here) = (keys.len(), self.view.words());
            let shown = keys[..n.min(6)].join(", ");
            let more = if n > 6 { ", …" } else { "" };
            let points = if n == 1 {
                "1 point"
            } else {
                &format!("{n} points")
            };
            warnings.push(Warning::new(
                WarningKind::ForeignPoints,
                match view {
                    Some(view) => format!(
                        "{points} of the {} view found among those of the {here} view ({shown}{more}), left aside; choose the right view or remove them",
                        view.words()
                    ),
                    None => format!(
                        "{points} found that no view knows ({shown}{more}), left aside; check their names"
                    ),
                },
            ));
        }
    }
}

/// The rotation's standard deviation, or the usual one where what was given is not usable.
fn usable_yaw(facts: &FilmFacts) -> f64 {
    // Beyond 30° the second-order model no longer holds, and nobody would call the film a lateral.
    let given = facts.yaw_sd_deg;
    if (0.0..=30.0).contains(&given) {
        given
    } else {
        USUAL_YAW_SD_DEG
    }
}

impl Film<'_> {
    /// Points and covariances in the frame, once for all measures.
    fn carry_into_frame(&mut self) {
        let Ok(frame) = &self.frame else { return };
        let linear = frame.linear;
        for (point, (state, px)) in self
            .points
            .iter_mut()
            .zip(self.gathered.state.iter().zip(&self.gathered.px))
        {
            if matches!(state, State::Good(_)) {
                *point = frame.frame_from_px(*px);
            }
        }
        let per_mm = self.gathered.unit_per_mm;
        let widened = [[per_mm, 0.0], [0.0, per_mm]];
        for i in 0..self.gathered.table.len() {
            let State::Good(given) = &self.gathered.state[i] else {
                continue;
            };
            (self.covariances[i], self.guessed[i]) = match (given, self.gathered.table[i].own_mm2) {
                (Some(px2), _) => (px2.through(linear), false),
                (None, Some(own)) => (own.through(widened), false),
                (None, None) => (self.usual_covariance(i), true),
            };
        }
    }

    /// The usual placing covariance of a point that is there, in the frame. Without the point that says where
    /// its border runs, the larger error holds in every direction.
    fn usual_covariance(&self, i: usize) -> Covariance2 {
        let (known, per_mm) = (&self.gathered.table[i], self.gathered.unit_per_mm);
        let across = known.usual_error_mm * per_mm;
        let Some((towards, along_mm)) = known.border else {
            return Covariance2::round(across);
        };
        let (along, way) = (
            along_mm * per_mm,
            self.points[towards].minus(self.points[i]),
        );
        let length = way.length();
        // A point that is not there is NaN, and so is its way.
        if length.is_nan() || length == 0.0 {
            return Covariance2::round(along);
        }
        let u = way.scaled(1.0 / length);
        Covariance2 {
            xx: across * across + (along * along - across * across) * u.x * u.x,
            xy: (along * along - across * across) * u.x * u.y,
            yy: across * across + (along * along - across * across) * u.y * u.y,
        }
    }

    fn good_points(&self) -> impl Iterator<Item = (usize, &LandmarkKey)> {
        self.gathered
            .table
            .iter()
            .enumerate()
            .filter(|(i, _)| matches!(self.gathered.state[*i], State::Good(_)))
            .map(|(i, known)| (i, &known.key))
    }

    fn measure(&self, plan: &Plan) -> Result<Measured, Refusal> {
        self.check_points(plan)?;
        if plan.unit == Unit::Millimetre
            && let Err(reason) = &self.gathered.scale
        {
            return Err(Refusal::NoScale {
                reason: reason.clone(),
            });
        }
        if let Err(why) = &self.frame {
            return Err(why.clone());
        }
        self.check_floor(plan)?;
        let n = plan.inputs.len();
        let mut points = [Vec2::new(0.0, 0.0); MOST_INPUTS];
        for (p, i) in points.iter_mut().zip(&plan.inputs) {
            *p = self.points[*i];
        }
        if let Some(why) = plan.fault(&points[..n]) {
            return Err(why);
        }
        let evaluated = plan.evaluate(&points[..n]);
        let gradient = &evaluated.gradient[..n];
        let whole = Whole::of(&points[..n], gradient);
        let placing: f64 = gradient
            .iter()
            .zip(&plan.inputs)
            .map(|(g, i)| self.covariances[*i].variance_along(*g))
            .sum();
        let rotation = rotation(&whole, if plan.rotation { self.yaw_sd_deg } else { 0.0 });
        let parts = ErrorParts {
            points: placing.sqrt(),
            scale: self.scale_error(plan, evaluated.value),
            rotation: rotation.rms,
            floor: self.floor_error(plan, &whole),
        };
        let estimate = Estimate::new(evaluated.value, parts.total(), plan.unit);
        if !(estimate.value.is_finite() && estimate.standard_error.is_finite()) {
            let what = "the points give no finite value".into();
            return Err(Refusal::NoAngle {
                what,
                points: plan.landmarks.clone(),
            });
        }
        let guessed = plan.inputs.iter().any(|i| self.guessed[*i]);
        Ok(Measured {
            estimate,
            parts,
            rotation_bias: rotation.bias,
            points,
            guessed,
        })
    }

    fn check_points(&self, plan: &Plan) -> Result<(), Refusal> {
        let state = |i: &usize| &self.gathered.state[*i];
        let missing = |i: &&usize| matches!(state(i), State::Missing);
        if plan.inputs.iter().any(|i| missing(&i)) {
            let missing = plan.inputs.iter().filter(missing);
            let points = missing.map(|i| self.gathered.key(*i).clone()).collect();
            return Err(Refusal::MissingPoints { points });
        }
        for (k, i) in plan.inputs.iter().enumerate() {
            if let State::Bad(why) = state(i) {
                return Err(why.clone());
            }
            if let Some(j) = plan.inputs[..k]
                .iter()
                .find(|j| self.gathered.same_spot(*i, **j))
            {
                let (first, second) =
                    (self.gathered.key(*j).clone(), self.gathered.key(*i).clone());
                return Err(Refusal::SameSpot { first, second });
            }
        }
        Ok(())
    }

    fn check_floor(&self, plan: &Plan) -> Result<(), Refusal> {
        match &self.gathered.floor {
            FloorState::Bad(why) if plan.uses_tilt => Err(why.clone()),
            FloorState::Absent { .. } if plan.uses_level => Err(Refusal::NoFloorLevel),
            _ => Ok(()),
        }
    }

    fn scale_error(&self, plan: &Plan, value: f64) -> f64 {
        match &self.gathered.scale {
            Ok(scale) if plan.unit == Unit::Millimetre => {
                value.abs() * scale.relative_standard_error
            }
            _ => 0.0,
        }
    }

    fn floor_error(&self, plan: &Plan, whole: &Whole) -> f64 {
        if !plan.uses_tilt {
            return 0.0;
        }
        match &self.gathered.floor {
            FloorState::Placed { back, front, .. } => {
                let by_front = whole.by_tilt / self.points[*front].x;
                let by_back = whole.by_level - by_front;
                let variance = by_back * by_back * self.covariances[*back].yy
                    + by_front * by_front * self.covariances[*front].yy;
                variance.sqrt()
            }
            _ => whole.by_tilt.abs() * EDGE_TILT_SD_DEG.to_radians(),
        }
    }

    fn reading(
        &self,
        plan: &Plan,
        measured: Measured,
        set: &PointSet,
        facts: &FilmFacts,
    ) -> Reading {
        let points = &measured.points[..plan.inputs.len()];
        let mut points_used = plan.landmarks.clone();
        if let (true, FloorState::Placed { back, front, .. }) =
            (plan.uses_tilt, &self.gathered.floor)
        {
            points_used.extend([*back, *front].map(|i| self.gathered.key(i).clone()));
        }
        Reading {
            measure: plan.key.clone(),
            view: set.view,
            side: set.side,
            estimate: measured.estimate,
            error_parts: measured.parts,
            rotation_bias: measured.rotation_bias,
            points_used,
            method_version: plan.version,
            stance: facts.stance,
            notes: self.notes(plan, &measured, facts),
            drawing: self
                .frame
                .as_ref()
                .map(|frame| drawing(plan, points, frame))
                .unwrap_or_default(),
        }
    }

    fn notes(&self, plan: &Plan, measured: &Measured, facts: &FilmFacts) -> Vec<String> {
        let mut notes = Vec::new();
        match facts.stance {
            Stance::Standing => {}
            Stance::NotStanding => notes.push(
                "Not taken standing: yardsticks for loaded feet do not fit this reading.".into(),
            ),
            Stance::Unknown => notes.push(
                "Whether the film was taken standing is not known; yardsticks are for standing feet."
                    .into(),
            ),
        }
        if plan.from_memory {
            notes.push(
                "The construction is known from memory only; nobody here has read its source."
                    .into(),
            );
        }
        if plan.uses_tilt
            && let FloorState::Absent { one } = self.gathered.floor
        {
            let why = if one {
                "Only one floor point"
            } else {
                "No floor points"
            };
            notes.push(format!(
                "{why}: the film's edge stands in for the floor, with an error of {EDGE_TILT_SD_DEG}° (SD, common practice)."
            ));
        }
        if measured.guessed {
            notes.push(
                "Placing errors are the usual ones of these points, not this reader's own.".into(),
            );
        }
        if self.is_rough(plan, &measured.points[..plan.inputs.len()]) {
            notes.push(
                "A line is short against the placing error of its ends: the error is only approximate."
                    .into(),
            );
        }
        if self.yaw_sd_deg > 0.0 {
            notes.extend(plan.rotation_note.clone());
        }
        notes
    }

    /// The first-order error is good to a few percent while a line's direction is sure to 15°.
    fn is_rough(&self, plan: &Plan, points: &[Vec2]) -> bool {
        plan.lines().iter().any(|l| {
            let length = match l {
                LineIx::Through(..) => line(*l, points).along.length(),
                // The direction of a bisector is a sum of unit vectors: judge it by its upper line.
                LineIx::Bisector(upper, _) => line(LineIx::Through(upper[0], upper[1]), points)
                    .along
                    .length(),
            };
            let worst = plan
                .inputs
                .iter()
                .map(|i| self.covariances[*i].xx.max(self.covariances[*i].yy))
                .fold(0.0, f64::max);
            (2.0 * worst).sqrt() > length * 15_f64.to_radians().tan()
        })
    }
}
