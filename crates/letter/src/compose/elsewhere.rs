//! Which texts of the form and the knowledge folder may stand on a paper? For whoever translates them, and
//! for the tests that ask whether somebody has.

use crate::words::slug;
use care::Ladder;
use knowledge::Knowledge;

/// Key in the catalogue (`None`: found by the text itself) and the English text.
pub fn texts_kept_elsewhere(knowledge: &Knowledge) -> Vec<(Option<String>, String)> {
    let mut out: Vec<(Option<String>, String)> = Vec::new();
    let mut keyed = |key: String, text: &str| out.push((Some(key), text.to_owned()));
    for q in exam::form() {
        keyed(format!("ask-{}", q.key), q.words);
        keyed(format!("section-{}", slug(q.section)), q.section);
    }
    for rung in Ladder::built_in().rungs() {
        keyed(format!("rung-{}-title", rung.key), &rung.title);
        keyed(format!("rung-{}-words", rung.key), &rung.words);
    }
    for flag in knowledge.flags() {
        keyed(format!("flag-{}-words", flag.key), &flag.words);
        keyed(format!("flag-{}-action", flag.key), &flag.action);
    }
    let views = terms::View::ALL.into_iter();
    for m in views.flat_map(|v| knowledge.measures(v)) {
        keyed(format!("measure-{}", m.key), &m.name);
        keyed(format!("measure-{}-short", m.key), &m.short);
        keyed(format!("measure-{}-sign", m.key), &m.sign_words);
    }
    let mut said = |text: &str| out.push((None, text.to_owned()));
    knowledge
        .flags()
        .iter()
        .for_each(|f| said(f.urgency.words()));
    for rung in Ladder::built_in().rungs() {
        rung.dose.iter().for_each(|d| said(d));
        said(&rung.how_long);
        for look in &rung.look {
            said(&look.when);
            said(&look.what);
        }
        rung.caution.iter().for_each(|c| said(&c.words));
    }
    for q in exam::form() {
        if let exam::Kind::Choice { choices } = q.kind {
            choices.iter().for_each(|c| said(c.words));
        }
    }
    out
}

/// The same of what stands in letters between colleagues only: criteria of the stages, and why a step comes.
pub fn texts_between_colleagues(knowledge: &Knowledge) -> Vec<String> {
    let criteria = knowledge.criteria().iter().map(|c| c.words.clone());
    let whys = Ladder::built_in().rungs().iter().flat_map(|r| {
        let why = r.stage.values().map(|s| s.why.clone());
        let evidence = r.evidence.iter();
        why.chain(evidence.flat_map(|e| [e.strength.clone(), e.words.clone()]))
    });
    criteria.chain(whys).collect()
}
