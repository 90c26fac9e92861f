// An invented car and its visit, to draw the page with before a daemon fills every field.
import type { CarView, Corner, EntryWanted, Place, Quantity, Stage, Unit, VerdictWord, VisitFindingView, VisitLineView, VisitView, WorkStepView } from '../src/contract/types';

const AT = '2026-04-11T09:';

export const CAR: CarView = {
  id: 1,
  changed_at: `${AT}00:00Z`,
  missing: ['wheelbase: the dog-track offset and the ideal toe-out on turns hang on it', 'rear toe target'],
  record: {
    name: 'Wicket 1300',
    source: 'invented for this example',
    front: { track_mm: 1290, rim_flange_mm: 352, suspension: 'wishbones' },
    adjuster: [
      { name: 'tie rod', at: ['front_left', 'front_right'], way: { kind: 'tie_rod', pitch_mm: 1.5, arm_mm: 118 } },
      { name: 'upper arm shims', at: ['front_left', 'front_right'], way: { kind: 'arm_shims', joint_height_mm: 228, stock_mm: [0.5, 1, 2] } },
    ],
    targets: { front: { camber_deg: { target: -0.5, low: -1, high: 0 }, caster_deg: { target: 4.5, low: 3.75, high: 5.25 }, total_toe_deg: { target: 0.15, low: 0, high: 0.3 }, most_difference: { camber_deg: 0.5 } } },
    holds: { load: 'empty, half a tank', ride_height_from: 'wheel centre to the lip of the wing', tyre_kpa: { front_left: 180, front_right: 180, rear_left: 200, rear_right: 200 }, ride_height_mm: { front_left: 352, front_right: 352 } },
  },
};

const PLACES: Record<string, string> = { front_left: 'front left', front_right: 'front right', front: 'front axle', car: 'car' };
const verdicts: Record<VerdictWord, NonNullable<VisitFindingView['verdict']>> = {
  inside: { verdict: 'inside', chance_inside: 0.998, say: 'Inside the limits, the uncertainty included.', would_decide: '' },
  outside: { verdict: 'outside', chance_inside: 0.001, say: 'Beyond the upper limit, the uncertainty included.', would_decide: '' },
  undecided: { verdict: 'undecided', chance_inside: 0.42, say: 'The uncertainty reaches across the upper limit.', would_decide: 'An uncertainty of ± 0.04° at this value; calibrate the board in six poses.' },
};

function found(stage: Stage, quantity: Quantity, name: string, place: Place, value: number, expanded: number, sense: string, verdict: VerdictWord | null, unit: Unit = 'deg'): VisitFindingView {
  const front = CAR.record.targets?.front;
  const limits = quantity === 'camber' ? front?.camber_deg : quantity === 'caster' ? front?.caster_deg : quantity === 'total_toe' ? front?.total_toe_deg : undefined;
  return {
    number: stage === 'before' ? 14 : 22,
    at: `${AT}${stage === 'before' ? '20' : '55'}:00Z`,
    stage,
    procedure: quantity === 'total_toe' ? 'toe_strings' : 'swing',
    quantity,
    name,
    place,
    place_words: PLACES[place] ?? place,
    value,
    standard: expanded / 2,
    expanded,
    unit,
    sense,
    also: quantity === 'total_toe' ? ['0.9 mm at 352 mm', '2.6 m/km'] : [],
    limits: limits ?? null,
    verdict: verdict === null ? null : verdicts[verdict],
    largest_contributor: 'offset of the accelerometer',
    budget: [],
    advice: 'Calibrate the board in six poses.',
    caveat: quantity === 'total_toe' ? 'Strings cannot be more parallel than they were set.' : '',
  };
}

const BEFORE: VisitFindingView[] = [
  found('before', 'camber', 'Camber', 'front_left', -0.62, 0.06, 'top in', 'inside'),
  found('before', 'camber', 'Camber', 'front_right', 0.35, 0.06, 'top out', 'outside'),
  found('before', 'caster', 'Caster', 'front_left', 5.13, 0.12, 'lean back', 'undecided'),
  found('before', 'caster', 'Caster', 'front_right', 4.51, 0.12, 'lean back', 'inside'),
  found('before', 'sai', 'Steering axis inclination', 'front_left', 12.71, 0.24, 'lean in', null),
  found('before', 'sai', 'Steering axis inclination', 'front_right', 13.26, 0.24, 'lean in', null),
  found('before', 'total_toe', 'Total toe', 'front', -0.21, 0.07, 'toe out', 'outside'),
  found('before', 'setback', 'Setback', 'front', 6.2, 2, 'left ahead', null, 'mm'),
];
const AFTER: VisitFindingView[] = [
  found('after', 'camber', 'Camber', 'front_left', -0.61, 0.06, 'top in', 'inside'),
  found('after', 'camber', 'Camber', 'front_right', -0.05, 0.06, 'top in', 'undecided'),
  found('after', 'total_toe', 'Total toe', 'front', 0.14, 0.07, 'toe in', 'inside'),
];

