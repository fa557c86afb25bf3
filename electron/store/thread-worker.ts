/** The thread of the record store: reading logs, the database and the analysis, away from the open job. */
import { parentPort, workerData } from 'node:worker_threads';
import { assert, ok, type Result } from '../core/base/result.ts';
import type { Fault } from '../disk/disk-fault.ts';
import { createNodeDisk } from '../disk/node-disk.ts';
import { createNodeProcesses } from '../disk/node-processes.ts';
import type { StorePlace } from './client.ts';
import { RecordStore } from './record-store.ts';
import type { FromThread, ThreadData, ThreadPlace, ThreadRequest, ToThread } from './thread-messages.ts';

const port = parentPort;
assert(port !== null, 'the record store runs in a thread');
const { place, jobsFolder } = workerData as ThreadData;

function placeHere(asked: ThreadPlace): StorePlace {
  if (asked.kind !== 'embedded') return asked;
  const { program, ...rest } = asked;
  return { ...rest, disk: createNodeDisk(), processes: createNodeProcesses(program) };
}

const tell = (message: FromThread): void => port.postMessage(message);
const store = new RecordStore(placeHere(place), jobsFolder, (progress) => tell({ progress }));

async function answerTo(request: ThreadRequest): Promise<Result<unknown, Fault>> {
  switch (request.what) {
    case 'review':
      return store.review(request.options, request.from);
    case 'compare':
      return store.compare(request.a, request.b, request.options, request.from);
    case 'event-log':
      return store.eventLog(request.options);
    case 'past':
      return store.past();
    case 'update':
      return store.update();
    case 'rebuild':
      return store.rebuild();
    case 'close':
      await store.close();
      return ok(null);
  }
}

port.on('message', (message: ToThread) => {
  if ('interrupt' in message) {
    store.interrupt();
    return;
  }
  void answerTo(message.request).then((answer) => tell({ id: message.id, answer, isOpen: store.isOpen }));
});
