// How a board is to lie on the table: drawn against the plumb line, its printed arrows named.
import type { Arrow, Way } from '../state/calibration';

const ink = { fill: 'none', stroke: 'currentColor', 'stroke-width': 3, 'stroke-linejoin': 'round' } as const;

/** An arrow upwards from the origin, turned clockwise, with its letter beyond its tip or beside it. */
function Pointer({ arrow, turn_deg, beside = false }: { arrow: Arrow; turn_deg: number; beside?: boolean }) {
  return (
    <g transform={`rotate(${turn_deg})`}>
      <path d="M0 0v-38M-9-30 0-44l9 14" {...ink} class="arrow" />
      <text x="0" y={beside ? -20 : -56} dx={beside ? 18 : 0} text-anchor="middle" dominant-baseline="middle" transform={`rotate(${-turn_deg} 0 ${beside ? -20 : -56})`}>
        {arrow}
      </text>
    </g>
  );
}

/** Seen from its edge: a thin plate with the chip on one side. */
const flat = (
  <>
    <path d="M-52-5h104v10H-52z" {...ink} />
    <path d="M-16-5v-9h32v9z" fill="currentColor" />
  </>
);
/** Seen from its face. */
const face = (
  <>
    <path d="M-34-46h68v92h-68z" {...ink} />
    <path d="M-10 14h20v20h-20z" fill="currentColor" />
  </>
);

function Drawn({ way }: { way: Way }) {
  if (way.kind === 'upright' && way.arrow === 'Z') {
    return (
      <g transform="translate(100 118)">
        <g transform={way.up ? 'translate(0 0)' : 'rotate(180) translate(0 0)'}>{flat}</g>
        <g transform={way.up ? 'translate(0 -14)' : 'translate(74 -62)'}>
          <Pointer arrow="Z" turn_deg={way.up ? 0 : 180} beside />
        </g>
      </g>
    );
  }
  if (way.kind === 'upright') {
    return (
      <g transform="translate(100 80)">
        {face}
        <g transform={way.up ? 'translate(0 8)' : 'translate(0 -34)'}>
          <Pointer arrow={way.arrow} turn_deg={way.up ? 0 : 180} beside />
        </g>
      </g>
    );
  }
  const [first, second] = way.kind === 'slant' ? [way.first, way.second] : [null, null];
  return (
    <g transform={second === 'Z' ? 'translate(100 84)' : 'translate(100 70)'}>
      <g transform="rotate(-45)">{second === 'Z' ? flat : face}</g>
      {first !== null && <Pointer arrow={first} turn_deg={45} />}
      {second !== null && <Pointer arrow={second} turn_deg={-45} />}
    </g>
  );
}

/** The words beside it say the same, so it is hidden from screen readers. */
export function BoardPicture({ way }: { way: Way }) {
  return (
    <svg class="board-picture" viewBox="0 0 200 150" aria-hidden="true" focusable="false">
      <path d="M100 2v124" class="plumb-string" />
      <path d="M8 128h184" class="table-top" />
      <Drawn way={way} />
    </svg>
  );
}
