//! What a recording does from its first to its last sample, in words: ground, hoist, hang, fall, lowering.
//!
//! Falls are as found. What lies between is looked at in means of about half a second: a slope over some seconds beyond a
//! good part of a hand's speed is hoisting or lowering; what stands still is the ground or a hang, whichever level of the
//! falls about it is nearer. Spells shorter than two seconds belong to the one before.
//!
//! For showing where in a recording one is; nothing is worked out from it. Assumes that a fall begins above its end.

use super::Fall;
use super::legs::Block;
use crate::recording::Recording;

/// What the logger did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// It lay on the ground.
    Ground,
    /// It was hoisted.
    Hoist,
    /// It hung, or flew level.
    Hang,
    /// It fell: the fall of that number.
    Fall(usize),
    /// It was lowered or carried down.
    Lowering,
}

impl Doing {
    /// As printed.
    pub fn word(self) -> &'static str {
        match self {
            Doing::Ground => "ground",
            Doing::Hoist => "hoist",
            Doing::Hang => "hang",
            Doing::Fall(_) => "fall",
            Doing::Lowering => "lowering",
        }
    }
}

/// A spell of a recording.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spell {
    /// What the logger did in it.
    pub doing: Doing,
    /// Its beginning, s.
    pub from_s: f64,
    /// Its end, s: the beginning of the next one.
    pub to_s: f64,
}

/// Length of a mean, s.
const MEAN_S: f64 = 0.5;
/// Means of a recording at most.
const MOST_MEANS: f64 = 40_000.0;
/// Slower is standing still, m/s: a good part of the speed of a hand on a rope (common practice, no published source).
const STILL_M_PER_S: f64 = 0.25;
/// A slope is taken over so long a time, s.
const SLOPE_S: f64 = 3.0;
/// What never leaves the ground by more lies on it, m.
const LEAST_HANG_M: f64 = 2.0;
/// A shorter spell belongs to the one before it, s.
const SHORTEST_S: f64 = 2.0;

/// The spells of a recording in its order, without a gap between them but where the clock began anew. Blocks are those of
/// all its segments; a segment without any has no spell.
pub(super) fn spells(recording: &Recording, blocks: &[Block], falls: &[Fall]) -> Vec<Spell> {
    let time = &recording.time_s;
    let mut out: Vec<Spell> = Vec::new();
    let mut blocks = blocks;
    let ends = recording.segments.iter().copied().skip(1).chain([recording.len()]);
    for (first, end) in recording.segments.iter().copied().zip(ends) {
        let (own, others) = blocks.split_at(blocks.partition_point(|block| block.first < end));
        blocks = others;
        let means = means(own);
        if means.is_empty() {
            continue;
        }
        let own = |fall: &Fall| (first..end).contains(&fall.release);
        let own: Vec<usize> = (0..falls.len()).filter(|&number| own(&falls[number])).collect();
        let mut reached_s = time[first];
        for place in 0..=own.len() {
            let fall = own.get(place).map(|&number| (number, &falls[number]));
            let until_s = fall.map_or(time[end - 1], |(_, fall)| time[fall.release]);
            if until_s > reached_s {
                let before = place.checked_sub(1).map(|place| &falls[own[place]]);
                let levels = Levels::about(before, fall.map(|(_, fall)| fall), &means, time);
                between(&means, (reached_s, until_s), &levels, &mut out);
            }
            if let Some((number, fall)) = fall {
                let end_s = time[fall.ground.unwrap_or(fall.last).min(end - 1)];
                out.push(Spell { doing: Doing::Fall(number), from_s: until_s.max(reached_s), to_s: end_s });
                reached_s = end_s;
            }
        }
    }
    out
}

/// Mean time and height of about half a second.
#[derive(Clone, Copy, Debug)]
struct Mean {
    time_s: f64,
    height_m: f64,
}

