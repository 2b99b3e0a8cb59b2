//! Which inputs stand beside which section of the sheet: what is known beside what follows from it.

use silkfall_project::inputs::{InputTable, Stands};

/// The tables of the project, given out: each goes to the first section that wants it, what nobody wants to the first.
pub(super) fn give_out<'t>(sections: &[&str], tables: &'t [InputTable]) -> Vec<Vec<&'t InputTable>> {
    let mut given: Vec<Vec<&InputTable>> = sections.iter().map(|_| Vec::new()).collect();
    for table in tables {
        let wanted = sections.iter().position(|id| wants(id, table));
        if let Some(list) = given.get_mut(wanted.unwrap_or(0)) {
            list.push(table);
        }
    }
    given
}

/// Endings of a section's id, and the tables of its part that belong there.
const OF_PART: [(&str, &[&str]); 11] = [
    ("cases", &["part", "part.case", "part.body"]),
    ("candidates", &["part.rig", "choice"]),
    ("loads", &["part.opening", "part.stage.reefing", "part.stage.cord"]),
    ("load-path", &["part.member", "part.factors", "part.content"]),
    ("landing", &["part.stage", "part.flight"]),
    ("packing", &["part.bay", "part.bay.roll", "part.bay.item"]),
    ("deployment", &["part.bay.gas", "part.door", "part.sensor_bay"]),
    ("hanging", &["part.harness", "part.harness.point"]),
    ("failures", &["part.device"]),
    ("drag", &["canopy", "model"]),
    ("landing", &["wind", "flight", "flight.with_wind"]),
];

fn wants(section: &str, table: &InputTable) -> bool {
    let kind = table.kind.as_str();
    if matches!(kind, "session" | "site") {
        return section == if kind == "session" { "air" } else { "answer" };
    }
    if kind == "test" && table.stands == Stands::NewRow {
        return section.ends_with("-drag");
    }
    if kind == "test" || kind.starts_with("test.") {
        let name = table.name.as_deref().unwrap_or_default();
        // A test is listed under its part; no two tests of a project share a name.
        return section.split_once("-test-").is_some_and(|(_, test)| test == name);
    }
    OF_PART.iter().any(|(ending, kinds)| {
        let Some(part) = section.strip_suffix(ending).and_then(|rest| rest.strip_suffix('-')) else {
            return false;
        };
        let Some(at) = kinds.iter().position(|wanted| kind == *wanted) else { return false };
        let is_of_a_part = kinds[at].starts_with("part") || kinds[at] == "choice";
        !is_of_a_part || part_of(table).is_some_and(|name| name == part)
    })
}

/// The part that a table tells about: the second name of its path.
fn part_of(table: &InputTable) -> Option<String> {
    let rest = table.path.split_once('.')?.1;
    match rest.strip_prefix('"') {
        Some(quoted) => quoted.split('"').next().map(str::to_owned),
        None => rest.split('.').next().map(str::to_owned),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_table_stands_beside_what_follows_from_it() {
        let text = "format = 1\n[site]\nplace = \"x\"\n[[part]]\nname = \"the tube\"\nmass = \"1 kg\"\n[part.bay]\n\
                    diameter = \"1 m\"\n[[test]]\nname = \"one\"\npart = \"the tube\"\n[wind]\nspeed = \"1 m/s\"\n";
        let tables = silkfall_project::inputs::inputs(text);
        let sections =
            ["answer", "the tube-test-one", "the tube-cases", "the tube-landing", "the tube-packing", "air"];
        let given = give_out(&sections, &tables);
        let stated = |at: usize| -> Vec<&str> {
            given[at].iter().filter(|table| table.is_stated()).map(|table| table.path.as_str()).collect()
        };
        assert_eq!(stated(0), ["", "site"]);
        assert_eq!(stated(1), ["test.one"]);
        assert_eq!(stated(2), ["part.\"the tube\""]);
        assert_eq!(stated(3), ["wind"]);
        assert_eq!(stated(4), ["part.\"the tube\".bay"]);
        assert_eq!(given.iter().map(Vec::len).sum::<usize>(), tables.len());
    }
}
