//! Every fault that the knowledge of shells can have: the file, the line, and a sentence that says what to do.

use knowledge::{Fault, Knowledge};

const SOURCES: &str = r#"[[source]]
key = "own"
citation = "Our own choice."
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

const MATERIALS: &str = r#"[[material]]
key = "plastic"
name = "Plastic"
process = "sheet"
roles = ["shell"]
words = "A plastic."
poisson = { value = 0.4, unit = "ratio", sources = ["Recalled"], provenance = "unconfirmed" }
density = { value = 0.9, unit = "g/cm3", sources = ["Paper2000"], provenance = "abstract" }
allowable = { value = 10, unit = "MPa", sources = ["own"], provenance = "common-practice", judgement = true, note = "From its strength." }

[material.tensile_modulus]
value = 1.4
lower = 1.1
upper = 1.6
unit = "GPa"
sources = ["Paper2000"]
provenance = "abstract"

[[material.fatigue]]
words = "Bent."
stress = { value = 9, unit = "MPa", sources = ["Recalled"], provenance = "unconfirmed" }
r_ratio = -1
cycles = 1e6

[[material]]
key = "weave"
name = "Weave"
process = "laminate"
roles = ["layer"]
words = "A weave."

[material.orthotropic]
e1 = { value = 60, unit = "GPa", sources = ["Recalled"], provenance = "unconfirmed" }
e2 = { value = 60, unit = "GPa", sources = ["Recalled"], provenance = "unconfirmed" }
g12 = { value = 4, unit = "GPa", sources = ["Recalled"], provenance = "unconfirmed" }
nu12 = { value = 0.05, unit = "ratio", sources = ["Recalled"], provenance = "unconfirmed" }
"#;

const SIZES: &str = r#"[[size]]
key = "length"
dimension = "foot-length"
kind = "spread"
unit = "mm"
population = "adults"
mean = 260
sd = 12
percentiles = [240, 260, 280]
sources = ["Paper2000"]
provenance = "abstract"

[[size]]
key = "breadth-line"
dimension = "foot-breadth"
kind = "line"
unit = "mm"
population = "adults"
on = "foot-length"
intercept = 40
slope = 0.2
correlation = 0.6
standard_error = 4
sources = ["Paper2000"]
provenance = "abstract"

[[shoe]]
key = "point"
name = "Point"
words = "Points."
measures = { of = "last", longer_mm = [10, 20] }
unit_mm = 10
per_unit = 1.5
offset = [0, 0]
step = 1
sources = ["Paper2000"]
provenance = "abstract"
"#;

const LOADS: &str = r#"[[case]]
key = "L1"
title = "Standing"
words = "Standing."
shares = { heel = 0.6, medial_arch = 0.1, lateral_midfoot = 0.1, forefoot = 0.2 }
bears = "heel-and-front-edge"
held = ["slides", "pinned"]
cycle_from = 0
sources = ["own"]
provenance = "common-practice"
judgement = true
note = "Ours."

[case.total]
value = 0.5
unit = "BW"
sources = ["own"]
provenance = "common-practice"

[case.cycles]
value = 1e6
unit = "cycles"
sources = ["own"]
provenance = "common-practice"

[[activity]]
key = "walking"
words = "Walking."
peak = { value = 1.2, unit = "BW", sources = ["Paper2000"], provenance = "abstract" }
"#;

const ORTHOSIS: &str = r#"[[agreement]]
key = "post-yes"
parameter = "rearfoot-post"
choice = "inverted"
when = "tendon-dysfunction"
percent = 90.9
experts = 24
reached = true
sources = ["Paper2000"]
provenance = "abstract"

[[setting]]
key = "post-usual"
parameter = "rearfoot-post"
kind = "usual"
when = "always"
amount = { lower = 2, upper = 4, unit = "deg", sources = ["Recalled"], provenance = "unconfirmed" }

[[thickness]]
key = "light"
rule = "trial"
foot = "any"
below_kg = 75
material = "plastic"
thickness = { value = 4, unit = "mm", sources = ["Paper2000"], provenance = "abstract" }

[[set]]
of = "effect"
people = "people"
doing = "walking"
outcome = "pain"
unit = "deg"
sources = ["Paper2000"]
provenance = "abstract"
rows = [
  { key = "some", value = -2, lower = -3, upper = -1, words = "Less." },
]

