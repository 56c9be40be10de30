//! What is known of prescribing a foot orthosis: what experts agree on, usual settings, thickness rules, what
//! a device was seen to do, what is really ordered, what to beware of, and how it is broken in.
//!
//! It prescribes nothing: `care` does. One surprise: that experts agree on a choice says nothing about its
//! amount. Agreement stands in [`Agreement`], amounts in [`Setting`], and they have different sources.

use crate::figure::{Figure, Wrong, band_faults, sourced};
use crate::source::Provenance;
use serde::{Deserialize, Serialize};
use terms::SourceKey;

/// Part of a prescription.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Parameter {
    /// How the positive's rearfoot is set before the shell is laid on it.
    Pour,
    Skive,
    RearfootPost,
    ForefootPost,
    ArchFill,
    ShellMaterial,
    Thickness,
    HeelCup,
    FrontEdge,
    HeelExpansion,
    MedialFlange,
    NavicularRelief,
    EdgeRounding,
    EdgeToBone,
    /// Inclination of a cast poured far inverted, not of the shell.
    CastInversion,
    /// Degrees of heel for each degree of a cast poured far inverted.
    CastInversionRatio,
}

impl Parameter {
    pub fn words(self) -> &'static str {
        use Parameter::*;
        match self {
            Pour => "setting of the positive's rearfoot",
            Skive => "medial heel skive",
            RearfootPost => "rearfoot post",
            ForefootPost => "forefoot post",
            ArchFill => "arch fill",
            ShellMaterial => "shell material",
            Thickness => "shell thickness",
            HeelCup => "heel cup depth",
            FrontEdge => "front edge behind the heads",
            HeelExpansion => "heel expansion",
            MedialFlange => "medial flange",
            NavicularRelief => "navicular relief",
            EdgeRounding => "edge rounding",
            EdgeToBone => "edge to prominent bone",
            CastInversion => "inversion of the cast",
            CastInversionRatio => "cast inversion for a degree at the heel",
        }
    }
}

/// When a statement holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum When {
    Always,
    MoreControl,
    /// The subtalar axis lies far to the inner side.
    MedialAxis,
    TendonDysfunction,
    /// The foot resists being turned in by hand.
    HighResistance,
    ControlEnough,
    InversionNotTolerated,
    FixedDeformity,
    NoRoomInShoe,
    HoldCapturedShape,
    FullCorrectionInRange,
    LimitedRange,
    /// The inner cuneiform stands on the floor.
    SevereFlat,
    HeelPain,
    ThinFatPad,
    HeavyPerson,
    WithSkive,
    /// Skive in millimetres and inversion in degrees add up to more than five.
    SkiveAndInversionOverFive,
    StageOneTwo,
    TuberosityTender,
    ScannedHanging,
    HighControl,
}

impl When {
    pub fn words(self) -> &'static str {
        use When::*;
        match self {
            Always => "always",
            MoreControl => "when more control of the rearfoot is wanted",
            MedialAxis => "when the subtalar axis lies far inward",
            TendonDysfunction => "when the tibialis posterior fails",
            HighResistance => "when the foot resists being turned in",
            ControlEnough => "when the control is already enough",
            InversionNotTolerated => "when turning in is not tolerated",
            FixedDeformity => "when the deformity is fixed",
            NoRoomInShoe => "when the shoe is short of room",
            HoldCapturedShape => "to hold the captured shape",
            FullCorrectionInRange => "when the foot's range allows full correction",
            LimitedRange => "when the range is limited",
            SevereFlat => "when the inner cuneiform stands on the floor",
            HeelPain => "when the heel hurts",
            ThinFatPad => "when the heel pad is thin",
            HeavyPerson => "when the person is heavy",
            WithSkive => "with a skive",
            SkiveAndInversionOverFive => {
                "when skive in millimetres and inversion in degrees add up to more than five"
            }
            StageOneTwo => "in stages I and II",
            TuberosityTender => "when the tuberosity is tender",
            ScannedHanging => "when the foot was captured without weight",
            HighControl => "for high control",
        }
    }
}

/// Whether experts reached agreement on a choice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Agreement {
    pub key: String,
    pub parameter: Parameter,
    /// What they chose (`inverted`, `minimal`, `none`).
    pub choice: String,
    pub when: When,
    pub percent: f64,
    pub experts: u32,
    /// The study counted it as agreement.
    pub reached: bool,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

sourced!(Agreement);

