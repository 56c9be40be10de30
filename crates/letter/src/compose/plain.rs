//! Findings, readings, stages and checks in words for somebody who is not in the trade.
//!
//! A finding that has no plain sentence in the catalogue (`found-heel_line-clear`) is left to the other
//! letter; one that was not recorded has none by construction.

use crate::words::{Words, say};
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
    /// What a message chooses its words by.
    pub fn who(self) -> &'static str {
        if self.child { "child" } else { "adult" }
    }

    pub fn foot(self, w: &Words, side: Side) -> String {
        say!(w, "your-foot", who = self.who(), side = side.word())
    }
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
/// Findings that are never left out, in the order in which they are told: they change what is safe.
const SAFETY: [(&str, &str); 6] = [
    ("pulse_dorsal", "weak"),
    ("pulse_dorsal", "absent"),
    ("pulse_tibial", "weak"),
    ("pulse_tibial", "absent"),
    ("skin_ulcer", "yes"),
    ("skin_infection", "yes"),
];
/// Sentences on one foot besides those on safety; more would not be read.
const MOST: usize = 5;

/// What was found on one foot: a few sentences that belong together, what hurts first.
pub fn findings(w: &Words, exam: &Examination) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(level) = exam.number("pain_level").value() {
        out.push(if level == 0.0 {
            say!(w, "found-no-pain")
        } else {
            say!(w, "found-pain", level = level)
        });
    }
    let told: Vec<(&str, &str, String)> = FIRST
        .iter()
        .filter_map(|key| {
            let choice = exam.choice(key).value()?;
            let words = w.find(&format!("found-{key}-{choice}"))?;
            Some((*key, choice, words))
        })
        .filter(|(key, choice, _)| !SAFETY.contains(&(*key, *choice)))
        .collect();
    // What is not as usual comes first; of the rest only as much as fits.
    let usual = |(key, choice, _): &&(&str, &str, String)| {
        matches!(*choice, "no" | "none" | "usual" | "normal" | "sound")
            || (*key == "heel_rise_single" && *choice == "able")
    };
    let unusual = told.iter().filter(|t| !usual(t)).take(MOST);
    let mut chosen: Vec<String> = unusual.map(|(_, _, words)| words.clone()).collect();
    let room = MOST.saturating_sub(chosen.len()).min(3);
    chosen.extend(
        told.iter()
            .filter(usual)
            .take(room)
            .map(|(_, _, words)| words.clone()),
    );
    out.extend(chosen);
    for (key, choice) in SAFETY {
        if exam.choice(key).value() == Some(choice) {
            out.extend(w.find(&format!("found-{key}-{choice}")));
        }
    }
    let felt: Vec<bool> = FILAMENTS
        .iter()
        .filter_map(|k| exam.choice(k).value())
        .map(|c| c == "felt")
        .collect();
    if felt.iter().any(|f| !f) {
        out.push(say!(w, "found-numb"));
    }
    out
}

/// What a measure is about that a lay reader can follow; `None` for the others.
pub fn measure(w: &Words, key: &str) -> Option<String> {
    w.find(&format!("plain-measure-{key}"))
}

/// A view as somebody says it who does not read films.
pub fn view(w: &Words, view: terms::View) -> String {
    let key = match view {
        terms::View::Lateral => "plain-view-lateral",
        terms::View::Dorsoplantar => "plain-view-dorsoplantar",
        terms::View::HindfootAlignment => "plain-view-hindfoot",
        terms::View::AnkleFront => "plain-view-ankle",
    };
    say!(w, key)
}

/// Where a reading lies, in plain words; empty where no yardstick judged it.
pub fn where_it_lies(w: &Words, measure: &str, summary: Summary) -> String {
    let own = match summary {
        Summary::Outside(Beyond::Above) => w.find(&format!("plain-above-{measure}")),
        Summary::Outside(Beyond::Below) => w.find(&format!("plain-below-{measure}")),
        _ => None,
    };
    let key = match summary {
        Summary::Inside => "plain-inside",
        Summary::Outside(_) => "plain-outside",
        Summary::Straddles => "plain-straddles",
        Summary::SourcesDiffer => "plain-sources-differ",
        Summary::NoYardstick => return String::new(),
    };
    own.unwrap_or_else(|| say!(w, key))
}

