/** Runs benches by name: `npm run bench -- plan review`. Each is `tests/bench/NAME.ts` with a `run()`. */
const names = process.argv.slice(2);
if (names.length === 0) {
  console.error('Name at least one bench: plan, review, soak, fuzz, ear, ear-soak, feel.');
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
