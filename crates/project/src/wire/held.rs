//! What bears its loads and sets it free.

use silkfall_core::load_path::{Carries, MemberKind};
use silkfall_core::quantity::{Angle, Force, Length, Mass, Ratio, Shock};

use crate::load_path::Strength;
use crate::value::{Known, Quantity};
use crate::walk::{Many, Maybe, Needed, Rows};
use crate::words::DeviceIs;

table! {
    /// How a part hangs from its riser: legs from points on it that meet in one place, the confluence. Places along the body
    /// count from its front end.
    Harness "[part.harness]" {
        /// The wanted angle of the front end above level in steady descent; left out, 0 ° for a body that hangs level, 90 °
        /// upright.
        angle: Known<Quantity<Angle>> = "-90 °" to "90 °";
        /// Height of the confluence above the centre of mass.
        confluence: Known<Quantity<Length>> = "1 cm" to "100 m";
        /// From the front end to the centre of mass of all that hangs.
        centre_of_mass: Known<Quantity<Length>> = "0 m" to "200 m";
        /// How far below the long axis the centre of mass lies, away from the side meant to be up.
        mass_below_axis: Known<Quantity<Length>> = "-10 m" to "10 m";
        /// How far the centre of mass may lie from there along the body: the tilt it makes is worked out.
        mass_may_move: Known<Quantity<Length>> = "0 m" to "50 m";
        /// From the front end to the centre of area, where the body's own drag acts; left out, from its shape.
        centre_of_area: Known<Quantity<Length>> = "0 m" to "200 m";
        /// Where its legs are fastened.
        point: Rows<HarnessPoint>;
    }

    /// A place on the body from which a leg goes up.
    HarnessPoint "[[part.harness.point]]" {
        /// Its name.
        name: Needed<String>;
        /// From the front end, along the body.
        at: Known<Quantity<Length>> = "0 m" to "200 m";
        /// From the long axis; left out, on it.
        out: Known<Quantity<Length>> = "0 m" to "50 m";
        /// Round the long axis, from the side meant to be up; left out, 0 °.
        around: Known<Quantity<Angle>> = "-360 °" to "360 °";
        /// Length of its leg as made; left out, as the wanted angle asks for.
        leg: Known<Quantity<Length>> = "1 mm" to "200 m";
    }

    /// A member of the load path: what carries the pull of the canopies, and how strong it is.
    Member "[[part.member]]" {
        /// Its name.
        name: Needed<String>;
        /// What it is: "fabric", "lines", "skirt", "riser", "bridle", "swivel", "link", "harness", "eye bolt" or "bulkhead".
        is: Needed<MemberKind>;
        /// Its rated strength: of one line or link as a force, of fabric for its width ("7.4 kN/m").
        strength: Known<Strength>;
        /// How many lines share the pull.
        number: Known<u32> = "1" to "1000";
        /// Width of the fabric that carries; left out, all round the mouth of the canopy.
        width: Known<Quantity<Length>> = "1 mm" to "300 m";
        /// What it carries: "one canopy", "all" or "one leg"; left out, fabric, lines and skirt one canopy, others all.
        carries: Known<Carries>;
        /// The stage whose opening pulls at it; left out, the canopies of the part, or all that pulls at it.
        stage: Maybe<String>;
        /// The offer whose canopy it is part of; left out, of whichever is taken.
        of: Maybe<String>;
        /// The hardest pull on it as measured, in place of the one worked out: "620 N ± 60 N".
        pull: Known<Quantity<Force>> = "0.01 N" to "10000000 N";
        /// Strength wanted over pull beyond all that is known to take of it; left out, 1.5 as remembered for things without people.
        safety: Known<Quantity<Ratio>> = "1" to "20";
        /// How much harder than its share the hardest pulled of several lines is: "1.1".
        asymmetry: Known<Quantity<Ratio>> = "1" to "10";
        /// Share of the strength left at seams, knots and splices: "0.8".
        joints: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left after abrasion.
        abrasion: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left after use.
        fatigue: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left when moist.
        moisture: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left when hot; left out, it is not hot when it is pulled.
        heat: Known<Quantity<Ratio>> = "0.05" to "1";
    }

    /// Design factors of a part's load path; a member's own go before, key by key.
    Factors "[part.factors]" {
        /// Strength wanted over pull beyond all that is known to take of it; left out, 1.5 as remembered for things without people.
        safety: Known<Quantity<Ratio>> = "1" to "20";
        /// How much harder than its share the hardest pulled of several lines is: "1.1".
        asymmetry: Known<Quantity<Ratio>> = "1" to "10";
        /// Share of the strength left at seams, knots and splices: "0.8".
        joints: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left after abrasion.
        abrasion: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left after use.
        fatigue: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left when moist.
        moisture: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left when hot; left out, it is not hot when it is pulled.
        heat: Known<Quantity<Ratio>> = "0.05" to "1";
    }

    /// Something in a part that must not be shaken too hard.
    Content "[[part.content]]" {
        /// Its name.
        name: Needed<String>;
        /// Its mass.
        mass: Known<Quantity<Mass>> = "0.01 g" to "100000 kg";
        /// The shock it bears: "40 g".
        limit: Known<Quantity<Shock>> = "0.1 g" to "100000 g";
    }

    /// One thing that may fail: a battery, an altimeter, a release, a bag.
    Device "[[part.device]]" {
        /// Its name, by which other devices call it.
        name: Needed<String>;
        /// What it is.
        is: Known<DeviceIs>;
        /// Devices without which it does nothing, all of them.
        needs: Many<String>;
        /// Devices that set it going, each of which is enough.
        fired_by: Many<String>;
        /// What comes out by it: "canopies", or the name of a stage.
        opens: Known<String>;
        /// How many canopies depend on it; left out, all of them.
        canopies: Known<u32> = "1" to "100";
        /// What may strike it together with others that name the same: "iced ports".
        shared_causes: Many<String>;
        /// Whether it may act too early; left out, altimeters, timers, charges, cutters and releases may.
        may_act_early: Known<bool>;
    }
}
