/**
 * The service report of one job, for the customer: what the unit was, what was done to it, with which
 * readings, what was found and used, and who signed. One printable page without anything from elsewhere.
 */
import type { JobReview } from '../review/model.ts';
import { dateText, html, type Markup, page, spanText, table } from './html-text.ts';
import { timelinePicture } from './pictures.ts';

const OUTCOME: Readonly<Record<JobReview['summary']['state'], string>> = {
  completed: 'Completed',
  'given-up': 'Given up before the end',
  unfinished: 'Not finished yet',
  unknown: 'Unknown: the record of this job cannot be trusted to its end',
};

function pair(name: string, value: string | null): Markup | string {
  return value === null || value === '' ? '' : html`<dt>${name}</dt><dd>${value}</dd>`;
}

function list(title: string, items: readonly (string | Markup)[], none: string): Markup {
  if (items.length === 0) return html`<h2>${title}</h2><p>${none}</p>`;
  return html`<h2>${title}</h2><ul>${items.map((item) => html`<li>${item}</li>`)}</ul>`;
}

function limitsText(min: number | null, max: number | null, unit: string): string {
  if (min !== null && max !== null) return `${min} to ${max} ${unit}`;
  if (min !== null) return `at least ${min} ${unit}`;
  return max === null ? '–' : `at most ${max} ${unit}`;
}

function readings(review: JobReview): Markup {
  if (review.readings.length === 0) return html`<h2>Readings</h2><p>No readings were taken.</p>`;
  const rows = review.readings.map((one) => [
    one.name,
    html`${one.value} ${one.unit}`,
    limitsText(one.min, one.max, one.unit),
    one.within ? 'within limits' : html`<span class="bad">outside limits</span>`,
  ]);
  return html`<h2>Readings</h2>${table('Readings', ['Reading', 'Value', 'Limits', 'Result'], rows)}`;
}

function findings(review: JobReview, sayOf: (step: string) => string): Markup {
  const problems = review.problems.map((one) => {
    const decision =
      one.decision === 'stop' ? ', work was stopped' : one.decision === 'go-on' ? ', work went on' : '';
    return html`<span class="bad">Problem: ${one.kind}${decision}</span> (${sayOf(one.step)})`;
  });
  const notes = review.notes.map((one) =>
    one.audio === null
      ? html`Note: ${one.text} (${sayOf(one.step)})`
      : html`Spoken note, ${Math.max(1, Math.round(one.audio_ms / 1000))} s: ${one.audio} (${sayOf(one.step)}) <span class="note">SHA-256 ${one.audio_sha256 ?? ''}</span>`,
  );
  const missing = review.counts
    .filter((one) => one.counted !== one.expected)
    .map((one) => html`Fasteners counted: ${one.counted} of ${one.expected} (${sayOf(one.step)})`);
  const skipped = review.skipped.map((one) => html`Step skipped: ${one.say}`);
  return list('Findings', [...problems, ...missing, ...notes, ...skipped], 'Nothing was found.');
}

function cautions(review: JobReview): Markup {
  if (review.cautions.length === 0) return html``;
  const rows = review.cautions.map((one) => [
    one.word.toUpperCase(),
    one.hazard,
    one.acknowledged ? 'understood' : html`<span class="bad">not answered</span>`,
  ]);
  return html`<h2>Cautions</h2>${table('Cautions given before their steps', ['Word', 'Hazard', 'Answer'], rows)}`;
}

function used(review: JobReview): (string | Markup)[] {
  return review.consumables.map((one) => {
    const amount = one.amount === null ? '' : `, ${one.amount} each`;
    return `${one.name}: ${one.count}×${amount}`;
  });
}

/**
 * The report as HTML. `technician` is the name to print (a pseudonym unless the site shows names); `made` is
 * the time of making it, RFC 3339, or empty.
 */
export function serviceReport(review: JobReview, technician: string, made = ''): string {
  const says = new Map(review.steps.map((step) => [step.step, step.say]));
  const sayOf = (step: string): string => says.get(step) ?? step;
  const { summary, times } = review;
  const state = summary.state;
  const bad = state === 'completed' ? 'good' : 'bad';
  const body = html`<header><h1>Service report</h1>
<p class="${bad}">${OUTCOME[state]}</p>
<dl>${pair('Unit', summary.product_name)}${pair('Serial number', review.unit_serial)}${pair('Work order', review.work_order)}${pair('Reported fault', review.reported_fault)}${pair('Technician', technician)}${pair('Begun', dateText(summary.started))}${pair('Finished', review.finished === null ? null : dateText(review.finished))}${pair('Time of work', spanText(times.active_ms))}</dl></header>
<main>${list(
    'Replaced',
    review.replaced.map((one) => one.name),
    'No part was replaced.',
  )}
${list(
  'Serial numbers recorded',
  review.serials.map((one) => `${one.name}: ${one.value}`),
  'None.',
)}
${readings(review)}
${findings(review, sayOf)}
${list('Used up and renewed', used(review), 'Nothing.')}
${cautions(review)}
${list(
  'Signed off by a second person',
  review.holds.map((one) => html`${sayOf(one.step)} (${one.person}, ${dateText(one.at)})`),
  'No step needed it.',
)}
<h2>Course</h2>${timelinePicture(review)}
<div class="signature"><div>Technician, date</div><div>Customer, date</div></div></main>
<footer><p class="note">Job ${summary.job}. ${summary.step_number} of ${summary.step_total} steps. ${
    review.verified
      ? 'The record of this job was checked: its chain of hashes is unbroken.'
      : 'The record of this job could not be checked to its end; what is printed here comes from the part before the break.'
  }${made === '' ? '' : ` Printed ${dateText(made)}.`} Local codes and the service documents of the maker come first.</p></footer>`;
  return page(`Service report ${summary.product_name} ${review.unit_serial ?? ''}`.trim(), body);
}
