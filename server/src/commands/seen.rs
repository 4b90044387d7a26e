//! `propstick seen` and `propstick heard`.

use clap::{Args, Subcommand};
use propstick_garden::record::{FingerSaid, HeardSaid, LeavesSaid, LookSaid, Saw};

use super::Failed;
use super::telling::{Book, Teller, TellingArgs, instant, looked_up, lowered};
use crate::clock::Clock;

#[derive(Args)]
pub(super) struct SeenArgs {
    #[command(flatten)]
    telling: TellingArgs,
    /// Who tells it.
    #[arg(long, global = true, default_value = "", hide_default_value = true, value_name = "NAME")]
    by: String,
    #[command(subcommand)]
    what: Option<What>,
}

#[derive(Subcommand)]
enum What {
    /// A look out of the window.
    Look {
        /// clear, broken or overcast.
        sky: String,
        /// calm, light, fresh or gale.
        wind: String,
        /// dry, rain or fog.
        wet: String,
        /// Where the wind comes from, such as SW.
        #[arg(long, value_name = "SIDE")]
        from: Option<String>,
    },
    /// A finger pushed 5 cm into a bed.
    Finger {
        /// Short name of the bed.
        bed: String,
        /// dry, moist or wet.
        feel: String,
    },
    /// The leaves in a structure.
    Leaves {
        /// Short name of the structure.
        structure: String,
        /// wet or dry.
        state: String,
    },
}

#[derive(Args)]
pub(super) struct HeardArgs {
    #[command(flatten)]
    telling: TellingArgs,
    /// Who tells it.
    #[arg(long, default_value = "", hide_default_value = true, value_name = "NAME")]
    by: String,
    /// today, tonight or tomorrow.
    of: Option<String>,
    /// Lowest temperature, °C.
    #[arg(long, allow_hyphen_values = true, value_name = "DEGREES")]
    low: Option<f64>,
    /// Highest temperature, °C.
    #[arg(long, allow_hyphen_values = true, value_name = "DEGREES")]
    high: Option<f64>,
    /// calm, light, fresh or gale.
    #[arg(long)]
    wind: Option<String>,
    /// Gusts, m/s.
    #[arg(long, value_name = "M/S")]
    gusts: Option<f64>,
    /// clear, broken or overcast.
    #[arg(long)]
    sky: Option<String>,
    /// dry, rain or fog.
    #[arg(long)]
    wet: Option<String>,
}

pub(super) fn run(args: &SeenArgs) -> Result<(), Failed> {
    if looked_up(&args.telling, Book::Observations)? {
        return Ok(());
    }
    let Some(what) = &args.what else {
        return Err(Failed::given("seen: say what was seen: look, finger or leaves; or --list, --undo NUMBER"));
    };
    tell(&args.telling, &args.by, what.saw()?)
}

pub(super) fn run_heard(args: &HeardArgs) -> Result<(), Failed> {
    if looked_up(&args.telling, Book::Observations)? {
        return Ok(());
    }
    let Some(of) = args.of.clone() else {
        return Err(Failed::given("heard: say of when: today, tonight or tomorrow; or --list, --undo NUMBER"));
    };
    let (wind, sky, wet) = (args.wind.clone(), args.sky.clone(), args.wet.clone());
    let heard = HeardSaid { of, low_c: args.low, high_c: args.high, wind, gust_m_s: args.gusts, sky, wet };
    tell(&args.telling, &args.by, Saw { heard: Some(heard), ..Saw::default() })
}

fn tell(telling: &TellingArgs, by: &str, saw: Saw) -> Result<(), Failed> {
    let mut teller = Teller::open(&telling.data)?;
    let t = instant(telling.at.as_deref(), &teller.garden(), Clock::System.now())?;
    let said = teller.saw(&Saw { t, teller: by.to_owned(), ..saw })?;
    teller.close()?;
    say!("Noted: {}.", lowered(&said));
    Ok(())
}

impl What {
    fn saw(&self) -> Result<Saw, Failed> {
        let saw = Saw::default();
        Ok(match self {
            What::Look { sky, wind, wet, from } => {
                let wind_from_deg = from.as_deref().map(degrees).transpose()?;
                let look = LookSaid { sky: sky.clone(), wind: wind.clone(), wet: wet.clone(), wind_from_deg };
                Saw { look: Some(look), ..saw }
            }
            What::Finger { bed, feel } => {
                Saw { finger: Some(FingerSaid { bed: bed.clone(), feel: feel.clone() }), ..saw }
            }
            What::Leaves { structure, state } => {
                let wet = match state.as_str() {
                    "wet" => true,
                    "dry" => false,
                    other => {
                        return Err(Failed::given(format!("leaves: {other:?} is not known here; allowed: wet, dry")));
                    }
                };
                Saw { leaves: Some(LeavesSaid { structure: structure.clone(), wet }), ..saw }
            }
        })
    }
}

/// Degrees from north of a compass point.
fn degrees(side: &str) -> Result<f64, Failed> {
    const POINTS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    let wanted = side.to_uppercase();
    let place = POINTS.iter().position(|point| *point == wanted);
    place
        .map(|n| n as f64 * 45.0)
        .ok_or_else(|| Failed::given(format!("--from {side}: is not known here; allowed: {}", POINTS.join(", "))))
}
