/** The pictures of one job type: where the time goes, how jobs spread, whether people get faster. */
import * as Plot from '@observablehq/plot';
import { useCallback, useId, useMemo, useState } from 'react';
import type {
  ControlChart,
  JobTypeReview,
  LearningCurve,
  StepStatistics,
} from '../../../electron/core/review/model.ts';
import { taskOfStep } from '../../../electron/core/review/task-of-step.ts';
import { clock } from '../../figures.ts';
import { useWords } from '../../words/words.ts';
import { Chart, type Inks } from './chart.tsx';
import { shownPercent as percent } from './how.tsx';
import { LearningTable } from './tables.tsx';

const MINUTE_MS = 60_000;
const minutes = (ms: number): number => ms / MINUTE_MS;
/** Steps in the Pareto picture; the table has all. */
const PARETO_BARS_MAX = 12;
/** Width of a letter of the labels, about, in CSS pixels. */
const LETTER_WIDTH = 8;
const short = (text: string, width: number): string => {
  const letters = Math.max(8, Math.floor(width / LETTER_WIDTH));
  return text.length > letters ? `${text.slice(0, letters - 1)}…` : text;
};

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
          tickFormat: (id: string) =>
            short(taskOfStep(rows.find((r) => r.step === id)?.say ?? id, w.toolSentences), marginLeft),
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
      how={['share-of-time', 'active-time']}
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
      how={['active-time']}
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

/** Numbers of the rules a point breaks: "1", "2 5". */
const ruleNumbers = (rules: readonly string[]): string =>
  rules.map((rule) => rule.slice(rule.indexOf('-') + 1)).join(' ');

function drawControl(chart: ControlChart, xLabel: string, yLabel: string) {
  return (inks: Inks): Plot.PlotOptions => {
    const points = chart.points.map((point, i) => ({ ...point, n: i + 1 }));
    const flagged = points.filter((point) => point.rules.length > 0);
    const limit = { stroke: inks.ink, strokeDasharray: '7 4' };
    return {
      height: 290,
      marginTop: 34,
      marginBottom: 40,
      marginLeft: 52,
      marginRight: 16,
      x: { label: xLabel, ticks: Math.min(10, points.length), tickFormat: 'd' },
      y: { label: yLabel, nice: true },
      symbol: { type: 'identity' },
      r: { type: 'identity' },
      marks: [
        Plot.ruleY([minutes(chart.high)], limit),
        Plot.ruleY([minutes(chart.low)], limit),
        Plot.ruleY([minutes(chart.center)], { stroke: inks.ink }),
        Plot.line(points, { x: 'n', y: (p) => minutes(p.value), stroke: inks.petrol, strokeWidth: 1.5 }),
        Plot.dot(points, {
          x: 'n',
          y: (p) => minutes(p.value),
          r: (p: { rules: readonly string[] }) => (p.rules.length > 0 ? 7 : 3.5),
          fill: (p: { rules: readonly string[] }) => (p.rules.length > 0 ? inks.plum : inks.petrol),
          symbol: (p: { rules: readonly string[] }) => (p.rules.length > 0 ? 'diamond' : 'circle'),
        }),
        Plot.text(flagged, {
          x: 'n',
          y: (p) => minutes(p.value),
          text: (p: { rules: readonly string[] }) => ruleNumbers(p.rules),
          dy: -14,
          fill: inks.ink,
          stroke: inks.card,
          strokeWidth: 3,
        }),
      ],
    };
  };
}

/** The rules that points break, in words, with the points. */
function RuleList({ chart }: { chart: ControlChart }) {
  const w = useWords();
  const byRule = new Map<string, number[]>();
  for (const [index, point] of chart.points.entries())
    for (const rule of point.rules) byRule.set(rule, [...(byRule.get(rule) ?? []), index + 1]);
  if (byRule.size === 0) return null;
  const wordsOf: Readonly<Record<string, string>> = w.review.ruleOf;
  return (
    <ul className="lines">
      {[...byRule]
        .sort(([a], [b]) => (a < b ? -1 : 1))
        .map(([rule, points]) => (
          <li key={rule}>
            {w.review.ruleLine(ruleNumbers([rule]), wordsOf[rule] ?? rule, points.join(', '))}
          </li>
        ))}
    </ul>
  );
}

/** The latest times of a step as a chart. */
function chartOfStep(step: StepStatistics | undefined): ControlChart | null {
  const control = step?.control ?? null;
  if (control === null) return null;
  const { scale, center, low, high, how } = control;
  const rules = new Map(control.flagged.map((one) => [one.index, one.rules]));
  const points = control.values_ms.map((value, index) => ({
    label: String(index + 1),
    value,
    center,
    low,
    high,
    rules: rules.get(index) ?? [],
  }));
  return { kind: 'individuals', scale, center, low, high, sigma: 0, points, how };
}

type ChartChoice = 'individuals' | 'moving-range' | 'mean' | 'range' | 'step';

