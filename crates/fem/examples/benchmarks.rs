//! Prints every published case: value, target, their ratio, and the order of convergence that was observed.
//!
//! `cargo run -p fem --example benchmarks [part of a name]`
//!
//! Below the table comes a line `FIGURE {json}` for each case.

#[path = "../tests/cases/mod.rs"]
mod cases;

use cases::grid::Cut;
use cases::table::{Case, Found, cases};

fn main() {
    let wanted = std::env::args().nth(1).unwrap_or_default();
    println!(
        "{:<50} {:>12} {:>12} {:>8} {:>6} {:>8} {:>14}  rising / falling cut  [value / target of each mesh] source",
        "case (alternating cut)", "value", "target", "ratio", "order", "limit/t", "mesh"
    );
    let mut figures = Vec::new();
    for case in cases() {
        if !case.name.contains(&wanted) {
            continue;
        }
        let found = case.find(Cut::Alternating);
        let ratios: Vec<String> = found
            .values
            .iter()
            .map(|value| format!("{:.4}", value / case.target))
            .collect();
        let other: Vec<String> = [Cut::Rising, Cut::Falling]
            .iter()
            .map(|&cut| format!("{:.4}", (case.run)(case.meshes[2], cut) / case.target))
            .collect();
        println!(
            "{:<50} {:>12.6e} {:>12.6e} {:>8.4} {:>6.2} {:>8.4} {:>14}  {}  [{}] {}",
            case.name,
            found.values[2],
            case.target,
            found.ratio,
            found.order,
            found.limit / case.target,
            format!("{:?}", case.meshes),
            other.join(" / "),
            ratios.join(" "),
            case.source
        );
        figures.push(figure(&case, &found));
    }
    for line in figures {
        println!("{line}");
    }
}

/// What is not a number (the order of a case that is exact on every mesh) has no value.
fn number(value: f64) -> String {
    if value.is_finite() {
        format!("{value:e}")
    } else {
        "null".into()
    }
}

/// The names and reasons are this program's own and hold no quotation marks.
fn figure(case: &Case, found: &Found) -> String {
    let order = case.least_order.is_none_or(|least| found.order >= least);
    let holds = (found.ratio - 1.0).abs() <= case.within && order;
    let asked = case
        .least_order
        .map_or_else(String::new, |least| format!(", order at least {least}"));
    format!(
        "FIGURE {{\"name\": \"shell elements: {}\", \"value\": {}, \"unit\": \"of the target\", \
         \"goal\": \"1 within {} %{asked}\", \"holds\": {holds}, \"more\": {{\"target\": {}, \
         \"meshes\": {:?}, \"values\": [{}], \"order\": {}, \"source\": \"{}\", \"reason\": \"{}\"}}}}",
        case.name,
        number(found.ratio),
        (case.within * 1e5).round() / 1e3,
        number(case.target),
        case.meshes,
        found.values.map(number).join(", "),
        number(found.order),
        case.source,
        case.reason
    )
}
