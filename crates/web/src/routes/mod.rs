//! Addresses of the page, a file per subject.

mod assets;
mod bring;
mod drops;
mod edit;
mod events;
mod sheet;
mod start;
mod wire;

use std::time::Duration;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::StatusCode;
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};

use crate::desk::Desk;
use crate::drops::bring::LARGEST;
use crate::{App, guard, page};

/// What is typed is short; a body that is longer is refused while it comes.
const LARGEST_BODY: usize = 256 << 10;
/// An answer that takes longer is given up, and with it a body that never ends.
const LONGEST: Duration = Duration::from_secs(60);

/// All addresses, guarded.
pub(crate) fn router(app: App) -> Router {
    let timed = Router::new()
        .route("/", get(sheet::page))
        .route("/state", get(sheet::state))
        .route("/sheet.json", get(sheet::json))
        .route("/how/{*id}", get(sheet::how))
        .route("/compare", get(sheet::compare))
        .route("/plan", get(sheet::plan))
        .route("/texts", get(sheet::texts))
        .route("/edit", post(edit::edit))
        .route("/undo", post(edit::undo))
        .route("/redo", post(edit::redo))
        .route("/discard", post(edit::discard))
        .route("/save", post(edit::save))
        .route("/settle", post(edit::settle))
        .route("/rest", post(edit::rest))
        .route("/start", post(start::start))
        .route("/drops/overlay", get(drops::overlay))
        .route("/drops/ribbon", get(drops::ribbon))
        .route("/drops/values", get(drops::values))
        .route("/drops/tile", get(drops::tile))
        .route("/bring/look", post(bring::look))
        .route("/bring/keep", post(bring::keep))
        .route("/bring/leave", post(bring::leave))
        .merge(assets::router())
        .fallback(|| async { (StatusCode::NOT_FOUND, page::refusal("There is no such page.")) })
        .layer(DefaultBodyLimit::max(LARGEST_BODY))
        // A recording is larger than what is typed.
        .route("/bring", post(bring::bring).layer(DefaultBodyLimit::max(LARGEST)))
        .layer(middleware::from_fn_with_state(app.clone(), of_this_desk))
        .layer(middleware::from_fn(timed));
    Router::new()
        .route("/events", get(events::events))
        .merge(timed)
        .layer(middleware::from_fn_with_state(app.clone(), guard::guard))
        .with_state(app)
}

/// By this header a window says of which desk it is.
const OF_DESK: &str = "silkfall-desk";

/// Refuses a window of a folder that was open before: its edits are not meant for this one.
async fn of_this_desk(State(app): State<App>, request: Request, next: Next) -> Response {
    let said = request.headers().get(OF_DESK).map(|number| number.to_str().ok().and_then(|n| n.parse().ok()));
    let open = app.desk().map(|desk| desk.number);
    if said.is_some_and(|number: Option<u64>| number.is_none() || number != open) {
        let says = "Another folder is open now; load this page again to work on it.";
        return (StatusCode::CONFLICT, page::refusal(says)).into_response();
    }
    next.run(request).await
}

async fn timed(request: Request, next: Next) -> Response {
    match tokio::time::timeout(LONGEST, next.run(request)).await {
        Ok(response) => response,
        Err(_) => (StatusCode::REQUEST_TIMEOUT, page::refusal("This took too long.")).into_response(),
    }
}

/// What is open, or the way to where something can be opened.
fn desk(State(app): &State<App>) -> Result<std::sync::Arc<Desk>, Redirect> {
    app.desk().ok_or_else(|| Redirect::to("/"))
}
