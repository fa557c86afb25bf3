/** What a loss of power leaves behind the trusted lines of a log, told apart from damage. */
import { MAX_LINE_BYTES } from './limits.ts';

/** What lies between two line feeds. */
export interface Piece {
  readonly offset: number;
  readonly bytes: Uint8Array;
  /** False for what follows the last line feed. */
  readonly ended: boolean;
}

/**
 * Whether what follows the trusted lines can be the remains of the one unconfirmed write that a loss of
 * power interrupted. True only for: a cut line without a line feed that is not a whole line with something
 * changed; sectors of zeros; whole lines of the same write as the lost ones. Everything else is damage.
 * `firstLost` is the first sequence number of that write; `batchOf` says to which write a whole line belongs.
 */
export function isTornTail(
  rest: readonly Piece[],
  firstLost: number,
  batchOf: (piece: Piece) => number | undefined,
): boolean {
  return rest.every((piece, index) => {
    const batch = batchOf(piece);
    if (batch !== undefined) return batch === firstLost;
    if (hasLostSector(piece)) return true;
    const last = index === rest.length - 1;
    return last && !piece.ended && isCutLine(piece.bytes);
  });
}

const SECTOR_BYTES = 512;

/**
 * Zero bytes as a lost sector leaves them. Two in a row, which no single changed bit can make; or one alone
 * where only one byte of the write lay in that sector: its opening brace, or its last line feed; or where the file
 * grew by that one byte. The format itself has no zero byte.
 */
function hasLostSector(piece: Piece): boolean {
  const { bytes, offset, ended } = piece;
  const last = bytes.length - 1;
  if (bytes.some((byte, index) => byte === 0 && bytes[index + 1] === 0)) return true;
  if (bytes[0] === 0 && (offset + 1) % SECTOR_BYTES === 0) return true;
  if (!ended && last === 0 && bytes[0] === 0) return true;
  return !ended && last >= 0 && bytes[last] === 0 && (offset + last) % SECTOR_BYTES === 0;
}

/** Whether bytes can be the front part of a line: they begin as one and do not hold its closing brace. */
function isCutLine(bytes: Uint8Array): boolean {
  if (bytes.length > MAX_LINE_BYTES) return false;
  const opening = '{"batch_first":';
  const start = String.fromCharCode(...bytes.subarray(0, opening.length));
  if (!opening.startsWith(start)) return false;
  if (bytes.some((byte) => byte < 0x20 || byte === 0x7f)) return false;
  return !holdsWholeObject(bytes);
}

/** Whether the braces that open before the end are closed again: then the line was whole and something followed. */
function holdsWholeObject(bytes: Uint8Array): boolean {
  let depth = 0;
  let quoted = false;
  for (let index = 0; index < bytes.length; index += 1) {
    const byte = bytes[index];
    if (quoted && byte === 0x5c) index += 1;
    else if (byte === 0x22) quoted = !quoted;
    else if (!quoted && byte === 0x7b) depth += 1;
    else if (!quoted && byte === 0x7d) {
      depth -= 1;
      if (depth === 0) return true;
    }
  }
  return false;
}
