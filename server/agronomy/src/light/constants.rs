//! The constants of light under cover, each once. Section numbers are those of the project's sheet on climate and water.

use crate::sourced::Provenance::{Memory, Published, Secondary};
use crate::sourced::Sourced;

const S_3_5: &str = "climate sheet 3.5";
const FLEECE: &str = "horticulture press for 0.80 to 0.85, the rest from memory; climate sheet 3.5";

/// Growth light in a megajoule of sun: 0.45 of it is in the range plants use, at 4.57 mol/MJ.
pub const MOL_PER_MJ: Sourced = Sourced::new(
    "growth-light-of-sun",
    (2.06, "mol/MJ"),
    (1.9, 2.2),
    Published,
    "McCree 1972; Thimijan & Heins 1983; climate sheet 3.5",
);
/// A single-skin walk-in tunnel, frame, film and everyday dirt together.
pub const TUNNEL: Sourced = Sourced::new("tunnel-transmission", (0.65, "1"), (0.40, 0.85), Memory, S_3_5);
/// The same when new and clean.
pub const TUNNEL_NEW: Sourced = Sourced::new("tunnel-transmission-new", (0.75, "1"), (0.60, 0.85), Memory, S_3_5);
/// The same when old or dirty.
pub const TUNNEL_OLD: Sourced = Sourced::new("tunnel-transmission-old", (0.55, "1"), (0.35, 0.70), Memory, S_3_5);
/// One film alone, new, without frame or dirt.
pub const FILM: Sourced = Sourced::new("film-transmission", (0.85, "1"), (0.80, 0.90), Memory, S_3_5);
/// Two films with air between, new, without frame or dirt.
pub const FILM_DOUBLE: Sourced = Sourced::new("film-double-transmission", (0.75, "1"), (0.70, 0.80), Memory, S_3_5);
/// What frame and bars let through.
pub const FRAME: Sourced = Sourced::new("frame-transmission", (0.92, "1"), (0.90, 0.95), Memory, S_3_5);
/// Glass of a frame or house, clean.
pub const GLASS: Sourced =
    Sourced::new("glass-transmission", (0.85, "1"), (0.75, 0.90), Memory, "typical of single horticultural glass");
/// Fleece of 17 g/m².
pub const FLEECE_17: Sourced = Sourced::new("fleece-17-transmission", (0.85, "1"), (0.75, 0.90), Secondary, FLEECE);
/// Fleece of 30 g/m².
pub const FLEECE_30: Sourced = Sourced::new("fleece-30-transmission", (0.75, "1"), (0.65, 0.85), Memory, FLEECE);

/// All of them.
pub const ALL: &[&Sourced] =
    &[&MOL_PER_MJ, &TUNNEL, &TUNNEL_NEW, &TUNNEL_OLD, &FILM, &FILM_DOUBLE, &FRAME, &GLASS, &FLEECE_17, &FLEECE_30];
