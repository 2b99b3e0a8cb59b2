//! The factors of one set of hardware as numbers of the sheet: canopy areas, cluster factors, body and wake.
//!
//! The fit is core's ([`silkfall_core::drag::fit`]); here each factor gets its path, its basis in words and, where the
//! tests do not tell it apart, the test that would.

use silkfall_core::derivation::{Derivation, Expr, NumberId, sym};
use silkfall_core::drag::{self, Below, Drag, Known, Net, NotTold, TestArea};
use silkfall_core::ledger::Trust;
use silkfall_core::quantity::{Kind, System, show};

use super::notes::{Notes, closed, input, logarithmic};
use super::tests::TestWorked;
use crate::number::Number;
use crate::sheet::{DragSheet, Factor, NotToldApart, Residual};

/// All tests of one set of hardware, fitted.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Fitted {
    pub drag: Drag,
    pub sheet: DragSheet,
    pub notes: Notes,
    /// "9 drops at half scale".
    pub basis: String,
}

/// One set of hardware: a model, or the real thing.
pub(super) struct Set<'a> {
    /// Its tests.
    pub tests: Vec<&'a TestWorked>,
    /// The model's scale as written; `None` for the real thing.
    pub scale: Option<&'a str>,
    /// Where the numbers of the part's drag stand: `parts.tube.drag`.
    pub path: &'a str,
    /// What its factors' ids begin with, so that two sets stand in one list: nothing, or `real.`.
    pub prefix: &'a str,
    /// What its ledger ids begin with.
    pub label: &'a str,
}

/// Fits the tests of one set of hardware.
pub(super) fn fitted(set: &Set<'_>) -> Fitted {
    let Set { tests, scale, .. } = set;
    let mut notes = Notes::default();
    let areas: Vec<TestArea> = tests.iter().filter_map(|test| test.area.clone()).collect();
    let drag = drag::fit(areas, set.label, &mut notes.ledger);
    drag.findings.iter().for_each(|finding| notes.find(finding.clone()));
    let drops: usize = tests.iter().map(|test| test.sheet.drops_kept).sum();
    let basis = match (drops, *scale) {
        (0, _) => format!("{} tests", tests.len()),
        (_, Some(scale)) => format!("{drops} drops at a scale of {scale}"),
        (_, None) => format!("{drops} drops of the real thing"),
    };
    let mut list = List { set, basis: &basis, notes: &mut notes, factors: Vec::new(), not_told: Vec::new() };
    list.all(&drag);
    let (factors, not_told_apart) = (list.factors, list.not_told);
    let residuals = residuals(&drag, set, &mut notes);
    let sheet = DragSheet { factors, not_told_apart, residuals };
    Fitted { drag, sheet, notes, basis }
}

struct List<'a> {
    set: &'a Set<'a>,
    basis: &'a str,
    notes: &'a mut Notes,
    factors: Vec<Factor>,
    not_told: Vec<NotToldApart>,
}

impl List<'_> {
    fn all(&mut self, drag: &Drag) {
        for kind in &drag.kinds {
            let meaning = format!("drag area of one {}, mean of its kind", kind.kind);
            self.known(format!("area.{}", kind.kind), meaning, &kind.mean, Kind::DragArea);
            for (serial, area) in &kind.each {
                self.known(
                    format!("canopy.{serial}"),
                    format!("drag area of {serial}"),
                    area,
                    Kind::DragArea,
                );
            }
        }
        for cluster in &drag.clusters {
            let meaning = format!("cluster factor of {}", counted(cluster.count));
            self.known(format!("cluster.{}", cluster.count), meaning, &cluster.factor, Kind::Ratio);
        }
        for net in &drag.net {
            let id = net_id(net);
            let meaning = format!("what the body adds under {}{}", counted(net.count), far(net));
            self.known(id.clone(), meaning.clone(), &net.area, Kind::DragArea);
            if let Some(over) = &net.over_one_canopy {
                self.told(format!("{id}.over-one"), format!("{meaning}, over one canopy"), over, Kind::Ratio);
            }
        }
        if let Some(body) = &drag.body {
            self.known(
                "body".to_owned(),
                "drag area of the body alone".to_owned(),
                &body.area,
                Kind::DragArea,
            );
            for shielded in &body.shielded {
                let meaning = format!("share of the body that {} lose in its wake", counted(shielded.count));
                self.known(format!("wake.{}", shielded.count), meaning, &shielded.share, Kind::Share);
            }
        }
        for comparison in &drag.over_first {
            let (of, to) = (&drag.tests[comparison.of].name, &drag.tests[comparison.to].name);
            self.told(
                format!("ratio.{of}"),
                format!("drag area of {of} over {to}"),
                &comparison.factor,
                Kind::Ratio,
            );
        }
    }

    fn known(&mut self, id: String, meaning: String, known: &Known, kind: Kind) {
        match known {
            Known::Told(factor) => self.told(id, meaning, factor, kind),
            Known::NotTold(NotTold { reason, would_tell }) => {
                let id = format!("{}{id}", self.set.prefix);
                self.not_told.push(NotToldApart { factors: vec![id.clone()], test: would_tell.clone() });
                self.factors.push(Factor {
                    id,
                    meaning,
                    number: None,
                    trust: Trust::Measured,
                    basis: reason.clone(),
                });
            }
        }
    }

    fn told(&mut self, id: String, meaning: String, factor: &drag::Factor, kind: Kind) {
        let id = format!("{}{id}", self.set.prefix);
        let number = factor_number(format!("{}.factors.{id}", self.set.path), factor, kind);
        let number = self.notes.number(number, factor.how.clone());
        let basis = match &factor.trust {
            Trust::Measured => self.basis.to_owned(),
            other => other.mark(),
        };
        self.factors.push(Factor { id, meaning, number: Some(number), trust: factor.trust.clone(), basis });
    }
}

