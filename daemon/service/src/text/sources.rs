//! Finds every template in the sources of this crate.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use proc_macro2::{TokenStream, TokenTree};

/// Context and template, and the files they stand in.
pub(super) type Templates = BTreeMap<(String, String), Vec<String>>;

/// Every `text!` of the crate, tests apart.
pub(super) fn templates() -> Templates {
    let mut found = Templates::new();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    visit(&folder, &folder, &mut found);
    found
}

fn visit(root: &Path, folder: &Path, found: &mut Templates) {
    let entries = fs::read_dir(folder).expect("the sources are there");
    for entry in entries {
        let path = entry.expect("an entry of the folder").path();
        let name = path.file_name().expect("a name").to_string_lossy();
        if path.is_dir() && name != "tests" {
            visit(root, &path, found);
        } else if name.ends_with(".rs") && name != "tests.rs" && !name.ends_with("_tests.rs") {
            let text = fs::read_to_string(&path).expect("a source is text");
            let within = path.strip_prefix(root).expect("below the root");
            let tokens: TokenStream = text.parse().expect("a source is Rust");
            scan(tokens, &within.display().to_string(), found);
        }
    }
}

/// Goes through macros as well: a template may stand in another macro's brackets.
fn scan(tokens: TokenStream, file: &str, found: &mut Templates) {
    let mut before: [Option<TokenTree>; 2] = [None, None];
    for token in tokens {
        if let TokenTree::Group(group) = &token {
            let named = matches!(&before, [Some(TokenTree::Ident(name)), Some(TokenTree::Punct(mark))]
                if name == "text" && mark.as_char() == '!');
            if named && let Some(key) = key(group.stream()) {
                found.entry(key).or_default().push(file.to_owned());
            }
            scan(group.stream(), file, found);
        }
        let [_, last] = before;
        before = [last, Some(token)];
    }
}

/// `"template"` or `in "context"; "template"` at the beginning.
fn key(tokens: TokenStream) -> Option<(String, String)> {
    let mut tokens = tokens.into_iter();
    match tokens.next()? {
        TokenTree::Literal(template) => Some((String::new(), words(&template)?)),
        TokenTree::Ident(name) if name == "in" => {
            let (Some(TokenTree::Literal(context)), Some(_), Some(TokenTree::Literal(template))) =
                (tokens.next(), tokens.next(), tokens.next())
            else {
                return None;
            };
            Some((words(&context)?, words(&template)?))
        }
        _ => None,
    }
}

fn words(literal: &proc_macro2::Literal) -> Option<String> {
    syn::parse_str::<syn::LitStr>(&literal.to_string())
        .ok()
        .map(|literal| literal.value())
}
