/** The ear on screen: is it listening, how loud is it, what was heard, how sure, and why it was refused. */
import type { BenchView } from '../../../electron/core/job/model.ts';
import { keyCap } from '../../keys.ts';
import { Meter } from '../../parts/meter.tsx';
import { useVoiceState } from '../../voice.tsx';
import { useWords } from '../../words/words.ts';

export function EarPanel({ view }: { view: BenchView }) {
  const w = useWords();
  const voice = useVoiceState();
  const state =
    voice.ear === 'absent'
      ? w.bench.earOff
      : voice.ear === 'loading'
        ? w.bench.earLoading(Math.round(voice.loaded * 100))
        : view.listening
          ? voice.speaking
            ? w.bench.speaking
            : voice.talk !== null && !voice.talk.held
              ? w.bench.holdToTalk(keyCap(voice.talk.key))
              : voice.attention
                ? w.bench.sayFirst(w.attentionWord)
                : w.bench.listening
          : w.bench.notListening;
  const live = voice.ear === 'ready' && view.listening && voice.talk?.held !== false;
  const refused = view.last_refusal !== null;
  return (
    <section className={`ear-panel ${live ? 'live' : ''}`} aria-label={w.bench.heard}>
      <p className="ear-state">
        <i className="lamp" aria-hidden="true" />
        {state}
      </p>
      <Meter level={voice.level} />
      {refused ? (
        <p className="ear-refused">
          <b>{w.bench.notTaken}</b> {view.refusal_text ?? w.bench.refusal[view.last_refusal]}
        </p>
      ) : voice.heard !== null ? (
        <p className="ear-heard">
          <span className="label">{w.bench.heard}</span>
          <q>{voice.heard.text}</q>
          <span className="sure">
            <span className="bar" aria-hidden="true">
              <span style={{ width: `${Math.round(voice.heard.confidence * 100)}%` }} />
            </span>
            {w.bench.sure(Math.round(voice.heard.confidence * 100))}
          </span>
        </p>
      ) : (
        <p className="ear-heard soft">{w.bench.heardNothing}</p>
      )}
    </section>
  );
}