[[guidance]]
key = "band"
outcome = "pain"
from_deg = 0
to_deg = 10
words = "A band."
baseline = { value = 2, lower = 1, upper = 3, unit = "deg", sources = ["Paper2000"], provenance = "abstract" }
slope = { lower = 0.1, upper = 0.3, unit = "deg/deg", sources = ["Paper2000"], provenance = "abstract" }
cap = { lower = 4, upper = 5, unit = "deg", sources = ["Paper2000"], provenance = "abstract" }
person_spread = { value = 1, unit = "ratio", sources = ["Paper2000"], provenance = "abstract" }

[[advice]]
key = "care"
when = "always"
words = "Take care."
sources = ["own"]
provenance = "common-practice"

[[wear]]
key = "first"
day = 1
hours = 1
words = "One hour."
sources = ["Recalled"]
provenance = "unconfirmed"

[[warning]]
key = "blister"
sign = "A blister"
action = "Take it out."
sources = ["own"]
provenance = "common-practice"
"#;

const FILES: &[(&str, &str)] = &[
    ("sources/all.toml", SOURCES),
    ("materials/all.toml", MATERIALS),
    ("anthropometry/all.toml", SIZES),
    ("loads/all.toml", LOADS),
    ("orthosis/all.toml", ORTHOSIS),
];

