//! Injections of one foot: where, when, of which class, with which effect, and what speaks against another.
//!
//! It counts and reminds, and gives no advice on doses. The limits are rules of the trade, recalled and
//! unconfirmed: they warn, and forbid nothing.

use super::entry::{Entry, Kind};
use exam::{Examination, Kind as Asked, RedFlags, Story};
use stage::StageReport;
use terms::Side;
use time::Date;

/// At most so many at one site (recalled, unconfirmed).
const MOST_AT_A_SITE: usize = 2;

/// One injection as the ledger has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LedgerLine {
    pub entry: String,
    pub site: String,
    pub on: Date,
    /// Class of drug, volume and guidance, as far as recorded.
    pub what: String,
    /// `6 before, 2 after 14 days`; `None` where nobody asked.
    pub effect: Option<String>,
}

fn of_foot(entries: &[Entry], side: Side) -> Vec<&Entry> {
    let mut of: Vec<&Entry> = entries
        .iter()
        .filter(|e| e.kind == Kind::Injection && e.side == Some(side))
        .collect();
    of.sort_by_key(|e| e.began);
    of
}

fn said(entry: &Entry, key: &str) -> Option<&'static str> {
    let chosen = entry.choice(key)?;
    match exam::question(key)?.kind {
        Asked::Choice { choices } => choices.iter().find(|c| c.key == chosen).map(|c| c.words),
        _ => None,
    }
}

/// Joint by name, where it is another than those of the list.
fn site(entry: &Entry) -> String {
    match (
        entry.choice("injection_site"),
        entry.answers.text_of("injection_joint"),
    ) {
        (Some("other_joint"), Some(joint)) => joint,
        _ => said(entry, "injection_site")
            .unwrap_or("site not recorded")
            .to_owned(),
    }
}

/// By site, then by day.
pub fn ledger(entries: &[Entry], side: Side) -> Vec<LedgerLine> {
    let mut lines: Vec<LedgerLine> = of_foot(entries, side)
        .into_iter()
        .map(|e| {
            let number = |key: &str| e.answers.number(key).value();
            let class = said(e, "injection_class").unwrap_or("class not recorded");
            let volume = number("injection_volume")
                .map_or_else(|| "volume not recorded".to_owned(), |ml| format!("{ml} ml"));
            let guidance = match e.choice("injection_guidance") {
                Some("none") => "not guided".to_owned(),
                Some(_) => format!(
                    "guided by {}",
                    said(e, "injection_guidance").unwrap_or_default()
                ),
                None => "guidance not recorded".to_owned(),
            };
            let after = match (
                number("injection_pain_after"),
                number("injection_days_after"),
            ) {
                (Some(pain), Some(days)) => Some(format!("{pain} after {days} days")),
                (Some(pain), None) => Some(format!("{pain} afterwards, day not recorded")),
                (None, _) => None,
            };
            let effect = match (number("injection_pain_before"), after) {
                (Some(before), Some(after)) => Some(format!("{before} before, {after}")),
                (Some(before), None) => Some(format!("{before} before, not asked since")),
                (None, Some(after)) => Some(format!("not asked before, {after}")),
                (None, None) => None,
            };
            LedgerLine {
                entry: e.id.clone(),
                site: site(e),
                on: e.began,
                what: format!("{class}, {volume}, {guidance}"),
                effect,
            }
        })
        .collect();
    lines.sort_by(|a, b| (&a.site, a.on).cmp(&(&b.site, b.on)));
    lines
}

