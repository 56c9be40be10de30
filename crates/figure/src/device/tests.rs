//! The drawings of invented devices: nothing covered, true to scale, the right way round.

use super::bench::View;
use super::board::{Board, Drawn};
use super::parts::Parts;
use super::section::Section;
use super::{DeviceModel, Scale, plan, posts, profile, rear, sheets, views};
use quantity::{Angle, Length};
use shell::prescription::{ForefootPost, Skive, Thickness};
use shell::{Detail, Device, Part, Prescription};
use terms::Side;

#[path = "../../../shell/tests/common/mod.rs"]
mod common;

/// Unlike devices: small and large, plain and with everything, left and right.
fn cases() -> Vec<(&'static str, Device, Prescription)> {
    let mut rich = common::posted(4.0);
    rich.forefoot_post = Some(ForefootPost {
        angle: Angle::degrees(3.0),
        length: Length::mm(22.0),
        separate: true,
    });
    rich.corrections.skive = Some(Skive {
        depth: Length::mm(4.0),
        angle: Skive::usual_angle(),
        clipped: false,
    });
    rich.corrections.first_ray_cut_out = true;
    rich.shell.heel_cup_depth = Length::mm(20.0);
    rich.shell.medial_flange = Some(Length::mm(32.0));
    rich.shell.thickness = Thickness::ThickerArch {
        arch: Length::mm(3.8),
        rest: Length::mm(3.0),
    };
    [
        ("plain left", 255.0, 18.0, Side::Left, common::plain()),
        (
            "posted right",
            255.0,
            18.0,
            Side::Right,
            common::posted(4.0),
        ),
        (
            "outer side raised",
            262.0,
            15.0,
            Side::Left,
            common::posted(-3.0),
        ),
        ("rich left", 268.0, 20.0, Side::Left, rich.clone()),
        ("large right", 310.0, 16.0, Side::Right, rich),
        ("small left", 150.0, 8.0, Side::Left, common::posted(2.0)),
    ]
    .into_iter()
    .map(|(name, length, arch, side, wanted)| {
        let foot = common::foot(length, arch, side);
        let device = shell::build(&foot, &wanted, &common::POWDER, Detail::PREVIEW).unwrap();
        (name, device, wanted)
    })
    .collect()
}

fn model<'a>(device: &'a Device, wanted: &'a Prescription) -> DeviceModel<'a> {
    DeviceModel {
        device,
        wanted,
        found: &[],
        section_mm: None,
        spoken: None,
    }
}

fn posted_right() -> (Device, Prescription) {
    let wanted = common::posted(4.0);
    let foot = common::foot(255.0, 18.0, Side::Right);
    let device = shell::build(&foot, &wanted, &common::POWDER, Detail::PREVIEW).unwrap();
    (device, wanted)
}

fn drawn(parts: &Parts<'_>, scale: f64) -> Vec<(&'static str, Drawn)> {
    let section = Section::of(parts, parts.navicular()[0]);
    let board = |b: Board<'_>| b.drawn();
    vec![
        ("plan", board(plan::board(parts, scale, section.along))),
        (
            "inner",
            board(profile::board(parts, View::Inner, scale, section.along)),
        ),
        (
            "standing",
            board(profile::board(
                parts,
                View::InnerStanding,
                scale,
                section.along,
            )),
        ),
        ("behind", board(rear::board(parts, scale))),
        ("section", board(section.board(parts, scale))),
    ]
}

#[test]
fn no_word_covers_another_and_none_leaves_its_view() {
    let mut words = 0;
    for (name, device, wanted) in cases() {
        let model = model(&device, &wanted);
        let parts = Parts::of(&model).unwrap();
        for scale in [Scale::Full, Scale::Half] {
            for (view, drawn) in drawn(&parts, scale.factor()) {
                let areas = drawn.written.areas();
                words += areas.len();
                for (i, (one, a)) in areas.iter().enumerate() {
                    let inside = a[0] >= -0.1
                        && a[1] >= -0.1
                        && a[2] <= drawn.size[0] + 0.1
                        && a[3] <= drawn.size[1] + 0.1;
                    assert!(
                        inside,
                        "{name}, {view}, {scale:?}: {one} at {a:?} of {:?}",
                        drawn.size
                    );
                    for (other, b) in &areas[i + 1..] {
                        assert!(
                            !crate::labels::overlap(*a, *b),
                            "{name}, {view}, {scale:?}: {one} {a:?} and {other} {b:?}"
                        );
                    }
                }
            }
        }
    }
    assert!(words > 300, "{words}");
}

