//! What `serve`, `demo` and `replay --serve` have in common: pages, a running house and its road, until it is told to stop.

use std::net::SocketAddr;
use std::path::Path;
use std::sync::{Arc, OnceLock};
use std::time::Duration;

use propstick_garden::model::{Garden, parse_garden};

use super::Failed;
use crate::config::Config;
use crate::files::import::Uploads;
use crate::house::{Doors, House, Opened, Roads, Windows, new_password};
use crate::stop::{Stop, Stopper};
use crate::store::DataFolder;
use crate::web;

/// How long open requests may take to end.
const LAST_WORDS: Duration = Duration::from_secs(5);

/// The runtime that everything asynchronous runs on.
pub(super) fn runtime() -> Result<tokio::runtime::Runtime, Failed> {
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|e| Failed::work(format!("cannot start: {e}")))
}

/// Sends the log to standard error, one line each.
pub(super) fn log() {
    let _ = tracing_subscriber::fmt().with_writer(std::io::stderr).with_max_level(tracing::Level::WARN).try_init();
}

/// Reads a garden file.
pub(super) fn garden(path: &Path) -> Result<Garden, Failed> {
    let text =
        std::fs::read_to_string(path).map_err(|e| Failed::given(format!("{}: cannot be read: {e}", path.display())))?;
    parse_garden(&text).map_err(|e| Failed::given(format!("{}: {e}", path.display())))
}

/// The pages, being served; the house behind them may not run yet.
pub(super) struct Pages {
    pub(super) address: SocketAddr,
    pub(super) stop: Stop,
    stopper: Stopper,
    doors: Arc<OnceLock<Doors>>,
    server: tokio::task::JoinHandle<std::io::Result<()>>,
    ear: Ear,
}

impl Pages {
    /// Serves the pages and leaves word in the data folder where they are.
    pub(super) async fn open(folder: &DataFolder, windows: Windows, listen: SocketAddr) -> Result<Pages, Failed> {
        // Before anybody is told where it is: whoever knows that may ask it to stop.
        let ear = Ear::listen();
        let listener = tokio::net::TcpListener::bind(listen)
            .await
            .map_err(|e| Failed::given(format!("web.listen: cannot listen on {listen}: {e}")))?;
        let address = listener.local_addr().map_err(|e| Failed::work(e.to_string()))?;
        let token = new_password().map_err(Failed::work)?;
        let (stopper, stop) = Stop::pair();
        let doors = Arc::new(OnceLock::new());
        let desk = web::Desk::new(windows, Arc::clone(&doors), &token, stop.clone());
        let server = tokio::spawn(web::serve(listener, desk));
        folder.announce(&address.to_string(), &token)?;
        Ok(Pages { address, stop, stopper, doors, server, ear })
    }

    /// Waits for the word to stop, then ends the pages.
    pub(super) async fn until_stopped(self) {
        self.ear.asked_to_stop().await;
        self.stopper.stop();
        let _ = tokio::time::timeout(LAST_WORDS, self.server).await;
    }
}

/// A house that runs, with its road and its pages.
pub(super) struct Running {
    pub(super) roads: Roads,
    house: House,
    pages: Pages,
}

impl Running {
    /// Starts the threads and opens the road of messages.
    pub(super) async fn start(
        opened: Opened,
        config: &Config,
        windows: Windows,
        pages: Pages,
    ) -> Result<Running, Failed> {
        Uploads::below(opened.folder.path()).tidy();
        let mut house = opened.start(config, windows).map_err(|e| Failed::work(format!("cannot start: {e}")))?;
        let _ = pages.doors.set(house.doors());
        let roads = Roads::open(&mut house, config, pages.stop.clone()).await;
        let roads = roads.map_err(|e| Failed::given(e.to_string()))?;
        Ok(Running { roads, house, pages })
    }

    /// Waits for the word to stop, then ends everything in order: the road first, so that nothing more is acknowledged.
    pub(super) async fn until_stopped(self) -> Result<(), Failed> {
        let Running { roads, house, pages } = self;
        pages.ear.asked_to_stop().await;
        pages.stopper.stop();
        roads.ended().await;
        let _ = tokio::time::timeout(LAST_WORDS, pages.server).await;
        tokio::task::spawn_blocking(move || house.close()).await.map_err(|e| Failed::work(e.to_string()))
    }
}

/// Hears Ctrl-C, or the word of the machine's service manager.
struct Ear {
    #[cfg(unix)]
    terminate: Option<tokio::signal::unix::Signal>,
}

impl Ear {
    /// From now on the word to stop is heard, and no longer ends the program by itself.
    fn listen() -> Ear {
        Ear {
            #[cfg(unix)]
            terminate: tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()).ok(),
        }
    }

    async fn asked_to_stop(self) {
        #[cfg(unix)]
        if let Some(mut terminate) = self.terminate {
            tokio::select! {
                _ = terminate.recv() => {}
                _ = tokio::signal::ctrl_c() => {}
            }
            return;
        }
        let _ = tokio::signal::ctrl_c().await;
    }
}
