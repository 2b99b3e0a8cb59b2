//! Files changed elsewhere: looked at a few times a second, which needs nothing of the system and misses no way of
//! writing a file.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Weak;
use std::time::{Duration, SystemTime};

use silkfall_project::PROJECT_FILE;

use crate::desk::Desk;

/// How often it looks.
const EVERY: Duration = Duration::from_millis(200);

/// Length and time of each file; `None` for one that is not there.
type Stamps = BTreeMap<PathBuf, Option<(u64, Option<SystemTime>)>>;

/// Looks until the desk is gone.
pub(crate) fn watch(desk: &Weak<Desk>) -> std::io::Result<()> {
    let desk = Weak::clone(desk);
    std::thread::Builder::new().name("watch".to_owned()).spawn(move || {
        let mut before = Stamps::new();
        loop {
            std::thread::sleep(EVERY);
            let Some(desk) = desk.upgrade() else { return };
            let now = stamps(desk.dir(), desk.files());
            let changed = |path: &PathBuf| before.get(path).is_some_and(|old| now.get(path) != Some(old));
            let project = desk.dir().join(PROJECT_FILE);
            // A file seen for the first time is as it was read a moment ago, but the project file: that one is compared.
            if before.is_empty() || changed(&project) {
                desk.look();
            }
            if now.keys().any(|path| *path != project && changed(path)) {
                desk.work_again();
            }
            before = now;
        }
    })?;
    Ok(())
}

fn stamps(dir: &Path, files: Vec<PathBuf>) -> Stamps {
    let stamp = |path: &PathBuf| {
        let about = std::fs::metadata(path).ok()?;
        Some((about.len(), about.modified().ok()))
    };
    files
        .into_iter()
        .chain([dir.join(PROJECT_FILE)])
        .map(|path| {
            let stamp = stamp(&path);
            (path, stamp)
        })
        .collect()
}
