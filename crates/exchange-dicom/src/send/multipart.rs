//! Bodies of several objects: multipart/related of DICOM's web services (PS3.18 section 8.7.1, RFC 2387).
//!
//! Pure: a content type and bytes in, parts out. Nothing is copied, every count and length is bounded.

use super::web::WebError;

const MOST_PARTS: usize = 1_000;
const MOST_HEAD: usize = 8 * 1024;
/// RFC 2046 5.1.1.
const MOST_BOUNDARY: usize = 70;

/// One part: what it says it is, and its bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part<'a> {
    /// Without parameters, in small letters.
    pub media_type: String,
    pub bytes: &'a [u8],
}

/// The boundary of a body of whole objects.
///
/// # Errors
/// Anything but `multipart/related; type="application/dicom"; boundary=…`.
pub fn boundary(content_type: &str) -> Result<String, WebError> {
    if content_type.len() > 1_000 {
        return Err(WebError::MediaType);
    }
    let mut parts = parameters(content_type);
    let kind = parts.next().unwrap_or_default();
    if !kind.trim().eq_ignore_ascii_case("multipart/related") {
        return Err(WebError::MediaType);
    }
    let (mut boundary, mut object) = (None, false);
    for parameter in parts {
        let Some((name, value)) = parameter.split_once('=') else {
            continue;
        };
        let value = value.trim();
        let value = value
            .strip_prefix('"')
            .and_then(|v| v.strip_suffix('"'))
            .unwrap_or(value);
        match name.trim().to_ascii_lowercase().as_str() {
            "boundary" if boundary.is_some() => return Err(WebError::MediaType),
            "boundary" => boundary = Some(value.to_owned()),
            "type" => object = value.eq_ignore_ascii_case("application/dicom"),
            _ => {}
        }
    }
    let good = |b: &String| {
        (1..=MOST_BOUNDARY).contains(&b.len())
            && !b.ends_with(' ')
            && b.bytes()
                .all(|c| c.is_ascii_alphanumeric() || b"'()+_,-./:=? ".contains(&c))
    };
    boundary
        .filter(good)
        .filter(|_| object)
        .ok_or(WebError::MediaType)
}

/// Cut at semicolons outside quotes.
fn parameters(text: &str) -> impl Iterator<Item = &str> {
    let mut quoted = false;
    text.split(move |c| {
        quoted ^= c == '"';
        c == ';' && !quoted
    })
}

/// The parts of a body.
///
/// # Errors
/// A body without its boundary or end, or more parts or longer heads than any sender writes.
pub fn parts<'a>(boundary: &str, body: &'a [u8]) -> Result<Vec<Part<'a>>, WebError> {
    let bad = |what| WebError::Multipart { what };
    let dashes = format!("--{boundary}");
    let line = format!("\r\n{dashes}");
    // The first boundary may stand at the very start, or behind a preamble that nobody reads.
    let mut rest = if body.starts_with(dashes.as_bytes()) {
        body.get(dashes.len()..).unwrap_or_default()
    } else {
        after(body, line.as_bytes()).ok_or(bad("no boundary"))?
    };
    let mut out = Vec::new();
    loop {
        if rest.starts_with(b"--") {
            return Ok(out);
        }
        let blank = rest
            .iter()
            .position(|b| !matches!(b, b' ' | b'\t'))
            .unwrap_or(rest.len());
        rest = rest
            .get(blank..)
            .and_then(|r| r.strip_prefix(b"\r\n"))
            .ok_or(bad("a boundary that does not end its line"))?;
        if out.len() == MOST_PARTS {
            return Err(bad("too many parts"));
        }
        let window = rest.get(..rest.len().min(MOST_HEAD)).unwrap_or_default();
        let (head, start) = if rest.starts_with(b"\r\n") {
            (&b""[..], 2)
        } else {
            let end = find(window, b"\r\n\r\n").ok_or(bad("a part without an end of its head"))?;
            (window.get(..end).unwrap_or_default(), end + 4)
        };
        let content = rest.get(start..).unwrap_or_default();
        let end = find(content, line.as_bytes()).ok_or(bad("a part without its end"))?;
        out.push(Part {
            media_type: media_type(head),
            bytes: content.get(..end).unwrap_or_default(),
        });
        rest = content.get(end + line.len()..).unwrap_or_default();
    }
}

