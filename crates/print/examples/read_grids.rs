//! Grids of pressure from files to indices, one line of JSON for each.
//!
//!     read_grids PITCH_X_MM PITCH_Y_MM CONTACT FILE...
//!
//! `CONTACT` is the value above which a cell counts as loaded, in the unit of the files, or `-`.

use print::{Pitch, PressureUnit, PrintError, Sheet, Wish, find, read, recording};
use serde_json::{Value, json};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let all: Vec<String> = std::env::args().skip(1).collect();
    let [x, y, contact, files @ ..] = &all[..] else {
        return Err("expected PITCH_X_MM PITCH_Y_MM CONTACT FILE...".into());
    };
    let pitch = Pitch::new(x.parse()?, y.parse()?, 0.0)?;
    let wish = Wish {
        level: contact.parse().ok(),
        ..Wish::default()
    };
    for file in files {
        let text = std::fs::read_to_string(file)?;
        let row = match one(&text, pitch, &wish) {
            Ok(feet) => json!({ "file": file, "feet": feet }),
            Err(error) => json!({ "file": file, "refused": error.to_string() }),
        };
        println!("{row}");
    }
    Ok(())
}

fn one(text: &str, pitch: Pitch, wish: &Wish) -> Result<Vec<Value>, PrintError> {
    let sheet = Sheet::of_pressure(recording(text, PressureUnit::Kilopascal, None)?, pitch)?;
    let steps = find(&sheet, wish)?;
    let readings = read(&sheet, &steps)?;
    let feet = readings.feet.iter().zip(&steps.feet).map(|(foot, step)| {
        let mut row = json!({
            "side": foot.side.word(),
            "confidence": step.side.is.confidence,
            "doubts": foot.doubts,
        });
        for r in &foot.readings {
            row[r.index.key()] = json!([r.estimate.value, r.estimate.standard_error]);
        }
        row
    });
    Ok(feet.collect())
}
