/** The pictures of one job type: where the time goes, how jobs spread, whether people get faster. */
import * as Plot from '@observablehq/plot';
import { useCallback, useId } from 'react';
import type {
  ControlChart,
  JobTypeReview,
  LearningCurve,
  StepStatistics,
} from '../../../electron/core/review/model.ts';
import { clock, shownNumber } from '../../figures.ts';
import { useWords } from '../../words/words.ts';
import { Chart, type Inks } from './chart.tsx';

const MINUTE_MS = 60_000;
const minutes = (ms: number): number => ms / MINUTE_MS;
/** Steps in the Pareto picture; the table has all. */
const PARETO_BARS_MAX = 12;
const LABEL_LENGTH = 34;
const short = (text: string): string =>
  text.length > LABEL_LENGTH ? `${text.slice(0, LABEL_LENGTH - 1)}…` : text;
const percent = (share: number, locale: string): string =>
  new Intl.NumberFormat(locale, { style: 'percent', maximumFractionDigits: 0 }).format(share);

export function ParetoPicture({ type }: { type: JobTypeReview }) {
  const w = useWords();
  const rows = type.pareto.slice(0, PARETO_BARS_MAX);
  const vital = type.pareto.filter((row) => row.vital).length;
  const draw = useCallback(
    (inks: Inks, width: number): Plot.PlotOptions => {
      const marginLeft = Math.min(260, Math.round(width * 0.42));
      return {
        height: 40 + rows.length * 30,
        marginLeft,
        marginTop: 4,
        marginBottom: 36,
        marginRight: 48,
        x: { label: w.review.minutes, nice: true, grid: true },
        y: {
          label: null,
          domain: rows.map((row) => row.step),
          tickFormat: (id: string) => short(rows.find((r) => r.step === id)?.say ?? id),
          tickSize: 0,
        },
        marks: [
          Plot.barX(rows, {
            x: (row) => minutes(row.total_ms),
            y: 'step',
            fill: (row: { vital: boolean }) => (row.vital ? inks.petrol : inks.line),
            insetTop: 3,
            insetBottom: 3,
          }),
          Plot.text(rows, {
            x: (row) => minutes(row.total_ms),
            y: 'step',
            text: (row: { share: number }) => percent(row.share, w.language.tag),
            dx: 6,
            textAnchor: 'start',
            fill: inks.ink,
          }),
          Plot.ruleX([0], { stroke: inks.ink }),
        ],
      };
    },
    [rows, w],
  );
  return (
    <Chart
      title={w.review.pareto}
      text={w.review.paretoText(vital, type.pareto.length, type.pareto[0]?.say ?? '')}
      draw={draw}
      table={{
        head: [w.after.step, w.after.time, w.review.share, w.review.cumulative],
        rows: type.pareto.map((row) => [
          row.say,
          clock(row.total_ms),
          percent(row.share, w.language.tag),
          percent(row.cumulative, w.language.tag),
        ]),
      }}
    />
  );
}

export function JobsPicture({ type }: { type: JobTypeReview }) {
  const w = useWords();
  const jobs = type.jobs;
  const draw = useCallback(
    (inks: Inks): Plot.PlotOptions => ({
      height: 270,
      marginTop: 30,
      marginBottom: 40,
      marginLeft: 52,
      x: { label: w.review.jobNumber, ticks: Math.min(10, jobs.length), tickFormat: 'd' },
      y: { label: w.review.minutes, grid: true, zero: true, nice: true },
      marks: [
        Plot.ruleY([type.expected_s / 60], { stroke: inks.plum, strokeDasharray: '6 4', strokeWidth: 1.5 }),
        Plot.ruleX(
          jobs.map((job, i) => ({ ...job, n: i + 1 })),
          {
            x: 'n',
            y1: 0,
            y2: (job: { active_ms: number }) => minutes(job.active_ms),
            stroke: inks.line,
            strokeWidth: 4,
          },
        ),
        Plot.dot(
          jobs.map((job, i) => ({ ...job, n: i + 1 })),
          {
            x: 'n',
            y: (job: { active_ms: number }) => minutes(job.active_ms),
            r: 6,
            symbol: (job: { outcome: string | null }) => (job.outcome === 'completed' ? 'circle' : 'times'),
            fill: inks.petrol,
            stroke: inks.petrol,
          },
        ),
        Plot.ruleY([0], { stroke: inks.ink }),
      ],
      symbol: { type: 'identity' },
    }),
    [jobs, type.expected_s, w],
  );
  return (
    <Chart
      title={w.review.perJob}
      text={w.review.perJobText(jobs.length, clock(type.expected_s * 1000))}
      draw={draw}
      table={{
        head: [w.start.when, w.start.person, w.start.outcome, w.after.time],
        rows: jobs.map((job) => [
          job.started.slice(0, 16).replace('T', ' '),
          job.technician,
          job.outcome === null
            ? w.after.unfinished
            : job.outcome === 'completed'
              ? w.after.completed
              : w.after.givenUp,
          clock(job.active_ms),
        ]),
      }}
    />
  );
}

