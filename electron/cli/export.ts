/** `export`: files for others. */
import { timestampFromEpochMs } from '../core/log/timestamp.ts';
import { exportOfJobs, REPORT_KINDS, type ReportKind, reportOfJob } from '../report.ts';
import { type ExitCode, readArguments, tellFault, type Verb } from './console.ts';
import { logsOfFolder } from './job-logs.ts';

const isKind = (text: string | undefined): text is ReportKind => REPORT_KINDS.some((kind) => kind === text);

export const exportJobs: Verb = {
  name: 'export',
  usage: 'export DIR --as csv|xes|json|html [--names] [--report]',
  about: 'Files for others, on stdout: step times, event log, everything, or a printable report.',
  options: [
    ['--as KIND', 'csv, xes, json or html'],
    ['--names', 'technicians by name; otherwise T1, T2, …'],
    ['--report', 'the report of the one job in DIR instead of a table of all jobs'],
  ],
  async run(args, console): Promise<ExitCode> {
    const options = {
      as: { type: 'string' },
      names: { type: 'boolean' },
      report: { type: 'boolean' },
      json: { type: 'boolean' },
    } as const;
    const read = readArguments(this, args, options, { least: 1, most: 1 });
    if (!read.ok) {
      tellFault(console, read.error);
      return 2;
    }
    const as = read.value.text('as') ?? (read.value.flag('json') ? 'json' : undefined);
    if (!isKind(as)) {
      tellFault(console, {
        code: 'cli/usage',
        message: as === undefined ? '--as is missing.' : `--as ${as}: expected ${REPORT_KINDS.join(', ')}.`,
        mend: `usage: stepcaller ${this.usage}`,
      });
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
      tellFault(console, {
        code: 'export/one-job',
        message: `A report is of one job; ${logs.length} were found.`,
        mend: 'Name one job folder.',
      });
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
