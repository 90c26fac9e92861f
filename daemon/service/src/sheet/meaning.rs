//! What the findings may mean.

use maud::{Markup, html};

use super::findings::sentence;
use super::part;
use crate::http::visit_views::{CandidateView, VisitView};
use crate::text;

pub(super) fn section(visit: &VisitView) -> Markup {
    let meaning = &visit.meaning;
    if meaning.candidates.is_empty() && meaning.rule_out_first.is_empty() && meaning.heed.is_empty()
    {
        return html! {};
    }
    let body = html! {
        @if !meaning.rule_out_first.is_empty() {
            div.keep {
                h3 { (text!("Rule out first")) }
                ul { @for what in &meaning.rule_out_first { li { (what) } } }
            }
        }
        @if meaning.candidates.is_empty() {
            p { (text!("The findings point to no candidate.")) }
        } @else {
            p.small { (text!("Candidates, the best fitting first. None is proved by these figures: each needs its next check.")) }
            @for candidate in &meaning.candidates { (self::candidate(candidate)) }
        }
        @if !meaning.heed.is_empty() {
            div.keep.heed {
                h3 { (text!("Heed")) }
                ul { @for what in &meaning.heed { li { (what) } } }
            }
        }
    };
    part("meaning", &text!("What the findings may mean"), &body)
}

fn candidate(candidate: &CandidateView) -> Markup {
    html! {
        div.keep.candidate data-code=(candidate.code) {
            p {
                b { (candidate.title) }
                ", " (candidate.place.words()) " – " (sentence(&candidate.fit))
            }
            @if !candidate.evidence.is_empty() {
                ul { @for evidence in &candidate.evidence { li { (evidence) } } }
            }
            p { b { (text!("Next check:")) " " } (sentence(&candidate.next)) }
        }
    }
}
