//! `propstick check`.

use std::path::PathBuf;

use clap::Args;

use super::{Failed, running};
use crate::config::{Config, Road};
use crate::store::Readings;
use crate::store::folder::{garden_path, readings_path};
use crate::store::garden::GardenDb;

#[derive(Args)]
pub(super) struct CheckArgs {
    /// Configuration file.
    #[arg(long, value_name = "FILE")]
    config: Option<PathBuf>,
    /// Garden file.
    #[arg(long, value_name = "FILE")]
    garden: Option<PathBuf>,
    /// Folder of the data.
    #[arg(long, value_name = "FOLDER")]
    data: Option<PathBuf>,
}

pub(super) fn run(args: &CheckArgs) -> Result<(), Failed> {
    if args.config.is_none() && args.garden.is_none() && args.data.is_none() {
        return Err(Failed::given("check: give at least one of --config FILE, --garden FILE, --data FOLDER"));
    }
    if let Some(path) = &args.config {
        let config = Config::read(Some(path))?;
        let road = match &config.road {
            Road::Embedded { listen } => format!("own broker on {listen}"),
            Road::Outside(outside) => format!("broker at {}:{}", outside.host, outside.port),
        };
        let mappings = config.mappings.len();
        say!("{}: in order. {road}; pages on {}; {mappings} mappings.", path.display(), config.web_listen);
    }
    if let Some(path) = &args.garden {
        let g = running::garden(path)?;
        say!(
            "{}: in order. {}: {} structures, {} spots, {} placements, zone {}.",
            path.display(),
            g.name,
            g.structures.len(),
            g.spots.len(),
            g.placements.len(),
            g.zone.name()
        );
        if g.outside_spot().is_none() {
            say!("  No spot has the role \"outside\": vent advice will go by season and hour, not by reading.");
        }
    }
    if let Some(folder) = &args.data {
        data(folder)?;
    }
    Ok(())
}

fn data(folder: &std::path::Path) -> Result<(), Failed> {
    if !readings_path(folder).is_file() {
        return Err(Failed::given(format!("{}: there is no readings.db in it", folder.display())));
    }
    let readings = Readings::open(&readings_path(folder))?;
    readings.sound()?;
    // What is worked out from them is made anew where it is absent or damaged; nobody needs to be told.
    GardenDb::open_reader(&garden_path(folder))?.sound()?;
    let (series, devices) = (readings.series()?.len(), readings.devices(propstick_wire::Millis(i64::MAX))?);
    let missing: u64 = devices.iter().map(|d| d.missing).sum();
    let refused: u64 = devices.iter().map(|d| d.refused).sum();
    say!(
        "{}: in order. {} devices, {series} series; {missing} samples never came, {refused} things were refused.",
        folder.display(),
        devices.len()
    );
    Ok(())
}
