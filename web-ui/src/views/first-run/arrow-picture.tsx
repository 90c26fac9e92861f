// A board on its hub with the chosen arrow pointing away from the car, or to it; seen from behind the car.
import type { AxisName } from '../../contract/types';

const ink = { fill: 'none', stroke: 'currentColor', 'stroke-width': 4, 'stroke-linejoin': 'round', 'stroke-linecap': 'round' } as const;

/** The wheel stands to the right of the car where `right`; the words beside it say the same. */
export function ArrowPicture({ axis, right }: { axis: AxisName; right: boolean }) {
  const letter = axis.slice(1).toUpperCase();
  const tipAway = axis.startsWith('+');
  const flat = letter !== 'Z';
  return (
    <svg class="arrow-picture" viewBox="0 0 180 90" aria-hidden="true" focusable="false">
      <g transform={right ? undefined : 'translate(180 0) scale(-1 1)'}>
        {/* The hub, and the board on it: edge on where its face looks outward, flat where an edge does. */}
        <path d="M6 45h34M40 20v50" {...ink} />
        {flat ? <path d="M46 40h56v10H46z" {...ink} /> : <path d="M48 18h10v54H48z" {...ink} />}
        {flat ? <path d="M64 28h18v12H64z" fill="currentColor" /> : <path d={tipAway ? 'M58 34h9v22h-9z' : 'M39 34h9v22h-9z'} fill="currentColor" />}
        <path d={tipAway ? 'M110 45h44M142 33l14 12-14 12' : 'M112 45h44M124 33l-14 12 14 12'} {...ink} class="arrow" />
      </g>
      <text x={right ? 133 : 47} y="24" text-anchor="middle">
        {letter}
      </text>
    </svg>
  );
}
