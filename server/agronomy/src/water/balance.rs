//! The water of a bed from day to day, and how much to give.

use super::constants as c;
use super::crops::Crop;
use super::soils::Soil;

/// A bed: what its soil holds within reach of the roots, and how much of that the crop takes without suffering.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bed {
    total_mm: f64,
    share: f64,
}

/// What a day brought and took, mm: all 0 or more, at most 500.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct DayWater {
    /// Rain less what ran off: 0 under cover.
    pub rain_mm: f64,
    /// Watering that reached the roots.
    pub watered_mm: f64,
    /// Water that rose from below.
    pub risen_mm: f64,
    /// What the crop would use if it lacked nothing: coefficient times reference.
    pub wanted_mm: f64,
}

/// A bed's state after a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BedDay {
    /// What is missing to field capacity in the evening, mm, 0 to all that the soil holds.
    pub missing_mm: f64,
    /// What the crop used, mm: less than it wanted where the bed was too dry.
    pub used_mm: f64,
    /// What ran through below the roots, mm.
    pub drained_mm: f64,
    /// Share of its want that the crop could use at the day's begin, 0 to 1.
    pub stress: f64,
}

impl Bed {
    /// A bed of `soil` whose roots reach `roots_m` (0.05 to 3 m), with a crop that takes `share` of the water (0.1 to 0.8) without suffering.
    ///
    /// **Errors**: `None` out of range. **Source**: FAO-56 eq 82 and 83.
    ///
    /// ```
    /// use propstick_agronomy::water::{balance::Bed, soils::Soil};
    /// // Climate sheet 4.5: lettuce in sandy loam, 36.0 mm held, 10.8 readily.
    /// let bed = Bed::new(Soil::new(0.23, 0.11).unwrap(), 0.30, 0.30).unwrap();
    /// assert!((bed.total_mm() - 36.0).abs() < 1e-9 && (bed.readily_mm() - 10.8).abs() < 1e-9);
    /// ```
    pub fn new(soil: Soil, roots_m: f64, share: f64) -> Option<Bed> {
        let meant = (c::SHARE_LEAST.value..=c::SHARE_MOST.value).contains(&share);
        Some(Bed { total_mm: soil.available_mm(roots_m)?, share }).filter(|_| meant)
    }

    /// The same with the share of `crop` at a use of `wanted_mm` a day: a crop that uses little stands more.
    ///
    /// **Errors**: `None` out of range. **Source**: FAO-56 Table 22 and its footnote, see [`share_at`].
    ///
    /// ```
    /// use propstick_agronomy::water::{balance::Bed, crops::crop, soils::Soil};
    /// let bed = Bed::of_crop(Soil::new(0.23, 0.11).unwrap(), 0.30, crop("lettuce"), 0.5).unwrap();
    /// assert!((bed.readily_mm() - 0.48 * 36.0).abs() < 1e-9);
    /// ```
    pub fn of_crop(soil: Soil, roots_m: f64, crop: &Crop, wanted_mm: f64) -> Option<Bed> {
        Bed::new(soil, roots_m, share_at(crop.share, wanted_mm)?)
    }

    /// Water the soil holds within reach of the roots, mm: TAW.
    pub fn total_mm(&self) -> f64 {
        self.total_mm
    }

    /// What of it the crop takes without suffering, mm: RAW.
    pub fn readily_mm(&self) -> f64 {
        self.share * self.total_mm
    }

    /// Share of its want that a crop can use with `missing_mm` missing to field capacity (0 to all the soil holds), 0 to 1: Ks.
    ///
    /// **Errors**: `None` out of range. **Source**: FAO-56 eq 84.
    ///
    /// ```
    /// use propstick_agronomy::water::{balance::Bed, soils::Soil};
    /// // Climate sheet 4.5: 0.635 with 20 mm missing.
    /// let bed = Bed::new(Soil::new(0.23, 0.11).unwrap(), 0.30, 0.30).unwrap();
    /// assert!((bed.stress(20.0).unwrap() - 0.635).abs() < 0.001);
    /// ```
    pub fn stress(&self, missing_mm: f64) -> Option<f64> {
        if !(0.0..=self.total_mm).contains(&missing_mm) {
            return None;
        }
        let beyond = (self.total_mm - missing_mm) / ((1.0 - self.share) * self.total_mm);
        Some(if missing_mm > self.readily_mm() { beyond } else { 1.0 })
    }

