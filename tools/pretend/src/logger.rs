//! What a logger writes of a true path: its clock, scale, noise, smoothing, steps and flaws.
//!
//! True height h(t) becomes h (1 + scale) + drift t + port noise + spike + white noise, passes a causal filter, and
//! is rounded to the height step, or turned to pressure by the standard atmosphere and rounded to the pressure
//! step. The port noise (wind on the pressure port, m) is an Ornstein-Uhlenbeck process, the same everywhere on the path.
//! White noise is made before the filter, and so large that its standard deviation after the filter is the stated
//! one. The clock writes k/rate; true time is that over (1 + clock error). With a filter the sensor works at
//! 100 samples a second or more.
//!
//! Not modelled: temperature of the sensor, jitter of the clock, saturation.

use crate::air;
use crate::draw::Draw;
use crate::gusts::OrnsteinUhlenbeck;
use crate::path::Path;
use crate::physics::STEP_S;

/// What a logger is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Logger {
    /// Samples written a second.
    pub rate_hz: f64,
    /// What is written, in which steps.
    pub resolution: Resolution,
    /// Smoothing inside the logger.
    pub filter: Filter,
    /// Standard deviation of the white noise of a written sample, m.
    pub white_sd_m: f64,
    /// Standard deviation of the correlated pressure noise, m.
    pub port_sd_m: f64,
    /// Its correlation time, s.
    pub port_correlation_s: f64,
    /// Change of the day's pressure as a drift of height, m/h.
    pub drift_m_per_h: f64,
}

/// What is written, in which steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Resolution {
    /// Pressure heights in metres, zero near the ground.
    Height {
        /// The step, m.
        step_m: f64,
    },
    /// Absolute pressures in pascals.
    Pressure {
        /// The step, Pa.
        step_pa: f64,
    },
}

/// Smoothing inside a logger; both kinds look backwards only.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Filter {
    /// No smoothing.
    None,
    /// Mean of the last so many seconds.
    MovingAverage {
        /// Length of the window, s.
        window_s: f64,
    },
    /// First-order lag.
    Lag {
        /// Its time constant, s.
        time_constant_s: f64,
    },
}

/// A filter at work on evenly spaced samples.
enum Running {
    None,
    Average { window: Vec<f64>, next: usize, sum: f64 },
    Lag { keep: f64, state: f64 },
}

impl Filter {
    /// Starts at rest at a value.
    fn start(self, step_s: f64, at: f64) -> Running {
        match self {
            Filter::None => Running::None,
            Filter::MovingAverage { window_s } => {
                let count = (window_s / step_s).round().max(1.0);
                Running::Average { window: vec![at; count as usize], next: 0, sum: at * count }
            }
            Filter::Lag { time_constant_s } => {
                Running::Lag { keep: libm::exp(-step_s / time_constant_s), state: at }
            }
        }
    }

    /// The speeds that a logger's filter would show, on the integration's step.
    pub(crate) fn smooth(self, speeds_m_s: &[f64]) -> Vec<f64> {
        let mut running = self.start(STEP_S, 0.0);
        speeds_m_s.iter().map(|&speed| running.next(speed)).collect()
    }
}

impl Running {
    fn next(&mut self, input: f64) -> f64 {
        match self {
            Running::None => input,
            Running::Average { window, next, sum } => {
                *sum += input - window[*next];
                window[*next] = input;
                *next = (*next + 1) % window.len();
                *sum / window.len() as f64
            }
            Running::Lag { keep, state } => {
                *state = *keep * *state + (1.0 - *keep) * input;
                *state
            }
        }
    }

    /// Variance of white noise after the filter over that before.
    fn white_gain(&self) -> f64 {
        match self {
            Running::None => 1.0,
            Running::Average { window, .. } => 1.0 / window.len() as f64,
            Running::Lag { keep, .. } => (1.0 - keep) / (1.0 + keep),
        }
    }
}

/// A false height, added before the filter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spike {
    pub(crate) from_s: f64,
    pub(crate) to_s: f64,
    pub(crate) height_m: f64,
}

/// The realised values of what a session shares, for the logger.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Session {
    pub(crate) clock_error: f64,
    pub(crate) scale_error: f64,
    pub(crate) ground_m: f64,
}

/// Written samples, with the true time of each and whether a spike falsifies it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Samples {
    pub(crate) true_s: Vec<f64>,
    pub(crate) written_s: Vec<f64>,
    pub(crate) value: Vec<f64>,
    pub(crate) spiked: Vec<bool>,
}

