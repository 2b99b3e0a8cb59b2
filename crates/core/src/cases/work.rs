//! Cases of one part under one choice of canopies.

use uom::si::acceleration::meter_per_second_squared;

use super::chance::chance;
use super::engine::{Canopy, Engine, State, Worlds};
use super::{
    Case, CaseKind, CaseResult, Cases, Judged, Limit, Load, Quantiles, Rig, Share, SizeWanted, Verdict,
    verdict,
};
use crate::derivation::{Derivation, Input, num, sym};
use crate::drag::Factor;
use crate::finding::{Code, Finding, Subject};
use crate::full_size;
use crate::ledger::{Estimate, Trust};
use crate::maths;
use crate::quantity::Kind;

/// Works out all cases of a part under a rig, whose canopy was drawn with the part's load.
///
/// # Panics
/// Without a trial: [`Trials::QUICK`](super::Trials::QUICK) and [`Trials::FULL`](super::Trials::FULL) have some. If the
/// rig's canopy was not drawn.
pub fn work(engine: &Engine, rig: &Rig, cases: &[Case]) -> Cases {
    let load = engine.load();
    let canopy = engine.canopy(&rig.canopy.area.estimate);
    let bench = Bench::new(engine, load, rig, &canopy);
    let mut findings = Vec::new();
    let results: Vec<CaseResult> = cases
        .iter()
        .map(|case| {
            let result = bench.case(case);
            if result.rate_m_per_s.is_none() {
                let message = format!("{}: what brakes then is not known", case.name);
                let subject = Subject::Key(format!("part.{}.case.{}", load.part, case.name));
                findings.push(Finding::new(Code::CaseNoArea, subject, message));
            }
            result
        })
        .collect();
    Cases { governing: governing(&results), results, trials: engine.trials(), findings }
}

/// The judged case that wants the largest canopy; the first of equals.
fn governing(results: &[CaseResult]) -> Option<usize> {
    let wants = |result: &CaseResult| {
        result.judged.iter().filter_map(|j| j.wanted.as_ref()).map(|w| w.area_each_m2).max_by(f64::total_cmp)
    };
    let mut largest: Option<(usize, f64)> = None;
    for (i, result) in results.iter().enumerate() {
        if let Some(area) = wants(result)
            && largest.is_none_or(|(_, most)| area > most)
        {
            largest = Some((i, area));
        }
    }
    largest.map(|(i, _)| i)
}

/// One rig on the engine.
pub(crate) struct Bench<'a> {
    engine: &'a Engine<'a>,
    load: &'a Load,
    rig: &'a Rig,
    canopy: &'a Canopy,
    total_mass_kg: f64,
}

impl<'a> Bench<'a> {
    /// `canopy` being the drawn areas of the rig's.
    pub(crate) fn new(engine: &'a Engine<'a>, load: &'a Load, rig: &'a Rig, canopy: &'a Canopy) -> Self {
        let total_mass_kg = load.mass_kg.value + rig.count as f64 * rig.mass_each_kg;
        Bench { engine, load, rig, canopy, total_mass_kg }
    }

    pub(crate) fn worlds(&self, state: State) -> Option<Worlds> {
        self.engine.worlds(state, self.canopy)
    }

    pub(crate) fn rates(&self, worlds: &Worlds) -> Quantiles {
        self.engine.rates(worlds, self.total_mass_kg)
    }

    pub(crate) fn share(&self, limit: &Limit, worlds: &Worlds) -> Share {
        self.engine.share(limit, worlds, self.canopy, self.total_mass_kg)
    }

    fn case(&self, case: &Case) -> CaseResult {
        let state = State::of(case.kind, self.rig.count);
        let worlds = self.worlds(state);
        let judged: Vec<Judged> = match &worlds {
            Some(worlds) => case.limits.iter().map(|limit| self.judged(limit, worlds)).collect(),
            None => Vec::new(),
        };
        CaseResult {
            case: case.clone(),
            open: state.open(),
            chance: chance(case.kind, case.chance, &self.load.failures, self.rig.count),
            rate_m_per_s: worlds.as_ref().map(|worlds| self.rates(worlds)),
            energy_j: worlds.as_ref().map(|worlds| self.engine.energies(worlds, self.total_mass_kg)),
            verdict: worst(judged.iter().map(|judged| judged.verdict)),
            judged,
            how: if worlds.is_some() { self.how(state) } else { Vec::new() },
        }
    }

    fn judged(&self, limit: &Limit, worlds: &Worlds) -> Judged {
        let share = self.share(limit, worlds);
        let word = verdict(Some((limit.wanted_share, &share)));
        Judged {
            limit: limit.clone(),
            share,
            verdict: word,
            would_settle: (word == Verdict::Undecided).then(|| self.would_settle(worlds.state)),
            wanted: self.wanted(limit, worlds.state),
        }
    }

    fn wanted(&self, limit: &Limit, state: State) -> Option<SizeWanted> {
        let factor = self.engine.factor_wanted(limit, state, &self.canopy.drawn, self.total_mass_kg)?;
        let root = maths::sqrt(factor);
        Some(SizeWanted {
            area_each_m2: factor * self.rig.canopy.area.value,
            nominal_diameter_m: self.rig.canopy.nominal_diameter_m.map(|diameter| root * diameter),
        })
    }

