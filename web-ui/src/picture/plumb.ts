// The plumb-line picture: the true vertical as a hanging string, the measured
// line against it, leaning by the measured angle times a stated factor.
//
// Three kinds of numbers, told apart by their names:
//   _deg    true angles, as measured;
//   drawn_  angles after exaggeration;
//   _box    lengths in the picture's own box (see BOX), x right, y down.

/** The picture's box. All `_box` lengths are in its units. */
export const BOX = {
  width: 200,
  height: 240,
  /** Where the string hangs from. */
  pegX: 100,
  pegY: 18,
  /** Where both lines stand: the string's foot. */
  footY: 214,
} as const;

/** Lines never lean further than this on the paper, or they would leave the box. */
export const MOST_DRAWN_DEG = 24;

/** Factors the picture may use, most telling first. */
export const FACTORS = [10, 5, 2, 1] as const;
export type Factor = (typeof FACTORS)[number];

/** Which way on the paper a positive angle leans. */
export type Toward = 'left' | 'right';

export interface Point {
  x_box: number;
  y_box: number;
}

/** The largest factor that keeps every given angle inside the box. */
export function factorFor(angles_deg: readonly number[]): Factor {
  const largest_deg = Math.max(0, ...angles_deg.filter(Number.isFinite).map(Math.abs));
  return FACTORS.find((factor) => largest_deg * factor <= MOST_DRAWN_DEG) ?? 1;
}

/** The angle as drawn: exaggerated, kept inside the box. */
export function drawnDeg(angle_deg: number, factor: Factor): number {
  const drawn_deg = angle_deg * factor;
  return Math.min(MOST_DRAWN_DEG, Math.max(-MOST_DRAWN_DEG, drawn_deg));
}

const LINE_BOX = BOX.footY - BOX.pegY;

/** Head of a line that stands on the foot and leans by a drawn angle. */
export function headOf(drawn_deg: number, positive: Toward): Point {
  const drawn_rad = (drawn_deg * Math.PI) / 180;
  const side = positive === 'right' ? 1 : -1;
  return {
    x_box: BOX.pegX + side * Math.sin(drawn_rad) * LINE_BOX,
    y_box: BOX.footY - Math.cos(drawn_rad) * LINE_BOX,
  };
}

/** Everything a view needs to draw one picture. */
export interface PlumbPicture {
  factor: Factor;
  /** Head of the measured line; its foot is (BOX.pegX, BOX.footY). */
  head: Point;
  /** SVG path of the wedge that the 95 % interval covers. */
  doubtPath: string;
  /** SVG path of the arc between the vertical and the measured line, near the head. */
  gapPath: string;
}

/** Distance from the foot at which the arc of the angle is drawn. */
const GAP_RADIUS_BOX = LINE_BOX * 0.78;

function at(point: Point): string {
  return `${point.x_box.toFixed(2)} ${point.y_box.toFixed(2)}`;
}

function alongLine(head: Point, radius_box: number): Point {
  const share = radius_box / LINE_BOX;
  return {
    x_box: BOX.pegX + (head.x_box - BOX.pegX) * share,
    y_box: BOX.footY + (head.y_box - BOX.footY) * share,
  };
}

export function plumbPicture(
  value_deg: number,
  expanded_deg: number,
  positive: Toward,
  factor: Factor = factorFor([value_deg]),
): PlumbPicture {
  const head = headOf(drawnDeg(value_deg, factor), positive);
  const low = headOf(drawnDeg(value_deg - expanded_deg, factor), positive);
  const high = headOf(drawnDeg(value_deg + expanded_deg, factor), positive);
  const foot: Point = { x_box: BOX.pegX, y_box: BOX.footY };
  const arcStart: Point = { x_box: BOX.pegX, y_box: BOX.footY - GAP_RADIUS_BOX };
  const arcEnd = alongLine(head, GAP_RADIUS_BOX);
  const sweep = arcEnd.x_box >= BOX.pegX ? 1 : 0;
  const r = GAP_RADIUS_BOX.toFixed(2);
  return {
    factor,
    head,
    doubtPath: `M ${at(foot)} L ${at(low)} L ${at(high)} Z`,
    gapPath: `M ${at(arcStart)} A ${r} ${r} 0 0 ${sweep} ${at(arcEnd)}`,
  };
}
