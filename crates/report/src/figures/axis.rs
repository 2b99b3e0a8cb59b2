//! Axes: a hairline, ticks at round numbers of the display's unit, words with the unit.

use silkfall_core::quantity::{Kind, System, Unit, number_in};

use super::scale::Linear;
use super::svg::{Anchor, Canvas, HAIRLINE, LINE_HEIGHT, Label, Role, TEXT_SIZE};

/// A scale of SI values shown in a unit.
pub(super) struct Axis {
    scale: Linear,
    unit: &'static Unit,
    ends: (f64, f64),
    ticks: Vec<f64>,
}

impl Axis {
    /// Over SI values `low..high`, between two places; about one tick every `every` px.
    pub(super) fn new(span: (f64, f64), kind: Kind, system: System, ends: (f64, f64), every: f64) -> Self {
        let unit = system.unit(kind, span.0.abs().max(span.1.abs()));
        let scale = Linear::new(unit.from_si(span.0), unit.from_si(span.1), ends);
        let wanted = ((ends.1 - ends.0).abs() / every) as usize;
        let ticks = scale.ticks(wanted.max(2));
        Axis { scale, unit, ends, ticks }
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
        let as_is = Unit { factor: 1.0, zero: 0.0, ..self.unit.clone() };
        let places =
            |tick: &f64| number_in(*tick, 0.0, &as_is).split_once('.').map_or(0, |(_, rest)| rest.len());
        let places = self.ticks.iter().map(places).max().unwrap_or(0);
        format!("{tick:.places$}").replace('-', "\u{2212}")
    }

    fn words(&self, words: &str) -> String {
        match self.unit.symbol {
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
