//! What the body adds at full size under every count of canopies, and bare.

use super::cluster::scaled;
use super::{BodyShape, FullNet, NetArea, SHIELD_TRANSFER};
use crate::derivation::How;
use crate::drag::intervals::{combined, linear};
use crate::drag::{Drag, Factor, Interval, Net, Scale, cylinder_crosswise, cylinder_endwise};
use crate::ledger::{Distribution, Entry, Estimate, Ledger, LedgerId, Sharing, Trust};
use crate::maths;

/// κ where no test tells it, about the middle of what it can be: a judgement of ours.
pub const SHIELD_ASSUMED: f64 = 0.5;
/// Standard deviation of ln B where B comes from the body's shape: attitude, ends, fins, flow round a cylinder near
/// the drag crisis; a judgement of ours.
pub const BODY_SHAPE_DOUBT: f64 = 0.2;
/// Where the body's area comes from.
#[derive(Clone, Copy, Debug)]
pub struct BodySource<'a> {
    /// Name of the part: its ledger entries go under `part.NAME`.
    pub part: &'a str,
    /// What the tests of the model say.
    pub drag: Option<&'a Drag>,
    /// ln of full over model length.
    pub ln_scale: &'a Estimate,
    /// What is not alike (see [`super::body_mismatches`]).
    pub mismatches: &'a [String],
    /// The shape at full size, for where no test tells.
    pub shape: Option<BodyShape>,
}

/// Net area of the body under 1 to `up_to` open canopies.
///
/// At a count that was tested, in the same geometry, the net area of that test. Else B and κ where they are told well
/// apart, with κ of that count or the nearest; else the net area of the nearest count; without a test the shape's B
/// with κ 0.5; without a shape nothing. Another count or geometry adds the transfer's 0.3, entered as
/// `transfer.wake-share`.
pub fn body_under(source: &BodySource, up_to: usize, ledger: &mut Ledger) -> Vec<FullNet> {
    (1..=up_to).map(|count| under(source, count, ledger)).collect()
}

fn under(source: &BodySource, count: usize, ledger: &mut Ledger) -> FullNet {
    let measured = if source.mismatches.is_empty() { net(source, count, ledger, 0) } else { None };
    measured
        .or_else(|| split(source, count, ledger))
        .or_else(|| net(source, count, ledger, usize::MAX))
        .or_else(|| shaped(source, count, ledger))
        .unwrap_or_else(|| nothing(count))
}

/// B and κ told apart by the model's tests.
fn split(source: &BodySource, count: usize, ledger: &mut Ledger) -> Option<FullNet> {
    let body = source.drag?.body.as_ref()?;
    // On a linear scale it is hardly told from nothing, and κ with it: then the net area says more.
    let area = body.area.factor().filter(|area| area.scale == Scale::Log)?;
    let nearest = body
        .shielded
        .iter()
        .filter_map(|shielded| Some((shielded.count, shielded.share.factor()?)))
        .min_by_key(|(at, _)| at.abs_diff(count));
    let mut mismatches = source.mismatches.to_vec();
    let mut share = match nearest {
        Some((at, factor)) => {
            if at != count {
                mismatches.push(format!("wake share measured under {at}"));
            }
            factor.estimate.clone()
        }
        None => assumed_share(&mut mismatches),
    };
    if !mismatches.is_empty() {
        share = share.with(enter_transfer(ledger), SHIELD_TRANSFER, f64::INFINITY);
    }
    let full = scaled(&area.estimate, 2.0, source.ln_scale);
    Some(shielded(count, full, share, Trust::Measured, mismatches))
}

fn assumed_share(mismatches: &mut Vec<String>) -> Estimate {
    mismatches.push("wake share not measured, 0.5 taken".to_owned());
    Estimate::exact(SHIELD_ASSUMED)
}

fn shielded(
    count: usize,
    ln_body: Estimate,
    share: Estimate,
    trust: Trust,
    mismatches: Vec<String>,
) -> FullNet {
    let area = maths::exp(ln_body.value);
    let value = area * (1.0 - share.value.clamp(0.0, 1.0));
    // First order; the draws of the cases keep κ between 0 and 1.
    let first_order = combined(value, &ln_body.mapped(value, value), -area, &share);
    let factor = Factor {
        value,
        interval: linear(&first_order).within(0.0, f64::INFINITY),
        scale: Scale::Linear,
        estimate: first_order,
        trust,
        how: told("(1 − κ) B, with B brought to full size by the square of scale and κ kept between 0 and 1"),
    };
    FullNet { count, form: NetArea::Shielded { ln_body, share }, area: factor, mismatches }
}

