//! Legs between turning points, the core of a fall in each, and where it begins and ends.
//!
//! A leg turns where the height has gone back by `turn = max(1.5 m, 4 s)` with s the noise. The core of a descending
//! leg is the shortest time in which it loses a set height (a monotone queue of possible beginnings, linear time).

use super::rest::{line, median};
use super::{Fall, FindConfig};
use crate::maths::{ln, sqrt};

/// Mean of the samples of about a tenth of a second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Block {
    pub time_s: f64,
    pub height_m: f64,
    pub first: usize,
    pub last: usize,
}

/// A block is full after this part of its time: that keeps one of ten samples at ten when times carry rounding.
const FULL: f64 = 0.999;

/// Appends the blocks of one segment, whose first sample is `offset`; `runs` are left out.
pub(crate) fn blocks(
    time_s: &[f64],
    height_m: &[f64],
    runs: &[(usize, usize)],
    offset: usize,
    block_s: f64,
    out: &mut Vec<Block>,
) {
    // Room for all of them at once: growing would touch twice the memory.
    let span_s = time_s.last().zip(time_s.first()).map_or(0.0, |(last, first)| last - first);
    out.reserve(time_s.len().min((span_s / (FULL * block_s)) as usize + 1));
    let mut run = runs.iter().peekable();
    let mut i = 0;
    while i < time_s.len() {
        let (first, start) = (i, time_s[i]);
        let (mut n, mut sum_t, mut sum_h) = (0.0, 0.0, 0.0);
        while i < time_s.len() && time_s[i] - start < block_s * FULL {
            while run.peek().is_some_and(|r| r.1 < i) {
                run.next();
            }
            if run.peek().is_none_or(|r| i < r.0) {
                n += 1.0;
                sum_t += time_s[i];
                sum_h += height_m[i];
            }
            i += 1;
        }
        if n > 0.0 {
            out.push(Block {
                time_s: sum_t / n,
                height_m: sum_h / n,
                first: offset + first,
                last: offset + i - 1,
            });
        }
    }
}

/// Finds the falls in the blocks of one segment; `busy` gets the time from a fall's release to its ground.
pub(crate) fn falls(
    blocks: &[Block],
    noise_m: f64,
    step_m: f64,
    cfg: &FindConfig,
    out: &mut Vec<Fall>,
    busy: &mut Vec<(f64, f64)>,
) {
    let least_m = cfg.least_fall_m.max(6.0 * noise_m).max(3.0 * step_m);
    let turn_m = (4.0 * noise_m).max(1.5).max(1.5 * step_m);
    let mut stretches = Vec::new();
    for (top, bottom) in descending_legs(blocks, turn_m) {
        let mut parts = vec![(top, bottom)];
        while let Some((a, b)) = parts.pop() {
            if blocks[a].height_m - blocks[b].height_m < least_m {
                continue;
            }
            if let Some((from, to)) = fall_in(blocks, a, b, least_m, noise_m, cfg) {
                stretches.push((from, to));
                if from > a {
                    parts.push((a, from));
                }
                if to < b {
                    parts.push((to, b));
                }
            }
        }
    }
    stretches.sort_unstable();
    let found = joined(blocks, &stretches);
    let far = |n: usize| {
        let (from, to) = found[n];
        let follows = n > 0 && from <= found[n - 1].1 + 1;
        let next_follows = found.get(n + 1).is_some_and(|next| next.0 <= to + 1);
        falls_far(blocks, (from, to), (follows, next_follows), (least_m, noise_m), cfg)
    };
    let found: Vec<(usize, usize)> = (0..found.len()).filter(|&n| far(n)).map(|n| found[n]).collect();
    for (n, &(from, to)) in found.iter().enumerate() {
        let follows = n > 0 && from <= found[n - 1].1 + 1;
        let next_follows = found.get(n + 1).is_some_and(|next| next.0 <= to + 1);
        let fall = bounds(blocks, from, to, follows, next_follows);
        // The core is the fastest part of the leg, and noise helps to make it so; the whole way from level to level, which
        // noise cannot hurry, has to be a fall's too.
        if fall.mean_m_per_s.is_none_or(|mean| mean >= cfg.slowest_fall_m_per_s) {
            busy.push((blocks[from].time_s, blocks[to].time_s));
            out.push(fall);
        }
    }
}

