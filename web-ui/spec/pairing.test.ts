import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { ProblemView } from '../src/contract/types';
import { problem } from '../src/state';
import { NOT_PAIRED, pairByAddress, typeCode } from '../src/state/pairing';
import { refused } from '../src/state/visit';

const refusal = (code: string): ProblemView => ({ type: '', status: 401, code, title: 'a title', detail: 'a detail', remedy: 'a remedy' });

let asked: unknown[];
let granted: boolean;

beforeEach(() => {
  asked = [];
  granted = true;
  vi.stubGlobal('fetch', (path: string, request: RequestInit) => {
    asked.push([path, request.method, JSON.parse(request.body as string)]);
    const body = granted ? { device: { id: 1, name: 'x' }, token: null } : { ...refusal('wrong_pairing_code'), title: 'wrong' };
    return Promise.resolve(new Response(JSON.stringify(body), { status: granted ? 201 : 403 }));
  });
});
afterEach(() => {
  problem.value = null;
  refused.value = null;
  vi.unstubAllGlobals();
});

const type = async (value: string): Promise<string> => {
  const field = { value } as HTMLInputElement;
  await typeCode(field);
  return field.value;
};

describe('a code that is typed', () => {
  it('is sent when it is whole, however it is parted', async () => {
    expect(await type('1234 567')).toBe('1234 567');
    expect(asked).toEqual([]);
    expect(await type('1234 5678')).toBe('');
    expect(asked).toEqual([['api/v1/pairing', 'POST', { code: '12345678' }]]);
  });

  it('tells what came of it where the press was refused, and asks again after a wrong one', async () => {
    problem.value = refusal(NOT_PAIRED);
    refused.value = { by: 'cars', problem: refusal(NOT_PAIRED) };
    granted = false;
    await type('12345678');
    for (const shown of [problem.value, refused.value.problem]) expect([shown.code, shown.title]).toEqual([NOT_PAIRED, 'wrong']);
    granted = true;
    await type('12345678');
    for (const shown of [problem.value, refused.value.problem]) expect(shown.code).toBe('paired');
    expect(refused.value.by).toBe('cars');
  });

  it('leaves another refusal alone', async () => {
    problem.value = refusal('no_swing');
    await type('12345678');
    expect(problem.value.code).toBe('no_swing');
    expect(refused.value).toBeNull();
  });
});

describe('a code in the address', () => {
  const open = (hash: string): string[] => {
    const kept: string[] = [];
    vi.stubGlobal('location', { hash, pathname: '/practice/' });
    vi.stubGlobal('history', { replaceState: (_: unknown, __: string, to: string) => kept.push(to) });
    pairByAddress();
    return kept;
  };

  it('is taken out of it and sent', async () => {
    expect(open('#pair=12345678')).toEqual(['/practice/']);
    await vi.waitFor(() => expect(problem.value?.code).toBe('paired'));
    expect(asked).toHaveLength(1);
  });

  it('is nothing else', () => {
    for (const hash of ['', '#pair=', '#pair=x', '#other']) expect(open(hash)).toEqual([]);
    expect(asked).toEqual([]);
  });
});
