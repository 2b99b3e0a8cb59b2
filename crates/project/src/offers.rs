//! What can be bought, borrowed or is owned: the offers file, a table with a row for each kind of canopy.
//!
//! Columns stand in any order, by the names of [`COLUMNS`] or those of a list of prices (name, size, weight, volume); their
//! units in the heading, "diameter (ft)", or in the cells, "6 ft". Any text or spreadsheet that holds such a table is read. A row
//! without an id, one that repeats an id and one with too many cells are left out, with a finding; a cell that cannot be read
//! counts as unknown.

use std::collections::BTreeMap;

use silkfall_core::finding::{Code, Finding};
use silkfall_core::quantity::{Force, Kind, Length, Mass, QuantityError, Ratio, Volume};
use silkfall_core::shapes::Reference;
use silkfall_intake::{Cell, Decimal, Table, read_table};

use crate::cells::{in_order, spot, with_heading_unit};
use crate::leaf::within;
use crate::notes::{Notes, did_you_mean, near, quoted};
use crate::unknowns::Unknown;
use crate::value::{Known, Measured, Money, Quantity, Said, Share, Spot};
use crate::walk::{At, Key};
use crate::words::{Word, slip_of_a_shape};

/// A larger offers file is refused: 16 MiB.
pub const LARGEST_FILE: usize = 16 << 20;

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
    pub diameter_is: Known<Reference>,
    /// Its drag coefficient.
    pub coefficient: Known<Quantity<Ratio>>,
    /// The area of which diameter the coefficient is on.
    pub coefficient_on: Known<Reference>,
    /// How far the coefficient may be wrong, as a share of it.
    pub coefficient_spread: Known<Quantity<Share>>,
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

/// All offers of a file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Offers {
    /// In the order of the file.
    pub list: Vec<Offer>,
    /// The currency of the prices, where the heading says it: "price (EUR)".
    pub currency: Option<String>,
    /// Cells that are `?`.
    pub unknowns: Vec<Unknown>,
}

const fn column(
    name: &'static str,
    means: &'static str,
    bounds: Option<(&'static str, &'static str)>,
) -> Key {
    Key { table: "offers", name, means, bounds }
}

/// The columns, in the order in which they are usually written.
pub(crate) static COLUMNS: [Key; 13] = [
    column("id", "name of the offer, by which choices and canopies call it", None),
    column("maker", "who makes it", None),
    column("shape", "its shape in the trade's words", None),
    column("diameter", "its diameter", Some(("1 cm", "100 m"))),
    column("diameter_is", "what the diameter measures: nominal, constructed or projected", None),
    column("coefficient", "its drag coefficient", Some(("0.01", "10"))),
    column("coefficient_on", "the area it is on: nominal, constructed or projected", None),
    column("coefficient_spread", "how far it may be wrong, as a share of it", Some(("0 %", "100 %"))),
    column("mass", "its mass with lines", Some(("0.1 g", "10000 kg"))),
    column("packed_volume", "room it takes as packed", Some(("0.1 mL", "100 m³"))),
    column("rated_load", "the pull it is rated for", Some(("1 N", "10000000 N"))),
    column("price", "price of one", Some(("0", "1e9"))),
    column("owned", "how many are owned already", None),
];

/// Reads offers from the bytes of their file; `file` is used in findings.
///
/// # Examples
/// ```
/// let text = "id;diameter (ft);mass\nplain-6;6,0;190 g\n";
/// let (offers, findings) = silkfall_project::offers::read("canopies.csv", text.as_bytes());
/// assert!(findings.is_empty());
/// assert!((offers.list[0].diameter.given().unwrap().si() - 1.8288).abs() < 1e-12);
/// ```
pub fn read(file: &str, bytes: &[u8]) -> (Offers, Vec<Finding>) {
    let mut notes = Notes::folding(file);
    let mut offers = Offers::default();
    if bytes.len() > LARGEST_FILE {
        let message = format!("the file has {} bytes, expected at most {LARGEST_FILE}", bytes.len());
        notes.add(Code::ProjectTooMuch, "offers", None, message, None);
        return (offers, notes.finish());
    }
    let table = match read_table(file, bytes) {
        Ok(table) => table,
        Err(findings) => return (offers, findings),
    };
    let headings = headings(&table, &mut notes);
    if !headings.contains_key("id") {
        let message = "there is no column `id`";
        let hint = format!("columns: {}", COLUMNS.each_ref().map(|key| key.name).join(", "));
        notes.add(Code::OffersColumn, "offers", table.headers.first().map(spot), message, Some(hint));
        return (offers, in_order(table.findings, notes));
    }
    offers.currency = headings.get("price").and_then(|heading| heading.bracket.clone());
    let mut seen = BTreeMap::new();
    for cells in table.rows.iter().filter(|cells| cells.iter().any(|cell| !cell.text.is_empty())) {
        let mut row = Row {
            headings: &headings,
            cells,
            decimal: table.decimal,
            notes: &mut notes,
            unknowns: Vec::new(),
            id: String::new(),
        };
        let Some(offer) = row.offer() else { continue };
        let unknowns = row.unknowns;
        match seen.get(&offer.id.value) {
            Some(first) => {
                let message = format!("{} stands twice, first on line {first}", quoted(&offer.id.value));
                let hint = "rename or remove one; the first one is used".to_owned();
                let path = row_path(&offer.id.value);
                notes.add(Code::ProjectTwice, &path, Some(offer.id.spot), message, Some(hint));
            }
            None => {
                seen.insert(offer.id.value.clone(), offer.id.spot.line);
                offers.list.push(offer);
                offers.unknowns.extend(unknowns);
            }
        }
    }
    (offers, in_order(table.findings, notes))
}

