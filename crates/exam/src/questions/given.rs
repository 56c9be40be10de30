//! What was given or done, one sheet for each entry; the heading says of which kind.
//!
//! It records what happened. No question asks for a dose, and none is advised.

use super::{Block, COMMON, Q, ask, c, number, one_of, text, whole, yes_no};
use crate::form::{Choice, Sheet};

const fn block(section: &'static str, questions: &'static [Q]) -> Block {
    Block {
        sheet: Sheet::Given,
        section,
        questions,
    }
}

pub(super) const BLOCKS: &[Block] = &[
    block("Injection", INJECTION),
    block("Boot or cast", BOOT),
    block("Wrap", WRAP),
    block("Medicine", MEDICINE),
    block("Therapy programme", THERAPY),
    block("Device", DEVICE),
    block("Operation", OPERATION),
    block("Check", CHECK),
];

const SITE: &[Choice] = &[
    c("sheath", "tendon sheath"),
    c("insertion", "at the tendon's insertion"),
    c("sinus_tarsi", "sinus tarsi"),
    c("subtalar", "subtalar joint"),
    c("talonavicular", "talonavicular joint"),
    c("ankle", "ankle joint"),
    c("other_joint", "another joint, named below"),
];
const DRUG: &[Choice] = &[
    c("corticosteroid", "corticosteroid"),
    c("local_anaesthetic", "local anaesthetic"),
    c("both", "corticosteroid with local anaesthetic"),
    c("hyaluronate", "hyaluronate"),
    c("other", "another class"),
];
const GUIDANCE: &[Choice] = &[
    c("ultrasound", "ultrasound"),
    c("fluoroscopy", "X-ray"),
    c("none", "none"),
];

const INJECTION: &[Q] = &[
    ask(
        "injection_site",
        "Where",
        one_of(SITE),
        "Into the sheath, never into the tendon.",
        &["SheathInj"],
    ),
    ask(
        "injection_joint",
        "Which other joint",
        text(120),
        "",
        COMMON,
    ),
    ask(
        "injection_class",
        "Class of drug",
        one_of(DRUG),
        "The class alone; dose and product belong in the practice's own medicines record.",
        COMMON,
    ),
    ask(
        "injection_volume",
        "Volume",
        number("ml", 0.1, 20.0),
        "All that went in, together.",
        COMMON,
    ),
    ask(
        "injection_guidance",
        "Guided by",
        one_of(GUIDANCE),
        "",
        &["Spencer2023"],
    ),
    ask(
        "injection_pain_before",
        "Pain just before, 0 to 10",
        number("of 10", 0.0, 10.0),
        "",
        COMMON,
    ),
    ask(
        "injection_pain_after",
        "Pain afterwards, 0 to 10",
        number("of 10", 0.0, 10.0),
        "As told at the day below.",
        COMMON,
    ),
    ask(
        "injection_days_after",
        "Days after the injection",
        whole("days", 0.0, 400.0),
        "When that pain was asked.",
        COMMON,
    ),
    yes_no(
        "injection_boot_after",
        "Held in a boot afterwards",
        "A rule of the trade, recalled and unconfirmed.",
        COMMON,
    ),
    yes_no(
        "injection_consent",
        "Risks told and agreed to",
        "Tearing of the tendon, thin or pale skin, infection.",
        &["SheathInj", "Geideman2000"],
    ),
    ask(
        "injection_nevertheless",
        "Why it was given although something spoke against it",
        text(1000),
        "",
        COMMON,
    ),
];

const BOOTS: &[Choice] = &[
    c("walking_boot", "walking boot"),
    c("short_cast", "short cast"),
];

const BOOT: &[Q] = &[
    ask("boot_kind", "Which", one_of(BOOTS), "", &["ISK"]),
    ask(
        "boot_weeks",
        "Planned for",
        number("weeks", 0.5, 26.0),
        "4 to 6 weeks in one source that was read; 3 to 8 recalled, unconfirmed.",
        &["ISK"],
    ),
    yes_no("boot_arch", "Arch supported inside it", "", COMMON),
    yes_no(
        "boot_lift",
        "Lift under the other shoe",
        "Else one leg is longer and the hip and back tell.",
        COMMON,
    ),
    yes_no(
        "boot_clot_asked",
        "Risk of a clot asked about",
        "Earlier clots, hormones, long travel; local rules on prevention come first.",
        &["Wells"],
    ),
];

const WRAPS: &[Choice] = &[
    c("zinc_paste", "zinc-paste wrap"),
    c("elastic", "elastic wrap"),
];
const FLOW: &[Choice] = &[
    c("pulses", "both pulses felt"),
    c("index", "ankle-brachial index measured"),
    c("not", "not looked at"),
];

