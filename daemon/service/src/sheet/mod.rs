//! The sheet of a visit: one HTML file that is printed and handed over.
//!
//! It needs nothing but itself: no script, no font, no picture from elsewhere. Verdicts
//! are told by word and shape, so that it can be read in black and white. Nothing is
//! worked out here; lines are only drawn from figures that the visit has.

mod band;
mod chart;
mod closing;
mod conditions;
mod curve;
mod differences;
mod figure;
mod findings;
mod history;
mod meaning;
mod plumb;
mod rows;
mod runs;
mod verdict;
mod work;

#[cfg(test)]
mod sample;
#[cfg(test)]
mod tests;

use maud::{DOCTYPE, Markup, PreEscaped, html};

pub use figure::Angles;
pub use history::PastVisit;

use crate::http::visit_views::VisitView;
use crate::present;
use crate::store::{Store, StoreFault};
use crate::text;
use crate::text::{Language, Text};

const STYLE: &str = include_str!("sheet.css");

/// Most visits of a car that are drawn: more do not fit side by side.
const MOST_PAST: usize = 12;

/// How a sheet is written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SheetOptions {
    /// How angles are written.
    pub angles: Angles,
    /// Paper it is laid out for.
    pub paper: Paper,
    /// Language it is told in.
    pub language: Language,
    /// When it was made, RFC 3339.
    pub made_at: String,
}

/// Paper that a sheet is laid out for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Deserialize, clap::ValueEnum)]
#[serde(rename_all = "snake_case")]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 × 11 in.
    Letter,
}

impl Paper {
    const fn css(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
        }
    }
}

/// The sheet of a visit that is kept.
pub fn of(store: &Store, id: i64, options: &SheetOptions) -> Result<String, StoreFault> {
    let visit = present::visit_of(store, id)?;
    let mut past = vec![PastVisit::of(&visit)];
    if let Some(car) = visit.car_id {
        for row in store.visits(Some(car))? {
            if row.id != id && past.len() < MOST_PAST {
                past.push(PastVisit::of(&present::visit_of(store, row.id)?));
            }
        }
    }
    Ok(written(&visit, &past, options))
}

/// The sheet of a visit. `history` has the visits of its car, this one among them, in any order.
pub fn written(visit: &VisitView, history: &[PastVisit], options: &SheetOptions) -> String {
    options
        .language
        .tell(|| told(visit, history, options))
        .into_string()
}

/// In the language at hand.
fn told(visit: &VisitView, history: &[PastVisit], options: &SheetOptions) -> Markup {
    let angles = options.angles;
    let title = text!(
        "{name} – {day} – visit {visit}",
        name = &visit.car.name,
        day = figure::day(&visit.began_at),
        visit = visit.id
    );
    html! {
        (DOCTYPE)
        html lang=(options.language.tag()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) (PreEscaped(page_rule(options.paper, &title.to_string()))) }
            }
            body {
                main {
                    (head(visit, options))
                    (findings::section(visit, angles))
                    (plumb::section(visit))
                    (differences::section(visit, angles))
                    (work::moves(visit))
                    (meaning::section(visit))
                    (work::steps(visit, angles))
                    (curve::section(visit))
                    (history::section(history))
                    (conditions::section(visit))
                    (conditions::preparation(visit))
                    (runs::section(visit))
                    (runs::notes(visit))
                    (closing::section(visit, options))
                }
            }
        }
    }
}

/// A part of the sheet, with its knot on the string in the margin.
fn part(id: &str, title: &Text, body: &Markup) -> Markup {
    html! {
        section id=(id) {
            h2 { (title) }
            (body)
        }
    }
}

fn head(visit: &VisitView, options: &SheetOptions) -> Markup {
    html! {
        header {
            svg.peg viewBox="0 0 24 24" aria-hidden="true" {
                path d="M2 4h20M12 4v9" fill="none" stroke="currentColor" stroke-width="2.4" {}
                path d="M8 13h8l.8 3L12 24l-4.8-8z" fill="currentColor" {}
            }
            h1 { (visit.car.name) }
            p.sub {
                (text!("Wheel geometry before and after")) " · "
                (figure::time(&visit.began_at)) " · "
                (text!("visit {visit}", visit = visit.id)) " · " (visit.stage.words())
            }
            @if !visit.car.notes.is_empty() { p.small { (visit.car.notes) } }
            p.small {
                @if visit.car.source.is_empty() {
                    (text!("Figures of the car: nobody has told where they come from.")) " "
                } @else {
                    (text!("Figures of the car: {source}.", source = &visit.car.source)) " "
                }
                (text!("Made {time}.", time = figure::time(&options.made_at)))
            }
        }
    }
}

/// The rule for paper; the title stands at the foot of every page.
fn page_rule(paper: Paper, title: &str) -> String {
    format!(
        "@page {{ size: {}; margin: 13mm 13mm 17mm 15mm;\n\
           @bottom-left {{ content: {}; font: 8pt system-ui, sans-serif; }}\n\
           @bottom-right {{ content: {}; font: 8pt system-ui, sans-serif; }} }}\n",
        paper.css(),
        css_string(title),
        page_of_pages()
    )
}

/// The number of the page among all, which only the browser knows.
fn page_of_pages() -> String {
    const PAGE: char = '\u{1}';
    const PAGES: char = '\u{2}';
    let told = text!(
        "page {page} of {pages}",
        page = PAGE.to_string(),
        pages = PAGES.to_string()
    )
    .to_string();
    told.split_inclusive([PAGE, PAGES])
        .map(|part| {
            let words = css_string(part.trim_end_matches([PAGE, PAGES]));
            if part.ends_with(PAGE) {
                format!("{words} counter(page)")
            } else if part.ends_with(PAGES) {
                format!("{words} counter(pages)")
            } else {
                words
            }
        })
        .collect::<Vec<_>>()
        .join(" ")
}

/// A text as a string of CSS. Everything but letters and digits is written by its number,
/// so that no name can end the string or the style.
fn css_string(text: &str) -> String {
    use std::fmt::Write as _;
    let mut written = String::from("\"");
    for letter in text.chars() {
        if letter.is_alphanumeric() {
            written.push(letter);
        } else {
            let _ = write!(written, "\\{:x} ", u32::from(letter));
        }
    }
    written.push('"');
    written
}
