/** `verify`: chain, order and completeness of logs, and the files of spoken notes. */
import { resolve } from 'node:path';
import { noteFindings } from '../core/log/notes.ts';
import { verifyLog } from '../core/log/verify.ts';
import { logDiagnosticText } from '../core/log/words.ts';
import { readJob } from '../disk/job-folder.ts';
import { findJobs } from '../disk/job-search.ts';
import { createNodeDisk } from '../disk/node-disk.ts';
import { noteHashes } from '../disk/spoken-note.ts';
import { type Console, type ExitCode, findingJson, readArguments, tellFault, type Verb } from './console.ts';

interface Verified {
  readonly exit: ExitCode;
  readonly json: Record<string, unknown>;
}

async function verifyFolder(folder: string, console: Console): Promise<Verified> {
  const read = await readJob(createNodeDisk(), folder);
  if (!read.ok) {
    tellFault(console, read.error);
    // A job file that is there but damaged is a finding; one that cannot be read is not.
    const exit = read.error.code === 'job/damaged' ? 1 : 2;
    return { exit, json: { folder, verdict: 'unknown', unreadable: read.error, findings: [] } };
  }
  const { jobFile, log } = read.value;
  const { verdict, lines, steps_done, steps_total, ...checked } = verifyLog(jobFile, log);
  const notes = await noteHashes(createNodeDisk(), folder);
  if (!notes.ok) {
    tellFault(console, notes.error);
    return { exit: 2, json: { folder, verdict: 'unknown', unreadable: notes.error, findings: [] } };
  }
  const findings = [...checked.findings, ...noteFindings(log.lines, notes.value)];
  for (const found of findings) {
    const words = logDiagnosticText(found);
    console.err(`${folder}: ${found.severity} ${found.code}: ${words.message}\n  mend: ${words.mend}`);
  }
  const sound = verdict === 'complete' && findings.every((found) => found.severity === 'advice');
  return {
    exit: sound ? 0 : 1,
    json: {
      folder,
      job: jobFile.job,
      product: jobFile.plan.product,
      verdict,
      lines,
      steps_done,
      steps_total,
      last_hash: log.end.prev === '' ? null : log.end.prev,
      torn_tail: log.tornTail,
      findings: findings.map((found) => findingJson(found, logDiagnosticText(found))),
    },
  };
}

export const verify: Verb = {
  name: 'verify',
  usage: 'verify JOBDIR [--json]',
  about: 'Chain, order and completeness of a log; exit 0 only for a finished job without findings.',
  options: [['--json', 'the verdict and the findings as JSON on stdout']],
  async run(args, console): Promise<ExitCode> {
    const read = readArguments(this, args, { json: { type: 'boolean' } }, { least: 1, most: 1 });
    if (!read.ok) {
      tellFault(console, read.error);
      return 2;
    }
    const folder = resolve(read.value.files[0] ?? '');
    const found = await findJobs(createNodeDisk(), folder);
    if (!found.ok || found.value.length === 0) {
      tellFault(
        console,
        found.ok
          ? {
              code: 'job/not-found',
              message: `There is no job in ${folder}.`,
              mend: 'Name a job folder, or a folder of jobs.',
            }
          : found.error,
      );
      return 2;
    }
    const results: Verified[] = [];
    for (const job of found.value) results.push(await verifyFolder(job, console));
    if (read.value.flag('json')) {
      const all = results.map((result) => result.json);
      console.out(JSON.stringify(all.length === 1 ? all[0] : { jobs: all }, null, 2));
    } else {
      for (const { json } of results) {
        console.out(
          `${json.folder}: ${json.verdict}, ${json.steps_done ?? 0} of ${json.steps_total ?? 0} steps, ${json.lines ?? 0} lines`,
        );
      }
    }
    return Math.max(0, ...results.map((result) => result.exit)) as ExitCode;
  },
};
