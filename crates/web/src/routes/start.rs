//! Where nothing is open yet: the demo, a new project, a folder that is there.

use std::path::PathBuf;

use axum::body::Bytes;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use silkfall_folder::{demo, fresh};

use crate::{App, page};

/// What to begin with.
#[derive(Debug, Deserialize)]
struct Wanted {
    with: String,
    folder: String,
}

pub(super) async fn start(app: State<App>, body: Bytes) -> Response {
    match begin(&app, &body) {
        Ok(()) => Redirect::to("/").into_response(),
        Err(says) => {
            (StatusCode::UNPROCESSABLE_ENTITY, page::start(&app.here.display().to_string(), Some(&says)))
                .into_response()
        }
    }
}

fn begin(app: &App, body: &Bytes) -> Result<(), String> {
    let wanted: Wanted = serde_urlencoded::from_bytes(body).map_err(|error| error.to_string())?;
    let folder = folder(app, &wanted.folder)?;
    match wanted.with.as_str() {
        "demo" => demo::write(&folder).map_err(|error| error.to_string())?,
        "new" => fresh::write(&folder).map_err(|error| error.to_string())?,
        "open" => {}
        other => return Err(format!("`{other}` is nothing to begin with")),
    }
    app.open(&folder).map_err(|error| error.to_string())
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
