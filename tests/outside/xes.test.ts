import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { JSDOM } from 'jsdom';
import { describe, expect, it } from 'vitest';
import { type Transition, xesEvents, xesOf } from '../../electron/core/export/xes.ts';
import type { JobRecord } from '../../electron/core/job/model.ts';
import type { JobLog } from '../../electron/core/review/model.ts';
import {
  confirmed,
  finished,
  linesOf,
  opened,
  paused,
  resumed,
  sampleFile,
  sampleRecords,
  shown,
} from '../core/review/sample-job.ts';

const logOf = (records: readonly JobRecord[], job = 'job-001'): JobLog => ({
  job: sampleFile(job),
  lines: linesOf(records, Date.UTC(2026, 0, 5, 9, 0, 0), 0),
  verdict: 'complete',
});
const parse = (xml: string): Document =>
  new new JSDOM('').window.DOMParser().parseFromString(xml, 'application/xml') as unknown as Document;

const NEXT: Readonly<Record<string, Readonly<Partial<Record<Transition, string>>>>> = {
  // Source: IEEE 1849-2016, section 7.2, figure 5 (standard lifecycle). Like most event logs this export begins
  // an instance with "start", that is in the state "assigned".
  assigned: { start: 'in progress' },
  'in progress': { suspend: 'suspended', complete: 'end', pi_abort: 'end', ate_abort: 'end' },
  suspended: { resume: 'in progress', pi_abort: 'end', ate_abort: 'end' },
  end: {},
};

/** The state of each instance after its events; throws at an illegal transition. */
function statesOf(log: JobLog): Map<string, string> {
  const states = new Map<string, string>();
  for (const event of xesEvents(log)) {
    const key = `${event.step}#${event.instance}`;
    const state = states.get(key) ?? 'assigned';
    const next = NEXT[state]?.[event.transition];
    if (next === undefined) throw new Error(`${event.transition} in state ${state} of ${key}`);
    states.set(key, next);
  }
  return states;
}

describe('lifecycle', () => {
  it('of a whole job is legal and every instance ends', () => {
    const states = statesOf(logOf(sampleRecords()));
    expect([...states.keys()].sort()).toEqual(['a#1', 'b#1', 'b#2', 'c#1', 'm#1']);
    expect(new Set(states.values())).toEqual(new Set(['end']));
  });

  it('suspends a step that is left for another one and resumes it', () => {
    const order = xesEvents(logOf(sampleRecords()))
      .filter((event) => event.step === 'c')
      .map((event) => event.transition);
    expect(order).toEqual(['start', 'suspend', 'resume', 'suspend', 'resume', 'complete']);
  });

  it('ends a skipped step and the open step of a job given up by abort', () => {
    const ends = xesEvents(
      logOf([
        opened('A'),
        shown(0, 'a'),
        { event: 'step.skipped', at_ms: 5, step: 'a', source: 'voice' },
        shown(5, 'b'),
        { event: 'job.finished', at_ms: 9, outcome: 'given-up', open_compartments: 1, source: 'voice' },
      ]),
    ).map((event) => event.transition);
    expect(ends).toEqual(['start', 'ate_abort', 'start', 'pi_abort']);
  });

  it('is legal for any order of records', () => {
    const id = fc.constantFrom('a', 'b', 'c');
    const record = fc.oneof(
      fc.record({
        event: fc.constantFrom('step.shown', 'step.confirmed', 'step.skipped', 'step.undone'),
        step: id,
      }),
      fc.record({ event: fc.constantFrom('job.paused', 'job.resumed', 'job.left') }),
      fc.record({ event: fc.constant('job.reopened'), away_ms: fc.nat(1000) }),
      fc.record({ event: fc.constant('step.revisited'), step: id, from: id }),
    );
    fc.assert(
      fc.property(fc.array(record, { maxLength: 50 }), (records) => {
        const stamped = records.map((one, index) => ({ ...one, at_ms: index * 10 }) as unknown as JobRecord);
        const log = logOf([opened('A'), ...stamped, finished(records.length * 10)]);
        expect([...statesOf(log).values()].every((state) => state === 'end')).toBe(true);
        const times = xesEvents(log).map((event) => event.at_ms);
        expect([...times].sort((x, y) => x - y)).toEqual(times);
      }),
      { seed: 1849, numRuns: 300 },
    );
  });
});

