//! A project worked out: what `assess` prints and the page shows. All numbers are invented.

use std::collections::BTreeMap;

use silkfall_core::cases::Verdict;
use silkfall_core::derivation::{Derivation, How, Input, num, sym};
use silkfall_core::drag::Interval;
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::ledger::{Ledger, Trust};
use silkfall_core::quantity::{Kind, System};
use silkfall_report::assess_document;
use silkfall_report::document::{Document, numbers};
use silkfall_report::text::{Ink, TextOptions, render};
use silkfall_report::wire::sheet_json;
use silkfall_sheet::*;

use crate::{json, reduced};

fn between(id: String, si: f64, half: f64, kind: Kind) -> Number {
    Number::between(id, si, Interval { low: si - half, high: si + half }, kind)
}

fn falls(path: &str, items: &[(&str, f64)]) -> Falls {
    let mass = |id: String, si| Number::exact(id, si, Kind::Mass);
    Falls {
        total: mass(format!("{path}.falls.total"), items.iter().map(|(_, m)| m).sum()),
        items: items
            .iter()
            .map(|(name, m)| FallsItem {
                name: (*name).to_owned(),
                mass: mass(format!("{path}.falls.items.{name}.mass"), *m),
            })
            .collect(),
    }
}

fn test(part: &str, name: &str, what: &str, canopies: usize, body: bool, area: f64) -> TestSheet {
    let path = format!("parts.{part}.tests.{name}");
    TestSheet {
        name: name.to_owned(),
        session: Some("may".to_owned()),
        what: what.to_owned(),
        serials: Some((1..=canopies).map(|n| format!("K{n}")).collect()),
        body: Some(body),
        riser_length: Some(Number::exact(format!("{path}.riser_length"), 1.8, Kind::Length)),
        falls: Some(falls(&path, &[("load", 1.02), ("canopies", 0.14), ("logger", 0.04)])),
        recordings: reduced::reduction().recordings,
        drops_kept: 4,
        drops_set_aside: 1,
        rate: Some(between(format!("{path}.rate"), 3.248, 0.26, Kind::Speed)),
        scatter: Some(Number::exact(format!("{path}.scatter"), 0.017, Kind::Ratio)),
        density: Some(Number::exact(format!("{path}.density"), 1.19, Kind::Density)),
        drag_area: Some(between(format!("{path}.drag_area"), area, 0.06 * area, Kind::DragArea)),
        doubts: vec![Doubt { cause: "slow air".to_owned(), relative: 0.03, remark: None, cure: None }],
    }
}

fn factor(
    path: &str,
    id: &str,
    meaning: &str,
    number: Option<(f64, f64, Kind)>,
    trust: Trust,
    basis: &str,
) -> Factor {
    Factor {
        id: id.to_owned(),
        meaning: meaning.to_owned(),
        number: number.map(|(si, half, kind)| between(format!("{path}.factors.{id}"), si, half, kind)),
        trust,
        basis: basis.to_owned(),
    }
}

fn limit(path: &str, of: &str, limit: (f64, Kind), share: f64, worst: f64, verdict: Verdict) -> LimitSheet {
    let path = format!("{path}.limits.{of}");
    let of_share = |field: &str, si| Number::exact(format!("{path}.{field}"), si, Kind::Share);
    LimitSheet {
        of: of.to_owned(),
        limit: Number::exact(format!("{path}.limit"), limit.0, limit.1),
        wanted: of_share("wanted", 0.95),
        share: of_share("share", share),
        at_worst: of_share("at_worst", worst),
        standard_error: 0.003,
        verdict,
        settle: (verdict == Verdict::Undecided)
            .then(|| "one drop of the real canopy would settle it".to_owned()),
    }
}

