// Texts about cars, in English.
import type { Kind } from '../state/adjuster-draft';

export const cars = {
  title: 'Cars',
  none: 'No car is kept yet. Type one in, or import a file.',
  add: 'New car',
  import: 'Import a car',
  change: 'Change',
  remove: 'Delete',
  begin: 'Begin a visit',
  lacks: (n: number) => (n === 1 ? '1 figure is missing' : `${n} figures are missing`),
  complete: 'nothing is missing',
  from: (source: string) => `figures from: ${source}`,
  removeAsk: (name: string) => `This deletes the car and cannot be undone; its visits stay. Type its name, ${name}, to delete it.`,
  removeField: 'Name of the car',
  removeNow: 'Delete this car',
  keepIt: 'Keep it',
};

export const importing = {
  title: 'Import a car',
  about: 'Paste a car as TOML or JSON, or choose a file. What is not known may be left out.',
  text: 'The car as text',
  file: 'Choose a file',
  take: 'Import this car',
  cancel: 'Back to the worksheet',
};

export const form = {
  titleNew: 'New car',
  titleChange: (name: string) => `Change ${name}`,
  about: 'Only the name is needed. A field left empty means not known: the page then says what cannot be told, and presumes nothing.',
  signs: 'Signs: camber + top out, caster + top rearward, SAI + top inboard, toe + in. Angles as 1.5, 1,5 or 1°30\u2032.',
  keep: 'Keep this car',
  cancel: 'Back without keeping',
  wrong: 'These are no figures yet; correct them or empty their fields:',
  missing: 'missing',
  unknown: 'not known',
  groups: {
    about: 'The car',
    front: 'Front axle',
    rear: 'Rear axle',
    steering: 'Steering',
    targetsFront: 'Targets, front axle',
    targetsRear: 'Targets, rear axle',
    targetsCar: 'Targets, whole car',
    adjusters: 'What can be adjusted',
    holds: 'State in which the targets hold',
  },
  columns: { target: 'target', low: 'lowest', high: 'highest', difference: 'left and right at most apart' },
  inner: 'Toe-out on turns is told with the inner wheel at',
};

/** Name and unit of a field, by the end of its path. */
const FIELD: Record<string, [string, string]> = {
  name: ['name', ''],
  source: ['where the figures are from', ''],
  notes: ['notes', ''],
  wheelbase_mm: ['wheelbase', 'mm'],
  track_mm: ['track', 'mm'],
  rim_flange_mm: ['diameter over the rim flange', 'mm'],
  tyre_mm: ['outer diameter of the tyre', 'mm'],
  loaded_radius_mm: ['wheel centre above the floor', 'mm'],
  suspension: ['wheels hung by', ''],
  ratio: ['ratio, steering wheel to road wheel', ''],
  axis_spacing_mm: ['distance of the two steering axes', 'mm'],
  axis_inboard_mm: ['axis inboard of the wheel’s middle, at hub height', 'mm'],
  axis_behind_mm: ['axis behind the wheel centre, at hub height', 'mm'],
  load: ['who and what is in the car', ''],
  ride_height_from: ['ride height is measured from … to …', ''],
  ride_height_within_mm: ['ride height may be off by', 'mm'],
  camber_deg: ['camber', '°'],
  caster_deg: ['caster', '°'],
  sai_deg: ['SAI', '°'],
  included_angle_deg: ['included angle', '°'],
  toe_deg: ['toe of each wheel', '°'],
  total_toe_deg: ['total toe', '°'],
  thrust_deg: ['thrust angle, + to the right', '°'],
  steering_wheel_deg: ['steering wheel off straight, + to the right', '°'],
  setback_mm: ['setback, + left wheel ahead', 'mm'],
  outer_deg: ['outer wheel in a turn', '°'],
  inner_deg: ['inner wheel in a turn', '°'],
};

const CORNER: Record<string, string> = { front_left: 'front left', front_right: 'front right', rear_left: 'rear left', rear_right: 'rear right' };

/** Name and unit of the field at a path. */
export function fieldWords(path: string): [string, string] {
  const parts = path.split('.');
  const last = parts.at(-1) ?? '';
  if (last in CORNER) {
    const [what, unit] = parts.includes('tyre_kpa') ? ['tyre pressure', 'kPa'] : ['ride height', 'mm'];
    return [`${what} ${CORNER[last]}`, unit];
  }
  if (parts[0] === 'adjuster') return adjusterField(last);
  return FIELD[last] ?? [last.replaceAll('_', ' '), ''];
}

/** What is wrong, so that it is found in the form. */
export function fieldPlace(path: string): string {
  const parts = path.split('.');
  const limit = ['target', 'low', 'high'].includes(parts.at(-1) ?? '') ? parts.at(-1) : undefined;
  const [name] = fieldWords(limit === undefined ? path : parts.slice(0, -1).join('.'));
  const axle = parts.includes('front') ? 'front ' : parts.includes('rear') ? 'rear ' : '';
  const nth = parts[0] === 'adjuster' ? `adjuster ${Number(parts[1]) + 1}, ` : '';
  const apart = parts.includes('most_difference') ? ', most difference' : '';
  return `${nth}${axle}${name}${limit === undefined ? '' : `, ${form.columns[limit as 'target' | 'low' | 'high']}`}${apart}`;
}

export const SUSPENSION: Record<string, string> = {
  wishbones: 'an upper and a lower arm',
  strut: 'a lower arm and a strut',
  rigid_axle: 'a rigid axle or beam',
  other: 'some other way',
};

export const adjusters = {
  add: 'Add an adjuster',
  remove: 'Take it out',
  name: 'its name',
  at: 'at these corners',
  kind: 'what it is',
  none: 'None yet: without them there is no advice in turns or shims.',
  kinds: {
    tie_rod: 'tie rod (toe)',
    arm_shims: 'shims at the upper arm (camber, caster)',
    eccentric: 'eccentric bolt',
    contact_shim: 'wedged shim behind a hub (camber, toe)',
    strut_bolt: 'slot or bolt at a strut (camber)',
    other: 'anything else',
  } satisfies Record<Kind, string>,
  choices: {
    single: 'one thread',
    sleeve: 'sleeve, left and right thread',
    behind: 'rod behind the axle',
    ahead: 'rod ahead of the axle',
    inward: 'a shim moves the arm inward',
    outward: 'a shim moves the arm outward',
    camber: 'moves camber',
    caster: 'moves caster',
    toe: 'moves toe',
  } as Record<string, string>,
};

const ADJUSTER: Record<string, [string, string]> = {
  name: ['its name', ''],
  at: ['corners', ''],
  pitch_mm: ['way of the thread in one turn', 'mm'],
  arm_mm: ['length of the arm', 'mm'],
  thread: ['thread', ''],
  rod: ['place of the rod', ''],
  joint_height_mm: ['height from lower to upper ball joint', 'mm'],
  bolt_spacing_mm: ['distance of the two bolts', 'mm'],
  bracket: ['a shim moves the arm', ''],
  stock_mm: ['shims at hand, parted by ;', 'mm'],
  moves: ['which angle', ''],
  throw_mm: ['how far its centre lies off the bolt’s', 'mm'],
  lever_mm: ['lever', 'mm'],
  mark_deg: ['degrees of bolt between two marks', '°'],
  plate_mm: ['diameter of the face it lies on', 'mm'],
  unit: ['counted in, e.g. turn or notch', ''],
  deg_per_unit: ['degrees per unit', '°'],
};

function adjusterField(key: string): [string, string] {
  return ADJUSTER[key] ?? [key.replaceAll('_', ' '), ''];
}
