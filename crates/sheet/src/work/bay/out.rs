//! What opens a bay: gas against pins, friction and weight.

use silkfall_core::cases::Verdict;
use silkfall_core::deployment::{
    GROUND_TEST, Gas, NYLON_DRY_PA, NYLON_LEFT, PYROTECHNIC, PYROTECHNIC_SHARE, Thread, cold_gas_mass,
    cold_gas_pressure, force_margin, force_of_pressure, force_wanted, holds, holds_least, pin_force,
    pressure_wanted, pyrotechnic_mass,
};
use silkfall_core::derivation::Derivation;
use silkfall_core::finding::Code;
use silkfall_core::ledger::{Estimate, Trust};
use silkfall_core::quantity::Kind;
use silkfall_project::bay::{Bay, Pin};
use silkfall_project::value::Known;
use silkfall_project::words::{GasIs, GasSource, Word};

use super::{AirThere, Board, Is, Shell, air, derived, lacks, text};
use crate::deployment::{ChargeSheet, DeploymentSheet};
use crate::number::Number;
use crate::work::notes::Notes;
use crate::work::part::Given;

/// Force wanted over what holds where nothing is said: a judgement of ours.
pub(super) const MARGIN: f64 = 1.5;

/// The margin that the project wants.
pub(super) fn margin(bay: &Bay) -> Is {
    match bay.margin_wanted.given() {
        Some(margin) => Is::exact(margin.si(), Trust::Given),
        None => {
            Is::exact(MARGIN, Trust::Assumed(format!("{MARGIN} where nothing is said, a judgement of ours")))
        }
    }
}

/// The sheet, and what holds the lid at least, for the vents; `None` where nothing is said of what opens the bay.
pub(super) fn work(
    given: &Given<'_>,
    shell: Option<&Shell>,
    notes: &mut Notes,
) -> Option<(DeploymentSheet, Option<Is>)> {
    let bay = &given.part.bay;
    let asked =
        [bay.pins.is_absent(), bay.friction.is_absent(), bay.pushes.is_absent(), bay.gas.spot.is_none()];
    if asked.iter().all(|absent| *absent) {
        return None;
    }
    let mut board = Board::new(&given.part.name.value, "bay", notes);
    let mut opening =
        Opening { bay, air: air(given), board: &mut board, least: None, charge: None, cautions: Vec::new() };
    let said = opening.work(shell);
    let Opening { least, charge, cautions, .. } = opening;
    let figures = board.figures;
    let (verdict, reason) = match said {
        Ok(said) => said,
        Err(missing) => (Verdict::Undecided, missing),
    };
    if verdict == Verdict::Misses {
        let key = format!("part.{}.bay.gas.mass", given.part.name.value);
        notes.find_at(Code::BayPushTooWeak, &key, bay.gas.mass.spot().or(bay.spot), reason.clone());
    }
    if bay.gas.source.given() == Some(&GasSource::Pyrotechnic) {
        let key = format!("part.{}.bay.gas.source", given.part.name.value);
        let says = "a pyrotechnic source is planned: what is shown is a range and no loading instruction";
        notes.find_at(Code::BayPyrotechnic, &key, bay.gas.source.spot(), says);
    }
    let mut says = vec![
        "The gas is taken to fill the whole bay, since packed cloth is mostly air, and to stay in: leaks and cold lessen it.".to_owned(),
        "Weight counts as if the bay stood on end with its lid up.".to_owned(),
    ];
    if bay.pins.given().is_some_and(|pins| *pins > 0) && bay.pin_strength.is_absent() {
        says.push(format!(
            "Pins are taken as nylon, {:.1} to {:.1} MPa in shear when dry (from memory of data sheets after ASTM D732), at \
             least {:.0} % of the lower when moist and warm (assumed): shear some and state pin_strength.",
            NYLON_DRY_PA[0] / 1e6,
            NYLON_DRY_PA[1] / 1e6,
            NYLON_LEFT * 100.0
        ));
    }
    let title = "what opens the bay".to_owned();
    let sheet =
        DeploymentSheet { name: "bay".to_owned(), title, figures, charge, verdict, reason, cautions, says };
    Some((sheet, least))
}

/// What opens a bay, as it is worked.
struct Opening<'a, 'b> {
    bay: &'a Bay,
    air: AirThere,
    board: &'a mut Board<'b>,
    /// What holds at least.
    least: Option<Is>,
    charge: Option<ChargeSheet>,
    cautions: Vec<String>,
}

