//! How does an order leave the bench for good, and how is what was sent given out?

use super::facts;
use super::files::attached;
use super::finish::current;
use super::order::{Texts, open, seen};
use super::preview::gathered;
use crate::context::Context;
use crate::error::PageError;
use axum::{
    Form,
    extract::Path,
    response::{Redirect, Response},
};
use record::OrderId;

/// `POST /order/{id}/send`: freezes the revision that the page saw, with its sheet and its solids; `language` is the sheet's.
pub async fn send(
    context: Context,
    Path(id): Path<String>,
    Form(texts): Form<Texts>,
) -> Result<Redirect, PageError> {
    let opened = open(&context, &id).await?;
    let seen = seen(&texts)?;
    let in_words = crate::letters::spoken::wished(&texts)?;
    let not_now = |sentence: &str| PageError::NotNow {
        sentence: sentence.to_owned(),
    };
    let files = current(&opened).ok_or_else(|| {
        not_now("found no files of this order as it stands now; make them first, and look at them")
    })?;
    if !files.is_sound() {
        return Err(not_now(
            "found a body that is no sound solid; change the prescription and make the files again",
        ));
    }
    let person = gathered(&context, &opened).await?;
    let limits = facts::limits(
        &person,
        opened.record.side,
        &opened.foot,
        &opened.wish.sheet,
        Some(&files.device),
    );
    let held = limits.iter().filter(|l| l.class == "alarm").count();
    if held > 0 && texts.get("agreed").is_none_or(|a| a != "yes") {
        return Err(not_now(&format!(
            "found {} against this device; say beside the button that you have looked at it, or change the prescription",
            crate::words::count(held, "limit that stands", "limits that stand")
        )));
    }
    let solids = files
        .file("device.3mf")
        .map(|f| f.bytes.clone())
        .unwrap_or_default();
    let signed = format!(
        "{}, {}",
        crate::words::day(context.today()),
        crate::words::clock(context.now)
    );
    let sheet = super::paper::order_sheet(
        &context,
        &opened,
        &person,
        &files,
        &limits,
        Some(signed),
        in_words,
    )
    .await?;
    context
        .state
        .store
        .send_order(context.stamp(), opened.record.id, seen, sheet, solids)
        .await?;
    Ok(Redirect::to(&format!("/order/{}", opened.record.id)))
}

/// `GET /order/{id}/sent/{name}`: `sheet.pdf` or `device.3mf`, byte for byte as they were sent.
pub async fn give(
    context: Context,
    Path((id, name)): Path<(String, String)>,
) -> Result<Response, PageError> {
    let store = &context.state.store;
    let order = store.order(id.parse::<OrderId>()?).await?;
    let shown = format!("{}-{}-{name}", order.code, order.side.word());
    match name.as_str() {
        "sheet.pdf" => Ok(attached(
            &shown,
            "application/pdf",
            store.order_sheet(order.id).await?,
        )),
        "device.3mf" => Ok(attached(
            &shown,
            "model/3mf",
            store.order_solids(order.id).await?,
        )),
        _ => Err(PageError::NotFound { what: "file" }),
    }
}
