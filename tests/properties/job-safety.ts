/**
 * The safety of a job judged from its records alone. It knows the plan and the log and nothing of the
 * engine: none of the engine's code is used, so that a wrong idea there is not repeated here.
 */
import type { JobRecord } from '../../electron/core/job/model.ts';
import type { Plan, PlanCaution, PlanStep } from '../../electron/core/plan/model.ts';

const RANK = ['danger', 'warning', 'caution', 'notice'];
const SHOWS_SAFE = ['verify-dead', 'discharge', 'isolate'];

interface Watch {
  at: number;
  technician: string;
  lastWorker: string;
  done: string[];
  everAcknowledged: Map<string, Set<string>>;
  acknowledgedNow: Set<string>;
  heardNow: Set<string>;
  started: string | null;
  mustAll: boolean;
  reopened: boolean;
  paused: boolean;
  finished: boolean;
  asked: string | null;
  answeredYes: string | null;
  proposed: JobRecord | null;
  /** How far a spoken note is allowed: asked for with "yes", or being recorded. */
  sound: 'none' | 'wanted' | 'recorded';
  readings: Map<string, 'within' | 'out' | 'excused'>;
  serials: Set<string>;
  signed: Set<string>;
  out: Map<number, number>;
  taken: Map<string, [number, number][]>;
}

/** Everything that is unsafe or disorderly in the records of a job; empty where nothing is. */
export function unsafe(plan: Plan, records: readonly JobRecord[]): readonly string[] {
  const found: string[] = [];
  const w: Watch = {
    at: -1,
    technician: '',
    lastWorker: '',
    done: [],
    everAcknowledged: new Map(),
    acknowledgedNow: new Set(),
    heardNow: new Set(),
    started: null,
    mustAll: false,
    reopened: false,
    paused: false,
    finished: false,
    asked: null,
    answeredYes: null,
    proposed: null,
    sound: 'none',
    readings: new Map(),
    serials: new Set(),
    signed: new Set(),
    out: new Map(),
    taken: new Map(),
  };
  let time = 0;
  records.forEach((record, i) => {
    const bad = (what: string): void => {
      found.push(`record ${i} ${record.event}: ${what}`);
    };
    if (record.at_ms < time) bad(`time runs backwards from ${time} to ${record.at_ms}`);
    time = record.at_ms;
    if ((i === 0) !== (record.event === 'job.opened')) bad('job.opened is the first record and only that');
    if (w.finished) bad('after the end');
    look(plan, w, record, bad);
    if (record.event !== 'question.answered') w.answeredYes = null;
    if (record.event !== 'job.reopened') w.reopened = false;
  });
  return found;
}

function cautionsAt(plan: Plan, index: number): readonly PlanCaution[] {
  const all = [...(index === 0 ? plan.job_cautions : []), ...(plan.steps[index]?.cautions ?? [])];
  return all.filter((caution, i) => all.findIndex((other) => other.id === caution.id) === i);
}

/** Cautions that are still in the way of going forward from the step shown. */
function inTheWay(plan: Plan, w: Watch): readonly string[] {
  const ever = w.everAcknowledged.get(`${w.at}`) ?? new Set<string>();
  const all = [...cautionsAt(plan, w.at), ...(w.mustAll ? plan.job_cautions : [])];
  return all
    .filter((caution) => {
      if (w.mustAll) return !w.acknowledgedNow.has(caution.id);
      if (!ever.has(caution.id)) return true;
      const grave = caution.word === 'danger' || caution.word === 'warning';
      return grave && !w.acknowledgedNow.has(caution.id);
    })
    .map((caution) => caution.id);
}

type Bad = (what: string) => void;

function look(plan: Plan, w: Watch, record: JobRecord, bad: Bad): void {
  lookAtJob(plan, w, record, bad);
  lookAtSteps(plan, w, record, bad);
  lookAtCautions(plan, w, record, bad);
  lookAtValues(plan, w, record, bad);
  lookAtSound(w, record, bad);
  lookAtQuestions(w, record, bad);
}

