//! From a print to readings in the examination, through the pages alone.

use crate::common::{Answer, Practice, ink_print};
use axum::http::StatusCode;
use image::{ImageFormat, Luma};
use std::io::Cursor;

async fn visit() -> (Practice, String) {
    let practice = Practice::started().await;
    let patient = practice
        .add_patient("Wilma", "Invented", "P-1", "1968-03-04", "female")
        .await;
    let visit = practice.start_visit(&patient, "print").await;
    (practice, visit)
}

async fn take_in(
    practice: &Practice,
    visit: &str,
    bytes: &[u8],
    fields: &[(&str, &str)],
) -> Answer {
    let path = format!("{visit}/captures");
    practice
        .send_file(&path, ("file", "print 1.png"), bytes, fields)
        .await
}

fn field<'p>(page: &'p str, name: &str) -> &'p str {
    let at = page
        .find(&format!("name=\"{name}\" value=\""))
        .unwrap_or_else(|| panic!("no field {name}"));
    let from = at + name.len() + 15;
    page[from..].split('"').next().unwrap()
}

#[tokio::test]
async fn a_print_is_taken_in_read_and_taken_over_into_the_examination() {
    let (practice, visit) = visit().await;
    let fields = [("medium", "ink"), ("doing", "standing"), ("side", "")];
    let capture = take_in(&practice, &visit, &ink_print(60.0), &fields)
        .await
        .place();
    let page = practice.get(&capture).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    let page = page.text();
    for part in [
        "Arch index",
        "Staheli index",
        "Clarke angle",
        "Left foot",
        "scale is not known",
    ] {
        assert!(page.contains(part), "{part}: {page}");
    }
    assert!(
        !page.contains("Foot length</summary>"),
        "no scale, no length"
    );
    assert!(!capture.contains("Invented"));
    let picture = practice.get(&format!("{capture}/picture.png")).await;
    assert_eq!(picture.headers["content-type"], "image/png");
    let listed = practice.get(&visit).await.text();
    assert!(
        listed.contains("Print of the foot, standing, left"),
        "{listed}"
    );
    assert!(listed.contains("left arch index 0."));

    let place = practice
        .form(&format!("{capture}/examine"), &[])
        .await
        .place();
    assert!(place.starts_with(&visit));
    let examined = practice.get(&visit).await.text();
    let index: f64 = field(&examined, "q.arch_index_standing").parse().unwrap();
    assert!((0.05..0.45).contains(&index), "{index}");
    // Once more changes nothing, so that no revision is made of it.
    practice
        .form(&format!("{capture}/examine"), &[])
        .await
        .place();
    let again = practice.get(&visit).await.text();
    assert_eq!(field(&again, "q.arch_index_standing").parse(), Ok(index));
    // What the clinician has written over it stays when the same is taken over once more.
    let own = [("arch_index_standing", "0.31")];
    practice.answer(&visit, "left", &own).await;
    practice
        .form(&format!("{capture}/examine"), &[])
        .await
        .place();
    let overruled = practice.get(&visit).await.text();
    assert_eq!(field(&overruled, "q.arch_index_standing"), "0.31");
    assert!(examined.contains(&format!("<a href=\"{capture}\">Measured</a> 0.")));
    assert!(!examined.contains("your answer stands"));
    assert!(overruled.contains("; your answer stands"));
}

#[tokio::test]
async fn a_step_set_by_hand_changes_the_readings_and_can_be_taken_back() {
    let (practice, visit) = visit().await;
    let fields = [("medium", "ink"), ("doing", "standing")];
    let capture = take_in(&practice, &visit, &ink_print(60.0), &fields)
        .await
        .place();
    let first = practice.get(&capture).await.text();
    let toe = field_of(&first, "toe-0").to_owned();
    let (x, y) = toe.split_once(", ").unwrap();
    let moved = format!("{:.1}, {y}", x.parse::<f64>().unwrap() - 40.0);
    let steps = [
        ("revision", "1"),
        ("act", "save"),
        ("toe-0", moved.as_str()),
    ];
    practice
        .form(&format!("{capture}/steps"), &steps)
        .await
        .place();
    let second = practice.get(&capture).await.text();
    assert_eq!(field_of(&second, "toe-0"), moved);
    assert!(second.contains("(set by hand)"));
    assert_ne!(values(&first), values(&second));
    // Another page that saw the first revision overwrites nothing.
    let stale = practice.form(&format!("{capture}/steps"), &steps).await;
    assert_eq!(
        stale.status,
        StatusCode::SEE_OTHER,
        "the same steps once more change nothing"
    );
    let back = [("revision", field(&second, "revision"))];
    practice
        .form(&format!("{capture}/undo"), &back)
        .await
        .place();
    let third = practice.get(&capture).await.text();
    assert_eq!(field_of(&third, "toe-0"), toe);
    assert_eq!(values(&first), values(&third));
}

