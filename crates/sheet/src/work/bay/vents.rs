//! How the bay and the barometer's room breathe in the climb.

use silkfall_core::air::standard;
use silkfall_core::cases::Verdict;
use silkfall_core::deployment::{
    DISCHARGE, Flow, climb_pressure, force_margin, force_of_pressure, height_error, hole_wanted,
    lag_pressure, port_diameter_by_rule, pressure_allowed,
};
use silkfall_core::finding::Code;
use silkfall_core::ledger::{Distribution, Trust};
use silkfall_core::quantity::{Kind, Length};
use silkfall_project::landing::Whose;
use silkfall_project::value::Known;
use uom::si::length::meter;
use uom::si::pressure::pascal;

use super::out::{above, margin};
use super::{Board, Is, Shell, air, ours, text};
use crate::deployment::DeploymentSheet;
use crate::work::notes::Notes;
use crate::work::part::Given;

/// A barometer's lag that is worth a word, m: what a coarse one resolves is less.
const LAG_WORTH_A_WORD_M: f64 = 3.0;

/// The fastest climb, where it is stated.
fn climb(given: &Given<'_>, board: &mut Board<'_>) -> Result<Is, String> {
    let (climb, whose) = given.project.flight_key(given.part, |flight| &flight.fastest_climb);
    let Known::Given(said) = climb else {
        return Err("the fastest climb is not known: fastest_climb under [flight]".to_owned());
    };
    Ok(match whose {
        Whose::Part => board.stated("flight.fastest_climb", "fastest climb", &said.value),
        Whose::All => {
            let id = silkfall_core::ledger::LedgerId("flight.fastest_climb".to_owned());
            let u = said.value.standard_uncertainty_si();
            if u > 0.0 {
                board.notes.enter(&id, crate::work::tests::entry("fastest climb".to_owned(), &said.value));
            }
            Is {
                estimate: crate::work::tests::exact_or(said.value.si(), id, u),
                trust: Trust::Given,
                number: None,
            }
        }
    })
}

/// Whether anything is said of how fast it climbs.
fn climbs(given: &Given<'_>) -> bool {
    !given.project.flight_key(given.part, |flight| &flight.fastest_climb).0.is_absent()
}

/// The word where something is missing: without a climb nothing is asked of vents and ports.
fn without_answer(climbs: bool) -> Verdict {
    if climbs { Verdict::Undecided } else { Verdict::NotJudged }
}

fn discharge(notes: &mut Notes) -> Is {
    let [value, sd] = DISCHARGE;
    let meaning = "discharge coefficient of a sharp-edged hole";
    ours("discharge-coefficient", meaning, value, Distribution::Normal { sd }, Trust::Practice, notes)
}

/// A room in the climb with the links of its form.
struct Breathing {
    flow: Flow,
    from: Vec<(&'static str, Is)>,
}

impl Breathing {
    fn new(given: &Given<'_>, volume: &Is, board: &mut Board<'_>) -> Result<Self, String> {
        let speed = climb(given, board)?;
        let hole = discharge(board.notes);
        let air = air(given);
        let flow = Flow {
            volume_m3: volume.si(),
            density_kg_per_m3: air.density.si(),
            gravity: air.gravity.si(),
            speed_m_per_s: speed.si(),
            temperature_k: air.temperature.si(),
            discharge: hole.si(),
        };
        let from = vec![
            ("V", volume.clone()),
            ("rho", air.density),
            ("g", air.gravity),
            ("v", speed),
            ("T", air.temperature),
            ("C", hole),
        ];
        Ok(Breathing { flow, from })
    }

    fn with<'a>(&'a self, more: &[(&'static str, &'a Is)]) -> Vec<(&'static str, &'a Is)> {
        self.from.iter().map(|(symbol, is)| (*symbol, is)).chain(more.iter().copied()).collect()
    }
}

