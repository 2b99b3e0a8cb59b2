//! What has to work, as a tree: under each thing that has to come out, the devices it depends on, and theirs. A solid branch is
//! needed; of dashed ones any is enough. A filled square is a single point.

use silkfall_core::quantity::System;

use super::svg::{Anchor, Canvas, Label, Paint, Role, Stroke, TEXT_SIZE, shortened, text_width};

/// The tree, row by row from above.
#[derive(Clone, Debug, PartialEq)]
pub struct FailureTree {
    /// Its rows; a row's branch leads to the last row above it that is one step less deep.
    pub rows: Vec<TreeRow>,
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct TreeRow {
    /// How deep: 0 is what has to come out.
    pub depth: usize,
    /// Its name.
    pub label: String,
    /// What is to be said of it in small: a shared cause.
    pub remark: String,
    /// How it is joined to the row above it.
    pub branch: Branch,
    /// Whether it alone keeps a stage, or every canopy, from coming.
    pub single_point: bool,
}

/// How a device stands to what depends on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Branch {
    /// Nothing depends on it here.
    Root,
    /// Needed.
    Needed,
    /// One of several, any of which is enough.
    AnyOf,
}

const ROW: f64 = 26.0;
const STEP: f64 = 26.0;
const KEY: f64 = 30.0;

pub(super) fn draw(tree: &FailureTree, id: &str, width: f64, _: System) -> Canvas {
    let key_lines = if width < 500.0 { 3.0 } else { 1.0 };
    let bottom = ROW * tree.rows.len() as f64;
    let mut canvas = Canvas::new(id, width, bottom + KEY + 18.0 * (key_lines - 1.0));
    let x_of = |depth: usize| 8.0 + STEP * depth as f64;
    let y_of = |row: usize| ROW * (row as f64 + 0.5);
    for (at, row) in tree.rows.iter().enumerate() {
        let (x, y) = (x_of(row.depth), y_of(at));
        let above = tree.rows[..at].iter().rposition(|other| other.depth + 1 == row.depth);
        if let Some(above) = above.filter(|_| row.branch != Branch::Root) {
            let trunk = x_of(row.depth - 1);
            let points = [(trunk, y_of(above) + 7.0), (trunk, y), (x - 8.0, y)];
            canvas.polyline(&points, branch_stroke(row.branch));
        }
        mark(&mut canvas, (x, y), row.single_point);
        let room = width - x - 14.0;
        let name = shortened(&row.label, room);
        let label = Label::new(&name, Anchor::Start);
        let strong = row.single_point || row.branch == Branch::Root;
        let baseline = y + 0.36 * TEXT_SIZE;
        canvas.text((x + 10.0, baseline), if strong { label.strong() } else { label });
        let after = x + 10.0 + text_width(&name) * if strong { 1.06 } else { 1.0 } + 8.0;
        let remark = shortened(&row.remark, width - after);
        if remark.chars().count() > 4 {
            canvas
                .text_where_free(&[(after, baseline)], Label::new(&remark, Anchor::Start).role(Role::Quiet));
        }
    }
    key(&mut canvas, width, bottom + 16.0);
    canvas
}

fn branch_stroke(branch: Branch) -> Stroke {
    let stroke = Stroke::new(Role::Quiet, 1.2);
    if branch == Branch::AnyOf { stroke.with_dashes("4 3") } else { stroke }
}

fn mark(canvas: &mut Canvas, (x, y): (f64, f64), single_point: bool) {
    let role = if single_point { Role::Misses } else { Role::Ground };
    let edge = Stroke::new(if single_point { Role::Misses } else { Role::Ink }, 1.2);
    canvas.rectangle((x - 4.5, y - 4.5), (x + 4.5, y + 4.5), Paint::Flat(role, 1.0), Some(edge));
}

fn key(canvas: &mut Canvas, width: f64, top: f64) {
    let words = ["a single point", "needed", "any of these is enough"];
    let (mut x, mut y) = (8.0, top);
    for (at, word) in words.into_iter().enumerate() {
        match at {
            0 => mark(canvas, (x, y), true),
            1 => canvas.line((x - 4.0, y), (x + 12.0, y), branch_stroke(Branch::Needed)),
            _ => canvas.line((x - 4.0, y), (x + 12.0, y), branch_stroke(Branch::AnyOf)),
        }
        let label = Label::new(word, Anchor::Start).role(Role::Quiet);
        canvas.text((x + 18.0, y + 0.36 * TEXT_SIZE), label);
        if width < 500.0 {
            y += 18.0;
        } else {
            x += 40.0 + text_width(word);
        }
    }
}
