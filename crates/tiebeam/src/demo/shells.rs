//! Both feet of the first person: scanned, the devices proposed, made, checked for strength, and kept as orders.

use super::job::DoneVisit;
use super::people::{Invented, foot};
use crate::clock;
use crate::devices::{Wanted, made, open_foot, summary, write};
use anyhow::{Context, Result};
use care::orthosis::{LimitFacts, OrthosisInput, ShoeRoom, limits, propose};
use knowledge::{Knowledge, Person};
use phantom::scan::{self, Place, ScanSpec};
use phantom::skin::SkinSpec;
use record::{
    ClinicianId, ContentHash, Kept, OrderId, OrderRecord, OrderSource, ScanId, ScanRecord,
};
use shell::Device;
use std::fmt::Write;
use std::path::Path;
use store::Store;
use store_sql::SqlStore;
use terms::{Load, Side};
use uuid::Uuid;
use workshop::facts::navicular_to_edge;
use workshop::sheet::{SHEET_FORMAT, VERSION};
use workshop::{Asked, OpenFoot, Sheet};

/// The arch of each foot as its films show it.
const COLLAPSE: [(Side, f64, &str); 2] = [(Side::Left, 0.6, "MQ-L1"), (Side::Right, 0.2, "MQ-R1")];

/// Scans, orders and files of the visit; one folder for each foot.
pub async fn of_visit(
    store: &SqlStore,
    me: ClinicianId,
    person: &Invented,
    done: &DoneVisit,
    out: &Path,
    words: &'static letter::Words,
) -> Result<()> {
    let practice = store.practice().await?.unwrap_or_default();
    let clinician = store.clinician(me).await?.name;
    let mut table = String::new();
    for (side, collapse, code) in COLLAPSE {
        let age = done.patient.age_years_on(done.visit.on);
        let spec = foot(person, side, collapse, age.unwrap_or(50.0));
        let bytes = tokio::task::spawn_blocking(move || scanned(&spec, side)).await??;
        let record = ScanRecord {
            id: ScanId::new(Uuid::now_v7()),
            patient: done.patient.id,
            visit: done.visit.id,
            side: Some(side),
            load: Some(Load::None),
            unit: None,
            taken_on: Some(done.visit.on),
            file_name: format!("{}-foot.stl", side.word()),
            content: ContentHash::of(&bytes),
            media_type: "model/stl".into(),
            note: "Invented scan, computed.".into(),
        };
        store
            .import_scan(clock::stamp(me), record.clone(), bytes.clone())
            .await?;
        let folder = out.join("shells").join(side.word());
        std::fs::create_dir_all(&folder)
            .with_context(|| format!("{} could not be made", folder.display()))?;
        super::put(&folder, "scan.stl", &bytes)?;

        let asked = Asked {
            unit: None,
            side: Some(side),
            load: Load::None,
            age_years: age,
        };
        let open = tokio::task::block_in_place(|| open_foot(&bytes, &asked, &mut |_, _| {}))?;
        let (_, exam) = done
            .exams
            .iter()
            .find(|e| e.0 == side)
            .context("the first person's foot was not examined")?;
        let (_, report, _) = done
            .reports
            .iter()
            .find(|r| r.0 == side)
            .context("the first person's foot has no stage")?;
        let input = OrthosisInput {
            report,
            person: &done.person.story,
            exam,
            flags: &done.person.flags,
            foot: workshop::facts::foot_size(&open),
            shoe: ShoeRoom::default(),
            asked: Default::default(),
        };
        let proposal = propose(&input);
        let Some(draft) = proposal.draft else {
            println!("\n{} foot: no device is proposed", side.word());
            continue;
        };
        let mut sheet = Sheet::of(draft.prescription(None, code));
        sheet.set_on = open.scanned.as_ref().map(|s| s.alignment.clone());
        let order = OrderRecord {
            id: OrderId::new(Uuid::now_v7()),
            patient: done.patient.id,
            visit: done.visit.id,
            side,
            code: code.into(),
            source: OrderSource::Scan { scan: record.id },
            points: None,
            prescription: Kept::of(SHEET_FORMAT, VERSION, &sheet)?,
            sent: None,
            revision: 0,
            content_of: 0,
            saved_at: clock::now(),
        };
        store.save_order(clock::stamp(me), order, 0).await?;

        println!("\n{} foot, proposed device", side.word());
        for line in draft.lines() {
            println!("  {}: {} ({})", line.name, line.value, line.footing.words());
        }
        let wanted = Wanted {
            prescription: sheet.prescription.clone(),
            asked,
            weight_kg: done.person.story.number("weight_kg").value(),
            person: Person {
                age_years: age,
                sex: done.patient.sex,
            },
            knowledge: Knowledge::built_in(),
            words,
            practice: std::iter::once(practice.name.clone())
                .chain(practice.address.clone())
                .collect(),
            clinician: clinician.clone(),
            patient_code: Some(done.patient.chart_number.clone()),
            invented: true,
            date: web::words::day(done.visit.on),
        };
        let kept = LimitFacts::of(&input);
        let stands = |_: &OpenFoot, device: &Device| {
            let edges: Vec<_> = navicular_to_edge(device).into_iter().collect();
            let facts = LimitFacts {
                edges: &edges,
                ..kept
            };
            limits(&sheet.prescription, &facts)
                .into_iter()
                .map(|l| terms::sentence(&l.words))
                .collect()
        };
        let shell = tokio::task::block_in_place(|| made(open, &wanted, &stands, &mut |_, _| {}))?;
        write(&shell, &wanted, &folder)?;
        print!("{}", summary(&shell, &folder));
        let csv = shell.strength.as_ref().map(workshop::Computed::csv);
        for (n, line) in csv.unwrap_or_default().lines().enumerate() {
            match n {
                0 if table.is_empty() => writeln!(table, "foot,{line}")?,
                0 => {}
                _ => writeln!(table, "{},{line}", side.word())?,
            }
        }
    }
    super::put(&out.join("shells"), "strength.csv", table.as_bytes())
}

/// A scan as a hand-held scanner gives it: rough, with a hole, the leg open, turned.
fn scanned(spec: &phantom::FootSpec, side: Side) -> Result<Vec<u8>> {
    let spec = ScanSpec {
        name: format!("invented {} foot", side.word()),
        skin: SkinSpec::of(spec.clone(), phantom::skin::Load::Hanging),
        triangles: 200_000,
        seed: spec.seed,
        noise_mm: 0.12,
        noise_reach_mm: 1.5,
        holes: vec![scan::Holes {
            place: Place::Anywhere,
            count: 2,
            diameter_mm: 8.0,
        }],
        turn_deg: [12.0, -40.0, 8.0],
        shift_mm: [30.0, -12.0, 140.0],
        ..ScanSpec::default()
    };
    let scan = scan::make(&spec)?;
    Ok(mesh::write::stl(&scan.mesh, &spec.name)?)
}
