//! Handles: lines with a grip that a page can move, by pointer and by key.

use maud::html;

use super::svg::{Canvas, Role, Stroke, px};

/// What is drawn and said of a handle.
pub(super) struct Grip<'a> {
    pub(super) id: &'a str,
    pub(super) label: &'a str,
    pub(super) says: &'a str,
    pub(super) end: &'static str,
    pub(super) now: usize,
    pub(super) range: (usize, usize),
    pub(super) x: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
    /// Middle of the grip.
    pub(super) grip_y: f64,
    /// -1: the grip lies left of the line; 1: right of it.
    pub(super) side: f64,
}

impl Canvas {
    /// A line with a grip that a page can move: it can be reached by key and is spoken.
    pub(super) fn handle(&mut self, grip: &Grip<'_>) {
        self.is_moved = true;
        let Grip { x, top, bottom, grip_y, side, .. } = *grip;
        let line = Stroke::new(Role::Measured, 1.4);
        let (role, light) = (Role::Measured.fill_class(), Role::Measured.light());
        // A finger's width, on the side away from the other handle.
        let hit = if side < 0.0 { x - 40.0 } else { x - 6.0 };
        self.push(html! {
            g class="handle" id=(grip.id) role="slider" tabindex="0" focusable="true" aria-label=(grip.label)
                aria-orientation="horizontal" aria-valuemin=(grip.range.0) aria-valuemax=(grip.range.1)
                aria-valuenow=(grip.now) aria-valuetext=(grip.says) data-end=(grip.end) data-x=(px(x)) {
                rect class="hit" x=(px(hit)) y=(px(top)) width="46" height=(px(bottom - top)) fill="transparent" {}
                line class=(line.role.stroke_class()) x1=(px(x)) y1=(px(top)) x2=(px(x)) y2=(px(bottom))
                    stroke=(line.role.light()) stroke-width=(line.width) {}
                rect class={ "grip " (role) } x=(px(x + if side < 0.0 { -11.0 } else { 0.0 })) y=(px(grip_y - 14.0))
                    width="11" height="28" rx="2" fill=(light) {}
            }
        });
    }
}
