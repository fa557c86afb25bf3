/**
 * Changes the sampling rate of a stream by windowed-sinc interpolation (Hann window), band-limited to the
 * lower of the two rates. Pure. Needed for recordings, and for browsers that give the microphone at its
 * own rate only.
 */

/** Zero crossings of the sinc on either side: 24 keep aliases some 60 dB down. */
const SINC_ZEROS = 24;
/** Keeps the transition band below half the lower rate. */
const CUT_SHARE = 0.96;

export interface StreamResampler {
  /** The next samples in, those that are complete out (the delay is half the window). */
  push(samples: Float32Array): Float32Array;
  /** What is left, with silence taken to follow. */
  finish(): Float32Array;
}

/** Rates in Hz, both above 0. */
export function createStreamResampler(fromHz: number, toHz: number): StreamResampler {
  const step = fromHz / toHz;
  const cut = Math.min(1, toHz / fromHz) * CUT_SHARE;
  const reach = Math.ceil(SINC_ZEROS / cut);
  let history = new Float32Array(0);
  /** Index of `history[0]` in the whole stream, and of the next output on the input's scale. */
  let base = 0;
  let centre = 0;
  let pushed = 0;

  const at = (position: number): number => {
    const first = Math.max(base, Math.ceil(position - reach));
    const last = Math.min(base + history.length - 1, Math.floor(position + reach));
    let sum = 0;
    for (let index = first; index <= last; index += 1) {
      const x = (index - position) * cut;
      const sinc = x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x);
      const window = 0.5 * (1 + Math.cos((Math.PI * (index - position)) / reach));
      sum += (history[index - base] ?? 0) * sinc * window;
    }
    return sum * cut;
  };

  const produce = (until: number): Float32Array => {
    const out: number[] = [];
    while (centre <= until) {
      out.push(at(centre));
      centre += step;
    }
    const keepFrom = Math.max(base, Math.floor(centre) - reach);
    history = history.slice(keepFrom - base);
    base = keepFrom;
    return Float32Array.from(out);
  };

  return {
    push: (samples) => {
      const joined = new Float32Array(history.length + samples.length);
      joined.set(history);
      joined.set(samples, history.length);
      history = joined;
      pushed += samples.length;
      return produce(pushed - 1 - reach);
    },
    finish: () => produce(pushed - 1),
  };
}

/** All the samples at another rate. */
export function resample(samples: Float32Array, fromHz: number, toHz: number): Float32Array {
  if (fromHz === toHz) return samples;
  const resampler = createStreamResampler(fromHz, toHz);
  // In pieces: the history is copied at every push.
  const parts: Float32Array[] = [];
  const piece = 8_192;
  for (let from = 0; from < samples.length; from += piece) {
    parts.push(resampler.push(samples.subarray(from, from + piece)));
  }
  parts.push(resampler.finish());
  const out = new Float32Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}
