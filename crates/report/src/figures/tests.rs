//! Drawings of 1, 5 and 40 of everything: text keeps apart and inside, and what must be told is told.

use silkfall_core::quantity::{Kind, System};

use super::*;
use crate::document::{Range, Verdict};

const COUNTS: [usize; 3] = [1, 5, 40];

fn letter(at: usize) -> String {
    let one = |n: usize| char::from(b'a' + (n % 26) as u8);
    if at < 26 { one(at).to_string() } else { format!("{}{}", one(at / 26 - 1), one(at)) }
}

/// Rates that wander a little, without chance: whole-number hashing of the index.
fn wander(at: usize) -> f64 {
    (at * 7919 % 101) as f64 / 101.0 - 0.5
}

fn range(mid: f64, half: f64, limit: Option<f64>) -> Range {
    Range { low: mid - half, mid, high: mid + half, limit }
}

fn overlay(count: usize) -> Drawing {
    let drop = |at: usize| {
        let rate = 3.2 + 0.5 * wander(at);
        let time_s: Vec<f64> = (-20..=450).map(|i| f64::from(i) / 100.0).collect();
        let height = |t: f64| if t < 0.5 { 11.0 } else { (11.0 - rate * (t - 0.5)).max(0.0) };
        let height_m: Vec<f64> = time_s.iter().map(|t| (height(*t) / 0.3048).round() * 0.3048).collect();
        DropLine {
            letter: letter(at),
            time_s: time_s.into(),
            height_m: height_m.into(),
            steady: (at % 7 != 6).then_some(SteadyLine {
                from_s: 1.1,
                to_s: 3.0,
                height_m: 11.0 - rate * 0.6,
                slope_m_per_s: rate,
            }),
            kept: at % 4 != 3,
        }
    };
    Drawing::Overlay(Overlay {
        drops: (0..count).map(drop).collect(),
        height_step_m: Some(0.3048),
        span_s: None,
    })
}

/// The same, looked at closely.
fn overlay_near(count: usize) -> Drawing {
    let Drawing::Overlay(all) = overlay(count) else { unreachable!("it is made as one") };
    Drawing::Overlay(Overlay { span_s: Some((1.0, 2.2)), ..all })
}

/// A recording of so many drops, 2 min apart.
fn ribbon(count: usize) -> Drawing {
    let (every, end) = (120.0, 120.0 * count as f64 + 40.0);
    let time_s: Vec<f64> = (0..512).map(|i| (f64::from(i) + 0.5) * end / 512.0).collect();
    let height = |t: f64| match t % every {
        t if t < 20.0 => 0.0,
        t if t < 60.0 => 0.3 * (t - 20.0),
        t if t < 80.0 => 12.0,
        t if t < 84.0 => 12.0 - 3.0 * (t - 80.0),
        _ => 0.0,
    };
    let spells = (0..count).flat_map(|at| {
        let start = every * at as f64;
        let spell = |is: &str, from_s: f64, to_s: f64, drop| RibbonSpell {
            is: is.to_owned(),
            from_s: start + from_s,
            to_s: start + to_s,
            drop,
        };
        [
            spell("ground", 0.0, 20.0, None),
            spell("hoist", 20.0, 60.0, None),
            spell("hang", 60.0, 80.0, None),
            spell("fall", 80.0, 84.0, Some((letter(at), at % 4 != 3))),
            spell("ground", 84.0, 120.0, None),
        ]
    });
    Drawing::Ribbon(Ribbon {
        low_m: time_s.iter().map(|t| height(*t) - 0.2).collect(),
        high_m: time_s.iter().map(|t| height(*t) + 0.2).collect(),
        time_s: time_s.into(),
        spells: spells.collect(),
        span_s: (0.0, end),
    })
}

fn rates(count: usize) -> Drawing {
    let drop = |at: usize| DropRate {
        letter: letter(at),
        rate: range(3.2 + 0.4 * wander(at), 0.15, None),
        set_aside: (at % 4 == 3).then(|| "24 % faster than the rest, lines tangled at the start".to_owned()),
    };
    Drawing::Rates(RateDots { drops: (0..count).map(drop).collect(), pooled: Some(range(3.21, 0.2, None)) })
}

