//! The mark of the sun on a gauge: under a cover the air stands still, and a shield without a fan reads too warm.

use propstick_agronomy::coverage::{HOUR_MS, Sample};
use propstick_agronomy::quality::constants::SUNLIT_W_M2;
use propstick_agronomy::quality::{Marks, mark_sunlit};
use propstick_agronomy::sun::{apparent_elevation_deg, clear_sky_w_m2};
use propstick_wire::quantity::Quantity;

use crate::advice::water::usual_transmission;
use crate::model::{Garden, Role, StructureKind};

/// What is known of the sun at a spot under a cover.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunThere {
    /// Degrees north.
    pub lat_deg: f64,
    /// Degrees east.
    pub lon_deg: f64,
    /// Share of the light outdoors that comes through the cover, 0 to 1.
    pub transmission: f64,
}

/// A reading of light stands for a reading of the air at most so far off, ms: the reach of the mark.
const LIGHT_WITHIN_MS: i64 = HOUR_MS / 4;

impl SunThere {
    /// At a spot; none in the open and under fleece, where wind goes through the shield.
    pub fn of(garden: &Garden, spot: &str) -> Option<SunThere> {
        let spot = garden.spot(spot).filter(|s| s.role != Role::Outside)?;
        let structure = garden.structure(&spot.structure)?;
        let under =
            matches!(structure.kind, StructureKind::Tunnel | StructureKind::LowTunnel | StructureKind::ColdFrame);
        let told = structure.film.as_ref().and_then(|film| film.transmission);
        under.then(|| SunThere {
            lat_deg: garden.lat,
            lon_deg: garden.lon,
            transmission: told.unwrap_or_else(|| usual_transmission(structure.kind)),
        })
    }
}

/// Marks the air temperatures that the sun may have warmed, `there` being none where it cannot: more than 150 W/m² under the cover, as `light` measured it
/// there (W/m², ascending, may be empty), else as a clear sky would have given. The mark counts nothing as missing. What is not an air temperature is
/// left alone: humidity of a warmed chip reads too dry, and its vapour pressure stays right.
///
/// **Source**: climate sheet 7. **Accuracy**: without a measured light every hour of a high sun is marked, bright or dull: the sun may have been on it.
pub fn mark_sun(
    quantity: Quantity,
    there: Option<SunThere>,
    light: &[Sample],
    samples: &[Sample],
    marks: &mut [Marks],
) {
    let Some(there) = there.filter(|_| quantity == Quantity::AirTemperature) else {
        return;
    };
    let mut clear = ClearSky::over(there);
    let sun_w_m2 = |t_ms: i64| {
        let after = light.partition_point(|s| s.t_ms < t_ms);
        let near = [after.checked_sub(1).and_then(|k| light.get(k)), light.get(after)].into_iter().flatten();
        let measured = near.min_by_key(|s| (s.t_ms - t_ms).abs()).filter(|s| (s.t_ms - t_ms).abs() <= LIGHT_WITHIN_MS);
        measured.map(|s| s.v).or_else(|| clear.most_w_m2(t_ms))
    };
    mark_sunlit(samples, sun_w_m2, marks);
}

/// The sun climbs or sinks by no more than this in an hour, degrees: a little more than the earth turns.
const CLIMBS_DEG_H: f64 = 15.5;

/// The most sun from reading to reading. Where it stood far from the height at which it begins to count, it is not looked up again until it can have come
/// there.
struct ClearSky {
    there: SunThere,
    /// Height above which more than the limit comes through the cover, degrees.
    counts_above_deg: f64,
    /// When it was looked up last, how high it stood, and what came through.
    looked_up: Option<(i64, f64, f64)>,
}

impl ClearSky {
    fn over(there: SunThere) -> ClearSky {
        let counts = |deg: f64| clear_sky_w_m2(deg).is_some_and(|w_m2| there.transmission * w_m2 > SUNLIT_W_M2.value);
        let (mut below, mut above) = (0.0, 90.0);
        for _ in 0..40 {
            let middle = 0.5 * (below + above);
            if counts(middle) { above = middle } else { below = middle }
        }
        ClearSky { there, counts_above_deg: above, looked_up: None }
    }

