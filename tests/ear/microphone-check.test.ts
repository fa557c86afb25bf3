/** The microphone check's verdicts and advice. */
import { describe, expect, it } from 'vitest';
import { judgeMicrophone, type MicrophoneMeasure } from '../../renderer/ears/microphone-check.ts';

const GOOD: MicrophoneMeasure = {
  levelDbfs: -22,
  noiseDbfs: -60,
  clippedShare: 0,
  spoken: true,
  phrasesHeard: 5,
  phrasesAsked: 5,
};
const judged = (change: Partial<MicrophoneMeasure>) => judgeMicrophone({ ...GOOD, ...change });

describe('judgeMicrophone', () => {
  it('finds nothing to say about a good place', () => {
    expect(judged({})).toEqual({ verdict: 'good', advice: [] });
  });

  it('tells no sound from no speech', () => {
    const silent = judged({ spoken: false, levelDbfs: -90, noiseDbfs: -72 });
    const unspoken = judged({ spoken: false, levelDbfs: -50, noiseDbfs: -50 });
    expect([silent.verdict, unspoken.verdict]).toEqual(['poor', 'poor']);
    expect(silent.advice[0]).toMatch(/plugged in/);
    expect(unspoken.advice[0]).toMatch(/Speak/);
  });

  it('advises on level, overdrive and noise', () => {
    expect(judged({ levelDbfs: -50, noiseDbfs: -75 }).advice.join()).toMatch(/too quiet/);
    expect(judged({ clippedShare: 0.02 }).advice.join()).toMatch(/overdriven/);
    expect(judged({ levelDbfs: -20, noiseDbfs: -35 })).toMatchObject({ verdict: 'usable' });
    expect(judged({ levelDbfs: -20, noiseDbfs: -35 }).advice.join()).toMatch(/headset/);
    expect(judged({ levelDbfs: -40, noiseDbfs: -55 }).advice.join()).toMatch(/closer/);
  });

  it('is poor when voice hardly stands out or phrases are missed', () => {
    expect(judged({ levelDbfs: -25, noiseDbfs: -30 }).verdict).toBe('poor');
    expect(judged({ phrasesHeard: 2 }).verdict).toBe('poor');
    expect(judged({ phrasesHeard: 4 }).verdict).toBe('usable');
  });
});
