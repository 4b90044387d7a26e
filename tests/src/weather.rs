//! Measured weather of the data folder as plain rows, for the reference tests of wetness, disease and risk.

use crate::data::{csv_rows, reference_file};

/// Milliseconds in an hour.
pub const HOUR_MS: i64 = 3_600_000;

/// One hour of a station.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StationHour {
    /// Its first instant, ms since 1970 by the file's own clock.
    pub from_ms: i64,
    /// Temperature, °C.
    pub t_c: Option<f64>,
    /// Relative humidity, %RH.
    pub rh_pct: Option<f64>,
    /// Rain in the hour, mm.
    pub rain_mm: Option<f64>,
    /// Wind, m/s; not in the Irish files, which have it in knots.
    pub wind_m_s: Option<f64>,
    /// Leaf wetness, % of the hour; only beside the beet field.
    pub leaf_pct: Option<f64>,
}

/// The three Irish stations of 2017 (8,760 hours from 2017-01-01 00:00 UTC; Met Eireann, CC BY 4.0).
pub const IRELAND: [&str; 3] = ["valentia", "johnstown-castle", "sherkin-island"];

/// 2017-01-01 00:00 UTC, ms.
pub const YEAR_2017_MS: i64 = 17_167 * 24 * HOUR_MS;

/// A station of [`IRELAND`]; none where the data are absent.
#[allow(clippy::expect_used)] // a table that does not read is a broken test
pub fn ireland_2017(station: &str) -> Option<Vec<StationHour>> {
    let file = reference_file(&format!("ireland-hourly/{station}-2017.csv"))?;
    let rows = csv_rows(&file, &["time_utc", "temp", "rhum", "rain"]).expect("a readable table");
    assert_eq!((rows.len(), rows[0][0].as_str()), (8_760, "2017-01-01T00:00:00Z"), "no hour is missing");
    let hours = (0..).zip(&rows).map(|(k, row)| StationHour {
        from_ms: YEAR_2017_MS + k * HOUR_MS,
        t_c: row[1].parse().ok(),
        rh_pct: row[2].parse().ok(),
        rain_mm: row[3].parse().ok(),
        wind_m_s: None,
        leaf_pct: None,
    });
    Some(hours.collect())
}

/// The beet field near Goettingen with its wetness sensor (cercospoRa, MIT): every hour of 2022-01-01 to 2022-11-30, by the file's own clock.
#[allow(clippy::expect_used)]
pub fn beet_field_2022() -> Option<Vec<StationHour>> {
    let file = reference_file("canopy-leafwetness-2022/canopy-hourly.csv")?;
    let columns = ["date", "hour", "temp_200cm", "rh_200cm", "rain_mm", "wind_ms", "leaf_wetness"];
    let rows = csv_rows(&file, &columns).expect("a readable table");
    assert_eq!((rows.len(), rows[0][0].as_str(), rows[0][1].as_str()), (8_016, "2022-01-01", "0"));
    // 2022-01-01 is day 18,993 since 1970.
    let hours = (0..).zip(&rows).map(|(k, row)| StationHour {
        from_ms: (18_993 * 24 + k) * HOUR_MS,
        t_c: row[2].parse().ok(),
        rh_pct: row[3].parse().ok(),
        rain_mm: row[4].parse().ok(),
        wind_m_s: row[5].parse().ok(),
        leaf_pct: row[6].parse().ok(),
    });
    Some(hours.collect())
}

/// The good period of the beet field's wetness sensor, 1 May to 23 October: 4,224 hours (its README).
pub fn beet_field_good_period() -> Option<Vec<StationHour>> {
    let all = beet_field_2022()?;
    // 1 May is day 120 of the year, counted from 0; 24 October day 296.
    Some(all[120 * 24..296 * 24].to_vec())
}
