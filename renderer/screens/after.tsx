/** After the job: its own timeline, each step with its time, and the record to save. */
import type { JobReview } from '../../electron/ipc/contract.ts';
import { clock, partWords, shownMoment, shownNumber } from '../figures.ts';
import { useAnswer, useHost } from '../host.tsx';
import { NotePlayer } from '../parts/note-player.tsx';
import { Refused } from '../parts/refused.tsx';
import { stageName } from '../parts/rule.tsx';
import { SaveAs } from '../parts/save-as.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { signalWord } from '../parts/signal-panel.tsx';
import { Waiting } from '../parts/waiting.tsx';
import { useWords } from '../words/words.ts';

export function After({
  job,
  onGoOn,
  onBack,
}: {
  job: string;
  onGoOn: (job: string) => void;
  onBack: () => void;
}) {
  const w = useWords();
  const host = useHost();
  const review = useAnswer('job.review', { job });
  const back = (
    <button type="button" className="button" onClick={onBack}>
      {w.bench.toStart}
    </button>
  );
  if (review.state !== 'answered')
    return (
      <Sheet title={w.after.title} actions={back}>
        {review.state === 'asking' ? <Waiting /> : <Refused error={review.error} again={review.again} />}
      </Sheet>
    );
  const { summary, verified } = review.value;
  return (
    <Sheet
      title={summary.product_name}
      under={
        <>
          {w.plan.replaceLine(partWords(summary.replace))} · {summary.technician} ·{' '}
          {shownMoment(summary.started, w.language.tag)}
        </>
      }
      actions={
        <>
          {summary.state === 'unfinished' ? (
            <button type="button" className="button main" onClick={() => onGoOn(job)}>
              {w.after.again}
            </button>
          ) : null}
          {back}
        </>
      }
    >
      {verified ? null : (
        <p className="trouble" role="alert">
          <strong>{w.after.notVerified}</strong> <span>{w.after.notVerifiedLine}</span>
        </p>
      )}
      <Facts review={review.value} />
      <Timeline review={review.value} />
      <div className="columns wide-left">
        <StepTable review={review.value} />
        <div className="stack">
          <SaveAs title={w.after.save} save={(as) => host.ask('report.save', { job, as })} />
          <Records job={job} review={review.value} />
        </div>
      </div>
    </Sheet>
  );
}

function Facts({ review }: { review: JobReview }) {
  const w = useWords();
  const { summary } = review;
  const outcome = {
    completed: w.after.completed,
    'given-up': w.after.givenUp,
    unfinished: w.after.unfinished,
    unknown: w.after.unknown,
  }[summary.state];
  return (
    <dl className="facts card">
      <div>
        <dt>{w.start.outcome}</dt>
        <dd>{outcome}</dd>
      </div>
      <div>
        <dt>{w.after.active}</dt>
        <dd className="figures">{clock(review.active_ms)}</dd>
      </div>
      <div>
        <dt>{w.after.waiting}</dt>
        <dd className="figures">{clock(review.waiting_ms)}</dd>
      </div>
      <div>
        <dt>{w.after.paused}</dt>
        <dd className="figures">{clock(review.paused_ms)}</dd>
      </div>
      <div>
        <dt>{w.after.log}</dt>
        <dd>
          <span
            className={`tag ${review.verified ? 'good' : 'bad'}`}
            title={review.verified ? w.after.verifiedLine : ''}
          >
            {review.verified ? w.after.verified : w.after.notVerified}
          </span>
        </dd>
      </div>
    </dl>
  );
}

/** The job as one strip, each step as wide as its time; the table below says the same in figures. */
function Timeline({ review }: { review: JobReview }) {
  const w = useWords();
  const timed = review.steps.filter((step) => step.active_ms > 0);
  const longest = [...timed].sort((a, b) => b.active_ms - a.active_ms)[0];
  if (longest === undefined) return null;
  const groups: { stage: string; steps: JobReview['steps'][number][] }[] = [];
  for (const step of timed) {
    const last = groups[groups.length - 1];
    if (last !== undefined && last.stage === step.stage) last.steps.push(step);
    else groups.push({ stage: step.stage, steps: [step] });
  }
  const sum = (steps: readonly JobReview['steps'][number][]): number =>
    steps.reduce((all, step) => all + step.active_ms, 0);
  return (
    <figure className="card time-strip-card">
      <header>
        <h2>{w.after.timeline}</h2>
      </header>
      <div
        className="time-strip"
        role="img"
        aria-label={w.after.timelineText(timed.length, longest.say, clock(longest.active_ms))}
      >
        {groups.map((group, i) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: stages of one finished job never move.
          <div className="strip-stage" key={i} style={{ flexGrow: sum(group.steps) }}>
            <span className="strip-name">{stageName(group.stage, w)}</span>
            <span className="strip-steps">
              {group.steps.map((step) => (
                <i
                  key={step.step}
                  className={step === longest ? 'longest' : ''}
                  style={{ flexGrow: step.active_ms }}
                  title={`${step.say} ${clock(step.active_ms)}`}
                />
              ))}
            </span>
            <span className="strip-time figures">{clock(sum(group.steps))}</span>
          </div>
        ))}
      </div>
    </figure>
  );
}

