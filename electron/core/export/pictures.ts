/**
 * Small pictures for printed reports: plain SVG text, readable without colour (shape and label carry the
 * meaning), each with a title and a description. The screens draw their own.
 */

import { ENGLISH, type Language } from '../base/language.ts';
import type { ControlChart, JobReview, ParetoRow, TimeKind } from '../review/model.ts';
import { taskOfStep } from '../review/task-of-step.ts';
import { html, type Markup, percentText, spanText } from './html-text.ts';

const WIDTH = 720;
/** Fills that differ in lightness, so they stay apart in print and for colour-blind readers. */
const FILL: Readonly<Record<TimeKind, string>> = {
  hands: '#1f4e79',
  reading: '#7fb2d9',
  waiting: '#e0a030',
  paused: '#d0d0d0',
  away: '#f0f0f0',
  unattributed: '#ffffff',
};

function shortened(text: string, length: number): string {
  return text.length <= length ? text : `${text.slice(0, length - 1)}…`;
}

/** Absence is drawn no longer than this share of the rest, or one night would hide the job. */
const AWAY_SHARE = 0.05;
/** Most stretches drawn; beyond it neighbours of a long job are too thin to see. */
const MOST_SPANS = 2000;

/** The job from left to right: what the time went to, with marks for problems and cautions. */
export function timelinePicture(review: JobReview, language: Language = ENGLISH): Markup {
  const texts = language.reports.pictures;
  const span = (ms: number): string => spanText(ms, language);
  const spans = review.spans.slice(0, MOST_SPANS);
  const present = spans.reduce((sum, one) => (one.kind === 'away' ? sum : sum + one.to_ms - one.from_ms), 0);
  const cap = Math.max(1, present * AWAY_SHARE);
  const lengthOf = (one: (typeof spans)[number]): number =>
    one.kind === 'away' ? Math.min(cap, one.to_ms - one.from_ms) : one.to_ms - one.from_ms;
  const total = Math.max(
    1,
    spans.reduce((sum, one) => sum + lengthOf(one), 0),
  );
  let at = 0;
  const places: { from_ms: number; to_ms: number; x: number; width: number }[] = [];
  const bars = spans.map((one) => {
    const x = (at / total) * WIDTH;
    const width = (lengthOf(one) / total) * WIDTH;
    at += lengthOf(one);
    places.push({ from_ms: one.from_ms, to_ms: one.to_ms, x, width });
    return html`<rect x="${x.toFixed(2)}" y="24" width="${width.toFixed(2)}" height="28" fill="${FILL[one.kind]}" stroke="#555" stroke-width="0.4"/>`;
  });
  const marks = review.marks
    .filter((mark) => mark.kind === 'problem' || mark.kind === 'caution' || mark.kind === 'undo')
    .slice(0, 200)
    .map((mark) => {
      const place = places.find((one) => mark.at_ms >= one.from_ms && mark.at_ms <= one.to_ms);
      if (place === undefined) return '';
      const share = (mark.at_ms - place.from_ms) / Math.max(1, place.to_ms - place.from_ms);
      const sign = mark.kind === 'problem' ? '▼' : mark.kind === 'caution' ? '!' : '↶';
      return html`<text x="${(place.x + share * place.width).toFixed(1)}" y="18" text-anchor="middle">${sign}</text>`;
    });
  const legend = (Object.keys(FILL) as TimeKind[])
    .slice(0, 5)
    .map(
      (kind, index) =>
        html`<rect x="${index * 144}" y="64" width="12" height="12" fill="${FILL[kind]}" stroke="#555" stroke-width="0.4"/><text x="${index * 144 + 17}" y="74">${texts.kind[kind]()}</text>`,
    );
  const { times } = review;
  const words = texts['course-words']({
    active: span(times.active_ms),
    reading: span(times.reading_ms),
    waiting: span(times.waiting_ms),
    paused: span(times.paused_ms),
    away: span(times.away_ms),
  });
  return html`<figure><svg viewBox="0 0 ${WIDTH} 82" role="img" aria-label="${texts['course-label']({ words })}"><title>${texts.course()}</title>${bars}${marks}${legend}</svg>
<figcaption>${texts['course-marks']({ words })}</figcaption></figure>`;
}