export function ControlPicture({ type, step }: { type: JobTypeReview; step: StepStatistics | undefined }) {
  const w = useWords();
  const id = useId();
  const [choice, setChoice] = useState<ChartChoice>('individuals');
  const ofStep = useMemo(() => chartOfStep(step), [step]);
  const charts: Readonly<Record<ChartChoice, ControlChart | null>> = {
    individuals: type.chart,
    'moving-range': type.range_chart,
    mean: type.subgroups?.mean ?? null,
    range: type.subgroups?.range ?? null,
    step: ofStep,
  };
  const chart = charts[choice] ?? type.chart;
  const draw = useMemo(
    () => (chart === null ? () => ({ marks: [] }) : drawControl(chart, w.review.jobNumber, w.review.minutes)),
    [chart, w],
  );
  if (chart === null) return null;
  const flagged = chart.points.filter((point) => point.rules.length > 0).length;
  const about = choice === 'step' && step !== undefined ? ` “${step.say}”` : '';
  return (
    <Chart
      title={w.review.control}
      text={`${w.review.chartOf[choice]}.${about} ${w.review.controlText(clock(chart.center), clock(chart.low), clock(chart.high), flagged)}${chart.scale === 'log' ? ` ${w.review.logScale}` : ''}`}
      draw={draw}
      how={[chart.how]}
      note={
        <div className="field">
          <label htmlFor={id}>{w.review.chartChoice}</label>
          <select id={id} value={choice} onChange={(event) => setChoice(event.target.value as ChartChoice)}>
            {(Object.keys(charts) as ChartChoice[])
              .filter((one) => charts[one] !== null)
              .map((one) => (
                <option key={one} value={one}>
                  {w.review.chartOf[one]}
                </option>
              ))}
          </select>
        </div>
      }
      below={<RuleList chart={chart} />}
      table={{
        head: [w.review.job, w.after.time, w.review.rules],
        rows: chart.points.map((point, index) => [
          `${index + 1}: ${point.label}`,
          clock(point.value),
          point.rules.map((rule) => ruleNumbers([rule])).join(', ') || '–',
        ]),
      }}
    />
  );
}

/** Marks that tell people apart without colour. */
const SYMBOLS = ['circle', 'square', 'triangle', 'diamond', 'star', 'cross', 'wye'] as const;

/** The fitted curve at every job of the person. */
function fittedPoints(curve: LearningCurve): { number: number; active_ms: number }[] {
  const { fit } = curve;
  if (fit === null) return [];
  return curve.points.map(({ number }) => ({ number, active_ms: fit.a * number ** fit.b }));
}

export function LearningPicture({ type }: { type: JobTypeReview }) {
  const w = useWords();
  const curves = type.learning;
  const draw = useCallback(
    (inks: Inks): Plot.PlotOptions => ({
      height: 320,
      marginTop: 30,
      marginBottom: 40,
      marginLeft: 52,
      marginRight: 90,
      x: { label: w.review.jobOfPerson, tickFormat: 'd', ticks: 8 },
      y: { label: w.review.minutes, grid: true, zero: true, nice: true },
      symbol: { type: 'identity' },
      marks: [
        ...curves.flatMap((curve, i) => [
          Plot.areaY(curve.forecast, {
            x: 'number',
            y1: (p) => minutes(p.low),
            y2: (p) => minutes(p.high),
            fill: inks.petrol,
            fillOpacity: 0.1,
          }),
          Plot.line(curve.forecast, {
            x: 'number',
            y: (p) => minutes(p.active_ms),
            stroke: inks.petrol,
            strokeDasharray: '3 4',
            strokeWidth: 2,
          }),
          Plot.line(fittedPoints(curve), {
            x: 'number',
            y: (p) => minutes(p.active_ms),
            stroke: inks.petrol,
            strokeWidth: 2,
          }),
          Plot.dot(curve.points, {
            x: 'number',
            y: (p) => minutes(p.active_ms),
            r: 4,
            stroke: inks.petrol,
            fill: inks.card,
            symbol: () => SYMBOLS[i % SYMBOLS.length],
          }),
        ]),
        // At the end of the forecast the curves are furthest apart.
        ...curves.flatMap((curve) =>
          Plot.text([...curve.points, ...curve.forecast].slice(-1), {
            x: 'number',
            y: (p) => minutes(p.active_ms),
            text: () => curve.technician,
            dx: 8,
            textAnchor: 'start',
            fill: inks.ink,
          }),
        ),
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
      how={['learning-crawford', 'learning-wright']}
      wide
      below={<LearningTable type={type} />}
      table={{
        head: [w.start.person, w.review.jobOfPerson, w.after.time],
        rows: curves.flatMap((curve) =>
          curve.points.map((point) => [curve.technician, String(point.number), clock(point.active_ms)]),
        ),
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
      how={['median-interval', 'p90-type-7', 'active-time']}
      table={{
        head: [w.review.jobNumber, w.after.time],
        rows: step.sample_ms.map((ms, index) => [String(index + 1), clock(ms)]),
      }}
    />
  );
}
