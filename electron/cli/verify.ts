/** `verify`: chain, order and completeness of logs, and the files of spoken notes. */
import { resolve } from 'node:path';
import type { Facts } from '../core/base/message.ts';
import { noteFindings } from '../core/log/notes.ts';
import { verifyLog } from '../core/log/verify.ts';
import { logDiagnosticText } from '../core/log/words.ts';
import { readJob } from '../disk/job-folder.ts';
import { findJobs } from '../disk/job-search.ts';
import { createNodeDisk } from '../disk/node-disk.ts';
import { noteHashes } from '../disk/spoken-note.ts';
import { type Console, type ExitCode, findingJson, readArguments, tellFault, type Verb } from './console.ts';
import { noJobIn } from './job-logs.ts';

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
    const words = logDiagnosticText(found, console.language);
    const mend = console.language.cli.lines.mend({ mend: words.mend });
    console.err(`${folder}: ${found.severity} ${found.code}: ${words.message}\n  ${mend}`);
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
      findings: findings.map((found) => findingJson(found, logDiagnosticText(found, console.language))),
    },
  };
}

export const verify: Verb = {
  name: 'verify',
  usage: 'verify JOBDIR [--json]',
  options: ['--json'],
  async run(args, console): Promise<ExitCode> {
    const read = readArguments(
      this,
      args,
      { json: { type: 'boolean' } },
      { least: 1, most: 1 },
      console.language,
    );
    if (!read.ok) {
      tellFault(console, read.error);
      return 2;
    }
    const folder = resolve(read.value.files[0] ?? '');
    const found = await findJobs(createNodeDisk(), folder);
    if (!found.ok || found.value.length === 0) {
      tellFault(console, found.ok ? noJobIn(folder, console.language) : found.error);
      return 2;
    }
    const results: Verified[] = [];
    for (const job of found.value) results.push(await verifyFolder(job, console));
    if (read.value.flag('json')) {
      const all = results.map((result) => result.json);
      console.out(JSON.stringify(all.length === 1 ? all[0] : { jobs: all }, null, 2));
    } else {
      for (const { json } of results) {
        const { folder: place, verdict, steps_done = 0, steps_total = 0, lines = 0 } = json;
        const facts = { folder: place, verdict, done: steps_done, total: steps_total, lines };
        console.out(console.language.cli.lines['verify-summary'](facts as Facts));
      }
    }
    return Math.max(0, ...results.map((result) => result.exit)) as ExitCode;
  },
};
