//! The text being worked on: as it was read, as it is now, and every text between.
//!
//! A text is never lost: what an edit, an undo, a reading from disk or a choice between two texts replaces goes to one of the
//! two stacks. Nothing reaches the file but by [`Session::saved`], after the caller has saved it.

use silkfall_project::edit::{DropSaid, Edit, EditError, apply};

/// How many texts can be gone back to.
const MOST_STEPS: usize = 500;

/// One text with the edits that stand between it and the text as read; `None` where no list of edits leads there, as
/// from a save back to what was before it.
#[derive(Clone, Debug, PartialEq)]
struct Step {
    text: String,
    edits: Option<Vec<Edit>>,
}

impl Step {
    fn as_read(text: String) -> Self {
        Step { text, edits: Some(Vec::new()) }
    }
}

/// Who makes a change, and in which gesture: a slider that is dragged is one step back, not a hundred.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct By {
    /// The window, by a name it gave itself.
    pub window: String,
    /// The gesture within the window; `None` for a change by itself.
    pub gesture: Option<u64>,
}

/// The text being worked on.
#[derive(Clone, Debug)]
pub struct Session {
    read: String,
    now: Step,
    undo: Vec<Step>,
    redo: Vec<Step>,
    sequence: u64,
    /// Who made which sequence number, the latest last.
    made: Vec<(u64, String)>,
    last: Option<By>,
    outside: Option<String>,
}

/// Why an edit was not made.
#[derive(Debug, thiserror::Error)]
pub enum Refused {
    /// Another window changed the text since this one saw it.
    #[error("another window changed the project meanwhile")]
    Stale,
    /// It cannot be made.
    #[error(transparent)]
    Edit(#[from] EditError),
}

/// Which of two texts to go on with, after the file was changed elsewhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keep {
    /// The file's; the page's can be gone back to.
    File,
    /// The page's edits, made anew on the file's text.
    Both,
    /// The page's as it stands; the file's can be gone back to, and saving replaces it.
    Page,
}

impl Session {
    /// Of a text as read.
    pub fn new(read: String) -> Self {
        Session {
            now: Step::as_read(read.clone()),
            read,
            undo: Vec::new(),
            redo: Vec::new(),
            sequence: 1,
            made: Vec::new(),
            last: None,
            outside: None,
        }
    }

    /// The text now.
    pub fn text(&self) -> &str {
        &self.now.text
    }

    /// The text of the file as last read or saved.
    pub fn read(&self) -> &str {
        &self.read
    }

    /// The text of the file where it was changed elsewhere and that is not settled yet.
    pub fn outside(&self) -> Option<&str> {
        self.outside.as_deref()
    }

    /// Counts every change of the text.
    pub fn sequence(&self) -> u64 {
        self.sequence
    }

    /// Whether there is something to save.
    pub fn is_edited(&self) -> bool {
        self.now.text != self.read
    }

    /// All that the controls of the page depend on, in a word: another word, other controls.
    pub fn state(&self) -> String {
        let outside = self.outside.as_ref().map_or(0, String::len);
        format!("{} {} {outside} {} {}", self.sequence, self.is_edited(), self.undo.len(), self.redo.len())
    }

    /// Whether the edits can be made anew on another text.
    pub fn can_be_joined(&self) -> bool {
        self.now.edits.is_some()
    }

    /// Whether one can go back, and forward again.
    pub fn can_go(&self) -> (bool, bool) {
        (!self.undo.is_empty(), !self.redo.is_empty())
    }