fn parts(count: usize) -> Drawing {
    let row = |at: usize| PartRow {
        label: format!("{} canopies and the body, model at 1 : 2", at + 1),
        pieces: vec![
            PartPiece { label: "canopy P1".to_owned(), si: 1.1, fill: Fill::Solid },
            PartPiece { label: "canopy P2".to_owned(), si: 1.0 + 0.1 * wander(at), fill: Fill::Stripes },
            PartPiece { label: "lines".to_owned(), si: 0.05, fill: Fill::Stipple },
            PartPiece { label: "body".to_owned(), si: 0.4, fill: Fill::Outline },
        ],
        total: Some(range(2.3, 0.3, None)),
    };
    Drawing::Parts(PartStacks { rows: (0..count).map(row).collect(), kind: Kind::DragArea })
}

fn candidates(count: usize) -> Drawing {
    let mark = |at: usize| CandidateMark {
        label: format!("{} × Plain {:.1} m", at % 6 + 1, 1.0 + 0.1 * (at / 6) as f64),
        count: at % 6 + 1,
        cost_si: 0.2 + 0.03 * at as f64,
        rate_m_per_s: 7.5 - 0.08 * at as f64 + 0.8 * wander(at),
        stays: at.is_multiple_of(5),
        chosen: at == 0,
        verdict: [Verdict::Meets, Verdict::Misses, Verdict::Undecided, Verdict::NotJudged][at % 4],
    };
    Drawing::Candidates(CandidateField {
        marks: (0..count).map(mark).collect(),
        cost: Kind::Mass,
        cost_words: "mass of the canopies".to_owned(),
        rate_words: "rate with one canopy shut, at worst".to_owned(),
        limit_m_per_s: Some(5.8),
    })
}

fn cases(count: usize) -> Drawing {
    let case = |at: usize| CaseMark {
        label: format!("case {at}: one stays shut and the other opens late, in the climb"),
        range: range(4.7 + at as f64 * 0.2, 0.5, (at % 3 != 2).then_some(5.5)),
        verdict: [Verdict::Meets, Verdict::Misses, Verdict::NotJudged, Verdict::Undecided][at % 4],
    };
    Drawing::Cases(CaseBars {
        cases: (0..count).map(case).collect(),
        kind: Kind::Speed,
        words: "descent rate, 95 of 100 flights".to_owned(),
    })
}

/// A body in its harness: at rest and in descent, from level to on end, with so many legs.
fn hanging(count: usize) -> Drawing {
    let view = |label: &str, angle: f64| {
        let turned =
            |x: f64, y: f64| (x * angle.cos() - y * angle.sin(), x * angle.sin() + y * angle.cos() - 0.9);
        let leg = |at: usize| HangLeg {
            at: turned(-1.2 + 2.4 * at as f64 / count as f64, 0.15),
            label: format!("strap {}", letter(at)),
            slack: at % 5 == 4,
        };
        HangView {
            label: label.to_owned(),
            angle_rad: angle,
            legs: (0..count).map(leg).collect(),
            mass: turned(0.05, -0.02),
            area: (angle > 0.0).then(|| turned(-0.02, 0.0)),
            front: turned(1.3, 0.0),
            rear: turned(-1.3, 0.0),
            thickness_m: 0.3,
        }
    };
    let tilt = count as f64 / 30.0;
    Drawing::Hanging(HangViews { views: vec![view("at rest", -0.02), view("all three of them open", tilt)] })
}

/// A tree of so many devices under each of two things, deeper and deeper.
fn failures(count: usize) -> Drawing {
    let row = |at: usize| TreeRow {
        depth: if at.is_multiple_of(count + 1) { 0 } else { 1 + at % 4 },
        label: format!("the device called {}", letter(at)),
        remark: if at % 3 == 1 { "iced ports, one battery box".to_owned() } else { String::new() },
        branch: match at % 4 {
            _ if at.is_multiple_of(count + 1) => Branch::Root,
            0 | 1 => Branch::Needed,
            _ => Branch::AnyOf,
        },
        single_point: at % 5 == 2,
    };
    Drawing::Failures(FailureTree { rows: (0..2 * (count + 1)).map(row).collect() })
}

