/**
 * Progress as a measuring rule: one division a step, longer at the start of a stage and at every tenth
 * step, filled up to where the job is. The one shape this program is known by.
 */
import type { BenchView } from '../../electron/core/job/model.ts';
import { useWords } from '../words/words.ts';

type Division = BenchView['steps'][number];

/** Neighbouring steps of one stage, in order. */
export function stagesOf(steps: readonly Division[]): { stage: string; steps: Division[]; first: number }[] {
  const stages: { stage: string; steps: Division[]; first: number }[] = [];
  steps.forEach((step, index) => {
    const last = stages[stages.length - 1];
    if (last !== undefined && last.stage === step.stage) last.steps.push(step);
    else stages.push({ stage: step.stage, steps: [step], first: index });
  });
  return stages;
}

export function Rule({
  steps,
  number,
  total,
}: {
  steps: readonly Division[];
  number: number;
  total: number;
}) {
  const w = useWords();
  const current = steps[number - 1];
  const stage = current === undefined ? '' : stageName(current.stage, w);
  return (
    <div
      className="rule"
      role="progressbar"
      aria-valuemin={0}
      aria-valuemax={total}
      aria-valuenow={number}
      aria-valuetext={w.bench.stepOf(number, total, stage)}
      aria-label={w.bench.steps}
    >
      {stagesOf(steps).map((group) => (
        <div className="rule-stage" key={group.first} style={{ flexGrow: group.steps.length }}>
          <span className="rule-name" aria-hidden="true">
            {group.steps.length >= 4 || group.stage === current?.stage ? stageName(group.stage, w) : ''}
          </span>
          <span className="rule-divisions" aria-hidden="true">
            {group.steps.map((step, i) => {
              const n = group.first + i + 1;
              return (
                <i
                  key={step.id}
                  className={`division ${step.state} ${n % 10 === 0 ? 'ten' : ''} ${i === 0 ? 'first' : ''}`}
                >
                  {n % 10 === 0 ? <b>{n}</b> : null}
                </i>
              );
            })}
          </span>
        </div>
      ))}
    </div>
  );
}

/** The word on screen for a stage; the stage itself where a newer plan has one this program does not know. */
export function stageName(stage: string, words: ReturnType<typeof useWords>): string {
  return stage in words.stage ? words.stage[stage as keyof typeof words.stage] : stage;
}
