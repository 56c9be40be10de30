//! One letter: shown as it will read, its words changed, signed and frozen, added to.

use super::edit::{self, Field};
use super::kept::{KeptLetter, unsigned};
use super::paper;
use super::preview::Preview;
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::words;
use askama::Template;
use axum::{
    extract::{Form, Path, Query},
    response::{Redirect, Response},
};
use letter::{Block, Document, Pictures};
use record::{Clinician, LetterId, LetterRecord, LetterState};
use serde::Deserialize;
use std::collections::BTreeMap;
use time::OffsetDateTime;

/// Letters of a seal that are shown; enough to tell two papers apart by eye.
const SEAL_SHOWN: usize = 12;

#[derive(Template)]
#[template(path = "letters/letter.html")]
pub struct LetterPage {
    pub shell: Shell,
    pub id: String,
    pub title: String,
    pub visit: String,
    pub visit_day: String,
    pub patient: String,
    pub name: String,
    pub state: State,
    pub note: Option<&'static str>,
    pub revision: u32,
    pub recipient: String,
    pub fields: Vec<Field>,
    pub document: Document,
    /// The signed letter that this one adds to: id and words.
    pub adds_to: Option<(String, String)>,
    pub addenda: Vec<(String, String)>,
}

pub enum State {
    Draft {
        since: String,
    },
    Signed {
        when: String,
        who: String,
        seal: String,
        holds: bool,
    },
}

impl LetterPage {
    fn preview(&self) -> Preview<'_> {
        Preview {
            document: &self.document,
            letter: &self.id,
        }
    }
}

/// What the page says after a save.
#[derive(Debug, Default, Deserialize)]
pub struct Told {
    #[serde(default)]
    told: String,
}

impl Told {
    fn words(&self) -> Option<&'static str> {
        match self.told.as_str() {
            "saved" => Some("The draft is saved."),
            "read-again" => Some(
                "Your changes are saved, and nothing is signed yet. Read the letter once more as it stands here, then sign it.",
            ),
            _ => None,
        }
    }
}