impl Opening<'_, '_> {
    /// The word and its reason, or what is missing for it.
    fn work(&mut self, shell: Option<&Shell>) -> Result<(Verdict, String), String> {
        self.cautions.push(GROUND_TEST.to_owned());
        if self.bay.gas.source.given() == Some(&GasSource::Pyrotechnic) {
            self.cautions.push(PYROTECHNIC.to_owned());
        }
        let [weakest, strongest] = self.pins()?;
        let friction = match &self.bay.friction {
            Known::Given(said) => {
                self.board.given("friction", "bay.friction", "friction of the lid", &said.value)
            }
            _ => return Err("the friction of the lid is not known".to_owned()),
        };
        let how = holds_least(weakest.si(), friction.si());
        let from = [("F_p", &weakest), ("F_f", &friction)];
        self.least = Some(self.board.derived("holds-at-least", how, &from, "pins moist, warm and thin"));
        let Known::Given(pushes) = &self.bay.pushes else {
            return Err("the mass that is pushed off is not known".to_owned());
        };
        let pushed = self.board.stated("bay.pushes", "mass that is pushed off", &pushes.value);
        let gravity = self.air.gravity.clone();
        let how = holds(strongest.si(), friction.si(), pushed.si(), gravity.si());
        let from = [("F_p", &strongest), ("F_f", &friction), ("m", &pushed), ("g", &gravity)];
        let holding = self.board.derived("holds", how, &from, "pins dry and thick, standing on end");
        let Some(shell) = shell else { return Err("the size of the bay is not known".to_owned()) };
        let margin = margin(self.bay);
        let how = force_wanted(margin.si(), holding.si());
        let wanted = self.board.derived(
            "force-wanted",
            how,
            &[("k", &margin), ("F_h", &holding)],
            "with the margin wanted",
        );
        let how = pressure_wanted(wanted.si(), shell.diameter.si());
        let pressure = self.board.derived(
            "pressure-wanted",
            how,
            &[("F_w", &wanted), ("D", &shell.diameter)],
            "on the bulkhead",
        );
        let temperature = match &self.bay.gas.temperature {
            Known::Given(said) => {
                self.board.stated("bay.gas.temperature", "temperature of the gas", &said.value)
            }
            Known::Absent => self.air.temperature.clone(),
            Known::Unknown { .. } => return Err("the temperature of the gas is not known".to_owned()),
        };
        match &self.bay.gas.source {
            Known::Given(said) => match said.value {
                GasSource::Cold => self.cold(&pressure, &holding, &margin, shell, &temperature),
                GasSource::Pyrotechnic => Ok(self.pyrotechnic(&pressure, shell)),
            },
            Known::Unknown { .. } => Err("what makes the pressure is not known".to_owned()),
            Known::Absent => Ok((
                Verdict::NotJudged,
                format!("{} over the outside would open it", text(pressure.si(), Kind::OverPressure)),
            )),
        }
    }

    /// Pins at their weakest and at their strongest.
    fn pins(&mut self) -> Result<[Is; 2], String> {
        let count = match &self.bay.pins {
            Known::Given(said) => said.value,
            Known::Absent => 0,
            Known::Unknown { .. } => return Err("the number of pins is not known".to_owned()),
        };
        if count == 0 {
            let none = || Is::exact(0.0, Trust::Given);
            return Ok([none(), none()]);
        }
        let geometry = || Trust::Published("profile of ISO 68-1 and ASME B1.1".to_owned());
        let Some(pin) = self.bay.pin.given() else {
            return Err("what the pins are is not known: their thread or their diameter".to_owned());
        };
        let [thin, thick] = match pin {
            Pin::Thread(word) => {
                let thread = Thread::by_name(word.word()).expect("every word for a thread names one");
                [Is::exact(thread.minor_m(), geometry()), Is::exact(thread.major_m, geometry())]
            }
            Pin::Smooth(diameter) => {
                let is = self.board.stated("bay.pin_diameter", "diameter of a pin", diameter);
                [is.clone(), is]
            }
        };
        let nylon = || Trust::Memory("data sheets of nylon 6/6 after ASTM D732, dry".to_owned());
        let [soft, hard] = match &self.bay.pin_strength {
            Known::Given(said) => {
                let is = self.board.stated("bay.pin_strength", "strength of a pin in shear", &said.value);
                [is.clone(), is]
            }
            Known::Absent => {
                [Is::exact(NYLON_DRY_PA[0] * NYLON_LEFT, nylon()), Is::exact(NYLON_DRY_PA[1], nylon())]
            }
            Known::Unknown { .. } => return Err("the strength of the pins is not known".to_owned()),
        };
        let n = Is::exact(f64::from(count), Trust::Given);
        let mut end = |id: &str, of: &str, tau: &Is, d: &Is, basis: &str| {
            let how = pin_force(n.si(), tau.si(), d.si(), of, tau.trust.clone(), d.trust.clone());
            self.board.derived(id, how, &[("n", &n), ("tau", tau), ("d", d)], basis)
        };
        let weak =
            end("pins-weakest", "all pins in shear, at their weakest", &soft, &thin, "over their root");
        let strong = end(
            "pins-strongest",
            "all pins in shear, at their strongest",
            &hard,
            &thick,
            "over their outside",
        );
        Ok([weak, strong])
    }

