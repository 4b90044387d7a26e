//! What `serve`, `demo` and `replay --serve` have in common: a running house with its road and its pages, until it is told to stop.

use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;

use propstick_garden::model::{Garden, parse_garden};

use super::Failed;
use crate::clock::Clock;
use crate::config::Config;
use crate::house::{Health, House, Opened, Roads, new_password};
use crate::transport::{Stop, Stopper};
use crate::web;

/// A house that runs, with its pages.
pub(super) struct Running {
    pub(super) house: House,
    pub(super) web: SocketAddr,
    pub(super) roads: Option<Roads>,
    pub(super) stop: Stop,
    stopper: Stopper,
    server: tokio::task::JoinHandle<std::io::Result<()>>,
}

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

impl Running {
    /// Starts the threads, then the pages.
    pub(super) async fn start(
        opened: Opened,
        config: &Config,
        clock: Clock,
        health: Arc<Health>,
    ) -> Result<Running, Failed> {
        let house = opened.start(config, clock, health);
        let listener = tokio::net::TcpListener::bind(config.web_listen)
            .await
            .map_err(|e| Failed::given(format!("web.listen: cannot listen on {}: {e}", config.web_listen)))?;
        let web = listener.local_addr().map_err(|e| Failed::work(e.to_string()))?;
        let token = new_password().map_err(Failed::work)?;
        house.folder().announce(&web.to_string(), &token)?;
        let (stopper, stop) = Stop::pair();
        let engine = matches!(clock, Clock::System).then(|| house.engine().clone());
        let desk = web::Desk::new(house.windows.clone(), engine, &token, stop.clone());
        let until = stop.clone();
        let server = tokio::spawn(async move {
            axum::serve(listener, web::router(desk)).with_graceful_shutdown(async move { until.stopped().await }).await
        });
        Ok(Running { house, web, roads: None, stop, stopper, server })
    }

    /// Opens the road of messages.
    pub(super) async fn open_road(&mut self, config: &Config) -> Result<(), Failed> {
        let roads = Roads::open(&mut self.house, config, self.stop.clone()).await;
        self.roads = Some(roads.map_err(|e| Failed::given(e.to_string()))?);
        Ok(())
    }

    /// Waits for the word to stop, then ends everything in order: the road first, so that nothing more is acknowledged.
    pub(super) async fn until_stopped(self) -> Result<(), Failed> {
        asked_to_stop().await;
        self.end().await
    }

    /// Ends everything in order.
    pub(super) async fn end(self) -> Result<(), Failed> {
        let Running { house, roads, stopper, server, .. } = self;
        stopper.stop();
        if let Some(roads) = roads {
            roads.ended().await;
        }
        let _ = tokio::time::timeout(std::time::Duration::from_secs(5), server).await;
        tokio::task::spawn_blocking(move || house.close()).await.map_err(|e| Failed::work(e.to_string()))
    }
}

/// Ctrl-C, or the word of the machine's service manager.
async fn asked_to_stop() {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut term) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = term.recv() => {}
                _ = tokio::signal::ctrl_c() => {}
            }
            return;
        }
    }
    let _ = tokio::signal::ctrl_c().await;
}