/// The net area of the nearest count that was tested, at most `reach` away.
fn net(source: &BodySource, count: usize, ledger: &mut Ledger, reach: usize) -> Option<FullNet> {
    let told_net = |net: &&Net| net.ln_canopies.is_some() && net.count.abs_diff(count) <= reach;
    let nearest = source.drag?.net.iter().filter(told_net).min_by_key(|net| net.count.abs_diff(count))?;
    let (total, canopies) = (nearest.ln_total.as_ref()?, nearest.ln_canopies.as_ref()?);
    let mut mismatches = source.mismatches.to_vec();
    if nearest.count != count {
        mismatches.push(format!("net area measured under {}", nearest.count));
    }
    let mut change = Estimate::exact(0.0);
    if !mismatches.is_empty() {
        change = change.with(enter_transfer(ledger), SHIELD_TRANSFER, f64::INFINITY);
    }
    let measured = nearest.area.factor()?;
    let square = maths::exp(2.0 * source.ln_scale.value);
    let at = square * measured.estimate.value;
    let mut estimate = combined(at, &measured.estimate.mapped(at, square), 2.0 * at, source.ln_scale);
    let own = Interval { low: square * measured.interval.low, high: square * measured.interval.high };
    let value = square * measured.value;
    let reach = 1.959_964 * SHIELD_TRANSFER * value * if mismatches.is_empty() { 0.0 } else { 1.0 };
    estimate = combined(at, &estimate, value, &change);
    let factor = Factor {
        value,
        interval: Interval {
            low: value - (value - own.low).hypot(reach),
            high: value + (own.high - value).hypot(reach),
        }
        .within(0.0, f64::INFINITY),
        scale: Scale::Linear,
        estimate,
        trust: Trust::Measured,
        how: told("Net area of the body, brought to full size by the square of scale"),
    };
    let form = NetArea::Difference {
        ln_total: scaled(total, 2.0, source.ln_scale),
        ln_canopies: scaled(canopies, 2.0, source.ln_scale),
        change,
    };
    Some(FullNet { count, form, area: factor, mismatches })
}

/// No test: B of the shape.
fn shaped(source: &BodySource, count: usize, ledger: &mut Ledger) -> Option<FullNet> {
    let area = hung(source.shape?);
    let id = LedgerId(format!("part.{}.body-area", source.part));
    ledger.enter(
        id.clone(),
        Entry {
            meaning: format!("drag area of the body of {} as it hangs, from its shape", source.part),
            value: area,
            distribution: Distribution::LogNormal { sd_log: BODY_SHAPE_DOUBT },
            sharing: Sharing::Knowledge,
            trust: Trust::Assumed("a cylinder's coefficient within 20 %, a judgement of ours".to_owned()),
        },
    );
    let body = Estimate::exact(maths::ln(area)).with(id, BODY_SHAPE_DOUBT, f64::INFINITY);
    let mut mismatches = Vec::new();
    let share = assumed_share(&mut mismatches).with(enter_transfer(ledger), SHIELD_TRANSFER, f64::INFINITY);
    let trust = Trust::Assumed("the body's shape, no test of it".to_owned());
    Some(shielded(count, body, share, trust, mismatches))
}

fn nothing(count: usize) -> FullNet {
    let area = Factor {
        value: 0.0,
        interval: Interval { low: 0.0, high: 0.0 },
        scale: Scale::Linear,
        estimate: Estimate::exact(0.0),
        trust: Trust::Assumed("nothing is known of the body's drag; it is counted as none".to_owned()),
        how: told(
            "Neither a test nor a shape of the body: its drag counts as nothing, which is on the safe side",
        ),
    };
    FullNet { count, form: NetArea::Nothing, area, mismatches: Vec::new() }
}

