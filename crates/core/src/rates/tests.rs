use super::*;
use crate::drops::{FindConfig, Found, find};
use crate::recording::{Channel, RowMap};

/// Ten samples a second in steps of 0.1 m: at rest on a tower of 30 m, `early` m/s for two seconds, then 4 m/s to the ground.
fn recorded(early_m_per_s: f64) -> Recording {
    let time_s: Vec<f64> = (0..300).map(|i| f64::from(i) / 10.0).collect();
    let height = |t: &f64| {
        let fallen_s = (t - 5.0).max(0.0);
        let way_m = early_m_per_s * fallen_s.min(2.0) + 4.0 * (fallen_s - 2.0).max(0.0);
        libm::round(10.0 * (30.0 - way_m).max(0.0)) / 10.0
    };
    Recording {
        name: "made up.csv".to_owned(),
        value: time_s.iter().map(height).collect::<Vec<_>>().into(),
        time_s: time_s.into(),
        channel: Channel::TrueHeight,
        temperature_k: None,
        segments: vec![0],
        rows: RowMap::default(),
    }
}

fn by_hand(recording: &Recording, from_s: f64, to_s: f64) -> DropRate {
    let Found { falls, noise, .. } = find(recording, &FindConfig::default());
    assert_eq!(falls.len(), 1);
    let seconds = Time::new::<second>;
    let window = Some(Window { from: seconds(from_s), to: seconds(to_s) });
    let scale = HeightScale::AS_RECORDED;
    fit(&Given { recording, fall: &falls[0], noise: &noise, scale, window }, &RateConfig::default())
}

#[test]
fn a_stretch_given_by_hand_knows_nothing_of_what_stands_before_it() {
    let rates: Vec<f64> = [3.0, 4.0, 6.0]
        .map(|early| {
            let drop = by_hand(&recorded(early), 7.5, 10.5);
            assert!((drop.steady_from.expect("it has one").get::<second>() - 7.5).abs() < 1e-9);
            assert!((drop.steady_to.expect("it has one").get::<second>() - 10.5).abs() < 1e-9);
            let rate = drop.rate().expect("a rate");
            let (rate, doubt) = (rate.rate, rate.standard_uncertainty);
            assert!((rate.get::<meter_per_second>() - 4.0).abs() < 2.0 * doubt.get::<meter_per_second>());
            rate.get::<meter_per_second>()
        })
        .into();
    assert!(rates.iter().all(|rate| (rate - 4.0).abs() < 0.04), "{rates:?}");
}

#[test]
fn moving_the_begin_of_a_stretch_given_by_hand_moves_its_rate() {
    let recording = recorded(6.0);
    let of = |from_s: f64| {
        by_hand(&recording, from_s, 10.5).rate().expect("a rate").rate.get::<meter_per_second>()
    };
    assert!(of(5.5) > of(7.0) + 0.2, "{} and {}", of(5.5), of(7.0));
}
