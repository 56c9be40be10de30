//! Findings, readings, stages and checks in words for somebody who is not in the trade.
//!
//! A finding that has no plain sentence here is left to the other letter; one that was not recorded has
//! none by construction.

use exam::Examination;
use reading::Summary;
use reading::against::Beyond;
use stage::StageReport;
use terms::Side;

/// To whom the letter speaks: to the patient, or about a child to whoever looks after it.
#[derive(Debug, Clone, Copy)]
pub struct Voice {
    pub child: bool,
}

impl Voice {
    pub fn foot(self, side: Side) -> String {
        let whose = if self.child { "your child’s" } else { "your" };
        format!("{whose} {} foot", side.word())
    }
}

/// Question, answer, sentence. In the order in which they are told.
const FINDINGS: [(&str, &str, &str); 47] = [
    (
        "pain_inner_ankle",
        "itself",
        "It hurts behind or below the inner ankle.",
    ),
    (
        "pain_inner_ankle",
        "pressed",
        "It hurts behind or below the inner ankle when pressed.",
    ),
    ("pain_inner_ankle", "no", "The inner ankle does not hurt."),
    ("pain_outer", "itself", "It hurts on the outer side."),
    (
        "pain_outer",
        "pressed",
        "It hurts on the outer side when pressed.",
    ),
    ("pain_sole", "itself", "The sole hurts."),
    ("pain_sole", "pressed", "The sole hurts when pressed."),
    (
        "pain_navicular",
        "itself",
        "It hurts at the bony bump on the inner side.",
    ),
    (
        "pain_navicular",
        "pressed",
        "It hurts at the bony bump on the inner side when pressed.",
    ),
    (
        "swelling_inner",
        "none",
        "There is no swelling along the tendon.",
    ),
    (
        "swelling_inner",
        "slight",
        "There is a little swelling along the tendon.",
    ),
    (
        "swelling_inner",
        "marked",
        "There is clear swelling along the tendon.",
    ),
    (
        "heel_line",
        "inwards",
        "Seen from behind, the heel leans inwards.",
    ),
    (
        "heel_line",
        "usual",
        "Seen from behind, the heel stands as usual.",
    ),
    (
        "heel_line",
        "slight",
        "Seen from behind, the heel leans outwards a little more than usual.",
    ),
    (
        "heel_line",
        "clear",
        "Seen from behind, the heel leans clearly outwards.",
    ),
    (
        "arch_standing",
        "normal",
        "When standing, the arch looks normal.",
    ),
    (
        "arch_standing",
        "lowered",
        "When standing, the arch is low.",
    ),
    ("arch_standing", "flat", "When standing, the arch is flat."),
    (
        "arch_sitting",
        "appears",
        "When the foot hangs, the arch appears.",
    ),
    (
        "arch_sitting",
        "stays_flat",
        "When the foot hangs, the arch stays flat.",
    ),
    ("arch_on_tiptoe", "appears", "On tiptoe the arch appears."),
    (
        "arch_on_tiptoe",
        "partly",
        "On tiptoe the arch appears in part.",
    ),
    (
        "arch_on_tiptoe",
        "stays_flat",
        "On tiptoe the arch stays flat.",
    ),
    (
        "heel_rise_single",
        "able",
        "Standing on tiptoe on this leg alone works.",
    ),
    (
        "heel_rise_single",
        "partly",
        "Standing on tiptoe on this leg alone works only in part.",
    ),
    (
        "heel_rise_single",
        "unable",
        "Standing on tiptoe on this leg alone does not work.",
    ),
    (
        "heel_corrects",
        "fully",
        "The heel can be brought back into line by hand.",
    ),
    (
        "heel_corrects",
        "partly",
        "The heel can be brought back into line by hand, but not all the way.",
    ),
    (
        "heel_corrects",
        "not",
        "The heel cannot be brought back into line by hand.",
    ),
    (
        "forefoot_drifts_out",
        "yes",
        "The front of the foot drifts outwards.",
    ),
    (
        "forefoot_drifts_out",
        "no",
        "The front of the foot is in line.",
    ),
    (
        "tendon_image",
        "sound",
        "On the scan the tendon looks sound.",
    ),
    (
        "tendon_image",
        "inflamed",
        "On the scan the tendon’s covering is inflamed; no tear was seen.",
    ),
    (
        "tendon_image",
        "partial_tear",
        "On the scan the tendon is partly torn.",
    ),
    (
        "tendon_image",
        "full_tear",
        "On the scan the tendon is torn through.",
    ),
    (
        "pulse_dorsal",
        "strong",
        "The pulse on the back of the foot is easily felt.",
    ),
    (
        "pulse_dorsal",
        "weak",
        "The pulse on the back of the foot is weak.",
    ),
    (
        "pulse_dorsal",
        "absent",
        "The pulse on the back of the foot could not be felt.",
    ),
    (
        "pulse_tibial",
        "strong",
        "The pulse behind the inner ankle is easily felt.",
    ),
    (
        "pulse_tibial",
        "weak",
        "The pulse behind the inner ankle is weak.",
    ),
    (
        "pulse_tibial",
        "absent",
        "The pulse behind the inner ankle could not be felt.",
    ),
    ("skin_ulcer", "yes", "There is an open sore or wound."),
    ("skin_ulcer", "no", "There is no open sore."),
    ("skin_infection", "yes", "The skin is infected."),
    ("skin_fragile", "yes", "The skin is thin."),
    (
        "coalition_seen",
        "yes",
        "A bridge between two bones is seen or suspected.",
    ),
];

