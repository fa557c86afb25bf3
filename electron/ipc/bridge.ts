/**
 * The one gate between pages and host, the same for Electron's IPC and for the WebSocket of browser mode.
 * It takes whatever a page sends, checks the channel's name and its argument, and only then asks the
 * host. What goes back is an answer or a refusal, never an exception's text.
 */
import type { LanguageTable } from '../core/base/language-table.ts';
import { NOTE_PCM_CHARS_MAX } from '../disk/spoken-note.ts';
import type { Answer, Channel, Push, Refusal, Requests } from './contract.ts';

/** Names of the two Electron channels; pages never see them. */
export const ASK_CHANNEL = 'stepcaller:ask';
export const PUSH_CHANNEL = 'stepcaller:push';

/** The part of the host that the gate needs. */
export interface Host {
  ask<C extends Channel>(channel: C, argument: Requests[C][0]): Promise<Answer<Requests[C][1]>>;
  /** Calls the listener for every push until the returned function is called. */
  onPush(listener: (push: Push) => void): () => void;
  close(): Promise<void>;
}

/** A zod schema, as far as the gate uses it. */
export interface ArgumentCheck {
  safeParse(
    value: unknown,
  ):
    | { readonly success: true; readonly data: unknown }
    | { readonly success: false; readonly error: unknown };
}
export type ArgumentChecks = Readonly<Record<Channel, ArgumentCheck>>;

/** The largest argument a page may send, as JSON text; a note of 2,000 characters fits many times. */
export const ARGUMENT_CHARS_MAX = 64 * 1024;

/** A spoken note is a minute of sound; only its own channel may be so large. */
const LARGE_ARGUMENT_CHARS: Partial<Readonly<Record<Channel, number>>> = {
  'note.keep': NOTE_PCM_CHARS_MAX + 200,
};

/** The largest argument of a channel, as JSON text. */
export function argumentCharsMax(channel: unknown): number {
  const own = typeof channel === 'string' && Object.hasOwn(LARGE_ARGUMENT_CHARS, channel);
  return (own ? LARGE_ARGUMENT_CHARS[channel as Channel] : undefined) ?? ARGUMENT_CHARS_MAX;
}

/** The page has the words for it, in its language. */
function refusal(code: keyof LanguageTable['page']['bridge']): { ok: false; error: Refusal } {
  return { ok: false, error: { code, message: '', mend: '' } };
}

const UNKNOWN_REQUEST = refusal('bridge/unknown-request');
const BAD_ARGUMENT = refusal('bridge/bad-argument');
const FAILED = refusal('bridge/failed');

/** JSON length of a value, or Infinity where it is no JSON (functions, cycles, big integers). */
function jsonLength(value: unknown): number {
  try {
    return JSON.stringify(value ?? null)?.length ?? Number.POSITIVE_INFINITY;
  } catch {
    return Number.POSITIVE_INFINITY;
  }
}

/**
 * Makes the gate. The result answers one request from a sender that was already found to be ours;
 * it never throws. `onFault` is told of exceptions in the host, which are faults of the program.
 */
export function createGate(
  host: Host,
  checks: ArgumentChecks,
  onFault: (channel: string, fault: unknown) => void,
): (channel: unknown, argument: unknown) => Promise<Answer<unknown>> {
  return async (channel, argument) => {
    if (typeof channel !== 'string' || !Object.hasOwn(checks, channel)) return UNKNOWN_REQUEST;
    const known = channel as Channel;
    if (jsonLength(argument) > argumentCharsMax(known)) return BAD_ARGUMENT;
    try {
      const checked = checks[known].safeParse(argument ?? null);
      if (!checked.success) return BAD_ARGUMENT;
      return await host.ask(known, checked.data as Requests[typeof known][0]);
    } catch (fault) {
      onFault(known, fault);
      return FAILED;
    }
  };
}
