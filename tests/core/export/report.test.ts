import { JSDOM } from 'jsdom';
import { describe, expect, it } from 'vitest';
import { escapeHtml, html, percentText, spanText } from '../../../electron/core/export/html-text.ts';
import { figureText, periodReport } from '../../../electron/core/export/period-report.ts';
import { serviceReport } from '../../../electron/core/export/service-report.ts';
import { jobReview } from '../../../electron/core/review/job-review.ts';
import { reviewSummary } from '../../../electron/core/review/summary.ts';
import { cautionAnswered, madeJobs, times } from '../review/many-jobs.ts';
import { linesOf, SAMPLE_PLAN, sampleFile, sampleRecords } from '../review/sample-job.ts';

const EVIL = '<img src=x onerror=alert(1)>"\'&<script>alert(2)</script>\u202e';
const documentOf = (text: string): Document => new JSDOM(text).window.document;

describe('html text', () => {
  it('escapes every value but markup made here', () => {
    expect(
      html`<p title="${'"x"'}">${'<b>'}${html`<i>${'&'}</i>`}${['<', html`<u></u>`]}${null}${3}</p>`.toString(),
    ).toBe('<p title="&quot;x&quot;">&lt;b&gt;<i>&amp;</i>&lt;<u></u>3</p>');
  });
  it('replaces what cannot be shown or would show another text', () => {
    expect(escapeHtml('a\u0000\u202eb\ud800c\u{1f600}')).toBe('a\ufffd\ufffdb\ufffdc\u{1f600}');
  });
  it('writes times and shares for people', () => {
    expect([900, 59_949, 309_000, 3_909_000].map((ms) => spanText(ms))).toEqual([
      '0.9 s',
      '59.9 s',
      '5 min 09 s',
      '1 h 05 min 09 s',
    ]);
    expect([percentText(0.123), percentText(0.012), percentText(null)]).toEqual(['12 %', '1.2 %', '–']);
  });
});