/// School years after which a text can be read, by the formula of Flesch and Kincaid (common practice).
#[cfg(test)]
pub fn school_grade(text: &str) -> f64 {
    let sentences = text
        .split(['.', '!', '?'])
        .filter(|s| s.split_whitespace().count() > 1)
        .count()
        .max(1);
    let words: Vec<&str> = text
        .split_whitespace()
        .filter(|w| w.chars().any(char::is_alphabetic))
        .collect();
    let syllables: usize = words.iter().map(|w| syllables(w)).sum();
    let n = words.len().max(1) as f64;
    0.39 * n / sentences as f64 + 11.8 * syllables as f64 / n - 15.59
}

/// Runs of vowels, less a silent e at the end.
#[cfg(test)]
fn syllables(word: &str) -> usize {
    let letters: Vec<char> = word
        .to_lowercase()
        .chars()
        .filter(char::is_ascii_alphabetic)
        .collect();
    let vowel = |c: &char| "aeiouy".contains(*c);
    let mut runs = 0;
    for (i, c) in letters.iter().enumerate() {
        if vowel(c) && (i == 0 || !vowel(&letters[i - 1])) {
            runs += 1;
        }
    }
    if letters.ends_with(&['e']) && !letters.ends_with(&['l', 'e']) && runs > 1 {
        runs -= 1;
    }
    runs.max(1)
}

const FILAMENTS: [&str; 3] = ["filament_great_toe", "filament_mt1", "filament_mt5"];

/// Findings that are told before others; one of each line at most.
const FIRST: [&str; 16] = [
    "pain_inner_ankle",
    "pain_outer",
    "pain_navicular",
    "swelling_inner",
    "heel_line",
    "arch_standing",
    "arch_on_tiptoe",
    "arch_sitting",
    "heel_rise_single",
    "heel_corrects",
    "forefoot_drifts_out",
    "tendon_image",
    "coalition_seen",
    "skin_infection",
    "skin_fragile",
    "pain_sole",
];
/// Findings that are never left out: they change what is safe.
const SAFETY: [(&str, &str); 6] = [
    ("skin_ulcer", "yes"),
    ("skin_infection", "yes"),
    ("pulse_dorsal", "weak"),
    ("pulse_dorsal", "absent"),
    ("pulse_tibial", "weak"),
    ("pulse_tibial", "absent"),
];
/// Sentences on one foot besides those on safety; more would not be read.
const MOST: usize = 5;

fn sentence(exam: &Examination, key: &str) -> Option<(&'static str, &'static str)> {
    let answer = exam.choice(key).value()?;
    FINDINGS
        .iter()
        .find(|(k, choice, _)| *k == key && *choice == answer)
        .map(|(_, choice, words)| (*choice, *words))
}

