//! What all cases and candidates of a part share, drawn once: mass, air, flight scatter, clusters, the body.
//!
//! With D the drag area of a world, q what its mass and density do to v², f what a flight does to ln v²:
//! v² = (2 m g/ρ) q e^f/D. y = D/q is the world's effective area; a flight keeps a limit L on the rate when
//! y ≥ (2 m g/(ρ L²)) e^f, and one on the energy when y_E ≥ (m² g/(ρ L)) e^(f + δm), y_E = y/(mass of the world over m).

use super::draws::{Doubt, Draws, Memory, Standards};
use super::{CaseKind, Limit, LimitOn, Load, Quantiles, Share, Trials};
use crate::drag::Interval;
use crate::full_size::{FullNet, NetArea, alike_canopies};
use crate::ledger::{Estimate, Ledger};
use crate::maths;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::energy::joule;
use uom::si::velocity::meter_per_second;

/// A load and its draws, ready for any canopies that were drawn with it.
pub struct Engine<'a> {
    load: &'a Load,
    draws: &'a Draws,
    /// Mass over its mean, of each world.
    mass: Vec<f64>,
    /// Density over mass, each over its mean, of each world.
    over_effective: Vec<f64>,
    /// e^f by trial, and sorted.
    flight: Sorted,
    /// e^(f + δm) by trial, and sorted.
    flight_energy: Sorted,
    views: Vec<View>,
}

/// Everything that depends on where memory stands; all areas over q, what mass and density do to v² in each world.
struct View {
    memory: Memory,
    /// η_k times the mean of k canopies over their kind's, times k; index k − 1.
    clusters: Vec<Vec<f64>>,
    /// Net area of the body, m²; index k − 1.
    nets: Vec<Vec<f64>>,
    /// The bare body, m².
    bare: Option<Vec<f64>>,
    /// Share of a filled canopy's drag that one not filled has.
    unfilled: Vec<f64>,
}

struct Sorted {
    by_trial: Vec<f64>,
    sorted: Vec<f64>,
}

impl Sorted {
    fn new(by_trial: Vec<f64>) -> Self {
        let mut sorted = by_trial.clone();
        sorted.sort_unstable_by(f64::total_cmp);
        Sorted { by_trial, sorted }
    }

    /// Share of flights whose factor is at most `bound`.
    fn share(&self, bound: f64) -> f64 {
        self.sorted.partition_point(|factor| *factor <= bound) as f64 / self.sorted.len() as f64
    }

    /// The factor that the wanted share of flights does not exceed.
    fn reaching(&self, wanted: f64) -> f64 {
        let count = (wanted * self.sorted.len() as f64).ceil() as usize;
        self.sorted[count.clamp(1, self.sorted.len()) - 1]
    }
}

/// The estimates of a load that are drawn.
fn estimates(load: &Load) -> Vec<Estimate> {
    let mut all = vec![load.mass_kg.clone(), load.density_kg_per_m3.clone()];
    all.extend([load.ln_flight_scatter.clone(), load.ln_unfilled_share.clone()]);
    all.extend(load.ln_bare.clone());
    for cluster in &load.clusters {
        all.push(cluster.factor.estimate.clone());
        all.push(alike_canopies(cluster.count));
    }
    for under in &load.under {
        match &under.form {
            NetArea::Difference { ln_total, ln_canopies, change } => {
                all.extend([ln_total.clone(), ln_canopies.clone(), change.clone()]);
            }
            NetArea::Shielded { ln_body, share } => all.extend([ln_body.clone(), share.clone()]),
            NetArea::Nothing => {}
        }
    }
    all
}

/// Draws for a load and the ln areas of all canopies that it may have; what is kept of an earlier job is not drawn again.
pub fn draw(
    load: &Load,
    canopies: &[&Estimate],
    ledger: &Ledger,
    trials: Trials,
    kept: Option<&Standards>,
) -> Draws {
    let own = estimates(load);
    Draws::new(own.iter().chain(canopies.iter().copied()), ledger, trials, kept)
}

fn exponentials(mut column: Vec<f64>) -> Vec<f64> {
    column.iter_mut().for_each(|x| *x = maths::exp(*x));
    column
}