const WRAP: &[Q] = &[
    ask("wrap_kind", "Which", one_of(WRAPS), "", &["ZincApply"]),
    ask(
        "wrap_flow",
        "Flow looked at before",
        one_of(FLOW),
        "No compression without pulses or an ankle-brachial index.",
        &["ZincNurse"],
    ),
    ask(
        "wrap_days",
        "Change after",
        whole("days", 1.0, 14.0),
        "7 days, sooner when loose or wet.",
        &["ZincApply"],
    ),
];

const MEDICINES: &[Choice] = &[
    c("nsaid", "anti-inflammatory"),
    c("paracetamol", "paracetamol"),
    c("other", "another class"),
];
const WAYS: &[Choice] = &[c("skin", "on the skin"), c("tablets", "tablets")];

const MEDICINE: &[Q] = &[
    ask(
        "medicine_class",
        "Class",
        one_of(MEDICINES),
        "The class alone; product and dose belong in the practice's own medicines record.",
        COMMON,
    ),
    ask(
        "medicine_way",
        "How",
        one_of(WAYS),
        "On the skin first.",
        &["GGCNSAID"],
    ),
    ask(
        "medicine_words",
        "Who prescribed it, and what was agreed",
        text(500),
        "",
        COMMON,
    ),
];

const PHASE: &[Choice] = &[
    c("settle", "settling: no load on the tendon"),
    c("build", "building strength"),
    c("return", "back to walking far, running, sport"),
];
const LED: &[Choice] = &[
    c("therapist", "with a therapist"),
    c("home", "at home, from the sheet"),
];

const THERAPY: &[Q] = &[
    ask("therapy_phase", "Phase", one_of(PHASE), "", COMMON),
    ask("therapy_led", "Done", one_of(LED), "", COMMON),
    ask(
        "therapy_band_sets",
        "Turning in and down against a band: sets",
        whole("sets", 1.0, 10.0),
        "3 sets of 15, twice a day, in one trial's protocol (recalled, unconfirmed).",
        &["Kulig2009"],
    ),
    ask(
        "therapy_band_repetitions",
        "Repetitions in a set",
        whole("repetitions", 1.0, 200.0),
        "",
        &["Kulig2009"],
    ),
    ask(
        "therapy_band_times",
        "Times a day",
        whole("times", 1.0, 6.0),
        "",
        &["Kulig2009"],
    ),
    ask(
        "therapy_band_load",
        "Load",
        number("kg", 0.0, 60.0),
        "Of the band or weight; raised when it is easy.",
        &["Kulig2009"],
    ),
    ask(
        "therapy_stretch_sets",
        "Calf stretch, heel held neutral: stretches each time",
        whole("stretches", 1.0, 10.0),
        "3 times 30 seconds, twice a day (recalled, unconfirmed).",
        &["Kulig2009", "BlackburnHyperbook"],
    ),
    ask(
        "therapy_stretch_seconds",
        "Seconds each",
        whole("seconds", 5.0, 300.0),
        "",
        &["Kulig2009", "BlackburnHyperbook"],
    ),
    ask(
        "therapy_stretch_times",
        "Times a day for stretching",
        whole("times", 1.0, 20.0),
        "",
        &["Kulig2009"],
    ),
    ask(
        "therapy_rise_repetitions",
        "Heel rises a day",
        whole("rises", 0.0, 400.0),
        "On both feet first, then on one.",
        &["Alvarez2006"],
    ),
    ask(
        "therapy_toe_walk",
        "Metres on the toes a day",
        whole("m", 0.0, 1000.0),
        "",
        &["Alvarez2006"],
    ),
    ask(
        "therapy_pain_limit",
        "Pain allowed while doing it, 0 to 10",
        number("of 10", 0.0, 10.0),
        "Up to 5 of 10 if it has settled by next day (recalled, unconfirmed).",
        &["Kulig2009"],
    ),
    ask("therapy_words", "In your words", text(1000), "", COMMON),
];

const DEVICES: &[Choice] = &[
    c("foot_orthosis", "foot orthosis"),
    c("hinged_afo", "hinged ankle-foot orthosis"),
    c("solid_afo", "solid ankle-foot orthosis"),
    c("gauntlet", "lace-up gauntlet"),
    c("shoe", "shoe or shoe change"),
];

const DEVICE: &[Q] = &[
    ask("device_kind", "Which", one_of(DEVICES), "", COMMON),
    ask(
        "device_order",
        "Order code",
        text(60),
        "As it stands on the order sheet.",
        COMMON,
    ),
    ask(
        "device_hours",
        "Hours a day it is meant to be worn",
        number("hours", 0.5, 24.0),
        "Nine tenths of the time on the feet in one protocol (recalled, unconfirmed); 12 hours a day in one series.",
        &["Kulig2009", "Chao1996"],
    ),
    yes_no("device_shoe_depth", "Shoe deep enough for it", "", COMMON),
    yes_no(
        "device_shoe_counter",
        "Shoe with a firm heel counter",
        "",
        COMMON,
    ),
    yes_no(
        "device_shoe_width",
        "Shoe wide enough, on a stable base",
        "",
        COMMON,
    ),
    yes_no(
        "device_break_in_told",
        "Breaking in explained",
        "1 hour on the first day, an hour more each day (recalled, unconfirmed).",
        COMMON,
    ),
    ask("device_words", "In your words", text(1000), "", COMMON),
];

