//! Design factors: what is wanted of a strength beyond the pull, and what is left of it in use.
//!
//! D_F = S c w/(u e k o h), a pure number:
//! S safety, c asymmetry (some lines pull harder than others), w = 1/cos φ lines that meet at an angle,
//! u strength left at joints, e after abrasion, k after fatigue, o when moist, h when hot.
//!
//! sin φ = (D_p/2)/L_e: half the mouth of the canopy in flight over the length of its lines, both m.
//!
//! Source: the form and the values of [`Factors::remembered`] from memory of [`FACTOR_SOURCE`], with medium confidence; the
//! angle is geometry. Assumed: lines straight from the skirt to one point under the middle. Range: L_e > D_p/2. Strength lost
//! to heat is for a test to tell: h is 1 where nothing is said, which is right for cold deployment only.

use super::MemberKind;
use crate::derivation::{Derivation, Expr, Input, num, sym};
use crate::ledger::Trust;
use crate::maths;
use crate::quantity::Kind;
use crate::shapes::{Range, Reference, SHAPES, Shape, TABLE_SOURCE, diameter_ratio};

/// Where form and factors stand.
pub const FACTOR_SOURCE: &str = "Knacke, Parachute Recovery Systems Design Manual (NWC TP 6575), chapter 6";

/// L_e/D₀ where the length of the lines is not stated: common practice, no published source.
pub const LINES_OVER_DIAMETER: Range = Range { low: 0.8, high: 1.2 };

/// A value with the bad end of what is stated or remembered of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Bounded {
    /// Best value.
    pub best: f64,
    /// At worst: the end that asks for more strength.
    pub worst: f64,
    /// Where it comes from.
    pub trust: Trust,
}

impl Bounded {
    /// Without doubt.
    pub fn exact(value: f64, trust: Trust) -> Self {
        Bounded { best: value, worst: value, trust }
    }

    fn remembered(best: f64, worst: f64) -> Self {
        Bounded { best, worst, trust: Trust::Memory(FACTOR_SOURCE.to_owned()) }
    }
}

/// One of the factors.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Factor {
    /// Strength over pull beyond all that is known to take of it.
    Safety,
    /// Unequal pull.
    Asymmetry,
    /// Lines that meet at an angle.
    Convergence,
    /// Share of strength left at seams, knots and splices.
    Joints,
    /// Share left after abrasion.
    Abrasion,
    /// Share left after use.
    Fatigue,
    /// Share left when moist.
    Moisture,
    /// Share left when hot.
    Heat,
}

impl Factor {
    /// All, those that raise the pull first.
    pub const ALL: [Factor; 8] = [
        Factor::Safety,
        Factor::Asymmetry,
        Factor::Convergence,
        Factor::Joints,
        Factor::Abrasion,
        Factor::Fatigue,
        Factor::Moisture,
        Factor::Heat,
    ];

    /// The word of files and tables.
    pub fn word(self) -> &'static str {
        match self {
            Factor::Safety => "safety",
            Factor::Asymmetry => "asymmetry",
            Factor::Convergence => "convergence",
            Factor::Joints => "joints",
            Factor::Abrasion => "abrasion",
            Factor::Fatigue => "fatigue",
            Factor::Moisture => "moisture",
            Factor::Heat => "heat",
        }
    }

    /// What it is, in a few words.
    pub fn meaning(self) -> &'static str {
        match self {
            Factor::Safety => "safety beyond all that is known to take of the strength",
            Factor::Asymmetry => "some lines pull harder than others",
            Factor::Convergence => "lines meet at an angle, 1/cos φ",
            Factor::Joints => "share of the strength left at joints",
            Factor::Abrasion => "share left after abrasion",
            Factor::Fatigue => "share left after use",
            Factor::Moisture => "share left when moist",
            Factor::Heat => "share left when hot",
        }
    }

    /// Its symbol.
    pub fn symbol(self) -> &'static str {
        match self {
            Factor::Safety => "S",
            Factor::Asymmetry => "c",
            Factor::Convergence => "w",
            Factor::Joints => "u",
            Factor::Abrasion => "e",
            Factor::Fatigue => "k",
            Factor::Moisture => "o",
            Factor::Heat => "h",
        }
    }

    /// Whether it multiplies the pull; else it is a share of the strength that is left.
    pub fn raises(self) -> bool {
        matches!(self, Factor::Safety | Factor::Asymmetry | Factor::Convergence)
    }
}

