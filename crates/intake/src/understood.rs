//! What was understood of a file, and the options that repeat it.

use crate::clock::TimeForm;
use crate::columns::{Chosen, Column};
use crate::delimiter::Delimiter;
use crate::encoding::{Encoding, Text};
use crate::number::Decimal;
use crate::options::Reading;
use crate::series;
use crate::shape::Shape;
use crate::units::Means;
use crate::words;
use silkfall_core::recording::{Channel, Recording};

/// How a file was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Understood {
    /// The sheet, of a workbook.
    pub sheet: Option<String>,
    /// The text's encoding.
    pub encoding: Encoding,
    /// What stands between cells.
    pub delimiter: Delimiter,
    /// The mark between whole and fraction.
    pub decimal: Decimal,
    /// The line that names the columns, if there is one.
    pub header_line: Option<u64>,
    /// The first line of data.
    pub first_line: u64,
    /// All columns of the usual row, in order.
    pub columns: Vec<Column>,
    /// How times are written.
    pub time_form: TimeForm,
    /// What the values are.
    pub channel: Channel,
    /// Samples in the recording.
    pub samples: usize,
    /// Lines in the file.
    pub lines: u64,
    /// Median number of samples a second; `None` for fewer than two samples.
    pub sample_rate_hz: Option<f64>,
    /// Seconds from the first sample to the last.
    pub duration_s: f64,
    /// The step on which the values stand, in metres or pascals; `None` where there is none.
    pub step: Option<f64>,
    /// Options that looking again would not come to by itself.
    must_be_said: MustBeSaid,
}

/// What the person's options decided, or what is safer said.
#[derive(Clone, Copy, Debug, PartialEq)]
struct MustBeSaid {
    encoding: bool,
    decimal: bool,
    header_lines: Option<u64>,
}

impl Understood {
    pub(crate) fn new<C>(
        wanted: &Reading,
        sheet: Option<String>,
        text: &Text<C>,
        shape: &Shape,
        chosen: Chosen,
        lines: u64,
        recording: &Recording,
    ) -> Self {
        let step = silkfall_core::drops::value_step(&recording.value);
        Understood {
            sheet,
            encoding: text.encoding,
            delimiter: shape.delimiter,
            decimal: shape.decimal,
            header_line: shape.header.as_ref().map(|h| h.line),
            first_line: shape.first_line,
            columns: chosen.columns,
            time_form: chosen.form,
            channel: chosen.channel,
            samples: recording.len(),
            lines,
            sample_rate_hz: (recording.len() > 1).then(|| 1.0 / series::usual_step(&recording.time_s)),
            duration_s: recording.time_s.last().copied().unwrap_or(0.0),
            step: (step > 0.0).then_some(step),
            must_be_said: MustBeSaid {
                encoding: text.replaced || text.encoding != Encoding::Utf8,
                decimal: wanted.decimal.is_some() || shape.decimal == Decimal::Comma,
                header_lines: wanted.header_lines,
            },
        }
    }

    /// The options that make another reading of the same file come out the same, as words of a command line.
    pub fn repeat_options(&self) -> Vec<String> {
        let mut options = Vec::new();
        let mut say = |option: &str, value: String| options.extend([format!("--{option}"), value]);
        if let TimeForm::Rows { .. } = self.time_form {
            say("time", self.time_form.to_string());
        }
        for column in &self.columns {
            match (column.means, column.unit) {
                (Means::Time, _) => say("time", format!("{}:{}", column.index, self.time_form)),
                (Means::Height, Some(unit)) if self.channel == Channel::TrueHeight => {
                    say("height", format!("{}:{unit}:true", column.index));
                }
                (Means::Height, Some(unit)) => {
                    // Without the word, a name that speaks of satellites would decide again.
                    let by_name = words::said(column.name.as_deref().unwrap_or("")).not_from_pressure;
                    say(
                        "height",
                        format!("{}:{unit}{}", column.index, if by_name { ":pressure" } else { "" }),
                    );
                }
                (Means::Pressure | Means::Temperature, Some(unit)) => {
                    say(column.means.word(), format!("{}:{unit}", column.index))
                }
                _ => {}
            }
        }
        match &self.sheet {
            Some(sheet) => say("sheet", sheet.clone()),
            None => say("delimiter", self.delimiter.name().to_owned()),
        }
        if self.must_be_said.decimal {
            say("decimal", char::from(self.decimal.byte()).to_string());
        }
        if self.must_be_said.encoding {
            say("encoding", self.encoding.name().to_owned());
        }
        if let Some(lines) = self.must_be_said.header_lines {
            say("header-lines", lines.to_string());
        }
        options
    }
}