fn relative(estimate: &Estimate) -> Estimate {
    estimate.mapped(0.0, 1.0 / estimate.value)
}

impl<'a> Engine<'a> {
    /// The engine of a load on the draws that [`draw`] made for it.
    ///
    /// # Panics
    /// If the load rests on entries that were not drawn.
    pub fn new(load: &'a Load, draws: &'a Draws) -> Self {
        let mass = relative(&load.mass_kg);
        let density = relative(&load.density_kg_per_m3);
        let known = |estimate: &Estimate| draws.column(estimate, Doubt::Knowledge, Memory::Drawn);
        let flown = |estimate: &Estimate| draws.column(estimate, Doubt::Flight, Memory::Drawn);
        let ln_mass = known(&mass);
        let over_effective: Vec<f64> =
            ln_mass.iter().zip(known(&density)).map(|(mass, density)| maths::exp(density - mass)).collect();
        let flight_mass = flown(&mass);
        let scatter = flown(&load.ln_flight_scatter);
        let ln_flight: Vec<f64> = flight_mass
            .iter()
            .zip(flown(&density))
            .zip(&scatter)
            .map(|((mass, density), scatter)| mass - density + 2.0 * scatter)
            .collect();
        let with_mass: Vec<f64> =
            ln_flight.iter().zip(&flight_mass).map(|(flight, mass)| flight + mass).collect();
        let on_memory = estimates(load).iter().any(|estimate| draws.rests_on_memory(estimate));
        let views =
            if on_memory { &[Memory::Drawn, Memory::Low, Memory::High][..] } else { &[Memory::Drawn] };
        Engine {
            mass: exponentials(ln_mass),
            flight: Sorted::new(exponentials(ln_flight)),
            flight_energy: Sorted::new(exponentials(with_mass)),
            views: views.iter().map(|memory| View::new(load, draws, &over_effective, *memory)).collect(),
            over_effective,
            load,
            draws,
        }
    }