export function ControlPicture({ chart }: { chart: ControlChart }) {
  const w = useWords();
  const flagged = chart.points.filter((point) => point.rules.length > 0).length;
  const draw = useCallback(
    (inks: Inks): Plot.PlotOptions => {
      const points = chart.points.map((point, i) => ({ ...point, n: i + 1 }));
      return {
        height: 270,
        marginTop: 30,
        marginBottom: 40,
        marginLeft: 52,
        marginRight: 16,
        x: { label: w.review.jobNumber, ticks: Math.min(10, points.length), tickFormat: 'd' },
        y: { label: w.review.minutes, nice: true },
        symbol: { type: 'identity' },
        marks: [
          Plot.line(points, {
            x: 'n',
            y: (p) => minutes(p.high),
            stroke: inks.ink,
            strokeDasharray: '7 4',
            curve: 'step',
          }),
          Plot.line(points, {
            x: 'n',
            y: (p) => minutes(p.low),
            stroke: inks.ink,
            strokeDasharray: '7 4',
            curve: 'step',
          }),
          Plot.line(points, { x: 'n', y: (p) => minutes(p.center), stroke: inks.ink, strokeWidth: 1 }),
          Plot.line(points, { x: 'n', y: (p) => minutes(p.value), stroke: inks.petrol, strokeWidth: 2.5 }),
          Plot.dot(points, {
            x: 'n',
            y: (p) => minutes(p.value),
            r: (p: { rules: readonly string[] }) => (p.rules.length > 0 ? 8 : 5),
            fill: (p: { rules: readonly string[] }) => (p.rules.length > 0 ? inks.plum : inks.petrol),
            symbol: (p: { rules: readonly string[] }) => (p.rules.length > 0 ? 'diamond' : 'circle'),
          }),
        ],
        r: { type: 'identity' },
      };
    },
    [chart, w],
  );
  return (
    <Chart
      title={w.review.control}
      text={w.review.controlText(clock(chart.center), clock(chart.low), clock(chart.high), flagged)}
      draw={draw}
      table={{
        head: [w.review.job, w.after.time, w.review.rules],
        rows: chart.points.map((point) => [point.label, clock(point.value), point.rules.join(', ') || '–']),
      }}
    />
  );
}

