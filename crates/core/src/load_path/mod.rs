//! Load path: what carries the load from the cloth to the part, how strong it is, and what is wanted of it.
//!
//! M = P Z/(D_F F): strength of one, N, times how many share the load, over design factor times pull, N. Just enough is 1;
//! D_F = S c w/(u e k o h) ([`Factors`]). The pull is what the loads stage gives for one canopy or for all together; the 95th
//! percentile decides. The word follows the rule of every limit: a member misses where the best margin there is below 1, it
//! meets where the margin at worst (strength and factors at the bad end of what is stated or remembered) is 1 or more, and is
//! undecided between. What is not known never meets.
//!
//! Source: from memory of [`FACTOR_SOURCE`] for the form and its factors; the geometry is derived beside each function.
//! Assumed: a member carries the whole of what it is said to carry, since one leg or one bolt of several snatches first; lines
//! alone share. Not here: how the pull comes about (loads), stiffness of mounts and what they add to a shock, tests of joints.

#[cfg(test)]
mod checks;
mod cloth;
mod factors;
mod margin;
mod shock;

pub use cloth::{HOOP, cloth_strength_n, derive_cloth_strength, derive_strip_strength};
pub use factors::{
    Bounded, FACTOR_SOURCE, Factor, Factors, LINES_OVER_DIAMETER, convergence_inputs, convergence_of,
    derive_design_factor, derive_line_convergence, line_convergence, mouth_over_nominal,
};
pub use margin::{
    Margin, Strength, derive_margin, derive_strength_that_would_do, margin, stated_pull,
    strength_that_would_do, verdict, weakest, worst_of,
};
pub use shock::{derive_shock, shock_m_per_s2};

/// What a member of the load path is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MemberKind {
    /// A whole canopy by the pull its maker rates it for.
    Canopy,
    /// The cloth of a canopy.
    Fabric,
    /// Its suspension lines.
    Lines,
    /// Where the lines are sewn to the skirt.
    Skirt,
    /// From where the lines meet to the body.
    Riser,
    /// A strap between canopy or bag and what it hangs on.
    Bridle,
    /// A swivel.
    Swivel,
    /// A link.
    Link,
    /// The straps that the part hangs in.
    Harness,
    /// An eye bolt.
    EyeBolt,
    /// The bulkhead that a bolt pulls at.
    Bulkhead,
}

impl MemberKind {
    /// All of them, from the cloth to the part.
    pub const ALL: [MemberKind; 11] = [
        MemberKind::Canopy,
        MemberKind::Fabric,
        MemberKind::Lines,
        MemberKind::Skirt,
        MemberKind::Riser,
        MemberKind::Bridle,
        MemberKind::Swivel,
        MemberKind::Link,
        MemberKind::Harness,
        MemberKind::EyeBolt,
        MemberKind::Bulkhead,
    ];

    /// The word of files and tables.
    pub const fn word(self) -> &'static str {
        match self {
            MemberKind::Canopy => "canopy",
            MemberKind::Fabric => "fabric",
            MemberKind::Lines => "lines",
            MemberKind::Skirt => "skirt",
            MemberKind::Riser => "riser",
            MemberKind::Bridle => "bridle",
            MemberKind::Swivel => "swivel",
            MemberKind::Link => "link",
            MemberKind::Harness => "harness",
            MemberKind::EyeBolt => "eye bolt",
            MemberKind::Bulkhead => "bulkhead",
        }
    }

    /// Sewn or woven: seams, wear, moisture and heat take of its strength.
    pub fn is_textile(self) -> bool {
        use MemberKind::*;
        matches!(self, Fabric | Lines | Skirt | Riser | Bridle | Harness)
    }

    /// Part of one canopy, so that it carries one canopy's pull.
    pub fn is_of_a_canopy(self) -> bool {
        use MemberKind::*;
        matches!(self, Canopy | Fabric | Lines | Skirt)
    }

    /// Whether several share the pull, each off its direction by the angle at which the lines meet.
    pub fn shares(self) -> bool {
        matches!(self, MemberKind::Lines | MemberKind::Skirt)
    }
}

/// What a member carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Carries {
    /// The pull of one canopy, the hardest loaded.
    OneCanopy,
    /// The pull of all together.
    All,
    /// One leg of several: one of them may take the whole pull of all first.
    OneLeg,
}

impl Carries {
    /// The word of files and tables.
    pub const fn word(self) -> &'static str {
        match self {
            Carries::OneCanopy => "one canopy",
            Carries::All => "all",
            Carries::OneLeg => "one leg",
        }
    }
}
