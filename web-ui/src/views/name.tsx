// What the head begins with: the name, and whether the daemon is heard.
import { link, silence_s } from '../state';
import { age } from '../state/shown';
import { texts } from '../texts';
import { Shape } from './shapes';

export const Name = () => (
  <h1>
    <Shape name="bob" />
    {texts.head.name}
  </h1>
);

export function Connection() {
  const silent_s = silence_s.value;
  const state = link.value;
  const words =
    state === 'live'
      ? texts.head.live
      : state === 'connecting'
        ? texts.head.connecting
        : silent_s === null
          ? texts.head.neverMet
          : texts.head.lost(age(silent_s));
  return (
    <p class={`connection connection-${state}`} data-testid="connection" data-link={state}>
      <Shape name={state === 'live' ? 'live' : state === 'lost' ? 'broken' : 'listening'} />
      {words}
    </p>
  );
}
