//! Things seen or heard as somebody tells them, read into observations.

use propstick_wire::Millis;
use serde::{Deserialize, Serialize};

use super::did::structure_of;
use super::telling::{in_range, instant, known, word};
use super::{Feel, Forecast, ForecastFor, Observation, Seen, Sky, Untold, Wet, Wind, WindowLook};
use crate::instant::to_rfc3339;
use crate::model::Garden;

/// A thing seen or heard, in words: the body of a request, and of a recording's line. Exactly one of its four kinds is told.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Saw {
    /// When, RFC 3339; now if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub t: Option<String>,
    /// Who tells it, in a word of at most 40 characters.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub teller: String,
    /// A look out of the window.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub look: Option<LookSaid>,
    /// A forecast as it was heard.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heard: Option<HeardSaid>,
    /// A finger in a bed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finger: Option<FingerSaid>,
    /// Leaves looked at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leaves: Option<LeavesSaid>,
}

/// A look out of the window.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LookSaid {
    /// The word of a [`Sky`].
    pub sky: String,
    /// The word of a [`Wind`].
    pub wind: String,
    /// The word of a [`Wet`].
    pub wet: String,
    /// Where the wind comes from, degrees from north, 0 to 360.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wind_from_deg: Option<f64>,
}

/// A forecast as it was heard; at least one thing besides `of`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeardSaid {
    /// The word of a [`ForecastFor`].
    pub of: String,
    /// Lowest, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low_c: Option<f64>,
    /// Highest, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high_c: Option<f64>,
    /// The word of a [`Wind`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wind: Option<String>,
    /// Gusts, m/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gust_m_s: Option<f64>,
    /// The word of a [`Sky`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sky: Option<String>,
    /// The word of a [`Wet`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wet: Option<String>,
}

/// A finger in a bed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FingerSaid {
    /// Slug of the bed.
    pub bed: String,
    /// The word of a [`Feel`].
    pub feel: String,
}

/// Leaves looked at.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeavesSaid {
    /// Slug of the structure.
    pub structure: String,
    /// Whether they were wet.
    pub wet: bool,
}

impl Saw {
    /// An observation in words.
    pub fn of(observation: &Observation) -> Saw {
        let base = Saw { t: Some(to_rfc3339(observation.t)), teller: observation.teller.clone(), ..Saw::default() };
        match &observation.seen {
            Seen::Look(l) => {
                let (sky, wind, wet) = (l.sky.word().into(), l.wind.word().into(), l.wet.word().into());
                Saw { look: Some(LookSaid { sky, wind, wet, wind_from_deg: l.wind_from_deg }), ..base }
            }
            Seen::Heard(f) => Saw {
                heard: Some(HeardSaid {
                    of: f.of.word().into(),
                    low_c: f.low_c,
                    high_c: f.high_c,
                    wind: f.wind.map(|w| w.word().into()),
                    gust_m_s: f.gust_m_s,
                    sky: f.sky.map(|s| s.word().into()),
                    wet: f.wet.map(|w| w.word().into()),
                }),
                ..base
            },
            Seen::Finger { bed, feel } => {
                Saw { finger: Some(FingerSaid { bed: bed.clone(), feel: feel.word().into() }), ..base }
            }
            Seen::Leaves { structure, wet } => {
                Saw { leaves: Some(LeavesSaid { structure: structure.clone(), wet: *wet }), ..base }
            }
        }
    }

    /// The observation that the words tell, checked against the garden.
    ///
    /// # Errors
    /// The first thing wrong, with its key, what stands there and what is allowed.
    pub fn observation(&self, garden: &Garden, now: Millis) -> Result<Observation, Untold> {
        let t = instant(self.t.as_deref(), now)?;
        let teller = self.teller.trim();
        if teller.chars().count() > 40 || teller.chars().any(char::is_control) {
            return Err(Untold::new("teller", teller, "is no name", "at most 40 characters in one line"));
        }
        let seen = self.seen(t)?;
        match &seen {
            Seen::Finger { bed, .. } => known("finger.bed", bed, garden.beds.iter().map(|b| b.slug.as_str()))?,
            Seen::Leaves { structure, .. } => {
                known("leaves.structure", structure, garden.structures.iter().map(|s| s.slug.as_str()))?;
            }
            Seen::Look(_) | Seen::Heard(_) => {}
        }
        Ok(Observation { id: 0, t, teller: teller.to_owned(), seen, undone_at: None })
    }

