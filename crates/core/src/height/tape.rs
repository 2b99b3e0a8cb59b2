//! The recorded fall against a tape measure.
//!
//! k = h_tape / h_recorded, with u²(ln k) = (u_tape / h_tape)² + (u_recorded / h_recorded)². If heights are right,
//! ln k is 0 within its uncertainty; beyond two standard uncertainties (95 %) that is a finding. Heights in m.
//!
//! Source: JCGM 100:2008, 5.1.2. The tape has to be laid from where the logger hangs at release to where it hangs
//! on the ground; the stretch of cord and the swing are part of u_tape.

use uom::si::length::meter;
use uom::si::ratio::ratio;

use crate::air::Reading;
use crate::finding::{Code, Finding, Subject};
use crate::maths::{ln, sqrt};
use crate::quantity::{Length, Ratio};

/// Standard uncertainties beyond which the two heights disagree: 95 %.
const DISAGREE: f64 = 2.0;

/// What the tape says of the recording's height scale.
#[derive(Clone, Debug, PartialEq)]
pub struct TapeCheck {
    /// Height by tape over height by recording: recorded heights times this are the tape's.
    pub ratio: Reading<Ratio>,
    /// How many standard uncertainties the logarithm of the ratio is from 0.
    pub standard_uncertainties_off: f64,
    /// The finding where the two disagree.
    pub finding: Option<Finding>,
}

/// Compares the height of a fall by its recording with a tape's; `None` unless both heights are above 0.
///
/// # Examples
/// ```
/// use silkfall_core::{air::Reading, finding::Subject, height, quantity::Length};
/// use uom::si::length::meter;
///
/// let metres = |value, doubt| Reading {
///     value: Length::new::<meter>(value),
///     standard_uncertainty: Length::new::<meter>(doubt),
/// };
/// let check = height::compare_with_tape(metres(10.4, 0.1), metres(11.0, 0.05), &Subject::Whole).unwrap();
/// // 5.6 % with an uncertainty of 1.1 %
/// assert!(check.standard_uncertainties_off > 5.0 && check.finding.is_some());
/// ```
pub fn compare_with_tape(
    recorded: Reading<Length>,
    tape: Reading<Length>,
    subject: &Subject,
) -> Option<TapeCheck> {
    let plain = |reading: Reading<Length>| {
        (reading.value.get::<meter>(), reading.standard_uncertainty.get::<meter>())
    };
    let ((recorded_m, recorded_u_m), (tape_m, tape_u_m)) = (plain(recorded), plain(tape));
    let both_are_heights = recorded_m > 0.0 && tape_m > 0.0;
    if !both_are_heights {
        return None;
    }
    let k = tape_m / recorded_m;
    let relative = sqrt((recorded_u_m / recorded_m).powi(2) + (tape_u_m / tape_m).powi(2));
    // Two exact heights either agree or are infinitely far apart; a tenth of a millimetre is as good as exact.
    let off = ln(k) / relative.max(1e-4 / tape_m);
    let finding = (off.abs() > DISAGREE).then(|| {
        Finding::new(
            Code::HeightTapeDisagrees,
            subject.clone(),
            format!(
                "the recording falls {recorded_m:.2} m, the tape says {tape_m:.2} m; they differ by {:.1} %, expected within {:.1} %",
                (k - 1.0).abs() * 100.0,
                DISAGREE * relative * 100.0
            ),
        )
    });
    Some(TapeCheck {
        ratio: Reading {
            value: Ratio::new::<ratio>(k),
            standard_uncertainty: Ratio::new::<ratio>(k * relative),
        },
        standard_uncertainties_off: off,
        finding,
    })
}
