//! Folders on disk: read, saved, and what goes wrong with them.

use std::path::{Path, PathBuf};

use silkfall_project::save::{self, SaveError};
use silkfall_project::{FolderError, read_folder};

use crate::FORMAT_1;

/// A folder of its own for a test, under the target folder; emptied first.
pub fn scratch(name: &str) -> PathBuf {
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    match std::fs::remove_dir_all(&dir) {
        Ok(()) => {}
        Err(error) => assert_eq!(error.kind(), std::io::ErrorKind::NotFound, "{error}"),
    }
    std::fs::create_dir_all(&dir).expect("the target folder can be written");
    dir
}

fn example_in(dir: &Path) {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/format-1");
    std::fs::create_dir_all(dir.join("logs")).expect("the target folder can be written");
    for file in ["silkfall.toml", "canopies.csv", "logs/one.csv", "logs/two.csv"] {
        std::fs::copy(from.join(file), dir.join(file)).expect("the example is there");
    }
}

#[test]
fn a_folder_is_read_with_its_offers_and_recordings() {
    let dir = scratch("whole-folder");
    example_in(&dir);
    let folder = read_folder(&dir).unwrap();
    assert_eq!(folder.findings, []);
    assert_eq!(folder.text, FORMAT_1);
    assert_eq!(folder.logs.keys().collect::<Vec<_>>(), ["logs/one.csv", "logs/two.csv"]);
    let project = folder.project.unwrap();
    assert_eq!(project.offer("plain-1.8").unwrap().owned.given(), Some(&1));
    let unknown: Vec<&str> = project.unknowns.iter().map(|unknown| unknown.path.as_str()).collect();
    assert_eq!(unknown, ["test.stated.load", "part.tube.rig.riser_length"]);
}

#[test]
fn winds_and_field_are_read_where_the_project_names_them() {
    let dir = scratch("landing-files");
    let text = "format = 1\nwinds = \"winds.csv\"\nfield = \"field.geojson\"\n";
    let file =
        |name: &str, text: &str| std::fs::write(dir.join(name), text).expect("the folder can be written");
    file("silkfall.toml", text);
    let missing = read_folder(&dir).unwrap();
    let said: Vec<_> =
        missing.findings.iter().map(|f| (f.code.name(), f.place.as_ref().unwrap().line)).collect();
    assert_eq!(said, [("project-file", Some(2)), ("project-file", Some(3))]);
    file("winds.csv", "height above ground (m),from (°),speed (m/s)\n10,250,4\n300,260,7\n");
    file(
        "field.geojson",
        r#"{ "type": "Feature", "properties": { "kind": "edge" },
          "geometry": { "type": "Polygon", "coordinates": [[[7, 52], [7.01, 52], [7.01, 52.01], [7, 52]]] } }"#,
    );
    let folder = read_folder(&dir).unwrap();
    assert_eq!(folder.findings, []);
    let project = folder.project.unwrap();
    assert_eq!((project.winds.unwrap().levels.len(), project.field.unwrap().edges.len()), (2, 1));
}

#[test]
fn what_cannot_be_read_is_said_where_it_is_named() {
    let dir = scratch("missing-files");
    example_in(&dir);
    std::fs::remove_file(dir.join("logs/two.csv")).unwrap();
    std::fs::write(dir.join("logs/twi.csv"), "t,h\n").unwrap();
    std::fs::write(dir.join("canopies.csv"), "id,diameter\nplain-2.0,6 ft\n").unwrap();
    let folder = read_folder(&dir).unwrap();
    let said: Vec<String> = folder
        .findings
        .iter()
        .map(|f| {
            let message = f.message.replace(&dir.display().to_string(), "DIR").replace('\\', "/");
            let message = message.split(": ").next().unwrap().to_owned();
            format!(
                "{} {}: {message} ({})",
                f.place.as_ref().unwrap().file,
                f.place.as_ref().unwrap().line.unwrap(),
                f.hint.as_deref().unwrap()
            )
        })
        .collect();
    assert_eq!(
        said,
        [
            "silkfall.toml 41: there is no offer `plain-1.8` (did you mean `plain-2.0`?)",
            "silkfall.toml 46: there is no offer `plain-1.8` (did you mean `plain-2.0`?)",
            "silkfall.toml 150: there is no offer `plain-1.8` (did you mean `plain-2.0`?)",
            "silkfall.toml 96: cannot read DIR/logs/two.csv (did you mean `twi.csv`?)",
        ]
    );
    assert!(folder.project.unwrap().choices.is_empty());
    assert_eq!(folder.logs.len(), 1, "the other recording is still read");
}

