// Limits for what is shown outside the table of a visit. Nothing is judged here that the daemon judges.
import type { CarRecord, Limits, Optional, Place, Quantity, VisitFindingView, VisitView } from '../contract/types';

type Told = 'camber' | 'caster' | 'sai' | 'included_angle';

/** What the car's record says of an angle at a place. */
function ofRecord(car: CarRecord, quantity: Told, place: Place): Optional<Limits> {
  const axle = place.startsWith('front') ? car.targets?.front : place.startsWith('rear') ? car.targets?.rear : undefined;
  const limits = axle?.[`${quantity}_deg`];
  return limits?.low == null && limits?.high == null ? null : limits;
}

/** The limits of an angle in the visit at hand; none without a visit, or where its car has none. */
export function limitsAt(visit: VisitView | null, quantity: Told, place: Place): Optional<Limits> {
  if (visit === null) return null;
  const found = visit.findings.findLast((finding) => finding.quantity === quantity && finding.place === place);
  const limits = found?.limits ?? ofRecord(visit.car, quantity, place);
  return limits != null && (limits.low != null || limits.high != null) ? limits : null;
}

/** The finding of a visit that is this very figure, with the daemon's verdict. */
export function sameInVisit(visit: VisitView | null, quantity: Quantity, place: Place, value: number): VisitFindingView | undefined {
  return visit?.findings.findLast((finding) => finding.quantity === quantity && finding.place === place && Math.abs(finding.value - value) < 1e-9);
}

/** Where an interval lies by its limits. It tells where it lies and is no verdict. */
export type Lies = 'within' | 'beyond' | 'across';

export function liesBy(value: number, expanded: number, { low, high }: Limits): Lies {
  const [least, most] = [value - expanded, value + expanded];
  if ((low == null || least >= low) && (high == null || most <= high)) return 'within';
  return (low != null && most < low) || (high != null && least > high) ? 'beyond' : 'across';
}
