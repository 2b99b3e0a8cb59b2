//! What can be bought, borrowed or is owned: the offers file.

use silkfall_core::quantity::{Force, Length, Mass, Volume};

use crate::project::Coefficient;
use crate::value::{Known, Money, Quantity, Said};
use crate::words::DiameterIs;

/// One kind of canopy that can be had.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Its name, which stands once.
    pub id: Said<String>,
    /// Who makes it.
    pub maker: Known<String>,
    /// Its shape in the trade's words.
    pub shape: Known<String>,
    /// Its diameter.
    pub diameter: Known<Quantity<Length>>,
    /// What the diameter measures.
    pub diameter_is: Known<DiameterIs>,
    /// Its drag coefficient, if one is stated.
    pub coefficient: Option<Coefficient>,
    /// Mass with its lines.
    pub mass: Known<Quantity<Mass>>,
    /// Room it takes as packed.
    pub packed_volume: Known<Quantity<Volume>>,
    /// The pull it is rated for.
    pub rated_load: Known<Quantity<Force>>,
    /// Price of one.
    pub price: Known<Quantity<Money>>,
    /// How many are owned already.
    pub owned: Known<u32>,
}
