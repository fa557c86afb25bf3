/**
 * All steps of the job, to see where one is and to go to a step that was reached. The step engine asks back
 * before it goes; a step that was never reached cannot be chosen.
 */
import { type KeyboardEvent, useEffect, useRef } from 'react';
import type { BenchView, Source } from '../../../electron/core/job/model.ts';
import { keyCap, keyShortcut } from '../../keys.ts';
import { stageName, stagesOf } from '../../parts/rule.tsx';
import { useWords } from '../../words/words.ts';

/** Opens and closes the list; no phrase has this key. */
export const STEP_LIST_KEY = 'j';

/** A move of the highlight among `count` rows, or undefined where the key is none. */
export function rowAfter(key: string, row: number, count: number): number | undefined {
  switch (key) {
    case 'ArrowDown':
    case 'ArrowRight':
    case 'PageDown':
      return Math.min(count - 1, row + 1);
    case 'ArrowUp':
    case 'ArrowLeft':
    case 'PageUp':
      return Math.max(0, row - 1);
    case 'Home':
      return 0;
    case 'End':
      return count - 1;
    default:
      return undefined;
  }
}

export function StepListButton({ open, onClick }: { open: boolean; onClick: () => void }) {
  const w = useWords();
  return (
    <button
      type="button"
      className="button"
      aria-expanded={open}
      aria-keyshortcuts={keyShortcut(STEP_LIST_KEY)}
      onClick={onClick}
    >
      {w.bench.stepsOpen}
      <span className="keycap" aria-hidden="true">
        {keyCap(STEP_LIST_KEY)}
      </span>
    </button>
  );
}

export function StepList({
  steps,
  takesFocus,
  onGoTo,
  onClose,
}: {
  steps: BenchView['steps'];
  /** False where it only shows the place: the keys go on being phrases. */
  takesFocus: boolean;
  onGoTo: (step: string, source: Source) => void;
  onClose: () => void;
}) {
  const w = useWords();
  const list = useRef<HTMLElement>(null);
  useEffect(() => {
    const here = list.current?.querySelector<HTMLElement>('[aria-current]');
    if (takesFocus) here?.focus({ preventScroll: true });
    here?.scrollIntoView?.({ block: 'center' });
  }, [takesFocus]);
  const onKey = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const rows = [...(list.current?.querySelectorAll<HTMLElement>('.step-row') ?? [])];
    const row = rows.indexOf(document.activeElement as HTMLElement);
    const to = rowAfter(event.key, row, rows.length);
    // Keys of the list are no phrases while it has the focus.
    if (event.key === 'Escape') onClose();
    else if (to !== undefined) rows[to]?.focus();
    else if (event.key !== 'Enter' && event.key !== ' ') return;
    event.stopPropagation();
    if (to !== undefined || event.key === 'Escape') event.preventDefault();
  };
  return (
    <section className="work-card step-list" ref={list} aria-label={w.bench.steps} onKeyDown={onKey}>
      <header>
        <p className="entry-title">{w.bench.stepsHint}</p>
        <button type="button" className="button" onClick={onClose}>
          {w.app.close}
        </button>
      </header>
      <div className="step-stages">
        {stagesOf(steps).map((group) => (
          <section key={group.first} aria-label={stageName(group.stage, w)}>
            <h2>{stageName(group.stage, w)}</h2>
            <ol>
              {group.steps.map((step, i) => (
                <Row key={step.id} step={step} number={group.first + i + 1} onGoTo={onGoTo} />
              ))}
            </ol>
          </section>
        ))}
      </div>
    </section>
  );
}

function Row({
  step,
  number,
  onGoTo,
}: {
  step: BenchView['steps'][number];
  number: number;
  onGoTo: (step: string, source: Source) => void;
}) {
  const w = useWords();
  const content = (
    <>
      <b className="figures">{number}</b>
      <span>{step.say}</span>
      <small>{step.reached ? w.bench.state[step.state] : w.bench.notReached}</small>
    </>
  );
  return (
    <li>
      {step.reached ? (
        <button
          type="button"
          className={`step-row ${step.state}`}
          aria-current={step.state === 'now' ? 'step' : undefined}
          // A click that a key has made has no count.
          onClick={(event) => onGoTo(step.id, event.detail === 0 ? 'key' : 'touch')}
        >
          {content}
        </button>
      ) : (
        <p className="step-ahead">{content}</p>
      )}
    </li>
  );
}
