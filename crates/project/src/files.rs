//! The folder: its files read with their paths in every message, never one outside it, and none of any size.

use std::collections::BTreeMap;
use std::io::Read;
use std::path::{Path, PathBuf};

use silkfall_core::finding::{Code, Finding, Subject};

use crate::notes::{Lines, Notes, quoted};
use crate::offers;
use crate::project::{Evidence, Project};
use crate::read::{LONGEST_TEXT, PROJECT_FILE, parse_with};
use crate::value::{Known, Said};
use crate::{field, winds};

/// A larger recording is refused: 2 GiB, a week at 100 a second.
pub const LARGEST_LOG: u64 = 2 << 30;

/// A project folder as read.
#[derive(Clone, Debug)]
pub struct Folder {
    /// Where it is.
    pub dir: PathBuf,
    /// The text of its project file: what a save compares with, and what edits start from.
    pub text: String,
    /// What is known; `None` where the project file could not be read at all.
    pub project: Option<Project>,
    /// Every problem of the project file, then of the offers, of winds and field, and of files that could not be read.
    pub findings: Vec<Finding>,
    /// The bytes of each recording that a test names and that could be read, by its path from the folder.
    pub logs: BTreeMap<String, Vec<u8>>,
}

/// Why a folder is no project.
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// There is no project file in it.
    #[error("{} is not there, so {} is no project folder", .0.join(PROJECT_FILE).display(), .0.display())]
    NotThere(PathBuf),
    /// The project file cannot be read.
    #[error("cannot read {}: {source}", path.display())]
    Unreadable {
        /// Which file.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
}

/// Reads a project folder: `silkfall.toml`, the offers, winds, the field and every recording that a test names. What is wrong with any of
/// them is a finding, and the rest is still read.
///
/// # Errors
/// [`FolderError`] if there is no project file or it cannot be opened.
pub fn read_folder(dir: &Path) -> Result<Folder, FolderError> {
    let bytes = read_project_file(dir)?;
    match String::from_utf8(bytes) {
        Ok(text) => {
            let mut folder = read_text(dir, text);
            folder.read_logs(&|_| true);
            Ok(folder)
        }
        Err(error) => {
            let upto = error.utf8_error().valid_up_to();
            let before = String::from_utf8_lossy(&error.as_bytes()[..upto]).into_owned();
            let spot = Lines::new(&before).spot(upto);
            let mut notes = Notes::new(PROJECT_FILE);
            let message = "the project file is not UTF-8 text here";
            let hint = "save it as UTF-8; µ, ± and ° are the usual culprits".to_owned();
            notes.add(Code::ProjectSyntax, "", Some(spot), message, Some(hint));
            Ok(Folder { findings: notes.finish(), ..Folder::empty(dir) })
        }
    }
}

/// The bytes of a folder's project file, and one more than may be read of a longer one.
///
/// # Errors
/// [`FolderError`] if there is no project file or it cannot be opened.
pub fn read_project_file(dir: &Path) -> Result<Vec<u8>, FolderError> {
    let path = dir.join(PROJECT_FILE);
    match read_at_most(&path, LONGEST_TEXT as u64 + 1) {
        Ok(bytes) => Ok(bytes),
        Err(source) if source.kind() == std::io::ErrorKind::NotFound => {
            Err(FolderError::NotThere(dir.to_owned()))
        }
        Err(source) => Err(FolderError::Unreadable { path, source }),
    }
}

/// What a text in the place of the folder's project file says: with its offers, winds and field, and no recording yet.
pub fn read_text(dir: &Path, text: String) -> Folder {
    let mut folder = Folder { text, ..Folder::empty(dir) };
    let mut notes = Notes::new(PROJECT_FILE);
    let mut offer_findings = Vec::new();
    let mut parsed = parse_with(&folder.text, |file| {
        let file = file?;
        let bytes = named_file(dir, file, "offers", offers::LARGEST_FILE as u64, &mut notes)?;
        let (offers, findings) = offers::read(&file.value, &bytes);
        offer_findings = findings;
        Some(offers)
    });
    folder.findings = parsed.findings;
    folder.findings.extend(offer_findings);
    if let Some(project) = &mut parsed.project
        && let Known::Given(file) = &project.winds_file
        && let Some(bytes) = named_file(dir, file, "winds", offers::LARGEST_FILE as u64, &mut notes)
    {
        let (read, findings) = winds::read(&file.value, &bytes);
        project.winds = read;
        folder.findings.extend(findings);
    }
    if let Some(project) = &mut parsed.project
        && let Known::Given(file) = &project.field_file
        && let Some(bytes) = named_file(dir, file, "field", field::LARGEST_FILE as u64, &mut notes)
    {
        let (read, findings) = field::read_field(&bytes, &file.value);
        project.field = Some(read);
        folder.findings.extend(findings);
    }
    folder.project = parsed.project;
    folder.findings.extend(notes.finish());
    folder
}

