//! The four words, by one rule, used on every surface.

use crate::drag::Interval;

/// Share of flights within a limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// Best estimate: over all flights of all worlds, 0 to 1.
    pub best: f64,
    /// Where the share of the one true world lies, 95 % sure.
    pub interval: Interval,
    /// At worst, 95 % sure: one-sided.
    pub at_worst: f64,
    /// The same with every value from memory at the pessimistic end of its range; `None` where nothing rests on
    /// memory, or where the limit is not met at worst anyhow.
    pub at_worst_without_memory: Option<f64>,
    /// Monte Carlo standard error of `best`.
    pub standard_error: f64,
}

impl Share {
    /// The share that is sure: at worst, and at the pessimistic end of what is remembered too. Never more than the best
    /// estimate: where few worlds hold nearly all that goes wrong, 95 of 100 do better than all together.
    pub fn surely(&self) -> f64 {
        self.best.min(self.at_worst).min(self.at_worst_without_memory.unwrap_or(1.0))
    }
}

/// Whether a limit is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// The at-worst share reaches the wanted one.
    Meets,
    /// Between the two.
    Undecided,
    /// The best estimate does not reach it.
    Misses,
    /// There is no limit: never counted as met.
    NotJudged,
}

impl Verdict {
    /// As printed.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Meets => "meets",
            Verdict::Undecided => "undecided",
            Verdict::Misses => "misses",
            Verdict::NotJudged => "not judged",
        }
    }
}

/// The rule. `judged` is the wanted share of flights with the share reached; `None` without a limit.
///
/// A value from memory never turns a miss into a hold: where something rests on memory, the share at the
/// pessimistic end of what is remembered has to reach the wanted one as well, else it is undecided.
pub fn verdict(judged: Option<(f64, &Share)>) -> Verdict {
    let Some((wanted, share)) = judged else { return Verdict::NotJudged };
    if share.best < wanted {
        return Verdict::Misses;
    }
    if share.surely() >= wanted { Verdict::Meets } else { Verdict::Undecided }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn share(best: f64, at_worst: f64, at_worst_without_memory: Option<f64>) -> Share {
        let interval = Interval { low: at_worst, high: 1.0 };
        Share { best, interval, at_worst, at_worst_without_memory, standard_error: 0.0 }
    }

    #[test]
    fn the_words_follow_the_shares() {
        let word = |best, worst, memory| verdict(Some((0.95, &share(best, worst, memory)))).word();
        assert_eq!(word(0.99, 0.96, None), "meets");
        assert_eq!(word(0.99, 0.95, None), "meets", "reaching is enough");
        assert_eq!(word(0.99, 0.949, None), "undecided");
        assert_eq!(word(0.95, 0.80, None), "undecided");
        assert_eq!(word(0.949, 0.80, None), "misses");
        assert_eq!(verdict(None).word(), "not judged");
    }

    #[test]
    fn what_is_sure_is_never_more_than_what_is_thought() {
        let surely = |best, worst, memory| share(best, worst, memory).surely().to_bits();
        assert_eq!(surely(0.97, 1.0, None), 0.97_f64.to_bits());
        assert_eq!(surely(0.97, 0.95, Some(0.96)), 0.95_f64.to_bits());
    }

    #[test]
    fn memory_alone_never_makes_it_hold() {
        let word = |memory| verdict(Some((0.95, &share(0.99, 0.96, memory)))).word();
        assert_eq!(word(Some(0.97)), "meets");
        assert_eq!(word(Some(0.95)), "meets");
        assert_eq!(word(Some(0.94)), "undecided");
    }
}
