//! Films of a foot of meshes, with points, truth and readings beside them.

use film::{Limits, ScaleWish};
use knowledge::{Knowledge, Person};
use phantom::Mesh;
use phantom::expose::dicom::Paper;
use phantom::expose::{Exposure, MeshBone, MeshFoot, expose_meshes};
use phantom::meshfile::skin_around;
use reading::{FilmFacts, PointSet, against, read_all};
use serde_json::{Value, json};
use std::error::Error;
use std::path::Path;
use terms::{Side, Stance, View};
use time::macros::datetime;

/// The bones with cortex and a hull of soft tissue.
pub fn foot(side: Side, bones: &[(String, Mesh)]) -> Result<MeshFoot, Box<dyn Error>> {
    let mut drawn = Vec::new();
    for (name, mesh) in bones {
        drawn.push(MeshBone::from_surface(name.clone(), mesh)?);
    }
    let skin = skin_around(&drawn.iter().map(|b| &b.outer).collect::<Vec<_>>(), 9.0)?;
    Ok(MeshFoot {
        side,
        bones: drawn,
        skin: Some(skin),
    })
}

/// Films named `meshes-SET-VIEW` with `.dcm`, `.png`, `.points.json`, `.truth.json`, `.readings.json`.
/// The toes are turned outwards by `turned_deg`.
pub fn write(
    foot: &MeshFoot,
    views: &[View],
    turned_deg: f64,
    set: &str,
    out: &Path,
) -> Result<(), Box<dyn Error>> {
    for &view in views {
        let exposure = Exposure {
            foot_rotation_deg: turned_deg,
            ..foot.usual_exposure(view)
        };
        let film = expose_meshes(foot, &exposure)?;
        let dicom = film.dicom(&Paper::invented(datetime!(2026-05-04 10:30), 2))?;
        let grey: Vec<u8> = film
            .pixels
            .iter()
            .map(|p| (p >> (film.exposure.tone.bits_stored - 8)) as u8)
            .collect();
        let png = film::encode_png8(&grey, film.width as u32, film.height as u32)?;
        let points = PointSet::at_places(view, Some(film.side), &film.landmarks_px);
        let readings = readings(&dicom, &points)?;
        let put = |suffix: &str, bytes: &[u8]| {
            std::fs::write(
                out.join(format!("meshes-{set}-{}.{suffix}", view.key())),
                bytes,
            )
        };
        put("dcm", &dicom)?;
        put("png", &png)?;
        put("points.json", points.to_json().as_bytes())?;
        put("truth.json", &serde_json::to_vec_pretty(&film.facts())?)?;
        put("readings.json", &serde_json::to_vec_pretty(&readings)?)?;
    }
    Ok(())
}

/// What is read from the points on the film as its file tells its scale, each beside the yardsticks of a
/// grown person.
fn readings(dicom: &[u8], points: &PointSet) -> Result<Value, Box<dyn Error>> {
    let opened = film::open(dicom, &Limits::default())?;
    let scale = film::scale::choose(&opened.spacing, &ScaleWish::File { object: None });
    let facts = FilmFacts {
        pixel_aspect: Some(scale.pixel_aspect()),
        scale: scale.known(),
        stance: Stance::Standing,
        ..FilmFacts::of_size(opened.width, opened.height)
    };
    let knowledge = Knowledge::built_in();
    let person = Person {
        age_years: Some(40.0),
        sex: None,
    };
    let sheet = read_all(knowledge, points, &facts);
    let read: Vec<Value> = sheet
        .readings
        .iter()
        .map(|r| {
            let place = against(knowledge, r, &person);
            json!({
                "measure": r.measure,
                "value": r.estimate.value,
                "standard_error": r.estimate.standard_error,
                "unit": r.estimate.unit.key(),
                "band": place.band.map(|b| b.widest),
                "place": place.summary.words(),
            })
        })
        .collect();
    let refused: Vec<Value> = sheet
        .refused
        .iter()
        .map(|r| json!({ "measure": r.measure, "sentence": r.sentence }))
        .collect();
    let warnings: Vec<&str> = sheet.warnings.iter().map(|w| w.sentence.as_str()).collect();
    Ok(json!({
        "view": sheet.view,
        "read": read,
        "refused": refused,
        "warnings": warnings,
    }))
}
