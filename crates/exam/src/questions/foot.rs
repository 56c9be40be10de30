//! One foot: pain, standing, heel rise, correction, strength, circulation, feeling, skin, joints.

use super::{Block, COMMON, Q, ask, c, number, one_of, text, whole, yes_no};
use crate::form::{Choice, Sheet};

const fn block(section: &'static str, questions: &'static [Q]) -> Block {
    Block {
        sheet: Sheet::Foot,
        section,
        questions,
    }
}

pub(super) const BLOCKS: &[Block] = &[
    block("Pain and swelling", PAIN),
    block("Standing", STANDING),
    block("Heel rise", HEEL_RISE),
    block("Does it correct", CORRECTION),
    block("Strength and length", STRENGTH),
];
/// After the posture index.
pub(super) const LATER_BLOCKS: &[Block] = &[
    block("Circulation and feeling", CIRCULATION),
    block("Skin", SKIN),
    block("Imaging and joints", JOINTS),
    block("In words", WORDS),
];

const PLACE: &[Choice] = &[
    c("no", "no"),
    c("pressed", "when pressed"),
    c("itself", "by itself"),
];
const SWELLING: &[Choice] = &[
    c("none", "none"),
    c("slight", "slight"),
    c("marked", "marked"),
];
const WHEELESS: &[&str] = &["Wheeless"];

const PAIN: &[Q] = &[
    ask(
        "pain_level",
        "Pain at its worst this week",
        number("of 10", 0.0, 10.0),
        "0 none, 10 the worst they can think of.",
        &["Salaffi2004"],
    ),
    ask(
        "pain_inner_ankle",
        "Pain behind or below the inner ankle",
        one_of(PLACE),
        "Along the tendon, from above the malleolus to the navicular.",
        WHEELESS,
    ),
    ask(
        "pain_navicular",
        "Pain at the navicular tuberosity",
        one_of(PLACE),
        "",
        WHEELESS,
    ),
    ask("pain_sole", "Pain in the sole", one_of(PLACE), "", COMMON),
    ask(
        "pain_outer",
        "Pain at the outer side, sinus tarsi",
        one_of(PLACE),
        "Dimple in front of and below the outer malleolus.",
        &["Wheeless", "HMP2024"],
    ),
    ask(
        "pain_under_fibula",
        "Pain under the tip of the outer malleolus",
        one_of(PLACE),
        "",
        &["HMP2024"],
    ),
    ask(
        "pain_ankle_joint",
        "Pain in the ankle joint line",
        one_of(PLACE),
        "",
        COMMON,
    ),
    ask(
        "pain_midfoot_joints",
        "Pain in the joints of the midfoot",
        one_of(PLACE),
        "",
        COMMON,
    ),
    ask(
        "swelling_inner",
        "Swelling along the tendon",
        one_of(SWELLING),
        "Compare with the other side.",
        WHEELESS,
    ),
    ask(
        "swelling_leg",
        "Swelling of foot and leg",
        one_of(SWELLING),
        "Leaves a dent, worse by evening.",
        COMMON,
    ),
];

const HEEL_LINE: &[Choice] = &[
    c("inwards", "leans inwards"),
    c("usual", "straight or as usual"),
    c("slight", "a little more outwards than usual"),
    c("clear", "clearly outwards"),
];
const ARCH: &[Choice] = &[
    c("normal", "normal"),
    c("lowered", "lowered"),
    c("flat", "flat"),
];
const APPEARS: &[Choice] = &[
    c("appears", "appears"),
    c("partly", "partly"),
    c("stays_flat", "stays flat"),
];
const GREAT_TOE: &[Choice] = &[
    c("arch_rises", "arch rises, leg turns out"),
    c("arch_hardly_rises", "toe lifts, arch hardly rises"),
    c("toe_blocked", "toe will not lift under load"),
];

