/**
 * Canonical JSON after RFC 8785 and SHA-256 over it: the same value gives the same bytes on every machine.
 * The serialisation itself is the package `canonicalize`; here are the refusals it leaves to its caller.
 */
import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import serialize from 'canonicalize';
import { assert } from '../base/result.ts';

/** A string with half a surrogate pair has no UTF-8 form; RFC 8785 section 3.2.2.2 demands an error. */
export function hasLoneSurrogate(text: string): boolean {
  for (let index = 0; index < text.length; index += 1) {
    const unit = text.charCodeAt(index);
    if (unit >= 0xdc00 && unit <= 0xdfff) return true;
    if (unit < 0xd800 || unit > 0xdbff) continue;
    const next = text.charCodeAt(index + 1);
    if (!(next >= 0xdc00 && next <= 0xdfff)) return true;
    index += 1;
  }
  return false;
}

/**
 * The canonical JSON text of a plain JSON value. Members whose value is undefined are left out. Asserts on
 * what JSON cannot say: NaN, infinities, functions, an undefined root, half a surrogate pair.
 */
export function canonicalJson(value: unknown): string {
  const text = serialize(value);
  assert(text !== undefined, `canonical JSON of ${typeof value}`);
  // JSON.stringify writes half a pair as an escape; an escape is an odd run of backslashes.
  const mayHold = text.includes('\\ud');
  assert(!mayHold || !/(?<!\\)(?:\\\\)*\\ud[89a-f]/i.test(text), 'canonical JSON with half a surrogate pair');
  return text;
}

/** SHA-256 as 64 lower-case hexadecimal digits, of bytes or of a text in UTF-8. */
export function sha256Hex(data: string | Uint8Array): string {
  return bytesToHex(sha256(typeof data === 'string' ? utf8ToBytes(data) : data));
}

/** SHA-256 of a value's canonical JSON. */
export function hashOfJson(value: unknown): string {
  return sha256Hex(canonicalJson(value));
}

/** UTF-8 bytes of a text. */
export function bytesFromText(text: string): Uint8Array {
  return utf8ToBytes(text);
}

/** Arguments that a call takes on every engine. */
const CHUNK_BYTES = 8192;

/** Text of UTF-8 bytes, or undefined where they are not well-formed UTF-8. Cost: linear. */
export function textFromBytes(bytes: Uint8Array): string | undefined {
  let high = 0;
  for (const byte of bytes) high |= byte;
  let text = '';
  for (let from = 0; from < bytes.length; from += CHUNK_BYTES) {
    text += String.fromCharCode.apply(null, bytes.subarray(from, from + CHUNK_BYTES) as unknown as number[]);
  }
  if (high < 0x80) return text;
  // `decodeURIComponent` is the one strict UTF-8 decoder of the language itself.
  try {
    return decodeURIComponent(
      text.replace(/[%\x80-\xff]/g, (unit) => `%${unit.charCodeAt(0).toString(16).padStart(2, '0')}`),
    );
  } catch {
    return undefined; // URIError: not well-formed UTF-8, which is the answer
  }
}
