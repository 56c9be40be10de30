//! Charts in, files out.

use exam::{Kind as Asked, Sheet};
use exchange::invented::invented;
use exchange::{PersonSheet, formats};
use exchange_table::{Cell, Study, StudyKey, Written};
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::Field;
use record::{Chart, Kept};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::rc::Rc;

type Files = Rc<RefCell<BTreeMap<String, Vec<u8>>>>;

struct Sink(Files, String);

impl Write for Sink {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let mut files = self.0.borrow_mut();
        files.entry(self.1.clone()).or_default().extend(bytes);
        Ok(bytes.len())
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

fn key() -> StudyKey {
    StudyKey::new(b"an invented study's key, 32 byte").unwrap()
}

fn study(charts: &[Chart]) -> Study {
    let mut study = Study::new(key());
    charts.iter().for_each(|c| study.add(c));
    study
}

fn written(study: &Study) -> (BTreeMap<String, Vec<u8>>, Vec<Written>) {
    let files = Files::default();
    let list = study
        .write(|path| Ok(Sink(files.clone(), path.to_owned())))
        .unwrap();
    (files.take(), list)
}

fn charts() -> Vec<Chart> {
    (0..6).map(|n| invented(n).chart).collect()
}

#[test]
fn there_is_one_row_for_each_foot_at_each_visit_and_one_for_each_reading() {
    let charts = charts();
    let [cohort, readings] = study(&charts).tables();
    let visits: usize = charts.iter().map(|c| c.visits.len()).sum();
    assert_eq!(cohort.rows.len(), 2 * visits);
    let read: usize = charts
        .iter()
        .map(|c| exchange::Opened::of(c).readings().count())
        .sum();
    assert_eq!(readings.rows.len(), read);
}

#[test]
fn every_column_stands_in_the_dictionary_and_no_other_and_no_name_is_there_twice() {
    let study = study(&charts());
    let (files, _) = written(&study);
    let json: serde_json::Value = serde_json::from_slice(&files["dictionary.json"]).unwrap();
    let text = String::from_utf8(files["dictionary.csv"].clone()).unwrap();
    for table in study.tables() {
        let head = String::from_utf8(files[&format!("{}.csv", table.name)].clone()).unwrap();
        let in_file: Vec<String> = head
            .lines()
            .next()
            .unwrap()
            .split(',')
            .map(str::to_owned)
            .collect();
        let told = json["tables"][table.name].as_array().unwrap();
        let in_json: Vec<String> = told
            .iter()
            .map(|c| c["name"].as_str().unwrap().to_owned())
            .collect();
        assert_eq!(in_file, in_json);
        let mark = format!("{},", table.name);
        let in_csv: Vec<String> = text
            .split("\r\n")
            .filter_map(|l| l.strip_prefix(&mark)?.split(',').next().map(str::to_owned))
            .collect();
        assert_eq!(in_csv, in_file);
        let small: BTreeSet<String> = in_file.iter().map(|n| n.to_lowercase()).collect();
        assert_eq!(small.len(), in_file.len());
        for c in told {
            assert!(!c["meaning"].as_str().unwrap().is_empty(), "{c}");
            assert!(!c["source"].as_str().unwrap().is_empty(), "{c}");
        }
    }
}

#[test]
fn every_cell_is_missing_or_of_its_column_s_type() {
    for table in study(&charts()).tables() {
        let mut filled = BTreeSet::new();
        for row in &table.rows {
            assert_eq!(row.len(), table.columns.len());
            for (cell, column) in row.iter().zip(&table.columns) {
                if let Some(kind) = cell.kind() {
                    assert_eq!(kind, column.kind, "{}", column.name);
                    filled.insert(column.name.as_str());
                }
            }
        }
        // Nearly every column is filled somewhere in rich charts; an empty one would hide a broken way to fill it.
        assert!(
            filled.len() * 10 > table.columns.len() * 7,
            "{} of {}",
            filled.len(),
            table.columns.len()
        );
    }
}

#[test]
fn the_same_charts_make_the_same_bytes_in_whatever_order_they_come() {
    let mut charts = charts();
    let (first, _) = written(&study(&charts));
    charts.reverse();
    let (second, _) = written(&study(&charts));
    assert_eq!(
        first.keys().collect::<Vec<_>>(),
        second.keys().collect::<Vec<_>>()
    );
    for (path, bytes) in &first {
        assert!(second[path] == *bytes, "{path} differs");
    }
}

#[test]
fn the_manifest_has_the_hash_of_every_file_and_the_years_part_the_rows() {
    let charts = charts();
    let (files, list) = written(&study(&charts));
    for file in &list {
        let hash = record::ContentHash::of(&files[&file.path]).to_string();
        assert_eq!(hash, file.sha256, "{}", file.path);
    }
    for table in ["cohort", "readings"] {
        let whole = list
            .iter()
            .find(|f| f.path == format!("{table}.csv"))
            .unwrap()
            .rows;
        let parts: Vec<&Written> = list
            .iter()
            .filter(|f| f.path.starts_with(&format!("{table}/visit_year=")))
            .collect();
        assert!(parts.len() > 1);
        assert!(parts.iter().all(|p| p.path.ends_with("/part-0.parquet")));
        assert_eq!(parts.iter().map(|p| p.rows).sum::<usize>(), whole);
    }
    let json: serde_json::Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
    assert_eq!(json["people"], charts.len());
    assert!(
        json["small_cells"]["note"]
            .as_str()
            .unwrap()
            .contains("fewer than 5")
    );
}

/// Plants words that name a person wherever a hand could have typed them.
fn with_planted(mut chart: Chart, words: &str) -> Chart {
    chart.patient.given_name = format!("Given{words}");
    chart.patient.family_name = format!("Family{words}");
    chart.patient.chart_number = format!("Chart{words}");
    chart.patient.note = words.into();
    chart
        .visits
        .iter_mut()
        .for_each(|v| v.reason = words.into());
    for film in &mut chart.films {
        film.file_name = words.into();
        film.note = words.into();
    }
    for capture in &mut chart.captures {
        capture.file_name = words.into();
        capture.note = words.into();
    }
    chart
        .letters
        .iter_mut()
        .for_each(|l| l.title = words.into());
    chart
        .points
        .iter_mut()
        .for_each(|p| p.reader_name = words.into());
    chart
        .clinicians
        .iter_mut()
        .for_each(|c| c.name = words.into());
    for plan in &mut chart.plans {
        for part in ["words", "worn_left", "worn_right"] {
            plan.plan.body[part] = words.into();
        }
        plan.plan.body["taken"] = serde_json::json!([format!("left:{words}"), words]);
    }
    for decision in &mut chart.decisions {
        decision.chosen = Some(words.into());
        decision.overruled_reason = Some(words.into());
    }
    for steps in &mut chart.steps {
        steps.readings.body["readings"][0]["measure"] = words.into();
    }
    for exam in &mut chart.exams {
        let texts = exam::form()
            .iter()
            .filter(|q| matches!(q.kind, Asked::Text { .. }));
        match exam.of {
            record::ExamineOf::Person => {
                let mut sheet: PersonSheet = exam.exam.read(formats::PERSON.0, 1).unwrap();
                for q in texts.filter(|q| q.sheet == Sheet::Person) {
                    sheet.story.set(q.key, words).unwrap();
                }
                exam.exam = Kept::of(formats::PERSON.0, 1, &sheet).unwrap();
            }
            record::ExamineOf::Foot(_) => {
                let mut sheet: exam::Examination = exam.exam.read(formats::FOOT.0, 1).unwrap();
                for q in texts.filter(|q| q.sheet == Sheet::Foot) {
                    sheet.set(q.key, words).unwrap();
                }
                exam.exam = Kept::of(formats::FOOT.0, 1, &sheet).unwrap();
            }
            record::ExamineOf::Leg(_) => {}
        }
    }
    chart
}

fn holds(bytes: &[u8], text: &str) -> bool {
    bytes.windows(text.len()).any(|w| w == text.as_bytes())
}

#[test]
fn no_name_number_date_id_or_typed_word_of_a_person_is_in_any_file() {
    let planted: Vec<Chart> = (0..6)
        .map(|n| with_planted(invented(n).chart, &format!("Xyzzyname{n}")))
        .collect();
    let (files, _) = written(&study(&planted));
    assert!(files.len() > 6);
    let mut forbidden = vec!["Xyzzyname".to_owned(), "xyzzyname".to_owned()];
    for chart in &planted {
        forbidden.push(chart.patient.id.to_string());
        forbidden.extend(chart.patient.born_on.map(|d| d.to_string()));
        forbidden.extend(
            chart
                .visits
                .iter()
                .flat_map(|v| [v.id.to_string(), v.on.to_string()]),
        );
        forbidden.extend(
            chart
                .films
                .iter()
                .flat_map(|f| [f.id.to_string(), f.content.to_string()]),
        );
        forbidden.extend(chart.points.iter().map(|p| p.id.to_string()));
        forbidden.extend(chart.clinicians.iter().map(|c| c.id.to_string()));
    }
    for (path, bytes) in &files {
        for text in &forbidden {
            assert!(!holds(bytes, text), "{text} stands in {path}");
        }
    }
    // The search would have found a planted word: the study's own words are found in the same bytes.
    assert!(holds(&files["cohort.csv"], "stage_decided"));
    assert!(
        files
            .iter()
            .any(|(p, b)| p.ends_with(".parquet") && holds(b, "stage_decided"))
    );
    assert!(holds(&files["cohort.csv"], "other"));
}

/// The cells of a Parquet file as its own reader gives them, column by name.
fn read_back(bytes: &[u8]) -> Vec<Vec<(String, Cell)>> {
    let mut file = tempfile::tempfile().unwrap();
    file.write_all(bytes).unwrap();
    let reader = SerializedFileReader::new(file).unwrap();
    let rows = reader.get_row_iter(None).unwrap();
    rows.map(|row| {
        row.unwrap()
            .get_column_iter()
            .map(|(name, field)| {
                let cell = match field {
                    Field::Null => Cell::Missing,
                    Field::Str(text) => Cell::text(text.as_str()),
                    Field::Long(n) => Cell::Whole(*n),
                    Field::Double(x) => Cell::Number(*x),
                    Field::Bool(t) => Cell::Truth(*t),
                    other => panic!("{name}: {other:?}"),
                };
                (name.clone(), cell)
            })
            .collect()
    })
    .collect()
}

#[test]
fn parquet_reads_back_as_the_rows_of_its_year_and_holds_no_planted_word_unpacked() {
    let planted: Vec<Chart> = (0..6)
        .map(|n| with_planted(invented(n).chart, &format!("Xyzzyname{n}")))
        .collect();
    let study = study(&planted);
    let (files, _) = written(&study);
    for table in study.tables() {
        let year_at = table.place("visit_year").unwrap();
        let mut rows = 0;
        for (path, bytes) in &files {
            let Some(rest) = path.strip_prefix(&format!("{}/visit_year=", table.name)) else {
                continue;
            };
            let year: i64 = rest.split('/').next().unwrap().parse().unwrap();
            let wanted: Vec<Vec<(String, Cell)>> = table
                .rows
                .iter()
                .filter(|r| r[year_at] == Cell::Whole(year))
                .map(|r| {
                    let named = table.columns.iter().map(|c| c.name.clone());
                    let all = named.zip(r.iter().cloned());
                    all.filter(|(name, _)| name != "visit_year").collect()
                })
                .collect();
            let found = read_back(bytes);
            assert!(found == wanted, "{path}");
            for (name, cell) in found.iter().flatten() {
                if let Cell::Text(text) = cell {
                    assert!(!text.to_lowercase().contains("xyzzy"), "{path}: {name}");
                }
            }
            rows += found.len();
        }
        assert_eq!(rows, table.rows.len());
    }
}

#[test]
fn the_same_person_has_the_same_name_in_both_tables_and_another_under_another_key() {
    let charts = charts();
    let [cohort, readings] = study(&charts).tables();
    let of = |table: &exchange_table::column::Table| -> BTreeSet<String> {
        let at = table.place("person").unwrap();
        let cells = table.rows.iter().map(|r| &r[at]);
        cells
            .map(|c| match c {
                Cell::Text(text) => text.clone(),
                other => panic!("{other:?}"),
            })
            .collect()
    };
    assert_eq!(of(&cohort), of(&readings));
    assert_eq!(of(&cohort).len(), charts.len());
    let mut other = Study::new(StudyKey::new(&[9; 32]).unwrap());
    charts.iter().for_each(|c| other.add(c));
    let [again, _] = other.tables();
    assert!(of(&again).is_disjoint(&of(&cohort)));
}

#[test]
fn nobody_is_older_than_ninety_and_an_age_that_is_not_known_is_missing() {
    let mut old = invented(0).chart;
    old.patient.born_on = Some(time::macros::date!(1925 - 01 - 01));
    let mut unknown = invented(1).chart;
    unknown.patient.born_on = None;
    for (chart, expected) in [(old, Cell::Whole(90)), (unknown, Cell::Missing)] {
        let [cohort, _] = study(&[chart]).tables();
        let at = cohort.place("age_years").unwrap();
        assert!(
            cohort.rows.iter().all(|r| r[at] == expected),
            "{expected:?}"
        );
    }
}

#[test]
fn a_reading_in_hand_or_in_another_unit_is_not_in_the_cohort_and_stands_in_the_long_table() {
    let chart = invented(0).chart;
    let [cohort, readings] = study(&[chart]).tables();
    let at = cohort.place("m_heel_rise_mean_height").unwrap();
    assert!(cohort.rows.iter().all(|r| r[at] == Cell::Missing));
    let (measure, unit) = (
        readings.place("measure").unwrap(),
        readings.place("unit").unwrap(),
    );
    assert!(readings.rows.iter().any(|r| {
        r[measure] == Cell::text("heel_rise_mean_height") && r[unit] == Cell::text("ratio")
    }));
    let finished = readings.place("finished").unwrap();
    assert!(
        readings
            .rows
            .iter()
            .any(|r| r[finished] == Cell::Truth(false))
    );
}

#[test]
fn no_answer_is_null_and_never_zero_or_no() {
    let mut chart = invented(0).chart;
    chart.exams.clear();
    chart.points.clear();
    chart.steps.clear();
    let [cohort, readings] = study(&[chart]).tables();
    assert!(readings.rows.is_empty());
    for (at, column) in cohort.columns.iter().enumerate() {
        if column.name.starts_with("q_") || column.name.starts_with("m_") {
            assert!(
                cohort.rows.iter().all(|r| r[at] == Cell::Missing),
                "{}",
                column.name
            );
        }
    }
}
