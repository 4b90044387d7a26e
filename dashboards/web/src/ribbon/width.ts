// The width that a picture has on this screen, in whole pixels: pictures are drawn to it, not stretched.
import type { RefObject } from "preact";
import { useLayoutEffect, useRef, useState } from "preact/hooks";

const UNTIL_MEASURED = 340;

export function useWidth(): [RefObject<HTMLDivElement | null>, number] {
  const ref = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(UNTIL_MEASURED);
  useLayoutEffect(() => {
    const element = ref.current;
    if (!element) return;
    const measure = (): void => setWidth(Math.max(200, Math.floor(element.clientWidth)));
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [ref, width];
}
