//! Sentences as data: a template and what stands in it, worded only when they are told.
//!
//! The English template is written where the sentence is made, and is the key of its
//! translations in `texts/de/*.po`. Which language a sentence is told in is a matter of who
//! asks: it goes with the request ([`Language::scope`]), so one view serves every client.

mod argument;
mod catalogue;
mod language;
mod recalled;
#[cfg(test)]
mod sources;
mod template;
#[cfg(test)]
mod tests;

use std::fmt;
use std::sync::Arc;

use serde::{Serialize, Serializer};
use utoipa::openapi::schema::{Object, SchemaType, Type};
use utoipa::openapi::{RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

pub use argument::{Argument, Number, number, plain, signed, written};
pub use language::Language;
#[doc(hidden)]
pub use template::names_agree;

/// A sentence or a few words, in whatever language it is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text(Kind);

#[derive(Debug, Clone, PartialEq, Eq)]
enum Kind {
    /// Told as it is: a name that somebody gave, a word of the operating system.
    Verbatim(Arc<str>),
    /// A number by itself.
    Number(Number),
    /// A template without arguments.
    Fixed(&'static Key),
    /// A template with arguments.
    Filled(Arc<Filled>),
    /// Several, one after the other.
    Joined(Arc<Joined>),
}

/// Behind a pointer, as [`Joined`] is: texts stand in every error, which ought to be small.
#[derive(Debug, PartialEq, Eq)]
struct Filled {
    key: &'static Key,
    arguments: Vec<(&'static str, Argument)>,
}

#[derive(Debug, PartialEq, Eq)]
struct Joined {
    all: Vec<Text>,
    between: &'static str,
}

/// The English template, with a context where one English word has two meanings.
#[doc(hidden)]
#[derive(Debug, PartialEq, Eq, Hash)]
pub struct Key {
    context: &'static str,
    template: &'static str,
}

impl Key {
    /// See [`text!`](crate::text!).
    pub const fn new(context: &'static str, template: &'static str) -> Self {
        Self { context, template }
    }
}

/// A [`Text`] from an English template: `text!("Steer by {turn}°.", turn = number(20.0, 1))`.
///
/// An argument named like its variable is written once. `text!(in "floor"; "level")` gives a
/// context. Names in the template and arguments are compared when the program is built.
#[macro_export]
macro_rules! text {
    ($template:literal) => {{
        const { $crate::text::names_agree($template, &[]) };
        $crate::text::Text::fixed(const { &$crate::text::Key::new("", $template) })
    }};
    (in $context:literal; $template:literal) => {{
        const { $crate::text::names_agree($template, &[]) };
        $crate::text::Text::fixed(const { &$crate::text::Key::new($context, $template) })
    }};
    ($template:literal $(, $name:ident $(= $value:expr)?)+ $(,)?) => {
        $crate::text!(in ""; $template $(, $name $(= $value)?)+)
    };
    (in $context:literal; $template:literal $(, $name:ident $(= $value:expr)?)+ $(,)?) => {{
        const { $crate::text::names_agree($template, &[$(stringify!($name)),+]) };
        $crate::text::Text::filled(
            const { &$crate::text::Key::new($context, $template) },
            vec![$((stringify!($name), $crate::text!(@argument $name $(= $value)?))),+],
        )
    }};
    (@argument $name:ident) => { $crate::text::Argument::from($name) };
    (@argument $name:ident = $value:expr) => { $crate::text::Argument::from($value) };
}

impl Text {
    /// See [`text!`](crate::text!).
    #[doc(hidden)]
    pub const fn fixed(key: &'static Key) -> Self {
        Self(Kind::Fixed(key))
    }

    /// See [`text!`](crate::text!).
    #[doc(hidden)]
    pub fn filled(key: &'static Key, arguments: Vec<(&'static str, Argument)>) -> Self {
        Self(Kind::Filled(Arc::new(Filled { key, arguments })))
    }

    /// Nothing.
    pub const fn empty() -> Self {
        Self::fixed(const { &Key::new("", "") })
    }

    /// Told as it stands in every language: what a person named, what a system said.
    pub fn verbatim(text: impl Into<Arc<str>>) -> Self {
        Self(Kind::Verbatim(text.into()))
    }

    /// What was stored in English, told as its template where that is known.
    pub fn recalled(stored: &str) -> Self {
        recalled::recalled(stored)
    }

    /// As it is stored, whoever asks: in English.
    pub fn stored(&self) -> String {
        self.told_in(Language::English)
    }

    /// Sentences after each other.
    pub fn sentences(all: impl IntoIterator<Item = Self>) -> Self {
        Self::joined(all, " ")
    }

    /// Words in a row, with commas.
    pub fn listed(all: impl IntoIterator<Item = Self>) -> Self {
        Self::joined(all, ", ")
    }

    /// One after the other with `between`, which is the same in every language; empty ones
    /// are left out.
    pub fn joined(all: impl IntoIterator<Item = Self>, between: &'static str) -> Self {
        let all = all.into_iter().filter(|text| !text.is_empty()).collect();
        Self(Kind::Joined(Arc::new(Joined { all, between })))
    }

    /// Says nothing.
    pub fn is_empty(&self) -> bool {
        match &self.0 {
            Kind::Verbatim(text) => text.is_empty(),
            Kind::Number(_) => false,
            Kind::Fixed(key) => key.template.is_empty(),
            Kind::Filled(filled) => filled.key.template.is_empty(),
            Kind::Joined(joined) => joined.all.is_empty(),
        }
    }

    /// Worded in a language.
    pub fn told_in(&self, language: Language) -> String {
        let mut told = String::new();
        self.tell(language, &mut told);
        told
    }

    fn tell(&self, language: Language, told: &mut String) {
        match &self.0 {
            Kind::Verbatim(text) => told.push_str(text),
            Kind::Number(Number(number)) => told.push_str(&language.figure(number)),
            Kind::Fixed(key) => told.push_str(&template::plain(catalogue::worded(key, language))),
            Kind::Filled(filled) => {
                template::fill(
                    catalogue::worded(filled.key, language),
                    told,
                    |name, told| {
                        if let Some((_, argument)) =
                            filled.arguments.iter().find(|(n, _)| *n == name)
                        {
                            argument.tell(language, told);
                        }
                    },
                );
            }
            Kind::Joined(joined) => {
                for (nth, text) in joined.all.iter().enumerate() {
                    if nth > 0 {
                        told.push_str(joined.between);
                    }
                    text.tell(language, told);
                }
            }
        }
    }
}

impl Default for Text {
    fn default() -> Self {
        Self::empty()
    }
}

/// In the language of the request at hand, else in English.
impl fmt::Display for Text {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.told_in(Language::at_hand()))
    }
}

