//! A document of every block, with invented numbers.

use silkfall_core::derivation::{Derivation, How, Input, num, sym};
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::ledger::Trust;
use silkfall_core::quantity::Kind;
use silkfall_report::document::*;

use crate::figures;

fn speed(id: &str, si: f64, doubt: f64) -> Shown {
    Shown::new(id, si, doubt, Kind::Speed)
}

fn share(id: &str, si: f64, doubt: f64) -> Shown {
    Shown::new(id, si, doubt, Kind::Share)
}

pub fn document() -> Document {
    Document {
        title: "tower.csv".to_owned(),
        subtitle: Rich::from("invented numbers"),
        foot: Rich::new(),
        sections: vec![
            Section::new("answer", Rich::from("They fall at ").number(speed("pooled.rate_m_s", 3.248, 0.13)))
                .everywhere(answer())
                .everywhere(doubts()),
            Section::new("drops", "Four drops count, one is set aside")
                .everywhere(drops())
                .everywhere(findings())
                .on_terminal(steps()),
            Section::new("cases", "One limit is missed").everywhere(cases()).everywhere(Body::Caution(
                Rich::from("Falling loads injure: local codes and the range safety officer decide."),
            )),
            figures::section(),
            Section::new("how", "How the numbers came about").in_report(rate()),
        ],
    }
}

fn answer() -> Answer {
    Answer {
        result: speed("pooled.rate_m_s", 3.248, 0.13).into(),
        beside: vec![
            Rich::from("95 % sure: ").interval(
                speed("pooled.interval_95_m_s.0", 2.991, 0.0).like(3.248),
                speed("pooled.interval_95_m_s.1", 3.512, 0.0).like(3.248),
            ),
            Rich::new().number(Shown::count("pooled.drops_kept", 4)).plain(" drops kept, 1 set aside"),
        ],
        below: vec![Rich::from("as it fell that day; day's air not given")],
    }
}

fn doubts() -> Table {
    let row = |cause: &str, id: &str, si: f64, remark: Rich| {
        Row::new(vec![cause.into(), share(id, si, 0.003).into(), remark.into()])
    };
    Table::new(
        "Most of the doubt, as ± % of the rate (one standard uncertainty)",
        vec![Column::text(""), Column::numbers("", Kind::Share).headless(), Column::text("")],
    )
    .row(row(
        "day's temperature not known",
        "pooled.doubts.temperature",
        0.035,
        Rich::new().code("--air \"18 °C\"").plain(": ").interval(
            speed("pooled.cure.0", 3.13, 0.0).like(3.248),
            speed("pooled.cure.1", 3.37, 0.0).like(3.248),
        ),
    ))
    .row(row("slow air, shared by all drops", "pooled.doubts.air", 0.015, Rich::new()))
    .row(row("between the drops", "pooled.doubts.scatter", 0.008, Rich::from("4 drops, scatter 1.7 %")))
}

fn drops() -> Table {
    let columns = vec![
        Column::text("Drop"),
        Column::text("let go").right(),
        Column::text("steady for").right(),
        Column::numbers("", Kind::Speed),
        Column::text("95 % of its own fit").in_unit_of(Kind::Speed),
        Column::text(""),
        Column::ranges("", Kind::Speed),
    ];
    let mut table = Table::new("Drops", columns).quiet_caption();
    for (letter, at, steady, rate, low, high, kept) in [
        ("a", 192.43, 1.93, 3.31, 3.17, 3.45, true),
        ("b", 460.13, 1.82, 3.19, 3.04, 3.34, true),
        ("d", 871.04, 1.74, 4.02, 3.84, 4.20, false),
    ] {
        let id = |field: &str| format!("recordings.tower.csv.drops.{letter}.{field}");
        let cells: Vec<Cell> = vec![
            letter.into(),
            Shown::clock(id("release_s"), at).into(),
            Shown::new(id("steady_s"), steady, 0.05, Kind::Time).into(),
            speed(&id("rate_m_s"), rate, 0.07).into(),
            Rich::new().interval(speed(&id("low"), low, 0.0), speed(&id("high"), high, 0.0)).into(),
            if kept { "" } else { "set aside" }.into(),
            Range { low, mid: rate, high, limit: None }.into(),
        ];
        let weight = if kept { Weight::Counts } else { Weight::Aside };
        table = table.row(Row::new(cells).weighing(weight));
    }
    table
}

