/** The energy end-pointer: floors, beginnings, ends. Levels are made by hand, one a frame of 10 ms. */
import { describe, expect, it } from 'vitest';
import {
  createEndpointer,
  type Endpoint,
  isClipping,
  levelDbfs,
  loudBetweenMs,
  loudSpan,
} from '../../renderer/ears/endpointer.ts';

function play(levels: readonly number[], holdFloor = false): readonly Endpoint[] {
  const endpointer = createEndpointer();
  return levels.map((level) => endpointer.frame(level, holdFloor));
}
const frames = (count: number, level: number): readonly number[] => Array<number>(count).fill(level);

describe('levelDbfs', () => {
  it('gives 0 for a full square wave, -3.01 for a full sine, the least level for silence', () => {
    expect(levelDbfs(Float32Array.from({ length: 160 }, (_, n) => (n % 2 === 0 ? 1 : -1)))).toBeCloseTo(0, 6);
    const sine = Float32Array.from({ length: 160 }, (_, n) => Math.sin((2 * Math.PI * n) / 16));
    expect(levelDbfs(sine)).toBeCloseTo(-3.0103, 3);
    expect(levelDbfs(new Float32Array(160))).toBe(-90);
    expect(levelDbfs(new Float32Array(0))).toBe(-90);
  });

  it('finds clipping at either end of the scale only', () => {
    expect(isClipping(Float32Array.of(0.5, -0.99))).toBe(true);
    expect(isClipping(Float32Array.of(0.9, -0.9))).toBe(false);
  });
});

describe('loudBetweenMs', () => {
  const words = [
    { startMs: 100, endMs: 300 },
    { startMs: 500, endMs: 700 },
    { startMs: 1000, endMs: 1200 },
  ];
  const silent = frames(130, -60);
  const withSound = (fromMs: number, toMs: number, level: number): readonly number[] =>
    silent.map((quiet, frame) => (frame * 10 >= fromMs && frame * 10 < toMs ? level : quiet));

  it('counts sound about as loud as the speech between two words, where it is most', () => {
    expect(loudBetweenMs(silent, words, -20, -60)).toBe(0);
    expect(loudBetweenMs(withSound(0, 1300, -25), words, -20, -60)).toBe(300);
    expect(loudBetweenMs(withSound(250, 420, -25), words, -20, -60)).toBe(120);
  });

  it('does not count sound well below the speech, nor the noise before it', () => {
    expect(loudBetweenMs(withSound(0, 1300, -35), words, -20, -60)).toBe(0);
    expect(loudBetweenMs(withSound(0, 1300, -27), words, -20, -28)).toBe(0);
  });

  it('is nothing for a word alone or none', () => {
    expect(loudBetweenMs(withSound(0, 1300, -20), words.slice(0, 1), -20, -60)).toBe(0);
    expect(loudBetweenMs(silent, [], -20, -60)).toBe(0);
  });
});