    /// What was seen or heard at `t`; the places are not looked up.
    ///
    /// # Errors
    /// The first thing wrong, with its key, what stands there and what is allowed.
    pub fn seen(&self, t: Millis) -> Result<Seen, Untold> {
        match (&self.look, &self.heard, &self.finger, &self.leaves) {
            (Some(look), None, None, None) => look.read(t).map(Seen::Look),
            (None, Some(heard), None, None) => heard.read(t).map(Seen::Heard),
            (None, None, Some(f), None) => {
                let feel = word("finger.feel", &f.feel, &Feel::ALL, Feel::word)?;
                Ok(Seen::Finger { bed: f.bed.clone(), feel })
            }
            (None, None, None, Some(l)) => Ok(Seen::Leaves { structure: l.structure.clone(), wet: l.wet }),
            all => {
                let (look, heard, finger, leaves) = all;
                let told = [look.is_some(), heard.is_some(), finger.is_some(), leaves.is_some()];
                let told = told.iter().filter(|told| **told).count().to_string();
                let allowed = "exactly one of look, heard, finger, leaves";
                Err(Untold::new("observation", told, "things are told at once", allowed))
            }
        }
    }
}

impl LookSaid {
    fn read(&self, at: Millis) -> Result<WindowLook, Untold> {
        let from =
            self.wind_from_deg.map(|deg| in_range("look.wind_from_deg", deg, 0.0, 360.0, "degrees")).transpose()?;
        Ok(WindowLook {
            at,
            sky: word("look.sky", &self.sky, &Sky::ALL, Sky::word)?,
            wind: word("look.wind", &self.wind, &Wind::ALL, Wind::word)?,
            wet: word("look.wet", &self.wet, &Wet::ALL, Wet::word)?,
            wind_from_deg: from,
        })
    }
}

impl HeardSaid {
    fn read(&self, at: Millis) -> Result<Forecast, Untold> {
        let degrees = |key: &str, v: Option<f64>| v.map(|v| in_range(key, v, -40.0, 50.0, "°C")).transpose();
        let (low_c, high_c) = (degrees("heard.low_c", self.low_c)?, degrees("heard.high_c", self.high_c)?);
        if let (Some(low), Some(high)) = (low_c, high_c)
            && low > high
        {
            let says = format!("is below the low, {low}");
            return Err(Untold::new("heard.high_c", high.to_string(), says, format!("{low} to 50 °C")));
        }
        let forecast = Forecast {
            at,
            of: word("heard.of", &self.of, &ForecastFor::ALL, ForecastFor::word)?,
            low_c,
            high_c,
            wind: self.wind.as_deref().map(|w| word("heard.wind", w, &Wind::ALL, Wind::word)).transpose()?,
            gust_m_s: self.gust_m_s.map(|v| in_range("heard.gust_m_s", v, 0.0, 90.0, "m/s")).transpose()?,
            sky: self.sky.as_deref().map(|w| word("heard.sky", w, &Sky::ALL, Sky::word)).transpose()?,
            wet: self.wet.as_deref().map(|w| word("heard.wet", w, &Wet::ALL, Wet::word)).transpose()?,
        };
        let Forecast { low_c, high_c, wind, gust_m_s, sky, wet, .. } = &forecast;
        let figures = low_c.or(*high_c).or(*gust_m_s).is_some();
        if figures || wind.is_some() || sky.is_some() || wet.is_some() {
            return Ok(forecast);
        }
        Err(Untold::new("heard", "", "says nothing", "at least one of low_c, high_c, wind, gust_m_s, sky, wet"))
    }
}

impl Seen {
    /// Its kind, in the word that the telling has for it.
    pub const fn kind(&self) -> &'static str {
        match self {
            Seen::Look(_) => "look",
            Seen::Heard(_) => "heard",
            Seen::Finger { .. } => "finger",
            Seen::Leaves { .. } => "leaves",
        }
    }

    /// What it was seen of: the slug of a bed or a structure; none for the weather.
    pub fn target(&self) -> Option<&str> {
        match self {
            Seen::Look(_) | Seen::Heard(_) => None,
            Seen::Finger { bed, .. } => Some(bed),
            Seen::Leaves { structure, .. } => Some(structure),
        }
    }
}

impl Observation {
    /// The structure that it was seen in; none for the weather, and for what no longer stands in the garden.
    pub fn structure<'g>(&self, garden: &'g Garden) -> Option<&'g str> {
        structure_of(garden, self.seen.target()?)
    }
}

