//! Reading all files and holding them against each other: do keys resolve, do numbers make sense?

use crate::check_criteria;
use crate::check_orthosis;
use crate::check_shell;
use crate::drawing::{Bone, Path, cut_out};
use crate::fault::Fault;
use crate::folder::Knowledge;
use crate::item::Item;
use crate::landmark::{Landmark, LandmarkEntry};
use crate::measure::Measure;
use crate::parse::{self, Entry, Tables};
use crate::source::{Provenance, Source};
use crate::yardstick_entry::YardstickEntry;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use terms::{SourceKey, View};

/// Topic folders and the tables each of their files holds.
const TOPICS: &[(&str, Tables)] = &[
    ("sources", tables(&["source"])),
    ("drawings", tables(&["bone"])),
    ("landmarks", tables(&["landmark"])),
    ("measures", tables(&["measure"])),
    ("items", tables(&["item"])),
    ("yardsticks", with_sets(&["yardstick"])),
    ("criteria", tables(&["criterion"])),
    ("flags", tables(&["flag"])),
    ("materials", tables(&["material"])),
    ("anthropometry", with_sets(&["size", "shoe"])),
    (
        "loads",
        tables(&["case", "activity", "share", "yearly", "fact"]),
    ),
    (
        "orthosis",
        with_sets(&[
            "setting",
            "effect",
            "agreement",
            "ordered",
            "thickness",
            "guidance",
            "advice",
            "wear",
            "warning",
        ]),
    ),
];

const fn tables(names: &'static [&'static str]) -> Tables {
    Tables {
        names,
        with_sets: false,
    }
}

const fn with_sets(names: &'static [&'static str]) -> Tables {
    Tables {
        names,
        with_sets: true,
    }
}

/// Reads every text and checks it; what could be read is in the answer, what is wrong in `faults`.
pub(crate) fn checked(texts: &[(&str, &str)], faults: &mut Vec<Fault>) -> Knowledge {
    let mut by_topic: BTreeMap<&str, Vec<Entry>> = BTreeMap::new();
    let mut all_read = true;
    for (file, text) in texts {
        let topic = file.split('/').next().unwrap_or(file);
        match TOPICS.iter().find(|(folder, _)| *folder == topic) {
            Some((folder, tables)) => match parse::entries(file, text, *tables, faults) {
                Some(found) => by_topic.entry(folder).or_default().extend(found),
                None => all_read = false,
            },
            None => faults.push(unknown_topic(file)),
        }
    }
    if !all_read {
        return Knowledge::default();
    }
    let mut take = |topic: &str| by_topic.remove(topic).unwrap_or_default();
    let mut knowledge = Knowledge::default();
    sources(take("sources"), &mut knowledge, faults);
    let bones = bones(take("drawings"), &mut knowledge, faults);
    landmarks(take("landmarks"), &bones, &mut knowledge, faults);
    measures(take("measures"), &mut knowledge, faults);
    items(take("items"), &mut knowledge, faults);
    yardsticks(take("yardsticks"), &mut knowledge, faults);
    check_criteria::criteria(take("criteria"), &mut knowledge, faults);
    check_criteria::flags(take("flags"), &mut knowledge, faults);
    check_shell::materials(take("materials"), &mut knowledge, faults);
    check_shell::sizes(take("anthropometry"), &mut knowledge, faults);
    check_shell::loads(take("loads"), &mut knowledge, faults);
    check_orthosis::orthosis(take("orthosis"), &mut knowledge, faults);
    knowledge
}

fn unknown_topic(file: &str) -> Fault {
    let known: Vec<&str> = TOPICS.iter().map(|(folder, _)| *folder).collect();
    Fault {
        file: file.into(),
        line: None,
        found: "a file in an unknown folder".into(),
        expected: format!("one of the folders {}", known.join(", ")),
        hint: "move or rename it".into(),
    }
}

/// Reads entries as `T`; faults go aside, the rest keeps its entry for later checks.
pub(crate) fn read_all<'t, T: DeserializeOwned>(
    entries: Vec<Entry<'t>>,
    faults: &mut Vec<Fault>,
) -> Vec<(Entry<'t>, T)> {
    let mut out = Vec::new();
    for entry in entries {
        match entry.read::<T>() {
            Ok(value) => out.push((entry, value)),
            Err(fault) => faults.push(fault),
        }
    }
    out
}

