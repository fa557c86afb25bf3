/** Plays a spoken note of a job; the host checks it against the log first. */
import { useEffect, useRef, useState } from 'react';
import type { Refusal } from '../../electron/ipc/contract.ts';
import { clock } from '../figures.ts';
import { useHost } from '../host.tsx';
import { playSamples, samplesFromWav } from '../note-sound.ts';
import { useWords } from '../words/words.ts';
import { Refused } from './refused.tsx';

const NOTE_RATE_HZ = 16_000;

export function NotePlayer({ job, audio, length_ms }: { job: string; audio: string; length_ms: number }) {
  const w = useWords();
  const host = useHost();
  const [playing, setPlaying] = useState(false);
  const [refused, setRefused] = useState<Refusal | null>(null);
  const stop = useRef<(() => void) | null>(null);
  useEffect(() => () => stop.current?.(), []);
  const time = clock(Math.max(1000, length_ms));
  const toggle = (): void => {
    if (stop.current !== null) {
      stop.current();
      return;
    }
    void host.ask('note.open', { job, audio }).then((answer) => {
      setRefused(answer.ok ? null : answer.error);
      if (!answer.ok) return;
      setPlaying(true);
      stop.current = playSamples(samplesFromWav(answer.value.wav), NOTE_RATE_HZ, () => {
        stop.current = null;
        setPlaying(false);
      });
    });
  };
  return (
    <div className="note-player">
      <button type="button" className="button" aria-pressed={playing} onClick={toggle}>
        {playing ? w.after.stopNote : w.after.playNote(time)}
      </button>
      {refused === null ? null : <Refused error={refused} />}
    </div>
  );
}
