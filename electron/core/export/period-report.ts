/** The printable report of a period, for the supervisor: the review's figures with what they rest on. */
import { ENGLISH, type Language } from '../base/language.ts';
import type { Figure, JobTypeReview, LearningFit, ReviewSummary } from '../review/model.ts';
import { reviewIn } from '../review/words.ts';
import { dateText, fixedText, html, type Markup, page, percentText, spanText, table } from './html-text.ts';
import { chartPicture, paretoPicture } from './pictures.ts';

/** A time with its interval and number: "12.0 s (11.1 to 13.4 s, n 20)". */
export function figureText(figure: Figure, language: Language = ENGLISH): string {
  const words = language.reports.period;
  const { n } = figure;
  const { value, low, high } = shown(figure, language);
  return low === null ? words['figure-alone']({ value, n }) : words.figure({ value, low, high, n });
}

/** The same without the number, for a row that has it: "12.0 s (11.1 to 13.4 s)". */
function intervalText(figure: Figure, language: Language): string {
  const { value, low, high } = shown(figure, language);
  return low === null ? value : language.reports.period.interval({ value, low, high });
}

/** The parts of a figure in words; `low` and `high` are null together. */
function shown(figure: Figure, language: Language) {
  const show = (value: number): string => {
    if (figure.unit === 'ms') return spanText(value, language);
    if (figure.unit === 'share') return percentText(value, language);
    return fixedText(value, 2, language);
  };
  const { value, low, high } = figure;
  if (value === null) return { value: '–', low: null, high: null };
  if (low === null || high === null) return { value: show(value), low: null, high: null };
  return { value: show(value), low: show(low), high: show(high) };
}

function steps(type: JobTypeReview, language: Language): Markup {
  const words = language.reports.period;
  const rows = type.steps.map((step) => [
    step.say,
    step.n,
    language.reports.span.seconds({ s: step.expected_s }),
    intervalText(step.median, language),
    spanText(step.p90_ms, language),
    percentText(step.share, language),
    intervalText(step.revisit_rate, language),
    intervalText(step.repeat_rate, language),
    intervalText(step.problem_rate, language),
    step.too_fast.count,
  ]);
  const head = [
    words.step(),
    words['jobs-head'](),
    words.expected(),
    words.median(),
    words.p90(),
    words.share(),
    words['gone-back'](),
    words['asked-again'](),
    words.problems(),
    words['too-fast'](),
  ];
  return table(words.steps(), head, rows);
}

function comparisons(type: JobTypeReview, language: Language): Markup[] {
  const words = language.reports.period;
  return type.comparisons.map((comparison) => {
    const rows = [comparison.job, ...comparison.steps].map((row) => [
      row.step === '' ? words['whole-job']() : row.say,
      `${row.n_a}, ${row.n_b}`,
      spanText(row.median_a_ms, language),
      spanText(row.median_b_ms, language),
      intervalText(row.ratio, language),
      row.p_holm === null ? '–' : fixedText(row.p_holm, 3, language),
      words.verdict[row.verdict](),
    ]);
    const head = [
      words.step(),
      words['jobs-head'](),
      comparison.a.text,
      comparison.b.text,
      words.ratio(),
      words['p-holm'](),
      words.result(),
    ];
    const title = words['comparison-title']({ b: comparison.b.text, a: comparison.a.text });
    return html`<h3>${title}</h3>${comparison.notices.map((one) => html`<p class="bad">${one.text}</p>`)}${table(words.comparison(), head, rows)}`;
  });
}

function learning(type: JobTypeReview, language: Language): Markup {
  const words = language.reports.period;
  const rate = (fit: LearningFit | null): string =>
    fit === null
      ? words['too-few-jobs']()
      : words['rate-value']({
          rate: percentText(fit.rate, language),
          low: percentText(2 ** fit.b_low, language),
          high: percentText(2 ** fit.b_high, language),
        });
  const rows = type.learning.map((curve) => {
    const next = curve.forecast[0];
    return [
      curve.technician,
      curve.points.length,
      rate(curve.fit),
      rate(curve.wright),
      next === undefined
        ? '–'
        : words.interval({
            value: spanText(next.active_ms, language),
            low: spanText(next.low, language),
            high: spanText(next.high, language),
          }),
      curve.plateau_from === null
        ? words['still-learning']()
        : words['from-job']({ number: curve.plateau_from }),
    ];
  });
  const head = [
    words.technician(),
    words['jobs-head'](),
    words.rate(),
    words['rate-wright'](),
    words['next-80'](),
    words.level(),
  ];
  return table(words.learning(), head, rows);
}

function standardLine(type: JobTypeReview, language: Language): Markup | string {
  const { standard } = type;
  if (standard === null) return '';
  const words = language.reports.period;
  const text = words['standard-value']({
    shift: spanText(standard.standard_of_shift_ms, language),
    work: spanText(standard.standard_of_work_ms, language),
    allowance: percentText(standard.allowance, language),
    rating: standard.rating,
    n: standard.n,
    left: standard.left_out,
    needed: standard.n_needed,
  });
  return html`<dt>${words.standard()}</dt><dd>${text}</dd>`;
}

