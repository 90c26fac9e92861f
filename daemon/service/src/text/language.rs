//! The languages sentences are told in, and whose turn it is.

use std::convert::Infallible;
use std::future::Future;

use axum::extract::FromRequestParts;
use axum::http::header;
use axum::http::request::Parts;

/// A language that every sentence is told in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, clap::ValueEnum)]
pub enum Language {
    /// English.
    #[default]
    #[value(name = "en")]
    English,
    /// German.
    #[value(name = "de")]
    German,
}

tokio::task_local! {
    /// Language of the request that is being answered.
    static AT_HAND: Language;
}

impl Language {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// Its tag (BCP 47).
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }

    /// The language a tag names, whatever region it adds.
    pub fn of_tag(tag: &str) -> Option<Self> {
        let primary = tag.split(['-', '_']).next().unwrap_or_default();
        Self::ALL
            .into_iter()
            .find(|language| language.tag().eq_ignore_ascii_case(primary))
    }

    /// The language of the request that is being answered; English outside of one.
    pub fn at_hand() -> Self {
        AT_HAND.try_with(|language| *language).unwrap_or_default()
    }

    /// A figure that is written the English way, with the decimal mark of this language.
    pub fn figure(self, english: &str) -> String {
        match self {
            Self::English => english.to_owned(),
            Self::German => english.replace('.', ",").replace('-', "\u{2212}"),
        }
    }

    /// Answers in this language: every [`super::Text`] told within is told in it.
    pub async fn scope<F: Future>(self, answering: F) -> F::Output {
        AT_HAND.scope(self, answering).await
    }

    /// Like [`Language::scope`], for what is told at once.
    pub fn tell<T>(self, telling: impl FnOnce() -> T) -> T {
        AT_HAND.sync_scope(self, telling)
    }

    /// What a request asks for: `language=` in its address, for an event stream cannot send
    /// headers of its own, else `Accept-Language` (RFC 9110, 12.5.4).
    pub fn asked_by(parts: &Parts) -> Self {
        let named = parts.uri.query().and_then(|query| {
            query
                .split('&')
                .filter_map(|pair| pair.split_once('='))
                .find(|(key, _)| *key == "language")
                .and_then(|(_, tag)| Self::of_tag(tag))
        });
        let preferred = || {
            let accepted = parts.headers.get(header::ACCEPT_LANGUAGE)?.to_str().ok()?;
            accept_language::parse(accepted)
                .iter()
                .find_map(|tag| Self::of_tag(tag))
        };
        named.or_else(preferred).unwrap_or_default()
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Language {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(Self::asked_by(parts))
    }
}