function lookAtJob(plan: Plan, w: Watch, record: JobRecord, bad: Bad): void {
  switch (record.event) {
    case 'job.opened':
      w.technician = record.technician;
      return;
    case 'job.reopened':
      w.reopened = true;
      w.started = null;
      w.asked = null;
      w.proposed = null;
      w.heardNow = new Set();
      return;
    case 'job.paused':
      w.paused = true;
      w.asked = null;
      w.proposed = null;
      return;
    case 'job.resumed':
      if (!w.paused) bad('was not paused');
      w.paused = false;
      return;
    case 'job.handed-over':
      w.technician = record.to;
      w.everAcknowledged = new Map();
      w.acknowledgedNow = new Set();
      w.heardNow = new Set();
      w.mustAll = w.done.length < plan.steps.length || w.at < plan.steps.length - 1;
      w.asked = null;
      w.proposed = null;
      return;
    case 'job.finished': {
      w.finished = true;
      const left = [...w.out.values()].filter((count) => count > 0).length;
      if (record.open_compartments !== left) bad(`${left} compartments are open`);
      if (record.outcome === 'given-up' && w.answeredYes !== 'give-up') bad('given up without asking');
      if (record.outcome !== 'completed') return;
      if (w.answeredYes !== 'tray-empty') bad('nobody looked whether the tray is empty');
      if (w.done.length !== plan.steps.length) bad(`${w.done.length} of ${plan.steps.length} steps are done`);
      if (left > 0) bad('the tray is not empty');
      return;
    }
    default:
      return;
  }
}

function lookAtSteps(plan: Plan, w: Watch, record: JobRecord, bad: Bad): void {
  switch (record.event) {
    case 'step.shown': {
      const index = plan.steps.findIndex((step) => step.id === record.step);
      if (index < 0) bad('unknown step');
      if (index > w.done.length) bad('shown before it was reached');
      if (index > w.at && w.at >= 0) forward(plan, w, bad);
      if (w.paused) bad('while paused');
      const stays = w.reopened && index === w.at;
      if (!stays) {
        w.acknowledgedNow = new Set();
        w.mustAll = false;
      }
      w.heardNow = new Set();
      w.started = null;
      w.reopened = false;
      w.at = index;
      w.asked = null;
      w.proposed = null;
      return;
    }
    case 'step.confirmed':
    case 'step.skipped': {
      const step = plan.steps[w.done.length];
      if (step === undefined || record.step !== step.id || w.at !== w.done.length) {
        bad('not the next step to do');
        return;
      }
      forward(plan, w, bad);
      if (w.paused) bad('while paused');
      if (record.event === 'step.skipped') {
        if (w.answeredYes !== 'skip') bad('left out without asking');
        if (!step.optional) bad('is not optional');
        if (step.hold !== null || SHOWS_SAFE.includes(step.action)) bad('protects, and was left out');
      } else {
        settles(plan, w, step, bad);
      }
      w.done.push(step.id);
      w.lastWorker = w.technician;
      w.asked = null;
      return;
    }
    case 'step.undone': {
      if (w.answeredYes !== 'undo') bad('taken back without asking');
      const last = w.done.pop();
      if (last !== record.step) bad('not the last step done');
      for (const [place, by] of w.taken.get(record.step) ?? [])
        w.out.set(place, (w.out.get(place) ?? 0) - by);
      w.readings.delete(record.step);
      w.serials.delete(record.step);
      w.signed.delete(record.step);
      // Going back is not going forward: the step shown next is before the one shown now.
      w.at = w.done.length;
      w.asked = null;
      return;
    }
    default:
      return;
  }
}

/** Going forward from the step shown: nothing may be in the way. */
function forward(plan: Plan, w: Watch, bad: Bad): void {
  const left = inTheWay(plan, w);
  if (left.length > 0) bad(`past the cautions ${left.join(', ')} of step ${w.at}`);
}

function settles(plan: Plan, w: Watch, step: PlanStep, bad: Bad): void {
  if (step.measure !== null) {
    const reading = w.readings.get(step.id);
    const excused = reading === 'excused' && !SHOWS_SAFE.includes(step.action);
    if (reading !== 'within' && !excused) bad(`no good reading: ${reading}`);
  }
  if (step.record !== null && !w.serials.has(step.id)) bad('no serial');
  if (step.hold !== null && !w.signed.has(step.id)) bad('not signed off');
  if (w.asked !== null) bad(`while "${w.asked}" is open`);
  const changes: [number, number][] = [];
  const installs = plan.steps
    .filter((one) => one.action === 'install-fasteners')
    .flatMap((one) => one.fasteners.map((group) => group.compartment));
  for (const group of step.fasteners) {
    const place = group.compartment;
    if (place === null || !plan.tray.some((one) => one.number === place)) continue;
    const now = w.out.get(place) ?? 0;
    let by = 0;
    if (step.action === 'remove-fasteners') by = group.count;
    if (step.action === 'install-fasteners') by = -Math.min(Math.max(now, 0), group.count);
    if (step.action === 'tighten-fasteners' && !installs.includes(place)) {
      by = -Math.min(Math.max(now, 0), group.count);
    }
    w.out.set(place, now + by);
    changes.push([place, by]);
  }
  w.taken.set(step.id, changes);
}

