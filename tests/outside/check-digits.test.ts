/**
 * Check characters against published examples: ISO 7064 "0794" + 5 and the Global Release Identifier
 * A12425GABC1234002M; 794623, 002006673085 and 78949 from the documentation of the library python-stdnum,
 * whose results (version 2.2) the others are; 79927398713 is the usual example for the Luhn formula.
 */
import { describe, expect, it } from 'vitest';
import { checkCharacter, checkCharacterFits } from '../../electron/core/job/check-digits.ts';

describe('check characters', () => {
  it.each([
    ['A12425GABC1234002', 'M'],
    ['G123489654321', 'G'],
    ['0794', 'J'],
    ['1', 'Z'],
    ['ABC', 'Z'],
    ['AB12', '3'],
    ['SN01', 'O'],
  ])('MOD 37,36 of %s is %s', (body, check) => {
    expect(checkCharacter('iso7064-mod37-36', body)).toBe(check);
    expect(checkCharacterFits('iso7064-mod37-36', body + check)).toBe(true);
  });

  it.each([
    ['0794', '5'],
    ['79462', '3'],
    ['00200667308', '5'],
    ['3657426180', '9'],
    ['12345678901', '4'],
    ['1', '9'],
  ])('MOD 11,10 of %s is %s', (body, check) => {
    expect(checkCharacter('iso7064-mod11-10', body)).toBe(check);
    expect(checkCharacterFits('iso7064-mod11-10', body + check)).toBe(true);
  });

  it.each([
    ['7992739871', '3'],
    ['7894', '9'],
    ['1789372997', '4'],
    ['453201511283036', '6'],
    ['1', '8'],
  ])('Luhn of %s is %s', (body, check) => {
    expect(checkCharacter('luhn', body)).toBe(check);
    expect(checkCharacterFits('luhn', body + check)).toBe(true);
  });

  it('finds every single wrong character', () => {
    const cases = [
      ['iso7064-mod37-36', 'A12425GABC1234002M', '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ'],
      ['iso7064-mod11-10', '002006673085', '0123456789'],
      ['luhn', '79927398713', '0123456789'],
    ] as const;
    for (const [kind, code, alphabet] of cases) {
      for (let i = 0; i < code.length; i += 1) {
        for (const sign of alphabet) {
          const other = code.slice(0, i) + sign + code.slice(i + 1);
          expect([other, checkCharacterFits(kind, other)]).toEqual([other, other === code]);
        }
      }
    }
  });

  it('passes over dashes, and refuses what is too short or foreign', () => {
    expect(checkCharacterFits('luhn', '7992-7398-713')).toBe(true);
    expect(checkCharacterFits('luhn', '0')).toBe(false);
    expect(checkCharacterFits('luhn', '7992739871X')).toBe(false);
    expect(checkCharacterFits('iso7064-mod11-10', 'A1')).toBe(false);
    expect(checkCharacterFits('none', 'ANY-1')).toBe(true);
  });
});
