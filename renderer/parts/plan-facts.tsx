/** A plan in four figures: how long, how many steps, tools and fasteners. */
import type { Plan } from '../../electron/core/plan/model.ts';
import type { ExpectedFromJobs } from '../../electron/ipc/contract.ts';
import { shownDuration } from '../figures.ts';
import { useWords } from '../words/words.ts';

export function PlanFacts({
  plan,
  expected,
  card = false,
}: {
  plan: Plan;
  /** From past jobs, where there are any like it; it takes the place of the plan's own sum. */
  expected: ExpectedFromJobs | undefined;
  card?: boolean;
}) {
  const w = useWords();
  const time = (duration_s: number): string => shownDuration(duration_s, w.language.tag);
  return (
    <dl className={`facts ${card ? 'card' : ''}`}>
      <div>
        <dt>{w.plan.expected}</dt>
        <dd>
          {expected === undefined
            ? time(plan.expected_s)
            : w.plan.fromJobs(time(expected.s), time(expected.low_s), time(expected.high_s), expected.jobs)}
        </dd>
      </div>
      <div>
        <dt>{w.plan.steps}</dt>
        <dd>{plan.steps.length}</dd>
      </div>
      <div>
        <dt>{w.plan.tools}</dt>
        <dd>{plan.tools.length}</dd>
      </div>
      <div>
        <dt>{w.plan.fasteners}</dt>
        <dd>{plan.tray.reduce((sum, one) => sum + one.count, 0)}</dd>
      </div>
    </dl>
  );
}