const step = (order: number, quantity: Quantity, place: Place, value: number, aim: number, more: Partial<WorkStepView>): WorkStepView => ({
  order,
  quantity,
  place,
  adjuster: null,
  value,
  expanded: 0.06,
  aim,
  unit: 'deg',
  say: '',
  amount: [],
  amount_unit: '',
  known_from: '',
  reason: '',
  changes: [],
  cautions: ['Never reach under a car that stands on a jack alone: stands of the right rating under it first.'],
  after: ['Tighten to the maker’s value.', 'Bounce or roll the car.', 'Measure camber again.'],
  ...more,
});

const WORK: WorkStepView[] = [
  step(1, 'camber', 'front_right', 0.35, -0.5, {
    adjuster: 'upper arm shims',
    say: 'Put 3.4 mm ± 0.3 mm more under both bolts: 2 + 1 + 0.5 mm come nearest.',
    amount: [[3.4, 0.3], [3.4, 0.3]],
    amount_unit: 'mm',
    known_from: 'geometry',
    reason: 'Camber and caster come before toe, for both move it.',
    changes: ['included angle stays', 'toe, by about 0.1° in'],
  }),
  step(2, 'total_toe', 'front', -0.21, 0.15, {
    adjuster: 'tie rod',
    say: 'Turn each tie rod by ¼ turn, longer.',
    amount: [[0.25, 0.03]],
    amount_unit: 'turns',
    known_from: 'geometry',
    reason: 'Toe comes last: everything before it moves it.',
    changes: ['steering wheel, unless both rods are turned alike'],
  }),
];

const POINTS: [VisitView['preparation'][number]['point'], string, string, string[]][] = [
  ['floor', 'Floor surveyed', 'Survey the pads under the four wheels on the line Floor. A slope that is known is computed out.', []],
  ['load', 'Car loaded as its data ask', 'Fuel, spare wheel, tools and people as the maker’s data ask.', []],
  ['tyres', 'Tyre pressures set and entered', 'Set all tyres cold to the figures you use, and enter them.', ['Never stand over a tyre that is being filled; keep to the figures on it.']],
  ['joints', 'Joints and steering without play', 'Rock each wheel at front and rear. Mend what is worn first.', ['Jack only at the maker’s points, on hard level ground, the other wheels chocked.', 'Never reach under a car that stands on a jack alone: stands of the right rating under it first.']],
  ['ride_heights', 'Ride heights entered', 'Measure each corner from and to the points of the car’s data.', []],
  ['brake', 'Brake held', 'Hold the foot brake with a prop against the seat.', ['A propped brake holds only while the prop does.']],
];

