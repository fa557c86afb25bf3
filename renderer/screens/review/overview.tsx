/** All types of job at a glance: one row each, and the way to its section. */

import type { JobTypeReview } from '../../../electron/core/review/model.ts';
import { taskOfStep } from '../../../electron/core/review/task-of-step.ts';
import { partWords } from '../../figures.ts';
import { useWords } from '../../words/words.ts';
import { How, shownFigure, shownPercent } from './how.tsx';

/** Letters of a step at a glance; its section has the whole sentence. */
const STEP_LETTERS = 60;
const brief = (text: string): string =>
  text.length > STEP_LETTERS ? `${text.slice(0, STEP_LETTERS - 1)}…` : text;

export function Overview({
  types,
  idOf,
}: {
  types: readonly JobTypeReview[];
  idOf: (type: JobTypeReview) => string;
}) {
  const w = useWords();
  const locale = w.language.tag;
  const show = (type: JobTypeReview): void => {
    const heading = document.getElementById(idOf(type));
    heading?.scrollIntoView();
    heading?.focus();
  };
  const head = [
    w.review.jobs,
    w.review.median,
    w.review.trend,
    w.review.pareto,
    w.review.rewrite,
    w.review.lapses,
  ];
  return (
    <section className="card">
      <header>
        <h2>{w.review.overview}</h2>
      </header>
      <div className="body">
        <div className="scrolls figures-table overview">
          <table>
            <thead>
              <tr>
                <th scope="col">{w.review.kindOfJob}</th>
                {head.map((one) => (
                  <th scope="col" key={one}>
                    {one}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {types.map((type) => {
                const [first] = type.pareto;
                const [rewrite] = type.rewrite;
                return (
                  <tr key={type.job_type}>
                    <th scope="row">
                      <button type="button" className="in-text" onClick={() => show(type)}>
                        {type.product_name}: {partWords(type.replace)}
                      </button>
                    </th>
                    <td>{type.jobs.length}</td>
                    <td>{shownFigure(type.median, locale, w)}</td>
                    <td>{w.review.trendOf[type.trend_says]}</td>
                    <td>
                      {first === undefined
                        ? '–'
                        : `${shownPercent(first.share, locale)}: ${brief(taskOfStep(first.say, w.toolSentences))}`}
                    </td>
                    <td>
                      {rewrite === undefined
                        ? '–'
                        : `${type.rewrite.length}: ${brief(taskOfStep(rewrite.say, w.toolSentences))}`}
                    </td>
                    <td>{w.review.inJobs(type.lapse_jobs)}</td>
                  </tr>
                );
              })}
            </tbody>
          </table>
        </div>
        <How keys={['median-interval', 'theil-sen', 'share-of-time', 'lapse-rate']} />
      </div>
    </section>
  );
}
