/** Printed reports in the pseudo-locale: every word is from the table, the author or the job. */
import { describe, expect, it } from 'vitest';
import { languageOf } from '../../electron/core/base/language.ts';
import { periodReport } from '../../electron/core/export/period-report.ts';
import { serviceReport } from '../../electron/core/export/service-report.ts';
import { ALL_JOBS, compareGroups } from '../../electron/core/review/groups.ts';
import type { JobReview, ReviewSummary } from '../../electron/core/review/model.ts';
import { reviewSummary } from '../../electron/core/review/summary.ts';
import { reviewIn } from '../../electron/core/review/words.ts';
import type { PageInput } from '../../electron/ipc/contract.ts';
import { madeJobs, times } from '../core/review/many-jobs.ts';
import { CoreBridge } from '../pages/core-bridge.ts';
import { FILES, startJob } from '../pages/render-app.tsx';
import { outsideBrackets, pseudoTable } from './pseudo-locale.ts';

const TABLE = pseudoTable();
const LANGUAGE = languageOf(TABLE);

/** Ids of steps. */
const CODE = /\b[a-z]+(\.[a-z0-9-]+)+/g;

/** Words outside brackets that stand in no product file; ids, dates and figures aside. */
function foreign(html: string): readonly string[] {
  const given = Object.values(FILES)
    .join(' ')
    .replaceAll(/[\s"]+/g, ' ')
    .toLowerCase();
  return (
    html
      .replace(/<style>[\s\S]*?<\/style>/, '')
      .split(/<[^>]*>/)
      .map((text) => outsideBrackets(text.replace(/&[a-z#0-9]+;/g, ' ').replace(CODE, '')))
      .flatMap((text) => text.split(/[.,;:()–…]/))
      .map((piece) => piece.replaceAll(/\s+/g, ' ').trim().toLowerCase())
      .filter((piece) => /\p{L}{3,}/u.test(piece) && !given.includes(piece))
      // A sentence that is shown by itself has lost its brackets, but not its accents.
      .filter((piece) => !/[áéíöü]/.test(piece))
      .filter((piece) => !/^[a-z0-9]+(-[a-z0-9]+)+$/.test(piece))
  );
}

/** Five jobs, one of them with a problem, a note and out of limits, one given up. */
async function bridgeWithJobs(): Promise<CoreBridge> {
  const bridge = new CoreBridge(FILES, { language: TABLE.language.tag }, [TABLE]);
  for (let n = 0; n < 5; n += 1) {
    await startJob(bridge, 'practice.yaml', 'sheet');
    bridge.finishByScript(() => 4000 + 300 * n, 4);
    const say = (input: PageInput): void => {
      bridge.wait(2000);
      bridge.input(input);
    };
    if (n === 1) {
      say({ type: 'phrase', phrase: 'problem', source: 'key' });
      say({ type: 'answer', value: 'missing part', source: 'touch' });
      say({ type: 'answer', value: 'go on', source: 'touch' });
      say({ type: 'text', value: '⟦of the technician⟧', source: 'key' });
    }
    if (n === 2) {
      say({ type: 'phrase', phrase: 'finish', source: 'key' });
      say({ type: 'phrase', phrase: 'yes', source: 'key' });
    } else bridge.finishByScript(() => (n === 3 ? 1200 : 5000));
    bridge.wait(3_600_000);
  }
  return bridge;
}

describe('reports in another language', () => {
  it('have no word of the program outside the table', async () => {
    const bridge = await bridgeWithJobs();
    for (let n = 1; n <= 5; n += 1) {
      const answer = await bridge.ask('job.review', { job: `job-${n}` });
      if (!answer.ok) throw new Error(answer.error.message);
      const review = answer.value as unknown as JobReview;
      const html = serviceReport(review, 'A', '2026-01-12T08:00:00Z', LANGUAGE);
      expect(foreign(html)).toEqual([]);
      expect(html).toContain('lang="en-XA"');
      expect(foreign(serviceReport({ ...review, verified: false }, 'A', '', LANGUAGE))).toEqual([]);
    }
    const summary = await bridge.ask('review.summary', { product: null });
    if (!summary.ok) throw new Error(summary.error.message);
    const figures = summary.value as ReviewSummary;
    expect(figures.lapses.length).toBeGreaterThan(0);
    expect(foreign(periodReport(figures, '2026-01-12T08:00:00Z', LANGUAGE))).toEqual([]);
  });

  it('would show a word written into one', () => {
    expect(foreign('<h1>Service report</h1><p>⟦Ţéxţ⟧ 4 s</p>')).toEqual(['service report']);
  });

  it('tell a review again from codes and facts, and leave figures as they are', () => {
    const review = {
      notices: [{ code: 'review/few-jobs', facts: { jobs: 3, needed: 8 }, text: 'English' }],
      lapses: [{ kind: 'given-up', facts: {}, text: 'English', job: 'j' }],
      rejected: [
        {
          job: 'j',
          line: 3,
          code: 'log/checksum',
          message: 'Line 3 of the log does not agree with its checksum.',
        },
        { job: 'j', line: null, code: 'store/other-history', message: 'English' },
        { job: 'j', line: 9, code: 'log/untrusted', message: 'English' },
      ],
      how: { 'active-time': 'English' },
      figure: { value: 1.5, how: 'active-time' },
    };
    const told = reviewIn(review, LANGUAGE);
    expect(JSON.stringify(told)).not.toContain('English');
    expect(told.notices[0]?.text).toMatch(/^⟦.*3.*8.*⟧$/);
    expect(told.figure).toEqual(review.figure);
    for (const one of told.rejected) expect(outsideBrackets(one.message)).toBe('');
    expect(told.rejected[0]?.message).toContain('3');
    // What a reason knows beyond the line cannot be told again, so it stays.
    const kept = {
      rejected: [{ job: 'j', line: 1, code: 'log/too-many-lines', message: 'More than 5 lines.' }],
    };
    expect(reviewIn(kept, LANGUAGE)).toEqual(kept);
  });

  it('name both sides of a comparison', () => {
    const jobs = madeJobs(3, [...times(9), ...times(9, { revision: 2, pace: 0.5 })]);
    const summary = reviewSummary(jobs);
    const two = { ...ALL_JOBS, revisions: [2], people: ['T1'], from: '2026-01-01', to: '2026-12-31' };
    const all = [
      ...summary.types.flatMap((type) => type.comparisons),
      compareGroups(jobs, two, ALL_JOBS).comparison,
    ];
    expect(all.length).toBeGreaterThan(1);
    for (const { a, b, notices } of reviewIn(all, LANGUAGE))
      for (const { text } of [a, b, ...notices])
        expect(outsideBrackets(text).replace(/[T\d\s,-]/g, '')).toBe('');
    const html = periodReport(summary, '', LANGUAGE);
    expect(foreign(html).filter((word) => !/sample|product/.test(word))).toEqual([]);
  });
});
