/**
 * Which steps are worth another look: much slower than expected, uneven, asked for again, gone back to. A
 * rate counts only where even the low end of its interval is high, so one bad day names no step.
 */
import type { Notice, ParetoRow, RewriteCandidate, StepStatistics } from './model.ts';
import { notice } from './words.ts';

/** Fewest jobs before a step is named. */
export const LEAST_JOBS_TO_NAME = 5;
const SLOWER_BY = 1.5;
const UNEVEN_BY = 2;
const MUCH = 0.1;
const OFTEN = 0.1;
const OFTEN_WRONG = 0.05;

const percent = (share: number | null): number => Math.round((share ?? 0) * 100);

function reasonsOf(step: StepStatistics, vital: boolean): Notice[] {
  const reasons: Notice[] = [];
  const median = step.median.value ?? 0;
  const ratio = step.expected_s > 0 ? median / (step.expected_s * 1000) : 0;
  if (ratio >= SLOWER_BY)
    reasons.push(
      notice('rewrite/slower-than-expected', {
        ratio: Number(ratio.toFixed(1)),
        median_s: Math.round(median / 1000),
        expected_s: step.expected_s,
      }),
    );
  if (median > 0 && step.p90_ms / median >= UNEVEN_BY)
    reasons.push(notice('rewrite/spread', { ratio: Number((step.p90_ms / median).toFixed(1)) }));
  if ((step.repeat_rate.low ?? 0) >= OFTEN)
    reasons.push(notice('rewrite/repeats', { percent: percent(step.repeat_rate.value) }));
  if ((step.help_rate.low ?? 0) >= OFTEN)
    reasons.push(notice('rewrite/help', { percent: percent(step.help_rate.value) }));
  if ((step.revisit_rate.low ?? 0) >= OFTEN_WRONG)
    reasons.push(notice('rewrite/revisits', { percent: percent(step.revisit_rate.value) }));
  if ((step.problem_rate.low ?? 0) >= OFTEN_WRONG)
    reasons.push(notice('rewrite/problems', { percent: percent(step.problem_rate.value) }));
  // Much time alone is no fault: it only weighs where something else is wrong.
  if (reasons.length > 0 && vital && step.share >= MUCH)
    reasons.push(notice('rewrite/much-of-the-job', { percent: percent(step.share) }));
  return reasons;
}

/** Time that could be had: what the median lies above the expected time, over the jobs, as a share of all. */
function scoreOf(step: StepStatistics, total_ms: number): number {
  const excess = Math.max(0, (step.median.value ?? 0) - step.expected_s * 1000) * step.n;
  const rates = [step.repeat_rate, step.help_rate, step.revisit_rate, step.problem_rate];
  const trouble = rates.reduce((sum, rate) => sum + (rate.low ?? 0), 0);
  return (total_ms === 0 ? 0 : excess / total_ms) + trouble * (0.1 + step.share);
}

/** Steps to rewrite, the most worth while first. */
export function rewriteCandidates(
  steps: readonly StepStatistics[],
  pareto: readonly ParetoRow[],
): RewriteCandidate[] {
  const vital = new Set(pareto.filter((row) => row.vital).map((row) => row.step));
  const total_ms = pareto.reduce((sum, row) => sum + row.total_ms, 0);
  return steps
    .filter((step) => step.n >= LEAST_JOBS_TO_NAME)
    .map((step) => ({
      step: step.step,
      say: step.say,
      score: scoreOf(step, total_ms),
      reasons: reasonsOf(step, vital.has(step.step)),
    }))
    .filter((candidate) => candidate.reasons.length > 0)
    .sort((a, b) => b.score - a.score);
}
