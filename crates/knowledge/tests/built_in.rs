//! What is built in: complete, without faults, the same as the folder, and never deciding on memory alone.

use knowledge::{CriterionKind, Knowledge, Person, Provenance, Scheme, YardstickKind};
use std::collections::BTreeSet;
use std::path::Path;
use terms::{LandmarkKey, MeasureKey, Sex, SourceKey, View, YardstickKey};

fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../knowledge")
}

fn measure(key: &str) -> MeasureKey {
    MeasureKey::new(key).unwrap()
}

#[test]
fn the_built_in_folder_has_no_fault() {
    if let Err(faults) = Knowledge::from_texts(Knowledge::built_in_files()) {
        let told: Vec<String> = faults.iter().map(|f| f.to_string()).collect();
        panic!("{} faults:\n{}", told.len(), told.join("\n"));
    }
}

#[test]
fn the_folder_on_disk_loads_and_is_what_is_built_in() {
    let loaded = Knowledge::load(&folder()).unwrap_or_else(|faults| panic!("{faults:#?}"));
    assert_eq!(loaded.counts(), Knowledge::built_in().counts());
    let built_in: BTreeSet<&str> = Knowledge::built_in_files()
        .iter()
        .map(|(name, _)| *name)
        .collect();
    let mut on_disk = BTreeSet::new();
    for topic in std::fs::read_dir(folder()).unwrap().map(|e| e.unwrap()) {
        // Those of `care` are held against the folder there.
        let of_care = topic
            .file_name()
            .to_str()
            .is_some_and(|name| knowledge::FOLDERS_OF_CARE.contains(&name));
        if topic.path().is_dir() && !of_care {
            for file in std::fs::read_dir(topic.path()).unwrap().map(|e| e.unwrap()) {
                on_disk.insert(format!(
                    "{}/{}",
                    topic.file_name().to_str().unwrap(),
                    file.file_name().to_str().unwrap()
                ));
            }
        }
    }
    let on_disk: BTreeSet<&str> = on_disk.iter().map(String::as_str).collect();
    assert_eq!(on_disk, built_in, "add new files to embedded.rs");
}

#[test]
fn the_folder_is_as_large_as_it_should_be() {
    let counts = Knowledge::built_in().counts();
    assert_eq!(counts.landmarks, 20 + 20 + 10 + 9);
    assert_eq!(counts.measures, 14 + 8 + 2 + 3);
    assert!(counts.sources >= 220, "{counts:?}");
    assert!(counts.yardsticks >= 210, "{counts:?}");
    assert!(counts.criteria >= 130, "{counts:?}");
    assert!(counts.items >= 20, "{counts:?}");
    assert!(counts.flags >= 12, "{counts:?}");
}

#[test]
fn every_agreed_measure_and_landmark_is_there() {
    let k = Knowledge::built_in();
    for (view, keys) in [
        (
            View::Lateral,
            "meary_lat calc_pitch talar_decl mt1_decl tca_lat c1ma_lat c5ma_lat mc_floor mc_mt5 nav_height \
             nav_height_truncated nav_height_foot cuboid_height cyma_step",
        ),
        (
            View::Dorsoplantar,
            "tca_dp tnca tn_uncov t1mt_dp t2mt_dp cc_abd lia maa",
        ),
        (View::HindfootAlignment, "hma haa"),
        (View::AnkleFront, "talar_tilt mdta tibiotalar"),
    ] {
        let wanted: BTreeSet<&str> = keys.split_whitespace().collect();
        let found: BTreeSet<&str> = k.measures(view).iter().map(|m| m.key.as_str()).collect();
        assert_eq!(found, wanted, "{}", view.words());
    }
    for key in [
        "floor_back",
        "hallux_tip",
        "dp_mt5_head_centre",
        "hf_lat_mall",
        "an_dome_lat",
    ] {
        assert!(
            k.landmark(&LandmarkKey::new(key).unwrap()).is_some(),
            "{key}"
        );
    }
}

#[test]
fn every_landmark_of_a_measure_exists_in_its_view_and_every_landmark_is_used_or_says_where_the_foot_is()
 {
    let k = Knowledge::built_in();
    for view in View::ALL {
        let used: BTreeSet<&LandmarkKey> = k
            .measures(view)
            .iter()
            .flat_map(|m| m.landmarks())
            .collect();
        for key in &used {
            assert_eq!(k.landmark(key).map(|l| l.view), Some(view), "{key}");
        }
        for landmark in k.landmarks(view) {
            let orients = [
                "floor_back",
                "floor_front",
                "dp_mt5_head_centre",
                "hf_lat_mall",
                "an_lat_mall",
            ];
            assert!(
                used.contains(&landmark.key) || orients.contains(&landmark.key.as_str()),
                "{}",
                landmark.key
            );
        }
    }
}

