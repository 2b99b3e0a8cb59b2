//! The page a builder works in, on the loopback address.
//!
//! ```text
//! browser ──edit──► Session (texts) ──► Worker (latest wins) ──► View (fragments) ──► browser
//!                       ▲ file on disk, looked at
//! ```
//!
//! Everything is set on the server; a script only sends what was typed and swaps what changed. No number is worked out
//! here or in a script: a fragment shows a sheet's numbers under the ids that its JSON has.

mod connections;
mod desk;
mod drops;
mod fault;
mod guard;
mod helpers;
mod lines;
mod page;
mod routes;
mod session;
mod tables;
mod watcher;
mod worker;

use std::future::Future;
use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use silkfall_core::quantity::System;

use desk::Desk;
use guard::{Guard, Reach};
use worker::Manner;

/// How to serve.
#[derive(Clone, Debug)]
pub struct Options {
    /// The project folder; without one the page offers what to begin with.
    pub folder: Option<PathBuf>,
    /// Where the page looks for folders to open; `None`: where the program was started.
    pub here: Option<PathBuf>,
    /// Where to listen for the club's network; `None`: on this computer alone.
    pub listen: Option<IpAddr>,
    /// The port; 0 for one that is free.
    pub port: u16,
    /// Whether a page on the network may change the project; on this computer it always may.
    pub may_edit: bool,
    /// Units to show; `None`: as the project says.
    pub system: Option<System>,
    /// The program as it was called.
    pub program: String,
    /// How long a text stands before it is worked at full effort; `None`: never.
    pub refine_after: Option<Duration>,
}

impl Options {
    /// On this computer, on a free port, with nothing open.
    pub fn new(program: &str) -> Self {
        Options {
            folder: None,
            here: None,
            listen: None,
            port: 0,
            may_edit: false,
            system: None,
            program: program.to_owned(),
            refine_after: Some(Duration::from_millis(1_500)),
        }
    }
}

/// Why nothing is served.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The folder cannot be opened.
    #[error("{0}")]
    Folder(String),
    /// The address is taken or not allowed.
    #[error("cannot listen on {address}: {source}")]
    Listen {
        /// Which.
        address: SocketAddr,
        /// Why.
        source: io::Error,
    },
    /// The system gives no random bytes for the link.
    #[error("the system gives no random bytes: {0}")]
    Random(String),
    /// No thread, runtime or folder to work in can be had.
    #[error("the page can no longer be served: {0}")]
    Io(#[from] io::Error),
}

/// What is told to whoever started it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// It serves; this is the link, with what lets one browser in.
    Link(String),
    /// The link was used, and this is the next one (on a network only).
    NextLink(String),
}

/// What handlers share.
#[derive(Clone)]
pub(crate) struct App(pub(crate) Arc<Shared>);

pub(crate) struct Shared {
    pub(crate) guard: Guard,
    pub(crate) may_write: bool,
    pub(crate) manner: Manner,
    /// Where folders are looked for that the page opens.
    pub(crate) here: PathBuf,
    /// Extremes of the recordings that were looked at.
    pub(crate) pyramids: drops::tiles::Pyramids,
    /// Recordings that were brought and not kept yet.
    pub(crate) waiting: drops::bring::Waiting,
    desk: Mutex<Option<Arc<Desk>>>,
    /// How many folders were opened.
    opened: AtomicU64,
    address: SocketAddr,
    reach: Reach,
    tell: Box<dyn Fn(Told) + Send + Sync>,
}

impl std::ops::Deref for App {
    type Target = Shared;

    fn deref(&self) -> &Shared {
        &self.0
    }
}

impl Shared {
    /// What is open.
    pub(crate) fn desk(&self) -> Option<Arc<Desk>> {
        self.desk.lock().expect("nobody panics while holding it").clone()
    }

    /// Opens a folder in the place of what is open.
    pub(crate) fn open(&self, folder: &Path) -> Result<(), desk::OpenError> {
        let number = self.opened.fetch_add(1, Ordering::Relaxed) + 1;
        let desk = Desk::open(folder, number, self.manner.clone())?;
        *self.desk.lock().expect("nobody panics while holding it") = Some(desk);
        Ok(())
    }

    fn link(&self) -> String {
        format!("http://{}/?token={}", self.address, self.guard.token())
    }

    /// On a network a link lets one browser in; whoever started it is told the next.
    pub(crate) fn announce_next_link(&self) {
        if self.reach == Reach::Network {
            (self.tell)(Told::NextLink(self.link()));
        }
    }
}

/// Serves until `until` is done. `tell` gets the link as soon as it can be opened.
///
/// # Errors
/// Where the folder cannot be opened, the address not be listened on, or the service ends by itself.
pub fn serve(
    options: Options,
    tell: impl Fn(Told) + Send + Sync + 'static,
    until: impl Future<Output = ()> + Send + 'static,
) -> Result<(), ServeError> {
    helpers::start();
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    runtime.block_on(async {
        let wanted = SocketAddr::new(options.listen.unwrap_or(Ipv4Addr::LOCALHOST.into()), options.port);
        let listener = tokio::net::TcpListener::bind(wanted).await;
        let listener = listener.map_err(|source| ServeError::Listen { address: wanted, source })?;
        let address = listener.local_addr()?;
        let reach = if address.ip().is_loopback() { Reach::Loopback } else { Reach::Network };
        let guard =
            Guard::new(reach, address.port()).map_err(|error| ServeError::Random(error.to_string()))?;
        let may_write = reach == Reach::Loopback || options.may_edit;
        let app = App(Arc::new(Shared {
            guard,
            may_write,
            manner: Manner {
                work: silkfall_sheet::work,
                system: options.system,
                program: options.program,
                may_write,
                refine_after: options.refine_after,
            },
            here: options.here.map_or_else(std::env::current_dir, Ok)?,
            pyramids: drops::tiles::Pyramids::default(),
            waiting: drops::bring::Waiting::default(),
            desk: Mutex::new(None),
            opened: AtomicU64::new(0),
            address,
            reach,
            tell: Box::new(tell),
        }));
        if let Some(folder) = &options.folder {
            app.open(folder).map_err(|error| ServeError::Folder(error.to_string()))?;
        }
        (app.tell)(Told::Link(app.link()));
        let service = routes::router(app);
        tokio::select! {
            () = connections::take(listener, service) => Ok(()),
            () = until => Ok(()),
        }
    })
}

/// Done when the person at the terminal ends it (Ctrl-C).
pub async fn ended_by_hand() {
    if tokio::signal::ctrl_c().await.is_err() {
        // Without a signal to wait for, it serves until it is ended from outside.
        std::future::pending::<()>().await;
    }
}
