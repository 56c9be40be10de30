//! What is found in one file of a foot?
//!
//!     cargo run -p surface --example foot_of_file -- FILE [--load none|partial|full]
//!
//! One line of JSON: side, unit, length, points, what was mended; or the sentence with which it was refused.

use serde_json::json;
use std::error::Error;
use surface::{Asked, Dimensions, Load, Point, Size, prepare};

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let (file, load) = match words.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        [file] => (file.to_owned(), Load::Full),
        [file, "--load", load] => (
            file.to_owned(),
            match load {
                "none" => Load::None,
                "partial" => Load::Partial,
                "full" => Load::Full,
                other => {
                    return Err(format!(
                        "found the load {other:?}; expected none, partial or full"
                    )
                    .into());
                }
            },
        ),
        _ => {
            return Err(
                "found no file; expected: foot_of_file FILE [--load none|partial|full]".into(),
            );
        }
    };
    let bytes = std::fs::read(&file)?;
    let found = match mesh::read(&bytes).map_err(|e| e.to_string()) {
        Ok(file) => prepare(file, &Asked::load(load), &mut |_, _| {}).map_err(|e| e.to_string()),
        Err(e) => Err(e),
    };
    let said = match found {
        Err(refused) => json!({ "file": file, "refused": refused }),
        Ok(found) => {
            let points: serde_json::Map<_, _> = Point::ALL
                .into_iter()
                .map(|p| {
                    let at = found.foot.points.mark(p).at;
                    let row = json!({ "foot_mm": at, "file": found.alignment.file_point(at), "guessed": found.report.guessed.contains(&p) });
                    (p.words().to_owned(), row)
                })
                .collect();
            let sizes = Dimensions::of(&found.foot);
            let sizes: serde_json::Map<_, _> = Size::ALL
                .into_iter()
                .map(|s| (s.words().to_owned(), json!(sizes.value_mm(s))))
                .collect();
            json!({
                "file": file,
                "side": found.foot.side.word(),
                "side_confidence": found.alignment.side_confidence,
                "unit": found.report.unit,
                "length_mm": found.foot.points.foot_length_mm(),
                "points": points,
                "sizes_mm": sizes,
                "mends": found.report.mends.iter().map(|m| m.words.as_str()).collect::<Vec<_>>(),
                "triangles": found.report.triangles,
            })
        }
    };
    println!("{said}");
    Ok(())
}
