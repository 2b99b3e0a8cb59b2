//! The map as KML, for globes and for phones in the field.

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};

use super::{Degrees, Map, Rings, degrees, on_earth, percent};

/// Style, line colour, fill colour (alpha, blue, green, red), line width.
const STYLES: [(&str, &str, &str, &str); 4] = [
    ("edge", "ff2e7d32", "00000000", "3"),
    ("keep-out", "ff1f2fb0", "661f2fb0", "2"),
    ("region", "ffa8571b", "33a8571b", "2"),
    ("landings", "ff404040", "00000000", "1"),
];

/// The map as a KML 2.2 document: the pad, a folder of the field, one of regions and landings for each part. Areas lie on the ground.
pub fn kml(map: &Map<'_>) -> String {
    let mut sheet = Sheet(Writer::new_with_indent(Vec::new(), b' ', 1));
    sheet.event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)));
    sheet.within("kml", &[("xmlns", "http://www.opengis.net/kml/2.2")], |sheet| {
        sheet.within("Document", &[], |sheet| sheet.document(map));
    });
    sheet.event(Event::Text(BytesText::from_escaped("\n")));
    String::from_utf8(sheet.0.into_inner()).expect("only text was written")
}

struct Sheet(Writer<Vec<u8>>);

impl Sheet {
    fn event(&mut self, event: Event<'_>) {
        self.0.write_event(event).expect("memory takes what is written to it");
    }

    fn within(&mut self, tag: &str, attributes: &[(&str, &str)], inside: impl FnOnce(&mut Sheet)) {
        let start = quick_xml::events::BytesStart::new(tag).with_attributes(attributes.iter().copied());
        let end = start.to_end().into_owned();
        self.event(Event::Start(start.borrow()));
        inside(self);
        self.event(Event::End(end));
    }

    fn text(&mut self, tag: &str, text: &str) {
        self.within(tag, &[], |sheet| sheet.event(Event::Text(BytesText::new(text))));
    }

    fn document(&mut self, map: &Map<'_>) {
        self.text("name", map.name);
        for (id, line, fill, width) in STYLES {
            self.within("Style", &[("id", id)], |sheet| {
                sheet.within("LineStyle", &[], |sheet| {
                    sheet.text("color", line);
                    sheet.text("width", width);
                });
                sheet.within("PolyStyle", &[], |sheet| sheet.text("color", fill));
            });
        }
        self.within("Placemark", &[], |sheet| {
            sheet.text("name", "pad");
            sheet.point(degrees(map.plane, [0.0, 0.0]));
        });
        if let Some(field) = map.field {
            self.within("Folder", &[], |sheet| {
                sheet.text("name", "field");
                sheet.area("edge", "edge", on_earth(map.plane, &field.edges));
                for keep_out in &field.keep_outs {
                    let parts = on_earth(map.plane, [&keep_out.polygon]);
                    sheet.area(&keep_out.name, "keep-out", parts);
                }
            });
        }
        let named = map.regions.iter().map(|part| part.part).chain(map.landings.iter().map(|part| part.part));
        let mut parts: Vec<&str> = Vec::new();
        for part in named {
            if !parts.contains(&part) {
                parts.push(part);
            }
        }
        for part in parts {
            self.within("Folder", &[], |sheet| sheet.part(map, part));
        }
    }

    fn part(&mut self, map: &Map<'_>, part: &str) {
        self.text("name", part);
        for of_part in map.regions.iter().filter(|region| region.part == part) {
            let name = format!("{part}: {} of landings", percent(of_part.region.share));
            self.area(&name, "region", on_earth(map.plane, &of_part.region.polygons));
        }
        for landings in map.landings.iter().filter(|landings| landings.part == part) {
            self.within("Placemark", &[], |sheet| {
                sheet.text("name", landings.case);
                sheet.text("description", &format!("chance {}", percent(landings.chance)));
                sheet.text("styleUrl", "#landings");
                sheet.within("MultiGeometry", &[], |sheet| {
                    for place in landings.places_m {
                        sheet.point(degrees(map.plane, *place));
                    }
                });
            });
        }
    }

    fn point(&mut self, place: Degrees) {
        self.within("Point", &[], |sheet| sheet.text("coordinates", &coordinates(&[place])));
    }

    fn area(&mut self, name: &str, style: &str, parts: Vec<Rings>) {
        self.within("Placemark", &[], |sheet| {
            sheet.text("name", name);
            sheet.text("styleUrl", &format!("#{style}"));
            sheet.within("MultiGeometry", &[], |sheet| {
                for rings in &parts {
                    sheet.within("Polygon", &[], |sheet| {
                        sheet.text("tessellate", "1");
                        for (number, ring) in rings.iter().enumerate() {
                            let tag = if number == 0 { "outerBoundaryIs" } else { "innerBoundaryIs" };
                            sheet.within(tag, &[], |sheet| {
                                sheet.within("LinearRing", &[], |sheet| {
                                    sheet.text("coordinates", &coordinates(ring))
                                });
                            });
                        }
                    });
                }
            });
        });
    }
}

/// Longitude and latitude of each place, as KML wants them.
fn coordinates(places: &[Degrees]) -> String {
    places.iter().map(|[longitude, latitude]| format!("{longitude},{latitude}")).collect::<Vec<_>>().join(" ")
}
