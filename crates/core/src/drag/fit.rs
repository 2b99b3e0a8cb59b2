//! From tests to factors: which form the tests can bear, the fit inside the allowed ranges, and what it says.

use std::collections::BTreeMap;

use nalgebra::DVector;
use statrs::distribution::{ChiSquared, ContinuousCDF};

use super::handbook::{CLUSTER_SOURCE, published_cluster_factor};
use super::intervals::{self, Interval};
use super::parameters::{BodyForm, Hold, Layout, Parameter, distance_key, distance_m};
use super::solve::{Beforehand, Problem, Solution};
use super::{
    ALIKE_CANOPIES_SD, Below, Body, Canopy, Cluster, Comparison, Configuration, Drag, Factor, KindArea,
    Known, Net, NotTold, Scale, Shielded, TestArea, said,
};
use crate::derivation::How;
use crate::finding::{Code, Finding, Subject};
use crate::ledger::{Distribution, Entry, Estimate, Ledger, LedgerId, Sharing, Trust};
use crate::maths;

/// Chance below which tests are said to disagree.
const DISAGREE_BELOW: f64 = 0.01;

/// Fits all tests of one set of hardware: a part's model, or its real canopies.
///
/// `label` goes before the ids of what is entered into the ledger here (differences of alike canopies); handbook
/// ranges are entered under `handbook.cluster-factor.N`, one for the whole project. A test in which nothing brakes is left out
/// and said. No test: an empty answer.
pub fn fit(tests: Vec<TestArea>, label: &str, ledger: &mut Ledger) -> Drag {
    let (tests, of_nothing): (Vec<_>, Vec<_>) =
        tests.into_iter().partition(|test| test.configuration.brakes());
    let of_nothing = of_nothing.iter().map(said::nothing_brakes);
    if tests.is_empty() {
        return Drag { findings: of_nothing.collect(), ..Drag::default() };
    }
    let layout = Layout::new(&tests, form_told(&tests, label));
    let differences = differences(&layout, label);
    let alone = Problem::new(&tests, &layout, &differences).solve_free();
    let mut beforehand = differences;
    beforehand.extend(silent_clusters(&layout, &alone));
    enter(&layout, &beforehand, ledger);
    let problem = Problem::new(&tests, &layout, &beforehand);
    let free = problem.solve_free();
    let inside = inside_the_allowed(&problem, &free);
    let fitted = Fitted { problem: &problem, free: &free, inside: &inside, by_tests: &alone.told };
    let mut drag = Drag {
        over_first: over_first(&tests),
        kinds: fitted.kinds(),
        clusters: fitted.clusters(),
        net: fitted.nets(),
        net_differences: Vec::new(),
        body: fitted.body(),
        chi_squared: inside.chi_squared,
        degrees_of_freedom: (tests.len() + beforehand.len()).saturating_sub(free.rank),
        findings: Vec::new(),
        tests: tests.clone(),
    };
    drag.net_differences = fitted.net_differences(&drag.net);
    drag.findings = of_nothing.chain(said::findings(&drag, label)).collect();
    drag.findings.extend(disagreement(&drag, label));
    drag
}

impl Problem<'_> {
    fn solve_free(&self) -> Solution {
        let holds = vec![Hold::Free; self.layout.parameters.len()];
        self.solve(&self.layout.start(self.tests), &holds)
    }
}

/// Whether the tests bear B and shadows, or net areas only.
fn form_told(tests: &[TestArea], label: &str) -> BodyForm {
    let layout = Layout::new(tests, BodyForm::Split);
    let Some(body) = layout.at(&Parameter::Body) else { return BodyForm::Net };
    let beforehand = differences(&layout, label);
    let told = Problem::new(tests, &layout, &beforehand).solve_free().told;
    if told[body] { BodyForm::Split } else { BodyForm::Net }
}

/// Canopies of one kind differ by a random effect about its mean.
fn differences(layout: &Layout, label: &str) -> Vec<Beforehand> {
    let difference = |(parameter, of): (usize, &Parameter)| match of {
        Parameter::Difference(Canopy { kind, serial }) => Some(Beforehand {
            parameter,
            value: 0.0,
            sd: ALIKE_CANOPIES_SD,
            id: LedgerId(format!("{label}.canopy.{kind}.{serial}.difference")),
        }),
        _ => None,
    };
    layout.parameters.iter().enumerate().filter_map(difference).collect()
}

