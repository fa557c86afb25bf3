/**
 * The mutating fuzzer by hand: `FUZZ_RUNS=1000000 npm run bench -- fuzz` (a tenth by default). Damaged copies of
 * the small files and of the demo units; every answer is checked as in `tests/properties/product.test.ts`. Prints
 * the slowest inputs and the most memory; stops with the seed where an answer is wrong.
 */
import { readFileSync } from 'node:fs';
import { performance } from 'node:perf_hooks';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { SMALL_FILE } from '../core/product/small-file.ts';
import { expectAnswered, mutated } from '../properties/product-mutations.ts';
import { LEAST_FILE, TINY_FILE } from '../properties/small-files.ts';

const RUNS = Number(process.env.FUZZ_RUNS ?? 100_000);
const SEED = Number(process.env.FUZZ_SEED ?? 20_261_125);
const SLOWEST = 5;
/** No file may take longer than this of the processor, or leave the process larger than this. */
const MS_MAX = 1000;
const BYTES_MAX = 200 * 1_048_576;

export async function run(): Promise<void> {
  const demo = ['wt-3', 'bp-60', 'dp-8'].map((name) =>
    readFileSync(new URL(`../../procedures/${name}.yaml`, import.meta.url), 'utf8'),
  );
  const slow: { seed: number; ms: number }[] = [];
  const codes = new Set<string>();
  let mostBytes = 0;
  let readable = 0;
  const began = performance.now();
  for (let n = 0; n < RUNS; n += 1) {
    const seed = SEED + n;
    const whole = n % 500 === 0 ? demo[(n / 500) % demo.length] : undefined;
    const text = mutated(
      whole ?? (n % 16 === 1 ? SMALL_FILE : n % 4 === 0 ? TINY_FILE : LEAST_FILE),
      randomFromSeed(seed),
    );
    const before = process.cpuUsage();
    let found: readonly string[];
    try {
      found = expectAnswered(text);
    } catch (thrown) {
      throw new Error(`seed ${seed}: ${String(thrown)}\n${text}`, { cause: thrown });
    }
    // Of the processor, not of the clock: a busy machine makes no file slow. Garbage collection is in it.
    const { user, system } = process.cpuUsage(before);
    const ms = (user + system) / 1000;
    if (ms > MS_MAX) throw new Error(`seed ${seed} took ${ms} ms\n${text}`);
    if (found.length === 0) readable += 1;
    for (const code of found) codes.add(code);
    slow.push({ seed, ms });
    if (slow.length > 1000 || n === RUNS - 1) {
      slow.sort((a, b) => b.ms - a.ms);
      slow.length = Math.min(slow.length, SLOWEST);
      mostBytes = Math.max(mostBytes, process.memoryUsage().rss);
      if (mostBytes > BYTES_MAX) throw new Error(`seed ${seed}: the process holds ${mostBytes} bytes`);
    }
    if (n > 0 && n % Math.ceil(RUNS / 50) === 0)
      console.log(
        `  ${n}: ${((performance.now() - began) / 1000).toFixed(0)} s, ${(mostBytes / 1_048_576).toFixed(0)} MB`,
      );
  }
  const seconds = (performance.now() - began) / 1000;
  console.log(`${RUNS} damaged files from seed ${SEED} in ${seconds.toFixed(0)} s, each answered`);
  console.log(`  ${codes.size} different codes; ${readable} had nothing wrong`);
  console.log(
    `  slowest, of the processor: ${slow.map(({ seed, ms }) => `${ms.toFixed(0)} ms (seed ${seed})`).join(', ')}`,
  );
  console.log(`  most memory of the whole process ${(mostBytes / 1_048_576).toFixed(0)} MB`);
}