    fn cold(
        &mut self,
        pressure: &Is,
        holding: &Is,
        margin: &Is,
        shell: &Shell,
        temperature: &Is,
    ) -> Result<(Verdict, String), String> {
        if let Some(lacking) = lacks(&self.bay.gas.gas, "which gas it is") {
            return Err(lacking);
        }
        let gas = match self.bay.gas.gas.given() {
            Some(GasIs::Nitrogen) => Gas::Nitrogen,
            Some(GasIs::Argon) => Gas::Argon,
            Some(GasIs::Air) => Gas::Air,
            Some(GasIs::CarbonDioxide) | None => Gas::CarbonDioxide,
        };
        let how = cold_gas_mass(gas, pressure.si(), shell.volume.si(), temperature.si());
        let from = [("p_w", pressure), ("V", &shell.volume), ("T", temperature)];
        let wanted = self.board.derived("gas-wanted", how, &from, "ideal gas, warmed to the bay");
        let mass = match &self.bay.gas.mass {
            Known::Given(said) => self.board.given("gas-stated", "bay.gas.mass", "gas let out", &said.value),
            Known::Absent => {
                let reason = format!("{} of gas would open it", text(wanted.si(), Kind::Mass));
                return Ok((Verdict::NotJudged, reason));
            }
            Known::Unknown { .. } => return Err("how much gas is let out is not known".to_owned()),
        };
        let how = cold_gas_pressure(gas, mass.si(), shell.volume.si(), temperature.si());
        let from = [("m_g", &mass), ("V", &shell.volume), ("T", temperature)];
        let made = self.board.derived("pressure-made", how, &from, "ideal gas, warmed to the bay");
        let how = force_of_pressure(made.si(), shell.diameter.si());
        let force =
            self.board.derived("force-made", how, &[("p", &made), ("D", &shell.diameter)], "on the bulkhead");
        let Some(how) = force_margin(force.si(), holding.si()) else {
            return Ok((Verdict::Meets, "nothing holds it".to_owned()));
        };
        let reached = self.board.derived(
            "margin",
            how,
            &[("F", &force), ("F_h", holding)],
            "at the hard end of all that holds",
        );
        let number = self.board.figure("margin").expect("it was just worked").clone();
        let (verdict, word) = above(&number, &reached.estimate, margin.si());
        let reason = format!(
            "the gas pushes with {:.2} times what holds at most, {:.2} wanted{word}",
            reached.si(),
            margin.si()
        );
        Ok((verdict, reason))
    }

    /// Both ends, and no word: a ground test decides.
    fn pyrotechnic(&mut self, pressure: &Is, shell: &Shell) -> (Verdict, String) {
        let path = format!("parts.{}.deployment.bay.charge", self.board.part);
        let [least, most] = PYROTECHNIC_SHARE;
        let of = |share: f64| pyrotechnic_mass(pressure.si(), shell.volume.si(), share);
        let ends = [("low", "lower", of(most)), ("high", "upper", of(least))];
        let range = format!("{} to {}", text(ends[0].2.si, Kind::Mass), text(ends[1].2.si, Kind::Mass));
        let [low, high] = ends.map(|(id, which, how)| {
            // Wherever one end is asked for, the range and the caution stand with it.
            let meaning = format!("{which} end of the range of the charge, {range}. {PYROTECHNIC}");
            let from = [("p_w", pressure), ("V", &shell.volume)];
            let how = Derivation { meaning, ..how };
            let (number, _) = derived(format!("{path}.{id}"), how, &from, self.board.notes);
            // An end of a range is no measured value: it stands without an interval of its own.
            Number { interval_95: None, ..number }
        });
        self.charge = Some(ChargeSheet { low, high });
        (
            Verdict::NotJudged,
            "a range only: a test on the ground decides, by those who are licensed for it".to_owned(),
        )
    }
}

/// Whether a figure reaches what is wanted: surely, by best estimate, or not.
pub(super) fn above(number: &Number, estimate: &Estimate, wanted: f64) -> (Verdict, &'static str) {
    let low = number.interval_95.map_or(estimate.value, |interval| interval.low);
    if estimate.value < wanted {
        (Verdict::Misses, "")
    } else if low < wanted {
        (Verdict::Undecided, ", but not surely")
    } else {
        (Verdict::Meets, "")
    }
}