function lookAtCautions(plan: Plan, w: Watch, record: JobRecord, bad: Bad): void {
  switch (record.event) {
    case 'caution.started':
      if (record.step !== plan.steps[w.at]?.id) bad('of another step');
      w.started = record.caution;
      return;
    case 'caution.read':
      if (w.started !== record.caution) bad('was not started');
      w.heardNow.add(record.caution);
      return;
    case 'caution.acknowledged': {
      if (!w.heardNow.has(record.caution)) bad('was not read to its end');
      if (w.started !== record.caution) bad('another caution was being read');
      if (w.paused) bad('while paused');
      const left = inTheWay(plan, w);
      const own = rank(plan, record.caution);
      if (left.some((id) => rank(plan, id) < own)) bad('a more severe one comes first');
      w.acknowledgedNow.add(record.caution);
      const key = `${w.at}`;
      const ever = w.everAcknowledged.get(key) ?? new Set<string>();
      w.everAcknowledged.set(key, ever.add(record.caution));
      return;
    }
    default:
      return;
  }
}

function rank(plan: Plan, id: string): number {
  const all = [...plan.steps.flatMap((step) => step.cautions), ...plan.job_cautions];
  return Math.min(...all.filter((caution) => caution.id === id).map((caution) => RANK.indexOf(caution.word)));
}

function lookAtValues(plan: Plan, w: Watch, record: JobRecord, bad: Bad): void {
  switch (record.event) {
    case 'reading.proposed':
    case 'serial.proposed':
      if (inTheWay(plan, w).length > 0) bad('before the cautions');
      w.proposed = record;
      return;
    case 'reading.confirmed': {
      const proposed = w.proposed?.event === 'reading.proposed' ? w.proposed : null;
      if (proposed === null || proposed.value !== record.value || proposed.step !== record.step) {
        bad('not what was read back');
      }
      const measure = plan.steps[w.at]?.measure;
      const low = measure?.min ?? Number.NEGATIVE_INFINITY;
      const high = measure?.max ?? Number.POSITIVE_INFINITY;
      const within = record.value >= low && record.value <= high;
      if (within !== record.within) bad(`${record.value} against ${low} to ${high}`);
      w.readings.set(record.step, within ? 'within' : 'out');
      w.proposed = null;
      return;
    }
    case 'serial.confirmed': {
      const proposed = w.proposed?.event === 'serial.proposed' ? w.proposed : null;
      if (proposed === null || proposed.value !== record.value || proposed.step !== record.step) {
        bad('not what was read back');
      }
      w.serials.add(record.step);
      w.proposed = null;
      return;
    }
    case 'value.rejected':
      w.proposed = null;
      return;
    case 'problem.settled':
      if (record.decision === 'go-on' && w.readings.get(record.step) === 'out') {
        w.readings.set(record.step, 'excused');
      }
      return;
    case 'hold.signed':
      if (record.person.toLowerCase() === w.technician.toLowerCase()) bad('signed by the technician');
      if (record.person.toLowerCase() === w.lastWorker.toLowerCase()) bad('signed by who did the work');
      if (inTheWay(plan, w).length > 0) bad('before the cautions');
      w.signed.add(record.step);
      return;
    case 'fastener.found':
      w.out.set(record.compartment, (w.out.get(record.compartment) ?? 0) + record.difference);
      return;
    default:
      return;
  }
}

/** Sound is kept only where somebody said "yes" to it, and once for each "yes". */
function lookAtSound(w: Watch, record: JobRecord, bad: Bad): void {
  if (record.event === 'question.answered' && record.question === 'note')
    w.sound = record.answer === 'yes' ? 'wanted' : 'none';
  else if (record.event === 'note.started') {
    if (w.sound !== 'wanted') bad('nobody wanted a spoken note');
    w.sound = 'recorded';
  } else if (record.event === 'note.taken') {
    if (record.audio !== null && w.sound !== 'recorded') bad('kept sound that was not recorded');
    w.sound = 'none';
  } else if (record.event === 'note.dropped' || record.event === 'job.reopened') w.sound = 'none';
  // That the mouth is late in telling how an earlier sentence ended moves nothing.
  else if (w.sound !== 'none' && record.event.startsWith('step.') && record.event !== 'step.read')
    bad('while a note is spoken');
}

function lookAtQuestions(w: Watch, record: JobRecord, bad: Bad): void {
  if (record.event === 'question.asked') {
    w.asked = record.question;
    w.proposed = null;
  }
  if (record.event === 'question.answered') {
    if (w.asked !== record.question) bad(`"${record.question}" was answered and not asked`);
    w.asked = null;
    w.answeredYes = record.answer === 'yes' ? record.question : null;
  }
  if (record.event === 'count.confirmed' && record.counted === record.expected) w.asked = null;
  if (record.event === 'note.taken' && w.asked === 'note') w.asked = null;
}