/// The handbook's range for each cluster factor that the tests alone do not tell.
fn silent_clusters(layout: &Layout, alone: &Solution) -> Vec<Beforehand> {
    let prior = |(parameter, of): (usize, &Parameter)| match of {
        Parameter::LnCluster(count) if !alone.told[parameter] => {
            let range = published_cluster_factor(*count)?;
            Some(Beforehand {
                parameter,
                value: maths::ln(range.middle()),
                sd: range.standard_uncertainty() / range.middle(),
                id: cluster_id(*count),
            })
        }
        _ => None,
    };
    layout.parameters.iter().enumerate().filter_map(prior).collect()
}

/// The ledger's id of the handbook's cluster factor.
pub(crate) fn cluster_id(count: usize) -> LedgerId {
    LedgerId(format!("handbook.cluster-factor.{count}"))
}

/// The ledger's entry of the handbook's cluster factor; `None` where nothing is remembered.
pub(crate) fn cluster_entry(count: usize) -> Option<Entry> {
    let range = published_cluster_factor(count)?;
    Some(Entry {
        meaning: format!("cluster factor of {count}, handbook"),
        value: range.middle(),
        distribution: Distribution::Rectangular { low: range.low, high: range.high },
        sharing: Sharing::Knowledge,
        trust: Trust::Memory(CLUSTER_SOURCE.to_owned()),
    })
}

fn enter(layout: &Layout, beforehand: &[Beforehand], ledger: &mut Ledger) {
    for known in beforehand {
        let entry = match &layout.parameters[known.parameter] {
            Parameter::LnCluster(count) => cluster_entry(*count),
            Parameter::Difference(Canopy { kind, serial }) => Some(Entry {
                meaning: format!("canopy {serial} against the mean of its kind {kind}"),
                value: 1.0,
                distribution: Distribution::LogNormal { sd_log: known.sd },
                sharing: Sharing::Knowledge,
                trust: Trust::Assumed("canopies sewn alike differ by 2 %, a judgement of ours".to_owned()),
            }),
            _ => None,
        };
        if let Some(entry) = entry {
            ledger.enter(known.id.clone(), entry);
        }
    }
}

/// The best point with net areas and B not below 0 and κ between 0 and 1: the least χ² over all sets of active
/// bounds whose point is allowed.
fn inside_the_allowed(problem: &Problem, free: &Solution) -> Solution {
    let layout = problem.layout;
    let body_alone = problem.tests.iter().any(|test| test.configuration.canopies.is_empty());
    let choices = |i: usize| -> &[Hold] {
        match layout.parameters[i] {
            Parameter::Net(..) => &[Hold::Free, Hold::Nothing],
            Parameter::Body if !body_alone => &[Hold::Free, Hold::Nothing],
            Parameter::Shadow(_) => &[Hold::Free, Hold::ShareOfBody(0.0), Hold::ShareOfBody(1.0)],
            _ => &[Hold::Free],
        }
    };
    let bounded: Vec<usize> =
        (0..layout.parameters.len()).filter(|&i| free.told[i] && choices(i).len() > 1).collect();
    let sets: usize = bounded.iter().map(|&i| choices(i).len()).product();
    let start = layout.start(problem.tests);
    let mut best: Option<Solution> = None;
    for set in 0..sets {
        let mut holds = vec![Hold::Free; layout.parameters.len()];
        let mut rest = set;
        for &i in &bounded {
            holds[i] = choices(i)[rest % choices(i).len()];
            rest /= choices(i).len();
        }
        let mut solution = problem.solve(&start, &holds);
        put_held(layout, &holds, &mut solution.at);
        if is_allowed(layout, &bounded, &solution.at) {
            if set == 0 {
                return solution;
            }
            if best.as_ref().is_none_or(|b| solution.chi_squared < b.chi_squared) {
                best = Some(solution);
            }
        }
    }
    best.expect(
        "with every bound active B is what the tests of the body alone, all positive, or the fit gives",
    )
}

/// Gives held parameters the values their bounds say.
fn put_held(layout: &Layout, holds: &[Hold], at: &mut DVector<f64>) {
    for (i, hold) in holds.iter().enumerate() {
        match hold {
            Hold::Free => {}
            Hold::Nothing => at[i] = 0.0,
            Hold::ShareOfBody(share) => {
                at[i] = share * at[layout.at(&Parameter::Body).expect("laid out together")]
            }
        }
    }
}