/// The factors of a member.
#[derive(Clone, Debug, PartialEq)]
pub struct Factors {
    each: [Bounded; 8],
}

impl Factors {
    /// What is remembered for a kind of member: all of them for what is sewn, asymmetry and the angle of the lines only where
    /// lines share a pull, safety alone for metal and bulkheads, none for a canopy by its maker's rating, which is what it may
    /// be pulled with.
    pub fn remembered(kind: MemberKind) -> Factors {
        let textile = |best: f64, worst: f64| match kind.is_textile() {
            true => Bounded::remembered(best, worst),
            false => {
                Bounded::exact(1.0, Trust::Assumed("takes nothing of metal or a rated canopy".to_owned()))
            }
        };
        let safety = match kind {
            MemberKind::Canopy => Bounded::exact(
                1.0,
                Trust::Assumed("a maker's rating is what it may be pulled with".to_owned()),
            ),
            _ => Bounded::remembered(1.5, 1.5),
        };
        let one = |why: &str| Bounded::exact(1.0, Trust::Assumed(why.to_owned()));
        let asymmetry = match kind.shares() || kind == MemberKind::Fabric {
            true => Bounded::remembered(1.075, 1.10),
            false => one("one member carries all"),
        };
        Factors {
            each: [
                safety,
                asymmetry,
                one("in line with the pull"),
                textile(0.85, 0.80),
                textile(0.95, 0.95),
                textile(0.95, 0.95),
                textile(0.95, 0.95),
                one("not hot when it is pulled"),
            ],
        }
    }

    /// One of them.
    pub fn get(&self, factor: Factor) -> &Bounded {
        &self.each[factor as usize]
    }

    /// The same with one of them replaced.
    #[must_use]
    pub fn with(mut self, factor: Factor, value: Bounded) -> Self {
        self.each[factor as usize] = value;
        self
    }

    /// D_F with every factor at its best value.
    pub fn best(&self) -> f64 {
        self.product(|bounded| bounded.best)
    }

    /// D_F with every factor at its bad end.
    pub fn worst(&self) -> f64 {
        self.product(|bounded| bounded.worst)
    }

    fn product(&self, of: impl Fn(&Bounded) -> f64) -> f64 {
        let part = |raises: bool| -> f64 {
            let chosen = Factor::ALL.into_iter().filter(|factor| factor.raises() == raises);
            chosen.map(|factor| of(self.get(factor))).product()
        };
        part(true) / part(false)
    }

    /// Whether one of them is from memory.
    pub fn rests_on_memory(&self) -> bool {
        self.each.iter().any(|bounded| bounded.trust.is_from_memory())
    }
}

/// D_F with its derivation, every factor at its best value, or all of them at their bad end.
pub fn derive_design_factor(factors: &Factors, at_worst: bool) -> Derivation {
    let product = |raises: bool| {
        let symbols = Factor::ALL.into_iter().filter(|factor| factor.raises() == raises);
        Expr::Product(symbols.map(|factor| sym(factor.symbol())).collect())
    };
    let value = |bounded: &Bounded| if at_worst { bounded.worst } else { bounded.best };
    Derivation {
        symbol: "D_F",
        meaning: match at_worst {
            true => "design factor at worst".to_owned(),
            false => "design factor".to_owned(),
        },
        si: if at_worst { factors.worst() } else { factors.best() },
        kind: Kind::Ratio,
        expr: product(true) / product(false),
        inputs: Factor::ALL
            .into_iter()
            .map(|factor| Input {
                symbol: factor.symbol(),
                meaning: factor.meaning().to_owned(),
                si: value(factors.get(factor)),
                kind: Kind::Ratio,
                trust: factors.get(factor).trust.clone(),
                number: None,
            })
            .collect(),
        source: Trust::Memory(FACTOR_SOURCE.to_owned()),
    }
}

