//! The sheet: the page, what changed of it, its JSON, how a number came about, and what was saved beside it.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use silkfall_folder::Loader;
use silkfall_report::html::{HtmlOptions, Theme};
use silkfall_report::wire::sheet_json;
use silkfall_report::{html, plan_document};
use silkfall_sheet::{Effort, Memo, Sheet, Unwatched, work};

use super::desk;
use super::wire::{ChangedWire, FragmentWire, Shows};
use crate::App;
use crate::desk::Desk;
use crate::page::{self, Fragment, by_id, differs};
use crate::worker::{First, View};

/// The page, or where nothing is open what can be begun with.
pub(super) async fn page(app: State<App>) -> Response {
    let Some(desk) = app.desk() else {
        return super::start::offer(&app, None).await.into_response();
    };
    let sequence = desk.session().sequence();
    match desk.worker.view_of(sequence).await {
        Some(view) => {
            let controls = page::desk(&desk.session(), app.may_write);
            page::page(&view, (&controls, desk.number), app.may_write).into_response()
        }
        None => ended(),
    }
}

pub(super) fn ended() -> Response {
    (
        StatusCode::INTERNAL_SERVER_ERROR,
        page::refusal("The thread that works has ended; start the program again."),
    )
        .into_response()
}

/// What changed since a revision, once there is more to see of the text that is waited for.
pub(super) async fn state(app: State<App>, Query(shows): Query<Shows>) -> Result<Response, Redirect> {
    let desk = desk(&app)?;
    Ok(first(&app, &desk, (shows.sequence, shows.seen), &shows, None).await.into_response())
}

/// What is other than a window shows, once the text of that sequence number or a later one is worked.
pub(super) async fn changed(
    app: &State<App>,
    desk: &Desk,
    sequence: u64,
    shows: &Shows,
    refused: Option<String>,
) -> Result<Json<ChangedWire>, Response> {
    let Some(view) = desk.worker.view_of(sequence).await else { return Err(ended()) };
    let is_new_layout = view.laid_out > shows.revision;
    let glimpsed = match shows.sequence == view.sequence {
        true => desk.worker.glimpsed(view.sequence, shows.seen),
        false => Vec::new(),
    };
    let glimpsed = by_id(glimpsed.iter());
    let is_wanted = |fragment: &Fragment| match glimpsed.contains_key(fragment.id.as_str()) {
        true => differs(fragment, &glimpsed),
        false => {
            shows.glimpsed().any(|id| id == fragment.id)
                || view.changed.get(&fragment.id).is_some_and(|when| *when > shows.revision)
        }
    };
    let mut wanted = Vec::new();
    let parts = view.parts.iter().flat_map(|part| &part.fragments).filter(|_| !is_new_layout);
    let all = std::iter::once(&view.top).chain(parts).chain(view.block.iter().chain(&view.ways));
    all.for_each(|fragment| fragment.wanted(&is_wanted, &mut wanted));
    let told = Beside {
        revision: view.revision,
        seen: 0,
        is_refined: view.sheet.effort == Effort::Full,
        main: is_new_layout.then(|| page::main(&view.parts)),
        refused,
    };
    Ok(told.with(wanted, app, desk))
}

/// What changed first beyond so many glimpses: drops, cases or a landing, where they are there before the rest; the page is
/// told when that is shown.
pub(super) async fn first(
    app: &State<App>,
    desk: &Desk,
    (sequence, seen): (u64, usize),
    shows: &Shows,
    refused: Option<String>,
) -> Result<Json<ChangedWire>, Response> {
    match desk.worker.first_of(sequence, seen).await {
        // Over a page that is behind, all that changed is sent.
        Some(First::Glimpse(glimpse, view)) if view.revision == shows.revision => {
            let (now, old) =
                (by_id(glimpse.fragments.iter().map(|(_, fragment)| fragment)), by_id(view.fragments()));
            let fresh = glimpse.fragments.iter().filter(|(nth, _)| *nth > seen);
            let mut wanted: Vec<&Fragment> = fresh.map(|(_, fragment)| fragment).collect();
            // What a glimpse of another text showed is put back.
            let other =
                shows.glimpsed().filter(|id| shows.sequence != glimpse.sequence && !now.contains_key(id));
            wanted.extend(other.filter_map(|id| old.get(id)));
            let told =
                Beside { revision: view.revision, seen: glimpse.nth, is_refined: false, main: None, refused };
            Ok(told.with(wanted, app, desk))
        }
        _ => changed(app, desk, sequence, shows, refused).await,
    }
}

/// What is told beside the fragments.
struct Beside {
    revision: u64,
    seen: usize,
    is_refined: bool,
    main: Option<String>,
    refused: Option<String>,
}

