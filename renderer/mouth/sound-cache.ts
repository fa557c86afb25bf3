/** Sounds rendered ahead, the least recently used dropped first. */
import type { Sound } from './flite.ts';

/** A job's sentences repeat little; this is some 12 minutes of speech. */
export const CACHE_BYTES_MAX = 48 * 1024 * 1024;
export const CACHE_SOUNDS_MAX = 400;

export class SoundCache {
  readonly #sounds = new Map<string, Sound>();
  #bytes = 0;

  constructor(
    readonly bytesMax: number = CACHE_BYTES_MAX,
    readonly soundsMax: number = CACHE_SOUNDS_MAX,
  ) {}

  get bytes(): number {
    return this.#bytes;
  }

  get count(): number {
    return this.#sounds.size;
  }

  has(key: string): boolean {
    return this.#sounds.has(key);
  }

  /** The sound, which then counts as just used. */
  get(key: string): Sound | undefined {
    const sound = this.#sounds.get(key);
    if (sound !== undefined) {
      this.#sounds.delete(key);
      this.#sounds.set(key, sound);
    }
    return sound;
  }

  /** Keeps a sound; one larger than the whole cache is not kept. */
  set(key: string, sound: Sound): void {
    const before = this.#sounds.get(key);
    if (before !== undefined) this.#drop(key, before);
    if (sound.samples.byteLength > this.bytesMax) return;
    this.#sounds.set(key, sound);
    this.#bytes += sound.samples.byteLength;
    for (const [oldest, old] of this.#sounds) {
      if (this.#bytes <= this.bytesMax && this.#sounds.size <= this.soundsMax) break;
      this.#drop(oldest, old);
    }
  }

  #drop(key: string, sound: Sound): void {
    this.#sounds.delete(key);
    this.#bytes -= sound.samples.byteLength;
  }
}
