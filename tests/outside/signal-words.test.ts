/**
 * Signal words against ANSI Z535.4, and word counts against the rules of ASD-STE100.
 *
 * Sources: ANSI Z535.4 §4.14 (2007), via safetylabel.com and electromark.com; order of lockout 29 CFR
 * 1910.147(d); sentence limits and counting rules of ASD-STE100 (techwriter.ai; older edition, section 8, via
 * forexnews.cn), the later hyphen rule from memory. Counted examples derived from these rules.
 */
import { describe, expect, it } from 'vitest';
import {
  checkSentence,
  countWordsSte,
  instructionsOf,
  nounCluster,
} from '../../electron/core/product/controlled-english.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { broken } from '../core/product/small-file.ts';

function codesWith(hazard: string): readonly string[] {
  const text = broken(
    '{id: pack, word: warning, symbol: battery, hazard: The pack can catch fire, consequence: Fire can cause severe burns, avoid: Do not bend the pack}',
    `{id: pack, ${hazard}, avoid: Keep away}`,
  );
  return readProduct(text, 'lamp.yaml').diagnostics.map((each) => each.code);
}

describe('signal words (ANSI Z535.4)', () => {
  it.each([
    [
      'danger: will kill',
      'word: danger, symbol: electric, hazard: Mains, consequence: Contact will cause death',
    ],
    [
      'warning: could hurt seriously',
      'word: warning, symbol: electric, hazard: Mains, consequence: Contact could cause serious injury',
    ],
    [
      'caution: could hurt a little',
      'word: caution, symbol: sharp, hazard: Edges, consequence: The edges can cut the hands',
    ],
    [
      'notice: damages the board only',
      'word: notice, symbol: esd, hazard: Static, consequence: The board fails',
    ],
  ])('%s is right', (_what, hazard) => {
    expect(codesWith(hazard)).toEqual([]);
  });

  it.each([
    [
      'notice where somebody can be hurt',
      'word: notice, symbol: electric, hazard: Mains, consequence: Contact hurts',
      'product/notice-for-injury',
    ],
    [
      'danger for damage to things',
      'word: danger, symbol: fragile, hazard: Glass, consequence: The glass breaks',
      'product/signal-word-for-damage',
    ],
    [
      'warning for damage to things',
      'word: warning, symbol: esd, hazard: Static, consequence: The board fails',
      'product/signal-word-for-damage',
    ],
  ])('%s is an error', (_what, hazard, code) => {
    expect(codesWith(hazard)).toEqual([code]);
    expect(
      readProduct(broken('word: notice, symbol: fragile', 'word: danger, symbol: fragile'), 'a').product,
    ).toBeUndefined();
  });
});

describe('energy in the order of 29 CFR 1910.147(d)', () => {
  it.each([
    ['isolate, discharge, verify', ['isolate', 'discharge', 'verify-dead'], []],
    [
      'verify before isolate',
      ['verify-dead', 'isolate'],
      ['product/energy-order', 'product/isolated-not-verified'],
    ],
    ['discharge before isolate', ['discharge', 'isolate', 'verify-dead'], ['product/energy-order']],
    ['two sources, each verified', ['isolate', 'verify-dead', 'isolate', 'verify-dead'], []],
    [
      'a second source that nobody verifies',
      ['isolate', 'verify-dead', 'isolate'],
      ['product/isolated-not-verified'],
    ],
  ])('%s', (_what, kinds, expected) => {
    const steps = kinds.map((kind, index) => {
      const measure =
        kind === 'verify-dead' ? `, measure: {id: v${index}, name: voltage, unit: V, max: 5}` : '';
      return `  - {id: e${index}, do: ${kind}, what: the lamp, way: in, expected_s: 5${measure}}\n`;
    });
    const text = broken(
      '  - {id: off, do: isolate, what: the lamp, expected_s: 5}\n  - {id: dead, do: verify-dead, what: the lamp, way: in, expected_s: 9, measure: {id: dead-volts, name: voltage, unit: V, max: 5}}\n',
      steps.join(''),
    );
    const codes = readProduct(text, 'lamp.yaml').diagnostics.map((each) => each.code);
    expect(codes.sort()).toEqual(expected);
  });
});

describe('word counts (ASD-STE100)', () => {
  it.each([
    ['Remove the four screws.', [4], [4]],
    ['Torque the screws to 1.2 N·m.', [6], [6]],
    ['Disconnect connector J4-12A from the PCB.', [6], [6]],
    ['Remove the quick-release pin.', [5], [4]],
    ['Re-install the cover.', [3], [3]],
    ['Remove the screws (refer to Figure 3) that attach the fan.', [7, 4], [7, 4]],
    ['Do these steps: remove the fan.', [3, 3], [3, 3]],
    ['Remove the fan - do not pull the cable.', [3, 5], [3, 5]],
    [
      'Loosen the two screws that attach the left bracket to the frame and then lift the bracket from the frame carefully.',
      [21],
      [21],
    ],
    ['', [], []],
    ['...', [], []],
    ['Apply 0.5 ml. Wait.', [3, 1], [3, 1]],
  ])('%s', (text, early, late) => {
    expect(countWordsSte(text, 'early')).toEqual(early);
    expect(countWordsSte(text, 'late')).toEqual(late);
  });

  it('finds the sentence of 21 words too long, and two instructions in it', () => {
    const text =
      'Loosen the two screws that attach the left bracket to the frame and then lift the bracket from the frame carefully.';
    expect(checkSentence(text).map((each) => each.code)).toEqual([
      'text/too-many-words',
      'text/several-instructions',
    ]);
    expect(checkSentence(text.replace('carefully', '')).map((each) => each.code)).toEqual([
      'text/several-instructions',
    ]);
  });

  it.each([
    ['Remove the power supply cover screw.', 'power supply cover screw'],
    ['Remove the fan guard screw.', undefined],
    ['Remove the screw of the power supply cover.', undefined],
  ])('noun cluster in “%s”', (text, expected) => {
    expect(nounCluster(text)).toBe(expected);
  });

  it.each([
    ['Lift the bar and pull the ribbon.', ['lift', 'pull']],
    ['When the light is off, disconnect the plug.', ['disconnect']],
    ['Hold the cover while you disconnect the ribbon.', ['hold']],
    ['Remove the nuts and washers.', ['remove']],
  ])('instructions in “%s”', (text, expected) => {
    expect(instructionsOf(text)).toEqual(expected);
  });
});
