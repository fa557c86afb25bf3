/** The host as the pages see it: every request, refusals in words, settings, products that change. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { SimulatedClock } from '../../electron/clock.ts';
import { createHost, type HostOptions, WATCH_MS } from '../../electron/host.ts';
import { createGate } from '../../electron/ipc/bridge.ts';
import type { Push, StartJob } from '../../electron/ipc/contract.ts';
import { ARGUMENT_CHECKS } from '../../electron/ipc/schemas.ts';
import { DEFAULT_SETTINGS } from '../../electron/settings.ts';
import { SimulatedProcesses } from '../crash/ports.ts';
import { SimulatedDisk } from '../crash/simulated-disk.ts';

const WT3 = new Uint8Array(readFileSync(join(import.meta.dirname, '../../procedures/wt-3.yaml')));
const START: StartJob = {
  file: 'wt-3.yaml',
  replace: ['battery-pack'],
  variants: {},
  technician: 'Technician B',
  unit_serial: null,
  work_order: 'W-42',
  reported_fault: null,
};

async function hostOn(disk = new SimulatedDisk(), change: Partial<HostOptions> = {}) {
  if ((await disk.stat('/procedures')) === undefined) {
    await disk.mkdir('/procedures');
    await disk.mkdir('/data');
    disk.put('/procedures/wt-3.yaml', WT3);
    disk.put('/procedures/broken.yaml', new TextEncoder().encode('stepcaller: 1\nid: x\nid: y\n'));
    disk.put('/procedures/notes.txt', new TextEncoder().encode('no product'));
  }
  const clock = new SimulatedClock(1_772_353_800_000);
  let tokens = 0;
  const host = createHost({
    disk,
    clock,
    processes: new SimulatedProcesses().start(),
    token: () => {
      tokens += 1;
      return `token${tokens}`;
    },
    jobsFolder: '/data/jobs',
    proceduresFolders: ['/procedures', '/data/procedures'],
    reportsFolder: '/data/reports',
    settingsPath: '/data/settings.json',
    version: '0.1.0',
    mode: 'browser',
    modelSha256: null,
    ...change,
  });
  const pushes: Push[] = [];
  host.onPush((push) => pushes.push(push));
  return { host, disk, clock, pushes };
}

const settle = async (): Promise<void> => {
  for (let turn = 0; turn < 200; turn += 1) await Promise.resolve();
};

describe('products', () => {
  test('are listed with their errors, also the broken ones; other files are not', async () => {
    const { host } = await hostOn();
    const list = await host.ask('products.list', null);
    expect(list.ok && list.value.map(({ file, id }) => [file, id])).toEqual([
      ['broken.yaml', ''],
      ['wt-3.yaml', 'wt-3'],
    ]);
    expect(list.ok && list.value.map(({ errors }) => errors > 0)).toEqual([true, false]);
  });

  test('are opened by their name in the list only', async () => {
    const { host } = await hostOn();
    const view = await host.ask('product.open', { file: 'wt-3.yaml' });
    expect(view.ok && view.value.parts.find(({ id }) => id === 'battery-pack')).toMatchObject({
      replaceable: true,
    });
    for (const file of [
      '../data/settings.json',
      '/etc/passwd',
      '/procedures/wt-3.yaml',
      'notes.txt',
      '',
      'wt-3.yaml/',
    ]) {
      expect(await host.ask('product.open', { file }), file).toMatchObject({
        error: { code: 'product/not-found' },
      });
    }
  });

  test('a plan is shown before the job, and what is wrong with the request in words', async () => {
    const { host } = await hostOn();
    const good = await host.ask('plan.preview', START);
    expect(good.ok && good.value.plan?.steps.length).toBeGreaterThan(20);
    const bad = await host.ask('plan.preview', { ...START, replace: ['engine'] });
    expect(bad.ok && bad.value.plan).toBeNull();
    expect(bad.ok && bad.value.findings[0]).toMatchObject({ code: 'plan/unknown-part' });
    expect(bad.ok && bad.value.findings[0]?.mend).toContain('battery-pack');
    const broken = await host.ask('plan.preview', { ...START, file: 'broken.yaml' });
    expect(broken.ok && broken.value.findings.length).toBeGreaterThan(0);
  });

  test('a changed, new or removed file is told of', async () => {
    const { disk, clock, pushes } = await hostOn();
    const changes = async (): Promise<number> => {
      pushes.length = 0;
      clock.advance(WATCH_MS);
      await settle();
      return pushes.filter((push) => push.type === 'products-changed').length;
    };
    // Before the first interval is over, too: an author saves while the program is still opening.
    await settle();
    disk.put('/procedures/wt-3.yaml', WT3.slice(0, 100));
    expect(await changes()).toBe(1);
    expect(await changes()).toBe(0);
    expect(await changes()).toBe(0);
    await disk.unlink('/procedures/broken.yaml');
    expect(await changes()).toBe(1);
  });
});

describe('settings', () => {
  test('are kept, one change at a time, and survive a restart', async () => {
    const { host, disk } = await hostOn();
    expect(await host.ask('settings.get', null)).toEqual({ ok: true, value: DEFAULT_SETTINGS });
    await host.ask('settings.set', { rate: 1.25 });
    await host.ask('settings.set', { verbosity: 'trainee' });
    const { host: later } = await hostOn(disk);
    expect(await later.ask('settings.get', null)).toMatchObject({
      value: { rate: 1.25, verbosity: 'trainee' },
    });
  });

  test.each([
    ['no JSON', 'rate: 2'],
    ['a list', '[1]'],
    ['wrong values', '{"rate":"fast","theme":"pink"}'],
    ['unknown names', '{"__proto__":{"rate":2},"colour":1}'],
    ['nothing', ''],
  ])('a settings file with %s gives the defaults', async (_name, text) => {
    const { host, disk } = await hostOn();
    disk.put('/data/settings.json', new TextEncoder().encode(text));
    expect(await host.ask('settings.get', null)).toEqual({ ok: true, value: DEFAULT_SETTINGS });
  });

  test('one wrong value does not take the others with it', async () => {
    const { host, disk } = await hostOn();
    disk.put('/data/settings.json', new TextEncoder().encode('{"rate":99,"theme":"dark"}'));
    expect(await host.ask('settings.get', null)).toEqual({
      ok: true,
      value: { ...DEFAULT_SETTINGS, theme: 'dark' },
    });
  });

  test('a full disk refuses the change in words and keeps the old settings', async () => {
    const { host, disk } = await hostOn();
    await host.ask('settings.get', null);
    disk.fault = { at: disk.calls.length + 1, code: 'ENOSPC', forGood: true };
    expect(await host.ask('settings.set', { rate: 2 })).toMatchObject({ error: { code: 'disk/enospc' } });
    expect(await host.ask('settings.get', null)).toMatchObject({ value: { rate: 1 } });
  });
});

describe('jobs', () => {
  test('a job is started, worked on, left, listed, reopened and reviewed', async () => {
    const { host, pushes } = await hostOn();
    const started = await host.ask('job.start', START);
    if (!started.ok) throw new Error(started.error.code);
    const { job } = started.value;
    expect(job).toMatch(/^20260301-\d{6}-wt-3-token/);
    const view = await host.ask('job.view', null);
    expect(view.ok && view.value?.technician).toBe('Technician B');
    expect(pushes.some((push) => push.type === 'effect' && push.effect.type === 'say')).toBe(true);
    expect(await host.ask('job.input', { type: 'phrase', phrase: 'where am i', source: 'touch' })).toEqual({
      ok: true,
      value: null,
    });
    // The help knows the settings: how a phrase has to be marked.
    await host.ask('settings.set', { attention_word: true, talk_key: 'F8' });
    await host.ask('job.input', { type: 'phrase', phrase: 'what can i say', source: 'touch' });
    const said = pushes.flatMap((push) =>
      push.type === 'effect' && push.effect.type === 'say' ? push.effect.text : [],
    );
    expect(said.join()).toMatch(/Say bench before each of them. Hold your key or pedal/);
    // A page that was loaded anew asks for the job that is open already.
    expect(await host.ask('job.reopen', { job })).toEqual({ ok: true, value: { job } });
    expect((await host.ask('job.leave', null)).ok).toBe(true);
    const list = await host.ask('jobs.list', null);
    expect(list.ok && list.value).toMatchObject([
      {
        job,
        product: 'wt-3',
        state: 'unfinished',
        step_number: 1,
        technician: 'Technician B',
        trouble: null,
      },
    ]);
    expect((await host.ask('job.reopen', { job })).ok).toBe(true);
    await host.ask('job.leave', null);
    const review = await host.ask('job.review', { job });
    expect(review.ok && review.value.verified).toBe(true);
    const summary = await host.ask('review.summary', { product: null });
    expect(summary.ok).toBe(true);
  });

  test('a job cannot be started from a product with errors, nor with a wrong part', async () => {
    const { host, disk } = await hostOn();
    expect(await host.ask('job.start', { ...START, file: 'broken.yaml' })).toMatchObject({
      error: { code: 'product/has-errors' },
    });
    expect(await host.ask('job.start', { ...START, replace: ['engine'] })).toMatchObject({
      error: { code: 'plan/unknown-part' },
    });
    expect(await disk.stat('/data/jobs')).toBeUndefined();
  });

  test('a jobs folder that cannot be written is said at once, and nothing is open', async () => {
    const { host, disk } = await hostOn();
    await host.ask('products.list', null);
    disk.fault = { at: disk.calls.length + 8, code: 'EACCES', forGood: true };
    const answer = await host.ask('job.start', START);
    expect(answer).toMatchObject({ ok: false });
    expect(!answer.ok && answer.error.mend.length).toBeGreaterThan(10);
    expect(await host.ask('job.view', null)).toEqual({ ok: true, value: null });
  });

  test('reports are written where the user is told; a PDF only where it can be printed', async () => {
    const disk = new SimulatedDisk();
    const printed: string[] = [];
    const { host } = await hostOn(disk, {
      printPdf: async (html) => {
        printed.push(html);
        return new TextEncoder().encode('%PDF-1.7');
      },
    });
    const started = await host.ask('job.start', START);
    const job = started.ok ? started.value.job : '';
    await host.ask('job.leave', null);
    for (const as of ['csv', 'json', 'xes', 'html', 'pdf'] as const) {
      const saved = await host.ask('report.save', { job, as });
      expect(saved).toEqual({ ok: true, value: { path: `/data/reports/${job}.${as}` } });
      expect(disk.peek(`/data/reports/${job}.${as}`)?.length, as).toBeGreaterThan(5);
    }
    expect(printed[0]).toContain('<!doctype html>');
    const { host: browser } = await hostOn(disk);
    expect(await browser.ask('report.save', { job, as: 'pdf' })).toMatchObject({
      error: { code: 'report/no-pdf' },
    });
    expect(await browser.ask('report.save', { job: 'none', as: 'csv' })).toMatchObject({ ok: false });
  });

  test('closing the host leaves the job properly', async () => {
    const { host, disk } = await hostOn();
    const started = await host.ask('job.start', START);
    const job = started.ok ? started.value.job : '';
    await host.close();
    expect(await disk.readdir(`/data/jobs/${job}`)).toEqual(['job.json', 'log.jsonl']);
    expect(new TextDecoder().decode(disk.peek(`/data/jobs/${job}/log.jsonl`))).toContain(
      '"event":"job.left"',
    );
  });
});

describe('arguments that are refused before a handler sees them', () => {
  test.each<[string, unknown]>([
    ['app.info', {}],
    ['settings.set', { rate: 0 }],
    ['settings.set', { colour: 'red' }],
    ['settings.set', { language: 'en_US; rm' }],
    ['product.open', {}],
    ['product.open', { file: 7 }],
    ['product.open', { file: 'x'.repeat(1001) }],
    ['plan.preview', { file: 'a', replace: 'battery', variants: {} }],
    ['plan.preview', { file: 'a', replace: [], variants: [] }],
    ['job.start', { ...START, replace: [] }],
    ['job.start', { ...START, technician: 'a\u0000b' }],
    ['job.start', { ...START, extra: true }],
    ['job.reopen', { job: '../other' }],
    ['job.reopen', { job: '.new-x' }],
    ['job.review', { job: 'a/b' }],
    ['job.input', { type: 'tick' }],
    ['job.input', { type: 'reopened', awayMs: 1 }],
    ['job.input', { type: 'left' }],
    ['job.input', { type: 'phrase', phrase: 'explode', source: 'voice' }],
    ['job.input', { type: 'phrase', phrase: 'next', source: 'script' }],
    ['job.input', { type: 'phrase', phrase: 'next', source: 'voice', confidence: 2 }],
    ['job.input', { type: 'phrase', phrase: 'next', source: 'voice', atMs: 5 }],
    ['job.input', { type: 'reading', value: Number.POSITIVE_INFINITY, source: 'voice' }],
    ['job.input', { type: 'trouble', code: 'disk-full', over: false }],
    ['job.input', { type: 'text', value: 'x', source: 'voice' }],
    ['job.input', null],
    ['report.save', { job: 'a', as: 'exe' }],
    ['review.summary', {}],
  ])('%s with %j', async (channel, argument) => {
    const { host } = await hostOn();
    const gate = createGate(host, ARGUMENT_CHECKS, () => undefined);
    expect(await gate(channel, argument)).toMatchObject({
      ok: false,
      error: { code: 'bridge/bad-argument' },
    });
  });
});