/// Lowest rate at which a smoothing logger reads its sensor, 1/s.
const SENSOR_HZ: f64 = 100.0;

/// Records a path between two true times.
pub(crate) fn record(
    path: &Path,
    (from_s, to_s): (f64, f64),
    logger: &Logger,
    session: &Session,
    spikes: &[Spike],
    draw: &mut Draw,
) -> Samples {
    let readings_a_sample = match logger.filter {
        Filter::None => 1,
        _ => (SENSOR_HZ / logger.rate_hz).ceil().max(1.0) as usize,
    };
    let readings_hz = logger.rate_hz * readings_a_sample as f64;
    let step_s = 1.0 / readings_hz / (1.0 + session.clock_error);
    let mut reader = path.reader();
    let scale = 1.0 + session.scale_error;
    let mut filter = logger.filter.start(step_s, reader.at(from_s) * scale);
    let white_sd_m = logger.white_sd_m / filter.white_gain().sqrt();
    let mut port = OrnsteinUhlenbeck::new(logger.port_sd_m, logger.port_correlation_s, step_s, draw);
    let drift_m_per_s = logger.drift_m_per_h / 3600.0;
    // A smeared spike falsifies what the filter still remembers.
    let memory_s = match logger.filter {
        Filter::None => 0.0,
        Filter::MovingAverage { window_s } => window_s,
        Filter::Lag { time_constant_s } => 6.0 * time_constant_s,
    };
    let count = ((to_s - from_s) / step_s) as usize;
    let mut out = Samples::default();
    for reading in 0..=count {
        let true_s = from_s + reading as f64 * step_s;
        let mut height_m = reader.at(true_s) * scale
            + drift_m_per_s * (true_s - from_s)
            + port.step(draw)
            + white_sd_m * draw.normal();
        for spike in spikes {
            if true_s >= spike.from_s && true_s < spike.to_s {
                height_m += spike.height_m;
            }
        }
        let shown_m = filter.next(height_m);
        if reading.is_multiple_of(readings_a_sample) {
            out.true_s.push(true_s);
            out.written_s.push((reading / readings_a_sample) as f64 / logger.rate_hz);
            out.value.push(logger.resolution.written(shown_m, session.ground_m));
            let falsified = |spike: &Spike| true_s >= spike.from_s && true_s < spike.to_s + memory_s;
            out.spiked.push(spikes.iter().any(falsified));
        }
    }
    out
}

impl Resolution {
    fn written(self, height_m: f64, ground_m: f64) -> f64 {
        match self {
            Resolution::Height { step_m } => to_step(height_m, step_m),
            Resolution::Pressure { step_pa } => {
                to_step(air::standard_pressure_pa(ground_m + height_m), step_pa)
            }
        }
    }
}