#[test]
fn landmarks_come_in_placing_order_with_a_picture_of_the_right_place() {
    let k = Knowledge::built_in();
    for view in View::ALL {
        let orders: Vec<usize> = k.landmarks(view).iter().map(|l| l.order).collect();
        assert_eq!(orders, (0..orders.len()).collect::<Vec<_>>());
        assert!(!k.bones(view).is_empty());
        for landmark in k.landmarks(view) {
            assert_eq!(landmark.drawing.point, [50.0, 50.0]);
            assert!(!landmark.drawing.outlines.is_empty());
        }
    }
}

#[test]
fn sources_are_found_by_their_other_names_too() {
    let k = Knowledge::built_in();
    let by = |key: &str| {
        k.source(&SourceKey::new(key).unwrap())
            .map(|s| s.key.as_str())
    };
    assert_eq!(by("common_practice"), Some("common-practice"));
    assert_eq!(by("PCFD2020"), Some("Myerson2020"));
    assert_eq!(by("nobody"), None);
    assert_eq!(
        k.source(&SourceKey::new("Murley2009").unwrap())
            .and_then(|s| s.address())
            .as_deref(),
        Some("https://doi.org/10.1186/1757-1146-2-22")
    );
}

#[test]
fn no_deciding_criterion_rests_on_unconfirmed_sources_alone() {
    let k = Knowledge::built_in();
    let mut deciding = 0;
    for criterion in k.criteria().iter().filter(|c| c.decides) {
        deciding += 1;
        assert_ne!(
            criterion.provenance,
            Provenance::Unconfirmed,
            "{}",
            criterion.key
        );
        let firm = criterion
            .sources
            .iter()
            .filter_map(|s| k.source(s))
            .any(|s| s.provenance.may_decide_alone());
        assert!(firm, "{}", criterion.key);
    }
    assert!(deciding >= 30, "{deciding}");
}

#[test]
fn each_scheme_is_there_and_the_recalled_one_decides_nothing() {
    let k = Knowledge::built_in();
    for scheme in Scheme::ALL {
        assert!(k.criteria_of(scheme).len() >= 20, "{}", scheme.words());
    }
    assert!(
        k.criteria_of(Scheme::ThreeColumn)
            .iter()
            .all(|c| !c.decides && c.column.is_some())
    );
    let cut = |key: &str| match &k.criterion(key).unwrap().kind {
        CriterionKind::Reading { measure, cut } => {
            (measure.as_str().to_string(), format!("{cut:?}"))
        }
        other => panic!("{other:?}"),
    };
    assert_eq!(
        cut("tc_uncov_high"),
        ("tn_uncov".into(), "Above(40.0)".into())
    );
    assert_eq!(
        cut("tc_meary_high"),
        ("meary_lat".into(), "Above(30.0)".into())
    );
    assert_eq!(
        cut("tc_lia_mid"),
        ("lia".into(), "Between(20.0, 45.0)".into())
    );
    assert_eq!(cut("co_E_tilt"), ("talar_tilt".into(), "Above(4.0)".into()));
}

#[test]
fn patients_are_groups_and_never_norms() {
    for y in Knowledge::built_in().all_yardsticks() {
        if y.population.contains("PATIENTS") {
            assert!(matches!(y.kind, YardstickKind::Group { .. }), "{}", y.key);
        }
    }
}

#[test]
fn rows_from_memory_are_marked_and_never_judge() {
    let k = Knowledge::built_in();
    let recalled: Vec<_> = k
        .all_yardsticks()
        .iter()
        .filter(|y| y.provenance == Provenance::Unconfirmed)
        .collect();
    assert!(recalled.len() >= 25, "{}", recalled.len());
    assert!(recalled.iter().all(|y| !y.may_decide()));
    let davids = k
        .yardstick(&YardstickKey::new("meary_lat-davids").unwrap())
        .unwrap();
    assert_eq!(davids.provenance.letter(), 'u');
    let child = Person {
        age_years: Some(9.0),
        sex: Some(Sex::Female),
    };
    let band = k.band(&measure("meary_lat"), &child);
    assert!(
        band.shown_only
            .iter()
            .any(|l| l.yardstick.key == davids.key)
    );
    assert!(band.limits.iter().all(|l| l.yardstick.key != davids.key));
}