/// Mean speed between two blocks, m/s, positive down.
fn speed_between(blocks: &[Block], from: usize, to: usize) -> f64 {
    (blocks[from].height_m - blocks[to].height_m) / (blocks[to].time_s - blocks[from].time_s).max(1e-3)
}

/// Joins stretches of one leg that noise, a gap or the filling of the canopy cut apart. Two stay two where each lasts
/// for some seconds and their speeds differ by far: a drogue and a main canopy.
fn joined(blocks: &[Block], stretches: &[(usize, usize)]) -> Vec<(usize, usize)> {
    const APART_S: f64 = 2.5;
    const LEAST_S: f64 = 3.0;
    const OTHER_SPEED: f64 = 1.6;
    let mut out: Vec<(usize, usize)> = Vec::new();
    for &(from, to) in stretches {
        if let Some(last) = out.last_mut() {
            let near = blocks[from].time_s - blocks[last.1].time_s < APART_S;
            let long = |a: usize, b: usize| blocks[b].time_s - blocks[a].time_s >= LEAST_S;
            let (before, after) = (speed_between(blocks, last.0, last.1), speed_between(blocks, from, to));
            let two =
                long(last.0, last.1) && long(from, to) && before.max(after) > OTHER_SPEED * before.min(after);
            if near && !two {
                last.1 = last.1.max(to);
                continue;
            }
        }
        out.push((from, to));
    }
    out
}

/// Whether the levels before and after differ by enough, the way between took a fall's speed, and that speed is one of
/// its own: a piece of lowering goes on before and after.
///
/// It goes on if the mean slope of both sides is a good part of the fall's speed. Loud wind on the port (1 m over 1 s)
/// makes slopes of 0.75 m/s over two seconds and of 0.25 m/s over six, so that over six a smaller part tells (both parts
/// are judgements). There a side that rises counts as rest: a hoist before a lowering is no excuse for it.
fn falls_far(
    blocks: &[Block],
    (from, to): (usize, usize),
    (follows, next_follows): (bool, bool),
    (least_m, noise_m): (f64, f64),
    cfg: &FindConfig,
) -> bool {
    const FLANK_S: f64 = 2.0;
    const GOES_ON: f64 = 0.4;
    const LONG_FLANK_S: f64 = 6.0;
    const GOES_ON_LONG: f64 = 0.2;
    let before = level_back(&blocks[..from], blocks[from].time_s).unwrap_or(blocks[from].height_m);
    let after = level(&blocks[to + 1..], blocks[to].time_s, 1.0).unwrap_or(blocks[to].height_m);
    let fall = speed_between(blocks, from, to);
    let (start, end) = (blocks[from].time_s, blocks[to].time_s);
    let slope = |part: &[Block], flank_s: f64| {
        let time: Vec<f64> = part.iter().map(|b| b.time_s).collect();
        let height: Vec<f64> = part.iter().map(|b| b.height_m).collect();
        line(&time, &height).filter(|_| time[time.len() - 1] - time[0] > 0.7 * flank_s).map_or(0.0, |l| -l.2)
    };
    let flanks = |flank_s: f64| {
        let early = blocks[..from].partition_point(|b| b.time_s < start - flank_s - 0.1);
        let ahead = blocks[..from].partition_point(|b| b.time_s < start - 0.1);
        let behind = blocks.partition_point(|b| b.time_s < end + 0.3);
        let late = blocks.partition_point(|b| b.time_s < end + 0.3 + flank_s);
        let before_it = if follows { 0.0 } else { slope(&blocks[early..ahead], flank_s) };
        let after_it = if next_follows { 0.0 } else { slope(&blocks[behind..late], flank_s) };
        (before_it, after_it)
    };
    let (before_it, after_it) = flanks(FLANK_S);
    let around = 0.5 * (before_it + after_it) - 0.4 * noise_m / FLANK_S;
    let (before_it, after_it) = flanks(LONG_FLANK_S);
    let around_long = 0.5 * (before_it.max(0.0) + after_it.max(0.0));
    before - after >= 0.8 * least_m
        && fall >= cfg.slowest_fall_m_per_s
        && around < GOES_ON * fall
        && around_long < GOES_ON_LONG * fall
}

