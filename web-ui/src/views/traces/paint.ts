// One strip on its canvas. Nothing is kept between two drawings but the axis.
import { piecesOf, type Piece, type Ring, type Which } from '../../picture/ring';
import { markDecimals, spanMarks_deg, type Span } from '../../picture/span';
import { drawEdge, drawLine, xOf, yOf, type StripBox } from '../../picture/strip-line';
import { signedNumber } from '../../state/shown';
import { texts } from '../../texts';
import type { Inks } from './ink';

/** Room for the marks on the left and for the line's name on its right end. */
const LEFT_PX = 52;
const RIGHT_PX = 118;
const TOP_PX = 12;
const BOTTOM_PX = 26;
/** Seconds between two marks of time. */
const MARK_S = 10;

export interface Strip {
  ring: Ring;
  which: Which;
  /** Stands at the line's end, so that the line is known without its colour. */
  name: string;
  span: Span;
  from_us: number;
  to_us: number;
}

function axes(paper: CanvasRenderingContext2D, box: StripBox, inks: Inks): void {
  paper.lineWidth = 1;
  paper.textBaseline = 'middle';
  paper.textAlign = 'right';
  const decimals = markDecimals(box.span);
  spanMarks_deg(box.span).forEach((mark, nth) => {
    const y = Math.round(yOf(box, mark)) + 0.5;
    paper.strokeStyle = mark === 0 ? inks.soft : inks.rule;
    paper.beginPath();
    paper.moveTo(box.left_px, y);
    paper.lineTo(box.right_px, y);
    paper.stroke();
    paper.fillStyle = inks.soft;
    if (nth % 2 === 0) paper.fillText(signedNumber(mark, decimals), box.left_px - 6, y);
  });
  paper.textBaseline = 'top';
  const long_s = (box.to_us - box.from_us) / 1e6;
  for (let ago_s = 0; ago_s <= long_s; ago_s += MARK_S) {
    const x = xOf(box, box.to_us - ago_s * 1e6);
    // The outermost stay clear of the marks beside the strip.
    paper.textAlign = ago_s === 0 ? 'right' : x < box.left_px + 20 ? 'left' : 'center';
    paper.fillText(ago_s === 0 ? texts.traces.now : texts.traces.ago(signedNumber(-ago_s, 0)), x, box.bottom_px + 6);
  }
}

/** A gap is hatched and says why: it is no line at nothing. */
function gap(paper: CanvasRenderingContext2D, piece: Extract<Piece, { kind: 'gap' }>, box: StripBox, inks: Inks): void {
  const left = Math.max(box.left_px, xOf(box, piece.from_us));
  const right = Math.max(left + 2, Math.min(box.right_px, xOf(box, piece.to_us)));
  paper.save();
  paper.beginPath();
  paper.rect(left, box.top_px, right - left, box.bottom_px - box.top_px);
  paper.clip();
  paper.strokeStyle = inks.gap;
  paper.lineWidth = 1;
  paper.globalAlpha = 0.45;
  paper.beginPath();
  const high = box.bottom_px - box.top_px;
  // The hatching stands on the paper's own grid, so that it does not crawl with the gap.
  for (let x = Math.floor((left - high) / 9) * 9; x < right; x += 9) {
    paper.moveTo(x, box.bottom_px);
    paper.lineTo(x + high, box.top_px);
  }
  paper.stroke();
  paper.globalAlpha = 1;
  const words = texts.traces.gap[piece.why];
  if (paper.measureText(words).width + 10 < right - left) {
    paper.fillStyle = inks.gap;
    paper.textAlign = 'left';
    paper.textBaseline = 'middle';
    paper.fillText(words, left + 5, (box.top_px + box.bottom_px) / 2);
  }
  paper.restore();
}

function line(paper: CanvasRenderingContext2D, strip: Strip, piece: Extract<Piece, { kind: 'line' }>, box: StripBox, inks: Inks): void {
  const { ring, which } = strip;
  const { from, to } = piece;
  paper.fillStyle = inks.doubt;
  paper.beginPath();
  drawEdge(ring, which, from, to, 1, box, (x, y) => paper.lineTo(x, y));
  const below: [number, number][] = [];
  drawEdge(ring, which, from, to, -1, box, (x, y) => below.push([x, y]));
  for (const [x, y] of below.reverse()) paper.lineTo(x, y);
  paper.closePath();
  paper.fill();
  paper.strokeStyle = inks.line;
  paper.lineWidth = 2;
  paper.lineJoin = 'round';
  paper.beginPath();
  if (to - from === 1) paper.arc(xOf(box, ring.time_us(from)), yOf(box, ring.value_deg(which, from)), 1.5, 0, 2 * Math.PI);
  else drawLine(ring, which, from, to, box, (x, y) => paper.lineTo(x, y));
  paper.stroke();
}

function nameAtEnd(paper: CanvasRenderingContext2D, strip: Strip, box: StripBox, inks: Inks): void {
  const { ring, which, name } = strip;
  const last = ring.length - 1;
  const value = last < 0 ? Number.NaN : ring.value_deg(which, last);
  if (Number.isNaN(value)) return;
  const y = Math.min(box.bottom_px - 8, Math.max(box.top_px + 8, yOf(box, value)));
  paper.fillStyle = inks.ink;
  paper.textAlign = 'left';
  paper.textBaseline = 'middle';
  paper.fillText(`◂ ${name}`, box.right_px + 6, y);
}

/** Draws a strip of this size, in pixels of the page; `sharp` is how many of the screen make one. */
export function paintStrip(paper: CanvasRenderingContext2D, strip: Strip, width_px: number, height_px: number, sharp: number, inks: Inks): void {
  const { span, from_us, to_us } = strip;
  const box: StripBox = { left_px: LEFT_PX, right_px: width_px - RIGHT_PX, top_px: TOP_PX, bottom_px: height_px - BOTTOM_PX, from_us, to_us, span };
  paper.setTransform(sharp, 0, 0, sharp, 0, 0);
  paper.clearRect(0, 0, width_px, height_px);
  if (box.right_px <= box.left_px) return;
  paper.font = `15px ${inks.face}`;
  axes(paper, box, inks);
  paper.save();
  paper.beginPath();
  paper.rect(box.left_px, box.top_px - 2, box.right_px - box.left_px, box.bottom_px - box.top_px + 4);
  paper.clip();
  for (const piece of piecesOf(strip.ring, from_us, to_us)) {
    if (piece.kind === 'gap') gap(paper, piece, box, inks);
    else line(paper, strip, piece, box, inks);
  }
  paper.restore();
  nameAtEnd(paper, strip, box, inks);
}
