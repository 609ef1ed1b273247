//! The file: pages, fonts and bookmarks into bytes that are the same each time.

mod after;
mod attached;
mod fonts;
mod paint;

pub use attached::{Told, attached_record, told};

use crate::ReportError;
use crate::kit::Book;
use printpdf::{Mm, OffsetDateTime, PdfDocument, PdfPage, PdfSaveOptions};

/// What the file says of itself beside its pages.
pub struct About<'a> {
    /// Title.
    pub title: String,
    /// The program and its version.
    pub program: String,
    /// When the record was made, ms since the epoch.
    pub at: i64,
    /// The record as JSON Lines; `None`: nothing is attached.
    pub record: Option<&'a [u8]>,
    /// `HEAD:COUNT` of the record behind it.
    pub witness: String,
    /// How the pages were asked for ([`crate::input::ReportInput::asked`]).
    pub asked: String,
    /// What is missing of the record, each on one line.
    pub missing: &'a [String],
    /// What it is.
    pub subject: &'static str,
}

/// Name of the attached record.
pub const RECORD_NAME: &str = "record.jsonl";

/// The bytes of the book.
pub fn bytes(book: &Book, about: &About<'_>) -> Result<Vec<u8>, ReportError> {
    let (width, height) = book.sheet();
    let pages: Vec<PdfPage> = book
        .pages
        .iter()
        .map(|page| {
            let ops = paint::operations(&page.list.items, height);
            PdfPage::new(Mm(width as f32), Mm(height as f32), ops)
        })
        .collect();
    let mut pdf = PdfDocument::new(&about.title);
    let used = fonts::used(&pages);
    pdf.pages = pages;
    for face in fonts::FACES {
        let id = fonts::font_id(face);
        if let Some(characters) = used.get(id.0.as_str()) {
            pdf.resources.fonts.map.insert(id, fonts::subset(face, characters)?);
        }
    }
    let at = OffsetDateTime::from_unix_timestamp(about.at.div_euclid(1000))
        .map_err(|e| ReportError::Time(format!("{e:?}")))?;
    let info = &mut pdf.metadata.info;
    (info.creation_date, info.modification_date, info.metadata_date) = (at, at, at);
    info.creator.clone_from(&about.program);
    info.producer.clone_from(&about.program);
    info.subject = about.subject.into();
    let mut warnings = Vec::new();
    let mut file = pdf.to_lopdf_document(&PdfSaveOptions::default(), &mut warnings);
    drop(pdf);
    after::finish(&mut file, book, about)?;
    after::pack(&mut file)?;
    let mut out = Vec::new();
    file.save_to(&mut out).map_err(|e| ReportError::Write(e.to_string()))?;
    Ok(out)
}
