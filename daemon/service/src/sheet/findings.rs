//! The findings, before and after.

use std::fmt::Display;

use crate::text;
use crate::text::Text;
use maud::{Markup, html};

use super::figure::{self, Angles};
use super::rows::{Row, between, rows};
use super::{band, part, verdict};
use crate::car::Limits;
use crate::http::visit_views::{VerdictWord, VisitFindingView, VisitView};
use crate::visit::Unit;

pub(super) fn section(visit: &VisitView, angles: Angles) -> Markup {
    let rows = rows(visit);
    let body = html! {
        table.findings {
            thead {
                tr {
                    th { (text!("What and where")) }
                    th { (text!("Before")) }
                    th { (text!("After")) }
                    th { (text!("Limits")) }
                    th { (text!("Against the limits")) }
                }
            }
            @for group in rows.chunk_by(|a, b| a.quantity == b.quantity) {
                @for (index, row) in group.iter().enumerate() {
                    (self::row(row, index == 0, angles))
                }
            }
        }
        (verdict::legend())
        p.small {
            (text!(
                "In the last column the grey bar is what the limits allow, the short upright line the target; \
                 hollow ring with a thin bar: before with its ±; full dot with a thick bar: after with its ±."
            ))
        }
        (others(&between(visit), angles))
    };
    part("findings", &text!("Findings before and after"), &body)
}

fn row(row: &Row<'_>, first: bool, angles: Angles) -> Markup {
    let limits = row.newest().and_then(|finding| finding.limits);
    let said = said(row);
    html! {
        tbody.finding.first[first] data-row=(format!("{} {}", row.quantity.words().stored(), row.place.words().stored())) {
            tr {
                th scope="row" {
                    @if first { span.quantity { (row.quantity.words()) } br; }
                    (row.place.words())
                }
                td { (found(row.before, angles)) }
                td.after { (found(row.after, angles)) }
                td.limits { (allowed(limits.as_ref(), row.quantity.unit(), row.newest().is_some(), angles)) }
                td.bar {
                    (band::picture(row.before, row.after, limits.as_ref()))
                    @if let Some(from) = row.newest().map(|finding| &finding.largest_contributor).filter(|from| !from.is_empty()) {
                        span.from { (text!("± mostly from: {cause}", cause = from)) }
                    }
                }
            }
            @if !said.is_empty() {
                tr.said { td colspan="5" { (Text::sentences(said)) } }
            }
        }
    }
}

fn found(finding: Option<&VisitFindingView>, angles: Angles) -> Markup {
    let Some(finding) = finding else {
        return html! { span.missing { (text!("not measured")) } };
    };
    html! {
        span.figure { (figure::value(finding.value, finding.expanded, finding.unit, angles)) }
        " "
        span.doubt { (figure::expanded(finding.expanded, finding.unit, angles)) }
        br;
        @if !finding.sense.is_empty() { span.sense { (finding.sense) } " " }
        @if let Some(found) = &finding.verdict { (verdict::mark(found)) }
        @else if finding.limits.is_some() { span.missing { (text!("no verdict")) } }
        @for also in &finding.also { br; span.sense { (also) } }
    }
}

fn allowed(limits: Option<&Limits>, unit: Unit, measured: bool, angles: Angles) -> Markup {
    let write = |value: f64| figure::limit(value, unit, angles);
    let Some(limits) = limits else {
        let words = if measured {
            text!("none told")
        } else {
            Text::from("–")
        };
        return html! { span.missing { (words) } };
    };
    html! {
        @match (limits.low, limits.high) {
            (Some(low), Some(high)) => (text!("{low} to {high}", low = write(low), high = write(high))),
            (Some(low), None) => (text!("{low} or more", low = write(low))),
            (None, Some(high)) => (text!("{high} or less", high = write(high))),
            (None, None) => span.missing { (text!("no limits told")) },
        }
        @if let Some(target) = limits.target { br; (text!("target {target}", target = write(target))) }
    }
}

/// What stands below a row: what would decide it, and what has to be known beside it.
fn said(row: &Row<'_>) -> Vec<Text> {
    let mut said = Vec::new();
    let both = [(row.before, false), (row.after, true)];
    for (finding, after) in both {
        let Some(verdict) = finding.and_then(|finding| finding.verdict.as_ref()) else {
            continue;
        };
        // What was undecided before and is measured anew is of no more use.
        let newest = after || row.after.is_none();
        if verdict.verdict == VerdictWord::Undecided && newest {
            let say = sentence(&verdict.say);
            said.push(if after {
                text!("After: {said}", said = say)
            } else {
                text!("Before: {said}", said = say)
            });
            if !verdict.would_decide.is_empty() {
                said.push(text!(
                    "What would decide: {said}",
                    said = sentence(&verdict.would_decide)
                ));
            }
        }
    }
    let mut caveats: Vec<&Text> = both
        .into_iter()
        .filter_map(|(finding, _)| finding)
        .map(|finding| &finding.caveat)
        .filter(|caveat| !caveat.is_empty())
        .collect();
    caveats.dedup();
    said.extend(caveats.into_iter().map(sentence).map(Text::from));
    said
}

/// With a full stop at its end.
pub(super) fn sentence(text: impl Display) -> String {
    let text = text.to_string();
    let text = text.trim();
    if text.is_empty() || text.ends_with(['.', '!', '?']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}

fn others(findings: &[&VisitFindingView], angles: Angles) -> Markup {
    html! {
        @if !findings.is_empty() {
            h3 { (text!("Measured in between")) }
            table.plain {
                thead { tr { th { (text!("When")) } th { (text!("What and where")) } th { (text!("Found")) } th { (text!("Part of the visit")) } } }
                tbody {
                    @for finding in findings {
                        tr {
                            td { (figure::time(&finding.at)) }
                            td { (finding.name) ", " (finding.place_words) }
                            td { (found(Some(finding), angles)) }
                            td { (finding.stage.words()) }
                        }
                    }
                }
            }
        }
    }
}
