/** Review: what the logs say about types of jobs, steps and learning. The figures come from the core. */
import { useCallback, useId, useState } from 'react';
import type { Figure, JobTypeReview, Notice, ReviewSummary } from '../../../electron/core/review/model.ts';
import { clock, partWords } from '../../figures.ts';
import { useAnswer, useHost } from '../../host.tsx';
import { Refused } from '../../parts/refused.tsx';
import { SaveAs } from '../../parts/save-as.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWords } from '../../words/words.ts';
import { PRACTICE_PRODUCT } from '../start.tsx';
import { Groups } from './groups.tsx';
import { bareFigure, How, HowSentences, shownFigure, shownPercent, shownSureness } from './how.tsx';
import { Overview } from './overview.tsx';
import {
  ControlPicture,
  DistributionPicture,
  JobsPicture,
  LearningPicture,
  ParetoPicture,
} from './pictures.tsx';
import { ReviewWaiting } from './review-waiting.tsx';
import { Table } from './table.tsx';
import {
  CautionTable,
  ComparisonTable,
  LapseRates,
  StepTable,
  TimeParts,
  WorkMeasurement,
} from './tables.tsx';

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
  const units =
    products.state === 'answered'
      ? products.value.filter((one) => one.id !== '' && one.id !== PRACTICE_PRODUCT)
      : [];
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
      <ReviewOf key={product} product={product === '' ? null : product} />
    </Sheet>
  );
}

function ReviewOf({ product }: { product: string | null }) {
  const w = useWords();
  const asked = useAnswer('review.summary', { product });
  if (asked.state === 'asking') return <ReviewWaiting />;
  if (asked.state === 'refused') return <Refused error={asked.error} again={asked.again} />;
  const summary = withoutPractice(reviewFrom(asked.value));
  if (summary !== null && summary.types.length + summary.rejected.length > 0)
    return <Summary summary={summary} product={product} />;
  return (
    <section className="card">
      <div className="body">
        <h2>{w.review.empty}</h2>
        <p>{w.review.emptyLine}</p>
      </div>
    </section>
  );
}

function Summary({ summary, product }: { summary: ReviewSummary; product: string | null }) {
  const w = useWords();
  const host = useHost();
  const { jobs } = summary;
  const prefix = useId();
  const idOf = (type: JobTypeReview): string => `${prefix}${summary.types.indexOf(type)}`;
  return (
    <HowSentences value={summary.how}>
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
      <Notices notices={summary.notices} Heading="h2" />
      {summary.types.length > 1 ? <Overview types={summary.types} idOf={idOf} /> : null}
      {summary.types.map((type) => (
        <TypeReview key={type.job_type} type={type} id={idOf(type)} />
      ))}
      <Groups summary={summary} product={product} />
      <Lapses summary={summary} />
      <Rejected summary={summary} />
      <SaveAs title={w.review.saveTitle} save={(as) => host.ask('review.save', { product, as })} />
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
    </HowSentences>
  );
}

/** `Heading` is one below the heading that the notices belong to. */
function Notices({ notices, Heading }: { notices: readonly Notice[]; Heading: 'h2' | 'h3' }) {
  const w = useWords();
  if (notices.length === 0) return null;
  return (
    <section className="card notices" aria-label={w.review.notes}>
      <header>
        <Heading>{w.review.notes}</Heading>
      </header>
      <ul className="body lines">
        {notices.map((one) => (
          <li key={one.code + one.text}>{one.text}</li>
        ))}
      </ul>
    </section>
  );
}

/** One figure with how sure it is and how it came about. */
function Fact({ name, figure }: { name: string; figure: Figure }) {
  const w = useWords();
  const locale = w.language.tag;
  return (
    <div>
      <dt>{name}</dt>
      <dd className="figures">{bareFigure(figure, locale)}</dd>
      <dd className="sure">{shownSureness(figure, locale, w)}</dd>
      <dd className="sure">
        <How keys={[figure.how]} />
      </dd>
    </div>
  );
}

