/**
 * A product file from a stranger: markup, formulas and templates in every text field, one after the other and
 * all at once. Either the field is refused with a place, or the text stays a text: on the page, in the report,
 * the table and the event log. And what job files and logs carry cannot reach the prototype of objects.
 */
import { readFileSync } from 'node:fs';
import { JSDOM } from 'jsdom';
import { describe, expect, it } from 'vitest';
import { parse, stringify } from 'yaml';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { csvOfJobReview, csvOfJobs, csvOfReview, csvOfSteps } from '../../electron/core/export/csv.ts';
import { periodReport } from '../../electron/core/export/period-report.ts';
import { serviceReport } from '../../electron/core/export/service-report.ts';
import { xesOf } from '../../electron/core/export/xes.ts';
import { readLog } from '../../electron/core/log/codec.ts';
import type { Plan } from '../../electron/core/plan/model.ts';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { diagnosticText } from '../../electron/core/product/words.ts';
import { jobReview } from '../../electron/core/review/job-review.ts';
import { reviewLogs } from '../../electron/core/review/summary.ts';
import { jobFileFromBytes } from '../../electron/disk/job-file.ts';
import { readJob } from '../../electron/disk/job-folder.ts';
import { drive } from '../../electron/drive.ts';
import { ARGUMENT_CHECKS } from '../../electron/ipc/schemas.ts';
import { newJobFile } from '../../electron/new-job.ts';
import { SyntheticTechnician } from '../../electron/synthetic-technician.ts';
import { SMALL_FILE } from '../core/product/small-file.ts';
import { SimulatedProcesses } from '../crash/ports.ts';
import { SimulatedDisk } from '../crash/simulated-disk.ts';

const EVIL = [
  '<img src=x onerror=alert(1)>',
  '</td><script>alert(1)</script>',
  '=HYPERLINK("http://x","y")',
  '@SUM(1) +cmd',
  '{{constructor.constructor(1)()}}',
  "]]><x/>&quot;' onload=alert(1)",
];

type Tree = string | number | boolean | null | Tree[] | { [key: string]: Tree };
type Path = readonly (string | number)[];

/** Paths of all texts of a tree, the keys that name one of a few words or an id included. */
function textPaths(tree: Tree, path: Path = []): Path[] {
  if (typeof tree === 'string') return [path];
  if (Array.isArray(tree)) return tree.flatMap((item, i) => textPaths(item, [...path, i]));
  if (tree === null || typeof tree !== 'object') return [];
  return Object.entries(tree).flatMap(([key, value]) => textPaths(value, [...path, key]));
}

function withText(tree: Tree, path: Path, text: string): Tree {
  const [first, ...rest] = path;
  if (first === undefined) return text;
  if (Array.isArray(tree)) return tree.map((item, i) => (i === first ? withText(item, rest, text) : item));
  if (tree === null || typeof tree !== 'object') return tree;
  return Object.fromEntries(
    Object.entries(tree).map(([key, value]) => [key, key === first ? withText(value, rest, text) : value]),
  );
}

/** Every text field of the format, as far as the steps of the small file allow. */
const WHOLE = withEveryText(parse(SMALL_FILE) as { [key: string]: Tree });

function withEveryText(file: { [key: string]: Tree }): { [key: string]: Tree } {
  const parts = file.parts as { steps: { [key: string]: Tree }[] }[];
  const step = parts[0]?.steps.find((one) => one.id === 'lid-off');
  if (step === undefined) throw new Error('test: the small file has lost its step lid-off');
  Object.assign(step, {
    say: 'Lift the lid out.',
    say_back: 'Put the lid back.',
    why: 'The lid covers the board.',
    look_for: 'The lid moves freely.',
    hold: 'A second person looks at the lid.',
    picture: { file: 'lid.png', alt: 'the lid', marks: [{ x: 0.5, y: 0.5, label: 'catch' }] },
  });
  return file;
}

/** A whole job on a plan, and every file for others that comes of it. */
async function exportsOf(plan: Plan) {
  const disk = new SimulatedDisk();
  const jobFile = newJobFile({
    job: 'job-1',
    created: '2026-03-01T09:30:00.000+01:00',
    appVersion: '0.1.0',
    productFile: 'lamp.yaml',
    productSha256: '0'.repeat(64),
    modelSha256: null,
    plan,
  });
  let tokens = 0;
  const done = await drive({
    disk,
    processes: new SimulatedProcesses().start(),
    jobsFolder: '/jobs',
    jobFile,
    opening: {
      technician: EVIL[0] ?? '',
      unitSerial: null,
      workOrder: EVIL[2] ?? '',
      reportedFault: EVIL[1] ?? '',
    },
    startMs: 1_772_353_800_000,
    token: () => {
      tokens += 1;
      return `t${tokens}`;
    },
    by: { technician: new SyntheticTechnician(3, { straying: 0.1, pace: 1 }) },
  });
  if (!done.ok) throw new Error(done.error.message);
  expect(done.value.outcome).toBe('completed');
  const read = await readJob(disk, '/jobs/job-1');
  if (!read.ok) throw new Error(read.error.message);
  const log = { job: read.value.jobFile, lines: read.value.log.lines, verdict: read.value.log.verdict };
  const review = jobReview(log.job, log.lines, log.verdict);
  const summary = reviewLogs([log]);
  const same = (name: string): string => name;
  return {
    html: [serviceReport(review, EVIL[0] ?? ''), periodReport(summary)],
    csv: [
      csvOfSteps([review.times], same),
      csvOfJobs([review.times], same),
      csvOfJobReview(review, same),
      csvOfReview(summary),
    ],
    xes: xesOf([log], same),
  };
}