fn media_type(head: &[u8]) -> String {
    String::from_utf8_lossy(head)
        .split("\r\n")
        .filter_map(|l| l.split_once(':'))
        .find(|(name, _)| name.trim().eq_ignore_ascii_case("content-type"))
        .and_then(|(_, value)| value.split(';').next())
        .map(|v| v.trim().to_ascii_lowercase())
        .unwrap_or_default()
}

fn after<'a>(hay: &'a [u8], needle: &[u8]) -> Option<&'a [u8]> {
    hay.get(find(hay, needle)? + needle.len()..)
}

/// Where the needle starts. In one pass over objects of hundreds of megabytes: the first byte, a carriage return,
/// is looked for and the rest compared.
fn find(hay: &[u8], needle: &[u8]) -> Option<usize> {
    let first = *needle.first()?;
    let mut at = 0;
    while let Some(step) = hay.get(at..)?.iter().position(|b| *b == first) {
        at += step;
        if hay.get(at..)?.starts_with(needle) {
            return Some(at);
        }
        at += 1;
    }
    None
}

/// A body of whole objects, and the content type to send with it. `boundary` must stand in none of them; one made
/// of a UUID does not.
///
/// # Errors
/// When the boundary has no form or stands in an object.
pub fn body(boundary: &str, objects: &[&[u8]]) -> Result<(String, Vec<u8>), WebError> {
    let content_type =
        format!("multipart/related; type=\"application/dicom\"; boundary=\"{boundary}\"");
    if self::boundary(&content_type)? != boundary {
        return Err(WebError::MediaType);
    }
    let line = format!("\r\n--{boundary}");
    let size: usize = objects.iter().map(|o| o.len() + 128).sum();
    let mut out = Vec::with_capacity(size + 128);
    for (i, object) in objects.iter().enumerate() {
        if find(object, line.as_bytes()).is_some() {
            return Err(WebError::Multipart {
                what: "the boundary in an object",
            });
        }
        if i > 0 {
            out.extend(b"\r\n");
        }
        out.extend(format!("--{boundary}\r\nContent-Type: application/dicom\r\n\r\n").bytes());
        out.extend(*object);
    }
    if objects.is_empty() {
        out.extend(format!("--{boundary}--\r\n").bytes());
    } else {
        out.extend(format!("\r\n--{boundary}--\r\n").bytes());
    }
    Ok((content_type, out))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn objects_come_back_from_their_body_byte_for_byte() {
        let objects: [&[u8]; 4] = [b"one\r\n--other", b"", b"\r\n", &[0, 13, 10, 45, 45]];
        let (content_type, bytes) = body("b-1", &objects).unwrap();
        let found = boundary(&content_type).unwrap();
        let parts = parts(&found, &bytes).unwrap();
        let back: Vec<&[u8]> = parts.iter().map(|p| p.bytes).collect();
        assert_eq!(back, objects);
        assert!(parts.iter().all(|p| p.media_type == "application/dicom"));
        let (_, none) = body("b-1", &[]).unwrap();
        assert_eq!(self::parts("b-1", &none), Ok(Vec::new()));
    }

    #[test]
    fn a_boundary_is_read_with_and_without_quotes_and_other_kinds_are_refused() {
        let good = [
            "multipart/related; type=\"application/dicom\"; boundary=abc",
            "Multipart/Related;boundary=\"abc\";type=application/dicom",
        ];
        for text in good {
            assert_eq!(boundary(text).as_deref(), Ok("abc"), "{text}");
        }
        let bad = [
            "application/dicom",
            "multipart/form-data; boundary=abc",
            "multipart/related; type=\"application/dicom+json\"; boundary=abc",
            "multipart/related; type=\"application/dicom\"",
            "multipart/related; type=\"application/dicom\"; boundary=\"a\r\nb\"",
            "multipart/related; type=\"application/dicom\"; boundary=a; boundary=b",
        ];
        for text in bad {
            assert_eq!(boundary(text), Err(WebError::MediaType), "{text}");
        }
    }

    #[test]
    fn a_body_that_is_cut_or_has_no_boundary_is_refused() {
        let (_, whole) = body("b", &[b"object"]).unwrap();
        for cut in 0..whole.len() - 4 {
            assert!(parts("b", &whole[..cut]).is_err(), "{cut}");
        }
        assert!(parts("c", &whole).is_err());
    }
}
