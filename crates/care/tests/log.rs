//! What cannot have happened stops, what should not have is kept and said, and what wants a look is due on
//! its day.

use care::log::{DueState, Entry, Fault, Kind, due, faults, injection_warnings, ledger};
use exam::{Examination, Given, RedFlags, Story};
use stage::{Facts, stage_from};
use terms::Side;
use time::macros::date;
use time::{Date, Duration};

const TODAY: Date = date!(2026 - 11 - 24);

fn entry(id: &str, kind: Kind, began: Date, answers: &[(&str, &str)]) -> Entry {
    let mut given = Given::new();
    for (key, text) in answers {
        given
            .set(key, text)
            .unwrap_or_else(|e| panic!("{key}: {e}"));
    }
    Entry {
        id: id.to_owned(),
        about: None,
        kind,
        side: Some(Side::Left),
        began,
        ended: None,
        answers: given,
    }
}

fn boot(began: Date) -> Entry {
    entry("boot", Kind::Boot, began, &[("boot_kind", "walking_boot")])
}

fn check(of: &Entry, on: Date, answers: &[(&str, &str)]) -> Entry {
    Entry {
        about: Some(of.id.clone()),
        ..entry(
            &format!("check of {} on {on}", of.id),
            Kind::Check,
            on,
            answers,
        )
    }
}

fn said(entry: &Entry, others: &[Entry]) -> Vec<Fault> {
    faults(entry, others, Some(date!(1968 - 03 - 14)), TODAY)
}

fn only(faults: &[Fault]) -> &Fault {
    let [one] = faults else { panic!("{faults:?}") };
    assert!(
        one.sentence.starts_with("Found ")
            && one.sentence.contains("expected")
            && one.sentence.ends_with('.'),
        "{}",
        one.sentence
    );
    one
}

#[test]
fn a_boot_that_is_worn_has_no_fault() {
    assert_eq!(said(&boot(date!(2026 - 11 - 02)), &[]), []);
}

#[test]
fn a_day_ahead_and_a_day_before_birth_stop_without_telling_the_birth_date() {
    let found = said(&boot(date!(2026 - 11 - 25)), &[]);
    assert!(
        only(&found).stops
            && found[0]
                .sentence
                .contains("2026-11-25 as the first day of the walking boot")
    );
    let found = said(&boot(date!(1960 - 01 - 01)), &[]);
    assert!(
        only(&found).stops && !found[0].sentence.contains("1968"),
        "{found:?}"
    );
}

#[test]
fn a_boot_taken_off_before_it_was_given_stops() {
    let found = said(
        &Entry {
            ended: Some(date!(2026 - 11 - 01)),
            ..boot(date!(2026 - 11 - 02))
        },
        &[],
    );
    assert!(
        only(&found).stops
            && found[0]
                .sentence
                .contains("taken off on 2026-11-01, before it was given on 2026-11-02")
    );
}

#[test]
fn a_device_for_no_foot_stops_and_a_medicine_needs_none() {
    let no_foot = Entry {
        side: None,
        ..boot(TODAY)
    };
    assert!(only(&said(&no_foot, &[])).stops);
    let medicine = Entry {
        side: None,
        ..entry("m", Kind::Medicine, TODAY, &[("medicine_class", "nsaid")])
    };
    assert_eq!(said(&medicine, &[]), []);
}

#[test]
fn a_check_of_nothing_and_one_before_its_beginning_stop() {
    let boot = boot(date!(2026 - 11 - 02));
    let early = check(&boot, date!(2026 - 11 - 01), &[]);
    assert!(only(&said(&early, std::slice::from_ref(&boot))).stops);
    assert!(only(&said(&early, &[])).stops);
    assert_eq!(
        said(&check(&boot, TODAY, &[]), std::slice::from_ref(&boot)),
        []
    );
}

