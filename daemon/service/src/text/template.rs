//! Templates: `{name}` stands for an argument, `{{` and `}}` for the brackets themselves.

use std::borrow::Cow;

/// Stops the build when the names in a template are not those of its arguments.
///
/// # Panics
/// When they differ. It is called in constants only, where that is an error of the build.
pub const fn names_agree(template: &str, names: &[&str]) {
    let bytes = template.as_bytes();
    let mut found = 0_u64;
    let mut at = 0;
    while at < bytes.len() {
        if bytes[at] == b'{' && at + 1 < bytes.len() && bytes[at + 1] == b'{' {
            at += 2;
        } else if bytes[at] == b'{' {
            let start = at + 1;
            while at < bytes.len() && bytes[at] != b'}' {
                at += 1;
            }
            let mut nth = 0;
            while nth < names.len() && !is(bytes, start, at, names[nth].as_bytes()) {
                nth += 1;
            }
            assert!(
                nth != names.len(),
                "the template names something that is no argument"
            );
            found |= 1 << nth;
            at += 1;
        } else {
            at += 1;
        }
    }
    assert!(
        found == (1_u64 << names.len()) - 1,
        "an argument is not named in the template"
    );
}

const fn is(bytes: &[u8], from: usize, to: usize, name: &[u8]) -> bool {
    if to - from != name.len() {
        return false;
    }
    let mut at = 0;
    while at < name.len() {
        if bytes[from + at] != name[at] {
            return false;
        }
        at += 1;
    }
    true
}

/// A template without arguments, with its doubled brackets made single.
pub(super) fn plain(template: &str) -> Cow<'_, str> {
    if template.contains(['{', '}']) {
        let mut told = String::new();
        fill(template, &mut told, |_, _| {});
        Cow::Owned(told)
    } else {
        Cow::Borrowed(template)
    }
}

/// Writes a template; `argument` writes what stands for a name.
pub(super) fn fill(template: &str, told: &mut String, mut argument: impl FnMut(&str, &mut String)) {
    let mut rest = template;
    while let Some(at) = rest.find(['{', '}']) {
        let (before, from) = rest.split_at(at);
        told.push_str(before);
        let doubled = from.get(1..2) == from.get(0..1);
        if doubled {
            told.push_str(&from[..1]);
            rest = &from[2..];
        } else if let (true, Some(end)) = (from.starts_with('{'), from.find('}')) {
            argument(&from[1..end], told);
            rest = &from[end + 1..];
        } else {
            told.push_str(&from[..1]);
            rest = &from[1..];
        }
    }
    told.push_str(rest);
}

/// The names in a template, in the order of the alphabet.
#[cfg(test)]
pub(super) fn names(template: &str) -> Vec<String> {
    let mut names = Vec::new();
    fill(template, &mut String::new(), |name, _| {
        names.push(name.to_owned());
    });
    names.sort();
    names
}