/// A text field of the steps.
fn field_of<'p>(page: &'p str, name: &str) -> &'p str {
    let at = page
        .find(&format!("name=\"{name}\" value=\""))
        .unwrap_or_else(|| panic!("no step {name}"));
    page[at..].split('"').nth(3).unwrap()
}

fn values(page: &str) -> Vec<&str> {
    page.split("<td class=\"value\">")
        .skip(1)
        .map(|rest| rest.split('<').next().unwrap())
        .collect()
}

#[tokio::test]
async fn the_readings_of_a_walking_print_do_not_meet_the_norms_of_standing() {
    let (practice, visit) = visit().await;
    let fields = [("medium", "ink"), ("doing", "walking")];
    let capture = take_in(&practice, &visit, &ink_print(60.0), &fields)
        .await
        .place();
    practice
        .form(&format!("{capture}/examine"), &[])
        .await
        .place();
    let examined = practice.get(&visit).await.text();
    assert_eq!(field(&examined, "q.arch_index_standing"), "");
    assert_ne!(field(&examined, "q.arch_index_walking"), "");
    // Not said how: nothing is taken over.
    practice.form(&capture, &[("doing", "")]).await.place();
    let refused = practice.form(&format!("{capture}/examine"), &[]).await;
    assert_eq!(refused.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn a_grid_of_pressures_needs_its_pitch_and_gives_loads() {
    let (practice, visit) = visit().await;
    let mut grid = String::new();
    let picture = image::load_from_memory(&ink_print(60.0))
        .unwrap()
        .into_luma8();
    for y in (0..640).step_by(10) {
        let row: Vec<&str> = (0..420)
            .step_by(10)
            .map(|x| {
                if picture.get_pixel(x, y)[0] < 128 {
                    "120"
                } else {
                    "0"
                }
            })
            .collect();
        grid += &(row.join(";") + "\n");
    }
    let bare = [("medium", "pressure"), ("doing", "standing")];
    let refused = take_in(&practice, &visit, grid.as_bytes(), &bare).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text().contains("distance of two sensors across"));
    let whole = [bare[0], bare[1], ("pitch_x", "5"), ("unit", "kilopascal")];
    let capture = take_in(&practice, &visit, grid.as_bytes(), &whole)
        .await
        .place();
    let page = practice.get(&capture).await.text();
    for part in ["Load and pressure by region", "Printed area", "cm²"] {
        assert!(page.contains(part), "{part}: {page}");
    }
}

#[tokio::test]
async fn files_that_are_no_print_get_one_sentence_and_nothing_is_kept() {
    let (practice, visit) = visit().await;
    let blank = {
        let paper = image::GrayImage::from_pixel(200, 300, Luma([230]));
        let mut out = Cursor::new(Vec::new());
        paper.write_to(&mut out, ImageFormat::Png).unwrap();
        out.into_inner()
    };
    for (bytes, fields, part) in [
        (&b""[..], &[][..], "Found no file"),
        (b"Dear colleague", &[], "is not a picture"),
        (&blank, &[], "the same all over"),
        (
            b"1;2;three\n",
            &[("medium", "pressure"), ("pitch_x", "5")],
            "expected a number",
        ),
    ] {
        let refused = take_in(&practice, &visit, bytes, fields).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{part}");
        assert!(refused.text().contains(part), "{part}: {}", refused.text());
    }
    let listed = practice.get(&visit).await.text();
    assert!(listed.contains("None yet."));
}

#[tokio::test]
async fn prints_that_touch_are_parted_for_a_start_and_the_line_between_them_can_be_moved() {
    use phantom::print::{PaperSpec, PrintSpec, side_by_side};
    let (practice, visit) = visit().await;
    // Over each other by so much that no line is taken for sure.
    let paper = PaperSpec {
        width_mm: 300.0,
        height_mm: 300.0,
        mm_per_cell: 0.5,
        ..PaperSpec::default()
    };
    let feet = [terms::Side::Left, terms::Side::Right].map(PrintSpec::plain);
    let made = side_by_side(&feet, 16.0, 0.0, 0.0, &paper);
    let picture = image::RgbImage::from_raw(made.width as u32, made.height as u32, made.rgb());
    let mut file = Cursor::new(Vec::new());
    picture
        .unwrap()
        .write_to(&mut file, ImageFormat::Png)
        .unwrap();
    let fields = [("medium", "ink"), ("doing", "standing")];
    let capture = take_in(&practice, &visit, &file.into_inner(), &fields)
        .await
        .place();
    let page = practice.get(&capture).await.text();
    assert!(page.contains("Left foot") && page.contains("Right foot"));
    let middle = field_of(&page, "divide-a").to_owned();
    assert!(middle.starts_with("300"), "{middle}");
    let moved = [
        ("revision", "1"),
        ("divide-a", "303.0, 0.0"),
        ("divide-b", "303.0, 600.0"),
    ];
    practice
        .form(&format!("{capture}/steps"), &moved)
        .await
        .place();
    let page = practice.get(&capture).await.text();
    assert_eq!(field_of(&page, "divide-a"), "303.0, 0.0");
}
