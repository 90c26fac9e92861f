//! What is told to clients, encoded once for all of them.
//!
//! Clients that keep up have all been sent the same state before, and so the same change comes next
//! to each of them in its language. The first that asks for it has it worked out, the others are
//! given the same text. One that reads slowly asks for a change from an older state, which is
//! remembered as well for as long as it is new.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use crate::text::Language;

/// Tellings that are remembered: two languages, and clients that are a few states behind.
const MOST: usize = 16;

/// From which state to which, in which language; none before the first.
type Of = (Language, Option<u64>, u64);

/// A text that is worked out once; none where there is nothing to say.
type Text = Arc<OnceLock<Option<Arc<str>>>>;

/// What was told last.
#[derive(Debug, Clone, Default)]
pub struct Told {
    kept: Arc<Mutex<VecDeque<(Of, Text)>>>,
}

impl Told {
    /// What is said to clients in a language that were sent state `from` and are now sent `to`.
    pub(super) fn telling(
        &self,
        language: Language,
        from: Option<u64>,
        to: u64,
        telling: impl FnOnce() -> Option<Arc<str>>,
    ) -> Option<Arc<str>> {
        let text = self.kept_text((language, from, to));
        // Not under the lock: whoever wants another text does not wait for this one.
        text.get_or_init(telling).clone()
    }

    fn kept_text(&self, of: Of) -> Text {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, text)) = kept.iter().rev().find(|(other, _)| *other == of) {
            return text.clone();
        }
        if kept.len() >= MOST {
            kept.pop_front();
        }
        let text = Text::default();
        kept.push_back((of, text.clone()));
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_is_worked_out_once_and_by_language() {
        let told = Told::default();
        let mut worked_out = 0;
        let mut ask = |language, from, to| {
            told.telling(language, from, to, || {
                worked_out += 1;
                Some(format!("{from:?} {to}").into())
            })
        };
        for _ in 0..20 {
            assert_eq!(
                ask(Language::English, Some(1), 2).as_deref(),
                Some("Some(1) 2")
            );
            assert_eq!(
                ask(Language::German, Some(1), 2).as_deref(),
                Some("Some(1) 2")
            );
            assert_eq!(ask(Language::English, None, 2).as_deref(), Some("None 2"));
        }
        assert_eq!(worked_out, 3);
    }

    #[test]
    fn only_the_newest_are_remembered() {
        let told = Told::default();
        for to in 0..100 {
            told.telling(Language::English, None, to, || None);
        }
        assert_eq!(told.kept.lock().unwrap().len(), MOST);
        let again = told.telling(Language::English, None, 0, || Some("anew".into()));
        assert_eq!(again.as_deref(), Some("anew"));
    }
}
