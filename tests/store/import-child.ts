/**
 * A program that imports a folder and is meant to be killed: it tells each batch on its output. Arguments: the
 * folder of the jobs, and the address of a server or the folder of an embedded store.
 */
import { createNodeDisk } from '../../electron/disk/node-disk.ts';
import { createNodeProcesses } from '../../electron/disk/node-processes.ts';
import { openStore } from '../../electron/store/client.ts';
import { importJobs } from '../../electron/store/import-jobs.ts';

const [jobs = '', place = ''] = process.argv.slice(2);
const opened = await openStore(
  place.startsWith('postgres')
    ? { kind: 'server', url: place }
    : {
        kind: 'embedded',
        folder: place,
        disk: createNodeDisk(),
        processes: createNodeProcesses('child'),
        since: '2026-01-05T09:00:00.000Z',
        token: 'child',
      },
);
if (!opened.ok) throw new Error(opened.error.message);
await importJobs(opened.value, jobs, {
  batchEvents: 100,
  onProgress: (done) => process.stdout.write(`${done}\n`),
});
process.stdout.write('the end\n');
