//! The garden as it really is at an instant: what no sensor tells exactly.

use propstick_agronomy::tunnel_model::TunnelState;
use propstick_garden::model::Notch;
use propstick_wire::Millis;
use propstick_wire::millis::{MINUTE, SECOND};

use super::DAY;
use super::cover::{FRAME, LOW_TUNNEL, Shape, TUNNEL};
use super::diary::Entry;
use super::grower::Grower;
use super::weather::{Outside, Weather, grams, towards};

/// Longest step of the weather and of what it acts on.
pub(super) const STEP_MS: i64 = 5 * MINUTE;

/// Where something is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum At {
    Screen,
    TunnelMiddle,
    TunnelCorner,
    TunnelBench,
    LowTunnel,
    Frame,
}

/// What is there.
#[derive(Clone, Copy, Debug)]
pub(super) struct There {
    pub(super) air_c: f64,
    pub(super) humidity_pct: f64,
    pub(super) soil_c: f64,
    pub(super) sun_w_m2: f64,
}

/// The whole garden.
pub(super) struct World {
    at: Millis,
    weather: Weather,
    grower: Grower,
    covers: [(Shape, TunnelState); 3],
    /// At the probes, which follow the mass slowly: tunnel bed, tunnel edge, low tunnel.
    soil_c: [f64; 3],
}

impl World {
    /// The garden at `at`, with five days behind it to forget how it was set up.
    pub(super) fn new(seed: u64, at: Millis) -> World {
        let start = at.plus(-5 * DAY);
        let weather = Weather::new(seed, start);
        let outside = *weather.now();
        let inside =
            TunnelState { air_c: outside.air_c, mass_c: outside.deep_soil_c, vapour_g_m3: outside.vapour_g_m3 };
        let mut world = World {
            at: start,
            weather,
            grower: Grower::new(seed),
            covers: [TUNNEL, LOW_TUNNEL, FRAME].map(|shape| (shape, inside)),
            soil_c: [outside.deep_soil_c; 3],
        };
        world.advance_to(at);
        world
    }

    /// The instant it stands at.
    pub(super) fn at(&self) -> Millis {
        self.at
    }

    /// Lets time pass until `at`, in equal steps of at most five minutes; an instant that is past already changes nothing.
    pub(super) fn advance_to(&mut self, at: Millis) {
        let all_ms = at.since(self.at);
        if all_ms <= 0 {
            return;
        }
        let steps = all_ms.unsigned_abs().div_ceil(STEP_MS.unsigned_abs()) as i64;
        let from = self.at;
        for n in 1..=steps {
            self.step(from.plus(all_ms / steps * n + all_ms % steps * n / steps));
        }
    }

    fn step(&mut self, at: Millis) {
        let seconds = at.since(self.at) as f64 / SECOND as f64;
        self.at = at;
        self.weather.step(at, seconds);
        let outside = *self.weather.now();
        let inside_c = [0, 1, 2].map(|n: usize| self.covers[n].1.air_c);
        self.grower.look(at, &outside, inside_c);
        for ((shape, state), notch) in self.covers.iter_mut().zip(self.grower.notches()) {
            *state = shape.step(*state, &outside, notch, seconds);
        }
        let [tunnel, low, _] = [0, 1, 2].map(|n: usize| self.covers[n].1.mass_c);
        let edge = 0.6 * tunnel + 0.4 * (0.5 * outside.air_c + 0.5 * outside.deep_soil_c);
        for (soil_c, (to_c, hours)) in self.soil_c.iter_mut().zip([(tunnel, 3.0), (edge, 5.0), (low, 3.0)]) {
            *soil_c = towards(*soil_c, to_c, seconds, hours * 3_600.0);
        }
    }

    /// What the grower told since this was last asked.
    pub(super) fn told(&mut self) -> Vec<(Millis, Entry)> {
        self.grower.told()
    }

    /// What is at a place now, as a sensor there would feel it: warmed by the sun on its shield.
    pub(super) fn there(&self, place: At) -> There {
        let outside = self.weather.now();
        match place {
            At::Screen => There {
                air_c: outside.air_c,
                humidity_pct: outside.humidity_pct,
                soil_c: outside.deep_soil_c,
                sun_w_m2: outside.sun_w_m2,
            },
            At::TunnelMiddle => self.under(0, 0.0, self.soil_c[0]),
            At::TunnelCorner => self.under(0, self.corner_k(outside), self.soil_c[1]),
            At::TunnelBench => self.under(0, self.bench_k(outside), self.soil_c[0]),
            At::LowTunnel => self.under(1, 0.0, self.soil_c[2]),
            At::Frame => self.under(2, 0.0, self.covers[2].1.mass_c),
        }
    }

    /// Under a cover, `warmer_k` warmer than its air is on the whole.
    fn under(&self, cover: usize, warmer_k: f64, soil_c: f64) -> There {
        let (shape, state) = &self.covers[cover];
        let sun_w_m2 = shape.lets_through * self.weather.now().sun_w_m2;
        // Climate sheet 7: +1.5 °C at 300 W/m² for a shield without a fan; these are better ones.
        let air_c = state.air_c + warmer_k + 0.8 * sun_w_m2 / 300.0;
        let humidity_pct = (100.0 * state.vapour_g_m3 / grams(air_c, 100.0)).min(100.0);
        There { air_c, humidity_pct, soil_c, sun_w_m2 }
    }

    /// The edge of a tunnel is colder, most of all on clear nights (climate sheet 5.2: about 2 °C).
    fn corner_k(&self, outside: &Outside) -> f64 {
        let night = if outside.sun_w_m2 > 5.0 { 0.3 } else { 1.0 };
        0.2 * (outside.air_c - self.covers[0].1.air_c) - 0.2 - 1.2 * night * (1.0 - outside.cloud)
    }

    /// The bench stands in the light near the south-west door.
    fn bench_k(&self, outside: &Outside) -> f64 {
        let draught = match self.grower.notches()[0] {
            Notch::Closed => 0.03,
            Notch::Crack => 0.06,
            Notch::Half => 0.15,
            Notch::Full => 0.25,
        };
        draught * (outside.air_c - self.covers[0].1.air_c) + 0.002 * outside.sun_w_m2
    }

    #[cfg(test)]
    pub(super) fn outside(&self) -> &Outside {
        self.weather.now()
    }

    #[cfg(test)]
    pub(super) fn inside(&self, cover: usize) -> TunnelState {
        self.covers[cover].1
    }
}