// Source: the small file minimal.xes beside, which a general process-mining library imports: job-001 step 1 spans
// 70.5 s, was suspended 30 s and worked on 40.5 s.
describe('against a reference file', () => {
  const reference = parse(readFileSync(new URL('./data/minimal.xes', import.meta.url), 'utf8'));
  const ours = parse(
    xesOf(
      [
        logOf([
          opened('T1'),
          shown(0, 'a'),
          paused(20_000),
          resumed(50_000),
          confirmed(70_500, 'a'),
          finished(70_500),
        ]),
      ],
      (name) => name,
    ),
  );
  const valuesOf = (document: Document, key: string): string[] =>
    [...(document.querySelector('trace')?.querySelectorAll(`event > [key="${key}"]`) ?? [])].map(
      (node) => node.getAttribute('value') ?? '',
    );

  it('the same transitions, resources and times', () => {
    expect(valuesOf(ours, 'lifecycle:transition')).toEqual(valuesOf(reference, 'lifecycle:transition'));
    expect(valuesOf(ours, 'org:resource')).toEqual(valuesOf(reference, 'org:resource'));
    expect(valuesOf(ours, 'time:timestamp').map(Date.parse)).toEqual(
      valuesOf(reference, 'time:timestamp').map(Date.parse),
    );
  });

  it('the same root, extensions and lifecycle model', () => {
    const extensions = (document: Document): string[] =>
      [...document.querySelectorAll('extension')].map((node) => node.getAttribute('uri') ?? '');
    expect(extensions(ours)).toEqual(extensions(reference));
    expect(ours.documentElement.namespaceURI).toBe(reference.documentElement.namespaceURI);
    expect(ours.documentElement.getAttribute('xes.version')).toBe('1849.2016');
    expect(ours.querySelector('log > [key="lifecycle:model"]')?.getAttribute('value')).toBe('standard');
  });

  it('every event has each attribute that is declared global, and classifiers name only those', () => {
    const globals = [...ours.querySelectorAll('global[scope="event"] > *')].map((node) =>
      node.getAttribute('key'),
    );
    for (const event of ours.querySelectorAll('event'))
      for (const key of globals) expect(event.querySelector(`[key="${key}"]`), String(key)).not.toBe(null);
    for (const classifier of ours.querySelectorAll('classifier'))
      for (const key of (classifier.getAttribute('keys') ?? '').split(' ')) expect(globals).toContain(key);
  });
});

describe('the file', () => {
  it('is well-formed whatever the texts hold', () => {
    const evil = 'a<b>&"\'\u0000\u0001\u{1f600}]]>';
    const records = sampleRecords(evil);
    const document = parse(xesOf([logOf(records, evil)], (name) => name));
    expect(document.querySelector('parsererror')).toBe(null);
    const name = document.querySelector('trace > [key="concept:name"]')!.getAttribute('value');
    expect(name).toBe('a<b>&"\'\ufffd\ufffd\u{1f600}]]>');
  });

  it('leaves out logs that cannot be trusted, and people behind their alias', () => {
    const xml = xesOf(
      [logOf(sampleRecords('Pat')), { ...logOf(sampleRecords('Pat'), 'bad'), verdict: 'unknown' }],
      () => 'T1',
    );
    expect(parse(xml).querySelectorAll('trace').length).toBe(1);
    expect(xml).not.toContain('Pat');
  });

  it('keeps time stamps in order where the wall clock jumped back', () => {
    const log = logOf(sampleRecords());
    const lines = log.lines.map((line) => (line.seq > 9 ? { ...line, wall: '2020-01-01T00:00:00Z' } : line));
    const stamps = [
      ...xesOf([{ ...log, lines }], (name) => name).matchAll(/<date key="time:timestamp" value="([^"]+)"/g),
    ]
      .slice(1)
      .map((match) => Date.parse(match[1]!));
    expect([...stamps].sort((a, b) => a - b)).toEqual(stamps);
  });
});