fn is_allowed(layout: &Layout, bounded: &[usize], at: &DVector<f64>) -> bool {
    let body = layout.at(&Parameter::Body).map(|i| at[i]);
    let slack = 1e-9 * body.unwrap_or(1.0).abs();
    bounded.iter().all(|&i| match layout.parameters[i] {
        Parameter::Shadow(_) => body.is_some_and(|body| at[i] >= -slack && at[i] <= body + slack),
        _ => at[i] >= 0.0,
    })
}

/// ln D of each test less that of the first.
fn over_first(tests: &[TestArea]) -> Vec<Comparison> {
    let Some(first) = tests.first() else { return Vec::new() };
    let compare = |(of, test): (usize, &TestArea)| {
        let ln_ratio = intervals::combined(
            test.ln_area.value - first.ln_area.value,
            &test.ln_area,
            -1.0,
            &first.ln_area,
        );
        let how = How::Fit {
            procedure: "The quotient of the two drag areas, on a log scale: what both tests share cancels."
                .to_owned(),
            data: format!("tests {} and {}", test.name, first.name),
            count: 2,
        };
        Comparison { of, to: 0, factor: log_factor(ln_ratio, Trust::Measured, how) }
    };
    tests.iter().enumerate().skip(1).map(compare).collect()
}

pub(crate) fn log_factor(ln_estimate: Estimate, trust: Trust, how: How) -> Factor {
    Factor {
        value: maths::exp(ln_estimate.value),
        interval: intervals::log(&ln_estimate),
        scale: Scale::Log,
        estimate: ln_estimate,
        trust,
        how,
    }
}

fn disagreement(drag: &Drag, label: &str) -> Option<Finding> {
    if drag.degrees_of_freedom == 0 {
        return None;
    }
    let law = ChiSquared::new(drag.degrees_of_freedom as f64).expect("at least one degree of freedom");
    let chance = 1.0 - law.cdf(drag.chi_squared);
    (chance < DISAGREE_BELOW).then(|| {
        Finding::new(
            Code::DragTestsDisagree,
            Subject::Key(label.to_owned()),
            format!(
                "the tests do not fit one set of areas: chi-squared {:.1} with {} degrees of freedom, expected about {}",
                drag.chi_squared, drag.degrees_of_freedom, drag.degrees_of_freedom
            ),
        )
    })
}

/// The two solutions, and how to read factors from them.
struct Fitted<'a> {
    problem: &'a Problem<'a>,
    free: &'a Solution,
    inside: &'a Solution,
    by_tests: &'a [bool],
}

