/** Review: what the logs say about types of jobs, steps and learning. The figures come from the core. */
import { useCallback, useId, useState } from 'react';
import type { Figure, JobTypeReview, Notice, ReviewSummary } from '../../../electron/core/review/model.ts';
import { clock, partWords, shownNumber } from '../../figures.ts';
import { useAnswer } from '../../host.tsx';
import { Refused } from '../../parts/refused.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWords } from '../../words/words.ts';
import { PRACTICE_PRODUCT } from '../start.tsx';
import {
  ControlPicture,
  DistributionPicture,
  JobsPicture,
  LearningPicture,
  ParetoPicture,
} from './pictures.tsx';

/** The review as it comes from the host, or null where it is not one this page knows. */
export function reviewFrom(answer: unknown): ReviewSummary | null {
  if (typeof answer !== 'object' || answer === null) return null;
  const summary = answer as Partial<ReviewSummary>;
  return summary.format === 1 && Array.isArray(summary.types) ? (answer as ReviewSummary) : null;
}

/** The paper unit is for learning the phrases; its times say nothing about any work. */
function withoutPractice(summary: ReviewSummary | null): ReviewSummary | null {
  if (summary === null) return null;
  return { ...summary, types: summary.types.filter((type) => type.product !== PRACTICE_PRODUCT) };
}

export function Review() {
  const w = useWords();
  const id = useId();
  const products = useAnswer('products.list', null);
  const [product, setProduct] = useState('');
  const asked = useAnswer('review.summary', { product: product === '' ? null : product });
  const units =
    products.state === 'answered'
      ? products.value.filter((one) => one.id !== '' && one.id !== PRACTICE_PRODUCT)
      : [];
  const summary = asked.state === 'answered' ? withoutPractice(reviewFrom(asked.value)) : null;
  const choose = (
    <div className="field inline">
      <label htmlFor={id}>{w.review.product}</label>
      <select id={id} value={product} onChange={(event) => setProduct(event.target.value)}>
        <option value="">{w.review.all}</option>
        {units.map((one) => (
          <option key={one.id} value={one.id}>
            {one.name}
          </option>
        ))}
      </select>
    </div>
  );
  return (
    <Sheet title={w.review.title} under={w.review.line} actions={choose}>
      {asked.state === 'asking' ? <p className="loading">{w.app.loading}</p> : null}
      {asked.state === 'refused' ? <Refused error={asked.error} again={asked.again} /> : null}
      {asked.state === 'answered' ? (
        summary === null || summary.types.length === 0 ? (
          <section className="card">
            <div className="body">
              <h2>{w.review.empty}</h2>
              <p>{w.review.emptyLine}</p>
            </div>
          </section>
        ) : (
          <Summary summary={summary} />
        )
      ) : null}
    </Sheet>
  );
}

function Summary({ summary }: { summary: ReviewSummary }) {
  const w = useWords();
  const { jobs } = summary;
  return (
    <>
      <dl className="facts card">
        <div>
          <dt>{w.review.jobs}</dt>
          <dd>{jobs.total}</dd>
        </div>
        <div>
          <dt>{w.after.completed}</dt>
          <dd>{jobs.completed}</dd>
        </div>
        <div>
          <dt>{w.after.givenUp}</dt>
          <dd>{jobs.given_up}</dd>
        </div>
        <div>
          <dt>{w.after.unfinished}</dt>
          <dd>{jobs.unfinished}</dd>
        </div>
        <div>
          <dt>{w.after.unknown}</dt>
          <dd>{jobs.unknown}</dd>
        </div>
      </dl>
      <Notices notices={summary.notices} />
      {summary.types.map((type) => (
        <TypeReview key={type.job_type} type={type} />
      ))}
      <Lapses summary={summary} />
      <section className="card" aria-labelledby="how">
        <header>
          <h2 id="how">{w.review.how}</h2>
        </header>
        <ul className="body lines">
          {Object.entries(summary.how).map(([key, text]) => (
            <li key={key}>{text}</li>
          ))}
        </ul>
      </section>
    </>
  );
}

function Notices({ notices }: { notices: readonly Notice[] }) {
  const w = useWords();
  if (notices.length === 0) return null;
  return (
    <section className="card notices" aria-label={w.review.notes}>
      <header>
        <h3>{w.review.notes}</h3>
      </header>
      <ul className="body lines">
        {notices.map((one) => (
          <li key={one.code + one.text}>{one.text}</li>
        ))}
      </ul>
    </section>
  );
}

