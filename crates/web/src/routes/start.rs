//! Where nothing is open yet: the demo, a new project, a folder that is there.

use std::path::{Path, PathBuf};

use axum::body::Bytes;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use serde::Deserialize;
use silkfall_core::quantity::System;
use silkfall_folder::demo;
use silkfall_folder::fresh::{self, First};
use silkfall_project::import;
use silkfall_project::words::Units;

use super::sheet::ended;
use crate::drops::bring::{self, Meant};
use crate::{App, page};

/// What to begin with.
#[derive(Debug, Deserialize)]
struct Wanted {
    with: String,
    folder: String,
}

/// The page where nothing is open, with the recordings that wait; `problem` says why the last try did not lead anywhere.
pub(super) async fn offer(app: &App, problem: Option<&str>) -> Result<Html<String>, Response> {
    let (waiting, system) = (app.waiting.all(), app.manner.system.unwrap_or_default());
    let set = tokio::task::spawn_blocking(move || {
        let set =
            waiting.iter().map(|(number, one)| bring::preview(*number, one, Meant::ToBeginWith, system));
        set.collect::<Vec<_>>()
    });
    let set = set.await.map_err(|_| ended())?;
    Ok(page::start(&app.here.display().to_string(), problem, &set, app.may_write))
}

pub(super) async fn start(app: State<App>, body: Bytes) -> Result<Response, Response> {
    let shared = app.clone();
    let begun = tokio::task::spawn_blocking(move || begin(&shared, &body)).await.map_err(|_| ended())?;
    match begun {
        Ok(()) => Ok(Redirect::to("/").into_response()),
        Err(says) => Ok((StatusCode::UNPROCESSABLE_ENTITY, offer(&app, Some(&says)).await?).into_response()),
    }
}

fn begin(app: &App, body: &Bytes) -> Result<(), String> {
    let wanted: Wanted = serde_urlencoded::from_bytes(body).map_err(|error| error.to_string())?;
    let folder = folder(app, &wanted.folder)?;
    match wanted.with.as_str() {
        "demo" => demo::write(&folder).map_err(|error| error.to_string())?,
        "new" => new(app, &folder)?,
        "open" => {}
        other => return Err(format!("`{other}` is nothing to begin with")),
    }
    app.open(&folder).map_err(|error| error.to_string())
}

/// A new project from the recordings that wait.
fn new(app: &App, folder: &Path) -> Result<(), String> {
    let waiting = app.waiting.all();
    let mut firsts: Vec<First> = Vec::new();
    for (_, brought) in &waiting {
        let name = &brought.name;
        let reading = bring::reading(&brought.fields).map_err(|problem| format!("{name}: {problem}"))?;
        let read = silkfall_intake::read(name, &brought.bytes, &reading).map_err(|_| {
            format!("{name} gives no recording as it was understood: correct it below, or leave it out")
        })?;
        let is_taken = |log: &str| firsts.iter().any(|other| other.log == log) || folder.join(log).exists();
        firsts.push(First {
            bytes: brought.bytes.to_vec(),
            log: import::log_name(name, &is_taken),
            test: brought.test(),
            reading: read.understood.repeat_options(),
        });
    }
    let units = match app.manner.system {
        Some(System::Us) => Units::Us,
        Some(System::Si) | None => Units::Si,
    };
    fresh::write(folder, units, &firsts).map_err(|error| error.to_string())?;
    waiting.iter().for_each(|(number, _)| app.waiting.leave(*number));
    Ok(())
}

/// A folder below the one that the program was started in: the page opens no other.
fn folder(app: &App, named: &str) -> Result<PathBuf, String> {
    let inside = silkfall_project::files::inside(named).map_err(|problem| format!("`{named}` {problem}"))?;
    let folder = app.here.join(inside);
    let here = app.here.canonicalize().map_err(|error| format!("{}: {error}", app.here.display()))?;
    // A link may lead out although the name does not.
    match folder.canonicalize() {
        Ok(real) if !real.starts_with(&here) => Err(format!("`{named}` is a link that leaves this folder")),
        _ => Ok(folder),
    }
}
