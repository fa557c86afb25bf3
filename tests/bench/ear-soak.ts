/**
 * A working day of listening, faster than real time: `npx tsx tests/bench/ear-soak.ts [--hours 8] [--seed 1]`.
 *
 * Quiet room, hum, a fan that is switched on for minutes, people talking, a phrase said every minute, the mouth
 * speaking, the grammar changing with every phrase as in a job. Prints each hour: phrases said and understood,
 * what was understood out of nothing, memory of the recogniser and of this process. Flat memory and the same
 * share of phrases in the last hour as in the first is what one wants to see.
 */
import { pathToFileURL } from 'node:url';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { understand } from '../../electron/core/job/grammar.ts';
import { type NodeEar, openEar } from '../../electron/ear-node/ear.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { backgroundNoise } from '../sound/noise.ts';
import { addAt } from '../sound/recording.ts';
import { installedVoices, speak } from '../sound/voices.ts';
import { SITUATIONS } from './ear-trials.ts';

const MINUTE_MS = 60_000;
/** One stretch of sound between two phrases. */
const STRETCH_MS = 60_000;
const CHUNK = SAMPLE_RATE_HZ / 50;
const CHUNKS_AHEAD = 100;
const ROOM_DBFS = -64;
const FAN_DBFS = -48;
/** Talk of other people: in one stretch of so many, and what they say. */
const TALK_ONE_IN = 4;
/** The mouth speaks at the beginning of one stretch in so many, for so long. */
const MOUTH_ONE_IN = 5;
const MOUTH_MS = 4_000;
const TALK = [
  'we had that on the other line last week and it never came back',
  'the van is not here before three so there is time for a coffee',
  'could you hand me the long one please and the green box beside it',
];

const say = (line: string): void => void process.stdout.write(`${line}\n`);
const megabytes = (bytes: number): string => `${(bytes / 1_048_576).toFixed(1)} MB`;

interface Hour {
  said: number;
  right: number;
  stray: number;
  computeMs: number;
  memoryBytes: number;
}

/** Plays samples; gives what was understood, as JSON. */
async function play(ear: NodeEar, samples: Float32Array, hour: Hour): Promise<readonly string[]> {
  const understood: string[] = [];
  for (let at = 0; at < samples.length; at += CHUNK * CHUNKS_AHEAD) {
    const replies = [];
    for (let index = 0; index < CHUNKS_AHEAD && at + index * CHUNK < samples.length; index += 1)
      replies.push(ear.feed(samples.slice(at + index * CHUNK, at + (index + 1) * CHUNK)));
    for (const reply of await Promise.all(replies)) {
      hour.computeMs += reply.computeMs;
      hour.memoryBytes = reply.memoryBytes;
      for (const message of reply.messages)
        if (message.type === 'heard') understood.push(JSON.stringify(message.understood));
    }
  }
  return understood;
}

/** Runs the day; throws where the recogniser cannot be started. */
export async function run(args: readonly string[] = process.argv.slice(2)): Promise<void> {
  const option = (name: string, otherwise: number): number => {
    const at = args.indexOf(name);
    return at < 0 ? otherwise : Number(args[at + 1]);
  };
  const hours = option('--hours', 8);
  const seed = option('--seed', 1);
  const random = randomFromSeed(seed);
  const opened = await openEar();
  if (!opened.ok) throw new Error(`${opened.error.code}: ${opened.error.detail}`);
  const ear = opened.value;
  const voices = installedVoices('report');
  const situations = SITUATIONS.filter(({ name }) => name !== 'not listening');
  const count = Math.round((STRETCH_MS * SAMPLE_RATE_HZ) / 1000);
  const rooms = [
    backgroundNoise('white', count, ROOM_DBFS, seed),
    backgroundNoise('hum', count, ROOM_DBFS + 6, seed),
    backgroundNoise('fan', count, FAN_DBFS, seed),
  ];
  say(`Listening for ${hours} hours, seed ${seed}`);
  const stretches = Math.round((60 * MINUTE_MS) / STRETCH_MS);
  for (let number = 1; number <= hours; number += 1) {
    const hour: Hour = { said: 0, right: 0, stray: 0, computeMs: 0, memoryBytes: 0 };
    for (let stretch = 0; stretch < stretches; stretch += 1) {
      const situation = random.pick(situations);
      // Ten minutes of one room, then another.
      const room = rooms[Math.floor(stretch / 10) % rooms.length] ?? new Float32Array(count);
      const samples = room.slice();
      const talks = random.integer(0, TALK_ONE_IN - 1) === 0;
      if (talks) addAt(samples, await speak(random.pick(voices), random.pick(TALK)), 6_000, 0.5);
      const text = random.pick(situation.says);
      addAt(samples, await speak(random.pick(voices), text), 30_000);
      await ear.tell({ type: 'grammar', allowed: situation.allowed });
      const head = samples.subarray(0, (MOUTH_MS * SAMPLE_RATE_HZ) / 1000);
      const mouth = random.integer(0, MOUTH_ONE_IN - 1) === 0;
      if (mouth) await ear.tell({ type: 'mouth', speaking: true, text: 'Remove the four case screws.' });
      hour.stray += (await play(ear, head, hour)).length;
      if (mouth) await ear.tell({ type: 'mouth', speaking: false, text: '' });
      const heard = await play(ear, samples.subarray(head.length), hour);
      const wanted = JSON.stringify(understand(situation.allowed, text));
      hour.said += 1;
      if (heard.includes(wanted)) hour.right += 1;
      hour.stray += heard.filter((one) => one !== wanted).length;
    }
    const { rss, heapUsed } = process.memoryUsage();
    say(
      `hour ${number}: ${hour.right} of ${hour.said} phrases, others understood ${hour.stray}; recogniser ${megabytes(hour.memoryBytes)}, heap ${megabytes(heapUsed)}, process ${megabytes(rss)}; ${(hour.computeMs / (60 * MINUTE_MS)).toFixed(3)} of real time`,
    );
  }
  await ear.close();
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? '').href) await run();
