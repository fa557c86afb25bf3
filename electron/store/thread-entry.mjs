// From the sources the thread runs TypeScript as it stands; the build has a bundle of its own for it.
import { register } from 'tsx/esm/api';

register();
await import('./thread-worker.ts');
