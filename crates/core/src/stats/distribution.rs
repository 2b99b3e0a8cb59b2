//! Quantiles of the normal, Student's t and the beta distribution.
//!
//! Normal: M. J. Wichura, "Algorithm AS 241: The percentage points of the normal distribution", Applied Statistics 37
//! (1988) 477-484, routine PPND16, its coefficients from memory of that paper; good to 1e-15 of the value, which
//! docs/CHECKS.md shows. Student's t: G. W. Hill, "Algorithm 396: Student's t-quantiles", Communications of the ACM 13 (1970)
//! 619-620, from memory of that paper, then Halley's steps on the incomplete beta function of the crate statrs; beta: that
//! crate's inverse.
//! A probability outside 0 to 1 is a mistake of the caller; at 0 and 1 the quantile is infinite where the distribution
//! has no end.

use statrs::function::beta::{beta_reg, inv_beta_reg};
use statrs::function::gamma::ln_gamma;

use crate::maths::{exp, expm1, ln, log1p, pow, sqrt, tan};

/// AS 241, near the middle: numerator and denominator in 0.180625 − (p − 1/2)², lowest power first.
const MIDDLE: [[f64; 8]; 2] = [
    [
        3.387_132_872_796_366_5,
        1.331_416_678_917_843_8e2,
        1.971_590_950_306_551_3e3,
        1.373_169_376_550_946e4,
        4.592_195_393_154_987e4,
        6.726_577_092_700_87e4,
        3.343_057_558_358_813e4,
        2.509_080_928_730_122_7e3,
    ],
    [
        1.0,
        4.231_333_070_160_091e1,
        6.871_870_074_920_579e2,
        5.394_196_021_424_751e3,
        2.121_379_430_158_659_7e4,
        3.930_789_580_009_271e4,
        2.872_908_573_572_194_3e4,
        5.226_495_278_852_854e3,
    ],
];
/// AS 241, towards the tails: in √(−ln p) − 1.6.
const SHOULDER: [[f64; 8]; 2] = [
    [
        1.423_437_110_749_683_5,
        4.630_337_846_156_546,
        5.769_497_221_460_691,
        3.647_848_324_763_204_5,
        1.270_458_252_452_368_4,
        2.417_807_251_774_506e-1,
        2.272_384_498_926_918_4e-2,
        7.745_450_142_783_414e-4,
    ],
    [
        1.0,
        2.053_191_626_637_759,
        1.676_384_830_183_803_8,
        6.897_673_349_851e-1,
        1.481_039_764_274_800_8e-1,
        1.519_866_656_361_645_7e-2,
        5.475_938_084_995_345e-4,
        1.050_750_071_644_416_9e-9,
    ],
];
/// AS 241, far in the tails: in √(−ln p) − 5.
const TAIL: [[f64; 8]; 2] = [
    [
        6.657_904_643_501_103,
        5.463_784_911_164_114,
        1.784_826_539_917_291_3,
        2.965_605_718_285_048_7e-1,
        2.653_218_952_657_612_4e-2,
        1.242_660_947_388_078_4e-3,
        2.711_555_568_743_487_6e-5,
        2.010_334_399_292_288_1e-7,
    ],
    [
        1.0,
        5.998_322_065_558_88e-1,
        1.369_298_809_227_358e-1,
        1.487_536_129_085_061_5e-2,
        7.868_691_311_456_133e-4,
        1.846_318_317_510_054_8e-5,
        1.421_511_758_316_446e-7,
        2.044_263_103_389_939_7e-15,
    ],
];

/// The value below which a standard normal variable stays with probability `p`.
///
/// # Examples
/// ```
/// assert!((silkfall_core::stats::distribution::normal_quantile(0.975) - 1.959964).abs() < 5e-7);
/// ```
pub fn normal_quantile(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        return q * rational(&MIDDLE, 0.180_625 - q * q);
    }
    let r = sqrt(-ln(p.min(1.0 - p)));
    if r.is_infinite() {
        return f64::INFINITY.copysign(q);
    }
    let size = if r <= 5.0 { rational(&SHOULDER, r - 1.6) } else { rational(&TAIL, r - 5.0) };
    size.copysign(q)
}

/// [`normal_quantile`] of each, in place and to the last digit the same: seven in eight lie in the middle, whose rational
/// function is worked of all side by side, without a branch.
pub fn normal_quantiles(all: &mut [f64]) {
    for chunk in all.chunks_mut(64) {
        let mut p = [0.5; 64];
        p[..chunk.len()].copy_from_slice(chunk);
        let middle = p.map(|p| {
            let q = p - 0.5;
            q * rational(&MIDDLE, 0.180_625 - q * q)
        });
        for ((value, p), middle) in chunk.iter_mut().zip(p).zip(middle) {
            *value = if (p - 0.5).abs() <= 0.425 { middle } else { normal_quantile(p) };
        }
    }
}