    /// The test against the largest doubt in ln of what brakes and weighs.
    fn would_settle(&self, state: State) -> String {
        let canopies = match state {
            State::Open(count) | State::Unfilled(count) => count,
            State::Nothing => 0,
        };
        let Some((cluster, under)) = self.pair(canopies) else {
            return "A drop of the bare body's model would settle it.".to_owned();
        };
        let area = canopies as f64 * cluster.value * self.rig.canopy.area.value;
        let share = area / (area + under.value);
        let u = |estimate: &Estimate| estimate.standard_uncertainty();
        let relative = |estimate: &Estimate| u(estimate) / estimate.value;
        let of_area = match self.rig.canopy.area.trust {
            Trust::Measured => format!("More drops of one {} would settle it.", self.rig.offer),
            _ => format!("A drop of one real {} under a known mass would settle it.", self.rig.offer),
        };
        [
            (share * u(&self.rig.canopy.area.estimate), of_area),
            (
                share * u(&cluster.estimate),
                format!("Drops of one canopy alone and of {canopies} together would settle it."),
            ),
            (
                u(&under.estimate) / (area + under.value),
                format!("A drop of the model with the body under {canopies} would settle it."),
            ),
            (relative(&self.load.mass_kg), "Weighing all that descends would settle it.".to_owned()),
            (relative(&self.load.density_kg_per_m3), "Stating the day's air would settle it.".to_owned()),
        ]
        .into_iter()
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, test)| test)
        .expect("five doubts")
    }

    /// Cluster factor and net area under a count.
    fn pair(&self, canopies: usize) -> Option<(&Factor, &Factor)> {
        let at = canopies.checked_sub(1)?;
        Some((&self.load.clusters.get(at)?.factor, &self.load.under.get(at)?.area))
    }

    /// D, v and E at the median inputs.
    fn how(&self, state: State) -> Vec<Derivation> {
        let Some(brakes) = self.brakes(state) else { return Vec::new() };
        let gravity = self.load.gravity.get::<meter_per_second_squared>();
        let density = self.load.density_kg_per_m3.value;
        let rate = full_size::rate_of_fall(self.total_mass_kg, gravity, density, brakes.si);
        let energy = full_size::energy(self.total_mass_kg, rate.si);
        vec![brakes, rate, energy]
    }

    /// D = k η A + N, its parts at their medians; times the unfilled share where not filled; the bare body alone.
    fn brakes(&self, state: State) -> Option<Derivation> {
        let input = |symbol, meaning: &str, si: f64, kind, trust: &Trust| {
            Input::new(symbol, meaning, si, kind, trust.clone())
        };
        let bare = |expr, inputs| Derivation {
            symbol: "D",
            meaning: "all that brakes".to_owned(),
            si: 0.0,
            kind: Kind::DragArea,
            expr,
            inputs,
            source: Trust::Published("sum of drag areas".to_owned()),
        };
        let mut derivation = match state {
            State::Nothing => {
                let area = maths::exp(self.load.ln_bare.as_ref()?.value);
                let trust = Trust::Assumed("a tumbling body".to_owned());
                bare(sym("B_t"), vec![input("B_t", "the bare body", area, Kind::DragArea, &trust)])
            }
            State::Open(count) | State::Unfilled(count) => {
                let (cluster, under) = self.pair(count)?;
                let canopy = &self.rig.canopy.area;
                let mut product = num(count as f64) * sym("eta") * sym("A");
                let mut inputs = vec![
                    input("eta", "cluster factor", cluster.value, Kind::Ratio, &cluster.trust),
                    input("A", "drag area of one canopy", canopy.value, Kind::DragArea, &canopy.trust),
                ];
                if let State::Unfilled(_) = state {
                    let share = maths::exp(self.load.ln_unfilled_share.value);
                    let trust = Trust::Assumed("drag of a canopy that is out but not filled".to_owned());
                    product = product * sym("u");
                    inputs.push(input("u", "share of a filled canopy's drag", share, Kind::Ratio, &trust));
                }
                if under.value > 0.0 {
                    inputs.push(input("N", "what the body adds", under.value, Kind::DragArea, &under.trust));
                    product = product + sym("N");
                }
                bare(product, inputs)
            }
        };
        derivation.si = derivation.evaluate()?;
        Some(derivation)
    }
}

/// The worst word over what is judged; not judged where nothing is.
pub(crate) fn worst(words: impl Iterator<Item = Verdict>) -> Verdict {
    words.filter(|word| *word != Verdict::NotJudged).max().unwrap_or(Verdict::NotJudged)
}

impl CaseKind {
    /// In words, under so many canopies.
    pub fn words(self) -> String {
        match self {
            CaseKind::AllOpen => "all open".to_owned(),
            CaseKind::StayShut(1) => "one stays shut".to_owned(),
            CaseKind::StayShut(shut) => format!("{shut} stay shut"),
            CaseKind::Only(1) => "only one opens".to_owned(),
            CaseKind::Only(open) => format!("only {open} open"),
            CaseKind::MainAtTop => "main open at the top".to_owned(),
            CaseKind::NoDrogue => "no drogue, then the main at full speed".to_owned(),
            CaseKind::EarlyOpening => "opens in the climb".to_owned(),
            CaseKind::NotFilled => "out but not filled".to_owned(),
            CaseKind::Nothing => "nothing opens".to_owned(),
        }
    }
}
