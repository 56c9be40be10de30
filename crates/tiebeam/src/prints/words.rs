//! Words and numbers of the command line to what is asked of a print.

use anyhow::{Result, anyhow};
use clap::ValueEnum;
use print::{Medium, Paper, Place, PressureUnit, Scaling};

#[derive(Clone, Copy, ValueEnum)]
pub enum MediumWord {
    /// Ink or carbon on paper
    Ink,
    /// A wet sole on paper
    Wet,
    /// The sole itself on a flat-bed scanner
    Scan,
    /// A grid of pressures
    Pressure,
}

impl MediumWord {
    pub fn medium(self) -> Medium {
        match self {
            MediumWord::Ink => Medium::Ink,
            MediumWord::Wet => Medium::Wet,
            MediumWord::Scan => Medium::Scan,
            MediumWord::Pressure => Medium::Pressure,
        }
    }
}

#[derive(Clone, Copy, ValueEnum)]
pub enum UnitWord {
    /// Kilopascal
    Kpa,
    /// Newton per square centimetre
    NPerCm2,
}

impl UnitWord {
    pub fn pressure(self) -> PressureUnit {
        match self {
            UnitWord::Kpa => PressureUnit::Kilopascal,
            UnitWord::NPerCm2 => PressureUnit::NewtonPerSquareCentimetre,
        }
    }
}

/// Numbers parted by commas; as many as are asked for.
fn numbers<const N: usize>(text: &str) -> Option<[f64; N]> {
    let all: Option<Vec<f64>> = text
        .split(',')
        .map(|t| t.trim().parse().ok().filter(|n: &f64| n.is_finite()))
        .collect();
    all?.try_into().ok()
}

fn place(text: &str) -> Result<Place, String> {
    numbers(text).ok_or_else(|| format!("'{text}' is no place; expected X,Y such as 812.5,1204"))
}

pub fn ruler(text: &str) -> Result<Scaling, String> {
    let parts: Vec<&str> = text.split(';').collect();
    let [from, to, mm] = parts[..] else {
        return Err(
            "expected two places and a length, such as \"120,80;920,84;100\" in quotation marks"
                .to_owned(),
        );
    };
    let [mm] = numbers(mm)
        .ok_or_else(|| format!("'{mm}' is no length; expected millimetres such as 100"))?;
    Ok(Scaling::Ruler {
        from: place(from)?,
        to: place(to)?,
        mm,
    })
}

pub fn paper(text: &str) -> Result<Paper, String> {
    match text {
        "a4" => Ok(Paper::A4),
        "letter" => Ok(Paper::Letter),
        _ => numbers(text)
            .map(|[a, b]: [f64; 2]| Paper::Given {
                long_mm: a.max(b),
                short_mm: a.min(b),
            })
            .ok_or_else(|| "expected a4, letter, or both sides in mm such as 420,297".to_owned()),
    }
}

pub fn corners(text: &str) -> Result<[Place; 4], String> {
    let all: Result<Vec<Place>, String> = text.split(';').map(place).collect();
    all?.try_into().map_err(|found: Vec<Place>| {
        format!(
            "found {} places; expected the four corners, such as \"10,12;1980,9;1991,2790;4,2801\" in quotation marks",
            found.len()
        )
    })
}

pub fn pitch(text: &str) -> Result<[f64; 2], String> {
    let one = numbers(text).map(|[both]: [f64; 1]| [both, both]);
    one.or_else(|| numbers(text))
        .ok_or_else(|| "expected millimetres such as 8.5, or 7.6,5.1 across and along".to_owned())
}

/// # Errors
/// A rate that no plate has.
pub fn rate(hz: f64) -> Result<f64> {
    if hz > 0.0 && hz <= 10_000.0 {
        return Ok(hz);
    }
    Err(anyhow!(
        "found {hz} grids a second; expected more than 0 and at most 10000; give the rate of the recording"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_lengths_and_papers_are_read_as_they_are_written_and_everything_else_is_told() {
        assert_eq!(
            ruler("120,80; 920,84 ;100"),
            Ok(Scaling::Ruler {
                from: [120.0, 80.0],
                to: [920.0, 84.0],
                mm: 100.0
            })
        );
        assert_eq!(pitch("8.5"), Ok([8.5, 8.5]));
        assert_eq!(pitch("7.6,5.1"), Ok([7.6, 5.1]));
        assert_eq!(
            paper("297,420"),
            Ok(Paper::Given {
                long_mm: 420.0,
                short_mm: 297.0
            })
        );
        assert_eq!(corners("0,0;9,0;9,9;0,9").map(|c| c[2]), Ok([9.0, 9.0]));
        for bad in ["", "1,2;3,4", "1,2;3,4;x", "a,b;c,d;1", "1,2;3,NaN;5"] {
            assert!(ruler(bad).is_err_and(|e| e.contains("expected")), "{bad:?}");
        }
        assert!(corners("0,0;9,0;9,9").is_err_and(|e| e.contains("found 3")));
        assert!(pitch("1,2,3").is_err() && pitch("inf").is_err() && paper("a5").is_err());
        assert!(rate(0.0).is_err() && rate(f64::NAN).is_err() && rate(50.0).is_ok());
    }
}