export function visitAt(stage: Stage, seen = 6): VisitView {
  const after = stage === 'after' || stage === 'closed';
  const findings = stage === 'preparing' ? [] : after ? [...BEFORE, ...AFTER] : BEFORE;
  const place = (corner: Corner): Place => corner;
  return {
    id: 7,
    mark: 'invented',
    car_id: 1,
    car: CAR.record,
    began_at: `${AT}00:00Z`,
    software: '0.1.0',
    at_hand: true,
    stage,
    entries: 10,
    preparation: POINTS.map(([point, title, say, cautions], nth) => ({ point, title, say, cautions, done_at: nth < seen ? `${AT}1${nth}:00Z` : null, note: nth === 0 && seen > 0 ? 'right rear pad shimmed' : '' })),
    conditions: { tyre_kpa: { front_left: 180, front_right: 165 }, tread_mm: {}, ride_height_mm: {} },
    conditions_off: ['tyre pressure front right: 180 kPa wanted, 165 kPa found', 'ride height front left: 352 mm wanted, not measured'],
    findings,
    differences: findings.length === 0 ? [] : [{ stage: 'before', quantity: 'camber', front: true, value_deg: -0.97, standard_deg: 0.04, expanded_deg: 0.08, correlation: 0.31, most_deg: 0.5, verdict: verdicts.outside }],
    runs: findings.length === 0 ? [] : [
      { number: 14, at: `${AT}20:00Z`, stage: 'before', procedure: 'swing', name: 'Steering swing', method: 'Four rests, steer angles by gyro.', boards: [], taken_back: false, why_taken_back: '', software: '0.1.0', curve: { along: 'steer angle', along_unit: '°', up: 'camber', up_unit: '°', lines: (['front_left', 'front_right'] as const).map((corner, nth) => ({ place: place(corner), points: [-20, 0, 20].map((a) => [a, (nth === 0 ? -1 : 1) * 0.05 * a + 0.002 * a * a - 0.4, 0.08]), fitted: [-20, -10, 0, 10, 20].map((a) => [a, (nth === 0 ? -1 : 1) * 0.05 * a + 0.002 * a * a - 0.4]) })) } },
      { number: 15, at: `${AT}25:00Z`, stage: 'before', procedure: 'toe_strings', name: 'Toe by strings', method: 'Two strings, four wheels.', boards: [], taken_back: true, why_taken_back: 'the string touched a tyre', software: '0.1.0', curve: null },
    ],
    moves: stage === 'preparing' || stage === 'before' ? [] : [{ number: 18, at: `${AT}40:00Z`, adjuster: 'upper arm shims', corner: 'front_right', say: '+3.5 and +3.5 mm', seen_to: ['torqued', 'settled'] }],
    meaning: findings.length === 0 ? { rule_out_first: [], candidates: [], heed: [] } : {
      rule_out_first: ['Tyre pressure and ride height as the car’s data ask: the right front tyre is low.', 'Play in bearings and joints.'],
      candidates: [
        { code: 'knuckle_bent', place: 'front_right', title: 'Bent knuckle or stub axle, front right', fit: 'fits well', evidence: ['Included angle is 0.9° more than on the left.', 'SAI is alike on both sides.'], next: 'Measure the included angle again with the wheel turned half a turn; a bent rim would change it, a bent knuckle would not.' },
        { code: 'spring_sagged', place: 'front_right', title: 'Sagged spring, front right', fit: 'not ruled out', evidence: ['Camber is out on one side alone.'], next: 'Measure the ride heights.' },
      ],
      heed: ['Accident damage is for licensed practice where local rules ask for it.'],
    },
    work: stage === 'before' || stage === 'adjusting' ? WORK : [],
    notes: [{ number: 3, at: `${AT}05:00Z`, text: 'Hit a kerb in March, right front.' }],
  };
}

export const LINES = (visit: VisitView): VisitLineView[] => [
  { id: visit.id, car_id: 1, car: 'Wicket 1300', began_at: visit.began_at, stage: visit.stage, at_hand: true },
  { id: 3, car_id: 1, car: 'Wicket 1300', began_at: '2025-09-02T10:00:00Z', stage: 'closed', at_hand: false },
];

/** What an entry does to the drawn visit: enough to press the buttons. */
export function withEntry(visit: VisitView, what: EntryWanted): VisitView {
  const entries = visit.entries + 1;
  const at = `${AT}59:00Z`;
  switch (what.entry) {
    case 'stage':
      return { ...visitAt(what.stage), entries };
    case 'prepared':
      return { ...visit, entries, preparation: visit.preparation.map((point) => (point.point === what.point ? { ...point, done_at: what.done ? at : null, note: what.note ?? '' } : point)) };
    case 'taken_back':
      return { ...visit, entries, runs: visit.runs.map((run) => (run.number === what.number ? { ...run, taken_back: true, why_taken_back: what.why ?? '' } : run)) };
    case 'conditions': {
      const { entry: _, ...conditions } = what;
      return { ...visit, entries, conditions, conditions_off: [] };
    }
    case 'moved':
      return { ...visit, entries, moves: [...visit.moves, { number: entries, at, adjuster: what.adjuster, corner: what.corner, say: what.amount.join(' and '), seen_to: what.seen_to ?? [] }] };
    case 'note':
      return { ...visit, entries, notes: [...visit.notes, { number: entries, at, text: what.text }] };
  }
}
