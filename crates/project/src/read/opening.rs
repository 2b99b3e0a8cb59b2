//! What is asked of openings, and what is thrown out on which cord.

use silkfall_core::finding::Code;
use silkfall_core::quantity::Mass;

use super::landing::{one_of, wrapped};
use crate::landing::{Cord, Held, Reefing, Stage};
use crate::notes::Notes;
use crate::opening::Opening;
use crate::value::{Known, Quantity, Said};
use crate::walk::{Inner, key_text};
use crate::wire;
use crate::words::HeldBy;

pub(super) fn opening(keys: wire::Opening) -> Opening {
    let wire::Opening { late, nothing_before, at_the_top, share_of_one } = keys;
    Opening { late, nothing_before, at_the_top, share_of_one }
}

/// A cord that is named has its length, stretch and strength; what is thrown out has its mass.
pub(super) fn cord(cord: Inner<wire::Cord>, opens_canopies: bool, path: &str, notes: &mut Notes) -> Cord {
    let Inner { keys, spot } = cord;
    if let Some(spot) = spot {
        let wanted = [
            (
                "throws",
                keys.throws.is_absent() && !opens_canopies,
                "say what it throws out: throws = \"180 g\"",
            ),
            ("length", keys.length.is_absent(), "what is thrown out hangs on a cord: length = \"3 m\""),
            (
                "stretch",
                keys.stretch.is_absent(),
                "say how far it stretches until it breaks: stretch = \"22 %\"",
            ),
            ("strength", keys.strength.is_absent(), "say what it holds: strength = \"2200 N\""),
        ];
        for (key, missing, hint) in wanted {
            if missing {
                let message = format!("`{key}` is missing, without which nobody knows how it snatches");
                notes.add(
                    Code::ProjectMissingKey,
                    &format!("{path}.{key}"),
                    Some(spot),
                    message,
                    Some(hint.to_owned()),
                );
            }
        }
    }
    let wire::Cord { throws, apart, length, stretch, strength, bends } = keys;
    Cord { throws, apart, length, stretch, strength, bends, spot }
}

/// What holds a canopy says how small and how long.
pub(super) fn reefing(reefing: Inner<wire::Reefing>, path: &str, notes: &mut Notes) -> Reefing {
    let Inner { keys, spot } = reefing;
    let held = [("share", keys.share.spot()), ("line", keys.line.spot())];
    let first = one_of(held, path, notes);
    let slider = keys.by.given() == Some(&HeldBy::Slider);
    if let (true, Some(line)) = (slider, keys.line.spot()) {
        let hint = "say how small the slider holds it: share = \"15 %\"".to_owned();
        let message = "`line` stands beside by = \"slider\", which has none";
        notes.add(Code::ProjectConflict, &format!("{path}.line"), Some(line), message, Some(hint));
    }
    let held = match first {
        Some(0) => wrapped(keys.share, Held::Share),
        Some(_) if slider => Known::Absent,
        Some(_) => wrapped(keys.line, Held::Line),
        None => Known::Absent,
    };
    if let Some(spot) = spot {
        let wanted = [
            (first.is_none(), "share", "say how small it is held: share = \"12 %\", or line = \"1.1 m\""),
            (keys.held_for.is_absent(), "held_for", "say how long: held_for = \"1.5 s ± 0.1 s\""),
        ];
        for (missing, key, hint) in wanted {
            if missing {
                let message = format!("`{key}` is missing, without which nobody knows how it opens in steps");
                let path = format!("{path}.{key}");
                notes.add(Code::ProjectMissingKey, &path, Some(spot), message, Some(hint.to_owned()));
            }
        }
    }
    Reefing { by: keys.by, held, held_for: keys.held_for, spot }
}

/// What is thrown out is part of what comes down.
pub(super) fn lighter_than_the_part(
    stages: &[Stage],
    part: Option<&Quantity<Mass>>,
    path: &str,
    notes: &mut Notes,
) {
    let Some(part) = part else { return };
    for stage in stages {
        let Known::Given(Said { value: throws, spot }) = &stage.cord.throws else { continue };
        if throws.si() < part.si() {
            continue;
        }
        let message = format!("{} are thrown out of a part of {}", throws.text(), part.text());
        let hint = "the mass of the part counts all that comes down with it".to_owned();
        let key = format!("{path}.{}.cord.throws", key_text(&stage.name.value));
        notes.add(Code::ProjectRange, &key, Some(*spot), message, Some(hint));
    }
}
