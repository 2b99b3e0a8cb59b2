//! Checks of a number against something outside the program.
//!
//! A test states such a check with [`check!`]: what was worked out, against which source, how near it has to be
//! and why so near. The macro asserts it. When the environment variable [`DIRECTORY_VARIABLE`] names a
//! directory, it also appends the check to a file there, one line of JSON each; `cargo xtask checks` runs the
//! tests that way and writes docs/CHECKS.md from the lines.
//!
//! What is recorded is rounded to the digits that the tolerance speaks of, so that the document is the same on
//! every platform. A check that fails panics and is not recorded.
//!
//! # Examples
//!
//! Compiled but not run, so that examples stay out of the list:
//!
//! ```no_run
//! use outside_check::check;
//!
//! // One number, with an absolute tolerance in the number's own unit.
//! check! {
//!     area: "air",
//!     what: "pressure at 1000 m geopotential, Pa",
//!     against: "US Standard Atmosphere 1976, table I",
//!     leg: Published,
//!     got: 89_874.571, want: 89_874.57, within: 0.005,
//!     because: "half a unit of the last printed digit",
//! }
//! // Many numbers of one kind: (label, got, want); one line in the document, with the worst of them.
//! check! {
//!     area: "air",
//!     what: "temperature from 0 m to 20 km",
//!     against: "PyPI package ambiance 1.3.1",
//!     leg: Independent,
//!     rows: [("0 m", 288.15, 288.15), ("500 m", 284.9, 284.9)], within_relative: 1e-9,
//!     because: "both work in double precision",
//! }
//! // Something that is said, not measured; and a bound on one side.
//! check! {
//!     area: "statistics", what: "Fieller interval with g = 1.2", against: "Fieller (1954)", leg: Closed,
//!     got: "unbounded", want: "unbounded",
//! }
//! check! {
//!     area: "rate", what: "share of drops found", against: "invented drops, seed 7", leg: Closed,
//!     got: 0.991, at_least: 0.98, because: "the aim set before tuning",
//! }
//! ```

mod number;

use std::fmt::Display;
use std::fs::OpenOptions;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use serde::{Deserialize, Serialize};

/// The environment variable that names the directory for the lines.
pub const DIRECTORY_VARIABLE: &str = "SILKFALL_CHECKS_DIR";

/// What kind of thing stands on the other side of a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Leg {
    /// A closed form of the same equation, or an identity that the result must keep.
    Closed,
    /// A number printed by somebody else: a standard, a paper, a certified data set.
    Published,
    /// Another implementation of the same thing, by other people.
    Independent,
}

impl Leg {
    /// The words of the document.
    pub fn words(self) -> &'static str {
        match self {
            Leg::Closed => "closed form",
            Leg::Published => "published",
            Leg::Independent => "independent program",
        }
    }
}

/// The words of a check: what stands in the document besides the numbers.
#[derive(Clone, Copy, Debug)]
pub struct Words<'a> {
    /// The stage or subject, lower case: the heading under which it stands.
    pub area: &'a str,
    /// What was worked out, with its unit.
    pub what: &'a str,
    /// The source: author, year, table; or program and version.
    pub against: &'a str,
    /// What kind of source.
    pub leg: Leg,
    /// Why the tolerance is what it is; empty where equality is asked for.
    pub because: &'a str,
    /// The test's file, from the root of the workspace.
    pub file: &'a str,
}

/// How near is near enough.
#[derive(Clone, Copy, Debug)]
pub enum Tolerance {
    /// In the unit of the number.
    Absolute(f64),
    /// As a share of the wanted number.
    Relative(f64),
}

impl Tolerance {
    fn around(self, want: f64) -> f64 {
        match self {
            Tolerance::Absolute(tolerance) => tolerance,
            Tolerance::Relative(share) => share * want.abs(),
        }
    }

    fn text(self) -> String {
        match self {
            Tolerance::Absolute(tolerance) => number::short(tolerance),
            Tolerance::Relative(share) => format!("{} of it", number::short(share)),
        }
    }
}

/// One check as it stands in the document, numbers already rounded.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Line {
    /// The stage or subject.
    pub area: String,
    /// What was worked out.
    pub what: String,
    /// The source.
    pub against: String,
    /// What kind of source.
    pub leg: Leg,
    /// What the program says.
    pub got: String,
    /// What the source says.
    pub want: String,
    /// The allowed difference, with its reason after it.
    pub allowed: String,
    /// Why that much is allowed.
    pub because: String,
    /// The test's file.
    pub file: String,
}

/// Asserts a number against one from outside.
///
/// # Panics
/// When the two differ by more than the tolerance: a test fails.
#[track_caller]
pub fn number(words: Words, got: f64, want: f64, tolerance: Tolerance) {
    record(&compare(words, got, want, tolerance).unwrap_or_else(|complaint| panic!("{complaint}")));
}