    /// The bed after a day that began with `missing_mm` missing to field capacity.
    ///
    /// **Errors**: `None` for water below 0, above 500 mm or that is no number, or a state out of range. **Source**: FAO-56 eq 84, 85 and 88: `Dr =
    /// Dr - P - I - CR + Ks ETc + DP`, kept within 0 and all the soil holds. **Accuracy**: exact to the equations; what a bed really uses is known to
    /// ±30 %.
    ///
    /// ```
    /// use propstick_agronomy::water::{balance::{Bed, DayWater}, soils::Soil};
    /// // Climate sheet 4.5: 8.0 mm missing and 1.5 used make 9.5.
    /// let bed = Bed::new(Soil::new(0.23, 0.11).unwrap(), 0.30, 0.30).unwrap();
    /// let day = bed.after(8.0, DayWater { wanted_mm: 1.5, ..DayWater::default() }).unwrap();
    /// assert!((day.missing_mm - 9.5).abs() < 1e-9);
    /// ```
    pub fn after(&self, missing_mm: f64, day: DayWater) -> Option<BedDay> {
        let all = [day.rain_mm, day.watered_mm, day.risen_mm, day.wanted_mm];
        if !all.iter().all(|mm| (0.0..=500.0).contains(mm)) {
            return None;
        }
        let stress = self.stress(missing_mm)?;
        let wanted_mm = stress * day.wanted_mm;
        let balance_mm = missing_mm - day.rain_mm - day.watered_mm - day.risen_mm + wanted_mm;
        // Roots cannot take what is not there.
        let used_mm = if balance_mm > self.total_mm { wanted_mm - (balance_mm - self.total_mm) } else { wanted_mm };
        Some(BedDay {
            missing_mm: balance_mm.clamp(0.0, self.total_mm),
            used_mm: used_mm.max(0.0),
            drained_mm: (-balance_mm).max(0.0),
            stress,
        })
    }

    /// Days in hand: how many days of `wanted_mm` (0.01 to 20) the crop lasts from `missing_mm` before it suffers; 0 where it does already.
    ///
    /// **Errors**: `None` out of range. **Source**: our own, from FAO-56 eq 83. **Accuracy**: as that of `wanted_mm`, ±30 %.
    ///
    /// ```
    /// use propstick_agronomy::water::{balance::Bed, soils::Soil};
    /// let bed = Bed::new(Soil::new(0.23, 0.11).unwrap(), 0.30, 0.30).unwrap();
    /// assert!((bed.days_in_hand(7.8, 0.3).unwrap() - 10.0).abs() < 1e-9);
    /// ```
    pub fn days_in_hand(&self, missing_mm: f64, wanted_mm: f64) -> Option<f64> {
        let meant = (0.0..=self.total_mm).contains(&missing_mm) && (0.01..=20.0).contains(&wanted_mm);
        meant.then(|| ((self.readily_mm() - missing_mm) / wanted_mm).max(0.0))
    }
}

/// Share of the soil's water that a crop takes without suffering at a use of `wanted_mm` a day (0 to 20), from the table's `share` (0.1 to 0.8) at 5
/// mm a day; 0.1 to 0.8.
///
/// **Errors**: `None` out of range. **Source**: FAO-56 Table 22, footnote: `p + 0.04 (5 - ETc)`.
///
/// ```
/// use propstick_agronomy::water::balance::share_at;
/// // Climate sheet 4.4: lettuce at 4 mm 0.34.
/// assert!((share_at(0.30, 4.0).unwrap() - 0.34).abs() < 1e-12);
/// ```
pub fn share_at(share: f64, wanted_mm: f64) -> Option<f64> {
    let range = c::SHARE_LEAST.value..=c::SHARE_MOST.value;
    let meant = range.contains(&share) && (0.0..=20.0).contains(&wanted_mm);
    let adjusted = share + c::SHARE_PER_MM.value * (c::SHARE_AT_MM.value - wanted_mm);
    meant.then_some(adjusted.clamp(*range.start(), *range.end()))
}

/// How water is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Given {
    /// By drip.
    Drip,
    /// By can with a rose.
    Can,
    /// By sprinkler.
    Sprinkler,
}

impl Given {
    /// Share of it that reaches the roots, 0 to 1. Climate sheet 4.5, from memory there.
    ///
    /// ```
    /// use propstick_agronomy::water::balance::Given;
    /// assert_eq!(Given::Drip.efficiency(), 0.90);
    /// ```
    pub const fn efficiency(self) -> f64 {
        match self {
            Given::Drip => c::DRIP.value,
            Given::Can => c::CAN.value,
            Given::Sprinkler => c::SPRINKLER.value,
        }
    }

