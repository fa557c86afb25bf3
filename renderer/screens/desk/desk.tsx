/** Author's desk: the product files with their problems; of one file its parts, order, plan and sentences. */
import { useCallback, useId, useState } from 'react';
import type { PlanStep } from '../../../electron/core/plan/model.ts';
import type { ProductSummary, ProductView, Push, Settings } from '../../../electron/ipc/contract.ts';
import { useAnswer, usePush } from '../../host.tsx';
import { PlanFacts } from '../../parts/plan-facts.tsx';
import { Findings, Refused } from '../../parts/refused.tsx';
import { stageName } from '../../parts/rule.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { Waiting } from '../../parts/waiting.tsx';
import { useVoice, useVoiceState } from '../../voice.tsx';
import { useWords } from '../../words/words.ts';
import { PrecedencePicture } from './precedence-picture.tsx';

/** A sentence that is read aloud has at most this many words (controlled English). */
const WORDS_MAX = 20;

export function Desk({
  file,
  units,
  onFile,
}: {
  file: string | null;
  units: Settings['units'];
  onFile: (file: string) => void;
}) {
  const w = useWords();
  const products = useAnswer('products.list', null);
  const [reloaded, setReloaded] = useState(0);
  const { again } = products;
  usePush(
    useCallback(
      (push: Push) => {
        if (push.type !== 'products-changed') return;
        again();
        setReloaded((n) => n + 1);
      },
      [again],
    ),
  );
  const files = products.state === 'answered' ? products.value : [];
  return (
    <Sheet
      title={w.desk.title}
      under={
        <>
          {w.desk.hint} <span role="status">{reloaded > 0 ? w.desk.reloaded : ''}</span>
        </>
      }
    >
      <div className="columns wide-right">
        <section className="card" aria-labelledby="files">
          <header>
            <h2 id="files">{w.desk.files}</h2>
            <p>{w.desk.fileCount(files.length)}</p>
          </header>
          {products.state === 'refused' ? <Refused error={products.error} again={products.again} /> : null}
          <ul className="ruled file-list">
            {files.map((one) => (
              <FileLine key={one.file} summary={one} here={one.file === file} onFile={onFile} />
            ))}
          </ul>
        </section>
        {file === null ? (
          <p className="loading">{w.desk.chooseFile}</p>
        ) : (
          <OneFile key={`${file} ${reloaded}`} file={file} units={units} />
        )}
      </div>
    </Sheet>
  );
}

function FileLine({
  summary,
  here,
  onFile,
}: {
  summary: ProductSummary;
  here: boolean;
  onFile: (file: string) => void;
}) {
  const w = useWords();
  const bad = summary.errors > 0;
  return (
    <li>
      <button
        type="button"
        className="recent-job"
        aria-current={here ? 'true' : undefined}
        onClick={() => onFile(summary.file)}
      >
        <span>
          <b>{summary.name || summary.file}</b>
          <span className="soft figures">{summary.file}</span>
        </span>
        {bad || summary.warnings > 0 ? (
          <span className={`tag ${bad ? 'bad' : ''}`}>{bad ? summary.errors : summary.warnings}</span>
        ) : null}
        <span className="unseen">{w.start.problems(summary.errors, summary.warnings)}</span>
      </button>
    </li>
  );
}

function OneFile({ file, units }: { file: string; units: Settings['units'] }) {
  const w = useWords();
  const product = useAnswer('product.open', { file });
  if (product.state === 'asking') return <Waiting />;
  if (product.state === 'refused') return <Refused error={product.error} again={product.again} />;
  const { findings, parts, summary } = product.value;
  return (
    <div className="stack">
      <section className="card" aria-labelledby="problems">
        <header>
          <h2 id="problems">{w.desk.problems}</h2>
          <p>
            {findings.length === 0 ? w.desk.noProblems : w.start.problems(summary.errors, summary.warnings)}
          </p>
        </header>
        {findings.length === 0 ? null : <Findings findings={findings} />}
      </section>
      {parts.length === 0 ? (
        <p className="soft">{w.desk.broken}</p>
      ) : (
        <Parts product={product.value} units={units} />
      )}
    </div>
  );
}