    /// What may have come through at `t_ms`, W/m², or at a time near it at which it was on the same side of the limit.
    fn most_w_m2(&mut self, t_ms: i64) -> Option<f64> {
        if let Some((at_ms, height_deg, w_m2)) = self.looked_up {
            let moved_deg = (t_ms - at_ms).abs() as f64 / HOUR_MS as f64 * CLIMBS_DEG_H;
            if moved_deg < (height_deg - self.counts_above_deg).abs() {
                return Some(w_m2);
            }
        }
        let height_deg = apparent_elevation_deg(t_ms as f64 / 1e3, self.there.lat_deg, self.there.lon_deg)?;
        let w_m2 = self.there.transmission * clear_sky_w_m2(height_deg)?;
        self.looked_up = Some((t_ms, height_deg, w_m2));
        Some(w_m2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use propstick_agronomy::quality::Mark;

    const THERE: SunThere = SunThere { lat_deg: 51.0, lon_deg: 0.0, transmission: 0.65 };
    /// 2026-06-21T00:00:00Z and 2026-12-21T00:00:00Z.
    const JUNE_MS: i64 = 1_782_000_000_000;
    const DECEMBER_MS: i64 = 1_797_811_200_000;

    const NEVER: [i64; 0] = [];

    /// The hours of a day that are marked.
    fn lit(day_ms: i64, light: &[Sample], quantity: Quantity, there: Option<SunThere>) -> Vec<i64> {
        let samples: Vec<Sample> = (0..24).map(|h| Sample { t_ms: day_ms + h * HOUR_MS, v: 20.0 }).collect();
        let mut marks = vec![Marks::NONE; 24];
        mark_sun(quantity, there, light, &samples, &mut marks);
        assert!(marks.iter().all(|m| !m.counts_as_missing()));
        (0..24).filter(|h| marks[*h as usize].has(Mark::Sunlit)).collect()
    }

    #[test]
    fn high_sun_under_a_film_marks_the_air_and_a_winter_noon_does_not() {
        // 150 / 0.65 = 231 W/m² on the level, which Haurwitz gives at 15.25°. At 51° N and 0° E the sun of midsummer stands at 18.0° at six and eighteen
        // o'clock by its own time and at 9.2° an hour before and after; that of midwinter at 15.6° at the most, which is 142 W/m² through 0.6.
        let june = lit(JUNE_MS, &[], Quantity::AirTemperature, Some(THERE));
        assert_eq!(june, (6..=18).collect::<Vec<_>>());
        assert_eq!(
            lit(DECEMBER_MS, &[], Quantity::AirTemperature, Some(SunThere { transmission: 0.6, ..THERE })),
            NEVER
        );
        assert_eq!(lit(JUNE_MS, &[], Quantity::AirHumidity, Some(THERE)), NEVER);
        assert_eq!(lit(JUNE_MS, &[], Quantity::AirTemperature, None), NEVER);
    }

    #[test]
    fn sun_that_is_not_looked_up_for_each_reading_marks_the_same_ones() {
        let samples: Vec<Sample> =
            (0..366 * 144).map(|k| Sample { t_ms: JUNE_MS + k * HOUR_MS / 6, v: 20.0 }).collect();
        for lat_deg in [-51.0, 0.0, 38.0, 51.0, 64.0] {
            let there = SunThere { lat_deg, lon_deg: -6.0, transmission: 0.7 };
            let mut marks = vec![Marks::NONE; samples.len()];
            mark_sun(Quantity::AirTemperature, Some(there), &[], &samples, &mut marks);
            for (s, mark) in samples.iter().zip(&marks) {
                let height_deg = apparent_elevation_deg(s.t_ms as f64 / 1e3, lat_deg, -6.0).unwrap();
                let counts = 0.7 * clear_sky_w_m2(height_deg).unwrap() > SUNLIT_W_M2.value;
                assert_eq!(mark.has(Mark::Sunlit), counts, "{lat_deg} {} {height_deg}", s.t_ms);
            }
        }
    }

    #[test]
    fn light_that_was_measured_there_counts_before_a_clear_sky() {
        // A dull day with one bright hour; nothing measured after two o'clock.
        let light: Vec<Sample> = (0..14 * 6)
            .map(|k| Sample { t_ms: JUNE_MS + k * HOUR_MS / 6, v: if (60..66).contains(&k) { 400.0 } else { 120.0 } })
            .collect();
        // Ten to two still speaks for two o'clock.
        assert_eq!(lit(JUNE_MS, &light, Quantity::AirTemperature, Some(THERE)), [10, 15, 16, 17, 18]);
    }
}