fn means(blocks: &[Block]) -> Vec<Mean> {
    let span_s = blocks.last().zip(blocks.first()).map_or(0.0, |(last, first)| last.time_s - first.time_s);
    let length_s = MEAN_S.max(span_s / MOST_MEANS);
    let mut means = Vec::new();
    let mut rest = blocks;
    while let Some(first) = rest.first() {
        let count = rest.iter().take_while(|block| block.time_s < first.time_s + length_s).count();
        let (of, others) = rest.split_at(count);
        let mean = |value: fn(&Block) -> f64| of.iter().map(value).sum::<f64>() / count as f64;
        means.push(Mean { time_s: mean(|block| block.time_s), height_m: mean(|block| block.height_m) });
        rest = others;
    }
    means
}

/// The levels of the ground and of the hang about some spell, m.
struct Levels {
    ground_m: f64,
    hang_m: f64,
}

impl Levels {
    /// From the fall before and the fall after; without either from the whole recording.
    fn about(before: Option<&Fall>, after: Option<&Fall>, means: &[Mean], time: &[f64]) -> Self {
        let height = |sample: usize| {
            let at = means.partition_point(|mean| mean.time_s < time[sample]);
            means[at.min(means.len() - 1)].height_m
        };
        let end = |fall: &Fall| height(fall.ground.unwrap_or(fall.last));
        let whole = |pick: fn(f64, f64) -> f64| means.iter().map(|mean| mean.height_m).reduce(pick);
        let ground = before.or(after).map(end).or_else(|| whole(f64::min));
        let hang = after.or(before).map(|fall| height(fall.release)).or_else(|| whole(f64::max));
        Levels { ground_m: ground.unwrap_or(0.0), hang_m: hang.unwrap_or(0.0) }
    }

    fn at(&self, height_m: f64) -> Doing {
        if self.hang_m - self.ground_m < LEAST_HANG_M {
            return Doing::Ground;
        }
        let to_ground = (height_m - self.ground_m).abs();
        if to_ground <= (height_m - self.hang_m).abs() { Doing::Ground } else { Doing::Hang }
    }
}

/// What is done between two times without a fall.
fn between(means: &[Mean], (from_s, to_s): (f64, f64), levels: &Levels, out: &mut Vec<Spell>) {
    let first = means.partition_point(|mean| mean.time_s < from_s);
    let end = means.partition_point(|mean| mean.time_s < to_s);
    let inside = &means[first..end];
    let begin = out.len();
    for mean in inside {
        let near = inside.partition_point(|other| other.time_s < mean.time_s - SLOPE_S / 2.0);
        let far = inside.partition_point(|other| other.time_s <= mean.time_s + SLOPE_S / 2.0) - 1;
        let (a, b) = (inside[near], inside[far]);
        let slope = if b.time_s > a.time_s { (b.height_m - a.height_m) / (b.time_s - a.time_s) } else { 0.0 };
        let doing = if slope > STILL_M_PER_S {
            Doing::Hoist
        } else if slope < -STILL_M_PER_S {
            Doing::Lowering
        } else {
            levels.at(mean.height_m)
        };
        let start_s = if out.len() == begin { from_s } else { mean.time_s - MEAN_S / 2.0 };
        match out[begin..].last_mut() {
            Some(last) if last.doing == doing => {}
            Some(last) => {
                last.to_s = start_s;
                out.push(Spell { doing, from_s: start_s, to_s });
            }
            None => out.push(Spell { doing, from_s: start_s, to_s }),
        }
    }
    if out.len() == begin {
        let doing = inside.first().map_or(Doing::Ground, |mean| levels.at(mean.height_m));
        out.push(Spell { doing, from_s, to_s });
    }
    join_short(out, begin);
}

