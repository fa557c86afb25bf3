/** The plan of a job as its log has answered the questions that were left to the job. */
import type { Plan } from '../plan/model.ts';
import { planAsAnswered } from '../plan/questions.ts';
import type { LogLine } from './model.ts';

/** Keeps the answers that stand: taking back the step that asked takes its answer back too. */
export class UnitAnswers {
  answers: Readonly<Record<string, string>> = {};
  private about = '';
  private readonly askedAt: ReadonlyMap<string, string>;

  constructor(plan: Plan) {
    this.askedAt = new Map(plan.steps.flatMap((s) => (s.asks === undefined ? [] : [[s.id, s.asks.variant]])));
  }

  take(event: string, fields: Readonly<Record<string, unknown>>): void {
    const { question, about, answer, step } = fields;
    if (event === 'question.asked') this.about = question === 'variant' ? String(about ?? '') : '';
    else if (event === 'question.answered' && question === 'variant' && this.about !== '') {
      this.answers = { ...this.answers, [this.about]: String(answer) };
    } else if (event === 'step.undone') {
      const variant = this.askedAt.get(String(step));
      if (variant === undefined) return;
      this.answers = Object.fromEntries(Object.entries(this.answers).filter(([id]) => id !== variant));
    }
  }
}

/** The plan without the steps that fell away in the job. Linear in the lines; the plan itself where nothing was asked. */
export function planOfLog(plan: Plan, lines: Iterable<Pick<LogLine, 'event' | 'fields'>>): Plan {
  if (!plan.steps.some((step) => step.asks !== undefined)) return plan;
  const unit = new UnitAnswers(plan);
  for (const { event, fields } of lines) unit.take(event, fields);
  return planAsAnswered(plan, unit.answers);
}
