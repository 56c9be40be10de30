//! Every fault a knowledge folder can have: the file, the line, and a sentence that says what to do.

use knowledge::{Fault, Knowledge};
use std::path::Path;

const SOURCES: &str = r#"[[source]]
key = "common-practice"
citation = "Common practice."
provenance = "common-practice"

[[source]]
key = "Recalled"
citation = "As remembered."
provenance = "unconfirmed"

[[source]]
key = "Paper2000"
citation = "A paper."
doi = "10.1000/1"
provenance = "abstract"
"#;

const DRAWINGS: &str = r#"[[bone]]
view = "lateral"
name = "bone"
path = "M 0 0 L 100 0 L 100 100 Z"

[[bone]]
view = "dorsoplantar"
name = "bone"
path = "M 0 0 L 100 0 L 100 100 Z"
"#;

const LANDMARKS: &str = r#"[[landmark]]
key = "heel"
view = "lateral"
name = "heel"
definition = "Back end."
where_words = "At the back."
point = [10, 10]
usual_error_mm = 0.8
error_source = "common-practice"
error_provenance = "common-practice"

[[landmark]]
key = "toe"
view = "lateral"
name = "toe"
definition = "Front end."
where_words = "At the front."
point = [90, 10]
usual_error_mm = 0.8
error_source = "common-practice"
error_provenance = "common-practice"

[[landmark]]
key = "dp_toe"
view = "dorsoplantar"
name = "toe"
definition = "Front end."
where_words = "At the front."
point = [90, 10]
usual_error_mm = 0.8
error_source = "common-practice"
error_provenance = "common-practice"
"#;

const MEASURES: &str = r#"[[measure]]
key = "slope"
name = "Slope"
short = "Slope"
view = "lateral"
unit = "deg"
sign_words = "+ up"
construction_words = "Heel to toe."
version = 1
provenance = "common-practice"
sources = ["common-practice"]
value = { kind = "elevation", line = "foot" }
lines = { foot = { from = "heel", to = "toe" } }
projection = { model = "not-modelled", words = "None." }
"#;

const ITEMS: &str = r#"[[item]]
key = "rises"
name = "Rises"
unit = "count"
words = "Heel rises."
"#;

const YARDSTICKS: &str = r#"[[yardstick]]
key = "slope-adults"
measure = "slope"
population = "adults"
sex = "both"
age_min = 18
age_max = 80
kind = "norm"
mean = 20
sd = 3
source = "Paper2000"
provenance = "abstract"
"#;

const CRITERIA: &str = r#"[[criterion]]
key = "steep"
words = "The foot is steep."
scheme = "child"
level = "steep"
kind = "reading"
measure = "slope"
above = 30
decides = true
provenance = "abstract"
sources = ["Paper2000"]

[[criterion]]
key = "tired"
words = "It tires."
scheme = "child"
level = "steep"
kind = "finding"
finding = "tires"
answer = "yes"
decides = false
provenance = "unconfirmed"
sources = ["Recalled"]

[[criterion]]
key = "both"
words = "Steep and tired."
scheme = "child"
level = "steep"
kind = "composite"
all = ["steep", "tired"]
decides = false
provenance = "unconfirmed"
sources = ["Recalled"]
"#;

const FLAGS: &str = r#"[[flag]]
key = "hot"
words = "Hot."
clues = ["warm"]
action = "Look."
urgency = "same-day"
provenance = "common-practice"
sources = ["common-practice"]
"#;

const FILES: &[(&str, &str)] = &[
    ("sources/all.toml", SOURCES),
    ("drawings/all.toml", DRAWINGS),
    ("landmarks/all.toml", LANDMARKS),
    ("measures/all.toml", MEASURES),
    ("items/all.toml", ITEMS),
    ("yardsticks/all.toml", YARDSTICKS),
    ("criteria/all.toml", CRITERIA),
    ("flags/all.toml", FLAGS),
];