/// A factor of core as a number of the sheet.
pub(crate) fn factor_number(id: impl Into<NumberId>, factor: &drag::Factor, kind: Kind) -> Number {
    let interval_95 = (factor.interval.high > factor.interval.low).then_some(factor.interval);
    Number { id: id.into(), si: factor.value, kind, interval_95 }
}

/// "one canopy", "two canopies".
pub(crate) fn counted(count: usize) -> String {
    const NUMBERS: [&str; 7] = ["no", "one", "two", "three", "four", "five", "six"];
    let number = NUMBERS.get(count).map_or_else(|| count.to_string(), |word| (*word).to_owned());
    if count == 1 { format!("{number} canopy") } else { format!("{number} canopies") }
}

/// Measured drag area of each test against the fit's, D = η (A₁ + A₂ + …) + N, where all of that is told.
fn residuals(drag: &Drag, set: &Set<'_>, notes: &mut Notes) -> Vec<Residual> {
    drag.tests
        .iter()
        .filter_map(|test| {
            let fitted = fitted_area(drag, test, set)?;
            let id = |what: &str| format!("{}.residuals.{}.{what}", set.path, test.name);
            let measured = logarithmic(id("measured"), &test.ln_area, Kind::DragArea);
            Some(Residual {
                test: test.name.clone(),
                measured: notes.derived(measured, test.how.clone()),
                fitted: notes.derived(Number::exact(id("fitted"), fitted.si, Kind::DragArea), fitted),
            })
        })
        .collect()
}

fn fitted_area(drag: &Drag, test: &TestArea, set: &Set<'_>) -> Option<Derivation> {
    const AREAS: [&str; 12] =
        ["A_1", "A_2", "A_3", "A_4", "A_5", "A_6", "A_7", "A_8", "A_9", "A_10", "A_11", "A_12"];
    let canopies = &test.configuration.canopies;
    if canopies.len() > AREAS.len() {
        return None;
    }
    let number = |id: String| Some(NumberId(format!("{}.factors.{}{id}", set.path, set.prefix)));
    let mut inputs = Vec::new();
    for (canopy, symbol) in canopies.iter().zip(AREAS) {
        let kind = drag.kinds.iter().find(|kind| kind.kind == canopy.kind)?;
        let area = kind.each.iter().find(|(serial, _)| *serial == canopy.serial)?.1.factor()?;
        let meaning = format!("drag area of {}", canopy.serial);
        let id = number(format!("canopy.{}", canopy.serial));
        inputs.push(input(symbol, &meaning, area.value, Kind::DragArea, area.trust.clone(), id.as_ref()));
    }
    let mut terms = Vec::new();
    if !canopies.is_empty() {
        let areas = Expr::Sum(inputs.iter().map(|input| sym(input.symbol)).collect());
        terms.push(match drag.clusters.iter().find(|cluster| cluster.count == canopies.len()) {
            Some(cluster) => {
                let factor = cluster.factor.factor()?;
                let id = number(format!("cluster.{}", cluster.count));
                let trust = factor.trust.clone();
                inputs.push(input("eta", "cluster factor", factor.value, Kind::Ratio, trust, id.as_ref()));
                sym("eta") * areas
            }
            None => areas,
        });
    }
    if let Below::Body { distance_m } = test.configuration.below {
        let same = |m: Option<f64>| match (m, distance_m) {
            (Some(a), Some(b)) => (a - b).abs() < 1e-6,
            (a, b) => a.is_none() == b.is_none(),
        };
        let net = drag.net.iter().find(|net| net.count == canopies.len() && same(net.distance_m))?;
        let area = net.area.factor()?;
        let id = number(net_id(net));
        inputs.push(input(
            "N",
            "what the body adds",
            area.value,
            Kind::DragArea,
            area.trust.clone(),
            id.as_ref(),
        ));
        terms.push(sym("N"));
    }
    let source = Trust::Practice;
    Some(closed("D", "drag area by the fitted factors", Kind::DragArea, Expr::Sum(terms), inputs, source))
}

/// Its id among the factors: the distance is named where it is stated.
fn net_id(net: &Net) -> String {
    format!("net-body.{}{}", net.count, far(net))
}

fn far(net: &Net) -> String {
    let at = |m: f64| format!(" at {}", show(m, 0.0, Kind::Length, System::Si));
    net.distance_m.map(at).unwrap_or_default()
}
