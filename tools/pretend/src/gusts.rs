//! Air that moves: gusts as an Ornstein-Uhlenbeck process, stepped exactly.
//!
//! dw = -w dt/T + s sqrt(2/T) dB, stationary standard deviation s (m/s), correlation exp(-t/T) with T in seconds.
//! Over a step h the exact update is w' = a w + s sqrt(1 - a²) z with a = exp(-h/T) and z standard normal
//! (Uhlenbeck and Ornstein 1930, Phys. Rev. 36, 823; from memory of the paper), so the step size changes nothing
//! in the statistics. The first value is drawn from the stationary distribution. The same process serves for
//! the wind's pressure on the logger's port, in metres of height.
//!
//! Not modelled: the change of turbulence with height above ground, and gusts that are not normal.

use crate::draw::Draw;

/// How the air moves about its mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gusts {
    /// Standard deviation of the vertical air motion, m/s; 0 to 0.25 in the coverage table.
    pub vertical_sd_m_s: f64,
    /// Time over which the vertical motion forgets itself (1/e), s; 0.5 to 3 in the coverage table.
    pub correlation_s: f64,
    /// Standard deviation of the sideways air motion relative to the model, m/s. It slows the descent:
    /// the rate becomes v (1 - u²/4v²).
    pub sideways_sd_m_s: f64,
}

impl Gusts {
    /// No motion at all.
    pub const STILL: Self = Self { vertical_sd_m_s: 0.0, correlation_s: 1.0, sideways_sd_m_s: 0.0 };
}

/// A stationary Ornstein-Uhlenbeck process on a fixed step.
#[derive(Clone, Debug)]
pub(crate) struct OrnsteinUhlenbeck {
    value: f64,
    keep: f64,
    kick: f64,
}

impl OrnsteinUhlenbeck {
    pub(crate) fn new(sd: f64, correlation_s: f64, step_s: f64, draw: &mut Draw) -> Self {
        let keep = libm::exp(-step_s / correlation_s);
        Self { value: sd * draw.normal(), keep, kick: sd * (1.0 - keep * keep).sqrt() }
    }

    pub(crate) fn value(&self) -> f64 {
        self.value
    }

    /// Goes one step on and gives the new value.
    pub(crate) fn step(&mut self, draw: &mut Draw) -> f64 {
        if self.kick > 0.0 {
            self.value = self.keep * self.value + self.kick * draw.normal();
        }
        self.value
    }
}

/// The air where the model is: downward motion and sideways motion relative to the model, both in m/s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct AirMotion {
    pub(crate) down_m_s: f64,
    pub(crate) sideways_m_s: f64,
}

/// Air motion during one fall: a slow part shared by the session and gusts.
#[derive(Debug)]
pub(crate) struct MovingAir<'a> {
    slow_down_m_s: f64,
    vertical: OrnsteinUhlenbeck,
    sideways: OrnsteinUhlenbeck,
    draw: &'a mut Draw,
}

impl<'a> MovingAir<'a> {
    pub(crate) fn new(gusts: &Gusts, slow_down_m_s: f64, step_s: f64, draw: &'a mut Draw) -> Self {
        let vertical = OrnsteinUhlenbeck::new(gusts.vertical_sd_m_s, gusts.correlation_s, step_s, draw);
        let sideways = OrnsteinUhlenbeck::new(gusts.sideways_sd_m_s, gusts.correlation_s, step_s, draw);
        Self { slow_down_m_s, vertical, sideways, draw }
    }

    pub(crate) fn now(&self) -> AirMotion {
        AirMotion {
            down_m_s: self.slow_down_m_s + self.vertical.value(),
            sideways_m_s: self.sideways.value(),
        }
    }

    pub(crate) fn step(&mut self) -> AirMotion {
        self.vertical.step(self.draw);
        self.sideways.step(self.draw);
        self.now()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::Purpose;

    #[test]
    fn variance_and_correlation_are_those_stated() {
        let (sd, correlation_s, step_s) = (0.2, 1.5, 0.05);
        let mut draw = Draw::new(3, Purpose::Air);
        let mut gust = OrnsteinUhlenbeck::new(sd, correlation_s, step_s, &mut draw);
        let count = 400_000;
        let lag = 30; // 1.5 s: one correlation time
        let series: Vec<f64> = (0..count).map(|_| gust.step(&mut draw)).collect();
        let n = count as f64;
        let mean = series.iter().sum::<f64>() / n;
        let variance = series.iter().map(|w| w * w).sum::<f64>() / n;
        let lagged = series.windows(lag + 1).map(|pair| pair[0] * pair[lag]).sum::<f64>() / (n - lag as f64);
        // Independent samples of the mean: n step / 2 T; of the squares and of the products at this lag, whose
        // own correlation is the square, exp(-2 t/T): about n step / T.
        let independent = n * step_s / correlation_s;
        assert!(mean.abs() < 4.0 * sd * (2.0 / independent).sqrt(), "mean {mean}");
        let square_error = 4.0 * sd * sd * (2.0 / independent).sqrt();
        assert!((variance - sd * sd).abs() < square_error, "variance {variance}");
        let expected = sd * sd * (-1.0_f64).exp();
        assert!((lagged - expected).abs() < square_error, "covariance at one correlation time {lagged}");
    }

    #[test]
    fn the_step_does_not_change_the_statistics() {
        // Two steps of h and one of 2h carry the same share of the old value and add the same variance.
        let mut draw = Draw::new(5, Purpose::Air);
        let fine = OrnsteinUhlenbeck::new(0.3, 0.7, 0.1, &mut draw);
        let coarse = OrnsteinUhlenbeck::new(0.3, 0.7, 0.2, &mut draw);
        assert!((fine.keep * fine.keep - coarse.keep).abs() < 1e-15);
        let two_steps = fine.kick * fine.kick * (1.0 + fine.keep * fine.keep);
        assert!((two_steps - coarse.kick * coarse.kick).abs() < 1e-15);
    }

    #[test]
    fn still_air_stays_still() {
        let mut draw = Draw::new(1, Purpose::Air);
        let mut air = MovingAir::new(&Gusts::STILL, 0.0, 0.01, &mut draw);
        for _ in 0..100 {
            assert_eq!(air.step(), AirMotion::default());
        }
    }
}
