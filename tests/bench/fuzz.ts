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
    const start = performance.now();
    let found: readonly string[];
    try {
      found = expectAnswered(text);
    } catch (thrown) {
      throw new Error(`seed ${seed}: ${String(thrown)}\n${text}`, { cause: thrown });
    }
    const ms = performance.now() - start;
    if (found.length === 0) readable += 1;
    for (const code of found) codes.add(code);
    slow.push({ seed, ms });
    if (slow.length > 1000 || n === RUNS - 1) {
      slow.sort((a, b) => b.ms - a.ms);
      slow.length = Math.min(slow.length, SLOWEST);
      mostBytes = Math.max(mostBytes, process.memoryUsage().rss);
    }
    if (n > 0 && n % (RUNS / 10) === 0)
      console.log(`  ${n}: ${((performance.now() - began) / 1000).toFixed(0)} s`);
  }
  const seconds = (performance.now() - began) / 1000;
  console.log(`${RUNS} damaged files from seed ${SEED} in ${seconds.toFixed(0)} s, each answered`);
  console.log(`  ${codes.size} different codes; ${readable} had nothing wrong`);
  console.log(`  slowest: ${slow.map(({ seed, ms }) => `${ms.toFixed(0)} ms (seed ${seed})`).join(', ')}`);
  console.log(`  most memory of the whole process ${(mostBytes / 1_048_576).toFixed(0)} MB`);
}
