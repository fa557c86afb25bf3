/** What the review says in tables: every step, comparisons, cautions, work measurement. */
import { useId, useState } from 'react';
import type { Comparison, JobTypeReview, StepComparison } from '../../../electron/core/review/model.ts';
import { taskOfStep } from '../../../electron/core/review/task-of-step.ts';
import { clock, shownNumber } from '../../figures.ts';
import { useWords } from '../../words/words.ts';
import { type bareFigure, How, shownFigure, shownPercent } from './how.tsx';
import { Table } from './table.tsx';

export function StepTable({ type }: { type: JobTypeReview }) {
  const w = useWords();
  const locale = w.language.tag;
  const tooFast = (step: JobTypeReview['steps'][number]): string => {
    const { count, limit_ms, by } = step.too_fast;
    return limit_ms === null || by === null ? '–' : w.review.tooFastBy(count, clock(limit_ms), by);
  };
  return (
    <section className="card wide">
      <header>
        <h3>{w.review.allSteps}</h3>
      </header>
      <div className="body">
        <p>{w.review.allStepsText}</p>
        <details>
          <summary>{w.review.asTable}</summary>
          <Table
            caption={w.review.allSteps}
            head={[
              w.after.step,
              w.review.count,
              w.review.expectedShort,
              w.review.median,
              w.review.p90,
              w.review.spreadShort,
              w.review.share,
              w.review.reading,
              w.review.waiting,
              w.review.firstPass,
              w.review.revisitRate,
              w.review.repeatRate,
              w.review.sayAgainRate,
              w.review.helpRate,
              w.review.problemRate,
              w.review.skipRate,
              w.review.tooFast,
              w.review.standardShort,
              w.review.needed,
            ]}
            rows={type.steps.map((step) => [
              step.say,
              shownNumber(step.n, locale, 0),
              clock(step.expected_s * 1000),
              shownFigure(step.median, locale, w),
              clock(step.p90_ms),
              clock(step.spread_ms),
              shownPercent(step.share, locale, 1),
              clock(step.reading_mean_ms),
              clock(step.waiting_mean_ms),
              clock(step.first_pass_median_ms),
              shownFigure(step.revisit_rate, locale, w),
              shownFigure(step.repeat_rate, locale, w),
              shownFigure(step.say_again_rate, locale, w),
              shownFigure(step.help_rate, locale, w),
              shownFigure(step.problem_rate, locale, w),
              shownFigure(step.skip_rate, locale, w),
              tooFast(step),
              step.standard === null ? '–' : clock(step.standard.standard_of_shift_ms),
              step.standard?.n_needed == null ? '–' : shownNumber(step.standard.n_needed, locale, 0),
            ])}
          />
        </details>
        <How
          keys={[
            'active-time',
            'median-interval',
            'p90-type-7',
            'share-of-time',
            'wilson-rate',
            'too-fast',
            'standard-time',
          ]}
        />
      </div>
    </section>
  );
}

const shownP = (p: number | null, locale: string): string =>
  p === null ? '–' : p < 0.001 ? '< 0.001' : shownNumber(p, locale, 3);

