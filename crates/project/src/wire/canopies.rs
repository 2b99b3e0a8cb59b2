//! Canopies that fly in tests, and models of the part.

use silkfall_core::quantity::{Length, Mass};
use silkfall_core::shapes::Reference;

use crate::value::{Known, Quantity, Scale};
use crate::walk::Needed;

table! {
    /// A canopy that flew in tests, by serial.
    Canopy "[[canopy]]" {
        /// Its serial, by which tests call it.
        serial: Needed<String>;
        /// Its shape in the trade's words: "flat circular".
        shape: Known<String>;
        /// Its diameter; diameter_is says what it measures.
        diameter: Known<Quantity<Length>> = "1 cm" to "100 m";
        /// What the diameter measures.
        diameter_is: Known<Reference>;
        /// Its suspension lines, from the skirt to where they meet.
        line_length: Known<Quantity<Length>> = "0 m" to "200 m";
        /// Its mass with its lines.
        mass: Known<Quantity<Mass>> = "0.01 g" to "1000 kg";
        /// Diameter of its vent.
        vent: Known<Quantity<Length>> = "0 m" to "30 m";
        /// Its cloth in words.
        cloth: Known<String>;
        /// The offer of which it is a true copy in shape, line length, vent and cloth.
        copy_of: Known<String>;
        /// Its length over that of the offer it copies: "1/2"; left out, it is that very canopy.
        scale: Known<Quantity<Scale>> = "0.01" to "1";
    }

    /// A model of a part's body, used in tests.
    Model "[[model]]" {
        /// Its name, by which tests call it.
        name: Needed<String>;
        /// Its length over the real length: "1/2".
        scale: Known<Quantity<Scale>> = "0.01" to "1";
        /// Whether body and rigging are a true copy to that scale.
        scale_copy: Known<bool>;
    }
}
