//! One recording written in many ways reads as the same samples, or is refused with an error.

use proptest::prelude::*;
use silkfall_core::finding::Severity;
use silkfall_intake::{Reading, read, read_table};

/// Ways to write a file.
#[derive(Clone, Debug)]
struct Dress {
    delimiter: char,
    comma: bool,
    quoted: bool,
    header: bool,
    swapped: bool,
    spare: bool,
    end: &'static str,
    encoding: usize,
    time: usize,
    unit: usize,
}

/// Unit names, SI value of one, and whether it is a pressure.
const UNITS: [(&str, f64, bool); 9] = [
    ("m", 1.0, false),
    ("ft", 0.3048, false),
    ("cm", 0.01, false),
    ("km", 1000.0, false),
    ("Pa", 1.0, true),
    ("hPa", 100.0, true),
    ("mbar", 100.0, true),
    ("inHg", 25.4 * 133.322_387_415, true),
    ("psi", 4.448_221_615_260_5 / (0.0254 * 0.0254), true),
];
const TIMES: [&str; 7] = ["s", "ms", "us", "h:m:s", "m:s", "iso", "epoch"];

fn dress() -> impl Strategy<Value = Dress> {
    (
        prop::sample::select(vec![',', ';', '\t', ' ']),
        any::<[bool; 5]>(),
        prop::sample::select(vec!["\n", "\r\n", "\r"]),
        0usize..5,
        0..TIMES.len(),
        0..UNITS.len(),
    )
        .prop_map(|(delimiter, [comma, quoted, header, swapped, spare], end, encoding, time, unit)| {
            Dress { delimiter, comma, quoted, header, swapped, spare, end, encoding, time, unit }
        })
}

/// A time given in whole milliseconds.
fn time_text(ms: u64, form: &str) -> String {
    let s = ms / 1000;
    match form {
        "s" => format!("{}.{:03}", s, ms % 1000),
        "ms" => ms.to_string(),
        "us" => format!("{ms}000"),
        "h:m:s" => format!("{:02}:{:02}:{:02}.{:03}", 10 + s / 3600, s / 60 % 60, s % 60, ms % 1000),
        "m:s" => format!("{:02}:{:02}.{:03}", s / 60, s % 60, ms % 1000),
        "iso" => {
            format!("2024-05-03T{:02}:{:02}:{:02}.{:03}Z", 10 + s / 3600, s / 60 % 60, s % 60, ms % 1000)
        }
        _ => format!("{}.{:03}", 1_714_730_400 + s, ms % 1000),
    }
}

fn write(samples: &[(u64, f64)], d: &Dress) -> Vec<u8> {
    let (unit, factor, pressure) = UNITS[d.unit];
    let form = TIMES[d.time];
    let mark = |text: String| if d.comma { text.replace('.', ",") } else { text };
    let dress = |text: String| if d.quoted && d.delimiter != ' ' { format!("\"{text}\"") } else { text };
    let mut lines = Vec::new();
    let mut row = |time: String, value: String, spare: &str| {
        let mut cells = vec![dress(time), dress(value)];
        if d.swapped {
            cells.reverse();
        }
        if d.spare {
            cells.insert(1, dress(spare.to_owned()));
        }
        lines.push(cells.join(&d.delimiter.to_string()));
    };
    if d.header {
        let unit_of_time = match form {
            "s" | "ms" | "us" => format!("_{form}"),
            "epoch" => "_s".to_owned(),
            _ => String::new(),
        };
        let what = if pressure { "Druck" } else { "Höhe" };
        row(format!("Zeit{unit_of_time}"), format!("{what}({unit})"), "Batterie");
    }
    for (ms, si) in samples {
        row(mark(time_text(*ms, form)), mark(format!("{:.9}", si / factor)), "ok");
    }
    let text = lines.join(d.end) + d.end;
    match d.encoding {
        0 => text.into_bytes(),
        1 => [b"\xEF\xBB\xBF", text.as_bytes()].concat(),
        2 => [vec![0xFF, 0xFE], text.encode_utf16().flat_map(u16::to_le_bytes).collect()].concat(),
        3 => text.encode_utf16().flat_map(u16::to_be_bytes).collect(),
        _ => text.chars().map(|c| u32::from(c) as u8).collect(),
    }
}

