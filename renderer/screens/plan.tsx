/** The plan: what will be done, with what, how the tray is laid out, and whether the ear is fit for it. */
import type { Plan, PlanStep } from '../../electron/core/plan/model.ts';
import type { ExpectedFromJobs, Settings } from '../../electron/ipc/contract.ts';
import { shownThread, shownTorque } from '../figures.ts';
import { useAnswer } from '../host.tsx';
import { MicrophonePanel } from '../parts/microphone-panel.tsx';
import { PlanFacts } from '../parts/plan-facts.tsx';
import { Findings, Refused } from '../parts/refused.tsx';
import { stageName } from '../parts/rule.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { SignalPanel, signalWord } from '../parts/signal-panel.tsx';
import { AlertSymbol } from '../parts/signal-symbol.tsx';
import { TrayLayout } from '../parts/tray.tsx';
import { Waiting } from '../parts/waiting.tsx';
import { useWords } from '../words/words.ts';
import type { Entry } from './before.tsx';

export function PlanScreen({
  entry,
  units,
  starting,
  refused,
  onStart,
  onBack,
}: {
  entry: Entry;
  units: Settings['units'];
  starting: boolean;
  refused: { code: string; message: string; mend: string } | null;
  onStart: (plan: Plan) => void;
  onBack: () => void;
}) {
  const w = useWords();
  const preview = useAnswer('plan.preview', {
    file: entry.file,
    replace: entry.replace,
    variants: entry.variants,
  });
  const back = (
    <button type="button" className="button" onClick={onBack}>
      {w.app.back}
    </button>
  );
  if (preview.state !== 'answered' || preview.value.plan === null)
    return (
      <Sheet title={w.plan.title} actions={back}>
        {preview.state === 'asking' ? <Waiting /> : null}
        {preview.state === 'refused' ? <Refused error={preview.error} again={preview.again} /> : null}
        {preview.state === 'answered' ? (
          <section className="card">
            <Findings findings={preview.value.findings} />
          </section>
        ) : null}
      </Sheet>
    );
  const plan = preview.value.plan;
  return (
    <Sheet
      title={w.plan.replaceLine(
        plan.new_parts.map((part) => part.name).join(', ') || plan.replace.join(', '),
      )}
      under={`${plan.product_name} · ${w.start.revision(plan.product_revision)}`}
      actions={
        <>
          {back}
          <button type="button" className="button" onClick={() => window.print()}>
            {w.plan.print}
          </button>
          <StartButton plan={plan} starting={starting} onStart={onStart} />
        </>
      }
    >
      {refused === null ? null : <Refused error={refused} />}
      <PlanView plan={plan} expected={preview.value.expected} units={units} />
    </Sheet>
  );
}

function StartButton({
  plan,
  starting,
  onStart,
}: {
  plan: Plan;
  starting: boolean;
  onStart: (plan: Plan) => void;
}) {
  const w = useWords();
  return (
    <button type="button" className="button main" disabled={starting} onClick={() => onStart(plan)}>
      {starting ? w.plan.starting : w.plan.start}
    </button>
  );
}

function PlanView({
  plan,
  expected,
  units,
}: {
  plan: Plan;
  expected: ExpectedFromJobs | undefined;
  units: Settings['units'];
}) {
  const w = useWords();
  return (
    <>
      <PlanFacts plan={plan} expected={expected} card />
      <div className="columns wide-left">
        <div className="stack">
          <section className="stack tight" aria-labelledby="job-cautions">
            <h2 id="job-cautions">{w.plan.cautions}</h2>
            {plan.job_cautions.map((caution) => (
              <SignalPanel key={caution.id} caution={caution} />
            ))}
            <p className="safety-line">{w.plan.safety}</p>
          </section>
          <StageList plan={plan} units={units} />
        </div>
        <div className="stack">
          <Preparation plan={plan} />
          <section className="card">
            <header>
              <h2>{w.plan.tray}</h2>
              <p>{plan.tray.length === 0 ? w.plan.trayEmpty : w.plan.trayHint}</p>
            </header>
            <div className="body flush">
              <TrayLayout tray={plan.tray} />
            </div>
          </section>
          <MicrophonePanel />
        </div>
      </div>
    </>
  );
}

