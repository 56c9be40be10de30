//! From a clip, a photograph or a marker file to readings in the examination, through the pages alone.

use crate::common::{Answer, Practice, written};
use axum::http::StatusCode;
use image::{ImageFormat, Luma};
use motion::frames::packed::packed;
use motion::steps::Spot;
use phantom::clip::{Clip, ClipSpec};
use std::io::Cursor;
use std::time::Duration;

async fn visit() -> (Practice, String) {
    let practice = Practice::started().await;
    let patient = practice
        .add_patient("Wilma", "Invented", "P-1", "1968-03-04", "female")
        .await;
    let visit = practice.start_visit(&patient, "rises").await;
    (practice, visit)
}

async fn take_in(
    practice: &Practice,
    visit: &str,
    file: (&str, &[u8]),
    fields: &[(&str, &str)],
) -> Answer {
    let path = format!("{visit}/captures");
    practice
        .send_file(&path, ("file", file.0), file.1, fields)
        .await
}

fn png(width: u32, height: u32, bytes: &[u8]) -> Vec<u8> {
    let picture = image::GrayImage::from_fn(width, height, |x, y| {
        Luma([bytes[(y * width + x) as usize]])
    });
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, ImageFormat::Png).unwrap();
    out.into_inner()
}

/// An invented right leg that rises twice.
fn clip() -> Clip {
    let mut spec = ClipSpec::plain(5);
    spec.legs[0].rises = 2;
    spec.period_s = 1.2;
    spec.rate = 15.0;
    (spec.width, spec.height, spec.px_per_mm) = (300, 420, 1.0);
    spec.distance_mm *= 1.0;
    Clip::new(spec)
}

fn zipped(clip: &Clip) -> Vec<u8> {
    let (w, h) = (clip.spec().width as u32, clip.spec().height as u32);
    let pictures: Vec<Vec<u8>> = (0..clip.count())
        .map(|f| png(w, h, &clip.frame(f)))
        .collect();
    let times = clip.truth().times_s.iter().copied();
    packed(pictures.iter().map(Vec::as_slice).zip(times)).unwrap()
}

fn field<'p>(page: &'p str, name: &str) -> &'p str {
    let at = page
        .find(&format!("name=\"{name}\" value=\""))
        .unwrap_or_else(|| panic!("no field {name}"));
    let from = at + name.len() + 15;
    page[from..].split('"').next().unwrap()
}

fn text(spot: Spot) -> String {
    format!("{:.1}, {:.1}", spot.x, spot.y)
}

const KEYS: [&str; 4] = [
    "right-leg-upper",
    "right-leg-lower",
    "right-heel-upper",
    "right-heel-lower",
];

fn marks(clip: &Clip, frame: usize) -> [String; 4] {
    clip.truth().legs[0].spots[frame].map(|(x, y)| text(Spot::new(x, y)))
}

