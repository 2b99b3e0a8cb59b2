//! Design factors, the angle of lines, units of strength and shocks against values worked out apart from this program.

use outside_check::check;
use silkfall_core::ledger::Trust;
use silkfall_core::load_path::{
    Bounded, Factor, Factors, MemberKind, cloth_strength_n, line_convergence, shock_m_per_s2,
};
use silkfall_core::quantity::{Kind, parse};

const STATED: &str = "computed independently from the stated formula";

#[test]
fn a_design_factor_is_its_product() {
    let given = |value| Bounded::exact(value, Trust::Given);
    let factors = Factors::remembered(MemberKind::Lines)
        .with(Factor::Asymmetry, given(1.05))
        .with(Factor::Convergence, given(1.0613))
        .with(Factor::Joints, given(0.80));
    check! {
        area: "load path", what: "design factor 1.5 · 1.05 · 1.0613/(0.80 · 0.95³)",
        against: STATED, leg: Closed,
        got: factors.best(), want: 2.4370, within: 5e-5, because: "half a unit of the last printed digit",
    }
}

#[test]
fn lines_pull_harder_the_shorter_they_are() {
    let rows = [(0.8, 1.1012), (1.0, 1.0613), (1.2, 1.0414), (1.5, 1.0259), (2.0, 1.0143)];
    check! {
        area: "load path", what: "pull of lines that meet, by line length over diameter, mouth 0.67 of it",
        against: STATED, leg: Closed,
        rows: rows.map(|(lines, want)| (format!("{lines}"), line_convergence(0.67, lines).unwrap(), want)),
        within: 5e-5, because: "half a unit of the last printed digit",
    }
    let angles = [(0.8, 24.76), (1.0, 19.57), (1.2, 16.21), (1.5, 12.90), (2.0, 9.64)];
    let angle = |lines: f64| (1.0 / line_convergence(0.67, lines).unwrap()).acos().to_degrees();
    check! {
        area: "load path", what: "angle of lines that meet, degrees, by line length over diameter",
        against: STATED, leg: Closed,
        rows: angles.map(|(lines, want)| (format!("{lines}"), angle(lines), want)),
        within: 0.005, because: "half a unit of the last printed digit",
    }
}

#[test]
fn strengths_are_read_in_the_units_of_specifications() {
    check! {
        area: "load path", what: "42 lbf/in of cloth, kN/m",
        against: "MIL-C-7020H type I as quoted in a table (second hand)", leg: Published,
        got: parse("42 lbf/in", Kind::ForcePerLength).unwrap().si / 1000.0, want: 7.36, within: 0.005,
        because: "half a unit of the last printed digit",
    }
    check! {
        area: "load path", what: "550 lbf of cord, N",
        against: "MIL-C-5040H type III as quoted (second hand)", leg: Published,
        got: parse("550 lbf", Kind::Force).unwrap().si, want: 2447.0, within: 0.5,
        because: "half a unit of the last printed digit",
    }
    check! {
        area: "load path", what: "one lbf/in, N/m", against: STATED, leg: Closed,
        got: parse("1 lbf/in", Kind::ForcePerLength).unwrap().si, want: 175.127, within: 5e-4,
        because: "half a unit of the last printed digit",
    }
}

#[test]
fn a_shock_is_pull_over_mass() {
    let rows = [(463.45, 4.726), (511.17, 5.212)];
    check! {
        area: "load path", what: "shock of 10 kg, standard gravities, by pull in N", against: STATED, leg: Closed,
        rows: rows.map(|(pull, want)| (format!("{pull}"), shock_m_per_s2(pull, 10.0) / 9.806_65, want)),
        within: 5e-4, because: "half a unit of the last printed digit",
    }
}

/// Equilibrium of a half sphere: its rim, π D_p long, holds the pull; a cylinder has twice the tension.
#[test]
fn cloth_holds_the_pull_at_its_rim() {
    let (tension_n_per_m, mouth_m) = (250.0, 1.34);
    let rim = tension_n_per_m * std::f64::consts::PI * mouth_m;
    check! {
        area: "load path", what: "pull that cloth carries, N: half sphere and cylinder",
        against: "equilibrium of forces at the rim, Δp D/2 in a cylinder", leg: Closed,
        rows: [
            ("half sphere", cloth_strength_n(tension_n_per_m, mouth_m, 1.0), rim),
            ("cylinder", cloth_strength_n(tension_n_per_m, mouth_m, 2.0), {
                // Δp = F/(π D²/4) and T = Δp D/2, solved for F.
                let area = std::f64::consts::FRAC_PI_4 * mouth_m * mouth_m;
                tension_n_per_m / (0.5 * mouth_m) * area
            }),
        ], within_relative: 1e-12, because: "both work in double precision",
    }
}