fn case(
    part: &str,
    id: &str,
    title: &str,
    rate: (f64, f64),
    energy: f64,
    limits: Vec<LimitSheet>,
) -> CaseSheet {
    let path = format!("parts.{part}.cases.{id}");
    let worst = limits.iter().map(|limit| limit.verdict).min_by_key(|verdict| match verdict {
        Verdict::Misses => 0,
        Verdict::Undecided => 1,
        Verdict::Meets => 2,
        Verdict::NotJudged => 3,
    });
    CaseSheet {
        id: id.to_owned(),
        title: title.to_owned(),
        chance: None,
        chance_says: None,
        rate: Some(between(format!("{path}.rate"), rate.0, rate.1, Kind::Speed)),
        rate_quantiles: Vec::new(),
        energy: Some(between(format!("{path}.energy"), energy, 0.17 * energy, Kind::Energy)),
        at_medians: Some(AtMedians {
            drag_area: between(format!("{path}.at_medians.drag_area"), 6.0, 0.4, Kind::DragArea),
            rate: Number::exact(format!("{path}.at_medians.rate"), rate.0 * 1.01, Kind::Speed),
            energy: Number::exact(format!("{path}.at_medians.energy"), energy * 1.02, Kind::Energy),
        }),
        size_wanted: None,
        limits,
        verdict: worst.unwrap_or(Verdict::NotJudged),
        governs: id == "one-shut",
        missing: None,
    }
}

fn candidate(
    part: &str,
    offer: &str,
    count: usize,
    mass: f64,
    rate: f64,
    standing: CandidateStanding,
) -> CandidateSheet {
    let id = format!("{}x{count}", offer.to_lowercase().replace(' ', "-"));
    let path = format!("parts.{part}.candidates.{id}");
    let verdict = if rate < 5.2 {
        Verdict::Meets
    } else if rate < 5.5 {
        Verdict::Undecided
    } else {
        Verdict::Misses
    };
    let stays = standing == CandidateStanding::Stays;
    CandidateSheet {
        offer: offer.to_owned(),
        count,
        diameter: None,
        standing,
        beside: Vec::new(),
        verdict,
        cases: vec![CandidateCase {
            case: "one-shut".to_owned(),
            rate: between(format!("{path}.cases.one-shut.rate"), rate, 0.4, Kind::Speed),
            share: Some(between(format!("{path}.cases.one-shut.share"), 0.948, 0.02, Kind::Share)),
            at_worst: Some(Number::exact(format!("{path}.cases.one-shut.at_worst"), 0.81, Kind::Share)),
            verdict,
        }],
        margin: None,
        mass: Some(Number::exact(format!("{path}.mass"), mass, Kind::Mass)),
        volume: Some(Number::exact(format!("{path}.volume"), mass * 0.004, Kind::Volume)),
        price: Some(Number::exact(format!("{path}.price"), 38.0 * count as f64, Kind::Money)),
        over_choice: stays.then(|| CostsSheet {
            mass: Some(Number::exact(format!("{path}.over_choice.mass"), mass - 0.48, Kind::Mass)),
            volume: Some(Number::exact(
                format!("{path}.over_choice.volume"),
                (mass - 0.48) * 0.004,
                Kind::Volume,
            )),
            price: Some(Number::exact(
                format!("{path}.over_choice.price"),
                38.0 * (count as f64 - 3.0),
                Kind::Money,
            )),
        }),
        next_smaller: None,
        next_larger: (stays && count == 3).then(|| NeighbourSheet {
            id: "vent-1.5-mx3".to_owned(),
            offer: "Vent 1.5 m".to_owned(),
            count: 3,
            verdict: Verdict::Misses,
            case: Some("one-shut".to_owned()),
            beside: None,
            more: CostsSheet {
                mass: Some(Number::exact(format!("{path}.next_larger.more.mass"), 0.01, Kind::Mass)),
                ..CostsSheet::default()
            },
        }),
        id,
    }
}

fn beaten() -> CandidateStanding {
    CandidateStanding::BeatenBy { id: "plain-2.0-mx3".to_owned() }
}

