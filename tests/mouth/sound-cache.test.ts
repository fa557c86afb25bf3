import { describe, expect, it } from 'vitest';
import { SoundCache } from '../../renderer/mouth/sound-cache.ts';

const sound = (samples: number) => ({ samples: new Float32Array(samples), sampleRateHz: 16_000 });

describe('SoundCache', () => {
  it('drops the least recently used first when it is full', () => {
    const cache = new SoundCache(4 * 300, 100);
    cache.set('a', sound(100));
    cache.set('b', sound(100));
    cache.set('c', sound(100));
    cache.get('a');
    cache.set('d', sound(100));
    expect(['a', 'b', 'c', 'd'].filter((key) => cache.has(key))).toEqual(['a', 'c', 'd']);
    expect(cache.bytes).toBe(4 * 300);
  });

  it('counts a replaced sound once and keeps the number of sounds within the limit', () => {
    const cache = new SoundCache(1e6, 2);
    cache.set('a', sound(10));
    cache.set('a', sound(20));
    expect(cache.bytes).toBe(80);
    cache.set('b', sound(1));
    cache.set('c', sound(1));
    expect(cache.count).toBe(2);
    expect(cache.has('a')).toBe(false);
  });

  it('does not keep a sound larger than itself', () => {
    const cache = new SoundCache(100, 10);
    cache.set('small', sound(10));
    cache.set('large', sound(1000));
    expect(cache.has('large')).toBe(false);
    expect(cache.has('small')).toBe(true);
  });
});
