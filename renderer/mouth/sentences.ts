/**
 * Cuts a text into pieces that are synthesised one by one, so that the first sound comes after the first
 * sentence and not after the whole paragraph. Pure.
 */

/** Longest piece in characters; a longer sentence is cut at a comma, else at a blank. */
export const PIECE_CHARS_MAX = 240;
/** Pause between two pieces, in seconds. */
export const PAUSE_S = 0.22;

/** The pieces in order; joined with blanks they give the text back, blanks aside. Empty text gives none. */
export function sentencesOf(text: string): readonly string[] {
  const clean = text.replace(/\s+/g, ' ').trim();
  if (clean === '') return [];
  const sentences = clean.split(/(?<=[.!?;:]["')\]]?) (?=\S)/);
  return sentences.flatMap(cutLong);
}

function cutLong(sentence: string): readonly string[] {
  const pieces: string[] = [];
  let rest = sentence;
  while (rest.length > PIECE_CHARS_MAX) {
    const head = rest.slice(0, PIECE_CHARS_MAX);
    const comma = head.lastIndexOf(', ');
    const blank = head.lastIndexOf(' ');
    const at = comma > PIECE_CHARS_MAX / 3 ? comma + 1 : blank > 0 ? blank : PIECE_CHARS_MAX;
    pieces.push(rest.slice(0, at).trim());
    rest = rest.slice(at).trim();
  }
  if (rest !== '') pieces.push(rest);
  return pieces;
}