/// w = 1/√(1 − (d/(2 l))²) with its derivation, from mouth and lines over the nominal diameter.
pub fn derive_line_convergence(mouth: (f64, Trust), lines: (f64, Trust)) -> Option<Derivation> {
    let sine = num(0.5) * sym("d") / sym("l");
    Derivation::of(
        "w",
        Factor::Convergence.meaning(),
        Kind::Ratio,
        num(1.0) / (num(1.0) - sine.pow(2.0)).root(),
        vec![
            Input::new("d", "mouth in flight over nominal diameter", mouth.0, Kind::Ratio, mouth.1),
            Input::new("l", "length of the lines over nominal diameter", lines.0, Kind::Ratio, lines.1),
        ],
        Trust::Published("geometry of straight lines that meet".to_owned()),
    )
}

/// 1/cos φ with sin φ = (D_p/2)/L_e, from both lengths over D₀; `None` for lines no longer than half the mouth.
///
/// # Examples
/// ```
/// use silkfall_core::load_path::line_convergence;
/// assert!((line_convergence(0.67, 1.0).unwrap() - 1.0613).abs() < 5e-5);
/// assert_eq!(line_convergence(0.67, 0.335), None);
/// ```
pub fn line_convergence(mouth_over_diameter: f64, lines_over_diameter: f64) -> Option<f64> {
    let sine = 0.5 * mouth_over_diameter / lines_over_diameter;
    (sine < 1.0).then(|| 1.0 / maths::sqrt(1.0 - sine * sine))
}

/// The mouth in flight over the nominal diameter, by the shape; of a shape not stated the widest range of all, from memory of
/// [`TABLE_SOURCE`].
pub fn mouth_over_nominal(shape: Option<Shape>) -> Range {
    let ratio = |shape: Shape| diameter_ratio(shape, Reference::Nominal, Reference::Projected);
    shape.and_then(ratio).unwrap_or_else(|| {
        let known = || SHAPES.iter().filter_map(|row| row.projected_over_nominal);
        Range {
            low: known().map(|range| range.low).fold(f64::INFINITY, f64::min),
            high: known().map(|range| range.high).fold(0.0, f64::max),
        }
    })
}

/// Mouth and length of the lines over the nominal diameter, each with where it comes from: the mouth by
/// [`mouth_over_nominal`], the lines as stated, else [`LINES_OVER_DIAMETER`]. At best the middles, at worst the ends at which
/// lines meet at the widest angle.
pub fn convergence_inputs(
    shape: Option<Shape>,
    lines_over_diameter: Option<f64>,
    at_worst: bool,
) -> ((f64, Trust), (f64, Trust)) {
    let mouth = mouth_over_nominal(shape);
    let (lines, trust) = match lines_over_diameter {
        Some(ratio) => (Range { low: ratio, high: ratio }, Trust::Given),
        None => (LINES_OVER_DIAMETER, Trust::Practice),
    };
    let (mouth, lines) = if at_worst { (mouth.high, lines.low) } else { (mouth.middle(), lines.middle()) };
    ((mouth, Trust::Memory(TABLE_SOURCE.to_owned())), (lines, trust))
}

/// The factor of lines that meet under a canopy of that shape, by [`convergence_inputs`]; `None` where the lines are too short
/// to meet.
pub fn convergence_of(shape: Option<Shape>, lines_over_diameter: Option<f64>) -> Option<Bounded> {
    let factor = |at_worst: bool| {
        let (mouth, lines) = convergence_inputs(shape, lines_over_diameter, at_worst);
        line_convergence(mouth.0, lines.0)
    };
    Some(Bounded {
        best: factor(false)?,
        worst: factor(true)?,
        trust: Trust::Memory(TABLE_SOURCE.to_owned()),
    })
}
