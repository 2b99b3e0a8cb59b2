//! Where a finding stands: from its subject to file, line and column.

use silkfall_core::finding::{Finding, Place, Subject};
use silkfall_project::project::Evidence;
use silkfall_project::value::Spot;
use silkfall_project::{PROJECT_FILE, Project};

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

/// Places a finding about a key of the project where the table of that key stands; with a place it is left alone.
pub(crate) fn in_project(finding: &mut Finding, project: &Project) {
    let Subject::Key(key) = &finding.subject else { return };
    let of = |area: &str, name: &str| {
        let rest = key.strip_prefix(area).and_then(|rest| rest.strip_prefix(name));
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
    };
    let parts = project.parts.iter().map(|part| ("part.", &part.name));
    let sessions = project.sessions.iter().map(|session| ("session.", &session.name));
    let tests = project.tests.iter().map(|test| ("test.", &test.name));
    let models = project.models.iter().map(|model| ("model.", &model.name));
    let mut tables = parts.chain(sessions).chain(tests).chain(models);
    let spot = tables.find(|(area, name)| of(area, &name.value)).map(|(_, name)| name.spot);
    let spot = spot.or_else(|| project.site.spot.filter(|_| key == "site"));
    let spot = in_tests(key, project).or(spot);
    if let (Some(spot), None) = (spot, finding.place.as_ref().and_then(|place| place.line)) {
        let (line, column) = (Some(spot.line), Some(spot.column));
        finding.place = Some(Place { file: PROJECT_FILE.to_owned(), line, column });
    }
}

/// Where a key of a test stands that has a line of its own: `test.NAME.fell`, and `test.NAME.drop.N` of the N-th note.
fn in_tests(key: &str, project: &Project) -> Option<Spot> {
    let key = key.strip_prefix("test.")?;
    project.tests.iter().find_map(|test| {
        let of = key.strip_prefix(test.name.value.as_str())?.strip_prefix('.')?;
        if of == "fell" {
            return test.fell.spot();
        }
        let (nth, Evidence::Logs { drops, .. }) = (of.strip_prefix("drop.")?, &test.evidence) else {
            return None;
        };
        Some(drops.get(nth.parse::<usize>().ok()?)?.at.spot)
    })
}