/// The bay in the climb; `least` is what holds its lid. Nothing where neither vents nor a climb are stated.
pub(super) fn of_bay(
    given: &Given<'_>,
    shell: &Shell,
    least: Option<&Is>,
    notes: &mut Notes,
) -> Option<DeploymentSheet> {
    let bay = &given.part.bay;
    let climbs = climbs(given);
    if bay.vents.is_absent() && !climbs {
        return None;
    }
    let name = &given.part.name.value;
    let mut board = Board::new(name, "vents", notes);
    let said = bay_breathes(given, shell, least, &mut board);
    let figures = board.figures;
    let (verdict, reason) = said.unwrap_or_else(|missing| (without_answer(climbs), missing));
    if verdict == Verdict::Misses {
        let key = format!("part.{name}.bay.vents");
        notes.find_at(Code::BayOpensInClimb, &key, bay.vents.spot().or(bay.spot), reason.clone());
    }
    Some(DeploymentSheet {
        name: "vents".to_owned(),
        title: "how the bay breathes in the climb".to_owned(),
        figures,
        charge: None,
        verdict,
        reason,
        cautions: Vec::new(),
        says: vec![
            "The lag is that of sharp-edged holes at the fastest climb in the air at the ground, where it is largest; wind on the \
             holes is not in it and can be more.".to_owned(),
        ],
    })
}

fn bay_breathes(
    given: &Given<'_>,
    shell: &Shell,
    least: Option<&Is>,
    board: &mut Board<'_>,
) -> Result<(Verdict, String), String> {
    let bay = &given.part.bay;
    let holes = match &bay.vents {
        Known::Given(said) => f64::from(said.value),
        Known::Absent => 0.0,
        Known::Unknown { .. } => return Err("the vents of the bay are not known".to_owned()),
    };
    let margin = margin(bay);
    let sealed = sealed(given, shell, board);
    let allowed = least.map(|least| {
        let how = pressure_allowed(least.si(), margin.si(), shell.diameter.si());
        let from = [("F_l", least), ("k", &margin), ("D", &shell.diameter)];
        board.derived("pressure-allowed", how, &from, "with the margin wanted")
    });
    let breathing = Breathing::new(given, &shell.volume, board);
    let n = Is::exact(holes.max(1.0), Trust::Given);
    if let (Ok(breathing), Some(allowed)) = (&breathing, &allowed)
        && let Some(how) = hole_wanted(&breathing.flow, n.si(), allowed.si())
    {
        let from = breathing.with(&[("n", &n), ("Delta_p", allowed)]);
        board.derived("diameter-wanted", how, &from, "at least, so that it stays shut");
    }
    let force = if holes > 0.0 {
        let breathing = breathing?;
        let Some(diameter) = bay.vent_diameter.given() else {
            return Err("the diameter of the vents is not known".to_owned());
        };
        let d = board.given("diameter", "bay.vent_diameter", "diameter of each vent", diameter);
        let how = lag_pressure(&breathing.flow, holes, d.si()).ok_or("the vents have no area")?;
        let lag = board.derived("lag", how, &breathing.with(&[("n", &n), ("d", &d)]), "at the fastest climb");
        let how = force_of_pressure(lag.si(), shell.diameter.si());
        board.derived("force", how, &[("p", &lag), ("D", &shell.diameter)], "on the bulkhead")
    } else {
        sealed.ok_or("the top of the flight is not known: top under [flight]")?
    };
    let least = least.ok_or("what holds the lid is not known: its friction, and its pins")?;
    let Some(how) = force_margin(least.si(), force.si()) else {
        return Ok((Verdict::Meets, "nothing pushes in the climb".to_owned()));
    };
    let reached = board.derived(
        "margin",
        how,
        &[("F", least), ("F_h", &force)],
        "what holds at least over what pushes",
    );
    let number = board.figure("margin").expect("it was just worked").clone();
    let (verdict, word) = above(&number, &reached.estimate, margin.si());
    let times = match reached.si() {
        many if many >= 100.0 => "more than 100".to_owned(),
        some if some >= 10.0 => format!("{some:.0}"),
        few => format!("{few:.2}"),
    };
    let how = if holes > 0.0 { "vented" } else { "sealed" };
    Ok((
        verdict,
        format!(
            "{how}, {} on the lid in the climb: it holds {times} times that, {:.2} wanted{word}",
            text(force.si(), Kind::Force),
            margin.si()
        ),
    ))
}

