/**
 * What a text, an id or a picture path may contain. Texts are shown, spoken and exported: characters
 * that cannot be seen, that turn the direction of writing round or that only look like another letter
 * have no honest use in them. Spreadsheet formulas are no matter here; exports neutralise them.
 */

export interface TextProblem {
  readonly code: string;
  readonly facts: Readonly<Record<string, string | number>>;
}

/** Letters of other scripts that look like a Latin letter, with that letter. */
const LOOK_ALIKE = new Map<number, string>(
  [
    ...Object.entries({
      а: 'a',
      е: 'e',
      о: 'o',
      р: 'p',
      с: 'c',
      х: 'x',
      у: 'y',
      і: 'i',
      ј: 'j',
      ѕ: 's',
      ԁ: 'd',
      һ: 'h',
      ԛ: 'q',
      ԝ: 'w',
      А: 'A',
      В: 'B',
      Е: 'E',
      К: 'K',
      М: 'M',
      Н: 'H',
      О: 'O',
      Р: 'P',
      С: 'C',
      Т: 'T',
      Х: 'X',
      У: 'Y',
      І: 'I',
      Ј: 'J',
      Ѕ: 'S',
      Α: 'A',
      Β: 'B',
      Ε: 'E',
      Ζ: 'Z',
      Η: 'H',
      Ι: 'I',
      Κ: 'K',
      Μ: 'M',
      Ν: 'N',
      Ο: 'O',
      Ρ: 'P',
      Τ: 'T',
      Υ: 'Y',
      Χ: 'X',
      ο: 'o',
      ν: 'v',
      ι: 'i',
      α: 'a',
    }),
  ].map(([from, to]) => [from.codePointAt(0) ?? 0, to]),
);

function hex(code: number): string {
  return `U+${code.toString(16).toUpperCase().padStart(4, '0')}`;
}

/** Why a character may not stand in any text, or undefined. */
function characterProblem(code: number): string | undefined {
  if (code < 32 || (code >= 127 && code < 160)) return 'text/control-character';
  if (code === 0x2028 || code === 0x2029) return 'text/control-character';
  if (code === 0x061c || code === 0x200e || code === 0x200f) return 'text/direction-character';
  if (code >= 0x202a && code <= 0x202e) return 'text/direction-character';
  if (code >= 0x2066 && code <= 0x2069) return 'text/direction-character';
  if (code === 0xad || (code >= 0x200b && code <= 0x200d) || code === 0x2060)
    return 'text/invisible-character';
  if (code === 0xfeff || code === 0x180e || (code >= 0xfe00 && code <= 0xfe0f))
    return 'text/invisible-character';
  if (code >= 0xe0000 && code <= 0xe01ef) return 'text/invisible-character';
  if (code >= 0xd800 && code <= 0xdfff) return 'text/broken-character';
  if ((code & 0xfffe) === 0xfffe || (code >= 0xe000 && code <= 0xf8ff)) return 'text/broken-character';
  return undefined;
}

function isLatinLetter(code: number): boolean {
  return (code >= 65 && code <= 90) || (code >= 97 && code <= 122) || (code >= 0xc0 && code <= 0x24f);
}

/** The first thing wrong with a text, or undefined. Line breaks do not belong into texts either. */
export function textProblem(value: string): TextProblem | undefined {
  let word = '';
  let stranger: number | undefined;
  let latin = false;
  let position = 0;
  for (const character of `${value} `) {
    const code = character.codePointAt(0) ?? 0;
    position++;
    const problem = characterProblem(code);
    if (problem) return { code: problem, facts: { character: hex(code), position } };
    if (character === ' ') {
      if (latin && stranger !== undefined) {
        const like = LOOK_ALIKE.get(stranger) ?? '?';
        return { code: 'text/look-alike-character', facts: { character: hex(stranger), like, word } };
      }
      word = '';
      latin = false;
      stranger = undefined;
    } else {
      word += character;
      latin ||= isLatinLetter(code);
      if (LOOK_ALIKE.has(code)) stranger ??= code;
    }
  }
  if (value.trim() === '') return { code: 'text/blank', facts: {} };
  return undefined;
}

const ID = /^[a-z0-9]+(?:-[a-z0-9]+)*$/; // each hyphen starts a group: matches in linear time

/** The first thing wrong with an id, or undefined. */
export function idProblem(value: string): TextProblem | undefined {
  if (ID.test(value)) return undefined;
  for (const character of value) {
    const code = character.codePointAt(0) ?? 0;
    const problem = characterProblem(code);
    if (problem) return { code: problem, facts: { character: hex(code), position: 0 } };
    const like = LOOK_ALIKE.get(code);
    if (like)
      return { code: 'text/look-alike-character', facts: { character: hex(code), like, word: value } };
  }
  const suggestion = value
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
  return { code: 'product/bad-id', facts: { value, suggestion } };
}

/** File name endings of pictures. SVG is left out: it can carry scripts. */
export const PICTURE_ENDINGS = ['.png', '.jpg', '.jpeg', '.webp'] as const;

/** Why a picture's path is not a plain relative path below the product file's folder, or undefined. */
export function picturePathProblem(value: string): TextProblem | undefined {
  const problem = (reason: string): TextProblem => ({
    code: 'product/bad-picture-path',
    facts: { value, reason },
  });
  for (const character of value) {
    const code = character.codePointAt(0) ?? 0;
    if (characterProblem(code) || code > 126) return problem('character');
  }
  if (value.includes(':')) return problem('scheme');
  if (value.includes('\\') || value.includes('%')) return problem('character');
  if (value.startsWith('/') || value.startsWith('~')) return problem('absolute');
  const segments = value.split('/');
  if (segments.some((each) => each === '..' || each === '.' || each === '')) return problem('outside');
  if (segments.some((each) => each.startsWith('.'))) return problem('hidden');
  const lower = value.toLowerCase();
  if (!PICTURE_ENDINGS.some((ending) => lower.endsWith(ending))) return problem('ending');
  return undefined;
}
