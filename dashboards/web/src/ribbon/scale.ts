// From instants and degrees to pixels.

export interface Scale {
  (value: number): number;
  domain: [number, number];
}

export function linear(domain: [number, number], range: [number, number]): Scale {
  const width = domain[1] - domain[0] || 1;
  const scale = (value: number): number => range[0] + ((value - domain[0]) / width) * (range[1] - range[0]);
  return Object.assign(scale, { domain });
}

const LEAST_SPAN_C = 6;

/** A temperature domain with air above and below, whole degrees, never narrower than a calm day. */
export function temperatureDomain(found: { low: number; high: number } | null): [number, number] {
  if (!found) return [0, 12];
  let [low, high] = [Math.floor(found.low - 0.8), Math.ceil(found.high + 0.8)];
  if (high - low < LEAST_SPAN_C) {
    const middle = (low + high) / 2;
    [low, high] = [Math.floor(middle - LEAST_SPAN_C / 2), Math.ceil(middle + LEAST_SPAN_C / 2)];
  }
  return [low, high];
}

/** Whole-degree marks inside a domain: two to five of them, with 0 among them where it lies inside. */
export function temperatureMarks([low, high]: [number, number], most = 4): number[] {
  const step = [1, 2, 5, 10, 20].find((size) => (high - low) / size <= most + 0.5) ?? 50;
  const marks: number[] = [];
  for (let mark = Math.ceil(low / step) * step; mark <= high; mark += step) marks.push(mark === 0 ? 0 : mark);
  return marks;
}
