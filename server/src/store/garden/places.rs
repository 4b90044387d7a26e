//! The garden's places in `garden.db`: as they are written and read back.

use propstick_agronomy::risk::groups::CropGroup;
use propstick_garden::model::{
    Bed, COVER_KINDS, Correction, Cover, CoverPosition, CoverState, Crops, Exclusion, Film, Garden, Notch, Placement,
    Position, Presence, Role, Spot, Structure, StructureKind, Vent, VentKind, WATERINGS, WEEKDAYS, cover_word,
    watering_word,
};
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;
use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};

use crate::store::StoreError;

/// Writes a garden in the place of the one that is kept.
pub(super) fn write_garden(change: &Transaction<'_>, g: &Garden) -> Result<(), StoreError> {
    const TABLES: [&str; 13] = [
        "garden",
        "presence",
        "structure",
        "film",
        "vent",
        "vent_position",
        "cover",
        "cover_position",
        "bed",
        "spot",
        "placement",
        "correction",
        "exclusion",
    ];
    for table in TABLES {
        change.execute(&format!("DELETE FROM {table}"), [])?;
    }
    change.execute(
        "INSERT INTO garden(one, name, lat, lon, alt_m, zone, revision, can_l) VALUES (1, ?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        params![g.name, g.lat, g.lon, g.alt_m, g.zone.name(), g.revision, g.can_l],
    )?;
    for p in &g.presence {
        let days = WEEKDAYS.iter().filter(|(day, _)| p.days.contains(day)).map(|(_, word)| *word);
        change.execute(
            "INSERT INTO presence(who, days, from_min, to_min) VALUES (?1, ?2, ?3, ?4)",
            params![p.who, days.collect::<Vec<_>>().join(","), p.from_min, p.to_min],
        )?;
    }
    for s in &g.structures {
        change.execute(
            "INSERT INTO structure(slug, kind, name, area_m2, height_m, cover, lead_spot, crops, groups)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            params![
                s.slug,
                s.kind.word(),
                s.name,
                s.area_m2,
                s.height_m,
                s.cover,
                s.lead_spot,
                s.crops.word(),
                groups(s)
            ],
        )?;
        if let Some(f) = &s.film {
            change.execute(
                "INSERT INTO film(structure, transmission, sheds_drips, layers) VALUES (?1, ?2, ?3, ?4)",
                params![s.slug, f.transmission, f.sheds_drips, f.layers],
            )?;
        }
        for c in &s.covers {
            change.execute(
                "INSERT INTO cover(slug, structure, name, bed, kind) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![c.slug, s.slug, c.name, c.bed, cover_word(c.kind)],
            )?;
            for p in &c.positions {
                change.execute(
                    "INSERT INTO cover_position(cover, state, words) VALUES (?1, ?2, ?3)",
                    params![c.slug, p.state.word(), p.words],
                )?;
            }
        }
        for v in &s.vents {
            change.execute(
                "INSERT INTO vent(slug, structure, name, kind, faces, minutes, mesh) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                params![v.slug, s.slug, v.name, v.kind.word(), v.faces, v.minutes, v.mesh],
            )?;
            for p in &v.positions {
                change.execute(
                    "INSERT INTO vent_position(vent, notch, words, area_m2) VALUES (?1, ?2, ?3, ?4)",
                    params![v.slug, p.notch.word(), p.words, p.area_m2],
                )?;
            }
        }
    }
    for b in &g.beds {
        change.execute(
            "INSERT INTO bed(slug, name, structure, area_m2, soil, crop, roots_m, watering, drip_l_min, trays)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
            params![
                b.slug,
                b.name,
                b.structure,
                b.area_m2,
                b.soil,
                b.crop,
                b.roots_m,
                b.watering.map(watering_word),
                b.drip_l_min,
                b.trays
            ],
        )?;
    }
    for s in &g.spots {
        change.execute(
            "INSERT INTO spot(slug, structure, bed, role, height_m) VALUES (?1, ?2, ?3, ?4, ?5)",
            params![s.slug, s.structure, s.bed, s.role.word(), s.height_m],
        )?;
    }
    for p in &g.placements {
        change.execute(
            "INSERT INTO placement(urn, channel, quantity, spot, t_from, t_to) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![p.urn, p.channel, p.quantity.name(), p.spot, p.from.0, p.to.map(|t| t.0)],
        )?;
    }
    for c in &g.corrections {
        change.execute(
            "INSERT INTO correction(urn, channel, t_from, t_to, scale, offset, why) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            params![c.urn, c.channel, c.from.0, c.to.map(|t| t.0), c.scale, c.offset, c.why],
        )?;
    }
    for x in &g.exclusions {
        change.execute(
            "INSERT INTO exclusion(urn, channel, t_from, t_to, why) VALUES (?1, ?2, ?3, ?4, ?5)",
            params![x.urn, x.channel, x.from.0, x.to.map(|t| t.0), x.why],
        )?;
    }
    Ok(())
}

