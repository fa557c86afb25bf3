/** Files that the build turns into addresses. */
declare module '@lichess-org/vosk-browser/dist/vosk.wasm?url' {
  const address: string;
  export default address;
}
declare module '*/microphone-worklet.js?url&no-inline' {
  const address: string;
  export default address;
}
