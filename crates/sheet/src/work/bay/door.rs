//! What is thrown out of a door, past the fins.

use silkfall_core::cases::Verdict;
use silkfall_core::deployment::{
    GROUND_TEST, PACK_COEFFICIENT, door_area, drift_back, out_of_the_way, pack_drag_area, push_of_pressure,
    speed_of_push,
};
use silkfall_core::finding::Code;
use silkfall_core::ledger::{Distribution, Trust};
use silkfall_core::quantity::Kind;
use silkfall_project::bay::Push;
use silkfall_project::value::{Known, Measured, Quantity};

use super::out::above;
use super::{Board, Is, air, ours, text};
use crate::deployment::DeploymentSheet;
use crate::work::notes::Notes;
use crate::work::part::Given;

/// The sheet; nothing where no door is stated.
pub(super) fn work(given: &Given<'_>, notes: &mut Notes) -> Option<DeploymentSheet> {
    let door = &given.part.door;
    door.spot?;
    let name = &given.part.name.value;
    let mut board = Board::new(name, "door", notes);
    let said = thrown(given, &mut board);
    let figures = board.figures;
    let (verdict, reason) = said.unwrap_or_else(|missing| (Verdict::Undecided, missing));
    if verdict == Verdict::Misses {
        let key = format!("part.{name}.door");
        notes.find_at(Code::BayDoorHitsFins, &key, door.spot, reason.clone());
    }
    Some(DeploymentSheet {
        name: "door".to_owned(),
        title: "what is thrown out sideways".to_owned(),
        figures,
        charge: None,
        verdict,
        reason,
        cautions: vec![GROUND_TEST.to_owned()],
        says: vec![
            "The pack is taken as a point that does not turn, still packed and on slack lines; the stream takes it back at the full \
             pull from the first moment, which is the soonest it can be.".to_owned(),
        ],
    })
}

/// A value that is needed, or what is missing.
fn needed<Q: Measured>(
    board: &mut Board<'_>,
    key: &str,
    meaning: &str,
    known: &Known<Quantity<Q>>,
) -> Result<Is, String> {
    match known.given() {
        Some(quantity) => Ok(board.stated(&format!("door.{key}"), meaning, quantity)),
        None => Err(format!("{meaning} is not known")),
    }
}

fn thrown(given: &Given<'_>, board: &mut Board<'_>) -> Result<(Verdict, String), String> {
    let door = &given.part.door;
    let length = needed(board, "length", "the length of the door", &door.length)?;
    let width = needed(board, "width", "the width of the door", &door.width)?;
    let how = door_area(length.si(), width.si());
    let area = board.derived("area", how, &[("l", &length), ("w_d", &width)], "as stated");
    let mass = needed(board, "throws", "the mass that is thrown", &door.throws)?;
    let speed = match door.push.given() {
        Some(Push::Speed(speed)) => board.given("speed", "door.speed", "speed out of the door", speed),
        Some(Push::Force(force)) => {
            let force = board.given("force", "door.force", "force of the push", force);
            pushed(board, &force, &mass, door)?
        }
        Some(Push::Pressure(pressure)) => {
            let pressure = board.stated("door.pressure", "pressure behind the door", pressure);
            let how = push_of_pressure(pressure.si(), area.si());
            let force = board.derived("force", how, &[("p", &pressure), ("A_d", &area)], "on the door");
            pushed(board, &force, &mass, door)?
        }
        None => return Err("what pushes it out is not known: a pressure, a force or a speed".to_owned()),
    };
    let stream = needed(board, "stream", "the speed of the air along the body", &door.stream)?;
    let back = needed(board, "to_fins", "the way from the door back to the fins", &door.to_fins)?;
    let span = needed(board, "fin_span", "how far the fins stand out", &door.fin_span)?;
    let drag = match &door.drag_area {
        Known::Given(said) => {
            board.given("drag-area", "door.drag_area", "drag area of the pack", &said.value)
        }
        Known::Absent => {
            let [value, sd] = PACK_COEFFICIENT;
            let trust =
                Trust::Assumed("a pack as large as its door, a short block across the stream".to_owned());
            let meaning = "drag coefficient of a pack on the area of its door";
            let c = ours("pack-coefficient", meaning, value, Distribution::Normal { sd }, trust, board.notes);
            let how = pack_drag_area(c.si(), area.si());
            board.derived("drag-area", how, &[("C", &c), ("A_d", &area)], "by the door's size")
        }
        Known::Unknown { .. } => return Err("the drag area of the pack is not known".to_owned()),
    };
    let density = air(given).density;
    let Some(how) = drift_back(mass.si(), back.si(), density.si(), stream.si(), drag.si()) else {
        return Ok((Verdict::Meets, "no stream takes it back".to_owned()));
    };
    let from = [("m", &mass), ("x", &back), ("rho", &density), ("u", &stream), ("D", &drag)];
    let time = board.derived("time", how, &from, "the soonest");
    let how = out_of_the_way(speed.si(), time.si(), span.si());
    let clear = board.derived(
        "clearance",
        how,
        &[("w", &speed), ("t", &time), ("b", &span)],
        "beyond the tips of the fins",
    );
    let number = board.figure("clearance").expect("it was just worked").clone();
    let (verdict, word) = above(&number, &clear.estimate, 0.0);
    let reason = if clear.si() < 0.0 {
        format!("passes the fins {} too near", text(-clear.si(), Kind::Length))
    } else {
        format!("passes {} outside the fins{word}", text(clear.si(), Kind::Length))
    };
    Ok((verdict, reason))
}

fn pushed(
    board: &mut Board<'_>,
    force: &Is,
    mass: &Is,
    door: &silkfall_project::bay::Door,
) -> Result<Is, String> {
    let stroke = needed(board, "stroke", "the way over which it pushes", &door.stroke)?;
    let how = speed_of_push(force.si(), stroke.si(), mass.si()).ok_or("nothing pushes")?;
    Ok(board.derived("speed", how, &[("F", force), ("s", &stroke), ("m", mass)], "by the push"))
}