/** A figure with its interval and what it rests on: "12:10 (11:02 to 13:40), 9 jobs". */
export function shownFigure(figure: Figure, locale: string, words: ReturnType<typeof useWords>): string {
  const one = (value: number): string => {
    switch (figure.unit) {
      case 'ms':
        return clock(value);
      case 's':
        return clock(value * 1000);
      case 'share':
        return new Intl.NumberFormat(locale, { style: 'percent', maximumFractionDigits: 0 }).format(value);
      default:
        return shownNumber(value, locale, 2);
    }
  };
  if (figure.value === null) return '–';
  if (figure.low === null || figure.high === null) return one(figure.value);
  return `${one(figure.value)} (${words.bench.limitBetween(one(figure.low), one(figure.high))})`;
}

function TypeReview({ type }: { type: JobTypeReview }) {
  const w = useWords();
  const locale = w.language.tag;
  const [step, setStep] = useState(type.pareto[0]?.step ?? '');
  const id = useId();
  const choose = useCallback((next: string) => setStep(next), []);
  const chosen = type.steps.find((one) => one.step === step);
  return (
    <section className="type-review" aria-labelledby={id}>
      <h2 id={id}>
        {type.product_name}: {w.plan.replaceLine(partWords(type.replace))}
      </h2>
      <dl className="facts card">
        <div>
          <dt>{w.review.jobs}</dt>
          <dd>{type.jobs.length}</dd>
        </div>
        <div>
          <dt>{w.review.median}</dt>
          <dd className="figures">{shownFigure(type.median, locale, w)}</dd>
        </div>
        <div>
          <dt>{w.plan.expected}</dt>
          <dd className="figures">{clock(type.expected_s * 1000)}</dd>
        </div>
        <div>
          <dt>{w.review.trend}</dt>
          <dd>{w.review.trendOf[type.trend_says]}</dd>
        </div>
        {type.standard === null ? null : (
          <div>
            <dt>{w.review.standard}</dt>
            <dd className="figures">{clock(type.standard.standard_of_shift_ms)}</dd>
          </div>
        )}
      </dl>
      <Notices notices={type.notices} />
      <div className="charts">
        <ParetoPicture type={type} />
        <JobsPicture type={type} />
        {type.chart === null ? null : <ControlPicture chart={type.chart} />}
        {type.learning.length === 0 ? null : <LearningPicture curves={type.learning} />}
        {chosen === undefined ? null : (
          <DistributionPicture step={chosen} steps={type.steps} onStep={choose} />
        )}
        <Rewrite type={type} />
      </div>
    </section>
  );
}

function Rewrite({ type }: { type: JobTypeReview }) {
  const w = useWords();
  if (type.rewrite.length === 0) return null;
  return (
    <section className="card chart-card">
      <header>
        <h3>{w.review.rewrite}</h3>
      </header>
      <ol className="body lines">
        {type.rewrite.map((one) => (
          <li key={one.step}>
            <b>{one.say}</b>
            <ul className="soft">
              {one.reasons.map((reason) => (
                <li key={reason.code}>{reason.text}</li>
              ))}
            </ul>
          </li>
        ))}
      </ol>
    </section>
  );
}

function Lapses({ summary }: { summary: ReviewSummary }) {
  const w = useWords();
  if (summary.lapses.length === 0) return null;
  return (
    <section className="card" aria-labelledby="lapses">
      <header>
        <h2 id="lapses">{w.review.lapses}</h2>
      </header>
      <p className="body">{w.review.lapsesText(summary.lapses.length)}</p>
      <details className="body">
        <summary>{w.review.asTable}</summary>
        <div className="scrolls">
          <table>
            <thead>
              <tr>
                <th scope="col">{w.start.when}</th>
                <th scope="col">{w.start.person}</th>
                <th scope="col">{w.review.what}</th>
              </tr>
            </thead>
            <tbody>
              {summary.lapses.map((one, i) => (
                // biome-ignore lint/suspicious/noArrayIndexKey: the list is never reordered.
                <tr key={i}>
                  <td className="figures">{one.started.slice(0, 16).replace('T', ' ')}</td>
                  <td>{one.technician}</td>
                  <td>{one.text}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </details>
    </section>
  );
}