fn row_path(id: &str) -> String {
    format!("offer.{}", crate::walk::key_text(id))
}

/// A heading that is understood.
struct Heading {
    key: &'static Key,
    at: usize,
    /// What stands in brackets: a unit or a currency.
    bracket: Option<String>,
}

fn headings(table: &Table, notes: &mut Notes) -> BTreeMap<&'static str, Heading> {
    let mut found: BTreeMap<&'static str, Heading> = BTreeMap::new();
    for (at, cell) in table.headers.iter().enumerate() {
        let (text, spot) = (&cell.text, Some(spot(cell)));
        let (name, bracket) = match text.split_once(['(', '[']) {
            Some((name, rest)) => (name, Some(rest.trim().trim_end_matches([')', ']']).trim().to_owned())),
            None => (text.as_str(), None),
        };
        let plain = name.trim().to_lowercase().replace([' ', '-'], "_");
        // What a list of prices calls them.
        let plain = match plain.as_str() {
            "name" | "canopy" => "id",
            "size" => "diameter",
            "weight" => "mass",
            "volume" => "packed_volume",
            other => other,
        };
        let names = || COLUMNS.iter().map(|key| key.name);
        let Some(key) = COLUMNS.iter().find(|key| key.name == plain) else {
            let hint = Some(did_you_mean(plain, names(), "columns"));
            if plain.is_empty() {
                continue;
            } else if near(plain, names()).is_some() {
                notes.add(
                    Code::OffersColumn,
                    "offers",
                    spot,
                    format!("{} is not a column", quoted(text)),
                    hint,
                );
            } else {
                let message = format!("column {} is not used", quoted(text));
                notes.add(Code::OffersColumnUnused, "offers", spot, message, hint);
            }
            continue;
        };
        if found.contains_key(key.name) {
            let message = format!("column `{}` stands twice; the first one is used", key.name);
            notes.add(Code::OffersColumn, "offers", spot, message, None);
            continue;
        }
        found.insert(key.name, Heading { key, at, bracket });
    }
    found
}

/// A row being read.
struct Row<'a> {
    headings: &'a BTreeMap<&'static str, Heading>,
    cells: &'a [Cell],
    decimal: Decimal,
    notes: &'a mut Notes,
    unknowns: Vec<Unknown>,
    id: String,
}

impl<'a> Row<'a> {
    fn offer(&mut self) -> Option<Offer> {
        let id = match self.text("id") {
            Known::Given(id) => id,
            _ => {
                self.note(Code::OffersCell, None, "this row has no id; it is left out".to_owned(), None);
                return None;
            }
        };
        self.id.clone_from(&id.value);
        Some(Offer {
            id,
            maker: self.text("maker"),
            shape: self.shape(),
            diameter: self.quantity("diameter"),
            diameter_is: self.reference("diameter_is"),
            coefficient: self.quantity("coefficient"),
            coefficient_on: self.reference("coefficient_on"),
            coefficient_spread: self.quantity("coefficient_spread"),
            mass: self.quantity("mass"),
            packed_volume: self.quantity("packed_volume"),
            rated_load: self.quantity("rated_load"),
            price: self.quantity("price"),
            owned: self.owned(),
        })
    }

    fn note(&mut self, code: Code, spot: Option<Spot>, message: String, hint: Option<String>) {
        let path = if self.id.is_empty() { "offers".to_owned() } else { row_path(&self.id) };
        let spot = spot.or_else(|| self.cells.first().map(self::spot));
        self.notes.add(code, &path, spot, message, hint);
    }