impl Beside {
    fn with(self, fragments: Vec<&Fragment>, app: &State<App>, desk: &Desk) -> Json<ChangedWire> {
        let Beside { revision, seen, is_refined, main, refused } = self;
        let session = desk.session();
        let wire = |fragment: &Fragment| FragmentWire {
            id: fragment.id.clone(),
            html: fragment.html().into_owned(),
        };
        let mut fragments: Vec<FragmentWire> = fragments.into_iter().map(wire).collect();
        let controls = page::desk(&session, app.may_write).into_string();
        fragments.push(FragmentWire { id: "desk".to_owned(), html: controls });
        let sequence = session.sequence();
        Json(ChangedWire { sequence, revision, seen, is_refined, main, fragments, refused })
    }
}

pub(super) async fn view(app: &State<App>) -> Result<Arc<View>, Response> {
    let desk = desk(app).map_err(IntoResponse::into_response)?;
    desk.worker.view().await.ok_or_else(ended)
}

/// The sheet as `assess --json` gives it.
pub(super) async fn json(app: State<App>) -> Result<Response, Response> {
    Ok(Json(sheet_json(&view(&app).await?.sheet)).into_response())
}

/// How a number came about: a piece for the dialog where a script asks, a page otherwise.
pub(super) async fn how(
    app: State<App>,
    headers: HeaderMap,
    Path(id): Path<String>,
) -> Result<Response, Response> {
    let view = view(&app).await?;
    let Some(derivation) = page::derivation(&view.sheet, &id, view.system) else {
        let says = "No number of the sheet has this name, or nothing is told of how it came about.";
        return Err((StatusCode::NOT_FOUND, page::refusal(says)).into_response());
    };
    let by_script = headers.get(header::ACCEPT).is_some_and(|accept| accept == "text/x-piece");
    Ok(if by_script {
        Html(derivation.into_string()).into_response()
    } else {
        page::aside("How a number came about", &derivation).into_response()
    })
}

/// The sheet of the file beside the sheet as edited.
pub(super) async fn compare(app: State<App>) -> Result<Response, Response> {
    let desk = desk(&app).map_err(IntoResponse::into_response)?;
    let system = view(&app).await?.system;
    let (read, text, dir) = {
        let session = desk.session();
        (session.read().to_owned(), session.text().to_owned(), desk.dir().to_owned())
    };
    let worked = tokio::task::spawn_blocking(move || {
        let (mut loader, mut memo) = (Loader::new(&dir), Memo::default());
        let mut sheet = |text: &str| -> Option<Sheet> {
            work(&loader.read_with(text).loaded, Effort::Quick, &mut memo, &Unwatched).ok()
        };
        let (file, edited) = (sheet(&read)?, sheet(&text)?);
        Some(page::comparison((&read, &file), (&text, &edited), system))
    });
    match worked.await {
        Ok(Some(page)) => Ok(page.into_response()),
        _ => Err(ended()),
    }
}

/// What the plan may do: it is whole in itself, and speaks with nobody.
const OF_PLAN: &str = "sandbox allow-scripts allow-modals; default-src 'none'; style-src 'unsafe-inline'; \
                       script-src 'unsafe-inline'; img-src data:; font-src data:; frame-ancestors 'none'";

/// The plan of what is here, as the command writes it: to be printed or saved.
pub(super) async fn plan(app: State<App>) -> Result<Response, Response> {
    let desk = desk(&app).map_err(IntoResponse::into_response)?;
    let sequence = desk.session().sequence();
    let view = desk.worker.view_of(sequence).await.ok_or_else(ended)?;
    let dir = desk.dir().to_owned();
    let program = app.manner.program.clone();
    let worked = tokio::task::spawn_blocking(move || {
        let sheet = match view.sheet.effort {
            Effort::Full => Arc::clone(&view.sheet),
            Effort::Quick => Arc::new(work(&view.loaded, Effort::Full, &mut Memo::none(), &Unwatched).ok()?),
        };
        let document = plan_document(&sheet, &program, &dir.display().to_string());
        Some(html::render(&document, HtmlOptions { system: view.system, theme: Theme::Reader }))
    });
    let page = worked.await.ok().flatten().ok_or_else(ended)?;
    Ok(([(header::CONTENT_SECURITY_POLICY, OF_PLAN)], Html(page)).into_response())
}

/// The page's text and the file's, where the file was changed elsewhere.
pub(super) async fn texts(app: State<App>) -> Result<Response, Response> {
    let desk = desk(&app).map_err(IntoResponse::into_response)?;
    let session = desk.session();
    let file = session.outside().unwrap_or(session.read());
    Ok(page::texts(session.text(), file).into_response())
}
