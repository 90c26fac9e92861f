// A value against its limits: brackets at the limits, the string at the aim, the bob at the value, its ± as a bar.
import type { Limits } from '../../contract/types';
import { stripOf } from '../../state/verdict';

const WIDTH = 220;
const x = (share: number): number => share * WIDTH;

/** The words beside it say the same, so it is hidden from screen readers. */
export function LimitStrip({ value, expanded, limits }: { value: number; expanded: number; limits: Limits }) {
  const strip = stripOf(value, expanded, limits);
  if (strip === null) return null;
  const { low, high, target } = strip;
  const from = x(strip.from);
  const wide = Math.max(4, x(strip.to) - from);
  return (
    <svg class="strip" viewBox={`0 0 ${WIDTH} 44`} aria-hidden="true" focusable="false">
      <path class="strip-floor" d={`M0 38H${WIDTH}`} />
      {low !== null && <path class="strip-limit" d={`M${x(low) + 8} 6h-8v32h8`} />}
      {high !== null && <path class="strip-limit" d={`M${x(high) - 8} 6h8v32h-8`} />}
      {target !== null && <path class="plumb-string" d={`M${x(target)} 0v38`} />}
      <rect class="strip-doubt" x={from} y="17" width={wide} height="10" />
      <path class="strip-bob" d={`M${x(strip.value) - 6} 8h12l1.5 7-7.5 22-7.5-22z`} />
    </svg>
  );
}
