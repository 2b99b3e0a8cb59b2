//! `size` and `rate`: the sum, how it comes about, what was noticed.

use silkfall_core::derivation::{Derivation, How, NumberId};
use silkfall_core::finding::Finding;
use silkfall_core::quantity::Kind;
use silkfall_core::shapes::{Range, Reference};
use silkfall_core::sums;
use uom::si::length::meter;
use uom::si::velocity::meter_per_second;

use crate::document::{Answer, Document, Explained, Rich, Section, Shown};

/// The document of `size`.
pub fn size_document(answer: &Result<sums::Size, Finding>) -> Document {
    match answer {
        Ok(size) => {
            let which = size.refers_to.map_or("which diameter is not stated", Reference::word);
            let shown = Shown::new("diameter_m", size.diameter.get::<meter>(), 0.0, Kind::Length);
            let answer = answer_of(shown, which, "diameter_range_m", size.range_m);
            document("A canopy for a mass and a rate", answer, &size.how, &size.findings)
        }
        Err(finding) => refused("A canopy for a mass and a rate", finding),
    }
}

/// The document of `rate`.
pub fn rate_document(answer: &Result<sums::Rate, Finding>) -> Document {
    match answer {
        Ok(rate) => {
            let shown = Shown::new("rate_m_s", rate.rate.get::<meter_per_second>(), 0.0, Kind::Speed);
            let answer = answer_of(shown, "steady, downwards", "rate_range_m_s", rate.range_m_per_s);
            document("The rate of a mass under a canopy", answer, &rate.how, &rate.findings)
        }
        Err(finding) => refused("The rate of a mass under a canopy", finding),
    }
}

fn answer_of(mut shown: Shown, which: &str, path: &str, range: Option<Range>) -> Answer {
    shown.doubt_si = range.map_or(0.0, |range| (range.high - range.low) / 2.0);
    let mut beside = vec![Rich::new().plain(which)];
    if let Some(range) = range {
        let end = |at: usize, si: f64| Shown::new(format!("{path}.{at}"), si, 0.0, shown.kind).like(shown.si);
        let ends = Rich::new().interval(end(0, range.low), end(1, range.high));
        beside.push(Rich::new().plain("over the shape's range: ").then(ends));
    }
    Answer { result: shown.into(), beside, below: Vec::new() }
}

fn document(title: &str, answer: Answer, how: &[Derivation], findings: &[Finding]) -> Document {
    let mut section = Section::new("sum", title).everywhere(answer);
    for step in how {
        let id = NumberId::from(step.symbol);
        section = section.everywhere(Explained { id, also: Vec::new(), how: How::Closed(step.clone()) });
    }
    if !findings.is_empty() {
        section = section.everywhere(findings.to_vec());
    }
    Document { title: title.to_owned(), subtitle: Rich::new(), sections: vec![section], foot: Rich::new() }
}

fn refused(title: &str, finding: &Finding) -> Document {
    let section = Section::new("sum", title).everywhere(vec![finding.clone()]);
    Document { title: title.to_owned(), subtitle: Rich::new(), sections: vec![section], foot: Rich::new() }
}
