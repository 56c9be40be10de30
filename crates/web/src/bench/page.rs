//! The bench's page: the picture's place, and the prescription as a form in the order a maker works. The
//! form does everything by itself; the script adds the hand.

use super::facts::{self, LimitShown, Proposed, Why};
use super::fields::{FIELDS, Field, Group, Kind};
use super::finish::{self, Shown};
use super::order::{Opened, open};
use super::picture::points_shown;
use super::points;
use super::values::{HANDLES, number_text, stations, trim_at, trim_key};
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::visit::gather::{Gathered, gather};
use crate::words;
use askama::Template;
use axum::{extract::Path, response::Response};
use care::orthosis::{Draft, OrthosisProposal, expected_effect};
use knowledge::Knowledge;
use knowledge::material::Role;
use std::sync::Arc;
use surface::Origin;
use workshop::Product;
use workshop::sheet::{Sheet, Wish};

#[derive(Template)]
#[template(path = "bench/order.html")]
struct OrderPage {
    shell: Shell,
    /// Labs it can be shown to: account, name, shown already, with the name.
    labs: Vec<(String, String, bool, bool)>,
    id: String,
    patient: String,
    visit: String,
    name: String,
    code: String,
    side: &'static str,
    other_side: &'static str,
    /// The other foot's order of this visit.
    other: Option<String>,
    mirror_words: String,
    revision: u32,
    can_undo: bool,
    sent: Option<String>,
    built: bool,
    found: Vec<String>,
    standing: Standing,
    groups: Vec<GroupShown>,
    asked: Vec<FieldShown>,
    asked_known: usize,
    points: Vec<PointRow>,
    trim: Vec<TrimRow>,
    trim_moved: usize,
    fault: Option<String>,
    limits: Vec<LimitShown>,
    holds_back: bool,
    effect: Option<Effect>,
    /// Of the material, for the search of the thinnest wall.
    least_safety: String,
    safety_words: String,
    product: &'static str,
    job: Shown,
    /// Tag and own name of each language of the papers; English first.
    languages: Vec<(&'static str, String)>,
    /// Those but English.
    other_languages: Vec<(&'static str, String)>,
}

/// What `care` says of a device for this foot as a whole.
struct Standing {
    words: &'static str,
    class: &'static str,
    because: Vec<Why>,
    unknown: Vec<(String, String)>,
    cautions: Vec<Why>,
    proposed: bool,
}

struct GroupShown {
    key: &'static str,
    head: &'static str,
    fields: Vec<FieldShown>,
}

struct FieldShown {
    key: &'static str,
    label: &'static str,
    unit: &'static str,
    hint: &'static str,
    /// Belongs to the field before it.
    part: bool,
    text: String,
    /// Empty for a number.
    choices: Vec<Choice>,
    /// Many choices stand in a list.
    listed: bool,
    proposed: Option<ProposedShown>,
}

struct Choice {
    key: String,
    words: String,
    checked: bool,
    note: String,
}

struct ProposedShown {
    value: String,
    footing: &'static str,
    first: Option<Why>,
    more: Vec<Why>,
    cautions: Vec<Why>,
    alternatives: Vec<(String, Why)>,
    /// Fields and texts to take it over.
    take: String,
    differs: bool,
}

struct PointRow {
    name: &'static str,
    by_hand: bool,
    /// Name of the field, axis in words, text.
    at: Vec<(String, &'static str, String)>,
}

struct TrimRow {
    number: String,
    words: &'static str,
    key: String,
    text: String,
}

struct Effect {
    words: String,
    why: Vec<Why>,
}

/// `GET /order/{id}`
pub async fn show(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    let store = &context.state.store;
    let record = &opened.record;
    let gathered = Arc::new(gather(&context, record.visit).await?);
    opened.hand.keep_person(gathered.clone());
    let siblings = store.orders_of_visit(record.visit).await?;
    let other_side = record.side.other();
    let of_other: Vec<_> = siblings.iter().filter(|o| o.side == other_side).collect();
    let other_draft = of_other.iter().rev().find(|o| o.sent.is_none());
    let can_undo = record.sent.is_none() && store.order_before(record.id).await?.is_some();
    let title = format!("Device {}, {} foot", record.code, record.side.word());
    let mut shell = context.shell(title, Nav::Inside);
    shell.bench = true;
    let sheet = &opened.wish.sheet;
    let proposal = facts::propose(&gathered, record.side, &opened.foot, Some(sheet));
    let making = workshop::making(context.state.knowledge, &sheet.prescription);
    let fault = ::shell::limits::check(&sheet.prescription, &making).err();
    let limits = limits(&opened, &gathered).await;
    let (least_safety, safety_words) = least_safety(context.state.knowledge, sheet);
    let shown = OrderPage {
        labs: crate::access::lab::view(&context, record.id).await?.labs,
        id: record.id.to_string(),
        patient: record.patient.to_string(),
        visit: record.visit.to_string(),
        name: words::full_name(&gathered.patient),
        code: record.code.clone(),
        side: record.side.word(),
        other_side: other_side.word(),
        other: of_other.last().map(|o| o.id.to_string()),
        mirror_words: match other_draft {
            Some(draft) => format!(
                "Puts these values into the {} foot's draft {}, as a step that can be taken back there.",
                other_side.word(),
                draft.code
            ),
            None => format!(
                "Begins a device for the {} foot with these values.",
                other_side.word()
            ),
        },
        revision: record.revision,
        can_undo,
        sent: record
            .sent
            .as_ref()
            .map(|s| words::short_day(s.at.to_offset(context.now.offset()).date())),
        built: matches!(opened.foot.foot.origin, Origin::Built { .. }),
        found: opened.foot.found.clone(),
        standing: standing(&proposal),
        groups: groups(
            context.state.knowledge,
            sheet,
            proposal.draft.as_ref(),
            &record.code,
        ),
        asked: FIELDS
            .iter()
            .filter(|f| f.group == Group::Found)
            .map(|f| field_shown(context.state.knowledge, f, sheet, None, &record.code))
            .collect(),
        asked_known: FIELDS
            .iter()
            .filter(|f| f.group == Group::Found && !f.text(sheet).is_empty())
            .count(),
        points: point_rows(&opened.wish, &opened),
        trim: trim_rows(sheet),
        trim_moved: sheet.prescription.shell.trim.len(),
        fault: fault.map(|f| crate::error::sentence(&f.to_string())),
        holds_back: limits.iter().any(|l| l.class == "alarm"),
        limits,
        effect: effect(sheet),
        least_safety,
        safety_words,
        product: Product::of(
            context
                .state
                .knowledge
                .material(&sheet.prescription.shell.material),
        )
        .words(),
        job: finish::shown(&opened),
        languages: crate::letters::begin::languages(),
        other_languages: crate::letters::spoken::others(),
        shell,
    };
    page(&shown)
}

/// With the device's own edges where it is in hand; the live answer has them always.
async fn limits(opened: &Opened, gathered: &Gathered) -> Vec<LimitShown> {
    let in_hand = opened.hand.device.lock().await.clone();
    let device = in_hand
        .filter(|m| m.key == opened.wish.key())
        .map(|m| m.device);
    facts::limits(
        gathered,
        opened.record.side,
        &opened.foot,
        &opened.wish.sheet,
        device.as_deref(),
    )
}

fn standing(proposal: &OrthosisProposal) -> Standing {
    use care::Standing as S;
    let (words, class) = match proposal.standing {
        S::Proposed => ("A device is proposed", "inside"),
        S::LookFirst => ("Look first", "attention"),
        S::DependsOnStage => ("Depends on the stage", "attention"),
        S::HeldBack => ("Held back", "alarm"),
    };
    Standing {
        words,
        class,
        because: proposal.because.iter().map(Why::of).collect(),
        unknown: proposal
            .unknown
            .iter()
            .map(|u| (u.what.clone(), u.would_change.clone()))
            .collect(),
        cautions: proposal.cautions.iter().map(Why::of).collect(),
        proposed: proposal.draft.is_some(),
    }
}

/// The published band for the post as it stands; outside of what was studied, the sentence that says so.
fn effect(sheet: &Sheet) -> Option<Effect> {
    let post = sheet.prescription.rearfoot_post?;
    Some(match expected_effect(post.angle.to_degrees()) {
        Ok(effect) => Effect {
            words: effect.words,
            why: effect.why.iter().map(Why::of).collect(),
        },
        Err(unstudied) => Effect {
            words: crate::error::sentence(&unstudied.to_string()),
            why: Vec::new(),
        },
    })
}

/// [`effect`]'s words alone; empty without a post.
pub fn effect_words(sheet: &Sheet) -> String {
    effect(sheet).map_or(String::new(), |e| e.words)
}

/// Least safety that the material's own figures name, and how that is known.
fn least_safety(knowledge: &Knowledge, sheet: &Sheet) -> (String, String) {
    let figure = knowledge
        .material(&sheet.prescription.shell.material)
        .and_then(|m| m.safety.as_ref());
    let lower = figure.and_then(|f| Some((f, f.lower.or(f.usual())?)));
    match lower {
        Some((figure, value)) => {
            let text = quantity::written_short(value, 1);
            let words = format!(
                "A safety of {text} is what the material's sheet names ({}).",
                figure.provenance.words()
            );
            (text, words)
        }
        None => (
            String::new(),
            "The material's sheet names no safety.".to_owned(),
        ),
    }
}

fn groups(
    knowledge: &Knowledge,
    sheet: &Sheet,
    draft: Option<&Draft>,
    code: &str,
) -> Vec<GroupShown> {
    [
        (Group::Corrections, "corrections", "Corrections"),
        (Group::Shell, "shell", "Shell"),
        (Group::Shoe, "shoe", "The shoe it goes into"),
        (Group::Post, "post-part", "Post"),
        (Group::Edges, "edges", "Edges"),
    ]
    .into_iter()
    .map(|(group, key, head)| GroupShown {
        key,
        head,
        fields: FIELDS
            .iter()
            .filter(|f| f.group == group)
            .map(|f| field_shown(knowledge, f, sheet, draft, code))
            .collect(),
    })
    .collect()
}

/// Fields that say more about the one before them.
const PARTS: [&str; 17] = [
    "inversion_rise",
    "inversion_inward",
    "skive_angle",
    "skive_clipped",
    "groove_width",
    "relief_radius",
    "relief_forward",
    "relief_upward",
    "thickness_arch",
    "shoe_ball",
    "toe_box",
    "post_length",
    "post_bevel",
    "post_lift",
    "post_own",
    "forepost_length",
    "forepost_own",
];

fn field_shown(
    knowledge: &Knowledge,
    field: &Field,
    sheet: &Sheet,
    draft: Option<&Draft>,
    code: &str,
) -> FieldShown {
    let text = field.text(sheet);
    let choices = match field.kind {
        Kind::Number { .. } => Vec::new(),
        Kind::Choice { choices, .. } => choices
            .iter()
            .map(|(key, words)| Choice {
                key: (*key).to_owned(),
                words: (*words).to_owned(),
                checked: *key == text,
                note: String::new(),
            })
            .collect(),
        Kind::Material => materials(knowledge, &text),
    };
    FieldShown {
        key: field.key,
        label: field.label,
        unit: field.unit,
        hint: field.hint,
        part: PARTS.contains(&field.key),
        listed: matches!(field.kind, Kind::Material),
        proposed: draft.and_then(|d| {
            let proposed = facts::proposed(d, code, field)?;
            let take = facts::proposed_texts(d, code, field.key);
            Some(proposed_shown(proposed, &take, sheet))
        }),
        choices,
        text,
    }
}

fn materials(knowledge: &Knowledge, chosen: &str) -> Vec<Choice> {
    let mut all: Vec<Choice> = knowledge
        .materials()
        .iter()
        .filter(|m| m.is_for(Role::Shell))
        .map(|m| Choice {
            key: m.key.clone(),
            words: format!("{}, {}", m.name, m.process.words()),
            checked: m.key == chosen,
            note: m.words.clone(),
        })
        .collect();
    if all.iter().all(|c| !c.checked) {
        all.push(Choice {
            key: chosen.to_owned(),
            words: format!("{chosen}, not in the knowledge folder"),
            checked: true,
            note: String::new(),
        });
    }
    all
}

fn proposed_shown(
    proposed: Proposed,
    take: &[(&'static str, String)],
    sheet: &Sheet,
) -> ProposedShown {
    let differs = take
        .iter()
        .any(|(key, text)| Field::of(key).is_some_and(|f| f.text(sheet) != *text));
    let mut why = proposed.why.into_iter();
    ProposedShown {
        value: proposed.value,
        footing: proposed.footing,
        first: why.next(),
        more: why.collect(),
        cautions: proposed.cautions,
        alternatives: proposed.alternatives,
        take: serde_json::to_string(take).unwrap_or_default(),
        differs,
    }
}

fn point_rows(wish: &Wish, opened: &Opened) -> Vec<PointRow> {
    let standing = wish.moved.over(&opened.foot.foot.points);
    points_shown(&standing, opened.record.side)
        .into_iter()
        .map(|p| PointRow {
            name: p.name,
            by_hand: p.by_hand,
            at: points::AXES
                .iter()
                .zip(p.texts)
                .map(|((axis, words), text)| (points::field(p.key, axis), *words, text))
                .collect(),
        })
        .collect()
}

fn trim_rows(sheet: &Sheet) -> Vec<TrimRow> {
    stations(sheet)
        .into_iter()
        .map(|station| {
            let handle = HANDLES.iter().find(|h| (h.1 - station).abs() < 0.005);
            TrimRow {
                number: handle.map_or_else(|| format!("at {station:.2}"), |h| h.0.to_string()),
                words: handle.map_or("a place of its own", |h| h.2),
                key: trim_key(station),
                text: trim_at(sheet, station).map(number_text).unwrap_or_default(),
            }
        })
        .collect()
}
