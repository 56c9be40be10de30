//! The knowledge folder inside the program. A test holds this list against the folder.

macro_rules! files {
    ($($name:literal),+ $(,)?) => {
        /// File name and text, by name.
        pub(crate) const FILES: &[(&str, &str)] = &[
            $(($name, include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../knowledge/", $name)))),+
        ];
    };
}

files![
    "anthropometry/adult.toml",
    "anthropometry/arch.toml",
    "anthropometry/child.toml",
    "anthropometry/shoes.toml",
    "criteria/child.toml",
    "criteria/consensus-2020.toml",
    "criteria/tendon-stage.toml",
    "criteria/three-column.toml",
    "drawings/ankle-front.toml",
    "drawings/dorsoplantar.toml",
    "drawings/hindfoot-alignment.toml",
    "drawings/lateral.toml",
    "flags/red-flags.toml",
    "items/examination.toml",
    "landmarks/ankle-front.toml",
    "landmarks/dorsoplantar.toml",
    "landmarks/hindfoot-alignment.toml",
    "landmarks/lateral.toml",
    "loads/cases.toml",
    "loads/forces.toml",
    "materials/laminates.toml",
    "materials/posts-and-covers.toml",
    "materials/shells.toml",
    "measures/ankle-front.toml",
    "measures/dorsoplantar.toml",
    "measures/hindfoot-alignment.toml",
    "measures/lateral.toml",
    "orthosis/advice.toml",
    "orthosis/agreement.toml",
    "orthosis/effects.toml",
    "orthosis/settings.toml",
    "sources/body.toml",
    "sources/care.toml",
    "sources/examination.toml",
    "sources/films.toml",
    "sources/materials.toml",
    "sources/orthosis.toml",
    "sources/practice.toml",
    "sources/prints.toml",
    "sources/safety.toml",
    "sources/staging.toml",
    "yardsticks/dorsoplantar.toml",
    "yardsticks/heel-rise.toml",
    "yardsticks/hindfoot-and-ankle.toml",
    "yardsticks/lateral-adult.toml",
    "yardsticks/lateral-child.toml",
    "yardsticks/motion-and-pain.toml",
    "yardsticks/posture-and-arch.toml",
    "yardsticks/print.toml",
];