function Preparation({ plan }: { plan: Plan }) {
  const w = useWords();
  return (
    <section className="card">
      <header>
        <h2>{w.plan.ready}</h2>
      </header>
      <div className="body prep">
        <h3>{w.plan.newParts}</h3>
        <ul>
          {plan.new_parts.map((part) => (
            <li key={part.id}>{part.name}</li>
          ))}
          {plan.new_parts.length === 0 ? <li className="soft">{w.plan.none}</li> : null}
        </ul>
        <h3>{w.plan.tools}</h3>
        <ul>
          {plan.tools.map((tool) => (
            <li key={tool.id}>{tool.name}</li>
          ))}
          {plan.tools.length === 0 ? <li className="soft">{w.plan.none}</li> : null}
        </ul>
        <h3>{w.plan.consumables}</h3>
        <ul>
          {plan.consumables.map((one) => (
            <li key={one.id}>
              {one.count > 1 ? <span className="figures">{w.plan.count(one.count)} </span> : null}
              {one.name}
              {one.amount === null ? null : <span className="soft"> ({one.amount})</span>}
            </li>
          ))}
          {plan.consumables.length === 0 ? <li className="soft">{w.plan.none}</li> : null}
        </ul>
      </div>
    </section>
  );
}

function StageList({ plan, units }: { plan: Plan; units: Settings['units'] }) {
  const w = useWords();
  const stages: { stage: string; steps: { step: PlanStep; number: number }[] }[] = [];
  plan.steps.forEach((step, i) => {
    const last = stages[stages.length - 1];
    const line = { step, number: i + 1 };
    if (last !== undefined && last.stage === step.stage) last.steps.push(line);
    else stages.push({ stage: step.stage, steps: [line] });
  });
  return (
    <section className="stack tight" aria-labelledby="plan-steps">
      <h2 id="plan-steps">{w.plan.steps}</h2>
      {stages.map((group) => (
        <section className="card stage" key={`${group.stage} ${group.steps[0]?.number ?? 0}`}>
          <header>
            <h3>{stageName(group.stage, w)}</h3>
            <p>{w.plan.stepsOf(group.steps.length)}</p>
          </header>
          <ol className="step-list">
            {group.steps.map(({ step, number }) => (
              <PlanLine key={step.id} step={step} number={number} units={units} />
            ))}
          </ol>
        </section>
      ))}
    </section>
  );
}

function PlanLine({ step, number, units }: { step: PlanStep; number: number; units: Settings['units'] }) {
  const w = useWords();
  const locale = w.language.tag;
  const worst = step.cautions[0];
  return (
    <li>
      <span className="line-number figures">{number}</span>
      <span className="line-text">
        {step.say}
        {step.fasteners.length === 0 ? null : (
          <span className="line-spec soft">
            {step.fasteners
              .map((one) =>
                [
                  `${one.count} × ${shownThread(one, locale)}`,
                  one.torque_nm === null ? '' : shownTorque(one.torque_nm, units, locale),
                ]
                  .filter((part) => part !== '')
                  .join(', '),
              )
              .join('; ')}
          </span>
        )}
      </span>
      <span className="line-marks">
        {worst === undefined ? null : (
          <span className={`line-caution ${signalWord(worst.word)}`}>
            <AlertSymbol word={signalWord(worst.word)} />
            {w.signal[signalWord(worst.word)]}
          </span>
        )}
        {step.when === undefined ? null : <span className="tag">{w.plan.onlyIf(step.when.is)}</span>}
        {step.hold === null ? null : <span className="tag">{w.plan.withHold}</span>}
      </span>
    </li>
  );
}
