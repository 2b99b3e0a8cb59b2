//! What is to be said of the geometry: model beside full size, shape beside tests, lean beside cluster factor.

use silkfall_core::derivation::How;
use silkfall_core::drag::Interval;
use silkfall_core::finding::Code;
use silkfall_core::full_size::{Geometry, ratios_alike};
use silkfall_core::hanging::{self, DISTANCE_LEAST, DISTANCE_WANTED};
use silkfall_core::quantity::{Kind, System, show};

use super::super::notes::Notes;
use super::{BodyDrag, Worked};
use crate::hanging::{LikenessSheet, RiggingSheet};
use crate::number::Number;

impl Worked<'_> {
    /// Model and full size ratio by ratio; empty without a model.
    pub(super) fn likeness(&self, notes: &mut Notes) -> Vec<LikenessSheet> {
        let Some(model) = &self.given.model else { return Vec::new() };
        let full = &self.given.full;
        let in_bodies = |of: &Geometry| Some(of.distance_over_diameter? * of.diameter_over_body?);
        let rows = [
            (
                "lines",
                "line length over nominal diameter",
                model.lines_over_diameter,
                full.lines_over_diameter,
            ),
            (
                "distance",
                "body to skirt over nominal diameter",
                model.distance_over_diameter,
                full.distance_over_diameter,
            ),
            (
                "canopy-over-body",
                "nominal diameter over the body's length across the stream",
                model.diameter_over_body,
                full.diameter_over_body,
            ),
            ("in-bodies", "body to skirt over that length", in_bodies(model), in_bodies(full)),
        ];
        rows.into_iter()
            .map(|(id, meaning, model, full)| {
                let mut number = |of: &str, value: Option<f64>| {
                    let path = self.id(&format!("likeness.{id}.{of}"));
                    let how = How::Fit {
                        procedure: format!("The {meaning}, of lengths as stated."),
                        data: format!("geometry of the {of}"),
                        count: 2,
                    };
                    Some(notes.number(Number::exact(path, value?, Kind::Ratio), how))
                };
                LikenessSheet {
                    id: id.to_owned(),
                    meaning: meaning.to_owned(),
                    model: number("model", model),
                    full: number("full", full),
                    alike: ratios_alike(model, full),
                }
            })
            .collect()
    }

    pub(super) fn find(&self, code: Code, table: &str, message: String, notes: &mut Notes) {
        let part = self.given.part;
        let spot = Some(part.body.spot.filter(|_| table == "body").unwrap_or(part.name.spot));
        notes.find_at(code, &format!("part.{}.{table}", part.name.value), spot, message);
    }

    /// What is to be said of all that.
    pub(super) fn say(&self, sheet: &mut RiggingSheet, body: Option<&BodyDrag>, notes: &mut Notes) {
        let mut says = Vec::new();
        let ends = |number: &Number| {
            let interval = number.interval_95.unwrap_or(Interval { low: number.si, high: number.si });
            // A ratio to a hundredth is enough here.
            let least = if number.kind == Kind::Ratio { 0.02 } else { 0.0 };
            let digit = ((interval.high - interval.low) / 2.0).max(least);
            let text = |si: f64| show(si, digit, number.kind, System::Si);
            (interval, format!("{} to {}", text(interval.low), text(interval.high)))
        };
        if let (Some(shape), Some(tested)) = (&sheet.body_by_shape, &sheet.body_tested) {
            let ((by_shape, shape_text), (by_test, test_text)) = (ends(shape), ends(tested));
            let agree = by_shape.low <= by_test.high && by_test.low <= by_shape.high;
            let word = if agree { "they agree" } else { "they do not agree" };
            let firm = if body.is_some_and(|body| body.tested) { "tests say" } else { "shape says" };
            says.push(format!(
                "The tests put the body's own drag area at {test_text}, its shape at {shape_text}: {word}. What the {firm} \
                 is narrower, and counts here."
            ));
            if !agree {
                let message = format!("the tests give the body {test_text}, its shape {shape_text}");
                self.find(Code::BodyAreaUnlike, "body", message, notes);
            }
        }
        let count = self.given.rig.count;
        let cluster = self.given.load.clusters.get(count - 1);
        if let (Some(left), Some(cluster)) = (&sheet.left_along, cluster) {
            let factor = &cluster.factor;
            let number = Number::between("", factor.value, factor.interval, Kind::Ratio);
            says.push(format!(
                "Leaning out alone would leave {} of the canopies' drag; the cluster factor is {}, {}.",
                ends(left).1,
                ends(&number).1,
                factor.trust.word()
            ));
        }
        if let (Some(own), Some(wanted)) = (&sheet.own_length, &sheet.length_wanted) {
            let text = |si: f64| show(si, 0.05, Kind::Length, System::Si);
            let word = if ends(own).0.high < wanted.si { "shorter than" } else { "not shorter than" };
            let own = if own.interval_95.is_some() { ends(own).1 } else { text(own.si) };
            says.push(format!(
                "From where the risers part it is {own} to the skirt, {word} the {} that are wanted for {count} (from \
                 memory of {}).",
                text(wanted.si),
                hanging::EFFECTIVE_LENGTH_SOURCE
            ));
        }
        if let Some(in_bodies) = &sheet.in_bodies {
            says.push(format!(
                "The skirt is {} body diameters behind the body; at least {DISTANCE_LEAST}, better {DISTANCE_WANTED} are \
                 wanted (from memory of {}).",
                show(in_bodies.si, 0.05, Kind::Ratio, System::Si),
                hanging::FOREBODY_SOURCE
            ));
        }
        let unlike: Vec<&str> =
            sheet.likeness.iter().filter(|row| !row.alike).map(|row| row.meaning.as_str()).collect();
        if !sheet.likeness.is_empty() {
            says.push(if unlike.is_empty() {
                "Model and full size are alike in these ratios, so that cluster factor and wake share carry over.".to_owned()
            } else {
                format!(
                    "Model and full size are not alike: {}. What carries over is doubted for it.",
                    unlike.join("; ")
                )
            });
        }
        sheet.says = says;
    }
}