/// The kinds of things seen or heard.
pub const SEEN_KINDS: [&str; 4] = ["look", "heard", "finger", "leaves"];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::parse_garden;

    fn garden() -> Garden {
        parse_garden(
            r#"
            garden = { name = "G", lat = 52, lon = -8, zone = "Europe/Dublin" }
            structure = [{ slug = "tunnel", kind = "tunnel", name = "Tunnel" }]
            bed = [{ slug = "west", structure = "tunnel" }]"#,
        )
        .unwrap()
    }

    fn look() -> Saw {
        let look = LookSaid { sky: "clear".into(), wind: "calm".into(), wet: "dry".into(), wind_from_deg: Some(225.0) };
        Saw { look: Some(look), teller: " Ann ".into(), ..Saw::default() }
    }

    fn heard(change: impl Fn(&mut HeardSaid)) -> Saw {
        let mut heard = HeardSaid { of: "tonight".into(), ..HeardSaid::default() };
        change(&mut heard);
        Saw { heard: Some(heard), ..Saw::default() }
    }

    fn finger(bed: &str, feel: &str) -> Saw {
        Saw { finger: Some(FingerSaid { bed: bed.into(), feel: feel.into() }), ..Saw::default() }
    }

    fn leaves(structure: &str) -> Saw {
        Saw { leaves: Some(LeavesSaid { structure: structure.into(), wet: true }), ..Saw::default() }
    }

    #[test]
    fn things_of_every_kind_are_taken_and_come_back_from_their_own_words() {
        let now = Millis(1_772_366_400_000);
        for saw in [
            look(),
            heard(|h| h.low_c = Some(-2.0)),
            heard(|h| h.wind = Some("gale".into())),
            finger("west", "dry"),
            leaves("tunnel"),
        ] {
            let seen = saw.observation(&garden(), now).unwrap();
            assert_eq!(seen.t, now);
            assert_eq!(Saw::of(&seen).observation(&garden(), now.plus(1)).unwrap(), seen);
            assert!(SEEN_KINDS.contains(&seen.seen.kind()));
        }
        assert_eq!(look().observation(&garden(), now).unwrap().teller, "Ann");
        assert_eq!(finger("west", "wet").observation(&garden(), now).unwrap().structure(&garden()), Some("tunnel"));
    }

    #[test]
    fn what_cannot_be_meant_is_refused_with_key_value_and_what_is_allowed() {
        let bad_look = |change: fn(&mut LookSaid)| {
            let mut saw = look();
            change(saw.look.as_mut().unwrap());
            saw
        };
        for (saw, key, value, allowed) in [
            (bad_look(|l| l.sky = "blue".into()), "look.sky", "blue", "clear, broken, overcast"),
            (bad_look(|l| l.wind = "storm".into()), "look.wind", "storm", "calm, light, fresh, gale"),
            (bad_look(|l| l.wet = "snow".into()), "look.wet", "snow", "dry, rain, fog"),
            (bad_look(|l| l.wind_from_deg = Some(361.0)), "look.wind_from_deg", "361", "0 to 360 degrees"),
            (heard(|_| {}), "heard", "", "at least one of"),
            (heard(|h| h.of = "next week".into()), "heard.of", "next week", "today, tonight, tomorrow"),
            (heard(|h| h.low_c = Some(f64::NAN)), "heard.low_c", "NaN", "-40 to 50 °C"),
            (heard(|h| (h.low_c, h.high_c) = (Some(5.0), Some(2.0))), "heard.high_c", "2", "5 to 50 °C"),
            (heard(|h| h.gust_m_s = Some(120.0)), "heard.gust_m_s", "120", "0 to 90 m/s"),
            (finger("east", "dry"), "finger.bed", "east", "west"),
            (finger("west", "soggy"), "finger.feel", "soggy", "dry, moist, wet"),
            (leaves("frame"), "leaves.structure", "frame", "tunnel"),
            (Saw::default(), "observation", "0", "exactly one of"),
            (Saw { leaves: leaves("tunnel").leaves, ..look() }, "observation", "2", "exactly one of"),
            (Saw { teller: "x".repeat(41), ..look() }, "teller", &"x".repeat(41), "40 characters"),
            (Saw { t: Some("2999-01-01T00:00:00Z".into()), ..look() }, "t", "2999-01-01T00:00:00Z", "not after"),
        ] {
            let e = saw.observation(&garden(), Millis(1_772_366_400_000)).unwrap_err();
            assert_eq!((e.at.as_str(), e.value.as_str()), (key, value), "{e}");
            assert!(e.allowed.contains(allowed), "{e}");
        }
    }
}
