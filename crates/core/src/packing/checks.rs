//! Packing: properties, and closed forms worked by hand.

use proptest::prelude::*;

use super::*;

fn bay(diameter: f64, length: f64) -> Bay {
    Bay {
        diameter_m: Estimate::exact(diameter),
        length_m: Estimate::exact(length),
        filled: Estimate::exact(1.0),
    }
}

proptest! {
    /// A roll put into a bay of its own diameter takes its own length; into one twice as wide, a quarter.
    #[test]
    fn a_roll_keeps_its_volume(d in 0.02f64..0.5, l in 0.01f64..2.0, n in 1u32..6) {
        let volume = volume_of_roll(d, l, 1.0).si;
        let own = length_in_bay(f64::from(n), volume, &bay(d, 1.0)).si;
        prop_assert!((own / (f64::from(n) * l) - 1.0).abs() < 1e-12);
        let wide = length_in_bay(1.0, volume, &bay(2.0 * d, 1.0)).si;
        prop_assert!((4.0 * wide / l - 1.0).abs() < 1e-12);
    }

    /// The slopes are those of the closed form: a small change of each input moves the length as its part says.
    #[test]
    fn slopes_are_those_of_the_closed_form(d in 0.05f64..0.4, v in 1e-4f64..0.02, phi in 0.5f64..1.0) {
        let of = |d: f64, v: f64, phi: f64| {
            let bay = Bay {
                diameter_m: Estimate::exact(d).with("d", 1.0, f64::INFINITY),
                length_m: Estimate::exact(1.0),
                filled: Estimate::exact(phi).with("phi", 1.0, f64::INFINITY),
            };
            bay.length_of(2.0, &Estimate::exact(v).with("v", 1.0, f64::INFINITY))
        };
        let length = of(d, v, phi);
        let h = 1e-6;
        for (id, moved) in [("d", of(d * (1.0 + h), v, phi)), ("v", of(d, v * (1.0 + h), phi)), ("phi", of(d, v, phi * (1.0 + h)))] {
            let x = match id { "d" => d, "v" => v, _ => phi };
            let slope = (moved.value - length.value) / (x * h);
            let part = length.parts[&id.into()].signed;
            prop_assert!((slope / part - 1.0).abs() < 1e-4, "{id}: {slope} {part}");
        }
    }

    /// What is short misses, however little; what is spare by more than its doubt meets.
    #[test]
    fn the_word_follows_the_spare(spare in -0.5f64..0.5, u in 0.0f64..0.1) {
        let (word, says) = fits(&Estimate::exact(spare).with("x", u, f64::INFINITY));
        let low = spare - 1.959_963_984_540_054 * u;
        let expected = if spare < 0.0 { Verdict::Misses } else if low >= 0.0 { Verdict::Meets } else { Verdict::Undecided };
        prop_assert_eq!(word, expected);
        prop_assert_eq!(says.starts_with("does not fit, "), spare < 0.0);
        prop_assert!(!says.contains(" 0 mm short"), "{}", says);
    }

    /// One more than the most that fit does not.
    #[test]
    fn the_most_fit_and_one_more_does_not(v in 1e-4f64..0.01, others in 0.0f64..0.3) {
        let bay = bay(0.2, 0.5);
        let most = bay.most(others, v);
        let taken = |n: u32| others + bay.length_of(f64::from(n), &Estimate::exact(v)).value;
        prop_assert!(taken(most) <= 0.5 + 1e-9 || most == 0);
        prop_assert!(taken(most + 1) > 0.5);
    }
}

#[test]
fn canopies_of_one_offer_share_their_doubt() {
    let volume = Estimate::exact(0.001).with("density", 1e-4, f64::INFINITY);
    let three = bay(0.2, 0.5).length_of(3.0, &volume);
    let one = bay(0.2, 0.5).length_of(1.0, &volume);
    assert!((three.standard_uncertainty() / one.standard_uncertainty() - 3.0).abs() < 1e-12);
}

#[test]
fn nothing_is_left_of_a_bay_full_of_hard_things() {
    assert_eq!(density_wanted(1.0, 0.01, 0.01), None);
    assert!((density_wanted(1.0, 0.01, 0.005).unwrap().si - 200.0).abs() < 1e-9);
}

#[test]
fn ways_of_packing_follow_one_another() {
    let ways = practices();
    for pair in ways.windows(2) {
        assert!(pair[0].kg_per_m3[1] <= pair[1].kg_per_m3[1]);
    }
    for way in ways {
        assert!(way.kg_per_m3[0] < way.kg_per_m3[1] && way.kg_per_m3[1] < SOLID_NYLON_KG_PER_M3);
        assert!(matches!(pressed(way.kg_per_m3[1]), Pressed::By(found) if found.name == way.name));
    }
}