describe('service report', () => {
  const review = jobReview(sampleFile('job-7'), linesOf(sampleRecords('Pat')), 'complete');
  const page = documentOf(serviceReport(review, 'T1', '2026-01-06T08:00:00+01:00'));
  const words = page.body.textContent ?? '';

  it('says what a customer wants to know', () => {
    for (const part of [
      'Sample unit',
      'U-1',
      'W-7',
      'leaks',
      'cover',
      '5.2 V',
      '4.9 to 5.1 V',
      'outside limits',
      'Problem: part missing, work went on',
      'cover seal: 1×',
      'The pins are sharp',
      'understood',
      '1 min 00 s',
      'job-7',
      'Customer, date',
      'chain of hashes is unbroken',
    ])
      expect(words).toContain(part);
    expect(words).not.toContain('Pat');
  });

  it('needs nothing from elsewhere and runs nothing', () => {
    const text = serviceReport(review, 'T1');
    expect(page.querySelectorAll('script, link, img, iframe, object').length).toBe(0);
    expect(text).not.toMatch(/(src|href)=|url\(|@import|https?:/);
    expect(page.querySelector('meta[http-equiv]')?.getAttribute('content')).toContain("default-src 'none'");
  });

  it('shows the course as a picture with words beside it', () => {
    const picture = page.querySelector('svg[role="img"]')!;
    expect(picture.getAttribute('aria-label')).toContain('paused 30.0 s');
    expect(page.querySelector('figcaption')?.textContent).toContain('Active 1 min 00 s');
  });

  it('escapes texts from the log, the plan and the settings', () => {
    const plan = {
      ...SAMPLE_PLAN,
      product_name: EVIL,
      steps: SAMPLE_PLAN.steps.map((s) => ({ ...s, say: EVIL })),
    };
    const records = sampleRecords(EVIL).map((record) =>
      record.event === 'job.opened'
        ? { ...record, unit_serial: EVIL, work_order: EVIL, reported_fault: EVIL }
        : record.event === 'problem.reported'
          ? { ...record, kind: EVIL }
          : record,
    );
    const evil = documentOf(
      serviceReport(jobReview(sampleFile('x', plan), linesOf(records), 'complete'), EVIL),
    );
    expect(evil.querySelectorAll('script, img').length).toBe(0);
    expect(evil.querySelectorAll('[onerror]').length).toBe(0);
    expect(evil.body.textContent).toContain('<script>alert(2)</script>');
    expect(evil.body.textContent).not.toContain('\u202e');
  });

  it('says when the record cannot be trusted or the job did not end', () => {
    const broken = jobReview(sampleFile('x'), linesOf(sampleRecords().slice(0, 6)), 'unknown');
    expect(serviceReport(broken, 'T1')).toContain('could not be checked');
    const empty = documentOf(serviceReport(jobReview(sampleFile('x'), [], 'unfinished'), 'T1'));
    expect(empty.body.textContent).toContain('Not finished yet');
    expect(empty.body.textContent).not.toMatch(/NaN|undefined|Infinity/);
  });
});

describe('period report', () => {
  const jobs = madeJobs(11, [
    ...times(15, { steps: { b: 3 } }),
    ...times(15, { revision: 2, technician: 'Technician B' }),
    { over: { outcome: 'given-up' } },
  ]);
  const page = documentOf(periodReport(reviewSummary(jobs)));
  const words = page.body.textContent ?? '';

  it('has pictures with words, tables and the sentences behind the figures', () => {
    expect(page.querySelectorAll('svg[role="img"][aria-label]').length).toBe(2);
    expect(page.querySelectorAll('table caption').length).toBe(5);
    expect(words).toContain('revision 2 against revision 1');
    expect(words).toContain('How the figures are computed');
    expect(words).toContain('Wilson');
    expect(words).not.toMatch(/NaN|undefined|Infinity|Technician [AB]/);
  });

  it('has the cautions, how often something was not as it should be, and the logs not taken', () => {
    const caution = cautionAnswered(1500);
    const made = madeJobs(3, times(10, { over: { cautions: [caution] } })).map((job, index) =>
      index === 0 ? { ...job, readings_out: 1 } : job,
    );
    const rejected = [{ job: 'job-bad', line: 7, code: 'log/x', message: 'The chain breaks here.' }];
    const shown = documentOf(periodReport(reviewSummary(made, { rejected })));
    const rows = [...shown.querySelectorAll('tr')].map((row) =>
      [...row.children].map((cell) => cell.textContent).join('|'),
    );
    expect(rows).toContain(
      'The pins are sharp|10|1.5 s (1.5 s to 1.5 s, n 10)|0.0 % (0.0 % to 28 %, n 10)|0',
    );
    // Wilson for 1 of 10: 0.0179 to 0.4042 (Newcombe's method 3, statsmodels).
    expect(rows).toContain('reading out of limits accepted|10 % (1.8 % to 40 %, n 10)');
    expect(rows).toContain('job-bad|7|The chain breaks here.');
  });

  it('of no jobs says so', () => {
    expect(documentOf(periodReport(reviewSummary([]))).body.textContent).toContain('no jobs to review yet');
  });

  it('escapes step sentences', () => {
    const evil = jobs.map((job) => ({ ...job, steps: job.steps.map((step) => ({ ...step, say: EVIL })) }));
    const shown = documentOf(periodReport(reviewSummary(evil)));
    expect(shown.querySelectorAll('script, img, [onerror]').length).toBe(0);
  });

  it('writes figures with interval and number', () => {
    const figure = {
      value: 0.5,
      low: null,
      high: null,
      level: null,
      n: 3,
      unit: 'share',
      how: 'wilson-rate',
    } as const;
    expect(figureText(figure)).toBe('50 % (n 3)');
    expect(figureText({ ...figure, value: null })).toBe('– (n 3)');
    expect(figureText({ ...figure, low: 0.2, high: 0.8 })).toBe('50 % (20 % to 80 %, n 3)');
  });
});
