//! The map of all landings of a sheet, ready to be written: regions of each part's mix and some landings of each case.

use silkfall_core::geo::{Field, KeepOut, Plane, Point, Polygon, Position, Region};
use silkfall_sheet::{LandingSheet, MapSheet, RingsSheet, Sheet};

use super::{Landings, Map, PartRegion};

/// Writes the landings of a sheet; `None` where no part has a map, or the pad's place on the Earth is not stated.
pub fn of_sheet(sheet: &Sheet, write: fn(&Map<'_>) -> String) -> Option<String> {
    let maps: Vec<(&LandingSheet, &MapSheet)> =
        sheet.landing.iter().filter_map(|landing| Some((landing, landing.map.as_ref()?))).collect();
    let (_, first) = maps.first()?;
    let [latitude, longitude] = first.pad?;
    let plane = Plane::new(Position::from_degrees(latitude, longitude).ok()?);
    let edges: Vec<Polygon> = first.edges.iter().filter_map(polygon).collect();
    let field = (!edges.is_empty()).then(|| Field {
        edges,
        keep_outs: first
            .keep_outs
            .iter()
            .filter_map(|area| {
                Some(KeepOut { name: area.name.clone().unwrap_or_default(), polygon: polygon(area)? })
            })
            .collect(),
    });
    let regions: Vec<(&str, Region)> = maps
        .iter()
        .flat_map(|(landing, map)| map.regions.iter().map(move |region| (landing.part.as_str(), region)))
        .map(|(part, region)| {
            let polygons = region.polygons.iter().filter_map(polygon).collect();
            (part, Region { share: region.share, level_per_m2: region.level_per_m2, polygons })
        })
        .collect();
    let places: Vec<(&str, &str, f64, Vec<Point>)> = maps
        .iter()
        .flat_map(|(landing, map)| {
            landing.cases.iter().enumerate().map(|(at, case)| {
                let of_case = map.samples.iter().filter(|(of, _)| *of == at).map(|(_, place)| *place);
                let chance = case.chance.as_ref().map_or(0.0, |chance| chance.si);
                (landing.part.as_str(), case.case.as_str(), chance, of_case.collect())
            })
        })
        .collect();
    let part_regions: Vec<PartRegion<'_>> =
        regions.iter().map(|(part, region)| PartRegion { part, region }).collect();
    let landings: Vec<Landings<'_>> = places
        .iter()
        .filter(|(.., places)| !places.is_empty())
        .map(|(part, case, chance, places)| Landings { part, case, chance: *chance, places_m: places })
        .collect();
    Some(write(&Map {
        name: &sheet.name,
        plane: &plane,
        field: field.as_ref(),
        regions: &part_regions,
        landings: &landings,
    }))
}

/// A polygon of the sheet; its rings come from one and are one again.
fn polygon(rings: &RingsSheet) -> Option<Polygon> {
    let open = |ring: &Vec<Point>| ring[..ring.len().saturating_sub(1)].to_vec();
    let mut rings = rings.rings.iter().map(open);
    let outer = rings.next()?;
    Polygon::try_new(&outer, &rings.collect::<Vec<_>>()).ok()
}
