// @vitest-environment jsdom
/** The review screen says every figure with its interval, how it came about, and saves the period. */
import { act, cleanup, fireEvent, render, screen, within } from '@testing-library/react';
import { afterEach, describe, expect, it } from 'vitest';
import { compareGroups, type JobGroup } from '../../electron/core/review/groups.ts';
import type { ReviewSummary } from '../../electron/core/review/model.ts';
import { reviewSummary } from '../../electron/core/review/summary.ts';
import { taskOfStep } from '../../electron/core/review/task-of-step.ts';
import type { Bridge, Push } from '../../electron/ipc/contract.ts';
import { HostProvider } from '../../renderer/host.tsx';
import { Review } from '../../renderer/screens/review/review.tsx';
import { en } from '../../renderer/words/en.ts';
import { madeJobs, times } from '../core/review/many-jobs.ts';

afterEach(cleanup);
const w = en.review;

const JOBS = madeJobs(9, [
  ...times(25, { revision: 1, steps: { b: 2.5 } }),
  ...times(25, { revision: 2, technician: 'Technician B' }),
  { over: { outcome: 'given-up' } },
]);
const SUMMARY = reviewSummary(JOBS, {
  rejected: [{ job: 'job-bad', line: 7, code: 'log/checksum', message: 'The chain breaks here.' }],
});

async function open(summary: ReviewSummary): Promise<unknown[]> {
  const asked: unknown[] = [];
  const bridge: Bridge = {
    ask: async (channel, argument) => {
      asked.push([channel, argument]);
      const answers: Record<string, unknown> = {
        'products.list': [],
        'review.summary': summary,
        'review.save': { path: '/reports/review.pdf' },
      };
      if (channel === 'review.compare') {
        const { a, b } = argument as { readonly a: JobGroup; readonly b: JobGroup };
        return { ok: true, value: compareGroups(JOBS, a, b) } as never;
      }
      return { ok: true, value: answers[channel] } as never;
    },
    onPush: () => () => undefined,
  };
  render(
    <HostProvider bridge={bridge}>
      <Review />
    </HostProvider>,
  );
  await screen.findAllByRole('heading', { level: 2 });
  return asked;
}

