/**
 * Checks of the answers that questions about the unit offer: they are said to the ear, beside the commands that
 * may be said at every step.
 */
import { ENGLISH_TABLE } from '../base/language-table.ts';
import type { CheckSubject } from './check-subject.ts';
import { soundAlike } from './sounds-alike.ts';

/** Whether the recogniser has a word, in lower case, in its vocabulary. */
export type KnowsWord = (word: string) => boolean;

/** Reports answers that a listener would confuse, and, where the vocabulary is known, what the ear never hears. */
export function checkAnswers({ product, report }: CheckSubject, knowsWord?: KnowsWord): void {
  const commands = Object.values(ENGLISH_TABLE.phrases.phrases).flat();
  for (const [index, { answers }] of product.variants.entries()) {
    for (const [at, answer] of answers.entries()) {
      const path = ['variants', index, 'answers', at];
      const said = answer.toLowerCase();
      // The very same answer is a finding of its own.
      const others = answers.slice(0, at).filter((before) => before.toLowerCase() !== said);
      const other = others.find((before) => soundAlike(before, said));
      if (other !== undefined) report('product/answers-sound-alike', 'warning', { answer, other }, path);
      // An answer that is a command itself ("yes") is that command.
      const command = commands.includes(said) ? undefined : commands.find((one) => soundAlike(one, said));
      if (command !== undefined) report('product/answer-like-command', 'warning', { answer, command }, path);
      const word = said.split(/\s+/).find((one) => knowsWord?.(one) === false);
      if (word !== undefined) report('product/answer-not-heard', 'warning', { answer, word }, path);
    }
  }
}
