// Invented air for an invented garden: the same instant always gives the same figures.

const HOUR = 3_600_000;
const DAY = 24 * HOUR;

/** A repeatable number between -1 and 1 for a whole number. */
function noise(seed) {
  const x = Math.sin(seed * 127.1 + 311.7) * 43758.5453;
  return (x - Math.floor(x)) * 2 - 1;
}

function smoothNoise(x) {
  const whole = Math.floor(x);
  const part = x - whole;
  const eased = part * part * (3 - 2 * part);
  return noise(whole) * (1 - eased) + noise(whole + 1) * eased;
}

/** Sunrise and sunset, good enough for a picture at about 52 N. */
export function sunTimes(date) {
  const noon = Date.parse(`${date}T12:10:00Z`);
  const dayOfYear = Math.floor((noon - Date.parse(`${date.slice(0, 4)}-01-01T00:00:00Z`)) / DAY);
  const half = (6 + 2.25 * Math.sin(((dayOfYear - 80) / 365) * 2 * Math.PI)) * HOUR;
  const twilight = 35 * 60_000;
  return { sunrise: noon - half, sunset: noon + half, civil_dawn: noon - half - twilight, civil_dusk: noon + half + twilight };
}

const GAIN = { outdoors: 0, fleece: 2, low_tunnel: 6, tunnel: 9, cold_frame: 12 };
const KEEP = { outdoors: 0, fleece: 1.2, low_tunnel: 0.8, tunnel: 1.1, cold_frame: 1.6 };

/** Air temperature, degrees Celsius. */
export function airTemperature(kind, at) {
  const day = at / DAY;
  const season = 10.5 - 6.5 * Math.cos(((day % 365.25) - 18) / 365.25 * 2 * Math.PI);
  const spell = 3.4 * smoothNoise(day / 3.3);
  const cloud = 0.5 + 0.5 * smoothNoise(day * 1.7 + 40);
  const hour = ((at % DAY) / HOUR + 24) % 24;
  const swing = (2 + 4.5 * cloud) * Math.sin(((hour - 9) / 24) * 2 * Math.PI);
  const outside = season + spell + swing + 0.25 * smoothNoise(at / (0.4 * HOUR));
  const sun = Math.max(0, Math.sin(((hour - 6.2) / 11.6) * Math.PI)) * (hour > 6.2 && hour < 17.8 ? 1 : 0);
  const flicker = 1 + 0.2 * smoothNoise(at / (0.25 * HOUR) + 7);
  return outside + KEEP[kind] + GAIN[kind] * sun * cloud * flicker * (0.55 + 0.45 * Math.sin(((day % 365.25) - 60) / 365.25 * 2 * Math.PI));
}

/** Humidity, %RH. */
export function airHumidity(kind, at) {
  const hour = ((at % DAY) / HOUR + 24) % 24;
  const base = kind === "outdoors" ? 86 : 92;
  return Math.min(99.6, base - 16 * Math.max(0, Math.sin(((hour - 7) / 12) * Math.PI)) + 5 * smoothNoise(at / (3 * HOUR) + 90));
}

/** Dew point by the Magnus form; only the look of a figure matters here. */
export function dewPoint(t, rh) {
  const gamma = Math.log(rh / 100) + (17.62 * t) / (243.12 + t);
  return (243.12 * gamma) / (17.62 - gamma);
}

export function vpd(t, rh) {
  return 0.6112 * Math.exp((17.62 * t) / (243.12 + t)) * (1 - rh / 100);
}
