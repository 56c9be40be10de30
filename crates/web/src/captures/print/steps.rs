//! The steps change: by a hand, by finding them anew, by going back.

use super::fields;
use super::hand::{self, OpenPrint, Read};
use super::page;
use crate::captures::base::{Answer, BadField, Base, Texts, answered, refused};
use crate::context::Context;
use crate::error::PageError;
use axum::response::Response;
use print::{Taken, Wish};

/// The texts of the page, with `act` to find every step anew.
///
/// # Errors
/// Another revision than the one seen.
pub async fn save(
    context: &Context,
    base: Base,
    texts: &Texts,
    seen: u32,
) -> Result<Response, PageError> {
    let mut opened = hand::open(context, base).await?;
    match changed(context, &opened, texts).await? {
        Ok(read) => {
            if read.work != opened.read.work {
                let base = opened.base.save(context, read.kept()?, seen).await?;
                hand::keep(&context.state, &base.record, read.clone());
                opened = OpenPrint { base, read };
            }
            answer(context, &opened).await
        }
        Err(bad) => refused(context, bad),
    }
}

async fn changed(
    context: &Context,
    opened: &OpenPrint,
    texts: &Texts,
) -> Result<Result<Read, BadField>, PageError> {
    let work = &opened.read.work;
    let state = &context.state;
    let taken = match fields::taken(work, texts) {
        Ok(taken) => taken,
        Err(bad) => return Ok(Err(bad)),
    };
    let medium = |t: &Taken| match t {
        Taken::Picture { medium, .. } => *medium,
        Taken::Grid { .. } => None,
    };
    match fields::divide(work, texts) {
        Ok(None) => {}
        // One end alone waits for the other.
        Err(_)
            if fields::DIVIDE
                .iter()
                .any(|k| texts.get(*k).is_some_and(|t| t.trim().is_empty())) => {}
        Err(bad) => return Ok(Err(bad)),
        Ok(Some(divide)) => {
            let wish = Wish {
                divide,
                ..Wish::default()
            };
            let found = hand::found_anew(state, &opened.base.record, taken, wish).await;
            return match found {
                Ok(read) => Ok(Ok(read)),
                Err(PageError::Input { sentence, .. }) => Ok(Err(BadField {
                    field: fields::DIVIDE[0].to_owned(),
                    sentence,
                })),
                Err(fault) => Err(fault),
            };
        }
    }
    let anew = texts.get("act").is_some_and(|a| a == "find");
    if anew || medium(&taken) != medium(&work.taken) {
        let wish = Wish::default();
        let found = hand::found_anew(state, &opened.base.record, taken, wish).await?;
        return Ok(Ok(found));
    }
    match fields::applied(work, texts) {
        Ok(work) => Ok(Ok(hand::reread(state, &opened.base.record, work).await?)),
        Err(bad) => Ok(Err(bad)),
    }
}

/// What the page or its script gets of what stands now.
///
/// # Errors
/// No such visit.
pub async fn answer(context: &Context, opened: &OpenPrint) -> Result<Response, PageError> {
    let base = &opened.base;
    answered(context, base.record.id, async {
        Ok(Answer {
            revision: base.kept.revision,
            can_undo: base.can_undo,
            svg: page::drawing(&opened.read, None),
            readings: page::readings(context, opened).await?,
            texts: fields::texts(&opened.read.work),
        })
    })
    .await
}
