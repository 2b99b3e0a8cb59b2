//! The factors of the model as numbered parameters, and ln D of a test with its slopes.

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector};

use super::{Below, Canopy, Configuration, TestArea};
use crate::maths;

/// The exponent of the wake's deficit with distance.
const WAKE_EXPONENT: f64 = 2.0 / 3.0;

/// One number to be found.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Parameter {
    /// ln of the mean area of a kind.
    LnKind(String),
    /// ln of a canopy's area less that of its kind's mean.
    Difference(Canopy),
    /// ln η_n.
    LnCluster(usize),
    /// (1 − κ) B under a count at a distance, m².
    Net(usize, Distance),
    /// B, m².
    Body,
    /// κ_n B at the shortest distance under that count, m².
    Shadow(usize),
}

/// A distance as a key: whole tenths of a millimetre, so that 1.2 m is 1.2 m however it was written.
pub(super) type Distance = Option<i64>;

pub(super) fn distance_key(distance_m: Option<f64>) -> Distance {
    distance_m.map(|m| (m * 1e4).round() as i64)
}

pub(super) fn distance_m(key: Distance) -> Option<f64> {
    key.map(|tenths| tenths as f64 / 1e4)
}

/// How the body stands in the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum BodyForm {
    /// A net area for each count and distance.
    Net,
    /// B, and a shadow for each count.
    Split,
}

/// A bound that is active, in place of the parameter's own value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Hold {
    /// The parameter is free.
    Free,
    /// A net area, or B, is nothing.
    Nothing,
    /// A shadow is this share of B.
    ShareOfBody(f64),
}

/// The parameters of a set of tests.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    pub(super) parameters: Vec<Parameter>,
    pub(super) form: BodyForm,
    index: BTreeMap<Parameter, usize>,
    shortest: BTreeMap<usize, Distance>,
}

impl Layout {
    pub(super) fn new(tests: &[TestArea], form: BodyForm) -> Self {
        let mut parameters = std::collections::BTreeSet::new();
        let mut shortest: BTreeMap<usize, Distance> = BTreeMap::new();
        for TestArea { configuration, .. } in tests {
            let count = configuration.canopies.len();
            for canopy in &configuration.canopies {
                parameters.insert(Parameter::LnKind(canopy.kind.clone()));
                parameters.insert(Parameter::Difference(canopy.clone()));
            }
            if count > 1 {
                parameters.insert(Parameter::LnCluster(count));
            }
            let Below::Body { distance_m } = configuration.below else { continue };
            let distance = distance_key(distance_m);
            match (count, form) {
                (0, _) => drop(parameters.insert(Parameter::Body)),
                (_, BodyForm::Net) => drop(parameters.insert(Parameter::Net(count, distance))),
                (_, BodyForm::Split) => {
                    parameters.insert(Parameter::Body);
                    parameters.insert(Parameter::Shadow(count));
                    let least = shortest.entry(count).or_insert(distance);
                    *least = (*least).min(distance);
                }
            }
        }
        let parameters: Vec<Parameter> = parameters.into_iter().collect();
        let index = parameters.iter().cloned().enumerate().map(|(i, p)| (p, i)).collect();
        Layout { parameters, form, index, shortest }
    }

    pub(super) fn at(&self, parameter: &Parameter) -> Option<usize> {
        self.index.get(parameter).copied()
    }

    fn place(&self, parameter: &Parameter) -> usize {
        self.at(parameter).expect("every parameter of a test is laid out from the same tests")
    }

    /// The shortest distance tested under a count: where its κ is for.
    pub(super) fn shortest(&self, count: usize) -> Distance {
        self.shortest.get(&count).copied().flatten()
    }

    /// (x_n/x)^(2/3): what is left of the shadow at this distance.
    pub(super) fn fading(&self, count: usize, distance: Distance) -> f64 {
        match (self.shortest(count), distance) {
            (Some(shortest), Some(distance)) if shortest > 0 => {
                maths::pow(shortest as f64 / distance as f64, WAKE_EXPONENT)
            }
            _ => 1.0,
        }
    }

