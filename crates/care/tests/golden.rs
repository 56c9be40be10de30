//! Sheets in, report and proposal out, word for word. Every person is invented.
//!
//! Set `BLESS=1` to write the texts anew after a change that is meant; read the difference before it lands.

use care::{CareInput, propose};
use exam::{Examination, RedFlags, Story};
use quantity::{Estimate, Unit};
use serde::Deserialize;
use stage::{Facts, FilmReading, stage_from};
use std::path::Path;
use terms::{Side, Stance};

#[derive(Deserialize)]
struct Case {
    words: String,
    side: Side,
    story: Story,
    exam: Examination,
    flags: RedFlags,
    films: Vec<Film>,
}

#[derive(Deserialize)]
struct Film {
    measure: String,
    value: f64,
    standard_error: f64,
    unit: Unit,
    stance: Stance,
}

fn answer(name: &str) -> (String, String) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden");
    let json = std::fs::read_to_string(folder.join(format!("{name}.json"))).unwrap();
    let case: Case = serde_json::from_str(&json).unwrap();
    let mut facts = Facts::new(case.side, &case.story, &case.exam, &case.flags);
    for f in &case.films {
        let estimate = Estimate::new(f.value, f.standard_error, f.unit);
        facts.add_reading(
            &f.measure,
            FilmReading {
                estimate,
                stance: f.stance,
            },
        );
    }
    let report = stage_from(&facts);
    let proposal = propose(
        &report,
        &CareInput {
            person: &case.story,
            exam: &case.exam,
            flags: &case.flags,
        },
    );
    let found = format!("{}\n\n{}\n{}", case.words, report.text(), proposal.text());
    let path = folder.join(format!("{name}.txt"));
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&path, &found).unwrap();
    }
    (found, std::fs::read_to_string(path).unwrap())
}

macro_rules! golden {
    ($($test:ident: $name:literal),+ $(,)?) => {$(
        #[test]
        fn $test() {
            let (found, expected) = answer($name);
            assert_eq!(found, expected, "the words changed; read the difference");
        }
    )+};
}

golden!(
    a_flexible_adult_foot_is_staged_and_gets_rungs: "adult-flexible",
    a_warm_numb_foot_gets_an_alarm_and_no_rung: "adult-warm-numb",
    a_painless_child_is_left_alone: "child-painless",
    an_empty_sheet_asks_and_claims_nothing: "nothing-looked-at",
);
