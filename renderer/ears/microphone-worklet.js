// The audio thread's part of the ear: sends the microphone's samples, 20 ms at a time, through a port
// that leads straight to the recogniser's worker. Plain JavaScript because it is served as it stands.

const CHUNKS_PER_SECOND = 50;

class MicrophoneProcessor extends AudioWorkletProcessor {
  #chunk = new Float32Array(Math.round(sampleRate / CHUNKS_PER_SECOND));
  #filled = 0;
  /** @type {MessagePort | undefined} */
  #port;
  #ended = false;

  constructor() {
    super();
    this.port.onmessage = (event) => {
      if (event.data.type === 'port') this.#port = event.data.port;
      // A processor that always returns true lives for ever: this ends it.
      if (event.data.type === 'end') {
        this.#ended = true;
        this.#port?.close();
        this.port.close();
      }
    };
  }

  process(inputs) {
    if (this.#ended) return false;
    const channel = inputs[0]?.[0];
    if (channel === undefined) return true;
    for (let at = 0; at < channel.length; ) {
      const count = Math.min(this.#chunk.length - this.#filled, channel.length - at);
      this.#chunk.set(channel.subarray(at, at + count), this.#filled);
      this.#filled += count;
      at += count;
      if (this.#filled === this.#chunk.length) this.#send();
    }
    return true;
  }

  #send() {
    const chunk = this.#chunk;
    this.#chunk = new Float32Array(chunk.length);
    this.#filled = 0;
    this.#port?.postMessage(chunk, [chunk.buffer]);
  }
}

registerProcessor('stepcaller-microphone', MicrophoneProcessor);