    /// Makes edits, all or none.
    ///
    /// # Errors
    /// [`Refused::Stale`] if a window other than this one changed the text after `base`; [`Refused::Edit`] for the
    /// first that cannot be made.
    pub fn edit(&mut self, base: u64, by: &By, edits: &[Edit]) -> Result<(), Refused> {
        let is_other = |(sequence, window): &(u64, String)| *sequence > base && *window != by.window;
        if self.made.iter().any(is_other) {
            return Err(Refused::Stale);
        }
        let text = apply(&self.now.text, edits)?;
        if text == self.now.text {
            return Ok(());
        }
        let mut all = self.now.edits.clone();
        for edit in edits {
            let Some(all) = &mut all else { break };
            // A value that is set again needs no memory of what it was set to before.
            if let Edit::Set { path, .. } = edit {
                all.retain(|old| !matches!(old, Edit::Set { path: before, .. } if before == path));
            }
            // Nor does a stretch that is set again while it is dragged.
            if let Edit::Drop { said: DropSaid::Window { .. }, .. } = edit
                && let Some(Edit::Drop { said: DropSaid::Window { .. }, .. }) = all.last()
                && by.gesture.is_some()
                && self.last.as_ref() == Some(by)
            {
                all.pop();
            }
            all.push(edit.clone());
        }
        let continues = by.gesture.is_some() && self.last.as_ref() == Some(by) && !self.undo.is_empty();
        let step = Step { text, edits: all };
        if continues {
            self.now = step;
            self.redo.clear();
            self.count(&by.window);
        } else {
            self.go(step, &by.window);
        }
        self.last = Some(by.clone());
        Ok(())
    }

    /// Goes one text back; `false` where there is none.
    pub fn undo(&mut self, window: &str) -> bool {
        let Some(before) = self.undo.pop() else { return false };
        self.redo.push(std::mem::replace(&mut self.now, before));
        self.count(window);
        true
    }

    /// Goes one text forward again; `false` where there is none.
    pub fn redo(&mut self, window: &str) -> bool {
        let Some(after) = self.redo.pop() else { return false };
        self.undo.push(std::mem::replace(&mut self.now, after));
        self.count(window);
        true
    }

    /// Goes on with the text as read; what was edited can be gone back to. `false` where nothing was.
    pub fn discard(&mut self, window: &str) -> bool {
        let edited = self.is_edited();
        if edited {
            let step = Step::as_read(self.read.clone());
            self.go(step, window);
        }
        edited
    }

    /// The text now is what the file holds.
    pub fn saved(&mut self) {
        self.read = self.now.text.clone();
        self.outside = None;
        self.last = None;
        for step in self.undo.iter_mut().chain(&mut self.redo) {
            step.edits = None;
        }
        self.now.edits = Some(Vec::new());
    }

    /// The file holds this text now. Without edits it is gone on with; with edits both wait for a choice. Whether
    /// anything changed.
    pub fn found(&mut self, text: &str) -> bool {
        if text == self.read {
            return self.outside.take().is_some();
        }
        if text == self.now.text {
            self.saved();
            return true;
        }
        if self.is_edited() {
            let is_new = self.outside.as_deref() != Some(text);
            self.outside = Some(text.to_owned());
            return is_new;
        }
        self.read = text.to_owned();
        self.go(Step::as_read(text.to_owned()), ELSEWHERE);
        true
    }

    /// Settles which text to go on with.
    ///
    /// # Errors
    /// Where the edits cannot be made on the file's text; nothing is settled then.
    pub fn settle(&mut self, keep: Keep, window: &str) -> Result<(), EditError> {
        let Some(file) = self.outside.clone() else { return Ok(()) };
        let edits = self.now.edits.clone();
        let mine = self.now.clone();
        match keep {
            Keep::File => {
                self.read = file.clone();
                self.go(Step::as_read(file), window);
            }
            Keep::Both => {
                let text = apply(&file, edits.as_deref().unwrap_or_default())?;
                self.read = file.clone();
                self.go(Step::as_read(file), window);
                self.go(Step { text, edits }, window);
            }
            Keep::Page => {
                self.read = file.clone();
                self.go(Step::as_read(file), window);
                self.go(mine, window);
            }
        }
        self.outside = None;
        Ok(())
    }

