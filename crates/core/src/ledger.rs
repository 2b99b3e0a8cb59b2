//! The ledger: every uncertain input once, with its distribution, its source and who shares it.
//!
//! A smooth result carries its sensitivities to ledger entries ([`Estimate`]), so that correlations and the budget
//! of doubt come by themselves: u²(y) = Σ (∂y/∂xᵢ · u(xᵢ))² (JCGM 100:2008, 5.1.2). Monte Carlo draws from the same
//! entries (JCGM 101:2008). A bare (value, uncertainty) never crosses a stage.

use std::collections::BTreeMap;

/// Names an entry: a dotted path in the words of the project, `session.may.slow-air`, `part.tube.mass`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LedgerId(pub String);

impl<T: Into<String>> From<T> for LedgerId {
    fn from(text: T) -> Self {
        LedgerId(text.into())
    }
}

impl std::fmt::Display for LedgerId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// How far a value can be trusted: said wherever it is used, and how a figure is filled.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trust {
    /// Written in the project by the person.
    Given,
    /// Worked out from this project's own tests.
    Measured,
    /// Read in the published document named.
    Published(String),
    /// Remembered of the document named, not read there: never printed as published.
    Memory(String),
    /// Common practice, no published source.
    Practice,
    /// A judgement of ours or a default: the text says which.
    Assumed(String),
}

impl Trust {
    /// The one word of JSON and tables: given, measured, handbook or assumed.
    pub fn word(&self) -> &'static str {
        match self {
            Trust::Given => "given",
            Trust::Measured => "measured",
            Trust::Published(_) | Trust::Memory(_) => "handbook",
            Trust::Practice | Trust::Assumed(_) => "assumed",
        }
    }

    /// The mark in full, as printed beside a value.
    pub fn mark(&self) -> String {
        match self {
            Trust::Given => "given".to_owned(),
            Trust::Measured => "measured".to_owned(),
            Trust::Published(source) => source.clone(),
            Trust::Memory(source) => format!("from memory of {source}"),
            Trust::Practice => "common practice, no published source".to_owned(),
            Trust::Assumed(why) => format!("assumed: {why}"),
        }
    }

    /// Whether the value rests on memory: such a value alone never turns a miss into a hold.
    pub fn is_from_memory(&self) -> bool {
        matches!(self, Trust::Memory(_))
    }
}

/// How an entry is distributed about its value; sizes in the entry's SI unit unless said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Distribution {
    /// Not uncertain.
    Exact,
    /// Normal with this standard deviation.
    Normal {
        /// Standard deviation.
        sd: f64,
    },
    /// The value times exp of a normal with this standard deviation.
    LogNormal {
        /// Standard deviation of the logarithm, dimensionless.
        sd_log: f64,
    },
    /// The value times exp of a scaled t: few drops.
    LogT {
        /// Scale of the logarithm, dimensionless.
        scale_log: f64,
        /// Degrees of freedom, at least 1.
        dof: f64,
    },
    /// Anywhere between two bounds alike.
    Rectangular {
        /// Lower bound.
        low: f64,
        /// Upper bound.
        high: f64,
    },
    /// A maker's figure doubted to one side: the value times 1 − |normal|·sd.
    OneSidedBelow {
        /// Relative standard deviation of the half-normal.
        sd_relative: f64,
    },
}

/// Which results an entry is common to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sharing {
    /// Fixed but not known: one draw for a whole Monte Carlo world, all flights and tests that name it.
    Knowledge,
    /// Differs from flight to flight: drawn anew for each.
    Flight,
}

/// One uncertain input.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// What it is, in a few words: "slow air on 3 May, shared by all drops".
    pub meaning: String,
    /// Best value, SI.
    pub value: f64,
    /// How it is distributed.
    pub distribution: Distribution,
    /// Who shares it.
    pub sharing: Sharing,
    /// How far to trust it.
    pub trust: Trust,
}

/// All entries, in the order of their ids.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ledger(BTreeMap<LedgerId, Entry>);

impl Ledger {
    /// Enters an input. The same id twice must be the same input: the first stays, and `false` is returned if the
    /// second differs.
    pub fn enter(&mut self, id: LedgerId, entry: Entry) -> bool {
        match self.0.get(&id) {
            Some(old) => *old == entry,
            None => {
                self.0.insert(id, entry);
                true
            }
        }
    }

    /// Enters all that another ledger holds; an id that both have keeps this one's entry.
    pub fn take_in(&mut self, other: &Ledger) {
        for (id, entry) in other.iter() {
            self.enter(id.clone(), entry.clone());
        }
    }

    /// The entry of that id.
    pub fn get(&self, id: &LedgerId) -> Option<&Entry> {
        self.0.get(id)
    }

    /// All entries in the order of their ids.
    pub fn iter(&self) -> impl Iterator<Item = (&LedgerId, &Entry)> {
        self.0.iter()
    }

