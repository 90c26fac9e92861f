// The live figures, drawn by hand: what stands there while the page itself is on its way. It looks like the line of
// the worksheet that the page opens on, so that the figures stay where they are when the page takes its place.
import { FRESH_S } from '../contract/clock';
import type { QuantityView, StateView, WheelView } from '../contract/types';
import { angleExpanded, type AngleStyle } from '../format/angles';
import { figureParts } from '../format/figure';
import { age } from '../format/numbers';
import { inOrder } from '../state/findings';
import type { GlanceTexts } from '../texts/shape';

/** What was told, and how old it is. */
export interface Told {
  state: StateView;
  /** Since it was told. Figures that are told no more may not look as if they were. */
  since_s: number;
}

function element(tag: string, of: string, ...children: (Node | string)[]): HTMLElement {
  const made = document.createElement(tag);
  if (of !== '') made.className = of;
  made.append(...children);
  return made;
}

function figure(value_deg: number, style: AngleStyle): HTMLElement {
  const { sign, parts, width_em } = figureParts(value_deg, style, 2);
  const drawn = element('span', 'figure', element('span', 'sign', sign), ...parts.map((part, nth) => (nth % 2 === 0 ? part : element('span', 'degree', part))));
  drawn.style.setProperty('--em', width_em.toFixed(3));
  return drawn;
}

function known(camber: Extract<QuantityView, { status: 'known' }>, { state, since_s }: Told, words: GlanceTexts, style: AngleStyle): HTMLElement[] {
  const age_s = (state.now_us - camber.at_us) / 1e6 + since_s;
  const fresh = age_s < FRESH_S;
  return [
    element('p', 'wheel-figure', figure(camber.value_deg, style)),
    element(
      'div',
      'wheel-words',
      element('p', 'sense', camber.sense),
      element('p', 'interval', words.interval(angleExpanded(camber.expanded_deg, style))),
      element('p', 'age', element('span', fresh ? 'fresh' : 'aged', fresh ? words.fresh : words.ago(age(age_s)))),
    ),
  ];
}

function wheel({ mount, camber }: WheelView, told: Told, words: GlanceTexts, style: AngleStyle): HTMLElement {
  const said =
    camber.status === 'known'
      ? known(camber, told, words, style)
      : [element('div', 'wheel-missing', element('p', 'missing-mark', words.noValue), element('p', 'missing-text', camber.text))];
  const head = element('header', 'wheel-head', element('h3', '', words.mounts[mount]));
  return element('article', told.since_s < FRESH_S ? 'wheel' : 'wheel wheel-old', element('div', 'wheel-in', head, ...said, element('figure', 'plumb')));
}

export function figures(told: Told, words: GlanceTexts, style: AngleStyle): HTMLElement[] {
  const wheels = inOrder(told.state.wheels).map((one) => wheel(one, told, words, style));
  const arrangement = wheels.length > 2 ? 'wheels-many' : `wheels-${wheels.length}`;
  const open = element(
    'section',
    'line line-open line-at-hand',
    element('div', 'line-head', element('h2', '', words.title)),
    element('div', 'line-body', element('div', `wheels ${arrangement}`, ...wheels)),
  );
  return [element('header', 'head'), element('main', 'sheet', open)];
}
