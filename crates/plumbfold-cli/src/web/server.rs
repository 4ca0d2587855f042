//! Sockets around [`Bench::answer`]: loopback only, one task a request, so that a panic or a
//! slow question ends that request and nothing else.

use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::Bytes;
use axum::extract::{Request, State};
use axum::response::Response;
use tokio::net::TcpListener;

use super::guard::{self, REQUEST_BYTES_MAX};
use super::routes::{Bench, plain};

/// A question that takes longer than this is answered with an apology. The slowest, a search for
/// remedies, takes some seconds.
const ANSWER_TIME_MAX: Duration = Duration::from_secs(180);
/// How long open connections may take to end after Ctrl-C.
const GOODBYE_TIME_MAX: Duration = Duration::from_millis(500);

/// Listens until Ctrl-C. `ready` is called once with the address, when it can be asked.
pub fn serve(bench: Bench, port: u16, ready: impl FnOnce(SocketAddr)) -> io::Result<()> {
    let runtime =
        tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    let served = runtime.block_on(async {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await?;
        let address = listener.local_addr()?;
        ready(address);
        let shop = Arc::new(Shop { bench, port: address.port() });
        let app = Router::new().fallback(handle).with_state(shop);
        let (told, wait) = tokio::sync::oneshot::channel();
        let server = axum::serve(listener, app).with_graceful_shutdown(async {
            asked_to_stop().await;
            // The receiver only goes when serving has ended already.
            let _ = told.send(());
        });
        // A browser keeps its connections open; do not wait for it for ever.
        let late = async {
            let _ = wait.await;
            tokio::time::sleep(GOODBYE_TIME_MAX).await;
        };
        tokio::select! {
            ended = async { server.await } => ended,
            () = late => Ok(()),
        }
    });
    runtime.shutdown_background();
    served
}

struct Shop {
    bench: Bench,
    port: u16,
}

async fn handle(State(shop): State<Arc<Shop>>, request: Request) -> Response {
    let (parts, body) = request.into_parts();
    let body = match axum::body::to_bytes(body, REQUEST_BYTES_MAX).await {
        Ok(body) => body,
        Err(_) => return send(plain(413, "the request is too large")),
    };
    let request: axum::http::Request<Bytes> = axum::http::Request::from_parts(parts, body);
    if let Err(refusal) = guard::check(&request, shop.port) {
        let (status, why) = refusal.say();
        return send(plain(status.as_u16(), why));
    }
    let work = tokio::task::spawn_blocking(move || shop.bench.answer(&request));
    match tokio::time::timeout(ANSWER_TIME_MAX, work).await {
        Ok(Ok(response)) => send(response),
        // The task panicked: our own mistake. The message went to standard error.
        Ok(Err(_)) => send(plain(500, "a mistake in plumbfold itself; the terminal says more")),
        Err(_) => send(plain(503, "this took too long")),
    }
}

fn send(response: axum::http::Response<Vec<u8>>) -> Response {
    response.map(axum::body::Body::from)
}

/// Ctrl-C, or the polite signal other programs send.
async fn asked_to_stop() {
    let interrupt = async {
        if tokio::signal::ctrl_c().await.is_err() {
            // Without a handler the signal ends the program by itself.
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    let terminate = async {
        match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
            Ok(mut signal) => {
                signal.recv().await;
            }
            Err(_) => std::future::pending().await,
        }
    };
    #[cfg(not(unix))]
    let terminate = std::future::pending::<()>();
    tokio::select! { () = interrupt => {}, () = terminate => {} }
}