    /// Number of entries.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether nothing is entered.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// A result with its sensitivities. `parts` holds, per ledger entry, ∂y/∂x · u(x): a signed standard uncertainty
/// in the unit of the value. Parts of different entries are independent.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// SI value.
    pub value: f64,
    /// Signed standard uncertainty by ledger entry, with the degrees of freedom behind it (infinite for a stated
    /// distribution).
    pub parts: BTreeMap<LedgerId, Part>,
}

/// One entry's part in an [`Estimate`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// ∂y/∂x · u(x), signed.
    pub signed: f64,
    /// Degrees of freedom behind u(x).
    pub dof: f64,
}

impl Estimate {
    /// A value without doubt.
    pub fn exact(value: f64) -> Self {
        Estimate { value, parts: BTreeMap::new() }
    }

    /// The same with one more part; parts of one entry add with their signs.
    #[must_use]
    pub fn with(mut self, id: impl Into<LedgerId>, signed: f64, dof: f64) -> Self {
        let part = self.parts.entry(id.into()).or_insert(Part { signed: 0.0, dof });
        part.signed += signed;
        part.dof = part.dof.min(dof);
        self
    }

    /// A value that several estimates make, with ∂value/∂estimate of each: first-order propagation, in which what two of
    /// them share adds with its signs.
    pub fn made_of(value: f64, slopes: &[(&Estimate, f64)]) -> Self {
        let parts = slopes.iter().flat_map(|(of, slope)| of.parts.iter().map(move |part| (part, slope)));
        parts.fold(Estimate::exact(value), |sum, ((id, part), slope)| {
            sum.with(id.clone(), slope * part.signed, part.dof)
        })
    }

    /// u = √Σ partsᵢ².
    pub fn standard_uncertainty(&self) -> f64 {
        crate::maths::sqrt(self.variance())
    }

    fn variance(&self) -> f64 {
        self.parts.values().map(|part| part.signed * part.signed).sum()
    }

    /// Effective degrees of freedom, ν = u⁴ / Σ(partᵢ⁴/νᵢ) (Welch-Satterthwaite, JCGM 100:2008, G.4.1); infinite
    /// where nothing limits it.
    pub fn dof(&self) -> f64 {
        let limited: f64 = self.parts.values().map(|part| part.signed.powi(4) / part.dof).sum();
        if limited > 0.0 { self.variance() * self.variance() / limited } else { f64::INFINITY }
    }

    /// Covariance with another result: the entries both rest on.
    pub fn covariance(&self, other: &Estimate) -> f64 {
        self.parts.iter().filter_map(|(id, part)| other.parts.get(id).map(|o| part.signed * o.signed)).sum()
    }

    /// value = f(self), slope = f'(self.value): first-order propagation.
    #[must_use]
    pub fn mapped(&self, value: f64, slope: f64) -> Estimate {
        let scaled = |part: &Part| Part { signed: part.signed * slope, dof: part.dof };
        Estimate { value, parts: self.parts.iter().map(|(id, part)| (id.clone(), scaled(part))).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shared_cancels_in_a_difference() {
        let a = Estimate::exact(5.0).with("air", 0.3, f64::INFINITY).with("a", 0.1, 3.0);
        let b = Estimate::exact(4.0).with("air", 0.3, f64::INFINITY).with("b", 0.1, 3.0);
        let mut difference = a.clone();
        difference.value -= b.value;
        for (id, part) in &b.parts {
            difference = difference.with(id.clone(), -part.signed, part.dof);
        }
        assert!((difference.standard_uncertainty() - 0.1 * 2f64.sqrt()).abs() < 1e-15);
        assert!((a.covariance(&b) - 0.09).abs() < 1e-15);
        assert!((difference.dof() - 6.0).abs() < 1e-9, "two alike parts of 3 degrees each");
    }

    /// JCGM 100:2008, G.4: components 0.25, 0.57, 0.82 with 9, 4, 14 degrees of freedom (from memory of that
    /// example) give 1.03 and 19.0.
    #[test]
    fn effective_degrees_of_freedom_as_in_the_guide() {
        let y = Estimate::exact(0.0).with("1", 0.25, 9.0).with("2", 0.57, 4.0).with("3", 0.82, 14.0);
        assert!((y.standard_uncertainty() - 1.03).abs() < 0.005);
        assert!((y.dof() - 19.0).abs() < 0.05);
    }

    #[test]
    fn an_id_means_one_input() {
        let entry = |value| Entry {
            meaning: "mass".to_owned(),
            value,
            distribution: Distribution::Exact,
            sharing: Sharing::Knowledge,
            trust: Trust::Given,
        };
        let mut ledger = Ledger::default();
        assert!(ledger.enter("part.tube.mass".into(), entry(9.6)));
        assert!(ledger.enter("part.tube.mass".into(), entry(9.6)));
        assert!(!ledger.enter("part.tube.mass".into(), entry(9.7)));
        assert_eq!(ledger.len(), 1);
    }
}
