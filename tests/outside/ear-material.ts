/**
 * Writes the material for the comparison with native Vosk (README-ear.md): `npx tsx
 * tests/outside/ear-material.ts FOLDER [--few N]`. One WAV for each thing said, and `material.json` with the
 * grammar and our decoder's text. By hand only.
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { openEar } from '../../electron/ear-node/ear.ts';
import { writeWav } from '../../electron/ear-node/wav.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { JOB_GRAMMAR } from '../../renderer/ears/job-grammar.ts';
import { DECOYS } from '../../renderer/ears/model-files.ts';
import { replay, SITUATIONS } from '../bench/ear-trials.ts';
import { makeSequence } from '../sound/recording.ts';
import { installedVoices } from '../sound/voices.ts';

const folder = process.argv[2] ?? '/tmp/ear-material';
const few = Number(process.argv[process.argv.indexOf('--few') + 1]) || 1;
mkdirSync(folder, { recursive: true });
// Every closed utterance is wanted, whatever the decision makes of it.
const ear = await openEar({ observe: true });
if (!ear.ok) throw new Error(ear.error.detail);
const material: object[] = [];
for (const voice of installedVoices('report').filter((_, index) => index % few === 0)) {
  for (const situation of SITUATIONS) {
    const grammar = [...JOB_GRAMMAR.grammarPhrases(situation.allowed).slice(0, -1), ...DECOYS, '[unk]'];
    for (const said of situation.says) {
      const { samples } = await makeSequence([said], voice, 400);
      const file = `${material.length}.wav`;
      writeFileSync(join(folder, file), writeWav(samples, SAMPLE_RATE_HZ));
      const played = await replay(ear.value, situation.allowed, samples);
      const ours = played.observed.at(-1)?.utterance.decoded.text ?? '';
      const { audioMs, computeMs } = played;
      material.push({
        file,
        voice: voice.id,
        situation: situation.name,
        said,
        grammar,
        ours,
        audioMs,
        computeMs,
      });
    }
  }
}
await ear.value.close();
writeFileSync(join(folder, 'material.json'), JSON.stringify(material));
process.stdout.write(`${material.length} recordings in ${folder}\n`);
