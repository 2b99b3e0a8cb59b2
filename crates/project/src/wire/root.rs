//! What a project holds, and the choice among its canopies.

use super::{Canopy, Flight, Model, Part, Session, Site, Test, Wind};
use crate::value::{Day, Known};
use crate::walk::{ByName, Inner, Needed, Rows};
use crate::words::Units;

table! {
    /// A Silkfall project: what comes down, what was tested, in which air, and what may be bought. Quantities are
    /// texts with their units; "±" is a standard uncertainty, "within" a tolerance, and "?" is not known yet.
    Root "the project" {
        /// The format of this file.
        format: Needed<u32> = "1" to "1";
        /// What the project is called.
        name: Known<String>;
        /// Units that results are shown in.
        units: Known<Units>;
        /// The file of canopies that can be had, from the project folder: "canopies.csv".
        offers: Known<String>;
        /// The file of winds by height, from the project folder: "winds.csv".
        winds: Known<String>;
        /// The file of the field's edge and the places to keep out of: "field.geojson".
        field: Known<String>;
        /// Who answers for it, and for which day it is meant.
        plan: Inner<Plan>;
        /// Where and in which air the real thing comes down.
        site: Inner<Site>;
        /// The day's wind.
        wind: Inner<Wind>;
        /// How the fall starts.
        flight: Inner<Flight>;
        /// Days of tests, each at one place in one air.
        session: Rows<Session>;
        /// Canopies that flew in tests.
        canopy: Rows<Canopy>;
        /// Models of bodies used in tests.
        model: Rows<Model>;
        /// What comes down, each part by itself.
        part: Rows<Part>;
        /// Tests of models and of real canopies.
        test: Rows<Test>;
        /// The chosen candidate of each part, by the part's name.
        choice: ByName<Choice>;
    }

    /// What stands at the head of the paper that is handed over: who answers for it, and for which day it is meant.
    Plan "[plan]" {
        /// The number under which it is filed.
        number: Known<String>;
        /// Who built what flies.
        builder: Known<String>;
        /// Who decides at the field.
        safety_officer: Known<String>;
        /// The day it is meant for.
        date: Known<Day>;
    }

    /// A chosen candidate.
    Choice "[choice]" {
        /// The offer's id.
        offer: Needed<String>;
        /// How many of them.
        count: Needed<u32> = "1" to "100";
    }
}
