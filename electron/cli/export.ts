/** `export`: files for others. */
import { timestampFromEpochMs } from '../core/log/timestamp.ts';
import { exportOfJobs, REPORT_KINDS, type ReportKind, reportOfJob } from '../report.ts';
import { type ExitCode, readArguments, tellFault, type Verb, wrongUse } from './console.ts';
import { logsOfFolder } from './job-logs.ts';

const isKind = (text: string | undefined): text is ReportKind => REPORT_KINDS.some((kind) => kind === text);

export const exportJobs: Verb = {
  name: 'export',
  usage: 'export DIR --as csv|xes|json|html [--names] [--report]',
  options: ['--as KIND', '--names', '--report'],
  async run(args, console): Promise<ExitCode> {
    const options = {
      as: { type: 'string' },
      names: { type: 'boolean' },
      report: { type: 'boolean' },
      json: { type: 'boolean' },
    } as const;
    const read = readArguments(this, args, options, { least: 1, most: 1 }, console.language);
    if (!read.ok) {
      tellFault(console, read.error);
      return 2;
    }
    const as = read.value.text('as') ?? (read.value.flag('json') ? 'json' : undefined);
    if (!isKind(as)) {
      const words = console.language.cli.usage;
      const wrong = { given: as, kinds: REPORT_KINDS.join(', ') };
      const message = as === undefined ? words['as-missing']() : words.as(wrong);
      tellFault(console, wrongUse(this, message, console.language));
      return 2;
    }
    const found = await logsOfFolder(read.value.files[0] ?? '', console);
    if (!found.ok) {
      tellFault(console, found.error);
      return 2;
    }
    const { logs, unread } = found.value;
    const made = timestampFromEpochMs(Date.now(), -new Date().getTimezoneOffset());
    const only = logs[0];
    if (read.value.flag('report') && (only === undefined || logs.length > 1)) {
      const words = console.language.cli.faults['one-job'];
      const message = words.message({ jobs: logs.length });
      tellFault(console, { code: 'export/one-job', message, mend: words.mend() });
      return 2;
    }
    const text =
      read.value.flag('report') && only !== undefined
        ? reportOfJob(only, as, made)
        : exportOfJobs(logs, as, read.value.flag('names'), made);
    console.out(text.replace(/\r?\n$/, ''));
    return unread.length > 0 || logs.some((log) => log.verdict === 'unknown') ? 1 : 0;
  },
};