    /// Litres to give so that `mm` (0 to 500) reach the roots of a bed of `area_m2` (above 0, to 10,000).
    ///
    /// **Errors**: `None` out of range. **Source**: climate sheet 4.5.
    ///
    /// ```
    /// use propstick_agronomy::water::balance::Given;
    /// // Climate sheet 4.5: 11.0 mm on 9.6 m² by drip: 117.3 L.
    /// assert!((Given::Drip.litres(11.0, 9.6).unwrap() - 117.3).abs() < 0.05);
    /// ```
    pub fn litres(self, mm: f64, area_m2: f64) -> Option<f64> {
        let meant = (0.0..=500.0).contains(&mm) && area_m2 > 0.0 && area_m2 <= 10_000.0;
        meant.then(|| mm * area_m2 / self.efficiency())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::water::crops::{CROPS, crop};
    use crate::water::soils::{TEXTURES, Texture};
    use proptest::prelude::*;

    fn lettuce() -> Bed {
        Bed::new(Soil::new(0.23, 0.11).unwrap(), 0.30, 0.30).unwrap()
    }

    fn used(wanted_mm: f64) -> DayWater {
        DayWater { wanted_mm, ..DayWater::default() }
    }

    #[test]
    fn fao_56_example_36_is_reproduced() {
        // Climate sheet 4.5 (FAO-56 ex 36): loamy sand, silt, silty clay; onion, tomato, maize: TAW / RAW, to the whole mm printed.
        let soils = [(0.15, 0.06), (0.32, 0.15), (0.35, 0.23)];
        let crops = [
            (0.4, 0.30, [(36.0, 11.0), (68.0, 20.0), (48.0, 14.0)]),
            (0.8, 0.40, [(72.0, 29.0), (136.0, 54.0), (96.0, 38.0)]),
            (1.2, 0.55, [(108.0, 59.0), (204.0, 112.0), (144.0, 79.0)]),
        ];
        for (roots_m, share, wanted) in crops {
            for ((field, wilting), (total, readily)) in soils.into_iter().zip(wanted) {
                let bed = Bed::new(Soil::new(field, wilting).unwrap(), roots_m, share).unwrap();
                assert!((bed.total_mm() - total).abs() <= 0.5 && (bed.readily_mm() - readily).abs() <= 0.51, "{bed:?}");
            }
        }
    }

    #[test]
    fn worked_lettuce_bed_of_4_5_is_reproduced() {
        // [arithmetic]: Dr 8.0, ETc 1.5 -> 9.5 (hold) -> 11.0 > RAW 10.8 -> water 11.0 mm; bed 1.2 x 8 m: 105.6 L net, 117.3 gross at 0.90; Ks at Dr
        // 20 0.635.
        let bed = lettuce();
        let first = bed.after(8.0, used(1.5)).unwrap();
        assert!((first.missing_mm - 9.5).abs() < 1e-12 && first.missing_mm <= bed.readily_mm());
        let second = bed.after(first.missing_mm, used(1.5)).unwrap();
        assert!((second.missing_mm - 11.0).abs() < 1e-12 && second.missing_mm > bed.readily_mm());
        assert!((second.missing_mm * 9.6 - 105.6).abs() < 1e-9);
        assert!((Given::Drip.litres(second.missing_mm, 9.6).unwrap() - 117.33).abs() < 0.01);
        assert!((bed.stress(20.0).unwrap() - 0.635).abs() <= 0.001);
        assert_eq!(bed.stress(10.8), Some(1.0));
        let watered = bed.after(11.0, DayWater { watered_mm: 11.0, wanted_mm: 1.5, ..DayWater::default() }).unwrap();
        assert!((watered.missing_mm - 1.5 * watered.stress).abs() < 1e-12 && watered.drained_mm == 0.0);
    }

    #[test]
    fn share_of_4_4_is_reproduced() {
        // [arithmetic] lettuce: ETc 4 -> 0.34, ETc 0.5 -> 0.48; limits 0.1 and 0.8.
        for (share, wanted, adjusted) in
            [(0.30, 4.0, 0.34), (0.30, 0.5, 0.48), (0.30, 12.0, 0.1), (0.75, 0.0, 0.8), (0.2, 5.0, 0.2)]
        {
            assert!((share_at(share, wanted).unwrap() - adjusted).abs() < 1e-12);
        }
    }

    #[test]
    fn too_much_water_runs_through_and_too_little_is_not_there_to_take() {
        let bed = lettuce();
        // FAO-56 eq 88: DP = I - ETc - Dr: 20 - 1.5 - 8.
        let wet = bed.after(8.0, DayWater { watered_mm: 20.0, wanted_mm: 1.5, ..DayWater::default() }).unwrap();
        assert_eq!((wet.missing_mm, wet.drained_mm), (0.0, 10.5));
        let dry = bed.after(36.0, used(3.0)).unwrap();
        assert_eq!((dry.missing_mm, dry.used_mm, dry.stress), (36.0, 0.0, 0.0));
        let rain = bed.after(8.0, DayWater { rain_mm: 3.0, risen_mm: 1.0, ..DayWater::default() }).unwrap();
        assert_eq!(rain.missing_mm, 4.0);
    }

    #[test]
    fn days_in_hand_are_those_until_it_suffers() {
        let bed = lettuce();
        assert!((bed.days_in_hand(8.0, 0.28).unwrap() - 10.0).abs() < 1e-9);
        assert_eq!(bed.days_in_hand(20.0, 0.3), Some(0.0));
        assert_eq!(bed.days_in_hand(8.0, 0.0), None);
    }

    #[test]
    fn tables_are_in_order() {
        for c in CROPS {
            assert!(c.kc[0] < c.kc[1] && c.kcb[0] < c.kcb[1], "{}", c.name);
            assert!(c.kc.iter().zip(c.kcb).all(|(kc, kcb)| *kc > kcb || c.name == "onion-green"), "{}", c.name);
            assert!(c.roots_m[0] < c.roots_m[1] && (0.1..=0.8).contains(&c.share));
        }
        for t in TEXTURES {
            assert!(t.field_capacity[0] > t.wilting_point[0] && t.field_capacity[1] > t.wilting_point[1]);
            // The printed middle is that of the ranges, rounded to 5 mm, within 20.
            let middle = t.middle().available_mm(1.0).unwrap();
            assert!((middle - t.middle_mm_m).abs() <= 20.0, "{}: {middle}", t.name);
        }
        assert_eq!(crop("lettuce").coefficient(1.0), Some(1.0));
        assert_eq!(crop("lettuce").coefficient(1.1), None);
        assert!(Texture::of_name("gravel").is_none());
    }

    #[test]
    fn what_cannot_be_meant_gives_none() {
        let bed = lettuce();
        for bad in [f64::NAN, f64::INFINITY, -1.0, 1e6] {
            assert_eq!(Soil::new(bad, 0.1), None);
            assert_eq!(Soil::new(0.3, bad), None);
            assert_eq!(Soil::new(0.3, 0.1).unwrap().available_mm(bad), None);
            assert_eq!(Bed::new(Soil::new(0.3, 0.1).unwrap(), 0.3, bad), None);
            assert_eq!(bed.stress(bad), None);
            assert_eq!(bed.after(bad, used(1.0)), None);
            assert_eq!(bed.after(8.0, used(bad)), None);
            assert_eq!(share_at(bad, 1.0), None);
            assert_eq!(share_at(0.3, bad), None);
            assert_eq!(Given::Can.litres(bad, 9.6), None);
            assert_eq!(Given::Can.litres(5.0, bad), None);
            assert_eq!(bed.days_in_hand(bad, 1.0), None);
        }
    }

    proptest! {
        #[test]
        fn prop_water_is_neither_made_nor_lost(
            missing in 0.0..36.0_f64, rain in 0.0..40.0_f64, watered in 0.0..40.0_f64, wanted in 0.0..80.0_f64,
        ) {
            let bed = lettuce();
            let day = bed.after(missing, DayWater { rain_mm: rain, watered_mm: watered, risen_mm: 0.0, wanted_mm: wanted }).unwrap();
            let change = day.missing_mm - missing;
            prop_assert!((change - (day.used_mm + day.drained_mm - rain - watered)).abs() < 1e-9, "{day:?}");
            prop_assert!((0.0..=36.0).contains(&day.missing_mm) && day.used_mm <= wanted + 1e-12 && day.used_mm >= 0.0);
            // Water never makes a bed drier.
            let more = bed.after(missing, DayWater { rain_mm: rain + 1.0, watered_mm: watered, risen_mm: 0.0, wanted_mm: wanted }).unwrap();
            prop_assert!(more.missing_mm <= day.missing_mm + 1e-12);
        }
    }
}
