//! Numbers that carry their slopes along: the motion and all its slopes in one pass, without differences.
//!
//! With `x = (x, x_1 .. x_N)`, x_k the derivative by the k-th parameter, every operation does what the rules of
//! differentiation say: `(x y)_k = x_k y + x y_k`, `(e^x)_k = e^x x_k`. Source: textbook (forward differentiation).
//! Dimensions are those of the value over those of the parameter.

use std::ops::{Add, Div, Mul, Sub};

use crate::maths;

/// What the motion is worked out in: bare numbers, or numbers with slopes.
pub(crate) trait Real:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self>
{
    /// A constant.
    fn of(value: f64) -> Self;
    /// The number without its slopes.
    fn value(self) -> f64;
    /// f(x), given f(x) and f'(x).
    fn through(self, value: f64, slope: f64) -> Self;

    fn exp(self) -> Self {
        let value = maths::exp(self.value());
        self.through(value, value)
    }

    fn ln(self) -> Self {
        self.through(maths::ln(self.value()), 1.0 / self.value())
    }

    fn log1p(self) -> Self {
        self.through(maths::log1p(self.value()), 1.0 / (1.0 + self.value()))
    }
}

impl Real for f64 {
    fn of(value: f64) -> f64 {
        value
    }

    fn value(self) -> f64 {
        self
    }

    fn through(self, value: f64, _: f64) -> f64 {
        value
    }
}

/// A number with its slopes by `N` parameters.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sloped<const N: usize> {
    value: f64,
    slopes: [f64; N],
}

impl<const N: usize> Sloped<N> {
    /// The `k`-th parameter itself.
    pub(crate) fn parameter(value: f64, k: usize) -> Self {
        let mut slopes = [0.0; N];
        slopes[k] = 1.0;
        Sloped { value, slopes }
    }

    /// Its slopes by all parameters.
    pub(crate) fn slopes(&self) -> &[f64; N] {
        &self.slopes
    }

    fn with(value: f64, slope: impl Fn(usize) -> f64) -> Self {
        Sloped { value, slopes: std::array::from_fn(slope) }
    }
}

impl<const N: usize> Real for Sloped<N> {
    fn of(value: f64) -> Self {
        Sloped { value, slopes: [0.0; N] }
    }

    fn value(self) -> f64 {
        self.value
    }

    fn through(self, value: f64, slope: f64) -> Self {
        Sloped::with(value, |k| slope * self.slopes[k])
    }
}

impl<const N: usize> Add for Sloped<N> {
    type Output = Self;
    fn add(self, y: Self) -> Self {
        Sloped::with(self.value + y.value, |k| self.slopes[k] + y.slopes[k])
    }
}

impl<const N: usize> Sub for Sloped<N> {
    type Output = Self;
    fn sub(self, y: Self) -> Self {
        Sloped::with(self.value - y.value, |k| self.slopes[k] - y.slopes[k])
    }
}

#[expect(clippy::suspicious_arithmetic_impl, reason = "the rule of the product adds")]
impl<const N: usize> Mul for Sloped<N> {
    type Output = Self;
    fn mul(self, y: Self) -> Self {
        Sloped::with(self.value * y.value, |k| self.slopes[k] * y.value + self.value * y.slopes[k])
    }
}

impl<const N: usize> Div for Sloped<N> {
    type Output = Self;
    fn div(self, y: Self) -> Self {
        let ratio = self.value / y.value;
        let part = 1.0 / y.value;
        Sloped::with(ratio, |k| part * (self.slopes[k] - ratio * y.slopes[k]))
    }
}
