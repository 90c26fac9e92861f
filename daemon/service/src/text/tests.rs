use std::collections::BTreeMap;

use axum::http::Request;

use super::catalogue::{GERMAN, read};
use super::sources::templates;
use super::template::names;
use super::{Language, Text, number, signed};
use crate::text;

/// Words that are the same in both languages.
const ALIKE: &[&str] = &[
    "mm",
    "parallel",
    "{axis} {way}",
    "{candidate} ({looked}): {check}",
    "{error} {meaning}",
    "{error}.",
    "{mount}: {board}.",
    "{name} {value}° ± {expanded}°, {sense}.",
    "{reason}.",
    "{what} {meaning}",
    "{what} {meaning} {remedy}",
];

#[test]
fn every_template_is_there_in_german_with_the_same_arguments() {
    let german = read(&GERMAN);
    let wanted = templates();
    assert!(!wanted.is_empty(), "the scan of the sources finds nothing");
    let mut wrong: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for ((context, template), files) in &wanted {
        if template.is_empty() {
            continue;
        }
        match german.get(&(context.clone(), template.clone())) {
            None => wrong
                .entry("missing")
                .or_default()
                .push(format!("{} {context:?} {template:?}", files[0])),
            Some(wording) if names(wording) != names(template) => wrong
                .entry("other arguments")
                .or_default()
                .push(format!("{template:?} as {wording:?}")),
            Some(wording)
                if wording == template
                    && template.contains(char::is_alphabetic)
                    && !ALIKE.contains(&template.as_str()) =>
            {
                wrong
                    .entry("left in English")
                    .or_default()
                    .push(format!("{template:?}"));
            }
            Some(_) => {}
        }
    }
    for key in german.keys().filter(|key| !wanted.contains_key(*key)) {
        wrong
            .entry("not used")
            .or_default()
            .push(format!("{key:?}"));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn a_sentence_is_told_in_the_language_of_who_asks() {
    let check = |text: &Text, language, told: &str| assert_eq!(text.told_in(language), told);
    let leaning = |text: Text| text!("test {angle}° {text} {{}}", angle = signed(1.25, 2), text);
    check(
        &leaning(Text::verbatim("a.b")),
        Language::English,
        "test +1.25° a.b {}",
    );
    check(
        &leaning(Text::verbatim("a.b")),
        Language::German,
        "test +1,25° a.b {}",
    );
    check(
        &Text::sentences([
            Text::verbatim("One."),
            Text::empty(),
            Text::verbatim("Two."),
        ]),
        Language::German,
        "One. Two.",
    );
    check(
        &text!("test {n}", n = number(-0.5, 1)),
        Language::German,
        "test −0,5",
    );
    assert!(Text::empty().is_empty() && Text::sentences([]).is_empty());
}

#[test]
fn a_view_is_worded_when_it_is_told() {
    let text = text!("test {n}", n = number(0.5, 1));
    let json = || serde_json::to_string(&text).unwrap();
    assert_eq!(json(), "\"test 0.5\"");
    assert_eq!(Language::German.tell(json), "\"test 0,5\"");
    assert_eq!(Language::German.tell(|| text.to_string()), "test 0,5");
}

#[test]
fn a_request_says_its_language() {
    let check = |address: &str, accepted: Option<&str>, language| {
        let mut request = Request::get(address);
        if let Some(accepted) = accepted {
            request = request.header("accept-language", accepted);
        }
        let (parts, ()) = request.body(()).unwrap().into_parts();
        assert_eq!(
            Language::asked_by(&parts),
            language,
            "{address} {accepted:?}"
        );
    };
    check("/", None, Language::English);
    check("/", Some("de-AT,de;q=0.9,en;q=0.8"), Language::German);
    check("/", Some("fr, en;q=0.8, de;q=0.9"), Language::German);
    check("/", Some("fr"), Language::English);
    check("/", Some(";;;q=x,"), Language::English);
    check("/?language=de", Some("en"), Language::German);
    check("/?language=xx", Some("de"), Language::German);
    check("/?a=b&language=en", Some("de"), Language::English);
}
