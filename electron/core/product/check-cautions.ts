/**
 * Checks of cautions: the signal word fits what can happen (ANSI Z535.4: danger, warning and caution
 * for injury, notice for damage to things), and each caution can be said before something.
 */
import type { CheckSubject } from './check-subject.ts';
import type { Hazard } from './model.ts';

/** Hazards that hurt people, whatever the text says. */
const HURTS: ReadonlySet<Hazard['symbol']> = new Set<Hazard['symbol']>([
  'electric',
  'hot',
  'sharp',
  'pinch',
  'chemical',
  'pressure',
  'eye',
  'heavy',
]);
/** Hazards to the equipment only. */
const DAMAGES: ReadonlySet<Hazard['symbol']> = new Set<Hazard['symbol']>(['esd', 'fragile']);

const INJURY =
  /\b(?:injur\w*|deaths?|die|kill\w*|burns?|wounds?|blind\w*|electric shocks?|electrocut\w*|hurts?|poison\w*)\b/i;
const SEVERE =
  /\b(?:death|die|kill\w*|serious\w*|severe\w*|blind\w*|electrocut\w*|fatal\w*|fire|explo\w*)\b/i;

/** Reports signal words that do not fit their hazard, and cautions that are never said or said twice. */
export function checkCautions(subject: CheckSubject): void {
  for (const [index, hazard] of subject.product.hazards.entries()) {
    const path = ['hazards', index, 'word'];
    const facts = { hazard: hazard.id, word: hazard.word, symbol: hazard.symbol };
    if (hazard.word === 'notice') {
      const named = INJURY.test(hazard.consequence) || INJURY.test(hazard.hazard);
      if (HURTS.has(hazard.symbol)) subject.report('product/notice-for-injury', 'error', facts, path);
      else if (named) subject.report('product/notice-for-injury', 'warning', facts, path);
    } else if (DAMAGES.has(hazard.symbol)) {
      const severity = hazard.word === 'caution' ? 'warning' : 'error';
      subject.report('product/signal-word-for-damage', severity, facts, path);
    } else if (hazard.word === 'danger' && !SEVERE.test(hazard.consequence)) {
      subject.report('product/danger-without-severe-injury', 'advice', facts, [
        'hazards',
        index,
        'consequence',
      ]);
    }
  }
  for (const { step, path } of subject.steps) checkStepCautions(subject, step, path);
}

function checkStepCautions(
  subject: CheckSubject,
  step: CheckSubject['steps'][number]['step'],
  path: CheckSubject['steps'][number]['path'],
): void {
  for (const key of ['hazards', 'hazards_back'] as const) {
    const list = step[key] ?? [];
    const twice = list.find((each, index) => list.indexOf(each) < index);
    if (twice === undefined) continue;
    subject.report('product/caution-twice', 'warning', { step: step.id, hazard: twice }, [...path, key]);
  }
  if (step.hazards_back !== undefined && step.hazards_back.length > 0 && step.way === 'in') {
    const facts = { step: step.id, hazard: step.hazards_back[0] ?? '' };
    subject.report('product/caution-never-said', 'error', facts, [...path, 'hazards_back']);
  }
}
