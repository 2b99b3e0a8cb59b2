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

/// Sensor temperatures, one a sample; a blank cell is `None`.
///
/// A day at 100 Hz has millions, so they are kept in four bytes each, as ten-thousandths of what the logger wrote: the same
/// numbers to the last digit. The few that are no such whole number stand beside.
#[derive(Clone, Debug, PartialEq)]
pub struct Temperatures {
    written: Arc<Vec<i32>>,
    odd: Arc<Vec<(usize, f64)>>,
    factor: f64,
    zero_k: f64,
}

impl Temperatures {
    /// Stands for no temperature.
    pub const BLANK: i32 = i32::MIN;
    /// Stands for one that is kept beside.
    pub const ODD: i32 = i32::MAX;

    /// `mantissa / 10^decimals` in ten-thousandths; `None` if that is no whole number, or too large.
    #[inline]
    pub fn ten_thousandths(mantissa: i64, decimals: u32) -> Option<i32> {
        const RAISE: [i64; 5] = [10_000, 1_000, 100, 10, 1];
        let raised = mantissa.checked_mul(*RAISE.get(decimals as usize)?)?;
        i32::try_from(raised).ok().filter(|written| ![Self::BLANK, Self::ODD].contains(written))
    }

    /// Temperatures in ten-thousandths as written, kelvin being `written · factor + zero_k`; of those that are
    /// [`Temperatures::ODD`], sample and kelvin, ascending.
    pub fn new(written: Vec<i32>, odd: Vec<(usize, f64)>, factor: f64, zero_k: f64) -> Self {
        Temperatures { written: Arc::new(written), odd: Arc::new(odd), factor, zero_k }
    }

    /// The temperature at a sample, kelvin; `None` if it is blank or there is no such sample.
    pub fn at(&self, sample: usize) -> Option<f64> {
        match *self.written.get(sample)? {
            Self::BLANK => None,
            Self::ODD => {
                let at = self.odd.binary_search_by_key(&sample, |odd| odd.0).ok()?;
                Some(self.odd[at].1)
            }
            written => Some(f64::from(written) / 10_000.0 * self.factor + self.zero_k),
        }
    }

    /// Every sample's temperature, in order.
    pub fn iter(&self) -> impl Iterator<Item = Option<f64>> + '_ {
        (0..self.written.len()).map(|sample| self.at(sample))
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
    fn temperatures_come_back_as_written() {
        let exact = Temperatures::ten_thousandths;
        let (warm, cold) = (exact(1925, 2).unwrap(), exact(-125, 2).unwrap());
        let written = vec![warm, Temperatures::BLANK, Temperatures::ODD, cold];
        let temperatures = Temperatures::new(written, vec![(2, 290.123_456)], 1.0, 273.15);
        let expected = [Some(19.25 + 273.15), None, Some(290.123_456), Some(-1.25 + 273.15)];
        assert_eq!(temperatures.iter().collect::<Vec<_>>(), expected);
        assert_eq!(temperatures.at(4), None);
        assert_eq!(exact(1, 5), None, "a hundred-thousandth");
        assert_eq!(exact(2_147_483_647, 4), None, "the mark of the odd ones");
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
