//! Scans with names: for tests, for the demo, and for what must be refused.
//!
//! All people are invented. Lengths, ages and ailments are chosen to cover the range, not to count it.

use super::{Ground, Holes, Part, Place, ScanSpec, Unit};
use crate::child;
use crate::foot::{Age, FootSpec};
use crate::pose::Pose;
use crate::skin::{Build, Load, SkinSpec};
use serde::{Deserialize, Serialize};
use terms::{Sex, Side};

/// Why a scan cannot become a surface for a shell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Refusal {
    NoSole,
    CutThroughArch,
    BothFeet,
    NotAFoot,
    /// The file shows the other side than the one that is asked for.
    WrongSide,
    /// In no unit as long as a foot.
    NoUnitFits,
    TooFewTriangles,
}

fn adult(sex: Sex, side: Side, foot_length_mm: f64, seed: u64, pose: Pose, load: Load) -> SkinSpec {
    SkinSpec {
        foot: FootSpec {
            side,
            foot_length_mm,
            age: Age::Adult,
            pose,
            seed,
        },
        build: Build::of_adult(seed, sex, foot_length_mm),
        load,
        cut_height_mm: 120.0,
    }
}

fn young(sex: Sex, side: Side, years: f64, seed: u64, pose: Pose, load: Load) -> SkinSpec {
    let foot_length_mm = child::foot_length_mm(years, sex);
    SkinSpec {
        foot: FootSpec {
            side,
            foot_length_mm,
            age: Age::Child { years },
            pose,
            seed,
        },
        build: Build::of_child(seed, years),
        load,
        cut_height_mm: 0.44 * foot_length_mm,
    }
}

fn arch(build: f64, skin: SkinSpec) -> SkinSpec {
    SkinSpec {
        build: Build {
            arch: build,
            ..skin.build
        },
        ..skin
    }
}

fn holes(place: Place, count: usize, diameter_mm: f64) -> Holes {
    Holes {
        place,
        count,
        diameter_mm,
    }
}

/// Twenty scans that must become a surface.
pub fn presets() -> Vec<ScanSpec> {
    use Load::{Hanging, Standing};
    use Sex::{Female, Male};
    use Side::{Left, Right};
    let plain = Pose::neutral;
    let fallen = Pose::arch_collapse;
    let scan = |name: &str, skin: SkinSpec, triangles: usize, noise_mm: f64| ScanSpec {
        name: name.into(),
        seed: skin.foot.seed + 100,
        skin,
        triangles,
        noise_mm,
        ..ScanSpec::default()
    };
    vec![
        ScanSpec {
            turn_deg: [90.0, 0.0, 0.0],
            ..scan(
                "woman of 52, fallen arch, clean scan",
                adult(Female, Right, 246.0, 11, fallen(0.6), Hanging),
                200_000,
                0.1,
            )
        },
        ScanSpec {
            turn_deg: [12.0, 140.0, -35.0],
            shift_mm: [310.0, -45.0, 800.0],
            holes: vec![holes(Place::BetweenToes, 4, 7.0)],
            ..scan(
                "man of 44, plain foot, hand-held scanner",
                adult(Male, Left, 271.0, 12, plain(), Hanging),
                300_000,
                0.25,
            )
        },
        ScanSpec {
            unit: Unit::Metre,
            ground: Ground::Plate { below_mm: 0.2 },
            turn_deg: [-90.0, 0.0, 180.0],
            ..scan(
                "man of 67, high arch, standing on glass, metres",
                arch(1.6, adult(Male, Right, 282.0, 13, plain(), Standing)),
                150_000,
                0.2,
            )
        },
        ScanSpec {
            unit: Unit::Inch,
            turn_deg: [0.0, 77.0, 0.0],
            ..scan(
                "woman of 31, high arch, inches",
                arch(1.2, adult(Female, Left, 238.0, 14, plain(), Hanging)),
                120_000,
                0.15,
            )
        },
        ScanSpec {
            ground: Ground::FoamBox { depth_mm: 28.0 },
            turn_deg: [90.0, 0.0, 30.0],
            ..scan(
                "woman of 63, fallen arch, foam box",
                adult(Female, Right, 251.0, 15, fallen(0.4), Standing),
                180_000,
                0.2,
            )
        },
        ScanSpec {
            ground: Ground::FoamBox { depth_mm: 22.0 },
            turn_deg: [-90.0, 0.0, 0.0],
            inside_out: true,
            ..scan(
                "man of 58, foam box turned over",
                adult(Male, Left, 265.0, 16, plain(), Standing),
                90_000,
                0.3,
            )
        },
        ScanSpec {
            turn_deg: [200.0, -20.0, 65.0],
            holes: vec![holes(Place::Anywhere, 6, 6.0)],
            ..scan(
                "boy of 7, flexible flat foot",
                young(Male, Right, 7.0, 17, fallen(0.5), Hanging),
                100_000,
                0.2,
            )
        },
        ScanSpec {
            unit: Unit::Centimetre,
            turn_deg: [5.0, 181.0, 2.0],
            ..scan(
                "girl of 9, centimetres",
                young(Female, Left, 9.0, 18, plain(), Standing),
                80_000,
                0.15,
            )
        },
        ScanSpec {
            turn_deg: [90.0, 45.0, 10.0],
            doubled: 6,
            flipped: 8,
            ..scan(
                "boy of 13, doubled and flipped faces",
                young(Male, Left, 13.0, 19, plain(), Hanging),
                140_000,
                0.2,
            )
        },
        ScanSpec {
            plate_cut_mm: 3.0,
            turn_deg: [0.0, 0.0, 90.0],
            ..scan(
                "woman of 75, glass plate, broad foot",
                adult(Female, Left, 234.0, 20, fallen(0.3), Hanging),
                160_000,
                0.2,
            )
        },
        ScanSpec {
            turn_deg: [33.0, 222.0, -71.0],
            shift_mm: [-1200.0, 90.0, 33.0],
            spikes: 60,
            strays: 12,
            ..scan(
                "man of 25, spikes and stray pieces",
                adult(Male, Right, 293.0, 21, plain(), Hanging),
                250_000,
                0.3,
            )
        },
        ScanSpec {
            ground: Ground::Plate { below_mm: 6.0 },
            turn_deg: [91.0, 3.0, -140.0],
            ..scan(
                "woman of 40, leg hanging over a table",
                adult(Female, Right, 258.0, 22, plain(), Hanging),
                130_000,
                0.25,
            )
        },
        ScanSpec {
            turn_deg: [-60.0, 10.0, 110.0],
            ..scan(
                "man of 71, collapsed foot, a million triangles",
                adult(Male, Left, 276.0, 23, fallen(1.0), Standing),
                1_000_000,
                0.12,
            )
        },
        ScanSpec {
            turn_deg: [145.0, 60.0, 20.0],
            noise_reach_mm: 6.0,
            ..scan(
                "woman of 36, thirty thousand triangles",
                adult(Female, Left, 243.0, 24, plain(), Standing),
                30_000,
                0.3,
            )
        },
        ScanSpec {
            turn_deg: [10.0, -95.0, 5.0],
            holes: vec![
                holes(Place::Arch, 2, 12.0),
                holes(Place::BetweenToes, 3, 9.0),
            ],
            ..scan(
                "man of 49, hole in the arch",
                adult(Male, Right, 261.0, 25, fallen(0.2), Hanging),
                220_000,
                0.3,
            )
        },
        ScanSpec {
            unit: Unit::Metre,
            turn_deg: [270.0, 0.0, 90.0],
            lid: true,
            ..scan(
                "woman of 55, closed surface, metres",
                adult(Female, Right, 229.0, 26, fallen(0.8), Standing),
                110_000,
                0.1,
            )
        },
        ScanSpec {
            turn_deg: [17.0, 17.0, 17.0],
            inside_out: true,
            ..scan(
                "man of 38, all faces inward",
                adult(Male, Left, 268.0, 27, plain(), Hanging),
                170_000,
                0.2,
            )
        },
        ScanSpec {
            turn_deg: [88.0, -2.0, 178.0],
            skin: SkinSpec {
                cut_height_mm: 215.0,
                ..adult(Male, Right, 255.0, 28, plain(), Standing)
            },
            ..scan(
                "man of 60, cut high above the ankle",
                adult(Male, Right, 255.0, 28, plain(), Standing),
                200_000,
                0.2,
            )
        },
        ScanSpec {
            turn_deg: [-130.0, 40.0, 0.0],
            noise_reach_mm: 3.0,
            holes: vec![
                holes(Place::Anywhere, 10, 8.0),
                holes(Place::BetweenToes, 4, 10.0),
            ],
            spikes: 20,
            strays: 5,
            doubled: 3,
            flipped: 3,
            ..scan(
                "woman of 47, everything at once",
                adult(Female, Left, 247.0, 29, fallen(0.5), Hanging),
                350_000,
                0.5,
            )
        },
        ScanSpec {
            turn_deg: [90.0, 0.0, -90.0],
            shift_mm: [0.0, 0.0, -50.0],
            ..scan(
                "girl of 15, very high arch",
                arch(1.9, young(Female, Right, 15.0, 30, plain(), Standing)),
                60_000,
                0.15,
            )
        },
    ]
}

