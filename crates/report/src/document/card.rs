//! The field card: winds by direction, to be asked at the field without a network, and without a server.

use super::{Rich, Shown, Table};
use crate::figures::Figure;

/// What stands on the card. A page may let its reader pick direction, wind and gust, and then looks up the ranges that
/// stand here; nothing is worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldCard {
    /// For what, when and how long it holds: mass, top, the day, the winds it was worked with.
    pub valid: Vec<Rich>,
    /// The case that does worst, by name.
    pub worst: Rich,
    /// The compass.
    pub compass: Option<Figure>,
    /// The strongest wind that was flown, m/s: no more can be picked.
    pub strongest_m_per_s: f64,
    /// The directions to pick from.
    pub rows: Vec<CardRow>,
    /// The same to be read.
    pub table: Table,
}

/// A direction and its winds.
#[derive(Clone, Debug, PartialEq)]
pub struct CardRow {
    /// One of the points of the compass: "WSW".
    pub point: &'static str,
    /// Where the wind blows from.
    pub from: Shown,
    /// Ranges by best estimate, SI, and whether each may go on beyond what was flown.
    pub ranges: Vec<(f64, f64, bool)>,
    /// Ranges that are 95 % sure.
    pub sure: Vec<(f64, f64, bool)>,
    /// The ranges in words.
    pub says: Rich,
    /// Those that are sure in words.
    pub says_sure: Rich,
    /// The part that limits it.
    pub limited_by: String,
}

impl FieldCard {
    /// The numbers on it, in the order they are read.
    pub fn numbers(&self) -> Vec<&Shown> {
        let mut found: Vec<&Shown> = self.valid.iter().flat_map(Rich::numbers).collect();
        found.extend(self.worst.numbers());
        if let Some(figure) = &self.compass {
            found.extend(figure.caption.numbers());
            found.extend(figure.alternative.numbers());
        }
        found.extend(self.rows.iter().map(|row| &row.from));
        found.extend(self.table.numbers());
        found
    }
}
