//! Drag area of a body from its shape: a cylinder across or along the stream, with fins as flat plates.
//!
//! Across: D = C l d + C_f A_f n/2, m². C on l d by l/d below the drag crisis (Aeronautical Engineer's Data Book,
//! p. 95: [`crate::drag::cylinder_crosswise`]); from a Reynolds number v d/ν of 10⁵ on it may fall, above 4 · 10⁵ it has
//! fallen, to 0.2 to 0.4 of a cylinder without ends, rising to 0.7 at 3.5 · 10⁶ (A. Roshko, J. Fluid Mech. 10 (1961) 345; a
//! short one taken in proportion). n fins of A_f, m², each one side, evenly spaced: a stalled plate takes sin²φ of its
//! drag square on, C_f = 1.17 (square plate, same page), which sums to n/2 at any roll for n from 3.
//! Along: D = C π d²/4, C by l/d (same page: [`crate::drag::cylinder_endwise`]); fins edge on count as nothing.
//!
//! Range: speeds far below that of sound. The table is doubted by [`SHAPE_WITHIN`], a judgement of ours. Not here: noses,
//! open ends, other bodies, flow aslant.

use crate::derivation::{Derivation, Input, num, sym};
use crate::drag::{Interval, cylinder_crosswise, cylinder_endwise};
use crate::full_size::DRAG_CRISIS;
use crate::ledger::Trust;
use crate::maths::ln;
use crate::quantity::Kind;
use crate::shapes::Range;

/// How far a coefficient of the table may be off either way, as a share: a judgement of ours.
pub const SHAPE_WITHIN: f64 = 0.2;
/// Where the coefficients stand.
const TABLE: &str = "Aeronautical Engineer's Data Book, p. 95";
/// Coefficient of a cylinder without ends, below the crisis: the same table.
const WITHOUT_ENDS: f64 = 1.20;
/// A square plate square on: the same table.
const PLATE: f64 = 1.17;
/// Coefficients past the crisis of a cylinder without ends, and where it has risen again (Roshko 1961).
const PAST_CRISIS: Range = Range { low: 0.2, high: 0.4 };
const RISEN: (f64, f64) = (3.5e6, 0.7);

/// How the stream meets the body.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FlowAlong {
    /// Square to the long axis: the body hangs level.
    Across,
    /// Along it: the body hangs upright.
    Axis,
}

/// Fins, all alike and evenly spaced.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fins {
    /// How many.
    pub count: u32,
    /// Area of one, one side, m².
    pub area_m2: f64,
}

/// A body's drag area by its shape.
#[derive(Clone, Debug, PartialEq)]
pub struct BodyArea {
    /// Coefficient of the cylinder: on l d across, on π d²/4 along.
    pub coefficient: Range,
    /// Drag area, m², with the middle of the coefficient.
    pub how: Derivation,
    /// Where it lies, m².
    pub interval: Interval,
    /// Share of the fins in it.
    pub fins_share: f64,
    /// Whether the Reynolds number is in the drag crisis, where the coefficient may be anything between.
    pub in_crisis: bool,
}

/// Coefficient on l d of a cylinder across the stream, by l/d and v d/ν: [`SHAPE_WITHIN`] of the table either way, down to
/// what it falls to past the drag crisis.
pub fn crossflow_coefficient(length_over_diameter: f64, reynolds: f64) -> Range {
    let below = cylinder_crosswise(length_over_diameter);
    let infinite = if reynolds <= DRAG_CRISIS.low {
        Range { low: WITHOUT_ENDS, high: WITHOUT_ENDS }
    } else if reynolds <= DRAG_CRISIS.high {
        // The rougher, the earlier it falls and the less.
        let low = between((DRAG_CRISIS.low, WITHOUT_ENDS), (DRAG_CRISIS.high, PAST_CRISIS.low), reynolds);
        Range { low, high: WITHOUT_ENDS }
    } else {
        let rising = |from: f64| between((DRAG_CRISIS.high, from), RISEN, reynolds.min(RISEN.0));
        Range { low: rising(PAST_CRISIS.low), high: rising(PAST_CRISIS.high) }
    };
    let share = below / WITHOUT_ENDS;
    Range {
        low: infinite.low * share * (1.0 - SHAPE_WITHIN),
        high: infinite.high * share * (1.0 + SHAPE_WITHIN),
    }
}

