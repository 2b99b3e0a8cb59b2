//! What is not known yet: every `"?"` with what waits for it, the most valuable first.
//!
//! The order is a judgement of ours, by how many answers wait for a value and how far they move with it: first what no
//! rate can do without (masses), then what one test rests on, then what carries a test to full size, then verdicts,
//! then the way down, then what widens an interval. Within a rank it is by the number of cases or tests that wait, then by line.

use silkfall_core::finding::{Code, Finding, Subject};

use crate::project::{Evidence, Project};
use crate::value::Spot;

/// A value marked `"?"`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unknown {
    /// The file it stands in, as in findings.
    pub file: String,
    /// Its dotted path: `part.tube.mass`.
    pub path: String,
    /// Its table in the list of keys: `[[part]]`, `offers`.
    pub table: &'static str,
    /// Its key.
    pub key: &'static str,
    /// Where it stands.
    pub spot: Spot,
}

/// What a value is worth: its rank (1 is worth most) and what it unlocks.
struct Worth {
    rank: u8,
    unlocks: &'static str,
}

const NEEDS_MASS: &str = "every rate, energy and candidate of this part";
const NEEDS_TEST: &str = "the drag area of this test, and all that rests on it";
const NEEDS_SCALE: &str = "carrying this model's areas to full size";
const NEEDS_ITEM: &str = "the exact mass of what fell, and with it the drag area";
const NEEDS_OFFER: &str = "this offer as a candidate, by its own figures";
const NEEDS_LIMIT: &str = "the verdict of this case: without a limit it is not judged";
const NEEDS_CHANCE: &str = "how much this case weighs among all flights";
const NEEDS_FALL: &str = "how this part comes down, and where";
const NEEDS_WIND: &str = "how far it drifts, and where to";
const NEEDS_START: &str = "where the fall starts in wind, and a smaller landing region";
const NEEDS_FILLING: &str = "how far it falls while this stage fills";
const NEEDS_FIELD: &str = "the share of landings inside the field";
const NEEDS_REACTION: &str = "the lowest safe height to open";
const NEEDS_AIR: &str = "true height and air density of that day: 3.5 % of a rate for 10 K";
const NEEDS_SITE: &str = "the air at landing, and narrower intervals of every case";
const NEEDS_LIKENESS: &str = "how well cluster and wake carry over; less doubt added for unlike geometry";
const NEEDS_BODY: &str = "the body's own drag, where no test measured it";
const NEEDS_RIG: &str = "which candidates fit: room, mass and price";
const NEEDS_ROOM: &str = "whether the canopies fit the bay, and which candidates do";
const NEEDS_OUT: &str = "what pushes it out, and whether bay and barometer breathe in the climb";
const NEEDS_HARNESS: &str = "the angle it hangs at, and what each leg of its harness pulls";
const NEEDS_DEVICE: &str = "what follows if this fails";
const NEEDS_LOADS: &str = "the hardest pull that has to be borne at opening";
const NEEDS_STRENGTH: &str = "whether the load path holds, and with it every candidate";
const NEEDS_CONTENT: &str = "whether what is in it bears the shock";
const NEEDS_PLAN: &str = "the head of the paper that is handed over";
const NEEDS_DETAIL: &str = "a check or a narrower interval";

