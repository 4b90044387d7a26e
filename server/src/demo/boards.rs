//! The boards of the demo's garden and how their sensors err.

use propstick_wire::message::StateReport;
use propstick_wire::millis::SECOND;
use propstick_wire::{BoardUrn, Decimal, Millis, QueueId};

use super::DAY;
use super::chance::Chance;
use super::queue::{MOST_CHANNELS, Oddity, Queue, Sample};
use super::weather::towards;
use super::world::{At, There};

/// What a channel measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Air,
    Humidity,
    Soil,
    Light,
}

/// One channel: its name and unit as sent.
#[derive(Clone, Copy, Debug)]
pub(super) struct Channel {
    pub(super) kind: Kind,
    pub(super) name: &'static str,
    pub(super) unit: &'static str,
}

const AIR: Channel = Channel { kind: Kind::Air, name: "air-temperature", unit: "Cel" };
const HUMIDITY: Channel = Channel { kind: Kind::Humidity, name: "air-humidity", unit: "%RH" };
const SOIL: Channel = Channel { kind: Kind::Soil, name: "soil-temperature", unit: "Cel" };
const LIGHT: Channel = Channel { kind: Kind::Light, name: "light", unit: "W/m2" };

/// A board as it was bought and put up.
pub(super) struct Plan {
    pub(super) urn: &'static str,
    pub(super) at: At,
    pub(super) channels: &'static [Channel],
    /// How long after each full five minutes it samples.
    pub(super) phase_ms: i64,
    /// Runs on a battery and so sleeps between reports.
    battery: bool,
    /// How much too warm it reads, °C, and how much too damp, %RH.
    errs: (f64, f64),
}

/// All boards. The two of the low tunnel follow one another; see [`OLD`] and [`NEW`].
pub(super) const PLANS: [Plan; 7] = [
    plan("urn:dev:mac:02005efffe10a2b1", At::Screen, &[AIR, HUMIDITY, LIGHT], 4, false, (0.05, 0.8)),
    plan("urn:dev:mac:02005efffe10a2b3", At::TunnelMiddle, &[AIR, HUMIDITY, SOIL], 11, false, (-0.08, 0.5)),
    plan("urn:dev:mac:02005efffe10a2b4", At::TunnelCorner, &[AIR, SOIL], 17, true, (0.12, 0.0)),
    plan("urn:dev:mac:02005efffe10a2b6", At::TunnelBench, &[AIR, HUMIDITY], 23, true, (0.02, -0.7)),
    plan("urn:dev:mac:02005efffe10a2b8", At::LowTunnel, &[AIR, HUMIDITY, SOIL], 29, true, (0.10, 1.1)),
    plan("urn:dev:mac:02005efffe10a2bd", At::LowTunnel, &[AIR, HUMIDITY, SOIL], 34, true, (-0.04, 0.2)),
    plan("urn:dev:mac:02005efffe10a2b9", At::Frame, &[AIR, HUMIDITY], 41, true, (0.07, 0.9)),
];

pub(super) const SCREEN: usize = 0;
pub(super) const MIDDLE: usize = 1;
pub(super) const CORNER: usize = 2;
pub(super) const BENCH: usize = 3;
/// The low tunnel's board until it was replaced.
pub(super) const OLD: usize = 4;
/// The low tunnel's board from then on.
pub(super) const NEW: usize = 5;
pub(super) const FRAME: usize = 6;

const fn plan(
    urn: &'static str,
    at: At,
    channels: &'static [Channel],
    phase_s: i64,
    battery: bool,
    errs: (f64, f64),
) -> Plan {
    Plan { urn, at, channels, phase_ms: phase_s * SECOND, battery, errs }
}

/// A board at work.
pub(super) struct Board {
    pub(super) plan: &'static Plan,
    pub(super) urn: BoardUrn,
    pub(super) chance: Chance,
    pub(super) queue: Queue,
    pub(super) boot: u32,
    pub(super) reset: &'static str,
    /// Since when its battery is in.
    pub(super) battery_from: Millis,
    /// While set, its humidity sensor says the same whatever the air does.
    pub(super) humidity_stuck: bool,
    /// What a damp spell has added to its humidity, %RH.
    soaked_pct: f64,
    last: Option<(Millis, [i32; MOST_CHANNELS])>,
}

