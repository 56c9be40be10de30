//! Many charts as lines.

use exchange::invented::invented;
use exchange_fhir::bulk::file_name;
use exchange_fhir::{Bulk, ResourceType, resources_of};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::rc::Rc;

type Shared = Rc<RefCell<Vec<u8>>>;

struct Sink(Shared);

impl Write for Sink {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().write(bytes)
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[test]
fn every_resource_of_every_chart_is_one_line_of_its_type_and_the_manifest_counts_them() {
    let files: RefCell<BTreeMap<ResourceType, Shared>> = RefCell::default();
    let open = |kind| {
        let shared = Shared::default();
        files.borrow_mut().insert(kind, shared.clone());
        Ok(Sink(shared))
    };
    let mut bulk = Bulk::new(open);
    let charts: Vec<_> = (0..3).map(|n| invented(n).chart).collect();
    for chart in &charts {
        bulk.add(chart).unwrap();
    }
    let manifest = bulk
        .finish(
            "2026-11-27T10:00:00Z",
            "https://example.invalid/fhir/$export",
            "files",
        )
        .unwrap();
    let mut lines = 0;
    for output in &manifest.output {
        let kind = ResourceType::from_name(output.kind).unwrap();
        assert_eq!(output.url, format!("files/{}", file_name(kind)));
        let bytes = files.borrow()[&kind].borrow().clone();
        let text = String::from_utf8(bytes).unwrap();
        assert!(text.ends_with('\n'));
        assert_eq!(text.lines().count() as u64, output.count);
        for line in text.lines() {
            let value: serde_json::Value = serde_json::from_str(line).unwrap();
            assert_eq!(value["resourceType"], output.kind);
            lines += 1;
        }
    }
    let all: BTreeSet<String> = charts
        .iter()
        .flat_map(resources_of)
        .map(|r| r.path())
        .collect();
    assert_eq!(lines, all.len());
    let json = serde_json::to_value(&manifest).unwrap();
    assert_eq!(json["requiresAccessToken"], true);
    assert_eq!(json["error"], serde_json::json!([]));
}
