/**
 * The content-security policy of every response under the ears page's origin (or path), and who may do
 * what there. The page with the buttons keeps its own, stricter policy; this one is for `ears.html`, its
 * worker, its worklet, the WebAssembly file and the model.
 *
 * Why each source is needed:
 * - `script-src 'self'`: the page, the worker (a file of ours) and the audio worklet.
 * - `'wasm-unsafe-eval'`: compiling the recogniser's WebAssembly.
 * - `'unsafe-eval'`: the recogniser's glue (embind) makes its call wrappers with `new Function`.
 * - `connect-src 'self'`: the WebAssembly file and the model's files.
 * - `worker-src 'self'`: the recogniser's worker. No `blob:` is needed.
 */
export const EARS_POLICY = [
  "default-src 'none'",
  "script-src 'self' 'unsafe-eval' 'wasm-unsafe-eval'",
  "worker-src 'self'",
  "connect-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
].join('; ');

/**
 * The policy with the one page that may hold the ears page in a frame. `parentOrigin` is the origin of
 * the page with the buttons ("app://bench", "http://127.0.0.1:4173").
 */
export function earsPolicy(parentOrigin: string): string {
  return `${EARS_POLICY}; frame-ancestors ${parentOrigin}`;
}

/** What the ears frame may use: the page with the buttons must allow the same in its iframe (ear-client does). */
export const EARS_FRAME_ALLOW = 'microphone; autoplay';
