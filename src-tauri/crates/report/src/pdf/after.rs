//! What the first pass lacks: nested bookmarks with exact places, the attached record, an /ID from
//! the content, the language.

use super::packed::{self, Packed};
use super::{About, RECORD_NAME};
use crate::ReportError;
use crate::kit::Book;
use crate::kit::book::Bookmark;
use drawing::metrics::{Lead, PT};
use lopdf::{Dictionary, Document, Object, ObjectId, StringFormat, dictionary};
use sha2::{Digest, Sha256};

/// Completes the file.
pub fn finish(file: &mut Document, book: &Book, about: About) -> Result<(), ReportError> {
    file.version = "1.7".into();
    tidy_info(file, &about)?;
    if let Some(record) = about.record {
        attach(file, record, about.at)?;
    }
    outline(file, &book.bookmarks, book.sheet().1)?;
    touches(file, book)?;
    let catalog = catalog(file)?;
    catalog.set("Lang", Object::string_literal("en"));
    catalog.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true });
    let streams = file.objects.values_mut().filter_map(|object| object.as_stream_mut().ok());
    streams.for_each(packed::pack);
    let digest = content_digest(file);
    let id = Object::String(digest[..16].to_vec(), StringFormat::Hexadecimal);
    file.trailer.set("ID", vec![id.clone(), id]);
    Ok(())
}

fn broken(why: impl std::fmt::Display) -> ReportError {
    ReportError::Write(why.to_string())
}

/// Text as PDF wants it outside of pages.
fn utf16(text: &str) -> Object {
    let mut bytes = vec![0xFE, 0xFF];
    bytes.extend(text.encode_utf16().flat_map(u16::to_be_bytes));
    Object::String(bytes, StringFormat::Hexadecimal)
}

fn catalog(file: &mut Document) -> Result<&mut Dictionary, ReportError> {
    let id = file.trailer.get(b"Root").and_then(Object::as_reference).map_err(broken)?;
    file.get_dictionary_mut(id).map_err(broken)
}

/// Name of the document data that says which record is behind the file, as `HEAD:COUNT`.
pub const RECORD_KEY: &[u8] = b"LedgebookRecord";
/// Name of the document data that says how the pages were asked for.
pub const ASKED_KEY: &[u8] = b"LedgebookAsked";

/// Name of the document data that says what is missing of the record, a line each.
pub const MISSING_KEY: &[u8] = b"LedgebookMissing";

/// Drops words about print shops that say nothing here; puts in what a later look at the file needs.
fn tidy_info(file: &mut Document, about: &About) -> Result<(), ReportError> {
    let id = file.trailer.get(b"Info").and_then(Object::as_reference).map_err(broken)?;
    let info = file.get_dictionary_mut(id).map_err(broken)?;
    for key in [&b"Identifier"[..], b"GTS_PDFXVersion", b"Trapped", b"Keywords", b"Author"] {
        info.remove(key);
    }
    info.set(RECORD_KEY, utf16(&about.witness));
    info.set(ASKED_KEY, utf16(&about.asked));
    if !about.missing.is_empty() {
        info.set(MISSING_KEY, utf16(&about.missing.join("\n")));
    }
    Ok(())
}

/// SHA-256 over every stream of the file as it is packed, in the order of their numbers.
fn content_digest(file: &Document) -> [u8; 32] {
    let mut sum = Sha256::new();
    for object in file.objects.values() {
        if let Object::Stream(stream) = object {
            sum.update((stream.content.len() as u64).to_be_bytes());
            sum.update(&stream.content);
        }
    }
    sum.finalize().into()
}

/// Attaches the record, so that the paper's file is a witness of what it was made from.
fn attach(file: &mut Document, record: Packed, at: i64) -> Result<(), ReportError> {
    let params = dictionary! {
        "Size" => record.whole as i64,
        "ModDate" => Object::string_literal(pdf_date(at)),
    };
    let kind = Object::Name(b"application/jsonl".to_vec());
    let head = dictionary! { "Type" => "EmbeddedFile", "Subtype" => kind, "Params" => params };
    let stream = file.add_object(record.into_stream(head));
    let spec = file.add_object(dictionary! {
        "Type" => "Filespec",
        "F" => Object::string_literal(RECORD_NAME),
        "UF" => utf16(RECORD_NAME),
        "AFRelationship" => "Data",
        "Desc" => utf16("The record this report was made from, one entry a line"),
        "EF" => dictionary! { "F" => stream, "UF" => stream },
    });
    let names = vec![Object::string_literal(RECORD_NAME), spec.into()];
    let catalog = catalog(file)?;
    catalog.set("Names", dictionary! { "EmbeddedFiles" => dictionary! { "Names" => names } });
    catalog.set("AF", vec![Object::from(spec)]);
    Ok(())
}

/// A date as PDF writes it, in UTC.
fn pdf_date(ms: i64) -> String {
    let at = chrono::DateTime::from_timestamp_millis(ms).unwrap_or_default();
    at.format("D:%Y%m%d%H%M%SZ").to_string()
}

