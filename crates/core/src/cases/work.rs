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

#[cfg(test)]
mod tests {
    use super::super::{Trials, checks, draw};
    use super::*;
    use crate::ledger::Ledger;

    /// An estimate with one doubt, whose entry nobody shares.
    fn doubted(value: f64, id: &str, u: f64) -> Estimate {
        Estimate::exact(value).with(id, u, f64::INFINITY)
    }

    /// What would settle two canopies of 2 m² at η = 0.9 over a body of 0.9 m²: eight tenths of all that brakes are theirs.
    fn settled(load: Load, rig: &Rig, state: State) -> String {
        let draws =
            draw(&load, &[&rig.canopy.area.estimate], &Ledger::default(), Trials { count: 1, seed: 1 }, None);
        let engine = Engine::new(&load, &draws);
        let canopy = engine.canopy(&rig.canopy.area.estimate);
        Bench::new(&engine, &load, rig, &canopy).would_settle(state)
    }

    #[test]
    fn the_test_named_is_against_the_largest_share_of_doubt_in_ln_of_what_brakes() {
        let state = State::Open(2);
        let mut load = checks::load(2);
        load.clusters[1].factor.value = 0.9;
        load.under[1].area.value = 0.9;
        let mut rig = checks::rig(2);
        rig.canopy.area.estimate = Estimate::exact(maths::ln(2.0));
        let (mut of_area, mut of_cluster, mut of_body) = (rig.clone(), load.clone(), load.clone());
        of_area.canopy.area.estimate = doubted(maths::ln(2.0), "area", 0.05);
        of_cluster.clusters[1].factor.estimate = doubted(maths::ln(0.9), "eta", 0.05);
        of_body.under[1].area.estimate = doubted(0.9, "net", 0.18);
        // Each of the three is worth 4 %: of the mass, 3.9 % are less and 4.1 % more.
        for (load, rig, test) in [
            (&load, &of_area, "A drop of one real plain under a known mass would settle it."),
            (&of_cluster, &rig, "Drops of one canopy alone and of 2 together would settle it."),
            (&of_body, &rig, "A drop of the model with the body under 2 would settle it."),
        ] {
            let with = |u| Load { mass_kg: doubted(10.0, "mass", u), ..load.clone() };
            assert_eq!(settled(with(0.39), rig, state), test);
            assert_eq!(settled(with(0.41), rig, state), "Weighing all that descends would settle it.");
        }
        of_area.canopy.area.trust = Trust::Measured;
        assert_eq!(settled(load.clone(), &of_area, state), "More drops of one plain would settle it.");
        load.density_kg_per_m3 = doubted(1.225, "air", 0.05);
        load.mass_kg = doubted(10.0, "mass", 0.4);
        assert_eq!(settled(load.clone(), &rig, state), "Stating the day's air would settle it.");
        assert_eq!(settled(load, &rig, State::Nothing), "A drop of the bare body's model would settle it.");
    }

    #[test]
    fn canopies_weigh_and_the_body_brakes_too() {
        let mut load = checks::load(2);
        load.clusters[1].factor.value = 0.9;
        load.under[1].area.value = 0.5;
        let rig = Rig { mass_each_kg: 0.75, ..checks::rig(2) };
        let cases = [checks::case("all", CaseKind::AllOpen, None)];
        let worked = checks::work(&load, &rig, &cases, &checks::ledger(), Trials::QUICK);
        let [brakes, rate, energy] = &worked.results[0].how[..] else { panic!("three steps") };
        // 11.5 kg over nine tenths of two of 2 m² and the half of the body.
        assert!((brakes.si - 4.1).abs() < 1e-12);
        let squared = 2.0 * 11.5 * 9.8 / (1.225 * 4.1);
        assert!((rate.si * rate.si / squared - 1.0).abs() < 1e-12);
        assert!((energy.si / (0.5 * 11.5 * squared) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_first_of_equal_cases_governs() {
        let limit = checks::rate(5.5);
        let all = |name| checks::case(name, CaseKind::AllOpen, limit);
        let one_shut = checks::case("one-shut", CaseKind::StayShut(1), limit);
        let governs = |cases: &[Case]| {
            let (load, rig) = (checks::load(2), checks::rig(2));
            checks::work(&load, &rig, cases, &checks::ledger(), Trials { count: 200, seed: 1 }).governing
        };
        assert_eq!(governs(&[all("a"), all("b")]), Some(0));
        assert_eq!(governs(&[one_shut.clone(), all("a")]), Some(0));
        assert_eq!(governs(&[all("a"), one_shut]), Some(1));
    }

    #[test]
    fn the_worst_word_is_the_case_s_and_what_is_not_judged_says_nothing() {
        let of = |words: &[Verdict]| worst(words.iter().copied());
        assert_eq!(of(&[Verdict::Meets, Verdict::Misses, Verdict::Undecided]), Verdict::Misses);
        assert_eq!(of(&[Verdict::NotJudged, Verdict::Meets]), Verdict::Meets);
        assert_eq!(of(&[]), Verdict::NotJudged);
    }

    #[test]
    fn a_case_in_words_tells_one_from_many() {
        let words = [CaseKind::StayShut(1), CaseKind::StayShut(2), CaseKind::Only(1), CaseKind::Only(2)]
            .map(CaseKind::words);
        assert_eq!(words, ["one stays shut", "2 stay shut", "only one opens", "only 2 open"]);
    }
}
