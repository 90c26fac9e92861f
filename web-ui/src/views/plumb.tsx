// The plumb-line picture on the page.
import type { AngleView, MountView } from '../contract/types';
import { BOX, drawnDeg, headOf, plumbPicture, type Factor, type Toward } from '../picture/plumb';
import { settled } from '../state/settled';
import { texts } from '../texts';

/** Angles that lean from the vertical. */
type DrawnAngle = Exclude<AngleView, 'included_angle'>;

/** Which way a positive angle leans on the paper. Camber and SAI are seen from behind, caster from the car's left. */
export function positiveToward(angle: DrawnAngle, mount: MountView): Toward {
  const left = mount.endsWith('left');
  switch (angle) {
    case 'caster':
      return 'right';
    case 'camber':
      return left ? 'left' : 'right';
    case 'sai':
      return left ? 'right' : 'left';
  }
}

function endWords(angle: DrawnAngle, mount: MountView): [string, string] {
  if (angle === 'caster') return [texts.picture.front, texts.picture.rear];
  return mount.endsWith('left') ? [texts.picture.out, texts.picture.in] : [texts.picture.in, texts.picture.out];
}

interface PlumbProps {
  angle: DrawnAngle;
  mount: MountView;
  /** None when there is no value: then only the string hangs. */
  measured: { value_deg: number; expanded_deg: number } | null;
  factor: Factor;
  /** Where the line should lean to, while it is being adjusted. */
  aim_deg?: number | undefined;
}

function Drawing({ angle, mount, measured, factor, aim_deg }: PlumbProps) {
  const drawn = measured && plumbPicture(measured.value_deg, measured.expanded_deg, positiveToward(angle, mount), factor);
  const aim = aim_deg === undefined ? null : headOf(drawnDeg(aim_deg, factor), positiveToward(angle, mount));
  const { pegX, pegY, footY } = BOX;
  return (
    <>
        <path class="plumb-floor" d={`M10 ${footY + 6}H190`} />
        <path class="plumb-hatch" d="M22 228l8-8M52 228l8-8M82 228l8-8M112 228l8-8M142 228l8-8M172 228l8-8" />
        {drawn && <path class="plumb-doubt" d={drawn.doubtPath} />}
        {drawn && <path class="plumb-gap" d={drawn.gapPath} />}
        {aim && <line class="plumb-aim" x1={pegX} y1={footY} x2={aim.x_box} y2={aim.y_box} />}
        {drawn && <line class="plumb-line" x1={pegX} y1={footY} x2={drawn.head.x_box} y2={drawn.head.y_box} />}
        <line class="plumb-string" x1={pegX} y1={pegY} x2={pegX} y2={footY - 40} />
        <circle class="plumb-peg" cx={pegX} cy={pegY} r="4" />
        <path class="plumb-bob" d={`M${pegX - 9} ${footY - 40}h18l2 9-11 29-11-29z`} />
    </>
  );
}

/** The figure beside it comes first: while the page is new, only the room of the picture is there. */
export function Plumb({ angle, mount, measured, factor, aim_deg }: PlumbProps) {
  const [leftWord, rightWord] = endWords(angle, mount);
  const { width, height } = BOX;
  const there = settled.value;
  return (
    <figure class="plumb">
      <p class="plumb-ends" aria-hidden="true">
        <span>{there && leftWord}</span>
        <span>{there && rightWord}</span>
      </p>
      <svg viewBox={`0 0 ${width} ${height}`} role="img" aria-label={texts.camber.pictureOf(texts.findings.angle[angle].name, factor)}>
        {there && <Drawing angle={angle} mount={mount} measured={measured} factor={factor} aim_deg={aim_deg} />}
      </svg>
      <figcaption>
        <span>{there && texts.camber.drawn(factor)}</span> <span>{there && (angle === 'caster' ? texts.picture.fromSide : texts.picture.fromBehind)}</span>
      </figcaption>
    </figure>
  );
}
