// A figure against its limits, where the visit at hand has some: the strip, and beside it in words.
import type { Limits, Optional, Place } from '../contract/types';
import { liesBy, limitsAt, sameInVisit, type Lies } from '../state/limits';
import { angle, expandedAngle } from '../state/shown';
import { visit } from '../state/visit';
import { texts } from '../texts';
import { Shape, type ShapeName } from './shapes';
import { LimitStrip } from './visit/strip';
import { Verdict } from './visit/verdict';

const SHAPE: Record<Lies, ShapeName> = { within: 'inside', beyond: 'outside', across: 'undecided' };

/** Limits in words: "from −1.00° to −0.20°, target −0.50°". */
function limitWords({ low, high, target }: Limits): string {
  const text = (value: Optional<number>): string | null => (value == null ? null : angle(value));
  const [from, to, aim] = [text(low), text(high), text(target)];
  const ends = [from === null ? '' : texts.limitStrip.low(from), to === null ? '' : texts.limitStrip.high(to)].filter((part) => part !== '').join(' ');
  return [ends, aim === null ? '' : texts.limitStrip.target(aim)].filter((part) => part !== '').join(', ');
}

interface LimitNoteProps {
  quantity: 'camber' | 'caster' | 'sai' | 'included_angle';
  place: Place;
  value_deg: number;
  expanded_deg: number;
}

export function LimitNote({ quantity, place, value_deg, expanded_deg }: LimitNoteProps) {
  const limits = limitsAt(visit.value, quantity, place);
  if (limits === null || limits === undefined) return null;
  // What the visit has judged keeps its verdict; what is live only lies somewhere.
  const judged = sameInVisit(visit.value, quantity, place, value_deg);
  const lies = liesBy(value_deg, expanded_deg, limits);
  const words = limitWords(limits);
  const says = texts.limitStrip.says(angle(value_deg), expandedAngle(expanded_deg), words);
  return (
    <figure class="limit-note" data-testid={`limits-${quantity}-${place}`} data-lies={lies} aria-label={says}>
      <LimitStrip value={value_deg} expanded={expanded_deg} limits={limits} />
      <figcaption>
        {judged?.verdict ? (
          <Verdict verdict={judged.verdict} />
        ) : (
          <span class="limit-lies">
            <Shape name={SHAPE[lies]} />
            {texts.limitStrip[lies]}
          </span>
        )}
        <span class="hint">{words}</span>
      </figcaption>
    </figure>
  );
}