function Parts({ product, units }: { product: ProductView; units: Settings['units'] }) {
  const w = useWords();
  const id = useId();
  const [part, setPart] = useState<string>(product.parts.find((one) => one.replaceable)?.id ?? '');
  const [variants, setVariants] = useState<Readonly<Record<string, string>>>(() =>
    Object.fromEntries(product.variants.map((variant) => [variant.id, variant.answers[0] ?? ''])),
  );
  const names = new Map(product.parts.map((one) => [one.id, one.name]));
  return (
    <>
      <section className="card" aria-labelledby={`${id}-order`}>
        <header>
          <h2 id={`${id}-order`}>{w.desk.precedence}</h2>
        </header>
        <div className="body">
          <PrecedencePicture parts={product.parts} chosen={part} />
        </div>
      </section>
      <section className="card" aria-labelledby={`${id}-preview`}>
        <header>
          <h2 id={`${id}-preview`}>{w.desk.preview}</h2>
        </header>
        <div className="body">
          <div className="fields">
            <div className="field">
              <label htmlFor={`${id}-part`}>{w.desk.choosePart}</label>
              <select id={`${id}-part`} value={part} onChange={(event) => setPart(event.target.value)}>
                {product.parts
                  .filter((one) => one.replaceable)
                  .map((one) => (
                    <option key={one.id} value={one.id}>
                      {one.name}
                    </option>
                  ))}
              </select>
            </div>
            {product.variants.map((variant) => (
              <div className="field" key={variant.id}>
                <label htmlFor={`${id}-${variant.id}`}>{variant.ask}</label>
                <select
                  id={`${id}-${variant.id}`}
                  value={variants[variant.id] ?? ''}
                  onChange={(event) => setVariants({ ...variants, [variant.id]: event.target.value })}
                >
                  {variant.answers.map((answer) => (
                    <option key={answer}>{answer}</option>
                  ))}
                </select>
              </div>
            ))}
          </div>
        </div>
        {part === '' ? null : (
          <Preview file={product.summary.file} part={part} variants={variants} units={units} />
        )}
      </section>
      <section className="card" aria-labelledby={`${id}-parts`}>
        <header>
          <h2 id={`${id}-parts`}>{w.desk.parts}</h2>
        </header>
        <div className="scrolls">
          <table>
            <thead>
              <tr>
                <th scope="col">{w.desk.part}</th>
                <th scope="col">{w.desk.needs}</th>
                <th scope="col" className="number">
                  {w.desk.steps}
                </th>
                <th scope="col">{w.desk.replaceable}</th>
              </tr>
            </thead>
            <tbody>
              {product.parts.map((one) => (
                <tr key={one.id}>
                  <td>
                    <b>{one.name}</b> <span className="soft figures">{one.id}</span>
                  </td>
                  <td>{one.needs.map((need) => names.get(need) ?? need).join(' · ') || '–'}</td>
                  <td className="number">{one.steps}</td>
                  <td>{one.replaceable ? '●' : '–'}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </section>
    </>
  );
}

/** Number of words of the longest sentence in a text. */
export function longestSentence(text: string): number {
  return Math.max(
    0,
    ...text
      .split(/(?<=[.!?:])\s+/)
      .map((sentence) => sentence.split(/\s+/).filter((word) => /[\p{L}\p{N}]/u.test(word)).length),
  );
}

function Preview({
  file,
  part,
  variants,
}: {
  file: string;
  part: string;
  variants: Readonly<Record<string, string>>;
  units: Settings['units'];
}) {
  const w = useWords();
  const preview = useAnswer('plan.preview', { file, replace: [part], variants });
  if (preview.state === 'asking') return <Waiting />;
  if (preview.state === 'refused') return <Refused error={preview.error} again={preview.again} />;
  const { plan, findings } = preview.value;
  if (plan === null)
    return findings.length === 0 ? (
      <p className="body soft">{w.desk.noPlan}</p>
    ) : (
      <Findings findings={findings} />
    );
  return (
    <>
      <PlanFacts plan={plan} expected={preview.value.expected} />
      <p className="body soft order-line">{w.plan.order(plan.order.exact)}</p>
      <Sentences steps={plan.steps} />
    </>
  );
}

function Sentences({ steps }: { steps: readonly PlanStep[] }) {
  const w = useWords();
  const voice = useVoice();
  const { speaking } = useVoiceState();
  return (
    <section className="sentences" aria-label={w.desk.sentences}>
      <div className="row spread sentences-head">
        <h3>{w.desk.sentences}</h3>
        <button type="button" className="button" disabled={!speaking} onClick={() => voice?.hush()}>
          {w.desk.stop}
        </button>
      </div>
      <ol className="step-list">
        {steps.map((step, i) => {
          const count = longestSentence(step.say);
          return (
            <li key={step.id}>
              <button
                type="button"
                className="play"
                aria-label={w.desk.play(i + 1)}
                disabled={voice === null}
                onClick={() => voice?.sample([...step.cautions.map((one) => one.say), step.say].join(' '))}
              >
                <svg viewBox="0 0 24 24" aria-hidden="true" focusable="false">
                  <path d="M7 4 L20 12 L7 20 Z" fill="currentColor" />
                </svg>
              </button>
              <span className="line-text">
                {step.cautions.map((one) => (
                  <span className="line-spec" key={one.id}>
                    {one.say}
                  </span>
                ))}
                {step.say}
                <span className="line-spec soft">
                  {stageName(step.stage, w)} · <span className="figures">{step.id}</span>
                </span>
              </span>
              <span className={count > WORDS_MAX ? 'tag bad' : 'soft'}>
                {w.desk.words(count)}
                {count > WORDS_MAX ? `, ${w.desk.tooLong}` : ''}
              </span>
            </li>
          );
        })}
      </ol>
    </section>
  );
}