fn findings() -> Vec<Finding> {
    vec![
        Finding::new(
            Code::LogTimeBackwards,
            Subject::Recording("tower.csv".to_owned()),
            "time goes backwards by 0.020 s",
        )
        .at("tower.csv", Some(1042), Some(1))
        .hint("rows 1042-1051 repeat rows 1032-1041; remove them, or check the logger's clock"),
    ]
}

fn steps() -> Vec<Step> {
    vec![
        Step { label: "next".to_owned(), text: Rich::new().code("silkfall new mytube --from tower.csv") },
        Step {
            label: "fill in".to_owned(),
            text: Rich::new().code("silkfall.toml:41").plain(" limit for \"nothing opens\""),
        },
    ]
}

fn cases() -> Table {
    let columns = vec![
        Column::text("Case"),
        Column::numbers("", Kind::Speed),
        Column::text("95 of 100").in_unit_of(Kind::Speed),
        Column::numbers("", Kind::Energy),
        Column::text("limit").in_unit_of(Kind::Speed),
        Column::text("in limit").right(),
        Column::text("at worst").right(),
        Column::text(""),
        Column::ranges("", Kind::Speed),
    ];
    let case = |name: &str,
                rate: f64,
                low: f64,
                high: f64,
                joule: f64,
                limit: Option<(f64, f64, f64)>,
                verdict: Rich| {
        let id = |field: &str| format!("parts.tube.cases.{name}.{field}");
        let dash = || Cell::from(Rich::new().quiet("-"));
        Row::new(vec![
            name.into(),
            speed(&id("rate"), rate, (high - low) / 2.0).into(),
            Rich::new().interval(speed(&id("low"), low, 0.0), speed(&id("high"), high, 0.0)).into(),
            Shown::new(id("energy"), joule, joule * 0.08, Kind::Energy).into(),
            limit.map_or("none".into(), |(limit, _, _)| speed(&id("limit"), limit, 0.0).into()),
            limit.map_or_else(dash, |(_, within, _)| share(&id("within"), within, 0.003).into()),
            limit.map_or_else(dash, |(_, _, worst)| share(&id("worst"), worst, 0.003).into()),
            verdict.into(),
            Range { low, mid: rate, high, limit: limit.map(|(limit, _, _)| limit) }.into(),
        ])
    };
    Table::new("Cases", columns)
        .quiet_caption()
        .row(case("all three open", 4.70, 4.3, 5.1, 106.0, Some((5.5, 0.9998, 0.994)), Verdict::Meets.into()))
        .row(case(
            "one stays shut",
            5.51,
            5.0,
            6.0,
            146.0,
            Some((5.8, 0.88, 0.62)),
            Rich::from(Verdict::Misses).plain(" (").number(share("wanted", 0.95, 0.0)).plain(" wanted)"),
        ))
        .row(case("nothing opens", 13.1, 11.8, 14.6, 820.0, None, Verdict::NotJudged.into()))
}

pub fn rate() -> Explained {
    Explained {
        also: Vec::new(),
        id: "pooled.rate_m_s".into(),
        how: How::Closed(Derivation {
            symbol: "v",
            meaning: "descent rate".to_owned(),
            si: 4.699,
            kind: Kind::Speed,
            expr: (num(2.0) * sym("m") * sym("g") / (sym("rho") * sym("D_0"))).root(),
            inputs: vec![
                Input::new("m", "mass of all that descends", 9.6, Kind::Mass, Trust::Given),
                Input::new(
                    "g",
                    "gravity",
                    9.806_65,
                    Kind::Acceleration,
                    Trust::Published("CGPM 1901".to_owned()),
                ),
                Input::new(
                    "rho",
                    "density of the air",
                    1.225,
                    Kind::Density,
                    Trust::Assumed("standard air".to_owned()),
                ),
                Input::new("D_0", "drag area", 6.961, Kind::DragArea, Trust::Measured),
            ],
            source: Trust::Published("force balance at steady descent".to_owned()),
        }),
    }
}
