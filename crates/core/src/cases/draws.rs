//! Draws of the ledger's entries: one stream an entry, trial i its i-th draw.
//!
//! An entry's stream is keyed by its id, so another entry moves no draw of it, fewer trials are the first of more, and
//! the number of threads cannot change a digit. A draw is standard: what an estimate's signed part is multiplied by
//! (JCGM 101:2008, 6.4): z for normal and lognormal, t for few drops, √3(2u − 1) for a rectangle, ln(1 − |z| s)/s for a
//! maker's figure. A part whose id is not in the ledger is a t of its degrees of freedom, fixed but not known.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use rayon::prelude::*;

use super::Trials;
use crate::ledger::{Distribution, Estimate, Ledger, LedgerId, Sharing};
use crate::maths;
use crate::stats::distribution::{normal_quantiles, student_t_quantile};
use crate::stats::stream::{Stream, fnv_1a};

/// √3: half-width of a rectangle over its standard deviation.
const HALF_WIDTH: f64 = 1.732_050_807_568_877_2;

/// Which kinds of doubt a column of draws holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Doubt {
    /// Fixed but not known.
    Knowledge,
    /// Differs between flights.
    Flight,
}

/// Where values from memory stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Memory {
    /// Drawn as all others.
    Drawn,
    /// All at the lower end of what is remembered.
    Low,
    /// All at the upper end.
    High,
}

/// The draws of all entries that some estimates rest on.
pub struct Draws {
    pub(crate) count: usize,
    seed: u64,
    entries: BTreeMap<LedgerId, Entry>,
}

struct Entry {
    sharing: Sharing,
    dof: f64,
    from_memory: bool,
    standard: Arc<Vec<f64>>,
}

/// Standard draws kept from one job to the next, the last of each entry for each count of trials: they follow from its id, its
/// distribution and the trials alone.
#[derive(Clone, Debug, Default)]
pub struct Standards(Arc<Mutex<BTreeMap<usize, BTreeMap<LedgerId, Kept>>>>);

#[derive(Debug)]
struct Kept {
    seed: u64,
    distribution: Distribution,
    standard: Arc<Vec<f64>>,
}

impl Standards {
    fn of(
        &self,
        id: &LedgerId,
        (trials, distribution): (Trials, Distribution),
        draw: impl FnOnce() -> Vec<f64>,
    ) -> Arc<Vec<f64>> {
        let held = || self.0.lock().expect("nobody panics while holding it");
        let is_it = |kept: &&Kept| (kept.seed, kept.distribution) == (trials.seed, distribution);
        if let Some(kept) = held().get(&trials.count).and_then(|kept| kept.get(id)).filter(is_it) {
            return Arc::clone(&kept.standard);
        }
        let standard = Arc::new(draw());
        let kept = Kept { seed: trials.seed, distribution, standard: Arc::clone(&standard) };
        held().entry(trials.count).or_default().insert(id.clone(), kept);
        standard
    }
}