/// The garden that is kept, if any is.
pub(super) fn read_garden(db: &Connection) -> Result<Option<Garden>, StoreError> {
    let found = db
        .query_row("SELECT name, lat, lon, alt_m, zone, revision, can_l FROM garden WHERE one = 1", [], |r| {
            Ok(Garden {
                name: r.get(0)?,
                lat: r.get(1)?,
                lon: r.get(2)?,
                alt_m: r.get(3)?,
                zone: r.get::<_, String>(4)?.parse().map_err(|_| unknown_word(4))?,
                revision: r.get(5)?,
                can_l: r.get(6)?,
                ..Garden::empty()
            })
        })
        .optional()?;
    let Some(mut g) = found else { return Ok(None) };
    g.presence = all(db, "SELECT who, days, from_min, to_min FROM presence ORDER BY id", |r| {
        let words: String = r.get(1)?;
        let days = WEEKDAYS.iter().filter(|(_, word)| words.split(',').any(|w| w == *word)).map(|(day, _)| *day);
        Ok(Presence { who: r.get(0)?, days: days.collect(), from_min: r.get(2)?, to_min: r.get(3)? })
    })?;
    g.structures = all(
        db,
        "SELECT slug, kind, name, area_m2, height_m, cover, lead_spot, crops, groups FROM structure ORDER BY id",
        |r| {
            Ok(Structure {
                slug: r.get(0)?,
                kind: word(r, 1, &StructureKind::ALL, StructureKind::word)?,
                name: r.get(2)?,
                area_m2: r.get(3)?,
                height_m: r.get(4)?,
                cover: r.get(5)?,
                lead_spot: r.get(6)?,
                crops: word(r, 7, &[Crops::Hardy, Crops::Tender, Crops::Both], Crops::word)?,
                groups: groups_of(r, 8)?,
                vents: Vec::new(),
                covers: Vec::new(),
                film: None,
            })
        },
    )?;
    let films = all(db, "SELECT structure, transmission, sheds_drips, layers FROM film", |r| {
        let film = Film { transmission: r.get(1)?, sheds_drips: r.get(2)?, layers: r.get(3)? };
        Ok((r.get::<_, String>(0)?, film))
    })?;
    for (structure, film) in films {
        if let Some(s) = g.structures.iter_mut().find(|s| s.slug == structure) {
            s.film = Some(film);
        }
    }
    read_covers(db, &mut g)?;
    let mut positions = all(db, "SELECT vent, notch, words, area_m2 FROM vent_position", |r| {
        let position = Position { notch: word(r, 1, &Notch::ALL, Notch::word)?, words: r.get(2)?, area_m2: r.get(3)? };
        Ok((r.get::<_, String>(0)?, position))
    })?;
    positions.sort_by_key(|(_, p)| p.notch);
    let vents = all(db, "SELECT slug, structure, name, kind, faces, minutes, mesh FROM vent ORDER BY id", |r| {
        let slug: String = r.get(0)?;
        let positions = positions.iter().filter(|(v, _)| *v == slug).map(|(_, p)| p.clone()).collect();
        let kind = word(r, 3, &VentKind::ALL, VentKind::word)?;
        let (faces, minutes, mesh) = (r.get(4)?, r.get(5)?, r.get(6)?);
        Ok((r.get::<_, String>(1)?, Vent { slug, name: r.get(2)?, kind, faces, minutes, mesh, positions }))
    })?;
    for (structure, vent) in vents {
        if let Some(s) = g.structures.iter_mut().find(|s| s.slug == structure) {
            s.vents.push(vent);
        }
    }
    g.beds = all(
        db,
        "SELECT slug, name, structure, area_m2, soil, crop, roots_m, watering, drip_l_min, trays FROM bed ORDER BY id",
        |r| {
            let watering = r.get::<_, Option<String>>(7)?.map(|_| word(r, 7, &WATERINGS, watering_word)).transpose()?;
            Ok(Bed {
                slug: r.get(0)?,
                name: r.get(1)?,
                structure: r.get(2)?,
                area_m2: r.get(3)?,
                soil: r.get(4)?,
                crop: r.get(5)?,
                roots_m: r.get(6)?,
                watering,
                drip_l_min: r.get(8)?,
                trays: r.get(9)?,
            })
        },
    )?;
    g.spots = all(db, "SELECT slug, structure, bed, role, height_m FROM spot ORDER BY id", |r| {
        let role = word(r, 3, &Role::ALL, Role::word)?;
        Ok(Spot { slug: r.get(0)?, structure: r.get(1)?, bed: r.get(2)?, role, height_m: r.get(4)? })
    })?;
    g.placements = all(db, "SELECT urn, channel, quantity, spot, t_from, t_to FROM placement ORDER BY rowid", |r| {
        let name: String = r.get(2)?;
        let (quantity, _) = Quantity::from_channel(&name).ok_or_else(|| unknown_word(2))?;
        let (from, to) = (Millis(r.get(4)?), r.get::<_, Option<i64>>(5)?.map(Millis));
        Ok(Placement { urn: r.get(0)?, channel: r.get(1)?, quantity, spot: r.get(3)?, from, to })
    })?;
    g.corrections =
        all(db, "SELECT urn, channel, t_from, t_to, scale, offset, why FROM correction ORDER BY rowid", |r| {
            Ok(Correction {
                urn: r.get(0)?,
                channel: r.get(1)?,
                from: Millis(r.get(2)?),
                to: r.get::<_, Option<i64>>(3)?.map(Millis),
                scale: r.get(4)?,
                offset: r.get(5)?,
                why: r.get(6)?,
            })
        })?;
    g.exclusions = all(db, "SELECT urn, channel, t_from, t_to, why FROM exclusion ORDER BY rowid", |r| {
        let (from, to) = (Millis(r.get(2)?), r.get::<_, Option<i64>>(3)?.map(Millis));
        Ok(Exclusion { urn: r.get(0)?, channel: r.get(1)?, from, to, why: r.get(4)? })
    })?;
    Ok(Some(g))
}