function StepTable({ review }: { review: JobReview }) {
  const w = useWords();
  const most = Math.max(1, ...review.steps.map((step) => step.active_ms));
  return (
    <section className="card" aria-labelledby="step-times">
      <header>
        <h2 id="step-times">{w.after.steps}</h2>
        <p>{w.plan.stepsOf(review.steps.length)}</p>
      </header>
      <div className="scrolls">
        <table className="step-times">
          <thead>
            <tr>
              <th scope="col">{w.after.step}</th>
              <th scope="col">{w.after.stage}</th>
              <th scope="col" className="number">
                {w.after.time}
              </th>
              <th scope="col" className="number">
                {w.after.visits}
              </th>
              <th scope="col" className="number">
                {w.after.repeats}
              </th>
            </tr>
          </thead>
          <tbody>
            {review.steps.map((step, i) => (
              <tr key={step.step}>
                <td>
                  <span className="line-number figures">{i + 1}</span> {step.say}
                </td>
                <td className="soft">{stageName(step.stage, w)}</td>
                <td className="number">
                  {clock(step.active_ms)}
                  <span className="time-bar" aria-hidden="true">
                    <span style={{ width: `${(100 * step.active_ms) / most}%` }} />
                  </span>
                </td>
                <td className="number">{step.visits}</td>
                <td className="number">{step.repeats}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}

function Records({ job, review }: { job: string; review: JobReview }) {
  const w = useWords();
  const locale = w.language.tag;
  const say = new Map(review.steps.map((step) => [step.step, step.say]));
  return (
    <>
      <RecordCard title={w.after.readings} empty={review.readings.length === 0}>
        {review.readings.map((one) => (
          <li key={`${one.step} ${one.name}`}>
            <span>
              {one.name} <b className="figures">{`${shownNumber(one.value, locale, 4)} ${one.unit}`}</b>
            </span>
            <span className={`tag ${one.within ? '' : 'bad'}`}>
              {one.within ? w.after.within : w.after.outside}
            </span>
          </li>
        ))}
      </RecordCard>
      <RecordCard title={w.after.serials} empty={review.serials.length === 0}>
        {review.serials.map((one) => (
          <li key={`${one.name} ${one.value}`}>
            <span>{one.name}</span>
            <b className="figures">{one.value}</b>
          </li>
        ))}
      </RecordCard>
      <RecordCard title={w.after.cautions} empty={review.cautions.length === 0}>
        {review.cautions.map((one, i) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: the cautions of one finished job never move.
          <li key={i}>
            <span>
              <span className={`line-caution ${signalWord(one.word)}`}>{w.signal[signalWord(one.word)]}</span>{' '}
              {one.hazard}
            </span>
            <span className="figures soft" title={w.after.toAcknowledged}>
              {one.read_to_acknowledged_ms === null
                ? w.after.open
                : `${shownNumber(one.read_to_acknowledged_ms / 1000, locale, 1)} s`}
            </span>
          </li>
        ))}
      </RecordCard>
      <RecordCard title={w.after.problems} empty={review.problems.length === 0}>
        {review.problems.map((one, i) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: the problems of one finished job never move.
          <li key={i}>
            <span>
              <b>{one.kind}</b> <span className="soft">{say.get(one.step) ?? one.step}</span>
            </span>
            <span className="tag">{decision(one.decision, w)}</span>
          </li>
        ))}
      </RecordCard>
      <RecordCard title={w.after.notes} empty={review.notes.length === 0}>
        {review.notes.map((one, i) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: the notes of one finished job never move.
          <li key={i} className="note-line">
            <span>
              <b>{one.audio === null ? one.text : w.after.spokenNote(clock(Math.max(1000, one.audio_ms)))}</b>{' '}
              <span className="soft">{say.get(one.step) ?? one.step}</span>
            </span>
            {one.audio === null ? null : <NotePlayer job={job} audio={one.audio} length_ms={one.audio_ms} />}
          </li>
        ))}
      </RecordCard>
    </>
  );
}

function decision(value: string | null, w: ReturnType<typeof useWords>): string {
  if (value === 'go-on' || value === 'stop') return w.after.decided[value];
  return w.after.open;
}

function RecordCard({
  title,
  empty,
  children,
}: {
  title: string;
  empty: boolean;
  children: React.ReactNode;
}) {
  const w = useWords();
  return (
    <section className="card record-card">
      <header>
        <h2>{title}</h2>
      </header>
      {empty ? (
        <div className="body">
          <p className="soft">{w.after.noneOf}</p>
        </div>
      ) : (
        <ul className="ruled">{children}</ul>
      )}
    </section>
  );
}