const OPERATION: &[Q] = &[
    yes_no(
        "op_slide",
        "Heel bone cut and slid inwards",
        "",
        &["Schon2020"],
    ),
    yes_no(
        "op_lengthening",
        "Outer column lengthened",
        "",
        &["Thordarson2020"],
    ),
    yes_no(
        "op_wedge",
        "Wedge into the medial cuneiform",
        "",
        &["Johnson2020"],
    ),
    yes_no(
        "op_medial_fusion",
        "Joint of the inner column fused",
        "",
        &["Hintermann2020"],
    ),
    yes_no("op_transfer", "Long toe flexor transferred", "", COMMON),
    yes_no("op_spring", "Spring ligament rebuilt", "", &["Deland2020"]),
    yes_no("op_calf", "Calf or cord lengthened", "", COMMON),
    yes_no(
        "op_subtalar",
        "Subtalar joint fused",
        "",
        &["Hintermann2020"],
    ),
    yes_no(
        "op_triple",
        "Three hindfoot joints fused",
        "",
        &["Jarde2002"],
    ),
    yes_no(
        "op_ankle",
        "Deltoid or ankle operated on",
        "",
        &["Deland2020"],
    ),
    ask("op_by", "By whom, where", text(300), "", COMMON),
    ask("op_words", "In your words", text(1000), "", COMMON),
];

const SKIN: &[Choice] = &[
    c("sound", "sound"),
    c("red", "red, gone within half an hour"),
    c("red_stays", "red, stays"),
    c("broken", "blister or open"),
];
const FITS: &[Choice] = &[
    c("well", "fits"),
    c("rubs", "rubs or presses"),
    c("slips", "slips or turns"),
];
const OUTCOME: &[Choice] = &[
    c("goes_on", "goes on as it is"),
    c("adjust", "adjust and look again"),
    c("stop", "stop"),
];

const CHECK: &[Q] = &[
    ask(
        "check_hours",
        "Worn, hours a day",
        number("hours", 0.0, 24.0),
        "Over the last week, as the patient tells it.",
        COMMON,
    ),
    ask(
        "check_pain",
        "Pain, 0 to 10",
        number("of 10", 0.0, 10.0),
        "",
        COMMON,
    ),
    ask("check_skin", "Skin", one_of(SKIN), "", COMMON),
    ask(
        "check_where",
        "Where it rubs or presses",
        text(200),
        "",
        COMMON,
    ),
    ask("check_fits", "Fit", one_of(FITS), "", COMMON),
    ask(
        "check_rises",
        "Single heel rises",
        whole("rises", 0.0, 200.0),
        "",
        &["Alvarez2006"],
    ),
    ask(
        "check_toe_walk",
        "Metres walked on the toes",
        number("m", 0.0, 200.0),
        "30 m in one series' goal.",
        &["Alvarez2006"],
    ),
    ask(
        "check_deficit",
        "Strength missing against the other side",
        number("%", 0.0, 100.0),
        "10 % or less in one series' goal.",
        &["Alvarez2006"],
    ),
    ask(
        "check_load",
        "Load reached",
        number("kg", 0.0, 60.0),
        "",
        &["Kulig2009"],
    ),
    ask(
        "check_during",
        "Pain while doing the exercises, 0 to 10",
        number("of 10", 0.0, 10.0),
        "",
        &["Kulig2009"],
    ),
    yes_no(
        "check_settled",
        "Settled by the next day",
        "Back to what it was before the exercises.",
        &["Kulig2009"],
    ),
    yes_no(
        "check_easy",
        "The load is easy now",
        "Then it may be raised.",
        &["Kulig2009"],
    ),
    ask(
        "check_each",
        "Repetitions done of each home exercise",
        whole("repetitions", 0.0, 1000.0),
        "The exercise done least. 200 in one series (recalled, unconfirmed).",
        &["Alvarez2006"],
    ),
    ask(
        "check_lunge",
        "Knee to the wall, less than the other side by",
        number("%", 0.0, 100.0),
        "10 % or less before running (convention, unconfirmed).",
        COMMON,
    ),
    ask(
        "check_hop",
        "Hop, shorter than the other side by",
        number("%", 0.0, 100.0),
        "10 % or less before running (convention, unconfirmed).",
        COMMON,
    ),
    ask(
        "check_after_run",
        "Pain the day after a first run, 0 to 10",
        number("of 10", 0.0, 10.0),
        "2 or less (convention, unconfirmed).",
        COMMON,
    ),
    ask("check_outcome", "What follows", one_of(OUTCOME), "", COMMON),
    ask("check_words", "In your words", text(1000), "", COMMON),
];
