/**
 * Keys at the bench. Which key stands for which phrase belongs to the grammar of the job; here a key is
 * read from a keyboard event and drawn on its button. A foot pedal is a keyboard.
 */
import { keysFor } from '../electron/core/job/keys.ts';
import type { PhraseId } from '../electron/core/job/model.ts';

/** The key drawn on a phrase's button: the first one that every keyboard has in the same place. */
export function shownKey(phrase: PhraseId): string {
  const keys = keysFor(phrase);
  return keys.find((key) => key === ' ') ?? keys.find((key) => !key.startsWith('Page')) ?? keys[0] ?? '';
}

const CAPS: Readonly<Record<string, string>> = {
  ' ': 'Space',
  Escape: 'Esc',
  ArrowLeft: '←',
  ArrowRight: '→',
  ArrowUp: '↑',
  ArrowDown: '↓',
  PageUp: 'Pg↑',
  PageDown: 'Pg↓',
};

/** How a key is drawn on a button. */
export function keyCap(key: string): string {
  return CAPS[key] ?? (key.length === 1 ? key.toUpperCase() : key);
}

/** A key as `aria-keyshortcuts` wants it. */
export function keyShortcut(key: string): string {
  return key === ' ' ? 'Space' : key;
}

/** Fields marked with this take figures only: letters pressed in them are still phrases. */
export const FIGURES_ONLY = 'data-figures-only';

/** True where a key belongs to the field it is typed into and must not be taken for a phrase. */
export function isTyping(target: EventTarget | null, key: string): boolean {
  if (!(target instanceof HTMLElement)) return false;
  if (target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement) return true;
  if (!(target instanceof HTMLInputElement)) return false;
  if (target.hasAttribute(FIGURES_ONLY)) return !/^[a-z?!]$/i.test(key);
  return !['checkbox', 'radio', 'button'].includes(target.type);
}