/// Scans that must be refused, and why. The side to ask for is the spec's own.
pub fn refused() -> Vec<(ScanSpec, Refusal)> {
    let skin = |seed: u64| {
        adult(
            Sex::Female,
            Side::Right,
            248.0,
            seed,
            Pose::neutral(),
            Load::Hanging,
        )
    };
    let base = |name: &str, seed: u64| ScanSpec {
        name: name.into(),
        skin: skin(seed),
        seed,
        triangles: 100_000,
        noise_mm: 0.2,
        turn_deg: [40.0, 100.0, -20.0],
        ..ScanSpec::default()
    };
    vec![
        (
            ScanSpec {
                part: Part::Upper,
                ..base("scanned from above, no sole", 41)
            },
            Refusal::NoSole,
        ),
        (
            ScanSpec {
                part: Part::Upper,
                ground: Ground::Plate { below_mm: 0.0 },
                skin: SkinSpec {
                    load: Load::Standing,
                    ..skin(41)
                },
                ..base("standing on the floor, no sole", 42)
            },
            Refusal::NoSole,
        ),
        (
            ScanSpec {
                part: Part::Rear,
                ..base("cut through the arch, heel kept", 41)
            },
            Refusal::CutThroughArch,
        ),
        (
            ScanSpec {
                part: Part::Front,
                ..base("cut through the arch, toes kept", 41)
            },
            Refusal::CutThroughArch,
        ),
        (
            ScanSpec {
                part: Part::BothFeet,
                ..base("both feet in one file", 41)
            },
            Refusal::BothFeet,
        ),
        (
            ScanSpec {
                part: Part::Hand,
                ..base("a hand", 44)
            },
            Refusal::NotAFoot,
        ),
        (
            ScanSpec {
                mirrored: true,
                ..base("the other side", 41)
            },
            Refusal::WrongSide,
        ),
        (
            ScanSpec {
                scale: 0.27,
                ..base("too small in mm, too large in every other unit", 41)
            },
            Refusal::NoUnitFits,
        ),
        (
            ScanSpec {
                triangles: 300,
                ..base("three hundred triangles", 41)
            },
            Refusal::TooFewTriangles,
        ),
    ]
}
