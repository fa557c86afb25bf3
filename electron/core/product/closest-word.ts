/**
 * "Did you mean": the closest of the words that would be allowed.
 */

/**
 * Restricted edit distance (insert, delete, change, swap of neighbours), cut off above `limit`.
 * Returns `limit + 1` when the distance is larger. Cost: product of the lengths.
 */
export function editDistance(a: string, b: string, limit = Number.POSITIVE_INFINITY): number {
  if (Math.abs(a.length - b.length) > limit) return limit + 1;
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    let best = i;
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1] ? 0 : 1;
      let cost = Math.min(at(last, j) + 1, at(row, j - 1) + 1, at(last, j - 1) + same);
      const swapped = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      if (swapped) cost = Math.min(cost, at(beforeLast, j - 2) + 1);
      row.push(cost);
      best = Math.min(best, cost);
    }
    if (best > limit) return limit + 1;
    beforeLast = last;
    last = row;
  }
  return at(last, b.length);
}

function at(row: readonly number[], index: number): number {
  const value = row[index];
  if (value === undefined) throw new Error(`assertion failed: edit distance row has no column ${index}`);
  return value;
}

/** Longest word that is compared, and how many words it is compared with. */
const COMPARED_CHARACTERS = 64;
const COMPARED_WORDS = 2_000;

/**
 * The allowed word closest to `word`, or undefined where none is close (more than 2 changes, or more
 * than a third of the word). Ties go to the first in the list, so the answer is deterministic.
 */
export function closestWord(word: string, allowed: Iterable<string>): string | undefined {
  if (word === '' || word.length > COMPARED_CHARACTERS) return undefined;
  const candidates = firstOf(allowed, COMPARED_WORDS);
  const limit = Math.max(1, Math.min(2, Math.floor(word.length / 3)));
  let best: string | undefined;
  let bestDistance = limit + 1;
  for (const candidate of candidates) {
    const distance = editDistance(word.toLowerCase(), candidate.toLowerCase(), bestDistance - 1);
    if (distance < bestDistance) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best ?? containing(word, candidates);
}

function firstOf(words: Iterable<string>, limit: number): readonly string[] {
  const first: string[] = [];
  for (const word of words) {
    if (first.length === limit) break;
    first.push(word);
  }
  return first;
}

/** "screw" for "case-screw": one is the other with words before or after. */
function containing(word: string, allowed: readonly string[]): string | undefined {
  if (word.length < 3) return undefined;
  for (const candidate of allowed) {
    if (candidate.startsWith(`${word}-`) || candidate.endsWith(`-${word}`)) return candidate;
    if (candidate.length >= 3 && (word.startsWith(`${candidate}-`) || word.endsWith(`-${candidate}`))) {
      return candidate;
    }
  }
  return undefined;
}

/** Suggestions given for one file; beyond that the author has other worries, and the time adds up. */
export const SUGGESTIONS_LIMIT = 200;

/** `closestWord` for the first `SUGGESTIONS_LIMIT` questions, then undefined. One for each file read. */
export function limitedSuggestions(): typeof closestWord {
  let left = SUGGESTIONS_LIMIT;
  return (word, allowed) => (left-- > 0 ? closestWord(word, allowed) : undefined);
}
