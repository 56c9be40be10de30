//! Which orders does a lab see?
//!
//! Those a clinician released to it, each with code, side and solids. The order sheet carries the patient's name: a lab gets it
//! only where the release says 'with the name'.

use crate::{
    bench::files::attached,
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    words,
};
use askama::Template;
use axum::{
    extract::{Form, Path},
    response::{Redirect, Response},
};
use record::{AccountId, Noted, OrderId, OrderRecord, Release, Role, ToNote};
use serde::Deserialize;

#[derive(Template)]
#[template(path = "access/lab.html")]
pub struct LabPage {
    pub shell: Shell,
    pub orders: Vec<LabRow>,
}

pub struct LabRow {
    pub id: String,
    pub code: String,
    pub side: &'static str,
    pub released: String,
    pub name: Option<String>,
}

/// `GET /lab`
pub async fn show(context: Context) -> Result<Response, PageError> {
    let mut orders = Vec::new();
    for (release, order) in context.state.store.releases_to(own(&context)?).await? {
        orders.push(row(&context, &release, &order).await?);
    }
    page(&LabPage {
        orders,
        shell: context.shell("Orders for you", Nav::Lab),
    })
}

async fn row(
    context: &Context,
    release: &Release,
    order: &OrderRecord,
) -> Result<LabRow, PageError> {
    let name = match release.with_name {
        true => Some(words::full_name(
            &context.state.store.patient(order.patient).await?,
        )),
        false => None,
    };
    Ok(LabRow {
        id: order.id.to_string(),
        code: order.code.clone(),
        side: order.side.word(),
        released: words::short_day(release.at.to_offset(context.now.offset()).date()),
        name,
    })
}

/// Whose orders are asked for: without accounts there is no lab.
fn own(context: &Context) -> Result<AccountId, PageError> {
    context
        .who
        .account()
        .map(|a| a.id)
        .ok_or(PageError::NotFound { what: "lab" })
}

/// The released order; another lab's order is not there for this one.
async fn released(context: &Context, id: &str) -> Result<(Release, OrderRecord), PageError> {
    let id: OrderId = id.parse()?;
    let own = own(context)?;
    context
        .state
        .store
        .releases_to(own)
        .await?
        .into_iter()
        .find(|(release, _)| release.order == id)
        .ok_or(PageError::NotFound { what: "order" })
}

#[derive(Template)]
#[template(path = "access/lab-order.html")]
pub struct LabOrderPage {
    pub shell: Shell,
    pub order: LabRow,
    /// What is asked for: name, value.
    pub asked: Vec<(String, String)>,
}

/// `GET /lab/order/{id}`
pub async fn order(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let (release, order) = released(&context, &id).await?;
    note(&context, &order, "order").await?;
    page(&LabOrderPage {
        order: row(&context, &release, &order).await?,
        asked: crate::bench::values::asked_of(&order)?,
        shell: context.shell(format!("Order {}", order.code), Nav::Lab),
    })
}

async fn note(context: &Context, order: &OrderRecord, what: &str) -> Result<(), PageError> {
    let note = ToNote {
        patient: Some(order.patient),
        ..context.who.note(
            &context.state,
            Noted::Saw,
            format!("lab: {what} {}", order.id),
        )
    };
    context.state.store.note(note).await?;
    Ok(())
}

/// `GET /lab/order/{id}/{name}`: `device.3mf`, and `sheet.pdf` where it was released with the name.
pub async fn give(
    context: Context,
    Path((id, name)): Path<(String, String)>,
) -> Result<Response, PageError> {
    let (release, order) = released(&context, &id).await?;
    let store = &context.state.store;
    let shown = format!("{}-{}-{name}", order.code, order.side.word());
    match name.as_str() {
        "device.3mf" => {
            note(&context, &order, "solids").await?;
            Ok(attached(&shown, "model/3mf", store.order_solids(order.id).await?))
        }
        "sheet.pdf" if release.with_name => {
            note(&context, &order, "sheet").await?;
            Ok(attached(&shown, "application/pdf", store.order_sheet(order.id).await?))
        }
        "sheet.pdf" => Err(PageError::MayNot {
            sentence: "this order was released to you without the patient's name, and its sheet carries it".to_owned(),
        }),
        _ => Err(PageError::NotFound { what: "file" }),
    }
}

/// What the order's page says about labs.
pub struct ReleaseView {
    /// Account id, name, whether released, whether with the name.
    pub labs: Vec<(String, String, bool, bool)>,
}

pub async fn view(context: &Context, order: OrderId) -> Result<ReleaseView, PageError> {
    let store = &context.state.store;
    if !context.who.may(account::Action::ReleaseOrders) {
        return Ok(ReleaseView { labs: Vec::new() });
    }
    let people = store.clinicians().await?;
    let releases = store.releases_of(order).await?;
    let labs = store
        .accounts()
        .await?
        .into_iter()
        .filter(|a| a.active && a.has(Role::Lab))
        .map(|a| {
            let name = people.iter().find(|p| p.id == a.person);
            let release = releases.iter().find(|r| r.to == a.id);
            (
                a.id.to_string(),
                name.map_or(a.login, |p| p.name.clone()),
                release.is_some(),
                release.is_some_and(|r| r.with_name),
            )
        })
        .collect();
    Ok(ReleaseView { labs })
}

#[derive(Debug, Default, Deserialize)]
pub struct ReleaseForm {
    lab: String,
    /// `release`, `with-name` or `take-back`.
    act: String,
}

/// `POST /order/{id}/release`
pub async fn release(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<ReleaseForm>,
) -> Result<Redirect, PageError> {
    let store = &context.state.store;
    let order = store.order(id.parse::<OrderId>()?).await?;
    let lab = store.account(form.lab.parse()?).await?;
    if !lab.has(Role::Lab) {
        return Err(PageError::input(
            "found an account that is no lab; expected a lab",
        ));
    }
    let note = |detail: &str| ToNote {
        patient: Some(order.patient),
        ..context.who.note(
            &context.state,
            Noted::Released,
            format!("order {} {detail} account {}", order.id, lab.id),
        )
    };
    match form.act.as_str() {
        "take-back" => {
            store
                .take_back_release(note("taken back from"), order.id, lab.id)
                .await?;
        }
        act @ ("release" | "with-name") => {
            let with_name = act == "with-name";
            let release = Release {
                order: order.id,
                to: lab.id,
                with_name,
                at: context.now,
                act: context.stamp().act,
            };
            let told = if with_name {
                "with the name to"
            } else {
                "without the name to"
            };
            store.release_order(note(told), release).await?;
        }
        _ => {
            return Err(PageError::input(
                "found another wish than release, with-name or take-back; expected one of them",
            ));
        }
    }
    Ok(Redirect::to(&format!("/order/{}#labs", order.id)))
}
