//! `propstick export`.

use std::io;
use std::path::PathBuf;

use chrono::NaiveDate;
use clap::{Args, Subcommand, ValueEnum};
use propstick_agronomy::degree_days::Cutoff;
use propstick_garden::decode::Book;
use propstick_garden::exchange::Form;
use propstick_garden::fold::{DayKind, WantedDegreeDays, civil_day};
use propstick_garden::instant::from_rfc3339;
use propstick_garden::model::garden_text;
use propstick_wire::Millis;

use super::{Failed, Where};
use crate::clock::Clock;
use crate::config::Config;
use crate::files::export::{self, By, DaysAsked, ExportError, Output, ReadingsAsked, Stretch};

#[derive(Args)]
pub(super) struct ExportArgs {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Readings: as sent, by device, in a form that can come back in; or as they count, by spot.
    Readings(ReadingsArgs),
    /// Days of each structure: lowest, mean and highest temperature, degree-days, and how much was measured.
    Days(DaysArgs),
    /// All advice that was given, with its sentences, moves and times.
    Advice(OfArgs),
    /// The garden as a garden file.
    Garden(GardenArgs),
    /// What arrived, as lines for `replay`: to send in with a trouble. Packs of boards are numbered anew; imported files are not among it.
    Recording(RecordingArgs),
}

#[derive(Args)]
struct ReadingsArgs {
    #[command(flatten)]
    of: OfArgs,
    /// Form: a table, SenML as JSON (a pack a line), or InfluxDB line protocol.
    #[arg(long, value_enum, default_value_t = FormWord::Csv)]
    form: FormWord,
    /// By device: as sent. By spot: corrected, in the house's units; as a table only, and not for coming back in.
    #[arg(long, value_enum, default_value_t = ByWord::Device)]
    by: ByWord,
    /// Only this device; may stand several times.
    #[arg(long, value_name = "URN")]
    device: Vec<String>,
}