fn part() -> PartSheet {
    let drag = "parts.tube.drag";
    let full = "parts.tube.full_size";
    let one_shut = "parts.tube.cases.one-shut";
    let all_open = "parts.tube.cases.all-open";
    let speed = |si| (si, Kind::Speed);
    let cluster = factor(
        full,
        "cluster.3",
        "cluster factor of three",
        Some((0.94, 0.06, Kind::Ratio)),
        Trust::Measured,
        "9 drops at half scale",
    );
    let area = factor(
        full,
        "area.plain-18",
        "area of one canopy",
        Some((2.2, 0.2, Kind::DragArea)),
        Trust::Memory("a maker's sheet".to_owned()),
        "the offer's coefficient, from memory of a maker's sheet",
    );
    let rests = |factor: &Factor| RestsOn {
        meaning: factor.meaning.clone(),
        number: factor.number.clone().expect("told"),
        trust: factor.trust.clone(),
        basis: factor.basis.clone(),
    };
    PartSheet {
        loads: Vec::new(),
        load_path: Vec::new(),
        shock: None,
        strength: StrengthSheet {
            verdict: Verdict::NotJudged,
            reason: "no strength is stated of any member".to_owned(),
            weakest: None,
            says: Vec::new(),
        },
        openings: None,
        packing: Vec::new(),
        deployment: Vec::new(),
        name: "tube".to_owned(),
        falls: Some(falls("parts.tube", &[("load", 9.0), ("canopies", 0.6)])),
        tests: vec![
            test("tube", "one", "one canopy and a weight, model at 1 : 2", 1, false, 1.1),
            test("tube", "two-body", "two canopies and the body, model at 1 : 2", 2, true, 2.3),
        ],
        drag: Some(DragSheet {
            factors: vec![
                factor(
                    drag,
                    "area.small",
                    "drag area of one canopy",
                    Some((1.1, 0.07, Kind::DragArea)),
                    Trust::Measured,
                    "8 drops",
                ),
                factor(
                    drag,
                    "cluster.2",
                    "cluster factor of two",
                    Some((0.96, 0.05, Kind::Ratio)),
                    Trust::Measured,
                    "8 drops",
                ),
                factor(
                    drag,
                    "net-body.2",
                    "what the body adds under two",
                    Some((0.2, 0.1, Kind::DragArea)),
                    Trust::Practice,
                    "common practice",
                ),
                factor(
                    drag,
                    "body",
                    "drag area of the body alone",
                    None,
                    Trust::Measured,
                    "no test of the body alone",
                ),
            ],
            not_told_apart: vec![NotToldApart {
                factors: vec!["body".to_owned()],
                test: "A drop with risers twice as long would tell them apart.".to_owned(),
            }],
            residuals: vec![Residual {
                test: "one".to_owned(),
                measured: between(format!("{drag}.residuals.one.measured"), 1.1, 0.07, Kind::DragArea),
                fitted: Number::exact(format!("{drag}.residuals.one.fitted"), 1.0987, Kind::DragArea),
            }],
        }),
        full_size: Some(FullSize {
            scale: Some(Number::exact(format!("{full}.scale"), 2.0, Kind::Ratio)),
            factors: vec![cluster.clone(), area.clone()],
            why_no_ratio: Some(
                "The ratio of the model's rates is not carried over: the body weighs more.".to_owned(),
            ),
            reynolds: vec![Reynolds {
                id: "body-full".to_owned(),
                meaning: "body at full size".to_owned(),
                number: Number::exact(format!("{full}.reynolds.body-full.number"), 123_456.0, Kind::Ratio),
            }],
        }),
        cases: vec![
            case(
                "tube",
                "all-open",
                "all three open",
                (4.7, 0.4),
                106.0,
                vec![
                    limit(all_open, "rate", speed(5.5), 0.9998, 0.994, Verdict::Meets),
                    limit(all_open, "energy", (130.0, Kind::Energy), 0.97, 0.94, Verdict::Undecided),
                ],
            ),
            case(
                "tube",
                "one-shut",
                "one stays shut",
                (5.51, 0.5),
                146.0,
                vec![limit(one_shut, "rate", speed(5.8), 0.88, 0.62, Verdict::Misses)],
            ),
            case("tube", "nothing", "nothing opens", (13.1, 1.4), 820.0, Vec::new()),
        ],
        candidates: vec![
            candidate(
                "tube",
                "Plain 1.8 m",
                3,
                0.48,
                5.51,
                CandidateStanding::Misses { case: "one-shut".to_owned() },
            ),
            candidate("tube", "Plain 2.0 m", 3, 0.69, 5.0, CandidateStanding::Stays),
            candidate("tube", "Plain 2.4 m", 2, 0.8, 5.3, CandidateStanding::Stays),
            candidate("tube", "Vent 1.5 m", 3, 0.7, 6.1, beaten()),
            candidate("tube", "Vent 1.5 m", 4, 0.9, 5.6, beaten()),
        ],
        harness: None,
        hanging: Vec::new(),
        rigging: None,
        failure_tree: Vec::new(),
        choice: Choice::NotYet("plain-1.8-mx3".to_owned()),
        tally: Tally { meets: 1, misses: 1, undecided: 1, not_judged: 1 },
        rests_on: vec![rests(&cluster), rests(&area)],
        doubts: vec![Doubt {
            cause: "area of one canopy".to_owned(),
            relative: 0.05,
            remark: None,
            cure: None,
        }],
        next: Some(Step {
            says: "drop the real canopy once".to_owned(),
            command: Some("add logs/real.csv --test real".to_owned()),
        }),
    }
}

