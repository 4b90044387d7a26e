//! `propstick serve`.

use std::path::PathBuf;
use std::sync::Arc;

use clap::Args;

use super::running::{self, Pages, Running};
use super::{Failed, Where};
use crate::clock::Clock;
use crate::config::Config;
use crate::engine::Pace;
use crate::house::{Health, Opened};

#[derive(Args)]
pub(super) struct ServeArgs {
    #[command(flatten)]
    at: Where,
    /// Configuration file; without it everything listens on this machine only.
    #[arg(long, value_name = "FILE")]
    config: Option<PathBuf>,
    /// Garden file; it replaces the garden kept with the data.
    #[arg(long, value_name = "FILE")]
    garden: Option<PathBuf>,
}

pub(super) fn run(args: ServeArgs) -> Result<(), Failed> {
    running::log();
    let config = Config::read(args.config.as_deref())?;
    let garden = args.garden.as_deref().map(running::garden).transpose()?;
    let clock = Clock::System;
    let opened = Opened::open(&args.at.data, garden, Pace::Live)?;
    let no_garden = opened.engine.garden().structures.is_empty();
    let health = Arc::new(Health::new(clock.now()));
    if no_garden {
        let says = "No garden is set up yet: readings are kept, but nothing is worked out. Start with --garden FILE.";
        health.trouble("garden", crate::house::Light::Amber, says);
    }
    let windows = opened.windows(clock, health);
    running::runtime()?.block_on(async {
        let pages = Pages::open(&opened.folder, windows.clone(), config.web_listen).await?;
        let address = pages.address;
        let running = Running::start(opened, &config, windows, pages).await?;
        if let Some(mqtt) = running.roads.mqtt {
            say!("Boards: mqtt://{mqtt}");
        }
        say!("Pages:  http://{address}/");
        if no_garden {
            say!("No garden is set up yet; start with --garden FILE (the README has a small one).");
        }
        running.until_stopped().await
    })
}