impl Draws {
    /// Draws for every id of `estimates`; those that are kept are not drawn again.
    pub(crate) fn new<'a>(
        estimates: impl IntoIterator<Item = &'a Estimate>,
        ledger: &Ledger,
        trials: Trials,
        kept: Option<&Standards>,
    ) -> Self {
        let mut dofs: BTreeMap<&LedgerId, f64> = BTreeMap::new();
        for (id, part) in estimates.into_iter().flat_map(|estimate| &estimate.parts) {
            let dof = dofs.entry(id).or_insert(part.dof);
            *dof = dof.min(part.dof);
        }
        let wanted: Vec<(&LedgerId, f64)> = dofs.into_iter().collect();
        let entries = wanted
            .into_par_iter()
            .map(|(id, dof)| {
                let entry = ledger.get(id);
                let distribution =
                    entry.map_or(Distribution::LogT { scale_log: 1.0, dof }, |e| e.distribution);
                let draw = || {
                    let mut stream = Stream::new(trials.seed, fnv_1a(id.0.as_bytes()));
                    Standard::of(distribution).drawn((0..trials.count).map(|_| stream.uniform()).collect())
                };
                let standard = match kept {
                    Some(kept) => kept.of(id, (trials, distribution), draw),
                    None => Arc::new(draw()),
                };
                let drawn = Entry {
                    sharing: entry.map_or(Sharing::Knowledge, |entry| entry.sharing),
                    dof,
                    from_memory: entry.is_some_and(|entry| entry.trust.is_from_memory()),
                    standard,
                };
                (id.clone(), drawn)
            })
            .collect::<Vec<_>>()
            .into_iter()
            .collect();
        Draws { count: trials.count, seed: trials.seed, entries }
    }

    /// Few draws that stand for many: a Latin hypercube in slices of [`SLICE`]. Each slice has one draw in each of as many
    /// equally likely strata of every entry, and all together have one in each of `count` of them; which goes with which is shuffled
    /// by the entry's id alone.
    pub(crate) fn sliced<'a>(
        estimates: impl IntoIterator<Item = &'a Estimate>,
        ledger: &Ledger,
        trials: Trials,
    ) -> Self {
        let mut draws = Draws::new(estimates, ledger, Trials { count: 0, ..trials }, None);
        draws.count = trials.count;
        for (id, entry) in &mut draws.entries {
            let of_ledger = ledger.get(id);
            let distribution =
                of_ledger.map_or(Distribution::LogT { scale_log: 1.0, dof: entry.dof }, |e| e.distribution);
            entry.standard = Arc::new(Standard::of(distribution).drawn(strata(trials, id)));
        }
        draws
    }

    /// value + Σ signed · draw over all parts, one a trial.
    pub(crate) fn values(&self, estimate: &Estimate) -> Vec<f64> {
        let mut values = vec![estimate.value; self.count];
        for (id, part) in &estimate.parts {
            let standard = &self.entries[id].standard;
            values.iter_mut().zip(standard.iter()).for_each(|(value, draw)| *value += part.signed * draw);
        }
        values
    }

    /// How many were drawn of each, and from which seed.
    pub(crate) fn trials(&self) -> Trials {
        Trials { count: self.count, seed: self.seed }
    }

    /// Whether an estimate rests on memory.
    pub(crate) fn rests_on_memory(&self, estimate: &Estimate) -> bool {
        estimate.parts.keys().any(|id| self.entries[id].from_memory)
    }

    /// Every entry with its draws by trial, and how many of them are independent: `flights` trials in a row share one
    /// draw of what is fixed but not known.
    pub(crate) fn standard(&self, flights: usize) -> impl Iterator<Item = (&LedgerId, Vec<f64>, usize)> {
        self.entries.iter().map(move |(id, entry)| match entry.sharing {
            Sharing::Flight => (id, entry.standard.to_vec(), self.count),
            Sharing::Knowledge => {
                let by_trial = (0..self.count).map(|i| entry.standard[i / flights]).collect();
                (id, by_trial, self.count.div_ceil(flights))
            }
        })
    }

    /// Σ signed · draw over the parts of one kind of doubt, one value a trial.
    pub(crate) fn column(&self, estimate: &Estimate, doubt: Doubt, memory: Memory) -> Vec<f64> {
        let mut column = vec![0.0; self.count];
        for (id, part) in &estimate.parts {
            let entry = &self.entries[id];
            let of_this = match entry.sharing {
                Sharing::Knowledge => doubt == Doubt::Knowledge,
                Sharing::Flight => doubt == Doubt::Flight,
            };
            if !of_this {
                continue;
            }
            let end = match memory {
                Memory::Low if entry.from_memory => Some(-HALF_WIDTH),
                Memory::High if entry.from_memory => Some(HALF_WIDTH),
                _ => None,
            };
            match end {
                Some(end) => column.iter_mut().for_each(|sum| *sum += part.signed * end),
                None => {
                    column
                        .iter_mut()
                        .zip(entry.standard.iter())
                        .for_each(|(sum, draw)| *sum += part.signed * draw);
                }
            }
        }
        column
    }
}

/// Draws of a slice.
pub(crate) const SLICE: usize = 64;

/// One u in each stratum, slice by slice.
fn strata(trials: Trials, id: &LedgerId) -> Vec<f64> {
    let slices = trials.count / SLICE;
    let mut stream = Stream::new(trials.seed, fnv_1a(id.0.as_bytes()));
    // Which slice has which part of a stratum.
    let parts: Vec<Vec<usize>> = (0..SLICE).map(|_| shuffled(slices, &mut stream)).collect();
    let mut strata = Vec::with_capacity(trials.count);
    for slice in 0..slices {
        for stratum in shuffled(SLICE, &mut stream) {
            let part = parts[stratum].iter().copied().nth(slice).unwrap_or(0);
            let within = (part as f64 + 0.5) / slices as f64;
            strata.push((stratum as f64 + within) / SLICE as f64);
        }
    }
    strata
}

