/** `review`: the analysis of logs. */
import { resolve } from 'node:path';
import type { Language } from '../core/base/language.ts';
import { ok, type Result } from '../core/base/result.ts';
import { periodReport } from '../core/export/period-report.ts';
import { compareGroups, type JobGroup } from '../core/review/groups.ts';
import type { ReviewSummary } from '../core/review/model.ts';
import { reviewLogs } from '../core/review/summary.ts';
import type { Fault } from '../disk/disk-fault.ts';
import { timesOfLog } from '../store/logs-review.ts';
import type { RecordStore } from '../store/record-store.ts';
import {
  type Arguments,
  type Console,
  type ExitCode,
  readArguments,
  tellFault,
  type Verb,
} from './console.ts';
import { groupFrom, printComparison } from './job-groups.ts';
import { logsOfFolder } from './job-logs.ts';

const seconds = (ms: number | null): string => (ms === null ? '-' : (ms / 1000).toFixed(1));

function printReview(summary: ReviewSummary, console: Console): void {
  for (const type of summary.types) {
    const facts = { product: type.product_name, parts: type.replace, jobs: type.jobs.length };
    console.out(`\n${console.language.cli.lines.type(facts)}`);
    console.out(console.language.cli.lines['type-head']());
    for (const step of type.steps) {
      const share = step.share === null ? '' : `${(100 * step.share).toFixed(1)} %`;
      console.out(
        `${String(step.n).padStart(4)} ${seconds(step.median.value).padStart(10)} ${seconds(step.p90_ms).padStart(7)} ${share.padStart(7)}  ${step.say}`,
      );
    }
  }
}

/**
 * What the workshop's server says with this folder taken in; undefined without a server, or where it fails.
 */
async function fromServer<T>(
  folder: string,
  ask: (store: RecordStore) => Promise<Result<T, Fault>>,
  console: Console,
): Promise<T | undefined> {
  const url = process.env.STEPCALLER_DATABASE_URL;
  if (url === undefined || url === '') return undefined;
  const { RecordStore } = await import('../store/record-store.ts');
  const store = new RecordStore({ kind: 'server', url }, resolve(folder));
  const answer = await ask(store);
  await store.close();
  if (answer.ok) return answer.value;
  tellFault(console, answer.error);
  console.err(console.language.cli.lines['from-logs-alone']());
  return undefined;
}

/** The two groups that are asked for; undefined where none are. Error: `cli/usage`. */
function groupsFrom(
  read: Arguments,
  language: Language,
): Result<{ readonly a: JobGroup; readonly b: JobGroup } | undefined, Fault> {
  const [first, second] = [read.text('compare'), read.text('with')];
  if (first === undefined && second === undefined) return ok(undefined);
  const [a, b] = [groupFrom(first ?? '', language), groupFrom(second ?? '', language)];
  if (!a.ok) return a;
  return b.ok ? ok({ a: a.value, b: b.value }) : b;
}

export const review: Verb = {
  name: 'review',
  usage: 'review DIR [--product ID] [--names] [--compare GROUP --with GROUP] [--html] [--json]',
  options: ['--product ID', '--names', '--compare GROUP', '--with GROUP', '--html', '--json'],
  async run(args, console): Promise<ExitCode> {
    const options = {
      product: { type: 'string' },
      names: { type: 'boolean' },
      compare: { type: 'string' },
      with: { type: 'string' },
      html: { type: 'boolean' },
      json: { type: 'boolean' },
    } as const;
    const read = readArguments(this, args, options, { least: 1, most: 1 }, console.language);
    const groups = read.ok ? groupsFrom(read.value, console.language) : read;
    const folder = read.ok ? (read.value.files[0] ?? '') : '';
    const found = groups.ok ? await logsOfFolder(folder, console) : groups;
    if (!read.ok || !groups.ok || !found.ok) {
      // What failed first is handed on by what comes after it.
      if (!found.ok) tellFault(console, found.error);
      return 2;
    }
    const show = read.value.flag('names') ? 'names' : 'pseudonyms';
    const product = read.value.text('product') ?? null;
    const wanted = { product, show } as const;
    const untrusted = found.value.logs.some((log) => log.verdict === 'unknown');
    const exit = untrusted || found.value.unread.length > 0 ? 1 : 0;
    if (groups.value !== undefined) {
      const { a, b } = groups.value;
      const compared =
        (await fromServer(folder, (store) => store.compare(a, b, wanted), console)) ??
        compareGroups(found.value.logs.map(timesOfLog), a, b, wanted);
      if (read.value.flag('json')) console.out(JSON.stringify(compared, null, 2));
      else printComparison(compared.comparison, console);
      return exit;
    }
    const shared = await fromServer(folder, (store) => store.review(wanted), console);
    const summary = shared ?? reviewLogs(found.value.logs, wanted);
    if (read.value.flag('json')) console.out(JSON.stringify(summary, null, 2));
    else if (read.value.flag('html')) console.out(periodReport(summary));
    else printReview(summary, console);
    for (const notice of summary.notices) console.err(notice.text);
    return exit;
  },
};
