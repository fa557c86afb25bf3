/** What the disk and the host refuse is said in the language of the settings: no sentence stands in code. */
import { expect, it } from 'vitest';
import { languageOf } from '../../electron/core/base/language.ts';
import type { Fault } from '../../electron/disk/disk-fault.ts';
import { fault, faultIn } from '../../electron/disk/fault-words.ts';
import { bytesFromJobFile, jobFileFromBytes } from '../../electron/disk/job-file.ts';
import { createJob, openJob } from '../../electron/disk/job-folder.ts';
import { readNote, writeNote } from '../../electron/disk/spoken-note.ts';
import { folderPorts, SimulatedProcesses } from '../crash/ports.ts';
import { jobFileOf, SHORT_PLAN } from '../crash/short-plan.ts';
import { SimulatedDisk } from '../crash/simulated-disk.ts';
import { pseudoTable } from '../language/pseudo-locale.ts';

const PSEUDO = languageOf(pseudoTable());
const JOB = jobFileOf(SHORT_PLAN);
const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);

/** A job folder with another log or job file, as it is opened. */
async function opened(change: { log?: string; jobFile?: Uint8Array }): Promise<Fault | undefined> {
  const disk = new SimulatedDisk();
  const ports = folderPorts(disk, new SimulatedProcesses().start());
  const made = await createJob(ports, '/jobs', JOB);
  if (!made.ok) return made.error;
  await made.value.writer.close();
  await made.value.lock.release();
  for (const [name, content] of [
    ['log.jsonl', change.log === undefined ? undefined : bytes(change.log)],
    ['job.json', change.jobFile],
  ] as const) {
    if (content === undefined) continue;
    await disk.unlink(`/jobs/job-1/${name}`);
    const file = await disk.createExclusive(`/jobs/job-1/${name}`);
    await file.write(content);
  }
  const again = await openJob(ports, '/jobs/job-1');
  return again.ok ? undefined : again.error;
}

const newer = bytes(new TextDecoder().decode(bytesFromJobFile(JOB)).replace('"format":1', '"format":2'));
const given: Readonly<Record<string, () => Promise<Fault | undefined> | Fault>> = {
  'a job held by another program': async () => {
    const disk = new SimulatedDisk();
    const processes = new SimulatedProcesses();
    await createJob(folderPorts(disk, processes.start()), '/jobs', JOB);
    const second = await openJob(folderPorts(disk, processes.start()), '/jobs/job-1');
    return second.ok ? undefined : second.error;
  },
  'nobody in particular': () => fault('job/locked', { program: '' }),
  'a log that is damaged': () => opened({ log: 'nothing\n' }),
  'a log of a newer version': () => opened({ log: '{"v":99}\n' }),
  'a job file that is not JSON': () => opened({ jobFile: bytes('{') }),
  'a job file of a newer version': () => opened({ jobFile: newer }),
  'a job file that is none': () => opened({ jobFile: bytes('{}') }),
  'a note that is no sound': async () => {
    const note = await writeNote(new SimulatedDisk(), '/jobs/job-1', Uint8Array.of(1));
    return note.ok ? undefined : note.error;
  },
  'a note that was changed': async () => {
    const disk = new SimulatedDisk();
    await (await disk.createExclusive('/note-1.wav')).write(Uint8Array.of(1));
    const note = await readNote(disk, '/', 'note-1.wav', 'ff');
    return note.ok ? undefined : note.error;
  },
  'a job that is not there': async () => {
    const none = await openJob(folderPorts(new SimulatedDisk(), new SimulatedProcesses().start()), '/none');
    return none.ok ? undefined : none.error;
  },
};

it.each(Object.entries(given))('of %s', async (_what, refusal) => {
  const refused = await refusal();
  if (refused === undefined) throw new Error('nothing was refused');
  const told = faultIn(refused, PSEUDO);
  expect(told.code).toBe(refused.code);
  for (const text of [told.message, told.mend]) expect(text).toMatch(/^⟦.*⟧/u);
  for (const text of [refused.message, refused.mend]) expect(text).toMatch(/^[A-Z/"n].*\.(?: \(.*\))?$/);
});

it('who holds a job is told, and of another computer what to do when it no longer does', () => {
  const holder = { program: 'Stepcaller', pid: 7, host: 'bench-2', since: '09:30' };
  expect(fault('job/locked', { ...holder, lock: '' })).toMatchObject({
    message: 'Stepcaller (process 7 on bench-2) has had this job open since 09:30.',
    mend: 'Close the job there first.',
  });
  expect(fault('job/locked', { ...holder, lock: '/jobs/a/lock' }).mend).toBe(
    'Close it on bench-2. If that computer no longer runs it, delete /jobs/a/lock.',
  );
  expect(jobFileFromBytes(bytes('{}'), '/jobs/a/job.json')).toMatchObject({
    error: {
      code: 'job/damaged',
      message: expect.stringContaining('/jobs/a/job.json is not a job file: format '),
    },
  });
});
