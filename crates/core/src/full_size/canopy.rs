//! The drag area of one canopy at full size: from the offer, from a scale copy, from a test of the real one.

use uom::si::length::meter;

use super::{FullCanopy, Geometry, Offer};
use crate::derivation::{Derivation, How, Input, num, sym};
use crate::drag::{Factor, Interval, Scale};
use crate::finding::{Code, Finding, Subject};
use crate::ledger::{Distribution, Entry, Estimate, Ledger, LedgerId, Sharing, Trust};
use crate::maths;
use crate::quantity::Kind;
use crate::shapes::{Range, Reference, TABLE_SOURCE, circle_area_m2, diameter_ratio};

/// A maker's coefficient without a stated spread is doubted to one side by a half-normal of this relative size: a
/// judgement of ours.
pub const MAKER_DOUBT: f64 = 0.10;
/// Ratios at two scales that differ by less than this share are alike: a judgement of ours.
pub(super) const ALIKE_WITHIN: f64 = 0.10;

/// Median and 95 % points of |z|, z standard normal: quantiles of z at 0.75, 0.5125, 0.9875.
const HALF_NORMAL: (f64, f64, f64) = (0.674_489_750_2, 0.031_337_982_0, 2.241_402_727_6);

/// A = C_D π D²/4 (D_ref/D)², m²: coefficient and diameter of the offer, the coefficient's area converted by the
/// shape where it is not that of the diameter. Enters `offer.NAME.coefficient` and, where used,
/// `offer.NAME.diameter-ratio`: one draw for all canopies of the offer.
///
/// # Errors
/// An error finding where no reference area is stated, or a conversion is needed and the shape gives none.
pub fn canopy_of_offer(offer: &Offer, ledger: &mut Ledger) -> Result<FullCanopy, Finding> {
    let subject = || Subject::Key(format!("offer.{}", offer.name));
    let refused = |code, message: String| Finding::new(code, subject(), message);
    let mut findings = Vec::new();
    let diameter = offer.diameter.get::<meter>();
    let Some(means) = offer.diameter_means else {
        let message = format!("{}: it is not said which diameter {diameter:.3} m is", offer.name);
        return Err(refused(Code::OfferReferenceNotStated, message));
    };
    if diameter <= 0.0 {
        return Err(refused(Code::OfferNotUsable, format!("{}: a diameter of {diameter} m", offer.name)));
    }
    let coefficient = coefficient(offer, &subject)?;
    let (on, usual) = (coefficient.on, coefficient.usual);
    if let Some(range) = usual
        && !range.holds(coefficient.value)
    {
        let message = format!(
            "{}: a coefficient of {} on the {} area, where this shape has {:.2} to {:.2} from memory of {}",
            offer.name,
            coefficient.value,
            on.word(),
            range.low,
            range.high,
            TABLE_SOURCE
        );
        findings.push(Finding::new(Code::OfferCoefficientUnusual, subject(), message));
    }
    let ratio = match offer.shape {
        _ if means == on => Range { low: 1.0, high: 1.0 },
        Some(shape) => diameter_ratio(shape, means, on).ok_or_else(|| {
            refused(
                Code::OfferReferenceNotStated,
                format!("{}: no {} diameter is remembered of a {}", offer.name, on.word(), shape.name()),
            )
        })?,
        None => {
            let message = format!(
                "{}: a {} diameter with a coefficient on the {} area, and no shape to convert by",
                offer.name,
                means.word(),
                on.word()
            );
            return Err(refused(Code::OfferReferenceNotStated, message));
        }
    };
    let id = |what: &str| LedgerId(format!("offer.{}.{what}", offer.name));
    ledger.enter(
        id("coefficient"),
        Entry {
            meaning: format!("drag coefficient of {} on its {} area", offer.name, on.word()),
            value: coefficient.value,
            distribution: coefficient.distribution,
            sharing: Sharing::Knowledge,
            trust: coefficient.trust.clone(),
        },
    );
    let middle = ratio.middle();
    let ln_value = maths::ln(coefficient.value * circle_area_m2(diameter)) + 2.0 * maths::ln(middle);
    let mut ln_area =
        Estimate::exact(ln_value).with(id("coefficient"), coefficient.relative_size(), f64::INFINITY);
    let ratio_trust = Trust::Memory(TABLE_SOURCE.to_owned());
    if ratio.high > ratio.low {
        ledger.enter(
            id("diameter-ratio"),
            Entry {
                meaning: format!("{} over {} diameter of {}", on.word(), means.word(), offer.name),
                value: middle,
                distribution: Distribution::Rectangular { low: ratio.low, high: ratio.high },
                sharing: Sharing::Knowledge,
                trust: ratio_trust.clone(),
            },
        );
        let relative = (ratio.high - ratio.low) / maths::sqrt(12.0) / middle;
        ln_area = ln_area.with(id("diameter-ratio"), 2.0 * relative, f64::INFINITY);
    }
    let how = derivation(&coefficient, diameter, (means != on).then_some((middle, ratio_trust)));
    let area = factor(ln_area, &coefficient, How::Closed(how.clone()));
    let nominal = match offer.shape {
        _ if means == Reference::Nominal => Some(diameter),
        Some(shape) => diameter_ratio(shape, means, Reference::Nominal).map(|r| diameter * r.middle()),
        None => None,
    };
    Ok(FullCanopy { area, nominal_diameter_m: nominal, how: vec![how], findings })
}

