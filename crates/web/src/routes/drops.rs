//! Looking at drops: figures at a zoom, values at a place, tiles of recordings.

use std::sync::Arc;

use axum::extract::{Query, State};
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use maud::html;
use serde::Deserialize;
use silkfall_core::quantity::Kind;
use silkfall_report::document::Shown;
use silkfall_report::drop_figures;
use silkfall_report::figures::Drawing;
use silkfall_report::show;

use crate::drops::{self, Look, Of, Span, tiles};
use crate::worker::View;
use crate::{App, page};

/// Of which test, how much of it, and what to look at next.
#[derive(Debug, Deserialize)]
pub(super) struct Seen {
    test: String,
    log: Option<String>,
    drop: Option<String>,
    from: Option<f64>,
    to: Option<f64>,
    look: Option<String>,
    #[serde(default)]
    share: f64,
}

impl Seen {
    fn span(&self) -> Option<(f64, f64)> {
        self.from.zip(self.to).filter(|(from, to)| from.is_finite() && to.is_finite() && from < to)
    }

    fn look(&self) -> Option<Look> {
        Look::read(self.look.as_deref()?, self.share)
    }
}

fn none() -> Response {
    (StatusCode::NOT_FOUND, page::refusal("There is no such test or recording.")).into_response()
}

async fn view(app: &State<App>) -> Result<Arc<View>, Response> {
    super::sheet::view(app).await
}

fn of<'v>(view: &'v View, test: &str, app: &App) -> Option<Of<'v>> {
    let (part, test) = drops::test_of(&view.sheet, test)?;
    Some(Of {
        part,
        test,
        recordings: &view.loaded.recordings,
        system: view.system,
        may_write: app.may_write,
    })
}

/// All drops of a test from release, at a zoom.
pub(super) async fn overlay(app: State<App>, Query(seen): Query<Seen>) -> Result<Html<String>, Response> {
    let view = view(&app).await?;
    let span = seen.span().map(|(from_s, to_s)| Span { from_s, to_s });
    of(&view, &seen.test, &app)
        .and_then(|of| drops::overlay(&of, span, seen.look()))
        .map(|set| Html(set.into_string()))
        .ok_or_else(none)
}

/// A recording, at a zoom or about a drop.
pub(super) async fn ribbon(app: State<App>, Query(seen): Query<Seen>) -> Result<Html<String>, Response> {
    let view = view(&app).await?;
    let log = seen.log.as_deref().unwrap_or_default();
    let span = seen.span().unwrap_or((0.0, 1.0));
    let span = seen.look().map_or(span, |look| look.of(span, (0.0, 1.0), 0.0));
    of(&view, &seen.test, &app)
        .and_then(|of| drops::ribbon(&of, log, span, seen.drop.as_deref()))
        .map(|set| Html(set.into_string()))
        .ok_or_else(none)
}

/// What stands at a place of an overlay, in words.
pub(super) async fn values(app: State<App>, Query(seen): Query<Seen>) -> Result<Html<String>, Response> {
    let view = view(&app).await?;
    let of = of(&view, &seen.test, &app).ok_or_else(none)?;
    let figure = drop_figures(of.part, of.test).overlay.ok_or_else(none)?;
    let Drawing::Overlay(mut overlay) = figure.drawing else { return Err(none()) };
    overlay.span_s = seen.span().map(|(from_s, to_s)| Span { from_s, to_s }.within(&overlay));
    let read = overlay.read_off(seen.share);
    let words = |si: f64, doubt: f64, kind| show::number(&Shown::new("", si, doubt, kind), view.system, None);
    // To a hundredth of a second and of a metre, which is what a drawing of this size can be read to.
    let set = html! {
        span.values {
            span.time { (words(read.time_s, 0.03, Kind::Time)) " after release" }
            @for (letter, height_m, rest) in &read.drops {
                span.value data-drop=(letter) {
                    strong { (letter) } " " (words(*height_m, 0.03, Kind::Length))
                    @if let Some(rest) = rest {
                        span.quiet { ", " (words(rest.abs(), 0.003, Kind::Length)) @if *rest < 0.0 { " below" } @else { " above" } }
                    }
                }
            }
        }
    };
    Ok(Html(set.into_string()))
}

/// Which tile.
#[derive(Debug, Deserialize)]
pub(super) struct TileOf {
    log: String,
    level: u32,
    at: u64,
}

/// A tile of a recording's extremes.
pub(super) async fn tile(app: State<App>, Query(wanted): Query<TileOf>) -> Result<Response, Response> {
    let view = view(&app).await?;
    let recording = drops::samples_of(&view.loaded.recordings, &wanted.log).ok_or_else(none)?.clone();
    let shared = app.0.clone();
    let bytes = tokio::task::spawn_blocking(move || {
        let pyramid = shared.pyramids.of(&recording);
        tiles::tile(&pyramid, wanted.level, wanted.at)
    });
    let bytes = bytes.await.map_err(|_| none())?;
    Ok(([(header::CONTENT_TYPE, "application/octet-stream")], bytes).into_response())
}
