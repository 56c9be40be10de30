//! From a [`Document`] to PDF bytes: Typst lays out, krilla writes PDF/UA-1 with PDF/A-2a.
//!
//! The template reads its words from one JSON file of a closed, in-memory world: no word of a letter is
//! ever read as Typst source, and no file outside can be reached.

use crate::day::day;
use crate::document::{Document, Pictures};
use crate::glyphs::make_printable;
use crate::words::Words;
use std::sync::OnceLock;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

/// A finished PDF file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pdf {
    pub bytes: Vec<u8>,
    pub pages: usize,
    /// Characters that no font at hand has; they are printed by their number.
    pub without_shape: Vec<char>,
}

/// Why a letter could not be set.
#[derive(Debug, thiserror::Error)]
pub enum LetterError {
    #[error(
        "the letter names the picture {name:?}, which was not handed over; add it or take the figure out"
    )]
    PictureMissing { name: String },
    #[error(
        "the picture {name:?} has no words for those who cannot see it; every figure needs them"
    )]
    NoWordsForPicture { name: String },
    #[error("the letter could not be set: {0}")]
    NotSet(String),
}

/// The family of running text in letters.
const SERIF: &str = "Libertinus Serif";
const TEMPLATE: &str = include_str!("../templates/letter.typ");

/// Sets a document.
///
/// The file is PDF/UA-1, and PDF/A-2a too where the document's date holds a day: an archive file must say
/// when it was made, and the clock is not asked.
///
/// # Errors
/// A figure without its picture or without words for it; anything the typesetter refuses, in its words.
pub fn render(document: &Document, pictures: &Pictures) -> Result<Pdf, LetterError> {
    check_figures(document, pictures)?;
    let mut json =
        serde_json::to_value(document).map_err(|e| LetterError::NotSet(e.to_string()))?;
    if let Some(members) = json.as_object_mut() {
        members.insert("words".into(), own_words(Words::of_tag(&document.language)));
    }
    set(json.clone(), pictures, document, &any_font_has)
        // A mark on a letter of another font has no shape of its own: once more with what every text font has.
        .or_else(|_| set(json, pictures, document, &text_fonts_have))
}

fn set(
    mut json: serde_json::Value,
    pictures: &Pictures,
    document: &Document,
    has_shape: &dyn Fn(char) -> bool,
) -> Result<Pdf, LetterError> {
    let without_shape = make_printable(&mut json, has_shape);
    let world = PaperWorld::new(&json, pictures)?;
    let paged: PagedDocument = typst::compile(&world).output.map_err(sentences)?;
    let bytes = typst_pdf::pdf(&paged, &options(document)?).map_err(sentences)?;
    // Typst keeps what it has laid out for the next call; letters of other people need not stay in memory.
    typst::comemo::evict(2);
    Ok(Pdf {
        bytes,
        pages: paged.pages().len(),
        without_shape: without_shape.into_iter().collect(),
    })
}

/// What the template itself says or knows a table by.
const TEMPLATE_WORDS: [&str; 18] = [
    "draft-mark",
    "head-reading",
    "head-value",
    "head-limits",
    "head-place",
    "head-yardsticks",
    "head-looked-at",
    "head-dimension",
    "head-solid",
    "head-load-case",
    "head-file",
    "head-day",
    "head-there",
    "not-looked-at",
    "not-measured",
    "not-computed",
    "place-no-yardstick",
    "place-not-judged",
];

fn own_words(words: &Words) -> serde_json::Value {
    let mut all: serde_json::Map<String, serde_json::Value> = TEMPLATE_WORDS
        .iter()
        .map(|key| ((*key).to_owned(), words.plain(key).into()))
        .collect();
    // The template counts the pages; what stands before, between and after the numbers is the language's.
    let line = words.with(
        "page-of",
        &[("page", "\u{1}".into()), ("pages", "\u{1}".into())],
    );
    let parts: Vec<&str> = line.split('\u{1}').collect();
    all.insert("page-of".to_owned(), parts.into());
    all.into()
}

fn options(document: &Document) -> Result<PdfOptions, LetterError> {
    let made = day(&document.date)
        .and_then(|(year, month, day)| Datetime::from_ymd_hms(year, month, day, 0, 0, 0))
        .map(Timestamp::new_utc);
    let archive = made.map(|_| PdfStandard::A_2a);
    let standards: Vec<PdfStandard> = [PdfStandard::Ua_1].into_iter().chain(archive).collect();
    Ok(PdfOptions {
        ident: Smart::Custom(document.title.clone()),
        creator: Smart::Custom(Some("Tiebeam".into())),
        timestamp: made,
        standards: PdfStandards::new(&standards)
            .map_err(|e| LetterError::NotSet(e.message().to_string()))?,
        ..PdfOptions::default()
    })
}

fn any_font_has(c: char) -> bool {
    let book = &fonts().book;
    (0..)
        .map_while(|i| book.info(i))
        .any(|f| f.coverage.contains(u32::from(c)))
}

fn text_fonts_have(c: char) -> bool {
    let book = &fonts().book;
    let mut text = (0..)
        .map_while(|i| book.info(i))
        .filter(|f| [figure::FONT_FAMILY, SERIF].contains(&f.family.as_str()));
    text.all(|f| f.coverage.contains(u32::from(c)))
}

fn check_figures(document: &Document, pictures: &Pictures) -> Result<(), LetterError> {
    for (picture, alt, _) in document.figures() {
        let name = picture.to_owned();
        if !pictures.contains_key(picture) {
            return Err(LetterError::PictureMissing { name });
        }
        if alt.trim().is_empty() {
            return Err(LetterError::NoWordsForPicture { name });
        }
    }
    Ok(())
}