    /// Somewhere sensible to start from: areas as if η were 1 and the body a fifth of what brakes.
    pub(super) fn start(&self, tests: &[TestArea]) -> DVector<f64> {
        let mut at = DVector::zeros(self.parameters.len());
        let area = |test: &TestArea| maths::exp(test.ln_area.value);
        for (i, parameter) in self.parameters.iter().enumerate() {
            let has = |test: &&TestArea| match parameter {
                Parameter::LnKind(kind) => test.configuration.canopies.iter().any(|c| &c.kind == kind),
                Parameter::Net(count, distance) => {
                    matches!(test.configuration.below, Below::Body { distance_m } if distance_key(distance_m) == *distance)
                        && test.configuration.canopies.len() == *count
                }
                Parameter::Body | Parameter::Shadow(_) => {
                    matches!(test.configuration.below, Below::Body { .. })
                }
                Parameter::Difference(_) | Parameter::LnCluster(_) => false,
            };
            let bare_first = |test: &&TestArea| match test.configuration.below {
                Below::Weight => 0,
                Below::Body { .. } => 1,
            };
            let Some(test) = tests.iter().filter(has).min_by_key(bare_first) else { continue };
            let total = area(test);
            let count = test.configuration.canopies.len();
            at[i] = match parameter {
                Parameter::LnKind(_) => {
                    let share = if test.configuration.below == Below::Weight { 1.0 } else { 0.8 };
                    maths::ln(share * total / count as f64)
                }
                Parameter::Body if count == 0 => total,
                Parameter::Shadow(_) => 0.05 * total,
                _ => 0.2 * total,
            };
        }
        at
    }

    /// The canopies' drag area, and its slopes put into `slopes`.
    fn canopies(&self, canopies: &[Canopy], at: &DVector<f64>, mut slopes: Option<&mut DVector<f64>>) -> f64 {
        let cluster = (canopies.len() > 1).then(|| self.place(&Parameter::LnCluster(canopies.len())));
        let factor = cluster.map_or(1.0, |i| maths::exp(at[i]));
        let mut sum = 0.0;
        for canopy in canopies {
            let kind = self.place(&Parameter::LnKind(canopy.kind.clone()));
            let own = self.place(&Parameter::Difference(canopy.clone()));
            let area = factor * maths::exp(at[kind] + at[own]);
            sum += area;
            if let Some(slopes) = slopes.as_deref_mut() {
                slopes[kind] += area;
                slopes[own] += area;
            }
        }
        if let (Some(i), Some(slopes)) = (cluster, slopes) {
            slopes[i] += sum;
        }
        sum
    }

    /// What the body adds, and its slopes.
    fn body(
        &self,
        configuration: &Configuration,
        at: &DVector<f64>,
        holds: &[Hold],
        slopes: &mut DVector<f64>,
    ) -> f64 {
        let Below::Body { distance_m } = configuration.below else { return 0.0 };
        let (count, distance) = (configuration.canopies.len(), distance_key(distance_m));
        let mut linear = |parameter: &Parameter, slope: f64| {
            let i = self.place(parameter);
            if holds[i] == Hold::Nothing {
                return 0.0;
            }
            slopes[i] += slope;
            slope * at[i]
        };
        if count == 0 {
            return linear(&Parameter::Body, 1.0);
        }
        if self.form == BodyForm::Net {
            return linear(&Parameter::Net(count, distance), 1.0);
        }
        let fading = self.fading(count, distance);
        match holds[self.place(&Parameter::Shadow(count))] {
            Hold::ShareOfBody(share) => linear(&Parameter::Body, 1.0 - share * fading),
            _ => linear(&Parameter::Body, 1.0) + linear(&Parameter::Shadow(count), -fading),
        }
    }

    /// ln D of a configuration and its slopes; `None` where D would not be above 0.
    pub(super) fn ln_area(
        &self,
        configuration: &Configuration,
        at: &DVector<f64>,
        holds: &[Hold],
    ) -> Option<(f64, DVector<f64>)> {
        let mut slopes = DVector::zeros(self.parameters.len());
        let canopies = self.canopies(&configuration.canopies, at, Some(&mut slopes));
        let total = canopies + self.body(configuration, at, holds, &mut slopes);
        (total > 0.0 && total.is_finite()).then(|| (maths::ln(total), slopes / total))
    }

