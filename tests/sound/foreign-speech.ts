/**
 * Speech that is not meant for the ear, by real people: prompts and dialogue that Debian packages carry. Read
 * where the packages are installed; nothing is kept. What is not installed is left out.
 *
 * - `asterisk-core-sounds-en-wav`: telephone prompts, one speaker, 8 kHz.
 * - `beneath-a-steel-sky`: some 3,900 lines of dialogue, many actors, 11 kHz, 8 bit (1.7 hours). An index of
 *   8 bytes an entry (number, place, size) beside one file of data; lines have numbers from 50,000 up and a
 *   header of 22 bytes.
 * - `flight-of-the-amazon-queen`: some 6,700 lines, many actors, MP3 at 11 kHz (4.6 hours; `sox` and
 *   `libsox-fmt-mp3` read it). One file with a table of names, places and sizes at its head.
 */
import { execFileSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { readRecording } from '../../electron/ear-node/hear.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { resample } from '../../renderer/ears/stream-resampler.ts';

/** One line; `load` gives mono samples at 16 kHz, undefined where it cannot be read. */
export interface ForeignLine {
  readonly name: string;
  load(): Promise<Float32Array | undefined>;
}

const PROMPTS = '/usr/share/asterisk/sounds/en_US_f_Allison';
const DIALOGUE = '/usr/share/scummvm/beneath-a-steel-sky/sky';
const DIALOGUE_RATE_HZ = 11_025;
const DIALOGUE_FROM = 50_000;
const DIALOGUE_HEADER = 22;
const DIALOGUE_MP3 = '/usr/share/scummvm/flight-of-the-amazon-queen/queen.1c';
const MP3_TABLE_AT = 15;
const MP3_ENTRY = 21;

function prompts(): readonly ForeignLine[] {
  if (!existsSync(PROMPTS)) return [];
  const files = readdirSync(PROMPTS).filter((file) => file.endsWith('.wav'));
  return files.sort().map((file) => ({
    name: `prompt ${file}`,
    load: async () => {
      const recording = await readRecording(`${PROMPTS}/${file}`);
      return recording.ok ? recording.value : undefined;
    },
  }));
}

function dialogue(): readonly ForeignLine[] {
  if (!existsSync(`${DIALOGUE}.dsk`)) return [];
  const index = readFileSync(`${DIALOGUE}.dnr`);
  const data = readFileSync(`${DIALOGUE}.dsk`);
  const lines: ForeignLine[] = [];
  for (let entry = 0; entry < index.readUInt32LE(0); entry += 1) {
    const at = 4 + 8 * entry;
    const number = index.readUInt16LE(at);
    if (number < DIALOGUE_FROM) continue;
    const place = index.readUIntLE(at + 2, 3);
    // The highest bit of the place says that it counts in sixteens.
    const from = (place & 0x7fffff) * (place & 0x800000 ? 16 : 1);
    const size = index.readUIntLE(at + 5, 3) & 0x3fffff;
    lines.push({
      name: `dialogue ${number}`,
      load: async () => {
        const bytes = data.subarray(from + DIALOGUE_HEADER, from + size);
        return resample(
          Float32Array.from(bytes, (byte) => (byte - 128) / 128),
          DIALOGUE_RATE_HZ,
          SAMPLE_RATE_HZ,
        );
      },
    });
  }
  return lines;
}

function dialogueMp3(): readonly ForeignLine[] {
  if (!existsSync(DIALOGUE_MP3)) return [];
  const data = readFileSync(DIALOGUE_MP3);
  const lines: ForeignLine[] = [];
  for (let entry = 0; entry < data.readUInt16BE(MP3_TABLE_AT - 2); entry += 1) {
    const at = MP3_TABLE_AT + MP3_ENTRY * entry;
    const name = data.toString('latin1', at, at + 12).replace(/\0.*$/s, '');
    if (!name.endsWith('.SB')) continue;
    const from = data.readUInt32BE(at + 13);
    const size = data.readUInt32BE(at + 17);
    lines.push({
      name: `dialogue ${name}`,
      load: async () => {
        try {
          const pcm = execFileSync(
            'sox',
            ['-t', 'mp3', '-', '-t', 'raw', '-e', 'signed', '-b', '16', '-c', '1', '-r', '16000', '-'],
            { input: data.subarray(from, from + size), stdio: ['pipe', 'pipe', 'ignore'] },
          );
          const count = Math.floor(pcm.length / 2);
          return Float32Array.from({ length: count }, (_, n) => pcm.readInt16LE(2 * n) / 32_768);
        } catch {
          return undefined; // no sox, or no MP3 for it: the others are enough
        }
      },
    });
  }
  return lines;
}

/** Every line of what is installed, in a fixed order. */
export function foreignLines(): readonly ForeignLine[] {
  return [...prompts(), ...dialogue(), ...dialogueMp3()];
}
