//! The knowledge folder as a whole: loading it, and finding things in it.

use crate::anthropometry::{BodySize, Dimension, ShoeRule, SizeKind};
use crate::criterion::{Criterion, Scheme};
use crate::drawing::Bone;
use crate::fault::Fault;
use crate::flag::RedFlag;
use crate::item::Item;
use crate::landmark::Landmark;
use crate::load::{Activity, LoadCase, LoadFact, RegionShare, YearlyCycles};
use crate::material::{Material, Role};
use crate::measure::Measure;
use crate::orthosis::Orthosis;
use crate::source::Source;
use crate::yardstick::{Person, Yardstick};
use crate::{check, embedded};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::LazyLock;
use terms::{LandmarkKey, MeasureKey, SourceKey, View, YardstickKey};

/// Files larger than this are refused: a knowledge file is written and read by people.
const LARGEST_FILE_BYTES: u64 = 2 * 1024 * 1024;

/// Everything the folder says, checked.
#[derive(Debug, Clone, Default)]
pub struct Knowledge {
    pub(crate) sources: BTreeMap<SourceKey, Source>,
    pub(crate) source_aliases: BTreeMap<SourceKey, SourceKey>,
    pub(crate) bones: Vec<Bone>,
    /// In placing order, view by view.
    pub(crate) landmarks: Vec<Landmark>,
    /// In the order of the files.
    pub(crate) measures: Vec<Measure>,
    pub(crate) items: Vec<Item>,
    pub(crate) yardsticks: Vec<Yardstick>,
    pub(crate) criteria: Vec<Criterion>,
    pub(crate) flags: Vec<RedFlag>,
    pub(crate) materials: Vec<Material>,
    pub(crate) sizes: Vec<BodySize>,
    pub(crate) shoe_rules: Vec<ShoeRule>,
    pub(crate) load_cases: Vec<LoadCase>,
    pub(crate) activities: Vec<Activity>,
    pub(crate) region_shares: Vec<RegionShare>,
    pub(crate) yearly_cycles: Vec<YearlyCycles>,
    pub(crate) load_facts: Vec<LoadFact>,
    pub(crate) orthosis: Orthosis,
}

/// How many of each there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counts {
    pub sources: usize,
    pub landmarks: usize,
    pub measures: usize,
    pub items: usize,
    pub yardsticks: usize,
    pub criteria: usize,
    pub flags: usize,
    pub materials: usize,
    pub sizes: usize,
    pub load_cases: usize,
    /// Agreements, settings, thicknesses and effects.
    pub prescribing: usize,
}

impl Knowledge {
    /// Loads and checks a knowledge folder.
    ///
    /// # Errors
    /// All faults of all files, sorted by file and line; never only the first.
    pub fn load(folder: &Path) -> Result<Knowledge, Vec<Fault>> {
        let mut faults = Vec::new();
        let files = read_files(folder, &mut faults);
        let texts: Vec<(&str, &str)> = files
            .iter()
            .map(|(f, t)| (f.as_str(), t.as_str()))
            .collect();
        let knowledge = check::checked(&texts, &mut faults);
        if faults.is_empty() {
            Ok(knowledge)
        } else {
            Err(sorted(faults))
        }
    }

    /// Checks texts that are already in memory: pairs of file name (`sources/films.toml`) and content.
    ///
    /// # Errors
    /// All faults of all files, sorted by file and line.
    pub fn from_texts(texts: &[(&str, &str)]) -> Result<Knowledge, Vec<Fault>> {
        let mut faults = Vec::new();
        let knowledge = check::checked(texts, &mut faults);
        if faults.is_empty() {
            Ok(knowledge)
        } else {
            Err(sorted(faults))
        }
    }

