//! Linear least squares: y = X β + e.
//!
//! The rows are made alike first (by the square root of their weights, or by the Cholesky factor of their
//! covariance), the columns scaled to length one, and β found by Householder's QR, never by the normal equations, whose
//! condition is the square. The covariance of β is (X'V⁻¹X)⁻¹, times s² = Σ r² / (n − k) where the errors' size is
//! not stated.
//!
//! Source: Å. Björck, Numerical Methods for Least Squares Problems (1996), chapters 2 and 4; textbook material.
//! X is n rows by k columns with n at least k; units are the caller's.

use nalgebra::{DMatrix, DVector};
use thiserror::Error;

use crate::maths::sqrt;

/// What is known of the errors.
#[derive(Clone, Copy, Debug)]
pub enum Errors<'a> {
    /// Alike and independent, their size unknown.
    Alike,
    /// Independent, variances as the inverse of these weights times an unknown factor.
    Weights(&'a [f64]),
    /// This covariance, n by n, its size included.
    Covariance(&'a DMatrix<f64>),
}

/// Why there is no fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum FitError {
    /// Lengths that do not belong together.
    #[error("{rows} rows of the design, {values} values and {errors} errors; they must be as many")]
    Lengths {
        /// Rows of the design.
        rows: usize,
        /// Values.
        values: usize,
        /// Weights, or rows of the covariance.
        errors: usize,
    },
    /// Too few rows.
    #[error("{rows} rows for {columns} coefficients; at least as many rows are needed")]
    TooFew {
        /// Rows of the design.
        rows: usize,
        /// Columns of the design.
        columns: usize,
    },
    /// A column is a combination of those before it.
    #[error("column {column} of the design follows from those before it; its coefficient cannot be told")]
    Collinear {
        /// The column, counted from 0.
        column: usize,
    },
    /// A weight that is not above 0, or a covariance that is not positive definite.
    #[error("a weight that is not above 0 or a covariance that is not positive definite")]
    NotPositive,
}

/// A fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// β, k values.
    pub coefficients: DVector<f64>,
    /// Covariance of β, k by k.
    pub covariance: DMatrix<f64>,
    /// y − X β, n values, in the unit of y.
    pub residuals: DVector<f64>,
    /// Σ of squared residuals, each over its variance where that is stated, times its weight where those are.
    pub chi_squared: f64,
    /// n − k.
    pub degrees_of_freedom: usize,
}

impl Fit {
    /// √(Σ r² / (n − k)) of the rows made alike; `None` without a degree of freedom.
    pub fn residual_standard_deviation(&self) -> Option<f64> {
        (self.degrees_of_freedom > 0).then(|| sqrt(self.chi_squared / self.degrees_of_freedom as f64))
    }

    /// Standard uncertainty of a coefficient.
    pub fn standard_error(&self, coefficient: usize) -> f64 {
        sqrt(self.covariance[(coefficient, coefficient)])
    }

    /// Value and standard uncertainty of the fitted function where the design has this row.
    pub fn at(&self, row: &DVector<f64>) -> (f64, f64) {
        (row.dot(&self.coefficients), sqrt(row.dot(&(&self.covariance * row)).max(0.0)))
    }
}

/// Fits y = X β.
///
/// # Errors
/// [`FitError`]; a column counts as following from the others when less than 1e-13 of its length is left.
///
/// # Examples
/// ```
/// use nalgebra::{dmatrix, dvector};
/// use silkfall_core::stats::regression::{Errors, fit};
///
/// // y = 1 + 2 x with a residual of 1, -2, 1 over 3: the line through (0, 1.33), (1, 2.33), (2, 5.33).
/// let line = fit(&dmatrix![1.0, 0.0; 1.0, 1.0; 1.0, 2.0], &dvector![4.0 / 3.0, 7.0 / 3.0, 16.0 / 3.0], Errors::Alike)?;
/// assert!((line.coefficients[0] - 1.0).abs() < 1e-12 && (line.coefficients[1] - 2.0).abs() < 1e-12);
/// assert!((line.chi_squared - 6.0 / 9.0).abs() < 1e-12);
/// # Ok::<(), silkfall_core::stats::regression::FitError>(())
/// ```
pub fn fit(design: &DMatrix<f64>, values: &DVector<f64>, errors: Errors) -> Result<Fit, FitError> {
    let (rows, columns) = design.shape();
    let errors_given = match errors {
        Errors::Alike => rows,
        Errors::Weights(weights) => weights.len(),
        Errors::Covariance(covariance) if covariance.is_square() => covariance.nrows(),
        Errors::Covariance(_) => 0,
    };
    if values.len() != rows || errors_given != rows {
        return Err(FitError::Lengths { rows, values: values.len(), errors: errors_given });
    }
    if rows < columns {
        return Err(FitError::TooFew { rows, columns });
    }
    let (mut alike, right) = make_alike(design, values, errors)?;
    let lengths: Vec<f64> = alike.column_iter().map(|column| column.norm()).collect();
    for (column, length) in lengths.iter().enumerate() {
        let is_long = *length > 0.0;
        if !is_long {
            return Err(FitError::Collinear { column });
        }
        alike.column_mut(column).unscale_mut(*length);
    }

    let qr = alike.clone().qr();
    let triangle = qr.r();
    if let Some(column) = (0..columns).find(|&i| triangle[(i, i)].abs() < 1e-13) {
        return Err(FitError::Collinear { column });
    }
    let solve = |right: &DVector<f64>| {
        let mut turned = right.clone();
        qr.q_tr_mul(&mut turned);
        triangle.solve_upper_triangular(&turned.rows(0, columns)).expect("no diagonal element is 0")
    };
    let mut scaled = solve(&right);
    // One step of refinement wins back a digit or two in ill-conditioned problems.
    scaled += solve(&(&right - &alike * &scaled));
    let left = &right - &alike * &scaled;

    let inverse = triangle
        .solve_upper_triangular(&DMatrix::identity(columns, columns))
        .expect("no diagonal element is 0");
    let chi_squared = left.norm_squared();
    let degrees_of_freedom = rows - columns;
    let size = match errors {
        Errors::Covariance(_) => 1.0,
        Errors::Alike | Errors::Weights(_) => chi_squared / degrees_of_freedom.max(1) as f64,
    };
    let unscale = |i: usize, j: usize| size / (lengths[i] * lengths[j]);
    let mut covariance = &inverse * inverse.transpose();
    for i in 0..columns {
        for j in 0..columns {
            covariance[(i, j)] *= unscale(i, j);
        }
    }
    let coefficients = DVector::from_fn(columns, |i, _| scaled[i] / lengths[i]);
    let residuals = values - design * &coefficients;
    Ok(Fit { coefficients, covariance, residuals, chi_squared, degrees_of_freedom })
}

