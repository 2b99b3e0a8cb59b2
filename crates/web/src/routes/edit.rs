//! Changing the text: by a script (JSON in, what changed out) or by a form alone (back to the page).

use std::collections::BTreeMap;

use axum::body::Bytes;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::de::DeserializeOwned;
use silkfall_project::edit::Edit;

use super::wire::{EditWire, Said, StepWire};
use super::{desk, sheet};
use crate::App;
use crate::desk::Desk;
use crate::page;
use crate::session::{By, Keep, Session};

/// Who changes by a form, without a script.
const FORM: &str = "form";

/// Where a script asks, its JSON; `None` where a form does.
fn asked<T: DeserializeOwned>(headers: &HeaderMap, body: &Bytes) -> Result<Option<T>, Response> {
    let kind = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok()).unwrap_or_default();
    if !kind.starts_with("application/json") {
        return Ok(None);
    }
    serde_json::from_slice(body).map(Some).map_err(|error| bad(&error.to_string()))
}

fn bad(says: &str) -> Response {
    (StatusCode::BAD_REQUEST, page::refusal(says)).into_response()
}

/// One form's fields.
fn form<T: DeserializeOwned>(body: &Bytes) -> Result<T, Response> {
    serde_urlencoded::from_bytes(body).map_err(|error| bad(&error.to_string()))
}

pub(super) async fn edit(app: State<App>, headers: HeaderMap, body: Bytes) -> Result<Response, Response> {
    let desk = desk(&app).map_err(IntoResponse::into_response)?;
    let (text, now) = {
        let session = desk.session();
        (session.text().to_owned(), session.sequence())
    };
    match asked::<EditWire>(&headers, &body)? {
        Some(wire) => {
            let mut edits = Vec::new();
            for said in wire.edits {
                edits.extend(meant(said, &desk, (&text, now)).await?);
            }
            let by = By { window: wire.window, gesture: wire.gesture };
            let (sequence, refused) = match desk.edit(wire.base, &by, &edits) {
                Ok(sequence) => (sequence, None),
                Err(error) => (desk.session().sequence(), Some(error.to_string())),
            };
            Ok(sheet::first(&app, &desk, (sequence, 0), &wire.shows, refused).await.into_response())
        }
        None => {
            let said: Said = form(&body)?;
            let edits = meant(said, &desk, (&text, now)).await?;
            let by = By { window: FORM.to_owned(), gesture: None };
            let base = desk.session().sequence();
            let sequence = desk.edit(base, &by, &edits).map_err(|error| bad(&error.to_string()))?;
            desk.worker.view_of(sequence).await;
            Ok(Redirect::to("/").into_response())
        }
    }
}

/// The edits that are meant, of the text of that sequence number. What is said of a drop is said of all that was said before
/// it: it waits until that is known of the drop's test. Nothing else waits for the sheet of the text, which it overtakes.
async fn meant(said: Said, desk: &Desk, (text, now): (&str, u64)) -> Result<Vec<Edit>, Response> {
    let known = match said.test() {
        Some(test) => Some(desk.worker.knows(now, test).await.ok_or_else(sheet::ended)?),
        None => None,
    };
    let view = desk.worker.shown();
    let winds = view.as_ref().and_then(|view| view.loaded.project.winds.as_ref());
    said.edits(text, known.as_ref(), winds).map_err(|says| bad(&says))
}

/// Takes a step that needs nothing typed: by a script what changed comes back, by a form the page.
async fn step(
    app: &State<App>,
    headers: &HeaderMap,
    body: &Bytes,
    take: impl FnOnce(&Desk, &str, Option<&str>) -> Result<u64, String>,
) -> Result<Response, Response> {
    let desk = desk(app).map_err(IntoResponse::into_response)?;
    match asked::<StepWire>(headers, body)? {
        Some(wire) => {
            let (sequence, refused) = match take(&desk, &wire.window, wire.keep.as_deref()) {
                Ok(sequence) => (sequence, None),
                Err(says) => (desk.session().sequence(), Some(says)),
            };
            Ok(sheet::first(app, &desk, (sequence, 0), &wire.shows, refused).await.into_response())
        }
        None => {
            let fields: BTreeMap<String, String> = form(body)?;
            let keep = fields.get("keep").map(String::as_str);
            // Where both texts wait for a choice, the page says so itself.
            let sequence = take(&desk, FORM, keep).unwrap_or_else(|_| desk.session().sequence());
            desk.worker.view_of(sequence).await;
            Ok(Redirect::to("/").into_response())
        }
    }
}

pub(super) async fn undo(app: State<App>, headers: HeaderMap, body: Bytes) -> Result<Response, Response> {
    step(&app, &headers, &body, |desk, window, _| Ok(desk.step(Session::undo, window))).await
}

pub(super) async fn redo(app: State<App>, headers: HeaderMap, body: Bytes) -> Result<Response, Response> {
    step(&app, &headers, &body, |desk, window, _| Ok(desk.step(Session::redo, window))).await
}

pub(super) async fn discard(app: State<App>, headers: HeaderMap, body: Bytes) -> Result<Response, Response> {
    step(&app, &headers, &body, |desk, window, _| Ok(desk.step(Session::discard, window))).await
}

pub(super) async fn save(app: State<App>, headers: HeaderMap, body: Bytes) -> Result<Response, Response> {
    step(&app, &headers, &body, |desk, _, _| desk.save().map_err(|error| error.to_string())).await
}

pub(super) async fn settle(app: State<App>, headers: HeaderMap, body: Bytes) -> Result<Response, Response> {
    step(&app, &headers, &body, |desk, window, keep| {
        let keep = match keep {
            Some("file") => Keep::File,
            Some("both") => Keep::Both,
            Some("page") => Keep::Page,
            _ => return Err("which text to keep is file, both or page".to_owned()),
        };
        desk.settle(keep, window).map_err(|error| error.to_string())
    })
    .await
}

/// Stops working at full effort until the next edit.
pub(super) async fn rest(app: State<App>, headers: HeaderMap, body: Bytes) -> Result<Response, Response> {
    step(&app, &headers, &body, |desk, _, _| {
        desk.worker.rest();
        Ok(desk.session().sequence())
    })
    .await
}
