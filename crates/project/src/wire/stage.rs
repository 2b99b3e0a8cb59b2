//! What opens on the way down, and how.

use silkfall_core::quantity::{Angle, DragArea, Force, Length, Mass, Ratio, Time, Velocity};

use crate::value::{Known, Quantity, Share};
use crate::walk::{Inner, Needed};
use crate::words::{AtStart, HeldBy, Opened};

table! {
    /// What brakes on a stretch of the way down, and when it begins.
    Stage "[[part.stage]]" {
        /// Its name.
        name: Needed<String>;
        /// Drag area of what brakes here: "0.35 m² ± 8 %".
        drag_area: Known<Quantity<DragArea>> = "0.0001 m²" to "100000 m²";
        /// "canopies": the part's chosen canopies open here, in place of a drag area.
        opens: Known<Opened>;
        /// "start": it begins where the fall starts.
        begins: Known<AtStart>;
        /// It begins so long after the start of the fall.
        after: Known<Quantity<Time>> = "0 s" to "10000 s";
        /// It begins at this height above the field's ground.
        below: Known<Quantity<Length>> = "1 m" to "50 km";
        /// How long it takes to fill.
        fill_time: Known<Quantity<Time>> = "0 s" to "100 s";
        /// How many of its diameters it falls while it fills, in place of a time.
        fill_diameters: Known<Quantity<Ratio>> = "0" to "100";
        /// Power of time with which its drag area grows while it fills; left out, 2.
        growth: Known<Quantity<Ratio>> = "0.5" to "10";
        /// Opening force factor, the largest force over the steady one where nothing slows down; left out, as remembered of the shape.
        opening_force: Known<Quantity<Ratio>> = "0.5" to "5";
        /// Where opening_force, growth and fill were measured: "load cell, three drops on 9 May".
        filling_from: Known<String>;
        /// Whether the stage before goes on braking; left out, it does not.
        stays: Known<bool>;
        /// What holds it small at first.
        reefing: Inner<Reefing>;
        /// What is thrown out or parts when it begins, and the cord between the two.
        cord: Inner<Cord>;
    }

    /// What holds the canopies of a stage small at first: a line round the mouth until it is cut, or a slider until it is down.
    Reefing "[part.stage.reefing]" {
        /// "line" or "slider"; left out, a line.
        by: Known<HeldBy>;
        /// Drag area while held, over the full one: "12 % ± 2 %".
        share: Known<Quantity<Share>> = "1 %" to "95 %";
        /// Length of the reefing line, in place of a share.
        line: Known<Quantity<Length>> = "1 cm" to "300 m";
        /// From line stretch until the line is cut, or how long the slider comes down.
        held_for: Known<Quantity<Time>> = "0 s" to "600 s";
    }

    /// What is thrown out or parts when a stage begins, and the cord at whose end it snatches; of several canopies one, each on a
    /// cord of its own.
    Cord "[part.stage.cord]" {
        /// Mass at the far end; left out where the canopies open, that of one canopy.
        throws: Known<Quantity<Mass>> = "1 g" to "10000 kg";
        /// Speed at which the two are apart when the cord comes taut; left out, all of the speed at that moment, which bounds it
        /// for what is let go and not for what is thrown.
        apart: Known<Quantity<Velocity>> = "0.1 m/s" to "1000 m/s";
        /// Its length.
        length: Known<Quantity<Length>> = "1 cm" to "500 m";
        /// How far it stretches until it breaks, over its length: "22 %".
        stretch: Known<Quantity<Share>> = "0.1 %" to "300 %";
        /// Its rated strength.
        strength: Known<Quantity<Force>> = "1 N" to "10000000 N";
        /// How far it is bent over the rim that it leaves; left out, 90 °.
        bends: Known<Quantity<Angle>> = "0 °" to "180 °";
    }

    /// What is asked of the loads at opening, beside the plan: the hardest of it is what has to be borne.
    Opening "[part.opening]" {
        /// A stage opens so late: "2 s"; left out, none is asked to open late.
        late: Known<Quantity<Time>> = "0 s" to "600 s";
        /// Whether a stage may open with none before it having opened; left out, it may.
        nothing_before: Known<bool>;
        /// Whether a stage may open where the fall starts; left out, it may.
        at_the_top: Known<bool>;
        /// Share of what all canopies pull together that one of them may bear: "60 %"; used only where that is more than one canopy
        /// that catches the whole mass.
        share_of_one: Known<Quantity<Share>> = "1 %" to "100 %";
    }
}
