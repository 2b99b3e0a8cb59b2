//! The project folder, from outside.

mod corpus;
mod field;
mod folder;
mod hostile;
mod keys;
mod promises;
mod winds;

/// The frozen example of format 1, with every key but those of the way down.
const FORMAT_1: &str = include_str!("../format-1/silkfall.toml");

/// The frozen examples of format 1 with the keys of the way down; together with the one above they have every key.
const LANDING: [&str; 3] = [
    include_str!("../format-1-landing/silkfall.toml"),
    include_str!("../format-1-landing/terrain.toml"),
    include_str!("../format-1-landing/exponent.toml"),
];

/// The frozen example of format 1 with the keys of harness and devices.
const HANGING: &str = include_str!("../format-1-hanging/silkfall.toml");

/// The frozen example of format 1 with the keys of bay, door and the barometer's room.
const BAY: &str = include_str!("../format-1-bay/silkfall.toml");

/// The frozen example of format 1 with the keys of the load path.
const LOAD_PATH: &str = include_str!("../format-1-load-path/silkfall.toml");

/// The frozen example of format 1 with the keys of openings and what they pull with.
const OPENING: &str = include_str!("../format-1-opening/silkfall.toml");

/// The frozen example of format 1 with the keys of the paper's head.
const PLAN: &str = include_str!("../format-1-plan/silkfall.toml");

/// Every frozen example.
fn examples() -> impl Iterator<Item = &'static str> {
    std::iter::once(FORMAT_1).chain(LANDING).chain([HANGING, BAY, LOAD_PATH, OPENING, PLAN])
}
