//! Connections: so many at once, and none is kept that does not say what it wants.

use std::io::ErrorKind;
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::{sleep, timeout};

/// Longest that the head of a request may take to arrive, and that a connection may be kept for the next one.
const LONGEST_HEAD: Duration = Duration::from_secs(10);

/// Most connections at once; browsers open six. Others wait until one is let go.
const MOST_AT_ONCE: usize = 64;

/// How long requests that are being answered may go on once the sitting is to end.
const LAST_ANSWERS: Duration = Duration::from_secs(2);

/// How long to wait where the system has no connection left to give.
const PAUSE: Duration = Duration::from_secs(1);

/// Answers until told to stop.
pub(super) async fn serve(listener: TcpListener, router: Router, stop: impl Future<Output = ()>) {
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(LONGEST_HEAD);
    let places = Arc::new(Semaphore::new(MOST_AT_ONCE));
    let open = GracefulShutdown::new();
    let mut stop = pin!(stop);
    loop {
        let (stream, place) = tokio::select! {
            next = next(&listener, &places) => next,
            () = &mut stop => break,
        };
        let service = TowerToHyperService::new(router.clone());
        let served = open.watch(http.serve_connection(TokioIo::new(stream), service));
        tokio::spawn(async move {
            let _ = served.await; // who breaks a connection off is not waited for
            drop(place);
        });
    }
    let _ = timeout(LAST_ANSWERS, open.shutdown()).await;
}

/// The next connection, once there is a place for it.
async fn next(
    listener: &TcpListener,
    places: &Arc<Semaphore>,
) -> (TcpStream, Option<OwnedSemaphorePermit>) {
    let place = Arc::clone(places).acquire_owned().await.ok();
    loop {
        match listener.accept().await {
            Ok((stream, _)) => return (stream, place),
            Err(error) if is_of_the_other_side(error.kind()) => {}
            Err(_) => sleep(PAUSE).await,
        }
    }
}

fn is_of_the_other_side(kind: ErrorKind) -> bool {
    use ErrorKind::{ConnectionAborted, ConnectionRefused, ConnectionReset};
    matches!(kind, ConnectionAborted | ConnectionRefused | ConnectionReset)
}