/// So many panels of an opening as planned and at its worst, every other one with a bound.
fn curves(count: usize) -> Drawing {
    let curve = |label: &str, force: f64| Curve {
        label: label.to_owned(),
        points: (0..=40)
            .map(|i| f64::from(i) / 25.0)
            .map(|t| (t, force * if t < 1.0 { t * t * (2.2 - 1.2 * t) } else { 0.25 + 0.75 / (t * t * t) }))
            .collect(),
    };
    let panel = |at: usize| CurvePanel {
        label: format!("canopy {}, one of them stays shut", letter(at)),
        across: (Kind::Time, "since line stretch".to_owned()),
        up: (Kind::Force, "force".to_owned()),
        curves: vec![curve("as planned", 300.0 + 90.0 * wander(at)), curve("nothing opened before", 700.0)],
        bound: at.is_multiple_of(2).then(|| (760.0, "one canopy that catches all".to_owned())),
    };
    Drawing::Curves(CurvePanels { panels: (0..count).map(panel).collect() })
}

/// So many parts of every size, the last without a body.
fn silhouettes(count: usize) -> Drawing {
    let part = |at: usize| Silhouette {
        label: format!("the part called {} that comes down by itself", letter(at)),
        length_m: (at + 1 < count).then_some(0.2 + 0.4 * (at % 7) as f64),
        diameter_m: Some(0.15),
        level: at.is_multiple_of(2),
        count: at % 4,
        canopy_m: Some(1.2 + 0.3 * (at % 3) as f64),
        lines_m: 1.3,
        riser_m: 2.0,
    };
    Drawing::Silhouettes(Silhouettes { parts: (0..count.clamp(5, 8)).map(part).collect() })
}

fn each(check: impl Fn(&str, usize, f64, Canvas)) {
    for count in COUNTS {
        for (name, drawing) in [
            ("overlay", overlay(count)),
            ("overlay looked at closely", overlay_near(count)),
            ("ribbon", ribbon(count)),
            ("rates", rates(count)),
            ("parts", parts(count)),
            ("candidates", candidates(count)),
            ("cases", cases(count)),
            ("hanging", hanging(count)),
            ("failures", failures(count)),
            ("curves", curves(count)),
            ("silhouettes", silhouettes(count)),
        ] {
            for width in [WIDE, NARROW] {
                for system in [System::Si, System::Us] {
                    check(name, count, width, canvas(&drawing, &[], "f", width, system));
                }
            }
        }
    }
}

#[test]
fn no_text_stands_on_another_or_outside() {
    each(|name, count, width, canvas| {
        let boxes = canvas.boxes();
        assert!(boxes.len() > 4, "{name} of {count} says nothing");
        for (at, one) in boxes.iter().enumerate() {
            assert!(
                one.left >= -0.5
                    && one.right <= canvas.width + 0.5
                    && one.top >= -0.5
                    && one.bottom <= canvas.height + 0.5,
                "{name} of {count}, {width} wide: text {at} leaves the drawing: {one:?}"
            );
            for other in &boxes[at + 1..] {
                assert!(!one.meets(other), "{name} of {count}, {width} wide: {one:?} on {other:?}");
            }
        }
    });
}

#[test]
fn a_harness_is_to_scale_and_names_its_marks() {
    let svg = canvas(&hanging(2), &[], "f", WIDE, System::Si).finish("wide", "t", "d").0;
    for said in ["at rest: front end", "centre of mass", "centre of area", "strap a", "strap b", "1 m"] {
        assert!(svg.contains(said), "{said}");
    }
    // A leg that hangs loose is dotted.
    let slack = canvas(&hanging(5), &[], "f", WIDE, System::Si).finish("wide", "t", "d").0;
    assert!(slack.contains("stroke-dasharray=\"2 4\"") && !svg.contains("stroke-dasharray=\"2 4\""));
}

