/**
 * The service report of one job, for the customer: what the unit was, what was done to it, with which
 * readings, what was found and used, and who signed. One printable page without anything from elsewhere.
 */
import { ENGLISH, type Language } from '../base/language.ts';
import { printedIn } from '../base/message.ts';
import type { JobReview } from '../review/model.ts';
import { dateText, html, type Markup, page, spanText, table } from './html-text.ts';
import { timelinePicture } from './pictures.ts';

type Words = Language['reports']['service'];

function pair(name: string, value: string | null): Markup | string {
  return value === null || value === '' ? '' : html`<dt>${name}</dt><dd>${value}</dd>`;
}

function list(title: string, items: readonly (string | Markup)[], none: string): Markup {
  if (items.length === 0) return html`<h2>${title}</h2><p>${none}</p>`;
  return html`<h2>${title}</h2><ul>${items.map((item) => html`<li>${item}</li>`)}</ul>`;
}

function limitsText(min: number | null, max: number | null, unit: string, words: Words): string {
  if (min !== null && max !== null) return words['limits-between']({ min, max, unit });
  if (min !== null) return words['limits-least']({ min, unit });
  return max === null ? '–' : words['limits-most']({ max, unit });
}

function readings(review: JobReview, language: Language): Markup {
  const words = language.reports.service;
  const title = words.readings();
  if (review.readings.length === 0) return html`<h2>${title}</h2><p>${words['no-readings']()}</p>`;
  const rows = review.readings.map((one) => [
    one.name,
    html`${printedIn(language.rules, one.value)} ${one.unit}`,
    limitsText(one.min, one.max, one.unit, words),
    one.within ? words.within() : html`<span class="bad">${words.outside()}</span>`,
  ]);
  const head = [words.reading(), words.value(), words.limits(), words.result()];
  return html`<h2>${title}</h2>${table(title, head, rows)}`;
}

function findings(review: JobReview, sayOf: (step: string) => string, language: Language): Markup {
  const words = language.reports.service;
  const at = (step: string): string => words['at-step']({ step: sayOf(step) });
  const problems = review.problems.map((one) => {
    const said = language.prompts[`problem.${one.kind}` as 'problem.injury']?.() ?? one.kind;
    const text = words.problem({ kind: said, decision: one.decision });
    return html`<span class="bad">${text}</span> ${at(one.step)}`;
  });
  const notes = review.notes.map((one) =>
    one.audio === null
      ? html`${words.note({ text: one.text })} ${at(one.step)}`
      : html`${words['spoken-note']({ s: Math.max(1, Math.round(one.audio_ms / 1000)), file: one.audio })} ${at(one.step)} <span class="note">SHA-256 ${one.audio_sha256 ?? ''}</span>`,
  );
  const missing = review.counts
    .filter((one) => one.counted !== one.expected)
    .map((one) => html`${words.counted({ counted: one.counted, expected: one.expected })} ${at(one.step)}`);
  const skipped = review.skipped.map((one) => words.skipped({ step: one.say }));
  return list(words.findings(), [...problems, ...missing, ...notes, ...skipped], words['no-findings']());
}

function cautions(review: JobReview, language: Language): Markup {
  const words = language.reports.service;
  if (review.cautions.length === 0) return html``;
  const rows = review.cautions.map((one) => [
    language.table.page.signal[one.word as 'danger'] ?? one.word.toUpperCase(),
    one.hazard,
    one.acknowledged ? words.understood() : html`<span class="bad">${words['not-answered']()}</span>`,
  ]);
  const head = [words.word(), words.hazard(), words.answer()];
  return html`<h2>${words.cautions()}</h2>${table(words['cautions-table'](), head, rows)}`;
}

function used(review: JobReview, words: Words): string[] {
  return review.consumables.map(({ name, count, amount }) => words['used-one']({ name, count, amount }));
}

/**
 * The report as HTML. `technician` is the name to print (a pseudonym unless the site shows names); `made` is
 * the time of making it, RFC 3339, or empty. What was said in the job stays in the language of its plan.
 */
export function serviceReport(
  review: JobReview,
  technician: string,
  made = '',
  language: Language = ENGLISH,
): string {
  const words = language.reports.service;
  const says = new Map(review.steps.map((step) => [step.step, step.say]));
  const sayOf = (step: string): string => says.get(step) ?? step;
  const { summary, times } = review;
  const state = summary.state;
  const bad = state === 'completed' ? 'good' : 'bad';
  const facts = [
    pair(words.unit(), summary.product_name),
    pair(words['serial-number'](), review.unit_serial),
    pair(words['work-order'](), review.work_order),
    pair(words['reported-fault'](), review.reported_fault),
    pair(words.technician(), technician),
    pair(words.begun(), dateText(summary.started)),
    pair(words.finished(), review.finished === null ? null : dateText(review.finished)),
    pair(words['time-of-work'](), spanText(times.active_ms, language)),
  ];
  const serials = review.serials.map(({ name, value }) => words['named-value']({ name, value }));
  const replaced = review.replaced.map((one) => one.name);
  const holds = review.holds.map((one) =>
    words['signed-one']({ step: sayOf(one.step), person: one.person, at: dateText(one.at) }),
  );
  const foot = words.foot({
    job: summary.job,
    done: summary.step_number,
    total: summary.step_total,
    verified: review.verified,
    printed: made === '' ? '' : dateText(made),
  });
  const body = html`<header><h1>${words.title()}</h1>
<p class="${bad}">${language.reports.outcome[state]()}</p>
<dl>${facts}</dl></header>
<main>${list(words.replaced(), replaced, words['nothing-replaced']())}
${list(words.serials(), serials, words['no-serials']())}
${readings(review, language)}
${findings(review, sayOf, language)}
${list(words.used(), used(review, words), words['none-used']())}
${cautions(review, language)}
${list(words.signed(), holds, words['none-signed']())}
<h2>${words.course()}</h2>${timelinePicture(review, language)}
<div class="signature"><div>${words['technician-date']()}</div><div>${words['customer-date']()}</div></div></main>
<footer><p class="note">${foot}</p></footer>`;
  const title = words['page-title']({ product: summary.product_name, serial: review.unit_serial });
  return page(title.trim(), body, language);
}
