//! The other way round: the record out of a report, which makes the report a witness.

use super::RECORD_NAME;
use super::after::{ASKED_KEY, MISSING_KEY, RECORD_KEY};
use lopdf::{Dictionary, Document, Object};

/// The record attached to a report as JSON Lines; `None` when the bytes are no report of this program.
pub fn attached_record(bytes: &[u8]) -> Option<Vec<u8>> {
    let file = Document::load_mem(bytes).ok()?;
    let names = deep(&file, file.catalog().ok()?, &[b"Names", b"EmbeddedFiles"])?;
    let list = follow(&file, names.get(b"Names").ok()?).as_array().ok()?;
    let mut pairs = list.chunks_exact(2);
    let spec = pairs.find(|pair| pair[0].as_str().is_ok_and(|name| name == RECORD_NAME.as_bytes()))?;
    let spec = follow(&file, &spec[1]).as_dict().ok()?;
    let stream = follow(&file, deep(&file, spec, &[b"EF"])?.get(b"F").ok()?).as_stream().ok()?;
    stream.decompressed_content().ok().or_else(|| Some(stream.content.clone()))
}

/// The dictionary at the end of a path of names.
fn deep<'a>(file: &'a Document, from: &'a Dictionary, path: &[&[u8]]) -> Option<&'a Dictionary> {
    path.iter().try_fold(from, |dictionary, name| follow(file, dictionary.get(name).ok()?).as_dict().ok())
}

fn follow<'a>(file: &'a Document, object: &'a Object) -> &'a Object {
    object.as_reference().ok().and_then(|id| file.get_object(id).ok()).unwrap_or(object)
}

/// What a report says of itself in its document data.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// The record behind it, as `HEAD:COUNT`.
    pub witness: String,
    /// How its pages were asked for.
    pub asked: String,
    /// What it says is missing of its record.
    pub missing: Vec<String>,
    /// The program that made it, with its version.
    pub program: String,
    /// The words on its last page, where they can be taken out: the head stands there.
    pub last_page: Option<String>,
}

/// Reads it; `None` when the bytes are no report of this program, or one that does not say it.
pub fn told(bytes: &[u8]) -> Option<Told> {
    let file = Document::load_mem(bytes).ok()?;
    let info = follow(&file, file.trailer.get(b"Info").ok()?).as_dict().ok()?;
    let text = |key: &[u8]| lopdf::decode_text_string(follow(&file, info.get(key).ok()?)).ok();
    let pages = file.get_pages();
    let last_page =
        pages.keys().last().and_then(|page| file.extract_text_with_limit(&[*page], 16 << 20).ok());
    let missing = text(MISSING_KEY).unwrap_or_default();
    Some(Told {
        witness: text(RECORD_KEY)?,
        asked: text(ASKED_KEY)?,
        missing: missing.lines().map(str::to_string).collect(),
        program: text(b"Producer")?,
        last_page,
    })
}
