//! One recording in every form that `pretend` can write: the same rate, or a finding that says what nobody can know.

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use pretend::{CampaignOptions, Channel, Dress, Handling, Header, Order, Shared, TimeForm, Unit, campaign};
use rayon::prelude::*;
use silkfall_core::finding::{Code, Finding, Severity};
use silkfall_core::recording::Channel as RecordedChannel;
use silkfall_intake::{Read, Reading, read};
use silkfall_sheet::{Input, ReduceOptions, reduce};

/// A short recording of two falls: seconds, and metres over the start in steps of 0.1 m. The clock runs fast by what
/// makes every time one of many digits.
fn columns() -> (Vec<f64>, Vec<f64>) {
    let plain = CampaignOptions::plain(4.0);
    let made = campaign(
        5,
        &CampaignOptions {
            drops: 2,
            tower_m: 10.0,
            logger: pretend::Logger { rate_hz: 10.0, ..plain.logger },
            handling: Handling {
                rest_s: (2.0, 3.0),
                carry_s: (0.5, 1.0),
                hoist_m_s: (1.8, 2.0),
                hang_s: (2.0, 3.0),
                lowering_chance: 0.0,
                stairs_chance: 0.0,
            },
            shared: Shared { clock_mean_relative: 3.7e-5, ..Shared::NONE },
            ..plain
        },
    );
    assert_eq!((made.channel, made.truth.drops.len()), (Channel::Height, 2));
    (made.time_s, made.value)
}

/// Rates by recording, bit for bit: `reduce` is a function of its arguments, so equal samples are reduced once.
#[derive(Default)]
struct Rates(Mutex<BTreeMap<Vec<u64>, Option<f64>>>);

impl Rates {
    /// The pooled rate of a file, m/s, and what its reading found; `Err` with the findings where it is refused.
    fn of(&self, bytes: &[u8], said: &Reading) -> Result<(Option<f64>, Vec<Finding>), Vec<Finding>> {
        let Read { recording, findings, .. } = read("a.csv", bytes, said)?;
        let shape =
            [u64::from(recording.channel == RecordedChannel::Pressure), recording.segments.len() as u64];
        let samples = recording.time_s.iter().chain(recording.value.iter()).map(|x| x.to_bits());
        let key: Vec<u64> = shape.into_iter().chain(samples).collect();
        let known = self.0.lock().expect("nobody panics").get(&key).copied();
        let rate_m_s = known.unwrap_or_else(|| {
            let input =
                Input { recording, columns: Vec::new(), reading: String::new(), findings: Vec::new() };
            let pooled = reduce(&[input], &ReduceOptions::default()).pooled;
            let rate_m_s = pooled.map(|pooled| pooled.m_per_s);
            self.0.lock().expect("nobody panics").insert(key, rate_m_s);
            rate_m_s
        });
        Ok((rate_m_s, findings))
    }
}

fn of_pressure(unit: Unit) -> bool {
    !matches!(unit, Unit::Metre | Unit::Foot | Unit::Centimetre)
}

/// What a person who knows the file says about its columns.
fn stated(dress: &Dress) -> Reading {
    let (time, value) = if dress.order == Order::TimeFirst { (1, 2) } else { (2, 1) };
    let form = match dress.time {
        TimeForm::Seconds => "s",
        TimeForm::Milliseconds => "ms",
        TimeForm::Microseconds => "us",
        TimeForm::HoursMinutesSeconds => "h:m:s",
        TimeForm::Iso8601 => "iso",
    };
    let unit = match dress.unit {
        Unit::Metre => "m",
        Unit::Foot => "ft",
        Unit::Centimetre => "cm",
        Unit::Pascal => "Pa",
        Unit::Hectopascal => "hPa",
        Unit::Kilopascal => "kPa",
        Unit::Millibar => "mbar",
        Unit::InchOfMercury => "inHg",
        Unit::PoundPerSquareInch => "psi",
    };
    let mut said = Reading::default();
    said.set("time", &format!("{time}:{form}")).expect("a form of time");
    let option = if of_pressure(dress.unit) { "pressure" } else { "height" };
    said.set(option, &format!("{value}:{unit}")).expect("a unit");
    said
}

