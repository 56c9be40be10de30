//! The folder opened again.

use exchange::invented::{Invented, invented};
use exchange_readable::{Exported, FileState, export};
use record::ContentHash;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{Cursor, Read};
use zip::ZipArchive;

fn packed(made: &Invented) -> (Vec<u8>, Exported) {
    let mut out = Vec::new();
    let exported = export(&made.chart, &mut out, |hash| {
        Ok(made.files.get(hash).cloned())
    })
    .unwrap();
    (out, exported)
}

fn unpacked(bytes: Vec<u8>) -> BTreeMap<String, Vec<u8>> {
    let mut zip = ZipArchive::new(Cursor::new(bytes)).unwrap();
    (0..zip.len())
        .map(|at| {
            let mut file = zip.by_index(at).unwrap();
            let mut bytes = Vec::new();
            file.read_to_end(&mut bytes).unwrap();
            (file.name().unwrap().into_owned(), bytes)
        })
        .collect()
}

fn ids(value: &Value, into: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => map.values().for_each(|v| ids(v, into)),
        Value::Array(items) => items.iter().for_each(|v| ids(v, into)),
        Value::String(text) if uuid::Uuid::parse_str(text).is_ok() && text.len() == 36 => {
            into.insert(text.clone());
        }
        _ => {}
    }
}

#[test]
fn every_id_of_the_chart_is_in_its_json_and_every_file_is_there_with_its_hash() {
    for person in 0..4 {
        let made = invented(person);
        let (bytes, exported) = packed(&made);
        let files = unpacked(bytes);
        assert!(exported.is_whole());
        let json: Value = serde_json::from_slice(&files["chart.json"]).unwrap();
        let mut there = BTreeSet::new();
        ids(&json, &mut there);
        let chart = &made.chart;
        let mut wanted: Vec<String> = vec![chart.patient.id.to_string()];
        wanted.extend(chart.clinicians.iter().map(|c| c.id.to_string()));
        wanted.extend(chart.visits.iter().map(|v| v.id.to_string()));
        wanted.extend(chart.films.iter().map(|f| f.id.to_string()));
        wanted.extend(chart.points.iter().map(|p| p.id.to_string()));
        wanted.extend(chart.letters.iter().map(|l| l.id.to_string()));
        wanted.extend(chart.scans.iter().map(|s| s.id.to_string()));
        wanted.extend(chart.orders.iter().map(|o| o.id.to_string()));
        wanted.extend(chart.captures.iter().map(|c| c.id.to_string()));
        wanted.extend(chart.care.iter().map(|c| c.id.to_string()));
        wanted.extend(chart.acts.iter().map(|a| a.id.to_string()));
        for id in &wanted {
            assert!(there.contains(id), "{id}");
        }
        let hashes: BTreeSet<ContentHash> = files
            .iter()
            .filter(|(path, _)| path.starts_with("files/"))
            .map(|(_, bytes)| ContentHash::of(bytes))
            .collect();
        let named: BTreeSet<ContentHash> = chart.files().iter().map(|f| f.content).collect();
        assert_eq!(hashes, named);
        assert!(!named.is_empty());
    }
}

#[test]
fn the_page_tells_every_visit_answer_reading_letter_entry_of_care_and_act() {
    let made = invented(1);
    let files = unpacked(packed(&made).0);
    let page = String::from_utf8(files["index.html"].clone()).unwrap();
    let opened = exchange::Opened::of(&made.chart);
    let count = |what: &str| page.matches(what).count();
    assert_eq!(count("<h2 id=\"visit-"), made.chart.visits.len());
    assert!(
        made.chart
            .acts
            .iter()
            .all(|a| page.contains(&a.on.uuid().to_string()))
    );
    let readings = opened.readings().count();
    assert_eq!(count("95 % interval "), readings);
    for (exam, _) in opened.feet.values().flat_map(|s| s.answered()) {
        assert!(
            page.contains(&exchange_readable::html::escaped(exam.words)),
            "{}",
            exam.words
        );
    }
    assert!(page.contains("The stage decided on:") && page.contains("its seal holds"));
    assert!(page.contains("written down in error") && page.contains("To be seen again on"));
    let lines = String::from_utf8(files["readings.csv"].clone()).unwrap();
    assert_eq!(lines.lines().count(), readings + 1);
}

