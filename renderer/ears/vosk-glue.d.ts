/** The fork ships its worker without types; this is the part that `vosk-engine.ts` touches. */
declare module '@lichess-org/vosk-browser/dist/vosk.worker.js' {
  export class RecognizerWorker {
    load(modelUrl: string, wasmUrl: string): Promise<boolean>;
  }
}
