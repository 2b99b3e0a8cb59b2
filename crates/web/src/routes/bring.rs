//! Bringing recordings and tables: one in, looked at as often as is asked, kept or left out.

use std::collections::BTreeMap;

use axum::body::Bytes;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use serde::Deserialize;
use silkfall_core::quantity::System;
use silkfall_project::edit::apply;
use silkfall_project::import;
use silkfall_project::parse;

use super::wire::Shows;
use super::{desk, sheet};
use crate::drops::bring::{self, Meant, Seen};
use crate::session::By;
use crate::{App, page};

/// What is brought is called so.
#[derive(Debug, Deserialize)]
pub(super) struct Named {
    name: String,
}

fn no(status: StatusCode, says: &str) -> Response {
    (status, page::refusal(says)).into_response()
}

fn system(app: &App) -> System {
    let view = app.desk().and_then(|desk| desk.worker.shown());
    view.map_or(app.manner.system.unwrap_or_default(), |view| view.system)
}

async fn looked_at(app: &App, number: u64, fields: BTreeMap<String, String>) -> Result<Response, Response> {
    let brought = app.waiting.say(number, fields);
    let brought =
        brought.ok_or_else(|| no(StatusCode::NOT_FOUND, "This recording does not wait any more."))?;
    let meant = if app.desk().is_some() { Meant::ToBeKept } else { Meant::ToBeginWith };
    let system = system(app);
    let set = tokio::task::spawn_blocking(move || bring::preview(number, &brought, meant, system));
    let set = set.await.map_err(|_| no(StatusCode::INTERNAL_SERVER_ERROR, "It could not be looked at."))?;
    Ok(Html(set.into_string()).into_response())
}

fn may_write(app: &App) -> Result<(), Response> {
    if app.may_write { Ok(()) } else { Err(no(StatusCode::FORBIDDEN, "This page is for reading only.")) }
}

/// One more; what was understood of it comes back.
pub(super) async fn bring(
    app: State<App>,
    Query(named): Query<Named>,
    body: Bytes,
) -> Result<Response, Response> {
    may_write(&app)?;
    let number = app.waiting.take(&named.name, body.to_vec());
    let number = number.map_err(|says| no(StatusCode::INSUFFICIENT_STORAGE, &says))?;
    looked_at(&app, number, BTreeMap::new()).await
}

/// The fields of the form about one.
fn fields(body: &Bytes) -> Result<(u64, BTreeMap<String, String>), Response> {
    let bad = |says: &str| no(StatusCode::BAD_REQUEST, says);
    let fields: BTreeMap<String, String> =
        serde_urlencoded::from_bytes(body).map_err(|error| bad(&error.to_string()))?;
    let number = fields.get("number").and_then(|number| number.parse().ok());
    Ok((number.ok_or_else(|| bad("which recording is meant is not said"))?, fields))
}

/// Looked at again, read as the fields say.
pub(super) async fn look(app: State<App>, body: Bytes) -> Result<Response, Response> {
    may_write(&app)?;
    let (number, fields) = fields(&body)?;
    looked_at(&app, number, fields).await
}

/// Not kept.
pub(super) async fn leave(app: State<App>, body: Bytes) -> Result<Response, Response> {
    may_write(&app)?;
    let (number, _) = fields(&body)?;
    app.waiting.leave(number);
    Ok(StatusCode::NO_CONTENT.into_response())
}

/// What is kept.
enum Held {
    /// A recording, read with these options.
    Recording(Vec<String>),
    /// A table.
    Table(import::Sort),
}

/// Kept: copied into the folder, and named by a test as `add` names it, or in its place by the project.
pub(super) async fn keep(app: State<App>, body: Bytes) -> Result<Response, Response> {
    may_write(&app)?;
    let (number, fields) = fields(&body)?;
    let desk = desk(&app).map_err(IntoResponse::into_response)?;
    let brought = app.waiting.say(number, fields.clone());
    let brought =
        brought.ok_or_else(|| no(StatusCode::NOT_FOUND, "This recording does not wait any more."))?;
    let wrong = |says: String| no(StatusCode::UNPROCESSABLE_ENTITY, &says);
    let one = brought.clone();
    let seen = tokio::task::spawn_blocking(move || bring::seen(&one, System::Si)).await;
    let seen = seen.map_err(|_| no(StatusCode::INTERNAL_SERVER_ERROR, "It could not be looked at."))?;
    let held = match seen.map_err(wrong)? {
        Seen::Recording(options, _) => Held::Recording(options),
        Seen::Table(found) if found.is_usable => Held::Table(found.sort),
        Seen::Table(_) | Seen::Nothing(_) => {
            return Err(wrong("nothing can be used of it as it was understood".to_owned()));
        }
    };
    let (text, base) = {
        let session = desk.session();
        (session.text().to_owned(), session.sequence())
    };
    let project = parse(&text, None).project;
    let project = project.ok_or_else(|| wrong("the project file cannot be read as it is now".to_owned()))?;
    let is_taken = |name: &str| desk.dir().join(name).exists();
    let (file, edits) = match &held {
        Held::Recording(options) => {
            let log = import::log_name(&brought.name, &is_taken);
            let edit = import::new_test(&project, &brought.test(), &log, options);
            (log, vec![edit.map_err(|error| wrong(error.to_string()))?])
        }
        Held::Table(sort) => {
            let table = import::table_name(&brought.name, &is_taken);
            let edits = import::name_table(&project, *sort, &table);
            (table, edits)
        }
    };
    // Only what can be named is copied.
    apply(&text, &edits).map_err(|error| wrong(error.to_string()))?;
    let keep = match held {
        Held::Recording(_) => import::keep,
        Held::Table(_) => import::keep_table,
    };
    keep(desk.dir(), &file, &brought.bytes).map_err(|error| wrong(error.to_string()))?;
    let by = By { window: fields.get("window").cloned().unwrap_or_default(), gesture: None };
    let sequence = desk.edit(base, &by, &edits).map_err(|error| wrong(error.to_string()))?;
    app.waiting.leave(number);
    let shows: Shows = serde_urlencoded::from_bytes(&body).map_err(|error| wrong(error.to_string()))?;
    Ok(sheet::changed(&app, &desk, sequence, &shows, None).await.into_response())
}