    /// ln of the canopies' part alone, of mean canopies of these kinds, and its slopes.
    pub(super) fn ln_mean_canopies(&self, canopies: &[Canopy], at: &DVector<f64>) -> (f64, DVector<f64>) {
        let mut mean = at.clone();
        for (i, parameter) in self.parameters.iter().enumerate() {
            if matches!(parameter, Parameter::Difference(_)) {
                mean[i] = 0.0;
            }
        }
        let mut slopes = DVector::zeros(self.parameters.len());
        let total = self.canopies(canopies, &mean, Some(&mut slopes));
        for (i, parameter) in self.parameters.iter().enumerate() {
            if matches!(parameter, Parameter::Difference(_)) {
                slopes[i] = 0.0;
            }
        }
        (maths::ln(total), slopes / total)
    }

    /// The net area under a count at a distance, and its slopes.
    pub(super) fn net(&self, count: usize, distance: Distance, at: &DVector<f64>) -> (f64, DVector<f64>) {
        let configuration = Configuration {
            canopies: vec![Canopy { kind: String::new(), serial: String::new() }; count],
            below: Below::Body { distance_m: distance_m(distance) },
        };
        let mut slopes = DVector::zeros(self.parameters.len());
        let free = vec![Hold::Free; self.parameters.len()];
        let net = self.body(&configuration, at, &free, &mut slopes);
        (net, slopes)
    }