/// The value below which Student's t with `dof` degrees of freedom (above 0, infinite for the normal) stays with
/// probability `p`.
///
/// # Examples
/// ```
/// // From memory of JCGM 100:2008, table G.2: 2.78 for 4 degrees of freedom and 95 %.
/// assert!((silkfall_core::stats::distribution::student_t_quantile(0.975, 4.0) - 2.776).abs() < 5e-4);
/// ```
pub fn student_t_quantile(p: f64, dof: f64) -> f64 {
    if dof > 1e8 {
        // The t of so many degrees of freedom is the normal to 1e-8 of it.
        return normal_quantile(p);
    }
    let tail = p.min(1.0 - p);
    if tail <= 0.0 {
        return f64::INFINITY.copysign(p - 0.5);
    }
    if tail >= 0.5 {
        return 0.0;
    }
    refined_t(hill(tail, dof), tail, dof).copysign(p - 0.5)
}

/// The value below which a beta variable with shapes `a` and `b` (above 0) stays with probability `p`.
pub fn beta_quantile(p: f64, a: f64, b: f64) -> f64 {
    if p <= 0.0 {
        0.0
    } else if p >= 1.0 {
        1.0
    } else {
        inv_beta_reg(a, b, p)
    }
}

/// The factor that turns a standard uncertainty into the half-width of a two-sided interval: the quantile of
/// Student's t at (1 + coverage) / 2.
pub fn coverage_factor(coverage: f64, dof: f64) -> f64 {
    student_t_quantile(0.5 + 0.5 * coverage, dof)
}

/// t above which the probability is `tail`, to some 1e-5 of it: exact for 1 and 2 degrees of freedom, Hill's
/// expansions for more; between 1 and 2 and below 1 a start that the refinement still brings home.
fn hill(tail: f64, dof: f64) -> f64 {
    let both = 2.0 * tail;
    if dof <= 1.0 {
        return 1.0 / tan(std::f64::consts::PI * tail);
    }
    if dof <= 2.0 {
        return sqrt(2.0 / (both * (2.0 - both)) - 2.0);
    }
    let a = 1.0 / (dof - 0.5);
    let b = 48.0 / (a * a);
    let mut c = ((20_700.0 * a / b - 98.0) * a - 16.0) * a + 96.36;
    let d = ((94.5 / (b + c) - 3.0) / b + 1.0) * sqrt(a * std::f64::consts::FRAC_PI_2) * dof;
    let y = pow(d * both, 2.0 / dof);
    let t2_over_dof = if y > 0.05 + a {
        let x = normal_quantile(tail);
        let x2 = x * x;
        if dof < 5.0 {
            c += 0.3 * (dof - 4.5) * (x + 0.6);
        }
        c += (((0.05 * d * x - 5.0) * x - 7.0) * x - 2.0) * x + b;
        let z = (((((0.4 * x2 + 6.3) * x2 + 36.0) * x2 + 94.5) / c - x2 - 3.0) / b + 1.0) * x;
        expm1(a * z * z)
    } else {
        let near = ((dof + 6.0) / (dof * y) - 0.089 * d - 0.822) * (dof + 2.0) * 3.0;
        ((1.0 / near + 0.5 / (dof + 4.0)) * y - 1.0) * (dof + 1.0) / (dof + 2.0) + 1.0 / y
    };
    sqrt(dof * t2_over_dof.max(0.0))
}

/// Halley's steps on the probability above t, whose error goes with the cube of the step.
fn refined_t(start: f64, tail: f64, dof: f64) -> f64 {
    let log_norm = ln_gamma(0.5 * (dof + 1.0)) - ln_gamma(0.5 * dof) - 0.5 * ln(dof * std::f64::consts::PI);
    let mut t = start;
    for _ in 0..60 {
        let t2 = t * t;
        // Whichever of the two incomplete beta functions keeps its digits.
        let too_much = if t2 < dof {
            (0.5 - tail) - 0.5 * beta_reg(0.5, 0.5 * dof, t2 / (dof + t2))
        } else {
            0.5 * beta_reg(0.5 * dof, 0.5, dof / (dof + t2)) - tail
        };
        let density = exp(log_norm - 0.5 * (dof + 1.0) * log1p(t2 / dof));
        let newton = too_much / density;
        let halley = newton * (1.0 + newton * t * (dof + 1.0) / (2.0 * (t2 + dof)));
        // Never so far that t would change its sign.
        let step = halley.clamp(-0.5 * t, t.max(1.0));
        t += step;
        if step.abs() <= 1e-5 * t {
            break;
        }
    }
    t
}

fn rational([numerator, denominator]: &[[f64; 8]; 2], x: f64) -> f64 {
    let horner = |coefficients: &[f64; 8]| coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c);
    horner(numerator) / horner(denominator)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_quantiles_at_once_are_those_of_one_at_a_time() {
        let mut all: Vec<f64> =
            (0..=1000).map(|i| f64::from(i) / 1000.0).chain([1e-300, 0.075, 0.925]).collect();
        let each: Vec<f64> = all.iter().map(|p| normal_quantile(*p)).collect();
        normal_quantiles(&mut all);
        assert_eq!(all, each);
    }
}
