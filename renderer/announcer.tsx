/**
 * Tells a screen reader what changed at the bench, but never over the mouth: while the mouth speaks it
 * waits, and what the mouth itself says is not said twice. With the voice off it says the whole prompt.
 */
import { useEffect, useRef, useState } from 'react';
import type { BenchView } from '../electron/core/job/model.ts';
import { stageName } from './parts/rule.tsx';
import { useVoiceState } from './voice.tsx';
import { useWords, type Words } from './words/words.ts';

/** What is worth telling of a view: with a voice only where the job is; without one also what to do. */
export function announcement(view: BenchView, voiceOff: boolean, w: Words): string {
  const place = w.bench.stepOf(view.step_number, view.step_total, stageName(view.step.stage, w));
  return voiceOff ? `${place}. ${view.prompt}` : place;
}

export function Announcer({ view, voiceOff }: { view: BenchView; voiceOff: boolean }) {
  const w = useWords();
  const { speaking } = useVoiceState();
  const text = announcement(view, voiceOff, w);
  const [said, setSaid] = useState('');
  const waiting = useRef(text);
  waiting.current = text;
  useEffect(() => {
    if (!speaking) setSaid(waiting.current);
  }, [speaking]);
  useEffect(() => {
    if (!speaking) setSaid(text);
  }, [text, speaking]);
  return (
    <p className="unseen" role="status" aria-live="polite">
      {said}
    </p>
  );
}
