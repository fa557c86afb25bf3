/**
 * Checks of what is said: names that sound alike, authors' sentences against controlled English, times
 * that are missing, records whose lengths cross.
 */
import type { CheckSubject } from './check-subject.ts';
import { checkSentence, MAX_NOUN_CLUSTER, nounCluster } from './controlled-english.ts';
import type { ProductStep, RecordField } from './model.ts';
import { pronunciationsAlike, roughPronunciation } from './sounds-alike.ts';
import type { Path } from './yaml-document.ts';

/** Above this many parts the comparison of every pair of names is left out: it grows with the square. */
export const MAX_COMPARED_NAMES = 500;

/** Reports what is wrong with names, sentences and times. Pairs of names: up to `MAX_COMPARED_NAMES` parts. */
export function checkTexts(subject: CheckSubject): void {
  checkNames(subject);
  checkClusters(subject);
  for (const { step, path } of subject.steps) {
    for (const key of ['say', 'say_back'] as const) {
      const text = step[key];
      if (text === undefined || step.mirrors !== undefined) continue;
      for (const finding of checkSentence(text)) {
        subject.report(finding.code, 'advice', { step: step.id, ...finding.facts }, [...path, key]);
      }
    }
    if (step.expected_s === undefined) {
      subject.report('product/no-expected-time', 'advice', { step: step.id }, [...path, 'id']);
    }
    if (step.action.kind === 'record') checkRecord(subject, step.action.record, [...path, 'record']);
    if (step.way === 'in') checkNeverSaid(subject, step, path);
  }
  const { product } = subject;
  if (product.unit_serial) checkRecord(subject, product.unit_serial, ['unit_serial']);
  for (const [index, part] of product.parts.entries()) {
    if (part.serial) checkRecord(subject, part.serial, ['parts', index, 'serial']);
  }
}

/** Texts for the way back at a step that has none. */
function checkNeverSaid(subject: CheckSubject, step: ProductStep, path: Path): void {
  const back = step.action.kind === 'do' ? step.action.back : undefined;
  for (const [key, text] of [
    ['say_back', step.say_back],
    ['why_back', step.why_back],
    ['look_for_back', step.look_for_back],
    ['back', back],
  ] as const) {
    if (text === undefined) continue;
    subject.report('product/never-said', 'warning', { step: step.id, key }, [...path, key]);
  }
}

function checkRecord(subject: CheckSubject, record: RecordField, path: Path): void {
  const { min_length: min, max_length: max } = record;
  if (min === undefined || max === undefined || min <= max) return;
  subject.report('product/lengths-crossed', 'error', { record: record.id, min, max }, [
    ...path,
    'min_length',
  ]);
}

/** Names stand in every sentence about their thing: one of more than three nouns makes each of them hard to hear. */
function checkClusters({ product, report }: CheckSubject): void {
  for (const list of ['parts', 'fasteners', 'items', 'tools', 'consumables'] as const)
    for (const [index, { name }] of product[list].entries()) {
      const cluster = nounCluster(name);
      if (cluster === undefined) continue;
      report('text/noun-cluster', 'advice', { cluster, limit: MAX_NOUN_CLUSTER }, [list, index, 'name']);
    }
}

function checkNames(subject: CheckSubject): void {
  const { parts } = subject.product;
  if (parts.length > MAX_COMPARED_NAMES) return;
  const sounds = parts.map((part) => roughPronunciation(part.name));
  for (const [index, part] of parts.entries()) {
    const other = parts.findIndex(
      (_, earlier) => earlier < index && pronunciationsAlike(sounds[earlier] ?? '', sounds[index] ?? ''),
    );
    if (other < 0) continue;
    const facts = { name: part.name, other: parts[other]?.name ?? '' };
    subject.report('product/names-sound-alike', 'warning', facts, ['parts', index, 'name']);
  }
}