export function ComparisonTable({ comparison }: { comparison: Comparison }) {
  const w = useWords();
  const locale = w.language.tag;
  const { job } = comparison;
  const row = (one: StepComparison): string[] => [
    one.step === '' ? w.review.wholeJob : one.say,
    `${one.n_a}, ${one.n_b}`,
    one.n_a === 0 ? '–' : clock(one.median_a_ms),
    one.n_b === 0 ? '–' : clock(one.median_b_ms),
    shownFigure(one.ratio, locale, w),
    shownP(one.p, locale),
    shownP(one.p_holm, locale),
    w.review.verdictOf[one.verdict],
  ];
  // What changed comes first; where nothing did, the order of the steps stays.
  const isShown = (one: StepComparison): boolean => one.verdict === 'faster' || one.verdict === 'slower';
  const steps = [...comparison.steps].sort((a, b) => Number(isShown(b)) - Number(isShown(a)));
  const only = [
    [comparison.a.text, comparison.only_in_a],
    [comparison.b.text, comparison.only_in_b],
  ] as const;
  const title = w.review.comparison(comparison.b.text, comparison.a.text);
  return (
    <section className="card wide">
      <header>
        <h3>{title}</h3>
      </header>
      <div className="body">
        <p>
          {w.review.comparisonJobs(
            comparison.a.text,
            comparison.jobs_a,
            comparison.b.text,
            comparison.jobs_b,
          )}{' '}
          {job.ratio.value === null
            ? null
            : w.review.comparisonText(shownFigure(job.ratio, locale, w), w.review.verdictOf[job.verdict])}
        </p>
        {comparison.notices.map((one) => (
          <p key={one.code}>
            <strong>{one.text}</strong>
          </p>
        ))}
        <Table
          caption={title}
          head={[
            w.after.step,
            w.review.jobs,
            w.review.usualOf(comparison.a.text),
            w.review.usualOf(comparison.b.text),
            w.review.ratio,
            w.review.pValue,
            w.review.pHolm,
            w.review.result,
          ]}
          rows={[job, ...steps].map(row)}
        />
        {only.map(([name, list]) =>
          list.length === 0 ? null : (
            <p key={name}>{w.review.onlyIn(name, list.map((step) => step.say).join(' '))}</p>
          ),
        )}
        <p className="soft">{w.review.comparisonNote}</p>
        <How keys={['ratio-interval', 'active-time']} />
      </div>
    </section>
  );
}

export function CautionTable({ type }: { type: JobTypeReview }) {
  const w = useWords();
  const locale = w.language.tag;
  if (type.cautions.length === 0) return null;
  const says = new Map(type.steps.map((step) => [step.step, step.say]));
  return (
    <section className="card wide">
      <header>
        <h3>{w.review.cautions}</h3>
      </header>
      <div className="body">
        <p>{w.review.cautionsText}</p>
        <Table
          caption={w.review.cautions}
          words={[0, 1]}
          head={[
            w.review.caution,
            w.after.step,
            w.review.given,
            w.review.answerTime,
            w.review.tooFast,
            w.review.unanswered,
          ]}
          rows={type.cautions.map((one) => [
            one.hazard,
            taskOfStep(says.get(one.step) ?? one.step, w.toolSentences),
            shownNumber(one.given, locale, 0),
            shownFigure(one.answer, locale, w),
            shownFigure(one.too_fast_rate, locale, w),
            shownNumber(one.unanswered, locale, 0),
          ])}
        />
        <How keys={['caution-answer', 'caution-too-fast']} />
      </div>
    </section>
  );
}

/** Percent as typed, within what makes sense; undefined where it is none. */
function percentFrom(text: string, least: number, most: number): number | undefined {
  const value = Number(text);
  return text.trim() !== '' && value >= least && value <= most ? value / 100 : undefined;
}

const RATINGS = { least: 30, most: 200 } as const;
const ALLOWANCES = { least: 0, most: 90 } as const;

