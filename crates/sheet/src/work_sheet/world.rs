//! What the type-setting library may see: one template, the content and two pictures of one visit,
//! and fonts. No files, no network, no date.

use problem::{Problem, Problems};
use std::sync::{Arc, LazyLock};
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

const TEMPLATE: &str = include_str!("../../templates/work_sheet.typ");

static LIBRARY: LazyLock<LazyHash<Library>> = LazyLock::new(|| LazyHash::new(Library::default()));

static BUILT_IN: LazyLock<Fonts> = LazyLock::new(|| {
    let fonts = typst_assets::fonts().flat_map(|data| Font::iter(Bytes::new(data))).collect();
    Fonts::of(fonts)
});

/// Fonts with their book.
#[derive(Clone)]
pub(super) struct Fonts {
    fonts: Arc<Vec<Font>>,
    book: Arc<LazyHash<FontBook>>,
}

impl Fonts {
    fn of(fonts: Vec<Font>) -> Self {
        let book = LazyHash::new(FontBook::from_fonts(&fonts));
        Self { fonts: Arc::new(fonts), book: Arc::new(book) }
    }

    /// The built-in fonts, and then these font files.
    pub(super) fn with(files: &[Vec<u8>]) -> Result<Self, Problems> {
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
    pub(super) fn missing(&self, text: &str) -> Vec<char> {
        let mut letters: Vec<char> = text.chars().filter(|c| !c.is_whitespace() && !c.is_control()).collect();
        letters.sort_unstable();
        letters.dedup();
        letters.retain(|c| *c != BREAK && !self.fonts.iter().any(|font| font.info().coverage.contains(u32::from(*c))));
        letters
    }
}

/// Where a long word may be broken; no font needs a picture of it.
pub(super) const BREAK: char = '\u{200b}';

struct Desk {
    main: Source,
    files: [(FileId, Bytes); 3],
    fonts: Fonts,
}

fn id(path: &str) -> Result<FileId, Problem> {
    VirtualPath::new(path)
        .map(|path| RootedPath::new(VirtualRoot::Project, path).intern())
        .map_err(|_| Problem::error("sheet::typesetting", format!("`{path}` is no path of the sheet")))
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

fn desk(content: Vec<u8>, map: String, hours: String, fonts: Fonts) -> Result<Desk, Problems> {
    let main = Source::new(id("work_sheet.typ")?, TEMPLATE.to_owned());
    let files = [
        (id("content.json")?, Bytes::new(content)),
        (id("map.svg")?, Bytes::from_string(map)),
        (id("hours.svg")?, Bytes::from_string(hours)),
    ];
    Ok(Desk { main, files, fonts })
}

/// Sets the sheet.
pub(super) fn set(content: Vec<u8>, map: String, hours: String, fonts: Fonts) -> Result<Vec<u8>, Problems> {
    let desk = desk(content, map, hours, fonts)?;
    let document = typst::compile(&desk).output.map_err(|errors| problems(&errors));
    let bytes = document.and_then(|document| {
        let options = typst_pdf::PdfOptions {
            creator: Smart::Custom(Some("tussock".to_owned())),
            ..typst_pdf::PdfOptions::default()
        };
        typst_pdf::pdf(&document, &options).map_err(|errors| problems(&errors))
    });
    // What was remembered of earlier sheets goes, so that memory does not grow with their number.
    typst::comemo::evict(2);
    bytes
}

fn problems(errors: &[SourceDiagnostic]) -> Problems {
    errors.iter().map(|error| Problem::error("sheet::typesetting", error.message.to_string())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample;
    use crate::work_sheet::{WorkSheetOptions, content};
    use typst::layout::{Frame, FrameItem};

    fn add_text(frame: &Frame, all: &mut String) {
        for (_, item) in frame.items() {
            match item {
                FrameItem::Group(group) => add_text(&group.frame, all),
                FrameItem::Text(text) => all.push_str(&text.text),
                _ => {}
            }
        }
    }

    /// Every text that the sheet sets, blanks and places to break left out.
    fn text_set(visit: &treatment::Visit) -> String {
        let content = content::of(visit, &WorkSheetOptions::default());
        let picture = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9\" height=\"9\"/>".to_owned();
        let fonts = Fonts::with(&[]).unwrap();
        let desk = desk(serde_json::to_vec(&content).unwrap(), picture.clone(), picture, fonts).unwrap();
        let warned = typst::compile(&desk);
        let document = warned.output.unwrap();
        typst_pdf::pdf(&document, &typst_pdf::PdfOptions::default()).unwrap();
        assert!(warned.warnings.is_empty(), "{:?}", warned.warnings);
        let mut all = String::new();
        for page in document.pages() {
            add_text(&page.frame, &mut all);
        }
        plain(&all)
    }

    fn plain(text: &str) -> String {
        // A line that ends in a soft break may be set with a hyphen of its own; none of these texts has one.
        text.chars().filter(|c| !c.is_whitespace() && *c != BREAK).collect()
    }

    #[test]
    fn hostile_text_is_set_letter_by_letter() {
        let text = text_set(&sample::hostile());
        // As name and product; and where identifiers stand between backticks, with quotes in their place.
        assert!(text.matches(&plain(sample::HOSTILE)).count() >= 2);
        let quoted = sample::HOSTILE.replace("`r`", "“r”");
        // As reason against an hour and verdict.
        assert!(text.matches(&plain(&quoted)).count() >= 2);
        assert!(text.contains(&"x".repeat(300)));
    }

    #[test]
    fn a_refused_visit_says_so_in_words_with_sentence_and_mend() {
        let visit = sample::refused();
        let text = text_set(&visit);
        assert!(text.contains(&plain("REFUSED: DO NOT APPLY")));
        assert!(text.contains(&plain("Do not apply more than 0.48 lb a.i. per acre per calendar year")));
        assert!(text.contains(&plain("Do instead:")));
    }

    #[test]
    fn a_refused_sheet_is_no_recipe() {
        let text = text_set(&sample::refused());
        let planned = text_set(&sample::visit());
        for words in ["Mixing and measuring", "Done", "As applied", "7:00 am to 9:20 am", "14.0 mL"] {
            assert!(planned.contains(&plain(words)), "{words}");
            assert!(!text.contains(&plain(words)), "{words}");
        }
    }

    #[test]
    fn paper_has_no_sign_of_the_screen_and_no_figure_too_fine_to_measure() {
        let text = text_set(&sample::visit());
        assert!(!text.contains('`'), "{text}");
        // Equal tanks share a row; what was computed has one digit more than the measure's mark of 0.2 mL.
        for words in ["3–8, each", "14.02 mL", "1.69 gal/1,000 sq ft", "CHECK BEFORE STARTING"] {
            assert!(text.contains(&plain(words)), "{words} is not in {text}");
        }
        assert!(!text.contains("CAUTION:") && !text.contains("−"), "{text}");
    }

    #[test]
    fn no_sheet_calls_a_visit_safe_and_every_sheet_has_the_cautions() {
        for visit in [sample::visit(), sample::refused()] {
            let text = text_set(&visit);
            assert!(!text.to_lowercase().contains("safe"));
            for caution in &visit.cautions {
                assert!(text.contains(&plain(&caution.sentence.text)), "{}", caution.sentence.text);
            }
            assert!(text.contains(&plain("The label is the law. Local law and licensed practice govern.")));
        }
    }

    #[test]
    fn a_letter_that_no_font_has_is_told() {
        let fonts = Fonts::with(&[]).unwrap();
        assert!(fonts.missing("Ångström żółć Ελλάδα Київ 1 m² × ½ “–”").is_empty());
        let mut visit = sample::visit();
        visit.name = "\u{7530}\u{4e2d}".to_owned();
        let mut content = content::of(&visit, &WorkSheetOptions::default());
        let missing = fonts.missing(&content.all_text());
        assert_eq!(missing, ['\u{4e2d}', '\u{7530}']);
        content.note_missing(&missing);
        assert!(content.all_text().contains("U+4E2D, U+7530"));
    }
}