    /// Jacobian of ln D over the tests; `None` where some D would not be above 0.
    pub(super) fn predict(
        &self,
        tests: &[TestArea],
        at: &DVector<f64>,
        holds: &[Hold],
    ) -> Option<(DVector<f64>, DMatrix<f64>)> {
        let mut values = DVector::zeros(tests.len());
        let mut jacobian = DMatrix::zeros(tests.len(), self.parameters.len());
        for (row, test) in tests.iter().enumerate() {
            let (ln_area, slopes) = self.ln_area(&test.configuration, at, holds)?;
            values[row] = ln_area;
            jacobian.set_row(row, &slopes.transpose());
        }
        Some((values, jacobian))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derivation::{Derivation, num};
    use crate::ledger::{Estimate, Trust};
    use crate::quantity::Kind;

    fn canopy(kind: &str, serial: &str) -> Canopy {
        Canopy { kind: kind.to_owned(), serial: serial.to_owned() }
    }

    fn test(canopies: &[Canopy], below: Below) -> TestArea {
        let how = Derivation {
            symbol: "D",
            meaning: String::new(),
            si: 1.0,
            kind: Kind::DragArea,
            expr: num(1.0),
            inputs: Vec::new(),
            source: Trust::Given,
        };
        TestArea {
            name: String::new(),
            configuration: Configuration { canopies: canopies.to_vec(), below },
            ln_area: Estimate::exact(0.0),
            how,
        }
    }

    /// One and two canopies of two kinds, under a weight and over the body at two distances, and the body alone.
    fn tests() -> Vec<TestArea> {
        let (a, b, c) = (canopy("round", "a"), canopy("round", "b"), canopy("cross", "c"));
        let at = |m| Below::Body { distance_m: Some(m) };
        vec![
            test(std::slice::from_ref(&a), Below::Weight),
            test(&[a.clone(), b.clone()], Below::Weight),
            test(&[c.clone(), b.clone()], at(6.0)),
            test(&[a.clone(), b], at(2.0)),
            test(&[a], at(3.0)),
            test(&[], at(1.0)),
        ]
    }

    /// A point with a value of its own for each parameter: areas near 1 m², a body of 0.8 m², shadows of some of it.
    fn point(layout: &Layout) -> DVector<f64> {
        let value = |(i, parameter): (usize, &Parameter)| match parameter {
            Parameter::Body => 0.8,
            Parameter::Shadow(count) => 0.1 + 0.07 * *count as f64,
            Parameter::Net(..) => 0.3 + 0.05 * i as f64,
            _ => 0.03 * i as f64 - 0.1,
        };
        DVector::from_iterator(layout.parameters.len(), layout.parameters.iter().enumerate().map(value))
    }

    /// A value of a point with its slopes.
    type With<'a> = dyn Fn(&DVector<f64>) -> (f64, DVector<f64>) + 'a;

    /// The largest distance of the slopes from those of small steps to both sides.
    fn slopes_off(of: &With<'_>, at: &DVector<f64>) -> f64 {
        let step = 1e-5;
        let moved = |i: usize, by: f64| {
            let mut moved = at.clone();
            moved[i] += by;
            of(&moved).0
        };
        let slopes = of(at).1;
        let off = |i: usize| ((moved(i, step) - moved(i, -step)) / (2.0 * step) - slopes[i]).abs();
        (0..at.len()).map(off).fold(0.0, f64::max)
    }

    #[test]
    fn slopes_are_those_of_small_steps_in_every_form_and_under_every_hold() {
        let tests = tests();
        for form in [BodyForm::Net, BodyForm::Split] {
            let layout = Layout::new(&tests, form);
            let at = point(&layout);
            let free = vec![Hold::Free; at.len()];
            let held = |parameter: &Parameter| match parameter {
                Parameter::Net(1, _) => Hold::Nothing,
                Parameter::Shadow(count) => Hold::ShareOfBody(0.2 * *count as f64),
                _ => Hold::Free,
            };
            for holds in [free, layout.parameters.iter().map(held).collect()] {
                for test in &tests {
                    let of = |at: &DVector<f64>| layout.ln_area(&test.configuration, at, &holds).unwrap();
                    assert!(slopes_off(&of, &at) < 1e-8, "{form:?}, {:?}", test.configuration);
                }
            }
            for (count, m) in [(1, 3.0), (2, 2.0), (2, 6.0)] {
                let of = |at: &DVector<f64>| layout.net(count, distance_key(Some(m)), at);
                assert!(slopes_off(&of, &at) < 1e-8, "net under {count} at {m}");
            }
            let two = &tests[2].configuration.canopies;
            let of = |at: &DVector<f64>| layout.ln_mean_canopies(two, at);
            assert!(slopes_off(&of, &at) < 1e-8);
        }
    }

    /// D = η Σ A + (1 − κ (x_n/x)^(2/3)) B, in numbers.
    #[test]
    fn a_drag_area_is_the_equations() {
        let tests = tests();
        let layout = Layout::new(&tests, BodyForm::Split);
        let at = point(&layout);
        let value = |parameter: Parameter| at[layout.at(&parameter).unwrap()];
        let kind = |kind: &str| value(Parameter::LnKind(kind.to_owned()));
        let own = |kind: &str, serial: &str| value(Parameter::Difference(canopy(kind, serial)));
        let eta = maths::exp(value(Parameter::LnCluster(2)));
        let pair = eta
            * (maths::exp(kind("cross") + own("cross", "c")) + maths::exp(kind("round") + own("round", "b")));
        let net = 0.8 - 0.24 * 0.480_749_857;
        let free = vec![Hold::Free; at.len()];
        let area =
            |holds: &[Hold]| maths::exp(layout.ln_area(&tests[2].configuration, &at, holds).unwrap().0);
        // (2/6)^(2/3) = 0.480 749 857: the shortest distance under two is 2 m.
        assert!((area(&free) - pair - net).abs() < 1e-9);
        let mut half = free.clone();
        half[layout.at(&Parameter::Shadow(2)).unwrap()] = Hold::ShareOfBody(0.5);
        assert!((area(&half) - pair - 0.8 * (1.0 - 0.5 * 0.480_749_857)).abs() < 1e-9);
        let mean = eta * (maths::exp(kind("cross")) + maths::exp(kind("round")));
        let of_mean = layout.ln_mean_canopies(&tests[2].configuration.canopies, &at);
        assert!((maths::exp(of_mean.0) - mean).abs() < 1e-12);
        assert!((layout.net(2, distance_key(Some(6.0)), &at).0 - net).abs() < 1e-9);
        assert!((layout.net(1, distance_key(Some(3.0)), &at).0 - (0.8 - 0.17)).abs() < 1e-12);
    }

    #[test]
    fn a_point_at_which_a_test_would_not_brake_has_no_drag_area() {
        let tests = tests();
        let layout = Layout::new(&tests, BodyForm::Split);
        let free = vec![Hold::Free; layout.parameters.len()];
        let braking = |parameter: &Parameter, value: f64| {
            let mut at = point(&layout);
            at[layout.at(parameter).unwrap()] = value;
            let braking: Vec<bool> =
                tests.iter().map(|test| layout.ln_area(&test.configuration, &at, &free).is_some()).collect();
            assert_eq!(layout.predict(&tests, &at, &free).is_some(), !braking.contains(&false));
            braking
        };
        assert_eq!(braking(&Parameter::Body, 0.8), [true; 6]);
        assert_eq!(braking(&Parameter::Body, -9.0), [true, true, false, false, false, false]);
        assert_eq!(braking(&Parameter::Body, 0.0), [true, true, true, true, true, false]);
        let endless = Parameter::LnKind("round".to_owned());
        assert_eq!(braking(&endless, 1e3), [false, false, false, false, false, true]);
    }

    #[test]
    fn a_shadow_fades_only_between_stated_distances_of_some_length() {
        let body = |m| Below::Body { distance_m: m };
        let fading = |shortest, at| {
            let tests = [test(&[canopy("round", "a")], body(shortest))];
            Layout::new(&tests, BodyForm::Split).fading(1, distance_key(at))
        };
        // 8^(−2/3) is a quarter.
        assert!((fading(Some(0.5), Some(4.0)) - 0.25).abs() < 1e-12);
        for (shortest, at) in
            [(None, None), (Some(0.0), Some(0.0)), (Some(0.0), Some(2.0)), (Some(2.0), None)]
        {
            assert!((fading(shortest, at) - 1.0).abs() < 1e-15, "{shortest:?}, {at:?}");
        }
    }

    #[test]
    fn the_search_begins_where_every_test_has_a_drag_area() {
        let mut tests = tests();
        for (i, test) in tests.iter_mut().enumerate() {
            test.ln_area.value = [0.0, 0.7, 0.9, 1.0, 0.3, -0.5][i];
        }
        for form in [BodyForm::Net, BodyForm::Split] {
            let layout = Layout::new(&tests, form);
            let at = layout.start(&tests);
            let free = vec![Hold::Free; at.len()];
            assert!(layout.predict(&tests, &at, &free).is_some(), "{form:?}");
            // One under a weight is that canopy; of a kind seen only with the body canopies make four fifths.
            let near = |parameter: &Parameter, want: f64| {
                assert!((at[layout.at(parameter).unwrap()] - want).abs() < 1e-12, "{parameter:?}");
            };
            near(&Parameter::LnKind("round".to_owned()), 0.0);
            near(&Parameter::LnKind("cross".to_owned()), 0.9 + maths::ln(0.8 / 2.0));
            near(&Parameter::LnCluster(2), 0.0);
            // The body makes a fifth of the first test with it, and adds something under every count.
            let of_first = if form == BodyForm::Split {
                Parameter::Body
            } else {
                Parameter::Net(2, distance_key(Some(6.0)))
            };
            near(&of_first, 0.2 * maths::exp(0.9));
            for (count, m) in [(1, 3.0), (2, 2.0), (2, 6.0)] {
                assert!(layout.net(count, distance_key(Some(m)), &at).0 > 0.0, "{count} at {m}");
            }
        }
        // Seen alone before it is seen with canopies, it begins as seen.
        tests.rotate_right(1);
        for form in [BodyForm::Net, BodyForm::Split] {
            let layout = Layout::new(&tests, form);
            let body = layout.start(&tests)[layout.at(&Parameter::Body).unwrap()];
            assert!((body - maths::exp(-0.5)).abs() < 1e-12, "{form:?}: {body}");
        }
    }
}
