// Texts about working without touching the page, in English.
import type { Loudness, ToneName } from '../../sound/tones';
import type { AdjustingKind } from '../../sound/adjusting';
import type { SpeechState } from '../../sound/speech';
import type { AwakeState } from '../../state/awake';
import type { Sounds } from '../../state/voice';

export const handsFree = {
  title: 'Hands-free',
  open: 'hands-free',
  close: 'Close',
  heardTitle: 'What is heard',
  heard: { both: 'both', tones: 'tones', speech: 'speech', none: 'nothing' } satisfies Record<Sounds, string>,
  /** Behind the button in the head, as short as can be. */
  heardShort: { both: 'tones + speech', tones: 'tones', speech: 'speech', none: 'no sound' } satisfies Record<Sounds, string>,
  touchFirst: 'touch once to hear',
  loudnessTitle: 'How loud the tones are',
  loudness: { soft: 'soft', middle: 'middle', loud: 'loud' } satisfies Record<Loudness, string>,
  loudnessHint: 'Speech is as loud as the tablet is set.',
  tonesWait: 'This page has not been touched since it was loaded. Browsers let it sound only after a touch or a key.',
  tonesAbsent: 'This browser cannot play tones. Use another one, or go by the bands on the screen.',
  speech: {
    ready: '',
    no_speech: 'This browser cannot speak. Tones work; for speech use another browser.',
    no_voice: 'This device tells of no voice. If nothing is spoken, install one in its settings, under speech output, and load this page anew.',
    no_voice_of_language: 'This device has no English voice, so no sentence is spoken. Install one in its settings, under speech output.',
  } satisfies Record<SpeechState, string>,
  repeat: 'Say it again',
  tryTitle: 'Try the tones',
  tone: {
    move: 'move',
    hold: 'hold still',
    read: 'read and type',
    done: 'done',
    refused: 'refused',
    key: 'key taken',
    no_key: 'nothing to confirm',
    lost: 'value is gone',
  } satisfies Record<ToneName, string>,
  screenTitle: 'Screen',
  screen: 'Keep the screen on while this page is shown',
  screenHint: 'During a procedure it is kept on in any case.',
  awake: {
    kept: 'The screen stays on.',
    not_wanted: 'The screen may go dark until a procedure starts.',
    hidden: 'The page is not in front.',
    asked: 'Asking the browser …',
    insecure:
      'The screen may go dark: this page came over plain HTTP, and browsers keep the screen on over HTTPS alone. Open the https address if hubplumb prints one, or set the tablet’s own screen timeout to longer.',
    unsupported: 'The screen may go dark: this browser cannot keep it on. Set the tablet’s own screen timeout to longer, or use another browser.',
    not_allowed: 'The screen may go dark: the browser did not allow to keep it on, as when the battery is low or being saved. Plug the tablet in or end battery saving, then touch the page.',
  } satisfies Record<AwakeState, string>,
  understood: 'Understood',
  keysTitle: 'Keys',
  keys: 'Keys of a keyboard or remote',
  keysConfirm: 'run the action with this mark',
  keysConfirmNames: 'Enter, Space, Page down, →, play or pause, next track',
  keysRepeat: 'say the sentence again',
  keysRepeatNames: 'Page up, ←, previous track',
  keysNever: 'No key deletes, forgets or gives up anything. An action off the screen is shown first. A field that is typed into keeps its keys.',
  mediaKeys: 'Keys of a headset',
  mediaHint: 'For the headset’s keys the page plays silence, and the device shows it as playing. A music player loses them meanwhile.',
  mediaTrouble: { unsupported: 'This browser passes on no headset keys.', not_started: 'Touch the page once: before that the browser passes on no headset keys.' },
  adjusting: 'Tone for the way',
  on: 'on',
  off: 'off',
  adjustingTitle: 'Tone for the way, while adjusting',
  adjustingKind: { too_much: 'too much', too_little: 'too little', enough: 'may be left', there: 'there' } satisfies Record<Exclude<AdjustingKind, 'silent'>, string>,
  adjustingHint: 'Faster is nearer, in terms of the ±. Silence: no value of now. Its switch stands beside the live value.',
  adjustingNone: 'No live value: no tone.',
  /** Spoken on demand while a step is on stage. */
  wayWords: (toward: string, size: string) => `${toward}, ${size} to go.`,
  wayEnough: (toward: string, size: string) => `Inside the limits. To the aim: ${toward}, ${size}.`,
  turnEdge: (line: string) => `Taken, ${line}. Turn edge and board together end for end, and take it again.`,
  lineTaken: (line: string) => `Line taken: ${line}.`,
  heightsTaken: 'The survey by heights is taken.',
};