/// Each key once; the second one is the fault and says where the first one stands.
#[derive(Default)]
pub(crate) struct Seen(pub(crate) BTreeMap<String, String>);

impl Seen {
    pub(crate) fn new_key(&mut self, entry: &Entry, key: &str, faults: &mut Vec<Fault>) -> bool {
        if let Some(first) = self.0.get(key) {
            faults.push(entry.fault(
                &["key"],
                format!("the key {key:?} again (first in {first})"),
                "a key of its own",
                "rename one of them",
            ));
            return false;
        }
        self.0.insert(key.to_string(), entry.place());
        true
    }
}

/// A text a person is going to read has to say something.
pub(crate) fn not_empty(entry: &Entry, fields: &[(&str, &str)], faults: &mut Vec<Fault>) {
    for (field, text) in fields {
        if text.trim().is_empty() {
            faults.push(entry.fault(
                &[field],
                format!("an empty `{field}`"),
                "some words",
                "write them",
            ));
        }
    }
}

pub(crate) fn source_exists(
    entry: &Entry,
    path: &[&str],
    key: &SourceKey,
    k: &Knowledge,
    faults: &mut Vec<Fault>,
) {
    if k.source(key).is_none() {
        faults.push(entry.fault(
            path,
            format!("the source {:?}", key.as_str()),
            "a key of the sources folder",
            "add the source or correct the key",
        ));
    }
}

pub(crate) fn sources_exist(
    entry: &Entry,
    keys: &[SourceKey],
    k: &Knowledge,
    faults: &mut Vec<Fault>,
) {
    if keys.is_empty() {
        faults.push(entry.fault(
            &["sources"],
            "no source",
            "at least one key of the sources folder",
            "name the source",
        ));
    }
    for (i, key) in keys.iter().enumerate() {
        source_exists(entry, &["sources", &i.to_string()], key, k, faults);
    }
}

/// A fact may not claim to be better known than the best of the sources it names.
pub(crate) fn no_more_than_sources(
    entry: &Entry,
    provenance: Provenance,
    keys: &[&SourceKey],
    k: &Knowledge,
    faults: &mut Vec<Fault>,
) {
    let best = keys
        .iter()
        .filter_map(|key| k.source(key))
        .map(|s| s.provenance)
        .min();
    if let Some(best) = best.filter(|best| provenance < *best) {
        faults.push(entry.fault(
            &["provenance"],
            format!("a provenance of {:?}", provenance.words()),
            format!("at most {:?}, as its source says", best.words()),
            "correct the row or the source",
        ));
    }
}

fn sources(entries: Vec<Entry>, k: &mut Knowledge, faults: &mut Vec<Fault>) {
    let mut seen = Seen::default();
    for (entry, source) in read_all::<Source>(entries, faults) {
        not_empty(&entry, &[("citation", &source.citation)], faults);
        let nowhere = source.doi.is_none() && source.pmid.is_none() && source.url.is_none();
        if nowhere
            && matches!(source.provenance, Provenance::Read | Provenance::Abstract)
            && source.note.is_none()
        {
            faults.push(entry.fault(
                &["provenance"],
                "a source that was read but has no doi, pmid, url or note",
                "one that says where it was read",
                "add it",
            ));
        }
        for other in &source.also {
            if seen.new_key(&entry, other.as_str(), faults) {
                k.source_aliases.insert(other.clone(), source.key.clone());
            }
        }
        if seen.new_key(&entry, source.key.as_str(), faults) {
            k.sources.insert(source.key.clone(), source);
        }
    }
}

fn bones(entries: Vec<Entry>, k: &mut Knowledge, faults: &mut Vec<Fault>) -> Vec<(Bone, Path)> {
    let mut out = Vec::new();
    for (entry, bone) in read_all::<Bone>(entries, faults) {
        match Path::parse(&bone.path) {
            Ok(path) => {
                k.bones.push(bone.clone());
                out.push((bone, path));
            }
            Err(found) => faults.push(entry.fault(
                &["path"],
                found,
                "path data of absolute M, L, C, Q and Z with their numbers",
                "correct the path",
            )),
        }
    }
    out
}

