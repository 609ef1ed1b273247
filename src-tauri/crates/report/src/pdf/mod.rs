//! The file: pages, fonts and bookmarks into bytes that are the same each time.

mod after;
mod attached;
mod content;
mod fonts;
mod packed;

pub use attached::{Told, attached_record, told};

use crate::kit::Book;
use crate::{ReportError, share};
use drawing::list::{Face, Item};
use fonts::{Codes, Used};
pub use packed::{Packed, packed};
use printpdf::{Mm, OffsetDateTime, Op, PdfDocument, PdfFontHandle, PdfPage, PdfSaveOptions, Pt, TextItem};
use std::collections::BTreeSet;

/// What the file says of itself beside its pages.
pub struct About {
    /// Title.
    pub title: String,
    /// The program and its version.
    pub program: String,
    /// When the record was made, ms since the epoch.
    pub at: i64,
    /// The record as JSON Lines, packed; `None`: nothing is attached.
    pub record: Option<Packed>,
    /// `HEAD:COUNT` of the record behind it.
    pub witness: String,
    /// How the pages were asked for ([`crate::input::ReportInput::asked`]).
    pub asked: String,
    /// What is missing of the record, each on one line.
    pub missing: Vec<String>,
    /// What it is.
    pub subject: &'static str,
}

/// Name of the attached record.
pub const RECORD_NAME: &str = "record.jsonl";

/// The bytes of the book.
pub fn bytes(mut book: Book, about: About) -> Result<Vec<u8>, ReportError> {
    let (width, height) = book.sheet();
    let used = Used::of(book.pages.iter().map(|page| page.list.items.as_slice()));
    let mut codes = Codes::default();
    let mut pdf = PdfDocument::new(&about.title);
    let mut in_use = Vec::new();
    for face in fonts::FACES.into_iter().filter(|face| !used.in_face(*face).is_empty()) {
        let characters = used.in_face(face);
        pdf.resources.fonts.map.insert(fonts::font_id(face), fonts::subset(face, characters, &mut codes)?);
        in_use.extend(shown(face, characters));
    }
    let (wide, high) = (Mm(width as f32), Mm(height as f32));
    pdf.pages = book.pages.iter().map(|_| PdfPage::new(wide, high, Vec::new())).collect();
    // A face is put into the file where a page uses it. What the pages hold is put in their place below.
    if let Some(first) = pdf.pages.first_mut() {
        first.ops = in_use;
    }
    let at = OffsetDateTime::from_unix_timestamp(about.at.div_euclid(1000))
        .map_err(|e| ReportError::Time(format!("{e:?}")))?;
    let info = &mut pdf.metadata.info;
    (info.creation_date, info.modification_date, info.metadata_date) = (at, at, at);
    info.creator.clone_from(&about.program);
    info.producer.clone_from(&about.program);
    info.subject = about.subject.into();
    let mut file = pdf.to_lopdf_document(&PdfSaveOptions::default(), &mut Vec::new());
    drop(pdf);
    // What is drawn is some twenty times what it is packed: it goes as its page is packed.
    let drawn = book.pages.iter_mut().map(|page| std::mem::take(&mut page.list.items)).collect();
    let contents =
        share::each_taken(drawn, |items: Vec<Item>| packed(&content::content(&items, height, &codes)));
    after::set_contents(&mut file, contents)?;
    after::finish(&mut file, &book, about)?;
    let mut out = Vec::new();
    file.save_to(&mut out).map_err(|e| ReportError::Write(e.to_string()))?;
    Ok(out)
}

/// Operations that use a face and each of its characters. Of two that share a glyph the one with the lower number comes last, and is
/// what the glyph reads as when text is taken out: a space, and not the one that keeps together.
fn shown(face: Face, characters: &BTreeSet<char>) -> [Op; 2] {
    let font = PdfFontHandle::External(fonts::font_id(face));
    let text = characters.iter().rev().collect();
    [Op::SetFont { font, size: Pt(1.0) }, Op::ShowText { items: vec![TextItem::Text(text)] }]
}
