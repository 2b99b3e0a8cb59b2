//! Getting it out: properties.

use proptest::prelude::*;

use super::*;

fn room(volume: f64, speed: f64) -> Flow {
    Flow {
        volume_m3: volume,
        density_kg_per_m3: 1.2,
        gravity: 9.81,
        speed_m_per_s: speed,
        temperature_k: 290.0,
        discharge: 0.6,
    }
}

proptest! {
    /// Holes that keep a room within a pressure give that pressure.
    #[test]
    fn holes_and_lag_are_inverses(volume in 1e-4f64..0.1, speed in 1.0f64..300.0, allowed in 1.0f64..5e3, n in 1u32..8) {
        let (room, n) = (room(volume, speed), f64::from(n));
        let diameter = hole_wanted(&room, n, allowed).unwrap().si;
        prop_assert!((lag_pressure(&room, n, diameter).unwrap().si / allowed - 1.0).abs() < 1e-9);
        // Four times as many of half the size are the same area.
        prop_assert!((lag_pressure(&room, 4.0 * n, diameter / 2.0).unwrap().si / allowed - 1.0).abs() < 1e-9);
    }

    /// The gas wanted for a pressure makes that pressure.
    #[test]
    fn gas_and_pressure_are_inverses(p in 1e3f64..3e5, v in 1e-4f64..0.05, t in 250.0f64..320.0) {
        for gas in [Gas::CarbonDioxide, Gas::Nitrogen, Gas::Argon, Gas::Air] {
            let mass = cold_gas_mass(gas, p, v, t).si;
            prop_assert!((cold_gas_pressure(gas, mass, v, t).si / p - 1.0).abs() < 1e-12);
        }
    }

    /// A range has two ends, and the rule lies between them.
    #[test]
    fn a_charge_is_a_range_about_the_rule(p in 1e3f64..3e5, v in 1e-4f64..0.05) {
        let [least, most] = PYROTECHNIC_SHARE;
        let (low, high) = (pyrotechnic_mass(p, v, most).si, pyrotechnic_mass(p, v, least).si);
        let rule = pyrotechnic_rule(p, v);
        prop_assert!(low < rule && rule < high && high > 2.0 * low);
    }

    /// Force over what holds, at the pressure wanted, is the margin wanted.
    #[test]
    fn the_pressure_wanted_gives_the_margin(k in 1.0f64..4.0, pins in 0.0f64..500.0, rub in 1.0f64..100.0, m in 0.0f64..20.0, d in 0.02f64..0.5) {
        let holding = holds(pins, rub, m, 9.81).si;
        let wanted = force_wanted(k, holding).si;
        let pressure = pressure_wanted(wanted, d).si;
        let force = force_of_pressure(pressure, d).si;
        let margin = force_margin(force, holding).unwrap().si;
        prop_assert!((margin / k - 1.0).abs() < 1e-12);
    }

    /// A faster push passes the fins further out; a faster stream nearer.
    #[test]
    fn pushes_clear_and_streams_do_not(f in 1.0f64..500.0, u in 5.0f64..100.0) {
        let clear = |f: f64, u: f64| {
            let w = speed_of_push(f, 0.1, 0.5).unwrap().si;
            out_of_the_way(w, drift_back(0.5, 1.0, 1.2, u, 0.02).unwrap().si, 0.2).si
        };
        prop_assert!(clear(1.1 * f, u) > clear(f, u) && clear(f, 1.1 * u) < clear(f, u));
    }
}

#[test]
fn what_has_no_answer_has_none() {
    assert_eq!(lag_pressure(&room(1e-3, 10.0), 0.0, 0.003), None);
    assert_eq!(hole_wanted(&room(1e-3, 10.0), 1.0, 0.0), None);
    assert_eq!(hole_wanted(&room(1e-3, 10.0), 0.0, 1.0), None);
    assert_eq!(force_margin(1.0, 0.0), None);
    assert_eq!(drift_back(0.5, 1.0, 1.2, 0.0, 0.02), None);
}

#[test]
fn threads_stand_once_and_have_a_root() {
    for (at, thread) in THREADS.iter().enumerate() {
        assert!(thread.minor_m() > 0.5 * thread.major_m, "{}", thread.name);
        assert_eq!(THREADS.iter().position(|other| other.name == thread.name), Some(at));
        assert_eq!(Thread::by_name(thread.name), Some(*thread));
    }
}