/** The four answers a supervisor came for, in a sentence each. */
function InShort({ type }: { type: JobTypeReview }) {
  const w = useWords();
  const locale = w.language.tag;
  const [first] = type.pareto;
  const [rewrite] = type.rewrite;
  const vital = type.pareto.filter((row) => row.vital).length;
  const { trend, trend_says } = type;
  return (
    <section className="card">
      <header>
        <h3>{w.review.inShort}</h3>
      </header>
      <ul className="body lines">
        {first === undefined ? null : (
          <li>
            {w.review.shortTime(shownPercent(first.share, locale), first.say, vital, type.pareto.length)}
          </li>
        )}
        <li>
          {trend_says === 'too-few'
            ? w.review.shortNoTrend
            : w.review.shortTrend(
                w.review.trendOf[trend_says],
                shownFigure({ ...trend, unit: 'share' }, locale, w),
              )}
        </li>
        <li>{w.review.shortRewrite(type.rewrite.length, rewrite?.say ?? '')}</li>
        <li>{w.review.shortLapses(type.lapse_jobs)}</li>
      </ul>
    </section>
  );
}

function TypeReview({ type, id }: { type: JobTypeReview; id: string }) {
  const w = useWords();
  const [step, setStep] = useState(type.pareto[0]?.step ?? '');
  const choose = useCallback((next: string) => setStep(next), []);
  const chosen = type.steps.find((one) => one.step === step);
  return (
    <section className="type-review" aria-labelledby={id}>
      <h2 id={id} tabIndex={-1}>
        {type.product_name}: {w.plan.replaceLine(partWords(type.replace))}
      </h2>
      <InShort type={type} />
      <dl className="facts card">
        <Fact name={w.review.median} figure={type.median} />
        <div>
          <dt>{w.plan.expected}</dt>
          <dd className="figures">{clock(type.expected_s * 1000)}</dd>
        </div>
        {type.p90_ms === null ? null : (
          <div>
            <dt>{w.review.p90}</dt>
            <dd className="figures">{clock(type.p90_ms)}</dd>
            <dd className="sure">{w.review.restsOn(type.median.n)}</dd>
            <dd className="sure">
              <How keys={['p90-type-7']} />
            </dd>
          </div>
        )}
        {type.prediction === null ? null : (
          <>
            <Fact name={w.review.next} figure={type.prediction.expected} />
            <Fact name={w.review.coverage} figure={type.prediction.coverage} />
          </>
        )}
        {type.trend_says === 'too-few' ? null : (
          <Fact name={w.review.per10} figure={{ ...type.trend, unit: 'share' }} />
        )}
      </dl>
      <Notices notices={type.notices} Heading="h3" />
      <div className="charts">
        <ParetoPicture type={type} />
        <Rewrite type={type} />
        <JobsPicture type={type} />
        {type.chart === null ? null : <ControlPicture type={type} step={chosen} />}
        {type.learning.length === 0 ? null : <LearningPicture type={type} />}
        {chosen === undefined ? null : (
          <DistributionPicture step={chosen} steps={type.steps} onStep={choose} />
        )}
        <WorkMeasurement type={type} />
        <TimeParts type={type} />
        {type.comparisons.map((one) => (
          <ComparisonTable key={`${one.a.text} ${one.b.text}`} comparison={one} />
        ))}
        <CautionTable type={type} />
        <StepTable type={type} />
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
  const says = new Map(summary.types.flatMap((type) => type.steps.map((one) => [one.step, one.say])));
  return (
    <section className="card">
      <header>
        <h2>{w.review.lapses}</h2>
      </header>
      <div className="body">
        <LapseRates rates={summary.lapse_rates} />
        <How keys={['lapse-rate', 'too-fast', 'caution-too-fast']} />
        <p>{w.review.lapsesText(summary.lapses.length)}</p>
        <details>
          <summary>{w.review.asTable}</summary>
          <Table
            words={[0, 1, 2, 3]}
            head={[w.start.when, w.start.person, w.after.step, w.review.what]}
            rows={summary.lapses.map((one) => [
              one.started.slice(0, 16).replace('T', ' '),
              one.technician,
              one.step === null ? '–' : (says.get(one.step) ?? one.step),
              one.text,
            ])}
          />
        </details>
      </div>
    </section>
  );
}

function Rejected({ summary }: { summary: ReviewSummary }) {
  const w = useWords();
  if (summary.rejected.length === 0) return null;
  return (
    <section className="card">
      <header>
        <h2>{w.review.rejected}</h2>
      </header>
      <div className="body">
        <p>{w.review.rejectedText}</p>
        <Table
          caption={w.review.rejected}
          words={[0, 2]}
          head={[w.review.job, w.review.logLine, w.review.what]}
          rows={summary.rejected.map((one) => [one.job, String(one.line ?? '–'), one.message])}
        />
      </div>
    </section>
  );
}
