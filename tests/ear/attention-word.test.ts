import { expect, it } from 'vitest';
import { ENGLISH } from '../../electron/core/base/language.ts';
import { ATTENTION_OPEN_MS, createAttentionWord } from '../../renderer/ears/attention-word.ts';
import type { Decoded } from '../../renderer/ears/decoder.ts';

const ATTENTION_WORD = ENGLISH.phrases['attention-word'];

const decoded = (text: string): Decoded => ({
  text,
  words: text
    .split(' ')
    .map((word, index) => ({ word, conf: 1, startMs: index * 300, endMs: index * 300 + 250 })),
});

it('changes nothing while it is off', () => {
  const attention = createAttentionWord(ATTENTION_WORD);
  expect(attention.entries(['next'])).toEqual([]);
  expect(attention.without('next', 0)).toBe('next');
  expect(attention.decodedWithout(decoded('next'), 0)?.text).toBe('next');
});

it('is taken off a phrase, and nothing counts without it', () => {
  const attention = createAttentionWord(ATTENTION_WORD);
  attention.set(true);
  expect(attention.without(`${ATTENTION_WORD} next`, 0)).toBe('next');
  expect(attention.without('next', 0)).toBe('');
  const rest = attention.decodedWithout(decoded(`${ATTENTION_WORD} screw count`), 0);
  expect(rest?.text).toBe('screw count');
  expect(rest?.words.map(({ word }) => word)).toEqual(['screw', 'count']);
  expect(attention.decodedWithout(decoded('next'), 0)).toBeUndefined();
});

it('said alone opens the ear for a few seconds', () => {
  const attention = createAttentionWord(ATTENTION_WORD);
  attention.set(true);
  expect(attention.decodedWithout(decoded(ATTENTION_WORD), 1_000)).toBeUndefined();
  expect(attention.without('next', 1_000 + ATTENTION_OPEN_MS)).toBe('next');
  expect(attention.without('next', 1_010 + ATTENTION_OPEN_MS)).toBe('');
});

it('stands before phrases in the grammar, not before the long entries that show pairs of words', () => {
  const attention = createAttentionWord(ATTENTION_WORD);
  attention.set(true);
  const walk = Array<string>(40).fill('one').join(' ');
  expect(attention.entries(['next', 'what can i say', walk])).toEqual([
    ATTENTION_WORD,
    `${ATTENTION_WORD} next`,
    `${ATTENTION_WORD} what can i say`,
  ]);
});
