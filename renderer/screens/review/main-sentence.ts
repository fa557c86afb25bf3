/**
 * The sentence of a step that tells it from others, for a label: the longest one. "Take the hex key. Loosen the four
 * bolts." becomes "Loosen the four bolts."
 */
export function mainSentence(say: string): string {
  const sentences = say.split(/(?<=[.!?])\s+/);
  return sentences.reduce((longest, one) => (one.length > longest.length ? one : longest), '');
}
