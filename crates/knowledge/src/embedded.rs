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
    "drawings/ankle-front.toml",
    "drawings/dorsoplantar.toml",
    "drawings/hindfoot-alignment.toml",
    "drawings/lateral.toml",
    "landmarks/ankle-front.toml",
    "landmarks/dorsoplantar.toml",
    "landmarks/hindfoot-alignment.toml",
    "landmarks/lateral.toml",
    "measures/ankle-front.toml",
    "measures/dorsoplantar.toml",
    "measures/hindfoot-alignment.toml",
    "measures/lateral.toml",
    "sources/practice.toml",
    "sources/films.toml",
];
