/**
 * Spoken numbers against forms that are not our own. "num2words" marks forms that the Python library
 * num2words 0.5.14 speaks, turned round; the others are ordinary English usage, from memory, no source.
 */
import { describe, expect, it } from 'vitest';
import { convertReading } from '../../electron/core/job/reading-units.ts';
import { parseNumber, parseQuantity, speakNumber } from '../../electron/core/job/spoken-numbers.ts';

function value(text: string): number | undefined {
  const said = parseNumber(text);
  return said?.kind === 'value' ? said.value : undefined;
}

describe('spoken numbers', () => {
  it.each([
    // num2words
    ['zero', 0],
    ['thirteen', 13],
    ['fourteen', 14],
    ['fifteen', 15],
    ['sixteen', 16],
    ['seventeen', 17],
    ['eighteen', 18],
    ['nineteen', 19],
    ['thirty', 30],
    ['forty', 40],
    ['fifty', 50],
    ['sixty', 60],
    ['seventy', 70],
    ['eighty', 80],
    ['ninety', 90],
    ['twenty-one', 21],
    ['one hundred and one', 101],
    ['three hundred and forty-two', 342],
    ['one thousand and one', 1001],
    ['two thousand and twenty-six', 2026],
    ['twelve thousand, three hundred and forty-five', 12345],
    ['one hundred thousand', 100000],
    ['zero point five', 0.5],
    ['three point two five', 3.25],
    ['one point zero five', 1.05],
    ['twelve point seven five', 12.75],
    ['minus four', -4],
    // from memory, ordinary usage
    ['oh', 0],
    ['nought', 0],
    ['twenty one', 21],
    ['one hundred one', 101],
    ['one oh five', 105],
    ['one fifteen', 115],
    ['one hundred fifteen', 115],
    ['eleven hundred', 1100],
    ['twelve hundred', 1200],
    ['twelve thirty-four', 1234],
    ['ten ten', 1010],
    ['twenty twenty-six', 2026],
    ['point five', 0.5],
    ['one point oh five', 1.05],
    ['negative four', -4],
    ['one and a half', 1.5],
    ['two and three quarters', 2.75],
    ['half', 0.5],
    ['a dozen', 12],
    ['half a dozen', 6],
    ['one two three four', 1234],
    ['five zero zero', 500],
    ['twenty thirteen', 2013],
    ['hundred', 100],
    ['forty five hundred', 4500],
    ['six sixty', 660],
  ])('%s is %d', (text, expected) => {
    expect(value(text)).toBe(expected);
  });

  // from memory, ordinary usage: what could be two numbers, or none, is not guessed
  it.each([
    'three point two point five',
    'twenty fourteen five',
    'thirty twenty',
    'hundred hundred',
    'point',
    'and five',
    'five and',
    'minus',
    'minus minus four',
    'zero hundred',
    'one hundred two hundred',
    'five thousand thousand',
    'three point',
    'seven screws',
    '',
  ])('"%s" is refused', (text) => {
    expect(parseNumber(text)).toBeUndefined();
  });

  it('"two to three" is a range, not twenty-three', () => {
    expect(parseNumber('two to three')).toEqual({ kind: 'range', low: 2, high: 3 });
  });

  // from memory: homophones, folded where a number is asked for
  it.each([
    ['too', 2],
    ['to', 2],
    ['for', 4],
    ['ate', 8],
    ['won', 1],
    ['tree', 3],
    ['fife', 5],
    ['niner', 9],
    ['tree point too fife', 3.25],
  ])('the homophone %s is %d', (text, expected) => {
    expect(value(text)).toBe(expected);
  });

  it('takes the unit from the end', () => {
    expect(parseQuantity('one point two newton metres')).toEqual({ value: 1.2, unit: 'N·m' });
    expect(parseQuantity('minus four degrees celsius')).toEqual({ value: -4, unit: '°C' });
    expect(parseQuantity('three point seven')).toEqual({ value: 3.7 });
    expect(parseQuantity('newton metres')).toBeUndefined();
    expect(parseQuantity('two to three volts')).toBeUndefined();
  });

  // NIST SP 811, appendix B: 1 lbf·in = 1.129 848 E−01 N·m; 1 bar = 1 E+05 Pa; the others are SI prefixes.
  it.each([
    [1, 'lbf·in', 'N·m', 0.1129848],
    [10, 'N·m', 'lbf·in', 88.50746],
    [3250, 'mV', 'V', 3.25],
    [0.25, 'bar', 'kPa', 25],
    [1.5, 'kΩ', 'Ω', 1500],
    [60, 'ml/min', 'l/min', 0.06],
  ])('%d %s in %s is %d', (value, from, to, expected) => {
    expect(convertReading(value, from, to)).toBeCloseTo(expected, 5);
  });

  it('turns no unit into one of another kind', () => {
    expect(convertReading(1, 'V', 'A')).toBeUndefined();
    expect(convertReading(1, 'V', 'nonsense')).toBeUndefined();
    expect(convertReading(1, 'constructor', 'V')).toBeUndefined();
    expect(convertReading(7, 'own unit', 'own unit')).toBe(7);
  });

  it('speaks as num2words does, without its hyphens', () => {
    expect(speakNumber(342)).toBe('three hundred and forty two');
    expect(speakNumber(2026)).toBe('two thousand and twenty six');
    expect(speakNumber(12345)).toBe('twelve thousand three hundred and forty five');
    expect(speakNumber(-12.75)).toBe('minus twelve point seven five');
    expect(speakNumber(1.05)).toBe('one point zero five');
    expect(speakNumber(100000)).toBe('one hundred thousand');
  });
});
