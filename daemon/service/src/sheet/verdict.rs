//! Verdicts by word and shape: a dot between brackets, beside them, or upon one.

use maud::{Markup, html};

use crate::http::visit_views::{VerdictView, VerdictWord};
use crate::text;
use crate::text::Text;

/// The word of a verdict.
pub(super) const fn word(verdict: VerdictWord) -> Text {
    match verdict {
        VerdictWord::Inside => text!("inside"),
        VerdictWord::Outside => text!("outside"),
        VerdictWord::Undecided => text!("undecided"),
    }
}

/// Shape and word.
pub(super) fn mark(verdict: &VerdictView) -> Markup {
    html! {
        span.verdict {
            (shape(verdict.verdict))
            b { (word(verdict.verdict)) }
        }
    }
}

/// The shape alone.
pub(super) fn shape(verdict: VerdictWord) -> Markup {
    html! {
        svg.shape viewBox="0 0 30 24" aria-hidden="true" {
            path d="M7 3H3v18h4M15 3h4v18h-4" fill="none" stroke="currentColor" stroke-width="2.4" {}
            @match verdict {
                VerdictWord::Inside => circle cx="11" cy="12" r="3.6" fill="currentColor" {},
                VerdictWord::Outside => circle cx="25.5" cy="12" r="3.6" fill="currentColor" {},
                VerdictWord::Undecided => circle cx="19" cy="12" r="4.6" fill="white" stroke="currentColor" stroke-width="2.2" {},
            }
        }
    }
}

/// How the shapes are read.
pub(super) fn legend() -> Markup {
    let line = |verdict, words: Text| {
        html! { span.verdict { (shape(verdict)) b { (word(verdict)) } " " (words) } "  " }
    };
    html! {
        p.small.legend {
            (line(VerdictWord::Inside, text!("– within the limits, the ± included;")))
            (line(VerdictWord::Outside, text!("– beyond a limit, the ± included;")))
            (line(VerdictWord::Undecided, text!("– the ± reaches across a limit.")))
        }
    }
}