impl Folder {
    fn empty(dir: &Path) -> Self {
        Folder {
            dir: dir.to_owned(),
            text: String::new(),
            project: None,
            findings: Vec::new(),
            logs: BTreeMap::new(),
        }
    }

    /// Reads the recordings that tests name, as far as they are wanted; one that cannot be read is a finding.
    pub fn read_logs(&mut self, wanted: &dyn Fn(&str) -> bool) {
        let mut notes = Notes::new(PROJECT_FILE);
        for test in self.project.iter().flat_map(|project| &project.tests) {
            let Evidence::Logs { logs, .. } = &test.evidence else { continue };
            let key = format!("test.{}.logs", crate::walk::key_text(&test.name.value));
            for log in logs {
                if self.logs.contains_key(&log.value) || !wanted(&log.value) {
                    continue;
                }
                if let Some(bytes) = named_file(&self.dir, log, &key, LARGEST_LOG, &mut notes) {
                    self.logs.insert(log.value.clone(), bytes);
                }
            }
        }
        self.findings.extend(notes.finish());
    }
}

/// The bytes of a file that the project names; what is wrong is noted where it names it.
fn named_file(dir: &Path, named: &Said<String>, key: &str, limit: u64, notes: &mut Notes) -> Option<Vec<u8>> {
    let mut refuse = |message: String, hint: Option<String>| {
        notes.add(Code::ProjectFile, key, Some(named.spot), message, hint);
    };
    let inside = match inside(&named.value) {
        Ok(inside) => inside,
        Err(problem) => {
            refuse(format!("{} {problem}", quoted(&named.value)), None);
            return None;
        }
    };
    let path = dir.join(&inside);
    // A link may lead out although the name does not.
    let leaves = match (dir.canonicalize(), path.canonicalize()) {
        (Ok(dir), Ok(path)) => !path.starts_with(dir),
        _ => false,
    };
    if leaves {
        refuse(format!("{} is a link that leaves the project folder", quoted(&inside)), None);
        return None;
    }
    match read_at_most(&path, limit + 1) {
        Ok(bytes) if bytes.len() as u64 > limit => {
            refuse(format!("{} is larger than {limit} bytes", path.display()), None);
            None
        }
        Ok(bytes) => Some(bytes),
        Err(error) => {
            let hint = near_file(&path).map(|near| format!("did you mean `{near}`?"));
            refuse(format!("cannot read {}: {error}", path.display()), hint);
            None
        }
    }
}

/// A file beside a missing one with a name much like it.
fn near_file(path: &Path) -> Option<String> {
    let wanted = path.file_name()?.to_str()?;
    let mut names: Vec<String> = std::fs::read_dir(path.parent()?)
        .ok()?
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .collect();
    names.sort();
    crate::notes::near(wanted, names.iter().map(String::as_str)).map(str::to_owned)
}

/// Up to `limit` bytes of a file; a folder or a device is an error.
fn read_at_most(path: &Path, limit: u64) -> std::io::Result<Vec<u8>> {
    let meta = std::fs::metadata(path)?;
    if !meta.is_file() {
        return Err(std::io::Error::other("it is not a file"));
    }
    let mut bytes = Vec::with_capacity(meta.len().min(limit) as usize);
    std::fs::File::open(path)?.take(limit).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// A path from the project folder, with `/`, that stays inside it.
///
/// # Errors
/// What is wrong with it, to stand after the path in a message.
pub fn inside(path: &str) -> Result<String, &'static str> {
    let path = path.trim();
    if path.contains('\\') {
        return Err("has a backslash; parts of a path are separated by / here");
    }
    if path.starts_with('/') || path.contains(':') {
        return Err("does not start at the project folder");
    }
    let parts: Vec<&str> = path.split('/').filter(|part| !part.is_empty() && *part != ".").collect();
    if parts.contains(&"..") {
        return Err("leaves the project folder");
    }
    if parts.is_empty() {
        return Err("names no file");
    }
    Ok(parts.join("/"))
}

/// The finding of a folder that is no project, for faces that list findings.
impl From<&FolderError> for Finding {
    fn from(error: &FolderError) -> Finding {
        let path = match error {
            FolderError::NotThere(dir) => dir.join(PROJECT_FILE),
            FolderError::Unreadable { path, .. } => path.clone(),
        };
        let finding = Finding::new(Code::ProjectFile, Subject::Whole, error.to_string());
        finding.at(path.display().to_string(), None, None)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_stay_inside() {
        assert_eq!(inside("logs/one.csv").unwrap(), "logs/one.csv");
        assert_eq!(inside("./logs//one.csv").unwrap(), "logs/one.csv");
        for path in
            ["/etc/passwd", "../one.csv", "logs/../../one.csv", "C:/one.csv", "logs\\one.csv", "", "."]
        {
            assert!(inside(path).is_err(), "{path}");
        }
    }
}
