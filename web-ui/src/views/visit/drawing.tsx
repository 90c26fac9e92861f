// Own small drawings of what to measure where, seen from above with the front at the top.
import type { Way } from '../../state/entered';
import { texts } from '../../texts';

/** A wheel from above, toed so that it is seen which way it matters. */
function Wheel({ x, y, turn_deg = 0 }: { x: number; y: number; turn_deg?: number }) {
  return <rect class="drawn-wheel" x={-13} y={-38} width={26} height={76} transform={`translate(${x} ${y}) rotate(${turn_deg})`} />;
}

/** A distance to measure, with its name beside. */
function Span({ from, to, y, name, above = true }: { from: number; to: number; y: number; name: string; above?: boolean }) {
  return (
    <g class="drawn-span">
      <path d={`M${from} ${y}H${to}M${from} ${y - 7}v14M${to} ${y - 7}v14`} />
      <text x={(from + to) / 2} y={above ? y - 10 : y + 24} text-anchor="middle">
        {name}
      </text>
    </g>
  );
}

const Axle = ({ y }: { y: number }) => <path class="drawn-axle" d={`M90 ${y}H310`} />;

/** Drawn anew each time, for their words are those of the language chosen. */
const DRAWN: Record<Way, () => preact.JSX.Element> = {
  strings: () => (
    <>
      <path class="drawn-string" d="M60 8V292" />
      <path class="drawn-string" d="M340 8V292" />
      <Axle y={80} />
      <Axle y={220} />
      <Wheel x={110} y={80} turn_deg={6} />
      <Wheel x={290} y={80} turn_deg={-6} />
      <Wheel x={110} y={220} />
      <Wheel x={290} y={220} />
      <Span from={60} to={104} y={44} name={texts.entered.picture.ahead} />
      <Span from={60} to={96} y={116} name={texts.entered.picture.behind} above={false} />
      <text x={66} y={286}>
        {texts.entered.picture.string}
      </text>
    </>
  ),
  gap: () => (
    <>
      <Axle y={150} />
      <Wheel x={110} y={150} turn_deg={8} />
      <Wheel x={290} y={150} turn_deg={-8} />
      <Span from={128} to={272} y={114} name={texts.entered.picture.ahead} />
      <Span from={118} to={282} y={186} name={texts.entered.picture.behind} above={false} />
    </>
  ),
  spot: () => (
    <>
      <path class="drawn-axle" d="M240 170H390" />
      <Wheel x={260} y={170} turn_deg={8} />
      <path class="drawn-axle" d="M50 60V270" />
      <path class="drawn-string" d="M50 170H246L50 96" />
      <circle class="drawn-mark" cx={50} cy={96} r={7} />
      <path class="drawn-span" d="M30 96V170M23 96h14M23 170h14" />
      <text x={64} y={92}>
        {texts.entered.picture.spot}
      </text>
      <text x={64} y={266}>
        {texts.entered.picture.scale}
      </text>
      <text x={250} y={240}>
        {texts.entered.picture.mirror}
      </text>
      <Span from={50} to={246} y={206} name={texts.entered.picture.distance} above={false} />
    </>
  ),
  slip: () => (
    <>
      <Axle y={110} />
      <Wheel x={110} y={110} turn_deg={8} />
      <Wheel x={290} y={110} />
      <rect class="drawn-plate" x={72} y={84} width={76} height={52} />
      <path class="drawn-span" d="M40 180h140M52 172l-12 8 12 8M168 172l12 8-12 8" />
      <text x={110} y={214} text-anchor="middle">
        {texts.entered.picture.plate}
      </text>
    </>
  ),
  setback: () => (
    <>
      <path class="drawn-string" d="M30 262H370" />
      <text x={200} y={288} text-anchor="middle">
        {texts.entered.picture.line}
      </text>
      <path class="drawn-axle" d="M110 110L290 136" />
      <Wheel x={110} y={110} />
      <Wheel x={290} y={136} />
      <path class="drawn-span" d="M70 110V262M62 110h48M62 262h16" />
      <text x={60} y={200} text-anchor="end">
        {texts.entered.picture.left}
      </text>
      <path class="drawn-span" d="M330 136V262M290 136h48M322 262h16" />
      <text x={340} y={206}>
        {texts.entered.picture.right}
      </text>
    </>
  ),
};

export function Drawing({ way }: { way: Way }) {
  return (
    <svg class="drawing" viewBox="0 0 400 300" role="img" aria-label={texts.entered.drawing[way]}>
      {DRAWN[way]()}
      <text class="drawn-front" x={200} y={16} text-anchor="middle">
        {texts.entered.picture.front}
      </text>
    </svg>
  );
}
