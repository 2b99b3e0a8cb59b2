//! The strength of a member as a force: as rated, of cloth by its width or all round the mouth of the canopy.

use silkfall_core::ledger::Trust;
use silkfall_core::load_path::{HOOP, Strength, cloth_strength_n, mouth_over_nominal};
use silkfall_core::quantity::{Force, ForcePerLength, Kind, Length};
use silkfall_core::shapes::{Range, TABLE_SOURCE, circle_diameter_m};
use silkfall_project::landing::Brakes;
use silkfall_project::load_path::Strength as Said;
use silkfall_project::value::{Known, Quantity};

use super::factors::nominal_m;
use super::{Link, Path, Under};

/// A strength that is known.
pub(super) enum Rated<'a> {
    /// Of one, as a force.
    Force(&'a Quantity<Force>),
    /// Of cloth, over a width that carries.
    Strip(&'a Quantity<ForcePerLength>, &'a Quantity<Length>),
    /// Of cloth, all round the mouth in flight.
    Round(&'a Quantity<ForcePerLength>, Mouth),
}

/// The mouth of a canopy in flight.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Mouth {
    /// Its diameter from and to, m.
    pub m: Range,
    pub trust: Trust,
}

impl Rated<'_> {
    /// Best value, and what is sure.
    pub fn as_force(&self) -> Strength {
        match self {
            Rated::Force(force) => Strength::rated(force.si(), force.spread()),
            Rated::Strip(cloth, width) => {
                let (cloth, width) = (
                    Strength::rated(cloth.si(), cloth.spread()),
                    Strength::rated(width.si(), width.spread()),
                );
                Strength { best_n: cloth.best_n * width.best_n, worst_n: cloth.worst_n * width.worst_n }
            }
            Rated::Round(cloth, mouth) => {
                let cloth = Strength::rated(cloth.si(), cloth.spread());
                Strength {
                    best_n: cloth_strength_n(cloth.best_n, mouth.m.middle(), HOOP.middle()),
                    worst_n: cloth_strength_n(cloth.worst_n, mouth.m.low, HOOP.high),
                }
            }
        }
    }

    /// The rating as stated, and the rating that would give this force for sure; both of one kind.
    pub fn beside(&self, would_do_n: f64) -> (f64, f64, Kind) {
        match self {
            Rated::Force(force) => (force.si(), would_do_n, Kind::Force),
            Rated::Strip(cloth, width) => {
                let width_m = Strength::rated(width.si(), width.spread()).worst_n;
                (cloth.si(), would_do_n / width_m, Kind::ForcePerLength)
            }
            Rated::Round(cloth, mouth) => {
                let for_one = cloth_strength_n(1.0, mouth.m.low, HOOP.high);
                (cloth.si(), would_do_n / for_one, Kind::ForcePerLength)
            }
        }
    }
}

/// How many share the pull; `None` where several do and nobody says how many.
pub(super) fn sharing(link: &Link<'_>) -> Option<usize> {
    match link.said {
        Some(said) if link.kind.shares() => said.number.given().map(|number| *number as usize),
        _ => Some(1),
    }
}

impl Path<'_> {
    /// The strength of a member; the reason where it is not known.
    pub(super) fn rated<'u>(&'u self, link: &Link<'u>, under: Under<'_>) -> Result<Rated<'u>, String> {
        let Some(member) = link.said else {
            let offer = self.project.offer(&under.rig.offer);
            let rating = offer.and_then(|offer| offer.rated_load.given());
            let missing = || format!("the rated load of {} is not known", under.rig.offer);
            return rating.map(Rated::Force).ok_or_else(missing);
        };
        let missing = || Err(format!("the strength of {} is not known", link.name));
        match (member.strength.given(), &member.width) {
            (None, _) => missing(),
            (Some(Said::Force(force)), _) => Ok(Rated::Force(force)),
            (Some(Said::PerLength(cloth)), Known::Given(width)) => Ok(Rated::Strip(cloth, &width.value)),
            (Some(Said::PerLength(_)), Known::Unknown { .. }) => missing(),
            (Some(Said::PerLength(cloth)), Known::Absent) => {
                let mouth = self.mouth(link, under);
                mouth.map(|mouth| Rated::Round(cloth, mouth)).map_or_else(missing, Ok)
            }
        }
    }

    /// The mouth of the canopy that a member is part of; `None` where its size is not known.
    fn mouth(&self, link: &Link<'_>, under: Under<'_>) -> Option<Mouth> {
        let of_canopies = self.is_of_canopies(link);
        let across_m = if of_canopies {
            nominal_m(under)
        } else {
            let stage =
                self.part.stages.iter().find(|stage| Some(stage.name.value.as_str()) == link.stage)?;
            match stage.brakes.given()? {
                Brakes::Area(area) => circle_diameter_m(area.si()),
                Brakes::Canopies => return None,
            }
        };
        let ratio = mouth_over_nominal(self.shape(link, under));
        let m = Range { low: ratio.low * across_m, high: ratio.high * across_m };
        Some(Mouth { m, trust: Trust::Memory(TABLE_SOURCE.to_owned()) })
    }
}