/// What was found on one foot: a few sentences that belong together, what hurts first.
pub fn findings(exam: &Examination) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(level) = exam.number("pain_level").value() {
        out.push(if level == 0.0 {
            "It did not hurt this week.".to_owned()
        } else {
            format!("The pain was {level} out of 10 at its worst this week.")
        });
    }
    let told: Vec<(&str, &str, &str)> = FIRST
        .iter()
        .filter_map(|key| sentence(exam, key).map(|(c, w)| (*key, c, w)))
        .filter(|(key, choice, _)| !SAFETY.contains(&(*key, *choice)))
        .collect();
    // What is not as usual comes first; of the rest only as much as fits.
    let usual = |(key, choice, _): &&(&str, &str, &str)| {
        matches!(*choice, "no" | "none" | "usual" | "normal" | "sound")
            || (*key == "heel_rise_single" && *choice == "able")
    };
    let unusual = told.iter().filter(|t| !usual(t)).take(MOST);
    let mut chosen: Vec<&str> = unusual.map(|(_, _, words)| *words).collect();
    let room = MOST.saturating_sub(chosen.len()).min(3);
    chosen.extend(
        told.iter()
            .filter(usual)
            .take(room)
            .map(|(_, _, words)| *words),
    );
    out.extend(chosen.into_iter().map(str::to_owned));
    for (key, choice, words) in FINDINGS {
        if SAFETY.contains(&(key, choice)) && exam.choice(key).value() == Some(choice) {
            out.push(words.to_owned());
        }
    }
    let felt: Vec<bool> = FILAMENTS
        .iter()
        .filter_map(|k| exam.choice(k).value())
        .map(|c| c == "felt")
        .collect();
    if felt.iter().any(|f| !f) {
        out.push(
            "The foot does not feel a light touch everywhere, so it can be hurt without you noticing."
                .to_owned(),
        );
    }
    out
}

/// Films' measures that a lay reader can follow, and what they are about.
const MEASURES: [(&str, &str); 8] = [
    ("meary_lat", "The line along the arch, seen from the side"),
    ("calc_pitch", "The slope of the heel bone"),
    (
        "tnca",
        "How far the front of the foot has slid outwards at its main joint",
    ),
    ("tn_uncov", "How much of that joint lies uncovered"),
    (
        "t1mt_dp",
        "The line of the first long bone, seen from above",
    ),
    (
        "hma",
        "How far the heel stands outside the line of the shin",
    ),
    ("talar_tilt", "The tilt of the ankle joint"),
    (
        "nav_height_truncated",
        "The height of the arch for the length of the foot",
    ),
];

pub fn measure(key: &str) -> Option<&'static str> {
    MEASURES.iter().find(|(k, _)| *k == key).map(|(_, w)| *w)
}

/// A view as somebody says it who does not read films.
pub fn view(view: terms::View) -> &'static str {
    match view {
        terms::View::Lateral => "from the side",
        terms::View::Dorsoplantar => "from above",
        terms::View::HindfootAlignment => "from behind",
        terms::View::AnkleFront => "the ankle from the front",
    }
}

/// Above and below the usual, for the measures where that can be said in plain words.
const BEYOND: [(&str, &str, &str); 4] = [
    (
        "meary_lat",
        "The arch has sunk more than is usual.",
        "The arch is higher than is usual.",
    ),
    (
        "calc_pitch",
        "The heel bone stands steeper than is usual.",
        "The heel bone lies flatter than is usual.",
    ),
    (
        "tnca",
        "That is further out than is usual.",
        "That is further in than is usual.",
    ),
    (
        "hma",
        "That is further out than is usual.",
        "That is further in than is usual.",
    ),
];

/// Where a reading lies, in plain words.
pub fn where_it_lies(measure: &str, summary: Summary) -> &'static str {
    let words = BEYOND.iter().find(|(key, ..)| *key == measure);
    match (summary, words) {
        (Summary::Outside(Beyond::Above), Some((_, above, _))) => above,
        (Summary::Outside(Beyond::Below), Some((_, _, below))) => below,
        _ => place(summary),
    }
}

fn place(summary: Summary) -> &'static str {
    match summary {
        Summary::Inside => "That is within what is published as usual.",
        Summary::Outside(_) => "That is outside what is published as usual.",
        Summary::Straddles => "That is too close to the limit to say whether it is usual.",
        Summary::SourcesDiffer => "Published limits differ: by some it is usual, by others not.",
        Summary::NoYardstick => "",
    }
}

/// What a stage of the failing tendon means, whichever its substage.
fn tendon_stage(key: &str) -> Option<(&'static str, &'static str)> {
    let main = key.trim_end_matches(|c: char| !matches!(c, 'I' | 'V'));
    [
        ("I", "The tendon is sore, and the heel is still in line"),
        (
            "II",
            "The heel has moved outwards, and it can still be brought back",
        ),
        ("III", "The heel has moved outwards and has become stiff"),
        ("IV", "The ankle joint itself tilts outwards"),
    ]
    .into_iter()
    .find(|(stage, _)| *stage == main)
}

fn in_the_trade(key: &str, words: &str) -> String {
    format!("{words}. In the trade this is called stage {key} of four.")
}

/// What the stage means that the clinician decided on; `None` where it is written in other words than the
/// four stages have.
pub fn decided(chosen: &str) -> Option<String> {
    tendon_stage(chosen.trim()).map(|(key, words)| in_the_trade(key, words))
}