/// Rounds to a step; a step such as 0.1 is taken as a tenth, so that 3 steps are 0.3 and not 0.30000000000000004.
fn to_step(value: f64, step: f64) -> f64 {
    let steps = (value / step).round();
    let inverse = (1.0 / step).round();
    if (inverse * step - 1.0).abs() < 1e-12 { steps / inverse } else { steps * step }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::Purpose;

    const QUIET: Logger = Logger {
        rate_hz: 10.0,
        resolution: Resolution::Height { step_m: 0.1 },
        filter: Filter::None,
        white_sd_m: 0.0,
        port_sd_m: 0.0,
        port_correlation_s: 1.0,
        drift_m_per_h: 0.0,
    };
    const TRUE: Session = Session { clock_error: 0.0, scale_error: 0.0, ground_m: 0.0 };

    fn ramp(rate_m_s: f64) -> Path {
        let mut path = Path::new();
        path.push(2000.0, 2000.0 * rate_m_s);
        path
    }

    fn take(path: &Path, to_s: f64, logger: &Logger, session: &Session) -> Samples {
        record(path, (0.0, to_s), logger, session, &[], &mut Draw::new(1, Purpose::Noise))
    }

    #[test]
    fn values_are_whole_steps_nearest_the_truth() {
        for step_m in [0.1, 0.3048] {
            let logger = Logger { resolution: Resolution::Height { step_m }, ..QUIET };
            let samples = take(&ramp(0.37), 100.0, &logger, &TRUE);
            assert_eq!(samples.value.len(), 1001);
            for (time_s, value) in samples.true_s.iter().zip(&samples.value) {
                let steps = value / step_m;
                assert!((steps - steps.round()).abs() < 1e-9);
                assert!((value - 0.37 * time_s).abs() <= step_m / 2.0 + 1e-9);
            }
        }
    }

    #[test]
    fn pressures_are_whole_steps_of_the_standard_atmosphere() {
        let logger = Logger { resolution: Resolution::Pressure { step_pa: 5.0 }, ..QUIET };
        let session = Session { ground_m: 500.0, ..TRUE };
        let samples = take(&ramp(0.5), 100.0, &logger, &session);
        for (time_s, value) in samples.true_s.iter().zip(&samples.value) {
            assert!((value / 5.0 - (value / 5.0).round()).abs() < 1e-9);
            assert!((value - air::standard_pressure_pa(500.0 + 0.5 * time_s)).abs() <= 2.5 + 1e-9);
        }
    }

    #[test]
    fn clock_and_scale_errors_change_a_rate_by_their_quotient() {
        let logger = Logger { resolution: Resolution::Height { step_m: 1e-6 }, ..QUIET };
        let session = Session { clock_error: 0.004, scale_error: -0.03, ground_m: 0.0 };
        let samples = take(&ramp(3.0), 100.0, &logger, &session);
        let last = samples.value.len() - 1;
        let rate =
            (samples.value[last] - samples.value[0]) / (samples.written_s[last] - samples.written_s[0]);
        assert!((rate - 3.0 * 0.97 / 1.004).abs() < 1e-6, "{rate}");
    }

    #[test]
    fn a_filter_delays_a_ramp_by_its_mean_age_and_keeps_the_white_noise_as_stated() {
        let fine = Resolution::Height { step_m: 1e-6 };
        for (filter, delay_s) in [
            // Mean age of the samples in the window, 0 to 39 steps of 10 ms.
            (Filter::MovingAverage { window_s: 0.4 }, 0.195),
            // k/(1 - k) steps of 10 ms with k = exp(-0.1).
            (Filter::Lag { time_constant_s: 0.1 }, 0.01 * 9.508_33),
        ] {
            let samples = take(&ramp(4.0), 60.0, &Logger { resolution: fine, filter, ..QUIET }, &TRUE);
            let (time_s, value) = (samples.true_s[500], samples.value[500]);
            assert!(
                (4.0 * time_s - value - 4.0 * delay_s).abs() < 1e-4,
                "{filter:?}: {}",
                4.0 * time_s - value
            );

            let logger = Logger { resolution: fine, filter, white_sd_m: 0.1, ..QUIET };
            let samples = take(&ramp(0.0), 2000.0, &logger, &TRUE);
            let n = samples.value.len() as f64;
            let variance = samples.value.iter().map(|value| value * value).sum::<f64>() / n;
            // Neighbours overlap in the window: at most 7 samples carry the information of one.
            assert!((variance / 0.01 - 1.0).abs() < 4.0 * (2.0 * 7.0 / n).sqrt(), "{filter:?}: {variance}");
        }
    }

    #[test]
    fn port_noise_and_drift_are_those_stated() {
        let logger = Logger {
            port_sd_m: 0.4,
            port_correlation_s: 0.5,
            drift_m_per_h: 7.2,
            resolution: Resolution::Height { step_m: 1e-6 },
            ..QUIET
        };
        let samples = take(&ramp(0.0), 2000.0, &logger, &TRUE);
        let noise: Vec<f64> =
            samples.value.iter().zip(&samples.true_s).map(|(value, time_s)| value - 0.002 * time_s).collect();
        let independent: f64 = 2000.0 / 0.5;
        let variance = noise.iter().map(|x| x * x).sum::<f64>() / noise.len() as f64;
        assert!((variance / 0.16 - 1.0).abs() < 4.0 * (2.0 / independent).sqrt(), "{variance}");
        let mean = noise.iter().sum::<f64>() / noise.len() as f64;
        assert!(mean.abs() < 4.0 * 0.4 * (2.0 / independent).sqrt());
    }

    #[test]
    fn a_spike_shows_and_is_marked() {
        let spike = Spike { from_s: 10.0, to_s: 10.1, height_m: 8.0 };
        let samples =
            record(&ramp(0.0), (0.0, 20.0), &QUIET, &TRUE, &[spike], &mut Draw::new(1, Purpose::Noise));
        let marked: Vec<usize> = (0..samples.value.len()).filter(|&k| samples.spiked[k]).collect();
        assert_eq!(marked, [100]);
        assert!((samples.value[100] - 8.0).abs() < 1e-12);
        assert!(samples.value[101].abs() < 1e-12);
    }
}