fn read_covers(db: &Connection, g: &mut Garden) -> Result<(), StoreError> {
    let mut positions = all(db, "SELECT cover, state, words FROM cover_position", |r| {
        let state = word(r, 1, &CoverState::ALL, CoverState::word)?;
        Ok((r.get::<_, String>(0)?, CoverPosition { state, words: r.get(2)? }))
    })?;
    positions.sort_by_key(|(_, p)| p.state);
    let covers = all(db, "SELECT slug, structure, name, bed, kind FROM cover ORDER BY id", |r| {
        let slug: String = r.get(0)?;
        let positions = positions.iter().filter(|(c, _)| *c == slug).map(|(_, p)| p.clone()).collect();
        let kind = word(r, 4, &COVER_KINDS, cover_word)?;
        Ok((r.get::<_, String>(1)?, Cover { slug, name: r.get(2)?, bed: r.get(3)?, kind, positions }))
    })?;
    for (structure, cover) in covers {
        if let Some(s) = g.structures.iter_mut().find(|s| s.slug == structure) {
            s.covers.push(cover);
        }
    }
    Ok(())
}

/// The groups of a structure as they are kept.
fn groups(s: &Structure) -> String {
    s.groups.iter().map(|group| group.word()).collect::<Vec<_>>().join(",")
}

fn groups_of(r: &Row<'_>, column: usize) -> rusqlite::Result<Vec<CropGroup>> {
    let words: String = r.get(column)?;
    let words = words.split(',').filter(|w| !w.is_empty());
    words.map(|w| CropGroup::from_word(w).ok_or_else(|| unknown_word(column))).collect()
}

fn all<T>(db: &Connection, sql: &str, row: impl FnMut(&Row<'_>) -> rusqlite::Result<T>) -> Result<Vec<T>, StoreError> {
    let mut query = db.prepare(sql)?;
    let rows = query.query_map([], row)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

fn word<T: Copy>(r: &Row<'_>, column: usize, all: &[T], name: impl Fn(T) -> &'static str) -> rusqlite::Result<T> {
    let found: String = r.get(column)?;
    all.iter().copied().find(|&t| name(t) == found).ok_or_else(|| unknown_word(column))
}

pub(super) fn unknown_word(column: usize) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(
        column,
        rusqlite::types::Type::Text,
        "a word this program does not know".into(),
    )
}

#[cfg(test)]
mod tests {
    use propstick_garden::model::parse_garden;

    use crate::store::garden::GardenDb;

    #[test]
    fn garden_of_the_demo_with_all_its_keys_is_read_back_as_it_was_kept() {
        let demo = include_str!("../../demo/garden.toml");
        let text = demo.replace("@placed@", "2025-10-02T00:00:00Z").replace("@replaced@", "2026-05-20T12:00:00Z");
        let garden = parse_garden(&text).unwrap();
        let covers: usize = garden.structures.iter().map(|s| s.covers.len()).sum();
        assert!(
            covers >= 2 && !garden.presence.is_empty() && garden.can_l.is_some() && garden.beds.iter().any(|b| b.trays)
        );
        let dir = tempfile::tempdir().unwrap();
        let mut db = GardenDb::open(&dir.path().join("garden.db")).unwrap();
        let kept = db.keep_garden(&garden).unwrap();
        assert_eq!(db.garden().unwrap(), Some(kept.clone()));
        assert_eq!(kept, propstick_garden::model::Garden { revision: 1, ..garden });
    }
}