/// Indices of a maximum and the minimum after it, for each leg that goes down by more than `turn_m`.
fn descending_legs(blocks: &[Block], turn_m: f64) -> Vec<(usize, usize)> {
    let mut legs = Vec::new();
    let (mut high, mut low) = (0, 0);
    let mut descending: Option<bool> = None;
    for (i, block) in blocks.iter().enumerate() {
        let height = block.height_m;
        match descending {
            None => {
                high = if height >= blocks[high].height_m { i } else { high };
                low = if height <= blocks[low].height_m { i } else { low };
                if height < blocks[high].height_m - turn_m {
                    (descending, low) = (Some(true), i);
                } else if height > blocks[low].height_m + turn_m {
                    (descending, high) = (Some(false), i);
                }
            }
            Some(false) => {
                if height >= blocks[high].height_m {
                    high = i;
                } else if height < blocks[high].height_m - turn_m {
                    (descending, low) = (Some(true), i);
                }
            }
            Some(true) => {
                if height < blocks[low].height_m {
                    low = i;
                } else if height > blocks[low].height_m + turn_m {
                    legs.push((high, low));
                    (descending, high) = (Some(false), i);
                }
            }
        }
    }
    if descending == Some(true) {
        legs.push((high, low));
    }
    legs
}

/// The fall in blocks `a..=b`, or `None` if nothing there falls fast enough.
fn fall_in(
    blocks: &[Block],
    a: usize,
    b: usize,
    least_m: f64,
    noise_m: f64,
    cfg: &FindConfig,
) -> Option<(usize, usize)> {
    let loss_m =
        (0.4 * (blocks[a].height_m - blocks[b].height_m)).clamp(0.6 * least_m, 60.0_f64.max(least_m));
    let (mut from, mut to) = shortest_loss(&blocks[a..=b], loss_m).map(|(i, j)| (a + i, a + j))?;
    let core_s = blocks[to].time_s - blocks[from].time_s;
    let core = (blocks[from].height_m - blocks[to].height_m) / core_s.max(1e-3);
    if core < cfg.slowest_fall_m_per_s {
        return None;
    }
    // Noise makes a window's slope uncertain by about 2.5 s / window: keep that below a quarter of the speed.
    let window_s = (10.0 * noise_m / core).clamp(0.5, 2.0);
    let mut speed = core;
    while to < b {
        let ahead = (to + 1..=b).find(|&j| blocks[j].time_s - blocks[to].time_s >= window_s).unwrap_or(b);
        let span_s = blocks[ahead].time_s - blocks[to].time_s;
        let next = (blocks[to].height_m - blocks[ahead].height_m) / span_s.max(window_s);
        if next < 0.5 * speed {
            break;
        }
        // The usual speed follows the air's density in a long fall, a second or so behind.
        let step_s = blocks[to + 1].time_s - blocks[to].time_s;
        speed += (next - speed) * (step_s / (4.0 * window_s)).min(1.0);
        to += 1;
    }
    // The break lies inside the last window: the block after which less than half the speed remains.
    let mut last = to;
    while last < b
        && blocks[last].height_m - blocks[last + 1].height_m
            > 0.5 * speed * (blocks[last + 1].time_s - blocks[last].time_s)
    {
        last += 1;
    }
    to = last;
    let mut speed_back = core;
    while from > a {
        let behind =
            (a..from).rev().find(|&j| blocks[from].time_s - blocks[j].time_s >= window_s).unwrap_or(a);
        let span_s = blocks[from].time_s - blocks[behind].time_s;
        let before = (blocks[behind].height_m - blocks[from].height_m) / span_s.max(window_s);
        if before < 0.25 * speed_back || before > 3.0 * speed_back {
            break;
        }
        let step_s = blocks[from].time_s - blocks[from - 1].time_s;
        speed_back += (before - speed_back).max(0.0) * (step_s / (4.0 * window_s)).min(1.0);
        from -= 1;
    }
    if blocks[from].height_m - blocks[to].height_m < least_m {
        return None;
    }
    Some((from, to))
}

