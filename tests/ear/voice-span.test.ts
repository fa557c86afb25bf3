/** A voice told from what sounds beside it; levels are made by hand, one a frame of 10 ms. */
import { describe, expect, it } from 'vitest';
import { backgroundDbfs, voiceSpan, withoutBackground } from '../../renderer/ears/voice-span.ts';

const frames = (count: number, level: number): readonly number[] => Array<number>(count).fill(level);
/** One second of talk of others before and behind half a second of voice. */
const amidTalk = (othersDbfs: number): readonly number[] => [
  ...frames(100, othersDbfs),
  ...frames(50, -12),
  ...frames(100, othersDbfs),
];

describe('background', () => {
  it('is well below the voice and not far above the noise floor', () => {
    expect(backgroundDbfs(-12, -30)).toBe(-18);
    expect(backgroundDbfs(-12, -45)).toBe(-32);
  });
});

describe('voiceSpan', () => {
  it('is where the voice stands out of many others', () => {
    const span = voiceSpan(amidTalk(-20), -30);
    expect(span?.from).toBeGreaterThanOrEqual(95);
    expect(span?.from).toBeLessThanOrEqual(101);
    expect(span?.to).toBeGreaterThanOrEqual(149);
    expect(span?.to).toBeLessThanOrEqual(155);
    expect([span?.sounds(200, 500), span?.sounds(900, 1_200)]).toEqual([false, true]);
  });

  it('takes one other person in a still room, and others nearly as loud, for the voice', () => {
    expect(voiceSpan(amidTalk(-20), -66)).toMatchObject({ from: 0, to: 250 });
    expect(voiceSpan(amidTalk(-17), -30)).toMatchObject({ from: 0, to: 250 });
  });

  it('is none where nothing stands out', () => {
    expect(voiceSpan(frames(100, -20), -30)).toBeUndefined();
    expect(voiceSpan([], -30)).toBeUndefined();
  });
});

describe('withoutBackground', () => {
  const word = (text: string, startMs: number, endMs: number) => ({ word: text, conf: 1, startMs, endMs });
  const words = [word('where', 300, 600), word('next', 1_020, 1_440), word('[unk]', 1_500, 2_300)];
  const decoded = { text: 'where next [unk]', words };

  it('leaves the words of the voice', () => {
    const left = withoutBackground(decoded, amidTalk(-20), -30);
    expect(left).toEqual({ text: 'next', words: [words[1]] });
  });

  it('keeps all where the others are one person, or as loud, and where nothing stands out', () => {
    expect(withoutBackground(decoded, amidTalk(-20), -66)).toBe(decoded);
    expect(withoutBackground(decoded, amidTalk(-17), -30)).toBe(decoded);
    expect(withoutBackground(decoded, frames(250, -20), -30)).toBe(decoded);
  });

  it('keeps a soft word between two of the voice, and leaves nothing where all is background', () => {
    const levels = [...frames(50, -12), ...frames(50, -20), ...frames(50, -12)];
    const three = {
      text: 'go on back',
      words: [word('go', 0, 450), word('on', 550, 950), word('back', 1_050, 1_450)],
    };
    expect(withoutBackground(three, levels, -30)).toBe(three);
    const soft = { text: 'where', words: [word('where', 300, 600)] };
    expect(withoutBackground(soft, amidTalk(-20), -30)).toEqual({ text: '', words: [] });
  });
});
