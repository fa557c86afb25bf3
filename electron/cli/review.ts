/** `review`: the analysis of logs. */
import { resolve } from 'node:path';
import { periodReport } from '../core/export/period-report.ts';
import type { ReviewSummary } from '../core/review/model.ts';
import { type ReviewOptions, reviewLogs } from '../core/review/summary.ts';
import { type Console, type ExitCode, readArguments, tellFault, type Verb } from './console.ts';
import { logsOfFolder } from './job-logs.ts';

const seconds = (ms: number | null): string => (ms === null ? '-' : (ms / 1000).toFixed(1));

function printReview(summary: ReviewSummary, console: Console): void {
  for (const type of summary.types) {
    console.out(`\n${type.product_name}, ${type.replace.join(', ')}: ${type.jobs.length} jobs`);
    console.out('   n   median s   p90 s   share  step');
    for (const step of type.steps) {
      const share = step.share === null ? '' : `${(100 * step.share).toFixed(1)} %`;
      console.out(
        `${String(step.n).padStart(4)} ${seconds(step.median.value).padStart(10)} ${seconds(step.p90_ms).padStart(7)} ${share.padStart(7)}  ${step.say}`,
      );
    }
  }
}

/** The review of the workshop's server with this folder taken in; undefined without one, or where it fails. */
async function fromServer(
  folder: string,
  options: ReviewOptions,
  console: Console,
): Promise<ReviewSummary | undefined> {
  const url = process.env.STEPCALLER_DATABASE_URL;
  if (url === undefined || url === '') return undefined;
  const { RecordStore } = await import('../store/record-store.ts');
  const store = new RecordStore({ kind: 'server', url }, resolve(folder));
  const answer = await store.review(options);
  await store.close();
  if (answer.ok) return answer.value;
  tellFault(console, answer.error);
  console.err('The review was made from the logs in the folder alone.');
  return undefined;
}

export const review: Verb = {
  name: 'review',
  usage: 'review DIR [--product ID] [--names] [--html] [--json]',
  about:
    'The analysis of the jobs in a folder: times of the steps, standard times, learning, charts. With STEPCALLER_DATABASE_URL set, of all jobs on that server, this folder taken in.',
  options: [
    ['--product ID', 'only the jobs of one product'],
    ['--names', 'technicians by name; otherwise T1, T2, …'],
    ['--html', 'a printable report on stdout'],
    ['--json', 'the whole review as JSON on stdout'],
  ],
  async run(args, console): Promise<ExitCode> {
    const options = {
      product: { type: 'string' },
      names: { type: 'boolean' },
      html: { type: 'boolean' },
      json: { type: 'boolean' },
    } as const;
    const read = readArguments(this, args, options, { least: 1, most: 1 });
    const found = read.ok ? await logsOfFolder(read.value.files[0] ?? '', console) : read;
    if (!read.ok || !found.ok) {
      if (!read.ok) tellFault(console, read.error);
      else if (!found.ok) tellFault(console, found.error);
      return 2;
    }
    const show = read.value.flag('names') ? 'names' : 'pseudonyms';
    const product = read.value.text('product') ?? null;
    const wanted = { product, show } as const;
    const shared = await fromServer(read.value.files[0] ?? '', wanted, console);
    const summary = shared ?? reviewLogs(found.value.logs, wanted);
    if (read.value.flag('json')) console.out(JSON.stringify(summary, null, 2));
    else if (read.value.flag('html')) console.out(periodReport(summary));
    else printReview(summary, console);
    for (const notice of summary.notices) console.err(notice.text);
    const untrusted = found.value.logs.some((log) => log.verdict === 'unknown');
    return untrusted || found.value.unread.length > 0 ? 1 : 0;
  },
};
