/**
 * The words of a PDF that Chromium has printed: enough of the format for its own output (plain objects, streams
 * packed by deflate, fonts with a ToUnicode table), and nothing more.
 */
import { inflateSync } from 'node:zlib';

/** Bodies of all objects by number, as Latin-1 text. */
function objectsOf(file: string): ReadonlyMap<string, string> {
  return new Map(
    [...file.matchAll(/(?:^|[\r\n])(\d+) 0 obj\s*([\s\S]*?)\s*endobj/g)].map((m) => [m[1] ?? '', m[2] ?? '']),
  );
}

/** The unpacked stream of an object; empty where it has none. */
function streamOf(body: string): string {
  const at = /stream\r?\n/.exec(body);
  if (at === null) return '';
  const facts = body.slice(0, at.index);
  // By its length: what is packed may end with what looks like an end of line.
  const length = Number(/\/Length (\d+)/.exec(facts)?.[1] ?? Number.NaN);
  if (Number.isNaN(length)) throw new Error('a stream without its length');
  const from = at.index + at[0].length;
  const bytes = Buffer.from(body.slice(from, from + length), 'latin1');
  return facts.includes('/FlateDecode') ? inflateSync(bytes).toString('latin1') : bytes.toString('latin1');
}

const textFromHex = (hex: string): string =>
  (hex.match(/.{4}/g) ?? []).map((code) => String.fromCharCode(Number.parseInt(code, 16))).join('');

/** What each glyph of a font stands for. */
function glyphsOf(table: string): ReadonlyMap<string, string> {
  const glyphs = new Map<string, string>();
  for (const [, list] of table.matchAll(/beginbfchar([\s\S]*?)endbfchar/g))
    for (const [, glyph, text] of (list ?? '').matchAll(/<([0-9A-F]+)>\s*<([0-9A-F]+)>/gi))
      glyphs.set((glyph ?? '').toUpperCase(), textFromHex(text ?? ''));
  for (const [, list] of table.matchAll(/beginbfrange([\s\S]*?)endbfrange/g))
    for (const [, from, to, text] of (list ?? '').matchAll(/<([0-9A-F]+)>\s*<([0-9A-F]+)>\s*<([0-9A-F]+)>/gi))
      for (let code = Number.parseInt(from ?? '', 16); code <= Number.parseInt(to ?? '', 16); code += 1) {
        const first = Number.parseInt(text ?? '', 16) + code - Number.parseInt(from ?? '', 16);
        glyphs.set(code.toString(16).toUpperCase().padStart(4, '0'), String.fromCharCode(first));
      }
  return glyphs;
}

/** All words of the document, in the order in which they are drawn, and how many pages it has. */
export function wordsOfPdf(bytes: Uint8Array): { readonly text: string; readonly pages: number } {
  const file = Buffer.from(bytes).toString('latin1');
  if (!file.startsWith('%PDF-')) throw new Error('this is no PDF');
  const objects = objectsOf(file);
  const fonts = new Map<string, ReadonlyMap<string, string>>();
  for (const [, name, number] of file.matchAll(/\/(F\d+) (\d+) 0 R/g)) {
    const table = /\/ToUnicode (\d+) 0 R/.exec(objects.get(number ?? '') ?? '')?.[1];
    if (table !== undefined) fonts.set(name ?? '', glyphsOf(streamOf(objects.get(table) ?? '')));
  }
  const drawn: string[] = [];
  let pages = 0;
  for (const body of objects.values()) {
    if (!/\/Type\s*\/Page\b/.test(body)) continue;
    pages += 1;
    const content = /\/Contents (\d+) 0 R/.exec(body)?.[1];
    drawn.push(wordsDrawn(streamOf(objects.get(content ?? '') ?? ''), fonts));
  }
  // Ligatures come back as the letters they stand for.
  return { text: drawn.join('\n').normalize('NFKC').replace(/\s+/g, ' '), pages };
}

function wordsDrawn(content: string, fonts: ReadonlyMap<string, ReadonlyMap<string, string>>): string {
  let font: ReadonlyMap<string, string> | undefined;
  let text = '';
  for (const [piece, name, hex] of content.matchAll(/\/(F\d+) [\d.]+ Tf|<([0-9A-Fa-f]+)>|\bET\b/g)) {
    if (name !== undefined) font = fonts.get(name);
    else if (hex !== undefined)
      text += (hex.match(/.{4}/g) ?? []).map((glyph) => font?.get(glyph.toUpperCase()) ?? '').join('');
    else if (piece === 'ET') text += ' ';
  }
  return text;
}