/// In the language of the request at hand, else in English.
impl Serialize for Text {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.told_in(Language::at_hand()))
    }
}

/// In the language of the request at hand, else in English.
impl maud::Render for Text {
    fn render_to(&self, buffer: &mut String) {
        self.told_in(Language::at_hand()).render_to(buffer);
    }
}

impl From<String> for Text {
    fn from(text: String) -> Self {
        Self::verbatim(text)
    }
}

impl From<&str> for Text {
    fn from(text: &str) -> Self {
        Self::verbatim(text)
    }
}

impl From<Number> for Text {
    fn from(number: Number) -> Self {
        Self(Kind::Number(number))
    }
}

impl PartialEq<str> for Text {
    fn eq(&self, other: &str) -> bool {
        self.told_in(Language::English) == other
    }
}

impl PartialEq<&str> for Text {
    fn eq(&self, other: &&str) -> bool {
        *self == **other
    }
}

#[cfg(test)]
impl Text {
    /// Does the English wording hold these words?
    pub fn contains(&self, words: &str) -> bool {
        self.told_in(Language::English).contains(words)
    }

    /// Does the English wording end with these words?
    pub fn ends_with(&self, words: &str) -> bool {
        self.told_in(Language::English).ends_with(words)
    }
}

impl PartialSchema for Text {
    fn schema() -> RefOr<Schema> {
        Object::builder()
            .schema_type(SchemaType::new(Type::String))
            .into()
    }
}

/// A plain string where it is used; no schema of its own.
impl ToSchema for Text {}

impl schemars::JsonSchema for Text {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Text".into()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        String::json_schema(generator)
    }
}