function cellsOf(csv: string): readonly string[] {
  return [...csv.matchAll(/(?:^|,|\r\n)(?:"((?:[^"]|"")*)"|([^",\r\n]*))/g)].map(
    (match) => match[1]?.replaceAll('""', '"') ?? match[2] ?? '',
  );
}

describe('markup and formulas in a text field', () => {
  const paths = textPaths(WHOLE);
  // Texts that a person wrote, in contrast to ids, words of a list, threads and paths.
  const free = new Set<string>();

  it('are refused with a place, or read as the text they are', () => {
    expect(paths.length).toBeGreaterThan(150);
    let refused = 0;
    for (const [at, path] of paths.entries()) {
      for (const evil of [EVIL[0] ?? '', EVIL[1 + (at % (EVIL.length - 1))] ?? '']) {
        const { product, diagnostics } = readProduct(stringify(withText(WHOLE, path, evil)), 'lamp.yaml');
        const name = `${path.join('.')}: ${evil}`;
        if (product !== undefined) {
          expect(JSON.stringify(product), name).toContain(JSON.stringify(evil).slice(1, -1));
          free.add(path.join('.'));
          continue;
        }
        refused += 1;
        const errors = diagnostics.filter((each) => each.severity === 'error');
        expect(errors.length, name).toBeGreaterThan(0);
        for (const error of errors) {
          expect(error.place?.line, name).toBeGreaterThan(0);
          expect(diagnosticText(error).mend.length, name).toBeGreaterThan(0);
        }
      }
    }
    expect(refused).toBeGreaterThan(100);
    expect(free.size).toBeGreaterThan(40);
  });

  it('in all free fields at once compute and run nothing in any export of a whole job', async () => {
    const random = randomFromSeed(7);
    let file: Tree = WHOLE;
    let changed = 0;
    // `answers` and what names them are left: one text must stand in two places.
    for (const path of paths.filter((one) => free.has(one.join('.')) && !one.includes('answers'))) {
      const evil = withText(file, path, `${random.pick(EVIL)} ${paths.indexOf(path)}`);
      if (readProduct(stringify(evil), 'lamp.yaml').product === undefined) continue;
      file = evil;
      changed += 1;
    }
    expect(changed).toBeGreaterThan(40);
    const { product } = readProduct(stringify(file), 'lamp.yaml');
    if (product === undefined) throw new Error('test: the evil file is not read');
    const planned = planJob(product, {
      replace: ['battery'],
      variants: Object.fromEntries(product.variants.map((one) => [one.id, one.answers[0] ?? ''])),
    });
    if (!planned.ok) throw new Error(planned.error[0]?.code);
    const made = await exportsOf(planned.value);
    expect(made.html.join('')).toContain('&lt;img src=x onerror=alert(1)&gt;');
    for (const text of made.html) {
      const { document } = new JSDOM(text).window;
      expect(document.querySelectorAll('script, img, iframe, object, link, x').length).toBe(0);
      const handlers = [...document.querySelectorAll('*')].flatMap((element) =>
        element.getAttributeNames().filter((attribute) => attribute.startsWith('on')),
      );
      expect(handlers).toEqual([]);
    }
    expect(made.csv.join('')).toContain('HYPERLINK');
    for (const csv of made.csv) {
      expect(cellsOf(csv).filter((cell) => /^\s*[=+@]|^\s*-(?!\d+(\.\d+)?$)/.test(cell))).toEqual([]);
    }
    const xes = new new JSDOM('').window.DOMParser().parseFromString(made.xes, 'application/xml');
    expect(xes.querySelector('parsererror')).toBeNull();
    expect(xes.querySelectorAll('script, img, x').length).toBe(0);
    expect(made.xes).toContain('&lt;');
  });
});

describe('a prototype', () => {
  const polluted = (): unknown => (({}) as Record<string, unknown>).polluted;

  it('is not reached by a job file, a log line or a message of a page', () => {
    const log = readFileSync(new URL('../core/log/samples/v1/complete/log.jsonl', import.meta.url), 'utf8');
    const evilLine = log.replace('{', '{"__proto__":{"polluted":true},');
    expect(readLog(evilLine).verdict).toBe('unknown');
    const jobFile = readFileSync(
      new URL('../core/log/samples/v1/complete/job.json', import.meta.url),
      'utf8',
    );
    const evilFile = jobFile.replace(
      '{',
      '{"__proto__":{"polluted":true},"constructor":{"prototype":{"polluted":true}},',
    );
    jobFileFromBytes(new TextEncoder().encode(evilFile), 'job.json');
    for (const channel of ['job.input', 'settings.set', 'job.start'] as const) {
      const argument: unknown = JSON.parse(
        '{"__proto__":{"polluted":true},"type":"phrase","phrase":"next","source":"touch"}',
      );
      const checked = ARGUMENT_CHECKS[channel].safeParse(argument);
      if (checked.success) expect(Object.getPrototypeOf(checked.data)).toBe(Object.prototype);
    }
    expect(polluted()).toBeUndefined();
  });
});
