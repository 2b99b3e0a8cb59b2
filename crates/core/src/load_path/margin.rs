//! Margins: strength over what is wanted of it, the word that follows, the weakest, and what strength would do.

use super::factors::{FACTOR_SOURCE, Factors};
use crate::cases::Verdict;
use crate::derivation::{Derivation, Input, sym};
use crate::ledger::Trust;
use crate::loads::Quantiles;
use crate::quantity::{Kind, Spread};
use crate::stats::distribution::normal_quantile;

/// Strength of one as a force, N.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strength {
    /// As rated.
    pub best_n: f64,
    /// 95 % sure: no lower.
    pub worst_n: f64,
}

/// The quantiles of a pull that is stated: a normal or a rectangle about its value, N, not below a thousandth of it.
pub fn stated_pull(value_n: f64, spread: Spread) -> Quantiles {
    let at = |share: f64| {
        let off = match spread {
            Spread::NotSaid => 0.0,
            Spread::Standard(sd) => sd * normal_quantile(share),
            Spread::Within(half) => half * (2.0 * share - 1.0),
        };
        (value_n + off).max(1e-3 * value_n)
    };
    Quantiles { low: at(0.025), median: value_n, p95: at(0.95), high: at(0.975), standard_error: 0.0 }
}

impl Strength {
    /// As rated, with what is said of its doubt: 95 % sure at the lower side; nothing said, the rating is a least one.
    pub fn rated(value: f64, spread: Spread) -> Strength {
        let lower = match spread {
            Spread::NotSaid => 0.0,
            Spread::Standard(sd) => sd * normal_quantile(0.95),
            Spread::Within(half) => 0.9 * half,
        };
        Strength { best_n: value, worst_n: (value - lower).max(0.0) }
    }
}

/// A member against its pull; 1 is just enough.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// At the median of the pull.
    pub median: f64,
    /// At the 97.5 % point of the pull.
    pub low: f64,
    /// At the 2.5 % point of the pull.
    pub high: f64,
    /// At the 95th percentile of the pull, best strength and factors.
    pub at_p95: f64,
    /// There, strength and factors at their bad ends.
    pub at_worst: f64,
}

/// The margin of `sharing` members alike.
pub fn margin(strength: Strength, sharing: usize, factors: &Factors, pull: &Quantiles) -> Margin {
    let (best, worst) = (factors.best(), factors.worst());
    let of = |strength_n: f64, factor: f64, pull_n: f64| strength_n * sharing as f64 / (factor * pull_n);
    Margin {
        median: of(strength.best_n, best, pull.median),
        low: of(strength.best_n, best, pull.high),
        high: of(strength.best_n, best, pull.low),
        at_p95: of(strength.best_n, best, pull.p95),
        at_worst: of(strength.worst_n, worst, pull.p95),
    }
}

/// The word: what is not known is undecided and never met.
pub fn verdict(margin: Option<&Margin>) -> Verdict {
    match margin {
        None => Verdict::Undecided,
        Some(margin) if margin.at_p95 < 1.0 => Verdict::Misses,
        Some(margin) if margin.at_worst >= 1.0 => Verdict::Meets,
        Some(_) => Verdict::Undecided,
    }
}

/// The worst word of several; not judged where there is none.
pub fn worst_of(verdicts: impl IntoIterator<Item = Verdict>) -> Verdict {
    // Meets, undecided, misses stand in that order.
    verdicts.into_iter().filter(|word| *word != Verdict::NotJudged).max().unwrap_or(Verdict::NotJudged)
}

/// Which of several is the weakest: the first that is not known, else that with the least margin at worst.
pub fn weakest(margins: &[Option<Margin>]) -> Option<usize> {
    let least = |(_, margin): &(usize, &Option<Margin>)| margin.map_or(f64::NEG_INFINITY, |m| m.at_worst);
    margins.iter().enumerate().min_by(|a, b| least(a).total_cmp(&least(b))).map(|(at, _)| at)
}

/// The least rated strength of one that meets, N: P = D_F F/Z with the factors at their bad ends and F the 95th percentile.
pub fn strength_that_would_do(sharing: usize, factors: &Factors, pull: &Quantiles) -> f64 {
    factors.worst() * pull.p95 / sharing as f64
}

/// M = P Z/(D_F F) with its derivation.
pub fn derive_margin(strength_n: f64, sharing: usize, factor: f64, pull_n: f64) -> Derivation {
    Derivation {
        symbol: "M",
        meaning: "strength over what is wanted of it".to_owned(),
        si: strength_n * sharing as f64 / (factor * pull_n),
        kind: Kind::Ratio,
        expr: sym("P") * sym("Z") / (sym("D_F") * sym("F")),
        inputs: vec![
            Input::new("P", "strength of one", strength_n, Kind::Force, Trust::Given),
            Input::new("Z", "how many share the pull", sharing as f64, Kind::Ratio, Trust::Given),
            Input::new("D_F", "design factor", factor, Kind::Ratio, Trust::Given),
            Input::new("F", "pull", pull_n, Kind::Force, Trust::Given),
        ],
        source: Trust::Memory(FACTOR_SOURCE.to_owned()),
    }
}

/// P = D_F F/Z with its derivation.
pub fn derive_strength_that_would_do(sharing: usize, factors: &Factors, pull: &Quantiles) -> Derivation {
    Derivation {
        symbol: "P",
        meaning: "rated strength that would do".to_owned(),
        si: strength_that_would_do(sharing, factors, pull),
        kind: Kind::Force,
        expr: sym("D_F") * sym("F") / sym("Z"),
        inputs: vec![
            Input::new("D_F", "design factor at worst", factors.worst(), Kind::Ratio, Trust::Given),
            Input::new("F", "95th percentile of the pull", pull.p95, Kind::Force, Trust::Given),
            Input::new("Z", "how many share the pull", sharing as f64, Kind::Ratio, Trust::Given),
        ],
        source: Trust::Memory(FACTOR_SOURCE.to_owned()),
    }
}
