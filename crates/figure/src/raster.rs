//! Drawings, and films under them, as pictures: PNG through resvg with our own font files only, so that
//! the same drawing gives the same picture on every machine.

use crate::ground::Ground;
use crate::overlay::{self, OverlayModel, Sheet};
use crate::paper;
use crate::svg::{Svg, number};
use resvg::{tiny_skia, usvg};
use std::sync::{Arc, OnceLock};

/// A drawing could not become a picture.
#[derive(Debug, thiserror::Error)]
pub enum RasterError {
    #[error("the drawing is not valid SVG ({0}); this is a fault of the program, please report it")]
    NotSvg(String),
    #[error(
        "found a picture of {width} × {height} pixels; at most 8000 × 8000 can be drawn, choose a smaller width"
    )]
    TooLarge { width: u32, height: u32 },
    #[error("the picture could not be packed as PNG ({0})")]
    NotPacked(String),
}

fn fonts() -> Arc<usvg::fontdb::Database> {
    static FONTS: OnceLock<Arc<usvg::fontdb::Database>> = OnceLock::new();
    FONTS
        .get_or_init(|| {
            let mut all = usvg::fontdb::Database::new();
            for font in crate::FONTS {
                all.load_font_data(font.to_vec());
            }
            all.set_sans_serif_family(crate::FONT_FAMILY);
            all.set_serif_family(crate::FONT_FAMILY);
            Arc::new(all)
        })
        .clone()
}

/// Draws an SVG at the given width in pixels on white.
pub fn png(svg: &str, width: u32) -> Result<Vec<u8>, RasterError> {
    let options = usvg::Options {
        fontdb: fonts(),
        font_family: crate::FONT_FAMILY.into(),
        ..usvg::Options::default()
    };
    let tree =
        usvg::Tree::from_str(svg, &options).map_err(|e| RasterError::NotSvg(e.to_string()))?;
    let scale = width as f32 / tree.size().width();
    let height = (tree.size().height() * scale).round() as u32;
    if width == 0 || height == 0 || width > 8000 || height > 8000 {
        return Err(RasterError::TooLarge { width, height });
    }
    let mut picture =
        tiny_skia::Pixmap::new(width, height).ok_or(RasterError::TooLarge { width, height })?;
    picture.fill(tiny_skia::Color::WHITE);
    resvg::render(
        &tree,
        tiny_skia::Transform::from_scale(scale, scale),
        &mut picture.as_mut(),
    );
    picture
        .encode_png()
        .map_err(|e| RasterError::NotPacked(e.to_string()))
}

/// The film with its overlay as one SVG; the film is carried inside as PNG. A flat border around the film
/// is cut away, and the type is sized for paper (see [`crate::paper`]).
pub fn annotated_film_svg(film_png: &[u8], model: &OverlayModel) -> String {
    let ground = Ground::of_png(film_png, [model.width_px, model.height_px]);
    let area = ground
        .as_ref()
        .map_or([0.0, 0.0, model.width_px, model.height_px], |g| {
            g.area_with(drawn_points(model))
        });
    let (size, pen) = paper::type_and_pen(area[2] - area[0], area[3] - area[1]);
    let mut svg = Svg::with_view(area, &model.title, &model.description);
    let data = format!("data:image/png;base64,{}", base64(film_png));
    svg.element(
        "image",
        &[
            ("x", "0"),
            ("y", "0"),
            ("width", &number(model.width_px)),
            ("height", &number(model.height_px)),
            ("preserveAspectRatio", "none"),
            ("href", &data),
        ],
    );
    let sheet = Sheet {
        area,
        pen,
        type_size: Some(size),
        ground: ground.as_ref(),
    };
    overlay::draw(&mut svg, model, &sheet);
    svg.finish()
}

/// Every point that the drawing must not lose to a cut border.
fn drawn_points(model: &OverlayModel) -> impl Iterator<Item = [f64; 2]> + '_ {
    let lines = model.figures.iter().flat_map(|f| &f.lines);
    let ends = lines.flat_map(|(a, b)| [*a, *b]);
    let arcs = model.figures.iter().flat_map(|f| f.arc.iter().copied());
    model.points.iter().map(|p| p.at).chain(ends).chain(arcs)
}

/// The film with its overlay as PNG of the given width, cut and set as in [`annotated_film_svg`].
pub fn annotated_film_png(
    film_png: &[u8],
    model: &OverlayModel,
    width: u32,
) -> Result<Vec<u8>, RasterError> {
    png(&annotated_film_svg(film_png, model), width)
}

/// RFC 4648 section 4, with padding.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let b = [
            chunk[0],
            *chunk.get(1).unwrap_or(&0),
            *chunk.get(2).unwrap_or(&0),
        ];
        let n = u32::from_be_bytes([0, b[0], b[1], b[2]]);
        for i in 0..4 {
            if i <= chunk.len() {
                text.push(char::from(LETTERS[(n >> (18 - 6 * i) & 63) as usize]));
            } else {
                text.push('=');
            }
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_gives_the_test_vectors_of_rfc_4648() {
        for (bytes, text) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(bytes.as_bytes()), text);
        }
    }

    #[test]
    fn text_is_drawn_with_the_font_that_is_carried_along() {
        let mut svg = Svg::new(100.0, 40.0, "t", "");
        svg.text([5.0, 30.0], "12.3°", crate::svg::Text::new(30.0, "#000000"));
        let with = png(&svg.finish(), 100).unwrap();
        let without = png(&Svg::new(100.0, 40.0, "t", "").finish(), 100).unwrap();
        assert!(
            with.len() > without.len() + 200,
            "{} against {}",
            with.len(),
            without.len()
        );
    }

    #[test]
    fn an_annotated_film_is_cut_to_its_film_and_keeps_its_points() {
        let mut under = Svg::new(200.0, 100.0, "f", "");
        under.rect([0.0, 0.0], [200.0, 100.0], "#000000");
        under.rect([40.0, 20.0], [120.0, 60.0], "#505050");
        under.rect([90.0, 40.0], [20.0, 20.0], "#f0f0f0");
        let film = png(&under.finish(), 400).unwrap();
        let model = OverlayModel {
            width_px: 200.0,
            height_px: 100.0,
            pen: 1.0,
            points: vec![crate::overlay::OverlayPoint {
                key: "p".into(),
                name: "p".into(),
                at: [30.0, 50.0],
                state: crate::overlay::PointState::Placed,
                named: false,
            }],
            ..OverlayModel::default()
        };
        let svg = annotated_film_svg(&film, &model);
        assert!(svg.contains(r#"viewBox="26 20 134 60""#), "{}", &svg[..160]);
    }

    #[test]
    fn what_is_not_svg_is_refused_with_a_sentence() {
        assert!(matches!(png("<nothing", 10), Err(RasterError::NotSvg(_))));
    }
}
