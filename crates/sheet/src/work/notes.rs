//! What a stage adds to the sheet beside its own result: ledger entries, how its numbers came about, findings.

use std::collections::{BTreeMap, BTreeSet};

use silkfall_core::derivation::{Derivation, Expr, How, Input, NumberId};
use silkfall_core::drag::Interval;
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::ledger::{Entry, Estimate, Ledger, LedgerId, Trust};
use silkfall_core::maths::exp;
use silkfall_core::pooling::student_95;
use silkfall_core::quantity::Kind;
use silkfall_project::value::Spot;

use crate::from_memory::Remembered;
use crate::number::Number;

/// The file that a project's keys stand in.
pub(crate) use silkfall_project::PROJECT_FILE;

/// Collected beside a stage's result.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Notes {
    pub ledger: Ledger,
    pub hows: BTreeMap<NumberId, How>,
    pub findings: Vec<Finding>,
    /// Documents from memory by the path of what is simulated with them.
    pub remembered: Remembered,
}

impl Notes {
    /// Takes in what another stage noted. A finding that is there already is not repeated.
    pub fn merge(&mut self, other: Notes) {
        self.ledger.take_in(&other.ledger);
        self.hows.extend(other.hows);
        self.remembered.extend(other.remembered);
        for finding in other.findings {
            self.find(finding);
        }
    }

    /// All entries of this and another.
    pub fn ledger_with(&self, other: &Notes) -> Ledger {
        let mut all = self.ledger.clone();
        all.take_in(&other.ledger);
        all
    }

    /// Notes a finding, once.
    pub fn find(&mut self, finding: Finding) {
        if !self.findings.contains(&finding) {
            self.findings.push(finding);
        }
    }

    /// Notes a finding about a key of the project that stands there.
    pub fn find_at(&mut self, code: Code, key: &str, spot: Option<Spot>, message: impl Into<String>) {
        let finding = Finding::new(code, Subject::Key(key.to_owned()), message);
        let (line, column) = (spot.map(|spot| spot.line), spot.map(|spot| spot.column));
        self.find(finding.at(PROJECT_FILE, line, column));
    }

    /// Enters an input of the ledger.
    pub fn enter(&mut self, id: &LedgerId, entry: Entry) {
        self.ledger.enter(id.clone(), entry);
    }

    /// What is simulated under a path rests on these documents, from memory.
    pub fn remember(&mut self, path: &str, sources: BTreeSet<String>) {
        if !sources.is_empty() {
            self.remembered.entry(path.to_owned()).or_default().extend(sources);
        }
    }

    /// A number with how it came about.
    pub fn number(&mut self, number: Number, how: How) -> Number {
        self.hows.insert(number.id.clone(), how);
        number
    }

    /// A number that a person wrote.
    pub fn given(&mut self, number: Number, key: &str, text: &str) -> Number {
        self.number(number, How::Given { key: key.to_owned(), text: text.to_owned() })
    }

    /// A number that a derivation gives.
    pub fn derived(&mut self, number: Number, derivation: Derivation) -> Number {
        self.number(number, How::Closed(derivation))
    }
}

/// A number with the 95 % interval of its estimate, value ± t(ν) u.
pub(crate) fn linear(id: impl Into<NumberId>, estimate: &Estimate, kind: Kind) -> Number {
    let half = student_95(estimate.dof()) * estimate.standard_uncertainty();
    spread(id, estimate.value, Interval { low: estimate.value - half, high: estimate.value + half }, kind)
}

/// A number whose logarithm is the estimate, with ends exp(value ± t(ν) u).
pub(crate) fn logarithmic(id: impl Into<NumberId>, ln: &Estimate, kind: Kind) -> Number {
    let half = student_95(ln.dof()) * ln.standard_uncertainty();
    spread(id, exp(ln.value), Interval { low: exp(ln.value - half), high: exp(ln.value + half) }, kind)
}

fn spread(id: impl Into<NumberId>, si: f64, interval: Interval, kind: Kind) -> Number {
    Number { id: id.into(), si, kind, interval_95: (interval.high > interval.low).then_some(interval) }
}

/// An input of a derivation.
pub(crate) fn input(
    symbol: &'static str,
    meaning: &str,
    si: f64,
    kind: Kind,
    trust: Trust,
    number: Option<&NumberId>,
) -> Input {
    Input { number: number.cloned(), ..Input::new(symbol, meaning, si, kind, trust) }
}

/// A derivation whose value its own right-hand side gives.
pub(crate) fn closed(
    symbol: &'static str,
    meaning: &str,
    kind: Kind,
    expr: Expr,
    inputs: Vec<Input>,
    source: Trust,
) -> Derivation {
    Derivation::of(symbol, meaning, kind, expr, inputs, source)
        .expect("every symbol is an input and every input is finite")
}

/// Sets, in a derivation of core's, which numbers of the sheet its inputs are.
pub(crate) fn linked(mut derivation: Derivation, links: &[(&str, &NumberId)]) -> Derivation {
    for input in &mut derivation.inputs {
        if let Some((_, id)) = links.iter().find(|(symbol, _)| *symbol == input.symbol) {
            input.number = Some((*id).clone());
        }
    }
    derivation
}
