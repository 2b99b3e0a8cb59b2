//! Values to try about one that is written: the stops of a slider, as texts with the unit and the doubt of the value.

/// How far and how finely to go about a value, in the unit it is written in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Span {
    /// A quarter of the value to both sides, in rounded steps.
    Quarter,
    /// So many steps of that size to both sides.
    Steps {
        /// Size of a step.
        by: f64,
        /// How many to each side.
        each_side: u32,
    },
    /// From one value to another, whatever is written.
    Between {
        /// First stop.
        from: f64,
        /// Last stop.
        to: f64,
        /// Size of a step.
        by: f64,
    },
}

/// More stops than a hand can tell apart are not made.
const MOST: usize = 400;

/// The stops about a value as it is written, the value itself among them as it stands, in rising order; `None` where
/// the text does not begin with a number.
///
/// # Examples
/// ```
/// use silkfall_project::stops::{Span, stops};
/// let tried = stops("9.2 kg ± 50 g", Span::Steps { by: 0.1, each_side: 1 }).unwrap();
/// assert_eq!(tried, ["9.1 kg ± 50 g", "9.2 kg ± 50 g", "9.3 kg ± 50 g"]);
/// ```
pub fn stops(text: &str, span: Span) -> Option<Vec<String>> {
    let text = text.trim();
    let length =
        text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(text.len());
    let (number, rest) = text.split_at(length);
    let here: f64 = number.parse().ok()?;
    if rest.trim_start().starts_with("to ") || rest.starts_with(['e', 'E']) {
        return None;
    }
    let (from, to, by) = match span {
        Span::Quarter => {
            let by = rounded(here.abs() / 80.0)?;
            (here - 20.0 * by, here + 20.0 * by, by)
        }
        Span::Steps { by, each_side } => {
            let reach = by * f64::from(each_side);
            (here - reach, here + reach, by)
        }
        Span::Between { from, to, by } => (from, to, by),
    };
    let decimals = (0..6).find(|d| (by * 10f64.powi(*d)).fract().abs() < 1e-6).unwrap_or(6) as usize;
    // Stops lie on whole steps, so that they read well; the value itself stands where it is.
    let (first, last) = ((from / by).round(), (to / by).round());
    let count = (last - first).clamp(0.0, MOST as f64) as usize;
    let mut all: Vec<(f64, String)> = (0..=count)
        .map(|at| (first + at as f64) * by)
        .filter(|value| (value - here).abs() > by * 0.01)
        .map(|value| (value, format!("{value:.decimals$}{rest}").replace("-0 ", "0 ")))
        .collect();
    all.push((here, text.to_owned()));
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    Some(all.into_iter().map(|(_, text)| text).collect())
}

/// The next 1, 2 or 5 times a power of ten; `None` for nothing.
fn rounded(step: f64) -> Option<f64> {
    if !(step.is_finite() && step > 0.0) {
        return None;
    }
    let power = 10f64.powf(step.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|factor| factor * power).find(|wanted| *wanted >= step * 0.999)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stops_are_rounded_and_hold_the_value_as_it_stands() {
        let all = stops("0.66 kg ± 5 g", Span::Quarter).unwrap();
        assert!(
            all.contains(&"0.66 kg ± 5 g".to_owned()) && all.contains(&"0.70 kg ± 5 g".to_owned()),
            "{all:?}"
        );
        assert_eq!(
            stops("20 °C", Span::Steps { by: 1.0, each_side: 1 }).unwrap(),
            ["19 °C", "20 °C", "21 °C"]
        );
        let wind = stops("4.2 m/s", Span::Between { from: 0.0, to: 1.0, by: 0.5 }).unwrap();
        assert_eq!(wind, ["0.0 m/s", "0.5 m/s", "1.0 m/s", "4.2 m/s"]);
        assert_eq!(stops("0 °C", Span::Steps { by: 5.0, each_side: 1 }).unwrap(), ["-5 °C", "0 °C", "5 °C"]);
    }

    #[test]
    fn what_is_no_number_has_none() {
        for text in ["?", "", "heavy", "0 kg", "1 to 2 kg", "1e3 kg"] {
            assert_eq!(stops(text, Span::Quarter), None, "{text}");
        }
    }
}
