//! What has to be heeded, and what the figures are worth.

use maud::{Markup, html};

use super::{SheetOptions, figure, part};
use crate::http::visit_views::VisitView;
use crate::text;
use crate::text::Text;

/// Before the car goes back on the road. Common practice, no source.
const CAUTIONS: [Text; 6] = [
    text!(
        "Every fastener that was loosened: tightened to the vehicle maker's value, locked as the maker asks, with new parts where the maker wants them. No torque stands on this sheet."
    ),
    text!(
        "Tyre and brake hoses free over the whole way of steering and springs; nothing left under or behind a wheel, plates and chocks cleared away."
    ),
    text!(
        "Then a careful road test on a quiet road: steering wheel straight, the car holds its line, the steering comes back by itself, nothing rubs or knocks."
    ),
    text!(
        "Where the car has stability control or driver assistance, the steering-angle sensor and what looks ahead are set again as the vehicle maker says. This program does not do it."
    ),
    text!(
        "Steering, brakes and suspension are work for people who may do it where you live; after an accident, and where anything is bent, cracked or worn, have it seen to by licensed practice."
    ),
    text!("The vehicle maker's data and local rules go before everything on this sheet."),
];

pub(super) fn section(visit: &VisitView, options: &SheetOptions) -> Markup {
    let body = html! {
        h3 { (text!("Before it goes back on the road")) }
        ul.cautions { @for caution in CAUTIONS { li { (caution) } } }
        h3 { (text!("What the figures are worth")) }
        p {
            (text!(
                "A figure ± its half width holds the true value 95 times in 100, as far as the causes that were \
                 counted in are all there are (GUM, JCGM 100). The half width is rounded up. A verdict takes the ± into account \
                 (JCGM 106): undecided means that this measurement cannot tell, not that all is well. \
                 Angles are against the floor that was stated; signs are + for top out, lean back, lean in and toe in, \
                 thrust + to the right."
            ))
        }
        p {
            (text!(
                "No conformity to any standard for measuring equipment is claimed, and no calibration is traceable \
                 unless the line of its board says so."
            ))
        }
        p.small {
            (text!(
                "Visit {visit}, mark {mark}, {entries} entries, begun with hubplumb {software}; sheet made {time} with hubplumb {now}.",
                visit = visit.id,
                mark = &visit.mark,
                entries = visit.entries,
                software = &visit.software,
                time = figure::time(&options.made_at),
                now = env!("CARGO_PKG_VERSION")
            ))
        }
        div.signed { span { (text!("Measured by")) } span { (text!("Date")) } }
    };
    part("closing", &text!("To heed"), &body)
}
