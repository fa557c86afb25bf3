/** The machine stays awake exactly while a job is open. */
import { describe, expect, it } from 'vitest';
import type { BenchView } from '../../electron/core/job/model.ts';
import type { Push } from '../../electron/ipc/contract.ts';
import { keepAwake } from '../../electron/keep-awake.ts';

function bench() {
  let push: (push: Push) => void = () => {};
  const held: number[] = [];
  let started = 0;
  const end = keepAwake(
    {
      onPush: (listener) => {
        push = listener;
        return () => {
          push = () => {};
        };
      },
    },
    {
      start: () => {
        started += 1;
        held.push(started);
        return started;
      },
      stop: (id) => held.splice(held.indexOf(id), 1),
    },
  );
  const view = (outcome: BenchView['outcome'] | 'none'): void =>
    push({ type: 'view', view: outcome === 'none' ? null : ({ outcome } as BenchView) });
  return { held, view, end, started: () => started };
}

describe('keeping awake', () => {
  it('holds once while the job is open, and lets go when it is closed or left', () => {
    const { held, view, started } = bench();
    view(null);
    view(null);
    expect(held).toEqual([1]);
    view('completed');
    view('none');
    expect(held).toEqual([]);
    view(null);
    expect(held).toEqual([2]);
    view('none');
    expect(held).toEqual([]);
    expect(started()).toBe(2);
  });

  it('lets go at the end of the program', () => {
    const { held, view, end } = bench();
    view(null);
    end();
    expect(held).toEqual([]);
    view(null);
    expect(held).toEqual([]);
  });
});