fn session(name: &str, path: &str) -> SessionSheet {
    SessionSheet {
        name: name.to_owned(),
        density: between(format!("{path}.density"), 1.19, 0.012, Kind::Density),
        gravity: Number::exact(format!("{path}.gravity"), 9.81, Kind::Acceleration),
        temperature: between(format!("{path}.temperature"), 291.15, 1.0, Kind::Temperature),
        pressure: between(format!("{path}.pressure"), 99_800.0, 150.0, Kind::Pressure),
        says: "from temperature and station pressure".to_owned(),
    }
}

/// One part, one limit missed, one undecided.
pub fn sheet() -> Sheet {
    let rate = Derivation {
        symbol: "v",
        meaning: "descent rate, one stays shut, all inputs at their medians".to_owned(),
        si: 5.51,
        kind: Kind::Speed,
        expr: (num(2.0) * sym("m") * sym("g") / (sym("rho") * sym("D"))).root(),
        inputs: vec![Input {
            symbol: "D",
            meaning: "all that brakes".to_owned(),
            si: 5.06,
            kind: Kind::DragArea,
            trust: Trust::Measured,
            number: Some("parts.tube.full_size.factors.area.plain-18".into()),
        }],
        source: Trust::Published("force balance at steady descent".to_owned()),
    };
    let simulation =
        How::Simulation { procedure: "Flights are drawn in worlds.".to_owned(), trials: 4000, seed: 7 };
    Sheet {
        name: "Long sampling tube".to_owned(),
        effort: Effort::Quick,
        trials: 4000,
        seed: 7,
        fingerprint: "9f2c41d0".to_owned(),
        parts: vec![part()],
        landing: Vec::new(),
        go_no_go: Vec::new(),
        plan: silkfall_sheet::PlanSheet::default(),
        sessions: vec![session("may", "sessions.may")],
        site: session("field", "site"),
        defaults: vec!["Without a word, 95 % of flights are wanted within a limit.".to_owned()],
        unknowns: vec![Unknown {
            key: "part.tube.case.nothing.limit".to_owned(),
            file: "silkfall.toml".to_owned(),
            line: Some(41),
            column: Some(1),
            gives: "a verdict on \"nothing opens\"".to_owned(),
        }],
        from_memory: Vec::new(),
        ledger: Ledger::default(),
        hows: BTreeMap::from([
            ("parts.tube.cases.one-shut.rate".into(), How::Closed(rate)),
            ("parts.tube.full_size.factors.area.plain-18".into(), simulation),
        ]),
        findings: vec![Finding::new(
            Code::LogTimeBackwards,
            Subject::Whole,
            "time goes backwards by 0.020 s",
        )],
        outcome: Outcome::LimitMissed,
    }
}

pub fn document() -> Document {
    assess_document(&sheet(), "silkfall", ".")
}

fn shown(width: usize, system: System) -> String {
    render(&document(), TextOptions { width, system, ink: Ink::Plain })
}

#[test]
fn assess_on_a_usual_terminal() {
    insta::assert_snapshot!(shown(80, System::Si));
}

#[test]
fn assess_on_a_wide_terminal_in_feet() {
    insta::assert_snapshot!(shown(130, System::Us));
}

#[test]
fn every_number_of_the_sheet_stands_in_the_json_under_its_id() {
    let projected = serde_json::to_value(sheet_json(&sheet())).unwrap();
    assert!(json::check_numbers(&document(), &projected) > 150);
    let names: std::collections::BTreeSet<_> =
        numbers(&document()).into_iter().map(|n| n.id.clone()).collect();
    assert!(names.len() > 80);
}
