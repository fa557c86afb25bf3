/**
 * Event log in XES (IEEE 1849), for process-mining libraries. Stage 6 of the flow.
 *
 * One trace a job; one activity instance each time a step is taken up until it is confirmed. Lifecycle model
 * "standard": start, suspend (pause, absence, gone back to another step), resume, complete; a skipped step
 * ends with ate_abort, a step open when the job was given up with pi_abort. There is no schedule and no assign: a
 * log knows the whole plan and its technician from the opening on and no moment at which one step was planned or
 * given to somebody, so they would all carry the time of the opening; who had a step is its resource, also after
 * a hand-over. Time stamps are the wall time of
 * the first line plus the job's own clock, so they never run backwards even where the wall clock did.
 */
import { fragment } from 'xmlbuilder2';
import type { LogLine } from '../log/model.ts';
import { timestampFromEpochMs } from '../log/timestamp.ts';
import type { JobLog, JobTimes } from '../review/model.ts';
import { jobTimeline } from '../review/step-times.ts';

/** Lifecycle transitions this export uses, of the thirteen of the standard. */
export type Transition = 'start' | 'suspend' | 'resume' | 'complete' | 'ate_abort' | 'pi_abort';

/** One event of a trace. */
export interface XesEvent {
  readonly step: string;
  readonly say: string;
  readonly stage: string;
  /** Counts from 1 each time the step is taken up again after it was done. */
  readonly instance: number;
  readonly transition: Transition;
  readonly technician: string;
  /** Milliseconds since the start of the job. */
  readonly at_ms: number;
  readonly readings: readonly { readonly name: string; readonly value: number }[];
}

type State = 'idle' | 'running' | 'suspended';

/** Follows the lines of one job and emits only transitions that are legal in the state of their instance. */
class Lifecycle {
  readonly events: XesEvent[] = [];
  readonly #states = new Map<string, { state: State; instance: number }>();
  readonly #about: ReadonlyMap<string, { readonly say: string; readonly stage: string }>;
  #current: string | null = null;
  #technician = '';
  #readings: { name: string; value: number }[] = [];
  #paused = false;

  constructor(log: JobLog) {
    this.#about = new Map(log.job.plan.steps.map((step) => [step.id, { say: step.say, stage: step.stage }]));
  }

  #emit(step: string, transition: Transition, at_ms: number, next: State): void {
    const known = this.#states.get(step) ?? { state: 'idle' as const, instance: 0 };
    const instance = transition === 'start' ? known.instance + 1 : known.instance;
    this.#states.set(step, { state: next, instance });
    const about = this.#about.get(step);
    this.events.push({
      step,
      say: about?.say ?? step,
      stage: about?.stage ?? 'unknown',
      instance,
      transition,
      technician: this.#technician,
      at_ms,
      readings: transition === 'complete' ? this.#readings : [],
    });
  }

  #stateOf(step: string): State {
    return this.#states.get(step)?.state ?? 'idle';
  }

  #suspendCurrent(at_ms: number): void {
    if (this.#current !== null && this.#stateOf(this.#current) === 'running')
      this.#emit(this.#current, 'suspend', at_ms, 'suspended');
  }

  #resumeCurrent(at_ms: number): void {
    if (this.#current === null || this.#paused) return;
    const state = this.#stateOf(this.#current);
    if (state === 'suspended') this.#emit(this.#current, 'resume', at_ms, 'running');
    else if (state === 'idle') this.#emit(this.#current, 'start', at_ms, 'running');
  }

  #show(step: string, at_ms: number): void {
    if (this.#current !== step) {
      this.#suspendCurrent(at_ms);
      this.#readings = [];
    }
    this.#current = step;
    this.#resumeCurrent(at_ms);
  }

  #end(step: string, transition: Transition, at_ms: number): void {
    const state = this.#stateOf(step);
    if (state === 'suspended' && transition === 'complete') this.#emit(step, 'resume', at_ms, 'running');
    if (state === 'idle') this.#emit(step, 'start', at_ms, 'running');
    this.#emit(step, transition, at_ms, 'idle');
    this.#readings = [];
    if (this.#current === step) this.#current = null;
  }

  take(line: LogLine, at_ms: number): void {
    const text = (name: string): string => String(line.fields[name] ?? '');
    const step = text('step');
    switch (line.event) {
      case 'job.opened':
        this.#technician = text('technician');
        return;
      case 'job.handed-over':
        this.#technician = text('to');
        return;
      case 'step.shown':
      case 'step.revisited':
        this.#show(step, at_ms);
        return;
      case 'step.confirmed':
        this.#end(step, 'complete', at_ms);
        return;
      case 'step.skipped':
        this.#end(step, 'ate_abort', at_ms);
        return;
      case 'job.paused':
      case 'job.left':
        this.#suspendCurrent(at_ms);
        this.#paused = this.#paused || line.event === 'job.paused';
        return;
      case 'job.resumed':
      case 'job.reopened':
        this.#paused = this.#paused && line.event !== 'job.resumed';
        this.#resumeCurrent(at_ms);
        return;
      case 'reading.confirmed':
        this.#readings.push({ name: text('measure'), value: Number(line.fields.value ?? 0) });
        return;
      case 'job.finished':
        this.#finish(at_ms);
        return;
      default:
        return;
    }
  }

  #finish(at_ms: number): void {
    for (const [step, { state }] of this.#states) if (state !== 'idle') this.#end(step, 'pi_abort', at_ms);
  }
}

