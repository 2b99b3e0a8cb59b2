//! Least squares with a full covariance: Gauss-Newton with halved steps, rank by the eigenvalues of the information.
//!
//! χ² = rᵀ V⁻¹ r over the tests plus Σ (θ_k − p_k)²/u_k² over what is known beforehand. Directions in which the
//! information is nothing are left where they started, so what the data do tell is right nevertheless.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn, SymmetricEigen};

use super::TestArea;
use super::parameters::{Hold, Layout};
use crate::ledger::{Estimate, LedgerId, Part};
use crate::maths;

/// Added to each variance of ln D: 10⁻⁵ of it, so that tests that share everything leave the covariance regular.
const LEAST_VARIANCE: f64 = 1e-10;
/// An eigenvalue below this share of the largest is nothing.
const RANK_TOLERANCE: f64 = 1e-9;
/// What has more than this of its square in directions of no information is not told.
const TOLD_TOLERANCE: f64 = 1e-6;

/// Something known of one parameter before the tests.
#[derive(Clone, Debug)]
pub(super) struct Beforehand {
    pub(super) parameter: usize,
    pub(super) value: f64,
    pub(super) sd: f64,
    pub(super) id: LedgerId,
}

/// The least-squares problem.
pub(super) struct Problem<'a> {
    pub(super) tests: &'a [TestArea],
    pub(super) layout: &'a Layout,
    pub(super) beforehand: &'a [Beforehand],
    factor: Cholesky<f64, Dyn>,
}

/// Where it ended.
pub(super) struct Solution {
    pub(super) at: DVector<f64>,
    pub(super) chi_squared: f64,
    /// ∂θ/∂(tests, then beforehand).
    gain: DMatrix<f64>,
    /// Whether the information, `beforehand` included, tells each parameter.
    pub(super) told: Vec<bool>,
    /// Number of directions told.
    pub(super) rank: usize,
    information: Information,
}

impl<'a> Problem<'a> {
    pub(super) fn new(tests: &'a [TestArea], layout: &'a Layout, beforehand: &'a [Beforehand]) -> Self {
        let covariance = DMatrix::from_fn(tests.len(), tests.len(), |i, j| {
            tests[i].ln_area.covariance(&tests[j].ln_area) + if i == j { LEAST_VARIANCE } else { 0.0 }
        });
        let factor =
            Cholesky::new(covariance).expect("a sum of outer products with a positive diagonal added");
        Problem { tests, layout, beforehand, factor }
    }

    /// Whitened residuals and slopes at a point, slopes of held parameters left out.
    fn whitened(&self, at: &DVector<f64>, holds: &[Hold]) -> Option<(DVector<f64>, DMatrix<f64>)> {
        let (values, slopes) = self.layout.predict(self.tests, at, holds)?;
        let observed = DVector::from_iterator(self.tests.len(), self.tests.iter().map(|t| t.ln_area.value));
        let lower = self.factor.l();
        let residual = lower.solve_lower_triangular(&(observed - values)).expect("a Cholesky factor");
        let slopes = lower.solve_lower_triangular(&slopes).expect("a Cholesky factor");
        let (m, k) = (self.tests.len(), self.beforehand.len());
        let mut all_residuals = DVector::zeros(m + k);
        all_residuals.rows_mut(0, m).copy_from(&residual);
        let mut all_slopes = DMatrix::zeros(m + k, at.len());
        all_slopes.rows_mut(0, m).copy_from(&slopes);
        for (row, known) in self.beforehand.iter().enumerate() {
            all_residuals[m + row] = (known.value - at[known.parameter]) / known.sd;
            all_slopes[(m + row, known.parameter)] = 1.0 / known.sd;
        }
        for (column, hold) in holds.iter().enumerate() {
            if *hold != Hold::Free {
                all_slopes.column_mut(column).fill(0.0);
            }
        }
        Some((all_residuals, all_slopes))
    }

    /// The least-squares point with these bounds active.
    pub(super) fn solve(&self, start: &DVector<f64>, holds: &[Hold]) -> Solution {
        let mut at = start.clone();
        let (mut residual, mut slopes) =
            self.whitened(&at, holds).expect("the start has a positive drag area in every test");
        for _ in 0..200 {
            let step = Information::of(&slopes).inverse_times(&slopes.transpose()) * &residual;
            let moved = (1..=40).map(|halvings| maths::pow(0.5, f64::from(halvings - 1))).find_map(|share| {
                let next = &at + share * &step;
                let (r, j) = self.whitened(&next, holds)?;
                (r.norm_squared() <= residual.norm_squared()).then_some((next, r, j))
            });
            let Some((next, next_residual, next_slopes)) = moved else { break };
            let change = (&next - &at).amax();
            (at, residual, slopes) = (next, next_residual, next_slopes);
            if change < 1e-13 {
                break;
            }
        }
        let information = Information::of(&slopes);
        let whitened_gain = information.inverse_times(&slopes.transpose());
        let (m, k) = (self.tests.len(), self.beforehand.len());
        let inverse_factor =
            self.factor.l().solve_lower_triangular(&DMatrix::identity(m, m)).expect("a Cholesky factor");
        let mut gain = DMatrix::zeros(at.len(), m + k);
        gain.columns_mut(0, m).copy_from(&(whitened_gain.columns(0, m) * inverse_factor));
        for (row, known) in self.beforehand.iter().enumerate() {
            gain.column_mut(m + row).copy_from(&(whitened_gain.column(m + row) / known.sd));
        }
        Solution {
            chi_squared: residual.norm_squared(),
            told: information.told(),
            rank: information.rank(),
            information,
            at,
            gain,
        }
    }
}

