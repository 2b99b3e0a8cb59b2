//! The statistics that the stages need.
//!
//! - [`distribution`]: quantiles of the normal, Student's t and the beta distribution;
//! - [`regression`]: linear least squares, with equal weights, with weights, with a covariance;
//! - [`random_effects`]: a mean of values that scatter by more than their own variances;
//! - [`ratio`](mod@ratio): the interval of a quotient (Fieller);
//! - [`share`]: the interval of a share of trials (Clopper and Pearson);
//! - [`sample`]: quantiles of a sample with their standard errors;
//! - [`stream`]: random draws, one stream a trial, and trials in parallel.
//!
//! Combining uncertainties by inputs, with effective degrees of freedom, is the ledger's: [`crate::ledger::Estimate`].
//! Plain `f64` throughout, in whatever unit the caller works.

pub mod distribution;
pub mod random_effects;
pub mod ratio;
pub mod regression;
pub mod sample;
pub mod share;
pub mod stream;
