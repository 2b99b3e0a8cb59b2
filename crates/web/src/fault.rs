//! What is shown where the program itself fails on a text: the text with its fields, and that no answer is given. The page goes on,
//! so that what was typed can be undone, mended and saved.

use std::any::Any;

use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_folder::Loading;
use silkfall_sheet::Loaded;

/// A text that the program failed on, as one from which nothing could be read.
pub(crate) fn unworkable(text: &str, failed: &(dyn Any + Send)) -> Loading {
    let words = failed.downcast_ref::<String>().map(String::as_str);
    let words = words.or(failed.downcast_ref::<&str>().copied()).unwrap_or("it does not say of what");
    let message = format!("the program failed on this project: {words}");
    let findings = vec![Finding::new(Code::ProgramFault, Subject::Key("project".to_owned()), message)];
    Loading { loaded: Loaded { findings, ..Loaded::default() }, is_readable: false, text: text.to_owned() }
}
