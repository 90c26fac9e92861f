// Camber over steer of the front wheels: the way, the stops with their ±, and the curve of the axis that was found.
import { useRef } from 'preact/hooks';
import type { MountView, StateView, SwingCurveView } from '../contract/types';
import { markDecimals, settledSpan, type Span } from '../picture/span';
import { camberExtent_deg, SMALL_BOX, TRACE_BOX, tracePicture, type Knot, type TraceBox, type WheelPicture, type WheelTrace } from '../picture/swing-trace';
import { angle, angleSize, expandedAngle, signedNumber } from '../state/shown';
import { trails } from '../state/swing-trail';
import { texts } from '../texts';

const MOUNTS: readonly MountView[] = ['front_left', 'front_right'];

/** The wheels of the swing that is under way. */
export function underWay({ swing }: StateView): WheelTrace[] {
  const way = trails.value.run === swing.run ? trails.value.wheels : new Map();
  return MOUNTS.flatMap((mount) => {
    const now = swing.wheels.find((wheel) => wheel.mount === mount);
    const knots = swing.rests.flatMap(({ wheels }): Knot[] =>
      wheels.flatMap((wheel) => {
        const steer_deg = wheel.plate_deg ?? wheel.steer_deg;
        return wheel.mount !== mount || steer_deg == null ? [] : [{ steer_deg, camber_deg: wheel.camber_deg, expanded_deg: wheel.camber_expanded_deg }];
      }),
    );
    const trail = way.get(mount)?.pieces() ?? [];
    if (now === undefined && knots.length === 0 && trail.length === 0) return [];
    return [{ mount, trail, knots, fitted: [], now: now ? ([now.steer_deg, now.camber_deg] as const) : null }];
  });
}

/** The wheels of a swing that went through; with the way there, if this page saw it. */
export function found(curves: readonly SwingCurveView[], run: number): WheelTrace[] {
  const way = trails.value.run === run ? trails.value.wheels : new Map();
  return curves
    .filter((curve) => curve.run === run)
    .map(({ mount, stops, fitted }) => ({
      mount,
      trail: way.get(mount)?.pieces() ?? [],
      knots: stops.map(([steer_deg = 0, camber_deg = 0, expanded_deg = 0]) => ({ steer_deg, camber_deg, expanded_deg })),
      fitted,
      now: null,
    }));
}

const nameOf = (mount: string): string => (texts.mounts as Record<string, string>)[mount] ?? mount;

function knotWords({ steer_deg, camber_deg, expanded_deg }: Knot): string {
  const side = Math.abs(steer_deg) < 0.05 ? texts.swingTrace.straight : steer_deg > 0 ? texts.swing.left : texts.swing.right;
  return texts.swingTrace.stop(angleSize(steer_deg, 1), side, texts.traces.value(angle(camber_deg), expandedAngle(expanded_deg)));
}

/** All of the picture in words and numbers. */
export function traceWords(wheels: readonly WheelTrace[]): string {
  return wheels
    .map(({ mount, knots, fitted }) => {
      const stops = knots.length === 0 ? texts.swingTrace.noStops : knots.map(knotWords).join(', ');
      return texts.swingTrace.wheel(nameOf(mount), fitted.length > 0 ? `${stops}, ${texts.swingTrace.curve}` : stops);
    })
    .join('; ');
}

function Wheel({ wheel, box }: { wheel: WheelPicture; box: TraceBox }) {
  const { mount, trailPath, fittedPath, knots, now, name } = wheel;
  const end = name === null ? null : name.x_box > box.width / 2 ? 'end' : 'start';
  return (
    <g class={mount === 'front_right' ? 'trace-right' : 'trace-left'} data-testid={`swing-trace-${mount}`} data-knots={knots.length} data-fitted={fittedPath !== ''} data-way={trailPath.length}>
      <path class="trace-way" d={trailPath} />
      {fittedPath !== '' && <path class="trace-fit" d={fittedPath} />}
      {knots.map(({ x_box, y_box, low_box, high_box }, nth) => (
        <g key={nth}>
          <path class="trace-bar" d={`M${x_box - 5} ${low_box}h10M${x_box} ${low_box}V${high_box}M${x_box - 5} ${high_box}h10`} />
          <path class="trace-knot" d={`M${x_box} ${y_box - 7}l7 7-7 7-7-7z`} />
        </g>
      ))}
      {now !== null && <path class="trace-now" d={`M${now.x_box - 7} ${now.y_box - 16}h14v5l-7 11-7-11z`} />}
      {name !== null && end !== null && (
        <text class="swing-name" x={name.x_box + (end === 'end' ? -6 : 10)} y={Math.min(box.height - box.bottom - 4, Math.max(24, name.y_box + (name.above ? -14 : 30)))} text-anchor={end}>
          {nameOf(mount)}
        </text>
      )}
    </g>
  );
}

/** `small` has room for the outermost figures only. */
export function SwingTrace({ wheels, legend = false, small = false }: { wheels: readonly WheelTrace[]; legend?: boolean; small?: boolean }) {
  const span = useRef<Span | null>(null);
  span.current = settledSpan(span.current, camberExtent_deg(wheels));
  const box = small ? SMALL_BOX : TRACE_BOX;
  const picture = tracePicture(wheels, span.current, box);
  if (picture === null || span.current === null) return <p class="hint">{texts.swingTrace.none}</p>;
  const { width, height, left, right, top, bottom } = box;
  const decimals = markDecimals(span.current);
  return (
    <figure class={`swing-trace${small ? ' swing-trace-small' : ''}`} data-testid="swing-trace">
      <svg viewBox={`0 0 ${width} ${height}`} role="img" aria-label={`${texts.swingTrace.title}: ${traceWords(wheels)}`}>
        {picture.camber.map(({ at_box, value }, nth) => (
          <g key={value}>
            <path class="trace-rule" d={`M${left} ${at_box}H${width - right}`} />
            {nth % 2 === 0 && (
              <text x={left - 8} y={at_box + 6} text-anchor="end">
                {signedNumber(value, decimals)}
              </text>
            )}
          </g>
        ))}
        {picture.steer.map(({ at_box, value }, nth) => (
          <g key={value}>
            <path class="trace-rule" d={`M${at_box} ${top}V${height - bottom}`} />
            <text x={at_box} y={height - bottom + (small ? 28 : 22)} text-anchor="middle">
              {small && nth % 2 === 1 ? '' : nth === 0 ? `${texts.swing.left} ${value}` : nth === picture.steer.length - 1 ? `${-value} ${texts.swing.right}` : Math.abs(value)}
            </text>
          </g>
        ))}
        {picture.wheels.map((wheel) => (
          <Wheel key={wheel.mount} wheel={wheel} box={box} />
        ))}
      </svg>
      <figcaption>
        {texts.swingTrace.title}
        {legend && `. ${texts.swingTrace.legend}`}
      </figcaption>
    </figure>
  );
}
