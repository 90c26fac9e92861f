// How wide the tablet's own figures are, measured once, so that a large figure fills its place exactly.
import { MINUS, WIDE_FACE, type Face } from '../format/numbers';

/** Weight of the large figures, as in the styles. */
const WEIGHT = 600;
const SIZE_PX = 200;

function measured(): Face {
  const paper = document.createElement('canvas').getContext('2d');
  if (!paper) return WIDE_FACE;
  paper.font = `${WEIGHT} ${SIZE_PX}px ${getComputedStyle(document.documentElement).fontFamily}`;
  const width_em = (text: string) => paper.measureText(text).width / SIZE_PX;
  const face = { digit_em: width_em('0'), point_em: Math.max(width_em('.'), width_em(',')), sign_em: width_em(MINUS) };
  return face.digit_em > 0 ? face : WIDE_FACE;
}

let known: Face | null = null;

/** The face of the large figures. Asked for after the styles are there. */
export function face(): Face {
  known ??= measured();
  return known;
}
