//! Where a finding stands: from its subject to file, line and column.

use silkfall_core::finding::{Finding, Place, Subject};

use crate::reduce::Input;

/// Places a finding about a recording in its file; one that has a place, or is about something else, is left alone.
pub(crate) fn in_recordings(finding: &mut Finding, inputs: &[&Input]) {
    if finding.place.is_some() {
        return;
    }
    let file = |name: &str, sample: &dyn Fn(&Input) -> Option<usize>| {
        let input = inputs.iter().find(|input| input.recording.name == name)?;
        let line = sample(input).and_then(|sample| input.recording.rows.line_of(sample));
        Some(Place { file: name.to_owned(), line, column: None })
    };
    finding.place = match &finding.subject {
        Subject::Recording(name) => file(name, &|_| None),
        Subject::Samples { recording, first, .. } => file(recording, &|_| Some(*first)),
        Subject::Drop { recording, release_ms } => file(recording, &|input| {
            let time = &input.recording.time_s;
            let near = |t: f64| (t * 1000.0).round() as i64 == *release_ms;
            (0..time.len()).find(|&i| near(time[i]))
        }),
        Subject::Whole | Subject::Key(_) => None,
    };
}