/// What became of a form.
enum Became {
    /// Read without a doubt about the unit.
    Same(f64),
    /// The unit is guessed, and that is a finding with its cure. The rate once the unit is stated.
    Guessed(f64),
    /// Not read, and why.
    Refused(Code),
}

fn became(dress: &Dress, bytes: &[u8], rates: &Rates) -> Became {
    let cured = |finding: &Finding| assert!(finding.hint.is_some(), "{dress:?}: no cure: {finding:?}");
    match rates.of(bytes, &Reading::default()) {
        Err(findings) => {
            let why = findings.iter().find(|f| f.severity() == Severity::Error);
            let why = why.unwrap_or_else(|| panic!("{dress:?} is refused without an error: {findings:?}"));
            cured(why);
            Became::Refused(why.code)
        }
        Ok((rate_m_s, findings)) => match findings.iter().find(|f| f.code == Code::LogUnitGuessed) {
            None => Became::Same(rate_m_s.unwrap_or_else(|| panic!("{dress:?} gives no rate: {findings:?}"))),
            Some(guess) => {
                cured(guess);
                let (again, _) = rates
                    .of(bytes, &stated(dress))
                    .unwrap_or_else(|why| panic!("{dress:?} is refused once its unit is stated: {why:?}"));
                Became::Guessed(again.unwrap_or_else(|| panic!("{dress:?} gives no rate once stated")))
            }
        },
    }
}

/// Without names nobody can tell these from metres.
fn unit_is_known(dress: &Dress) -> bool {
    dress.header != Header::Missing || matches!(dress.unit, Unit::Pascal | Unit::Hectopascal | Unit::Millibar)
}

/// Heights are compared with metres, pressures with pascals, both in the plain form. A pressure also tells where in the
/// atmosphere it was, and its steps are not even in height: those two differ, by less than 1e-5.
#[test]
fn one_recording_in_every_form_gives_the_same_rate() {
    let (time_s, value) = columns();
    let rates = Rates::default();
    let plain = |unit: Unit| {
        let bytes = Dress::plain(unit).write(&time_s, &value, Channel::Height);
        rates.of(&bytes, &Reading::default()).expect("the plain form is read").0.expect("it has a rate")
    };
    let (from_heights, from_pressures) = (plain(Unit::Metre), plain(Unit::Pascal));
    assert!((from_pressures / from_heights - 1.0).abs() < 1e-5, "{from_pressures} {from_heights}");
    assert!((from_heights / 4.0 - 1.0).abs() < 0.02, "the generator's rate is 4 m/s, not {from_heights}");
    let guessed = AtomicUsize::new(0);
    let forms: Vec<(String, f64, f64)> = Dress::every()
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|dress| {
            let bytes = dress.write(&time_s, &value, Channel::Height);
            let rate_m_s = match became(&dress, &bytes, &rates) {
                Became::Same(rate_m_s) => {
                    assert!(unit_is_known(&dress), "{dress:?}: nobody can know its unit");
                    rate_m_s
                }
                Became::Guessed(rate_m_s) => {
                    assert!(!unit_is_known(&dress), "{dress:?}: its unit is known");
                    guessed.fetch_add(1, Ordering::Relaxed);
                    rate_m_s
                }
                Became::Refused(why) => panic!("{dress:?} is refused: {why:?}"),
            };
            let want = if of_pressure(dress.unit) { from_pressures } else { from_heights };
            (format!("{dress:?}"), rate_m_s, want)
        })
        .collect();
    let guessed = guessed.into_inner();
    println!("{} forms, of {guessed} the unit is guessed and said, none is refused", forms.len());
    // No header, five time forms, four delimiters, two decimal signs, five encodings, two orders, six units.
    assert_eq!(guessed, 5 * 4 * 2 * 5 * 2 * 6);
    for (form, got, want) in &forms {
        // Shortest digits that give the number back: rounding of conversions alone is left.
        assert!((got / want - 1.0).abs() < 1e-9, "{form}: {got} m/s, not {want}");
    }
}
