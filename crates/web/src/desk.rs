//! A folder being worked on: its text, the thread that works it, and the file on disk.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard};

use silkfall_project::edit::{Edit, EditError};
use silkfall_project::save::{self, SaveError};
use silkfall_project::{FolderError, PROJECT_FILE};

use crate::session::{By, Keep, Refused, Session};
use crate::watcher;
use crate::worker::{Event, Manner, Task, Worker};

/// A folder being worked on.
#[derive(Debug)]
pub(crate) struct Desk {
    /// Its number among those that were opened, so that a window of another is told from one of this.
    pub(crate) number: u64,
    dir: PathBuf,
    session: Mutex<Session>,
    pub(crate) worker: Worker,
}

/// Why a folder cannot be opened.
#[derive(Debug, thiserror::Error)]
pub(crate) enum OpenError {
    /// It is no project folder, or cannot be read.
    #[error(transparent)]
    Folder(#[from] FolderError),
    /// Its project file is not text.
    #[error("{} is not UTF-8 text; save it as UTF-8", .0.display())]
    NotText(PathBuf),
    /// No thread can be started.
    #[error("no thread can be started: {0}")]
    Thread(std::io::Error),
}

impl Desk {
    /// Opens a folder and begins to work it.
    ///
    /// # Errors
    /// Where there is no project in it.
    pub(crate) fn open(dir: &Path, number: u64, manner: Manner) -> Result<Arc<Self>, OpenError> {
        let text = read(dir)?;
        let worker = Worker::start(dir, manner).map_err(OpenError::Thread)?;
        let desk =
            Arc::new(Desk { number, dir: dir.to_owned(), session: Mutex::new(Session::new(text)), worker });
        desk.work_again();
        watcher::watch(&Arc::downgrade(&desk)).map_err(OpenError::Thread)?;
        Ok(desk)
    }

    /// The folder.
    pub(crate) fn dir(&self) -> &Path {
        &self.dir
    }

    /// The files beside the project file that what is shown rests on.
    pub(crate) fn files(&self) -> Vec<PathBuf> {
        self.worker.shown().map(|view| view.files.clone()).unwrap_or_default()
    }

    /// The text, for a look.
    pub(crate) fn session(&self) -> MutexGuard<'_, Session> {
        self.session.lock().expect("nobody panics while holding it")
    }

    /// Has the text as it stands worked.
    pub(crate) fn work_again(&self) {
        let session = self.session();
        self.give(&session);
    }

    /// The text goes to the worker while it is held, so that an older one cannot overtake it.
    fn give(&self, session: &Session) {
        let (text, read) = (session.text().to_owned(), session.read().to_owned());
        self.worker.give(Task { text, read, sequence: session.sequence() });
        self.worker.tell(Event::Desk(session.state()));
    }

    /// Makes edits; the sequence number of the text they lead to.
    ///
    /// # Errors
    /// As [`Session::edit`].
    pub(crate) fn edit(&self, base: u64, by: &By, edits: &[Edit]) -> Result<u64, Refused> {
        let mut session = self.session();
        let before = session.sequence();
        session.edit(base, by, edits)?;
        if session.sequence() != before {
            self.give(&session);
        }
        Ok(session.sequence())
    }

    /// Takes a step of the session, on behalf of a window; the sequence number of the text then.
    pub(crate) fn step(&self, step: fn(&mut Session, &str) -> bool, window: &str) -> u64 {
        let mut session = self.session();
        if step(&mut session, window) {
            self.give(&session);
        }
        session.sequence()
    }

    /// Settles which of two texts to go on with.
    ///
    /// # Errors
    /// As [`Session::settle`].
    pub(crate) fn settle(&self, keep: Keep, window: &str) -> Result<u64, EditError> {
        let mut session = self.session();
        session.settle(keep, window)?;
        self.give(&session);
        Ok(session.sequence())
    }

    /// Saves the text into the file, comments and order as they are in it.
    ///
    /// # Errors
    /// As [`save::save`]; where the file was changed elsewhere, both texts wait for a choice then.
    pub(crate) fn save(&self) -> Result<u64, SaveError> {
        let mut session = self.session();
        if session.is_edited() {
            let saved = save::save(&self.dir.join(PROJECT_FILE), session.read(), session.text());
            if let Err(error) = saved {
                if let (SaveError::ChangedElsewhere(_), Ok(text)) = (&error, read(&self.dir)) {
                    session.found(&text);
                    self.worker.tell(Event::Desk(session.state()));
                }
                return Err(error);
            }
            session.saved();
            self.give(&session);
        }
        Ok(session.sequence())
    }

    /// Looks whether the file is as it was read.
    pub(crate) fn look(&self) {
        // A file that is away for a moment, as while an editor saves, is looked at again when it is back.
        let Ok(text) = read(&self.dir) else { return };
        let mut session = self.session();
        if session.found(&text) {
            self.give(&session);
        }
    }
}

/// The text of the project file.
fn read(dir: &Path) -> Result<String, OpenError> {
    let path = dir.join(PROJECT_FILE);
    let bytes = silkfall_project::files::read_project_file(dir)?;
    String::from_utf8(bytes).map_err(|_| OpenError::NotText(path))
}
