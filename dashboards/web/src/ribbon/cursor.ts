// A cursor that moves over a picture by pointer, finger or keyboard, and speaks as a slider to those who cannot see it.
import { useRef, useState } from "preact/hooks";

export interface CursorRange {
  min: number;
  max: number;
  /** Where the cursor comes to stand when the keyboard reaches the picture. */
  start: number;
  /** What each key adds; Home, End and Escape are known already. */
  keys: Record<string, number>;
  /** The value under a place in the picture, both measured from its top left corner in pixels. */
  locate: (x: number, y: number) => number;
}

export interface Cursor {
  /** The value under the cursor; null while nobody points. */
  at: number | null;
  handlers: Record<string, (event: never) => void>;
}

export function useCursor(range: CursorRange): Cursor {
  const [at, setAt] = useState<number | null>(null);
  const byFinger = useRef(false);
  const within = (value: number): number => Math.min(range.max, Math.max(range.min, value));

  const point = (event: PointerEvent): void => {
    byFinger.current = event.pointerType !== "mouse";
    const box = (event.currentTarget as Element).getBoundingClientRect();
    setAt(within(range.locate(event.clientX - box.left, event.clientY - box.top)));
  };
  const leave = (): void => {
    // A finger leaves when it lifts; what it pointed at stays readable.
    if (!byFinger.current) setAt(null);
  };
  const press = (event: KeyboardEvent): void => {
    const step = range.keys[event.key];
    if (step !== undefined) setAt(within((at ?? range.start) + step));
    else if (event.key === "Home") setAt(range.min);
    else if (event.key === "End") setAt(range.max);
    else if (event.key === "Escape") setAt(null);
    else return;
    event.preventDefault();
  };
  return {
    at,
    handlers: { onPointerMove: point, onPointerDown: point, onPointerLeave: leave, onKeyDown: press, onBlur: () => setAt(null) },
  };
}