fn shuffled(count: usize, stream: &mut Stream) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    for last in (1..count).rev() {
        order.swap(last, ((last + 1) as f64 * stream.uniform()) as usize);
    }
    order
}

/// A distribution ready to be drawn from.
enum Standard {
    Nothing,
    Normal,
    Student(TOverZ),
    Rectangular,
    OneSidedBelow(f64),
}

impl Standard {
    fn of(distribution: Distribution) -> Self {
        match distribution {
            Distribution::Exact => Standard::Nothing,
            Distribution::Normal { .. } | Distribution::LogNormal { .. } => Standard::Normal,
            Distribution::LogT { dof, .. } if dof > 1e6 => Standard::Normal,
            Distribution::LogT { dof, .. } => Standard::Student(TOverZ::new(dof)),
            Distribution::Rectangular { .. } => Standard::Rectangular,
            Distribution::OneSidedBelow { sd_relative } => Standard::OneSidedBelow(sd_relative),
        }
    }

    /// Uniform draws turned into draws of this.
    fn drawn(&self, mut draws: Vec<f64>) -> Vec<f64> {
        match self {
            Standard::Nothing => draws.fill(0.0),
            Standard::Normal => normal_quantiles(&mut draws),
            Standard::Student(t_over_z) => {
                normal_quantiles(&mut draws);
                draws.iter_mut().for_each(|z| *z *= t_over_z.at(*z));
            }
            Standard::Rectangular => draws.iter_mut().for_each(|u| *u = HALF_WIDTH * (2.0 * *u - 1.0)),
            Standard::OneSidedBelow(sd) if *sd > 0.0 => {
                draws.iter_mut().for_each(|u| *u *= 0.5);
                normal_quantiles(&mut draws);
                // 1 − |z| s stays above 0 whatever s is stated.
                draws.iter_mut().for_each(|z| *z = maths::ln((1.0 + sd * *z).max(1e-3)) / sd);
            }
            Standard::OneSidedBelow(_) => draws.fill(0.0),
        }
        draws
    }
}

/// Step of z in the table of t.
const STEP: f64 = 0.05;
/// Last z of the table: one draw in 10⁹ lies beyond, and keeps the last t over z.
const LAST: usize = 120;

/// t over z by z, tabulated since Student's quantile is slow; a place of the table is worked when it is first asked for.
struct TOverZ {
    dof: f64,
    table: Vec<OnceCell<f64>>,
}

impl TOverZ {
    fn new(dof: f64) -> Self {
        TOverZ { dof, table: vec![OnceCell::new(); LAST + 1] }
    }

    fn at(&self, z: f64) -> f64 {
        let place = (z.abs() / STEP).min(LAST as f64 - 1e-9);
        let below = place as usize;
        let share = place - below as f64;
        self.worked(below) * (1.0 - share) + self.worked(below + 1) * share
    }

