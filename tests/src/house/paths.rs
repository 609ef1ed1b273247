//! Rust source as the paths (`std::fs::read`) and texts that stand in it, without comments.

use proc_macro2::{Delimiter, TokenStream, TokenTree};

/// What stands in a source.
#[derive(Debug, Default)]
pub struct Said {
    /// Paths with the line they begin on; `use a::{b, c::d}` counts as `a::b` and `a::c::d`.
    pub paths: Vec<(usize, String)>,
    /// Text literals with their line.
    pub texts: Vec<(usize, String)>,
}

/// Reads `stream`; documentation comments are left out.
pub fn said(stream: TokenStream) -> Said {
    let mut said = Said::default();
    read(stream, "", &mut said);
    said
}

fn read(stream: TokenStream, prefix: &str, said: &mut Said) {
    let mut trees = stream.into_iter().peekable();
    let mut path = String::from(prefix);
    let mut line = 0;
    // The path goes on after `::`, else the next word begins a new one.
    let mut joined = !prefix.is_empty();
    while let Some(tree) = trees.next() {
        match tree {
            TokenTree::Ident(ident) => {
                if !joined {
                    end(&mut path, line, said);
                    line = ident.span().start().line;
                }
                line = line.max(ident.span().start().line);
                path.push_str(&ident.to_string());
                joined = false;
            }
            TokenTree::Punct(mark) if mark.as_char() == ':' && is_colon(trees.peek()) => {
                trees.next();
                path.push_str("::");
                joined = true;
            }
            TokenTree::Group(group) => {
                let documents = group.delimiter() == Delimiter::Bracket && is_documentation(group.stream());
                let inner = if joined { path.clone() } else { String::new() };
                if joined {
                    path.clear();
                } else {
                    end(&mut path, line, said);
                }
                joined = false;
                if !documents {
                    branches(group.stream(), &inner, said);
                }
            }
            TokenTree::Literal(literal) => {
                end(&mut path, line, said);
                joined = false;
                let at = literal.span().start().line;
                if let Ok(text) = syn::parse_str::<syn::LitStr>(&literal.to_string()) {
                    said.texts.push((at, text.value()));
                }
            }
            TokenTree::Punct(_) => {
                end(&mut path, line, said);
                joined = false;
            }
        }
    }
    end(&mut path, line, said);
}

/// A group after `::` is the branches of a `use`: each goes on from the same prefix.
fn branches(stream: TokenStream, prefix: &str, said: &mut Said) {
    if prefix.is_empty() {
        return read(stream, "", said);
    }
    let mut branch = TokenStream::new();
    for tree in stream {
        match tree {
            TokenTree::Punct(mark) if mark.as_char() == ',' => {
                read(std::mem::take(&mut branch), prefix, said)
            }
            tree => branch.extend([tree]),
        }
    }
    read(branch, prefix, said);
}

fn end(path: &mut String, line: usize, said: &mut Said) {
    if !path.is_empty() {
        said.paths.push((line, std::mem::take(path)));
    }
}

fn is_colon(tree: Option<&TokenTree>) -> bool {
    matches!(tree, Some(TokenTree::Punct(mark)) if mark.as_char() == ':')
}

fn is_documentation(stream: TokenStream) -> bool {
    matches!(stream.into_iter().next(), Some(TokenTree::Ident(ident)) if ident == "doc")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn paths(source: &str) -> Vec<String> {
        let file: syn::File = syn::parse_str(source).unwrap();
        said(quote::ToTokens::into_token_stream(file)).paths.into_iter().map(|(_, path)| path).collect()
    }

    #[test]
    fn reads_paths_out_of_code_and_macros() {
        assert!(paths("use std::{fs::{self, File}, env};").contains(&"std::fs::File".into()));
        assert!(paths("use std::{fs, env};").contains(&"std::env".into()));
        assert!(paths("fn f() { vec![std::env::var(\"A\")]; }").contains(&"std::env::var".into()));
        assert!(paths("fn f(x: &A) { x.now() }").contains(&"now".into()));
        assert!(!paths("/// std::fs::read\nfn f() {}").iter().any(|path| path.contains("fs")));
    }

    #[test]
    fn reads_texts_with_their_line() {
        let file: syn::File = syn::parse_str("\n\nfn f() { g(\"a b\", r#\"c\"#) }").unwrap();
        let texts = said(quote::ToTokens::into_token_stream(file)).texts;
        assert_eq!(texts, [(3, "a b".to_string()), (3, "c".to_string())]);
    }
}
