//! What to mind, in sentences: the same for openings and covers.

use crate::advice::Caution;

/// The sentence of a caution.
pub const fn caution_words(caution: Caution) -> &'static str {
    match caution {
        Caution::StayIn => "Nobody goes out in the dark, on ice or in a wind.",
        Caution::Fasten => "By daylight only, and nobody up a ladder.",
        Caution::LeaveFrozenAlone => "No picking, watering or lifting of fleece until the leaves are soft.",
        Caution::InSteps => "In steps: soft leaves suffer from a sudden cold draught.",
        Caution::NoThroughDraught => "Keep the other end shut: no draught through soft seedlings.",
        Caution::MoveTrays => "Too cold for tender trays: move them indoors, or fleece them.",
        Caution::LookOutFirst => "Look out first.",
        Caution::ShutIfFrostOrGaleHeard => "Shut before dark if frost or a gale is heard for the night.",
        Caution::KeepTonight => "Keep it so tonight: it is heard to stay mild.",
        Caution::KeepOpenNights => "Leave it open tonight, and every night above about 12 °C.",
        Caution::WindwardIfRainIn => "Shut the end towards the wind if rain blows in.",
        Caution::RainReaches => "Rain reaches the leaves under an open lid or a lifted side; it counts as wet.",
        Caution::OnlyIfSoft => "Only if the leaves are soft; if they are stiff, leave it.",
        Caution::NotForThisInTheDark => "Not worth going out for in the dark: leave it as it stands.",
        Caution::AllOrNothing => "It can only be shut or wide, and wide is too much in this cold.",
    }
}
