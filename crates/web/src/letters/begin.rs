//! `GET /visit/{id}/letters/new?kind=…`: to whom, in which language, and what the visit does not hold.

use super::asked::{self, Part};
use super::draft;
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::visit::gather::gather;
use crate::words;
use askama::Template;
use axum::{
    extract::{Path, Query},
    response::Response,
};
use letter::Language;
use record::{LetterKind, VisitId};
use serde::Deserialize;

#[derive(Template)]
#[template(path = "letters/begin.html")]
pub struct BeginPage {
    pub shell: Shell,
    pub visit: String,
    pub visit_day: String,
    pub patient: String,
    pub name: String,
    /// Key and words of the kinds that apply, and whether it is the one asked for.
    pub kinds: Vec<(&'static str, String, bool)>,
    /// Tag and name of each language, in its own words.
    pub languages: Vec<(&'static str, String)>,
    pub parts: Vec<Part>,
}

#[derive(Debug, Default, Deserialize)]
pub struct Wish {
    /// The kind that stands chosen.
    #[serde(default)]
    kind: String,
}

pub async fn show(
    context: Context,
    Path(id): Path<String>,
    Query(wish): Query<Wish>,
) -> Result<Response, PageError> {
    let visit: VisitId = id.parse()?;
    let gathered = gather(&context, visit).await?;
    let kinds = draft::kinds_for(gathered.person.age_years);
    let name = words::full_name(&gathered.patient);
    page(&BeginPage {
        shell: context.shell(format!("A letter about {name}"), Nav::Letters),
        visit: visit.to_string(),
        visit_day: words::day(gathered.visit.on),
        patient: gathered.patient.id.to_string(),
        name,
        parts: asked::parts(&kinds),
        kinds: kinds
            .iter()
            .map(|k| (k.key(), kind_words(*k), k.key() == wish.kind))
            .collect(),
        languages: languages(),
    })
}

/// The kind as an entry of a list.
pub fn kind_words(kind: LetterKind) -> String {
    crate::error::sentence(kind.words())
        .trim_end_matches('.')
        .to_owned()
}

pub fn languages() -> Vec<(&'static str, String)> {
    Language::ALL
        .into_iter()
        .map(|l| (l.tag(), l.name()))
        .collect()
}
