/**
 * Runs benches by name: `npm run bench -- plan review`. Each is `tests/bench/NAME.ts` with a `run()`; options
 * behind the names (`ear-soak --hours 2`) are theirs.
 */
const args = process.argv.slice(2);
const options = args.findIndex((arg) => arg.startsWith('-'));
const names = options < 0 ? args : args.slice(0, options);
if (names.length === 0) {
  console.error('Name at least one bench: plan, review, soak, fuzz, ear, ear-foreign, ear-soak, feel.');
  process.exitCode = 2;
}
for (const name of names) {
  if (!/^[a-z][a-z-]*$/.test(name)) {
    console.error(`Not a bench name: ${name}`);
    process.exitCode = 2;
    continue;
  }
  const bench = (await import(`./${name}.ts`)) as { run(): Promise<void> };
  console.log(`bench ${name}`);
  await bench.run();
}

export {};
