import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BOX, drawnDeg, factorFor, FACTORS, headOf, MOST_DRAWN_DEG, plumbPicture, type Toward } from '../src/picture/plumb';
import { placeOnTape_share, TAPE_END_DEG, TAPE_MARKS_DEG } from '../src/picture/tape';

const angle = fc.double({ min: -90, max: 90, noNaN: true });
const doubt = fc.double({ min: 0, max: 10, noNaN: true });
const toward = fc.constantFrom<Toward>('left', 'right');

describe('factor of exaggeration', () => {
  it.each([
    [[0.5], 10],
    [[2.4], 10],
    [[2.5, -0.1], 5],
    [[-4.8], 5],
    [[5.1], 2],
    [[12.9], 1],
    [[80], 1],
    [[], 10],
    [[Number.NaN], 10],
  ])('for %j is %i', (angles_deg, factor) => expect(factorFor(angles_deg)).toBe(factor));

  it('is the largest that fits', () => {
    fc.assert(
      fc.property(fc.array(angle, { minLength: 1 }), (angles_deg) => {
        const factor = factorFor(angles_deg);
        const largest_deg = Math.max(...angles_deg.map(Math.abs));
        if (factor !== 1) expect(largest_deg * factor).toBeLessThanOrEqual(MOST_DRAWN_DEG);
        for (const larger of FACTORS.filter((other) => other > factor)) {
          expect(largest_deg * larger).toBeGreaterThan(MOST_DRAWN_DEG);
        }
      }),
    );
  });
});

describe('plumb-line picture', () => {
  it('keeps every line inside the box', () => {
    fc.assert(
      fc.property(angle, doubt, toward, (value_deg, expanded_deg, positive) => {
        const picture = plumbPicture(value_deg, expanded_deg, positive);
        const numbers = [...picture.doubtPath.matchAll(/-?\d+\.\d+/g)].map(Number);
        expect(numbers).toHaveLength(6);
        numbers.push(picture.head.x_box, picture.head.y_box);
        numbers.forEach((length_box, nth) => {
          expect(length_box).toBeGreaterThanOrEqual(0);
          expect(length_box).toBeLessThanOrEqual(nth % 2 === 0 ? BOX.width : BOX.height);
        });
      }),
    );
  });

  it('draws the angle times the factor, at full length', () => {
    fc.assert(
      fc.property(fc.double({ min: -2.4, max: 2.4, noNaN: true }), toward, (value_deg, positive) => {
        const { head, factor } = plumbPicture(value_deg, 0.1, positive, 10);
        const across_box = head.x_box - BOX.pegX;
        const up_box = BOX.footY - head.y_box;
        expect(Math.hypot(across_box, up_box)).toBeCloseTo(BOX.footY - BOX.pegY, 6);
        const drawn_deg = (Math.atan2(across_box, up_box) * 180) / Math.PI;
        expect(positive === 'right' ? drawn_deg : -drawn_deg).toBeCloseTo(value_deg * factor, 6);
      }),
    );
  });

  it('hangs on the string when the angle is zero', () => {
    const { head } = plumbPicture(0, 0, 'left');
    expect(head.x_box).toBe(BOX.pegX);
    expect(head.y_box).toBe(BOX.pegY);
  });

  it('mirrors left and right', () => {
    fc.assert(
      fc.property(angle, (drawn_deg) => {
        const left = headOf(drawn_deg, 'left');
        const right = headOf(drawn_deg, 'right');
        expect(left.x_box - BOX.pegX).toBeCloseTo(BOX.pegX - right.x_box, 9);
        expect(left.y_box).toBe(right.y_box);
      }),
    );
  });

  it('never turns an angle round', () => {
    fc.assert(
      fc.property(angle, fc.constantFrom(...FACTORS), (value_deg, factor) => {
        const drawn_deg = drawnDeg(value_deg, factor);
        expect(Math.sign(drawn_deg)).toBe(Math.sign(value_deg));
        expect(Math.abs(drawn_deg)).toBeLessThanOrEqual(MOST_DRAWN_DEG);
      }),
    );
  });
});

describe('steer tape', () => {
  it('has left on the left, straight ahead in the middle', () => {
    expect(placeOnTape_share(TAPE_END_DEG)).toBe(0);
    expect(placeOnTape_share(0)).toBe(0.5);
    expect(placeOnTape_share(-TAPE_END_DEG)).toBe(1);
    expect(TAPE_MARKS_DEG.map(placeOnTape_share)).toEqual([...TAPE_MARKS_DEG.map(placeOnTape_share)].sort((a, b) => a - b));
  });

  it('stays on the tape and never swaps two angles', () => {
    fc.assert(
      fc.property(angle, angle, (one_deg, other_deg) => {
        const [more_deg, less_deg] = [Math.max(one_deg, other_deg), Math.min(one_deg, other_deg)];
        expect(placeOnTape_share(more_deg)).toBeLessThanOrEqual(placeOnTape_share(less_deg));
        expect(placeOnTape_share(one_deg)).toBeGreaterThanOrEqual(0);
        expect(placeOnTape_share(one_deg)).toBeLessThanOrEqual(1);
      }),
    );
  });
});
