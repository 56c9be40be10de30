//! Under which name may a file lie on any disk?
//!
//! The name a file came with is shown on the page and used for nothing else than a hint: what is left of it are plain
//! letters, digits, hyphens, underscores and full stops.

use record::NamedFile;

const LONGEST: usize = 60;

/// `files/003-film-lateral.dcm`: number and kind first, so that no two are alike and none is a device of some system.
pub fn path(place: usize, file: &NamedFile) -> String {
    let (stem, ending) = match file.came_as.as_deref() {
        Some(name) => parts(name),
        None => (String::new(), String::new()),
    };
    let ending = if ending.is_empty() {
        ending_of(&file.media_type).to_owned()
    } else {
        ending
    };
    let hyphen = if stem.is_empty() { "" } else { "-" };
    format!(
        "files/{:03}-{}{hyphen}{stem}.{ending}",
        place + 1,
        file.what
    )
}

/// Stem and ending of a name from outside, folders left away.
fn parts(name: &str) -> (String, String) {
    let last = name.rsplit(['/', '\\']).next().unwrap_or("");
    let (stem, ending) = match last.rsplit_once('.') {
        Some((stem, ending)) if ending.len() <= 8 => (stem, ending),
        _ => (last, ""),
    };
    let ending: String = ending.chars().filter(char::is_ascii_alphanumeric).collect();
    (plain(stem), ending.to_ascii_lowercase())
}

fn plain(stem: &str) -> String {
    let mut out = String::new();
    for c in stem.chars().take(4 * LONGEST) {
        match c.is_ascii_alphanumeric() || c == '_' {
            true => out.push(c),
            false if !out.is_empty() && !out.ends_with('-') => out.push('-'),
            false => {}
        }
    }
    out.truncate(LONGEST);
    out.trim_end_matches('-').to_owned()
}

fn ending_of(media_type: &str) -> &'static str {
    match media_type {
        "application/pdf" => "pdf",
        "application/dicom" => "dcm",
        "application/zip" => "zip",
        "image/png" => "png",
        "image/jpeg" => "jpg",
        "image/tiff" => "tif",
        "model/stl" => "stl",
        "model/3mf" => "3mf",
        "model/obj" => "obj",
        "text/csv" => "csv",
        "text/plain" => "txt",
        _ => "bin",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use record::{ContentHash, VisitId};
    use uuid::Uuid;

    fn file(came_as: Option<&str>, media_type: &str) -> NamedFile {
        NamedFile {
            content: ContentHash::of(b"x"),
            media_type: media_type.into(),
            visit: VisitId::new(Uuid::from_u128(1)),
            what: "film",
            came_as: came_as.map(str::to_owned),
        }
    }

    #[test]
    fn a_name_from_outside_cannot_leave_the_folder_or_be_a_device() {
        let cases = [
            (Some("../../etc/passwd"), "files/001-film-passwd.bin"),
            (Some("C:\\Windows\\CON.png"), "files/001-film-CON.png"),
            (Some("a\0b\n<c>.DCM"), "files/001-film-a-b-c.dcm"),
            (Some("..."), "files/001-film.bin"),
            (Some("Fuß links.png"), "files/001-film-Fu-links.png"),
            (None, "files/001-film.bin"),
        ];
        for (name, expected) in cases {
            assert_eq!(path(0, &file(name, "")), expected, "{name:?}");
        }
        assert_eq!(
            path(9, &file(None, "application/dicom")),
            "files/010-film.dcm"
        );
        let long = path(0, &file(Some(&"é".repeat(5_000)), ""));
        assert!(long.len() < 100, "{long}");
    }
}