const STANDING: &[Q] = &[
    ask(
        "toes_seen",
        "Toes seen from behind on the outer side",
        whole("toes", 0.0, 5.0),
        "Stand two steps behind, both feet pointing ahead. Usual is one or two; three or more, or a difference between the sides, counts. May be absent although the tendon is torn.",
        &["Wheeless", "Johnson1983"],
    ),
    ask(
        "heel_line",
        "Heel seen from behind",
        one_of(HEEL_LINE),
        "Judged by eye; agrees poorly with films, so both are asked for.",
        &["HindfootByEye2016"],
    ),
    ask(
        "heel_angle_deg",
        "Heel angle, outwards plus",
        number("deg", -30.0, 45.0),
        "Heel against the floor's upright, standing relaxed. Outwards (valgus) is plus.",
        &["Sobel1999", "SubtalarReview2019"],
    ),
    ask(
        "arch_standing",
        "Arch when standing",
        one_of(ARCH),
        "",
        &["RCHflat"],
    ),
    ask(
        "arch_sitting",
        "Arch when sitting, foot hanging",
        one_of(APPEARS),
        "",
        &["RCHflat"],
    ),
    ask(
        "arch_on_tiptoe",
        "Arch on tiptoe",
        one_of(APPEARS),
        "",
        &["RCHflat"],
    ),
    yes_no(
        "forefoot_drifts_out",
        "Forefoot drifts outwards",
        "Seen from above: the outer border bends at the calcaneocuboid joint.",
        &["HMP2024"],
    ),
    yes_no(
        "sides_differ",
        "Clearly flatter than the other foot",
        "",
        &["RCHflat"],
    ),
    ask(
        "great_toe_test",
        "Lifting the great toe while standing",
        one_of(GREAT_TOE),
        "Lift the toe by hand while the person stands relaxed. No accepted normal figure was found.",
        COMMON,
    ),
];

const ABLE: &[Choice] = &[
    c("able", "able"),
    c("partly", "partly"),
    c("unable", "unable"),
];
const STOPPED: &[Choice] = &[
    c("weakness", "weakness"),
    c("pain", "pain"),
    c("balance", "balance"),
    c("tired", "tired"),
    c("examiner", "stopped by us"),
];
const MT_RISE: &[Choice] = &[c("stays_down", "stays down"), c("lifts", "lifts off")];

const HEEL_RISE: &[Q] = &[
    ask(
        "heel_rise_single",
        "Single heel rise",
        one_of(ABLE),
        "On one leg, hands on the wall, knee straight, seen from behind. Pain that stops it is not the same as a torn tendon: write down which.",
        WHEELESS,
    ),
    yes_no(
        "heel_rise_turns_in",
        "Heel turns inwards as it rises",
        "A pass is: the heel swings inwards, then lifts, and the arch rises with it.",
        WHEELESS,
    ),
    ask(
        "heel_rise_count",
        "Single heel rises",
        whole("rises", 0.0, 300.0),
        "30 a minute on a 10° slope where the counts are to be held against the decade table; say in words if done otherwise.",
        &["SVthesis", "HebertLosier2017"],
    ),
    ask(
        "heel_rise_height_cm",
        "Height of the best rise",
        number("cm", 0.0, 20.0),
        "",
        &["SleeswijkVisser2025"],
    ),
    ask(
        "heel_rise_pain",
        "Pain during the rise",
        number("of 10", 0.0, 10.0),
        "",
        WHEELESS,
    ),
    ask(
        "heel_rise_stopped_by",
        "What ended it",
        one_of(STOPPED),
        "Stop after two prompts for: heel no longer leaves the floor, beat lost, knee bends, more than fingertip support.",
        &["SVthesis"],
    ),
    ask(
        "heel_rise_double",
        "Double heel rise",
        one_of(ABLE),
        "Both feet together.",
        &["HintermannGachter1996"],
    ),
    yes_no(
        "heel_rise_double_turns_in",
        "This heel turns inwards in the double rise",
        "",
        &["HintermannGachter1996"],
    ),
    ask(
        "heel_rise_double_count",
        "Double heel rises",
        whole("rises", 0.0, 500.0),
        "",
        &["Monteiro2017"],
    ),
    ask(
        "first_metatarsal_rise",
        "First metatarsal head when the heel is turned inwards",
        one_of(MT_RISE),
        "Standing on both feet, turn the shank outwards or push the heel inwards: lifting off counts. A supinated forefoot alone can lift it too.",
        &["HintermannGachter1996", "Blake2020"],
    ),
];

const CORRECTS: &[Choice] = &[
    c("fully", "fully"),
    c("partly", "partly"),
    c("not", "not at all"),
];
const RAY: &[Choice] = &[
    c("usual", "usual"),
    c("loose", "loose"),
    c("stiff", "stiff"),
];
const LAG: &[Choice] = &[
    c("crosses", "crosses the midline"),
    c("lags", "does not cross"),
    c("no_motion", "does not move at all"),
];
const MOTION: &[Choice] = &[
    c("free", "free"),
    c("reduced", "reduced"),
    c("none", "none"),
];

