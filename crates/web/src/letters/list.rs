//! Which drafts wait for a signature, and what was signed last?

use super::page::moment;
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::words;
use askama::Template;
use axum::response::Response;
use record::{ActKind, LetterId, LetterRecord, Patient, Subject};

const MOST_SIGNED: usize = 20;
/// How far back the journal is looked through for signatures.
const ACTS_AT_ONCE: u32 = 500;
const MOST_LOOKS: u32 = 10;

#[derive(Template)]
#[template(path = "letters/list.html")]
pub struct LettersPage {
    pub shell: Shell,
    pub waiting: Vec<LetterLine>,
    pub signed: Vec<LetterLine>,
}

pub struct LetterLine {
    pub id: String,
    pub title: String,
    pub patient: String,
    pub name: String,
    pub visit: String,
    pub visit_day: String,
    pub when: String,
}

/// `GET /letters`
pub async fn show(context: Context) -> Result<Response, PageError> {
    let mut waiting = Vec::new();
    for (letter, patient) in context.state.store.letters_waiting().await? {
        let when = moment(&context, letter.drafted_at);
        waiting.push(line(&context, &letter, &patient, when).await?);
    }
    let signed = last_signed(&context).await?;
    let shell = context.shell("Letters", Nav::Letters);
    page(&LettersPage {
        shell,
        waiting,
        signed,
    })
}

async fn line(
    context: &Context,
    letter: &LetterRecord,
    patient: &Patient,
    when: String,
) -> Result<LetterLine, PageError> {
    let visit = context.state.store.visit(letter.visit).await?;
    Ok(LetterLine {
        id: letter.id.to_string(),
        title: letter.title.clone(),
        patient: patient.id.to_string(),
        name: words::list_name(patient),
        visit: visit.id.to_string(),
        visit_day: words::short_day(visit.on),
        when,
    })
}

/// Newest first, as the journal has them.
async fn last_signed(context: &Context) -> Result<Vec<LetterLine>, PageError> {
    let store = &context.state.store;
    let mut found: Vec<(LetterId, String)> = Vec::new();
    let mut end = journal_end(context).await?;
    for _ in 0..MOST_LOOKS {
        if end == 0 || found.len() >= MOST_SIGNED {
            break;
        }
        let after = end.saturating_sub(u64::from(ACTS_AT_ONCE));
        let acts = store.journal(after, ACTS_AT_ONCE).await?;
        for act in acts.iter().rev().filter(|a| a.number <= end) {
            if let (ActKind::LetterSigned, Subject::Letter(id)) = (act.kind, act.on) {
                found.push((id, moment(context, act.at)));
            }
        }
        end = after;
    }
    found.truncate(MOST_SIGNED);
    let mut lines = Vec::new();
    for (id, when) in found {
        let letter = store.letter(id).await?;
        let patient = store
            .patient(store.visit(letter.visit).await?.patient)
            .await?;
        lines.push(line(context, &letter, &patient, when).await?);
    }
    Ok(lines)
}

/// The journal counts without a gap, so its last number is found by steps that are halved.
async fn journal_end(context: &Context) -> Result<u64, PageError> {
    let (mut end, mut step) = (0u64, 1u64 << 24);
    while step > 0 {
        if context
            .state
            .store
            .journal(end + step - 1, 1)
            .await?
            .is_empty()
        {
            step /= 2;
        } else {
            end += step;
        }
    }
    Ok(end)
}
