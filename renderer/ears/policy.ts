/**
 * The content-security policies of the ears page's host and what its frame may use. The page with the
 * buttons keeps its own, stricter policy. `frame-ancestors` is added by the server, which knows the origins.
 */

/**
 * For every response of the host but the worker (page, worklet, WebAssembly, model):
 * - `script-src 'self'`: the page's script and the audio worklet;
 * - `worker-src 'self'`: the recogniser's worker, a file of ours (no `blob:`);
 * - `connect-src 'self'`: nothing but own files.
 * The page itself evaluates nothing.
 */
export const EARS_PAGE_POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "worker-src 'self'",
  "connect-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
].join('; ');

/**
 * For the worker's own response (`ear-worker-….js`), which a worker takes its policy from:
 * - `'wasm-unsafe-eval'`: compiling the recogniser's WebAssembly;
 * - `'unsafe-eval'`: the recogniser's glue (embind) makes its call wrappers with `new Function`;
 * - `connect-src 'self'`: the WebAssembly file and the model's files.
 */
export const EARS_WORKER_POLICY = [
  "default-src 'none'",
  "script-src 'self' 'unsafe-eval' 'wasm-unsafe-eval'",
  "connect-src 'self'",
].join('; ');

/** What the ears frame may use; the page with the buttons allows it in its iframe (`ear-client.ts` does). */
export const EARS_FRAME_ALLOW = 'microphone; autoplay';
