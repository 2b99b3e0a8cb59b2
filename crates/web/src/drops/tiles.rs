//! Whole recordings as tiles of extremes: places between the least and the greatest height, no quantities.
//!
//! A tile is [`CELLS`] cells of one level of a [`Pyramid`], four bytes each: least and greatest as whole numbers from 0 to
//! [`TOP`] of the recording's own span of heights, low byte first; least above greatest where no sample lies in a cell.
//! Rounding goes outward, so that what stands out stays in sight.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use silkfall_core::drops::heights_m;
use silkfall_core::pyramid::{Extremes, Pyramid};
use silkfall_core::recording::{Channel, Recording};

/// Cells of a tile.
pub(crate) const CELLS: u64 = 512;
/// The greatest height of a recording in a tile.
const TOP: f64 = 65_535.0;

/// The pyramids of the recordings that were looked at, made once each.
#[derive(Debug, Default)]
pub(crate) struct Pyramids(Mutex<BTreeMap<String, Kept>>);

#[derive(Clone, Debug)]
struct Kept {
    /// The samples that it was made of: other samples, another pyramid.
    of: Arc<Vec<f64>>,
    pyramid: Arc<Pyramid>,
}

impl Pyramids {
    /// The pyramid of a recording's heights.
    pub(crate) fn of(&self, recording: &Recording) -> Arc<Pyramid> {
        let mut kept = self.0.lock().expect("nobody panics while holding it");
        if let Some(kept) = kept.get(&recording.name).filter(|kept| Arc::ptr_eq(&kept.of, &recording.value)) {
            return Arc::clone(&kept.pyramid);
        }
        let heights = match recording.channel {
            Channel::PressureHeight | Channel::TrueHeight => Arc::clone(&recording.value),
            Channel::Pressure => Arc::new(heights_m(recording).into_owned()),
        };
        let pyramid = Arc::new(Pyramid::of(Arc::clone(&recording.time_s), heights));
        let entry = Kept { of: Arc::clone(&recording.value), pyramid: Arc::clone(&pyramid) };
        kept.insert(recording.name.clone(), entry);
        pyramid
    }
}

/// The bytes of a tile; fewer cells where the level or the recording has no more.
pub(crate) fn tile(pyramid: &Pyramid, level: u32, at: u64) -> Vec<u8> {
    let Some(whole) = pyramid.whole() else { return Vec::new() };
    let span = whole.high - whole.low;
    let place = |value: f64| if span > 0.0 { (value - whole.low) / span * TOP } else { TOP / 2.0 };
    let start = at.saturating_mul(CELLS);
    let cells = pyramid.cells(level, start..start.saturating_add(CELLS));
    let mut bytes = Vec::with_capacity(cells.len() * 4);
    for cell in cells {
        let (low, high): (u16, u16) = match cell {
            Some(Extremes { low, high }) => (place(low).floor() as u16, place(high).ceil() as u16),
            None => (u16::MAX, 0),
        };
        bytes.extend(low.to_le_bytes());
        bytes.extend(high.to_le_bytes());
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(bytes: &[u8]) -> Vec<(u16, u16)> {
        let pair = |b: &[u8]| (u16::from_le_bytes([b[0], b[1]]), u16::from_le_bytes([b[2], b[3]]));
        bytes.chunks_exact(4).map(pair).collect()
    }

    #[test]
    fn extremes_and_gaps_are_in_the_bytes() {
        // A gap of half the time, and one sample that stands out.
        let time: Vec<f64> =
            (0..100_000).map(|i| f64::from(i) * 0.01 + if i < 50_000 { 0.0 } else { 1000.0 }).collect();
        let value: Vec<f64> = (0..100_000).map(|i| if i == 777 { 90.0 } else { 10.0 }).collect();
        let pyramid = Pyramid::of(Arc::new(time), Arc::new(value));
        let whole = cells(&tile(&pyramid, 9, 0));
        assert_eq!(whole.len() as u64, CELLS);
        assert_eq!(
            whole.iter().filter(|cell| cell.1 == u16::MAX && cell.0 == 0).count(),
            1,
            "the one that stands out"
        );
        let gap = whole.iter().filter(|cell| cell.0 > cell.1).count();
        assert!((250..=256).contains(&gap), "{gap}");
        assert_eq!(cells(&tile(&pyramid, 3, 0)).len(), 8);
        assert!(tile(&pyramid, 60, 0).is_empty() && tile(&pyramid, 9, u64::MAX).is_empty());
    }
}
