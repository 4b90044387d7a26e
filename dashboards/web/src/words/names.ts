// The grower's own names for beds and covers; the slug as words where the program does not tell them.
import type { Structure } from "../api/shapes.ts";
import { spaced } from "./figures.ts";

export function bedName(structure: Structure | undefined, slug: string): string {
  return structure?.beds?.find((bed) => bed.slug === slug)?.name ?? spaced(slug);
}

export function coverName(structure: Structure | undefined, slug: string): string {
  return structure?.covers?.find((cover) => cover.slug === slug)?.name ?? spaced(slug);
}