fn worth(table: &str, key: &str) -> Worth {
    let (rank, unlocks) = match (table, key) {
        ("[[part]]", "mass") => (1, NEEDS_MASS),
        ("[[test]]", "canopies" | "logs" | "load" | "rate" | "force" | "at" | "body") => (2, NEEDS_TEST),
        ("[[model]]", _) | ("[[canopy]]", "scale" | "copy_of") => (3, NEEDS_SCALE),
        ("[[test]]", "canopy_mass" | "lines" | "logger" | "ballast")
        | ("[[test.drop]]", "ballast")
        | ("[[canopy]]", "mass") => (4, NEEDS_ITEM),
        ("[[part.case]]", "limit") => (5, NEEDS_LIMIT),
        ("[[session]]", "temperature" | "pressure" | "pressure_is" | "elevation") => (6, NEEDS_AIR),
        ("[flight]", "top") | ("[[part.stage]]", "drag_area" | "opens" | "begins" | "after" | "below") => {
            (7, NEEDS_FALL)
        }
        ("[wind]", "speed" | "from") | ("the project", "winds") | ("[site]", "wind") => (8, NEEDS_WIND),
        ("offers", "diameter" | "diameter_is" | "coefficient" | "coefficient_on" | "mass") => {
            (9, NEEDS_OFFER)
        }
        ("[[part.case]]", "chance" | "shared_cause") => (10, NEEDS_CHANCE),
        ("the project", "field") | ("[site]", "longitude" | "share_inside") => (11, NEEDS_FIELD),
        ("[flight]" | "[[flight.with_wind]]", _) => (12, NEEDS_START),
        ("[wind]", _) => (13, NEEDS_WIND),
        ("[[part.stage]]", _) => (13, NEEDS_FILLING),
        ("[[part]]", "reaction") => (13, NEEDS_REACTION),
        ("[site]", _) => (14, NEEDS_SITE),
        ("[part.harness]" | "[[part.harness.point]]", _) => (15, NEEDS_HARNESS),
        ("[[part.device]]", _) => (15, NEEDS_DEVICE),
        ("[part.opening]" | "[part.stage.cord]" | "[part.stage.reefing]", _) => (15, NEEDS_LOADS),
        ("[[part.member]]" | "[part.factors]", _) => (6, NEEDS_STRENGTH),
        ("[[part.content]]", _) => (15, NEEDS_CONTENT),
        ("[part.body]", _) => (15, NEEDS_BODY),
        ("[part.bay]", "diameter" | "length" | "packing_density" | "section_filled")
        | ("[[part.bay.roll]]" | "[[part.bay.item]]", _) => (15, NEEDS_ROOM),
        ("[part.bay]" | "[part.bay.gas]" | "[part.door]" | "[part.sensor_bay]", _) => (15, NEEDS_OUT),
        (
            _,
            "riser_length" | "common_riser" | "line_length" | "vent" | "shape" | "diameter" | "diameter_is"
            | "cloth",
        ) => (16, NEEDS_LIKENESS),
        ("[part.rig]", _) | ("offers", _) | ("the project", "offers") => (17, NEEDS_RIG),
        ("[plan]", _) => (19, NEEDS_PLAN),
        _ => (18, NEEDS_DETAIL),
    };
    Worth { rank, unlocks }
}

impl Unknown {
    /// What it would unlock, in words.
    pub fn unlocks(&self) -> &'static str {
        worth(self.table, self.key).unlocks
    }

    /// How valuable it is among unknowns: 1 is worth most.
    pub fn rank(&self) -> u8 {
        worth(self.table, self.key).rank
    }

    /// As a finding: an answer waits for it.
    pub fn finding(&self) -> Finding {
        let message = format!("`{}` is not known yet; it would give {}", self.path, self.unlocks());
        Finding::new(Code::ProjectUnknown, Subject::Key(self.path.clone()), message).at(
            self.file.clone(),
            Some(self.spot.line),
            Some(self.spot.column),
        )
    }

    /// How many cases and tests wait for it: those of its part, session, model or canopy.
    fn waiting(&self, project: &Project) -> usize {
        let of_tests = |wanted: &dyn Fn(&crate::project::Test) -> bool| {
            project.tests.iter().filter(|test| wanted(test)).count()
        };
        let Ok(path) = toml_edit::Key::parse(&self.path) else { return 0 };
        let Some(name) = path.get(1).map(toml_edit::Key::get) else { return 0 };
        match self.table {
            "[[part]]"
            | "[part.body]"
            | "[part.rig]"
            | "[[part.stage]]"
            | "[part.harness]"
            | "[[part.harness.point]]"
            | "[part.opening]"
            | "[part.stage.cord]"
            | "[part.stage.reefing]"
            | "[[part.device]]"
            | "[[part.member]]"
            | "[part.factors]"
            | "[part.bay]"
            | "[[part.bay.roll]]"
            | "[[part.bay.item]]"
            | "[part.bay.gas]"
            | "[part.door]"
            | "[part.sensor_bay]" => project.part(name).map_or(0, |part| part.cases.len()),
            // The table of one part, or of all of them.
            "[flight]" | "[[flight.with_wind]]" => project
                .parts
                .iter()
                .filter(|part| path[0].get() == "flight" || part.name.value == name)
                .map(|part| part.cases.len())
                .sum(),
            "[wind]" => project.parts.iter().map(|part| part.cases.len()).sum(),
            "[[session]]" => of_tests(&|test| test.session.as_ref().is_some_and(|said| said.value == name)),
            "[[model]]" => of_tests(&|test| test.model.as_ref().is_some_and(|said| said.value == name)),
            "[[canopy]]" => of_tests(&|test| test.canopies.iter().any(|said| said.value == name)),
            "[[test]]" => {
                of_tests(&|test| test.name.value == name)
                    + project.tests.iter().find(|test| test.name.value == name).map_or(0, drops)
            }
            _ => 0,
        }
    }
}