fn load_with(file: &str, from: &str, to: &str) -> Result<Knowledge, Vec<Fault>> {
    let changed: Vec<(&str, String)> = FILES
        .iter()
        .map(|(name, text)| {
            if *name == file {
                assert!(text.contains(from), "{from:?} is not in {file}");
                (*name, text.replacen(from, to, 1))
            } else {
                (*name, (*text).to_string())
            }
        })
        .collect();
    let texts: Vec<(&str, &str)> = changed.iter().map(|(n, t)| (*n, t.as_str())).collect();
    Knowledge::from_texts(&texts)
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
fn the_texts_these_tests_break_are_good() {
    let good = load_with("loads/all.toml", "Standing.", "Stand.")
        .unwrap_or_else(|f| panic!("{f:#?}"))
        .counts();
    assert_eq!(
        (
            good.materials,
            good.sizes,
            good.load_cases,
            good.prescribing
        ),
        (2, 2, 1, 4)
    );
}

#[test]
fn a_source_that_is_not_there_is_told_at_the_figure_that_names_it() {
    check(
        "materials/all.toml",
        "sources = [\"Paper2000\"]\nprovenance = \"abstract\"\n\n[[material.fatigue]]",
        "sources = [\"Paper2001\"]\nprovenance = \"abstract\"\n\n[[material.fatigue]]",
        "materials/all.toml, line 16: found the source \"Paper2001\", expected a key of the sources folder; add \
         the source or correct the key",
    );
    check(
        "orthosis/all.toml",
        "sources = [\"Paper2000\"]",
        "sources = []",
        "orthosis/all.toml, line 9: found no source, expected at least one key of the sources folder; name the source",
    );
}

#[test]
fn a_figure_that_claims_more_than_its_source() {
    check(
        "materials/all.toml",
        "sources = [\"Paper2000\"]\nprovenance = \"abstract\"\n\n[[material.fatigue]]",
        "sources = [\"Paper2000\"]\nprovenance = \"read\"\n\n[[material.fatigue]]",
        "materials/all.toml, line 17: found a provenance of \"read\", expected at most \"abstract only\", as its \
         source says; correct the row or the source",
    );
}

#[test]
fn a_judgement_that_calls_itself_published_and_one_that_says_not_from_what() {
    check(
        "materials/all.toml",
        "sources = [\"own\"], provenance = \"common-practice\", judgement = true",
        "sources = [\"Paper2000\"], provenance = \"abstract\", judgement = true",
        "materials/all.toml, line 9: found judgement = true with a provenance of \"abstract only\", expected \
         \"common practice\" or \"unconfirmed\": nobody published our own choice; correct one of them",
    );
    check(
        "materials/all.toml",
        ", note = \"From its strength.\"",
        "",
        "materials/all.toml, line 9: found judgement = true without a note, expected a note that says from what; \
         write it",
    );
}

#[test]
fn a_unit_that_does_not_parse_or_does_not_fit_its_figure() {
    check(
        "materials/all.toml",
        "unit = \"GPa\"\nsources",
        "unit = \"mm\"\nsources",
        "materials/all.toml, line 15: found unit = \"mm\", expected \"GPa\" or \"MPa\"; correct the unit",
    );
    let faults = load_with(
        "materials/all.toml",
        "unit = \"GPa\"\nsources",
        "unit = \"Gpa\"\nsources",
    )
    .unwrap_err();
    assert!(
        faults[0].to_string().starts_with(
            "materials/all.toml, line 15: found unknown variant `Gpa`, expected one of `GPa`"
        ),
        "{}",
        faults[0]
    );
    check(
        "anthropometry/all.toml",
        "unit = \"mm\"",
        "unit = \"cm\"",
        "anthropometry/all.toml, line 5: found unit = \"cm\", expected \"mm\", the unit of the foot length; correct \
         the row",
    );
    check(
        "loads/all.toml",
        "unit = \"BW\"",
        "unit = \"kg\"",
        "loads/all.toml, line 16: found unit = \"kg\", expected \"BW\"; correct the unit",
    );
}

#[test]
fn a_band_that_runs_downward_or_leaves_its_value_out() {
    check(
        "materials/all.toml",
        "lower = 1.1",
        "lower = 1.7",
        "materials/all.toml, line 13: found lower = 1.7 and upper = 1.6, expected the smaller number first; correct \
         the row",
    );
    check(
        "materials/all.toml",
        "value = 1.4",
        "value = 1.0",
        "materials/all.toml, line 12: found value = 1, expected a value inside its band, 1.1 to 1.6; correct the row",
    );
    check(
        "orthosis/all.toml",
        "value = -2, lower = -3, upper = -1",
        "value = -2, lower = -1, upper = -3",
        "orthosis/all.toml, line 36: found lower = -1 and upper = -3, expected the smaller number first; correct the \
         row",
    );
}

#[test]
fn a_figure_without_a_number_or_with_one_that_cannot_be() {
    check(
        "materials/all.toml",
        "density = { value = 0.9, unit",
        "density = { unit",
        "materials/all.toml, line 8: found a figure without a number, expected value, lower or upper; add the number \
         or remove the figure",
    );
    check(
        "materials/all.toml",
        "density = { value = 0.9",
        "density = { value = -0.9",
        "materials/all.toml, line 8: found -0.9, expected a number above 0; correct the number",
    );
    check(
        "materials/all.toml",
        "value = 1.4",
        "value = nan",
        "materials/all.toml, line 12: found value = NaN, expected a finite number; correct the row",
    );
    check(
        "materials/all.toml",
        "poisson = { value = 0.4",
        "poisson = { value = 0.5",
        "materials/all.toml, line 7: found a Poisson ratio of 0.5, expected less than 0.5; correct the number",
    );
}

#[test]
fn a_shell_material_that_strength_could_not_be_computed_with() {
    check(
        "materials/all.toml",
        "density = { value = 0.9, unit = \"g/cm3\", sources = [\"Paper2000\"], provenance = \"abstract\" }\n",
        "",
        "materials/all.toml, line 5: found a shell material without a density, expected modulus, Poisson ratio and \
         density of whatever a shell is made of; add it or take \"shell\" out of its roles",
    );
}

#[test]
fn layer_constants_and_a_fatigue_ratio_that_cannot_be() {
    check(
        "materials/all.toml",
        "nu12 = { value = 0.05",
        "nu12 = { value = 1.2",
        "materials/all.toml, line 36: found nu12 up to 1.2, expected a square below E1 over E2; correct the constants",
    );
    check(
        "materials/all.toml",
        "r_ratio = -1",
        "r_ratio = 1",
        "materials/all.toml, line 22: found r_ratio = 1, expected a number below 1; correct the number",
    );
}

#[test]
fn the_same_key_twice() {
    check(
        "materials/all.toml",
        "key = \"weave\"",
        "key = \"plastic\"",
        "materials/all.toml, line 26: found the key \"plastic\" again (first in materials/all.toml, line 1), expected \
         a key of its own; rename one of them",
    );
}

#[test]
fn a_size_without_its_number_with_anothers_or_on_itself() {
    check(
        "anthropometry/all.toml",
        "sd = 12\n",
        "",
        "anthropometry/all.toml, line 4: found kind = \"spread\" without `sd`, expected the field `sd`; correct the \
         row",
    );
    check(
        "anthropometry/all.toml",
        "sd = 12",
        "sd = 12\nslope = 1",
        "anthropometry/all.toml, line 9: found `slope` in a row of kind \"spread\", expected only mean, sd, \
         percentiles; correct the row",
    );
    check(
        "anthropometry/all.toml",
        "\non = \"foot-length\"",
        "\non = \"foot-breadth\"",
        "anthropometry/all.toml, line 19: found a breadth at the ball on itself, expected another dimension; correct \
         the row",
    );
    check(
        "anthropometry/all.toml",
        "percentiles = [240, 260, 280]",
        "percentiles = [240, 280, 260]",
        "anthropometry/all.toml, line 9: found percentiles = [240, 280, 260], expected the 5th, 50th and 95th, \
         rising; correct the row",
    );
    check(
        "anthropometry/all.toml",
        "step = 1",
        "step = 0",
        "anthropometry/all.toml, line 35: found step = 0, expected a number above 0; correct the number",
    );
}

#[test]
fn a_load_case_whose_shares_do_not_add_up_or_that_loads_nothing() {
    check(
        "loads/all.toml",
        "heel = 0.6",
        "heel = 0.5",
        "loads/all.toml, line 5: found shares that add up to 0.900, expected shares of 0 to 1 that add \
         up to 1; correct the shares",
    );
    check(
        "loads/all.toml",
        "[case.total]\nvalue = 0.5\nunit = \"BW\"\nsources = [\"own\"]\nprovenance = \"common-practice\"\n",
        "",
        "loads/all.toml, line 2: found a case without a load, expected a total with shares, or an indenter; add the \
         load",
    );
    check(
        "loads/all.toml",
        "cycle_from = 0\n",
        "",
        "loads/all.toml, line 19: found cycles or their lowest load alone, expected both or neither; add what is \
         missing",
    );
    check(
        "loads/all.toml",
        "held = [\"slides\", \"pinned\"]",
        "held = []",
        "loads/all.toml, line 7: found no way of holding the front edge, expected at least one of slides, pinned, \
         clamped; add it",
    );
}

#[test]
fn prescribing_rows_that_make_no_sense() {
    check(
        "orthosis/all.toml",
        "percent = 90.9",
        "percent = 190.9",
        "orthosis/all.toml, line 6: found percent = 190.9, expected a number from 0 to 100; correct the row",
    );
    check(
        "orthosis/all.toml",
        "lower = 2, upper = 4, unit = \"deg\"",
        "lower = 2, upper = 4, unit = \"mm\"",
        "orthosis/all.toml, line 17: found unit = \"mm\", expected \"deg\"; correct the unit",
    );
    check(
        "orthosis/all.toml",
        "material = \"plastic\"",
        "material = \"glass\"",
        "orthosis/all.toml, line 24: found the material \"glass\", expected a key of the materials folder; correct \
         the key",
    );
    check(
        "orthosis/all.toml",
        "unit = \"deg\"\nsources",
        "sources",
        "orthosis/all.toml, line 35: found a number without its unit, expected both or neither; correct the row",
    );
    check(
        "orthosis/all.toml",
        "of = \"effect\"",
        "of = \"efect\"",
        "orthosis/all.toml, line 28: found a set of \"efect\", expected one of setting, effect, agreement, ordered, \
         thickness, guidance, advice, wear, warning; correct the word",
    );
    check(
        "orthosis/all.toml",
        "day = 1",
        "day = 0",
        "orthosis/all.toml, line 59: found day 0 with Some(1.0) hours, expected a day from 1 and hours above 0, at \
         most 24; correct the row",
    );
}

#[test]
fn an_effect_may_not_be_promised_as_a_point() {
    check(
        "orthosis/all.toml",
        "cap = { lower = 4, upper = 5",
        "cap = { lower = 4",
        "orthosis/all.toml, line 47: found a cap that is open at one end, expected a band with both ends: no effect \
         is told as a point; add the missing end",
    );
}

#[test]
fn a_table_in_the_wrong_folder() {
    check(
        "loads/all.toml",
        "[[activity]]",
        "[[actvity]]",
        "loads/all.toml, line 26: found \"actvity\" at the top of the file, expected [[case]], [[activity]], \
         [[share]], [[yearly]] or [[fact]] only; rename it or move it to the folder it belongs to",
    );
}
