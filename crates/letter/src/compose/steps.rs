//! Every step of the ladder in words for the person who has to do it.
//!
//! The ladder speaks to clinicians. Here each of its steps says what to do at home, how much, and what to
//! watch; a step without words here is told as talked about, never guessed at.

/// A step in plain words.
pub struct Plain {
    key: &'static str,
    /// What it is, for the first column.
    pub title: &'static str,
    pub what: &'static str,
    /// How much and how often; empty where the clinic does it.
    pub home: &'static str,
    /// What to watch, always told with the step.
    pub care: &'static str,
}

const fn step(
    key: &'static str,
    title: &'static str,
    what: &'static str,
    home: &'static str,
    care: &'static str,
) -> Plain {
    Plain {
        key,
        title,
        what,
        home,
        care,
    }
}

pub const STEPS: [Plain; 15] = [
    step(
        "calm",
        "Rest, cool, raise",
        "Give the sore tendon a rest: shorter walks, no hills, no sport for now.",
        "Cool it with ice in a cloth for 10 to 15 minutes, a few times a day. Put your leg up when you sit. Do this for 2 to 6 weeks.",
        "No ice on skin that cannot feel it, or if the blood flow in your leg is poor.",
    ),
    step(
        "wrap",
        "Firm wrap",
        "We wrap foot and lower leg in a firm bandage to bring the swelling down.",
        "Keep it on and dry. We change it after about a week.",
        "Check your toes that evening and the next morning. If they turn blue, cold or numb, or hurt more, take it off and call us.",
    ),
    step(
        "boot",
        "Walking boot or cast",
        "A boot or cast keeps the ankle still so that the tendon can calm down.",
        "Wear it for 4 to 6 weeks, with a lift under the other shoe.",
        "A boot makes a blood clot a little more likely. Tell us if you ever had one. Look at your skin every day.",
    ),
    step(
        "tablets",
        "Pain gel or tablets",
        "A gel on the skin comes first. Tablets only if your doctor says they are safe for you.",
        "Take the smallest amount for the shortest time, two weeks at most before we look again.",
        "Ask your doctor or pharmacist first if you take other medicines or have heart, kidney or stomach trouble.",
    ),
    step(
        "therapy",
        "Exercises",
        "A therapist shows you how to make the tendon strong again and the calf longer.",
        "Turn the foot in against a band, then let it back slowly: 3 rounds of 15, twice a day. Stretch the calf 3 times for 30 seconds, twice a day. It takes about 12 weeks.",
        "Some pain is fine, up to 5 of 10, if it is gone the next day. The therapist fits the amounts to you. If the tendon is torn, do not train it before a surgeon has looked.",
    ),
    step(
        "orthosis",
        "Made-to-shape insole",
        "An insole with a deep heel cup holds your heel straight from below.",
        "Wear it 1 hour on the first day, then 1 hour more each day, until you wear it almost always when you are on your feet.",
        "Look for red or sore spots every evening. Not on a foot that is numb or over a sore, unless we say so.",
    ),
    step(
        "hinged-afo",
        "Ankle brace with a hinge",
        "A brace holds the heel straight and still lets the ankle bend.",
        "Wear it 1 hour on the first day, then 1 hour more each day, in a roomy, firm shoe.",
        "Look at your skin every day. Tell us if the leg swells or the foot is numb.",
    ),
    step(
        "gauntlet",
        "Lace-up brace",
        "A stiff leather brace with laces holds heel and ankle all round.",
        "Wear it 1 hour on the first day, then 1 hour more each day, in a shoe one size wider.",
        "Look at your skin every day. Tell us if lacing is hard or the foot is numb.",
    ),
    step(
        "solid-afo",
        "Stiff ankle brace",
        "A brace made to the shape of your foot stops the ankle from moving.",
        "Wear it 1 hour on the first day, then 1 hour more each day.",
        "Look at your skin every day. Tell us if you feel less safe on your feet, or if knee or hip give way.",
    ),
    step(
        "footwear",
        "Good shoes",
        "Shoes with a firm heel, a stiff middle and a wide base, with room for an insole.",
        "Wear them for every step outside, and most steps at home.",
        "Feel inside for rough spots before you put them on.",
    ),
    step(
        "injection",
        "Injection",
        "One injection beside the tendon or into the sore joint, guided by ultrasound.",
        "Wear a boot afterwards. We look again after 6 weeks.",
        "An injection can weaken this tendon, so one is usual and two the most. Skin may turn thin or pale. Sudden loss of strength: call us.",
    ),
    step(
        "surgery",
        "Talk to a surgeon",
        "We ask a foot and ankle surgeon for an opinion. That does not mean you must have an operation.",
        "Bring your X-rays and this letter.",
        "Not smoking helps any healing.",
    ),
    step(
        "child-watch",
        "Watch and wait",
        "A soft flat foot that does not hurt is common in children. It needs no insole and no treatment.",
        "Let your child run and play as usual.",
        "Come back if it starts to hurt, gets stiff, or only one foot is flat.",
    ),
    step(
        "child-help",
        "Stretch, firm shoes, try an insole",
        "A calf stretch, firm shoes, and a simple insole to try if it hurts.",
        "Stretch 3 times for 30 seconds, twice a day. Insole in the shoes by day. After 3 to 6 months we stop what did not help.",
        "An insole eases pain. It does not build an arch.",
    ),
    step(
        "child-refer",
        "A closer look",
        "We ask for X-rays taken standing, then for the opinion of a children’s specialist.",
        "Tell us at once if anything gets worse before then.",
        "Do not press a stiff foot into a correcting insole.",
    ),
];

pub fn plain(key: &str) -> Option<&'static Plain> {
    STEPS.iter().find(|s| s.key == key)
}

#[cfg(test)]
mod tests {
    use super::*;
    use care::Ladder;

    #[test]
    fn every_step_of_the_ladder_has_plain_words_and_none_is_left_over() {
        let ladder: Vec<&str> = Ladder::built_in().rungs().iter().map(|r| &*r.key).collect();
        for key in &ladder {
            assert!(plain(key).is_some(), "{key}");
        }
        for step in STEPS {
            assert!(ladder.contains(&step.key), "{}", step.key);
        }
    }

    /// The grade of Flesch and Kincaid asks for few long words and short sentences; 12 years is grade 6 to 7.
    #[test]
    fn a_twelve_year_old_can_read_every_step() {
        let all: String = STEPS
            .iter()
            .map(|s| format!("{} {} {} ", s.what, s.home, s.care))
            .collect();
        let grade = super::super::plain::school_grade(&all);
        assert!(grade < 6.5, "{grade}");
    }
}
