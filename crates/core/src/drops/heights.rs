//! Heights as the standard atmosphere sees them, whatever the recording holds.
//!
//! A pressure becomes the height at which the standard atmosphere has it ([`crate::air::standard`]). That does not
//! know the day: the true height of a layer is the standard one times T/T_standard, which is what `HeightScale` in
//! `rates` is for. Heights are kept as they are.

use std::borrow::Cow;

use crate::air::standard;
use crate::recording::{Channel, Recording};

/// The recording's values as heights in metres: themselves, or the standard heights of its pressures. A pressure
/// that is none of the atmosphere's takes the height of the sample before it, which makes it a stuck sample, not a
/// spike.
pub fn heights_m(recording: &Recording) -> Cow<'_, [f64]> {
    match recording.channel {
        Channel::PressureHeight | Channel::TrueHeight => Cow::Borrowed(&recording.value),
        Channel::Pressure => {
            let height_m = |&pressure_pa: &f64| standard::pressure_height_m(pressure_pa).ok();
            let mut last = recording.value.iter().find_map(height_m).unwrap_or(0.0);
            let heights = recording.value.iter().map(|pressure_pa| {
                last = height_m(pressure_pa).unwrap_or(last);
                last
            });
            Cow::Owned(heights.collect())
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::recording::RowMap;

    #[test]
    fn a_pressure_that_is_none_takes_the_height_before_it() {
        let pressures = vec![-1.0, 95_000.0, 0.0, 90_000.0];
        let recording = Recording {
            name: "test".into(),
            time_s: Arc::new(vec![0.0, 1.0, 2.0, 3.0]),
            value: Arc::new(pressures),
            channel: Channel::Pressure,
            temperature_k: None,
            segments: vec![0],
            rows: RowMap::default(),
        };
        let heights = heights_m(&recording);
        // The heights of the standard table, three decimals printed.
        for (height, expected) in heights.iter().zip([540.337, 540.337, 540.337, 988.501]) {
            assert!((height - expected).abs() < 0.0006, "{height}");
        }
    }
}