    /// The folder as it was when the program was built.
    ///
    /// # Panics
    /// If the built-in files are broken, which the tests of this crate rule out.
    pub fn built_in() -> &'static Knowledge {
        static BUILT_IN: LazyLock<Knowledge> = LazyLock::new(|| {
            Knowledge::from_texts(embedded::FILES).unwrap_or_else(|faults| {
                panic!(
                    "the built-in knowledge is broken: {}",
                    faults.first().map_or(String::new(), Fault::to_string)
                )
            })
        });
        &BUILT_IN
    }

    /// The built-in files, name and text, for writing them out as a folder to work on.
    pub fn built_in_files() -> &'static [(&'static str, &'static str)] {
        embedded::FILES
    }

    /// By its key, or by one of the other keys it is known under.
    pub fn source(&self, key: &SourceKey) -> Option<&Source> {
        self.sources
            .get(key)
            .or_else(|| self.sources.get(self.source_aliases.get(key)?))
    }

    /// All sources, by key.
    pub fn sources(&self) -> impl Iterator<Item = &Source> {
        self.sources.values()
    }

    pub fn landmark(&self, key: &LandmarkKey) -> Option<&Landmark> {
        self.landmarks.iter().find(|l| l.key == *key)
    }

    /// The landmarks of a view in placing order.
    pub fn landmarks(&self, view: View) -> Vec<&Landmark> {
        self.landmarks.iter().filter(|l| l.view == view).collect()
    }

    /// The outlines of the view's whole drawing, in millimetres with y down.
    pub fn bones(&self, view: View) -> Vec<&Bone> {
        self.bones.iter().filter(|b| b.view == view).collect()
    }

    pub fn measure(&self, key: &MeasureKey) -> Option<&Measure> {
        self.measures.iter().find(|m| m.key == *key)
    }

    /// The measures of a view, the most important first.
    pub fn measures(&self, view: View) -> Vec<&Measure> {
        let mut found: Vec<&Measure> = self.measures.iter().filter(|m| m.view == view).collect();
        found.sort_by_key(|m| std::cmp::Reverse(m.importance));
        found
    }

    pub fn item(&self, key: &str) -> Option<&Item> {
        self.items.iter().find(|i| i.key == key)
    }

    /// Examination items that have a yardstick, in the order of the files.
    pub fn items(&self) -> &[Item] {
        &self.items
    }

    pub fn yardstick(&self, key: &YardstickKey) -> Option<&Yardstick> {
        self.yardsticks.iter().find(|y| y.key == *key)
    }

    /// Every row about a measure: norms, limits, patient groups, reliability.
    pub fn yardsticks(&self, measure: &MeasureKey) -> Vec<&Yardstick> {
        self.yardsticks
            .iter()
            .filter(|y| y.measure.as_ref() == Some(measure))
            .collect()
    }

    /// Every row about an examination item.
    pub fn item_yardsticks(&self, item: &str) -> Vec<&Yardstick> {
        self.yardsticks
            .iter()
            .filter(|y| y.item.as_deref() == Some(item))
            .collect()
    }

    pub fn all_yardsticks(&self) -> &[Yardstick] {
        &self.yardsticks
    }

    pub fn criterion(&self, key: &str) -> Option<&Criterion> {
        self.criteria.iter().find(|c| c.key == key)
    }

    /// All criteria in the order of the files.
    pub fn criteria(&self) -> &[Criterion] {
        &self.criteria
    }

    pub fn criteria_of(&self, scheme: Scheme) -> Vec<&Criterion> {
        self.criteria
            .iter()
            .filter(|c| c.scheme == scheme)
            .collect()
    }

    /// Red flags, the most urgent first.
    pub fn flags(&self) -> &[RedFlag] {
        &self.flags
    }

    pub fn flag(&self, key: &str) -> Option<&RedFlag> {
        self.flags.iter().find(|f| f.key == key)
    }

    pub fn counts(&self) -> Counts {
        Counts {
            sources: self.sources.len(),
            landmarks: self.landmarks.len(),
            measures: self.measures.len(),
            items: self.items.len(),
            yardsticks: self.yardsticks.len(),
            criteria: self.criteria.len(),
            flags: self.flags.len(),
            materials: self.materials.len(),
            sizes: self.sizes.len(),
            load_cases: self.load_cases.len(),
            prescribing: self.orthosis.agreements.len()
                + self.orthosis.settings.len()
                + self.orthosis.thicknesses.len()
                + self.orthosis.effects.len(),
        }
    }

    /// By the word a prescription names it with.
    pub fn material(&self, key: &str) -> Option<&Material> {
        self.materials.iter().find(|m| m.key == key)
    }

    /// All materials in the order of the files.
    pub fn materials(&self) -> &[Material] {
        &self.materials
    }

    /// What may be ordered for a part of the device.
    pub fn materials_for(&self, role: Role) -> Vec<&Material> {
        self.materials.iter().filter(|m| m.is_for(role)).collect()
    }

    pub fn size(&self, key: &str) -> Option<&BodySize> {
        self.sizes.iter().find(|s| s.key == key)
    }

    /// Every statement about a dimension, in the order of the files.
    pub fn sizes(&self, dimension: Dimension) -> Vec<&BodySize> {
        self.sizes
            .iter()
            .filter(|s| s.dimension == dimension)
            .collect()
    }

    /// Mean, spread and percentiles of a dimension for this person; the first row that is about them.
    pub fn spread_for(&self, dimension: Dimension, person: &Person) -> Option<&BodySize> {
        self.sizes(dimension)
            .into_iter()
            .find(|s| matches!(s.kind, SizeKind::Spread { .. }) && s.is_about(person))
    }

    /// The line of a dimension through another for this person.
    pub fn line_for(
        &self,
        dimension: Dimension,
        through: Dimension,
        person: &Person,
    ) -> Option<&BodySize> {
        self.sizes(dimension).into_iter().find(|s| {
            matches!(s.kind, SizeKind::Line { on, .. } if on == through) && s.is_about(person)
        })
    }

    pub fn shoe_rules(&self) -> &[ShoeRule] {
        &self.shoe_rules
    }

    pub fn load_case(&self, key: &str) -> Option<&LoadCase> {
        self.load_cases.iter().find(|c| c.key == key)
    }

    /// Load cases in the order of the files.
    pub fn load_cases(&self) -> &[LoadCase] {
        &self.load_cases
    }

    pub fn activities(&self) -> &[Activity] {
        &self.activities
    }

    pub fn region_shares(&self) -> &[RegionShare] {
        &self.region_shares
    }

    pub fn yearly_cycles(&self) -> &[YearlyCycles] {
        &self.yearly_cycles
    }

    pub fn load_facts(&self) -> &[LoadFact] {
        &self.load_facts
    }

    /// What is known of prescribing an orthosis.
    pub fn orthosis(&self) -> &Orthosis {
        &self.orthosis
    }
}

