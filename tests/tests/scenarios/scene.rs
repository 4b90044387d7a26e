//! A scenario as a recording: a garden, the days before and the hours up to its instant, and what people told; played by the real program.

use std::path::Path;

use chrono::{Duration, NaiveDateTime, TimeZone};
use chrono_tz::Europe::Dublin;
use propstick_tests::program::{run, told};
use propstick_tests::recordings::{Message, OUTDOORS, Reporter, TUNNEL, air, seconds};
use serde_json::{Value, json};

use super::heard::Heard;

/// Air of a day: local time, °C, %RH; straight lines between. Made up for the scenario, not measured.
pub type Air = [(&'static str, f64, f64)];

/// Between two samples of a board, s.
const CADENCE_S: i64 = 600;

/// How long the air of the instant lasts, min: the desk looks every ten minutes, so that its next look sees it.
const LASTS_MIN: i64 = 11;

/// A scenario in the making.
#[derive(Clone)]
pub struct Scene {
    instant: NaiveDateTime,
    garden: Garden,
    past: Vec<Days>,
    soil_c: Option<f64>,
    told: Vec<(i64, &'static str, Value)>,
}

/// So many days alike, with their air inside and outside; none for the day of the scenario.
#[derive(Clone)]
struct Days {
    n: i64,
    inside: Vec<(&'static str, f64, f64)>,
    outside: Vec<(&'static str, f64, f64)>,
}

#[derive(Clone)]
struct Garden {
    kind: &'static str,
    crops: &'static str,
    doors: (&'static str, &'static str),
    there: Vec<(&'static str, &'static str)>,
    covers: Vec<(&'static str, &'static str, Option<&'static str>)>,
    probe_in: Option<&'static str>,
    beds: String,
}

impl Scene {
    /// A walk-in tunnel under a single film at 51° N near the sea with hardy crops and a door at each end, facing S and N, at a local date and time
    /// such as "2026-01-15 09:30".
    pub fn at(instant: &str) -> Scene {
        let instant = NaiveDateTime::parse_from_str(instant, "%Y-%m-%d %H:%M").expect("a date and a time");
        let garden = Garden {
            kind: "tunnel",
            crops: "hardy",
            doors: ("S", "N"),
            there: Vec::new(),
            covers: Vec::new(),
            probe_in: None,
            beds: String::new(),
        };
        Scene { instant, garden, past: Vec::new(), soil_c: None, told: Vec::new() }
    }

    /// Another kind of structure in its place.
    pub fn kind(mut self, kind: &'static str) -> Scene {
        self.garden.kind = kind;
        self
    }

    /// What grows: hardy, tender or both.
    pub fn crops(mut self, crops: &'static str) -> Scene {
        self.garden.crops = crops;
        self
    }

    /// Which way the yard door and the field door face.
    pub fn doors(mut self, yard: &'static str, field: &'static str) -> Scene {
        self.garden.doors = (yard, field);
        self
    }

    /// Somebody is there every day from and to.
    pub fn there(mut self, from: &'static str, to: &'static str) -> Scene {
        self.garden.there.push((from, to));
        self
    }

    /// A fleece, over a bed or over all.
    pub fn fleece(mut self, slug: &'static str, name: &'static str, bed: Option<&'static str>) -> Scene {
        self.garden.covers.push((slug, name, bed));
        self
    }

    /// A bed of soil of so many m².
    pub fn bed(mut self, slug: &str, crop: &str, area_m2: f64) -> Scene {
        self.garden.beds += &format!(
            "[[bed]]\nslug = \"{slug}\"\nname = \"{slug} bed\"\nstructure = \"tunnel\"\narea_m2 = {area_m2:?}\nsoil = \"sandy-loam\"\n\
             crop = \"{crop}\"\nroots_m = 0.3\nwatering = \"can\"\n"
        );
        self
    }

    /// Trays of seedlings.
    pub fn trays(mut self, slug: &str, crop: &str) -> Scene {
        self.garden.beds += &format!(
            "[[bed]]\nslug = \"{slug}\"\nname = \"{slug}\"\nstructure = \"tunnel\"\ncrop = \"{crop}\"\ntrays = true\n"
        );
        self
    }

    /// The `n` days before the last ones told, each alike.
    pub fn days_before(mut self, n: i64, inside: &Air, outside: &Air) -> Scene {
        self.past.push(Days { n, inside: inside.to_vec(), outside: outside.to_vec() });
        self
    }

    /// The day of the scenario: its last points are its instant.
    pub fn today(self, inside: &Air, outside: &Air) -> Scene {
        self.days_before(0, inside, outside)
    }

    /// The soil that its probe reads lies in a bed.
    pub fn probe_in(mut self, bed: &'static str) -> Scene {
        self.garden.probe_in = Some(bed);
        self
    }

    /// The soil in the bed, the same all the time, °C.
    pub fn soil(mut self, t_c: f64) -> Scene {
        self.soil_c = Some(t_c);
        self
    }

    /// Something told, in the words of a recording's line, so many days before and at a local time.
    pub fn told(mut self, days_before: i64, time: &'static str, line: Value) -> Scene {
        self.told.push((days_before, time, line));
        self
    }

    /// A look out of the window on the day of the scenario.
    pub fn look(self, time: &'static str, sky: &str, wind: &str, wet: &str, from_deg: Option<f64>) -> Scene {
        let mut look = json!({"sky": sky, "wind": wind, "wet": wet});
        if let Some(deg) = from_deg {
            look["wind_from_deg"] = deg.into();
        }
        self.told(0, time, json!({"seen": {"look": look}}))
    }

    /// A forecast for tonight, heard on the day of the scenario.
    pub fn tonight(self, time: &'static str, heard: Value) -> Scene {
        let mut heard = heard;
        heard["of"] = "tonight".into();
        self.told(0, time, json!({"seen": {"heard": heard}}))
    }

    /// How a fleece was left, so many days before.
    pub fn left(self, days_before: i64, time: &'static str, cover: &str, state: &str) -> Scene {
        self.told(days_before, time, json!({"did": {"kind": "fleece", "target": cover, "what": state}}))
    }

    /// Plays it with the program, until `later` minutes after its instant, and gives what it had to say.
    pub fn play(&self, program: &Path, later_min: i64) -> Heard {
        let printed: Value = serde_json::from_str(&self.print(program, later_min)).expect("JSON");
        let made = printed["advice"].as_array().expect("a list of advice").clone();
        let heard = Heard::new(made, self.instant + Duration::minutes(later_min + LASTS_MIN));
        // To be read aloud: `cargo test --test scenarios -- --nocapture --test-threads 1`.
        println!("{} +{later_min} min\n{}", self.instant, heard.aloud());
        heard.says_why();
        heard
    }

    /// What the program prints of it.
    pub fn print(&self, program: &Path, later_min: i64) -> String {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let file = |name: &str, text: &str| {
            let path = dir.path().join(name);
            std::fs::write(&path, text).expect("a file");
            path.to_str().expect("a path in words").to_owned()
        };
        let recording = file("recording.jsonl", &self.recording(later_min));
        let garden = file("garden.toml", &self.garden_text());
        let into = dir.path().join("data").to_str().expect("a path in words").to_owned();
        let until = self.utc(self.instant + Duration::minutes(later_min + LASTS_MIN));
        let args = ["replay", &recording, "--into", &into, "--garden", &garden, "--until", &until, "--print", "advice"];
        let out = run(program, &args);
        assert!(out.status.success(), "{}", told(&out));
        String::from_utf8(out.stdout).expect("words")
    }

    /// The recording, its lines in the order of their instants.
    pub fn recording(&self, later_min: i64) -> String {
        let instant = seconds(&self.utc(self.instant));
        let end = instant + 60 * (later_min + LASTS_MIN);
        let (inside, outside) = (self.curve(false), self.curve(true));
        let first = inside.first().expect("some air").0;
        let mut lines: Vec<(f64, String)> = Vec::new();
        let mut push = |message: Message| lines.push((message.recv.0 as f64 / 1_000.0, message.line()));
        let mut boards = [Reporter::new(OUTDOORS, 0xa, 1), Reporter::new(TUNNEL, 0xa, 1)];
        let begins = first + (instant - first).rem_euclid(CADENCE_S);
        for at in (begins..=end).step_by(CADENCE_S as usize) {
            for (board, curve) in boards.iter_mut().zip([&outside, &inside]) {
                let (t_c, rh_pct) = between(curve, at);
                let (t_c, rh_pct) = if (instant..instant + 60 * LASTS_MIN).contains(&at) {
                    (t_c, rh_pct)
                } else {
                    wobbling(at, t_c, rh_pct)
                };
                let mut parts = air(t_c, rh_pct);
                if let Some(soil_c) = self.soil_c.filter(|_| std::ptr::eq(curve, &raw const inside)) {
                    parts.push(("soil-temperature-2", "Cel", soil_c.to_string()));
                }
                board.sample(at, parts).into_iter().for_each(&mut push);
            }
        }
        for (days, time, told) in &self.told {
            let at = seconds(&self.utc(self.local(*days, time)));
            let mut line = told.clone();
            line["recv"] = at.into();
            lines.push((at as f64 + 0.5, line.to_string()));
        }
        lines.sort_by(|a, b| a.0.total_cmp(&b.0));
        lines.into_iter().map(|(_, line)| line + "\n").collect()
    }

    /// Every point of the air inside or outside: seconds since 1970, °C, %RH.
    fn curve(&self, outdoors: bool) -> Vec<(i64, f64, f64)> {
        let mut back = self.past.iter().map(|days| days.n).sum::<i64>();
        let mut all = Vec::new();
        for Days { n, inside, outside } in &self.past {
            let points = if outdoors { outside } else { inside };
            for days in (back - (n - 1).max(0)..=back).rev() {
                let of_day = points.iter().map(|(time, t, rh)| (seconds(&self.utc(self.local(days, time))), *t, *rh));
                all.extend(of_day);
            }
            back -= n;
        }
        all
    }

    fn local(&self, days_before: i64, time: &str) -> NaiveDateTime {
        let date = self.instant.date() - Duration::days(days_before);
        date.and_time(chrono::NaiveTime::parse_from_str(time, "%H:%M").expect("a time of day"))
    }

    fn utc(&self, local: NaiveDateTime) -> String {
        let at = Dublin.from_local_datetime(&local).single().expect("a time that was");
        at.with_timezone(&chrono::Utc).to_rfc3339_opts(chrono::SecondsFormat::Secs, true)
    }

    fn garden_text(&self) -> String {
        let g = &self.garden;
        let mut text =
            "[garden]\nname = \"Hazel bank\"\nlat = 51.0\nlon = -3.0\nzone = \"Europe/Dublin\"\ncan_l = 9\n".to_owned();
        for (from, to) in &g.there {
            text +=
                &format!("[[presence]]\nwho = \"grower\"\ndays = \"every day\"\nfrom = \"{from}\"\nto = \"{to}\"\n");
        }
        text += "[[structure]]\nslug = \"outdoors\"\nkind = \"outdoors\"\nname = \"Outdoors\"\n";
        text += &format!(
            "[[structure]]\nslug = \"tunnel\"\nkind = \"{}\"\nname = \"Long tunnel\"\narea_m2 = 60\ncrops = \"{}\"\n",
            g.kind, g.crops
        );
        for (slug, name, faces) in [("yard-door", "yard door", g.doors.0), ("field-door", "field door", g.doors.1)] {
            text += &format!(
                "[[structure.vent]]\nslug = \"{slug}\"\nname = \"{name}\"\nkind = \"door\"\nfaces = \"{faces}\"\n\
                 positions = {{ closed = \"shut\", crack = \"a hand's width\", half = \"half way\", full = \"wide\" }}\n"
            );
        }
        for (slug, name, bed) in &g.covers {
            let bed = bed.map(|bed| format!("bed = \"{bed}\"\n")).unwrap_or_default();
            text += &format!(
                "[[structure.night_cover]]\nslug = \"{slug}\"\nname = \"{name}\"\nkind = \"fleece-17\"\n{bed}"
            );
        }
        text += &g.beds;
        for (slug, structure, role) in
            [("tunnel-air", "tunnel", "air"), ("tunnel-soil", "tunnel", "soil"), ("screen", "outdoors", "outside")]
        {
            text += &format!("[[spot]]\nslug = \"{slug}\"\nstructure = \"{structure}\"\nrole = \"{role}\"\n");
            if let Some(bed) = g.probe_in.filter(|_| role == "soil") {
                text += &format!("bed = \"{bed}\"\n");
            }
        }
        for (board, channels, spot) in [
            (TUNNEL, "\"air-temperature\", \"air-humidity\"", "tunnel-air"),
            (TUNNEL, "\"soil-temperature-2\"", "tunnel-soil"),
            (OUTDOORS, "\"air-temperature\", \"air-humidity\"", "screen"),
        ] {
            text += &format!(
                "[[placement]]\ndevice = \"{board}\"\nchannels = [{channels}]\nspot = \"{spot}\"\nfrom = \"2020-01-01T00:00:00Z\"\n"
            );
        }
        text
    }
}

/// The air at an instant, to the hundredths that a board sends; beyond the last point it stays as it is there.
fn between(curve: &[(i64, f64, f64)], at: i64) -> (f64, f64) {
    let hundredths = |v: f64| (v * 100.0).round() / 100.0;
    let after = curve.partition_point(|(t, ..)| *t <= at);
    let (t0, a, b) = curve[after.saturating_sub(1)];
    let Some(&(t1, a1, b1)) = curve.get(after).filter(|_| after > 0) else { return (hundredths(a), hundredths(b)) };
    let share = (at - t0) as f64 / (t1 - t0) as f64;
    (hundredths(a + share * (a1 - a)), hundredths(b + share * (b1 - b)))
}

/// As a gauge has it that is not stuck: a little to and fro. One that stands at 100 %RH stands.
fn wobbling(at: i64, t_c: f64, rh_pct: f64) -> (f64, f64) {
    let swing = f64::from(u8::try_from(at / CADENCE_S * 7 % 5).unwrap_or(0)) - 2.0;
    let hundredths = |v: f64| (v * 100.0).round() / 100.0;
    (hundredths(t_c + 0.02 * swing), if rh_pct < 100.0 { hundredths((rh_pct + 0.1 * swing).min(99.9)) } else { 100.0 })
}

/// Local time of an instant in RFC 3339.
pub fn local(instant: &str) -> NaiveDateTime {
    let at = chrono::DateTime::from_timestamp(seconds(instant), 0).expect("an instant");
    at.with_timezone(&Dublin).naive_local()
}
