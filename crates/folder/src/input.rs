//! A recording as `work` and `reduce` take it.

use silkfall_intake::{Means, Read};
use silkfall_sheet::{ColumnRead, Input, quoted};

/// A reading as `work` and `reduce` take it.
pub fn input(read: Read) -> Input {
    let column = |column: &silkfall_intake::Column| ColumnRead {
        index: column.index,
        name: column.name.clone(),
        means: column.means.word().to_owned(),
        unit: (column.means != Means::NotUsed)
            .then(|| column.unit.map(|unit| unit.printed().to_owned()))
            .flatten(),
    };
    Input {
        columns: read.understood.columns.iter().map(column).collect(),
        reading: read
            .understood
            .repeat_options()
            .iter()
            .map(|word| quoted(word))
            .collect::<Vec<_>>()
            .join(" "),
        recording: read.recording,
        findings: read.findings,
    }
}
