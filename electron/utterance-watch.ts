/**
 * Watches that every utterance ends. Some systems' voices never say that they are done; a caution would then
 * wait for ever. An utterance that is overdue counts as one without a voice: the screen alone shows it.
 */

/** Even a slow voice begins within this time, in milliseconds. */
const START_MS = 15_000;
/** A voice at a third of its normal rate needs some 200 ms a character. */
const PER_CHARACTER_MS = 200;
/** More utterances than this do not wait at once; the oldest is given up. */
const MAX_PENDING = 50;

interface Pending {
  readonly utterance: number;
  readonly allowedMs: number;
}

export class UtteranceWatch {
  #pending: Pending[] = [];
  /** When the first pending utterance could begin: utterances are spoken one after the other. */
  #sinceMs = 0;

  /** An utterance was given out at `nowMs`. */
  began(utterance: number, text: string, nowMs: number): void {
    if (this.#pending.length === 0) this.#sinceMs = nowMs;
    this.#pending.push({ utterance, allowedMs: START_MS + PER_CHARACTER_MS * text.length });
    if (this.#pending.length > MAX_PENDING) this.#pending.shift();
  }

  /** An utterance has ended in any way. */
  ended(utterance: number, nowMs: number): void {
    const at = this.#pending.findIndex((pending) => pending.utterance === utterance);
    if (at === -1) return;
    this.#pending.splice(at, 1);
    this.#sinceMs = nowMs;
  }

  /** The utterance whose end is overdue, or undefined. It stays pending until `ended` is told of it. */
  overdue(nowMs: number): number | undefined {
    const first = this.#pending[0];
    if (first === undefined || nowMs - this.#sinceMs < first.allowedMs) return undefined;
    return first.utterance;
  }
}
