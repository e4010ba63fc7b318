//! What the type-setting library may see: one template, the content and the pictures of one paper, and
//! fonts. No files, no network, no date.

use crate::content::{BREAK, Content};
use problem::{Problem, Problems};
use std::sync::{Arc, LazyLock};
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

static LIBRARY: LazyLock<LazyHash<Library>> = LazyLock::new(|| LazyHash::new(Library::default()));

static BUILT_IN: LazyLock<Fonts> = LazyLock::new(|| {
    let fonts = typst_assets::fonts().flat_map(|data| Font::iter(Bytes::new(data))).collect();
    Fonts::of(fonts)
});

/// Fonts with their book.
#[derive(Clone)]
pub(crate) struct Fonts {
    fonts: Arc<Vec<Font>>,
    book: Arc<LazyHash<FontBook>>,
}

impl Fonts {
    fn of(fonts: Vec<Font>) -> Self {
        let book = LazyHash::new(FontBook::from_fonts(&fonts));
        Self { fonts: Arc::new(fonts), book: Arc::new(book) }
    }

    /// The built-in fonts, and then these font files.
    pub(crate) fn with(files: &[Vec<u8>]) -> Result<Self, Problems> {
        if files.is_empty() {
            return Ok(BUILT_IN.clone());
        }
        let mut fonts = BUILT_IN.fonts.as_ref().clone();
        let mut problems = Problems::new();
        for (index, file) in files.iter().enumerate() {
            let before = fonts.len();
            fonts.extend(Font::iter(Bytes::new(file.clone())));
            if fonts.len() == before {
                problems.push(
                    Problem::error("sheet::font", format!("font file number `{}` cannot be read", index + 1))
                        .expected("a TrueType or OpenType font"),
                );
            }
        }
        problems.unless_errors(Self::of(fonts)).map(|(fonts, _)| fonts)
    }

    /// The letters that no font has, each once, in order.
    pub(crate) fn missing(&self, text: &str) -> Vec<char> {
        let mut letters: Vec<char> = text.chars().filter(|c| !c.is_whitespace() && !c.is_control()).collect();
        letters.sort_unstable();
        letters.dedup();
        letters.retain(|c| *c != BREAK && !self.fonts.iter().any(|font| font.info().coverage.contains(u32::from(*c))));
        letters
    }
}

/// A paper before it is set.
pub(crate) struct Paper {
    /// The template: its name in messages, and its text.
    pub(crate) template: (&'static str, &'static str),
    /// What stands on it.
    pub(crate) content: Content,
    /// Its pictures (SVG) by the names that the template calls them.
    pub(crate) pictures: Vec<(&'static str, String)>,
}

struct Desk {
    main: Source,
    files: Vec<(FileId, Bytes)>,
    fonts: Fonts,
}

fn id(path: &str) -> Result<FileId, Problem> {
    VirtualPath::new(path)
        .map(|path| RootedPath::new(VirtualRoot::Project, path).intern())
        .map_err(|_| Problem::error("sheet::typesetting", format!("`{path}` is no path of a paper")))
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.fonts.book
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() { Ok(self.main.clone()) } else { Err(FileError::AccessDenied) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let file = self.files.iter().find(|(held, _)| *held == id);
        file.map(|(_, bytes)| bytes.clone()).ok_or(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.fonts.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn desk(paper: Paper, fonts: Fonts) -> Result<Desk, Problems> {
    let data = serde_json::to_vec(&paper.content).map_err(|error| {
        Problem::error("sheet::typesetting", format!("the content of the paper cannot be written: {error}"))
    })?;
    let (name, template) = paper.template;
    let main = Source::new(id(name)?, template.to_owned());
    let mut files = vec![(id("content.json")?, Bytes::new(data))];
    for (name, picture) in paper.pictures {
        files.push((id(name)?, Bytes::from_string(picture)));
    }
    Ok(Desk { main, files, fonts })
}

/// Sets a paper with the built-in fonts and these font files. Letters that no font has are told on it.
pub(crate) fn set(mut paper: Paper, font_files: &[Vec<u8>]) -> Result<Vec<u8>, Problems> {
    let fonts = Fonts::with(font_files)?;
    let pictures: String = paper.pictures.iter().map(|(_, picture)| picture.as_str()).collect();
    let missing = fonts.missing(&(paper.content.all_text() + &pictures));
    paper.content.note_missing(&missing);
    let desk = desk(paper, fonts)?;
    let document = typst::compile(&desk).output.map_err(|errors| problems(&errors));
    let bytes = document.and_then(|document| {
        let options = typst_pdf::PdfOptions {
            creator: Smart::Custom(Some("tussock".to_owned())),
            ..typst_pdf::PdfOptions::default()
        };
        typst_pdf::pdf(&document, &options).map_err(|errors| problems(&errors))
    });
    // What was remembered of earlier papers goes, so that memory does not grow with their number.
    typst::comemo::evict(2);
    bytes
}

fn problems(errors: &[SourceDiagnostic]) -> Problems {
    errors.iter().map(|error| Problem::error("sheet::typesetting", error.message.to_string())).collect()
}

/// Every text that a paper sets, blanks and places to break left out; for tests.
#[cfg(test)]
pub(crate) fn text_set(mut paper: Paper) -> String {
    for (_, picture) in &mut paper.pictures {
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9\" height=\"9\"/>".clone_into(picture);
    }
    let desk = desk(paper, BUILT_IN.clone()).unwrap();
    let warned = typst::compile(&desk);
    let document = warned.output.unwrap();
    typst_pdf::pdf(&document, &typst_pdf::PdfOptions::default()).unwrap();
    assert!(warned.warnings.is_empty(), "{:?}", warned.warnings);
    let mut all = String::new();
    for page in document.pages() {
        add_text(&page.frame, &mut all);
    }
    without_blanks(&all)
}

#[cfg(test)]
fn add_text(frame: &typst::layout::Frame, all: &mut String) {
    for (_, item) in frame.items() {
        match item {
            typst::layout::FrameItem::Group(group) => add_text(&group.frame, all),
            typst::layout::FrameItem::Text(text) => all.push_str(&text.text),
            _ => {}
        }
    }
}

/// A text without blanks and places to break, to look for in [`text_set`].
#[cfg(test)]
pub(crate) fn without_blanks(text: &str) -> String {
    // A line that ends in a soft break may be set with a hyphen of its own; none of these texts has one.
    text.chars().filter(|c| !c.is_whitespace() && *c != BREAK).collect()
}
