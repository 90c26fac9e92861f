//! Left less right.

use maud::{Markup, html};

use super::figure::{self, Angles};
use super::findings::sentence;
use super::{part, verdict};
use crate::http::visit_views::{SideDifferenceView, VerdictWord, VisitView};
use crate::text;
use crate::visit::{Quantity, Stage, Unit};

pub(super) fn section(visit: &VisitView, angles: Angles) -> Markup {
    let mut keys: Vec<(Quantity, bool)> = visit
        .differences
        .iter()
        .map(|difference| (difference.quantity, !difference.front))
        .collect();
    keys.sort_unstable();
    keys.dedup();
    let find = |stages: [Stage; 2], (quantity, rear): (Quantity, bool)| {
        stages.into_iter().find_map(|stage| {
            visit
                .differences
                .iter()
                .rfind(|d| d.stage == stage && d.quantity == quantity && d.front != rear)
        })
    };
    let body = html! {
        @if keys.is_empty() {
            p.missing { (text!("No quantity was measured on both sides of an axle.")) }
        } @else {
            table.plain {
                thead { tr { th { (text!("Left less right")) } th { (text!("Before")) } th { (text!("After")) } th { (text!("May differ by")) } } }
                @for key in keys {
                    @let before = find([Stage::Before, Stage::Preparing], key);
                    @let after = find([Stage::After, Stage::Closed], key);
                    @let newest = after.or(before);
                    tbody.finding {
                        tr {
                            th scope="row" { (key.0.words()) ", " (if key.1 { text!(in "axle"; "rear") } else { text!(in "axle"; "front") }) }
                            td { (found(before, angles)) }
                            td.after { (found(after, angles)) }
                            td {
                                @match newest.and_then(|difference| difference.most_deg) {
                                    Some(most) => (text!("{most} at most", most = figure::limit(most, Unit::Deg, angles).trim_start_matches('+'))),
                                    None => span.missing { (text!("none told")) },
                                }
                            }
                        }
                        @if let Some(verdict) = newest.and_then(|difference| difference.verdict.as_ref()).filter(|verdict| verdict.verdict == VerdictWord::Undecided) {
                            tr.said { td colspan="4" {
                                (sentence(&verdict.say))
                                @if !verdict.would_decide.is_empty() { " " (text!("What would decide: {said}", said = sentence(&verdict.would_decide))) }
                            } }
                        }
                    }
                }
            }
            p.small { (text!("The ± of a difference goes by what both sides share.")) }
        }
    };
    part("differences", &text!("Left against right"), &body)
}

fn found(difference: Option<&SideDifferenceView>, angles: Angles) -> Markup {
    let Some(difference) = difference else {
        return html! { span.missing { (text!("not measured")) } };
    };
    html! {
        span.figure { (figure::value(difference.value_deg, difference.expanded_deg, Unit::Deg, angles)) }
        " " span.doubt { (figure::expanded(difference.expanded_deg, Unit::Deg, angles)) }
        @if let Some(found) = &difference.verdict { " " (verdict::mark(found)) }
    }
}
