//! Which bone does a file's name mean?

/// The bones that carry points or decide how a film is placed; the phantom names its own the same way.
pub const BONE_NAMES: [&str; 30] = [
    "talus",
    "calcaneus",
    "navicular",
    "cuboid",
    "medial cuneiform",
    "intermediate cuneiform",
    "lateral cuneiform",
    "metatarsal 1",
    "metatarsal 2",
    "metatarsal 3",
    "metatarsal 4",
    "metatarsal 5",
    "medial sesamoid",
    "lateral sesamoid",
    "toe 1 proximal",
    "toe 1 distal",
    "toe 2 proximal",
    "toe 2 middle",
    "toe 2 distal",
    "toe 3 proximal",
    "toe 3 middle",
    "toe 3 distal",
    "toe 4 proximal",
    "toe 4 middle",
    "toe 4 distal",
    "toe 5 proximal",
    "toe 5 middle",
    "toe 5 distal",
    "tibia",
    "fibula",
];

/// The bone that a file's stem names, or `None` for any other word.
///
/// Hyphens, underscores and spaces are the same and may be left out; capitals do not count; a word for the side
/// before or after (right, left, r, l) is passed over.
pub fn bone_name(stem: &str) -> Option<&'static str> {
    let stem = stem.to_lowercase();
    let words: Vec<&str> = stem
        .split(|c: char| c == '-' || c == '_' || c.is_whitespace())
        .filter(|w| !w.is_empty())
        .collect();
    let side = |w: &&str| matches!(*w, "right" | "left" | "r" | "l");
    let words = match words.as_slice() {
        [first, rest @ ..] if side(first) => rest,
        [rest @ .., last] if side(last) => rest,
        all => all,
    };
    let joined = words.concat();
    BONE_NAMES
        .into_iter()
        .find(|name| joined.chars().eq(name.chars().filter(|c| *c != ' ')))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stem_is_matched_whatever_stands_between_its_words_and_whichever_side_it_names() {
        for (stem, bone) in [
            ("talus", "talus"),
            ("Medial-Cuneiform", "medial cuneiform"),
            ("medial_cuneiform", "medial cuneiform"),
            ("r_metatarsal 1", "metatarsal 1"),
            ("Metatarsal1_left", "metatarsal 1"),
            ("toe-1_distal", "toe 1 distal"),
        ] {
            assert_eq!(bone_name(stem), Some(bone), "{stem}");
        }
    }

    #[test]
    fn other_words_name_no_bone() {
        for stem in [
            "",
            "-",
            "left",
            "foot",
            "metatarsal",
            "metatarsal 6",
            "talus 2",
            "tälus",
            "toe part 1",
        ] {
            assert_eq!(bone_name(stem), None, "{stem}");
        }
    }

    #[test]
    fn the_names_are_those_of_the_phantoms_own_bones() {
        let mut known = BONE_NAMES.to_vec();
        let foot = crate::build(&crate::FootSpec::adult()).expect("the plain foot");
        let mut own: Vec<&str> = foot.bones.iter().map(|b| b.name).collect();
        known.sort_unstable();
        own.sort_unstable();
        assert_eq!(known, own);
    }
}