const CORRECTION: &[Q] = &[
    ask(
        "heel_corrects",
        "Heel brought to neutral by hand",
        one_of(CORRECTS),
        "Knee bent, hold the head of the talus, turn the heel in.",
        WHEELESS,
    ),
    yes_no(
        "forefoot_varus",
        "Forefoot turned up once the heel is held neutral",
        "Inner border higher than the outer: forefoot varus or supination.",
        WHEELESS,
    ),
    ask(
        "forefoot_varus_corrects",
        "The turned-up forefoot comes down by hand",
        one_of(CORRECTS),
        "Heel held neutral, ankle let down. Not at all: a fixed forefoot varus.",
        WHEELESS,
    ),
    ask(
        "forefoot_varus_left_deg",
        "Forefoot varus that is left",
        number("deg", -30.0, 60.0),
        "Heel neutral, forefoot pressed down as far as it goes.",
        WHEELESS,
    ),
    ask(
        "forefoot_drift_corrects",
        "Forefoot brought back in line by hand",
        one_of(CORRECTS),
        "Heel held neutral, push the forefoot inwards.",
        COMMON,
    ),
    ask(
        "subtalar_motion",
        "Motion between heel and talus",
        one_of(MOTION),
        "",
        COMMON,
    ),
    ask(
        "first_ray",
        "First ray, up and down",
        one_of(RAY),
        "Hold the lesser rays still and move the first.",
        &["HMP2024"],
    ),
    ask(
        "supination_lag",
        "Both feet turned in, lying",
        one_of(LAG),
        "On the back, feet free. No motion at all suggests a fixed deformity.",
        &["SupinationLag2011"],
    ),
    yes_no(
        "ankle_tilt_seen",
        "Ankle itself tilts outwards",
        "Seen on an ankle film in standing, here or elsewhere. Leave open where no film was looked at.",
        &["HMP2024", "PCFDvalgus2023"],
    ),
    ask(
        "ankle_tilt_corrects",
        "Ankle tilt corrects by hand",
        one_of(CORRECTS),
        "",
        COMMON,
    ),
    yes_no(
        "deltoid_lax",
        "Inner ankle ligament gives way",
        "Ankle opens on the inner side when pushed outwards, or on a stress film.",
        COMMON,
    ),
    yes_no(
        "impinges_sinus_tarsi",
        "Turning the foot outwards pinches at the sinus tarsi",
        "",
        &["HMP2024"],
    ),
    yes_no(
        "impinges_under_fibula",
        "Turning the foot outwards pinches under the fibula",
        "",
        &["HMP2024"],
    ),
];

const STRENGTH: &[Q] = &[
    ask(
        "tp_strength",
        "Strength of the tibialis posterior",
        whole("of 5", 0.0, 5.0),
        "Foot pointed and turned in, to leave the tibialis anterior out; resist turning out. 0 nothing, 1 flicker, 2 without weight, 3 against weight, 4 some resistance, 5 full. Five does not rule disease out.",
        WHEELESS,
    ),
    ask(
        "dorsiflexion_straight_deg",
        "Ankle lift, knee straight",
        number("deg", -60.0, 50.0),
        "Hold subtalar and midfoot in neutral with the second hand; one hand alone reads about 12° too much.",
        &["Goss2020", "Barouk2014"],
    ),
    ask(
        "dorsiflexion_bent_deg",
        "Ankle lift, knee bent",
        number("deg", -60.0, 60.0),
        "Same hold, knee at 90°.",
        &["Goss2020", "Barouk2014"],
    ),
    ask(
        "navicular_drop_mm",
        "Navicular drop",
        number("mm", -10.0, 40.0),
        "Height of the tuberosity sitting in neutral less standing relaxed.",
        &["Nielsen2009"],
    ),
];

const PULSE: &[Choice] = &[
    c("strong", "easily felt"),
    c("weak", "weak"),
    c("absent", "not felt"),
];
const COLOUR: &[Choice] = &[
    c("usual", "usual"),
    c("pale", "pale"),
    c("dusky", "dusky"),
    c("red", "red"),
];
const WARMTH: &[Choice] = &[
    c("same", "as the other"),
    c("warmer", "warmer"),
    c("colder", "colder"),
];
const FELT: &[Choice] = &[c("felt", "felt"), c("not_felt", "not felt")];
const FILAMENT: &[&str] = &["NHSfoot", "IWGDF"];

