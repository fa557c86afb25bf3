/**
 * Four short, quiet sounds that tell what words would tell too slowly. They differ in direction and number
 * of tones, not in pitch alone, so that they are told apart in noise and by an ear that hears high tones badly.
 */
export type Chime = 'heard' | 'refused' | 'done' | 'caution';

export interface Tone {
  /** Frequency in hertz. */
  readonly hz: number;
  /** Start after the first tone's start, and length, in seconds. */
  readonly at_s: number;
  readonly length_s: number;
}

/** Loudness of a chime against full scale: well below the voice. */
export const CHIME_GAIN = 0.12;
/** Rise and fall of a tone, so that it does not click. */
const EDGE_S = 0.008;

export const CHIMES: Readonly<Record<Chime, readonly Tone[]>> = {
  // One short tick: understood.
  heard: [{ hz: 880, at_s: 0, length_s: 0.07 }],
  // Two low tones, falling: not understood.
  refused: [
    { hz: 392, at_s: 0, length_s: 0.09 },
    { hz: 294, at_s: 0.12, length_s: 0.12 },
  ],
  // Three tones, rising: done.
  done: [
    { hz: 523, at_s: 0, length_s: 0.08 },
    { hz: 659, at_s: 0.1, length_s: 0.08 },
    { hz: 784, at_s: 0.2, length_s: 0.14 },
  ],
  // The same tone three times: attention.
  caution: [
    { hz: 740, at_s: 0, length_s: 0.1 },
    { hz: 740, at_s: 0.16, length_s: 0.1 },
    { hz: 740, at_s: 0.32, length_s: 0.1 },
  ],
};

/** Length of a chime in seconds. */
export function chimeLength(chime: Chime): number {
  return Math.max(...CHIMES[chime].map((tone) => tone.at_s + tone.length_s));
}

/** Sounds a chime now, over whatever else sounds. */
export function soundChime(context: BaseAudioContext, chime: Chime): void {
  const begin = context.currentTime + 0.01;
  for (const tone of CHIMES[chime]) {
    const oscillator = context.createOscillator();
    const gain = context.createGain();
    const from = begin + tone.at_s;
    oscillator.frequency.value = tone.hz;
    gain.gain.setValueAtTime(0, from);
    gain.gain.linearRampToValueAtTime(CHIME_GAIN, from + EDGE_S);
    gain.gain.setValueAtTime(CHIME_GAIN, from + tone.length_s - EDGE_S);
    gain.gain.linearRampToValueAtTime(0, from + tone.length_s);
    oscillator.connect(gain).connect(context.destination);
    oscillator.start(from);
    oscillator.stop(from + tone.length_s + 0.01);
    oscillator.onended = () => gain.disconnect();
  }
}