/// The coefficient that an offer comes with.
struct Coefficient {
    value: f64,
    on: Reference,
    distribution: Distribution,
    trust: Trust,
    usual: Option<Range>,
}

impl Coefficient {
    /// The part's size: standard uncertainty of the logarithm, or that of the half-normal.
    fn relative_size(&self) -> f64 {
        match self.distribution {
            Distribution::OneSidedBelow { sd_relative } => sd_relative,
            Distribution::LogNormal { sd_log } => sd_log,
            Distribution::Rectangular { low, high } => (high - low) / maths::sqrt(12.0) / self.value,
            _ => 0.0,
        }
    }
}

fn coefficient(offer: &Offer, subject: &dyn Fn() -> Subject) -> Result<Coefficient, Finding> {
    let Some(stated) = &offer.coefficient else {
        let Some(shape) = offer.shape else {
            let message = format!("{}: neither a coefficient nor a shape is stated", offer.name);
            return Err(Finding::new(Code::OfferReferenceNotStated, subject(), message));
        };
        let range = shape.row().coefficient;
        return Ok(Coefficient {
            value: range.middle(),
            on: Reference::Nominal,
            distribution: Distribution::Rectangular { low: range.low, high: range.high },
            trust: Trust::Memory(TABLE_SOURCE.to_owned()),
            usual: None,
        });
    };
    if !(stated.value > 0.0 && stated.value.is_finite()) {
        let message = format!("{}: a coefficient of {}, expected more than 0", offer.name, stated.value);
        return Err(Finding::new(Code::OfferNotUsable, subject(), message));
    }
    let Some(on) = stated.on else {
        let message =
            format!("{}: it is not said which area the coefficient {} is on", offer.name, stated.value);
        return Err(Finding::new(Code::OfferReferenceNotStated, subject(), message));
    };
    let usual = offer.shape.and_then(|shape| {
        let ratio = diameter_ratio(shape, Reference::Nominal, on)?;
        let range = shape.row().coefficient;
        Some(Range { low: range.low / (ratio.high * ratio.high), high: range.high / (ratio.low * ratio.low) })
    });
    let distribution = match stated.spread {
        Some(spread) if spread > 0.0 => Distribution::LogNormal { sd_log: spread },
        Some(_) => Distribution::Exact,
        None => Distribution::OneSidedBelow { sd_relative: MAKER_DOUBT },
    };
    Ok(Coefficient { value: stated.value, on, distribution, trust: Trust::Given, usual })
}

/// The area at the median of the draws, and where 95 % of them lie.
fn factor(ln_area: Estimate, coefficient: &Coefficient, how: How) -> Factor {
    let own = coefficient.relative_size();
    let rest = maths::sqrt((ln_area.standard_uncertainty().powi(2) - own * own).max(0.0)) * 1.959_964;
    let (median, up, down) = match coefficient.distribution {
        Distribution::OneSidedBelow { sd_relative: sd } => {
            let at = |size: f64| maths::ln(1.0 - size * sd);
            (at(HALF_NORMAL.0), at(HALF_NORMAL.1) - at(HALF_NORMAL.0), at(HALF_NORMAL.0) - at(HALF_NORMAL.2))
        }
        // 95 % of a rectangle is 95 % of its half-width, √3 of its standard uncertainty.
        Distribution::Rectangular { .. } => {
            (0.0, 0.95 * maths::sqrt(3.0) * own, 0.95 * maths::sqrt(3.0) * own)
        }
        _ => (0.0, 1.959_964 * own, 1.959_964 * own),
    };
    let middle = ln_area.value + median;
    Factor {
        value: maths::exp(middle),
        interval: Interval {
            low: maths::exp(middle - down.hypot(rest)),
            high: maths::exp(middle + up.hypot(rest)),
        },
        scale: Scale::Log,
        estimate: ln_area,
        trust: match coefficient.trust {
            Trust::Given => Trust::Assumed("the offer's coefficient".to_owned()),
            _ => coefficient.trust.clone(),
        },
        how,
    }
}

