//! The car and the place as they were, and what was made ready.

use maud::{Markup, html};

use super::{figure, part};
use crate::car::{Corner, Corners};
use crate::http::visit_views::VisitView;
use crate::text;
use crate::text::{Language, Text};
use crate::visit::Point;

pub(super) fn section(visit: &VisitView) -> Markup {
    let found = visit.conditions.clone().unwrap_or_default();
    let holds = &visit.car.holds;
    let body = html! {
        table.plain {
            thead {
                tr {
                    th { "" }
                    @for corner in Corner::ALL { th { (corner.words()) } }
                }
            }
            tbody {
                (line(&text!("Tyre pressure, kPa"), &found.tyre_kpa, &holds.tyre_kpa))
                (line(&text!("Tread, mm"), &found.tread_mm, &Corners::default()))
                (line(&text!("Ride height, mm"), &found.ride_height_mm, &holds.ride_height_mm))
            }
        }
        dl {
            dt { (text!("Load")) }
            dd { (or_missing(&found.load)) @if !holds.load.is_empty() { " " (text!("(the targets hold for: {load})", load = &holds.load)) } }
            @if !holds.ride_height_from.is_empty() { dt { (text!("Ride height is measured")) } dd { (holds.ride_height_from) } }
            dt { (text!("Temperature of the place")) }
            dd {
                @match found.place_c {
                    Some(place_c) => { (number(place_c)) " °C" },
                    None => span.missing { (text!("not entered")) },
                }
            }
            dt { (text!("Floor")) }
            dd { (floor(visit)) }
        }
        @if !visit.conditions_off.is_empty() {
            div.keep {
                h3 { (text!("Not as the targets ask, or not known")) }
                ul { @for off in &visit.conditions_off { li { (off) } } }
            }
        }
    };
    part("conditions", &text!("Car and place"), &body)
}

fn floor(visit: &VisitView) -> Markup {
    let point = visit
        .preparation
        .iter()
        .find(|point| point.point == Point::Floor);
    html! {
        @match point.and_then(|point| point.done_at.as_ref().map(|at| (point, at))) {
            Some((point, at)) => {
                (text!("surveyed, {time}", time = figure::time(at)))
                @if !point.note.is_empty() { ": " (point.note) }
            },
            None => span.missing { (text!("not told to be surveyed")) },
        }
    }
}

fn or_missing(text: &str) -> Markup {
    html! { @if text.is_empty() { span.missing { (text!("not entered")) } } @else { (text) } }
}

fn number(value: f64) -> String {
    Language::at_hand()
        .figure(&value.to_string())
        .replace('-', "−")
}

fn line(name: &Text, found: &Corners<f64>, wanted: &Corners<f64>) -> Markup {
    html! {
        tr {
            th scope="row" { (name) }
            @for corner in Corner::ALL {
                td {
                    @match found.get(corner) {
                        Some(found) => (number(found)),
                        None => span.missing { (text!("not entered")) },
                    }
                    @if let Some(wanted) = wanted.get(corner) { span.wanted { " " (text!("({wanted} wanted)", wanted = number(wanted))) } }
                }
            }
        }
    }
}

pub(super) fn preparation(visit: &VisitView) -> Markup {
    let body = html! {
        ul.points {
            @for point in &visit.preparation {
                li {
                    svg.tick viewBox="0 0 24 24" aria-hidden="true" {
                        rect x="3" y="3" width="18" height="18" fill="none" stroke="currentColor" stroke-width="2" {}
                        @if point.done_at.is_some() { path d="m6 12 4 5 8-11" fill="none" stroke="currentColor" stroke-width="3" {} }
                    }
                    span {
                        (point.title)
                        @match &point.done_at {
                            Some(at) => { " " (text!("– seen to, {time}", time = figure::time(at))) },
                            None => b { " " (text!("– not seen to")) },
                        }
                        @if !point.note.is_empty() { br; span.small { (point.note) } }
                    }
                }
            }
        }
    };
    part("preparation", &text!("Made ready"), &body)
}
