/**
 * Cautions of a job: how long each was read and how long "understood" took after it.
 */
import type { LogLine } from '../log/model.ts';
import type { PlanCaution } from '../plan/model.ts';
import { type CautionTally, mark, text, type Walk } from './time-walk.ts';

function findCaution(walk: Walk, step: string, caution: string): PlanCaution | undefined {
  const inStep = walk.planSteps.get(step)?.step.cautions.find((one) => one.id === caution);
  return inStep ?? walk.plan.job_cautions.find((one) => one.id === caution);
}

function countWords(sentence: string): number {
  return sentence.split(/\s+/).filter((word) => word !== '').length;
}

function newCaution(walk: Walk, step: string, id: string): CautionTally {
  const planned = findCaution(walk, step, id);
  return {
    step,
    caution: id,
    word: planned?.word ?? 'unknown',
    hazard: planned?.hazard ?? id,
    words: countWords(planned?.say ?? ''),
    by: null,
    read_ms: null,
    read_to_acknowledged_ms: null,
    acknowledged: false,
  };
}

/** The tally a record about a caution belongs to; a repeated reading of one not yet understood goes on with it. */
function tallyFor(walk: Walk, step: string, id: string, starts: boolean): CautionTally {
  const key = `${step}\n${id}`;
  const known = walk.cautions[walk.latestCaution.get(key) ?? -1];
  if (known !== undefined && !(starts && known.acknowledged)) return known;
  const tally = newCaution(walk, step, id);
  walk.latestCaution.set(key, walk.cautions.length);
  walk.cautions.push(tally);
  return tally;
}

/** Changes of the state by records about cautions. Time is `active_ms`, so pauses do not count. */
export function onCaution(walk: Walk, line: LogLine): void {
  const tally = tallyFor(walk, text(line, 'step'), text(line, 'caution'), line.event === 'caution.started');
  walk.cautionReading = line.event === 'caution.started';
  walk.cautionWaiting = line.event === 'caution.read' || line.event === 'caution.interrupted';
  switch (line.event) {
    case 'caution.started':
      walk.cautionStarted_ms = walk.active_ms;
      walk.cautionRead_ms = null;
      return;
    case 'caution.read':
      tally.by = text(line, 'by') === 'screen' ? 'screen' : 'voice';
      tally.read_ms = walk.active_ms - walk.cautionStarted_ms;
      walk.cautionRead_ms = walk.active_ms;
      return;
    case 'caution.acknowledged':
      tally.acknowledged = true;
      if (walk.cautionRead_ms !== null) tally.read_to_acknowledged_ms = walk.active_ms - walk.cautionRead_ms;
      mark(walk, line, 'caution', tally.hazard);
      return;
    default:
      return;
  }
}

/** Cautions of confirmed steps that no record mentions: they should have been read and were not. */
export function addUnreadCautions(walk: Walk): void {
  for (const tally of walk.steps.values()) {
    if (tally.state !== 'confirmed') continue;
    for (const caution of walk.planSteps.get(tally.step)?.step.cautions ?? []) {
      if (walk.latestCaution.has(`${tally.step}\n${caution.id}`)) continue;
      walk.cautions.push(newCaution(walk, tally.step, caution.id));
    }
  }
}
