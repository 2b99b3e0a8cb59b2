//! Axes: a hairline, ticks at round numbers of the display's unit, words with the unit.

use silkfall_core::quantity::{Kind, System, Unit, number_in};

use super::scale::Linear;
use crate::show;

use super::svg::{Anchor, Canvas, HAIRLINE, LINE_HEIGHT, Label, Role, TEXT_SIZE};

/// A scale of SI values shown in a unit.
pub(super) struct Axis {
    scale: Linear,
    unit: &'static Unit,
    ends: (f64, f64),
    ticks: Vec<f64>,
    reads: Reads,
}

/// How the ticks are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reads {
    Number,
    Clock,
}

/// Steps between the ticks of a clock, s.
const CLOCK_STEPS_S: [f64; 17] = [
    0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 3600.0, 7200.0,
    21_600.0,
];

impl Axis {
    /// Over SI values `low..high`, between two places; about one tick every `every` px.
    pub(super) fn new(span: (f64, f64), kind: Kind, system: System, ends: (f64, f64), every: f64) -> Self {
        let unit = system.unit(kind, span.0.abs().max(span.1.abs()));
        let scale = Linear::new(unit.from_si(span.0), unit.from_si(span.1), ends);
        let wanted = ((ends.1 - ends.0).abs() / every) as usize;
        let ticks = scale.ticks(wanted.max(2));
        Axis { scale, unit, ends, ticks, reads: Reads::Number }
    }

    /// Over times `low..high`, s, with ticks as on a clock; about one every `every` px.
    pub(super) fn clock(span_s: (f64, f64), ends: (f64, f64), every: f64) -> Self {
        let unit = System::Si.unit(Kind::Time, 1.0);
        let scale = Linear::new(span_s.0, span_s.1, ends);
        let rough_s = (span_s.1 - span_s.0) * every / (ends.1 - ends.0).abs();
        let step_s = CLOCK_STEPS_S.into_iter().find(|step| *step >= rough_s).unwrap_or(86_400.0);
        let per_step = 1.0 / step_s;
        let count = |time_s: f64| (time_s * per_step).clamp(-1e9, 1e9);
        let (first, last) = ((count(span_s.0) - 1e-9).ceil() as i64, (count(span_s.1) + 1e-9).floor() as i64);
        // A step that is longer than a day of a very long recording still leaves few.
        let ticks = (first..=last).take(400).map(|at| at as f64 / per_step).collect();
        Axis { scale, unit, ends, ticks, reads: Reads::Clock }
    }

    /// The place of an SI value.
    pub(super) fn at(&self, si: f64) -> f64 {
        self.scale.at(self.unit.from_si(si))
    }

    /// As [`Axis::at`], kept between the ends.
    pub(super) fn within(&self, si: f64) -> f64 {
        let (low, high) = (self.ends.0.min(self.ends.1), self.ends.0.max(self.ends.1));
        self.at(si).clamp(low, high)
    }

    /// All ticks with as many digits after the point as the one that needs most.
    fn tick_text(&self, tick: f64) -> String {
        if self.reads == Reads::Clock {
            return show::clock(tick);
        }
        let as_is = Unit { factor: 1.0, zero: 0.0, ..self.unit.clone() };
        let places =
            |tick: &f64| number_in(*tick, 0.0, &as_is).split_once('.').map_or(0, |(_, rest)| rest.len());
        let places = self.ticks.iter().map(places).max().unwrap_or(0);
        format!("{tick:.places$}").replace('-', "\u{2212}")
    }

    fn words(&self, words: &str) -> String {
        match self.unit.symbol {
            _ if self.reads == Reads::Clock => words.to_owned(),
            "" => words.to_owned(),
            symbol => format!("{words}, {symbol}"),
        }
    }

    /// Along the bottom at `y`: ticks below it, the words below those.
    pub(super) fn draw_below(&self, canvas: &mut Canvas, y: f64, words: &str) {
        canvas.line((self.ends.0, y), (self.ends.1, y), HAIRLINE);
        for tick in &self.ticks {
            let x = self.scale.at(*tick);
            canvas.line((x, y), (x, y + 4.0), HAIRLINE);
            let text = self.tick_text(*tick);
            let label = Label::new(&text, Anchor::Middle).role(Role::Quiet);
            canvas.text_where_free(&[(x, y + 6.0 + TEXT_SIZE)], label);
        }
        let text = self.words(words);
        canvas.text(
            (self.ends.1, y + 8.0 + TEXT_SIZE + LINE_HEIGHT),
            Label::new(&text, Anchor::End).role(Role::Quiet),
        );
    }

    /// Room that [`Axis::draw_below`] takes, px.
    pub(super) const BELOW: f64 = 12.0 + TEXT_SIZE + LINE_HEIGHT;

    /// Room that [`Axis::draw_left`] takes, px.
    pub(super) const LEFT: f64 = 44.0;

    /// Along the left at `x`: ticks left of it, the words over its upper end.
    pub(super) fn draw_left(&self, canvas: &mut Canvas, x: f64, words: &str) {
        canvas.line((x, self.ends.0), (x, self.ends.1), HAIRLINE);
        let top = self.ends.0.min(self.ends.1);
        let text = self.words(words);
        canvas.text(
            ((x - Self::LEFT).max(0.0), top - 10.0),
            Label::new(&text, Anchor::Start).role(Role::Quiet),
        );
        for tick in &self.ticks {
            let y = self.scale.at(*tick);
            canvas.line((x - 4.0, y), (x, y), HAIRLINE);
            let text = self.tick_text(*tick);
            let label = Label::new(&text, Anchor::End).role(Role::Quiet);
            canvas.text_where_free(&[(x - 7.0, y + 0.36 * TEXT_SIZE)], label);
        }
    }
}
