import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { allowedByVoice } from '../../../electron/core/job/allowed.ts';
import { DECOYS } from '../../../electron/core/job/decoys.ts';
import {
  couldContinue,
  decoysFor,
  grammarPhrases,
  grammarVocabulary,
  isPhraseId,
  knownPhrase,
  MAX_GRAMMAR_ENTRIES,
  SPOKEN_PHRASES,
  UNKNOWN,
  understand,
  whatCanISay,
} from '../../../electron/core/job/grammar.ts';
import { keyFor, keysFor, phraseForKey } from '../../../electron/core/job/keys.ts';
import type { Allowed, PhraseId } from '../../../electron/core/job/model.ts';
import { PROBLEM_DECISIONS, PROBLEM_KINDS } from '../../../electron/core/job/prompts.ts';
import { wordsOfGraph } from '../../../electron/ear-node/vocabulary.ts';

const PHRASES = Object.keys(SPOKEN_PHRASES) as PhraseId[];

function allow(given: Partial<Allowed>): Allowed {
  return { phrases: [], number: 'none', spelling: false, answers: [], ...given };
}
const STEP = allow({ phrases: ['next', 'stop', 'stop listening', 'screw count'] });
const READING = allow({ phrases: ['next', 'reading'], number: 'reading' });
const SERIAL = allow({ phrases: ['serial'], spelling: true });
const COUNT = allow({ phrases: ['no'], number: 'bare' });

const GRAPH = new URL('../../../models/en/graph/Gr.fst', import.meta.url);

describe('the strings for the recogniser', () => {
  it('are whole phrases and their few synonyms, with the unknown last', () => {
    const phrases = grammarPhrases(allow({ phrases: ['next', 'stop'] }));
    expect(phrases).toEqual(expect.arrayContaining(['next', 'next step', 'stop']));
    expect(phrases.at(-1)).toBe(UNKNOWN);
    expect(phrases).not.toContain('screw count');
  });

  it('have number and spelling words only where they may follow', () => {
    expect(grammarPhrases(STEP)).not.toContain('seventeen');
    expect(grammarPhrases(READING)).toEqual(expect.arrayContaining(['the reading is', 'seventeen', 'volts']));
    expect(grammarPhrases(SERIAL)).toEqual(expect.arrayContaining(['serial is', 'alfa', 'double', 'seven']));
    expect(grammarPhrases(COUNT)).not.toContain('the reading is');
  });

  it('stay under the limit with everything allowed, decoys giving way first, and none twice', () => {
    const all = allow({
      phrases: PHRASES,
      number: 'reading',
      spelling: true,
      answers: [...PROBLEM_KINDS, ...PROBLEM_DECISIONS],
      proposed: '1',
    });
    const phrases = grammarPhrases(all);
    expect(phrases.length).toBeLessThanOrEqual(MAX_GRAMMAR_ENTRIES);
    expect(new Set(phrases).size).toBe(phrases.length);
    for (const phrase of PHRASES) expect(phrases).toContain(SPOKEN_PHRASES[phrase][0]);
  });

  it('are made of words that the recogniser knows', () => {
    const words = wordsOfGraph(readFileSync(GRAPH));
    expect(words.size).toBeGreaterThan(30_000);
    const used = [
      ...grammarVocabulary(),
      ...[...PROBLEM_KINDS, ...PROBLEM_DECISIONS].flatMap((a) => a.split(' ')),
    ];
    expect(used.filter((word) => !words.has(word))).toEqual([]);
    expect(used.filter((word) => word !== word.toLowerCase())).toEqual([]);
  });

  it('are only "start listening" while not listening', () => {
    const allowed = allowedByVoice(allow({ phrases: ['next', 'start listening'] }), false);
    expect(grammarPhrases(allowed)).toEqual(expect.arrayContaining(['start listening', UNKNOWN]));
    expect(understand(allowed, 'next')).toBeUndefined();
    expect(allowedByVoice(STEP, true)).toBe(STEP);
  });
});

describe('decoys', () => {
  it('are never words that are allowed, and mean nothing', () => {
    for (const phrases of [PHRASES, ['next', 'stop'] as PhraseId[], ['no', 'yes'] as PhraseId[]]) {
      const allowed = allow({ phrases, number: 'reading', spelling: true });
      for (const decoy of decoysFor(allowed))
        expect([decoy, understand(allowed, decoy)]).toEqual([decoy, undefined]);
    }
  });

  it('are words of their own, not another phrase', () => {
    for (const decoy of Object.values(DECOYS).flat())
      expect([decoy, knownPhrase(decoy)]).toEqual([decoy, undefined]);
  });

  it('hold the everyday phrases that are not possible now, so that the reason can be said', () => {
    expect(decoysFor(allow({ phrases: ['understood', 'repeat'] }))).toContain('next');
    expect(knownPhrase('next')).toBe('next');
    expect(knownPhrase('say again')).toBe('repeat');
    expect(knownPhrase('nonsense')).toBeUndefined();
  });
});

