//! Looking at drops: their figures with handles, what is said of single drops, and the extremes of whole recordings.

pub(crate) mod bring;
mod handles;
mod line;
mod panel;
mod said;
pub(crate) mod tiles;

pub(crate) use line::list;
pub(crate) use panel::{Look, Of, Span, overlay, overlay_figure, ribbon, ribbon_figure};
pub(crate) use said::DropSaid;

use std::collections::BTreeSet;

use silkfall_core::recording::Recording;
use silkfall_project::Project;
use silkfall_project::inputs::path_of;
use silkfall_project::project::{DropNote, Evidence};
use silkfall_sheet::{Input, PartSheet, ReducedDrop, ReducedRecording, Sheet, TestSheet};

/// A test of the sheet with its part, by the test's name: no two tests of a project share one.
pub(crate) fn test_of<'s>(sheet: &'s Sheet, name: &str) -> Option<(&'s PartSheet, &'s TestSheet)> {
    sheet.parts.iter().find_map(|part| Some((part, part.tests.iter().find(|test| test.name == name)?)))
}

/// A drop of a test, by its letter.
fn drop_of<'s>(test: &'s TestSheet, letter: &str) -> Option<(&'s ReducedRecording, &'s ReducedDrop)> {
    test.recordings
        .iter()
        .find_map(|recording| Some((recording, recording.drops.iter().find(|drop| drop.letter == letter)?)))
}

/// The samples of a recording, by its path.
pub(crate) fn samples_of<'s>(recordings: &'s [Input], path: &str) -> Option<&'s Recording> {
    recordings.iter().map(|input| &input.recording).find(|recording| recording.name == path)
}

/// When a drop ends: on the ground, or where its samples end.
fn end_s(drop: &ReducedDrop) -> f64 {
    let last = drop.trace.time_s.last().map_or(drop.release_s, |t| drop.release_s + t);
    drop.ground_s.unwrap_or(last)
}

/// What the project says of a drop, and its number among the drops that the test names, from 1.
fn note_of<'p>(
    project: &'p Project,
    test: &str,
    recording: &ReducedRecording,
    drop: &ReducedDrop,
) -> Option<(usize, &'p DropNote)> {
    let of_test = project.tests.iter().find(|of| of.name.value == test)?;
    let Evidence::Logs { drops, .. } = &of_test.evidence else { return None };
    let is_it = |note: &DropNote| {
        note.log.value == recording.path && (drop.release_s..=end_s(drop)).contains(&note.at.value.si())
    };
    drops.iter().position(is_it).map(|at| (at + 1, &drops[at]))
}

/// The dotted path of what a test says of a drop, by its number among them.
fn note_path(test: &str, number: usize) -> String {
    format!("{}.drop.{number}", path_of("test", test))
}

/// Paths of all that is said of drops which stand in the sheet.
pub(crate) fn note_paths(of: &Of<'_>, project: &Project) -> BTreeSet<String> {
    let drops = of
        .test
        .recordings
        .iter()
        .flat_map(|recording| recording.drops.iter().map(move |drop| (recording, drop)));
    let numbers =
        drops.filter_map(|(recording, drop)| Some(note_of(project, &of.test.name, recording, drop)?.0));
    numbers.map(|number| note_path(&of.test.name, number)).collect()
}
