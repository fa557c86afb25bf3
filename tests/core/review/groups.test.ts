import { describe, expect, it } from 'vitest';
import { compareJobs } from '../../../electron/core/review/comparison.ts';
import { ALL_JOBS, compareGroups, isInGroup, type JobGroup } from '../../../electron/core/review/groups.ts';
import { notice } from '../../../electron/core/review/words.ts';
import { madeJobs, times } from './many-jobs.ts';

/** An hour apart from 5 January 2026 on: A for two days, then B and A by turns. */
const jobs = madeJobs(21, [
  ...times(40, { revision: 1 }),
  ...Array.from({ length: 40 }, (_, index) => ({
    revision: 2,
    technician: index % 2 === 0 ? 'Technician B' : 'Technician A',
    ...(index % 2 === 0 ? { steps: { c: 1.8 } } : {}),
  })),
]);
const group = (over: Partial<JobGroup>): JobGroup => ({ ...ALL_JOBS, ...over });
const numbers = (over: Partial<JobGroup>, show: (name: string) => string = (name) => name): number[] =>
  jobs.flatMap((job, index) => (isInGroup(job, group(over), show) ? [index] : []));

describe('a group holds the jobs', () => {
  it('of these people, by the name that is shown', () => {
    expect(numbers({ people: ['Technician B'] })).toEqual(times(20).map((_, index) => 40 + 2 * index));
    expect(numbers({ people: ['T2'] }, (name) => (name === 'Technician B' ? 'T2' : 'T1')).length).toBe(20);
    expect(numbers({ people: ['Technician A', 'Technician B'] }).length).toBe(80);
    expect(numbers({ people: ['Technician'] })).toEqual([]);
  });
  it('begun on these days, both included', () => {
    const [first, last] = [jobs[0]!.started.slice(0, 10), jobs[79]!.started.slice(0, 10)];
    expect(numbers({ from: first, to: last }).length).toBe(80);
    const onFirst = jobs.filter((job) => job.started.startsWith(first)).length;
    expect(onFirst).toBeGreaterThan(5);
    expect(numbers({ to: first }).length).toBe(onFirst);
    expect(numbers({ from: last }).length).toBe(jobs.filter((job) => job.started.startsWith(last)).length);
    expect(numbers({ from: '2027-01-01' })).toEqual([]);
  });
  it('of these revisions and of this type', () => {
    expect(numbers({ revisions: [1] }).length).toBe(40);
    expect(numbers({ revisions: [1, 2] }).length).toBe(80);
    expect(numbers({ job_type: jobs[0]!.job_type }).length).toBe(80);
    expect(numbers({ job_type: 'another' })).toEqual([]);
  });
  it('that meet all conditions at once', () => {
    expect(numbers({ people: ['Technician A'], revisions: [2] }).length).toBe(20);
    expect(numbers({ people: ['Technician B'], revisions: [1] })).toEqual([]);
  });
});

describe('two groups', () => {
  it('are compared by the statistics of revisions', () => {
    const { comparison, how } = compareGroups(
      jobs,
      group({ people: ['T1'], revisions: [2] }),
      group({ people: ['T2'] }),
    );
    const by = (name: string) => jobs.slice(40).filter((job) => job.technician === name);
    const plain = compareJobs(
      'groups',
      { name: notice('compare/group', { people: 'T1', revisions: '2' }), jobs: by('Technician A') },
      { name: notice('compare/group', { people: 'T2' }), jobs: by('Technician B') },
    );
    expect(comparison.steps).toEqual(plain.steps);
    expect(comparison.job).toEqual(plain.job);
    expect([comparison.jobs_a, comparison.jobs_b]).toEqual([20, 20]);
    expect(comparison.steps.filter((step) => step.verdict === 'slower').map((step) => step.step)).toEqual([
      'c',
    ]);
    expect([comparison.a.text, comparison.b.text]).toEqual(['T1, revision 2', 'T2']);
    expect(comparison.notices.map((one) => one.code)).toEqual(['compare/different-people']);
    expect(how['ratio-interval']).toContain('Welch');
    expect(JSON.stringify(comparison)).not.toContain('Technician');
  });

  it('that overlap: a job that fits both counts for the first one, and it is said', () => {
    const { comparison } = compareGroups(jobs, group({ people: ['T2'] }), ALL_JOBS);
    expect([comparison.jobs_a, comparison.jobs_b]).toEqual([20, 60]);
    const told = comparison.notices.find((one) => one.code === 'compare/in-both');
    expect(told?.text).toBe('20 jobs fit both groups and count for the first one only.');
    expect([comparison.a.text, comparison.b.text]).toEqual(['T2', 'everybody']);
  });

  it('of which one came first: learning may be part of it, and it is said', () => {
    const { comparison } = compareGroups(jobs, group({ revisions: [2] }), group({ revisions: [1] }));
    expect(comparison.notices.map((one) => one.code)).toContain('compare/one-after-other');
    expect(comparison.a.text).toBe('everybody, revision 2');
  });

  it('of few jobs or none get no verdict', () => {
    const few = compareGroups(jobs, group({ to: '2000-01-01' }), group({ people: ['T2'] })).comparison;
    expect(few).toMatchObject({ jobs_a: 0, jobs_b: 20, steps: [], job: { verdict: 'too-few' } });
    expect(few.notices.map((one) => one.code)).toEqual(['compare/too-few']);
    expect(few.only_in_b).toEqual([]);
    expect(compareGroups([], ALL_JOBS, ALL_JOBS).comparison.notices[0]!.text).toContain('0 jobs against 0');
    expect(JSON.parse(JSON.stringify(few))).toEqual(few);
  });

  it('hold completed jobs only, whose log can be trusted', () => {
    const odd = madeJobs(22, [
      ...times(6),
      { over: { outcome: 'given-up' } },
      { over: { outcome: null } },
      { over: { verdict: 'unknown' } },
    ]);
    expect(compareGroups(odd, ALL_JOBS, ALL_JOBS).comparison.jobs_a).toBe(6);
  });

  it('of one product, with the pseudonyms of all', () => {
    const two = [
      ...madeJobs(23, times(5, { over: { product: 'other' } })),
      ...madeJobs(24, times(5, { technician: 'Pat' })),
    ];
    const of = (people: string) =>
      compareGroups(two, group({ people: [people] }), ALL_JOBS, { product: 'sample' });
    expect(of('T1').comparison.jobs_a + of('T2').comparison.jobs_a).toBe(5);
    expect(of('Pat').comparison.jobs_a).toBe(0);
    const named = compareGroups(two, group({ people: ['Pat'] }), ALL_JOBS, { show: 'names' });
    expect(named.comparison.jobs_a).toBe(5);
  });

  it('of two types of job say which is which', () => {
    const two = [...madeJobs(25, times(6)), ...madeJobs(26, times(6, { over: { job_type: 'sample: fan' } }))];
    const { comparison } = compareGroups(
      two,
      group({ job_type: two[0]!.job_type }),
      group({ job_type: 'sample: fan' }),
    );
    expect(comparison.b.text).toBe('everybody, sample: fan');
    expect(comparison.steps.length).toBe(4);
  });
});