fn write(folder: &Path, files: &[(&str, String)]) {
    for (name, text) in files {
        let path = folder.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
}

/// Loads the good folder with one text of one file replaced, from a real folder.
fn load_with(file: &str, from: &str, to: &str) -> Result<Knowledge, Vec<Fault>> {
    let folder = tempfile::tempdir().unwrap();
    let files: Vec<(&str, String)> = FILES
        .iter()
        .map(|(name, text)| {
            if *name == file {
                assert!(text.contains(from), "{from:?} is not in {file}");
                (*name, text.replacen(from, to, 1))
            } else {
                (*name, text.to_string())
            }
        })
        .collect();
    write(folder.path(), &files);
    Knowledge::load(folder.path())
}

/// One replacement, one fault, this sentence.
#[track_caller]
fn check(file: &str, from: &str, to: &str, sentence: &str) {
    let faults = load_with(file, from, to).expect_err("a fault was expected");
    let told: Vec<String> = faults.iter().map(Fault::to_string).collect();
    assert!(
        told.iter().any(|t| t == sentence),
        "expected\n{sentence}\namong\n{}",
        told.join("\n")
    );
}

#[test]
fn the_folder_these_tests_break_is_good() {
    let good = load_with("flags/all.toml", "Hot.", "Warm.").unwrap_or_else(|f| panic!("{f:#?}"));
    assert_eq!(good.counts().yardsticks, 1);
}

#[test]
fn broken_toml() {
    check(
        "sources/all.toml",
        "citation = \"A paper.\"",
        "citation = ",
        "sources/all.toml, line 13: found string values must be quoted, expected literal string; \
         correct the value",
    );
}

#[test]
fn a_file_that_is_no_toml_hides_the_keys_in_it_so_nothing_else_is_told() {
    let faults = load_with("sources/all.toml", "[[source]]", "[[source").unwrap_err();
    assert!(
        faults.iter().all(|f| f.file == "sources/all.toml"),
        "{faults:?}"
    );
}

#[test]
fn an_unknown_field_and_a_missing_one() {
    check(
        "items/all.toml",
        "words = \"Heel rises.\"",
        "wrods = \"Heel rises.\"",
        "items/all.toml, line 5: found the unknown field `wrods`, expected one of `key`, `name`, `unit`, `words`; \
         correct its name or remove it",
    );
    check(
        "items/all.toml",
        "words = \"Heel rises.\"\n",
        "",
        "items/all.toml, line 1: found no `words`, expected the field `words`; add it",
    );
}

#[test]
fn a_text_where_a_number_belongs() {
    check(
        "yardsticks/all.toml",
        "mean = 20",
        "mean = \"twenty\"",
        "yardsticks/all.toml, line 9: found string \"twenty\", expected a number; correct the value",
    );
}

#[test]
fn a_yardstick_without_a_source_does_not_load() {
    check(
        "yardsticks/all.toml",
        "source = \"Paper2000\"\n",
        "",
        "yardsticks/all.toml, line 1: found no `source`, expected the field `source`; add it",
    );
}

#[test]
fn a_row_without_provenance_does_not_load() {
    check(
        "yardsticks/all.toml",
        "provenance = \"abstract\"\n",
        "",
        "yardsticks/all.toml, line 1: found no `provenance`, expected the field `provenance`; add it",
    );
}

#[test]
fn a_source_that_is_not_there() {
    check(
        "yardsticks/all.toml",
        "source = \"Paper2000\"",
        "source = \"Paper2001\"",
        "yardsticks/all.toml, line 11: found the source \"Paper2001\", expected a key of the sources folder; \
         add the source or correct the key",
    );
}

#[test]
fn a_row_that_claims_more_than_its_source() {
    check(
        "yardsticks/all.toml",
        "provenance = \"abstract\"",
        "provenance = \"read\"",
        "yardsticks/all.toml, line 12: found a provenance of \"read\", expected at most \"abstract only\", as its \
         source says; correct the row or the source",
    );
}

#[test]
fn a_source_read_nowhere() {
    check(
        "sources/all.toml",
        "doi = \"10.1000/1\"\n",
        "",
        "sources/all.toml, line 14: found a source that was read but has no doi, pmid, url or note, expected one \
         that says where it was read; add it",
    );
}

#[test]
fn the_same_key_twice() {
    check(
        "sources/all.toml",
        "key = \"Paper2000\"",
        "key = \"Recalled\"",
        "sources/all.toml, line 12: found the key \"Recalled\" again (first in sources/all.toml, line 6), expected \
         a key of its own; rename one of them",
    );
}

#[test]
fn a_key_of_bad_form() {
    check(
        "measures/all.toml",
        "key = \"slope\"",
        "key = \"../slope\"",
        "measures/all.toml, line 2: found the key \"../slope\", expected a key of 1 to 64 letters, digits, '_' or \
         '-', and starts with a letter; rename it",
    );
}

#[test]
fn a_measure_with_a_landmark_that_is_not_there_or_of_another_view() {
    check(
        "measures/all.toml",
        "to = \"toe\"",
        "to = \"toee\"",
        "measures/all.toml, line 13: found the landmark \"toee\", expected a landmark of the lateral foot view; add \
         the landmark or correct the key",
    );
    check(
        "measures/all.toml",
        "to = \"toe\"",
        "to = \"dp_toe\"",
        "measures/all.toml, line 13: found the landmark \"dp_toe\" of the dorsoplantar foot view, expected a \
         landmark of the lateral foot view; add the landmark or correct the key",
    );
}

#[test]
fn a_value_with_a_line_that_is_not_there() {
    check(
        "measures/all.toml",
        "line = \"foot\"",
        "line = \"shin\"",
        "measures/all.toml, line 12: found the line \"shin\" in the value, expected one of the measure's lines \
         (foot); add the line or correct its name",
    );
}

#[test]
fn a_line_that_is_no_line() {
    check(
        "measures/all.toml",
        "{ from = \"heel\", to = \"toe\" }",
        "{ from = \"heel\" }",
        "measures/all.toml, line 13: found something else, expected a line: { from = point, to = point }, or { upper \
         = [point, point], lower = [point, point] }; correct the construction",
    );
}

#[test]
fn a_unit_that_does_not_parse_or_does_not_fit() {
    check(
        "measures/all.toml",
        "unit = \"deg\"",
        "unit = \"degrees\"",
        "measures/all.toml, line 6: found unknown variant `degrees`, expected one of `deg`, `mm`, `%`, `ratio`, \
         `points`, `count`, `cm2`, `kPa`; correct the value",
    );
    check(
        "measures/all.toml",
        "unit = \"deg\"",
        "unit = \"mm\"",
        "measures/all.toml, line 6: found unit = \"mm\", expected \"deg\", the unit of what its value computes; \
         correct the unit or the value",
    );
}

#[test]
fn a_placing_error_or_a_drawing_that_cannot_be() {
    check(
        "landmarks/all.toml",
        "usual_error_mm = 0.8",
        "usual_error_mm = 0",
        "landmarks/all.toml, line 8: found usual_error_mm = 0, expected millimetres above 0 and at most 20; correct \
         the number",
    );
    check(
        "landmarks/all.toml",
        "usual_error_mm = 0.8",
        "usual_error_mm = 0.8\nborder = { towards = \"toe\", along_mm = 0.5 }",
        "landmarks/all.toml, line 9: found along_mm = 0.5, expected millimetres from usual_error_mm, the error \
         across the border, to 20; correct the number",
    );
    check(
        "landmarks/all.toml",
        "usual_error_mm = 0.8",
        "usual_error_mm = 0.8\nborder = { towards = \"dp_toe\", along_mm = 2 }",
        "landmarks/all.toml, line 9: found towards = \"dp_toe\", expected another landmark of the lateral foot view; \
         correct the key",
    );
    check(
        "landmarks/all.toml",
        "usual_error_mm = 0.8",
        "usual_error_mm = 0.8\nborder = { towards = \"heel\", along_mm = 2 }",
        "landmarks/all.toml, line 9: found towards = \"heel\", expected another landmark of the lateral foot view; \
         correct the key",
    );
    check(
        "landmarks/all.toml",
        "point = [10, 10]",
        "point = [900, 10]",
        "landmarks/all.toml, line 7: found point [900.0, 10.0], where nothing is drawn, expected a place on the \
         drawing of the lateral foot view; correct the point or widen the window",
    );
    check(
        "drawings/all.toml",
        "M 0 0 L",
        "M 0 0 l",
        "drawings/all.toml, line 4: found the path command 'l', expected path data of absolute M, L, C, Q and Z \
         with their numbers; correct the path",
    );
}

#[test]
fn numbers_that_make_no_sense() {
    check(
        "yardsticks/all.toml",
        "sd = 3",
        "sd = 0",
        "yardsticks/all.toml, line 10: found sd = 0, expected a number above 0; correct the row",
    );
    check(
        "yardsticks/all.toml",
        "mean = 20",
        "mean = nan",
        "yardsticks/all.toml, line 9: found mean = NaN, expected a finite number; correct the row",
    );
    check(
        "yardsticks/all.toml",
        "age_min = 18",
        "age_min = 81",
        "yardsticks/all.toml, line 6: found age_min = 81 and age_max = 80, expected the smaller number first; \
         correct the row",
    );
    check(
        "yardsticks/all.toml",
        "kind = \"norm\"\nmean = 20\nsd = 3",
        "kind = \"band\"\nlower = 5\nupper = 3",
        "yardsticks/all.toml, line 9: found lower = 5 and upper = 3, expected the smaller number first; correct the \
         row",
    );
}

#[test]
fn a_kind_without_its_number_or_with_another_kinds() {
    check(
        "yardsticks/all.toml",
        "sd = 3\n",
        "",
        "yardsticks/all.toml, line 8: found kind = \"norm\" without `sd`, expected the field `sd`; correct the row",
    );
    check(
        "yardsticks/all.toml",
        "sd = 3",
        "sd = 3\ncut = 4",
        "yardsticks/all.toml, line 11: found `cut` in a row of kind \"norm\", expected only mean, sd, \
         printed_range; correct the row",
    );
}

#[test]
fn a_row_for_nothing_or_for_something_unknown() {
    check(
        "yardsticks/all.toml",
        "measure = \"slope\"\n",
        "",
        "yardsticks/all.toml, line 2: found neither a measure nor an item, expected exactly one of measure and \
         item; correct the row",
    );
    check(
        "yardsticks/all.toml",
        "measure = \"slope\"",
        "item = \"jumps\"",
        "yardsticks/all.toml, line 3: found the item \"jumps\", expected a key of the items folder; correct the key",
    );
}

#[test]
fn a_criterion_that_decides_on_memory() {
    check(
        "criteria/all.toml",
        "answer = \"yes\"\ndecides = false",
        "answer = \"yes\"\ndecides = true",
        "criteria/all.toml, line 21: found decides = true on an unconfirmed criterion, expected decides = false \
         until somebody has read it; set it to false or name what was read",
    );
    check(
        "measures/all.toml",
        "provenance = \"common-practice\"\nsources = [\"common-practice\"]",
        "provenance = \"unconfirmed\"\nsources = [\"Recalled\"]",
        "criteria/all.toml, line 9: found decides = true on the reading \"slope\", whose construction is \
         unconfirmed, expected decides = false until somebody has read it; set it to false or name what was read",
    );
    check(
        "criteria/all.toml",
        "all = [\"steep\", \"tired\"]\ndecides = false\nprovenance = \"unconfirmed\"\nsources = [\"Recalled\"]",
        "any = [\"steep\", \"tired\"]\ndecides = true\nprovenance = \"abstract\"\nsources = [\"Paper2000\"]",
        "criteria/all.toml, line 31: found decides = true with \"tired\" in any, which may not decide, expected \
         decides = false until somebody has read it; set it to false or name what was read",
    );
}

#[test]
fn a_criterion_whose_parts_are_missing_or_run_in_a_circle() {
    check(
        "criteria/all.toml",
        "all = [\"steep\", \"tired\"]",
        "all = [\"steep\", \"tierd\"]",
        "criteria/all.toml, line 31: found the criterion \"tierd\", expected the key of another criterion; correct \
         the key",
    );
    check(
        "criteria/all.toml",
        "all = [\"steep\", \"tired\"]",
        "all = [\"steep\", \"both\"]",
        "criteria/all.toml, line 30: found the criterion \"both\" made of itself, expected parts that do not lead \
         back to it; break the circle",
    );
    check(
        "criteria/all.toml",
        "measure = \"slope\"",
        "measure = \"slop\"",
        "criteria/all.toml, line 7: found the measure \"slop\", expected a key of the measures folder; correct the \
         key",
    );
}

#[test]
fn a_criterion_without_its_cut_or_with_an_answer_that_cannot_be_read() {
    check(
        "criteria/all.toml",
        "above = 30\n",
        "",
        "criteria/all.toml, line 6: found a reading criterion without a cut, expected above, below or both; correct \
         the criterion",
    );
    check(
        "criteria/all.toml",
        "answer = \"yes\"",
        "answer = \">=many\"",
        "criteria/all.toml, line 20: found the answer \">=many\", expected a choice, choices joined by |, or a \
         comparison such as >=3; correct the criterion",
    );
}

#[test]
fn a_flag_without_clues() {
    check(
        "flags/all.toml",
        "clues = [\"warm\"]",
        "clues = []",
        "flags/all.toml, line 4: found no clue, expected at least one clue; say what makes one think of it",
    );
}

#[test]
fn a_table_or_a_file_in_the_wrong_place() {
    check(
        "items/all.toml",
        "[[item]]",
        "[[itme]]",
        "items/all.toml, line 1: found \"itme\" at the top of the file, expected [[item]] only; rename it or move \
         it to the folder it belongs to",
    );
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), &[("stuff/a.toml", "a = 1".to_string())]);
    let faults = Knowledge::load(folder.path()).unwrap_err();
    assert_eq!(
        faults[0].to_string(),
        "stuff/a.toml: found a file in an unknown folder, expected one of the folders sources, drawings, landmarks, \
         measures, items, yardsticks, criteria, flags, materials, anthropometry, loads, orthosis; move or rename it"
    );
}