export function WorkMeasurement({ type }: { type: JobTypeReview }) {
  const w = useWords();
  const id = useId();
  const { standard } = type;
  const [rating, setRating] = useState(String(Math.round(100 * (standard?.rating ?? 1))));
  const [allowance, setAllowance] = useState(String(Math.round(100 * (standard?.allowance ?? 0))));
  if (standard === null) return null;
  const pace = percentFrom(rating, RATINGS.least, RATINGS.most);
  const extra = percentFrom(allowance, ALLOWANCES.least, ALLOWANCES.most);
  const normal = pace === undefined ? undefined : standard.observed_ms * pace;
  const shown = (value: number | undefined): string => (value === undefined ? '–' : clock(value));
  const both = normal !== undefined && extra !== undefined;
  const needed = standard.n_needed === null ? null : String(standard.n_needed);
  return (
    <section className="card chart-card">
      <header>
        <h3>{w.review.work}</h3>
      </header>
      <div className="body">
        <p>{w.review.workText}</p>
        <div className="field inline">
          <label htmlFor={`${id}r`}>{w.review.rating}</label>
          <input
            id={`${id}r`}
            type="number"
            min={RATINGS.least}
            max={RATINGS.most}
            value={rating}
            onChange={(event) => setRating(event.target.value)}
          />
          <label htmlFor={`${id}a`}>{w.review.allowance}</label>
          <input
            id={`${id}a`}
            type="number"
            min={ALLOWANCES.least}
            max={ALLOWANCES.most}
            value={allowance}
            onChange={(event) => setAllowance(event.target.value)}
          />
        </div>
        <Table
          caption={w.review.work}
          head={[w.review.work, w.after.time]}
          rows={[
            [w.review.observed, clock(standard.observed_ms)],
            [w.review.normal, shown(normal)],
            [w.review.standardOfShift, shown(both ? normal / (1 - extra) : undefined)],
            [w.review.standardOfWork, shown(both ? normal * (1 + extra) : undefined)],
          ]}
        />
        <p>{w.review.workRests(standard.n, standard.left_out, needed)}</p>
        <How keys={['standard-time']} />
      </div>
    </section>
  );
}

export function TimeParts({ type }: { type: JobTypeReview }) {
  const w = useWords();
  const locale = w.language.tag;
  return (
    <section className="card chart-card">
      <header>
        <h3>{w.review.partsTitle}</h3>
      </header>
      <div className="body">
        <Table
          caption={w.review.partsTitle}
          head={[w.review.kinds, w.after.time, w.review.share]}
          rows={type.time_parts.map((part) => [
            w.review.partOf[part.kind],
            clock(part.ms),
            shownPercent(part.share, locale, 1),
          ])}
        />
        <How keys={['active-time']} />
      </div>
    </section>
  );
}

export function LearningTable({ type }: { type: JobTypeReview }) {
  const w = useWords();
  const locale = w.language.tag;
  const rate = (fit: JobTypeReview['learning'][number]['fit']): string => {
    if (fit === null) return '–';
    const percent = (value: number): string => shownPercent(value, locale);
    return `${percent(fit.rate)} (${w.bench.limitBetween(percent(2 ** fit.b_low), percent(2 ** fit.b_high))})`;
  };
  return (
    <Table
      caption={w.review.learning}
      head={[
        w.start.person,
        w.review.jobs,
        w.review.crawford,
        w.review.wright,
        w.review.forecast,
        w.review.plateau,
      ]}
      rows={type.learning.map((curve) => {
        const [next] = curve.forecast;
        return [
          curve.technician,
          String(curve.points.length),
          rate(curve.fit),
          rate(curve.wright),
          next === undefined
            ? '–'
            : `${clock(next.active_ms)} (${w.bench.limitBetween(clock(next.low), clock(next.high))})`,
          curve.plateau_ms === null || curve.plateau_from === null
            ? w.review.stillLearning
            : w.review.plateauFrom(clock(curve.plateau_ms), String(curve.plateau_from)),
        ];
      })}
    />
  );
}

/** In how many jobs each kind of lapse happened. */
export function LapseRates({
  rates,
}: {
  rates: readonly {
    readonly kind: keyof ReturnType<typeof useWords>['review']['lapseOf'];
    readonly rate: Parameters<typeof bareFigure>[0];
  }[];
}) {
  const w = useWords();
  return (
    <Table
      caption={w.review.lapses}
      head={[w.review.what, w.review.jobsWithIt]}
      rows={rates.map(({ kind, rate }) => [w.review.lapseOf[kind], shownFigure(rate, w.language.tag, w)])}
    />
  );
}