/// Asserts a series of (label, got, want); all of it is one line of the document.
///
/// # Panics
/// When one differs by more than the tolerance, or there is none.
#[track_caller]
pub fn series<L: Display>(words: Words, rows: impl IntoIterator<Item = (L, f64, f64)>, tolerance: Tolerance) {
    record(&compare_all(words, rows, tolerance).unwrap_or_else(|complaint| panic!("{complaint}")));
}

/// Asserts that two things said are the same.
///
/// # Panics
/// When they differ.
#[track_caller]
pub fn same<G: Display + PartialEq<W>, W: Display>(words: Words, got: G, want: W) {
    assert!(got == want, "{}: got {got}, want {want} ({})", words.what, words.against);
    record(&line(words, got.to_string(), want.to_string(), "none".to_owned()));
}

/// Asserts a number against a bound on one side.
///
/// # Panics
/// When it is on the wrong side.
#[track_caller]
pub fn bound(words: Words, got: f64, bound: Bound) {
    record(&compare_bound(words, got, bound).unwrap_or_else(|complaint| panic!("{complaint}")));
}

/// A bound on one side.
#[derive(Clone, Copy, Debug)]
pub enum Bound {
    /// Not less than this.
    AtLeast(f64),
    /// Not more than this.
    AtMost(f64),
}

fn line(words: Words, got: String, want: String, allowed: String) -> Line {
    Line {
        area: words.area.to_owned(),
        what: words.what.to_owned(),
        against: words.against.to_owned(),
        leg: words.leg,
        got,
        want,
        allowed,
        because: words.because.to_owned(),
        file: words.file.replace('\\', "/"),
    }
}

fn compare(words: Words, got: f64, want: f64, tolerance: Tolerance) -> Result<Line, String> {
    let allowed = tolerance.around(want);
    // Asked for as near, so that a NaN on either side is too far.
    let near = (got - want).abs() <= allowed;
    if !near {
        return Err(format!(
            "{}: got {got}, want {want} within {allowed:e}, off by {:e} ({})",
            words.what,
            got - want,
            words.against
        ));
    }
    Ok(line(words, number::to_digit_of(got, allowed), number::to_digit_of(want, allowed), tolerance.text()))
}

fn compare_all<L: Display>(
    words: Words,
    rows: impl IntoIterator<Item = (L, f64, f64)>,
    tolerance: Tolerance,
) -> Result<Line, String> {
    let (mut count, mut worst) = (0_usize, 0.0_f64);
    for (label, got, want) in rows {
        compare(words, got, want, tolerance).map_err(|complaint| format!("{label}: {complaint}"))?;
        let allowed = tolerance.around(want);
        if allowed > 0.0 {
            worst = worst.max((got - want).abs() / allowed);
        }
        count += 1;
    }
    if count == 0 {
        return Err(format!("{}: a series without a row checks nothing", words.what));
    }
    let got = format!("{count} values, the worst {}", number::share_used(worst));
    Ok(line(words, got, "each row".to_owned(), tolerance.text()))
}

fn compare_bound(words: Words, got: f64, bound: Bound) -> Result<Line, String> {
    let (holds, sign, limit) = match bound {
        Bound::AtLeast(limit) => (got >= limit, "at least", limit),
        Bound::AtMost(limit) => (got <= limit, "at most", limit),
    };
    if !holds {
        return Err(format!("{}: got {got}, want {sign} {limit} ({})", words.what, words.against));
    }
    Ok(line(words, number::short(got), format!("{sign} {}", number::short(limit)), "none".to_owned()))
}

/// One writer at a time, so that lines of tests in parallel threads do not mix.
static WRITER: Mutex<()> = Mutex::new(());

fn record(line: &Line) {
    let Some(directory) = std::env::var_os(DIRECTORY_VARIABLE) else { return };
    let path = file_of_this_process(Path::new(&directory));
    let mut text = serde_json::to_string(line).expect("a struct of strings is always JSON");
    text.push('\n');
    let _one_at_a_time = WRITER.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    OpenOptions::new()
        .create(true)
        .append(true)
        .open(&path)
        .and_then(|mut file| file.write_all(text.as_bytes()))
        .unwrap_or_else(|error| panic!("{} cannot be written: {error}", path.display()));
}

/// Test binaries run as processes of their own, so each has a file of its own.
fn file_of_this_process(directory: &Path) -> PathBuf {
    directory.join(format!("{}.jsonl", std::process::id()))
}

