//! Sockets around what is answered: the bench on loopback only, the form where it is shared, and everything bounded: connections, time for
//! head and body of a request, work done at once. A panic or a slow question ends that request and
//! nothing else, and work for a connection that has gone is given up.

use std::collections::HashMap;
use std::convert::Infallible;
use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use http_body_util::{BodyExt, Full, LengthLimitError, Limited};
use hyper::body::{Bytes, Incoming};
use hyper::header::{HeaderValue, SET_COOKIE};
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper::{Request, Response};
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Semaphore;
use tokio::time::{sleep, timeout};

use super::guard::{Door, Entry, Refusal, bytes_max};
use super::limit::Limit;
use super::routes::{self, Bench, Hall, plain};
use super::wanted::Wanted;

/// A question that takes longer than this is answered with an apology. The slowest, a search for
/// remedies, takes some seconds.
const ANSWER_TIME_MAX: Duration = Duration::from_secs(180);
/// For the head of a request, and for its body; both come from this machine.
const READING_TIME_MAX: Duration = Duration::from_secs(10);
/// How long open connections may take to end after Ctrl-C.
const GOODBYE_TIME_MAX: Duration = Duration::from_millis(500);
/// Connections at once; a browser opens six for each page. The rest wait.
const CONNECTIONS_MAX: usize = 96;
/// Of them those of one address, where the form is shared: nobody holds all of them open. A browser opens
/// six, and two or three phones may come through one address.
const CONNECTIONS_EACH: usize = 24;
/// Addresses whose connections are counted before those without any are forgotten.
const COUNTED_MOST: usize = 256;
/// Bytes of the head of a request.
const HEAD_BYTES_MAX: usize = 16_384;
/// Questions answered at once: those that come with each move of a slider, and those that take
/// long, so that one kind never waits for the other.
const QUICK_AT_ONCE: usize = 3;
const LONG_AT_ONCE: usize = 2;

/// The form, offered to other machines.
pub struct Sharing {
    /// What they are answered.
    pub hall: Hall,
    /// Address of this machine that they come to.
    pub address: IpAddr,
    /// How long.
    pub lasts: Duration,
}

/// Listens until Ctrl-C. `ready` is called once with the whole address to open, and that of the form
/// where it is shared; `unshared` when that ends.
pub fn serve(
    bench: Bench,
    port: u16,
    sharing: Option<Sharing>,
    ready: impl FnOnce(&str, Option<&str>),
    unshared: impl FnOnce(),
) -> io::Result<()> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(QUICK_AT_ONCE + LONG_AT_ONCE)
        .enable_all()
        .build()?;
    let served = runtime.block_on(async {
        let listener = listen(port, bench.usual_port()).await?;
        let address: SocketAddr = listener.local_addr()?;
        let door = Door::new(address.port())?;
        let here = format!("http://{address}/?{}", door.query());
        let shop = Arc::new(Shop::new(Desk::Bench(bench), door, None));
        let mut there = None;
        let form = match sharing {
            Some(Sharing { hall, address, lasts }) => {
                let listener = TcpListener::bind((address, 0)).await?;
                let address = listener.local_addr()?;
                let door = Door::shared(address)?;
                there = Some(format!("http://{address}/?{}", door.query()));
                let limit = Some(Mutex::new(Limit::default()));
                Some((listener, Arc::new(Shop::new(Desk::Hall(hall), door, limit)), lasts))
            }
            None => None,
        };
        ready(&here, there.as_deref());
        let shared = async {
            if let Some((listener, shop, lasts)) = form {
                // The link ends, the bench goes on.
                let _ = timeout(lasts, accept(&listener, &shop)).await;
                drop(listener);
                unshared();
            }
            std::future::pending::<()>().await;
        };
        tokio::select! {
            () = accept(&listener, &shop) => {}
            () = shared => {}
            () = asked_to_stop() => {}
        }
        // What is being saved is saved; nobody waits for the rest.
        let done = shop.quick.acquire_many(QUICK_AT_ONCE as u32);
        let _ = timeout(GOODBYE_TIME_MAX, done).await;
        Ok(())
    });
    runtime.shutdown_background();
    served
}

/// The port asked for; else the usual one, so that the page is found where it was, or any.
async fn listen(port: u16, usual: u16) -> io::Result<TcpListener> {
    let on = |port| TcpListener::bind((Ipv4Addr::LOCALHOST, port));
    if port != 0 {
        return on(port).await;
    }
    match on(usual).await {
        Ok(listener) => Ok(listener),
        Err(_) => on(0).await,
    }
}