    fn go(&mut self, step: Step, window: &str) {
        self.undo.push(std::mem::replace(&mut self.now, step));
        if self.undo.len() > MOST_STEPS {
            self.undo.remove(0);
        }
        self.redo.clear();
        self.count(window);
    }

    fn count(&mut self, window: &str) {
        self.last = None;
        self.sequence += 1;
        self.made.push((self.sequence, window.to_owned()));
        if self.made.len() > MOST_STEPS {
            self.made.remove(0);
        }
    }
}

/// No window calls itself so.
const ELSEWHERE: &str = "\u{0}";

#[cfg(test)]
mod tests {
    use super::*;
    use silkfall_project::edit::NewValue;

    const TEXT: &str = "format = 1 # ours\nname = \"a\"\n[site]\nplace = \"here\" # by the pond\n";

    fn set(path: &str, value: &str) -> Edit {
        Edit::Set { path: path.into(), value: NewValue::Text(value.into()) }
    }

    fn by(window: &str) -> By {
        By { window: window.into(), gesture: None }
    }

    #[test]
    fn an_undone_text_is_the_one_before_to_the_letter_and_comes_again() {
        let mut session = Session::new(TEXT.to_owned());
        session.edit(1, &by("w"), &[set("name", "b")]).unwrap();
        let after = session.text().to_owned();
        assert!(session.is_edited() && after == TEXT.replace("\"a\"", "\"b\""));
        assert!(session.undo("w") && session.text() == TEXT && !session.is_edited());
        assert!(!session.undo("w"));
        assert!(session.redo("w") && session.text() == after);
        assert!(!session.redo("w"));
    }

    #[test]
    fn a_drag_is_one_step() {
        let mut session = Session::new(TEXT.to_owned());
        let drag = By { window: "w".into(), gesture: Some(7) };
        for name in ["b", "c", "d"] {
            session.edit(1, &drag, &[set("name", name)]).unwrap();
        }
        assert!(session.text().contains("\"d\"") && session.can_be_joined());
        assert!(session.undo("w") && session.text() == TEXT);
    }

    #[test]
    fn the_later_of_two_windows_is_told() {
        let mut session = Session::new(TEXT.to_owned());
        session.edit(1, &by("one"), &[set("name", "b")]).unwrap();
        let late = session.edit(1, &by("two"), &[set("name", "c")]);
        assert!(matches!(late, Err(Refused::Stale)));
        session.edit(2, &by("two"), &[set("name", "c")]).unwrap();
        assert!(session.undo("two") && session.text().contains("\"b\""));
    }

    #[test]
    fn a_file_changed_elsewhere_is_taken_or_both_are_kept() {
        let changed = TEXT.replace("by the pond", "by the mill").replace("here", "there");
        let mut session = Session::new(TEXT.to_owned());
        assert!(session.found(&changed) && session.text() == changed && session.outside().is_none());
        for keep in [Keep::File, Keep::Both, Keep::Page] {
            let mut session = Session::new(TEXT.to_owned());
            session.edit(1, &by("w"), &[set("name", "b")]).unwrap();
            let mine = session.text().to_owned();
            assert!(session.found(&changed) && session.outside() == Some(changed.as_str()));
            assert_eq!(session.text(), mine, "nothing is lost before it is settled");
            session.settle(keep, "w").unwrap();
            let both = changed.replace("\"a\"", "\"b\"");
            let now = match keep {
                Keep::File => &changed,
                Keep::Both => &both,
                Keep::Page => &mine,
            };
            assert_eq!(session.text(), now);
            assert_eq!(session.read(), changed);
            let mut seen = vec![session.text().to_owned()];
            while session.undo("w") {
                seen.push(session.text().to_owned());
            }
            for text in [TEXT, &mine, &changed] {
                assert!(seen.iter().any(|old| old == text), "{keep:?} can go back to each text");
            }
        }
    }
}
