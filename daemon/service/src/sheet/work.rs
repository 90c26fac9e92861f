//! What was adjusted, and what is still to be.

use maud::{Markup, html};

use super::figure::{self, Angles};
use super::findings::sentence;
use super::part;
use crate::http::visit_views::{MoveView, VisitView};
use crate::text;
use crate::text::Text;
use crate::visit::{AfterMove, Stage};

/// What has to be seen to after every move.
const AFTER: [(AfterMove, Text); 3] = [
    (AfterMove::Locked, text!("lock tight")),
    (AfterMove::Torqued, text!("tightened to the maker's value")),
    (AfterMove::Settled, text!("suspension settled")),
];

pub(super) fn moves(visit: &VisitView) -> Markup {
    let body = html! {
        @if visit.moves.is_empty() {
            p.missing { (text!("No adjuster was moved.")) }
        } @else {
            table.plain {
                thead { tr { th { (text!("When")) } th { (text!("Adjuster")) } th { (text!("Where")) } th { (text!("How far")) } th { (text!("Seen to")) } } }
                tbody {
                    @for moved in &visit.moves {
                        tr {
                            td.when { (figure::time(&moved.at)) }
                            td { (moved.adjuster) }
                            td { (moved.corner.words()) }
                            td { (moved.say) }
                            td { (seen_to(moved)) }
                        }
                    }
                }
            }
        }
    };
    part("moves", &text!("What was adjusted"), &body)
}

fn seen_to(moved: &MoveView) -> Markup {
    let words = |seen: bool| -> Vec<Text> {
        AFTER
            .into_iter()
            .filter(|(what, _)| moved.seen_to.contains(what) == seen)
            .map(|(_, words)| words)
            .collect()
    };
    let (done, open) = (words(true), words(false));
    html! {
        @if !done.is_empty() { (Text::listed(done.iter().cloned())) }
        @if !open.is_empty() {
            @if !done.is_empty() { br; }
            b { (text!("not told: {open}", open = Text::listed(open))) }
        }
    }
}

/// What the advice still asks for.
pub(super) fn steps(visit: &VisitView, angles: Angles) -> Markup {
    if visit.work.is_empty() {
        return html! {};
    }
    let title = if visit.stage == Stage::Closed {
        text!("Left as it is")
    } else {
        text!("Still to adjust")
    };
    let body = html! {
        table.plain {
            thead { tr { th { "" } th { (text!("What and where")) } th { (text!("Stands at")) } th { (text!("Aim")) } th { (text!("How")) } } }
            tbody {
                @for step in &visit.work {
                    tr {
                        td { (step.order) }
                        td { (step.quantity.words()) ", " (step.place.words()) }
                        td { (figure::value(step.value, step.expanded, step.unit, angles)) " " (figure::expanded(step.expanded, step.unit, angles)) }
                        td { (figure::limit(step.aim, step.unit, angles)) }
                        td {
                            @if let Some(adjuster) = &step.adjuster { (adjuster) ": " }
                            (sentence(&step.say))
                            @if !step.known_from.is_empty() { " (" (step.known_from) ")" }
                        }
                    }
                }
            }
        }
    };
    part("work", &title, &body)
}