async fn accept(listener: &TcpListener, shop: &Arc<Shop>) {
    let places = Arc::new(Semaphore::new(CONNECTIONS_MAX));
    let mut of_each: HashMap<IpAddr, Arc<Semaphore>> = HashMap::new();
    loop {
        // The semaphore is never closed.
        let Ok(place) = places.clone().acquire_owned().await else { return };
        let (stream, from) = match listener.accept().await {
            Ok((stream, from)) => (stream, from.ip()),
            // Out of sockets: some will be free again.
            Err(_) => {
                sleep(Duration::from_millis(100)).await;
                continue;
            }
        };
        let mut own = None;
        if shop.limit.is_some() {
            if of_each.len() > COUNTED_MOST {
                of_each.retain(|_, places| places.available_permits() < CONNECTIONS_EACH);
            }
            let new = || Arc::new(Semaphore::new(CONNECTIONS_EACH));
            let of_one = of_each.entry(from).or_insert_with(new).clone();
            // Who has enough of them is hung up on.
            let Ok(free) = of_one.try_acquire_owned() else { continue };
            own = Some(free);
        }
        let shop = shop.clone();
        tokio::spawn(async move {
            converse(stream, from, shop).await;
            drop((place, own));
        });
    }
}

/// One connection, to its end.
async fn converse(stream: TcpStream, from: IpAddr, shop: Arc<Shop>) {
    let service = service_fn(move |request| {
        let shop = shop.clone();
        async move {
            let response = shop.answer(request, from).await;
            Ok::<_, Infallible>(response.map(|body| Full::new(Bytes::from(body))))
        }
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(READING_TIME_MAX)
        .max_buf_size(HEAD_BYTES_MAX)
        .serve_connection(TokioIo::new(stream), service);
    // Whoever broke it off has been told by the breaking.
    let _ = connection.await;
}

/// Who answers.
enum Desk {
    Bench(Bench),
    Hall(Hall),
}

struct Shop {
    desk: Desk,
    door: Door,
    /// What strangers, and those who ask too much, may do at most.
    limit: Option<Mutex<Limit>>,
    quick: Arc<Semaphore>,
    long: Arc<Semaphore>,
}

impl Shop {
    fn new(desk: Desk, door: Door, limit: Option<Mutex<Limit>>) -> Self {
        let [quick, long] = [QUICK_AT_ONCE, LONG_AT_ONCE].map(|n| Arc::new(Semaphore::new(n)));
        Self { desk, door, limit, quick, long }
    }

    /// Why a request is refused however right it is.
    fn too_much(
        &self,
        from: IpAddr,
        checked: Result<Entry, Refusal>,
        asks: bool,
    ) -> Option<&'static str> {
        let limit = self.limit.as_ref()?;
        let mut limit = limit.lock().unwrap_or_else(PoisonError::into_inner);
        limit.too_much(from, checked, asks, Instant::now())
    }

    async fn answer(
        self: Arc<Self>,
        request: Request<Incoming>,
        from: IpAddr,
    ) -> Response<Vec<u8>> {
        let (parts, body) = request.into_parts();
        let checked = self.door.check(&parts);
        if let Some(why) = self.too_much(from, checked, parts.method == hyper::Method::POST) {
            return plain(429, why);
        }
        let entry = match checked {
            Ok(entry) => entry,
            Err(refusal) => {
                let (status, why) = refusal.say();
                return plain(status.as_u16(), why);
            }
        };
        let body = Limited::new(body, bytes_max(&parts)).collect();
        let body = match timeout(READING_TIME_MAX, body).await {
            Ok(Ok(body)) => body.to_bytes(),
            Ok(Err(e)) if e.is::<LengthLimitError>() => {
                return plain(413, "the request is too large");
            }
            Ok(Err(_)) => return plain(400, "the request broke off"),
            Err(_) => return plain(408, "the request came too slowly"),
        };
        let cookie = (entry == Entry::Address).then(|| self.door.cookie());
        let mut response = self.work(Request::from_parts(parts, body)).await;
        if let Some(cookie) = cookie.and_then(|c| HeaderValue::from_str(&c).ok()) {
            response.headers_mut().insert(SET_COOKIE, cookie);
        }
        response
    }

    async fn work(self: Arc<Self>, request: Request<Bytes>) -> Response<Vec<u8>> {
        let lane = if routes::takes_long(&request) { &self.long } else { &self.quick };
        // The semaphore is never closed.
        let Ok(permit) = lane.clone().acquire_owned().await else {
            return plain(503, "plumbfold is ending");
        };
        // Dropped with this future when the connection goes, which ends the work.
        let (asking, wanted) = Wanted::new();
        let work = tokio::task::spawn_blocking(move || {
            let answer = match &self.desk {
                Desk::Bench(bench) => bench.answer(&request, &wanted),
                Desk::Hall(hall) => hall.answer(&request),
            };
            drop(permit);
            answer
        });
        let answer = timeout(ANSWER_TIME_MAX, work).await;
        drop(asking);
        match answer {
            Ok(Ok(response)) => response,
            // The task panicked: our own mistake. The message went to standard error.
            Ok(Err(_)) => plain(500, "a mistake in plumbfold itself; the terminal says more"),
            Err(_) => plain(503, "this took too long"),
        }
    }
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
