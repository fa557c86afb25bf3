// A thread of the record store that fails at every request.
import { parentPort } from 'node:worker_threads';

parentPort?.on('message', () => {
  throw new Error('on purpose');
});