impl Agreement {
    pub(crate) fn faults(&self) -> Vec<Wrong> {
        let mut out = Vec::new();
        if !(0.0..=100.0).contains(&self.percent) {
            out.push((
                "percent",
                format!("percent = {}", self.percent),
                "a number from 0 to 100".to_owned(),
            ));
        }
        if self.experts == 0 {
            out.push((
                "experts",
                "experts = 0".to_owned(),
                "how many were asked".to_owned(),
            ));
        }
        out
    }
}

/// What a setting says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SettingKind {
    /// What is usually chosen.
    Usual,
    /// What was tried in a study.
    Tried,
    Least,
    Most,
}

/// An amount of a parameter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Setting {
    pub key: String,
    pub parameter: Parameter,
    pub kind: SettingKind,
    pub when: When,
    /// Somebody's published opinion, measured on nobody.
    #[serde(default)]
    pub opinion: bool,
    pub amount: Figure,
}

/// Which foot a thickness rule speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RuleFoot {
    NeutralOrPronated,
    Cavoid,
    Any,
}

/// Whose rule it is. The two do not agree, and both are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ThicknessRule {
    /// What one trial's protocol prescribed.
    Trial,
    Workshop,
}

/// Thickness of a polypropylene shell by weight.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ThicknessByWeight {
    pub key: String,
    pub rule: ThicknessRule,
    pub foot: RuleFoot,
    /// From this weight on; below `below_kg`.
    #[serde(default)]
    pub from_kg: Option<f64>,
    #[serde(default)]
    pub below_kg: Option<f64>,
    /// Key of the material it was made for.
    pub material: String,
    pub thickness: Figure,
}

impl ThicknessByWeight {
    pub fn is_for(&self, weight_kg: f64) -> bool {
        weight_kg.is_finite()
            && self.from_kg.is_none_or(|from| weight_kg >= from)
            && self.below_kg.is_none_or(|below| weight_kg < below)
    }
}

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    PeakRearfootEversion,
    RearfootEversion,
    EversionExcursion,
    MedialRearfootPressure,
    HeelTissueThickness,
    ArchTissueThickness,
    NavicularPosition,
    AnkleMotion,
    KneeLoad,
    FasciaStrain,
    PeakPressure,
    Pain,
    Dorsiflexion,
    RunningCost,
    EnergyAndSway,
    Comfort,
}

/// What a device, or a step of one setting, was seen to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Effect {
    pub key: String,
    pub parameter: Option<Parameter>,
    /// The amount that was set, with its unit (`4`, `mm`).
    #[serde(default)]
    pub dose: Option<f64>,
    #[serde(default)]
    pub dose_unit: Option<crate::figure::FigureUnit>,
    pub people: String,
    #[serde(default)]
    pub n: Option<u32>,
    pub doing: String,
    pub outcome: Outcome,
    /// Change against no device or the neutral one: minus is less of the outcome.
    #[serde(default)]
    pub value: Option<f64>,
    /// Confidence interval of the mean, or the printed range.
    #[serde(default)]
    pub lower: Option<f64>,
    #[serde(default)]
    pub upper: Option<f64>,
    /// Spread from person to person.
    #[serde(default)]
    pub sd: Option<f64>,
    #[serde(default)]
    pub unit: Option<crate::figure::FigureUnit>,
    pub words: String,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

sourced!(Effect);

impl Effect {
    pub(crate) fn faults(&self) -> Vec<Wrong> {
        let mut out = band_faults(self.value, self.lower, self.upper);
        let number = self.value.or(self.lower).or(self.upper).or(self.sd);
        if number.is_some() != self.unit.is_some() {
            out.push((
                "unit",
                if self.unit.is_some() {
                    "a unit without a number"
                } else {
                    "a number without its unit"
                }
                .to_owned(),
                "both or neither".to_owned(),
            ));
        }
        if self.dose.is_some() != self.dose_unit.is_some() {
            out.push((
                "dose_unit",
                "a dose or its unit alone".to_owned(),
                "both or neither".to_owned(),
            ));
        }
        if let Some(sd) = self.sd.filter(|s| !(s.is_finite() && *s > 0.0)) {
            out.push(("sd", format!("sd = {sd}"), "a number above 0".to_owned()));
        }
        if let Some(dose) = self.dose.filter(|d| !d.is_finite()) {
            out.push((
                "dose",
                format!("dose = {dose}"),
                "a finite number".to_owned(),
            ));
        }
        out
    }
}