fn derivation(coefficient: &Coefficient, diameter: f64, ratio: Option<(f64, Trust)>) -> Derivation {
    let median = match coefficient.distribution {
        Distribution::OneSidedBelow { sd_relative } => Some(1.0 - HALF_NORMAL.0 * sd_relative),
        _ => None,
    };
    let mut expr = num(std::f64::consts::FRAC_PI_4) * sym("C_D") * sym("D") * sym("D");
    let mut si = std::f64::consts::FRAC_PI_4 * coefficient.value * diameter * diameter;
    let mut inputs = vec![
        Input::new(
            "C_D",
            "drag coefficient of the offer",
            coefficient.value,
            Kind::Ratio,
            coefficient.trust.clone(),
        ),
        Input::new("D", "diameter of the offer", diameter, Kind::Length, Trust::Given),
    ];
    if let Some((ratio, trust)) = ratio {
        expr = expr * sym("r") * sym("r");
        si *= ratio * ratio;
        let meaning = "diameter of the coefficient's area over the offer's";
        inputs.push(Input::new("r", meaning, ratio, Kind::Ratio, trust));
    }
    if let Some(median) = median {
        expr = expr * sym("k");
        si *= median;
        let why = "a maker's figure is doubted to one side, half-normal of 10 %, a judgement of ours";
        inputs.push(Input::new(
            "k",
            "median of the doubt",
            median,
            Kind::Ratio,
            Trust::Assumed(why.to_owned()),
        ));
    }
    Derivation {
        symbol: "A",
        meaning: "drag area of one canopy".to_owned(),
        si,
        kind: Kind::DragArea,
        expr,
        inputs,
        source: Trust::Published("definition of the drag coefficient, A = C_D S".to_owned()),
    }
}

/// A_full = s² A_model, m²; `ln_scale` is ln of full over model length.
///
/// # Errors
/// An error finding naming what is not stated alike of shape, lines, vent and cloth: then it is no scale copy.
pub fn canopy_of_scale_copy(
    model: &Factor,
    ln_scale: &Estimate,
    of_model: &Geometry,
    of_full: &Geometry,
    subject: Subject,
) -> Result<FullCanopy, Finding> {
    let unlike = unlike(of_model, of_full);
    if !unlike.is_empty() {
        let message = format!("not a scale copy: {}", unlike.join(", "));
        return Err(Finding::new(Code::FullSizeNoCopy, subject, message));
    }
    let ln_area = crate::drag::intervals::combined(
        model.estimate.value + 2.0 * ln_scale.value,
        &model.estimate,
        2.0,
        ln_scale,
    );
    let scale = maths::exp(ln_scale.value);
    let how = Derivation {
        symbol: "A",
        meaning: "drag area of one canopy".to_owned(),
        si: scale * scale * model.value,
        kind: Kind::DragArea,
        expr: sym("s") * sym("s") * sym("A_m"),
        inputs: vec![
            Input {
                symbol: "s",
                meaning: "full over model length".to_owned(),
                si: scale,
                kind: Kind::Ratio,
                trust: Trust::Given,
                number: None,
            },
            Input {
                symbol: "A_m",
                meaning: "drag area of one canopy of the model".to_owned(),
                si: model.value,
                kind: Kind::DragArea,
                trust: model.trust.clone(),
                number: None,
            },
        ],
        source: Trust::Published("areas go with the square of length (NASA TP-1435)".to_owned()),
    };
    let area = Factor {
        value: how.si,
        interval: crate::drag::intervals::log(&ln_area),
        scale: Scale::Log,
        estimate: ln_area,
        trust: model.trust.clone(),
        how: How::Closed(how.clone()),
    };
    Ok(FullCanopy { area, nominal_diameter_m: None, how: vec![how], findings: Vec::new() })
}

/// A test of the real canopy is its area at full size.
pub fn canopy_of_real_test(real: &Factor, nominal_diameter_m: Option<f64>) -> FullCanopy {
    FullCanopy { area: real.clone(), nominal_diameter_m, how: Vec::new(), findings: Vec::new() }
}

/// What of shape, lines, vent and cloth is not stated alike, in words.
fn unlike(model: &Geometry, full: &Geometry) -> Vec<String> {
    let mut unlike = Vec::new();
    let mut say = |what: &str, alike: bool| {
        if !alike {
            unlike.push(format!("{what} not stated alike"));
        }
    };
    say("shape", model.shape.is_some() && model.shape == full.shape);
    say("line length over diameter", ratios_alike(model.lines_over_diameter, full.lines_over_diameter));
    say("vent over diameter", ratios_alike(model.vent_over_diameter, full.vent_over_diameter));
    say("cloth", model.cloth.is_some() && model.cloth == full.cloth);
    unlike
}

/// Both stated, and within [`ALIKE_WITHIN`] of one another.
pub fn ratios_alike(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= ALIKE_WITHIN * a.abs().max(b.abs()),
        _ => false,
    }
}
