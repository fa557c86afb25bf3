/**
 * The spelling alphabet: words of ICAO Annex 10, volume II, chapter 5 (also ITU Radio Regulations,
 * appendix 14). Spellings "Alpha", "Juliet" are those of ANSI and FED-STD-1037C, "Xray" of NATO use; the
 * figures "tree, fife, niner" and ITU's "unaone …" are from memory. The serial cases are ordinary usage.
 */
import { describe, expect, it } from 'vitest';
import { parseCode, speakCode } from '../../electron/core/job/spelled-codes.ts';

const ICAO = [
  'Alfa',
  'Bravo',
  'Charlie',
  'Delta',
  'Echo',
  'Foxtrot',
  'Golf',
  'Hotel',
  'India',
  'Juliett',
  'Kilo',
  'Lima',
  'Mike',
  'November',
  'Oscar',
  'Papa',
  'Quebec',
  'Romeo',
  'Sierra',
  'Tango',
  'Uniform',
  'Victor',
  'Whiskey',
  'X-ray',
  'Yankee',
  'Zulu',
];

describe('spelling', () => {
  it('speaks and understands the 26 words', () => {
    ICAO.forEach((word, i) => {
      const letter = String.fromCharCode(65 + i);
      expect(parseCode(word)).toBe(letter);
      expect(speakCode(letter)).toBe(word.toLowerCase());
    });
  });

  it.each([
    ['alpha', 'A'],
    ['juliet', 'J'],
    ['xray', 'X'],
    ['x ray', 'X'],
    ['whisky', 'W'],
    ['unaone bissotwo terrathree', '123'],
    ['alfa bravo one two tree four', 'AB1234'],
    ['november niner fife', 'N95'],
    ['x-ray dash zero zero seven', 'X-007'],
    ['capital mike lima', 'ML'],
    ['sierra november oh one', 'SN01'],
    ['double seven', '77'],
    ['triple zero', '000'],
    ['oscar oh', 'O0'],
    ['double bravo', 'BB'],
  ])('%s is %s', (said, code) => {
    expect(parseCode(said)).toBe(code);
  });

  it.each(['alfa banana', 'double', 'triple', 'capital', 'capital seven', '', 'b', 'double double seven'])(
    '"%s" is refused',
    (said) => {
      expect(parseCode(said)).toBeUndefined();
    },
  );
});