/// Waits until it is no longer followed.
async fn followed(practice: &Practice, capture: &str) -> String {
    practice
        .form(&format!("{capture}/follow"), &[])
        .await
        .place();
    for _ in 0..600 {
        let page = practice.get(capture).await.text();
        if !page.contains("Load the page again in a moment.") {
            return page;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("following never ends");
}

#[tokio::test]
async fn a_clip_is_marked_followed_counted_and_taken_over() {
    let (practice, visit) = visit().await;
    let clip = clip();
    let file = zipped(&clip);
    let fields = [("kind", "heel-rise"), ("doing", "one-leg")];
    let capture = take_in(&practice, &visit, ("rises.zip", &file), &fields)
        .await
        .place();
    let page = practice.get(&capture).await.text();
    assert!(page.contains("Set the four points of a leg in one frame"));
    assert!(page.contains("Heel rise"), "{page}");
    let frame = practice.get(&format!("{capture}/frame/0")).await;
    assert_eq!(frame.headers["content-type"], "image/png");
    let none = practice.get(&format!("{capture}/frame/999")).await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
    // Nothing to follow yet: a sentence.
    let refused = practice.form(&format!("{capture}/follow"), &[]).await;
    assert!(
        refused.text().contains("No leg is marked"),
        "{}",
        refused.text()
    );

    let points = marks(&clip, 0);
    let mm = 100.0 * clip.truth().px_per_mm;
    let ruler = text(Spot::new(10.0 + mm, 400.0));
    let mut form = vec![
        ("revision", "1"),
        ("frame", "1"),
        ("known-from", "10.0, 400.0"),
        ("known-to", ruler.as_str()),
        ("length_mm", "100"),
    ];
    form.extend(KEYS.iter().copied().zip(points.iter().map(String::as_str)));
    practice
        .form(&format!("{capture}/steps"), &form)
        .await
        .place();
    let page = followed(&practice, &capture).await;
    for part in [
        "Rises that count",
        "Height of the best rise",
        "turns inward",
        "<svg",
        "Every rise (2)",
    ] {
        assert!(page.contains(part), "{part}: {page}");
    }

    practice
        .form(&format!("{capture}/examine"), &[])
        .await
        .place();
    let examined = practice.get(&visit).await.text();
    let right = examined.rfind("name=\"q.heel_rise_count\"").unwrap();
    assert_eq!(field(&examined[right..], "q.heel_rise_count"), "2");
    let height: f64 = field(&examined[right..], "q.heel_rise_height_cm")
        .parse()
        .unwrap();
    assert!((height - 9.0).abs() < 1.0, "{height}");
    assert!(examined.contains("right 2 rises"));
    assert!(
        examined.contains("Measured</a> yes, probability"),
        "the heel of this clip turns inward"
    );
}

#[tokio::test]
async fn a_point_moved_after_following_makes_the_readings_wait_and_undo_brings_them_back() {
    let (practice, visit) = visit().await;
    let clip = clip();
    let capture = take_in(
        &practice,
        &visit,
        ("rises.zip", &zipped(&clip)),
        &[("kind", "heel-rise")],
    )
    .await
    .place();
    let points = marks(&clip, 3);
    let mut form = vec![("revision", "1"), ("frame", "4")];
    form.extend(KEYS.iter().copied().zip(points.iter().map(String::as_str)));
    practice
        .form(&format!("{capture}/steps"), &form)
        .await
        .place();
    let page = followed(&practice, &capture).await;
    assert!(page.contains("The points stand in frame 4"));
    assert!(page.contains("No known length"), "{page}");
    let revision = field(&page, "revision").to_owned();
    let moved = [
        ("revision", revision.as_str()),
        ("frame", "9"),
        ("right-heel-lower", "150.0, 300.0"),
    ];
    practice
        .form(&format!("{capture}/steps"), &moved)
        .await
        .place();
    let stale = practice.get(&capture).await.text();
    assert!(stale.contains("follow them again"), "{stale}");
    let at = practice.get(&format!("{capture}/at/9")).await.json();
    assert_eq!(at["texts"]["right-heel-lower"], "150.0, 300.0");
    let back = [("revision", field(&stale, "revision"))];
    practice
        .form(&format!("{capture}/undo"), &back)
        .await
        .place();
    let again = practice.get(&capture).await.text();
    assert!(again.contains("Every rise (2)"), "{again}");
}

#[tokio::test]
async fn a_photograph_from_behind_gives_the_heel_angle_and_the_toes() {
    let (practice, visit) = visit().await;
    let photo = png(640, 480, &vec![200; 640 * 480]);
    let capture = take_in(
        &practice,
        &visit,
        ("behind.png", &photo),
        &[("kind", "from-behind")],
    )
    .await
    .place();
    let page = practice.get(&capture).await.text();
    assert!(page.contains("No point is set yet."), "{page}");
    let points = [
        ("revision", "1"),
        ("left-leg-upper", "200.0, 60.0"),
        ("left-leg-lower", "200.0, 200.0"),
        ("left-heel-upper", "200.0, 300.0"),
        ("left-heel-lower", "190.0, 400.0"),
        ("left-toes", "150.0, 420.0; 140.0, 425.0; 132.0, 430.0"),
    ];
    practice
        .form(&format!("{capture}/steps"), &points)
        .await
        .place();
    let page = practice.get(&capture).await.text();
    assert!(
        page.contains("3 toes are seen on the outer side."),
        "{page}"
    );
    assert!(
        page.contains("5.7°"),
        "atan(10/100), outward on a left foot: {page}"
    );
    practice
        .form(&format!("{capture}/examine"), &[])
        .await
        .place();
    let examined = practice.get(&visit).await.text();
    assert_eq!(field(&examined, "q.heel_angle_deg"), "5.7");
    assert_eq!(field(&examined, "q.toes_seen"), "3");
    // Edges of the skin are not there in an even picture; it is said, and the points stay.
    let edges = [("revision", "2"), ("lines", "edges")];
    practice
        .form(&format!("{capture}/steps"), &edges)
        .await
        .place();
    let page = practice.get(&capture).await.text();
    assert!(page.contains("edge of the skin was found at 0"), "{page}");
    assert_eq!(field(&page, "left-heel-lower"), "190.0, 400.0");
}

#[tokio::test]
async fn from_the_side_a_foot_must_be_named_and_can_be_changed() {
    let (practice, visit) = visit().await;
    let photo = png(640, 480, &vec![180; 640 * 480]);
    let unnamed = take_in(
        &practice,
        &visit,
        ("side.png", &photo),
        &[("kind", "from-side")],
    )
    .await;
    assert_eq!(unnamed.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(unnamed.text().contains("choose left or right"));
    let fields = [("kind", "from-side"), ("side", "right")];
    let capture = take_in(&practice, &visit, ("side.png", &photo), &fields)
        .await
        .place();
    let points = [
        ("revision", "1"),
        ("right-floor-back", "100.0, 400.0"),
        ("right-floor-front", "400.0, 400.0"),
        ("right-heel-back", "80.0, 380.0"),
        ("right-longest-toe", "560.0, 390.0"),
        ("right-first-joint", "430.0, 370.0"),
        ("right-navicular", "260.0, 330.0"),
        ("known-from", "100.0, 440.0"),
        ("known-to", "300.0, 440.0"),
        ("length_mm", "100"),
    ];
    practice
        .form(&format!("{capture}/steps"), &points)
        .await
        .place();
    let page = practice.get(&capture).await.text();
    assert!(
        page.contains("35.0 mm"),
        "70 px at half a millimetre: {page}"
    );
    let other = [("revision", "2"), ("side", "left")];
    practice
        .form(&format!("{capture}/steps"), &other)
        .await
        .place();
    let page = practice.get(&capture).await.text();
    assert_eq!(field(&page, "left-navicular"), "260.0, 330.0");
    practice
        .form(&format!("{capture}/examine"), &[])
        .await
        .place();
    let examined = practice.get(&visit).await.text();
    assert_eq!(field(&examined, "q.navicular_height_mm"), "35");
}

#[tokio::test]
async fn a_marker_file_gives_the_same_curves_once_its_labels_are_chosen() {
    let (practice, visit) = visit().await;
    let content = written::Content {
        labels: &written::LABELS,
        places: &written::rising(600, 100.0),
        rate: 100.0,
        unit: "mm",
        scale: 0.05,
    };
    let file = written::written(written::Order::Intel, true, &content);
    let fields = [("kind", "markers"), ("doing", "both-legs")];
    let capture = take_in(&practice, &visit, ("rises.c3d", &file), &fields)
        .await
        .place();
    let page = practice.get(&capture).await.text();
    assert!(page.contains("Choose which label"), "{page}");
    let half = [("revision", "1"), ("right-heel", "RHEE")];
    let refused = practice.form(&format!("{capture}/steps"), &half).await;
    assert!(
        refused.text().contains("metatarsal head"),
        "{}",
        refused.text()
    );
    let labels = [
        ("revision", "1"),
        ("right-heel", "RHEE"),
        ("right-heel-upper", "RHEU"),
        ("right-leg-lower", "RLEG"),
        ("right-leg-upper", "RCAL"),
        ("right-metatarsal", "RMT2"),
    ];
    practice
        .form(&format!("{capture}/steps"), &labels)
        .await
        .place();
    let page = practice.get(&capture).await.text();
    assert!(
        page.contains("Rises that count") && page.contains("<svg"),
        "{page}"
    );
    practice
        .form(&format!("{capture}/examine"), &[])
        .await
        .place();
    let examined = practice.get(&visit).await.text();
    let right = examined.rfind("name=\"q.heel_rise_double_count\"").unwrap();
    assert_ne!(field(&examined[right..], "q.heel_rise_double_count"), "");
}

#[tokio::test]
async fn files_that_are_no_clip_photograph_or_marker_file_get_one_sentence() {
    let (practice, visit) = visit().await;
    let still = png(100, 120, &vec![9; 100 * 120]);
    let one = packed([(still.as_slice(), 0.0)]).unwrap();
    let webm = [&[0x1A, 0x45, 0xDF, 0xA3][..], &[0; 60]].concat();
    let heic = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec();
    for (bytes, kind, part) in [
        (webm.as_slice(), "heel-rise", "needs script to be on"),
        (&one, "heel-rise", "holds one frame"),
        (b"PK\x03\x04 torn", "heel-rise", "no file of frames"),
        (&still, "heel-rise", "no file of frames"),
        (&webm, "from-behind", "this is a film clip"),
        (&heic, "from-behind", "HEIC"),
        (b"Dear colleague", "from-behind", "is not a picture"),
        (b"Dear colleague", "markers", "no C3D file"),
    ] {
        let refused = take_in(&practice, &visit, ("file", bytes), &[("kind", kind)]).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{part}");
        let said = refused.text();
        assert!(
            said.to_lowercase().contains(&part.to_lowercase()),
            "{part}: {said}"
        );
    }
    assert!(practice.get(&visit).await.text().contains("None yet."));
}