/** Time of each line on the job's own axis, absence included; never falls. */
function clockOf(lines: readonly LogLine[]): number[] {
  let clock = 0;
  let last = lines[0]?.mono_ms ?? 0;
  return lines.map((line) => {
    clock += Math.max(0, line.mono_ms - last);
    last = line.mono_ms;
    const away = line.event === 'job.reopened' ? line.fields.away_ms : 0;
    if (typeof away === 'number') clock += Math.max(0, away);
    return clock;
  });
}

/** The events of one job in order. Each instance runs start (suspend resume)… and one end, if it ended. */
export function xesEvents(log: JobLog): readonly XesEvent[] {
  const lifecycle = new Lifecycle(log);
  const clock = clockOf(log.lines);
  for (const [index, line] of log.lines.entries()) {
    lifecycle.take(line, clock[index] ?? 0);
    if (line.event === 'job.finished') break;
  }
  return lifecycle.events;
}

const EXTENSIONS = [
  ['Concept', 'concept'],
  ['Time', 'time'],
  ['Lifecycle', 'lifecycle'],
  ['Organizational', 'org'],
] as const;

const HEAD = `<?xml version="1.0" encoding="UTF-8"?>
<log xes.version="1849.2016" xes.features="" xmlns="http://www.xes-standard.org/">
${EXTENSIONS.map(([name, prefix]) => `  <extension name="${name}" prefix="${prefix}" uri="http://www.xes-standard.org/${prefix}.xesext"/>`).join('\n')}
  <global scope="trace">
    <string key="concept:name" value=""/>
  </global>
  <global scope="event">
    <string key="concept:name" value=""/>
    <string key="concept:instance" value=""/>
    <date key="time:timestamp" value="1970-01-01T00:00:00.000+00:00"/>
    <string key="lifecycle:transition" value="complete"/>
    <string key="org:resource" value=""/>
  </global>
  <classifier name="Activity" keys="concept:name"/>
  <classifier name="Activity and transition" keys="concept:name lifecycle:transition"/>
  <string key="concept:name" value="Stepcaller jobs"/>
  <string key="lifecycle:model" value="standard"/>
`;

/** Minutes east of UTC of an RFC 3339 text; 0 for "Z" and for no offset. */
function offsetOf(timestamp: string): number {
  const match = /([+-])(\d\d):(\d\d)$/.exec(timestamp);
  if (match === null) return 0;
  const minutes = Number(match[2]) * 60 + Number(match[3]);
  return match[1] === '-' ? -minutes : minutes;
}

/** Characters that XML 1.0 cannot hold become U+FFFD. */
const XML = { invalidCharReplacement: '\ufffd' } as const;

type Attribute = readonly [
  type: 'string' | 'int' | 'float' | 'boolean' | 'date',
  key: string,
  value: string | number,
];

function attributes(parent: ReturnType<typeof fragment>, list: readonly Attribute[]): void {
  for (const [type, key, value] of list) parent.ele(type, { key, value: String(value) });
}

function traceXml(log: JobLog, times: JobTimes, alias: (name: string) => string): string {
  const root = fragment(XML);
  const trace = root.ele('trace');
  attributes(trace as ReturnType<typeof fragment>, [
    ['string', 'concept:name', times.job],
    ['string', 'product', times.product],
    ['int', 'product_revision', times.product_revision],
    ['string', 'replaced', times.replace.join(' ')],
    ['string', 'outcome', times.outcome ?? 'unfinished'],
    ['int', 'active_ms', times.active_ms],
  ]);
  const offset = offsetOf(times.started);
  for (const one of xesEvents(log)) {
    attributes(trace.ele('event') as ReturnType<typeof fragment>, [
      ['string', 'concept:name', one.step],
      ['string', 'concept:instance', `${one.step}#${one.instance}`],
      ['string', 'lifecycle:transition', one.transition],
      ['string', 'org:resource', alias(one.technician)],
      ['date', 'time:timestamp', timestampFromEpochMs(times.started_s * 1000 + one.at_ms, offset)],
      ['string', 'stage', one.stage],
      ['string', 'sentence', one.say],
      ...one.readings.map((reading): Attribute => ['float', `reading ${reading.name}`, reading.value]),
    ]);
  }
  return root.toString({ prettyPrint: true, offset: 1 });
}

/**
 * The XES text of many jobs, in pieces: head, one piece a job, end. Put together they are the file; a large
 * export can be written piece by piece. Jobs whose log cannot be trusted are left out.
 */
export function* xesPieces(logs: Iterable<JobLog>, alias: (name: string) => string): Generator<string> {
  yield HEAD;
  for (const log of logs) {
    if (log.verdict === 'unknown' || log.lines.length === 0) continue;
    yield `${traceXml(log, jobTimeline(log.job, log.lines, log.verdict).times, alias)}\n`;
  }
  yield '</log>\n';
}

/** The whole XES file as one text. */
export function xesOf(logs: Iterable<JobLog>, alias: (name: string) => string): string {
  return [...xesPieces(logs, alias)].join('');
}