impl Board {
    /// The board numbered `n` in [`PLANS`], put up before `at`.
    pub(super) fn new(seed: u64, n: usize, at: Millis) -> Option<Board> {
        let plan = PLANS.get(n)?;
        let urn = BoardUrn::parse(plan.urn).ok()?;
        let mut chance = Chance::new(seed, 100 + n as u64);
        let id = QueueId((chance.bits() >> 32) as u32);
        Some(Board {
            plan,
            urn,
            queue: Queue::new(urn, plan.channels, id),
            boot: 1 + (chance.bits() % 4) as u32,
            chance,
            reset: "power-on",
            battery_from: at.plus(-(20 + 9 * n as i64) * DAY),
            humidity_stuck: false,
            soaked_pct: 0.0,
            last: None,
        })
    }

    /// Takes a sample of what is there and queues it.
    pub(super) fn sample(&mut self, at: Millis, there: &There, oddity: Oddity) {
        let gone_s = self.last.map_or(300.0, |(before, _)| at.since(before) as f64 / SECOND as f64);
        let mut hundredths = [0; MOST_CHANNELS];
        for (n, channel) in self.plan.channels.iter().enumerate().take(MOST_CHANNELS) {
            let value = match channel.kind {
                Kind::Air => there.air_c + self.plan.errs.0 + 0.03 * self.chance.normal(),
                Kind::Humidity => self.humidity_pct(there, gone_s),
                Kind::Soil => there.soil_c + 0.02 * self.chance.normal(),
                Kind::Light => (there.sun_w_m2 * (1.0 + 0.004 * self.chance.normal())).max(0.0),
            };
            hundredths[n] = match (oddity, self.last) {
                (Oddity::Says(odd, said), _) if odd == channel.kind => said,
                (_, Some((_, last))) if channel.kind == Kind::Humidity && self.humidity_stuck => last[n],
                _ => (value * 100.0).round() as i32,
            };
        }
        self.last = Some((at, hundredths));
        self.queue.push(Sample { at, hundredths, oddity });
    }

    /// What the humidity sensor makes of the air. After long damp it reads a few percent high (climate sheet 7), and near saturation it
    /// pins at 100 and a little over.
    fn humidity_pct(&mut self, there: &There, gone_s: f64) -> f64 {
        let (to, memory_h) = if there.humidity_pct > 88.0 { (2.2, 60.0) } else { (0.0, 24.0) };
        self.soaked_pct = towards(self.soaked_pct, to, gone_s, memory_h * 3_600.0);
        let felt = there.humidity_pct + self.plan.errs.1 + self.soaked_pct + 0.12 * self.chance.normal();
        let over = felt - 100.0;
        if over > 0.0 { 100.0 + 0.15 * over } else { felt.max(0.0) }
    }

    /// Forgets what it was, as a power cut makes it.
    pub(super) fn restart(&mut self, reset: &'static str) {
        self.boot += 1;
        self.reset = reset;
        self.soaked_pct = 0.0;
    }

    /// What it says of itself.
    pub(super) fn state(&mut self, at: Millis, sleeps: Sleeps) -> String {
        let volts = self.battery_volts(at);
        let low = self.plan.battery && volts < 3.4;
        let faults: &[&str] = if low { &["battery:low"] } else { &[] };
        let (sleeps, next_report_s, settings, sampled_from) = match sleeps {
            Sleeps::AsBuilt => (self.plan.battery, 900, 0, "sntp"),
            Sleeps::Never { next_report_s, settings } => (false, next_report_s, settings, "sntp"),
        };
        let report = StateReport {
            online: true,
            sleeps,
            next_report_s,
            queue: self.queue.id(),
            queued: self.queue.held() as u32,
            dropped: self.queue.dropped(),
            boot: self.boot,
            reset: self.reset,
            clock: sampled_from,
            fw: "0.1.0",
            settings,
            battery_v: self.plan.battery.then(|| Decimal::new((volts * 100.0).round() as i64, 2)),
            signal_dbw: Some(-98 - (self.chance.bits() % 12) as i32),
            faults,
        };
        let mut buffer = [0; 512];
        report.write(&mut buffer).unwrap_or_default().to_owned()
    }

    /// A year drains a battery; it is measured with a little noise.
    fn battery_volts(&mut self, at: Millis) -> f64 {
        let days = at.since(self.battery_from) as f64 / DAY as f64;
        (4.12 - 0.0018 * days).max(3.31) + 0.008 * self.chance.normal()
    }
}

/// Whether a board sleeps between its reports.
#[derive(Clone, Copy, Debug)]
pub(super) enum Sleeps {
    /// Those with a battery do.
    AsBuilt,
    /// It stays connected.
    Never {
        /// Seconds between its reports.
        next_report_s: u32,
        /// Revision of the settings it follows.
        settings: u32,
    },
}
