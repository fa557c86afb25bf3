/** Character height by visual angle. */
import { describe, expect, it } from 'vitest';
import {
  ARC_MINUTES,
  CAP_HEIGHT,
  characterHeight_mm,
  fontSize_px,
  USUAL_PX_PER_MM,
  visualAngle_arcmin,
} from '../../renderer/reading-distance.ts';

describe('reading distance', () => {
  // Heights for h = 2·D·tan(α/2); minimum 16′, preferred 20 to 22′ after ISO 9241-303. Computed outside.
  it.each([
    [0.4, 16, 1.862],
    [0.7, 22, 4.48],
    [1, 20, 5.818],
    [1.5, 16, 6.981],
    [1.5, 22, 9.599],
    [2, 24, 13.963],
    [3, 22, 19.199],
  ])('at %d m and %d minutes of arc a capital is %d mm high', (distance_m, arc, height_mm) => {
    expect(characterHeight_mm(distance_m, arc)).toBeCloseTo(height_mm, 3);
  });

  it('is the inverse of the visual angle', () => {
    expect(visualAngle_arcmin(5, 1)).toBeCloseTo(17.189, 3);
    expect(visualAngle_arcmin(4, 1)).toBeCloseTo(13.751, 3);
  });

  it('agrees with NUREG-0700, h = 6.283·D·MA/21600, within a thousandth', () => {
    for (const distance of [0.5, 1.5, 3])
      expect(characterHeight_mm(distance, 20) / ((6.283 * distance * 1000 * 20) / 21600)).toBeCloseTo(1, 3);
  });

  it('gives 31.4 px at 1 m and 20′ on a screen of 96 px to the inch', () => {
    expect(fontSize_px(1, 20)).toBeCloseTo(31.4, 1);
  });

  it('follows the measured screen', () => {
    const capitals_px = fontSize_px(1.5, ARC_MINUTES.preferred, 2 * USUAL_PX_PER_MM) * CAP_HEIGHT;
    expect(capitals_px / (2 * USUAL_PX_PER_MM)).toBeCloseTo(9.599, 3);
  });
});