impl Fitted<'_> {
    fn layout(&self) -> &Layout {
        self.problem.layout
    }

    fn how(&self, what: &str) -> How {
        let names: Vec<&str> = self.problem.tests.iter().map(|test| test.name.as_str()).collect();
        How::Fit {
            procedure: format!(
                "{what}: weighted least squares of ln D over all tests with the full covariance of the ledger, \
                 D = η ΣA + (1 − κ) B, alike canopies differing by 2 %."
            ),
            data: format!("tests {}", names.join(", ")),
            count: names.len(),
        }
    }

    fn log_of(&self, slopes: &DVector<f64>, value: f64, trust: Trust, what: &str) -> Factor {
        let estimate = self.free.estimate(self.problem, slopes.dot(&self.free.at), slopes);
        Factor { value, ..log_factor(estimate, trust, self.how(what)) }
    }

    fn unit(&self, index: usize) -> DVector<f64> {
        let mut slopes = DVector::zeros(self.layout().parameters.len());
        slopes[index] = 1.0;
        slopes
    }

    fn kinds(&self) -> Vec<KindArea> {
        let mut kinds: BTreeMap<&str, Vec<(&str, usize)>> = BTreeMap::new();
        for (i, parameter) in self.layout().parameters.iter().enumerate() {
            if let Parameter::Difference(Canopy { kind, serial }) = parameter {
                kinds.entry(kind).or_default().push((serial, i));
            }
        }
        kinds
            .into_iter()
            .map(|(kind, serials)| {
                let mean = self.layout().at(&Parameter::LnKind(kind.to_owned())).expect("laid out together");
                let area = |own: Option<usize>, what: &str| {
                    if !self.free.told[mean] {
                        return Known::NotTold(self.kind_not_told(kind));
                    }
                    let mut slopes = self.unit(mean);
                    if let Some(own) = own {
                        slopes[own] = 1.0;
                    }
                    let value = maths::exp(slopes.dot(&self.inside.at));
                    Known::Told(self.log_of(&slopes, value, Trust::Measured, what))
                };
                KindArea {
                    kind: kind.to_owned(),
                    mean: area(None, "Mean drag area of the kind"),
                    each: serials
                        .into_iter()
                        .map(|(serial, own)| (serial.to_owned(), area(Some(own), "Drag area of this canopy")))
                        .collect(),
                }
            })
            .collect()
    }

    fn kind_not_told(&self, kind: &str) -> NotTold {
        let under_a_weight = self.problem.tests.iter().any(|test| {
            let Configuration { canopies, below } = &test.configuration;
            *below == Below::Weight && canopies.iter().any(|canopy| canopy.kind == kind)
        });
        if under_a_weight { said::kind_in_company_not_told(kind) } else { said::kind_not_told(kind) }
    }

    fn clusters(&self) -> Vec<Cluster> {
        let of = |(i, parameter): (usize, &Parameter)| {
            let Parameter::LnCluster(count) = *parameter else { return None };
            let handbook = published_cluster_factor(count);
            let trust =
                if self.by_tests[i] { Trust::Measured } else { Trust::Memory(CLUSTER_SOURCE.to_owned()) };
            let factor = if self.free.told[i] {
                let value = maths::exp(self.inside.at[i]);
                Known::Told(self.log_of(&self.unit(i), value, trust, "Cluster factor"))
            } else {
                Known::NotTold(said::cluster_not_told(count))
            };
            Some(Cluster { count, factor, handbook })
        };
        self.layout().parameters.iter().enumerate().filter_map(of).collect()
    }

    /// The first canopy tested alone under a weight: ln A and its slopes.
    fn one_canopy(&self) -> Option<DVector<f64>> {
        let alone = |test: &&TestArea| {
            test.configuration.canopies.len() == 1 && test.configuration.below == Below::Weight
        };
        let canopy = &self.problem.tests.iter().find(alone)?.configuration.canopies[0];
        let mut slopes = self.unit(self.layout().at(&Parameter::LnKind(canopy.kind.clone()))?);
        slopes[self.layout().at(&Parameter::Difference(canopy.clone()))?] = 1.0;
        Some(slopes)
    }

    fn nets(&self) -> Vec<Net> {
        let mut seen = BTreeMap::new();
        for test in self.problem.tests {
            let count = test.configuration.canopies.len();
            if let (Below::Body { distance_m }, 1..) = (test.configuration.below, count) {
                seen.entry((count, distance_key(distance_m))).or_insert(&test.configuration.canopies);
            }
        }
        seen.into_iter().map(|((count, distance), canopies)| self.net(count, distance, canopies)).collect()
    }

    fn net(&self, count: usize, distance: super::parameters::Distance, canopies: &[Canopy]) -> Net {
        let (at, layout) = (&self.free.at, self.layout());
        let (net, net_slopes) = layout.net(count, distance, at);
        let (ln_canopies, canopy_slopes) = layout.ln_mean_canopies(canopies, at);
        let total = maths::exp(ln_canopies) + net;
        let total_slopes = (&canopy_slopes * maths::exp(ln_canopies) + &net_slopes) / total;
        let ln_total = self.free.estimate(self.problem, maths::ln(total), &total_slopes);
        let distance_m = distance_m(distance);
        // As the total is measured, the canopies' part is told with it.
        if !self.free.tells(&net_slopes) {
            let kinds: Vec<&str> = canopies.iter().map(|canopy| canopy.kind.as_str()).collect();
            return Net {
                count,
                distance_m,
                area: Known::NotTold(said::net_not_told(count, &kinds)),
                over_one_canopy: None,
                ln_total: Some(ln_total),
                ln_canopies: None,
            };
        }
        let allowed = layout.net(count, distance, &self.inside.at).0.max(0.0);
        let factor = |one: &DVector<f64>, what: &str| {
            let scale = maths::exp(-one.dot(at));
            let x = self.free.estimate(self.problem, maths::ln(total * scale), &(&total_slopes - one));
            let y = self.free.estimate(self.problem, ln_canopies - one.dot(at), &(&canopy_slopes - one));
            let slopes = (&net_slopes - net * one) * scale;
            let estimate = self.free.estimate(self.problem, net * scale, &slopes);
            Factor {
                value: allowed * maths::exp(-one.dot(&self.inside.at)),
                interval: intervals::difference_of_exponentials(&x, &y, estimate.dof())
                    .within(0.0, f64::INFINITY),
                scale: Scale::Linear,
                estimate,
                trust: Trust::Measured,
                how: self.how(what),
            }
        };
        let nothing = DVector::zeros(at.len());
        Net {
            count,
            distance_m,
            area: Known::Told(factor(&nothing, "Net drag area of the body")),
            over_one_canopy: self.one_canopy().map(|one| factor(&one, "Net area over one canopy")),
            ln_total: Some(ln_total),
            ln_canopies: Some(self.free.estimate(self.problem, ln_canopies, &canopy_slopes)),
        }
    }

    fn net_differences(&self, nets: &[Net]) -> Vec<Comparison> {
        let told = |net: &Net| net.area.factor().map(|factor| factor.estimate.clone());
        let Some(first) = nets.first().and_then(told) else { return Vec::new() };
        let compare = |(of, net): (usize, &Net)| {
            let estimate = told(net)?;
            let estimate = intervals::combined(estimate.value - first.value, &estimate, -1.0, &first);
            let factor = Factor {
                value: estimate.value,
                interval: intervals::linear(&estimate),
                scale: Scale::Linear,
                estimate,
                trust: Trust::Measured,
                how: self.how("Difference of net areas"),
            };
            Some(Comparison { of, to: 0, factor })
        };
        nets.iter().enumerate().skip(1).filter_map(compare).collect()
    }

    fn body(&self) -> Option<Body> {
        let counts: Vec<usize> = {
            let mut counts: Vec<usize> = self
                .problem
                .tests
                .iter()
                .filter(|test| matches!(test.configuration.below, Below::Body { .. }))
                .map(|test| test.configuration.canopies.len())
                .collect();
            counts.sort_unstable();
            counts.dedup();
            counts
        };
        if counts.is_empty() {
            return None;
        }
        let mixed = |count: &usize| Shielded {
            count: *count,
            distance_m: None,
            share: Known::NotTold(said::body_not_told()),
        };
        let index = self.layout().at(&Parameter::Body).filter(|_| self.layout().form == BodyForm::Split);
        let Some(index) = index else {
            let shielded = counts.iter().map(mixed).collect();
            return Some(Body { area: Known::NotTold(said::body_not_told()), shielded });
        };
        let body = self.free.parameter(self.problem, index);
        let area = Factor { value: self.inside.at[index], ..self.body_factor(&body) };
        let shielded = counts
            .iter()
            .filter(|count| **count > 0)
            .map(|count| self.shielded(*count, &body, self.inside.at[index]))
            .collect();
        Some(Body { area: Known::Told(area), shielded })
    }

    /// B: on a log scale where it is well above 0, as the tests of the body alone make it.
    fn body_factor(&self, body: &Estimate) -> Factor {
        let how = self.how("Drag area of the body");
        if body.value > 3.0 * body.standard_uncertainty() {
            return log_factor(body.mapped(maths::ln(body.value), 1.0 / body.value), Trust::Measured, how);
        }
        Factor {
            value: body.value,
            interval: intervals::linear(body).within(0.0, f64::INFINITY),
            scale: Scale::Linear,
            estimate: body.clone(),
            trust: Trust::Measured,
            how,
        }
    }

    fn shielded(&self, count: usize, body: &Estimate, body_inside: f64) -> Shielded {
        let index = self.layout().at(&Parameter::Shadow(count)).expect("laid out together");
        let distance_m = distance_m(self.layout().shortest(count));
        if !self.free.told[index] {
            let reason = said::net_not_told(count, &[]);
            return Shielded { count, distance_m, share: Known::NotTold(reason) };
        }
        let shadow = self.free.parameter(self.problem, index);
        let estimate = intervals::quotient_estimate(&shadow, body, shadow.value / body.value);
        let value =
            if body_inside > 0.0 { (self.inside.at[index] / body_inside).clamp(0.0, 1.0) } else { 0.0 };
        let whole = Interval { low: 0.0, high: 1.0 };
        let interval = intervals::quotient(&shadow, body).map_or(whole, |interval| interval.within(0.0, 1.0));
        let factor = Factor {
            value,
            interval,
            scale: Scale::Linear,
            estimate,
            trust: Trust::Measured,
            how: self.how("Share of the body's drag lost to its wake on the canopies (Fieller's interval)"),
        };
        Shielded { count, distance_m, share: Known::Told(factor) }
    }
}