    /// The cell of a column, if it is there and not empty, and its heading.
    fn cell(&self, name: &str) -> Option<(&'a str, &'a Heading, Spot)> {
        let heading = self.headings.get(name)?;
        let cell = self.cells.get(heading.at)?;
        (!cell.text.is_empty() && cell.text != "-").then_some((cell.text.as_str(), heading, spot(cell)))
    }

    fn asked<T>(&mut self, key: &'static Key, spot: Spot) -> Known<T> {
        self.unknowns.push(Unknown {
            file: self.notes.file().to_owned(),
            path: format!("{}.{}", row_path(&self.id), key.name),
            table: key.table,
            key: key.name,
            spot,
        });
        Known::Unknown { spot, asked: true }
    }

    fn text(&mut self, name: &str) -> Known<String> {
        match self.cell(name) {
            None => Known::Absent,
            Some(("?", heading, spot)) => self.asked(heading.key, spot),
            Some((cell, _, spot)) => Known::Given(Said { value: cell.to_owned(), spot }),
        }
    }

    fn shape(&mut self) -> Known<String> {
        let shape = self.text("shape");
        let Known::Given(said) = &shape else { return shape };
        let Some(meant) = slip_of_a_shape(&said.value) else { return shape };
        let message = format!("{} is not a shape of canopy that is known here", quoted(&said.value));
        let spot = said.spot;
        self.note(Code::OffersCell, Some(spot), message, Some(format!("did you mean `{meant}`?")));
        Known::Unknown { spot, asked: false }
    }

    fn reference(&mut self, name: &str) -> Known<Reference> {
        let (value, spot) = match self.text(name) {
            Known::Given(said) => (said.value, said.spot),
            Known::Unknown { spot, asked } => return Known::Unknown { spot, asked },
            Known::Absent => return Known::Absent,
        };
        if let Some(value) = Reference::of(&value.to_lowercase()) {
            return Known::Given(Said { value, spot });
        }
        let words = Reference::WORDS.iter().map(|(word, _)| *word);
        let message = format!("{} does not say what `{name}` asks", quoted(&value));
        let hint = did_you_mean(&value, words, "words here");
        self.note(Code::OffersCell, Some(spot), message, Some(hint));
        Known::Unknown { spot, asked: false }
    }

    fn owned(&mut self) -> Known<u32> {
        let Some((cell, heading, spot)) = self.cell("owned") else { return Known::Absent };
        let count = match cell {
            "?" => return self.asked(heading.key, spot),
            "yes" => Some(1),
            "no" => Some(0),
            number => number.parse::<u32>().ok().filter(|count| *count <= 1000),
        };
        if let Some(value) = count {
            return Known::Given(Said { value, spot });
        }
        let message = format!("{} does not say how many are owned", quoted(cell));
        self.note(Code::OffersCell, Some(spot), message, Some("write a whole number, yes or no".to_owned()));
        Known::Unknown { spot, asked: false }
    }

    fn quantity<Q: Measured>(&mut self, name: &str) -> Known<Quantity<Q>> {
        let Some((cell, heading, spot)) = self.cell(name) else { return Known::Absent };
        if cell == "?" {
            return self.asked(heading.key, spot);
        }
        let key = heading.key;
        let read = cell_quantity::<Q>(cell, heading.bracket.as_deref(), self.decimal);
        let at = At { path: row_path(&self.id), spot };
        let quantity = match read {
            Ok(quantity) => within(quantity, Code::OffersCell, key, &at, self.notes),
            Err(error) => {
                let hint = error.hint();
                self.note(Code::OffersCell, Some(spot), format!("{name}: {error}"), Some(hint));
                None
            }
        };
        match quantity {
            Some(value) => Known::Given(Said { value, spot }),
            None => Known::Unknown { spot, asked: false },
        }
    }
}

