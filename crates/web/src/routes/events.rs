//! What the page is told without asking: server-sent events.

use std::convert::Infallible;
use std::time::Duration;

use axum::extract::State;
use axum::response::sse::{Event as Sent, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use futures_util::stream;
use tokio::sync::broadcast::error::RecvError;

use super::desk;
use crate::App;
use crate::worker::Event;

/// A line now and then, so that a closed window is noticed.
const KEEP_ALIVE: Duration = Duration::from_secs(15);

pub(super) async fn events(app: State<App>) -> Result<Response, Response> {
    let desk = desk(&app).map_err(IntoResponse::into_response)?;
    let listening = desk.worker.listen();
    let events = stream::unfold(listening, |mut listening| async move {
        loop {
            match listening.recv().await {
                Ok(event) => return Some((Ok::<Sent, Infallible>(sent(&event)), listening)),
                // What was missed is in the next state.
                Err(RecvError::Lagged(_)) => {}
                Err(RecvError::Closed) => return None,
            }
        }
    });
    Ok(Sse::new(events).keep_alive(KeepAlive::new().interval(KEEP_ALIVE)).into_response())
}

fn sent(event: &Event) -> Sent {
    match event {
        Event::Shown(revision) => Sent::default().event("shown").data(revision.to_string()),
        Event::Desk(state) => Sent::default().event("desk").data(state),
        Event::Progress(stage, share) => {
            let percent = (share.clamp(0.0, 1.0) * 100.0).round();
            // What is only begun, or not counted, has no share yet.
            let of = if percent > 0.0 { format!(" {percent} %") } else { String::new() };
            Sent::default().event("progress").data(format!("{stage}{of}"))
        }
        Event::Rests => Sent::default().event("rests").data("rests"),
    }
}
