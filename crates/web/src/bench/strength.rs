//! How far the device of an order bends under its person, and whether it lasts: asked of `strength`, shown as
//! a table and as maps over the preview's own triangles.

use super::order::{Texts, open, refused};
use super::picture::{Nodes, packed};
use super::preview::{binary, device_of, gathered, long};
use crate::context::Context;
use crate::error::PageError;
use crate::visit::gather::Gathered;
use ::shell::{Device, Part};
use ::strength::left_out;
use axum::{
    Json,
    extract::Path,
    response::{IntoResponse, Response},
};
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use workshop::Computed;
use workshop::strength::{Row, computed_unless};

#[derive(Deserialize)]
pub struct Asked {
    #[serde(default)]
    texts: Texts,
}

#[derive(Serialize)]
struct Head {
    weight_kg: f64,
    material: String,
    stiffness: String,
    unknowns: usize,
    rows: Vec<Row>,
    masses: Vec<MassShown>,
    left_out: Vec<&'static str>,
    /// In the order of their numbers: motions of the shell's corners, then stresses, each for one row.
    maps: Vec<Map>,
    vertices: usize,
    bodies: [(); 0],
}

#[derive(Serialize)]
struct MassShown {
    body: String,
    grams: Option<f64>,
}

#[derive(Serialize)]
struct Map {
    /// Row it belongs to.
    row: usize,
    motion_mm: [f64; 2],
    stress_mpa: [f64; 2],
}

/// `POST /order/{id}/strength`: of the device in hand, saved or not.
pub async fn live(
    context: Context,
    Path(id): Path<String>,
    Json(asked): Json<Asked>,
) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    let wish = match opened.with(&asked.texts) {
        Ok(wish) => wish,
        Err(bad) => return Ok(refused(&bad)),
    };
    let person = gathered(&context, &opened).await?;
    let weight_kg = weight_kg(&person)?;
    let device = match device_of(&context, &opened, &wish).await {
        Ok(device) => device,
        Err(bad) => return Ok(refused(&bad)),
    };
    let key = wish.key();
    let known = opened.hand.strength(&key, Some(weight_kg));
    let knowledge = context.state.knowledge;
    let hand = opened.hand.clone();
    // A request that is dropped takes its guard along; the computation then stops at its next step.
    let gone = Arc::new(AtomicBool::new(false));
    let _guard = Gone(gone.clone());
    let bytes = long(move || {
        let stop = || gone.load(Ordering::Relaxed);
        let computed = match known {
            Some(known) => known,
            None => Arc::new(computed_unless(
                &device, &wish, weight_kg, knowledge, &stop,
            )?),
        };
        hand.keep_strength(key, computed.clone());
        Ok::<Vec<u8>, String>(answer(&computed, &device))
    })
    .await?
    .map_err(PageError::input)?;
    Ok(binary(bytes).into_response())
}

/// Says when dropped that nobody waits any more.
struct Gone(Arc<AtomicBool>);

impl Drop for Gone {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

pub fn recorded_weight(person: &Gathered) -> Option<f64> {
    person.sheet.story.number("weight_kg").value()
}

/// # Errors
/// Nobody weighed the person.
pub fn weight_kg(person: &Gathered) -> Result<f64, PageError> {
    recorded_weight(person).ok_or_else(|| PageError::NotNow {
        sentence: "the weight is not recorded; strength follows from it: weigh, and say it in the visit's story".to_owned(),
    })
}

/// Head, then motions and stresses at the corners of the preview's shell, row by row.
fn answer(computed: &Computed, device: &Device) -> Vec<u8> {
    let report = &computed.report;
    let shell = device.bodies.iter().find(|b| b.part == Part::Shell);
    let places: Vec<[f64; 3]> = report.net.nodes.iter().map(|n| n.skin.into()).collect();
    let nodes = Nodes::of(&places);
    let corners: Vec<Vec<(usize, f64)>> = shell
        .map(|s| s.mesh.vertices.iter().map(|v| nodes.around(*v)).collect())
        .unwrap_or_default();
    let (mut numbers, mut maps) = (Vec::new(), Vec::new());
    for (row, outcome) in report.outcomes.iter().enumerate() {
        let fields = &outcome.fields;
        let motion: Vec<f64> = fields.motion.iter().map(|m| length(*m)).collect();
        let stress: Vec<f64> = fields
            .stress_mpa
            .iter()
            .map(|s| s.iter().copied().fold(0.0, f64::max))
            .collect();
        for values in [&motion, &stress] {
            for around in &corners {
                let value: f64 = around
                    .iter()
                    .map(|(n, w)| values.get(*n).copied().unwrap_or(0.0) * w)
                    .sum();
                numbers.extend((value as f32).to_le_bytes());
            }
        }
        let most = |values: &[f64]| [0.0, values.iter().copied().fold(0.0, f64::max)];
        maps.push(Map {
            row,
            motion_mm: most(&motion),
            stress_mpa: most(&stress),
        });
    }
    let head = Head {
        weight_kg: computed.weight_kg,
        material: computed.material.name.clone(),
        stiffness: computed.stiffness.clone(),
        unknowns: report.unknowns,
        rows: computed.rows(),
        masses: report
            .masses
            .iter()
            .map(|m| MassShown {
                body: m.body.clone(),
                grams: m.grams,
            })
            .collect(),
        left_out: left_out().to_vec(),
        maps,
        vertices: corners.len(),
        bodies: [],
    };
    packed(&head, &numbers)
}

fn length(v: [f64; 3]) -> f64 {
    v.iter().map(|c| c * c).sum::<f64>().sqrt()
}
