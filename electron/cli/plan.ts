/** `plan`: the steps of a job, and the proof that they take the unit apart and put it together again. */
import type { Plan, PlanStep } from '../core/plan/model.ts';
import { type Console, type ExitCode, readArguments, tellFault, type Verb } from './console.ts';
import { PLAN_OPTIONS, planFromArguments } from './planning.ts';
import { prove } from './prove.ts';

export const plan: Verb = {
  name: 'plan',
  usage: 'plan FILE --replace PART[,PART] [--variant K=V] [--prove] [--json]',
  about: 'The plan of a job; --prove replays it on a model of the unit.',
  options: [
    ['--replace PART[,PART]', 'the parts to be replaced'],
    ['--variant K=V', 'the answer to a question about the unit; may be given several times'],
    ['--prove', 'run the plan proof; exit 1 where it finds something'],
    ['--json', 'the plan as JSON on stdout'],
  ],
  async run(args, console): Promise<ExitCode> {
    const options = { ...PLAN_OPTIONS, prove: { type: 'boolean' }, json: { type: 'boolean' } } as const;
    const read = readArguments(this, args, options, { least: 1, most: 1 });
    if (!read.ok) {
      tellFault(console, read.error);
      return 2;
    }
    const planned = await planFromArguments(read.value, console);
    if (typeof planned === 'number') return planned;
    const proof = read.value.flag('prove') ? prove(planned) : undefined;
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

function fastenerLine(step: PlanStep): readonly string[] {
  return step.fasteners.map((group) => {
    const torque = group.torque_nm === null ? '' : `, ${group.torque_nm} N·m`;
    const place = group.compartment === null ? '' : `, compartment ${group.compartment}`;
    return `      ${group.count} × ${group.thread}×${group.length_mm}${torque}${place}`;
  });
}

function printPlan(planned: Plan, console: Console): void {
  let stage = '';
  for (const [index, step] of planned.steps.entries()) {
    if (step.stage !== stage) console.out(`\n${step.stage.toUpperCase()}`);
    stage = step.stage;
    for (const caution of step.cautions) console.out(`      ${caution.say}`);
    console.out(`${String(index + 1).padStart(4)}  ${step.say}`);
    for (const line of fastenerLine(step)) console.out(line);
  }
  const names = (list: readonly { readonly name: string }[]): string =>
    list.map(({ name }) => name).join(', ') || 'none';
  console.out(`\nTools: ${names(planned.tools)}`);
  console.out(`Consumables: ${names(planned.consumables)}`);
  console.out(`New parts: ${names(planned.new_parts)}`);
  console.out(
    `Tray: ${planned.tray.map((place) => `${place.number} ${place.label} (${place.count})`).join('; ') || 'none'}`,
  );
  console.out(`Expected time: ${Math.round(planned.expected_s / 60)} minutes, ${planned.steps.length} steps`);
}