#[test]
fn a_folder_that_is_none_says_so_with_its_path() {
    let dir = scratch("no-folder");
    let error = read_folder(&dir).unwrap_err();
    assert!(matches!(error, FolderError::NotThere(_)) && error.to_string().contains("no-folder"), "{error}");
    std::fs::create_dir(dir.join("silkfall.toml")).unwrap();
    assert!(matches!(read_folder(&dir).unwrap_err(), FolderError::Unreadable { .. }));
}

#[test]
fn a_project_that_is_not_utf_8_or_far_too_long_is_refused_with_its_place() {
    let dir = scratch("odd-text");
    std::fs::write(dir.join("silkfall.toml"), b"format = 1\nname = \"f\xfcnf\"\n").unwrap();
    let folder = read_folder(&dir).unwrap();
    let place = folder.findings[0].place.clone().unwrap();
    assert_eq!((place.line, place.column), (Some(2), Some(10)));
    std::fs::write(dir.join("silkfall.toml"), "#".repeat(3 << 20)).unwrap();
    let folder = read_folder(&dir).unwrap();
    assert_eq!(folder.findings[0].code.name(), "project-too-much");
}

#[cfg(unix)]
#[test]
fn a_link_cannot_lead_out_of_the_folder() {
    let dir = scratch("link-out");
    example_in(&dir);
    let outside = scratch("link-out-target").join("secret.csv");
    std::fs::write(&outside, "t,h\n").unwrap();
    std::fs::remove_file(dir.join("logs/two.csv")).unwrap();
    std::os::unix::fs::symlink(&outside, dir.join("logs/two.csv")).unwrap();
    let folder = read_folder(&dir).unwrap();
    assert_eq!(folder.findings.len(), 1);
    assert_eq!(folder.findings[0].message, "`logs/two.csv` is a link that leaves the project folder");
    assert!(!folder.logs.contains_key("logs/two.csv"));
}

#[test]
fn a_save_never_loses_what_was_there() {
    let dir = scratch("save");
    let path = dir.join("silkfall.toml");
    save::create(&path, FORMAT_1.as_bytes()).unwrap();
    assert!(matches!(save::create(&path, b""), Err(SaveError::AlreadyThere(_))));
    save::save(&path, FORMAT_1, "format = 1\n").unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "format = 1\n");
    // Someone else writes; our text was made from the older one.
    std::fs::write(&path, "format = 1\nname = \"theirs\"\n").unwrap();
    assert!(matches!(save::save(&path, "format = 1\n", "ours"), Err(SaveError::ChangedElsewhere(_))));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "format = 1\nname = \"theirs\"\n");
    std::fs::remove_file(&path).unwrap();
    assert!(matches!(save::save(&path, "format = 1\n", "ours"), Err(SaveError::ChangedElsewhere(_))));
    assert_eq!(std::fs::read_dir(&dir).unwrap().count(), 0, "nothing is left beside it");
}

#[cfg(unix)]
#[test]
fn a_save_follows_a_link_and_keeps_the_rights_of_the_file() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let dir = scratch("save-link");
    let real = dir.join("real.toml");
    std::fs::write(&real, "format = 1\n").unwrap();
    std::fs::set_permissions(&real, std::fs::Permissions::from_mode(0o640)).unwrap();
    symlink(&real, dir.join("silkfall.toml")).unwrap();
    save::save(&dir.join("silkfall.toml"), "format = 1\n", "format = 1\nname = \"x\"\n").unwrap();
    assert!(std::fs::symlink_metadata(dir.join("silkfall.toml")).unwrap().file_type().is_symlink());
    assert_eq!(std::fs::read_to_string(&real).unwrap(), "format = 1\nname = \"x\"\n");
    assert_eq!(std::fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
}