#[test]
fn outlines_are_as_long_and_wide_as_the_solid() {
    for (name, device, wanted) in cases() {
        let model = model(&device, &wanted);
        let parts = Parts::of(&model).unwrap();
        for (view, along, across) in [(View::Plan, 1, 0), (View::Inner, 0, 1)] {
            let outline = parts.outline(view, |_| true);
            let size = |k: usize| {
                let all = outline.iter().flatten().map(|p| p[k]);
                let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                    (l.min(v), h.max(v))
                });
                high - low
            };
            let [long, wide, high] = [0, 1, 2].map(|k| parts.high[k] - parts.low[k]);
            let other = if view == View::Plan { wide } else { high };
            // A rounded tip is cut by less than a cell of the outline's grid.
            assert!(
                (size(along) - long).abs() < 0.3,
                "{name} {view:?}: {} {long}",
                size(along)
            );
            assert!(
                (size(across) - other).abs() < 0.3,
                "{name} {view:?}: {} {other}",
                size(across)
            );
        }
    }
}

#[test]
fn a_millimetre_of_the_device_is_one_or_half_a_one_on_paper() {
    let (device, wanted) = posted_right();
    let model = model(&device, &wanted);
    let parts = Parts::of(&model).unwrap();
    for scale in [Scale::Full, Scale::Half] {
        let board = plan::board(&parts, scale.factor(), 100.0);
        let (a, b) = (board.at([0.0, 0.0, 0.0]), board.at([100.0, 0.0, 0.0]));
        assert!((a[1] - b[1] - 100.0 * scale.factor()).abs() < 1e-9);
    }
    let roomy = sheets(&model, [200.0, 300.0]);
    let low = sheets(&model, [200.0, 215.0]);
    let narrow = sheets(&model, [180.0, 150.0]);
    assert_eq!([roomy.len(), low.len(), narrow.len()], [1, 2, 1]);
    assert_eq!(narrow[0].scale, Scale::Half);
    for drawing in roomy.iter().chain(&low) {
        assert_eq!(drawing.scale, Scale::Full);
    }
    assert!(low.iter().all(|d| d.height_mm <= 215.0));
    let full = roomy.into_iter().chain(low).map(|d| (d, "Scale 1:1"));
    for (drawing, words) in full.chain(narrow.into_iter().map(|d| (d, "Scale 1:2"))) {
        assert!(drawing.svg.contains(words), "{words}");
        // Five fields of ten units, whatever the scale: the ruler is of paper.
        assert_eq!(drawing.svg.matches(r#"width="10""#).count(), 5);
        let view = format!(
            r#"viewBox="0 0 {} {}""#,
            crate::svg::number(drawing.width_mm),
            crate::svg::number(drawing.height_mm)
        );
        assert!(drawing.svg.contains(&view), "{view}");
    }
}

#[test]
fn the_inner_side_of_a_right_foot_is_on_the_left_from_above_and_behind() {
    for side in [Side::Right, Side::Left] {
        let wanted = common::posted(4.0);
        let device = shell::build(
            &common::foot(255.0, 18.0, side),
            &wanted,
            &common::POWDER,
            Detail::PREVIEW,
        )
        .unwrap();
        let model = model(&device, &wanted);
        let parts = Parts::of(&model).unwrap();
        let left = side == Side::Right;
        for view in [View::Plan, View::Behind] {
            let [first, fifth] =
                [parts.first_head(), parts.fifth_head()].map(|p| parts.bench.seen(view, p));
            assert_eq!(first[0] < fifth[0], left, "{side:?} {view:?}");
        }
        // Seen from its inner side, a right foot points to the left.
        let [heel, head] =
            [parts.heel(), parts.first_head()].map(|p| parts.bench.seen(View::Inner, p));
        assert_eq!(head[0] < heel[0], left, "{side:?}");
        // Standing beside the plan, its top is turned to it.
        let [low, high] =
            [[0.0; 3], [0.0, 0.0, 9.0]].map(|p| parts.bench.seen(View::InnerStanding, p));
        assert_eq!(low[0] < high[0], left, "{side:?}");
    }
}

#[test]
fn the_device_stands_on_its_ground_turned_by_its_post() {
    for (name, device, wanted) in cases() {
        let model = model(&device, &wanted);
        let parts = Parts::of(&model).unwrap();
        assert!(
            parts.low[2] > -0.4 && parts.low[2] < 0.4,
            "{name}: {}",
            parts.low[2]
        );
        let asked = wanted.rearfoot_post.map_or(0.0, |p| p.angle.to_degrees());
        assert!((rear::tilt(&parts) - asked).abs() < 0.01, "{name}");
        // The foot's own level, as it is drawn from behind.
        let [a, b] = [[30.0, -30.0, 0.0], [30.0, 30.0, 0.0]].map(|p| parts.bench.place(p));
        let drawn = ((b[2] - a[2]) / (b[1] - a[1])).atan().to_degrees();
        assert!((drawn - asked).abs() < 0.02, "{name}: {drawn}");
    }
}

#[test]
fn what_is_measured_on_the_solid_is_what_was_asked_for() {
    for (name, device, wanted) in cases() {
        let model = model(&device, &wanted);
        let parts = Parts::of(&model).unwrap();
        let (bottom, rim) = parts.cup().unwrap();
        let depth = wanted.shell.heel_cup_depth.to_mm();
        assert!(
            (rim[2] - bottom[2] - depth).abs() < 0.6,
            "{name}: {} {depth}",
            rim[2] - bottom[2]
        );
        let (inner, outer) = match wanted.shell.thickness {
            Thickness::Uniform { all } => (all, all),
            Thickness::ThickerArch { arch, rest } => (arch, rest),
        };
        for (side, asked) in [(true, inner), (false, outer)] {
            let wall = parts.wall(parts.navicular()[0], side).unwrap();
            assert!(
                (wall.mm - asked.to_mm()).abs() < 0.25,
                "{name} {side}: {}",
                wall.mm
            );
        }
        let bases = posts::bases(&parts);
        assert_eq!(
            bases.len(),
            usize::from(wanted.rearfoot_post.is_some())
                + usize::from(wanted.forefoot_post.is_some()),
            "{name}"
        );
        for base in &bases {
            match base.part {
                Part::RearfootPost => {
                    let long = wanted.rearfoot_post.unwrap().length.to_mm();
                    assert!(
                        (base.high[0] - long).abs() < 2.5,
                        "{name}: {}",
                        base.high[0]
                    );
                    assert!(base.high[2] < 0.1 && base.low[2] > -0.1, "{name}");
                }
                _ => assert!(base.low[0] > 0.4 * parts.high[0], "{name}: {}", base.low[0]),
            }
        }
    }
}

#[test]
fn figures_from_the_file_are_written_instead_of_those_of_the_drawing() {
    let (device, wanted) = posted_right();
    let found = [shell::measured::Dimension {
        what: "length over all",
        unit: quantity::Unit::Millimetre,
        asked: None,
        found: 123.4,
    }];
    let model = DeviceModel {
        found: &found,
        ..model(&device, &wanted)
    };
    let views = views(&model).unwrap();
    assert!(views.plan.svg.contains("123.4 mm") && views.plan.alt.contains("123.4 mm"));
}

#[test]
fn a_drawing_says_itself_in_words_and_carries_nothing_that_runs() {
    let (device, wanted) = posted_right();
    let model = model(&device, &wanted);
    let views = views(&model).unwrap();
    for drawing in [&views.plan, &views.inner, &views.behind, &views.section] {
        assert!(drawing.svg.contains("<title>") && drawing.svg.contains("<desc>"));
        assert!(!drawing.svg.contains("style=") && !drawing.svg.contains("<script"));
        assert!(
            drawing.alt.ends_with('.') && drawing.alt.to_lowercase().contains("from"),
            "{}",
            drawing.alt
        );
        crate::png(&drawing.svg, 400).unwrap();
    }
    let all = &sheets(&model, [180.0, 262.0])[0];
    for words in [
        "right foot",
        "rearfoot post 4°, inner side raised",
        "3 mm thick",
    ] {
        assert!(all.alt.contains(words), "{words}: {}", all.alt);
    }
    assert_eq!(all.svg, sheets(&model, [180.0, 262.0])[0].svg);
}

#[test]
fn odd_wishes_and_broken_devices_are_drawn_or_left_out_and_never_stop_a_drawing() {
    let (mut device, wanted) = posted_right();
    for section in [f64::NAN, f64::INFINITY, -1e300, 1e300, 0.0] {
        let model = DeviceModel {
            section_mm: Some(section),
            ..model(&device, &wanted)
        };
        assert!(!sheets(&model, [180.0, 262.0]).is_empty(), "{section}");
    }
    assert!(!sheets(&model(&device, &wanted), [f64::NAN, -1.0]).is_empty());
    device.bodies[0].mesh.vertices[7] = [f64::NAN; 3];
    assert!(!sheets(&model(&device, &wanted), [180.0, 262.0]).is_empty());
    device.bodies[0].mesh.vertices.truncate(100);
    assert!(sheets(&model(&device, &wanted), [180.0, 262.0]).is_empty());
    device.bodies.clear();
    assert!(views(&model(&device, &wanted)).is_none());
}