impl Solution {
    /// Whether the information tells what has these slopes over the parameters: a sum may be told where its parts are not.
    pub(super) fn tells(&self, slopes: &DVector<f64>) -> bool {
        self.information.tells(slopes)
    }

    /// An estimate of value `value` whose slopes over the parameters are `slopes`.
    pub(super) fn estimate(&self, problem: &Problem, value: f64, slopes: &DVector<f64>) -> Estimate {
        let weights = self.gain.transpose() * slopes;
        let mut parts: std::collections::BTreeMap<LedgerId, Part> = std::collections::BTreeMap::new();
        let mut add = |id: &LedgerId, signed: f64, dof: f64| {
            let part = parts.entry(id.clone()).or_insert(Part { signed: 0.0, dof });
            part.signed += signed;
            part.dof = part.dof.min(dof);
        };
        for (weight, test) in weights.iter().zip(problem.tests) {
            for (id, part) in &test.ln_area.parts {
                add(id, weight * part.signed, part.dof);
            }
        }
        for (weight, known) in weights.iter().skip(problem.tests.len()).zip(problem.beforehand) {
            add(&known.id, weight * known.sd, f64::INFINITY);
        }
        let largest = parts.values().map(|part| part.signed.abs()).fold(0.0, f64::max);
        parts.retain(|_, part| part.signed.abs() > 1e-12 * largest);
        Estimate { value, parts }
    }

    /// The estimate of one parameter.
    pub(super) fn parameter(&self, problem: &Problem, index: usize) -> Estimate {
        let mut slopes = DVector::zeros(self.at.len());
        slopes[index] = 1.0;
        self.estimate(problem, self.at[index], &slopes)
    }
}

/// JᵀJ with its columns brought to one length, split into what it tells and what it does not.
struct Information {
    scale: DVector<f64>,
    eigen: SymmetricEigen<f64, Dyn>,
    least: f64,
}

impl Information {
    fn of(slopes: &DMatrix<f64>) -> Self {
        let scale = DVector::from_iterator(
            slopes.ncols(),
            slopes.column_iter().map(|column| match column.norm() {
                length if length > 0.0 => length,
                _ => 1.0,
            }),
        );
        let scaled = DMatrix::from_fn(slopes.nrows(), slopes.ncols(), |i, j| slopes[(i, j)] / scale[j]);
        let eigen = SymmetricEigen::new(scaled.transpose() * scaled);
        let least = RANK_TOLERANCE * eigen.eigenvalues.amax();
        Information { scale, eigen, least }
    }

    /// (JᵀJ)⁺ times `right`.
    fn inverse_times(&self, right: &DMatrix<f64>) -> DMatrix<f64> {
        let vectors = &self.eigen.eigenvectors;
        let scaled = DMatrix::from_fn(right.nrows(), right.ncols(), |i, j| right[(i, j)] / self.scale[i]);
        let mut turned = vectors.transpose() * scaled;
        for (mut row, value) in turned.row_iter_mut().zip(self.eigen.eigenvalues.iter()) {
            row *= if *value > self.least { 1.0 / value } else { 0.0 };
        }
        let back = vectors * turned;
        DMatrix::from_fn(back.nrows(), back.ncols(), |i, j| back[(i, j)] / self.scale[i])
    }

    fn rank(&self) -> usize {
        self.eigen.eigenvalues.iter().filter(|value| **value > self.least).count()
    }

    fn told(&self) -> Vec<bool> {
        let count = self.scale.len();
        (0..count)
            .map(|i| self.tells(&DVector::from_fn(count, |k, _| if k == i { 1.0 } else { 0.0 })))
            .collect()
    }

    fn tells(&self, slopes: &DVector<f64>) -> bool {
        let scaled = slopes.component_div(&self.scale);
        let silent = (0..self.scale.len()).filter(|&k| self.eigen.eigenvalues[k] <= self.least);
        let outside: f64 = silent.map(|k| self.eigen.eigenvectors.column(k).dot(&scaled).powi(2)).sum();
        outside <= TOLD_TOLERANCE * scaled.norm_squared()
    }
}