#[test]
fn two_devices_on_one_foot_at_once_are_kept_and_said_and_a_shoe_or_a_wrap_beneath_is_no_fault() {
    let device = |kind: &str, began| entry(kind, Kind::Device, began, &[("device_kind", kind)]);
    let orthosis = device("foot_orthosis", date!(2026 - 09 - 01));
    let gauntlet = device("gauntlet", date!(2026 - 11 - 01));
    let found = said(&gauntlet, std::slice::from_ref(&orthosis));
    assert!(!only(&found).stops);
    assert!(
        found[0]
            .sentence
            .contains("the foot orthosis given on 2026-09-01 has not ended"),
        "{found:?}"
    );
    let off = |on| Entry {
        ended: Some(on),
        ..orthosis.clone()
    };
    // On the day the one is given the other comes off.
    assert_eq!(said(&gauntlet, &[off(date!(2026 - 11 - 01))]), []);
    assert_eq!(said(&gauntlet, &[off(date!(2026 - 11 - 02))]).len(), 1);
    let other_foot = Entry {
        side: Some(Side::Right),
        ..orthosis.clone()
    };
    assert_eq!(said(&gauntlet, &[other_foot]), []);
    assert_eq!(
        said(&device("shoe", TODAY), std::slice::from_ref(&gauntlet)),
        []
    );
    let wrap = entry("wrap", Kind::Wrap, TODAY, &[]);
    assert_eq!(said(&wrap, &[boot(date!(2026 - 11 - 02))]), []);
}

fn states(entries: &[Entry], today: Date) -> Vec<(i64, DueState)> {
    due(entries, today)
        .into_iter()
        .map(|d| ((d.on - entries[0].began).whole_days(), d.state))
        .collect()
}

#[test]
fn a_boot_is_looked_at_after_a_week_and_when_its_planned_weeks_are_over() {
    use DueState::{Done, Later, Missed, Now, Overdue};
    let began = date!(2026 - 10 - 05);
    let mut boot = boot(began);
    boot.answers.set("boot_weeks", "6").unwrap();
    let at = |entries: &[Entry], days| states(entries, began + Duration::days(days));
    let alone = [boot.clone()];
    assert_eq!(at(&alone, 0), [(7, Later), (42, Later)]);
    assert_eq!(at(&alone, 7), [(7, Now), (42, Later)]);
    assert_eq!(at(&alone, 11), [(7, Overdue), (42, Later)]);
    assert_eq!(at(&alone, 42), [(7, Missed), (42, Now)]);
    let looked = [boot.clone(), check(&boot, began + Duration::days(6), &[])];
    assert_eq!(
        at(&looked, 11),
        [(7, Done), (42, Later)],
        "a day early is the look"
    );
    let too_early = [boot.clone(), check(&boot, began + Duration::days(2), &[])];
    assert_eq!(at(&too_early, 11), [(7, Overdue), (42, Later)]);
    let off = [Entry {
        ended: Some(began + Duration::days(30)),
        ..boot
    }];
    assert_eq!(
        at(&off, 60),
        [(7, Missed)],
        "what has come off wants no look any more"
    );
}

#[test]
fn a_device_is_looked_at_at_two_and_six_weeks() {
    let began = date!(2026 - 09 - 01);
    let orthosis = entry(
        "o",
        Kind::Device,
        began,
        &[("device_kind", "foot_orthosis")],
    );
    let days: Vec<i64> = states(&[orthosis], TODAY)
        .into_iter()
        .map(|s| s.0)
        .collect();
    assert_eq!(days, [14, 42, 90]);
}

#[test]
fn a_wrap_is_changed_a_week_after_the_last_change() {
    let began = date!(2026 - 11 - 02);
    let wrap = entry("w", Kind::Wrap, began, &[("wrap_kind", "zinc_paste")]);
    let changes = |entries: &[Entry]| states(entries, began).into_iter().map(|s| s.0).max();
    assert_eq!(changes(std::slice::from_ref(&wrap)), Some(7));
    let changed = check(&wrap, began + Duration::days(6), &[]);
    assert_eq!(changes(&[wrap, changed]), Some(13));
}

