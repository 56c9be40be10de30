//! Skins and scans of invented feet, to be looked at, and how their sizes compare with a survey.
//!
//! `cargo run -p phantom --example scans -- OUT [skins] [presets] [refused] [table]` (all, if none is named):
//! pictures as PNG into the folder OUT, figures to the screen.

use phantom::scan::{self, ScanSpec};
use phantom::skin::{Build, Load, Sizes, SkinSpec, build_skin};
use phantom::{Age, FootSpec, Mesh, Pose};
use std::error::Error;
use std::path::Path;
use std::time::Instant;
use terms::{Sex, Side};

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [out, wishes @ ..] = words.as_slice() else {
        return Err("found no folder; say where the pictures go: scans OUT [skins] [presets] [refused] [table]".into());
    };
    let out = Path::new(out);
    std::fs::create_dir_all(out)?;
    let wants = |word: &str| wishes.is_empty() || wishes.iter().any(|w| w == word);
    if wants("skins") {
        skins(out)?;
    }
    if wants("presets") {
        scans(out, "scan", scan::presets())?;
    }
    if wants("refused") {
        scans(
            out,
            "refused",
            scan::refused().into_iter().map(|(spec, _)| spec).collect(),
        )?;
    }
    if wants("table") {
        table()?;
    }
    Ok(())
}

/// The same foot in two loads, and others beside it.
fn skins(out: &Path) -> Result<(), Box<dyn Error>> {
    let adult = |pose: Pose| FootSpec {
        pose,
        ..FootSpec::adult()
    };
    let years = 4.0;
    let child = FootSpec {
        age: Age::Child { years },
        foot_length_mm: phantom::child::foot_length_mm(years, Sex::Female),
        side: Side::Left,
        ..FootSpec::adult()
    };
    let specs = [
        (
            "standing",
            SkinSpec::of(adult(Pose::neutral()), Load::Standing),
        ),
        (
            "hanging",
            SkinSpec::of(adult(Pose::neutral()), Load::Hanging),
        ),
        (
            "flat",
            SkinSpec::of(adult(Pose::arch_collapse(1.0)), Load::Standing),
        ),
        (
            "high",
            SkinSpec {
                build: Build {
                    arch: 1.8,
                    ..Build::plain()
                },
                ..SkinSpec::of(adult(Pose::neutral()), Load::Standing)
            },
        ),
        (
            "child",
            SkinSpec {
                build: Build::of_child(3, years),
                cut_height_mm: 70.0,
                ..SkinSpec::of(child, Load::Standing)
            },
        ),
    ];
    for (name, spec) in specs {
        let start = Instant::now();
        let skin = build_skin(&spec)?;
        println!(
            "{name}: {} triangles in {:.2} s",
            skin.mesh.triangles.len(),
            start.elapsed().as_secs_f64()
        );
        print_sizes(&skin.sizes);
        let marks: Vec<[f64; 3]> = skin.marks.points.values().copied().collect();
        write_sheet(out, name, &skin.mesh, &marks)?;
    }
    Ok(())
}

fn print_sizes(s: &Sizes) {
    println!(
        "  length {:.1}  ball length {:.1}  breadth {:.1}  heel {:.1}  ball girth {:.1}  instep {:.1}  navicular {:.1}  arch {:.1} mm",
        s.foot_length_mm,
        s.ball_length_mm,
        s.foot_breadth_mm,
        s.heel_breadth_mm,
        s.ball_girth_mm,
        s.instep_height_mm,
        s.navicular_height_mm,
        s.arch_clearance_mm
    );
}

fn scans(out: &Path, kind: &str, specs: Vec<ScanSpec>) -> Result<(), Box<dyn Error>> {
    for (n, spec) in specs.into_iter().enumerate() {
        let start = Instant::now();
        let scan = scan::make(&spec)?;
        println!(
            "{kind} {:2}: {:7} triangles in {:.2} s: {}",
            n + 1,
            scan.mesh.triangles.len(),
            start.elapsed().as_secs_f64(),
            spec.name
        );
        let (mesh, marks) = match &scan.truth {
            Some(truth) => {
                let back = truth.file_from_world.inverse();
                let upright = scan.mesh.map(|v| back.point(v));
                let marks = truth.marks.values().map(|&m| back.point(m)).collect();
                (upright, marks)
            }
            None => (scan.mesh, vec![]),
        };
        write_sheet(out, &format!("{kind}-{:02}", n + 1), &mesh, &marks)?;
    }
    Ok(())
}

