//! The work sheet as a document: right pages, the same bytes, no surprise from any text.

mod sample;

use hayro_syntax::Pdf;
use sheet::{PaperOptions, PaperSize, Units, work_sheet_pdf};
use treatment::Visit;

fn pdf(visit: &Visit, options: &PaperOptions) -> Vec<u8> {
    let bytes = work_sheet_pdf(visit, options).unwrap_or_else(|problems| panic!("{problems}"));
    assert!(bytes.starts_with(b"%PDF-"));
    bytes
}

fn pages(bytes: &[u8]) -> (usize, (f32, f32)) {
    let pdf = Pdf::new(bytes.to_vec()).expect("a PDF that can be read");
    let size = pdf.pages().iter().next().map(hayro_syntax::page::Page::render_dimensions).expect("a page");
    (pdf.pages().len(), size)
}

#[test]
fn a_sheet_has_few_pages_of_the_paper_asked_for() {
    for (visit, most) in [(sample::visit(), 4), (sample::crowded(), 4), (sample::refused(), 2)] {
        let (count, size) = pages(&pdf(&visit, &PaperOptions::default()));
        assert!((1..=most).contains(&count), "{count} pages");
        assert_eq!(size, (612.0, 792.0));
    }
    let a4 = PaperOptions { paper: PaperSize::A4, units: Units::Metric, ..PaperOptions::default() };
    let (count, (width, height)) = pages(&pdf(&sample::visit(), &a4));
    assert!((2..=4).contains(&count), "{count} pages");
    // ISO 216: 210 by 297 mm, in points of 1/72 inch.
    assert!((width - 595.28).abs() < 0.01 && (height - 841.89).abs() < 0.01);
}

#[test]
fn the_same_visit_is_the_same_bytes() {
    let options = PaperOptions::default();
    assert!(pdf(&sample::visit(), &options) == pdf(&sample::visit(), &options));
    let grey = PaperOptions { black_and_white: true, ..options.clone() };
    assert!(pdf(&sample::visit(), &grey) != pdf(&sample::visit(), &options));
}

#[test]
fn hostile_text_sets_a_sheet_like_any_other() {
    let (count, _) = pages(&pdf(&sample::hostile(), &PaperOptions::default()));
    assert!((2..=14).contains(&count), "{count} pages");
}

#[test]
fn a_font_that_is_none_is_refused() {
    let options = PaperOptions { fonts: vec![b"no font".to_vec()], ..PaperOptions::default() };
    let problems = work_sheet_pdf(&sample::visit(), &options).unwrap_err();
    assert_eq!(problems.iter().next().map(|problem| problem.code), Some("sheet::font"));
}

#[test]
fn a_bare_visit_still_sets() {
    let mut visit = sample::visit();
    visit.hours.clear();
    visit.zones.clear();
    visit.tasks.clear();
    visit.ppe.clear();
    visit.cautions.clear();
    visit.verdicts.clear();
    visit.working.clear();
    visit.measures.clear();
    visit.products.clear();
    visit.posting.clear();
    visit.findings.clear();
    visit.applicator = None;
    visit.start_window = None;
    visit.start_windows.clear();
    assert!(pages(&pdf(&visit, &PaperOptions::default())).0 >= 1);
}
