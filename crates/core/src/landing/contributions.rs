//! What contributes most to where it comes down: ranked from the trials themselves.
//!
//! Inputs are drawn independently, so the share of the variance of a place x that an input z explains to first order is
//! c = cov(x, z)²/(var x · var z), taken over east and north together, each weighted by its variance (standardised
//! regression coefficients; Saltelli et al., Global Sensitivity Analysis (2008), section 1.2.5, from memory). What no
//! input explains alone, products and curvature among it, and what is drawn outside the ledger (wind by level,
//! heading, gusts) is the remainder, and is named so. An input that explains less than chance would is left out:
//! of n worlds or flights a bystander explains 1/n in the mean.

use super::falls::Falls;
use crate::cases::draws::Draws;
use crate::ledger::LedgerId;

/// An input must explain so many times 1/n to be named: chance exceeds it once in two thousand inputs.
const ABOVE_CHANCE: f64 = 12.0;

/// A share of the variance of the place.
#[derive(Clone, Debug, PartialEq)]
pub struct Contribution {
    /// The ledger's entry; `None`: what no entry explains alone.
    pub id: Option<LedgerId>,
    /// Share of the variance of the place, 0 to 1.
    pub share: f64,
}

/// Shares of the variance of the place, the largest first, the remainder last.
pub(super) fn rank(falls: &Falls, draws: &Draws, flights: usize) -> Vec<Contribution> {
    let landed: Vec<usize> =
        falls.trials().iter().enumerate().filter(|(_, fall)| fall.is_some()).map(|(i, _)| i).collect();
    let columns = [0, 1].map(|axis| centred(falls.landed().map(|fall| fall.place_m[axis]).collect()));
    let total: f64 = columns.iter().flat_map(|column| column.iter().map(|x| x * x)).sum();
    if total <= 0.0 {
        return Vec::new();
    }
    let mut shares: Vec<Contribution> = draws
        .standard(flights)
        .filter_map(|(id, draws, independent)| {
            let draws = centred(landed.iter().map(|i| draws[*i]).collect());
            let of_draws: f64 = draws.iter().map(|z| z * z).sum();
            if of_draws <= 0.0 {
                return None;
            }
            let explained = columns.iter().map(|column| {
                let covariance: f64 = column.iter().zip(&draws).map(|(x, z)| x * z).sum();
                covariance * covariance / of_draws
            });
            let share = explained.sum::<f64>() / total;
            (share > ABOVE_CHANCE / independent as f64).then(|| Contribution { id: Some(id.clone()), share })
        })
        .collect();
    shares.sort_by(|a, b| b.share.total_cmp(&a.share));
    let remainder = 1.0 - shares.iter().map(|contribution| contribution.share).sum::<f64>();
    if remainder > ABOVE_CHANCE / landed.len() as f64 {
        shares.push(Contribution { id: None, share: remainder });
    }
    shares
}

fn centred(mut column: Vec<f64>) -> Vec<f64> {
    let mean = column.iter().sum::<f64>() / column.len() as f64;
    column.iter_mut().for_each(|x| *x -= mean);
    column
}