/// Forty people against the survey that proportions are drawn from.
fn table() -> Result<(), Box<dyn Error>> {
    /// A dimension's name and where it is found.
    type Dimension = (&'static str, fn(&Sizes) -> f64);
    /// With its mean and SD of men and of women.
    type Row = (&'static str, fn(&Sizes) -> f64, [[f64; 2]; 2]);
    // ANSUR II 2012, 4082 men and 1986 women; means and SDs computed from the public table.
    let rows: [Row; 8] = [
        (
            "foot length",
            |s| s.foot_length_mm,
            [[271.2, 13.1], [246.3, 12.4]],
        ),
        (
            "ball length",
            |s| s.ball_length_mm,
            [[200.9, 10.5], [182.1, 9.6]],
        ),
        (
            "foot breadth",
            |s| s.foot_breadth_mm,
            [[101.9, 5.2], [92.7, 4.8]],
        ),
        (
            "ball girth",
            |s| s.ball_girth_mm,
            [[252.0, 12.9], [228.1, 11.8]],
        ),
        (
            "heel breadth",
            |s| s.heel_breadth_mm,
            [[72.5, 5.5], [67.2, 5.2]],
        ),
        (
            "heel-ankle girth",
            |s| s.heel_ankle_girth_mm,
            [[343.5, 16.6], [310.3, 15.3]],
        ),
        (
            "malleolar breadth",
            |s| s.malleolar_breadth_mm,
            [[74.8, 4.1], [67.0, 3.5]],
        ),
        (
            "outer malleolus height",
            |s| s.lateral_malleolus_height_mm,
            [[72.9, 5.7], [62.7, 5.1]],
        ),
    ];
    let extra: [Dimension; 3] = [
        ("instep height", |s| s.instep_height_mm),
        ("navicular height", |s| s.navicular_height_mm),
        ("arch clearance", |s| s.arch_clearance_mm),
    ];
    for (which, sex) in [(0, Sex::Male), (1, Sex::Female)] {
        let [mean, sd] = rows[0].2[which];
        let mut all = Vec::new();
        for n in 0..20u64 {
            // Lengths at the middles of twenty equal shares of a normal spread, so that the sample's own
            // luck does not hide the difference.
            let foot_length_mm = mean + sd * normal_quantile((n as f64 + 0.5) / 20.0);
            let seed = 1000 + n * 7 + which as u64 * 500;
            let spec = SkinSpec {
                foot: FootSpec {
                    foot_length_mm,
                    seed,
                    ..FootSpec::adult()
                },
                build: Build::of_adult(seed, sex, foot_length_mm),
                load: Load::Standing,
                cut_height_mm: 120.0,
            };
            all.push(build_skin(&spec)?.sizes.clone());
        }
        println!(
            "{sex:?}, 20 invented feet, mm        here: mean    SD   survey: mean    SD   difference"
        );
        for (name, of, survey) in rows {
            let (m, s) = spread(all.iter().map(of));
            let [mean, sd] = survey[which];
            println!(
                "  {name:24}          {m:9.1} {s:6.1} {mean:14.1} {sd:6.1} {:12.1}",
                m - mean
            );
        }
        for (name, of) in extra {
            let (m, s) = spread(all.iter().map(of));
            println!("  {name:24}          {m:9.1} {s:6.1}   (not in the survey)");
        }
    }
    Ok(())
}

fn spread(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let v: Vec<f64> = values.collect();
    let mean = v.iter().sum::<f64>() / v.len() as f64;
    let square = v.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (v.len() as f64 - 1.0);
    (mean, square.sqrt())
}

/// By halving; the error function by its series.
fn normal_quantile(share: f64) -> f64 {
    let below = |x: f64| {
        let (mut term, mut sum) = (x, x);
        for n in 1..80 {
            term *= x * x / (2.0 * n as f64 + 1.0);
            sum += term;
        }
        0.5 + sum * (-0.5 * x * x).exp() / std::f64::consts::TAU.sqrt()
    };
    let (mut low, mut high) = (-5.0, 5.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if below(middle) < share {
            low = middle
        } else {
            high = middle
        }
    }
    0.5 * (low + high)
}

fn write_sheet(
    out: &Path,
    name: &str,
    mesh: &Mesh,
    marks: &[[f64; 3]],
) -> Result<(), Box<dyn Error>> {
    // From where, and which way is up in the picture.
    let views = [
        ([0.0, -1.0, 0.0], [0.0, 0.0, 1.0]),
        ([0.0, 0.0, -1.0], [0.0, 1.0, 0.0]),
        ([0.0, 0.0, 1.0], [0.0, 1.0, 0.0]),
        ([-1.0, 0.0, 0.0], [0.0, 1.0, 0.0]),
        ([0.3, 1.0, 0.0], [0.0, 0.0, -1.0]),
        ([0.6, -0.5, -0.7], [0.0, 1.0, 0.0]),
    ];
    let pictures: Vec<Picture> = views
        .iter()
        .map(|&(from, up)| Picture::of(mesh, from, up, marks))
        .collect();
    let sheet = Picture::sheet(&pictures, 2);
    let png = film::encode_png8(&sheet.grey, sheet.width as u32, sheet.height as u32)?;
    Ok(std::fs::write(out.join(format!("{name}.png")), png)?)
}

/// A grey picture of a surface lit from the viewer's upper left.
struct Picture {
    grey: Vec<u8>,
    width: usize,
    height: usize,
}

const PIXELS_A_MM: f64 = 2.5;

impl Picture {
    fn of(mesh: &Mesh, from: [f64; 3], up: [f64; 3], marks: &[[f64; 3]]) -> Picture {
        let unit = |a: [f64; 3]| {
            let l = dot(a, a).sqrt();
            a.map(|c| c / l)
        };
        let toward = unit(from);
        let right = unit(cross(up, toward));
        let up = cross(toward, right);
        let seen = |q: [f64; 3]| [dot(q, right), -dot(q, up), dot(q, toward)];
        let v: Vec<[f64; 3]> = mesh.vertices.iter().map(|&q| seen(q)).collect();
        let mut low = [f64::INFINITY; 2];
        let mut high = [f64::NEG_INFINITY; 2];
        for q in &v {
            for k in 0..2 {
                low[k] = low[k].min(q[k] - 4.0);
                high[k] = high[k].max(q[k] + 4.0);
            }
        }
        let width = ((high[0] - low[0]) * PIXELS_A_MM) as usize + 1;
        let height = ((high[1] - low[1]) * PIXELS_A_MM) as usize + 1;
        let mut depth = vec![f64::NEG_INFINITY; width * height];
        let mut grey = vec![24u8; width * height];
        // Smooth shading: normals of corners.
        let mut normals = vec![[0.0; 3]; v.len()];
        for t in &mesh.triangles {
            let [a, b, c] = t.map(|i| v[i as usize]);
            // Down is down in a picture, which turns the surface over.
            let n = cross(sub(c, a), sub(b, a));
            for &i in t {
                for k in 0..3 {
                    normals[i as usize][k] += n[k];
                }
            }
        }
        let light = unit([-0.5, -0.6, 0.75]);
        for t in &mesh.triangles {
            let p = t.map(|i| {
                let q = v[i as usize];
                [
                    (q[0] - low[0]) * PIXELS_A_MM,
                    (q[1] - low[1]) * PIXELS_A_MM,
                    q[2],
                ]
            });
            let n = t.map(|i| unit(normals[i as usize]));
            let area = (p[1][0] - p[0][0]) * (p[2][1] - p[0][1])
                - (p[2][0] - p[0][0]) * (p[1][1] - p[0][1]);
            if area.abs() < 1e-9 {
                continue;
            }
            let min = |k: usize| {
                p.iter()
                    .map(|q| q[k])
                    .fold(f64::INFINITY, f64::min)
                    .max(0.0) as usize
            };
            let max = |k: usize, top: usize| {
                (p.iter().map(|q| q[k]).fold(0.0, f64::max).ceil() as usize).min(top - 1)
            };
            for y in min(1)..=max(1, height) {
                for x in min(0)..=max(0, width) {
                    let (fx, fy) = (x as f64, y as f64);
                    let w = |a: usize, b: usize| {
                        ((p[b][0] - p[a][0]) * (fy - p[a][1])
                            - (fx - p[a][0]) * (p[b][1] - p[a][1]))
                            / area
                    };
                    let w = [w(1, 2), w(2, 0), w(0, 1)];
                    if w.iter().any(|&w| w < -1e-9) {
                        continue;
                    }
                    let z: f64 = (0..3).map(|k| w[k] * p[k][2]).sum();
                    let at = y * width + x;
                    if z <= depth[at] {
                        continue;
                    }
                    depth[at] = z;
                    let normal = [0, 1, 2].map(|k| (0..3).map(|i| w[i] * n[i][k]).sum::<f64>());
                    let normal = unit(normal);
                    let lit = if normal[2] < 0.0 {
                        0.1
                    } else {
                        0.18 + 0.82 * dot(normal, light).max(0.0)
                    };
                    grey[at] = (lit * 235.0) as u8;
                }
            }
        }
        for &m in marks {
            let q = seen(m);
            let (x, y) = ((q[0] - low[0]) * PIXELS_A_MM, (q[1] - low[1]) * PIXELS_A_MM);
            let at = (y.max(0.0) as usize).min(height - 1) * width
                + (x.max(0.0) as usize).min(width - 1);
            if q[2] < depth[at] - 3.0 {
                continue;
            }
            for d in -5i64..=5 {
                for (dx, dy) in [(d, 0), (0, d)] {
                    let (x, y) = (x as i64 + dx, y as i64 + dy);
                    if (0..width as i64).contains(&x) && (0..height as i64).contains(&y) {
                        grey[y as usize * width + x as usize] = if d % 2 == 0 { 255 } else { 0 };
                    }
                }
            }
        }
        Picture {
            grey,
            width,
            height,
        }
    }

    /// Pictures beside and below each other.
    fn sheet(pictures: &[Picture], across: usize) -> Picture {
        let w = pictures.iter().map(|p| p.width).max().unwrap_or(1);
        let h = pictures.iter().map(|p| p.height).max().unwrap_or(1);
        let rows = pictures.len().div_ceil(across);
        let mut sheet = Picture {
            grey: vec![24; w * across * h * rows],
            width: w * across,
            height: h * rows,
        };
        for (i, p) in pictures.iter().enumerate() {
            let (x0, y0) = ((i % across) * w, (i / across) * h);
            for y in 0..p.height {
                let to = (y0 + y) * sheet.width + x0;
                sheet.grey[to..to + p.width]
                    .copy_from_slice(&p.grey[y * p.width..(y + 1) * p.width]);
            }
        }
        sheet
    }
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
fn sub(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}
fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}
