/**
 * Cautions over many jobs: whether they are taken in. The time from the end of the reading to "understood" says
 * little in one job and much over many.
 */
import { leastCautionMs } from './lapses.ts';
import type { CautionStatistics, CautionTimes, Figure, JobTimes } from './model.ts';
import { medianFigure, rateOf } from './step-statistics.ts';

/** The answers of one caution as a figure: their median with its interval. */
function answerOf(times: readonly number[]): Figure {
  return { ...medianFigure([...times].sort((a, b) => a - b)), how: 'caution-answer' };
}

/** The cautions of these jobs, the ones answered too fast most often first. Jobs in order of time. */
export function cautionStatistics(jobs: readonly JobTimes[]): CautionStatistics[] {
  const groups = new Map<string, CautionTimes[]>();
  for (const job of jobs)
    for (const one of job.cautions) {
      const key = `${one.step}\n${one.caution}`;
      const list = groups.get(key);
      if (list === undefined) groups.set(key, [one]);
      else list.push(one);
    }
  const rows = [...groups.values()].flatMap((given): CautionStatistics[] => {
    const latest = given[given.length - 1];
    if (latest === undefined) return [];
    const answered = given.filter((one) => one.read_to_acknowledged_ms !== null);
    const fast = answered.filter((one) => (one.read_to_acknowledged_ms ?? 0) < leastCautionMs(one));
    return [
      {
        step: latest.step,
        caution: latest.caution,
        word: latest.word,
        hazard: latest.hazard,
        given: given.length,
        answer: answerOf(answered.map((one) => one.read_to_acknowledged_ms ?? 0)),
        too_fast_rate: { ...rateOf(fast.length, answered.length), how: 'caution-too-fast' },
        unanswered: given.filter((one) => !one.acknowledged).length,
      },
    ];
  });
  return rows.sort((a, b) => (b.too_fast_rate.value ?? 0) - (a.too_fast_rate.value ?? 0));
}