fn landmarks(
    entries: Vec<Entry>,
    bones: &[(Bone, Path)],
    k: &mut Knowledge,
    faults: &mut Vec<Fault>,
) {
    let mut seen = Seen::default();
    let mut order: BTreeMap<View, usize> = BTreeMap::new();
    let mut borders = Vec::new();
    for (entry, l) in read_all::<LandmarkEntry>(entries, faults) {
        not_empty(
            &entry,
            &[
                ("name", &l.name),
                ("definition", &l.definition),
                ("where_words", &l.where_words),
            ],
            faults,
        );
        if !(l.usual_error_mm.is_finite() && l.usual_error_mm > 0.0 && l.usual_error_mm <= 20.0) {
            faults.push(entry.fault(
                &["usual_error_mm"],
                format!("usual_error_mm = {}", l.usual_error_mm),
                "millimetres above 0 and at most 20",
                "correct the number",
            ));
        }
        if let Some(border) = &l.border {
            if !(border.along_mm >= l.usual_error_mm && border.along_mm <= 20.0) {
                faults.push(entry.fault(
                    &["border"],
                    format!("along_mm = {}", border.along_mm),
                    "millimetres from usual_error_mm, the error across the border, to 20",
                    "correct the number",
                ));
            }
            borders.push((entry.clone(), l.view, l.key.clone(), border.towards.clone()));
        }
        if let Some(appears) = &l.appears {
            let span = [appears.from_years, appears.until_years];
            if !(span.iter().all(|y| (0.0..=18.0).contains(y)) && span[0] <= span[1]) {
                faults.push(entry.fault(
                    &["appears"],
                    format!("{} to {} years", span[0], span[1]),
                    "years of childhood, the earlier first",
                    "correct the numbers",
                ));
            }
            source_exists(&entry, &["appears"], &appears.source, k, faults);
            no_more_than_sources(&entry, appears.provenance, &[&appears.source], k, faults);
        }
        let window_good = l.window.is_finite() && (10.0..=400.0).contains(&l.window);
        if !window_good || l.point.iter().any(|v| !v.is_finite()) {
            faults.push(entry.fault(
                &["window"],
                format!("point {:?} with a window of {}", l.point, l.window),
                "two finite numbers and a window of 10 to 400 millimetres",
                "correct the drawing",
            ));
            continue;
        }
        source_exists(&entry, &["error_source"], &l.error_source, k, faults);
        no_more_than_sources(&entry, l.error_provenance, &[&l.error_source], k, faults);
        let drawing = cut_out(bones, l.view, l.point, l.window);
        if drawing.outlines.is_empty() {
            faults.push(entry.fault(
                &["point"],
                format!("point {:?}, where nothing is drawn", l.point),
                format!("a place on the drawing of the {} view", l.view.words()),
                "correct the point or widen the window",
            ));
        }
        if seen.new_key(&entry, l.key.as_str(), faults) {
            let place = order.entry(l.view).or_default();
            k.landmarks.push(Landmark {
                key: l.key,
                view: l.view,
                name: l.name,
                definition: l.definition,
                where_words: l.where_words,
                drawing,
                usual_error_mm: l.usual_error_mm,
                border: l.border,
                appears: l.appears,
                error_source: l.error_source,
                error_provenance: l.error_provenance,
                optional: l.optional,
                order: *place,
                note: l.note,
            });
            *place += 1;
        }
    }
    for (entry, view, from, towards) in borders {
        if towards == from
            || !k
                .landmarks
                .iter()
                .any(|l| l.key == towards && l.view == view)
        {
            faults.push(entry.fault(
                &["border"],
                format!("towards = {:?}", towards.as_str()),
                format!("another landmark of the {} view", view.words()),
                "correct the key",
            ));
        }
    }
}

