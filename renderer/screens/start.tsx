/** First screen: go on with what lies open, choose a unit, look at earlier jobs. */
import { useCallback } from 'react';
import type { JobSummary, ProductSummary, Push } from '../../electron/ipc/contract.ts';
import { partWords, shownMoment } from '../figures.ts';
import { useAnswer, usePush } from '../host.tsx';
import { Refused } from '../parts/refused.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { Waiting } from '../parts/waiting.tsx';
import { useWords } from '../words/words.ts';

/** Id of the product that the two-minute practice runs on; it is not offered as a unit. */
export const PRACTICE_PRODUCT = 'practice';
/** More than a screenful of earlier jobs helps nobody; the review shows all. */
const RECENT_JOBS_MAX = 12;

export function Start({
  onChoose,
  onGoOn,
  onSee,
  onDesk,
  onPractice,
}: {
  onChoose: (file: string) => void;
  onGoOn: (job: string) => void;
  onSee: (job: string) => void;
  onDesk: (file: string) => void;
  onPractice: (file: string) => void;
}) {
  const w = useWords();
  const products = useAnswer('products.list', null);
  const jobs = useAnswer('jobs.list', null);
  const info = useAnswer('app.info', null);
  const { again } = products;
  usePush(useCallback((push: Push) => push.type === 'products-changed' && again(), [again]));

  const all =
    jobs.state === 'answered' ? [...jobs.value].sort((a, b) => b.started.localeCompare(a.started)) : [];
  const open = all.filter((job) => job.state === 'unfinished');
  const done = all.filter((job) => job.state !== 'unfinished').slice(0, RECENT_JOBS_MAX);
  const files = products.state === 'answered' ? products.value : [];
  const units = files.filter((one) => one.id !== PRACTICE_PRODUCT);
  const practice = files.find((one) => one.id === PRACTICE_PRODUCT);

  return (
    <Sheet title={w.start.title}>
      {open.length === 0 ? null : (
        <section className="stack" aria-labelledby="go-on">
          <h2 id="go-on">{w.start.goOn}</h2>
          <ul className="open-jobs">
            {open.map((job) => (
              <OpenJob key={job.job} job={job} onGoOn={onGoOn} onSee={onSee} />
            ))}
          </ul>
        </section>
      )}
      <div className="columns wide-left">
        <section className="stack" aria-labelledby="choose">
          <div>
            <h2 id="choose">{w.start.choose}</h2>
            <p className="soft">{w.start.chooseHint}</p>
          </div>
          {products.state === 'refused' ? <Refused error={products.error} again={products.again} /> : null}
          {products.state === 'asking' ? <Waiting /> : null}
          {products.state === 'answered' && units.length === 0 ? (
            <div className="card">
              <div className="body">
                <strong>{w.start.none}</strong>
                {info.state === 'answered' ? <p>{w.start.noneMend(info.value.procedures_folder)}</p> : null}
              </div>
            </div>
          ) : null}
          <ul className="units">
            {units.map((unit) => (
              <Unit key={unit.file} unit={unit} onChoose={onChoose} onDesk={onDesk} />
            ))}
          </ul>
        </section>
        <div className="stack">
          <section className="card practice" aria-labelledby="practice">
            <header>
              <h2 id="practice">{w.start.practice}</h2>
            </header>
            <div className="body">
              <p>{practice === undefined ? w.start.practiceMissing : w.start.practiceLine}</p>
              {practice === undefined ? null : (
                <button type="button" className="button" onClick={() => onPractice(practice.file)}>
                  {w.start.practiceGo}
                </button>
              )}
            </div>
          </section>
          <section className="card" aria-labelledby="recent">
            <header>
              <h2 id="recent">{w.start.recent}</h2>
            </header>
            {jobs.state === 'refused' ? <Refused error={jobs.error} again={jobs.again} /> : null}
            {jobs.state === 'answered' && done.length === 0 ? (
              <div className="body">
                <p className="soft">{w.start.noRecent}</p>
              </div>
            ) : null}
            <ul className="recent ruled">
              {done.map((job) => (
                <RecentJob key={job.job} job={job} onSee={onSee} />
              ))}
            </ul>
          </section>
        </div>
      </div>
    </Sheet>
  );
}

function OpenJob({
  job,
  onGoOn,
  onSee,
}: {
  job: JobSummary;
  onGoOn: (job: string) => void;
  onSee: (job: string) => void;
}) {
  const w = useWords();
  const share = job.step_total === 0 ? 0 : (job.step_number - 1) / job.step_total;
  return (
    <li className="card open-job">
      <div className="body">
        <div>
          <h3>{job.product_name}</h3>
          <p className="soft">
            {w.plan.replaceLine(partWords(job.replace))} ·{' '}
            {w.start.startedBy(job.technician, shownMoment(job.started, w.language.tag))}
          </p>
        </div>
        <div className="short-rule" aria-hidden="true">
          <span style={{ width: `${share * 100}%` }} />
        </div>
        {job.trouble === null ? (
          <div className="row">
            <button type="button" className="button main" onClick={() => onGoOn(job.job)}>
              {w.start.goOnAt(job.step_number, job.step_total)}
            </button>
            <button type="button" className="button" onClick={() => onSee(job.job)}>
              {w.start.see}
            </button>
          </div>
        ) : (
          <p className="trouble">{job.trouble}</p>
        )}
      </div>
    </li>
  );
}

function Unit({
  unit,
  onChoose,
  onDesk,
}: {
  unit: ProductSummary;
  onChoose: (file: string) => void;
  onDesk: (file: string) => void;
}) {
  const w = useWords();
  const broken = unit.errors > 0;
  return (
    <li className="unit-item">
      <button
        type="button"
        className={`unit ${broken ? 'broken' : ''}`}
        onClick={() => (broken ? onDesk(unit.file) : onChoose(unit.file))}
      >
        <span className="unit-id figures">{unit.id || unit.file}</span>
        <span className="unit-name">{unit.name || unit.file}</span>
        <span className="unit-line">{broken ? w.start.seeProblems : unit.summary}</span>
        <span className="unit-foot">
          {broken ? null : <span>{w.start.revision(unit.revision)}</span>}
          {broken || unit.warnings > 0 ? (
            <span className={`tag ${broken ? 'bad' : ''}`}>
              {w.start.problems(unit.errors, unit.warnings)}
            </span>
          ) : null}
        </span>
      </button>
    </li>
  );
}

function RecentJob({ job, onSee }: { job: JobSummary; onSee: (job: string) => void }) {
  const w = useWords();
  return (
    <li>
      <button type="button" className="recent-job" onClick={() => onSee(job.job)}>
        <span>
          <b>{job.product_name}</b>
          <span className="soft">
            {partWords(job.replace)} · {job.technician} · {shownMoment(job.started, w.language.tag)}
          </span>
        </span>
        <span className={`tag ${job.state === 'completed' ? '' : 'bad'}`}>{w.start.state[job.state]}</span>
      </button>
    </li>
  );
}
