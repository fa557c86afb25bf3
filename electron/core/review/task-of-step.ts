/** The task of a step for a label, where there is no room for its whole sentence. */

/** Patterns of the plan's language that tell which tool to take, and what else begins like it. */
export interface ToolSentences {
  readonly take: string;
  readonly 'seal.take-out': string;
}

const openingOf = (pattern: string): string => pattern.slice(0, Math.max(0, pattern.indexOf('{')));

/**
 * What is said behind the sentence about the tool: "Take the hex key. Loosen the four bolts." becomes "Loosen the
 * four bolts." Whatever does not begin like that, also a step made in another language, stays as it is.
 */
export function taskOfStep(say: string, patterns: ToolSentences): string {
  const [take, takeOut] = [openingOf(patterns.take), openingOf(patterns['seal.take-out'])];
  const end = say.search(/[.!?]\s/u);
  if (take === '' || end < 0 || !say.startsWith(take) || say.startsWith(takeOut)) return say;
  return say.slice(end + 1).trim();
}