const CIRCULATION: &[Q] = &[
    ask(
        "pulse_dorsal",
        "Pulse on the back of the foot",
        one_of(PULSE),
        "",
        COMMON,
    ),
    ask(
        "pulse_tibial",
        "Pulse behind the inner ankle",
        one_of(PULSE),
        "",
        COMMON,
    ),
    ask(
        "ankle_brachial_index",
        "Ankle-brachial index",
        number("ratio", 0.0, 2.5),
        "Ankle pressure over arm pressure. Stiff arteries read too high.",
        &["ZincNurse"],
    ),
    ask("foot_colour", "Colour", one_of(COLOUR), "", COMMON),
    ask(
        "foot_warmth",
        "Warmth by hand",
        one_of(WARMTH),
        "",
        &["CharcotAFP"],
    ),
    ask(
        "temperature_difference_c",
        "Skin temperature above the other foot",
        number("°C", -15.0, 15.0),
        "Same spot on both feet.",
        &["CharcotAFP", "IWGDFCharcot"],
    ),
    ask(
        "filament_great_toe",
        "10 g filament, great toe",
        one_of(FELT),
        "Eyes closed; press until it bends; not on hard skin.",
        FILAMENT,
    ),
    ask(
        "filament_mt1",
        "10 g filament, first metatarsal head",
        one_of(FELT),
        "",
        FILAMENT,
    ),
    ask(
        "filament_mt5",
        "10 g filament, fifth metatarsal head",
        one_of(FELT),
        "",
        FILAMENT,
    ),
];

const SKIN: &[Q] = &[
    yes_no("skin_ulcer", "Ulcer or open wound", "", &["IWGDF"]),
    yes_no(
        "skin_infection",
        "Spreading redness or infection of the skin",
        "",
        &["ZincNurse"],
    ),
    yes_no("skin_weeping", "Weeping eczema", "", &["ZincNurse"]),
    yes_no("skin_fragile", "Thin or fragile skin", "", COMMON),
    yes_no(
        "skin_callus_medial",
        "Hard skin under the navicular or talar head",
        "",
        COMMON,
    ),
];

const TENDON_IMAGE: &[Choice] = &[
    c("sound", "sound"),
    c("inflamed", "fluid or thickened sheath, no tear"),
    c("partial_tear", "partial tear or split"),
    c("full_tear", "torn through"),
];
const WEAR: &[&str] = &["common-practice"];

const JOINTS: &[Q] = &[
    ask(
        "tendon_image",
        "Tendon on ultrasound or MRI",
        one_of(TENDON_IMAGE),
        "Leave open where no image was taken.",
        COMMON,
    ),
    yes_no(
        "tmt_gap",
        "First tarsometatarsal or naviculocuneiform joint gaps at the sole",
        "On the lateral film, in standing.",
        &["HMP2024"],
    ),
    yes_no(
        "subtalar_subluxed",
        "Talus slides off the heel bone",
        "Marked uncovering of the subtalar joint on film or weight-bearing CT.",
        &["HMP2024"],
    ),
    yes_no(
        "coalition_seen",
        "Bony or fibrous bridge seen or suspected",
        "Anteater nose, C sign; repeated sprains are a clue.",
        &["OrthoVellum"],
    ),
    yes_no(
        "accessory_navicular",
        "Extra bone at the navicular",
        "",
        &["Sella1987"],
    ),
    yes_no(
        "plafond_loss",
        "Outer tibial joint surface worn down to bone loss",
        "On the ankle film, in standing.",
        COMMON,
    ),
    ask(
        "wear_ankle",
        "Wear of the ankle",
        whole("grade", 0.0, 4.0),
        "0 none, 1 doubtful, 2 spurs with narrowing possible, 3 narrowed, 4 gone.",
        WEAR,
    ),
    ask(
        "wear_subtalar",
        "Wear of the subtalar joint",
        whole("grade", 0.0, 4.0),
        "",
        WEAR,
    ),
    ask(
        "wear_talonavicular",
        "Wear of the talonavicular joint",
        whole("grade", 0.0, 4.0),
        "",
        WEAR,
    ),
    ask(
        "wear_calcaneocuboid",
        "Wear of the calcaneocuboid joint",
        whole("grade", 0.0, 4.0),
        "",
        WEAR,
    ),
    ask(
        "wear_naviculocuneiform",
        "Wear of the naviculocuneiform joint",
        whole("grade", 0.0, 4.0),
        "",
        WEAR,
    ),
    ask(
        "wear_first_tarsometatarsal",
        "Wear of the first tarsometatarsal joint",
        whole("grade", 0.0, 4.0),
        "",
        WEAR,
    ),
    ask(
        "wear_lesser_tarsometatarsal",
        "Wear of the lesser tarsometatarsal joints",
        whole("grade", 0.0, 4.0),
        "",
        WEAR,
    ),
];

const WORDS: &[Q] = &[ask(
    "foot_remarks",
    "Anything else about this foot",
    text(2000),
    "",
    COMMON,
)];
