//! One criterion and its witnesses.
//!
//! Witnesses either have to agree (one who disagrees leaves nothing known) or add up (one yes is enough, a no
//! needs them all). How an answer or a reading becomes a witness is told in `witness`.

use crate::facts::FilmReading;
use crate::report::Cite;
use crate::thresholds::Threshold;
use crate::truth::Truth;

/// One thing that is asked.
pub(crate) enum Ask {
    /// A criterion of the knowledge folder speaks, for or against.
    Of(&'static str),
    /// A criterion of the knowledge folder that speaks against where it holds, and is silent otherwise.
    Against(&'static str),
    /// A choice question: answers that count as yes, answers that count as no; others leave it open.
    Choice(
        &'static str,
        &'static [&'static str],
        &'static [&'static str],
    ),
    /// A number of the examination against the cuts.
    Number(&'static str),
    /// A total of the examination against the cuts, by its bounds.
    Total(&'static str),
    /// A reading against the cuts.
    Film(&'static str),
    /// The loose-joint total against the limit for age and puberty.
    Laxity,
    /// Age under 18.
    Child,
}

/// What one witness said.
#[derive(Debug, Clone)]
pub(crate) struct Witness<'k> {
    pub truth: Truth,
    /// With unconfirmed cuts let in where no confirmed one speaks.
    pub would_be: Truth,
    pub says: String,
    /// The same for an alarm sign, where an unconfirmed limit counts.
    pub says_as_alarm: Option<String>,
    pub film: Option<FilmWitness<'k>>,
}

/// A reading that may decide, with the cuts it is held against.
#[derive(Debug, Clone)]
pub(crate) struct FilmWitness<'k> {
    pub measure: &'k str,
    pub reading: FilmReading,
    pub cuts: Vec<Threshold>,
}

/// A criterion after looking.
#[derive(Debug, Clone)]
pub(crate) struct Leaf<'k> {
    pub key: &'k str,
    pub words: &'k str,
    pub any_of: bool,
    /// It holds where its witnesses say no.
    pub negated: bool,
    pub witnesses: Vec<Witness<'k>>,
    /// Witnesses that are still silent: question and measure keys.
    pub open: Vec<&'k str>,
    pub cites: Vec<Cite>,
}

impl Leaf<'_> {
    pub fn truth(&self) -> Truth {
        self.combine(|w| w.truth)
    }

    pub fn would_be(&self) -> Truth {
        self.combine(|w| w.would_be)
    }

    /// The truth when each reading had exactly the value that `at` gives.
    pub fn truth_at(&self, confirmed_only: bool, at: &dyn Fn(&str) -> Option<f64>) -> Truth {
        self.combine(|w| match &w.film {
            Some(film) => match at(film.measure) {
                Some(value) => against(&film.cuts, value, confirmed_only),
                None => Truth::Unknown,
            },
            None if confirmed_only => w.truth,
            None => w.would_be,
        })
    }

    fn combine(&self, of: impl Fn(&Witness<'_>) -> Truth) -> Truth {
        let truth = self.of_witnesses(of);
        if self.negated { !truth } else { truth }
    }

    fn of_witnesses(&self, of: impl Fn(&Witness<'_>) -> Truth) -> Truth {
        let truths = self.witnesses.iter().map(of);
        if self.any_of {
            let silent = if self.open.is_empty() {
                Truth::False
            } else {
                Truth::Unknown
            };
            truths.fold(silent, Truth::or)
        } else {
            // Order must not matter: a yes and a no leave nothing known, whoever speaks afterwards.
            let all: Vec<Truth> = truths.collect();
            if all.contains(&Truth::True) && all.contains(&Truth::False) {
                Truth::Unknown
            } else {
                all.into_iter().fold(Truth::Unknown, Truth::agree)
            }
        }
    }

    pub fn disagree(&self) -> bool {
        !self.any_of
            && self.witnesses.iter().any(|w| w.truth.is_true())
            && self.witnesses.iter().any(|w| w.truth.is_false())
    }

    pub fn films(&self) -> impl Iterator<Item = &FilmWitness<'_>> {
        self.witnesses.iter().filter_map(|w| w.film.as_ref())
    }
}

/// Holds a number against cuts: yes when every speaking cut says yes, no when every one says no.
pub(crate) fn against(cuts: &[Threshold], value: f64, confirmed_only: bool) -> Truth {
    let confirmed = cuts.iter().any(Threshold::confirmed);
    let mut speaking = cuts
        .iter()
        .filter(|c| c.confirmed() || (!confirmed && !confirmed_only))
        .map(|c| c.holds(value));
    match speaking.next() {
        None => Truth::Unknown,
        Some(first) if speaking.all(|h| h == first) => first.into(),
        Some(_) => Truth::Unknown,
    }
}
