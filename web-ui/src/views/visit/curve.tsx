// A curve of a run, e.g. camber against steer angle: measured points with their ±, and the fitted line.
import type { CurveView } from '../../contract/types';
import { CURVE_BOX, curvePicture } from '../../picture/curve';
import { short } from '../../state/shown';
import { texts } from '../../texts';
import { cornerWords } from '../../texts/phrases';

export function Curve({ curve }: { curve: CurveView }) {
  const picture = curvePicture(curve);
  if (picture === null) return null;
  const { width, height, left, right, top, bottom } = CURVE_BOX;
  return (
    <figure class="curve">
      <svg viewBox={`0 0 ${width} ${height}`} role="img" aria-label={texts.table.against(curve.up, curve.along)}>
        <path class="strip-floor" d={`M${left} ${top}V${height - bottom}H${width - right}`} />
        {picture.along.map(({ at_box, value }) => (
          <text key={value} x={at_box} y={height - bottom + 22} text-anchor="middle">
            {short(value)}
          </text>
        ))}
        {picture.up.map(({ at_box, value }) => (
          <text key={value} x={left - 8} y={at_box + 6} text-anchor="end">
            {short(value)}
          </text>
        ))}
        {picture.lines.map(({ place, path, points }, nth) => (
          <g key={place} class={`curve-line curve-line-${nth % 2}`}>
            <path d={path} />
            {points.map(({ x_box, y_box, low_box, high_box }) => (
              <g key={x_box}>
                <path d={`M${x_box} ${low_box}V${high_box}`} />
                {nth % 2 === 0 ? <circle cx={x_box} cy={y_box} r="5" /> : <path class="curve-knot" d={`M${x_box} ${y_box - 7}l7 7-7 7-7-7z`} />}
              </g>
            ))}
          </g>
        ))}
      </svg>
      <figcaption>
        {`${texts.table.against(`${curve.up} (${curve.up_unit})`, `${curve.along} (${curve.along_unit})`)}: `}
        {picture.lines.map(({ place }, nth) => `${nth % 2 === 0 ? '●' : '◆'} ${cornerWords(place)}`).join('  ')}
      </figcaption>
    </figure>
  );
}