/// Short spells join the one before, and the first of all the one after; then equal neighbours are one.
fn join_short(out: &mut Vec<Spell>, begin: usize) {
    let pieces = out.split_off(begin);
    for piece in pieces {
        let is_short = piece.to_s - piece.from_s < SHORTEST_S;
        let only = out.len() == begin + 1;
        match out[begin..].last_mut() {
            Some(last) if is_short || last.doing == piece.doing => last.to_s = piece.to_s,
            Some(last) if only && last.to_s - last.from_s < SHORTEST_S => {
                *last = Spell { from_s: last.from_s, ..piece };
            }
            _ => out.push(piece),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{FindConfig, find};
    use crate::recording::{Channel, Recording, RowMap};

    /// Pieces of seconds and speed, m/s upwards, at 50 a second.
    fn recorded(pieces: &[(f64, f64)]) -> Recording {
        let (mut t, mut h) = (0.0, 0.0);
        let (mut time, mut height) = (vec![t], vec![h]);
        for &(seconds, speed) in pieces {
            for i in 0..(seconds * 50.0) as usize {
                t += 0.02;
                h += speed * 0.02;
                time.push(t);
                // Noise without chance, of some centimetres.
                height.push(h + 0.04 * ((i * 7919 % 101) as f64 / 101.0 - 0.5));
            }
        }
        Recording {
            name: "log".to_owned(),
            time_s: time.into(),
            value: height.into(),
            channel: Channel::PressureHeight,
            temperature_k: None,
            segments: vec![0],
            rows: RowMap::default(),
        }
    }

    fn said(recording: &Recording) -> Vec<(&'static str, f64)> {
        let found = find(recording, &FindConfig::default()).spells;
        for pair in found.windows(2) {
            assert!((pair[0].to_s - pair[1].from_s).abs() < 1e-9, "{found:?}");
        }
        found.iter().map(|spell| (spell.doing.word(), spell.to_s - spell.from_s)).collect()
    }

    #[test]
    fn two_drops_are_told_in_words() {
        let drop = [(20.0, 0.0), (12.0, 1.0), (10.0, 0.0), (4.0, -3.0)];
        let pieces: Vec<(f64, f64)> = drop.iter().chain(&drop).copied().chain([(15.0, 0.0)]).collect();
        let found = said(&recorded(&pieces));
        let words: Vec<&str> = found.iter().map(|(word, _)| *word).collect();
        let once = ["ground", "hoist", "hang", "fall"];
        assert_eq!(words, [&once[..], &once[..], &["ground"]].concat());
        for ((word, seconds), (meant, _)) in found.iter().zip(&pieces) {
            assert!((seconds - meant).abs() < 2.0, "{word}: {seconds} s, meant {meant} s");
        }
    }

    /// A logger that is switched off and on again begins its clock anew: each stretch is told by itself.
    #[test]
    fn a_clock_that_begins_anew_begins_another_row_of_spells() {
        let drop = [(20.0, 0.0), (12.0, 1.0), (10.0, 0.0), (4.0, -3.0), (15.0, 0.0)];
        let once = recorded(&drop);
        let twice = |of: &[f64]| of.iter().chain(of).copied().collect::<Vec<f64>>().into();
        let both = Recording {
            time_s: twice(&once.time_s),
            value: twice(&once.value),
            segments: vec![0, once.len()],
            ..once.clone()
        };
        let spells = |recording: &Recording| find(recording, &FindConfig::default()).spells;
        let (one, two) = (spells(&once), spells(&both));
        let told = |spells: &[super::Spell]| -> Vec<(&'static str, f64, f64)> {
            spells.iter().map(|spell| (spell.doing.word(), spell.from_s, spell.to_s)).collect()
        };
        assert_eq!(told(&two), [told(&one), told(&one)].concat());
    }

    #[test]
    fn what_is_lowered_is_no_fall_and_a_rest_is_the_ground() {
        let words: Vec<&str> =
            said(&recorded(&[(10.0, 0.0), (10.0, 1.0), (5.0, 0.0), (12.0, -0.8), (10.0, 0.0)]))
                .iter()
                .map(|(word, _)| *word)
                .collect();
        assert_eq!(words, ["ground", "hoist", "hang", "lowering", "ground"]);
        assert_eq!(said(&recorded(&[(30.0, 0.0)])).iter().map(|s| s.0).collect::<Vec<_>>(), ["ground"]);
        assert_eq!(said(&recorded(&[])).len(), 0, "one sample has no spell");
    }
}
