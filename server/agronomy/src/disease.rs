//! When the weather lets a disease in: the generic infection model, and the rules of single crops.
//!
//! These are rules of weather, not of disease: nothing here knows whether there are spores. None has been validated in unheated tunnels at 50 to 52° N
//! (wetness sheet 8). [`names`] says what of it may be named to a grower, and how.

pub mod blight;
pub mod constants;
pub mod cucurbit;
pub mod dry_mildew;
pub mod grey_mould;
pub mod infection;
pub mod latent;
pub mod lettuce;
pub mod names;
pub mod onion;
pub mod rows;
pub mod stem_rot;

/// What a rule says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Verdict {
    /// Not met.
    No,
    /// Met.
    Yes,
    /// Too little is known to say.
    #[default]
    Unknown,
}

impl Verdict {
    /// Yes where `met`, else no.
    pub const fn from_bool(met: bool) -> Verdict {
        if met { Verdict::Yes } else { Verdict::No }
    }

    /// Whether it is a plain yes.
    pub const fn is_yes(self) -> bool {
        matches!(self, Verdict::Yes)
    }

    /// Both: no where either is no, unknown where the rest hangs on an unknown.
    ///
    /// ```
    /// use propstick_agronomy::disease::Verdict::{No, Unknown, Yes};
    /// assert_eq!([Yes.and(Yes), Yes.and(Unknown), Unknown.and(No)], [Yes, Unknown, No]);
    /// ```
    pub const fn and(self, other: Verdict) -> Verdict {
        match (self, other) {
            (Verdict::No, _) | (_, Verdict::No) => Verdict::No,
            (Verdict::Yes, Verdict::Yes) => Verdict::Yes,
            _ => Verdict::Unknown,
        }
    }
}
