//! Times the equations of a curved plate at about 30,000, 100,000 and 200,000 unknowns and writes each matrix,
//! so that another program may factor the same one; then contact and large motion of a bowed shell on a floor.
//!
//! `cargo run -p fem --example solve_speed [FOLDER]`
//!
//! With a folder, a line `TIMES {json}` for each matrix comes beside the words, and contact is left out.
//!
//! The file is little-endian: the number of equations and of entries as u64, the column starts and rows of
//! the lower triangle as u64, its values, the right-hand side and the solution found here as f64.

#[path = "../tests/cases/grid.rs"]
#[allow(dead_code)]
mod grid;

use std::io::Write;
use std::path::Path;
use std::time::Duration;

use fem::factor::Plan;
use fem::pattern::Pattern;
use fem::{
    Candidate, Contact, Floor, Freedom, Isotropic, Load, Mesh, Model, Section, Steps, Supports,
    Thickness, bend,
};
use grid::{Cut, Grid};
use nalgebra::{Point3, Vector3};

fn model(columns: usize, rows: usize) -> (Model, Load) {
    // A saddle-shaped plate of 250 by 90 by 3, clamped at one end.
    let grid = Grid::new(columns, rows, Cut::Alternating, |u, v| {
        let (x, y) = (250.0 * u, 90.0 * (v - 0.5));
        Point3::new(x, y, 0.002 * (x - 125.0).powi(2) - 0.004 * y * y)
    });
    let held = grid.column(0);
    let mesh = Mesh::new(grid.nodes, grid.triangles, Thickness::Uniform(3.0)).expect("a mesh");
    let mut supports = Supports::none(mesh.nodes().len());
    for node in held {
        supports.hold(node, &Freedom::ALL);
    }
    let mut load = Load::none(mesh.nodes().len());
    load.traction(&mesh, |_| [Vector3::new(0.0, 0.001, -0.01); 3])
        .expect("a load");
    let section = Section::isotropic(Isotropic {
        modulus: 1400.0,
        poisson: 0.42,
    })
    .expect("a section");
    (
        Model::new(mesh, section)
            .with_supports(supports)
            .expect("supports"),
        load,
    )
}

fn write(
    path: &Path,
    pattern: &Pattern,
    values: &[f64],
    side: &[f64],
    found: &[f64],
) -> std::io::Result<()> {
    let mut file = std::io::BufWriter::new(std::fs::File::create(path)?);
    let (start, rows) = pattern.lower();
    let mut put = |number: u64| file.write_all(&number.to_le_bytes());
    put(side.len() as u64)?;
    put(rows.len() as u64)?;
    for &number in start.iter().chain(rows) {
        put(number as u64)?;
    }
    for &number in values.iter().chain(side).chain(found) {
        put(number.to_bits())?;
    }
    file.flush()
}

/// The most memory this process has held, in megabytes; unknown where the system does not say.
fn peak_megabytes() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? / 1024.0)
}

/// Time of this thread on the processor, so that a busy machine does not decide.
struct Clock(Duration);

impl Clock {
    fn now() -> Self {
        Self(Self::spent())
    }

    fn elapsed(&self) -> Duration {
        Self::spent() - self.0
    }

    fn spent() -> Duration {
        let time = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
        Duration::new(time.tv_sec as u64, time.tv_nsec as u32)
    }
}

/// The smallest one first, untimed, so that no time goes into bringing the program from the disk.
fn warm_up() {
    let (model, load) = model(132, 37);
    let system = fem::System::new(model).expect("a system");
    system.solve(&[&load]).expect("a solution");
}