/// What the stage means; `None` where several are possible or none.
pub fn stage(report: &StageReport) -> Option<String> {
    // A substage is told by its stage only where the clinician decided on it.
    let tendon = report.tendon.as_ref().and_then(|s| {
        s.holding()
            .into_iter()
            .find_map(|key| tendon_stage(key).filter(|(main, _)| *main == key))
    });
    if report.child.is_none()
        && let Some((key, words)) = tendon
    {
        return Some(in_the_trade(key, words));
    }
    if report.tendon.is_none()
        && let Some(kind) = report.child.as_ref()
    {
        return match kind.holding().as_slice() {
            ["not-flat"] => Some("The foot is not flat when standing."),
            ["flexible-painless"] => {
                Some("The foot is flat when standing, its arch comes back, and it does not hurt.")
            }
            ["flexible-painful"] => {
                Some("The foot is flat when standing, its arch comes back, and it hurts.")
            }
            ["rigid-painless"] => {
                Some("The foot is flat when standing and its arch does not come back.")
            }
            ["rigid-painful"] => {
                Some("The foot is flat when standing, its arch does not come back, and it hurts.")
            }
            _ => None,
        }
        .map(str::to_owned);
    }
    None
}

/// A check that nobody recorded, as something still to be looked at.
pub fn check(key: &str) -> &'static str {
    match key {
        "feeling" => "whether the foot feels a light touch",
        "flow" => "whether enough blood reaches the foot",
        "clot" => "whether there could be a clot in the leg",
        "skin" => "whether the skin is sound",
        "heart" => "whether there is heart disease",
        "paste" => "whether there is an allergy to the wrap",
        "nsaid" => "which illnesses and other medicines there are",
        "tear" => "whether the tendon is torn",
        "corrects" => "whether the heel can be brought back into line",
        "oedema" => "whether the leg swells",
        "hands" => "whether the hands can manage laces and straps",
        "deformity" => "whether the heel is in line",
        "injection" => "earlier injections, infections and other medicines",
        _ => "what matters before an operation",
    }
}

/// When to seek help without waiting for the next visit. Common practice.
pub const WARNINGS: [(&str, &[&str]); 2] = [
    (
        "Call the emergency number if",
        &[
            "the foot turns cold, pale or blue and hurts while you rest,",
            "your calf swells and hurts, and you are short of breath or your chest hurts.",
        ],
    ),
    (
        "Call us, or get help the same day, if",
        &[
            "the foot or ankle gets hot, red and swollen, or you have a fever,",
            "your calf swells and hurts,",
            "you feel a snap in the ankle, or the arch is suddenly gone,",
            "you cannot put any weight on the foot,",
            "you find a new sore, blister or wound, above all under an insole, boot or wrap: take it off,",
            "your toes go numb, blue or cold in a boot or wrap: take it off.",
        ],
    ),
];

/// The same when a child is meant.
pub const WARNINGS_CHILD: [(&str, &[&str]); 2] = [
    (
        "Call the emergency number if",
        &[
            "the foot turns cold, pale or blue and hurts at rest,",
            "the calf swells and hurts, and your child is short of breath or the chest hurts.",
        ],
    ),
    (
        "Call us, or get help the same day, if",
        &[
            "the foot or ankle gets hot, red and swollen,",
            "the calf swells and hurts,",
            "your child limps with a fever, or will not walk,",
            "pain wakes your child at night,",
            "there is a snap in the ankle, or the arch is suddenly gone,",
            "you find a new sore, blister or wound, above all under an insole, boot or wrap: take it off,",
            "toes go numb, blue or cold in a boot or wrap: take it off.",
        ],
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use exam::{Kind, question};

    #[test]
    fn every_plain_sentence_belongs_to_an_answer_of_the_form() {
        for (key, choice, sentence) in FINDINGS {
            let q = question(key).unwrap_or_else(|| panic!("{key}"));
            let Kind::Choice { choices } = q.kind else {
                panic!("{key} is no choice");
            };
            assert!(choices.iter().any(|c| c.key == choice), "{key} {choice}");
            assert!(sentence.ends_with('.') && sentence.len() < 90, "{sentence}");
        }
    }

    #[test]
    fn every_plain_measure_exists() {
        let beyond = BEYOND.iter().map(|(key, ..)| *key);
        for key in MEASURES.iter().map(|(key, _)| *key).chain(beyond) {
            let key = terms::MeasureKey::new(key).unwrap();
            assert!(
                knowledge::Knowledge::built_in().measure(&key).is_some(),
                "{key}"
            );
        }
    }

    #[test]
    fn a_foot_nobody_looked_at_has_no_findings() {
        assert!(findings(&Examination::new()).is_empty());
    }
}