/// Rest, climb and fall with steps that no coarse rounding explains; SI values, times in ms.
fn samples(pressure: bool, step_ms: u64, seed: u64) -> Vec<(u64, f64)> {
    let start = 60_000 + seed % 5_000;
    (0..120u64)
        .map(|n| {
            let ripple = ((n * 7919 + seed) % 97) as f64 / 500.0;
            let height = match n {
                0..20 => 0.0,
                20..60 => (n - 20) as f64 * 0.5,
                60..100 => 20.0 - (n - 60) as f64 * 0.5,
                _ => 0.0,
            } + ripple;
            (start + n * step_ms, if pressure { 98_000.0 - 11.7 * height } else { height })
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_same_samples_in_every_dress(d in dress(), step_ms in 5u64..200, seed in any::<u32>()) {
        let (_, factor, pressure) = UNITS[d.unit];
        let truth = samples(pressure, step_ms, u64::from(seed));
        let bytes = write(&truth, &d);
        let mut wanted = Reading::default();
        if !d.header {
            // Without names nothing tells feet from metres; the person says it, by the options.
            let (time, value) = match (d.swapped, d.spare) {
                (false, false) => (1, 2),
                (false, true) => (1, 3),
                (true, false) => (2, 1),
                (true, true) => (3, 1),
            };
            let form = if TIMES[d.time] == "epoch" { "s" } else { TIMES[d.time] };
            wanted.set("time", &format!("{time}:{form}")).unwrap();
            wanted.set(if pressure { "pressure" } else { "height" }, &format!("{value}:{}", UNITS[d.unit].0)).unwrap();
        }
        match read("dressed", &bytes, &wanted) {
            Ok(read) => {
                let r = &read.recording;
                prop_assert_eq!(r.len(), truth.len(), "{:?}", read.findings);
                prop_assert_eq!(&r.segments, &vec![0]);
                for (at, (ms, si)) in truth.iter().enumerate() {
                    let expected = (ms - truth[0].0) as f64 / 1000.0;
                    prop_assert_eq!(r.time_s[at].to_bits(), expected.to_bits());
                    // Nine decimals were written: half of the last, in SI, and 1e-12 for the two conversions.
                    prop_assert!((r.value[at] - si).abs() <= 5e-10 * factor + 1e-12 * si.abs(), "{} against {si}", r.value[at]);
                    prop_assert_eq!(r.rows.line_of(at), Some(at as u64 + 1 + u64::from(d.header)));
                }
            }
            Err(findings) => {
                prop_assert!(findings.iter().any(|f| f.severity() == Severity::Error && f.code.name() == "log-decimal-ambiguous"), "{:?}", findings);
                prop_assert!(d.delimiter == ',' && d.comma && !d.quoted, "refused without need: {:?}", findings);
            }
        }
    }

    #[test]
    fn any_bytes_are_read_or_refused_but_never_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        if let Err(findings) = read("any", &bytes, &Reading::default()) {
            prop_assert!(findings.iter().any(|f| f.severity() == Severity::Error));
        }
        if let Err(findings) = read_table("any", &bytes) {
            prop_assert!(findings.iter().any(|f| f.severity() == Severity::Error));
        }
    }

    #[test]
    fn any_rows_like_a_log_are_read_or_refused_but_never_a_panic(
        text in "((-?[0-9]{1,9}|[0-9]{1,3}:[0-9]{2}|NaN|\"|#|x|)[.,:eT]?[0-9]{0,3}[,;\t ]{0,2}){0,6}((\r|\n|\r\n)(-?[0-9]{1,9}|[0-9]{1,3}:[0-9]{2}|\"|)[.,:]?[0-9]{0,3}[,; \t]{0,2}[0-9]{0,3}){0,30}"
    ) {
        match read("any", text.as_bytes(), &Reading::default()) {
            Ok(read) => {
                let r = &read.recording;
                prop_assert_eq!((r.len(), r.len()), (r.time_s.len(), r.value.len()));
                prop_assert!(!r.is_empty() && r.segments[0] == 0);
                for (n, pair) in r.time_s.windows(2).enumerate() {
                    prop_assert!(pair[1] > pair[0] || r.segments.contains(&(n + 1)), "times fall at {n}");
                }
                prop_assert!(r.value.iter().chain(r.time_s.iter()).all(|x| x.is_finite()));
            }
            Err(findings) => prop_assert!(findings.iter().any(|f| f.severity() == Severity::Error)),
        }
    }
}