fn sentences(faults: typst::ecow::EcoVec<typst::diag::SourceDiagnostic>) -> LetterError {
    let all: Vec<String> = faults.iter().map(|f| f.message.to_string()).collect();
    LetterError::NotSet(all.join("; "))
}

struct Fonts {
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
}

fn fonts() -> &'static Fonts {
    static FONTS: OnceLock<Fonts> = OnceLock::new();
    FONTS.get_or_init(|| {
        let own = figure::FONTS
            .iter()
            .flat_map(|data| Font::iter(Bytes::new(*data)));
        let fonts: Vec<Font> = own
            .chain(typst_kit::fonts::embedded().map(|(font, _)| font))
            .collect();
        Fonts {
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
        }
    })
}

fn library() -> &'static LazyHash<Library> {
    static LIBRARY: OnceLock<LazyHash<Library>> = OnceLock::new();
    LIBRARY.get_or_init(|| LazyHash::new(Library::default()))
}

/// The closed world of one letter.
struct PaperWorld {
    main: Source,
    data: (FileId, Bytes),
    pictures: Vec<(FileId, Bytes)>,
}

impl PaperWorld {
    fn new(document: &serde_json::Value, pictures: &Pictures) -> Result<Self, LetterError> {
        let json = serde_json::to_vec(document).map_err(|e| LetterError::NotSet(e.to_string()))?;
        let pictures = pictures
            .iter()
            .map(|(name, bytes)| Ok((id(&format!("pictures/{name}"))?, Bytes::new(bytes.clone()))))
            .collect::<Result<_, LetterError>>()?;
        Ok(Self {
            main: Source::new(id("letter.typ")?, TEMPLATE.into()),
            data: (id("letter.json")?, Bytes::new(json)),
            pictures,
        })
    }
}

fn id(path: &str) -> Result<FileId, LetterError> {
    let path =
        VirtualPath::new(path).map_err(|_| LetterError::PictureMissing { name: path.into() })?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}

impl World for PaperWorld {
    fn library(&self) -> &LazyHash<Library> {
        library()
    }
    fn book(&self) -> &LazyHash<FontBook> {
        &fonts().book
    }
    fn main(&self) -> FileId {
        self.main.id()
    }
    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() {
            Ok(self.main.clone())
        } else {
            Err(FileError::AccessDenied)
        }
    }
    fn file(&self, id: FileId) -> FileResult<Bytes> {
        std::iter::once(&self.data)
            .chain(&self.pictures)
            .find(|f| f.0 == id)
            .map(|f| f.1.clone())
            .ok_or(FileError::AccessDenied)
    }
    fn font(&self, index: usize) -> Option<Font> {
        fonts().fonts.get(index).cloned()
    }
    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Block, Notice, ReadingRow};

    fn sample() -> Document {
        Document {
            title: "Reading sheet".into(),
            language: "en".into(),
            practice: vec!["Invented Practice".into(), "1 Example Lane".into()],
            recipient: vec!["Dr A. Example".into()],
            date: "25 November 2026".into(),
            head: vec![("Patient".into(), "Example Person".into())],
            blocks: vec![
                Block::Heading {
                    text: "Readings".into(),
                },
                Block::Notice {
                    notice: Notice::Caution,
                    title: "Caution".into(),
                    lines: vec!["#panic(\"never run\") *stays* as written".into()],
                },
                Block::Readings {
                    caption: "Lateral film".into(),
                    rows: vec![ReadingRow {
                        name: "Calcaneal pitch".into(),
                        value: "14.2° ± 1.8°".into(),
                        sign: "+ up".into(),
                        place: "outside".into(),
                        yardstick: "20.9 ± 3.4".into(),
                        strip_svg: figure::svg::Svg::new(100.0, 20.0, "t", "d").finish(),
                    }],
                },
                Block::Table {
                    caption: "t".into(),
                    header: vec!["a".into(), "b".into()],
                    rows: vec![vec!["1".into(), "2".into()]],
                },
                Block::Pairs {
                    caption: "p".into(),
                    header: ("What".into(), "Found".into()),
                    rows: vec![("Swelling".into(), "not looked at".into())],
                },
                Block::List {
                    items: vec!["one".into()],
                },
                Block::Signature {
                    lines: vec!["Signed".into()],
                },
            ],
            foot: "Tiebeam".into(),
            draft: true,
            compact: false,
        }
    }

    #[test]
    fn the_same_letter_gives_the_same_bytes() {
        let a = render(&sample(), &Pictures::new()).unwrap();
        let b = render(&sample(), &Pictures::new()).unwrap();
        assert_eq!(a.bytes, b.bytes);
        assert!(a.bytes.starts_with(b"%PDF-1.7"));
    }

    #[test]
    fn a_figure_without_words_or_picture_is_refused() {
        let mut d = sample();
        d.blocks.push(Block::Figure {
            picture: "film.png".into(),
            alt: "a film".into(),
            caption: String::new(),
            width_percent: 100.0,
        });
        assert!(matches!(
            render(&d, &Pictures::new()),
            Err(LetterError::PictureMissing { .. })
        ));
        let pictures = Pictures::from([(
            "film.png".into(),
            figure::png(&figure::svg::Svg::new(10.0, 10.0, "t", "").finish(), 10).unwrap(),
        )]);
        assert!(render(&d, &pictures).is_ok());
        if let Some(Block::Figure { alt, .. }) = d.blocks.last_mut() {
            alt.clear();
        }
        assert!(matches!(
            render(&d, &pictures),
            Err(LetterError::NoWordsForPicture { .. })
        ));
    }

    #[test]
    fn a_picture_name_cannot_climb_out_of_the_letter() {
        let pictures = Pictures::from([("../../etc/passwd".into(), vec![1])]);
        assert!(render(&sample(), &pictures).is_err());
    }
}
