//! How it was measured, with what, and what was noted.

use maud::{Markup, html};

use super::findings::sentence;
use super::{figure, part};
use crate::http::visit_views::VisitView;
use crate::text;
use crate::text::Text;
use crate::visit::BoardUsed;

pub(super) fn section(visit: &VisitView) -> Markup {
    let mut boards: Vec<&BoardUsed> = Vec::new();
    for board in visit.runs.iter().flat_map(|run| &run.boards) {
        if !boards.contains(&board) {
            boards.push(board);
        }
    }
    let body = html! {
        @if visit.runs.is_empty() {
            p.missing { (text!("Nothing was measured.")) }
        } @else {
            table.plain {
                thead { tr { th { "" } th { (text!("When")) } th { (text!("Procedure")) } th { (text!("How")) } th { (text!("Software")) } } }
                tbody {
                    @for run in &visit.runs {
                        tr.gone[run.taken_back] {
                            td.number { (run.number) }
                            td.when { (figure::time(&run.at)) br; (run.stage.words()) }
                            td { (run.name) @if run.taken_back { br; b { (text!("taken back: does not hold")) } @if !run.why_taken_back.is_empty() { br; (run.why_taken_back) } } }
                            td { (sentence(&run.method)) }
                            td { "hubplumb " (run.software) }
                        }
                    }
                }
            }
        }
        @if !boards.is_empty() {
            h3 { (text!("Boards and their calibrations")) }
            table.plain {
                thead { tr { th { (text!("Board")) } th { (text!("Where")) } th { (text!("Calibration")) } } }
                tbody {
                    @for board in boards {
                        tr {
                            td { (board.name) " (" (board.id) ")" }
                            td { (Text::recalled(&board.mount)) }
                            td { (sentence(Text::recalled(&board.calibration))) }
                        }
                    }
                }
            }
        }
    };
    part("runs", &text!("How it was measured"), &body)
}

pub(super) fn notes(visit: &VisitView) -> Markup {
    if visit.notes.is_empty() {
        return html! {};
    }
    let body = html! {
        ul { @for note in &visit.notes { li { span.small { (figure::time(&note.at)) ": " } (note.text) } } }
    };
    part("notes", &text!("Notes"), &body)
}
