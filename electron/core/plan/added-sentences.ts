/** The sentences of steps that the planner adds itself: getting ready, new parts, moving over, the tray. */
import type { Language } from '../base/language.ts';
import { MAX_PROCEDURAL_WORDS } from '../product/controlled-english.ts';
import type { Part, Product } from '../product/model.ts';
import type { PlanConsumable } from './model.ts';
import { fits, wordsAtMost } from './sentence-frame.ts';
import { recordSentences } from './sentences.ts';
import { countedNew, countWord, listed, newOne, numberOf, the, theNew } from './wording.ts';

type Lead = 'job.get-tools' | 'job.get-materials';

/** "Get these tools: a, b and c. Also get these: d." in sentences short enough to hear. */
export function getSentences(language: Language, lead: Lead, names: readonly string[]): string {
  const sentences: string[] = [];
  let line: string[] = [];
  let words = 0;
  // How many words come between two names at most.
  const [two, three] = [
    ['a', 'a'],
    ['a', 'a', 'a'],
  ].map((list) => wordsAtMost(listed(language, list)));
  const between = Math.max((two as number) - 2, (three as number) - (two as number) - 1);
  const end = (): void => {
    const pattern = language.plan[sentences.length === 0 ? lead : 'job.also-get'];
    sentences.push(pattern({ list: listed(language, line) }));
    line = [];
    words = 0;
  };
  for (const name of names) {
    const more = wordsAtMost(name);
    const surely = words + more + between * line.length <= MAX_PROCEDURAL_WORDS;
    if (line.length > 0 && !surely && !fits(listed(language, [...line, name]))) end();
    line.push(name);
    words += more;
  }
  if (line.length > 0) end();
  return sentences.join(' ');
}

/** A consumable as it is fetched: "silicone grease", "a new O-ring", "three new lock nuts". */
export function materialText(language: Language, product: Product, consumable: PlanConsumable): string {
  const { id, name, count } = consumable;
  if (product.consumables.some((c) => c.id === id)) return name;
  return count > 1 ? countedNew(language, count, name) : newOne(language, name);
}

/** "Put a tray with four compartments on the bench." */
export function traySentence(language: Language, count: number): string {
  return language.plan['job.tray']({ count, counted: countWord(language, count) });
}

/** "Read the serial number of the unit. Say …" */
export function unitSerialSentences(language: Language, record: string): string {
  return recordSentences(the(language, record), language);
}

/** The serial number of the new main board, whether or not the record's name has the part in it. */
export function newSerialSentences(language: Language, record: string, part: Part): string {
  const name = record.includes(part.name)
    ? the(language, record.replace(part.name, language.plan['new-part.bare']({ part: part.name })))
    : language.plan['new-part.serial']({
        record: the(language, record),
        part: theNew(language, part.name),
      });
  return recordSentences(name, language);
}

/** "Get the new main board. Compare it with the old one." */
export function newPartSentences(language: Language, part: Part): string {
  return language.plan['new-part.get']({ part: part.name, number: numberOf(part.plural) });
}

/** "Put aside the old main board." */
export function oldPartSentence(language: Language, part: Part): string {
  return language.plan['new-part.old-aside']({ part: part.name });
}

/** "Move the radio module to the new part." */
export function moveSentence(language: Language, part: Part): string {
  return language.plan['new-part.move-over']({ part: the(language, part.name) });
}