/// States a check against something outside: asserts it, and records it where that is asked for.
///
/// The fields stand in a fixed order: `area`, `what`, `against`, `leg`, then one of
/// `got, want, within, because` (absolute), `got, want, within_relative, because`,
/// `rows, within, because`, `rows, within_relative, because`, `got, want` (equality of what is said),
/// `got, at_least, because`, `got, at_most, because`. Examples stand at the top of the crate.
#[macro_export]
macro_rules! check {
    (@words $area:expr, $what:expr, $against:expr, $leg:ident, $because:expr) => {
        $crate::Words {
            area: $area,
            what: $what,
            against: $against,
            leg: $crate::Leg::$leg,
            because: $because,
            file: ::core::file!(),
        }
    };
    (area: $area:expr, what: $what:expr, against: $against:expr, leg: $leg:ident,
     got: $got:expr, want: $want:expr, within: $tolerance:expr, because: $because:expr $(,)?) => {
        $crate::number(
            $crate::check!(@words $area, $what, $against, $leg, $because),
            $got, $want, $crate::Tolerance::Absolute($tolerance),
        )
    };
    (area: $area:expr, what: $what:expr, against: $against:expr, leg: $leg:ident,
     got: $got:expr, want: $want:expr, within_relative: $share:expr, because: $because:expr $(,)?) => {
        $crate::number(
            $crate::check!(@words $area, $what, $against, $leg, $because),
            $got, $want, $crate::Tolerance::Relative($share),
        )
    };
    (area: $area:expr, what: $what:expr, against: $against:expr, leg: $leg:ident,
     rows: $rows:expr, within: $tolerance:expr, because: $because:expr $(,)?) => {
        $crate::series(
            $crate::check!(@words $area, $what, $against, $leg, $because),
            $rows, $crate::Tolerance::Absolute($tolerance),
        )
    };
    (area: $area:expr, what: $what:expr, against: $against:expr, leg: $leg:ident,
     rows: $rows:expr, within_relative: $share:expr, because: $because:expr $(,)?) => {
        $crate::series(
            $crate::check!(@words $area, $what, $against, $leg, $because),
            $rows, $crate::Tolerance::Relative($share),
        )
    };
    (area: $area:expr, what: $what:expr, against: $against:expr, leg: $leg:ident,
     got: $got:expr, want: $want:expr $(,)?) => {
        $crate::same($crate::check!(@words $area, $what, $against, $leg, ""), $got, $want)
    };
    (area: $area:expr, what: $what:expr, against: $against:expr, leg: $leg:ident,
     got: $got:expr, at_least: $limit:expr, because: $because:expr $(,)?) => {
        $crate::bound(
            $crate::check!(@words $area, $what, $against, $leg, $because),
            $got, $crate::Bound::AtLeast($limit),
        )
    };
    (area: $area:expr, what: $what:expr, against: $against:expr, leg: $leg:ident,
     got: $got:expr, at_most: $limit:expr, because: $because:expr $(,)?) => {
        $crate::bound(
            $crate::check!(@words $area, $what, $against, $leg, $because),
            $got, $crate::Bound::AtMost($limit),
        )
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    const WORDS: Words = Words {
        area: "air",
        what: "density",
        against: "a table",
        leg: Leg::Published,
        because: "half a unit",
        file: "crates\\core\\src\\air.rs",
    };

    #[test]
    fn a_number_is_recorded_with_the_digits_its_tolerance_speaks_of() {
        let line = compare(WORDS, 1.111_642_345, 1.111_642, Tolerance::Absolute(5e-7)).unwrap();
        assert_eq!((line.got.as_str(), line.want.as_str()), ("1.1116423", "1.1116420"));
        assert_eq!(line.allowed, "5e-7");
        assert_eq!(line.file, "crates/core/src/air.rs");
    }

    #[test]
    fn too_far_and_not_a_number_are_refused() {
        assert!(compare(WORDS, 1.2, 1.1, Tolerance::Absolute(0.05)).is_err());
        assert!(compare(WORDS, 1.2, 1.1, Tolerance::Relative(0.05)).is_err());
        assert!(compare(WORDS, 1.15, 1.1, Tolerance::Relative(0.05)).is_ok());
        assert!(compare(WORDS, f64::NAN, 1.1, Tolerance::Absolute(0.05)).is_err());
        assert!(compare(WORDS, 1.1, 1.1, Tolerance::Absolute(f64::NAN)).is_err());
        assert!(compare_bound(WORDS, f64::NAN, Bound::AtLeast(0.0)).is_err());
        assert!(compare_bound(WORDS, 0.97, Bound::AtLeast(0.98)).is_err());
        assert!(compare_bound(WORDS, 0.97, Bound::AtMost(0.98)).is_ok());
    }

    #[test]
    fn a_series_fails_by_its_worst_row_and_when_it_is_empty() {
        let rows = [("a", 1.0, 1.0), ("b", 2.004, 2.0)];
        let line = compare_all(WORDS, rows, Tolerance::Absolute(0.01)).unwrap();
        assert_eq!(line.got, "2 values, the worst under half of what is allowed");
        let complaint = compare_all(WORDS, rows, Tolerance::Absolute(0.001)).unwrap_err();
        assert!(complaint.starts_with("b: density"), "{complaint}");
        let none: [(&str, f64, f64); 0] = [];
        assert!(compare_all(WORDS, none, Tolerance::Absolute(1.0)).is_err());
    }

    #[test]
    #[should_panic(expected = "want unbounded")]
    fn what_is_said_must_be_the_same() {
        same(WORDS, "bounded", "unbounded");
    }
}