describe('end-pointer', () => {
  it('finds the beginning and the end of a word in a still room', () => {
    const points = play([...frames(100, -66), ...frames(40, -20), ...frames(60, -66)]);
    const began = points.filter((point) => point.began);
    expect(began.length).toBe(1);
    expect(began[0]?.startMs).toBe(1000);
    expect(points.at(-1)?.lastSpeechMs).toBe(1400);
    expect(points.at(-1)?.silenceMs).toBe(600);
    expect(points.at(-1)?.peakDbfs).toBe(-20);
  });

  it('does not begin at a click of 20 ms', () => {
    const points = play([...frames(100, -66), ...frames(2, -10), ...frames(60, -66)]);
    expect(points.some((point) => point.began)).toBe(false);
  });

  it('does not begin at noise, however loud, once it has been learnt', () => {
    const loud = frames(400, -30).map((level, index) => level + (index % 3) - 1);
    const points = play([...frames(100, -66), ...loud]);
    const later = points.slice(450);
    expect(later.some((point) => point.began)).toBe(false);
    expect(later.at(-1)?.noiseDbfs).toBeGreaterThan(-33);
  });

  it('still finds a word 12 dB above steady noise', () => {
    const points = play([...frames(350, -35), ...frames(40, -23), ...frames(60, -35)]);
    expect(points.filter((point) => point.began).length).toBe(1);
    expect(points.at(-1)?.silenceMs).toBeGreaterThanOrEqual(590);
  });

  it('bridges the closure of a stop consonant and counts it as silence meanwhile', () => {
    const points = play([...frames(100, -66), ...frames(20, -20), ...frames(8, -60), ...frames(10, -25)]);
    expect(points[127]?.silenceMs).toBe(80);
    expect(points.at(-1)?.silenceMs).toBe(0);
    expect(points.filter((point) => point.began).length).toBe(1);
  });

  it('takes the tail of a room, 20 dB and more below the voice, as silence', () => {
    const tail = Array.from({ length: 40 }, (_, n) => -20 - n);
    const points = play([...frames(100, -66), ...frames(30, -20), ...tail]);
    const last = points.at(-1);
    expect(last?.lastSpeechMs).toBeLessThan(1300 + 320);
    expect(last?.silenceMs).toBeGreaterThan(80);
  });

  it('keeps its floor while it is held', () => {
    const endpointer = createEndpointer();
    for (let n = 0; n < 100; n += 1) endpointer.frame(-60, false);
    for (let n = 0; n < 400; n += 1) endpointer.frame(-20, true);
    expect(endpointer.now().noiseDbfs).toBe(-60);
  });

  it('begins anew after close', () => {
    const endpointer = createEndpointer();
    for (let n = 0; n < 100; n += 1) endpointer.frame(-66, false);
    let began = 0;
    for (let n = 0; n < 20; n += 1) if (endpointer.frame(-20, false).began) began += 1;
    endpointer.close();
    expect(endpointer.now().speech).toBe(false);
    for (let n = 0; n < 20; n += 1) if (endpointer.frame(-20, false).began) began += 1;
    expect(began).toBe(2);
  });

  it('ends speech above the bursts of noise before it, which stay above the floor', () => {
    const bursts = Array.from({ length: 12 }, (_, n) => frames(20, n % 2 === 0 ? -38 : -62)).flat();
    const endpointer = createEndpointer();
    for (const level of [...frames(200, -66), ...bursts]) endpointer.frame(level, false);
    let restarted = false;
    for (const level of frames(40, -10)) {
      if (!endpointer.frame(level, false).jumped || restarted) continue;
      endpointer.restart();
      restarted = true;
    }
    for (const level of bursts) endpointer.frame(level, false);
    expect(endpointer.now()).toMatchObject({ lastSpeechMs: 4800, faintMs: 2400 });
  });

  it('tells a voice that rises above bursts of noise, and begins anew with it', () => {
    const endpointer = createEndpointer();
    const noise = Array.from({ length: 10 }, (_, n) => frames(20, n % 2 === 0 ? -66 : -32)).flat();
    const jumps = noise.map((level) => endpointer.frame(level, false).jumped);
    // The first burst rises above silence; those after it are as loud as it.
    expect(jumps.lastIndexOf(true)).toBeLessThan(140);
    const voice = frames(20, -14).map((level) => endpointer.frame(level, false));
    expect(voice.findIndex((point) => point.jumped)).toBe(4);
    endpointer.restart();
    expect(endpointer.now()).toMatchObject({ speech: true, peakDbfs: -14, silenceMs: 0, faintMs: 0 });
    expect(endpointer.now().startMs).toBeGreaterThan(2000);
  });

  it('tells no jump while a voice goes on as it was', () => {
    const voice = Array.from({ length: 200 }, (_, n) => -20 + 5 * Math.sin(n / 7));
    const points = play([...frames(200, -66), ...voice]);
    expect(points.slice(200 + 100).some((point) => point.jumped)).toBe(false);
  });
});

describe('loudSpan', () => {
  it('spans what is about as loud as the peak, single frames and fainter sound left out', () => {
    const levels = [...frames(30, -32), -12, ...frames(5, -32), ...frames(10, -10), ...frames(30, -25)];
    expect(loudSpan(levels, -10, -70)).toEqual({ from: 36, to: 46 });
    expect(loudSpan(frames(10, -40), -10, -70)).toBeUndefined();
  });

  it('leaves out noise that was there before the speech, but not sound near the peak', () => {
    const levels = [...frames(20, -19), ...frames(10, -10), ...frames(20, -18)];
    expect(loudSpan(levels, -10, -70)).toEqual({ from: 0, to: 50 });
    expect(loudSpan(levels, -10, -18)).toEqual({ from: 20, to: 30 });
    const talk = [...frames(20, -13), ...frames(10, -10)];
    expect(loudSpan(talk, -10, -12)).toEqual({ from: 0, to: 30 });
  });
});