/// ln of the drag area of the bare body, tumbling: between end on and level alike in ln where the shape is known (a
/// judgement of ours), else B with half of it either way; `None` where neither is known. Entered as
/// `part.NAME.tumbling`.
pub fn bare_body(source: &BodySource, ledger: &mut Ledger) -> Option<Estimate> {
    let id = LedgerId(format!("part.{}.tumbling", source.part));
    let mut enter = |value: f64, sd_log: f64, why: &str| {
        ledger.enter(
            id.clone(),
            Entry {
                meaning: format!("drag area of {} with nothing open", source.part),
                value,
                distribution: Distribution::LogNormal { sd_log },
                sharing: Sharing::Knowledge,
                trust: Trust::Assumed(why.to_owned()),
            },
        );
        Estimate::exact(maths::ln(value)).with(id.clone(), sd_log, f64::INFINITY)
    };
    if let Some(shape) = source.shape {
        let (end_on, level) = end_on_and_level(shape);
        let sd_log = (maths::ln(level / end_on).abs() / maths::sqrt(12.0)).max(BODY_SHAPE_DOUBT);
        let value = maths::sqrt(end_on * level);
        return Some(enter(
            value,
            sd_log,
            "a tumbling body is between end on and level, a judgement of ours",
        ));
    }
    let body = source.drag?.body.as_ref()?.area.factor()?;
    let value = maths::exp(2.0 * source.ln_scale.value) * body.value;
    (value > 0.0).then(|| enter(value, 0.4, "as it hung, within 40 %, a judgement of ours"))
}

/// Drag area as hung, m².
fn hung(shape: BodyShape) -> f64 {
    let (end_on, level) = end_on_and_level(shape);
    match shape {
        BodyShape::CylinderLevel { .. } => level,
        BodyShape::CylinderEndOn { .. } => end_on,
    }
}

fn end_on_and_level(shape: BodyShape) -> (f64, f64) {
    let (BodyShape::CylinderLevel { length_m, diameter_m }
    | BodyShape::CylinderEndOn { length_m, diameter_m }) = shape;
    let ratio = length_m / diameter_m;
    let end_on = cylinder_endwise(ratio) * std::f64::consts::FRAC_PI_4 * diameter_m * diameter_m;
    (end_on, cylinder_crosswise(ratio) * length_m * diameter_m)
}

fn enter_transfer(ledger: &mut Ledger) -> LedgerId {
    let id = LedgerId::from("transfer.wake-share");
    ledger.enter(
        id.clone(),
        Entry {
            meaning: "share of the body's drag lost to its wake, carried to another geometry".to_owned(),
            value: 0.0,
            distribution: Distribution::Normal { sd: SHIELD_TRANSFER },
            sharing: Sharing::Knowledge,
            trust: Trust::Assumed("0.3, a judgement of ours".to_owned()),
        },
    );
    id
}

fn told(procedure: &str) -> How {
    How::Fit { procedure: format!("{procedure}."), data: "factors of the model's tests".to_owned(), count: 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source<'a>(ln_scale: &'a Estimate, shape: Option<BodyShape>) -> BodySource<'a> {
        BodySource { part: "tube", drag: None, ln_scale, mismatches: &[], shape }
    }

    const TUBE: BodyShape = BodyShape::CylinderLevel { length_m: 2.0, diameter_m: 0.2 };

    #[test]
    fn without_a_test_the_shape_gives_half_of_its_area_in_doubt() {
        let scale = Estimate::exact(0.0);
        let mut ledger = Ledger::default();
        let under = body_under(&source(&scale, Some(TUBE)), 2, &mut ledger);
        // l/d = 10: 0.82 on 2.0 · 0.2 m²; half of it in the wake.
        assert!((under[1].area.value - 0.5 * 0.82 * 0.4).abs() < 1e-12);
        assert_eq!(under[1].area.trust.word(), "assumed");
        assert!(ledger.get(&"transfer.wake-share".into()).is_some());
        let bare = bare_body(&source(&scale, Some(TUBE)), &mut ledger).unwrap();
        // End on at l/d 10: the last row of the table.
        let (end_on, level) = (0.99 * std::f64::consts::FRAC_PI_4 * 0.04, 0.328);
        assert!((2.0 * bare.value - maths::ln(end_on * level)).abs() < 1e-12);
    }

    #[test]
    fn with_nothing_known_the_body_counts_as_nothing() {
        let scale = Estimate::exact(0.0);
        let mut ledger = Ledger::default();
        let under = body_under(&source(&scale, None), 1, &mut ledger);
        assert_eq!(under[0].form, NetArea::Nothing);
        assert!(ledger.is_empty());
        assert_eq!(bare_body(&source(&scale, None), &mut ledger), None);
    }
}
