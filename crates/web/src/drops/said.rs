//! What a person says of a drop on the page, as edits of the project's text.

use serde::Deserialize;
use silkfall_project::edit::{DropSaid as Said, Edit};
use silkfall_project::project::DropNote;
use silkfall_report::drop_figures;
use silkfall_report::figures::{Drawing, End};

use super::handles::Steady;
use super::panel::Span;
use super::{drop_of, end_s, note_of, note_path, samples_of, test_of};
use crate::worker::KnownTest;

/// What is said of a drop; it is named by its test and its letter.
#[derive(Clone, Debug, Deserialize)]
pub(crate) struct DropSaid {
    test: String,
    drop: String,
    /// `move`, `aside`, `keep`, `back`, `judge`, `auto`, `ballast` or `fell`.
    says: String,
    /// Which end moves.
    end: Option<String>,
    /// To which sample of the recording ...
    sample: Option<usize>,
    /// ... or how far across the drawing, 0 to 1 ...
    share: Option<f64>,
    /// ... which shows from here, s from release ...
    from: Option<f64>,
    /// ... to here.
    to: Option<f64>,
    /// Why it does not count.
    reason: Option<String>,
    /// Its ballast or height; nothing typed takes it away.
    text: Option<String>,
}

/// A reason is a line of text, no book.
const LONGEST_REASON: usize = 200;

impl DropSaid {
    /// The test whose drop is meant.
    pub(crate) fn test(&self) -> &str {
        &self.test
    }

    /// The edits, by what is known of the test; `Err` says why there are none.
    pub(crate) fn edits(&self, known: &KnownTest) -> Result<Vec<Edit>, String> {
        let KnownTest { view, told } = known;
        let (part, test) =
            test_of(&view.sheet, &self.test).ok_or_else(|| format!("there is no test `{}`", self.test))?;
        let (test, loaded) = told.as_ref().map_or((test, &view.loaded), |told| (&told.test, &told.loaded));
        let (recording, drop) =
            drop_of(test, &self.drop).ok_or_else(|| format!("there is no drop {} in it", self.drop))?;
        let note = note_of(&loaded.project, &test.name, recording, drop);
        let at = match note {
            Some((_, note)) => note.at.value.text().to_owned(),
            None => seconds(f64::midpoint(drop.release_s, end_s(drop)), 1),
        };
        let said =
            |said| Edit::Drop { test: test.name.clone(), log: recording.path.clone(), at: at.clone(), said };
        let without =
            |key| note.map(|note| self.without(note, key, &at, &recording.path)).unwrap_or_default();
        let typed = self.text.as_deref().unwrap_or_default().trim();
        match self.says.as_str() {
            "aside" => {
                let reason: String =
                    self.reason.as_deref().unwrap_or_default().trim().chars().take(LONGEST_REASON).collect();
                if reason.is_empty() {
                    return Err("say why the drop is set aside".to_owned());
                }
                Ok(vec![said(Said::SetAside(reason))])
            }
            "keep" => Ok(vec![said(Said::Keep)]),
            "back" => Ok(without("set_aside")),
            "judge" => Ok(without("keep")),
            "auto" => Ok(without("window")),
            key @ ("ballast" | "fell") if typed.is_empty() => Ok(without(key)),
            "ballast" => Ok(vec![said(Said::Ballast(typed.to_owned()))]),
            "fell" => Ok(vec![said(Said::Fell(typed.to_owned()))]),
            "move" => {
                let samples = samples_of(&loaded.recordings, &recording.path)
                    .ok_or_else(|| format!("{} is not read", recording.path))?;
                let steady = Steady::of(drop, samples).ok_or("this drop has no steady stretch")?;
                let end = match self.end.as_deref() {
                    Some("from") => End::From,
                    Some("to") => End::To,
                    _ => return Err("an end is `from` or `to`".to_owned()),
                };
                let sample = match (self.sample, self.share) {
                    (Some(sample), _) => sample,
                    (None, Some(share)) => {
                        let figure =
                            drop_figures(part, test).overlay.ok_or("nothing is drawn of this test")?;
                        let Drawing::Overlay(mut overlay) = figure.drawing else {
                            return Err("nothing is drawn of this test".to_owned());
                        };
                        let span = self.from.zip(self.to).map(|(from_s, to_s)| Span { from_s, to_s });
                        overlay.span_s = span.map(|span| span.within(&overlay));
                        nearest(&samples.time_s, drop.release_s + overlay.time_across(share))
                    }
                    (None, None) => return Err("an end is moved to a sample or a place".to_owned()),
                };
                let moved = steady.with(end, sample);
                if moved == steady {
                    return Ok(Vec::new());
                }
                let (from, to) = (edge(&samples.time_s, moved.from), edge(&samples.time_s, moved.to + 1));
                Ok(vec![said(Said::Window { from: seconds(from, 4), to: seconds(to, 4) })])
            }
            other => Err(format!("`{other}` is nothing that can be said of a drop")),
        }
    }

    /// A key less; a drop of which nothing else is said is not named any more.
    fn without(&self, (number, note): (usize, &DropNote), key: &str, at: &str, log: &str) -> Vec<Edit> {
        let said = [
            ("window", note.window.is_some()),
            ("set_aside", note.set_aside.is_some()),
            ("keep", note.keep),
            ("ballast", !note.ballast.is_absent()),
            ("fell", !note.fell.is_absent()),
        ];
        let (stands, rest): (Vec<_>, Vec<_>) =
            said.into_iter().filter(|(_, is_said)| *is_said).partition(|(name, _)| *name == key);
        if stands.is_empty() {
            return Vec::new();
        }
        let forget = Edit::ForgetDrop { test: self.test.clone(), log: log.to_owned(), at: at.to_owned() };
        let remove = Edit::Remove { path: format!("{}.{key}", note_path(&self.test, number)) };
        vec![if rest.is_empty() { forget } else { remove }]
    }
}

/// The sample that is nearest to a time.
fn nearest(time_s: &[f64], at_s: f64) -> usize {
    let after = time_s.partition_point(|t| *t < at_s);
    match (after.checked_sub(1), time_s.get(after)) {
        (Some(before), Some(next)) if at_s - time_s[before] <= next - at_s => before,
        (Some(before), None) => before,
        _ => after,
    }
}

/// Midway between a sample and the one before it, so that no rounding of the text can leave a sample out.
fn edge(time_s: &[f64], sample: usize) -> f64 {
    match (sample.checked_sub(1), time_s.get(sample)) {
        (Some(before), Some(t)) => f64::midpoint(time_s[before], *t),
        (Some(before), None) => time_s[before],
        (None, _) => time_s.first().copied().unwrap_or(0.0),
    }
}

/// A time as the project's text has it.
fn seconds(time_s: f64, places: usize) -> String {
    let text = format!("{time_s:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    format!("{text} s")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_edge_lies_between_samples_whatever_its_text_rounds_to() {
        let time: Vec<f64> = (0..1000).map(|i| f64::from(i) * 0.01).collect();
        for sample in [1, 7, 333, 999] {
            let text = seconds(edge(&time, sample), 4);
            let at: f64 = text.trim_end_matches(" s").parse().unwrap();
            assert!(time[sample - 1] < at && at < time[sample], "{text}");
        }
        assert_eq!(seconds(813.94, 4), "813.94 s");
        assert_eq!(seconds(20.0, 1), "20 s");
        assert_eq!(
            (nearest(&time, 0.014), nearest(&time, 0.016), nearest(&time, 99.0), nearest(&time, -1.0)),
            (1, 2, 999, 0)
        );
    }
}
