// The worker thread runs TypeScript as it stands, whatever the main thread was started with.
import { register } from 'tsx/esm/api';

register();
await import('./worker.ts');
