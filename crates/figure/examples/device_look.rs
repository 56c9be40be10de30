//! Workshop drawings of invented devices, to be looked at: `device_look OUT`.
//!
//! Writes the sheet and the four views of each as SVG and PNG into the folder OUT and says how long each took.

use figure::device::{DeviceModel, sheets, views};
use shell::prescription::{ForefootPost, Skive, Thickness};
use std::error::Error;
use std::path::Path;
use std::time::Instant;
use terms::Side;

#[path = "../../shell/tests/common/mod.rs"]
mod common;

#[allow(clippy::disallowed_methods)] // Timing is what this example is for.
fn main() -> Result<(), Box<dyn Error>> {
    let out = std::env::args()
        .nth(1)
        .ok_or("found no folder; say where the drawings go: device_look OUT")?;
    let out = Path::new(&out);
    std::fs::create_dir_all(out)?;
    let mut rich = common::posted(4.0);
    rich.order_code = "T7".into();
    rich.forefoot_post = Some(ForefootPost {
        angle: quantity::Angle::degrees(3.0),
        length: quantity::Length::mm(22.0),
        separate: false,
    });
    rich.corrections.skive = Some(Skive {
        depth: quantity::Length::mm(4.0),
        angle: Skive::usual_angle(),
        clipped: false,
    });
    rich.shell.heel_cup_depth = quantity::Length::mm(18.0);
    rich.shell.medial_flange = Some(quantity::Length::mm(34.0));
    rich.shell.thickness = Thickness::ThickerArch {
        arch: quantity::Length::mm(3.6),
        rest: quantity::Length::mm(3.0),
    };
    let cases = [
        ("plain-left", 255.0, 18.0, Side::Left, common::plain()),
        (
            "posted-right",
            255.0,
            18.0,
            Side::Right,
            common::posted(4.0),
        ),
        ("rich-left", 268.0, 20.0, Side::Left, rich.clone()),
        ("large-right", 310.0, 16.0, Side::Right, rich),
        ("child-left", 160.0, 9.0, Side::Left, common::posted(2.0)),
    ];
    for (name, length, arch, side, wanted) in cases {
        let foot = common::foot(length, arch, side);
        let device = shell::build(&foot, &wanted, &common::POWDER, shell::Detail::FINAL)?;
        let bodies: Vec<_> = device
            .bodies
            .iter()
            .map(|b| (b.part, b.mesh.clone()))
            .collect();
        let found = shell::measured::dimensions(&device, &wanted, &bodies);
        let model = DeviceModel {
            device: &device,
            wanted: &wanted,
            found: &found,
            section_mm: None,
            spoken: None,
        };
        let begun = Instant::now();
        let drawings = sheets(&model, [180.0, 262.0]);
        let took = begun.elapsed();
        println!("{name}: {:.0} ms", took.as_secs_f64() * 1e3);
        for sheet in &drawings {
            println!(
                "  {:?}, {:.0} × {:.0} mm: {}",
                sheet.scale, sheet.width_mm, sheet.height_mm, sheet.alt
            );
        }
        let views = views(&model).ok_or("no shell")?;
        let pages = drawings.iter().zip(["sheet", "second-sheet"]);
        let alone = [
            ("plan", &views.plan),
            ("inner", &views.inner),
            ("behind", &views.behind),
            ("section", &views.section),
        ];
        for (view, drawing) in pages.map(|(d, name)| (name, d)).chain(alone) {
            std::fs::write(out.join(format!("{name}-{view}.svg")), &drawing.svg)?;
            let dots = (drawing.width_mm * 8.0) as u32;
            std::fs::write(
                out.join(format!("{name}-{view}.png")),
                figure::png(&drawing.svg, dots)?,
            )?;
        }
    }
    Ok(())
}