/// Rows and values with errors that are alike and independent.
fn make_alike(
    design: &DMatrix<f64>,
    values: &DVector<f64>,
    errors: Errors,
) -> Result<(DMatrix<f64>, DVector<f64>), FitError> {
    match errors {
        Errors::Alike => Ok((design.clone(), values.clone())),
        Errors::Weights(weights) => {
            let all_above_0 = weights.iter().all(|&weight| weight > 0.0);
            if !all_above_0 {
                return Err(FitError::NotPositive);
            }
            let root = DVector::from_iterator(weights.len(), weights.iter().map(|&weight| sqrt(weight)));
            let mut alike = design.clone();
            for mut column in alike.column_iter_mut() {
                column.component_mul_assign(&root);
            }
            Ok((alike, values.component_mul(&root)))
        }
        Errors::Covariance(covariance) => {
            let factor = covariance.clone().cholesky().ok_or(FitError::NotPositive)?.unpack();
            let solved = |right: &DMatrix<f64>| factor.solve_lower_triangular(right);
            let alike = solved(design).ok_or(FitError::NotPositive)?;
            let right = factor.solve_lower_triangular(values).ok_or(FitError::NotPositive)?;
            Ok((alike, right))
        }
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::{dmatrix, dvector};

    use super::*;

    #[test]
    fn what_cannot_be_told_apart_is_said() {
        let twice = dmatrix![1.0, 2.0; 1.0, 2.0; 1.0, 2.0];
        assert_eq!(
            fit(&twice, &dvector![1.0, 2.0, 3.0], Errors::Alike),
            Err(FitError::Collinear { column: 1 })
        );
        let empty = dmatrix![0.0; 0.0];
        assert_eq!(fit(&empty, &dvector![1.0, 2.0], Errors::Alike), Err(FitError::Collinear { column: 0 }));
    }

    #[test]
    fn lengths_and_weights_are_checked() {
        let design = dmatrix![1.0; 1.0];
        let values = dvector![1.0, 2.0];
        let wrong = fit(&design, &values, Errors::Weights(&[1.0]));
        assert_eq!(wrong, Err(FitError::Lengths { rows: 2, values: 2, errors: 1 }));
        assert_eq!(fit(&design, &values, Errors::Weights(&[1.0, 0.0])), Err(FitError::NotPositive));
        let indefinite = dmatrix![1.0, 2.0; 2.0, 1.0];
        assert_eq!(fit(&design, &values, Errors::Covariance(&indefinite)), Err(FitError::NotPositive));
        let few = fit(&dmatrix![1.0, 0.0], &dvector![1.0], Errors::Alike);
        assert_eq!(few, Err(FitError::TooFew { rows: 1, columns: 2 }));
    }

    #[test]
    fn a_mean_with_stated_covariance_keeps_its_size() {
        // Two values of variance 1 and 4: weights 4/5 and 1/5, variance 4/5, whatever the residuals.
        let variances = dmatrix![1.0, 0.0; 0.0, 4.0];
        let mean = fit(&dmatrix![1.0; 1.0], &dvector![0.0, 5.0], Errors::Covariance(&variances)).unwrap();
        assert!((mean.coefficients[0] - 1.0).abs() < 1e-12);
        assert!((mean.covariance[(0, 0)] - 0.8).abs() < 1e-12);
        assert!((mean.chi_squared - 5.0).abs() < 1e-12);
    }
}
