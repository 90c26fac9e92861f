//! Sentences that were stored in English, found again as templates with arguments.
//!
//! What is stored is the same in every language. The English wording is the key of its
//! translations, so that what was stored years ago can be told in another language, as long
//! as its template is still known; else it is told as it stands.

use std::collections::HashMap;
use std::sync::LazyLock;

use super::argument::Argument;
use super::{Text, catalogue};

/// A template with arguments, cut at their names.
struct Pattern {
    key: super::Key,
    /// What stands before each name.
    before: Vec<(&'static str, &'static str)>,
    /// What stands after the last one.
    end: &'static str,
    /// Letters that do not belong to an argument.
    said: usize,
}

/// Below this a template says too little to be found again by.
const LEAST_SAID: usize = 6;

static FIXED: LazyLock<HashMap<&'static str, super::Key>> = LazyLock::new(|| {
    // Without a context is the last word of those with the same English.
    let mut keys: Vec<_> = catalogue::keys()
        .filter(|key| !key.template.contains(['{', '}']))
        .collect();
    keys.sort_by_key(|key| (key.context.is_empty(), key.context));
    keys.into_iter().map(|key| (key.template, key)).collect()
});

static PATTERNS: LazyLock<Vec<Pattern>> = LazyLock::new(|| {
    let mut patterns: Vec<_> = catalogue::keys()
        .filter_map(Pattern::of)
        .filter(|pattern| pattern.said >= LEAST_SAID)
        .collect();
    // What says more fits better.
    patterns.sort_by_key(|pattern| {
        (
            std::cmp::Reverse(pattern.said),
            pattern.key.template,
            pattern.key.context,
        )
    });
    patterns
});

impl Pattern {
    /// None for a template without arguments, or with brackets of its own.
    fn of(key: super::Key) -> Option<Self> {
        if key.template.contains("{{") || key.template.contains("}}") {
            return None;
        }
        let mut before = Vec::new();
        let mut rest = key.template;
        while let Some((words, from)) = rest.split_once('{') {
            let (name, after) = from.split_once('}')?;
            before.push((words, name));
            rest = after;
        }
        let letters = |words: &str| words.chars().filter(|c| c.is_alphabetic()).count();
        let said = before
            .iter()
            .map(|(words, _)| letters(words))
            .sum::<usize>()
            + letters(rest);
        (!before.is_empty()).then_some(Self {
            key,
            before,
            end: rest,
            said,
        })
    }

    fn fits(&'static self, stored: &str) -> Option<Text> {
        let ((first, _), _) = self.before.split_first()?;
        let mut rest = stored.strip_prefix(first)?.strip_suffix(self.end)?;
        let mut arguments = Vec::new();
        for (nth, (_, name)) in self.before.iter().enumerate() {
            let value = match self.before.get(nth + 1) {
                Some((next, _)) => {
                    let (value, after) = rest.split_once(next)?;
                    rest = after;
                    value
                }
                None => rest,
            };
            if value.is_empty() {
                return None;
            }
            arguments.push((*name, argument(value)));
        }
        Some(Text::filled(&self.key, arguments))
    }
}

fn argument(stored: &str) -> Argument {
    match Argument::figure(stored) {
        Some(figure) => figure,
        None => whole(stored)
            .unwrap_or_else(|| Text::verbatim(stored))
            .into(),
    }
}

fn fixed(stored: &str) -> Option<Text> {
    FIXED.get(stored).map(Text::fixed)
}

fn whole(stored: &str) -> Option<Text> {
    fixed(stored).or_else(|| PATTERNS.iter().find_map(|pattern| pattern.fits(stored)))
}

/// What was stored in English; several sentences one after the other are found one by one.
pub(super) fn recalled(stored: &str) -> Text {
    let mut found = Vec::new();
    let mut rest = stored.trim();
    while !rest.is_empty() {
        let ends: Vec<usize> = rest
            .match_indices(". ")
            .map(|(at, _)| at + 1)
            .chain([rest.len()])
            .collect();
        let known = ends
            .iter()
            .rev()
            .find_map(|end| Some((*end, whole(&rest[..*end])?)));
        let (end, text) = known.unwrap_or_else(|| {
            let end = ends.first().copied().unwrap_or(rest.len());
            (end, Text::verbatim(&rest[..end]))
        });
        found.push(text);
        rest = rest[end..].trim_start();
    }
    Text::sentences(found)
}

#[cfg(test)]
mod tests {
    use crate::text::{Language, Text};

    #[test]
    fn what_was_stored_is_told_as_it_was_and_in_german() {
        let check = |stored: &str, german: &str| {
            let text = Text::recalled(stored);
            assert_eq!(text.told_in(Language::English), stored);
            assert_eq!(text.told_in(Language::German), german);
        };
        check("", "");
        check("run-out", "Seitenschlag");
        check("Measure again.", "Noch einmal messen.");
        check(
            "At 19.5° of the inner wheel.",
            "Bei 19,5° des kurveninneren Rades.",
        );
        check(
            "Distances from two strings to the rims, the run-out left in; strings taken for parallel to within 0.05° (one sigma).",
            "Abstände von zwei Schnüren zu den Felgen, der Seitenschlag nicht herausgenommen; Schnüre als parallel angenommen auf 0,05° (ein Sigma).",
        );
        // Two sentences, and one that no template has between others.
        check(
            "Nothing moved. Words of an older program. Measure again.",
            "Nichts hat sich bewegt. Words of an older program. Noch einmal messen.",
        );
    }
}
