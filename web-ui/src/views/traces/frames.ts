// One redraw a frame for all strips, and none when there is nothing to redraw.
import { extent_deg, type Ring, type Which } from '../../picture/ring';
import { settledSpan, type Span } from '../../picture/span';
import { changesSoFar, traceNow_us, WINDOW_US } from '../../state/traces';
import { inksOf, type Inks } from './ink';
import { paintStrip } from './paint';

interface Hung {
  canvas: HTMLCanvasElement;
  ring: Ring;
  which: Which;
  name: string;
  span: Span | null;
}

/** How often the inks are looked up: who changes the theme sees it within a moment. */
const INKS_MS = 500;
/** With reduced motion the picture goes on in steps of this length. */
const STEP_MS = 1000;
/** Most pixels of the screen that make one of the page: more is drawn in vain. */
const SHARPEST = 2;

/** All strips that hang on the page. They share one clock and one frame. */
export class Frames {
  private readonly hung = new Set<Hung>();
  /** Does the tablet ask for less motion? */
  private readonly calm = matchMedia('(prefers-reduced-motion: reduce)');
  private frame = 0;
  private drawnChanges = -1;
  private drawn_ms = 0;
  private inks: Inks | null = null;
  private inked_ms = Number.NEGATIVE_INFINITY;
  /** Stands still since then, page clock; null while it goes on. */
  private held_ms: number | null = null;
  private stale = true;
  /** Redraws so far, for who measures. */
  drawings = 0;

  /** Hangs a strip up; the answer takes it down. */
  hang(canvas: HTMLCanvasElement, ring: Ring, which: Which, name: string): () => void {
    const strip: Hung = { canvas, ring, which, name, span: null };
    this.hung.add(strip);
    this.stale = true;
    if (this.frame === 0) this.frame = requestAnimationFrame(this.next);
    return () => {
      this.hung.delete(strip);
      if (this.hung.size === 0) {
        cancelAnimationFrame(this.frame);
        this.frame = 0;
      }
    };
  }

  /** Holds the picture, or lets it go on. */
  hold(held: boolean): void {
    this.held_ms = held ? performance.now() : null;
    this.stale = true;
  }

  private readonly next = (page_ms: number): void => {
    this.frame = requestAnimationFrame(this.next);
    if (this.isDue(page_ms)) this.draw(page_ms);
  };

  /** Is there anything to be seen that was not drawn yet? */
  private isDue(page_ms: number): boolean {
    if (document.hidden) return false;
    if (this.stale) return true;
    if (this.held_ms !== null) return this.resized();
    const now_us = traceNow_us(page_ms);
    if (now_us === null) return false;
    const inView = [...this.hung].some(({ ring }) => (ring.newest_us ?? Number.NEGATIVE_INFINITY) >= now_us - WINDOW_US);
    if (!inView && changesSoFar() === this.drawnChanges) return this.resized();
    return !this.calm.matches || page_ms - this.drawn_ms >= STEP_MS;
  }

  private resized(): boolean {
    return [...this.hung].some(({ canvas }) => canvas.width !== this.screenOf(canvas.clientWidth) || canvas.height !== this.screenOf(canvas.clientHeight));
  }

  private readonly screenOf = (page_px: number): number => Math.round(page_px * Math.min(SHARPEST, devicePixelRatio));

  private draw(page_ms: number): void {
    const [first] = this.hung;
    if (first === undefined) return;
    if (this.inks === null || page_ms - this.inked_ms > INKS_MS) {
      this.inks = inksOf(first.canvas);
      this.inked_ms = page_ms;
    }
    const clock_us = traceNow_us(this.held_ms ?? page_ms) ?? 0;
    for (const strip of this.hung) this.drawOne(strip, clock_us, this.inks);
    this.stale = false;
    this.drawnChanges = changesSoFar();
    this.drawn_ms = page_ms;
    this.drawings += 1;
  }

  private drawOne(strip: Hung, clock_us: number, inks: Inks): void {
    const { canvas, ring, which, name } = strip;
    const [width, height] = [canvas.clientWidth, canvas.clientHeight];
    const paper = canvas.getContext('2d');
    if (paper === null || width === 0 || height === 0) return;
    // A canvas whose size is set is wiped, so it is set only when it changed.
    if (canvas.width !== this.screenOf(width)) canvas.width = this.screenOf(width);
    if (canvas.height !== this.screenOf(height)) canvas.height = this.screenOf(height);
    // The newest reading may be a little ahead of a clock that is known only so well.
    const to_us = this.held_ms === null ? Math.max(clock_us, ring.newest_us ?? clock_us) : clock_us;
    const from_us = to_us - WINDOW_US;
    strip.span = settledSpan(strip.span, extent_deg(ring, which, from_us, to_us));
    const span = strip.span ?? { low_deg: -1, high_deg: 1 };
    paintStrip(paper, { ring, which, name, span, from_us, to_us }, width, height, Math.min(SHARPEST, devicePixelRatio), inks);
  }
}
