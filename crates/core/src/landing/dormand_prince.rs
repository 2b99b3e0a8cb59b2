//! One step of the explicit Runge-Kutta pair of Dormand and Prince, order 5 with an error estimate of order 4, and the
//! polynomial of order 4 through it.
//!
//! Source: J. R. Dormand, P. J. Prince, "A family of embedded Runge-Kutta formulae", J. Comp. Appl. Math. 6 (1980) 19, table 2;
//! the polynomial: E. Hairer, S. P. Nørsett, G. Wanner, Solving Ordinary Differential Equations I (1993), section II.6. From
//! memory; the observed orders are tested.

/// A step that has been worked out.
pub(super) struct Step<const N: usize> {
    /// Its length.
    pub length: f64,
    /// At its end.
    pub end: [f64; N],
    /// The right-hand side at its end.
    pub end_slope: [f64; N],
    /// Estimated error of the end.
    pub error: [f64; N],
    start: [f64; N],
    bends: [[f64; N]; 3],
}

impl<const N: usize> Step<N> {
    /// From `start` at `time`, where the right-hand side is `slope`.
    pub fn new(
        right_hand_side: impl Fn(f64, &[f64; N]) -> [f64; N],
        time: f64,
        start: &[f64; N],
        slope: &[f64; N],
        length: f64,
    ) -> Self {
        let h = length;
        let along = |weights: &[(f64, &[f64; N])]| {
            let mut y = *start;
            for (i, y) in y.iter_mut().enumerate() {
                let sum: f64 = weights.iter().map(|(weight, k)| weight * k[i]).sum();
                *y += h * sum;
            }
            y
        };
        let k1 = slope;
        let k2 = &right_hand_side(time + h / 5.0, &along(&[(1.0 / 5.0, k1)]));
        let k3 = &right_hand_side(time + 0.3 * h, &along(&[(3.0 / 40.0, k1), (9.0 / 40.0, k2)]));
        let k4 = &right_hand_side(
            time + 0.8 * h,
            &along(&[(44.0 / 45.0, k1), (-56.0 / 15.0, k2), (32.0 / 9.0, k3)]),
        );
        let k5 = &right_hand_side(
            time + 8.0 / 9.0 * h,
            &along(&[
                (19372.0 / 6561.0, k1),
                (-25360.0 / 2187.0, k2),
                (64448.0 / 6561.0, k3),
                (-212.0 / 729.0, k4),
            ]),
        );
        let k6 = &right_hand_side(
            time + h,
            &along(&[
                (9017.0 / 3168.0, k1),
                (-355.0 / 33.0, k2),
                (46732.0 / 5247.0, k3),
                (49.0 / 176.0, k4),
                (-5103.0 / 18656.0, k5),
            ]),
        );
        let end = along(&[
            (35.0 / 384.0, k1),
            (500.0 / 1113.0, k3),
            (125.0 / 192.0, k4),
            (-2187.0 / 6784.0, k5),
            (11.0 / 84.0, k6),
        ]);
        let k7 = right_hand_side(time + h, &end);
        let each = |of: &dyn Fn(usize) -> f64| std::array::from_fn(of);
        let error = each(&|i| {
            h * (71.0 / 57600.0 * k1[i] - 71.0 / 16695.0 * k3[i] + 71.0 / 1920.0 * k4[i]
                - 17253.0 / 339_200.0 * k5[i]
                + 22.0 / 525.0 * k6[i]
                - k7[i] / 40.0)
        });
        let bends = [
            each(&|i| h * k1[i] - (end[i] - start[i])),
            each(&|i| 2.0 * (end[i] - start[i]) - h * (k1[i] + k7[i])),
            each(&|i| {
                h * (-12_715_105_075.0 / 11_282_082_432.0 * k1[i]
                    + 87_487_479_700.0 / 32_700_410_799.0 * k3[i]
                    - 10_690_763_975.0 / 1_880_347_072.0 * k4[i]
                    + 701_980_252_875.0 / 199_316_789_632.0 * k5[i]
                    - 1_453_857_185.0 / 822_651_844.0 * k6[i]
                    + 69_997_945.0 / 29_380_423.0 * k7[i])
            }),
        ];
        Step { length, end, end_slope: k7, error, start: *start, bends }
    }

    /// At a share of the step, 0 to 1.
    pub fn at(&self, share: f64) -> [f64; N] {
        std::array::from_fn(|i| self.component(i, share))
    }

    /// One component at a share of the step.
    pub fn component(&self, i: usize, share: f64) -> f64 {
        let rest = 1.0 - share;
        let [first, second, third] = [0, 1, 2].map(|n| self.bends[n][i]);
        self.start[i]
            + share * (self.end[i] - self.start[i] + rest * (first + share * (second + rest * third)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::maths::{cos, ln, sin};
    use outside_check::check;

    /// y'' = −y cos t-forced, y = sin t · t: y' = sin t + t cos t.
    fn right_hand_side(t: f64, y: &[f64; 2]) -> [f64; 2] {
        [y[1], 2.0 * cos(t) - y[0]]
    }

    /// Worst error at the steps' ends and between them, over two seconds in so many steps.
    fn errors(steps: u32) -> (f64, f64) {
        let h = 2.0 / f64::from(steps);
        let (mut y, mut worst) = ([0.0, 0.0], 0.0_f64);
        for n in 0..steps {
            let t = h * f64::from(n);
            let step = Step::new(right_hand_side, t, &y, &right_hand_side(t, &y), h);
            // Between the ends, the error of this step alone.
            let from_truth = [t * sin(t), sin(t) + t * cos(t)];
            let alone = Step::new(right_hand_side, t, &from_truth, &right_hand_side(t, &from_truth), h);
            let middle = t + 0.4 * h;
            worst = worst.max((alone.at(0.4)[0] - middle * sin(middle)).abs());
            y = step.end;
        }
        ((y[0] - 2.0 * sin(2.0)).abs(), worst)
    }

    #[test]
    fn orders_are_those_of_the_pair() {
        let (coarse, fine) = (errors(20), errors(40));
        check! {
            area: "landing", what: "observed order of the step, from 20 and 40 steps",
            against: "y'' = 2 cos t − y, y = t sin t", leg: Closed,
            got: ln(coarse.0 / fine.0) / ln(2.0), want: 5.0, within: 0.35,
            because: "the next order still counts at these steps",
        }
        check! {
            area: "landing", what: "observed order of the polynomial inside one step, from 20 and 40 steps",
            against: "y'' = 2 cos t − y, y = t sin t", leg: Closed,
            got: ln(coarse.1 / fine.1) / ln(2.0), want: 5.0, within: 0.35,
            because: "order 4 is an error of h⁵ in one step; the next order still counts",
        }
    }

    #[test]
    fn ends_of_the_polynomial_are_those_of_the_step() {
        let y = [0.3, -0.2];
        let step = Step::new(right_hand_side, 0.1, &y, &right_hand_side(0.1, &y), 0.25);
        for i in 0..2 {
            assert!((step.component(i, 0.0) - y[i]).abs() < 1e-15);
            assert!((step.component(i, 1.0) - step.end[i]).abs() < 1e-15);
            let slope = (step.component(i, 1e-6) - y[i]) / 0.25e-6;
            assert!((slope - right_hand_side(0.1, &y)[i]).abs() < 1e-5);
        }
    }
}