#[test]
fn a_folder_that_is_not_there_and_a_file_that_is_no_text() {
    let folder = tempfile::tempdir().unwrap();
    let faults = Knowledge::load(&folder.path().join("none")).unwrap_err();
    assert!(
        faults[0]
            .to_string()
            .starts_with(".: found a folder that cannot be read"),
        "{}",
        faults[0]
    );
    std::fs::create_dir(folder.path().join("sources")).unwrap();
    std::fs::write(folder.path().join("sources/a.toml"), [0xff, 0xfe, 0x00]).unwrap();
    let faults = Knowledge::load(folder.path()).unwrap_err();
    assert_eq!(
        faults[0].to_string(),
        "sources/a.toml: found bytes that are not UTF-8, expected a readable UTF-8 text of at most 2097152 bytes; \
         save it again as plain text"
    );
}

#[test]
fn all_faults_come_together_sorted_by_file_and_line() {
    let folder = tempfile::tempdir().unwrap();
    let mut files: Vec<(&str, String)> = FILES.iter().map(|(n, t)| (*n, t.to_string())).collect();
    files[5].1 = YARDSTICKS
        .replace("sd = 3", "sd = -1")
        .replace("Paper2000", "Nobody");
    files[0].1 = SOURCES.replace("citation = \"A paper.\"", "citation = \" \"");
    write(folder.path(), &files);
    let faults = Knowledge::load(folder.path()).unwrap_err();
    let places: Vec<(&str, Option<usize>)> =
        faults.iter().map(|f| (f.file.as_str(), f.line)).collect();
    assert_eq!(
        places,
        [
            ("sources/all.toml", Some(13)),
            ("yardsticks/all.toml", Some(10)),
            ("yardsticks/all.toml", Some(11))
        ]
    );
}
