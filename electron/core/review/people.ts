/**
 * Pseudonyms. The review shows people as "T1", "T2", … in order of first appearance unless the site turns
 * names on; a person's own data is shown to that person under the own name.
 */
import type { JobReview, JobTimes } from './model.ts';

/** Gives the word to show for a technician's name. */
export type Alias = (name: string) => string;

/** Names of everybody in the jobs, by first appearance in time. */
export function namesInOrder(
  jobs: readonly Pick<JobTimes, 'started_s' | 'technicians' | 'technician'>[],
): string[] {
  const ordered = [...jobs].sort((a, b) => a.started_s - b.started_s);
  const names = new Set<string>();
  for (const job of ordered) {
    for (const person of job.technicians) names.add(person.name);
    names.add(job.technician);
  }
  return [...names];
}

/**
 * Pseudonyms for the people of these jobs. `show`: `names` shows everybody, `pseudonyms` nobody, and
 * `{own}` only the person named. An unknown name becomes "T?". `everybody`, by first appearance, is for a part of
 * the jobs: one person keeps one pseudonym, whichever part is looked at.
 */
export function aliasOf(
  jobs: readonly Pick<JobTimes, 'started_s' | 'technicians' | 'technician'>[],
  show: 'names' | 'pseudonyms' | { readonly own: string },
  everybody: readonly string[] = namesInOrder(jobs),
): Alias {
  if (show === 'names') return (name) => name;
  const aliases = new Map(everybody.map((name, index) => [name, `T${index + 1}`]));
  if (typeof show === 'object') aliases.set(show.own, show.own);
  return (name) => aliases.get(name) ?? 'T?';
}

/** The job's times with everybody under the name that `alias` gives. */
export function withAliases(times: JobTimes, alias: Alias): JobTimes {
  return {
    ...times,
    technician: alias(times.technician),
    technicians: times.technicians.map((one) => ({ ...one, name: alias(one.name) })),
  };
}

/** The job's review with everybody under the name that `alias` gives; sign-offs keep their code. */
export function reviewWithAliases(review: JobReview, alias: Alias): JobReview {
  return {
    ...review,
    times: withAliases(review.times, alias),
    summary: { ...review.summary, technician: alias(review.summary.technician) },
    marks: review.marks.map((mark) =>
      mark.kind === 'hand-over' ? { ...mark, text: alias(mark.text) } : mark,
    ),
  };
}