/// `GET /letter/{id}`
pub async fn show(
    context: Context,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Result<Response, PageError> {
    let store = &context.state.store;
    let letter = store.letter(id.parse()?).await?;
    let kept = KeptLetter::of(&letter)?;
    let visit = store.visit(letter.visit).await?;
    let patient = store.patient(visit.patient).await?;
    let all = store.letters_of(patient.id).await?;
    let named = |l: &LetterRecord| {
        (
            l.id.to_string(),
            format!("{}, {}", l.title, state_words(&context, l)),
        )
    };
    let name = words::full_name(&patient);
    page(&LetterPage {
        shell: context.shell(format!("{}, {name}", letter.title), Nav::Letters),
        id: letter.id.to_string(),
        title: letter.title.clone(),
        visit: visit.id.to_string(),
        visit_day: words::day(visit.on),
        patient: patient.id.to_string(),
        name,
        state: state(&context, &letter).await?,
        note: told.words().filter(|_| !letter.is_signed()),
        revision: kept.revision,
        recipient: kept.document.recipient.join("\n"),
        fields: edit::fields(&kept.document),
        document: kept.document,
        adds_to: all
            .iter()
            .find(|l| Some(l.id) == letter.addendum_to)
            .map(named),
        addenda: all
            .iter()
            .filter(|l| l.addendum_to == Some(letter.id))
            .map(named)
            .collect(),
    })
}

async fn state(context: &Context, letter: &LetterRecord) -> Result<State, PageError> {
    Ok(match &letter.state {
        LetterState::Draft => State::Draft {
            since: moment(context, letter.drafted_at),
        },
        LetterState::Signed { at, by, seal, .. } => State::Signed {
            when: moment(context, *at),
            who: context.state.store.clinician(*by).await?.name,
            seal: seal.to_string().chars().take(SEAL_SHOWN).collect(),
            holds: letter.seal_holds() == Some(true),
        },
    })
}

/// `24 November 2026, 15:32`, in the practice's own zone.
pub fn moment(context: &Context, at: OffsetDateTime) -> String {
    let at = at.to_offset(context.now.offset());
    format!("{}, {}", words::day(at.date()), words::clock(at))
}

/// `draft`, or when it was signed.
pub fn state_words(context: &Context, letter: &LetterRecord) -> String {
    match &letter.state {
        LetterState::Draft => "draft, not signed".to_owned(),
        LetterState::Signed { at, .. } => {
            format!(
                "signed {}",
                words::short_day(at.to_offset(context.now.offset()).date())
            )
        }
    }
}

/// The draft that a form was sent for, unless it was signed or changed since the form was shown.
///
/// # Errors
/// No such letter, signed already, or another revision than `revision` in the form.
pub async fn draft_in_hand(
    context: &Context,
    id: &str,
    form: &BTreeMap<String, String>,
) -> Result<(LetterRecord, KeptLetter), PageError> {
    let letter = context.state.store.letter(id.parse()?).await?;
    if letter.is_signed() {
        return Err(PageError::NotNow {
            sentence: "this letter is signed and no longer changes; write an addendum to it"
                .to_owned(),
        });
    }
    let kept = KeptLetter::of(&letter)?;
    let seen = form.get("revision").and_then(|r| r.parse().ok());
    if seen != Some(kept.revision) {
        return Err(PageError::Stale);
    }
    Ok((letter, kept))
}

/// `POST /letter/{id}`: the words of the form, and `act`: `save` or `sign`.
///
/// Signing freezes only what was shown: where the form brings changed words, they are saved and the
/// letter is shown once more.
pub async fn save(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let (mut letter, mut kept) = draft_in_hand(&context, &id, &form).await?;
    let changed = edit::apply(&mut kept.document, &form)?;
    let sign = form.get("act").is_some_and(|act| act == "sign");
    if sign && !changed {
        sign_and_freeze(&context, letter, kept).await?;
        return Ok(Redirect::to(&format!("/letter/{id}")));
    }
    if changed {
        kept.revision = kept.revision.saturating_add(1);
        letter.facts = kept.facts()?;
        context
            .state
            .store
            .save_letter(context.stamp(), letter)
            .await?;
    }
    let told = if sign { "read-again" } else { "saved" };
    Ok(Redirect::to(&format!("/letter/{id}?told={told}")))
}

/// The paper is set first: a letter that cannot be set is not signed.
async fn sign_and_freeze(
    context: &Context,
    mut letter: LetterRecord,
    mut kept: KeptLetter,
) -> Result<(), PageError> {
    let has_words = |b: &Block| matches!(b, Block::Paragraph { .. } | Block::List { .. });
    if !kept.document.blocks.iter().any(has_words) {
        return Err(PageError::NotNow {
            sentence: "this letter says nothing yet; write its words, save it, then sign"
                .to_owned(),
        });
    }
    kept.sign(signed_lines(context));
    let pdf = paper::set(kept.document.clone(), kept.pictures.clone()).await?;
    letter.facts = kept.facts()?;
    let id = letter.id;
    context
        .state
        .store
        .save_letter(context.stamp(), letter)
        .await?;
    context
        .state
        .store
        .sign_letter(context.stamp(), id, pdf)
        .await?;
    Ok(())
}

/// Who signs, for which practice, when.
fn signed_lines(context: &Context) -> Vec<String> {
    let Clinician {
        name,
        qualification,
        ..
    } = &context.worker;
    let lines = [name, qualification, &context.practice.name];
    let mut lines: Vec<String> = lines
        .into_iter()
        .map(|l| l.trim().to_owned())
        .filter(|l| !l.is_empty())
        .collect();
    lines.push(format!("Signed {}", moment(context, context.now)));
    lines
}

/// `POST /letter/{id}/addendum`: an empty draft to the same reader that names the signed letter.
pub async fn addendum(context: Context, Path(id): Path<String>) -> Result<Redirect, PageError> {
    let first = context.state.store.letter(id.parse()?).await?;
    let LetterState::Signed { at, seal, .. } = &first.state else {
        return Err(PageError::NotNow {
            sentence: "this letter is still a draft; change it instead of adding to it".to_owned(),
        });
    };
    let before = KeptLetter::of(&first)?.document;
    let seal: String = seal.to_string().chars().take(SEAL_SHOWN).collect();
    let mut head = before.head.clone();
    head.retain(|(label, _)| label != ADDS_TO);
    let signed = words::day(at.to_offset(context.now.offset()).date());
    head.push((
        ADDS_TO.to_owned(),
        format!("letter signed {signed}, seal {seal}"),
    ));
    let document = Document {
        title: format!(
            "Addendum: {}",
            before.title.trim_start_matches("Addendum: ")
        ),
        date: words::day(context.today()),
        head,
        blocks: vec![unsigned(vec![
            context.worker.name.clone(),
            context.practice.name.clone(),
        ])],
        draft: true,
        ..before
    };
    let kept = KeptLetter {
        document,
        pictures: Pictures::new(),
        revision: 1,
    };
    let next = LetterId::new(context.state.ids.fresh());
    let record = LetterRecord {
        id: next,
        visit: first.visit,
        kind: first.kind,
        title: format!("Addendum: {}", first.title.trim_start_matches("Addendum: ")),
        facts: kept.facts()?,
        addendum_to: Some(first.id),
        drafted_at: context.now,
        state: LetterState::Draft,
    };
    context
        .state
        .store
        .save_letter(context.stamp(), record)
        .await?;
    Ok(Redirect::to(&format!("/letter/{next}")))
}

const ADDS_TO: &str = "Adds to";
