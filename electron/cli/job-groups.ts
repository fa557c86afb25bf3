/** Two groups of jobs on the command line: told by conditions, compared, printed. */
import type { Language } from '../core/base/language.ts';
import { err, ok, type Result } from '../core/base/result.ts';
import { ALL_JOBS, type JobGroup } from '../core/review/groups.ts';
import type { Comparison, StepComparison } from '../core/review/model.ts';
import type { Fault } from '../disk/disk-fault.ts';
import type { Console } from './console.ts';

/**
 * A group from its conditions ("person=T1,T2; from=2026-01-31"), joined by semicolons; an empty text is all jobs.
 * Error: `cli/usage`.
 */
export function groupFrom(text: string, language: Language): Result<JobGroup, Fault> {
  const words = language.cli.usage;
  let group: JobGroup = ALL_JOBS;
  for (const condition of text.split(';').map((one) => one.trim())) {
    if (condition === '') continue;
    const at = condition.indexOf('=');
    const [name, value] = [condition.slice(0, at).trim(), condition.slice(at + 1).trim()];
    const next = withCondition(group, name, value);
    if (at < 0 || next === undefined)
      return err({ code: 'cli/usage', message: words.group({ condition }), mend: words['group-mend']() });
    group = next;
  }
  return ok(group);
}

function withCondition(group: JobGroup, name: string, value: string): JobGroup | undefined {
  const list = value.split(',').map((one) => one.trim());
  const isDay = /^\d{4}-\d{2}-\d{2}$/.test(value);
  if (value === '' || list.includes('')) return undefined;
  switch (name) {
    case 'person':
      return { ...group, people: list };
    case 'from':
      return isDay ? { ...group, from: value } : undefined;
    case 'to':
      return isDay ? { ...group, to: value } : undefined;
    case 'revision':
      return list.every((one) => /^\d{1,6}$/.test(one))
        ? { ...group, revisions: list.map(Number) }
        : undefined;
    case 'type':
      return { ...group, job_type: value };
    default:
      return undefined;
  }
}

/** The comparison as a table on stdout; what to read with care goes to stderr. */
export function printComparison(comparison: Comparison, console: Console): void {
  const { a, b, job, steps } = comparison;
  const words = console.language.cli.lines;
  const seconds = (ms: number): string => (ms / 1000).toFixed(1).padStart(8);
  const line = (one: StepComparison): string => {
    const { value, low, high } = one.ratio;
    const decimals = (x: number | null): string => (x === null ? '-' : x.toFixed(2));
    const ratio = words.ratio({ value: decimals(value), low: decimals(low), high: decimals(high) });
    const p = one.p_holm === null ? '-' : one.p_holm.toFixed(3);
    const say = one.step === '' ? words['whole-job']() : one.say;
    return `${String(one.n_a).padStart(5)}${String(one.n_b).padStart(5)} ${seconds(one.median_a_ms)} ${seconds(one.median_b_ms)}  ${ratio.padEnd(22)} ${p.padStart(6)}  ${one.verdict.padEnd(19)} ${say}`;
  };
  console.out(words.group({ letter: 'A', name: a.text, jobs: comparison.jobs_a }));
  console.out(words.group({ letter: 'B', name: b.text, jobs: comparison.jobs_b }));
  console.out(words['groups-head']());
  for (const one of [job, ...steps]) console.out(line(one));
  for (const one of comparison.notices) console.err(one.text);
}