#[test]
fn every_curve_is_named_and_so_is_its_bound() {
    for width in [WIDE, NARROW] {
        let svg = canvas(&curves(3), &[], "f", width, System::Si).finish("wide", "t", "d").0;
        for (said, times) in
            [("as planned", 3), ("nothing opened before", 3), ("one canopy that catches all", 2)]
        {
            // Each stands twice: its rim, and itself.
            assert_eq!(svg.matches(said).count(), 2 * times, "{width}: {said}");
        }
    }
}

#[test]
fn a_failure_tree_names_every_device_and_marks_single_points() {
    let svg = canvas(&failures(5), &[], "f", NARROW, System::Si).finish("narrow", "t", "d").0;
    for at in 0..12 {
        assert!(svg.contains(&format!("the device called {}", letter(at))), "{}", letter(at));
    }
    assert!(svg.contains("f-misses") && svg.contains("a single point"));
}

#[test]
fn every_drop_of_a_row_figure_has_its_letter() {
    let svg = canvas(&rates(40), &[], "f", NARROW, System::Si).finish("narrow", "t", "d").0;
    for at in 0..40 {
        assert!(svg.contains(&format!(">{}</text>", letter(at))), "{}", letter(at));
    }
}

#[test]
fn what_belongs_to_a_drop_is_tied_by_its_letter() {
    for (name, drawing) in [("overlay", overlay(5)), ("rates", rates(5)), ("ribbon", ribbon(5))] {
        let svg = canvas(&drawing, &[], "f", WIDE, System::Si).finish("wide", "t", "d").0;
        for at in 0..5 {
            assert!(svg.contains(&format!("data-drop=\"{}\"", letter(at))), "{name}: {}", letter(at));
        }
    }
}

#[test]
fn a_ribbon_says_what_is_done_where_there_is_room() {
    let svg = canvas(&ribbon(1), &[], "f", WIDE, System::Si).finish("wide", "t", "d").0;
    for word in ["ground", "hoist", "hang", ">1:00.0<", ">a<"] {
        assert!(svg.contains(word), "{word}");
    }
    let crowded = canvas(&ribbon(40), &[], "f", NARROW, System::Si).finish("narrow", "t", "d").0;
    assert!(!crowded.contains("hoist") && crowded.contains(">a</text>"));
}

#[test]
fn a_few_drops_have_their_letters_in_the_overlay() {
    for width in [WIDE, NARROW] {
        let svg = canvas(&overlay(5), &[], "f", width, System::Si).finish("wide", "t", "d").0;
        for at in 0..5 {
            assert!(svg.contains(&format!(">{}</text>", letter(at))), "{width}: {}", letter(at));
        }
    }
}

#[test]
fn a_drawing_of_forty_long_drops_stays_small() {
    let size = canvas(&overlay(40), &[], "f", WIDE, System::Si).finish("wide", "t", "d").0.len();
    assert!(size < 600_000, "{size} bytes");
}

#[test]
fn colours_are_concrete_and_turn_over_by_class() {
    each(|name, _, _, canvas| {
        let svg = canvas.finish("wide", "t", "d").0;
        assert!(!svg.contains("var("), "{name}");
        // Nothing is painted without a class to turn it over, patterns apart.
        for element in svg.split('<').filter(|e| e.contains("fill=\"#") || e.contains("stroke=\"#")) {
            assert!(element.contains("class=\""), "{name}: {element}");
        }
        assert!(svg.contains("<title id=\"f-t\">t</title><desc id=\"f-d\">d</desc>"), "{name}");
    });
}

#[test]
fn doubt_survives_grey_print() {
    let svg = canvas(&parts(1), &[], "f", WIDE, System::Si).finish("wide", "t", "d").0;
    assert!(svg.contains("url(#f-stripes)") && svg.contains("url(#f-stipple)"));
    for fill in Fill::ALL {
        assert!(svg.contains(&format!(">{}</text>", fill.word())), "{}", fill.word());
    }
    let svg = canvas(&rates(5), &[], "f", WIDE, System::Si).finish("wide", "t", "d").0;
    assert!(svg.contains("24 %") && svg.contains("stroke-dasharray"), "set aside says why and is dashed");
}
