//! What carries the load of a part, and what is in it, as a person wrote it.

use silkfall_core::load_path::{Carries, MemberKind};
use silkfall_core::quantity::{Force, ForcePerLength, Length, Mass, Ratio, Shock};

use crate::value::{Known, Quantity, Said};

/// A rated strength.
#[derive(Clone, Debug, PartialEq)]
pub enum Strength {
    /// Of one.
    Force(Quantity<Force>),
    /// Of cloth for its width.
    PerLength(Quantity<ForcePerLength>),
}

/// Design factors; what is absent of a member is as for the part, what is absent there as remembered.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Factors {
    /// Strength wanted over pull, beyond all that is known to take of it.
    pub safety: Known<Quantity<Ratio>>,
    /// How much harder than its share the hardest pulled of several is.
    pub asymmetry: Known<Quantity<Ratio>>,
    /// Share of the strength left at seams, knots and splices.
    pub joints: Known<Quantity<Ratio>>,
    /// Share left after abrasion.
    pub abrasion: Known<Quantity<Ratio>>,
    /// Share left after use.
    pub fatigue: Known<Quantity<Ratio>>,
    /// Share left when moist.
    pub moisture: Known<Quantity<Ratio>>,
    /// Share left when hot.
    pub heat: Known<Quantity<Ratio>>,
}

/// One member of the load path.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// Its name.
    pub name: Said<String>,
    /// What it is.
    pub is: Said<MemberKind>,
    /// Its rated strength: of one line, of one link, of cloth for its width.
    pub strength: Known<Strength>,
    /// How many lines share the pull.
    pub number: Known<u32>,
    /// The width of cloth that carries; absent: all round the mouth.
    pub width: Known<Quantity<Length>>,
    /// What it carries; absent: by what it is.
    pub carries: Known<Carries>,
    /// The stage that pulls at it; absent: the canopies of the part, or all there is.
    pub stage: Option<Said<String>>,
    /// The offer whose canopy it is part of; absent: of whichever is taken.
    pub of: Option<Said<String>>,
    /// The pull on it, where it was measured.
    pub pull: Known<Quantity<Force>>,
    /// Its own design factors.
    pub factors: Factors,
}

/// Something in the part that must not be shaken too hard.
#[derive(Clone, Debug, PartialEq)]
pub struct Content {
    /// Its name.
    pub name: Said<String>,
    /// Its mass.
    pub mass: Known<Quantity<Mass>>,
    /// The shock it bears; absent: not judged.
    pub limit: Known<Quantity<Shock>>,
}
