//! A crate's own sources as its module tree names them, without what is compiled for tests only.

use quote::ToTokens;
use std::path::{Path, PathBuf};

use super::paths::{Said, said};

/// A source file: where, and what stands in it.
pub struct Source {
    /// Path.
    pub file: PathBuf,
    /// What stands in it.
    pub said: Said,
}

/// The module tree that begins at `first` (`…/lib.rs` or `…/main.rs`).
///
/// # Panics
/// When a file cannot be read or is not Rust: then no rule can be said to hold.
pub fn tree(first: &Path) -> Vec<Source> {
    let mut found = Vec::new();
    // Files still to read, each with the folder its modules lie in.
    let mut open = vec![(first.to_path_buf(), first.parent().unwrap_or(first).to_path_buf())];
    while let Some((file, dir)) = open.pop() {
        let text =
            std::fs::read_to_string(&file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        let mut parsed: syn::File =
            syn::parse_str(&text).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        for name in keep(&mut parsed.items) {
            let nested = dir.join(&name);
            let flat = dir.join(format!("{name}.rs"));
            open.push((if flat.is_file() { flat } else { nested.join("mod.rs") }, nested));
        }
        found.push(Source { file, said: said(parsed.into_token_stream()) });
    }
    found.sort_by(|a, b| a.file.cmp(&b.file));
    found
}

/// Drops what is compiled for tests only; answers the modules that lie in files of their own.
fn keep(items: &mut Vec<syn::Item>) -> Vec<String> {
    items.retain(|item| !attributes(item).iter().any(for_tests));
    let mut files = Vec::new();
    for item in items {
        if let syn::Item::Mod(module) = item {
            match &mut module.content {
                Some((_, inner)) => drop(keep(inner)),
                None => files.push(module.ident.to_string()),
            }
        }
    }
    files
}

fn for_tests(attribute: &syn::Attribute) -> bool {
    attribute.path().is_ident("cfg")
        && attribute.meta.require_list().is_ok_and(|list| list.tokens.to_string() == "test")
}

fn attributes(item: &syn::Item) -> &[syn::Attribute] {
    match item {
        syn::Item::Const(item) => &item.attrs,
        syn::Item::Enum(item) => &item.attrs,
        syn::Item::Fn(item) => &item.attrs,
        syn::Item::Impl(item) => &item.attrs,
        syn::Item::Mod(item) => &item.attrs,
        syn::Item::Static(item) => &item.attrs,
        syn::Item::Struct(item) => &item.attrs,
        syn::Item::Trait(item) => &item.attrs,
        syn::Item::Type(item) => &item.attrs,
        syn::Item::Use(item) => &item.attrs,
        _ => &[],
    }
}