    pub(crate) fn load(&self) -> &'a Load {
        self.load
    }

    pub(crate) fn trials(&self) -> Trials {
        self.draws.trials()
    }

    fn view(&self, memory: Memory) -> &View {
        self.views.iter().find(|view| view.memory == memory).unwrap_or(&self.views[0])
    }

    /// The areas of one canopy, by trial, wherever memory stands.
    pub(crate) fn canopy(&self, ln_area: &Estimate) -> Canopy {
        let at = |memory| {
            let mut column = self.draws.column(ln_area, Doubt::Knowledge, memory);
            column.iter_mut().for_each(|x| *x = maths::exp(ln_area.value + *x));
            column
        };
        let remembered = self.draws.rests_on_memory(ln_area);
        Canopy {
            drawn: at(Memory::Drawn),
            ends: remembered.then(|| [at(Memory::Low), at(Memory::High)]),
            rests_on_memory: remembered || self.views.len() > 1,
        }
    }

    /// y of every world under `state`, one canopy having the areas `canopy`; `None` where no area is known.
    fn effective_areas(&self, state: State, canopy: &[f64], memory: Memory) -> Option<Vec<f64>> {
        let view = self.view(memory);
        let of = |count: usize| -> Option<(&[f64], &[f64])> {
            let at = count.checked_sub(1)?;
            Some((view.clusters.get(at)?, view.nets.get(at)?))
        };
        match state {
            State::Nothing => view.bare.clone(),
            State::Open(count) => {
                let (cluster, net) = of(count)?;
                let parts = canopy.iter().zip(cluster).zip(net);
                Some(parts.map(|((area, cluster), net)| area * cluster + net).collect())
            }
            State::Unfilled(count) => {
                let (cluster, net) = of(count)?;
                let parts = canopy.iter().zip(cluster).zip(net).zip(&view.unfilled);
                Some(parts.map(|(((area, cluster), net), share)| area * cluster * share + net).collect())
            }
        }
    }

    /// y e^(−f) by trial, m²: the area that, at the mean mass and density, falls as this flight in this world does;
    /// `flights` trials in a row are of one world. `None` where no area is known.
    pub(crate) fn ballistic(
        &self,
        state: State,
        canopy: &Canopy,
        memory: Memory,
        flights: usize,
    ) -> Option<Vec<f64>> {
        let worlds = self.effective_areas(state, canopy.at(memory), memory)?;
        Some(self.flown(&worlds, flights))
    }

    /// The same of a canopy beside the choice's.
    pub(crate) fn ballistic_of(&self, ln_area: &Estimate, memory: Memory, flights: usize) -> Vec<f64> {
        let known = self.draws.column(ln_area, Doubt::Knowledge, memory);
        let worlds: Vec<f64> = known
            .iter()
            .zip(&self.over_effective)
            .map(|(known, over)| maths::exp(ln_area.value + known) * over)
            .collect();
        let mut flown = self.flown(&worlds, flights);
        let by_flight = self.draws.column(ln_area, Doubt::Flight, memory);
        flown.iter_mut().zip(by_flight).for_each(|(area, by_flight)| *area *= maths::exp(by_flight));
        flown
    }

    fn flown(&self, worlds: &[f64], flights: usize) -> Vec<f64> {
        let by_trial = self.flight.by_trial.iter().enumerate();
        by_trial.map(|(i, flight)| worlds[i / flights] / flight).collect()
    }

    /// Mass over its mean by trial, `flights` trials in a row being of one world.
    pub(crate) fn masses(&self, flights: usize) -> Vec<f64> {
        let of_flight = self.flight_energy.by_trial.iter().zip(&self.flight.by_trial).enumerate();
        of_flight.map(|(i, (with_mass, without))| self.mass[i / flights] * with_mass / without).collect()
    }

    /// Whether anything drawn for this load or that canopy rests on memory.
    pub(crate) fn rests_on_memory(&self, canopy: &Canopy) -> bool {
        canopy.rests_on_memory || self.views.len() > 1
    }

    /// The worlds of a state; `None` where no area is known.
    pub(crate) fn worlds(&self, state: State, canopy: &Canopy) -> Option<Worlds> {
        let areas = self.effective_areas(state, &canopy.drawn, Memory::Drawn)?;
        let over = areas.iter().zip(&self.flight.by_trial).map(|(area, flight)| area / flight);
        Some(Worlds { state, over: quantiles(over, [0.025, 0.5, 0.975]), areas })
    }

    /// 2 m g/ρ, m⁴/s².
    fn rate_constant(&self, total_mass_kg: f64) -> f64 {
        2.0 * total_mass_kg * self.load.gravity.get::<meter_per_second_squared>()
            / self.load.density_kg_per_m3.value
    }

    /// The rate over all flights of all worlds, each world flying its own flight.
    pub(crate) fn rates(&self, worlds: &Worlds, total_mass_kg: f64) -> Quantiles {
        let constant = self.rate_constant(total_mass_kg);
        let [low, median, high] = worlds.over.map(|area| maths::sqrt(constant / area));
        Quantiles { low: high, median, high: low }
    }

    /// The energy likewise.
    pub(crate) fn energies(&self, worlds: &Worlds, total_mass_kg: f64) -> Quantiles {
        let mass = self.mass.iter().zip(&self.flight_energy.by_trial).map(|(mass, flight)| mass * flight);
        let over = worlds.areas.iter().zip(mass).map(|(area, mass)| area / mass);
        let constant = 0.5 * total_mass_kg * self.rate_constant(total_mass_kg);
        let [low, median, high] = quantiles(over, [0.025, 0.5, 0.975]).map(|area| constant / area);
        Quantiles { low: high, median, high: low }
    }

    /// The share of flights within a limit, the worlds being those of `canopy`.
    pub(crate) fn share(&self, limit: &Limit, of: &Worlds, canopy: &Canopy, total_mass_kg: f64) -> Share {
        let gauge = self.gauge(limit, total_mass_kg);
        let worlds = self.judged(limit, &of.areas);
        let within = worlds
            .iter()
            .zip(&gauge.flights.by_trial)
            .filter(|(area, flight)| **area >= gauge.area * **flight)
            .count();
        let best = within as f64 / worlds.len() as f64;
        let [low, worst, high] = quantiles(worlds.iter().copied(), [0.025, 0.05, 0.975]);
        let share = |area: f64| gauge.flights.share(area / gauge.area);
        let at_end = |memory: Memory| {
            let areas = self.effective_areas(of.state, canopy.at(memory), memory)?;
            Some(share(quantiles(self.judged(limit, &areas).iter().copied(), [0.05])[0]))
        };
        // Only a hold can rest on memory.
        let asked = canopy.rests_on_memory && best.min(share(worst)) >= limit.wanted_share;
        let ends = if asked { [at_end(Memory::Low), at_end(Memory::High)] } else { [None, None] };
        let without_memory = ends.into_iter().flatten().min_by(f64::total_cmp);
        Share {
            best,
            interval: Interval { low: share(low), high: share(high) },
            at_worst: share(worst),
            at_worst_without_memory: without_memory,
            standard_error: maths::sqrt(best * (1.0 - best) / worlds.len() as f64),
        }
    }

    /// The factor on the area of each canopy at which the at-worst share just reaches the wanted one; `None` where no
    /// factor between a thousandth and a thousand does.
    pub(crate) fn factor_wanted(
        &self,
        limit: &Limit,
        state: State,
        canopy: &[f64],
        total_mass_kg: f64,
    ) -> Option<f64> {
        let gauge = self.gauge(limit, total_mass_kg);
        let needed = gauge.area * gauge.flights.reaching(limit.wanted_share);
        let reaches = |ln_factor: f64| {
            let factor = maths::exp(ln_factor);
            let scaled: Vec<f64> = canopy.iter().map(|area| factor * area).collect();
            let areas = self.effective_areas(state, &scaled, Memory::Drawn)?;
            Some(quantiles(self.judged(limit, &areas).iter().copied(), [0.05])[0] >= needed)
        };
        let (mut low, mut high) = (maths::ln(1e-3), maths::ln(1e3));
        if reaches(low)? || !reaches(high)? {
            return None;
        }
        while high - low > 1e-5 {
            let middle = f64::midpoint(low, high);
            if reaches(middle)? { high = middle } else { low = middle }
        }
        Some(maths::exp(high))
    }

    /// y, or y_E, of every world.
    fn judged(&self, limit: &Limit, areas: &[f64]) -> Vec<f64> {
        match limit.on {
            LimitOn::Rate(_) => areas.to_vec(),
            LimitOn::Energy(_) => areas.iter().zip(&self.mass).map(|(area, mass)| area / mass).collect(),
        }
    }

    fn gauge(&self, limit: &Limit, total_mass_kg: f64) -> Gauge<'_> {
        let constant = self.rate_constant(total_mass_kg);
        match limit.on {
            LimitOn::Rate(rate) => {
                let rate = rate.get::<meter_per_second>();
                Gauge { area: constant / (rate * rate), flights: &self.flight }
            }
            LimitOn::Energy(energy) => Gauge {
                area: 0.5 * total_mass_kg * constant / energy.get::<joule>(),
                flights: &self.flight_energy,
            },
        }
    }
}

