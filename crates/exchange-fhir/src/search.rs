//! Which resources answer a query, and on which page?
//!
//! Charts are gone through in the order they are given, and the resources of each in one fixed order, so that pages
//! neither overlap nor leave anything out while the record stays as it is.

use crate::bundle::Base;
use crate::ids::is_id;
use crate::outcome::{IssueCode, OperationOutcome};
use crate::query::dates::Prefix;
use crate::query::{Filter, Query, Wanted, encoded};
use crate::resources;
use crate::table::{Indexed, values};
use crate::types::{Bundle, Entry, Held, Link, Resource, ResourceType, SearchMode};
use record::{Chart, PatientId};
use std::collections::BTreeSet;

/// The page of a query that is asked for.
pub fn search<'c>(
    query: &Query,
    charts: impl IntoIterator<Item = &'c Chart>,
    base: &Base,
) -> Bundle {
    noticing(query, charts, base).0
}

/// The same, and whose charts the page shows something of.
pub fn noticing<'c>(
    query: &Query,
    charts: impl IntoIterator<Item = &'c Chart>,
    base: &Base,
) -> (Bundle, BTreeSet<PatientId>) {
    let (mut total, mut entry) = (0, Vec::new());
    let mut shown = BTreeSet::new();
    // People of the practice stand in every chart, and are one.
    let (mut counted, mut included) = (BTreeSet::new(), BTreeSet::new());
    let mut also = Vec::new();
    let count = if query.count_only { 0 } else { query.count };
    for chart in charts {
        let mut matches = Vec::new();
        for resource in resources::of_type(chart, query.kind) {
            if !query.filters.iter().all(|f| holds(f, &resource)) {
                continue;
            }
            let shared = query.kind == ResourceType::Practitioner;
            if shared && !counted.insert(resource.id().to_owned()) {
                continue;
            }
            if total >= query.offset && total - query.offset < count {
                matches.push(resource);
            }
            total += 1;
        }
        if !matches.is_empty() {
            shown.insert(chart.patient.id);
        }
        if !query.includes.is_empty() && !matches.is_empty() {
            also.extend(beside(query, chart, &matches, &mut included));
        }
        entry.extend(matches.into_iter().map(|r| found(r, "match", base)));
    }
    let there: BTreeSet<String> = entry.iter().filter_map(path).collect();
    let also = also.into_iter().filter(|r| !there.contains(&r.path()));
    entry.extend(also.map(|r| found(r, "include", base)));
    if !query.warnings.is_empty() {
        entry.push(Entry {
            full_url: None,
            resource: Held::Outcome(OperationOutcome {
                resource_type: "OperationOutcome",
                issue: query.warnings.clone(),
            }),
            search: Some(SearchMode { mode: "outcome" }),
        });
    }
    let bundle = Bundle {
        resource_type: "Bundle",
        kind: "searchset",
        total: Some(total),
        link: links(query, count, total, base),
        entry,
    };
    (bundle, shown)
}

/// One resource by its id.
///
/// # Errors
/// No such resource, or a text that is no id.
pub fn read<'c>(
    kind: ResourceType,
    id: &str,
    charts: impl IntoIterator<Item = &'c Chart>,
) -> Result<Resource, OperationOutcome> {
    if !is_id(id) {
        return Err(OperationOutcome::error(
            IssueCode::Invalid,
            "found a text that is no id; expected 1 to 64 letters, digits, hyphens and full stops",
        ));
    }
    let of_charts = charts.into_iter();
    let mut all = of_charts.flat_map(|chart| resources::of_type(chart, kind));
    all.find(|r| r.id() == id).ok_or_else(|| {
        OperationOutcome::error(
            IssueCode::NotFound,
            format!("found no {} of this id; search for it", kind.name()),
        )
    })
}

fn path(entry: &Entry) -> Option<String> {
    match &entry.resource {
        Held::Resource(r) => Some(r.path()),
        Held::Outcome(_) => None,
    }
}

fn found(resource: Resource, mode: &'static str, base: &Base) -> Entry {
    Entry {
        full_url: Some(base.of(&resource)),
        resource: Held::Resource(resource),
        search: Some(SearchMode { mode }),
    }
}

/// What the matches point to, as far as the query asks for it.
fn beside(
    query: &Query,
    chart: &Chart,
    matches: &[Resource],
    included: &mut BTreeSet<String>,
) -> Vec<Resource> {
    let mut wanted = BTreeSet::new();
    for resource in matches {
        for param in &query.includes {
            wanted.extend(
                values(resource, param.name)
                    .into_iter()
                    .filter_map(|v| match v {
                        Indexed::Reference(to) => Some(to),
                        _ => None,
                    }),
            );
        }
    }
    let mut all = resources::all(chart);
    all.retain(|r| wanted.contains(&r.path()) && included.insert(r.path()));
    all
}

fn links(query: &Query, count: usize, total: usize, base: &Base) -> Vec<Link> {
    let url = |offset: usize| {
        let mut parts: Vec<String> = query
            .understood
            .iter()
            .map(|(name, value)| format!("{}={}", encoded(name), encoded(value)))
            .collect();
        match query.count_only {
            true => parts.push("_summary=count".into()),
            false => parts.push(format!("_count={count}")),
        }
        if offset > 0 {
            parts.push(format!("_page=o{offset}"));
        }
        format!(
            "{}/{}?{}",
            base.as_str(),
            query.kind.name(),
            parts.join("&")
        )
    };
    let mut links = vec![Link {
        relation: "self",
        url: url(query.offset),
    }];
    if count == 0 {
        return links;
    }
    if query.offset > 0 {
        links.push(Link {
            relation: "previous",
            url: url(query.offset.saturating_sub(count)),
        });
    }
    let next = query.offset.saturating_add(count);
    if next < total {
        links.push(Link {
            relation: "next",
            url: url(next),
        });
    }
    links
}

fn holds(filter: &Filter, resource: &Resource) -> bool {
    let found = values(resource, filter.param.name);
    let any = filter.any_of.iter().any(|wanted| match wanted {
        Wanted::Missing(missing) => found.is_empty() == *missing,
        // 'Other than this day' asks that no date of the resource is on it.
        Wanted::Date(Prefix::Ne, _) => !found.is_empty() && found.iter().all(|f| fits(wanted, f)),
        _ => found.iter().any(|f| fits(wanted, f)),
    });
    any != filter.not
}

fn fits(wanted: &Wanted, found: &Indexed) -> bool {
    match (wanted, found) {
        (Wanted::Token(system, code), Indexed::Token(in_system, has)) => {
            system.as_ref().is_none_or(|s| s == in_system) && code.as_ref().is_none_or(|c| c == has)
        }
        (Wanted::Date(prefix, asked), Indexed::Date(found)) => prefix.holds(*found, *asked),
        (Wanted::Reference(to), Indexed::Reference(has)) => {
            has == to || (!to.contains('/') && has.rsplit('/').next() == Some(to.as_str()))
        }
        (Wanted::Text(start), Indexed::Text(text)) => {
            let folded = record::fold(text);
            folded.starts_with(start.as_str())
                || folded
                    .split(' ')
                    .any(|word| word.starts_with(start.as_str()))
        }
        (Wanted::Exact(whole), Indexed::Text(text)) => whole == text,
        (Wanted::Within(part), Indexed::Text(text)) => record::fold(text).contains(part.as_str()),
        _ => false,
    }
}
