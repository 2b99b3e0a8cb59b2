//! A recording as a logger made it: times and heights or pressures, nothing corrected.
//!
//! Intake builds it; from here on it is never changed. What intake had to leave out (blank cells, rows with
//! backward time) is already gone and stands in its findings; spikes, steps and rests are found here.

use std::sync::Arc;

/// What the recorded values are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Channel {
    /// Heights in metres as the logger states them: almost always a pressure seen through the standard
    /// atmosphere, from whatever zero the logger took. Not yet true height.
    PressureHeight,
    /// Absolute air pressures in pascals.
    Pressure,
    /// Heights in metres that do not come from pressure (satellite, tape, radar).
    TrueHeight,
}

/// Where sample numbers stand in the file: runs of (first sample, its line from 1), each run one line a sample.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RowMap(pub Vec<(usize, u64)>);

impl RowMap {
    /// The line, from 1, of a sample; `None` if the map is empty.
    pub fn line_of(&self, sample: usize) -> Option<u64> {
        let run = self.0.partition_point(|&(first, _)| first <= sample).checked_sub(1)?;
        let (first, line) = self.0[run];
        Some(line + (sample - first) as u64)
    }
}

/// Sensor temperatures in kelvin, one a sample; a blank cell is `None`.
///
/// A day at 100 Hz has millions, so they are kept in eight bytes each: 0 K, which no sensor shows, marks a blank, and
/// nobody outside sees the mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Temperatures(Arc<Vec<f64>>);

impl Temperatures {
    /// Temperatures in kelvin, 0 where the logger wrote none.
    pub fn with_zero_for_blank(kelvin: Vec<f64>) -> Self {
        Temperatures(Arc::new(kelvin))
    }

    /// The temperature at a sample, kelvin; `None` if it is blank or there is no such sample.
    pub fn at(&self, sample: usize) -> Option<f64> {
        self.0.get(sample).copied().filter(|&kelvin| kelvin > 0.0)
    }

    /// Every sample's temperature, in order.
    pub fn iter(&self) -> impl Iterator<Item = Option<f64>> + '_ {
        self.0.iter().map(|&kelvin| Some(kelvin).filter(|&kelvin| kelvin > 0.0))
    }
}

/// One recording. All vectors have the same length; times are seconds from the first sample and never fall
/// within a segment. They are vectors behind an `Arc`, not slices, because a slice would be a second copy of what the
/// reader filled.
#[derive(Clone, Debug, PartialEq)]
pub struct Recording {
    /// The path as the person gave it.
    pub name: String,
    /// Seconds from the first sample, strictly increasing within a segment.
    pub time_s: Arc<Vec<f64>>,
    /// Metres or pascals, as [`Channel`] says.
    pub value: Arc<Vec<f64>>,
    /// What the values are.
    pub channel: Channel,
    /// Sensor temperatures in kelvin, where the logger wrote them. Often warmed by the electronics, so a hint to
    /// the day's air and no more.
    pub temperature_k: Option<Temperatures>,
    /// First samples of stretches with a clock of their own (a restart, a power cut); always starts with 0
    /// unless the recording is empty. Nothing is fitted across such a mark.
    pub segments: Vec<usize>,
    /// Sample to line.
    pub rows: RowMap,
}

impl Recording {
    /// Number of samples.
    pub fn len(&self) -> usize {
        self.time_s.len()
    }

    /// Whether there is no sample.
    pub fn is_empty(&self) -> bool {
        self.time_s.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_blank_temperature_is_none() {
        let temperatures = Temperatures::with_zero_for_blank(vec![293.15, 0.0]);
        assert_eq!(temperatures.iter().collect::<Vec<_>>(), [Some(293.15), None]);
        assert_eq!((temperatures.at(0), temperatures.at(1), temperatures.at(2)), (Some(293.15), None, None));
    }

    #[test]
    fn a_sample_knows_its_line_across_left_out_rows() {
        let rows = RowMap(vec![(0, 3), (10, 15)]);
        assert_eq!(rows.line_of(0), Some(3));
        assert_eq!(rows.line_of(9), Some(12));
        assert_eq!(rows.line_of(10), Some(15), "lines 13 and 14 were left out");
        assert_eq!(RowMap::default().line_of(0), None);
    }
}