/// More recordings rest on the values of such a test.
fn drops(test: &crate::project::Test) -> usize {
    match &test.evidence {
        Evidence::Logs { logs, .. } => logs.len(),
        Evidence::Rate(_) | Evidence::Force { .. } => 0,
    }
}

/// Puts the most valuable first.
pub(crate) fn most_valuable_first(unknowns: &mut [Unknown], project: &Project) {
    unknowns.sort_by_cached_key(|unknown| {
        let waiting = std::cmp::Reverse(unknown.waiting(project));
        (unknown.rank(), waiting, unknown.file.clone(), unknown.spot)
    });
}

#[cfg(test)]
mod tests {
    use crate::parse;

    #[test]
    fn the_most_valuable_unknown_comes_first() {
        let text = "format = 1\n[site]\ntemperature = \"?\"\n[[session]]\nname = \"a\"\ntemperature = \"?\"\n\
             [[session]]\nname = \"b\"\ntemperature = \"?\"\n[[part]]\nname = \"nose\"\nmass = \"?\"\n\
             [[part]]\nname = \"tube\"\nmass = \"?\"\n[[part.case]]\nname = \"all\"\nopens = \"all\"\nlimit = \"?\"\n\
             [[test]]\nname = \"one\"\npart = \"tube\"\nsession = \"b\"\nlogs = [\"logs/one.csv\"]\nload = \"?\"\n";
        let parsed = parse(text, None);
        assert_eq!(parsed.findings, []);
        let unknowns = parsed.project.unwrap().unknowns;
        let paths: Vec<&str> = unknowns.iter().map(|unknown| unknown.path.as_str()).collect();
        assert_eq!(
            paths,
            [
                "part.tube.mass",
                "part.nose.mass",
                "test.one.load",
                "part.tube.case.all.limit",
                "session.b.temperature",
                "session.a.temperature",
                "site.temperature",
            ]
        );
        assert_eq!(unknowns[0].spot.line, 15);
        let finding = unknowns[0].finding();
        assert_eq!(
            finding.message,
            "`part.tube.mass` is not known yet; it would give every rate, energy and candidate of this part"
        );
    }

    #[test]
    fn what_a_landing_needs_stands_behind_what_a_verdict_needs() {
        let text = "format = 1\nwinds = \"?\"\n[site]\nhumidity = \"?\"\nlongitude = \"?\"\n\
             [flight]\ntop = \"?\"\nupwind_per_wind = \"?\"\n\
             [[part]]\nname = \"tube\"\nmass = \"9 kg\"\nreaction = \"?\"\n\
             [[part.case]]\nname = \"all\"\nopens = \"all\"\nlimit = \"?\"\n\
             [[part.stage]]\nname = \"open\"\nopens = \"canopies\"\nbelow = \"?\"\nfill_time = \"?\"\n\
             [part.flight]\ntop = \"?\"\n[[part]]\nname = \"nose\"\nmass = \"1 kg\"\n\
             [[part.case]]\nname = \"all\"\nopens = \"all\"\n";
        let parsed = parse(text, None);
        assert_eq!(parsed.findings, []);
        let unknowns = parsed.project.unwrap().unknowns;
        let said: Vec<String> =
            unknowns.iter().map(|unknown| format!("{}: {}", unknown.path, unknown.unlocks())).collect();
        assert_eq!(
            said,
            [
                "part.tube.case.all.limit: the verdict of this case: without a limit it is not judged",
                "flight.top: how this part comes down, and where",
                "part.tube.stage.open.below: how this part comes down, and where",
                "part.tube.flight.top: how this part comes down, and where",
                "winds: how far it drifts, and where to",
                "site.longitude: the share of landings inside the field",
                "flight.upwind_per_wind: where the fall starts in wind, and a smaller landing region",
                "part.tube.reaction: the lowest safe height to open",
                "part.tube.stage.open.fill_time: how far it falls while this stage fills",
                "site.humidity: the air at landing, and narrower intervals of every case",
            ]
        );
    }

    #[test]
    fn unknown_cells_of_the_offers_are_listed_with_their_file() {
        let (offers, findings) = crate::offers::read("canopies.csv", b"id,mass,diameter\na,?,6 ft\n");
        assert_eq!(findings, []);
        let parsed = parse("format = 1\noffers = \"canopies.csv\"\n", Some(offers));
        let unknown = &parsed.project.unwrap().unknowns[0];
        assert_eq!((unknown.file.as_str(), unknown.path.as_str()), ("canopies.csv", "offer.a.mass"));
        assert_eq!((unknown.spot.line, unknown.spot.column), (2, 2));
    }
}