/// The shortest stretch in which the height falls by at least `loss_m`: first and last index.
fn shortest_loss(blocks: &[Block], loss_m: f64) -> Option<(usize, usize)> {
    let mut queue: std::collections::VecDeque<usize> = std::collections::VecDeque::new();
    let mut best: Option<(f64, (usize, usize))> = None;
    for (j, block) in blocks.iter().enumerate() {
        while let Some(&i) = queue.front() {
            if blocks[i].height_m - block.height_m < loss_m {
                break;
            }
            let span_s = block.time_s - blocks[i].time_s;
            if best.is_none_or(|(least, _)| span_s < least) {
                best = Some((span_s, (i, j)));
            }
            queue.pop_front();
        }
        while queue.back().is_some_and(|&i| blocks[i].height_m <= block.height_m) {
            queue.pop_back();
        }
        queue.push_back(j);
    }
    best.map(|(_, pair)| pair)
}

/// Release and ground of a fall between two blocks, as samples: where the line of the fall meets the levels before
/// and after. The release lies earlier than that by the time it takes to gain speed, `v ln 2 / g`.
fn bounds(blocks: &[Block], from: usize, to: usize, follows: bool, next_follows: bool) -> Fall {
    let time: Vec<f64> = blocks[from..=to].iter().map(|b| b.time_s).collect();
    let height: Vec<f64> = blocks[from..=to].iter().map(|b| b.height_m).collect();
    let speed = speed_between(blocks, from, to);
    let late = time.len() - (time.len() * 2 / 5).clamp(1, 40).min(time.len());
    let near_end = if time.len() - late >= 3 { late } else { time.len().saturating_sub(3) };
    let end_line = line(&time[near_end..], &height[near_end..]);
    let level_after = level(&blocks[(to + 1).min(blocks.len())..], blocks[to].time_s, 1.0);
    let mut last_block = to;
    let mut ground_time = None;
    if !next_follows && let Some(after) = level_after {
        let meets = end_line
            .filter(|l| l.2 < 0.0)
            .map_or(blocks[to].time_s, |(mean_t, mean_h, slope)| mean_t + (after - mean_h) / slope);
        let bounded = meets.clamp(blocks[to].time_s - 1.0, blocks[to].time_s + 1.0);
        ground_time = Some(bounded);
        last_block = blocks.partition_point(|b| b.time_s < bounded).clamp(from + 1, blocks.len()) - 1;
    }
    let early = time.len().min(from_count(&time, 1.0));
    let start_line = line(&time[..early], &height[..early]);
    let before = &blocks[..from];
    let level_before = if follows { None } else { level_back(before, blocks[from].time_s) };
    let release_time = level_before.map(|top| {
        let meets = start_line
            .filter(|l| l.2 < 0.0)
            .map_or(blocks[from].time_s, |(mean_t, mean_h, slope)| mean_t + (top - mean_h) / slope);
        meets.clamp(blocks[from].time_s - 1.0, blocks[from].time_s + 1.0) - 0.5 * speed * ln(2.0) / 9.8
    });
    let sample_at = |block: usize, time_s: f64| {
        let b = &blocks[block];
        let span_s = blocks.get(block + 1).map_or(0.1, |next| next.time_s - b.time_s).max(1e-6);
        let share = ((time_s - b.time_s) / span_s + 0.5).clamp(0.0, 1.0);
        b.first + ((b.last - b.first + 1) as f64 * share) as usize
    };
    let first_block =
        release_time.map_or(from, |t| blocks.partition_point(|b| b.time_s < t).saturating_sub(1));
    let release = release_time.map_or(blocks[from].first, |t| sample_at(first_block, t));
    let ground = ground_time.map(|t| sample_at(last_block, t).max(release + 2));
    let between = level_before.zip(level_after).zip(release_time.zip(ground_time));
    let mean_m_per_s = between
        .map(|((top, bottom), (start, end))| (top - bottom) / (end - start))
        .filter(|mean| mean.is_finite() && *mean > 0.0);
    Fall {
        release,
        last: ground.map_or(blocks[to].last, |g| g - 1).max(release + 1),
        ground,
        starts_in_air: level_before.is_none(),
        guess_m_per_s: end_line.map_or(speed, |l| -l.2).max(0.3 * speed),
        mean_m_per_s,
        masked: Vec::new(),
    }
}