/// On a straight line over ln x.
fn between((x0, y0): (f64, f64), (x1, y1): (f64, f64), x: f64) -> f64 {
    y0 + (y1 - y0) * ln(x / x0) / ln(x1 / x0)
}

/// Drag area of a cylinder with fins. `reynolds` is v d/ν; without one the crisis is left out.
///
/// # Panics
/// Where length or diameter is not above 0.
///
/// # Examples
/// 2 m long, 0.2 m thick, level: 0.82 · 2 · 0.2.
/// ```
/// use silkfall_core::hanging::{FlowAlong, body_area};
/// let area = body_area(FlowAlong::Across, 2.0, 0.2, None, None);
/// assert!((area.how.si - 0.328).abs() < 1e-12);
/// ```
pub fn body_area(
    flow: FlowAlong,
    length_m: f64,
    diameter_m: f64,
    fins: Option<Fins>,
    reynolds: Option<f64>,
) -> BodyArea {
    assert!(length_m > 0.0 && diameter_m > 0.0, "a body has a length and a diameter");
    let ratio = length_m / diameter_m;
    let table = Trust::Published(TABLE.to_owned());
    let (coefficient, in_crisis) = match flow {
        FlowAlong::Across => {
            let reynolds = reynolds.unwrap_or(0.0);
            (
                crossflow_coefficient(ratio, reynolds),
                reynolds > DRAG_CRISIS.low && reynolds < DRAG_CRISIS.high,
            )
        }
        FlowAlong::Axis => {
            let value = cylinder_endwise(ratio);
            (Range { low: value * (1.0 - SHAPE_WITHIN), high: value * (1.0 + SHAPE_WITHIN) }, false)
        }
    };
    let mut inputs = vec![Input::new(
        "C",
        "coefficient of the cylinder",
        coefficient.middle(),
        Kind::Ratio,
        table.clone(),
    )];
    let length = || Input::new("l", "length", length_m, Kind::Length, Trust::Given);
    let diameter = Input::new("d", "diameter", diameter_m, Kind::Length, Trust::Given);
    let mut plates = 0.0;
    let expr = match (flow, fins) {
        (FlowAlong::Axis, _) => {
            inputs.push(diameter);
            sym("C") * num(std::f64::consts::PI) * sym("d").pow(2.0) / num(4.0)
        }
        (FlowAlong::Across, None) => {
            inputs.extend([length(), diameter]);
            sym("C") * sym("l") * sym("d")
        }
        (FlowAlong::Across, Some(fins)) => {
            inputs.extend([length(), diameter]);
            inputs.push(Input::new(
                "C_f",
                "coefficient of a plate square on",
                PLATE,
                Kind::Ratio,
                table.clone(),
            ));
            inputs.push(Input::new(
                "A_f",
                "area of one fin, one side",
                fins.area_m2,
                Kind::Area,
                Trust::Given,
            ));
            inputs.push(Input::new("n", "number of fins", f64::from(fins.count), Kind::Ratio, Trust::Given));
            plates = PLATE * fins.area_m2 * f64::from(fins.count) / 2.0;
            sym("C") * sym("l") * sym("d") + sym("C_f") * sym("A_f") * sym("n") / num(2.0)
        }
    };
    let how =
        Derivation::of("D_b", "drag area of the body by its shape", Kind::DragArea, expr, inputs, table)
            .expect("finite inputs");
    let cylinder = (how.si - plates) / coefficient.middle();
    let interval = Interval {
        low: cylinder * coefficient.low + plates * (1.0 - SHAPE_WITHIN),
        high: cylinder * coefficient.high + plates * (1.0 + SHAPE_WITHIN),
    };
    BodyArea { coefficient, fins_share: plates / how.si, how, interval, in_crisis }
}
