//! Connections, taken one by one and each given up when it does not say in time what it asks for.

use std::io::ErrorKind;
use std::time::Duration;

use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::TcpListener;

/// A head that takes longer never ends; a connection on which nothing more is asked is shut after as long.
const LONGEST_HEAD: Duration = Duration::from_secs(10);
/// After this the system may have room for one more connection again.
const WITHOUT_ROOM: Duration = Duration::from_secs(1);

/// Takes connections for ever.
pub(crate) async fn take(listener: TcpListener, service: Router) {
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(LONGEST_HEAD);
    loop {
        let stream = match listener.accept().await {
            Ok((stream, _)) => stream,
            // This one hung up before its turn.
            Err(error)
                if matches!(error.kind(), ErrorKind::ConnectionAborted | ErrorKind::ConnectionReset) =>
            {
                continue;
            }
            Err(_) => {
                tokio::time::sleep(WITHOUT_ROOM).await;
                continue;
            }
        };
        let connection =
            http.serve_connection(TokioIo::new(stream), TowerToHyperService::new(service.clone()));
        // Whoever hangs up, or says nothing that can be read, is gone: there is nobody to tell.
        tokio::spawn(async move { drop(connection.await) });
    }
}