/// What a sealed bay would hold at the top, as a force.
fn sealed(given: &Given<'_>, shell: &Shell, board: &mut Board<'_>) -> Option<Is> {
    let top = given.project.flight_key(given.part, |flight| &flight.top).0.given()?.si();
    let ground = given.project.site.air.elevation.given().map_or(0.0, silkfall_project::value::Quantity::si);
    let at = |height: f64| {
        Some(standard::at_geometric(Length::new::<meter>(height)).ok()?.pressure.get::<pascal>())
    };
    let how = climb_pressure(at(ground)?, at(ground + top)?);
    let pressure = board.derived("sealed", how, &[], "standard atmosphere");
    let how = force_of_pressure(pressure.si(), shell.diameter.si());
    Some(board.derived("sealed-force", how, &[("p", &pressure), ("D", &shell.diameter)], "on the bulkhead"))
}

/// The barometer's room; nothing where none is stated.
pub(super) fn of_ports(given: &Given<'_>, notes: &mut Notes) -> Option<DeploymentSheet> {
    let room = &given.part.sensor_bay;
    room.spot?;
    let name = &given.part.name.value;
    let mut board = Board::new(name, "ports", notes);
    let said = ports(given, &mut board);
    let figures = board.figures;
    let (verdict, reason, lags) = match said {
        Ok((reason, lags)) => (Verdict::NotJudged, reason, lags),
        Err(missing) => (without_answer(climbs(given)), missing, room.ports.given() == Some(&0)),
    };
    if lags {
        let key = format!("part.{name}.sensor_bay.ports");
        notes.find_at(Code::BayPortsLag, &key, room.ports.spot().or(room.spot), reason.clone());
    }
    Some(DeploymentSheet {
        name: "ports".to_owned(),
        title: "how the barometer breathes".to_owned(),
        figures,
        charge: None,
        verdict,
        reason,
        cautions: Vec::new(),
        says: vec![
            "Ports want a smooth place away from shoulders, and several alike around the body: wind on them is not in the lag \
             and is often more than it.".to_owned(),
            "The amateurs' rule (a quarter inch for each 100 in³, by area) is common practice, no published source, and does not \
             know the speed of the climb.".to_owned(),
        ],
    })
}

fn ports(given: &Given<'_>, board: &mut Board<'_>) -> Result<(String, bool), String> {
    let room = &given.part.sensor_bay;
    let Some(volume) = room.volume.given() else {
        return Err("the volume of the barometer's room is not known".to_owned());
    };
    let Some(ports) = room.ports.given() else { return Err("the number of ports is not known".to_owned()) };
    if *ports == 0 {
        return Err("the barometer's room has no port: it cannot breathe".to_owned());
    }
    let volume = board.given("volume", "sensor_bay.volume", "air in the barometer's room", volume);
    let n = Is::exact(f64::from(*ports), Trust::Given);
    let how = port_diameter_by_rule(volume.si(), n.si());
    board.derived(
        "diameter-by-rule",
        how,
        &[("V", &volume), ("n", &n)],
        "amateurs' rule of thumb, for comparison",
    );
    let Some(diameter) = room.port_diameter.given() else {
        return Err("the diameter of the ports is not known".to_owned());
    };
    let d = board.given("diameter", "sensor_bay.port_diameter", "diameter of each port", diameter);
    let breathing = Breathing::new(given, &volume, board)?;
    let how = lag_pressure(&breathing.flow, n.si(), d.si()).ok_or("the ports have no area")?;
    let lag = board.derived("lag", how, &breathing.with(&[("n", &n), ("d", &d)]), "at the fastest climb");
    let air = air(given);
    let how = height_error(lag.si(), air.density.si(), air.gravity.si());
    let from = [("Delta_p", &lag), ("rho", &air.density), ("g", &air.gravity)];
    let low = board.derived("height-error", how, &from, "hydrostatics");
    let reason = format!(
        "reads {} too low at {} up",
        silkfall_core::quantity::show(
            low.si(),
            (low.si() * 0.1).max(0.005),
            Kind::Length,
            silkfall_core::quantity::System::Si
        ),
        text(breathing.flow.speed_m_per_s, Kind::Speed)
    );
    Ok((reason, low.si() > LAG_WORTH_A_WORD_M))
}
