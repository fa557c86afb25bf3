// @vitest-environment jsdom
/** The key that is held to talk. */
import { afterEach, beforeEach, expect, it } from 'vitest';
import { phraseForKey, TALK_KEYS } from '../../electron/core/job/keys.ts';
import { type TalkKeyWatch, watchTalkKey } from '../../renderer/talk-key.ts';

let told: string[];
let watch: TalkKeyWatch;
const press = (type: 'keydown' | 'keyup', key: string, target: EventTarget = window): boolean =>
  target.dispatchEvent(new KeyboardEvent(type, { key, bubbles: true, cancelable: true }));

beforeEach(() => {
  told = [];
  watch = watchTalkKey(window, ({ on, held }) => told.push(`${on ? 'on' : 'off'} ${held ? 'held' : 'free'}`));
});
afterEach(() => watch.stop());

it('tells nothing while no key is chosen', () => {
  press('keydown', 'F9');
  press('keyup', 'F9');
  expect(told).toEqual([]);
});

it('tells once that it went down, however often it repeats, and once that it was let go', () => {
  watch.configure('F9');
  for (let count = 0; count < 3; count += 1) expect(press('keydown', 'F9')).toBe(false);
  press('keydown', 'F8');
  press('keyup', 'F8');
  press('keyup', 'F9');
  expect(told).toEqual(['on free', 'on held', 'on free']);
});

it('counts as let go when the window loses the keys', () => {
  watch.configure('Control');
  press('keydown', 'Control');
  window.dispatchEvent(new Event('blur'));
  expect(told.at(-1)).toBe('on free');
});

it('is a letter in a field where it is typed, and the key elsewhere', () => {
  watch.configure('b');
  const field = document.createElement('textarea');
  document.body.append(field);
  expect(press('keydown', 'b', field)).toBe(true);
  expect(told).toEqual(['on free']);
  press('keydown', 'B');
  expect(told.at(-1)).toBe('on held');
  field.remove();
});

it('switched off opens the ear again', () => {
  watch.configure('F9');
  press('keydown', 'F9');
  watch.configure('none');
  expect(told.at(-1)).toBe('off free');
});

it('is none of the keys that stand for a phrase', () => {
  expect(TALK_KEYS.filter((key) => phraseForKey(key) !== undefined)).toEqual([]);
});