fn from_count(time: &[f64], span_s: f64) -> usize {
    time.iter().take_while(|&&t| t - time[0] <= span_s).count().max(3)
}

/// Level after a fall: the median of about `span_s` from a third of a second after; `None` if the record ends there.
fn level(after: &[Block], end_s: f64, span_s: f64) -> Option<f64> {
    let mut heights: Vec<f64> = after
        .iter()
        .skip_while(|b| b.time_s < end_s + 0.2)
        .take_while(|b| b.time_s < end_s + 0.3 + span_s)
        .map(|b| b.height_m)
        .collect();
    if heights.len() < 3 { None } else { median(&mut heights) }
}

fn level_back(before: &[Block], start_s: f64) -> Option<f64> {
    let mut heights: Vec<f64> = before
        .iter()
        .rev()
        .take_while(|b| b.time_s > start_s - 1.3)
        .filter(|b| b.time_s < start_s - 0.1)
        .map(|b| b.height_m)
        .collect();
    if heights.len() < 3 { None } else { median(&mut heights) }
}

/// Rests between the falls as sample ranges `first..last`: pieces of some seconds that go nowhere fast.
pub(crate) fn rests(
    blocks: &[Block],
    spans: &[(usize, usize)],
    busy: &[(f64, f64)],
    noise_m: f64,
    cfg: &FindConfig,
) -> Vec<(usize, usize)> {
    const PIECE_S: f64 = 8.0;
    const SLOWEST_S: f64 = 3.0;
    let mut rests = Vec::new();
    for &(from, to) in spans {
        let mut a = from;
        while a < to {
            let mut b = a;
            while b < to && blocks[b].time_s - blocks[a].time_s < PIECE_S {
                b += 1;
            }
            let (start, end) = (blocks[a].time_s, blocks[b - 1].time_s);
            let next = busy.iter().find(|f| f.1 + 0.8 > start && f.0 - 0.8 < end);
            // A piece that runs into a fall ends before it, or begins after it.
            let (piece, go_on) = match next {
                Some(&(release, ground)) => {
                    let cut = a + blocks[a..b].partition_point(|x| x.time_s < release - 0.8);
                    let after = a + blocks[a..to].partition_point(|x| x.time_s < ground + 0.8);
                    ((a, cut), after.max(b.min(after)).max(a + 1))
                }
                None => ((a, b), b),
            };
            let (p, q) = piece;
            if q > p
                && blocks[q - 1].time_s - blocks[p].time_s >= SLOWEST_S
                && still(&blocks[p..q], noise_m, cfg)
            {
                rests.push((blocks[p].first, blocks[q - 1].last + 1));
            }
            a = go_on;
        }
    }
    rests
}