describe('understanding', () => {
  it('takes exact whole phrases only', () => {
    expect(understand(STEP, 'next')).toEqual({ type: 'phrase', phrase: 'next' });
    expect(understand(STEP, ' Next  Step ')).toEqual({ type: 'phrase', phrase: 'next' });
    expect(understand(STEP, 'how many screws')).toEqual({ type: 'phrase', phrase: 'screw count' });
    for (const text of ['next please', 'the next', 'nex', '', 'yes', 'next next', 'screw']) {
      expect([text, understand(STEP, text)]).toEqual([text, undefined]);
    }
  });

  it('takes nothing with an unknown part in it', () => {
    for (const text of ['[unk]', 'next [unk]', '[unk] next', 'the reading is [unk] three']) {
      expect(understand({ ...READING, phrases: PHRASES }, text)).toBeUndefined();
    }
  });

  it('takes readings, bare numbers, serials and answers where they are asked for', () => {
    expect(understand(READING, 'the reading is three point two five volts')).toEqual({
      type: 'reading',
      value: 3.25,
      unit: 'V',
    });
    expect(understand(READING, 'the reading is')).toEqual({ type: 'phrase', phrase: 'reading' });
    expect(understand(READING, 'three')).toBeUndefined();
    expect(understand(READING, 'the reading is two to three')).toBeUndefined();
    expect(understand(STEP, 'the reading is three')).toBeUndefined();
    expect(understand(COUNT, 'twelve')).toEqual({ type: 'number', value: 12 });
    expect(understand(STEP, 'twelve')).toBeUndefined();
    expect(understand(SERIAL, 'serial is alfa double seven')).toEqual({ type: 'serial', value: 'A77' });
    expect(understand(STEP, 'serial is alfa')).toBeUndefined();
    expect(understand(allow({ answers: ['does not fit'] }), 'does not fit')).toEqual({
      type: 'answer',
      value: 'does not fit',
    });
  });

  it('takes a correction of one character of what was read back, where there is just one such', () => {
    const reading = { ...READING, proposed: '3.9' };
    expect(understand(reading, 'no three not nine')).toEqual({ type: 'reading', value: 3.3 });
    expect(understand({ ...READING, proposed: '9.9' }, 'no three not nine')).toBeUndefined();
    expect(understand(READING, 'no three not nine')).toBeUndefined();
    const serial = { ...SERIAL, proposed: 'AB1' };
    expect(understand(serial, 'no bravo not alfa')).toEqual({ type: 'serial', value: 'BB1' });
    expect(understand(serial, 'no bravo not zulu')).toBeUndefined();
  });

  it('is not led astray by names of built-in properties', () => {
    for (const text of ['constructor', '__proto__', 'tostring']) {
      expect(understand({ ...READING, spelling: true }, text)).toBeUndefined();
      expect(understand(SERIAL, `serial is ${text}`)).toBeUndefined();
      expect(understand(READING, `the reading is ${text}`)).toBeUndefined();
      expect(isPhraseId(text)).toBe(false);
    }
  });
});

describe('going on', () => {
  it.each([
    ['next', true],
    ['next step', false],
    ['stop', true],
    ['stop listening', false],
    ['screw', true],
    ['', true],
    ['yes', false],
    ['stop [unk]', false],
  ])('of "%s" at a step: %s', (text, expected) => {
    expect(couldContinue(STEP, text)).toBe(expected);
  });

  it('of numbers and spellings is always possible', () => {
    expect(couldContinue(READING, 'the reading')).toBe(true);
    expect(couldContinue(READING, 'the reading is')).toBe(true);
    expect(couldContinue(READING, 'the reading is three point two')).toBe(true);
    expect(couldContinue(COUNT, 'twenty')).toBe(true);
    expect(couldContinue(COUNT, 'repeat')).toBe(false);
    expect(couldContinue(SERIAL, 'serial is alfa')).toBe(true);
    expect(couldContinue(SERIAL, 'serial is banana')).toBe(false);
    expect(couldContinue({ ...COUNT, proposed: '9' }, 'no')).toBe(true);
    expect(couldContinue(allow({ phrases: ['yes', 'no'] }), 'no')).toBe(false);
  });
});

describe('help and keys', () => {
  it('names everything that can be said', () => {
    const said = whatCanISay({ ...READING, phrases: PHRASES, spelling: true, answers: ['go on'] });
    for (const phrase of PHRASES) expect(said).toContain(SPOKEN_PHRASES[phrase][0]);
    expect(said).toContain('go on');
    expect(whatCanISay(COUNT)).toBe('You can say: no, a number.');
  });

  it('tell how phrases have to be marked, where they do', () => {
    const told = (attentionWord: boolean, talkKey: boolean): string =>
      whatCanISay(COUNT, undefined, { attentionWord, talkKey });
    expect(told(false, false)).toBe(whatCanISay(COUNT));
    expect(told(true, false)).toBe(`${whatCanISay(COUNT)} Say bench before each of them.`);
    expect(told(false, true)).toBe(`${whatCanISay(COUNT)} Hold your key or pedal while you speak.`);
    expect(told(true, true)).toMatch(/bench.*pedal/);
  });

  it('give every phrase a key of its own', () => {
    const keys = PHRASES.flatMap((phrase) => keysFor(phrase));
    expect(new Set(keys.map((key) => key.toLowerCase())).size).toBe(keys.length);
    for (const phrase of PHRASES) {
      expect(keyFor(phrase)).not.toBe('');
      for (const key of keysFor(phrase)) expect(phraseForKey(key)).toBe(phrase);
    }
  });

  it('let a foot pedal go on and back', () => {
    for (const key of [' ', 'Enter', 'PageDown']) expect(phraseForKey(key)).toBe('next');
    expect(phraseForKey('PageUp')).toBe('back');
    expect(phraseForKey('R')).toBe('repeat');
    expect(phraseForKey('F5')).toBeUndefined();
    expect(phraseForKey('constructor')).toBeUndefined();
  });
});