/// What speaks against another injection into this foot, and what of earlier ones is not recorded. Each a
/// sentence; none forbids.
pub fn injection_warnings(
    entries: &[Entry],
    side: Side,
    story: &Story,
    exam: &Examination,
    flags: &RedFlags,
    report: &StageReport,
    today: Date,
) -> Vec<String> {
    let given = of_foot(entries, side);
    let mut out = Vec::new();
    let mut sites: Vec<String> = given.iter().map(|e| site(e)).collect();
    sites.sort();
    sites.dedup();
    for place in sites {
        let here: Vec<&&Entry> = given.iter().filter(|e| site(e) == place).collect();
        let steroid = here
            .iter()
            .filter(|e| matches!(e.choice("injection_class"), Some("corticosteroid" | "both")))
            .count();
        if steroid >= MOST_AT_A_SITE {
            out.push(format!(
                "{steroid} corticosteroid injections at one site ({place}) already: at most one or two is the trade's rule, recalled and unconfirmed."
            ));
        }
        for pair in here.windows(2) {
            let days = (pair[1].began - pair[0].began).whole_days();
            out.push(format!(
                "{days} days lay between two injections at one site ({place}); how long is long enough was found in no source."
            ));
        }
        if let Some(last) = here.last()
            && steroid > 0
        {
            let days = (today - last.began).whole_days();
            out.push(format!(
                "The last one there ({place}) was {days} days ago; how long to wait was found in no source."
            ));
        }
    }
    out.extend(against_allergy(&given, story));
    let raised = |what: bool, words: &str| what.then(|| words.to_owned());
    let story_yes = |key: &str| story.yes(key) == Some(true);
    let exam_yes = |key: &str| exam.yes(key) == Some(true);
    let image = exam.choice("tendon_image").value();
    out.extend(
        [
            raised(
                matches!(image, Some("partial_tear" | "full_tear")),
                "The tendon is torn on imaging: no corticosteroid near it; the risk of a full tear is higher with a high-grade partial tear (SheathInj, read).",
            ),
            raised(
                report.truth("heel_valgus").is_true(),
                "The heel has drifted, so the tendon is stretched: near it only in a specialist's hands (recalled, unconfirmed).",
            ),
            raised(
                story_yes("diabetes_uncontrolled"),
                "Sugar is badly controlled: hold it; corticosteroid raises it (recalled, unconfirmed).",
            ),
            raised(
                story_yes("takes_anticoagulant"),
                "A blood thinner is taken: know the clotting value first, and hold where it is raised (recalled, unconfirmed).",
            ),
            raised(
                story_yes("infection_now") || exam_yes("skin_infection") || flags.yes("fever") == Some(true),
                "An infection is on record: no injection until it is ruled out or over (common practice).",
            ),
        ]
        .into_iter()
        .flatten(),
    );
    for e in &given {
        let near_tendon = matches!(e.choice("injection_site"), Some("sheath" | "insertion"));
        if near_tendon && e.answers.yes("injection_boot_after").is_none() {
            out.push(format!(
                "Whether the foot was held in a boot after the injection of {} is not recorded.",
                e.began
            ));
        }
    }
    out
}

/// An injection that met a recorded allergy: kept, since it was given, and said loudly.
fn against_allergy(given: &[&Entry], story: &Story) -> Vec<String> {
    let allergic = |key: &str| story.yes(key) == Some(true);
    let mut out = Vec::new();
    for e in given {
        let class = e.choice("injection_class");
        let met = [
            (
                "allergy_steroid",
                matches!(class, Some("corticosteroid" | "both")),
                "a corticosteroid",
            ),
            (
                "allergy_anaesthetic",
                matches!(class, Some("local_anaesthetic" | "both")),
                "a local anaesthetic",
            ),
        ];
        for (key, is, words) in met {
            if is && allergic(key) {
                let why = match e.answers.text_of("injection_nevertheless") {
                    Some(_) => "the reason is written down with it",
                    None => {
                        "expected the reason beside it: write it down, or correct the entry or the allergy"
                    }
                };
                out.push(format!(
                    "Found an injection of {words} on {} in a patient with an allergy to it on record; {why}.",
                    e.began
                ));
            }
        }
    }
    if given.is_empty() {
        for (key, words) in [
            ("allergy_steroid", "a corticosteroid"),
            ("allergy_anaesthetic", "a local anaesthetic"),
        ] {
            if allergic(key) {
                out.push(format!(
                    "Allergy to {words} is on record: not to be injected."
                ));
            }
        }
    }
    out
}
