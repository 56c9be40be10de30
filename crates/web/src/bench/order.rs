//! How does an order begin, how is a change kept, taken back, mirrored?
//!
//! Every change is a revision; a page says which one it saw, so that nothing is overwritten. Taking back is
//! a new revision too.

use super::facts;
use super::hand::{self, InHand};
use super::points;
use super::values::{self, BadText};
use crate::context::Context;
use crate::error::PageError;
use crate::shell::OwnPage;
use crate::visit::gather::{Gathered, gather};
use ::shell::Prescription;
use ::shell::prescription::{Corrections, Edges, ShellBody, Thickness};
use axum::{
    Form, Json,
    extract::Path,
    http::StatusCode,
    response::{IntoResponse, Redirect, Response},
};
use quantity::Length;
use record::{Kept, OrderId, OrderRecord, OrderSource, ScanId, VisitId};
use serde_json::json;
use std::collections::BTreeMap;
use std::sync::Arc;
use store::StoreError;
use terms::Side;
use workshop::foot::{MEASURES_FORMAT, MEASURES_VERSION, Measures, OpenFoot};
use workshop::sheet::{Moved, Sheet, Wish};

pub type Texts = BTreeMap<String, String>;

/// Everything a request about an order works with.
pub struct Opened {
    pub record: OrderRecord,
    pub wish: Wish,
    pub foot: Arc<OpenFoot>,
    pub hand: Arc<InHand>,
}

/// # Errors
/// No such order, or a foot that cannot be made.
pub async fn open(context: &Context, id: &str) -> Result<Opened, PageError> {
    let state = &context.state;
    let record = state.store.order(id.parse::<OrderId>()?).await?;
    let foot = hand::foot_of(state, &record).await?;
    Ok(Opened {
        wish: Wish::of(&record)?,
        hand: state.bench.order(record.id),
        foot,
        record,
    })
}

impl Opened {
    /// The wish with the texts of a form.
    ///
    /// # Errors
    /// The first text that cannot be taken.
    pub fn with(&self, texts: &Texts) -> Result<Wish, BadText> {
        let mut wish = self.wish.clone();
        values::apply(&mut wish.sheet, texts)?;
        points::apply(&mut wish.moved, &self.foot, texts)?;
        Ok(wish)
    }
}

/// What the script gets for a text that cannot be taken: the sentence and its field.
pub fn refused(bad: &BadText) -> Response {
    let said = json!({
        "error": crate::error::sentence(&bad.sentence),
        "field": bad.field,
        "todo": "What you typed is still here.",
    });
    let mut response = (StatusCode::UNPROCESSABLE_ENTITY, Json(said)).into_response();
    response.extensions_mut().insert(OwnPage);
    response
}

/// The same for a form without script, with the field's own name.
fn refusal(bad: &BadText) -> PageError {
    let label = super::fields::Field::of(&bad.field).map_or("", |f| f.label);
    if label.is_empty() {
        PageError::input(bad.sentence.clone())
    } else {
        PageError::input(format!("{label}: {}", bad.sentence))
    }
}

/// `POST /visit/{id}/orders`: `foot` names a scan, or is `measured` with the measures beside it.
pub async fn begin(
    context: Context,
    Path(id): Path<String>,
    Form(texts): Form<Texts>,
) -> Result<Redirect, PageError> {
    let gathered = gather(&context, id.parse::<VisitId>()?).await?;
    let said = |key: &str| texts.get(key).map_or("", |t| t.trim());
    let (source, side) = if said("foot") == "measured" {
        let side = side_of(said("side"))?;
        let measures = measures(&texts)?;
        let kept = Kept::of(MEASURES_FORMAT, MEASURES_VERSION, &measures)
            .map_err(|e| PageError::ours("keeping measurements", e))?;
        (OrderSource::Measured { measures: kept }, side)
    } else {
        let scan = context
            .state
            .store
            .scan(said("foot").parse::<ScanId>()?)
            .await?;
        if scan.patient != gathered.patient.id {
            return Err(PageError::NotFound { what: "scan" });
        }
        let side = match scan.side {
            Some(side) => side,
            None => hand::foot_of_scan(&context.state, &scan).await?.foot.side,
        };
        (OrderSource::Scan { scan: scan.id }, side)
    };
    let order = begun(&context, &gathered, side, source, None).await?;
    Ok(Redirect::to(&format!("/order/{}", order.id)))
}

fn side_of(word: &str) -> Result<Side, PageError> {
    match word {
        "left" => Ok(Side::Left),
        "right" => Ok(Side::Right),
        _ => Err(PageError::input(
            "found no side; say whether it is the left or the right foot",
        )),
    }
}

