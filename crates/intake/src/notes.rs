//! What goes wrong in single rows, folded: the first of a kind with its place, and how many more.

use silkfall_core::finding::{Code, Finding, Subject};

/// One kind of trouble in one column (0 for the row as a whole).
#[derive(Clone, Debug)]
struct Fold {
    code: Code,
    column: u64,
    line: Option<u64>,
    message: String,
    hint: Option<String>,
    count: usize,
}

/// Findings about one file, in the order in which they were first met.
#[derive(Clone, Debug)]
pub(crate) struct Notes {
    file: String,
    folds: Vec<Fold>,
}

impl Notes {
    pub(crate) fn new(file: &str) -> Self {
        Notes { file: file.to_owned(), folds: Vec::new() }
    }

    /// Counts `count` more of a kind; `message` is asked for only when it is the first.
    pub(crate) fn add(
        &mut self,
        code: Code,
        line: Option<u64>,
        column: u64,
        count: usize,
        message: impl FnOnce() -> String,
    ) {
        match self.folds.iter_mut().find(|f| f.code == code && f.column == column) {
            Some(fold) => fold.count += count,
            None => self.folds.push(Fold { code, column, line, message: message(), hint: None, count }),
        }
    }

    /// A finding about the whole file, or one that stands alone.
    pub(crate) fn say(
        &mut self,
        code: Code,
        line: Option<u64>,
        column: u64,
        message: String,
        hint: Option<String>,
    ) {
        self.folds.push(Fold { code, column, line, message, hint, count: 1 });
    }

    /// The findings, worst first and then by place.
    pub(crate) fn findings(self) -> Vec<Finding> {
        let mut findings: Vec<Finding> = self
            .folds
            .into_iter()
            .map(|fold| Finding {
                count: fold.count,
                hint: fold.hint,
                ..Finding::new(fold.code, Subject::Recording(self.file.clone()), fold.message).at(
                    self.file.clone(),
                    fold.line,
                    (fold.column > 0).then_some(fold.column),
                )
            })
            .collect();
        findings.sort_by(|a, b| {
            let line = |f: &Finding| f.place.as_ref().and_then(|p| p.line);
            b.severity().cmp(&a.severity()).then(line(a).cmp(&line(b)))
        });
        findings
    }
}
