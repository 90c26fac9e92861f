// The canned daemon's answers about cars and visits.
import type { EntryWanted, StateView, VisitView } from '../src/contract/types';
import { HISTORY } from './history-scene';
import { CAR, LINES, visitAt, withEntry } from './visit-scenes';

/** Stages to draw, by name of the scene. */
const SCENES: Record<string, () => VisitView> = {
  visit_new: () => visitAt('preparing', 0),
  visit_preparing: () => visitAt('preparing', 2),
  visit_before: () => visitAt('before'),
  visit_adjusting: () => visitAt('adjusting'),
  visit_after: () => visitAt('after'),
  visit_closed: () => visitAt('closed'),
};

export class CannedVisits {
  private visit: VisitView | null = null;

  /** Shows a scene of a visit; false where none goes by that name. */
  show(name: string): boolean {
    const scene = SCENES[name];
    this.visit = scene ? scene() : null;
    return scene !== undefined;
  }

  at_hand(): StateView['visit'] {
    return { id: this.visit?.id ?? null, entries: this.visit?.entries ?? 0 };
  }

  /** The answer to a request, or null where it is none of these. */
  answer(method: string, path: string, body: unknown): { status: number; body: unknown } | null {
    const [address] = path.split('?');
    const shown = this.visit ?? visitAt('preparing', 0);
    if (address?.endsWith('/history')) return { status: 200, body: HISTORY };
    if (address === '/api/v1/cars' && method === 'GET') return { status: 200, body: [CAR] };
    if (address?.startsWith('/api/v1/cars')) return method === 'DELETE' ? { status: 204, body: null } : { status: 201, body: CAR };
    if (address === '/api/v1/visits' && method === 'GET') return { status: 200, body: this.visit ? LINES(this.visit) : [] };
    if (address === '/api/v1/visits/put-away') {
      this.visit = null;
      return { status: 204, body: null };
    }
    if (address?.endsWith('/figures')) {
      const detail = 'A length is not understood: “12 feet wide”.';
      return { status: 422, body: { type: '/problems/figure', title: 'A figure is not understood', status: 422, detail, remedy: 'Type for example 2,5 or 2.5 mm.', code: 'figure' } };
    }
    if (address?.endsWith('/entries')) {
      this.visit = withEntry(shown, (body as { what: EntryWanted }).what);
      return { status: 200, body: this.visit };
    }
    if (!address?.startsWith('/api/v1/visits')) return null;
    this.visit = shown;
    return { status: 200, body: shown };
  }
}