/// One of the four stages of the failing tendon, whichever its substage.
fn tendon_stage(key: &str) -> Option<&'static str> {
    let main = key.trim_end_matches(|c: char| !matches!(c, 'I' | 'V'));
    ["I", "II", "III", "IV"].into_iter().find(|s| *s == main)
}

fn in_the_trade(w: &Words, key: &str) -> String {
    let meaning = w.plain(&format!("plain-stage-{key}"));
    say!(w, "plain-stage", meaning = meaning, stage = key)
}

/// What the stage means that the clinician decided on; `None` where it is written in other words than the
/// four stages have.
pub fn decided(w: &Words, chosen: &str) -> Option<String> {
    tendon_stage(chosen.trim()).map(|key| in_the_trade(w, key))
}

/// What the stage means; `None` where several are possible or none.
pub fn stage(w: &Words, report: &StageReport) -> Option<String> {
    // A substage is told by its stage only where the clinician decided on it.
    let tendon = report.tendon.as_ref().and_then(|s| {
        s.holding()
            .into_iter()
            .find_map(|key| tendon_stage(key).filter(|main| *main == key))
    });
    if report.child.is_none()
        && let Some(key) = tendon
    {
        return Some(in_the_trade(w, key));
    }
    match (&report.tendon, &report.child) {
        (None, Some(kind)) => match kind.holding().as_slice() {
            [one] => w.find(&format!("plain-kind-{one}")),
            _ => None,
        },
        _ => None,
    }
}

/// A check that nobody recorded, as something still to be looked at.
pub fn check(w: &Words, key: &str) -> String {
    w.find(&format!("plain-check-{key}"))
        .unwrap_or_else(|| say!(w, "plain-check-other"))
}

/// When to seek help without waiting for the next visit: title and signs. Common practice.
pub fn warnings(w: &Words, voice: Voice) -> Vec<(String, Vec<String>)> {
    let (emergency, same_day): (&[&str], &[&str]) = if voice.child {
        (
            &["warning-cold", "warning-clot-breath"],
            &[
                "warning-hot",
                "warning-calf",
                "warning-limp-fever",
                "warning-night-pain",
                "warning-snap",
                "warning-sore",
                "warning-toes",
            ],
        )
    } else {
        (
            &["warning-cold", "warning-clot-breath"],
            &[
                "warning-hot",
                "warning-calf",
                "warning-snap",
                "warning-no-weight",
                "warning-sore",
                "warning-toes",
            ],
        )
    };
    let told = |keys: &[&str]| -> Vec<String> {
        keys.iter()
            .map(|key| say!(w, key, who = voice.who()))
            .collect()
    };
    vec![
        (say!(w, "warnings-emergency"), told(emergency)),
        (say!(w, "warnings-same-day"), told(same_day)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;
    use exam::{Kind, question};

    /// The ends of the keys of the English file that begin so.
    fn keys(start: &str) -> Vec<(String, String)> {
        Language::English
            .file()
            .lines()
            .filter_map(|l| l.strip_prefix(start)?.split_once(" = "))
            .map(|(k, t)| (k.to_owned(), t.to_owned()))
            .collect()
    }

    #[test]
    fn every_plain_sentence_belongs_to_an_answer_of_the_form() {
        let found = keys("found-");
        assert!(found.len() > 40);
        for (key, sentence) in found {
            let Some((ask, choice)) = key.split_once('-').filter(|_| key.contains('_')) else {
                assert!(["no-pain", "pain", "numb"].contains(&&*key), "{key}");
                continue;
            };
            let q = question(ask).unwrap_or_else(|| panic!("{key}"));
            let Kind::Choice { choices } = q.kind else {
                panic!("{key} is no choice");
            };
            assert!(choices.iter().any(|c| c.key == choice), "{key}");
            assert!(sentence.ends_with('.') && sentence.len() < 90, "{sentence}");
        }
    }

    #[test]
    fn every_plain_measure_exists() {
        let all = ["plain-measure-", "plain-above-", "plain-below-"].map(keys);
        assert!(all[0].len() > 5);
        for (key, _) in all.into_iter().flatten() {
            let key = terms::MeasureKey::new(&key).unwrap();
            assert!(
                knowledge::Knowledge::built_in().measure(&key).is_some(),
                "{key}"
            );
        }
    }

    #[test]
    fn a_foot_nobody_looked_at_has_no_findings() {
        assert!(findings(Words::english(), &Examination::new()).is_empty());
    }
}
