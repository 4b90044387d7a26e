// A stand-in for the server while the pages are worked on: the built pages with an invented garden behind them.
//   node mock/server.mjs PAGES_FOLDER [PORT] [SCENARIO]
// It listens on loopback only. The real server is what tests/run tests; this one can be ill in every way on demand.
import { createServer } from "node:http";
import { readFile } from "node:fs/promises";
import { extname, join, normalize } from "node:path";
import { adviceOf, dampOf, GARDEN, gapsOf, SOURCES, STRUCTURES, wetOf } from "./garden.mjs";
import { airHumidity, airTemperature, dewPoint, sunTimes, vpd } from "./weather.mjs";

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;
const POLICY = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
const MIME = { ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml" };
const iso = (at) => new Date(at).toISOString().replace(".000Z", "Z");

/**
 * Starts a mock. `scenario`: normal, older, empty, silent, refused, broken, garbled, loading, building, amber, red, replay (shows, but cannot be told anything).
 * Returns {url, close, cut, changed}: `cut` ends every live line, `changed` sends a pointer down them.
 */
export async function startMock({ pages, port = 0, scenario = "normal", at = Date.parse("2026-03-08T10:42:00Z"), zone = GARDEN.zone, runs = false }) {
  const started = Date.now();
  const world = { scenario, zone, told: [], now: () => (runs ? at + Date.now() - started : at) };
  const lines = new Set();
  const server = createServer((request, response) => {
    answer(request, response, { pages, world, lines }).catch((error) => {
      response.writeHead(500).end(String(error));
    });
  });
  await new Promise((done) => server.listen(port, "127.0.0.1", done));
  return {
    url: `http://127.0.0.1:${server.address().port}`,
    world,
    changed: (change) => lines.forEach((line) => line.write(`event: changed\ndata: ${JSON.stringify(change)}\n\n`)),
    cut: () => lines.forEach((line) => line.destroy()),
    close: () => new Promise((done) => { server.closeAllConnections(); server.close(done); }),
  };
}

async function answer(request, response, { pages, world, lines }) {
  const url = new URL(request.url, "http://mock");
  if (url.pathname === "/api/live") {
    response.writeHead(200, { "content-type": "text/event-stream", "cache-control": "no-store" });
    response.write(": here\n\n");
    lines.add(response);
    response.on("close", () => lines.delete(response));
    return;
  }
  if (url.pathname.startsWith("/api/") && request.method === "POST") return toldTo(url, request, response, world);
  if (url.pathname.startsWith("/api/")) return api(url, response, world);
  const name = url.pathname === "/" ? "/index.html" : normalize(url.pathname);
  const body = await readFile(join(pages, name)).catch(() => null);
  if (body === null) return void response.writeHead(404).end("no such page");
  response.writeHead(200, { "content-type": MIME[extname(name)] ?? "text/plain", "content-security-policy": POLICY, "cache-control": "no-cache" }).end(body);
}

function api(url, response, world) {
  const json = (status, body) => response.writeHead(status, { "content-type": "application/json" }).end(JSON.stringify(body));
  if (world.scenario === "loading") return;
  if (world.scenario === "refused") return json(403, { title: "Forbidden", status: 403, code: "not_loopback", what: "This address is not allowed in." });
  if (world.scenario === "broken") return json(500, { title: "Internal Server Error", status: 500, what: "derived.db cannot be read." });
  if (world.scenario === "garbled") return void response.writeHead(200, { "content-type": "text/html" }).end("<h1>A router's page</h1>");
  const [, , first, slug, what] = url.pathname.split("/");
  const q = Object.fromEntries(url.searchParams);
  if (first === "sources") return world.scenario === "older" ? json(404, { title: "There is no such page.", status: 404 }) : json(200, SOURCES);
  if (first === "health") return json(200, healthOf(world));
  if (first === "sun") return json(200, { date: q.date, ...Object.fromEntries(Object.entries(sunTimes(q.date)).map(([k, v]) => [k, iso(v)])) });
  if (first === "structures" && !slug) {
    return json(200, { at: iso(world.now()), garden: { ...GARDEN, zone: world.zone }, structures: world.scenario === "empty" ? [] : STRUCTURES });
  }
  const structure = STRUCTURES.find((s) => s.slug === slug);
  const answers = { now: nowOf, advice: adviceAnswer, readings: readingsOf, days: daysOf, ...(world.scenario === "older" ? {} : { wet: wetAnswer }) };
  if (!structure || !answers[what]) return json(404, { title: "Not Found", status: 404, what: `no ${slug}` });
  return json(200, answers[what](structure, world, q));
}

/** Things done and seen, as the server keeps them: from the own page only, once under each key, and taken back by their number. */
async function toldTo(url, request, response, world) {
  const json = (status, body) => response.writeHead(status, { "content-type": "application/json" }).end(JSON.stringify(body));
  if (request.headers.origin !== `http://${request.headers.host}`) return json(403, { title: "Only this program's own pages may change something.", status: 403 });
  if (world.scenario === "replay") return json(403, { title: "History is being shown or laid down; nothing can be told now.", status: 403 });
  const [, where, id, undo] = url.pathname.match(/^\/api\/(events|observations)(?:\/(\d+)\/(undo))?$/) ?? [];
  if (!where) return json(404, { title: "There is nothing to tell there.", status: 404 });
  if (undo) {
    const kept = world.told.find((one) => one.id === Number(id) && one.where === where);
    if (!kept || kept.undone_at) return json(kept ? 409 : 404, { title: "It was taken back before.", status: 409 });
    return json(200, Object.assign(kept, { undone_at: iso(world.now()) }));
  }
  let text = "";
  for await (const part of request) text += part;
  const body = JSON.parse(text);
  const key = request.headers["idempotency-key"];
  const before = world.told.find((one) => one.key === key);
  if (before) return json(200, before);
  const { look, kind, what } = body;
  const say = look ? `Sky ${look.sky}, wind ${look.wind}, ${look.wet} at 10:42` : `Advice ${what} ${kind === "done" ? "followed" : "left"} at 10:42`;
  world.told.push({ id: world.told.length + 1, where, key, body, say, undone_at: null });
  return json(201, world.told.at(-1));
}

function healthOf({ scenario, now }) {
  const at = iso(now());
  if (scenario === "building") return { status: "green", at, says: [], build_progress: { done: 132, total: 365, what: "Laying down a year of history" } };
  if (scenario === "amber") return { status: "amber", at, says: ["The seed frame's board has not been heard."], build_progress: null };
  if (scenario === "red") return { status: "red", at, says: ["The disk is full: boards keep their readings until there is room."], build_progress: null };
  return { status: "green", at, says: [], build_progress: null };
}

const isMissing = (structure, at, now) => gapsOf(structure.slug, now).some(([from, to]) => at >= from && at < to);

function adviceAnswer(structure, world) {
  const told = (id) => world.told.findLast(({ where, body, undone_at }) => where === "events" && body.what === String(id) && !undone_at);
  const answered = (id) => (told(id) ? { id: told(id).id, kind: told(id).body.kind, t: iso(world.now()), say: told(id).say } : null);
  const all = world.scenario === "silent" ? [] : adviceOf(structure.slug, world.now()).map((one) => ({ ...one, answered: answered(one.id) }));
  return { at: iso(world.now()), advice: world.scenario === "older" ? all.filter((one) => one.kind === "vent").map(older) : all };
}

/** Advice as it was told before there were other kinds than openings. */
function older({ id, kind, say, because, verdict, moves, made_at, until }) {
  return { id, kind, say, because, verdict, moves, made_at, until };
}

function nowOf(structure, world) {
  const now = world.now();
  let t = now - 2 * MINUTE;
  let state = "fresh";
  if (structure.slug === "frame" || world.scenario === "silent") [t, state] = [now - 2.5 * HOUR, "silent"];
  if (structure.slug === "low-tunnel" && state === "fresh") [t, state] = [now - 38 * MINUTE, "stale"];
  const air = airTemperature(structure.kind, t);
  const rh = airHumidity(structure.kind, t);
  const known = state === "fresh" || state === "stale";
  const f = (value, wide) => (known ? { value, low: value - wide, high: value + wide, measured: 1 } : { value: null, unknown: "silent", measured: 0 });
  const reading = (quantity, unit, value) => ({ quantity, unit, value, t: iso(t), age_s: Math.round((now - t) / 1000), state, marks: [] });
  const readings = structure.slug === "fleece-bed" && world.scenario === "silent"
    ? [{ quantity: "air-temperature", unit: "Cel", value: null, t: null, age_s: null, state: "unknown", marks: [] }]
    : [reading("air-temperature", "Cel", air), reading("air-humidity", "%RH", rh)];
  return {
    structure: structure.slug, at: iso(now), zone: world.zone, outside_spot: "screen",
    spots: [{ spot: structure.outside ? "screen" : `${structure.slug}-air`, role: structure.outside ? "outside" : "air", device: "urn:dev:mac:02005efffe10a2b3", readings }],
    derived: { dew_point_c: f(dewPoint(air, rh), 0.3), vpd_kpa: f(vpd(air, rh), 0.04), absolute_humidity_g_m3: f(6.8, 0.3) },
    ...dampNow(structure.slug, world.scenario), alerts: [], advice: [],
  };
}

/** An older program tells nothing of damp; one whose boards are all silent knows nothing of it. */
function dampNow(slug, scenario) {
  if (scenario === "older") return {};
  if (scenario === "silent") {
    const leaves = "Whether leaves are wet now is not known, nor how long they were: the readings are too old.";
    return { wet: { now: "unknown" }, damp_says: { leaves, risks: [], doubt: null } };
  }
  return dampOf(slug);
}

function wetAnswer(structure, world, q) {
  const from = Date.parse(q.from);
  const { leaves, says } = wetOf(structure.slug, from, world.now());
  return { structure: structure.slug, at: iso(world.now()), from: q.from, to: q.to, leaves: leaves.map((one) => ({ ...one, from: iso(one.from), to: iso(one.to) })), says };
}

function readingsOf(structure, world, q) {
  const now = world.now();
  const [from, to] = [Date.parse(q.from), Date.parse(q.to)];
  const step = Math.max(300_000, Math.ceil((to - from) / Number(q.points) / MINUTE) * MINUTE);
  const series = { spot: structure.outside ? "screen" : `${structure.slug}-air`, cadence_s: 300, devices: [], t0: iso(from), n: [], min: [], mean: [], max: [], marks: [] };
  for (let at = from; at < Math.min(to, now); at += step) {
    const middle = at + step / 2;
    const gone = isMissing(structure, middle, now) || (world.scenario === "silent" && at > now - 2.5 * HOUR);
    const mean = airTemperature(structure.kind, middle);
    series.n.push(gone ? 0 : step / 300_000);
    series.mean.push(gone ? null : mean);
    series.min.push(gone ? null : mean - 0.2);
    series.max.push(gone ? null : mean + 0.2);
  }
  const gaps = gapsOf(structure.slug, now).map(([a, b]) => [Math.max(a, from), Math.min(b, to, now)]).filter(([a, b]) => b > a);
  return { quantity: q.quantity, unit: "Cel", from: q.from, to: q.to, step_s: step / 1000, series: [series], gaps: gaps.map((gap) => gap.map(iso)) };
}

function daysOf(structure, world, q) {
  const now = world.now();
  const days = [];
  for (let from = Date.parse(q.from); from <= Date.parse(q.to); from += DAY) {
    const hours = Array.from({ length: 24 }, (_, h) => from + h * HOUR).filter((at) => at <= now && !isMissing(structure, at, now));
    const values = hours.map((at) => airTemperature(structure.kind, at));
    const measured = hours.length / 24;
    const f = (value) => (values.length < 8 && from + DAY <= now ? { value: null, unknown: "coverage", measured } : values.length === 0 ? { value: null, unknown: "no_reading", measured } : { value, low: value, high: value, measured });
    days.push({ date: iso(from + 12 * HOUR).slice(0, 10), hours: 24, measured, complete: from + DAY <= now, min_c: f(Math.min(...values)), max_c: f(Math.max(...values)) });
  }
  return { zone: world.zone, kind: "civil", days };
}

if (import.meta.main ?? process.argv[1]?.endsWith("mock/server.mjs")) {
  const [, , pages, port, scenario] = process.argv;
  const mock = await startMock({ pages, port: Number(port ?? 0), scenario, runs: true });
  console.log(mock.url);
}
