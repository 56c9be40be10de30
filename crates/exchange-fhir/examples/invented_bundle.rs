//! Writes invented charts as FHIR R4 into a folder: one bundle, a page of a search, a refusal, the server's statement
//! and the lines of a bulk export. Everybody in them is made up.
//!
//!     cargo run -p exchange-fhir --example invented_bundle -- FOLDER

use exchange::invented::invented;
use exchange_fhir::bulk::file_name;
use exchange_fhir::{Base, Bulk, Handling, Query, ResourceType, bundle, capability, search};
use std::error::Error;
use std::fs::{self, File};
use std::io::BufWriter;
use std::path::PathBuf;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args()
        .nth(1)
        .map(PathBuf::from)
        .ok_or("found no folder; expected one to write into")?;
    fs::create_dir_all(folder.join("bulk"))?;
    let (rich, base) = (invented(1).chart, Base::nowhere());
    let put = |name: &str, value: serde_json::Value| -> Result<(), Box<dyn Error>> {
        fs::write(folder.join(name), serde_json::to_vec_pretty(&value)?)?;
        Ok(())
    };
    put("bundle.json", serde_json::to_value(bundle(&rich, &base))?)?;
    let query = "_count=5&status=final&_include=Observation:derived-from&colour=blue";
    let query = Query::parse(ResourceType::Observation, query, Handling::Lenient)
        .map_err(|o| o.issue[0].diagnostics.clone())?;
    put(
        "page.json",
        serde_json::to_value(search(&query, [&rich], &base))?,
    )?;
    if let Err(refused) = Query::parse(ResourceType::Patient, "birthdate=soon", Handling::Strict) {
        put("refusal.json", serde_json::to_value(refused)?)?;
    }
    let day = time::macros::date!(2026 - 11 - 27);
    put("capability.json", capability(&base, "invented", day))?;
    let open = |kind| File::create(folder.join("bulk").join(file_name(kind))).map(BufWriter::new);
    let mut bulk = Bulk::new(open);
    for person in 0..12 {
        bulk.add(&invented(person).chart)?;
    }
    let request = format!("{}/$export", base.as_str());
    let manifest = bulk.finish("2026-11-27T10:00:00Z", &request, "bulk")?;
    put("manifest.json", serde_json::to_value(&manifest)?)?;
    println!("{}", folder.display());
    Ok(())
}
