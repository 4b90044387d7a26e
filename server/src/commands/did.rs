//! `propstick did`.

use clap::{Args, Subcommand};
use propstick_garden::record::{Did, OVERHEAD};

use super::Failed;
use super::telling::{Book, Teller, TellingArgs, instant, looked_up, lowered};
use crate::clock::Clock;

#[derive(Args)]
#[command(args_conflicts_with_subcommands = false)]
pub(super) struct DidArgs {
    #[command(flatten)]
    telling: TellingArgs,
    #[command(subcommand)]
    what: Option<What>,
}

#[derive(Subcommand)]
enum What {
    /// A door, lid, side or flap was set.
    Vent {
        /// Its short name in the garden file.
        opening: String,
        /// How far: closed, crack, half or full, whichever that opening has.
        notch: String,
    },
    /// A bed was watered, or everything in a structure.
    Water {
        /// Short name of the bed or structure.
        place: String,
        /// How much, in the unit that follows.
        #[arg(requires = "unit")]
        amount: Option<f64>,
        /// L, can, min (of drip) or mm.
        unit: Option<String>,
        /// From above, so that leaves got wet; otherwise at the roots.
        #[arg(long)]
        overhead: bool,
    },
    /// A cover was laid, folded back or taken off.
    Fleece {
        /// Its short name in the garden file.
        cover: String,
        /// on, folded or off.
        state: String,
    },
    /// Something was found on the crop, or nothing after a look.
    Found {
        /// Short name of the bed or structure.
        place: String,
        /// A disease by its word, something, or nothing.
        what: String,
        /// How many plants.
        count: Option<f64>,
    },
    /// Advice was followed.
    Done {
        /// Its number.
        advice: i64,
    },
    /// Advice was left.
    NotDone {
        /// Its number.
        advice: i64,
    },
}

pub(super) fn run(args: &DidArgs) -> Result<(), Failed> {
    if looked_up(&args.telling, Book::Events)? {
        return Ok(());
    }
    let Some(what) = &args.what else {
        return Err(Failed::given(
            "did: say what was done: vent, water, fleece, found, done or not-done; or --list, --undo NUMBER",
        ));
    };
    let mut teller = Teller::open(&args.telling.data)?;
    let t = instant(args.telling.at.as_deref(), &teller.garden(), Clock::System.now())?;
    let said = teller.did(&Did { t, ..what.did() })?;
    teller.close()?;
    say!("Noted: {}.", lowered(&said));
    Ok(())
}

impl What {
    fn did(&self) -> Did {
        let did = |kind: &str, target: &str, what: &str| Did {
            kind: kind.to_owned(),
            target: Some(target.to_owned()),
            what: Some(what.to_owned()),
            ..Did::default()
        };
        let of_advice = |kind: &str, number: i64| Did { target: None, ..did(kind, "", &number.to_string()) };
        match self {
            What::Vent { opening, notch } => did("vent", opening, notch),
            What::Water { place, amount, unit, overhead } => Did {
                what: overhead.then(|| OVERHEAD.to_owned()),
                amount: *amount,
                unit: unit.as_deref().map(|unit| singular(unit).to_owned()),
                ..did("water", place, "")
            },
            What::Fleece { cover, state } => did("fleece", cover, state),
            What::Found { place, what, count } => {
                Did { amount: *count, unit: count.map(|_| "count".to_owned()), ..did("found", place, what) }
            }
            What::Done { advice } => of_advice("done", *advice),
            What::NotDone { advice } => of_advice("not_done", *advice),
        }
    }
}

/// Units as one types them.
fn singular(unit: &str) -> &str {
    match unit {
        "cans" => "can",
        "l" | "litre" | "litres" => "L",
        "minutes" => "min",
        other => other,
    }
}