/// How a post's angle is turned into an expected effect: a band, never a point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Guidance {
    pub key: String,
    pub outcome: Outcome,
    /// With a shell and no post.
    pub baseline: Figure,
    /// For each degree of post.
    pub slope: Figure,
    /// No more than this altogether.
    pub cap: Figure,
    /// Spread between persons as a share of the effect itself.
    pub person_spread: Figure,
    /// Posts for which it was worked out.
    pub from_deg: f64,
    pub to_deg: f64,
    pub words: String,
}

impl Guidance {
    /// Lowest and highest mean change for a post of this angle; `None` outside the posts it holds for.
    pub fn mean_band(&self, post_deg: f64) -> Option<[f64; 2]> {
        if !(self.from_deg..=self.to_deg).contains(&post_deg) {
            return None;
        }
        let ([b0, b1], [s0, s1], [c0, c1]) =
            (self.baseline.band()?, self.slope.band()?, self.cap.band()?);
        Some([(b0 + s0 * post_deg).min(c0), (b1 + s1 * post_deg).min(c1)])
    }

    pub fn figures(&self) -> [(&'static str, &Figure); 4] {
        [
            ("baseline", &self.baseline),
            ("slope", &self.slope),
            ("cap", &self.cap),
            ("person_spread", &self.person_spread),
        ]
    }
}

/// What laboratories are really asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ordered {
    pub key: String,
    pub parameter: Parameter,
    pub what: String,
    pub percent: f64,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

sourced!(Ordered);

/// A sentence that goes with a device: a caution, a step of the break-in, a warning sign.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Advice {
    pub key: String,
    /// `always`, or what calls it up.
    pub when: AdviceWhen,
    pub words: String,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

sourced!(Advice);

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AdviceWhen {
    Always,
    FeelingLost,
    Swelling,
    FragileSkin,
    ProminentBone,
    FixedDeformity,
    WithPost,
    WithSkive,
    ShallowCup,
    Stiff,
    Running,
    Polypropylene,
    Powder,
    Child,
}

/// One step of the break-in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WearStep {
    pub key: String,
    /// From this day on, the day of fitting being 1.
    pub day: u32,
    /// Hours at most on that day; `None`: as long as it is comfortable.
    #[serde(default)]
    pub hours: Option<f64>,
    pub words: String,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

sourced!(WearStep);

/// What the wearer has to act on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WarningSign {
    pub key: String,
    pub sign: String,
    pub action: String,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

sourced!(WarningSign);

/// Everything the folder says about orthoses.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Orthosis {
    pub agreements: Vec<Agreement>,
    pub settings: Vec<Setting>,
    pub thicknesses: Vec<ThicknessByWeight>,
    pub effects: Vec<Effect>,
    pub guidance: Vec<Guidance>,
    pub ordered: Vec<Ordered>,
    pub advice: Vec<Advice>,
    /// By day.
    pub wear: Vec<WearStep>,
    pub warnings: Vec<WarningSign>,
}

impl Orthosis {
    /// What experts said about a choice under a condition.
    pub fn agreement(&self, parameter: Parameter, choice: &str, when: When) -> Option<&Agreement> {
        self.agreements
            .iter()
            .find(|a| a.parameter == parameter && a.choice == choice && a.when == when)
    }

    pub fn setting(&self, key: &str) -> Option<&Setting> {
        self.settings.iter().find(|s| s.key == key)
    }

    pub fn settings_of(&self, parameter: Parameter) -> Vec<&Setting> {
        self.settings
            .iter()
            .filter(|s| s.parameter == parameter)
            .collect()
    }

    /// Thickness by a rule for a foot and a weight; a rule for any foot serves every foot.
    pub fn thickness(
        &self,
        rule: ThicknessRule,
        foot: RuleFoot,
        weight_kg: f64,
    ) -> Option<&ThicknessByWeight> {
        self.thicknesses.iter().find(|t| {
            t.rule == rule && (t.foot == foot || t.foot == RuleFoot::Any) && t.is_for(weight_kg)
        })
    }

    pub fn effect(&self, key: &str) -> Option<&Effect> {
        self.effects.iter().find(|e| e.key == key)
    }

    pub fn ordered(&self, key: &str) -> Option<&Ordered> {
        self.ordered.iter().find(|o| o.key == key)
    }

    pub fn guidance(&self, outcome: Outcome) -> Option<&Guidance> {
        self.guidance.iter().find(|g| g.outcome == outcome)
    }

    pub fn advice(&self, when: AdviceWhen) -> Vec<&Advice> {
        self.advice.iter().filter(|a| a.when == when).collect()
    }
}
