//! A foot for the tests: answers by key on whichever sheet they belong to, readings by measure.
//! Every person here is invented.
#![allow(dead_code)]

use exam::{Examination, RedFlags, Sheet, Story};
use knowledge::Knowledge;
use quantity::{Estimate, Unit};
use stage::{Facts, FilmReading, StageReport};
use terms::{Side, Stance};

#[derive(Clone, Default)]
pub struct Foot {
    pub story: Story,
    pub exam: Examination,
    pub flags: RedFlags,
    pub readings: Vec<(String, FilmReading)>,
}

impl Foot {
    pub fn with(answers: &[(&str, &str)]) -> Foot {
        let mut foot = Foot::default();
        for (key, text) in answers {
            foot.set(key, text);
        }
        foot
    }

    pub fn set(&mut self, key: &str, text: &str) {
        let sheet = exam::question(key)
            .unwrap_or_else(|| panic!("no question {key}"))
            .sheet;
        let done = match sheet {
            Sheet::Foot => self.exam.set(key, text),
            Sheet::Person => self.story.set(key, text),
            Sheet::Flags => self.flags.set(key, text),
            // Neither speaks to a stage.
            Sheet::Leg | Sheet::Given => Ok(()),
        };
        done.unwrap_or_else(|e| panic!("{key}: {e}"));
    }

    pub fn and(mut self, answers: &[(&str, &str)]) -> Foot {
        for (key, text) in answers {
            self.set(key, text);
        }
        self
    }

    pub fn film(self, measure: &str, value: f64, standard_error: f64) -> Foot {
        self.film_taken(measure, value, standard_error, Stance::Standing)
    }

    pub fn film_taken(
        mut self,
        measure: &str,
        value: f64,
        standard_error: f64,
        stance: Stance,
    ) -> Foot {
        let unit = match measure {
            "hma" => Unit::Millimetre,
            "tn_uncov" => Unit::Percent,
            _ => Unit::Degree,
        };
        self.readings.push((
            measure.to_owned(),
            FilmReading {
                estimate: Estimate::new(value, standard_error, unit),
                stance,
            },
        ));
        self
    }

    pub fn report(&self) -> StageReport {
        self.report_with(Knowledge::built_in())
    }

    pub fn report_with(&self, knowledge: &Knowledge) -> StageReport {
        let mut facts =
            Facts::new(Side::Left, &self.story, &self.exam, &self.flags).with_knowledge(knowledge);
        for (measure, reading) in &self.readings {
            facts.add_reading(measure, *reading);
        }
        stage::stage_from(&facts)
    }
}

/// An adult foot with every question of the four stages answered 'nothing there'.
pub fn sound() -> Foot {
    Foot::with(&[
        ("age_years", "55"),
        ("pain_inner_ankle", "no"),
        ("pain_navicular", "no"),
        ("pain_outer", "no"),
        ("impinges_sinus_tarsi", "no"),
        ("swelling_inner", "none"),
        ("toes_seen", "2"),
        ("forefoot_drifts_out", "no"),
        ("heel_line", "usual"),
        ("heel_rise_single", "able"),
        ("heel_rise_turns_in", "yes"),
        ("tp_strength", "5"),
        ("heel_corrects", "fully"),
        ("forefoot_varus", "no"),
        ("forefoot_drift_corrects", "fully"),
        ("first_ray", "usual"),
        ("tmt_gap", "no"),
        ("ankle_tilt_seen", "no"),
        ("ankle_tilt_corrects", "fully"),
        ("subtalar_subluxed", "no"),
        ("impinges_under_fibula", "no"),
        ("pain_under_fibula", "no"),
        ("wear_ankle", "0"),
        ("wear_subtalar", "0"),
        ("inflammatory_disease", "no"),
        ("tendon_image", "sound"),
    ])
}