describe('the review screen', () => {
  it('begins with the four answers', async () => {
    await open(SUMMARY);
    const card = screen.getByRole('heading', { name: w.inShort }).closest('section')!;
    const text = card.textContent ?? '';
    const [type] = SUMMARY.types;
    expect(text).toContain(type!.pareto[0]!.say);
    expect(text).toContain(w.trendOf[type!.trend_says]);
    expect(text).toContain(type!.rewrite[0]!.say);
    expect(text).toContain(w.shortLapses(1));
    expect(within(card).getAllByRole('listitem').length).toBe(4);
  });

  it('shows all types of job at a glance, and the way to each', async () => {
    const fan = madeJobs(5, times(12, { over: { job_type: 'sample: fan', replace: ['fan'] } }));
    await open(reviewSummary([...JOBS, ...fan]));
    const card = screen.getByRole('heading', { name: w.overview }).closest('section')!;
    const rows = within(card).getAllByRole('row').slice(1);
    expect(rows.map((row) => within(row).getAllByRole('cell')[0]!.textContent)).toEqual(['51', '12']);
    expect(rows[0]!.textContent).toContain(w.inJobs(1));
    expect(rows[1]!.textContent).toContain(w.inJobs(0));
    const seen: Element[] = [];
    Element.prototype.scrollIntoView = function scrolled(this: Element) {
      seen.push(this);
    };
    fireEvent.click(within(rows[1]!).getByRole('button', { name: /fan/ }));
    expect(seen[0]).toBe(document.activeElement);
    expect(document.activeElement?.tagName).toBe('H2');
    expect(document.activeElement?.textContent).toContain('fan');
    // No two landmarks have one name.
    const regions = screen
      .getAllByRole('region')
      .map((one) => one.getAttribute('aria-label') ?? one.textContent);
    expect(new Set(regions).size).toBe(regions.length);
  });

  it('names a step in a label by its task, without the tool', () => {
    const task = (say: string): string => taskOfStep(say, en.toolSentences);
    expect(task('Take the hex key. Loosen the four bolts.')).toBe('Loosen the four bolts.');
    for (const say of ['Take out the seal. Look at it.', 'Take the strap.', 'Do b. Then c.', ''])
      expect(task(say)).toBe(say);
  });

  it('says of each figure how sure it is and how it is computed', async () => {
    await open(SUMMARY);
    const { median, prediction } = SUMMARY.types[0]!;
    for (const figure of [median, prediction!.expected, prediction!.coverage]) {
      const told = screen.getAllByText(SUMMARY.how[figure.how]!);
      expect(told.some((one) => one.closest('dd') !== null)).toBe(true);
    }
    const facts = screen.getByText(w.next).closest('div')!;
    expect(facts.textContent).toMatch(/80% sure: \d+:\d\d to \d+:\d\d; 20 jobs/);
  });

  it('compares revisions with interval, both p and a verdict, what changed first', async () => {
    await open(SUMMARY);
    const card = screen
      .getByRole('heading', { name: w.comparison('revision 2', 'revision 1') })
      .closest('section')!;
    const rows = within(within(card).getByRole('table')).getAllByRole('row');
    expect(rows[2]!.textContent).toContain('Do b.');
    expect(rows[2]!.textContent).toContain(w.verdictOf.faster);
    expect(rows[2]!.textContent).toMatch(/0\.\d+ \(0\.\d+ to 0\.\d+\)< 0\.001< 0\.001/);
    expect(card.textContent).toContain('done by different people');
  });

  it('names the rules that points break, and draws each kind of chart', async () => {
    await open(SUMMARY);
    const { chart } = SUMMARY.types[0]!;
    const rules = [...new Set(chart!.points.flatMap((point) => point.rules))];
    expect(rules.length).toBeGreaterThan(0);
    for (const rule of rules) {
      const words = (w.ruleOf as Record<string, string>)[rule]!;
      expect(screen.getAllByText(new RegExp(words)).length).toBeGreaterThan(0);
    }
    expect(Object.keys(w.ruleOf)).toEqual([1, 2, 3, 4, 5, 6, 7, 8].map((n) => `nelson-${n}`));
    const choice = screen.getByRole('combobox', { name: w.chartChoice });
    for (const option of within(choice).getAllByRole('option')) {
      fireEvent.change(choice, { target: { value: (option as HTMLOptionElement).value } });
      const figure = choice.closest('figure')!;
      expect(within(figure).getByRole('img').getAttribute('aria-label')).toContain(option.textContent);
    }
    expect(within(choice).getAllByRole('option').length).toBe(5);
  });

  it('computes the standard time by both conventions with the rating and allowance given', async () => {
    await open(SUMMARY);
    const card = screen.getByRole('heading', { name: w.work }).closest('section')!;
    const { observed_ms } = SUMMARY.types[0]!.standard!;
    fireEvent.change(within(card).getByLabelText(w.rating), { target: { value: '85' } });
    fireEvent.change(within(card).getByLabelText(w.allowance), { target: { value: '13' } });
    const shown = (ms: number): string =>
      `${Math.floor(Math.round(ms / 1000) / 60)}:${String(Math.round(ms / 1000) % 60).padStart(2, '0')}`;
    const row = (name: string): string => within(card).getByText(name).closest('tr')!.textContent ?? '';
    expect(row(w.normal)).toContain(shown(observed_ms * 0.85));
    expect(row(w.standardOfShift)).toContain(shown((observed_ms * 0.85) / 0.87));
    expect(row(w.standardOfWork)).toContain(shown(observed_ms * 0.85 * 1.13));
    fireEvent.change(within(card).getByLabelText(w.rating), { target: { value: 'x' } });
    expect(row(w.normal)).toContain('–');
  });

  it('lists logs that were not taken with the line, also where there is no other job', async () => {
    await open(SUMMARY);
    const card = screen.getByRole('heading', { name: w.rejected }).closest('section')!;
    expect(card.textContent).toMatch(/job-bad.*7.*The chain breaks here/s);
    cleanup();
    await open({ ...reviewSummary([], { rejected: SUMMARY.rejected }) });
    expect(screen.getByRole('heading', { name: w.rejected })).toBeDefined();
  });

  it('saves the period', async () => {
    const asked = await open(SUMMARY);
    fireEvent.click(screen.getByRole('button', { name: en.after.saveAs.pdf }));
    expect(await screen.findByText(en.after.savedTo('/reports/review.pdf'))).toBeDefined();
    expect(asked).toContainEqual(['review.save', { product: null, as: 'pdf' }]);
  });

  it('compares two groups as they are chosen, with warnings, interval and how it is computed', async () => {
    const asked = await open(SUMMARY);
    const form = screen.getByRole('heading', { name: w.groups }).closest('form')!;
    const [first, second] = [w.groupOf.a, w.groupOf.b].map((name) =>
      within(within(form).getByRole('group', { name })),
    );
    const choose = (side: typeof first, label: string, value: string): void => {
      fireEvent.change(side!.getByLabelText(label), { target: { value } });
    };
    choose(first, en.start.person, 'T1');
    choose(first, w.revision, '1');
    const lastDay = SUMMARY.to!.slice(0, 10);
    choose(first, w.lastDay, lastDay);
    choose(second, en.start.person, 'T2');
    fireEvent.click(within(form).getByRole('button', { name: w.compare }));
    const title = w.comparison('T2', `T1, revision 1, up to ${lastDay}`);
    const card = (await screen.findByRole('heading', { name: title })).closest('section')!;
    const job_type = SUMMARY.types[0]!.job_type;
    const open_ = { people: [], from: null, to: null, revisions: [] };
    expect(asked).toContainEqual([
      'review.compare',
      {
        product: null,
        a: { ...open_, job_type, people: ['T1'], revisions: [1], to: lastDay },
        b: { ...open_, job_type, people: ['T2'] },
      },
    ]);
    expect(card.textContent).toContain('25 jobs');
    expect(card.textContent).toContain('done by different people');
    expect(card.textContent).toContain('One side was done before the other');
    const rows = within(within(card).getByRole('table')).getAllByRole('row');
    expect(rows[2]!.textContent).toMatch(/Do b\..*0\.\d+ \(0\.\d+ to 0\.\d+\).*faster/);
    expect(within(card).getByText(SUMMARY.how['ratio-interval']!)).toBeDefined();
  });
});