export function LearningPicture({ curves }: { curves: readonly LearningCurve[] }) {
  const w = useWords();
  const draw = useCallback(
    (inks: Inks): Plot.PlotOptions => ({
      height: 270,
      marginTop: 30,
      marginBottom: 40,
      marginLeft: 52,
      marginRight: 90,
      x: { label: w.review.jobOfPerson, tickFormat: 'd', ticks: 8 },
      y: { label: w.review.minutes, grid: true, zero: true, nice: true },
      marks: [
        ...curves.flatMap((curve, i) => [
          Plot.areaY(curve.forecast, {
            x: 'number',
            y1: (p) => minutes(p.low),
            y2: (p) => minutes(p.high),
            fill: inks.petrol,
            fillOpacity: 0.12,
          }),
          Plot.line(curve.forecast, {
            x: 'number',
            y: (p) => minutes(p.active_ms),
            stroke: inks.petrol,
            strokeDasharray: '3 4',
            strokeWidth: 2,
          }),
          Plot.line(curve.points, {
            x: 'number',
            y: (p) => minutes(p.active_ms),
            stroke: inks.petrol,
            strokeWidth: 2,
          }),
          Plot.dot(curve.points, { x: 'number', y: (p) => minutes(p.active_ms), r: 4, fill: inks.petrol }),
          Plot.text(curve.points.slice(-1), {
            x: 'number',
            y: (p) => minutes(p.active_ms),
            text: () => curve.technician,
            dx: 8,
            dy: (i - (curves.length - 1) / 2) * 15,
            textAnchor: 'start',
            fill: inks.ink,
          }),
        ]),
        Plot.ruleY([0], { stroke: inks.ink }),
      ],
    }),
    [curves, w],
  );
  const fitted = curves.filter((curve) => curve.fit !== null);
  return (
    <Chart
      title={w.review.learning}
      text={w.review.learningText(
        curves.length,
        fitted
          .map((curve) => `${curve.technician} ${percent(curve.fit?.rate ?? 1, w.language.tag)}`)
          .join(', '),
      )}
      draw={draw}
      table={{
        head: [w.start.person, w.review.jobs, w.review.rate, w.review.plateau],
        rows: curves.map((curve) => [
          curve.technician,
          String(curve.points.length),
          curve.fit === null ? '–' : percent(curve.fit.rate, w.language.tag),
          curve.plateau_ms === null ? '–' : clock(curve.plateau_ms),
        ]),
      }}
    />
  );
}

export function DistributionPicture({
  step,
  steps,
  onStep,
}: {
  step: StepStatistics;
  steps: readonly StepStatistics[];
  onStep: (step: string) => void;
}) {
  const w = useWords();
  const id = useId();
  const draw = useCallback(
    (inks: Inks): Plot.PlotOptions => {
      const seconds = step.sample_ms.map((ms) => ms / 1000);
      return {
        height: 190,
        marginBottom: 40,
        marginLeft: 20,
        marginRight: 20,
        x: { label: w.review.seconds, nice: true, zero: true },
        y: { axis: null },
        marks: [
          Plot.rectX([0], {
            x1: step.q1_ms / 1000,
            x2: step.q3_ms / 1000,
            y1: 0,
            y2: 1,
            fill: inks.line,
            fillOpacity: 0.6,
          }),
          Plot.ruleX([step.median.value === null ? 0 : step.median.value / 1000], {
            y1: 0,
            y2: 1,
            stroke: inks.petrol,
            strokeWidth: 4,
          }),
          Plot.ruleX([step.p90_ms / 1000], { y1: 0, y2: 1, stroke: inks.ink, strokeDasharray: '6 4' }),
          Plot.ruleX([step.expected_s], {
            y1: 0,
            y2: 1,
            stroke: inks.plum,
            strokeDasharray: '2 4',
            strokeWidth: 2,
          }),
          Plot.dot(seconds, {
            x: (s: number) => s,
            y: (_s: number, i: number) => 0.12 + ((i * 37) % 76) / 100,
            r: 4,
            fill: inks.petrol,
            fillOpacity: 0.75,
          }),
        ],
      };
    },
    [step, w],
  );
  return (
    <Chart
      title={w.review.spread}
      text={w.review.spreadText(
        step.say,
        step.median.value === null ? '–' : clock(step.median.value),
        clock(step.p90_ms),
        step.n,
      )}
      draw={draw}
      note={
        <div className="field">
          <label htmlFor={id}>{w.after.step}</label>
          <select id={id} value={step.step} onChange={(event) => onStep(event.target.value)}>
            {steps.map((one) => (
              <option key={one.step} value={one.step}>
                {one.say}
              </option>
            ))}
          </select>
        </div>
      }
      table={{
        head: [
          w.after.step,
          w.review.count,
          w.review.median,
          w.review.p90,
          w.review.repeatRate,
          w.review.problemRate,
        ],
        rows: steps.map((one) => [
          one.say,
          shownNumber(one.n, w.language.tag, 0),
          one.median.value === null ? '–' : clock(one.median.value),
          clock(one.p90_ms),
          one.repeat_rate.value === null ? '–' : percent(one.repeat_rate.value, w.language.tag),
          one.problem_rate.value === null ? '–' : percent(one.problem_rate.value, w.language.tag),
        ]),
      }}
    />
  );
}
