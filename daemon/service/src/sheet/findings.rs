//! The findings, before and after.

use std::fmt::Display;

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
                    th { "What and where" }
                    th { "Before" }
                    th { "After" }
                    th { "Limits" }
                    th { "Against the limits" }
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
            "In the last column the grey bar is what the limits allow, the short upright line the target; "
            "hollow ring with a thin bar: before with its ±; full dot with a thick bar: after with its ±."
        }
        (others(&between(visit), angles))
    };
    part("findings", "Findings before and after", &body)
}

fn row(row: &Row<'_>, first: bool, angles: Angles) -> Markup {
    let limits = row.newest().and_then(|finding| finding.limits);
    let said = said(row);
    html! {
        tbody.finding.first[first] data-row=(format!("{} {}", row.quantity.words(), row.place.words())) {
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
                        span.from { "± mostly from: " (from) }
                    }
                }
            }
            @if !said.is_empty() {
                tr.said { td colspan="5" { (said.join(" ")) } }
            }
        }
    }
}

fn found(finding: Option<&VisitFindingView>, angles: Angles) -> Markup {
    let Some(finding) = finding else {
        return html! { span.missing { "not measured" } };
    };
    html! {
        span.figure { (figure::value(finding.value, finding.expanded, finding.unit, angles)) }
        " "
        span.doubt { (figure::expanded(finding.expanded, finding.unit, angles)) }
        br;
        @if !finding.sense.is_empty() { span.sense { (finding.sense) } " " }
        @if let Some(found) = &finding.verdict { (verdict::mark(found)) }
        @else if finding.limits.is_some() { span.missing { "no verdict" } }
        @for also in &finding.also { br; span.sense { (also) } }
    }
}

fn allowed(limits: Option<&Limits>, unit: Unit, measured: bool, angles: Angles) -> Markup {
    let write = |value: f64| figure::limit(value, unit, angles);
    let Some(limits) = limits else {
        let words = if measured { "none told" } else { "–" };
        return html! { span.missing { (words) } };
    };
    html! {
        @match (limits.low, limits.high) {
            (Some(low), Some(high)) => { (write(low)) " to " (write(high)) },
            (Some(low), None) => { (write(low)) " or more" },
            (None, Some(high)) => { (write(high)) " or less" },
            (None, None) => span.missing { "no limits told" },
        }
        @if let Some(target) = limits.target { br; "target " (write(target)) }
    }
}

/// What stands below a row: what would decide it, and what has to be known beside it.
fn said(row: &Row<'_>) -> Vec<String> {
    let mut said = Vec::new();
    let both = [(row.before, "Before"), (row.after, "After")];
    for (finding, when) in both {
        let Some(verdict) = finding.and_then(|finding| finding.verdict.as_ref()) else {
            continue;
        };
        // What was undecided before and is measured anew is of no more use.
        let newest = when == "After" || row.after.is_none();
        if verdict.verdict == VerdictWord::Undecided && newest {
            said.push(format!("{when}: {}", sentence(&verdict.say)));
            if !verdict.would_decide.is_empty() {
                said.push(format!(
                    "What would decide: {}",
                    sentence(&verdict.would_decide)
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
    said.extend(caveats.into_iter().map(sentence));
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
            h3 { "Measured in between" }
            table.plain {
                thead { tr { th { "When" } th { "What and where" } th { "Found" } th { "Part of the visit" } } }
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
