//! Design factors of a member: as stated of it, else of the part, else as remembered.

use silkfall_core::ledger::Trust;
use silkfall_core::load_path::{Bounded, Factor, Factors, Strength, convergence_of};
use silkfall_core::quantity::Ratio;
use silkfall_core::shapes::{Shape, circle_diameter_m};
use silkfall_project::load_path::Factors as Said;
use silkfall_project::value::{Known, Quantity};

use super::{Link, Path, Under};

/// What is said of a factor; lines meet at an angle that nobody states as a factor.
pub(super) fn said(of: &Said, factor: Factor) -> Option<&Known<Quantity<Ratio>>> {
    Some(match factor {
        Factor::Safety => &of.safety,
        Factor::Asymmetry => &of.asymmetry,
        Factor::Convergence => return None,
        Factor::Joints => &of.joints,
        Factor::Abrasion => &of.abrasion,
        Factor::Fatigue => &of.fatigue,
        Factor::Moisture => &of.moisture,
        Factor::Heat => &of.heat,
    })
}

impl Path<'_> {
    /// All factors of a member; the reason where one cannot be told.
    pub(super) fn factors(&self, link: &Link<'_>, under: Under<'_>) -> Result<Factors, String> {
        let remembered = Factors::remembered(link.kind);
        let mut factors = remembered.clone();
        for factor in Factor::ALL {
            let Some((_, known)) = self.stated_factor(link, factor) else { continue };
            let Known::Given(stated) = known else {
                return Err(format!("the factor {} of {} is not known", factor.word(), link.name));
            };
            factors = factors.with(factor, bounded(&stated.value, factor.raises()));
        }
        if link.kind.shares() {
            let lines = self.lines_over_nominal(link, under);
            let Some(convergence) = convergence_of(self.shape(link, under), lines) else {
                return Err(format!("{} are too short to meet under the canopy", link.name));
            };
            factors = factors.with(Factor::Convergence, convergence);
        }
        Ok(factors)
    }

    /// The shape of the canopy that a member is part of, where it is known.
    pub(super) fn shape(&self, link: &Link<'_>, under: Under<'_>) -> Option<Shape> {
        under.offer.and_then(|offer| offer.shape).filter(|_| self.is_of_canopies(link))
    }

    /// Length of the lines over the nominal diameter, where it is known.
    pub(super) fn lines_over_nominal(&self, link: &Link<'_>, under: Under<'_>) -> Option<f64> {
        let lines = self.part.rig.line_length.given().filter(|_| self.is_of_canopies(link));
        lines.map(|length| length.si() / nominal_m(under))
    }

    /// What is written of a factor, and under which key: of the member, else of the part where such a member has it.
    pub(super) fn stated_factor<'s>(
        &'s self,
        link: &Link<'s>,
        factor: Factor,
    ) -> Option<(String, &'s Known<Quantity<Ratio>>)> {
        let part = &self.part.name.value;
        let own = link.said.and_then(|member| said(&member.factors, factor)).filter(|own| !own.is_absent());
        if let Some(own) = own {
            return Some((format!("part.{part}.member.{}.{}", link.name, factor.word()), own));
        }
        // Metal and a maker's rating have no joints or wear; what is not remembered of them the part does not say either.
        let has = match factor {
            Factor::Heat => link.kind.is_textile(),
            _ => Factors::remembered(link.kind).get(factor).trust.is_from_memory(),
        };
        let all = said(&self.part.factors, factor).filter(|all| has && !all.is_absent())?;
        Some((format!("part.{part}.factors.{}", factor.word()), all))
    }
}

/// The best value, and 95 % sure at the side that asks for more strength.
fn bounded(stated: &Quantity<Ratio>, raises: bool) -> Bounded {
    let down = stated.si() - Strength::rated(stated.si(), stated.spread()).worst_n;
    let worst = if raises { stated.si() + down } else { stated.si() - down };
    Bounded { best: stated.si(), worst: worst.max(1e-6), trust: Trust::Given }
}

/// Nominal diameter of one canopy; where nobody says, that of its drag area's circle.
pub(super) fn nominal_m(under: Under<'_>) -> f64 {
    let canopy = &under.rig.canopy;
    canopy.nominal_diameter_m.unwrap_or_else(|| circle_diameter_m(canopy.area.value))
}