#[test]
fn adult_pitch_sources_differ_and_all_are_told() {
    let k = Knowledge::built_in();
    let adult = Person {
        age_years: Some(50.0),
        sex: Some(Sex::Male),
    };
    let band = k.band(&measure("calc_pitch"), &adult);
    assert!(band.sources_differ);
    // flat below 17 (conscripts), 18 and 20; high above 25 or 30
    assert_eq!(band.widest.unwrap().lower, Some(17.0));
    assert_eq!(band.agreed.unwrap().lower, Some(20.0));
    assert_eq!(band.agreed.unwrap().upper, Some(25.0));
    assert_eq!(band.widest.unwrap().upper, Some(30.0));
    assert!(
        band.shown_only
            .iter()
            .any(|l| l.yardstick.source.as_str() == "LogisticChina")
    );
}

#[test]
fn a_yardstick_by_age_asks_for_the_age() {
    let k = Knowledge::built_in();
    let row = k
        .yardstick(&YardstickKey::new("tca_dp-age-4").unwrap())
        .unwrap();
    let at = |age: Option<f64>| {
        row.applies_to(&Person {
            age_years: age,
            sex: None,
        })
    };
    assert!(at(Some(4.9)).yes(), "4.9 years are 4 completed years");
    assert!(!at(Some(5.0)).yes());
    let knowledge::Applies::CannotTell(why) = at(None) else {
        panic!()
    };
    assert_eq!(why, "it is for ages 3 to 4 and the age is not known");
}

#[test]
fn what_must_not_be_computed_yet_is_not_there() {
    let k = Knowledge::built_in();
    for key in ["masa", "djian", "har", "fao"] {
        assert!(k.measure(&measure(key)).is_none(), "{key}");
    }
}

/// The items of footprints and pressure, and whether each is of a standing print.
const PRINT_ITEMS: [(&str, bool); 6] = [
    ("arch_index_standing", true),
    ("arch_index_walking", false),
    ("chippaux_smirak_standing", true),
    ("staheli_index_standing", true),
    ("clarke_angle_standing", true),
    ("excursion_index_walking", false),
];

#[test]
fn standing_and_walking_prints_share_no_row_and_a_walking_arch_index_has_no_limit() {
    let k = Knowledge::built_in();
    for (key, standing) in PRINT_ITEMS {
        assert!(k.item(key).is_some(), "{key}");
        let rows: Vec<_> = k
            .all_yardsticks()
            .iter()
            .filter(|y| y.item.as_deref() == Some(key))
            .collect();
        assert!(!rows.is_empty(), "{key}");
        for row in rows {
            let speaks_of_walking = row.population.contains("walking");
            assert!(!(standing && speaks_of_walking), "{}", row.key);
        }
    }
    let walking = k
        .all_yardsticks()
        .iter()
        .filter(|y| y.item.as_deref() == Some("arch_index_walking"));
    for row in walking {
        assert!(
            matches!(row.kind, YardstickKind::Reliability { .. }),
            "{}",
            row.key
        );
    }
    let higher = k.source(&SourceKey::new("Mathieson1999").unwrap()).unwrap();
    assert!(higher.note.as_deref().is_some_and(|n| n.contains("28 %")));
}

#[test]
fn of_prints_only_what_an_abstract_says_decides_and_the_recalled_classes_do_not() {
    let k = Knowledge::built_in();
    let decides = |key: &str| {
        let row = k.yardstick(&YardstickKey::new(key).unwrap());
        row.unwrap_or_else(|| panic!("{key}")).may_decide()
    };
    for key in [
        "chippaux_smirak-child-3",
        "chippaux_smirak-child-6",
        "chippaux_smirak-child-9",
        "staheli-child-3",
        "staheli-child-6",
        "staheli-brazil-flat",
    ] {
        assert!(decides(key), "{key}");
    }
    for key in [
        "arch_index_standing-cavanagh",
        "arch_index_standing-cavanagh-band",
        "chippaux_smirak-flat",
        "staheli-infants",
        "staheli-adults",
        "clarke_angle-flat",
        "excursion_index-hagedorn",
    ] {
        assert!(!decides(key), "{key}");
    }
}

#[test]
fn at_every_age_of_a_child_a_chippaux_smirak_limit_speaks_and_two_where_the_ages_overlap() {
    let k = Knowledge::built_in();
    for age in 3..=16 {
        let person = Person {
            age_years: Some(f64::from(age) + 0.5),
            sex: None,
        };
        let rows = k.all_yardsticks().iter().filter(|y| {
            y.item.as_deref() == Some("chippaux_smirak_standing")
                && y.source.as_str() == "Banwell2018"
                && y.applies_to(&person).yes()
        });
        let overlap = [6, 7, 9].contains(&age);
        assert_eq!(rows.count(), if overlap { 2 } else { 1 }, "{age} years");
    }
}