fn injected(on: Date, class: &str) -> Entry {
    entry(
        &format!("{class} {on}"),
        Kind::Injection,
        on,
        &[("injection_site", "sheath"), ("injection_class", class)],
    )
}

fn warned(entries: &[Entry], story: &[(&str, &str)], exam: &[(&str, &str)]) -> String {
    let (mut s, mut e) = (Story::new(), Examination::new());
    for (key, text) in story {
        s.set(key, text).unwrap();
    }
    for (key, text) in exam {
        e.set(key, text).unwrap();
    }
    let flags = RedFlags::new();
    let report = stage_from(&Facts::new(Side::Left, &s, &e, &flags));
    injection_warnings(entries, Side::Left, &s, &e, &flags, &report, TODAY).join("\n")
}

#[test]
fn an_injection_on_an_allergy_is_kept_and_said_until_the_reason_is_written_down() {
    let mut given = injected(date!(2026 - 11 - 02), "both");
    let allergy = [("allergy_anaesthetic", "yes")];
    let said = warned(std::slice::from_ref(&given), &allergy, &[]);
    assert!(
        said.contains("an injection of a local anaesthetic on 2026-11-02")
            && said.contains("write it down"),
        "{said}"
    );
    given
        .answers
        .set("injection_nevertheless", "tested since, no allergy")
        .unwrap();
    let said = warned(&[given], &allergy, &[]);
    assert!(
        said.contains("the reason is written down with it"),
        "{said}"
    );
    assert!(warned(&[], &allergy, &[]).contains("not to be injected"));
    assert!(!warned(&[injected(TODAY, "hyaluronate")], &allergy, &[]).contains("allergy"));
}

#[test]
fn two_at_one_site_a_tear_sugar_blood_thinner_and_infection_are_said_and_no_dose_is() {
    let twice = [
        injected(date!(2026 - 03 - 01), "corticosteroid"),
        injected(date!(2026 - 09 - 01), "both"),
    ];
    let said = warned(
        &twice,
        &[
            ("diabetes_uncontrolled", "yes"),
            ("takes_anticoagulant", "yes"),
            ("infection_now", "yes"),
        ],
        &[("tendon_image", "partial_tear")],
    );
    for part in [
        "2 corticosteroid injections at one site (tendon sheath)",
        "184 days lay between",
        "torn on imaging",
        "Sugar",
        "blood thinner",
        "infection",
        "boot after the injection of 2026-03-01 is not recorded",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert!(!said.contains(" mg") && !said.contains(" ml"), "{said}");
    let other_site = Entry {
        answers: entry(
            "",
            Kind::Injection,
            TODAY,
            &[
                ("injection_site", "sinus_tarsi"),
                ("injection_class", "both"),
            ],
        )
        .answers,
        ..twice[1].clone()
    };
    assert!(!warned(&[twice[0].clone(), other_site], &[], &[]).contains("at one site"));
}

#[test]
fn the_ledger_says_what_was_not_recorded() {
    let mut with = injected(date!(2026 - 09 - 01), "corticosteroid");
    for (key, text) in [
        ("injection_volume", "2"),
        ("injection_guidance", "ultrasound"),
        ("injection_pain_before", "6"),
        ("injection_pain_after", "2"),
        ("injection_days_after", "14"),
    ] {
        with.answers.set(key, text).unwrap();
    }
    let bare = entry("x", Kind::Injection, date!(2026 - 01 - 01), &[]);
    let lines: Vec<String> = ledger(&[with, bare], Side::Left)
        .into_iter()
        .map(|l| {
            format!(
                "{}: {}; {}",
                l.site,
                l.what,
                l.effect.unwrap_or_else(|| "-".into())
            )
        })
        .collect();
    assert_eq!(
        lines,
        [
            "site not recorded: class not recorded, volume not recorded, guidance not recorded; -",
            "tendon sheath: corticosteroid, 2 ml, guided by ultrasound; 6 before, 2 after 14 days",
        ]
    );
}