#[derive(Args)]
struct DaysArgs {
    #[command(flatten)]
    of: OfArgs,
    /// Kind of day: by the garden's clocks, from noon to noon standard time, or by UTC.
    #[arg(long, value_enum, default_value_t = KindWord::Civil)]
    kind: KindWord,
    /// Bases of degree-days, °C.
    #[arg(long, value_delimiter = ',', default_value = "0,5,10", allow_negative_numbers = true, value_name = "°C,...")]
    base: Vec<f64>,
    /// Upper limit of degree-days, °C.
    #[arg(long, value_name = "°C")]
    upper: Option<f64>,
    /// What warmth above the upper limit does: adds no more, takes away as much again, or stops growth. The averages have the first alone.
    #[arg(long, value_enum, default_value_t = CutoffWord::Horizontal)]
    cutoff: CutoffWord,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum CutoffWord {
    Horizontal,
    Intermediate,
    Vertical,
}

impl From<CutoffWord> for Cutoff {
    fn from(word: CutoffWord) -> Cutoff {
        match word {
            CutoffWord::Horizontal => Cutoff::Horizontal,
            CutoffWord::Intermediate => Cutoff::Intermediate,
            CutoffWord::Vertical => Cutoff::Vertical,
        }
    }
}

#[derive(Args)]
struct GardenArgs {
    #[command(flatten)]
    at: Where,
    #[command(flatten)]
    to: ToArgs,
}

#[derive(Args)]
struct RecordingArgs {
    #[command(flatten)]
    of: OfArgs,
    /// Configuration file, for the [[mapping]] tables of other makers' devices.
    #[arg(long, value_name = "FILE")]
    config: Option<PathBuf>,
}

/// Out of which folder, of which stretch, and whereto.
#[derive(Args)]
struct OfArgs {
    #[command(flatten)]
    at: Where,
    #[command(flatten)]
    stretch: StretchArgs,
    #[command(flatten)]
    to: ToArgs,
}

#[derive(Args)]
struct StretchArgs {
    /// First instant, such as 2026-03-01T08:00:00Z, or a date: its midnight by the garden's clocks.
    #[arg(long, value_name = "TIME")]
    from: Option<String>,
    /// First instant after it, in the same way.
    #[arg(long, value_name = "TIME")]
    to: Option<String>,
}

#[derive(Args)]
struct ToArgs {
    /// File to write; left out: standard output.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Write over the file if it is there.
    #[arg(long)]
    force: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum FormWord {
    Csv,
    Senml,
    Lines,
}

#[derive(Clone, Copy, ValueEnum)]
enum ByWord {
    Device,
    Spot,
}

#[derive(Clone, Copy, ValueEnum)]
enum KindWord {
    Civil,
    Noon,
    Utc,
}

impl From<ExportError> for Failed {
    fn from(e: ExportError) -> Failed {
        match e {
            ExportError::Asked(says) => Failed::given(says),
            ExportError::Store(e) => e.into(),
            ExportError::Write { ref source, .. } => match source.kind() {
                io::ErrorKind::NotFound | io::ErrorKind::PermissionDenied | io::ErrorKind::InvalidInput => {
                    Failed::given(e.to_string())
                }
                _ => Failed::work(e.to_string()),
            },
        }
    }
}

pub(super) fn run(args: &ExportArgs) -> Result<(), Failed> {
    match &args.what {
        What::Readings(args) => readings(args),
        What::Days(args) => days(args),
        What::Advice(args) => advice(args),
        What::Garden(args) => garden(args),
        What::Recording(args) => recording(args),
    }
}

fn readings(args: &ReadingsArgs) -> Result<(), Failed> {
    let asked = ReadingsAsked {
        stretch: args.of.stretch.read(&args.of.at)?,
        form: match args.form {
            FormWord::Csv => Form::Csv,
            FormWord::Senml => Form::Senml,
            FormWord::Lines => Form::Lines,
        },
        by: match args.by {
            ByWord::Device => By::Device,
            ByWord::Spot => By::Spot,
        },
        devices: args.device.clone(),
    };
    let mut out = args.of.to.open()?;
    let told = export::readings(&args.of.at.data, &asked, &mut |piece| out.give(piece))?;
    out.finish()?;
    say_aside!("{} readings of {} series", told.readings, told.series);
    Ok(())
}

fn days(args: &DaysArgs) -> Result<(), Failed> {
    if let Some(base) = args.base.iter().find(|b| !(-20.0..=40.0).contains(*b)) {
        return Err(Failed::given(format!("--base {base}: expected temperatures from -20 to 40, comma between")));
    }
    if let Some(upper) = args.upper.filter(|u| !(-20.0..=60.0).contains(u)) {
        return Err(Failed::given(format!("--upper {upper}: expected a temperature from -20 to 60")));
    }
    let asked = DaysAsked {
        stretch: args.of.stretch.read(&args.of.at)?,
        kind: match args.kind {
            KindWord::Civil => DayKind::Civil,
            KindWord::Noon => DayKind::Noon,
            KindWord::Utc => DayKind::Utc,
        },
        wanted: WantedDegreeDays { bases_c: args.base.clone(), upper_c: args.upper, cutoffs: vec![args.cutoff.into()] },
    };
    let mut out = args.of.to.open()?;
    let told = export::days(&args.of.at.data, &asked, Clock::System.now(), &mut |piece| out.give(piece))?;
    out.finish()?;
    say_aside!("{} days", told.days);
    if told.is_behind {
        say_aside!("Some readings are not worked out yet; `propstick serve` works them out, and the days may change.");
    }
    Ok(())
}

fn advice(of: &OfArgs) -> Result<(), Failed> {
    let stretch = of.stretch.read(&of.at)?;
    let mut out = of.to.open()?;
    let pieces = export::advice(&of.at.data, stretch, &mut |piece| out.give(piece))?;
    out.finish()?;
    say_aside!("{pieces} pieces of advice");
    Ok(())
}

fn garden(args: &GardenArgs) -> Result<(), Failed> {
    let garden = export::garden(&args.at.data)?;
    let mut out = args.to.open()?;
    let _ = out.give(garden_text(&garden).as_bytes());
    out.finish()?;
    Ok(())
}

fn recording(args: &RecordingArgs) -> Result<(), Failed> {
    let book = Book { mappings: Config::read(args.config.as_deref())?.mappings };
    let stretch = args.of.stretch.read(&args.of.at)?;
    let mut out = args.of.to.open()?;
    let told = export::recording(&args.of.at.data, stretch, &book, &mut |piece| out.give(piece))?;
    out.finish()?;
    let done = &told.recorded;
    say_aside!("{} messages: {} readings, {} refused things", done.messages, done.readings, done.refused);
    if told.imports > 0 {
        say_aside!("Left out: {} imported files; they are no traffic.", told.imports);
    }
    for (why, times) in &done.left_out {
        say_aside!("Left out: {times} {why}.");
    }
    Ok(())
}

impl ToArgs {
    fn open(&self) -> Result<Output, ExportError> {
        Output::open(self.out.as_deref(), self.force)
    }
}

impl StretchArgs {
    fn read(&self, at: &Where) -> Result<Stretch, Failed> {
        let end = |name: &str, text: Option<&str>| -> Result<Option<Millis>, Failed> {
            let Some(text) = text else { return Ok(None) };
            let wrong =
                || Failed::given(format!("--{name} {text}: expected a time like 2026-03-01T08:00:00Z or a date"));
            if let Some(instant) = from_rfc3339(text) {
                return Ok(Some(instant));
            }
            let date: NaiveDate = text.parse().map_err(|_| wrong())?;
            Ok(Some(civil_day(export::garden(&at.data)?.zone, date).from))
        };
        let stretch = Stretch { from: end("from", self.from.as_deref())?, to: end("to", self.to.as_deref())? };
        match (stretch.from, stretch.to) {
            (Some(Millis(from)), Some(Millis(to))) if from >= to => {
                Err(Failed::given("--to: must come after --from".to_owned()))
            }
            _ => Ok(stretch),
        }
    }
}