/// The worlds of one state: y of each, and the quantiles of y over its flight's factor.
pub(crate) struct Worlds {
    pub(crate) state: State,
    areas: Vec<f64>,
    over: [f64; 3],
}

/// The areas of one canopy, m², by trial.
pub(crate) struct Canopy {
    pub(crate) drawn: Vec<f64>,
    ends: Option<[Vec<f64>; 2]>,
    /// Whether these or anything of the load rest on memory.
    pub(crate) rests_on_memory: bool,
}

impl Canopy {
    /// No canopy, for the bare body.
    pub(crate) fn none() -> Self {
        Canopy { drawn: Vec::new(), ends: None, rests_on_memory: false }
    }

    fn at(&self, memory: Memory) -> &[f64] {
        match (memory, &self.ends) {
            (Memory::Low, Some([low, _])) => low,
            (Memory::High, Some([_, high])) => high,
            _ => &self.drawn,
        }
    }
}

/// The area at which a flight as all others just keeps a limit, and the flights it is for.
struct Gauge<'a> {
    area: f64,
    flights: &'a Sorted,
}

impl View {
    fn new(load: &Load, draws: &Draws, over_effective: &[f64], memory: Memory) -> Self {
        let known = |estimate: &Estimate| draws.column(estimate, Doubt::Knowledge, memory);
        let clusters = load
            .clusters
            .iter()
            .map(|cluster| {
                let factor = &cluster.factor.estimate;
                let ln_count = maths::ln(cluster.count as f64);
                known(factor)
                    .iter()
                    .zip(known(&alike_canopies(cluster.count)))
                    .zip(over_effective)
                    .map(|((cluster, alike), over)| {
                        maths::exp(ln_count + factor.value + cluster + alike) * over
                    })
                    .collect()
            })
            .collect();
        let absolute = |estimate: &Estimate| {
            let mut column = known(estimate);
            column.iter_mut().for_each(|x| *x = maths::exp(estimate.value + *x));
            column
        };
        let effective =
            |areas: Vec<f64>| areas.iter().zip(over_effective).map(|(area, over)| area * over).collect();
        View {
            memory,
            clusters,
            nets: load.under.iter().map(|under| effective(nets(under, draws.count, &known))).collect(),
            bare: load.ln_bare.as_ref().map(|ln_bare| effective(absolute(ln_bare))),
            unfilled: absolute(&load.ln_unfilled_share),
        }
    }
}