/// Nested bookmarks with exact places.
fn outline(file: &mut Document, marks: &[Bookmark], height: f64) -> Result<(), ReportError> {
    let tops: Vec<usize> = (0..marks.len()).filter(|i| marks[*i].level == 1).collect();
    let (Some(first), Some(last)) = (tops.first(), tops.last()) else { return Ok(()) };
    let pages: Vec<ObjectId> = file.page_iter().collect();
    let root = file.new_object_id();
    let ids: Vec<ObjectId> = marks.iter().map(|_| file.new_object_id()).collect();
    let root_words = dictionary! {
        "Type" => "Outlines", "First" => ids[*first], "Last" => ids[*last], "Count" => tops.len() as i64,
    };
    file.set_object(root, root_words);
    for (k, top) in tops.iter().enumerate() {
        let end = tops.get(k + 1).copied().unwrap_or(marks.len());
        let inner: Vec<usize> = (top + 1..end).collect();
        let mut words = entry(&marks[*top], root, &pages, height)?;
        neighbours(&mut words, &tops, k, &ids);
        if let (Some(a), Some(b)) = (inner.first(), inner.last()) {
            words.set("First", ids[*a]);
            words.set("Last", ids[*b]);
            // Negative: closed until someone opens it.
            words.set("Count", -(inner.len() as i64));
        }
        file.set_object(ids[*top], words);
        for (j, i) in inner.iter().enumerate() {
            let mut words = entry(&marks[*i], ids[*top], &pages, height)?;
            neighbours(&mut words, &inner, j, &ids);
            file.set_object(ids[*i], words);
        }
    }
    let catalog = catalog(file)?;
    catalog.set("Outlines", root);
    catalog.set("PageMode", Object::Name(b"UseOutlines".to_vec()));
    Ok(())
}

fn neighbours(words: &mut Dictionary, siblings: &[usize], k: usize, ids: &[ObjectId]) {
    if let Some(before) = k.checked_sub(1).and_then(|k| siblings.get(k)) {
        words.set("Prev", ids[*before]);
    }
    if let Some(after) = siblings.get(k + 1) {
        words.set("Next", ids[*after]);
    }
}

fn entry(
    mark: &Bookmark,
    parent: ObjectId,
    pages: &[ObjectId],
    height: f64,
) -> Result<Dictionary, ReportError> {
    let place = place(pages, mark.page, mark.y, height)?;
    Ok(dictionary! { "Title" => utf16(&mark.title), "Parent" => parent, "Dest" => place })
}

/// A place as PDF names it: a little above, so that what stands there is seen whole.
fn place(pages: &[ObjectId], page: usize, y: f64, height: f64) -> Result<Vec<Object>, ReportError> {
    let page = pages.get(page).ok_or_else(|| broken("something leads to a page that is not there"))?;
    let top = ((height - y) / PT).round() as i64 + 4;
    Ok(vec![(*page).into(), "XYZ".into(), Object::Null, top.into(), Object::Null])
}

/// What on each page leads to another place. An entry that stands on no page leads nowhere: its number is then only a number.
fn touches(file: &mut Document, book: &Book) -> Result<(), ReportError> {
    let (pages, height): (Vec<ObjectId>, f64) = (file.page_iter().collect(), book.sheet().1);
    for (page, id) in book.pages.iter().zip(&pages) {
        let mut links = Vec::new();
        for touch in &page.touches {
            let to = match touch.lead {
                Lead::Entry(seq) => book.entries.get(&seq).copied(),
                Lead::Place(page, y) => Some((page, y)),
            };
            let Some((at, y)) = to else { continue };
            let [left, top, right, bottom] = touch.area;
            let corners = [left, height - bottom, right, height - top];
            let area: Vec<Object> = corners.iter().map(|mm| hundredths(mm / PT)).collect();
            links.push(Object::from(dictionary! {
                "Type" => "Annot", "Subtype" => "Link", "F" => 4, "Border" => vec![0.into(), 0.into(), 0.into()],
                "Rect" => area, "Dest" => place(&pages, at, y, height)?,
            }));
        }
        if !links.is_empty() {
            file.get_dictionary_mut(*id).map_err(broken)?.set("Annots", links);
        }
    }
    Ok(())
}

/// Points to a hundredth: shorter in the file, and the same on every machine.
fn hundredths(points: f64) -> Object {
    Object::Real(((points * 100.0).round() / 100.0) as f32)
}

/// Puts the contents of the pages, in their order, where they belong.
pub fn set_contents(file: &mut Document, contents: Vec<Packed>) -> Result<(), ReportError> {
    let pages: Vec<ObjectId> = file.page_iter().collect();
    for (page, content) in pages.into_iter().zip(contents) {
        let held = file.get_dictionary(page).and_then(|page| page.get(b"Contents")).map_err(broken)?;
        let id = held.as_reference().map_err(broken)?;
        file.set_object(id, content.into_stream(Dictionary::new()));
    }
    Ok(())
}