function predictionLine(type: JobTypeReview, language: Language): Markup | string {
  const { prediction } = type;
  if (prediction === null) return '';
  const words = language.reports.period;
  const text = words['next-job-value']({
    expected: figureText(prediction.expected, language),
    coverage: figureText(prediction.coverage, language),
  });
  return html`<dt>${words['next-job']()}</dt><dd>${text}</dd>`;
}

function rewriteList(type: JobTypeReview, language: Language): Markup | string {
  if (type.rewrite.length === 0) return '';
  const words = language.reports.period;
  const items = type.rewrite.map((one) => {
    const [first = '', ...others] = one.reasons.map((reason) => reason.text);
    const reasons = others.reduce((all, next) => words['reason-between']({ reasons: all, next }), first);
    return html`<li><strong>${one.say}</strong> ${words.reasons({ reasons })}</li>`;
  });
  return html`<h3>${words['look-at']()}</h3><ol>${items}</ol>`;
}

function cautions(type: JobTypeReview, language: Language): Markup | string {
  if (type.cautions.length === 0) return '';
  const words = language.reports.period;
  const head = [words.caution(), words.given(), words.answer(), words['too-fast'](), words['not-answered']()];
  const rows = type.cautions.map((one) => [
    one.hazard,
    one.given,
    figureText(one.answer, language),
    figureText(one.too_fast_rate, language),
    one.unanswered,
  ]);
  return html`<h3>${words.cautions()}</h3>${table(words.cautions(), head, rows)}`;
}

/** How often each kind of lapse happened, and each of them. */
function lapses(summary: ReviewSummary, language: Language): Markup | string {
  if (summary.lapses.length === 0) return '';
  const words = language.reports.period;
  const rates = summary.lapse_rates.map(({ kind, rate }) => [
    words['lapse-kind'][kind](),
    figureText(rate, language),
  ]);
  const says = new Map(summary.types.flatMap((type) => type.steps.map((one) => [one.step, one.say])));
  const rows = summary.lapses.map((one) => [
    one.job,
    dateText(one.started),
    one.technician,
    one.step === null ? '–' : (says.get(one.step) ?? one.step),
    one.text,
  ]);
  return html`<h2>${words.lapses()}</h2>${table(words['how-often'](), [words.kind(), words['in-jobs']()], rates)}${table(words.remarks(), [words.job(), words.begun(), words.technician(), words.step(), words.what()], rows)}`;
}

function rejected(summary: ReviewSummary, language: Language): Markup | string {
  if (summary.rejected.length === 0) return '';
  const words = language.reports.period;
  const rows = summary.rejected.map((one) => [one.job, one.line ?? '–', one.message]);
  return html`<h2>${words.rejected()}</h2>${table(words.rejected(), [words.job(), words.line(), words.what()], rows)}`;
}

function typeSection(type: JobTypeReview, language: Language): Markup {
  const words = language.reports.period;
  const title = words['type-title']({ product: type.product_name, parts: type.replace });
  const trend = words['trend-line']({
    trend: words.trend[type.trend_says](),
    ratio: figureText(type.trend, language),
  });
  return html`<section><h2>${title}</h2>
${type.notices.map((one) => html`<p class="bad">${one.text}</p>`)}
<dl><dt>${words['active-median']()}</dt><dd>${figureText(type.median, language)}</dd>
<dt>${words['expected-by-plan']()}</dt><dd>${spanText(type.expected_s * 1000, language)}</dd>
<dt>${words['trend-head']()}</dt><dd>${trend}</dd>
${standardLine(type, language)}
${predictionLine(type, language)}</dl>
<h3>${words.where()}</h3>${paretoPicture(type.pareto, 12, language)}${steps(type, language)}
${type.chart === null ? '' : html`<h3>${words['in-order']()}</h3>${chartPicture(type.chart, words.chart(), language)}`}
<h3>${words.learning()}</h3>${learning(type, language)}
${rewriteList(type, language)}
${comparisons(type, language)}
${cautions(type, language)}</section>`;
}

/** The review of a period as printable HTML. `made` as in the service report. */
export function periodReport(figures: ReviewSummary, made = '', language: Language = ENGLISH): string {
  const words = language.reports.period;
  const summary = reviewIn(figures, language);
  const day = (timestamp: string): string => dateText(timestamp).slice(0, 10);
  const range =
    summary.from === null ? '' : words.range({ from: day(summary.from), to: day(summary.to ?? '') });
  const printed = made === '' ? '' : dateText(made);
  const { total, completed, given_up, unfinished, unknown } = summary.jobs;
  const body = html`<header><h1>${words.title({ range })}</h1>
<p>${words.jobs({ total, completed, given_up, unfinished, unknown })}</p>
${summary.notices.map((one) => html`<p class="bad">${one.text}</p>`)}</header>
<main>${summary.types.map((type) => typeSection(type, language))}
${lapses(summary, language)}
${rejected(summary, language)}
<h2>${words.how()}</h2><ul>${Object.values(summary.how).map((text) => html`<li>${text}</li>`)}</ul></main>
<footer><p class="note">${words.foot({ printed })}</p></footer>`;
  return page(words.title({ range }).trim(), body, language);
}
