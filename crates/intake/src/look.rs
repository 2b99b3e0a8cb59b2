//! What a column looks like in a sample of rows: numbers, times or text; range; whether it runs upward.

use crate::clock::{self, TimeForm};
use crate::delimiter::is_blank;
use crate::number::{self, Decimal, Exact};

/// A column of the sample.
#[derive(Clone, Debug, Default)]
pub(crate) struct Look {
    pub filled: usize,
    pub numbers: usize,
    /// Cells in the form that most times have.
    pub times: usize,
    pub form: Option<TimeForm>,
    /// Whether every number is whole.
    pub whole: bool,
    pub first: f64,
    pub least: f64,
    pub most: f64,
    /// Share of steps between neighbours that go up, stay, go down.
    pub up: f64,
    pub same: f64,
    pub down: f64,
    /// Median of the steps that are not 0, in the column's own unit (seconds for clock forms).
    pub step: f64,
    /// A cell that is neither number nor time.
    pub text: Option<String>,
}

impl Look {
    /// Most filled cells are numbers.
    pub fn is_number(&self) -> bool {
        self.numbers > 0 && 2 * self.numbers > self.filled
    }

    /// Most filled cells are times in one form.
    pub fn is_time(&self) -> bool {
        self.times > 0 && 2 * self.times > self.filled
    }

    /// Hardly ever goes back.
    pub fn runs_up(&self) -> bool {
        self.up > 0.0 && self.down < 0.1
    }

    /// What it looks like, in words.
    pub fn words(&self) -> String {
        let many = |n: usize, what: &str| if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") };
        if self.filled == 0 {
            "empty".to_owned()
        } else if let (true, Some(form)) = (self.is_time(), self.form) {
            format!("times as {form}")
        } else if self.is_number() {
            let going = if self.runs_up() && self.same == 0.0 { ", always rising" } else { "" };
            format!("numbers from {} to {}{going}", self.least, self.most)
        } else {
            let text = self.text.as_deref().unwrap_or("");
            format!("text such as `{}`, {}", short(text), many(self.filled, "cell"))
        }
    }
}

/// A cell cut to a length fit for a message.
pub(crate) fn short(text: &str) -> String {
    let clean: String = text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
    if clean.chars().count() <= 24 {
        clean
    } else {
        format!("{}…", clean.chars().take(23).collect::<String>())
    }
}

/// Looks at column `at` of rows in windows of neighbours.
pub(crate) fn look(windows: &[Vec<Vec<String>>], at: usize, decimal: Decimal) -> Look {
    let cells = || windows.iter().flatten().map(|r| r[at].as_str()).filter(|c| !is_blank(c));
    let mut look = Look { whole: true, least: f64::INFINITY, most: f64::NEG_INFINITY, ..Look::default() };
    let mut forms: Vec<(TimeForm, usize)> = Vec::new();
    for cell in cells() {
        look.filled += 1;
        if let Some(x) = number::parse(cell.as_bytes(), decimal) {
            if look.numbers == 0 {
                look.first = x;
            }
            look.numbers += 1;
            look.whole &= x.fract().abs() == 0.0;
            look.least = look.least.min(x);
            look.most = look.most.max(x);
        } else if let Some(form) = TimeForm::of_cell(cell) {
            match forms.iter_mut().find(|(f, _)| *f == form) {
                Some((_, count)) => *count += 1,
                None => forms.push((form, 1)),
            }
        } else if look.text.is_none() {
            look.text = Some(cell.to_owned());
        }
    }
    let total: usize = forms.iter().map(|(_, n)| n).sum();
    if let Some(&(form, _)) = forms.iter().max_by_key(|(_, n)| *n) {
        // 5/13/2024 shows which of day and month comes first for the whole column.
        let form = if forms.iter().any(|(f, _)| *f == TimeForm::DayFirst) && form == TimeForm::MonthFirst {
            TimeForm::DayFirst
        } else {
            form
        };
        let fits = cells().filter(|c| form.stamp(c.as_bytes(), decimal).is_some()).count();
        let form = if fits == total {
            form
        } else {
            forms
                .iter()
                .map(|(f, _)| *f)
                .find(|f| cells().all(|c| f.stamp(c.as_bytes(), decimal).is_some()))
                .unwrap_or(form)
        };
        look.form = Some(form);
        look.times = cells().filter(|c| form.stamp(c.as_bytes(), decimal).is_some()).count();
    }
    steps(windows, at, decimal, &mut look);
    look
}

fn steps(windows: &[Vec<Vec<String>>], at: usize, decimal: Decimal, look: &mut Look) {
    let zero = Exact { mantissa: 0, decimals: 0 };
    let value = |row: &Vec<String>| match (look.is_time(), look.form) {
        (true, Some(form)) => {
            form.stamp(row[at].as_bytes(), decimal).map(|s| clock::seconds_between(zero, s))
        }
        _ => number::parse(row[at].as_bytes(), decimal),
    };
    let mut steps: Vec<f64> = Vec::new();
    for window in windows {
        let values: Vec<f64> = window.iter().filter_map(value).collect();
        steps.extend(values.windows(2).map(|p| p[1] - p[0]));
    }
    let count = steps.len().max(1) as f64;
    look.up = steps.iter().filter(|s| **s > 0.0).count() as f64 / count;
    look.down = steps.iter().filter(|s| **s < 0.0).count() as f64 / count;
    look.same = steps.iter().filter(|s| **s == 0.0).count() as f64 / count;
    let mut moved: Vec<f64> = steps.into_iter().map(f64::abs).filter(|s| *s > 0.0).collect();
    moved.sort_unstable_by(f64::total_cmp);
    look.step = moved.get(moved.len() / 2).copied().unwrap_or(0.0);
}
