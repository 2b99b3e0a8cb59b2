//! Tables brought to the page that are no recordings: winds by height, canopies that can be had, the field.

use maud::{Markup, html};
use silkfall_core::finding::Finding;
use silkfall_core::quantity::{Kind, System, show};
use silkfall_core::wind::HeightIs;
use silkfall_project::import::Sort;
use silkfall_project::offers::Offer;
use silkfall_project::value::{Known, Measured, Quantity};
use silkfall_project::winds::Winds;
use silkfall_project::{field, offers, winds};
use silkfall_report::html::page::finding;
use uom::si::angle::radian;
use uom::si::length::meter;
use uom::si::velocity::meter_per_second;

use crate::drops::bring::{self, Meant};

/// Heights or canopies shown of a table.
const SHOWN: usize = 12;

/// A table that was recognised.
pub(crate) struct Found {
    pub(crate) sort: Sort,
    /// Whether the project can go by it.
    pub(crate) is_usable: bool,
    findings: Vec<Finding>,
    shows: Markup,
}

/// What a file that is no recording holds; `None` where it is none of these.
pub(crate) fn found(name: &str, bytes: &[u8], system: System) -> Option<Found> {
    if bytes.trim_ascii_start().starts_with(b"{") {
        let (field, findings) = field::read_field(bytes, name);
        let shows = html! {
            p { "The field: " (counted(field.edges.len(), "part")) ", " (counted(field.keep_outs.len(), "place")) " to keep out of." }
        };
        let is_usable = !field.edges.is_empty();
        return Some(Found { sort: Sort::Field, is_usable, findings, shows });
    }
    if let (Some(winds), findings) = winds::read(name, bytes) {
        let shows = of_winds(&winds, system);
        return Some(Found { sort: Sort::Winds, is_usable: true, findings, shows });
    }
    let (offers, findings) = offers::read(name, bytes);
    let shows = of_offers(&offers.list);
    (!offers.list.is_empty()).then_some(Found { sort: Sort::Offers, is_usable: true, findings, shows })
}

fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

fn of_offers(offers: &[Offer]) -> Markup {
    fn text<Q: Measured>(known: &Known<Quantity<Q>>) -> &str {
        known.given().map_or("-", Quantity::text)
    }
    html! {
        p { (counted(offers.len(), "kind")) " of canopy." }
        div.scroll { table {
            caption { "Canopies as read" @if offers.len() > SHOWN { ", the first " (SHOWN) } }
            thead { tr {
                @for heading in ["canopy", "shape", "diameter", "mass", "packed", "price"] { th scope="col" { (heading) } }
            } }
            tbody {
                @for offer in offers.iter().take(SHOWN) {
                    tr {
                        th scope="row" { (offer.id.value) }
                        td data-label="shape" { (offer.shape.given().map_or("-", String::as_str)) }
                        td data-label="diameter" { (text(&offer.diameter)) }
                        td data-label="mass" { (text(&offer.mass)) }
                        td data-label="packed" { (text(&offer.packed_volume)) }
                        td data-label="price" { (text(&offer.price)) }
                    }
                }
            }
        } }
    }
}

fn of_winds(winds: &Winds, system: System) -> Markup {
    let from = match winds.height_is {
        HeightIs::AboveGround => "above the field's ground",
        HeightIs::AboveSeaLevel => "above sea level",
    };
    let length = |si: f64| show(si, 5.0, Kind::Length, system);
    html! {
        p { "Winds at " (counted(winds.levels.len(), "height")) ", which count from " (from) "." }
        div.scroll { table {
            caption { "Winds as read" @if winds.levels.len() > SHOWN { ", the lowest " (SHOWN) } }
            thead { tr { th scope="col" { "height" } th scope="col" { "from" } th scope="col" { "speed" } } }
            tbody {
                @for level in winds.levels.iter().take(SHOWN) {
                    tr {
                        th scope="row" { (length(level.height.get::<meter>())) }
                        td data-label="from" { (show(level.from.get::<radian>(), 0.087, Kind::Angle, system)) }
                        td data-label="speed" { (show(level.speed.get::<meter_per_second>(), 0.5, Kind::Speed, system)) }
                    }
                }
            }
        } }
    }
}

/// What was found, and the form that takes it.
pub(crate) fn preview(of: (u64, &str), found: &Found, meant: Meant) -> Markup {
    let shows = html! {
        (found.shows)
        @if !found.findings.is_empty() {
            ul.findings { @for one in &found.findings { (finding(one)) } }
        }
    };
    let asked = html! {
        @if meant == Meant::ToBeginWith { p { "A job begins with recordings; bring this when it is open." } }
    };
    let words = format!("Take it as the project's {}", found.sort.key());
    bring::set(of, &shows, &asked, (meant == Meant::ToBeKept).then_some((&words, found.is_usable)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sort(name: &str, text: &str) -> Option<Sort> {
        found(name, text.as_bytes(), System::Si).map(|found| found.sort)
    }

    #[test]
    fn a_table_is_known_by_what_it_holds() {
        assert_eq!(sort("a.csv", "from;speed (kt);height (ft)\n270;10;1000\n"), Some(Sort::Winds));
        assert_eq!(sort("a.csv", "id,shape,diameter (m)\nold,flat circular,1.2\n"), Some(Sort::Offers));
        assert_eq!(sort("a.csv", "canopy;size (cm);weight (g);price\nold;120;118;59\n"), Some(Sort::Offers));
        let field = include_str!("../../cli/demo/field.geojson");
        assert_eq!(sort("a.txt", field), Some(Sort::Field));
        assert_eq!(sort("a.csv", "colour;taste\nred;sweet\n"), None);
        let bare = found("a.json", b"{\"type\":\"Point\",\"coordinates\":[8.0,50.0]}", System::Si).unwrap();
        assert!(!bare.is_usable && !bare.findings.is_empty(), "it is said what the field lacks");
    }

    #[test]
    fn what_is_shown_of_it_is_text() {
        let table = "from;speed (m/s);height (m);<script>\n270;10;100;<b>\n";
        let found = found("a<b>.csv", table.as_bytes(), System::Us).unwrap();
        let page = preview((1, "a<b>.csv"), &found, Meant::ToBeKept).into_string();
        assert!(
            page.contains("a&lt;b&gt;.csv") && page.contains("328 ft") && !page.contains("<b>"),
            "{page}"
        );
        assert!(page.contains("project's winds"), "{page}");
        let early = preview((1, "a.csv"), &found, Meant::ToBeginWith).into_string();
        assert!(!early.contains("value=\"keep\"") && early.contains("when it is open"), "{early}");
    }
}
