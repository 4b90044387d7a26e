//! Gardens that several tests are held in. Invented.

/// One tunnel in Ireland with one board in it.
pub const UNDER_THE_ASH: &str = r#"
[garden]
name = "Under the ash"
lat = 52.0
lon = -8.0
zone = "Europe/Dublin"
[[structure]]
slug = "tunnel"
kind = "tunnel"
name = "Tunnel"
[[spot]]
slug = "tunnel-air"
structure = "tunnel"
role = "air"
[[placement]]
device = "urn:propstick:ash"
channels = ["air-temperature", "air-humidity", "rain"]
spot = "tunnel-air"
from = "2020-01-01T00:00:00Z"
"#;
