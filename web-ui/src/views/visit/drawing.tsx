// Own small drawings of what to measure where, seen from above with the front at the top.
import type { Way } from '../../state/entered';
import { drawing as words, picture as texts } from '../../texts/entered';

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

const DRAWN: Record<Way, preact.JSX.Element> = {
  strings: (
    <>
      <path class="drawn-string" d="M60 8V292" />
      <path class="drawn-string" d="M340 8V292" />
      <Axle y={80} />
      <Axle y={220} />
      <Wheel x={110} y={80} turn_deg={6} />
      <Wheel x={290} y={80} turn_deg={-6} />
      <Wheel x={110} y={220} />
      <Wheel x={290} y={220} />
      <Span from={60} to={104} y={44} name={texts.ahead} />
      <Span from={60} to={96} y={116} name={texts.behind} above={false} />
      <text x={66} y={286}>
        {texts.string}
      </text>
    </>
  ),
  gap: (
    <>
      <Axle y={150} />
      <Wheel x={110} y={150} turn_deg={8} />
      <Wheel x={290} y={150} turn_deg={-8} />
      <Span from={128} to={272} y={114} name={texts.ahead} />
      <Span from={118} to={282} y={186} name={texts.behind} above={false} />
    </>
  ),
  spot: (
    <>
      <Axle y={200} />
      <Wheel x={110} y={200} turn_deg={8} />
      <path class="drawn-string" d="M96 198 40 40" />
      <path class="drawn-axle" d="M14 40H150" />
      <circle class="drawn-mark" cx={40} cy={40} r={6} />
      <path class="drawn-string" d="M96 198V40" />
      <Span from={40} to={96} y={22} name="" />
      <text x={160} y={30}>{`${texts.spot}, ${texts.scale}`}</text>
      <text x={130} y={240}>
        {texts.mirror}
      </text>
      <path class="drawn-span" d="M200 40V198M193 40h14M193 198h14" />
      <text x={210} y={125}>
        {texts.distance}
      </text>
    </>
  ),
  slip: (
    <>
      <Axle y={110} />
      <Wheel x={110} y={110} turn_deg={8} />
      <Wheel x={290} y={110} turn_deg={-8} />
      <rect class="drawn-plate" x={72} y={84} width={76} height={52} />
      <path class="drawn-span" d="M40 180h140M52 172l-12 8 12 8M168 172l12 8-12 8" />
      <text x={110} y={214} text-anchor="middle">
        {texts.plate}
      </text>
    </>
  ),
  setback: (
    <>
      <path class="drawn-string" d="M30 40H370" />
      <text x={200} y={30} text-anchor="middle">
        {texts.line}
      </text>
      <path class="drawn-axle" d="M110 150L290 176" />
      <Wheel x={110} y={150} />
      <Wheel x={290} y={176} />
      <path class="drawn-span" d="M70 40V150M62 40h16M62 150h48" />
      <text x={62} y={110} text-anchor="end">
        {texts.left}
      </text>
      <path class="drawn-span" d="M330 40V176M322 40h16M290 176h48" />
      <text x={342} y={120}>
        {texts.right}
      </text>
    </>
  ),
};

export function Drawing({ way }: { way: Way }) {
  return (
    <svg class="drawing" viewBox="0 0 400 300" role="img" aria-label={words[way]}>
      {DRAWN[way]}
      <text class="drawn-front" x={200} y={16} text-anchor="middle">
        {way === 'setback' ? '' : texts.front}
      </text>
    </svg>
  );
}
