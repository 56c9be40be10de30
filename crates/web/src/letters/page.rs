//! One letter: shown as it will read, its words changed, signed and frozen, added to, taken away.
//!
//! A form that cannot be saved is answered with this page: the sentence why, the letter as it is kept,
//! and beside it every word that was typed.

use super::asked::Asked;
use super::edit::{self, Field};
use super::kept::{KeptLetter, unsigned};
use super::paper;
use super::preview::Preview;
use crate::context::Context;
use crate::error::{PageError, sentence};
use crate::layout::{Nav, Shell, page};
use crate::shell::OwnPage;
use crate::words;
use askama::Template;
use axum::{
    extract::{Form, Path, Query},
    response::{IntoResponse, Redirect, Response},
};
use letter::{Block, Document, Pictures, Words};
use record::{Clinician, LetterHead, LetterId, LetterRecord, LetterState};
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
    /// May send it to others once it is signed.
    pub may_send: bool,
    pub visit: String,
    pub visit_day: String,
    pub patient: String,
    pub name: String,
    pub state: State,
    pub note: Option<&'static str>,
    /// Why a form could not be saved.
    pub problem: Option<String>,
    pub revision: u32,
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
    TakenAway {
        when: String,
        who: String,
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

    /// Fields with words that were typed and not saved.
    fn typed(&self) -> Vec<&Field> {
        self.fields.iter().filter(|f| f.kept.is_some()).collect()
    }

    /// The words can be changed on the page as it opens: an addendum has none yet.
    fn words_open(&self) -> bool {
        let has_words = |b: &Block| matches!(b, Block::Paragraph { .. } | Block::List { .. });
        !self.typed().is_empty() || !self.document.blocks.iter().any(has_words)
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
            "back" => Some("The draft is put back as it was."),
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
    let letter = context.state.store.letter(id.parse()?).await?;
    let mut shown = letter_page(&context, &letter).await?;
    shown.note = told.words().filter(|_| letter.state == LetterState::Draft);
    page(&shown)
}

async fn letter_page(context: &Context, letter: &LetterRecord) -> Result<LetterPage, PageError> {
    let store = &context.state.store;
    let document = KeptLetter::of(letter)?.document;
    let visit = store.visit(letter.visit).await?;
    let patient = store.patient(visit.patient).await?;
    let all = store.letters_of(patient.id).await?;
    let named = |l: &LetterHead| {
        (
            l.id.to_string(),
            format!("{}, {}", l.title, state_words(context, &l.state)),
        )
    };
    let name = words::full_name(&patient);
    Ok(LetterPage {
        shell: context.shell(format!("{}, {name}", letter.title), Nav::Letters),
        id: letter.id.to_string(),
        title: letter.title.clone(),
        may_send: context.who.may(account::Action::TakeOut),
        visit: visit.id.to_string(),
        visit_day: words::day(visit.on),
        patient: patient.id.to_string(),
        name,
        state: state(context, letter).await?,
        note: None,
        problem: None,
        revision: letter.revision,
        fields: edit::fields(&document),
        document,
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
    let store = &context.state.store;
    Ok(match &letter.state {
        LetterState::Draft => State::Draft {
            since: moment(context, letter.drafted_at),
        },
        LetterState::TakenAway { at, by } => State::TakenAway {
            when: moment(context, *at),
            who: store.clinician(*by).await?.name,
        },
        LetterState::Signed { at, by, seal, .. } => State::Signed {
            when: moment(context, *at),
            who: store.clinician(*by).await?.name,
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

/// `draft, not signed`, or when it was signed.
pub fn state_words(context: &Context, state: &LetterState) -> String {
    match state {
        LetterState::Draft => "draft, not signed".to_owned(),
        LetterState::TakenAway { .. } => "draft, taken away".to_owned(),
        LetterState::Signed { at, .. } => {
            format!(
                "signed {}",
                words::short_day(at.to_offset(context.now.offset()).date())
            )
        }
    }
}

/// The revision that the form was shown with.
fn seen(form: &BTreeMap<String, String>) -> Option<u32> {
    form.get("revision")?.trim().parse().ok()
}

/// May what this form was sent for still be done to the letter?
///
/// # Errors
/// Signed or taken away, or another revision than `revision` in the form.
pub fn check_in_hand(
    letter: &LetterRecord,
    form: &BTreeMap<String, String>,
) -> Result<(), PageError> {
    let not_now = |sentence: &str| {
        Err(PageError::NotNow {
            sentence: sentence.to_owned(),
        })
    };
    match letter.state {
        LetterState::Signed { .. } => not_now(
            "found this letter signed, expected a draft: what you want to add to it goes into an addendum",
        ),
        LetterState::TakenAway { .. } => not_now(
            "found this draft taken away, expected it in its place: put it back, then make the change again",
        ),
        LetterState::Draft if seen(form) != Some(letter.revision) => Err(PageError::Stale),
        LetterState::Draft => Ok(()),
    }
}

/// `POST /letter/{id}`: the words of the form, and `act`: `save` or `sign`.
///
/// Signing freezes only what was shown: where the form brings changed words, they are saved and the
/// letter is shown once more.
pub async fn save(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Response, PageError> {
    let id: LetterId = id.parse()?;
    let letter = context.state.store.letter(id).await?;
    match save_or_sign(&context, letter, &form).await {
        Ok(place) => Ok(Redirect::to(&place).into_response()),
        Err(why @ (PageError::Stale | PageError::NotNow { .. } | PageError::Input { .. })) => {
            not_saved(&context, id, &form, why).await
        }
        Err(other) => Err(other),
    }
}

/// Answers with the place to go on to.
async fn save_or_sign(
    context: &Context,
    letter: LetterRecord,
    form: &BTreeMap<String, String>,
) -> Result<String, PageError> {
    check_in_hand(&letter, form)?;
    let (id, revision) = (letter.id, letter.revision);
    let mut kept = KeptLetter::of(&letter)?;
    let changed = edit::apply(&mut kept.document, form)?;
    let sign = form.get("act").is_some_and(|act| act == "sign");
    if sign {
        context.must(account::Action::SignLetters).await?;
    }
    if sign && !changed {
        sign_and_freeze(context, letter, kept).await?;
        return Ok(format!("/letter/{id}"));
    }
    if changed {
        let facts = kept.facts()?;
        let letter = LetterRecord { facts, ..letter };
        let store = &context.state.store;
        store.save_letter(context.stamp(), letter, revision).await?;
    }
    let told = if sign { "read-again" } else { "saved" };
    Ok(format!("/letter/{id}?told={told}"))
}

/// The letter as it is kept, with everything that was typed beside it.
async fn not_saved(
    context: &Context,
    id: LetterId,
    form: &BTreeMap<String, String>,
    why: PageError,
) -> Result<Response, PageError> {
    // Read again: it may have changed while it was being saved.
    let letter = context.state.store.letter(id).await?;
    let mut shown = letter_page(context, &letter).await?;
    shown.fields = edit::fields_with_typed(&shown.document, form);
    shown.problem = Some(match (&why, seen(form)) {
        (PageError::Stale, Some(seen)) => format!(
            "Found this letter at save {}, expected save {seen}, which your window showed: it was changed in another window or by somebody else meanwhile; read both texts below, put in what shall stand, and save again.",
            letter.revision
        ),
        _ => sentence(&why.to_string()),
    });
    let status = why.into_response().status();
    let mut response = page(&shown)?;
    *response.status_mut() = status;
    // The page itself says what is wrong; it must not be replaced by the error page.
    response.extensions_mut().insert(OwnPage);
    Ok(response)
}

/// `POST /letter/{id}/away`: the draft leaves every list; `revision` as the form showed it.
pub async fn take_away(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let id: LetterId = id.parse()?;
    let seen = seen(&form).ok_or(PageError::Stale)?;
    let store = &context.state.store;
    store.take_away_letter(context.stamp(), id, seen).await?;
    Ok(Redirect::to(&format!("/letters?away={id}")))
}

/// `POST /letter/{id}/back`
pub async fn put_back(context: Context, Path(id): Path<String>) -> Result<Redirect, PageError> {
    let id: LetterId = id.parse()?;
    let store = &context.state.store;
    store.put_back_letter(context.stamp(), id).await?;
    Ok(Redirect::to(&format!("/letter/{id}?told=back")))
}

/// The paper is set first: a letter that cannot be set is not signed.
async fn sign_and_freeze(
    context: &Context,
    letter: LetterRecord,
    mut kept: KeptLetter,
) -> Result<(), PageError> {
    let has_words = |b: &Block| matches!(b, Block::Paragraph { .. } | Block::List { .. });
    if !kept.document.blocks.iter().any(has_words) {
        return Err(PageError::NotNow {
            sentence: "this letter says nothing yet; write its words, save it, then sign"
                .to_owned(),
        });
    }
    let words = Words::of_tag(&kept.document.language);
    kept.sign(signed_lines(context, words));
    let pdf = paper::set(kept.document.clone(), kept.pictures.clone()).await?;
    let (seen, facts) = (letter.revision, kept.facts()?);
    let letter = LetterRecord { facts, ..letter };
    let store = &context.state.store;
    store
        .sign_letter(context.stamp(), letter, seen, pdf)
        .await?;
    Ok(())
}

/// Who signs, for which practice, when.
fn signed_lines(context: &Context, w: &Words) -> Vec<String> {
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
    let when = w.day(&moment(context, context.now));
    lines.push(w.with("signed", &[("when", when.into())]));
    lines
}

/// `POST /letter/{id}/addendum`: an empty draft to the same reader that names the signed letter.
pub async fn addendum(context: Context, Path(id): Path<String>) -> Result<Redirect, PageError> {
    let first = context.state.store.letter(id.parse()?).await?;
    let LetterState::Signed { at, seal, .. } = &first.state else {
        return Err(PageError::NotNow {
            sentence: "this letter is not signed; change the draft instead of adding to it"
                .to_owned(),
        });
    };
    let before = KeptLetter::of(&first)?.document;
    let w = Words::of_tag(&before.language);
    let adds_to = w.plain("label-adds-to");
    let seal: String = seal.to_string().chars().take(SEAL_SHOWN).collect();
    let mut head = before.head.clone();
    head.retain(|(label, _)| *label != adds_to);
    let signed = w.day(&words::day(at.to_offset(context.now.offset()).date()));
    let told = w.with("adds-to", &[("day", signed.into()), ("seal", seal.into())]);
    head.push((adds_to, told));
    let document = Document {
        title: added(w, &before.title),
        date: w.day(&words::day(context.today())),
        head,
        blocks: vec![unsigned(
            w,
            vec![context.worker.name.clone(), context.practice.name.clone()],
        )],
        draft: true,
        ..before
    };
    let kept = KeptLetter {
        document,
        pictures: Pictures::new(),
        asked: Asked::default(),
    };
    let next = LetterId::new(context.state.ids.fresh());
    let record = LetterRecord {
        id: next,
        visit: first.visit,
        kind: first.kind,
        title: added(Words::english(), &first.title),
        facts: kept.facts()?,
        addendum_to: Some(first.id),
        drafted_at: context.now,
        revision: 0,
        state: LetterState::Draft,
    };
    context
        .state
        .store
        .save_letter(context.stamp(), record, 0)
        .await?;
    Ok(Redirect::to(&format!("/letter/{next}")))
}

/// The title of an addendum; one to an addendum is not called so twice.
fn added(w: &Words, title: &str) -> String {
    let start = w.with("addendum-title", &[("title", "".into())]);
    let bare = title.trim_start_matches(start.trim_end()).trim_start();
    w.with("addendum-title", &[("title", bare.into())])
}
