/** What can be said now: every phrase as a large button with its key. */

import { useState } from 'react';
import type { Allowed, PhraseId } from '../../../electron/core/job/model.ts';
import { keyCap, keyShortcut, shownKey } from '../../keys.ts';
import { useWords } from '../../words/words.ts';

/** The phrases that carry the job on; the first one allowed gets the large button. */
const MAIN: readonly PhraseId[] = ['understood', 'resume', 'next'];
/** Order of the others, grouped by what they are about. */
const ORDER: readonly PhraseId[] = [
  'no',
  'next',
  'back',
  'repeat',
  'slower',
  'screw count',
  'which tool',
  'torque',
  'caution',
  'why',
  'where am i',
  'how long',
  'problem',
  'note',
  'undo',
  'skip',
  'pause',
  'resume',
  'stop',
  'stop listening',
  'start listening',
  'finish',
  'what can i say',
  'understood',
  'yes',
];
/** These stay where a long sentence needs the room of the others; one touch on “More” shows all. */
const OFTEN: ReadonlySet<PhraseId> = new Set([
  'back',
  'repeat',
  'screw count',
  'which tool',
  'torque',
  'problem',
  'pause',
  'stop',
]);
/** These are entered with a pad, not with one touch. */
const WITH_VALUE: ReadonlySet<PhraseId> = new Set(['reading', 'serial']);

/** The phrases that get a button: one or two large ones, then the others in their order. */
export function phraseOrder(
  allowed: Allowed,
  atEnd = false,
): { large: readonly PhraseId[]; others: readonly PhraseId[] } {
  const can = new Set(allowed.phrases);
  const large = largeOf(can, atEnd);
  return {
    large,
    others: ORDER.filter((phrase) => can.has(phrase) && !large.includes(phrase) && !WITH_VALUE.has(phrase)),
  };
}

function largeOf(can: ReadonlySet<PhraseId>, atEnd: boolean): readonly PhraseId[] {
  // "No" without "yes" only turns a question away: never the largest key.
  if (can.has('yes')) return (['yes', 'no'] as const).filter((phrase) => can.has(phrase));
  // While a note is spoken there is nothing else to do than to end it.
  if (can.size === 2 && can.has('stop') && can.has('undo')) return ['stop'];
  const main = MAIN.find((phrase) => can.has(phrase));
  if (main !== undefined) return [main];
  return atEnd && can.has('finish') ? ['finish'] : [];
}

export function PhraseKeys({
  allowed,
  blocked,
  atEnd,
  scarce,
  onPhrase,
}: {
  allowed: Allowed;
  /** True while a caution is still being read: "understood" is shown but does not work yet. */
  blocked: boolean;
  /** True on the last step once nothing is left to do but to finish. */
  atEnd: boolean;
  /** True beside a long sentence: on a small screen the seldom phrases give way to it. */
  scarce: boolean;
  onPhrase: (phrase: PhraseId) => void;
}) {
  const w = useWords();
  const { large, others } = phraseOrder(allowed, atEnd);
  const [all, setAll] = useState(false);
  const key = (phrase: PhraseId, isLarge: boolean) => (
    <button
      type="button"
      key={phrase}
      className={`phrase-key ${isLarge ? 'large' : OFTEN.has(phrase) ? '' : 'seldom'}`}
      disabled={phrase === 'understood' && blocked}
      aria-keyshortcuts={keyShortcut(shownKey(phrase))}
      onClick={() => onPhrase(phrase)}
    >
      <span className="phrase-word">{w.phrase[phrase]}</span>
      <span className="keycap" aria-hidden="true">
        {keyCap(shownKey(phrase))}
      </span>
    </button>
  );
  return (
    <section className={`phrase-keys ${large.length === 0 ? 'no-large' : ''}`} aria-label={w.bench.say}>
      {large.length === 0 ? null : (
        <div className="phrase-large">{large.map((phrase) => key(phrase, true))}</div>
      )}
      <div className={`phrase-grid ${all ? 'all' : ''}`}>
        {others.map((phrase) => key(phrase, false))}
        {scarce ? (
          <button
            type="button"
            className="phrase-key more"
            aria-expanded={all}
            onClick={() => setAll((shown) => !shown)}
          >
            <span className="phrase-word">{w.bench.more}</span>
          </button>
        ) : null}
      </div>
    </section>
  );
}
