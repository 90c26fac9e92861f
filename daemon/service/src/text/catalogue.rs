//! The translations, read once from the files in `texts`.

use std::collections::HashMap;
use std::sync::LazyLock;

use super::{Key, Language};

/// Translations in the format of gettext: the English template is the `msgid`.
pub(super) const GERMAN: [&str; 7] = [
    include_str!("../../texts/de/boards.po"),
    include_str!("../../texts/de/carried.po"),
    include_str!("../../texts/de/procedures.po"),
    include_str!("../../texts/de/publishing.po"),
    include_str!("../../texts/de/requests.po"),
    include_str!("../../texts/de/sheet.po"),
    include_str!("../../texts/de/visits.po"),
];

type Wordings = HashMap<(String, String), String>;

static IN_GERMAN: LazyLock<Wordings> = LazyLock::new(|| read(&GERMAN));

/// The template in a language; the English one where there is no other.
pub(super) fn worded(key: &Key, language: Language) -> &'static str {
    match language {
        Language::English => key.template,
        Language::German => IN_GERMAN
            .get(&(key.context.to_owned(), key.template.to_owned()))
            .map_or(key.template, String::as_str),
    }
}

/// Every template that is known.
pub(super) fn keys() -> impl Iterator<Item = Key> {
    IN_GERMAN
        .keys()
        .filter(|(_, template)| !template.is_empty())
        .map(|(context, template)| Key { context, template })
}

/// Context and English template to translation. A file that cannot be read gives none:
/// sentences are then told in English, and the tests fail.
pub(super) fn read(files: &'static [&'static str]) -> Wordings {
    let catalogues: Vec<_> = files
        .iter()
        .filter_map(|file| {
            polib::po_file::parse_from_reader(file.as_bytes())
                .inspect_err(|why| tracing::error!(%why, "translations cannot be read"))
                .ok()
        })
        .collect();
    catalogues
        .iter()
        .flat_map(polib::catalog::Catalog::messages)
        .filter(|message| message.is_translated())
        .filter_map(|message| {
            let wording = message.msgstr().ok()?;
            let key = (
                message.msgctxt().unwrap_or_default().to_owned(),
                message.msgid().to_owned(),
            );
            Some((key, wording.to_owned()))
        })
        .collect()
}