/// A cell as a quantity; a price may bear its currency on either side.
fn cell_quantity<Q: Measured>(
    cell: &str,
    heading_unit: Option<&str>,
    decimal: Decimal,
) -> Result<Quantity<Q>, QuantityError> {
    if Q::KIND == Kind::Money {
        let cell = with_heading_unit(cell, None, decimal);
        let number = cell.trim_matches(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | '-'));
        return Quantity::try_read(if number.is_empty() { &cell } else { number });
    }
    Quantity::try_read(&with_heading_unit(cell, heading_unit, decimal))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn problems(text: &str) -> Vec<String> {
        let (_, findings) = read("canopies.csv", text.as_bytes());
        let line = |finding: &Finding| {
            finding.place.as_ref().and_then(|place| Some((place.line?, place.column.unwrap_or(0))))
        };
        findings
            .iter()
            .map(|f| format!("{:?} {} [{}]", line(f), f.message, f.hint.as_deref().unwrap_or("")))
            .collect()
    }

    fn one(text: &str) -> Offer {
        let (offers, findings) = read("canopies.csv", text.as_bytes());
        assert_eq!(findings, []);
        offers.list.into_iter().next().unwrap()
    }

    #[test]
    fn units_in_the_heading_or_in_the_cells_are_the_same() {
        let heading = one("id,diameter [ft],mass (oz),rated load (lbf)\na,6 ± 0.1,6.7,270\n");
        let cells = one("id;diameter;mass;rated_load\na;6 ft ± 0.1 ft;6,7 oz;270 lbf\n");
        assert!((heading.diameter.given().unwrap().si() - 6.0 * 0.3048).abs() < 1e-12);
        for (a, b) in [
            (heading.diameter.given().unwrap().si(), cells.diameter.given().unwrap().si()),
            (
                heading.diameter.given().unwrap().standard_uncertainty_si(),
                cells.diameter.given().unwrap().standard_uncertainty_si(),
            ),
            (heading.mass.given().unwrap().si(), cells.mass.given().unwrap().si()),
            (heading.rated_load.given().unwrap().si(), cells.rated_load.given().unwrap().si()),
        ] {
            assert!((a - b).abs() < 1e-12, "{a} {b}");
        }
        assert!(
            (one("id,mass (g)\na,0.2 kg\n").mass.given().unwrap().si() - 0.2).abs() < 1e-12,
            "its own unit wins"
        );
        assert!((one("id,mass (g)\na,180 to 200\n").mass.given().unwrap().si() - 0.19).abs() < 1e-12);
    }

    #[test]
    fn encodings_marks_and_empty_cells() {
        let text = "id;maker;price (€);owned\nplain;Müller;78,50 €;yes\n# a comment\nfree;-;;\n";
        let mut wide = vec![0xff, 0xfe];
        wide.extend(text.encode_utf16().flat_map(u16::to_le_bytes));
        let latin: Vec<u8> = text.replace('€', "$").chars().map(|c| c as u8).collect();
        for bytes in [text.as_bytes().to_vec(), [&[0xef, 0xbb, 0xbf], text.as_bytes()].concat(), wide, latin]
        {
            let (offers, findings) = read("canopies.csv", &bytes);
            assert_eq!(findings, []);
            assert_eq!(offers.list[0].maker.given().unwrap(), "Müller");
            assert!((offers.list[0].price.given().unwrap().si() - 78.5).abs() < 1e-12);
            assert_eq!(offers.list[0].owned.given(), Some(&1));
            assert!(offers.list[1].maker.is_absent() && offers.list[1].price.is_absent());
            assert!(offers.currency.is_some());
        }
        let (offers, findings) = read("canopies.csv", b"\x89PNG\r\n\0\0");
        assert!(offers.list.is_empty() && !findings.is_empty());
    }

    #[test]
    fn each_problem_has_its_line_and_column() {
        assert_eq!(
            problems("id,diametre,mass,weave\na,6 ft,heavy,x\nb,1,2,3,4\n,1,2,3\na,1,2 kg,3\n"),
            [
                "Some((1, 2)) `diametre` is not a column [did you mean `diameter`?]",
                "Some((1, 4)) column `weave` is not used [columns: id, maker, shape, diameter, diameter_is, coefficient, \
                 coefficient_on, coefficient_spread, mass, packed_volume, rated_load, price, owned]",
                "Some((2, 3)) mass: `heavy` does not start with a number, a mass was expected [for instance \"1.5 kg\"]",
                "Some((3, 0)) row has 5 cells under 4 names; it is not used []",
                "Some((4, 1)) this row has no id; it is left out []",
                "Some((5, 1)) `a` stands twice, first on line 2 [rename or remove one; the first one is used]",
            ]
        );
        assert_eq!(
            problems("id,mass (cubits),coefficient,coefficient_on,shape\na,3,2000,flat,ringsale\n"),
            [
                "Some((2, 2)) mass: `cubits` is not a unit of mass [known units: kg, g, lb, oz]",
                "Some((2, 3)) `2000` is out of range, expected 0.01 to 10 [check its sign and its unit]",
                "Some((2, 4)) `flat` does not say what `coefficient_on` asks [words here: nominal, constructed, projected]",
                "Some((2, 5)) `ringsale` is not a shape of canopy that is known here [did you mean `ringsail`?]",
            ]
        );
        let (_, findings) = read("canopies.csv", b"id,mass (cubits)\na,1\nb,2\nc,3\n");
        assert_eq!((findings.len(), findings[0].count), (1, 3), "the same of three rows is said once");
        assert!(problems("id,mass\n").concat().contains("no row under its header"));
        assert_eq!(problems("").len(), 1, "an empty file is one problem");
        assert!(problems("diameter\n6 ft\n").concat().contains("there is no column `id`"));
    }
}