it('shows how far the reading of the logs is, in words and as a bar', async () => {
  const pushes: ((push: Push) => void)[] = [];
  const bridge: Bridge = {
    ask: (channel) =>
      channel === 'products.list'
        ? (Promise.resolve({ ok: true, value: [] }) as never)
        : new Promise(() => undefined),
    onPush: (listener) => {
      pushes.push(listener);
      return () => undefined;
    },
  };
  render(
    <HostProvider bridge={bridge}>
      <Review />
    </HostProvider>,
  );
  const tell = (progress: Extract<Push, { type: 'review-progress' }>['progress']): void =>
    act(() => {
      for (const push of pushes) push({ type: 'review-progress', progress });
    });
  tell({ stage: 'opening', done: 0, total: 0 });
  expect(screen.getByText(w.opening)).toBeDefined();
  tell({ stage: 'reading', done: 400, total: 1000 });
  expect(screen.getByText('Reading the logs: 400 of 1000 jobs')).toBeDefined();
  const bar = await screen.findByRole('progressbar', {}, { timeout: 3000 });
  expect((bar as HTMLProgressElement).value).toBeCloseTo(0.4, 6);
  tell({ stage: 'computing', done: 0, total: 0 });
  expect(screen.getByText(w.computing)).toBeDefined();
});
