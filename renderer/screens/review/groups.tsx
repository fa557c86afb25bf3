/** Two groups of the reader's own choice, compared by the host when asked. */
import { useId, useState } from 'react';
import { ALL_JOBS, type GroupComparison, type JobGroup } from '../../../electron/core/review/groups.ts';
import type { ReviewSummary } from '../../../electron/core/review/model.ts';
import type { Refusal } from '../../../electron/ipc/contract.ts';
import { partWords } from '../../figures.ts';
import { useHost } from '../../host.tsx';
import { Refused } from '../../parts/refused.tsx';
import { useWords } from '../../words/words.ts';
import { HowSentences } from './how.tsx';
import { ReviewWaiting } from './review-waiting.tsx';
import { ComparisonTable } from './tables.tsx';

type Side = 'a' | 'b';
const SIDES: readonly Side[] = ['a', 'b'];

export function Groups({ summary, product }: { summary: ReviewSummary; product: string | null }) {
  const w = useWords();
  const host = useHost();
  const [groups, setGroups] = useState(() => {
    const first = { ...ALL_JOBS, job_type: summary.types[0]?.job_type ?? null };
    return { a: first, b: first };
  });
  const [compared, setCompared] = useState<GroupComparison | null>(null);
  const [refused, setRefused] = useState<Refusal | null>(null);
  const [comparing, setComparing] = useState(false);
  if (summary.jobs.completed === 0) return null;
  const compare = (): void => {
    setComparing(true);
    setCompared(null);
    void host.ask('review.compare', { product, ...groups }).then((answer) => {
      setComparing(false);
      setCompared(answer.ok ? answer.value : null);
      setRefused(answer.ok ? null : answer.error);
    });
  };
  return (
    <section className="type-review">
      <form
        className="card no-print"
        onSubmit={(event) => {
          event.preventDefault();
          compare();
        }}
      >
        <header>
          <h2>{w.review.groups}</h2>
        </header>
        <div className="body">
          <p>{w.review.groupsText}</p>
          {SIDES.map((side) => (
            <GroupChoice
              key={side}
              name={w.review.groupOf[side]}
              group={groups[side]}
              onChange={(group) => setGroups({ ...groups, [side]: group })}
              summary={summary}
            />
          ))}
          <button type="submit" className="button" disabled={comparing}>
            {w.review.compare}
          </button>
          {comparing ? <ReviewWaiting /> : null}
          {refused === null ? null : <Refused error={refused} />}
        </div>
      </form>
      {compared === null ? null : (
        <HowSentences value={compared.how}>
          <ComparisonTable comparison={compared.comparison} />
        </HowSentences>
      )}
    </section>
  );
}

function GroupChoice({
  name,
  group,
  onChange,
  summary,
}: {
  name: string;
  group: JobGroup;
  onChange: (group: JobGroup) => void;
  summary: ReviewSummary;
}) {
  const w = useWords();
  const type = summary.types.find((one) => one.job_type === group.job_type);
  const [first, last] = [summary.from?.slice(0, 10), summary.to?.slice(0, 10)];
  return (
    <fieldset className="field inline group-choice">
      <legend>{name}</legend>
      <Choice
        label={w.review.kindOfJob}
        value={group.job_type ?? ''}
        options={summary.types.map((one) => [one.job_type, `${one.product_name}: ${partWords(one.replace)}`])}
        // The revisions of another unit are others.
        onChange={(job_type) => onChange({ ...group, job_type, revisions: [] })}
      />
      <Choice
        label={w.start.person}
        value={group.people[0] ?? ''}
        options={[['', w.review.everybody], ...summary.people.map(({ alias }) => [alias, alias] as const)]}
        onChange={(person) => onChange({ ...group, people: person === '' ? [] : [person] })}
      />
      <Choice
        label={w.review.revision}
        value={String(group.revisions[0] ?? '')}
        options={[
          ['', w.review.allRevisions],
          ...(type?.revisions ?? []).map((one) => [String(one), String(one)] as const),
        ]}
        onChange={(revision) => onChange({ ...group, revisions: revision === '' ? [] : [Number(revision)] })}
      />
      <Day
        label={w.review.firstDay}
        value={group.from}
        {...{ first, last }}
        onChange={(from) => onChange({ ...group, from })}
      />
      <Day
        label={w.review.lastDay}
        value={group.to}
        {...{ first, last }}
        onChange={(to) => onChange({ ...group, to })}
      />
    </fieldset>
  );
}

function Choice({
  label,
  value,
  options,
  onChange,
}: {
  label: string;
  value: string;
  options: readonly (readonly [value: string, shown: string])[];
  onChange: (value: string) => void;
}) {
  const id = useId();
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      <select id={id} value={value} onChange={(event) => onChange(event.target.value)}>
        {options.map(([one, shown]) => (
          <option key={one} value={one}>
            {shown}
          </option>
        ))}
      </select>
    </div>
  );
}

function Day({
  label,
  value,
  first,
  last,
  onChange,
}: {
  label: string;
  value: string | null;
  first: string | undefined;
  last: string | undefined;
  onChange: (day: string | null) => void;
}) {
  const id = useId();
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      <input
        id={id}
        type="date"
        min={first}
        max={last}
        value={value ?? ''}
        onChange={(event) => onChange(event.target.value === '' ? null : event.target.value)}
      />
    </div>
  );
}
