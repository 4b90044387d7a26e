// One question to the server, and every way in which it can go wrong kept apart.

export type Trouble =
  | { kind: "offline" }
  | { kind: "refused"; status: number; says: string | null }
  | { kind: "missing"; says: string | null }
  | { kind: "broken"; says: string };

export type Answer<T> = { ok: true; value: T } | { ok: false; trouble: Trouble };

const PATIENCE_MS = 20_000;

/** Asks `GET path` for JSON. `looksRight` guards against an answer of another shape. */
export function ask<T extends object>(path: string, looksRight: (value: Partial<T>) => boolean): Promise<Answer<T>> {
  return exchange(path, { headers: { accept: "application/json" } }, looksRight);
}

/** Tells the program something by `POST path`. What is told twice under the same `key` is kept once. */
export function tell<T extends object>(path: string, body: object | null, key: string | null, looksRight: (value: Partial<T>) => boolean): Promise<Answer<T>> {
  const headers: Record<string, string> = { accept: "application/json" };
  if (body) headers["content-type"] = "application/json";
  if (key) headers["idempotency-key"] = key;
  return exchange(path, { method: "POST", headers, body: body && JSON.stringify(body) }, looksRight);
}

async function exchange<T extends object>(path: string, request: RequestInit, looksRight: (value: Partial<T>) => boolean): Promise<Answer<T>> {
  let response: Response;
  try {
    response = await fetch(path, { ...request, signal: AbortSignal.timeout(PATIENCE_MS) });
  } catch {
    return { ok: false, trouble: { kind: "offline" } };
  }
  const body = await bodyOf(response);
  if (!response.ok) return { ok: false, trouble: refusal(response.status, problemSays(body)) };
  if (!isObject(body) || !looksRight(body as Partial<T>)) {
    return { ok: false, trouble: { kind: "broken", says: `The answer to ${path} has a shape that this page does not know.` } };
  }
  return { ok: true, value: body as T };
}

function refusal(status: number, says: string | null): Trouble {
  if (status === 401 || status === 403 || status === 429) return { kind: "refused", status, says };
  if (status === 404) return { kind: "missing", says };
  return { kind: "broken", says: says ?? `The program answered with error ${status}.` };
}

async function bodyOf(response: Response): Promise<unknown> {
  try {
    return await response.json();
  } catch {
    return null;
  }
}

/** The plain sentence of an RFC 9457 answer: `what`, else `detail`, else `title`. */
function problemSays(body: unknown): string | null {
  if (!isObject(body)) return null;
  for (const key of ["what", "detail", "title"]) {
    const text = body[key];
    if (typeof text === "string" && text !== "") return text;
  }
  return null;
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