fn sorted(mut faults: Vec<Fault>) -> Vec<Fault> {
    faults.sort();
    faults.dedup();
    faults
}

/// Rungs, programme and devices: `care` reads and checks these.
pub const FOLDERS_OF_CARE: [&str; 3] = ["ladder", "programme", "devices"];

/// The TOML files of the folder's topics, by name, so that loading does not hang on the disk's order.
fn read_files(folder: &Path, faults: &mut Vec<Fault>) -> Vec<(String, String)> {
    let mut out = Vec::new();
    for topic in names_in(folder, ".", faults) {
        let path = folder.join(&topic);
        if !path.is_dir() || FOLDERS_OF_CARE.contains(&topic.as_str()) {
            continue;
        }
        for name in names_in(&path, &topic, faults)
            .into_iter()
            .filter(|n| n.ends_with(".toml"))
        {
            let shown = format!("{topic}/{name}");
            match read_file(&path.join(&name)) {
                Ok(text) => out.push((shown, text)),
                Err(found) => faults.push(whole_file(&shown, found)),
            }
        }
    }
    out
}

fn read_file(path: &Path) -> Result<String, String> {
    let size = std::fs::metadata(path)
        .map_err(|e| format!("a file that cannot be read ({})", e.kind()))?
        .len();
    if size > LARGEST_FILE_BYTES {
        return Err(format!("{size} bytes"));
    }
    let bytes =
        std::fs::read(path).map_err(|e| format!("a file that cannot be read ({})", e.kind()))?;
    String::from_utf8(bytes).map_err(|_| "bytes that are not UTF-8".to_string())
}

fn whole_file(file: &str, found: String) -> Fault {
    Fault {
        file: file.into(),
        line: None,
        found,
        expected: format!("a readable UTF-8 text of at most {LARGEST_FILE_BYTES} bytes"),
        hint: "save it again as plain text".into(),
    }
}

fn names_in(folder: &Path, shown: &str, faults: &mut Vec<Fault>) -> Vec<String> {
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(e) => {
            faults.push(Fault {
                file: shown.into(),
                line: None,
                found: format!("a folder that cannot be read ({})", e.kind()),
                expected:
                    "the knowledge folder with sources, landmarks, measures and yardsticks in it"
                        .into(),
                hint: "check the address and the rights".into(),
            });
            return Vec::new();
        }
    };
    let mut names: Vec<String> = entries
        .filter_map(|e| e.ok())
        .filter_map(|e| e.file_name().into_string().ok())
        .filter(|n| !n.starts_with('.'))
        .collect();
    names.sort();
    names
}
