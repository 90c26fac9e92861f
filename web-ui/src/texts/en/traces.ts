import type { Gap } from '../../picture/ring';

export const traces = {
  title: 'Traces',
  line: 'every angle of every board, as it comes',
  about: 'Every reading of the last half minute. The pale band is the ±. Where nothing is known the line is broken and says why.',
  none: 'No board is strapped on yet: a trace needs to know where its board sits.',
  waiting: 'nothing yet',
  hold: 'Hold the picture',
  goOn: 'Go on',
  held: 'held',
  camber: 'camber',
  hubPitch: 'hub pitch',
  roll: 'body roll',
  pitch: 'body pitch',
  bodyZero: 'The body counts from where it first rested.',
  strip: (place: string, what: string) => `${place}, ${what}`,
  now: 'now',
  ago: (s: string) => `${s} s`,
  value: (value: string, expanded: string) => `${value} ± ${expanded}`,
  between: (least: string, most: string) => `between ${least} and ${most}`,
  gaps: (n: number) => (n === 1 ? 'one gap' : `${n} gaps`),
  lostConnection: 'No connection: the traces go on by themselves when it is back.',
  lost: (n: string) => `${n} readings came too fast for this tablet and are a gap.`,
  gap: {
    absent: 'board gone',
    stale: 'no readings',
    saturated: 'end of range',
    unfit: 'not usable',
    moving: 'moves too much',
    settling: 'settling',
    unmounted: 'seat not known',
    lost: 'not received',
    unwatched: 'not watched',
  } satisfies Record<Gap, string>,
};

export const swingTrace = {
  title: 'Camber over steer',
  up: 'camber, °',
  along: 'steer, °',
  none: 'Drawn from the first rest on.',
  /** The same in numbers, for who cannot see it. */
  stop: (steer: string, side: string, camber: string) => `${steer} ${side}: ${camber}`,
  straight: 'straight ahead',
  wheel: (wheel: string, stops: string) => `${wheel}: ${stops}`,
  noStops: 'no stop yet',
  curve: 'with the curve of the found axis',
  legend: 'Diamonds and bars: stops with their ±. Thin line: the way there, by the gyro. Thick line: what the found axis gives.',
};

export const limitStrip = {
  within: 'within the limits, all of the ± too',
  beyond: 'beyond a limit, all of the ± too',
  across: 'the ± reaches across a limit',
  low: (value: string) => `from ${value}`,
  high: (value: string) => `to ${value}`,
  target: (value: string) => `target ${value}`,
  says: (value: string, expanded: string, limits: string) => `${value} ± ${expanded}; limits ${limits}`,
};

export const history = {
  open: 'Over the visits',
  title: (car: string) => `${car} over its visits`,
  back: 'Back',
  loading: 'asking …',
  none: 'No visit of this car is kept yet. Begin one; what it finds stands here from then on.',
  nothing: 'Nothing was found in a visit of this car yet.',
  one: 'One visit so far: what is told here gets its meaning with the next one.',
  older: (n: number) => (n === 1 ? 'One older visit is not shown.' : `${n} older visits are not shown.`),
  legend: 'Ring: as the car came. Bob: as it left. Bars: ±. Brackets: the limits of that time. No line joins the visits: between them nobody measured.',
  before: 'before',
  after: 'after',
  figure: (when: string, value: string, expanded: string) => `${when} ${value} ± ${expanded}`,
  notFound: 'not measured',
};
