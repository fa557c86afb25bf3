/** `plan`: the steps of a job, and the proof that they take the unit apart and put it together again. */
import type { Language } from '../core/base/language.ts';
import type { Plan, PlanStep } from '../core/plan/model.ts';
import { type Console, type ExitCode, readArguments, tellFault, type Verb } from './console.ts';
import { PLAN_OPTIONS, planFromArguments } from './planning.ts';
import { prove } from './prove.ts';

export const plan: Verb = {
  name: 'plan',
  usage: 'plan FILE --replace PART[,PART] [--variant K=V] [--prove] [--json]',
  options: ['--replace PART[,PART]', '--variant K=V', '--prove', '--json'],
  async run(args, console): Promise<ExitCode> {
    const options = { ...PLAN_OPTIONS, prove: { type: 'boolean' }, json: { type: 'boolean' } } as const;
    const read = readArguments(this, args, options, { least: 1, most: 1 }, console.language);
    if (!read.ok) {
      tellFault(console, read.error);
      return 2;
    }
    const planned = await planFromArguments(read.value, console);
    if (typeof planned === 'number') return planned;
    const proof = read.value.flag('prove') ? prove(planned, console.language) : undefined;
    if (read.value.flag('json')) {
      console.out(
        JSON.stringify(proof === undefined ? planned.plan : { ...planned.plan, proof: proof.json }, null, 2),
      );
    } else printPlan(planned.plan, console);
    if (proof === undefined) return 0;
    for (const line of proof.lines) console.err(line);
    return proof.holds ? 0 : 1;
  },
};

function fastenerLine(step: PlanStep, { cli }: Language): readonly string[] {
  return step.fasteners.map(({ count, thread, length_mm, torque_nm, compartment }) => {
    const facts = { count, thread, length: length_mm, torque: torque_nm, compartment };
    return `      ${cli.lines.fastener(facts)}`;
  });
}

function printPlan(planned: Plan, console: Console): void {
  const words = console.language.cli.lines;
  let stage = '';
  for (const [index, step] of planned.steps.entries()) {
    if (step.stage !== stage) console.out(`\n${step.stage.toUpperCase()}`);
    stage = step.stage;
    for (const caution of step.cautions) console.out(`      ${caution.say}`);
    console.out(`${String(index + 1).padStart(4)}  ${step.say}`);
    for (const line of fastenerLine(step, console.language)) console.out(line);
  }
  const names = (list: readonly { readonly name: string }[]): string =>
    list.map(({ name }) => name).join(', ') || words.none();
  const tray = planned.tray.map((place) => `${place.number} ${place.label} (${place.count})`).join('; ');
  const minutes = Math.round(planned.expected_s / 60);
  console.out(`\n${words.tools({ list: names(planned.tools) })}`);
  console.out(words.consumables({ list: names(planned.consumables) }));
  console.out(words['new-parts']({ list: names(planned.new_parts) }));
  console.out(words.tray({ list: tray || words.none() }));
  console.out(words.expected({ minutes, steps: planned.steps.length }));
}
