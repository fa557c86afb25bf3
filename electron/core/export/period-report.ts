/** The printable report of a period, for the supervisor: the review's figures with what they rest on. */
import type { Figure, JobTypeReview, ReviewSummary } from '../review/model.ts';
import { dateText, html, type Markup, page, percentText, spanText, table } from './html-text.ts';
import { chartPicture, paretoPicture } from './pictures.ts';

/** A time with its interval and number: "12.0 s (11.1 to 13.4 s, n 20)". */
export function figureText(figure: Figure): string {
  if (figure.value === null) return `– (n ${figure.n})`;
  const show = (value: number): string => {
    if (figure.unit === 'ms') return spanText(value);
    if (figure.unit === 'share') return percentText(value);
    return value.toFixed(2);
  };
  if (figure.low === null || figure.high === null) return `${show(figure.value)} (n ${figure.n})`;
  return `${show(figure.value)} (${show(figure.low)} to ${show(figure.high)}, n ${figure.n})`;
}

const TREND: Readonly<Record<JobTypeReview['trend_says'], string>> = {
  faster: 'Jobs are getting faster',
  slower: 'Jobs are getting slower',
  'no-trend-shown': 'No trend can be shown',
  'too-few': 'Too few jobs for a trend',
};

function steps(type: JobTypeReview): Markup {
  const rows = type.steps.map((step) => [
    step.say,
    `${step.expected_s} s`,
    figureText(step.median),
    spanText(step.p90_ms),
    percentText(step.share),
    figureText(step.revisit_rate),
    figureText(step.repeat_rate),
    figureText(step.problem_rate),
    step.too_fast.count,
  ]);
  return table(
    'Steps',
    ['Step', 'Expected', 'Median', 'p90', 'Share', 'Gone back to', 'Asked again', 'Problems', 'Too fast'],
    rows,
  );
}

function comparisons(type: JobTypeReview): Markup[] {
  return type.comparisons.map((comparison) => {
    const rows = [comparison.job, ...comparison.steps].map((row) => [
      row.say,
      `${row.n_a}, ${row.n_b}`,
      spanText(row.median_a_ms),
      spanText(row.median_b_ms),
      figureText(row.ratio),
      row.p_holm === null ? '–' : row.p_holm.toFixed(3),
      row.verdict.replaceAll('-', ' '),
    ]);
    return html`<h3>${comparison.b} against ${comparison.a}</h3>${comparison.notices.map((one) => html`<p class="bad">${one.text}</p>`)}${table('Comparison', ['Step', 'Jobs', 'Before', 'After', 'Ratio', 'p (Holm)', 'Result'], rows)}`;
  });
}

function learning(type: JobTypeReview): Markup {
  const rows = type.learning.map((curve) => [
    curve.technician,
    curve.points.length,
    curve.fit === null
      ? 'too few jobs'
      : `${percentText(curve.fit.rate)} per doubling (${percentText(2 ** curve.fit.b_low)} to ${percentText(2 ** curve.fit.b_high)})`,
    curve.forecast[0] === undefined
      ? '–'
      : `${spanText(curve.forecast[0].active_ms)} (${spanText(curve.forecast[0].low)} to ${spanText(curve.forecast[0].high)})`,
    curve.plateau_from === null ? 'still learning or too few jobs' : `from job ${curve.plateau_from}`,
  ]);
  return table('Learning', ['Technician', 'Jobs', 'Rate', 'Next job, 80 %', 'Level reached'], rows);
}

function typeSection(type: JobTypeReview): Markup {
  const { standard, prediction } = type;
  return html`<section><h2>${type.product_name}: ${type.replace.join(', ')}</h2>
${type.notices.map((one) => html`<p class="bad">${one.text}</p>`)}
<dl><dt>Active time, median</dt><dd>${figureText(type.median)}</dd>
<dt>Expected by the plan</dt><dd>${spanText(type.expected_s * 1000)}</dd>
<dt>Trend</dt><dd>${TREND[type.trend_says]}; per ten jobs ${figureText(type.trend)}</dd>
${standard === null ? '' : html`<dt>Standard time</dt><dd>${spanText(standard.standard_of_shift_ms)} with ${percentText(standard.allowance)} of the shift, ${spanText(standard.standard_of_work_ms)} with ${percentText(standard.allowance)} of the work (rating ${standard.rating}, n ${standard.n}, left out ${standard.left_out}${standard.n_needed === null ? '' : `, for ±5 % ${standard.n_needed} are needed`})</dd>`}
${prediction === null ? '' : html`<dt>Next job</dt><dd>${figureText(prediction.expected)}; in the back-test ${figureText(prediction.coverage)} fell inside their interval</dd>`}</dl>
<h3>Where the time goes</h3>${paretoPicture(type.pareto)}${steps(type)}
${type.chart === null ? '' : html`<h3>Jobs in order of time</h3>${chartPicture(type.chart, 'Active time of each job')}`}
<h3>Learning</h3>${learning(type)}
${
  type.rewrite.length === 0
    ? ''
    : html`<h3>Steps to look at</h3><ol>${type.rewrite.map((one) => html`<li><strong>${one.say}</strong> ${one.reasons.map((reason) => reason.text).join('; ')}.</li>`)}</ol>`
}
${comparisons(type)}</section>`;
}

/** The review of a period as printable HTML. `made` as in the service report. */
export function periodReport(summary: ReviewSummary, made = ''): string {
  const range =
    summary.from === null
      ? ''
      : `${dateText(summary.from).slice(0, 10)} to ${dateText(summary.to ?? '').slice(0, 10)}`;
  const lapses = summary.lapses.map((one) => [
    one.job,
    dateText(one.started),
    one.technician,
    one.step ?? '–',
    one.text,
  ]);
  const { jobs } = summary;
  const body = html`<header><h1>Review ${range}</h1>
<p>${jobs.total} jobs: ${jobs.completed} completed, ${jobs.given_up} given up, ${jobs.unfinished} not finished, ${jobs.unknown} left out because their record cannot be trusted.</p>
${summary.notices.map((one) => html`<p class="bad">${one.text}</p>`)}</header>
<main>${summary.types.map(typeSection)}
${lapses.length === 0 ? '' : html`<h2>Not as it should be</h2>${table('Remarks', ['Job', 'Begun', 'Technician', 'Step', 'What'], lapses)}`}
<h2>How the figures are computed</h2><dl>${Object.entries(summary.how).map(([key, text]) => html`<dt>${key}</dt><dd>${text}</dd>`)}</dl></main>
<footer><p class="note">Intervals are 95 % unless said otherwise. People are shown by pseudonym unless the site turns names on.${made === '' ? '' : ` Printed ${dateText(made)}.`}</p></footer>`;
  return page(`Review ${range}`.trim(), body);
}
