/** Colours of both themes against WCAG 2.x; values of the formula checked against published ones. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';

const CSS = readFileSync(join(import.meta.dirname, '../../renderer/style/tokens.css'), 'utf8');

function luminance(hex: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const value = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
  const [high = 0, low = 0] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (high + 0.05) / (low + 0.05);
}

function tokens(selector: string): Map<string, string> {
  const start = CSS.lastIndexOf(selector);
  const block = CSS.slice(CSS.indexOf('{', start), CSS.indexOf('}', start));
  return new Map([...block.matchAll(/--([a-z-]+):\s*(#[0-9a-f]{6});/g)].map((m) => [m[1] ?? '', m[2] ?? '']));
}

const THEMES = { light: tokens(':root[data-theme="light"]'), dark: tokens(':root[data-theme="dark"]') };
const SIGNALS = tokens(':root {');

/** Text on its ground, as the style sheets combine them at the bench. */
const TEXT_PAIRS = [
  ['ink', 'card'],
  ['ink', 'bench'],
  ['ink', 'inset'],
  ['ink', 'petrol-wash'],
  ['ink-soft', 'card'],
  ['ink-soft', 'bench'],
  ['ink-soft', 'inset'],
  ['ink-soft', 'petrol-wash'],
  ['card', 'ink'],
  ['on-petrol', 'petrol-strong'],
  ['petrol', 'card'],
  ['plum', 'plum-wash'],
  ['plum', 'card'],
] as const;

describe('contrast', () => {
  it('computes the published values', () => {
    // WCAG 2.x worked values; from the reference list of this project, computed there independently.
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 6);
    expect(contrast('#777777', '#ffffff')).toBeCloseTo(4.4781, 4);
    expect(contrast('#767676', '#ffffff')).toBeCloseTo(4.5422, 4);
    expect(contrast('#595959', '#ffffff')).toBeCloseTo(7.0047, 4);
    expect(contrast('#0000ff', '#ffffff')).toBeCloseTo(8.5925, 4);
    expect(contrast('#333333', '#ffffff')).toBeCloseTo(12.6347, 4);
  });

  for (const [theme, colours] of Object.entries(THEMES))
    for (const [text, ground] of TEXT_PAIRS)
      it(`${theme}: ${text} on ${ground} is at least 7:1`, () => {
        expect(colours.has(text) && colours.has(ground)).toBe(true);
        expect(contrast(colours.get(text) ?? '', colours.get(ground) ?? '')).toBeGreaterThanOrEqual(7);
      });

  for (const word of ['danger', 'warning', 'caution', 'notice'])
    it(`${word}: the signal word on its colour is at least 7:1`, () => {
      expect(contrast(SIGNALS.get(`on-${word}`) ?? '', SIGNALS.get(word) ?? '')).toBeGreaterThanOrEqual(7);
    });

  it('keeps the colours of signal words apart from the program’s own', () => {
    const signal = ['danger', 'warning', 'caution', 'notice'].map((word) => SIGNALS.get(word));
    for (const colours of Object.values(THEMES))
      for (const colour of colours.values()) expect(signal).not.toContain(colour);
  });
});