#[test]
fn the_page_is_well_formed_loads_nothing_and_every_link_leads_somewhere() {
    let files = unpacked(packed(&invented(2)).0);
    let page = String::from_utf8(files["index.html"].clone()).unwrap();
    let mut reader = quick_xml::Reader::from_str(&page);
    let (mut ids, mut links, mut depth) = (BTreeSet::new(), Vec::new(), 0_i32);
    let mut headings = Vec::new();
    loop {
        use quick_xml::events::Event;
        let (tag, opens) = match reader.read_event().expect("well formed") {
            Event::Eof => break,
            Event::Start(tag) => (tag, true),
            Event::Empty(tag) => (tag, false),
            Event::End(_) => {
                depth -= 1;
                continue;
            }
            _ => continue,
        };
        depth += i32::from(opens);
        let name = tag.name().as_ref().to_owned();
        assert!(!["script", "img", "iframe", "link", "object"].contains(&name.as_str()));
        if let Some(level) = name.strip_prefix('h').and_then(|n| n.parse::<u8>().ok()) {
            headings.push(level);
        }
        for attribute in tag.attributes() {
            let attribute = attribute.unwrap();
            let value = attribute.value.to_string();
            match attribute.key.as_ref() {
                "id" => assert!(ids.insert(value.clone()), "{value} twice"),
                "href" | "src" => links.push(value),
                key => assert!(!key.starts_with("on")),
            }
        }
    }
    assert_eq!(depth, 0);
    assert_eq!(headings.iter().filter(|l| **l == 1).count(), 1);
    assert!(
        headings.windows(2).all(|w| w[1] <= w[0] + 1),
        "a level is left out"
    );
    assert!(links.len() > 20);
    for link in links {
        match link.strip_prefix('#') {
            Some(id) => assert!(ids.contains(id), "{id}"),
            None => assert!(files.contains_key(&link), "{link}"),
        }
    }
}

#[test]
fn the_same_chart_makes_the_same_folder() {
    let made = invented(3);
    assert!(packed(&made).0 == packed(&made).0);
}

#[test]
fn a_missing_and_a_changed_file_are_told_and_the_rest_is_written() {
    let mut made = invented(0);
    let names: Vec<ContentHash> = made.chart.files().iter().map(|f| f.content).collect();
    made.files.remove(&names[0]);
    made.files.insert(names[1], b"other bytes".to_vec());
    let (bytes, exported) = packed(&made);
    assert!(!exported.is_whole());
    let state = |hash| {
        exported
            .files
            .iter()
            .find(|f| f.content == hash)
            .unwrap()
            .state
    };
    assert_eq!(
        (state(names[0]), state(names[1])),
        (FileState::Missing, FileState::Changed)
    );
    let files = unpacked(bytes);
    let page = String::from_utf8(files["index.html"].clone()).unwrap();
    assert!(page.contains("its bytes were not found"));
    assert!(page.contains("its bytes are not the ones that were kept"));
    let inside = files.keys().filter(|k| k.starts_with("files/")).count();
    assert_eq!(inside, names.len() - 1);
}

#[test]
fn a_fault_of_the_store_is_handed_on() {
    let made = invented(0);
    let fault = export(&made.chart, Vec::new(), |_| {
        Err(std::io::Error::other("the disk is gone"))
    });
    assert!(fault.unwrap_err().to_string().contains("the disk is gone"));
}

#[test]
fn hostile_names_stay_in_the_folder_and_hostile_words_stay_words() {
    let mut made = invented(1);
    for (n, film) in made.chart.films.iter_mut().enumerate() {
        film.file_name = ["../../../etc/passwd", "C:\\boot.ini", "/abs", "a\0b", "."][n % 5].into();
    }
    made.chart.patient.family_name = "<script>alert(1)</script>".into();
    made.chart.clinicians[0].name = "\"><img src=x onerror=alert(1)>".into();
    let files = unpacked(packed(&made).0);
    for path in files.keys() {
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.' | '/');
        assert!(
            path.chars().all(plain) && !path.contains("..") && !path.starts_with('/'),
            "{path}"
        );
    }
    let page = String::from_utf8(files["index.html"].clone()).unwrap();
    assert!(!page.contains("<script") && !page.contains("<img"));
}