fn measures(entries: Vec<Entry>, k: &mut Knowledge, faults: &mut Vec<Fault>) {
    let mut seen = Seen::default();
    for (entry, m) in read_all::<Measure>(entries, faults) {
        not_empty(
            &entry,
            &[
                ("name", &m.name),
                ("short", &m.short),
                ("sign_words", &m.sign_words),
                ("construction_words", &m.construction_words),
            ],
            faults,
        );
        sources_exist(&entry, &m.sources, k, faults);
        no_more_than_sources(
            &entry,
            m.provenance,
            &m.sources.iter().collect::<Vec<_>>(),
            k,
            faults,
        );
        if m.unit != m.value.unit() {
            faults.push(entry.fault(
                &["unit"],
                format!("unit = {:?}", m.unit.key()),
                format!(
                    "{:?}, the unit of what its value computes",
                    m.value.unit().key()
                ),
                "correct the unit or the value",
            ));
        }
        if m.version == 0 {
            faults.push(entry.fault(&["version"], "version = 0", "1 or more", "start at 1"));
        }
        for (name, line) in &m.lines {
            for key in line.landmarks() {
                landmark_of_view(&entry, &["lines", name], key, m.view, k, faults);
            }
            if !m.value.lines().contains(&name.as_str()) {
                faults.push(entry.fault(
                    &["lines", name],
                    format!("the line {name:?}, which the value does not use"),
                    "only lines that are used",
                    "remove it or use it",
                ));
            }
        }
        for name in m.value.lines() {
            if !m.lines.contains_key(name) {
                let names: Vec<&str> = m.lines.keys().map(String::as_str).collect();
                faults.push(entry.fault(
                    &["value"],
                    format!("the line {name:?} in the value"),
                    format!("one of the measure's lines ({})", names.join(", ")),
                    "add the line or correct its name",
                ));
            }
        }
        for point in m.value.points() {
            for key in point.landmarks() {
                landmark_of_view(&entry, &["value"], key, m.view, k, faults);
            }
        }
        if seen.new_key(&entry, m.key.as_str(), faults) {
            k.measures.push(m);
        }
    }
}

fn landmark_of_view(
    entry: &Entry,
    path: &[&str],
    key: &terms::LandmarkKey,
    view: View,
    k: &Knowledge,
    faults: &mut Vec<Fault>,
) {
    let found = match k.landmark(key) {
        Some(l) if l.view == view => return,
        Some(l) => format!(
            "the landmark {:?} of the {} view",
            key.as_str(),
            l.view.words()
        ),
        None => format!("the landmark {:?}", key.as_str()),
    };
    faults.push(entry.fault(
        path,
        found,
        format!("a landmark of the {} view", view.words()),
        "add the landmark or correct the key",
    ));
}

fn items(entries: Vec<Entry>, k: &mut Knowledge, faults: &mut Vec<Fault>) {
    let mut seen = Seen::default();
    for (entry, item) in read_all::<Item>(entries, faults) {
        not_empty(
            &entry,
            &[
                ("key", &item.key),
                ("name", &item.name),
                ("words", &item.words),
            ],
            faults,
        );
        if seen.new_key(&entry, &item.key, faults) {
            k.items.push(item);
        }
    }
}

fn yardsticks(entries: Vec<Entry>, k: &mut Knowledge, faults: &mut Vec<Fault>) {
    let mut seen = Seen::default();
    for (entry, y) in read_all::<YardstickEntry>(entries, faults) {
        not_empty(&entry, &[("population", &y.population)], faults);
        for (field, found, expected) in y.faults() {
            faults.push(entry.fault(&[field], found, expected, "correct the row"));
        }
        source_exists(&entry, &["source"], &y.source, k, faults);
        if let Some(via) = &y.via {
            source_exists(&entry, &["via"], via, k, faults);
        }
        let read_in: Vec<&SourceKey> = y.via.iter().chain([&y.source]).collect();
        no_more_than_sources(&entry, y.provenance, &read_in, k, faults);
        let unit = match (&y.measure, &y.item) {
            (Some(measure), _) => k
                .measure(measure)
                .map(|m| m.unit)
                .ok_or(("measure", measure.as_str())),
            (None, Some(item)) => k.item(item).map(|i| i.unit).ok_or(("item", item.as_str())),
            (None, None) => continue,
        };
        let unit = match unit {
            Ok(unit) => unit,
            Err((field, key)) => {
                faults.push(entry.fault(
                    &[field],
                    format!("the {field} {key:?}"),
                    format!("a key of the {field}s folder"),
                    "correct the key",
                ));
                continue;
            }
        };
        if seen.new_key(&entry, y.key.as_str(), faults) {
            k.yardsticks.extend(y.checked(unit));
        }
    }
}