/** Bars of the steps by total time, the largest first, with the running share. */
export function paretoPicture(rows: readonly ParetoRow[], most = 12, language: Language = ENGLISH): Markup {
  const texts = language.reports.pictures;
  const shown = rows.slice(0, most);
  const largest = Math.max(1, shown[0]?.total_ms ?? 1);
  const bars = shown.map((row, index) => {
    const y = index * 20;
    const width = (row.total_ms / largest) * 300;
    return html`<text x="0" y="${y + 13}">${shortened(taskOfStep(row.say, language.table.plan), 48)}</text><rect x="330" y="${y + 3}" width="${width.toFixed(1)}" height="13" fill="${row.vital ? '#1f4e79' : '#7fb2d9'}"/><text x="${(336 + width).toFixed(1)}" y="${y + 13}">${percentText(row.share, language)}</text>`;
  });
  const vital = rows.filter((row) => row.vital).length;
  const words = texts['pareto-words']({
    vital,
    all: rows.length,
    step: shown[0]?.say ?? '',
    share: percentText(shown[0]?.share ?? 0, language),
  });
  return html`<figure><svg viewBox="0 0 ${WIDTH} ${shown.length * 20 + 4}" role="img" aria-label="${words}"><title>${texts.pareto()}</title>${bars}</svg><figcaption>${words}</figcaption></figure>`;
}

/** Points in order with centre and limits; a point that breaks a rule is a labelled square. */
export function chartPicture(chart: ControlChart, what: string, language: Language = ENGLISH): Markup {
  const texts = language.reports.pictures;
  const span = (ms: number): string => spanText(ms, language);
  const { points } = chart;
  const values = [...points.map((point) => point.value), chart.low, chart.high];
  const top = values.reduce((a, b) => Math.max(a, b), 0) * 1.05 || 1;
  const x = (index: number): number => 40 + (index * (WIDTH - 60)) / Math.max(1, points.length - 1);
  const y = (value: number): number => 190 - (Math.max(0, value) / top) * 170;
  const line = (value: number, dash: string, name: 'upper' | 'centre' | 'lower'): Markup =>
    html`<line x1="40" x2="${WIDTH - 20}" y1="${y(value).toFixed(1)}" y2="${y(value).toFixed(1)}" stroke="#555" stroke-dasharray="${dash}"/><text x="42" y="${(y(value) - 3).toFixed(1)}">${texts[name]({ value: span(value) })}</text>`;
  const path = points.map((point, index) => `${x(index).toFixed(1)},${y(point.value).toFixed(1)}`).join(' ');
  const marks = points.map((point, index) =>
    point.rules.length === 0
      ? html`<circle cx="${x(index).toFixed(1)}" cy="${y(point.value).toFixed(1)}" r="2" fill="#1f4e79"/>`
      : html`<rect x="${(x(index) - 4).toFixed(1)}" y="${(y(point.value) - 4).toFixed(1)}" width="8" height="8" fill="#fff" stroke="#b02020" stroke-width="2"/><text x="${x(index).toFixed(1)}" y="${(y(point.value) - 7).toFixed(1)}" text-anchor="middle">${ruleNumbers(point.rules)}</text>`,
  );
  const broken = points.filter((point) => point.rules.length > 0).length;
  const words = texts['chart-words']({
    what,
    points: points.length,
    center: span(chart.center),
    low: span(chart.low),
    high: span(chart.high),
    broken,
  });
  return html`<figure><svg viewBox="0 0 ${WIDTH} 200" role="img" aria-label="${words}"><title>${what}</title>${line(chart.high, '6 3', 'upper')}${line(chart.center, '', 'centre')}${line(chart.low, '6 3', 'lower')}<polyline points="${path}" fill="none" stroke="#1f4e79"/>${marks}</svg><figcaption>${words}</figcaption></figure>`;
}

function ruleNumbers(rules: readonly string[]): string {
  return rules.map((rule) => rule.replace('nelson-', '')).join(' ');
}