fn measures(texts: &Texts) -> Result<Measures, PageError> {
    let number = |key: &str, name: &str| {
        let text = texts.get(key).map_or("", String::as_str);
        let value = values::parsed(text)
            .map_err(|found| PageError::input(format!("{name}: found {found}")))?;
        Ok::<Option<f64>, PageError>(value)
    };
    let needed = |key: &str, name: &str| {
        number(key, name)?.ok_or_else(|| {
            PageError::input(format!(
                "{name} is missing; measure it in millimetres and give it"
            ))
        })
    };
    Ok(Measures {
        foot_length: needed("foot_length", "the foot's length")?,
        ball_width: needed("ball_width", "the width at the ball")?,
        heel_width: needed("heel_width", "the width of the heel")?,
        navicular_height: needed("navicular_height", "the navicular's height")?,
        heel_pad_length: number("heel_pad", "the heel pad's length")?,
        print: Vec::new(),
    })
}

/// How often a code that is in use already is drawn again.
const MOST_TRIES: u32 = 6;

/// Makes the order with the proposed prescription, or a copy of another's.
async fn begun(
    context: &Context,
    gathered: &Gathered,
    side: Side,
    source: OrderSource,
    copied: Option<Sheet>,
) -> Result<OrderRecord, PageError> {
    let store = &context.state.store;
    let mut tries = 0;
    loop {
        let id = OrderId::new(context.state.ids.fresh());
        let mut record = OrderRecord {
            id,
            patient: gathered.patient.id,
            visit: gathered.visit.id,
            side,
            code: code(context.state.ids.fresh().as_u128()),
            source: source.clone(),
            points: None,
            prescription: Kept {
                format: String::new(),
                version: 0,
                body: serde_json::Value::Null,
            },
            sent: None,
            revision: 0,
            content_of: 0,
            saved_at: context.now,
        };
        let foot = hand::foot_of(&context.state, &record).await?;
        let sheet = match &copied {
            Some(sheet) => sheet.clone(),
            None => {
                let draft = facts::propose(gathered, side, &foot, None).draft;
                Sheet::of(draft.map_or_else(
                    || plain(&record.code),
                    |d| d.prescription(None, &record.code),
                ))
            }
        };
        let mut wish = Wish {
            sheet,
            moved: Moved::default(),
        };
        wish.sheet.prescription.order_code = record.code.clone();
        wish.sheet.set_on = foot.scanned.as_ref().map(|s| s.alignment.clone());
        record.prescription = wish.kept_sheet()?;
        match store.save_order(context.stamp(), record, 0).await {
            Err(StoreError::Taken { .. }) if tries < MOST_TRIES => tries += 1,
            other => return Ok(other?),
        }
    }
}

/// Six signs without those that are mistaken for each other; what stands on the device names nobody.
fn code(random: u128) -> String {
    const SIGNS: &[u8; 32] = b"23456789ABCDEFGHJKLMNPQRSTUVWXYZ";
    (0..6)
        .rev()
        .map(|n| char::from(SIGNS[(random >> (5 * n)) as usize % 32]))
        .collect()
}

/// Where `care` proposes no device: a plain shell to start from. Nobody proposed it, and the page says so.
fn plain(code: &str) -> Prescription {
    Prescription {
        corrections: Corrections::default(),
        shell: ShellBody {
            material: "pa12-laser".into(),
            thickness: Thickness::Uniform {
                all: Length::mm(3.0),
            },
            heel_cup_depth: Length::mm(14.0),
            behind_heads: Length::mm(8.0),
            medial_flange: None,
            lateral_flange: None,
            trim: Vec::new(),
        },
        edges: Edges::default(),
        rearfoot_post: None,
        forefoot_post: None,
        shoe: None,
        order_code: code.to_owned(),
    }
}

/// The revision that the page saw.
pub fn seen(texts: &Texts) -> Result<u32, PageError> {
    let text = texts.get("revision").map_or("", |t| t.trim());
    text.parse().map_err(|_| {
        PageError::input(format!(
            "found {text:?} as the revision; load the page again"
        ))
    })
}

/// `POST /order/{id}/save`: the form's fields and the `revision` that the page saw.
pub async fn save(
    context: Context,
    Path(id): Path<String>,
    Form(texts): Form<Texts>,
) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    let seen = seen(&texts)?;
    let wish = match opened.with(&texts) {
        Ok(wish) => wish,
        Err(bad) if context.by_script => return Ok(refused(&bad)),
        Err(bad) => return Err(refusal(&bad)),
    };
    if let Err(fault) = ::shell::limits::check(
        &wish.sheet.prescription,
        &workshop::making(context.state.knowledge, &wish.sheet.prescription),
    ) {
        let bad = super::preview::bad_text(&fault);
        return if context.by_script {
            Ok(refused(&bad))
        } else {
            Err(refusal(&bad))
        };
    }
    let saved = if wish == opened.wish {
        // Nothing changed: no revision is made of it.
        if opened.record.revision != seen {
            return Err(PageError::Stale);
        }
        opened.record
    } else {
        let record = OrderRecord {
            points: wish.kept_points()?,
            prescription: wish.kept_sheet()?,
            sent: None,
            ..opened.record
        };
        context
            .state
            .store
            .save_order(context.stamp(), record, seen)
            .await?
    };
    answer(&context, &saved).await
}

