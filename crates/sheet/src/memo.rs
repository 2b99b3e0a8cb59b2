//! What was worked before, by a hash of everything it was worked from.
//!
//! A stage's output is kept as long as the last run used it. Whatever a stage reads goes into its key, so that a warm
//! memo and an empty one give equal sheets, which a test holds.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::sync::Arc;

use silkfall_core::cases::Standards;
use silkfall_core::recording::Recording;

use crate::work::{PartWorked, Sets, TestWorked};

/// Stage outputs of earlier runs.
#[derive(Clone, Debug)]
pub struct Memo {
    pub(crate) tests: Kept<TestWorked>,
    pub(crate) sets: Kept<Sets>,
    pub(crate) parts: Kept<PartWorked>,
    /// What the parts' cases were worked from.
    pub(crate) cases: BTreeSet<Key>,
    pub(crate) draws: Option<Standards>,
}

impl Default for Memo {
    fn default() -> Self {
        Memo {
            tests: Kept::default(),
            sets: Kept::default(),
            parts: Kept::default(),
            cases: BTreeSet::new(),
            draws: Some(Standards::default()),
        }
    }
}

impl Memo {
    /// One that keeps nothing, for a sheet that is worked once: no key is worked out and no copy made.
    pub fn none() -> Memo {
        Memo { tests: Kept(None), sets: Kept(None), parts: Kept(None), cases: BTreeSet::new(), draws: None }
    }

    /// How many outputs are kept.
    pub fn len(&self) -> usize {
        self.tests.len() + self.sets.len() + self.parts.len()
    }

    /// Whether nothing is kept.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

/// Outputs of one stage by key; `None` where nothing is kept.
#[derive(Clone, Debug)]
pub(crate) struct Kept<T>(Option<BTreeMap<Key, Arc<T>>>);

impl<T> Default for Kept<T> {
    fn default() -> Self {
        Kept(Some(BTreeMap::new()))
    }
}

/// An output, and its key where outputs are kept.
pub(crate) type Keeping<T> = (Option<Key>, Arc<T>);

impl<T> Kept<T> {
    fn len(&self) -> usize {
        self.0.as_ref().map_or(0, BTreeMap::len)
    }

    /// What was worked for that key, or else is worked now.
    pub fn or_work<E>(
        &self,
        key: impl FnOnce() -> Key,
        work: impl FnOnce() -> Result<T, E>,
    ) -> Result<Keeping<T>, E> {
        let Some(kept) = &self.0 else { return Ok((None, Arc::new(work()?))) };
        let key = key();
        let output = kept.get(&key).map_or_else(|| work().map(Arc::new), |kept| Ok(Arc::clone(kept)))?;
        Ok((Some(key), output))
    }

    /// The hash of what is common to all of a stage, where anything is kept.
    pub fn common(&self, take_in: impl FnOnce(&mut Keyed)) -> Option<Key> {
        self.0.as_ref()?;
        let mut keyed = Keyed::new("common");
        take_in(&mut keyed);
        Some(keyed.key())
    }

    /// Keeps these outputs and forgets all others.
    pub fn replace(&mut self, outputs: &[Keeping<T>]) {
        if let Some(kept) = &mut self.0 {
            *kept = outputs.iter().filter_map(|(key, output)| Some(((*key)?, Arc::clone(output)))).collect();
        }
    }
}

/// A hash of inputs: 128 bits, the same on every platform.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Key(u128);

impl std::fmt::Display for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:032x}", self.0)
    }
}

/// Takes inputs in and gives their key: two lanes of multiply and rotate over 64-bit words, which tells inputs apart
/// and is not meant to withstand anybody who wants them alike.
pub(crate) struct Keyed {
    lanes: [u64; 2],
    count: u64,
}

impl Keyed {
    /// Nothing is in it yet; jobs of different stages begin differently.
    pub fn new(stage: &str) -> Self {
        let mut keyed = Keyed { lanes: [0x9e37_79b9_7f4a_7c15, 0xc2b2_ae3d_27d4_eb4f], count: 0 };
        keyed.text(stage);
        keyed
    }

    fn word(&mut self, word: u64) {
        self.count += 1;
        self.lanes[0] = (self.lanes[0] ^ word).wrapping_mul(0xff51_afd7_ed55_8ccd).rotate_left(31);
        self.lanes[1] = (self.lanes[1].rotate_left(29) ^ word).wrapping_mul(0xc4ce_b9fe_1a85_ec53);
    }

    /// A text.
    pub fn text(&mut self, text: &str) {
        self.word(text.len() as u64);
        for chunk in text.as_bytes().chunks(8) {
            let mut word = [0; 8];
            word[..chunk.len()].copy_from_slice(chunk);
            self.word(u64::from_le_bytes(word));
        }
    }

    /// Anything, as its debug text says it in full.
    pub fn value(&mut self, value: &dyn std::fmt::Debug) {
        write!(self, "{value:?}").expect("writing to a hash does not fail");
    }

    /// The same but for where it stands in a file, which a line written above it moves.
    pub fn wherever(&mut self, value: &dyn std::fmt::Debug) {
        const SPOT: &str = "Spot {";
        let text = format!("{value:?}");
        let mut pieces = text.split(SPOT);
        self.text(pieces.next().unwrap_or_default());
        pieces.for_each(|piece| self.text(piece.split_once('}').map_or(piece, |(_, behind)| behind)));
    }

    /// A recording, sample by sample.
    pub fn recording(&mut self, recording: &Recording) {
        self.text(&recording.name);
        self.value(&(recording.channel, &recording.segments, &recording.rows));
        self.word(recording.len() as u64);
        for number in recording.time_s.iter().chain(recording.value.iter()) {
            self.word(number.to_bits());
        }
        for temperature in recording.temperature_k.iter().flat_map(|all| all.iter()) {
            self.word(temperature.map_or(u64::MAX, f64::to_bits));
        }
    }

    /// The key of all that went in.
    pub fn key(&self) -> Key {
        let finish = |lane: u64| {
            let mixed = (lane ^ self.count ^ (lane >> 33)).wrapping_mul(0xff51_afd7_ed55_8ccd);
            u128::from(mixed ^ (mixed >> 29))
        };
        Key(finish(self.lanes[0]) << 64 | finish(self.lanes[1]))
    }
}

impl Write for Keyed {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        self.text(text);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inputs_are_told_apart() {
        let key = |texts: &[&str]| {
            let mut keyed = Keyed::new("test");
            texts.iter().for_each(|text| keyed.text(text));
            keyed.key()
        };
        assert_eq!(key(&["a", "b"]), key(&["a", "b"]));
        let different = [key(&["a", "b"]), key(&["b", "a"]), key(&["ab"]), key(&["a", "b", ""]), key(&[])];
        for (i, one) in different.iter().enumerate() {
            assert!(different.iter().skip(i + 1).all(|other| one != other), "{i}");
        }
    }
}
