// One panel for all that works without touching the page: what is heard, the screen, the keys.
import type { Signal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { awake, screenOn } from '../state/awake';
import type { Choice, Switch } from '../state/kept';
import { keys, mediaKeys, mediaTrouble } from '../state/keys';
import { covered } from '../state/primary';
import { loudness, readySound, repeatSentence, sentence, sounds, SOUNDS, speech, speechOn, tonesOn, toneState, tryNotes } from '../state/voice';
import { sampleOf, SOUNDING_KINDS } from '../sound/adjusting';
import { COURSE_TONES, LOUDNESS, notesOf, type ToneName } from '../sound/tones';
import { texts } from '../texts';
import { Pick } from './field';
import { KeyMark } from './key-mark';
import { Shape, type ShapeName } from './shapes';

const TRIED: readonly (readonly [ToneName, ShapeName])[] = [...COURSE_TONES.map((tone) => [tone, tone] as const), ['lost', 'broken'], ['key', 'live'], ['no_key', 'idle']];

function Part({ title, children }: { title: string; children: ComponentChildren }) {
  return (
    <section>
      <h3>{title}</h3>
      {children}
    </section>
  );
}

function OnOff({ of, words, testid }: { of: Choice<Switch>; words: ComponentChildren; testid: string }) {
  const on = of.at.value === 'on';
  return (
    <button type="button" class="on-off" aria-pressed={on} onClick={() => of.choose(on ? 'off' : 'on')} data-testid={testid}>
      <Shape name={on ? 'done' : 'uncalibrated'} />
      <span>{words}</span>
    </button>
  );
}

function Heard() {
  const words = texts.handsFree;
  return (
    <Part title={words.heardTitle}>
      <Pick
        name={words.heardTitle}
        choices={SOUNDS.map((one) => [one, words.heard[one]] as const)}
        chosen={sounds.at.value}
        onPick={(one) => {
          readySound();
          sounds.choose(one);
        }}
        testid="sounds"
      />
      {tonesOn.value && toneState.value !== 'ready' && <p class="note">{toneState.value === 'absent' ? words.tonesAbsent : words.tonesWait}</p>}
      {speechOn.value && speech.value !== 'ready' && (
        <p class="note" data-testid="speech-trouble" data-state={speech.value}>
          {words.speech[speech.value]}
        </p>
      )}
      <h3>{words.loudnessTitle}</h3>
      <div class="hands-free-row">
        <Pick name={words.loudnessTitle} choices={LOUDNESS.map((one) => [one, words.loudness[one]] as const)} chosen={loudness.at.value} onPick={loudness.choose} testid="loudness" />
        <button type="button" class="quiet" disabled={!speechOn.value || speech.value === 'no_speech' || speech.value === 'no_voice_of_language' || sentence.value === null} onClick={repeatSentence} data-testid="say-again">
          {words.repeat}
        </button>
      </div>
      {speechOn.value && speech.value === 'ready' && <p class="hint">{words.loudnessHint}</p>}
    </Part>
  );
}

function Tries() {
  return (
    <Part title={texts.handsFree.tryTitle}>
      <div class="tries">
        {TRIED.map(([tone, shape]) => (
          <button key={tone} type="button" class="quiet" onClick={() => void tryNotes(notesOf(tone))} data-testid={`try-${tone}`}>
            <Shape name={shape} /> {texts.handsFree.tone[tone]}
          </button>
        ))}
      </div>
    </Part>
  );
}

function TriesOfAdjusting() {
  return (
    <Part title={texts.handsFree.adjustingTitle}>
      <div class="tries tries-of-adjusting">
        {SOUNDING_KINDS.map((kind) => (
          <button key={kind} type="button" class="quiet" onClick={() => void tryNotes(sampleOf(kind))} data-testid={`try-${kind}`}>
            {texts.handsFree.adjustingKind[kind]}
          </button>
        ))}
      </div>
      <p class="hint">{texts.handsFree.adjustingHint}</p>
    </Part>
  );
}

function Screen() {
  const state = awake.value;
  return (
    <Part title={texts.handsFree.screenTitle}>
      <OnOff of={screenOn} words={texts.handsFree.screen} testid="screen-on" />
      <p class={state === 'kept' || state === 'not_wanted' || state === 'asked' ? 'hint' : 'note'} data-testid="awake" data-state={state}>
        {texts.handsFree.awake[state]} {state === 'not_wanted' && texts.handsFree.screenHint}
      </p>
    </Part>
  );
}

function Keys() {
  const words = texts.handsFree;
  const trouble = mediaTrouble.value;
  return (
    <Part title={words.keysTitle}>
      <div class="hands-free-row on-offs">
        <OnOff of={keys} words={words.keys} testid="keys-on" />
        <OnOff of={mediaKeys} words={words.mediaKeys} testid="media-keys-on" />
      </div>
      <dl class="key-list">
        <div>
          <dt>{words.keysConfirmNames}</dt>
          <dd>
            {words.keysConfirm} <KeyMark />
          </dd>
        </div>
        <div>
          <dt>{words.keysRepeatNames}</dt>
          <dd>{words.keysRepeat}</dd>
        </div>
      </dl>
      {trouble !== null && <p class="note">{words.mediaTrouble[trouble]}</p>}
      <p class="hint">{words.keysNever}</p>
      {mediaKeys.at.value === 'on' && <p class="hint">{words.mediaHint}</p>}
    </Part>
  );
}

/** The panel lies over the page; its own keys are those of any dialog. */
export function HandsFreePanel({ open }: { open: Signal<boolean> }) {
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    dialog.current?.showModal();
    covered.value = true;
    return () => void (covered.value = false);
  }, []);
  const gone = (): void => {
    open.value = false;
    // The keyboard does not go back to the head: Enter would open the panel again instead of going on.
    if (document.activeElement instanceof HTMLElement) document.activeElement.blur();
  };
  return (
    <dialog ref={dialog} class="hands-free" aria-labelledby="hands-free-title" onClose={gone} onClick={(event) => event.target === dialog.current && dialog.current?.close()} data-testid="hands-free">
      <div class="hands-free-page">
        <header>
          <h2 id="hands-free-title">{texts.handsFree.title}</h2>
          <button type="button" class="quiet" onClick={() => dialog.current?.close()} data-testid="hands-free-close">
            {texts.handsFree.close}
          </button>
        </header>
        <div>
          <Heard />
          <Screen />
          <TriesOfAdjusting />
        </div>
        <div>
          <Tries />
          <Keys />
        </div>
      </div>
    </dialog>
  );
}