/// `POST /order/{id}/undo`: one saved step back.
pub async fn undo(
    context: Context,
    Path(id): Path<String>,
    Form(texts): Form<Texts>,
) -> Result<Response, PageError> {
    let id = id.parse::<OrderId>()?;
    let saved = context
        .state
        .store
        .undo_order(context.stamp(), id, seen(&texts)?)
        .await?;
    answer(&context, &saved).await
}

/// The script gets the new revision and every text as it stands now.
async fn answer(context: &Context, saved: &OrderRecord) -> Result<Response, PageError> {
    if !context.by_script {
        return Ok(Redirect::to(&format!("/order/{}", saved.id)).into_response());
    }
    let foot = hand::foot_of(&context.state, saved).await?;
    let can_undo = context.state.store.order_before(saved.id).await?.is_some();
    Ok(Json(json!({
        "revision": saved.revision,
        "words": format!("Saved {}.", crate::words::clock(saved.saved_at)),
        "undo": can_undo,
        "texts": texts_of(&Wish::of(saved)?, &foot),
    }))
    .into_response())
}

/// Every text of the form, points included.
pub fn texts_of(wish: &Wish, foot: &OpenFoot) -> Texts {
    let mut all = values::texts(&wish.sheet);
    let standing = wish.moved.over(&foot.foot.points);
    for (key, _) in workshop::sheet::POINTS {
        if let Some(mark) = workshop::sheet::point_of(&standing, key) {
            for (k, (axis, _)) in points::AXES.iter().enumerate() {
                all.insert(
                    points::field(key, axis),
                    points::coordinate_text(mark.at[k]),
                );
            }
        }
    }
    all
}

/// `POST /order/{id}/mirror`: the same values for the other foot, as a new draft or the next revision of
/// the one that is there.
pub async fn mirror(context: Context, Path(id): Path<String>) -> Result<Redirect, PageError> {
    let store = &context.state.store;
    let opened = open(&context, &id).await?;
    let side = opened.record.side.other();
    let drafts = store.orders_of_visit(opened.record.visit).await?;
    let draft = drafts
        .into_iter()
        .rev()
        .find(|o| o.side == side && o.sent.is_none());
    let saved = match draft {
        Some(draft) => {
            let mut wish = Wish::of(&draft)?;
            wish.sheet.prescription = Prescription {
                order_code: draft.code.clone(),
                ..opened.wish.sheet.prescription.clone()
            };
            let seen = draft.revision;
            let record = OrderRecord {
                prescription: wish.kept_sheet()?,
                ..draft
            };
            store.save_order(context.stamp(), record, seen).await?
        }
        None => {
            let gathered = gather(&context, opened.record.visit).await?;
            let source = source_of_other(&context, &opened.record, side).await?;
            // What was found by hand on one foot is not known of the other.
            let copied = Sheet {
                short_of_room: opened.wish.sheet.short_of_room,
                ..Sheet::of(opened.wish.sheet.prescription.clone())
            };
            begun(&context, &gathered, side, source, Some(copied)).await?
        }
    };
    Ok(Redirect::to(&format!("/order/{}", saved.id)))
}

/// The newest scan of the other foot.
async fn source_of_other(
    context: &Context,
    order: &OrderRecord,
    side: Side,
) -> Result<OrderSource, PageError> {
    let scans = context.state.store.scans_of(order.patient).await?;
    let scan = scans
        .iter()
        .rev()
        .find(|s| s.side == Some(side) && s.load.is_some());
    scan.map(|s| OrderSource::Scan { scan: s.id }).ok_or_else(|| PageError::NotNow {
        sentence: format!(
            "found no scan of the {side} foot; take one in on the visit's page, or begin its device from measurements",
            side = side.word()
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_has_six_plain_signs_and_differs_from_its_neighbour() {
        let (a, b) = (code(0x0198_7000_1234_5678), code(0x0198_7000_1234_5679));
        assert_ne!(a, b);
        assert_eq!(a.len(), 6);
        assert!(
            a.bytes()
                .all(|c| c.is_ascii_uppercase() || c.is_ascii_digit())
        );
    }
}