    fn worked(&self, at: usize) -> f64 {
        *self.table[at].get_or_init(|| {
            let z = STEP * (at.max(1)) as f64;
            let above = 0.5 * statrs::function::erf::erfc(z * std::f64::consts::FRAC_1_SQRT_2);
            -student_t_quantile(above, self.dof) / z
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ledger::{Entry as LedgerEntry, Trust};
    use crate::stats::sample::Sample;

    fn entry(distribution: Distribution, sharing: Sharing, trust: Trust) -> LedgerEntry {
        LedgerEntry { meaning: "x".to_owned(), value: 1.0, distribution, sharing, trust }
    }

    fn ledger() -> Ledger {
        let mut ledger = Ledger::default();
        for (id, distribution, sharing) in [
            ("normal", Distribution::LogNormal { sd_log: 0.1 }, Sharing::Knowledge),
            ("t", Distribution::LogT { scale_log: 0.1, dof: 3.0 }, Sharing::Knowledge),
            ("box", Distribution::Rectangular { low: 0.9, high: 1.1 }, Sharing::Flight),
            ("maker", Distribution::OneSidedBelow { sd_relative: 0.1 }, Sharing::Knowledge),
        ] {
            assert!(ledger.enter(id.into(), entry(distribution, sharing, Trust::Given)));
        }
        ledger
    }

    fn one(id: &str) -> Estimate {
        Estimate::exact(0.0).with(id, 1.0, f64::INFINITY)
    }

    #[test]
    fn quantiles_are_those_of_the_distributions() {
        let trials = Trials { count: 20_000, seed: 5 };
        let all: Vec<Estimate> = ["normal", "t", "box", "maker"].map(one).into();
        let draws = Draws::new(&all, &ledger(), trials, None);
        // t of 3 degrees: 3.182 (from memory of JCGM 100:2008, table G.2); half-normal 2.2414.
        for (estimate, doubt, at, want) in [
            (&all[0], Doubt::Knowledge, 0.975, 1.960),
            (&all[1], Doubt::Knowledge, 0.975, 3.182),
            (&all[1], Doubt::Knowledge, 0.75, 0.765),
            (&all[2], Doubt::Flight, 0.975, 0.95 * 3f64.sqrt()),
            (&all[3], Doubt::Knowledge, 0.025, maths::ln(1.0 - 0.224_14) / 0.1),
        ] {
            let sample = Sample::new(draws.column(estimate, doubt, Memory::Drawn)).unwrap();
            let reach = 4.0 * sample.quantile_standard_error(at);
            assert!((sample.quantile(at) - want).abs() < reach, "{} against {want}", sample.quantile(at));
        }
        assert!(draws.column(&all[0], Doubt::Flight, Memory::Drawn).iter().all(|x| *x == 0.0));
    }

    #[test]
    fn fewer_trials_and_other_entries_change_no_draw() {
        let few = Draws::new(&[one("t")], &ledger(), Trials { count: 50, seed: 5 }, None);
        let both = [one("t"), one("normal")];
        let many = Draws::new(&both, &ledger(), Trials { count: 500, seed: 5 }, None);
        let column = |draws: &Draws| draws.column(&one("t"), Doubt::Knowledge, Memory::Drawn);
        assert_eq!(column(&few)[..], column(&many)[..50]);
        let other = Draws::new(&[one("t")], &ledger(), Trials { count: 50, seed: 6 }, None);
        assert_ne!(column(&few), column(&other));
    }

    #[test]
    fn memory_can_be_put_to_its_ends() {
        let mut ledger = ledger();
        let range = Distribution::Rectangular { low: 0.8, high: 1.2 };
        ledger.enter("old".into(), entry(range, Sharing::Knowledge, Trust::Memory("a table".to_owned())));
        let estimate = one("old").with("normal", 0.0, f64::INFINITY);
        let draws = Draws::new([&estimate], &ledger, Trials { count: 10, seed: 1 }, None);
        assert!(draws.rests_on_memory(&estimate) && !draws.rests_on_memory(&one("normal")));
        let low = draws.column(&estimate, Doubt::Knowledge, Memory::Low);
        assert!(low.iter().all(|x| (x + 3f64.sqrt()).abs() < 1e-12));
        let high = draws.column(&estimate, Doubt::Knowledge, Memory::High);
        assert!((high[0] + low[0]).abs() < 1e-12);
        let of_tests = |memory| draws.column(&one("normal"), Doubt::Knowledge, memory);
        assert_eq!(of_tests(Memory::Low), of_tests(Memory::Drawn), "what is not remembered is drawn");
        assert_eq!(of_tests(Memory::High), of_tests(Memory::Drawn));
    }

    #[test]
    fn a_slice_has_a_draw_in_each_stratum_and_all_slices_in_each_finer_one() {
        let trials = Trials { count: 4 * SLICE, seed: 7 };
        let drawn = strata(trials, &"normal".into());
        let strata_of = |draws: &[f64], count: usize| {
            let mut hit: Vec<usize> = draws.iter().map(|u| (u * count as f64) as usize).collect();
            hit.sort_unstable();
            hit
        };
        assert!(drawn.chunks(SLICE).all(|slice| strata_of(slice, SLICE) == (0..SLICE).collect::<Vec<_>>()));
        assert_eq!(strata_of(&drawn, 4 * SLICE), (0..4 * SLICE).collect::<Vec<_>>());
        assert_ne!(drawn, strata(trials, &"t".into()));
        // A mean is as good as the strata are many: of 256 normal draws within 0.001 of nothing, not 0.06.
        let draws = Draws::sliced(&[one("normal")], &ledger(), trials);
        let values = draws.values(&Estimate::exact(5.0).with("normal", 2.0, f64::INFINITY));
        assert!((values.iter().sum::<f64>() / 256.0 - 5.0).abs() < 1e-3);
        // The middles of 256 strata lack a little of the tails: their variance is within 2 % of 2².
        let squares = values.iter().map(|value| (value - 5.0) * (value - 5.0)).sum::<f64>() / 256.0;
        assert!((squares / 4.0 - 1.0).abs() < 0.02, "{squares}");
    }

    #[test]
    fn a_value_moves_to_the_side_that_the_sign_of_its_part_says() {
        let draws = Draws::sliced(&[one("maker")], &ledger(), Trials { count: SLICE, seed: 7 });
        let values = |signed| draws.values(&Estimate::exact(5.0).with("maker", signed, f64::INFINITY));
        // What is true is never above a maker's figure.
        assert!(values(2.0).iter().all(|value| *value < 5.0));
        assert!(values(-2.0).iter().all(|value| *value > 5.0));
    }

    #[test]
    fn an_entry_nobody_entered_is_a_t_of_its_degrees() {
        let estimate = Estimate::exact(0.0).with("unknown", 1.0, 3.0);
        let draws = Draws::new([&estimate], &Ledger::default(), Trials { count: 20_000, seed: 5 }, None);
        let sample = Sample::new(draws.column(&estimate, Doubt::Knowledge, Memory::Drawn)).unwrap();
        assert!((sample.quantile(0.975) - 3.182).abs() < 4.0 * sample.quantile_standard_error(0.975));
    }

    #[test]
    fn the_table_of_t_follows_its_closed_form_and_keeps_its_last_place() {
        // Student's t of 2 degrees of freedom: t = (1 − 2a)/√(2a(1 − a)) with a of it above.
        let table = TOverZ::new(2.0);
        let closed = |z: f64| {
            let above = 0.5 * statrs::function::erf::erfc(z * std::f64::consts::FRAC_1_SQRT_2);
            (1.0 - 2.0 * above) / maths::sqrt(2.0 * above * (1.0 - above)) / z
        };
        for z in [0.05, 0.5, 1.96, 2.51, 3.333, 4.0] {
            let got = table.at(z);
            assert!((got / closed(z) - 1.0).abs() < 1e-3, "{z}: {got} against {}", closed(z));
            assert!((table.at(-z) - got).abs() < 1e-15, "both sides alike");
        }
        // Halfway between two places lies half their sum, near 0 too, where t over z has no place of its own.
        let half = 0.5 * (table.at(2.0) + table.at(2.05));
        assert!((table.at(2.025) - half).abs() < 1e-9);
        assert!((table.at(0.0) - table.at(STEP)).abs() < 1e-9);
        assert!((table.at(7.0) / closed(6.0) - 1.0).abs() < 1e-6, "beyond the table its last place holds");
    }

    #[test]
    fn shuffling_favours_no_order() {
        let mut stream = Stream::new(9, 0);
        let mut counts = BTreeMap::new();
        let times = 6_000;
        for _ in 0..times {
            *counts.entry(shuffled(3, &mut stream)).or_insert(0) += 1;
        }
        assert_eq!(counts.len(), 6);
        // A thousand of each, give or take four times √(6000 · 1/6 · 5/6).
        assert!(counts.values().all(|&count: &i32| (count - times / 6).abs() < 116), "{counts:?}");
    }

    #[test]
    fn flights_in_a_row_share_what_is_fixed_and_nothing_else() {
        let all: Vec<Estimate> = ["normal", "box"].map(one).into();
        let draws = Draws::new(&all, &ledger(), Trials { count: 10, seed: 5 }, None);
        let got: Vec<_> = draws.standard(4).collect();
        let (flight, knowledge) = (&got[0], &got[1]);
        assert_eq!((flight.0, flight.2), (&"box".into(), 10), "each flight has its own");
        assert_eq!(flight.1, draws.column(&all[1], Doubt::Flight, Memory::Drawn));
        assert_eq!((knowledge.0, knowledge.2), (&"normal".into(), 3), "two worlds of four and one of two");
        let worlds = draws.column(&all[0], Doubt::Knowledge, Memory::Drawn);
        let expected: Vec<f64> = [0, 0, 0, 0, 1, 1, 1, 1, 2, 2].map(|world: usize| worlds[world]).into();
        assert_eq!(knowledge.1, expected);
    }

    #[test]
    fn an_exact_entry_and_a_makers_figure_without_doubt_draw_nothing() {
        for distribution in [Distribution::Exact, Distribution::OneSidedBelow { sd_relative: 0.0 }] {
            assert_eq!(Standard::of(distribution).drawn(vec![0.1, 0.9]), [0.0, 0.0]);
        }
        // However doubtful the figure, something of it is left: a thousandth.
        let doubtful = Distribution::OneSidedBelow { sd_relative: 0.8 };
        let drawn = Standard::of(doubtful).drawn(vec![0.01]);
        assert!((0.8 * drawn[0] - maths::ln(1e-3)).abs() < 1e-12, "{drawn:?}");
    }
}