fn nets(under: &FullNet, count: usize, known: &dyn Fn(&Estimate) -> Vec<f64>) -> Vec<f64> {
    match &under.form {
        NetArea::Nothing => vec![0.0; count],
        NetArea::Difference { ln_total, ln_canopies, change } => known(ln_total)
            .iter()
            .zip(known(ln_canopies))
            .zip(known(change))
            .map(|((total, canopies), change_by)| {
                let net = maths::exp(ln_total.value + total) - maths::exp(ln_canopies.value + canopies);
                (net * (1.0 + change.value + change_by)).max(0.0)
            })
            .collect(),
        NetArea::Shielded { ln_body, share } => known(ln_body)
            .iter()
            .zip(known(share))
            .map(|(b, s)| maths::exp(ln_body.value + b) * (1.0 - (share.value + s).clamp(0.0, 1.0)))
            .collect(),
    }
}

/// What is open at the ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum State {
    /// So many canopies, filled.
    Open(usize),
    /// So many, out but not filled.
    Unfilled(usize),
    /// None.
    Nothing,
}

impl State {
    /// The state of a case under `count` canopies; all of them shut is nothing open.
    pub(crate) fn of(kind: CaseKind, count: usize) -> State {
        match kind {
            CaseKind::AllOpen | CaseKind::MainAtTop | CaseKind::NoDrogue | CaseKind::EarlyOpening => {
                State::Open(count)
            }
            CaseKind::StayShut(shut) if shut < count => State::Open(count - shut),
            CaseKind::Only(open) if open > 0 => State::Open(open.min(count)),
            CaseKind::StayShut(_) | CaseKind::Only(_) | CaseKind::Nothing => State::Nothing,
            CaseKind::NotFilled => State::Unfilled(count),
        }
    }

    /// Canopies open and filled.
    pub(crate) fn open(self) -> usize {
        match self {
            State::Open(count) => count,
            State::Unfilled(_) | State::Nothing => 0,
        }
    }
}

/// Quantiles of positive values at rising shares, by selection. Each is the value of the nearest rank.
fn quantiles<const N: usize>(values: impl Iterator<Item = f64>, at: [f64; N]) -> [f64; N] {
    // The bits of positive numbers are ordered as they are, and are compared faster.
    let mut bits: Vec<u64> = values.map(f64::to_bits).collect();
    let last = (bits.len() - 1) as f64;
    let ranks = at.map(|share| (share * last).round() as usize);
    let mut found = [0; N];
    select(&mut bits, 0, &ranks, &mut found);
    found.map(f64::from_bits)
}

/// The values of rising `ranks`, counted from `first`: the middle one splits the values and the ranks.
fn select(values: &mut [u64], first: usize, ranks: &[usize], found: &mut [u64]) {
    let Some(&rank) = ranks.get(ranks.len() / 2) else { return };
    let (below, value, above) = values.select_nth_unstable(rank - first);
    let lower = ranks.partition_point(|other| *other < rank);
    let upper = ranks.partition_point(|other| *other <= rank);
    found[lower..upper].fill(*value);
    select(below, first, &ranks[..lower], &mut found[..lower]);
    select(above, rank + 1, &ranks[upper..], &mut found[upper..]);
}

#[cfg(test)]
mod tests;