fn main() {
    let folder = std::env::args().nth(1);
    warm_up();
    // The smallest one several times: it is over so soon that one turn would be chance.
    let sizes = [(132, 37); 5].into_iter().chain([(240, 68), (340, 97)]);
    for (columns, rows) in sizes {
        let (model, load) = model(columns, rows);
        let clock = Clock::now();
        let begun = clock.elapsed();
        let pattern = Pattern::of(&model).expect("a pattern");
        let ordered = clock.elapsed();
        let plan = Plan::of(&pattern).expect("a plan");
        let planned = clock.elapsed();
        let mut matrix = pattern.assemble(&model).expect("a matrix");
        let assembled = clock.elapsed();
        let mut factor = plan.factor(&pattern, &matrix).expect("a factor");
        let factored = clock.elapsed();
        let n = pattern.equations();
        let mut side = vec![0.0; n];
        for node in 0..model.mesh().nodes().len() {
            for freedom in Freedom::ALL {
                if let Some(number) = pattern.equation(node, freedom.index()) {
                    side[number] = load.entries()[6 * node + freedom.index()];
                }
            }
        }
        let mut found = side.clone();
        let before = clock.elapsed();
        plan.solve(&factor, &mut found).expect("a solution");
        let solved = clock.elapsed() - before;
        let product = pattern.product(&matrix, &found);
        let sizes = pattern.sizes(&matrix, &found);
        let off = product.iter().zip(&side).zip(&sizes);
        let off = off
            .map(|((a, b), size)| (a - b).abs() / (size + b.abs()))
            .fold(0.0, f64::max);

        let before = clock.elapsed();
        pattern
            .assemble_again(&model, &mut matrix)
            .expect("a matrix");
        let assembled_again = clock.elapsed() - before;
        let before = clock.elapsed();
        plan.factor_again(&pattern, &matrix, &mut factor)
            .expect("a factor");
        let again = clock.elapsed() - before;
        let peak = peak_megabytes();
        let mut many: Vec<f64> = (0..32).flat_map(|_| side.iter().copied()).collect();
        let before = clock.elapsed();
        plan.solve(&factor, &mut many).expect("solutions");
        let many_solved = clock.elapsed() - before;
        println!(
            "{n} unknowns, {:.1} M in the matrix, {:.1} M in the factor: order {:.3} s, plan {:.3} s, \
             assemble {:.3} s (again {:.3} s), factor {:.3} s (again {:.3} s), solve {:.4} s, 32 solves {:.3} s, \
             residual {off:.1e}, peak {:.0} MB",
            pattern.entries() as f64 / 1e6,
            plan.entries() as f64 / 1e6,
            (ordered - begun).as_secs_f64(),
            (planned - ordered).as_secs_f64(),
            (assembled - planned).as_secs_f64(),
            assembled_again.as_secs_f64(),
            (factored - assembled).as_secs_f64(),
            again.as_secs_f64(),
            solved.as_secs_f64(),
            many_solved.as_secs_f64(),
            peak.unwrap_or(f64::NAN),
        );
        if let Some(folder) = &folder {
            let path = Path::new(folder).join(format!("curved-plate-{}.bin", n / 1000));
            write(&path, &pattern, matrix.values(), &side, &found).expect("a file");
            let spent = |span: Duration| span.as_secs_f64();
            println!(
                "TIMES {{\"unknowns\": {n}, \"file\": \"curved-plate-{}.bin\", \"plan_s\": {}, \"factor_s\": {}, \
                 \"again_s\": {}, \"solve_s\": {}, \"residual\": {off:e}, \"peak_mb\": {}}}",
                n / 1000,
                spent(ordered - begun) + spent(planned - ordered),
                spent(factored - assembled),
                spent(again),
                spent(solved),
                peak.map_or("null".into(), |mb| format!("{mb:.1}")),
            );
        }
    }
    if folder.is_none() {
        on_a_floor();
    }
}

/// Six loads on a bowed shell of 30,000 unknowns that lies free on a floor, then one of them with large motion.
fn on_a_floor() {
    let grid = Grid::new(132, 37, Cut::Alternating, |u, v| {
        let (x, y) = (160.0 * u, 70.0 * (v - 0.5));
        let arch = 12.0 * (std::f64::consts::PI * u).sin() * (0.6 + 0.4 * v);
        Point3::new(x, y, arch + 0.004 * y * y * (1.0 - 0.5 * u))
    });
    let lowest = grid
        .nodes
        .iter()
        .map(|place| place.z)
        .fold(f64::INFINITY, f64::min);
    let candidates: Vec<Candidate> = grid
        .nodes
        .iter()
        .enumerate()
        .map(|(node, place)| Candidate {
            node,
            gap: place.z - lowest,
        })
        .collect();
    let mesh = Mesh::new(grid.nodes, grid.triangles, Thickness::Uniform(3.0)).expect("a mesh");
    let section = Section::isotropic(Isotropic {
        modulus: 1400.0,
        poisson: 0.42,
    })
    .expect("a section");
    let loads: Vec<Load> = (0..6)
        .map(|k| {
            let centre = Vector3::new(30.0 + 20.0 * f64::from(k), 10.0 * f64::from(k).sin(), 0.0);
            let mut load = Load::none(mesh.nodes().len());
            load.traction(&mesh, |triangle| {
                mesh.triangles()[triangle].map(|node| {
                    let off = (mesh.nodes()[node].coords - centre).xy().norm_squared();
                    Vector3::z() * (-0.1 * (-off / 400.0).exp())
                })
            })
            .expect("a load");
            load
        })
        .collect();
    let model = Model::new(mesh, section);
    let clock = Clock::now();
    let begun = clock.elapsed();
    let contact = Contact::new(model.clone(), Vector3::z(), candidates.clone()).expect("contact");
    let built = clock.elapsed();
    let rests = contact
        .settle_all(&loads.iter().collect::<Vec<_>>())
        .expect("rests");
    let settled = clock.elapsed();
    let rounds: Vec<usize> = rests.iter().flatten().map(|rest| rest.rounds).collect();
    let pressing: Vec<usize> = rests
        .iter()
        .flatten()
        .map(|rest| rest.forces.iter().filter(|f| **f > 0.0).count())
        .collect();
    println!(
        "on a floor, {} unknowns, {} places: built {:.3} s, six loads {:.3} s, rounds {rounds:?}, pressing {pressing:?}",
        contact.system().equations(),
        candidates.len(),
        (built - begun).as_secs_f64(),
        (settled - built).as_secs_f64(),
    );
    let floor = Floor {
        normal: Vector3::z(),
        candidates,
    };
    let mut supports = Supports::none(model.mesh().nodes().len());
    let last = model.mesh().nodes().len() - 1;
    supports.hold(last, &[Freedom::Ux, Freedom::Uy]);
    supports.hold(last - 132, &[Freedom::Uy]);
    let model = model.with_supports(supports).expect("supports");
    let before = clock.elapsed();
    match bend(&model, &loads[3], Some(&floor), &Steps::default()) {
        Ok(bent) => println!(
            "the fourth with large motion: {:.3} s, corrections {:?}, residual {:.1e}",
            (clock.elapsed() - before).as_secs_f64(),
            bent.corrections,
            bent.residuals.last().copied().unwrap_or(f64::NAN)
        ),
        Err(error) => println!("the fourth with large motion: {error}"),
    }
}