/// Whether blocks neither move along nor make a step within their time.
fn still(blocks: &[Block], noise_m: f64, cfg: &FindConfig) -> bool {
    let time: Vec<f64> = blocks.iter().map(|b| b.time_s).collect();
    let height: Vec<f64> = blocks.iter().map(|b| b.height_m).collect();
    let Some((mean_t, mean_h, slope)) = line(&time, &height) else { return false };
    let span_s = time[time.len() - 1] - time[0];
    let scatter = sqrt(
        time.iter().zip(&height).map(|(t, h)| (h - mean_h - slope * (t - mean_t)).powi(2)).sum::<f64>()
            / time.len() as f64,
    );
    // A drift of wind noise over the piece may look like a slope of some times its scatter over its length.
    slope.abs() < (0.05 * cfg.slowest_fall_m_per_s).max(4.0 * noise_m / span_s)
        && scatter < 0.05 + 2.5 * noise_m
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ramp(pieces: &[(f64, f64)]) -> Vec<Block> {
        let (mut t, mut h, mut blocks) = (0.0, 0.0, Vec::new());
        for &(seconds, speed) in pieces {
            for _ in 0..(seconds * 10.0) as usize {
                let i = blocks.len();
                blocks.push(Block { time_s: t, height_m: h, first: i, last: i });
                t += 0.1;
                h += speed * 0.1;
            }
        }
        blocks
    }

    #[test]
    fn hoisting_and_lowering_are_no_falls_and_a_fall_is_one() {
        // Up 12 m, down by hand 12 m, up again, hang, fall at 4 m/s, ground.
        let blocks =
            ramp(&[(12.0, 1.0), (5.0, 0.0), (15.0, -0.8), (12.0, 1.0), (5.0, 0.0), (3.0, -4.0), (5.0, 0.0)]);
        let (mut found, mut busy) = (Vec::new(), Vec::new());
        falls(&blocks, 0.05, 0.0, &FindConfig::default(), &mut found, &mut busy);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!((found[0].ground.unwrap() as f64 - 520.0).abs() <= 2.0, "{found:?}");
        assert!((found[0].release as f64 - 488.0).abs() <= 4.0, "{found:?}");
        assert!(!found[0].starts_in_air);
    }

    fn found_in(pieces: &[(f64, f64)]) -> usize {
        let (mut found, mut busy) = (Vec::new(), Vec::new());
        falls(&ramp(pieces), 0.05, 0.0, &FindConfig::default(), &mut found, &mut busy);
        found.len()
    }

    #[test]
    fn a_hurried_piece_of_a_lowering_is_no_fall() {
        // Wind on the port hurries 2 s of a lowering at 0.6 m/s to 2.6 m/s.
        assert_eq!(
            found_in(&[(12.0, 1.0), (5.0, 0.0), (6.0, -0.6), (2.0, -2.6), (6.0, -0.6), (8.0, 0.0)]),
            0
        );
        // The same piece between rests is a fall, and so is one right after a hoist.
        assert_eq!(found_in(&[(12.0, 1.0), (5.0, 0.0), (2.0, -2.6), (8.0, 0.0)]), 1);
        assert_eq!(found_in(&[(12.0, 1.0), (2.0, -2.6), (8.0, 0.0)]), 1);
    }

    #[test]
    fn a_swing_of_the_noise_between_two_levels_is_no_fall() {
        // Up 3 m, down 7 m at 1.7 m/s, up 0.7 m: the levels are only 3.3 m apart, 1.2 m/s over the time between.
        assert_eq!(found_in(&[(8.0, 0.0), (0.5, 6.0), (4.1, -1.7), (0.3, 2.3), (8.0, 0.0)]), 0);
        assert_eq!(found_in(&[(8.0, 0.0), (4.1, -1.7), (8.0, 0.0)]), 1);
    }

    #[test]
    fn a_drogue_and_a_main_are_two_falls() {
        let blocks = ramp(&[(8.0, 25.0), (12.0, -15.0), (4.0, -5.0), (10.0, 0.0)]);
        let (mut found, mut busy) = (Vec::new(), Vec::new());
        falls(&blocks, 0.05, 0.0, &FindConfig::default(), &mut found, &mut busy);
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(found[1].starts_in_air && found[0].ground.is_none() && found[1].ground.is_some());
        assert!((found[0].guess_m_per_s - 15.0).abs() < 0.5 && (found[1].guess_m_per_s - 5.0).abs() < 0.3);
    }

    #[test]
    fn the_shortest_loss_is_found_whatever_comes_before() {
        let blocks = ramp(&[(10.0, -0.5), (1.0, -4.0), (10.0, -0.5)]);
        let (from, to) = shortest_loss(&blocks, 3.9).unwrap();
        assert!((98..=101).contains(&from) && (108..=112).contains(&to), "{from} {to}");
    }
}
