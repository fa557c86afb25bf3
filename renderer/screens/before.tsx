/** Before the job: which unit, what is to be replaced, who does it, and what the unit looks like. */
import { useId, useMemo, useState } from 'react';
import type { ProductView } from '../../electron/ipc/contract.ts';
import { useAnswer } from '../host.tsx';
import { Findings, Refused } from '../parts/refused.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { Waiting } from '../parts/waiting.tsx';
import { useWords } from '../words/words.ts';

/** What was entered; it stays when the user comes back from the plan. */
export interface Entry {
  readonly file: string;
  readonly replace: readonly string[];
  readonly variants: Readonly<Record<string, string>>;
  readonly technician: string;
  readonly unit_serial: string;
  readonly work_order: string;
  readonly reported_fault: string;
}

const TEXT_LENGTH_MAX = 80;
const FAULT_LENGTH_MAX = 400;

export function emptyEntry(file: string, technician: string): Entry {
  return { file, replace: [], variants: {}, technician, unit_serial: '', work_order: '', reported_fault: '' };
}

/** What is still missing before a plan can be made, in the order of the screen. */
export function missing(entry: Entry): readonly ('parts' | 'technician')[] {
  return [
    ...(entry.replace.length === 0 ? (['parts'] as const) : []),
    ...(entry.technician.trim() === '' ? (['technician'] as const) : []),
  ];
}

export function Before({
  entry,
  onChange,
  onPlan,
  onBack,
  onDesk,
}: {
  entry: Entry;
  onChange: (entry: Entry) => void;
  onPlan: () => void;
  onBack: () => void;
  onDesk: (file: string) => void;
}) {
  const w = useWords();
  const product = useAnswer('product.open', { file: entry.file });
  const back = (
    <button type="button" className="button" onClick={onBack}>
      {w.app.back}
    </button>
  );
  if (product.state === 'asking')
    return (
      <Sheet title={w.before.title} actions={back}>
        <Waiting />
      </Sheet>
    );
  if (product.state === 'refused')
    return (
      <Sheet title={w.before.title} actions={back}>
        <Refused error={product.error} again={product.again} />
      </Sheet>
    );
  const { summary, findings } = product.value;
  if (summary.errors > 0)
    return (
      <Sheet title={summary.name || summary.file} under={w.before.broken} actions={back}>
        <section className="card">
          <Findings findings={findings} />
        </section>
        <button type="button" className="button main" onClick={() => onDesk(entry.file)}>
          {w.before.toDesk}
        </button>
      </Sheet>
    );
  return (
    <Sheet title={summary.name} under={summary.summary} actions={back}>
      <BeforeForm product={product.value} {...{ entry, onChange, onPlan }} />
    </Sheet>
  );
}

function BeforeForm({
  product,
  entry,
  onChange,
  onPlan,
}: {
  product: ProductView;
  entry: Entry;
  onChange: (entry: Entry) => void;
  onPlan: () => void;
}) {
  const w = useWords();
  const lacks = missing(entry);
  return (
    <form
      className="columns wide-left"
      onSubmit={(event) => {
        event.preventDefault();
        if (lacks.length === 0) onPlan();
      }}
    >
      <PartPicker
        product={product}
        chosen={entry.replace}
        onChange={(replace) => onChange({ ...entry, replace })}
      />
      <div className="stack">
        {product.variants.length === 0 ? null : (
          <section className="card">
            <header>
              <h2>{w.before.variants}</h2>
            </header>
            <div className="body">
              {product.variants.map((variant) => (
                <VariantQuestion
                  key={variant.id}
                  variant={variant}
                  answer={entry.variants[variant.id]}
                  onAnswer={(answer) => onChange({ ...entry, variants: answered(entry, variant.id, answer) })}
                />
              ))}
            </div>
          </section>
        )}
        <section className="card">
          <header>
            <h2>{w.before.unit}</h2>
          </header>
          <div className="body">
            <UnitFields entry={entry} onChange={onChange} />
          </div>
        </section>
        <div className="stack tight">
          <button type="submit" className="button main" disabled={lacks.length > 0}>
            {w.before.toPlan}
          </button>
          <ul className="lacks" aria-live="polite">
            {lacks.map((one) => (
              <li key={one}>{w.before.need[one]}</li>
            ))}
          </ul>
        </div>
      </div>
    </form>
  );
}

function answered(entry: Entry, id: string, answer: string | undefined): Entry['variants'] {
  const { [id]: _before, ...others } = entry.variants;
  return answer === undefined ? others : { ...others, [id]: answer };
}

/** A question about the unit. It may stay open: then the voice asks once the unit shows the answer. */
function VariantQuestion({
  variant,
  answer,
  onAnswer,
}: {
  variant: ProductView['variants'][number];
  answer: string | undefined;
  onAnswer: (answer: string | undefined) => void;
}) {
  const w = useWords();
  return (
    <fieldset className="choices">
      <legend>{variant.ask}</legend>
      <div className="options">
        {[undefined, ...variant.answers].map((one) => (
          <label className="choice" key={one ?? ''}>
            <input
              type="radio"
              name={`variant-${variant.id}`}
              checked={answer === one}
              onChange={() => onAnswer(one)}
            />
            <span>{one ?? w.before.askLater}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

function UnitFields({ entry, onChange }: { entry: Entry; onChange: (entry: Entry) => void }) {
  const w = useWords();
  return (
    <>
      <Field
        label={w.before.serial}
        hint={w.before.serialHint}
        value={entry.unit_serial}
        figures
        // A wedge scanner types fast and ends with Enter; that must not send the form.
        onEnter={(field) => field.form?.querySelector<HTMLInputElement>('[data-after-serial]')?.focus()}
        onChange={(unit_serial) => onChange({ ...entry, unit_serial })}
      />
      <Field
        label={w.before.workOrder}
        hint={w.app.optional}
        value={entry.work_order}
        afterSerial
        onChange={(work_order) => onChange({ ...entry, work_order })}
      />
      <Field
        label={w.before.fault}
        hint={w.before.faultHint}
        value={entry.reported_fault}
        long
        onChange={(reported_fault) => onChange({ ...entry, reported_fault })}
      />
      <Field
        label={w.before.technician}
        hint={w.before.technicianHint}
        value={entry.technician}
        onChange={(technician) => onChange({ ...entry, technician })}
      />
    </>
  );
}

function Field({
  label,
  hint,
  value,
  onChange,
  onEnter,
  figures = false,
  long = false,
  afterSerial = false,
}: {
  label: string;
  hint: string;
  value: string;
  onChange: (value: string) => void;
  onEnter?: (field: HTMLInputElement) => void;
  figures?: boolean;
  long?: boolean;
  afterSerial?: boolean;
}) {
  const id = useId();
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      {long ? (
        <textarea
          id={id}
          rows={2}
          maxLength={FAULT_LENGTH_MAX}
          aria-describedby={`${id}-hint`}
          value={value}
          onChange={(event) => onChange(event.target.value)}
        />
      ) : (
        <input
          id={id}
          className={figures ? 'figures' : ''}
          autoComplete="off"
          spellCheck={false}
          maxLength={TEXT_LENGTH_MAX}
          aria-describedby={`${id}-hint`}
          data-after-serial={afterSerial ? '' : undefined}
          value={value}
          onChange={(event) => onChange(event.target.value)}
          onKeyDown={(event) => {
            if (event.key !== 'Enter' || onEnter === undefined) return;
            event.preventDefault();
            onEnter(event.currentTarget);
          }}
        />
      )}
      <small id={`${id}-hint`}>{hint}</small>
    </div>
  );
}

function PartPicker({
  product,
  chosen,
  onChange,
}: {
  product: ProductView;
  chosen: readonly string[];
  onChange: (chosen: readonly string[]) => void;
}) {
  const w = useWords();
  const id = useId();
  const [search, setSearch] = useState('');
  const names = useMemo(() => new Map(product.parts.map((part) => [part.id, part.name])), [product]);
  const parts = product.parts.filter((part) => part.replaceable);
  const wanted = search.trim().toLowerCase();
  const found = parts.filter(
    (part) => part.name.toLowerCase().includes(wanted) || part.id.toLowerCase().includes(wanted),
  );
  const alsoOff = new Set(
    product.parts.filter((part) => chosen.includes(part.id)).flatMap((part) => part.also_off),
  );
  return (
    <section className="card part-picker" aria-labelledby={`${id}-title`}>
      <header>
        <h2 id={`${id}-title`}>{w.before.parts}</h2>
        <p role="status">{w.before.chosen(chosen.length)}</p>
      </header>
      <div className="body">
        <div className="field">
          <label htmlFor={`${id}-search`}>{w.before.searchParts}</label>
          <input
            id={`${id}-search`}
            type="search"
            value={search}
            onChange={(event) => setSearch(event.target.value)}
            onKeyDown={(event) => {
              if (event.key === 'Enter') event.preventDefault();
            }}
          />
        </div>
        {found.length === 0 ? <p className="soft">{w.before.noMatch(search)}</p> : null}
        <ul className="part-list">
          {found.map((part) => {
            const on = chosen.includes(part.id);
            return (
              <li key={part.id}>
                <label className="choice part">
                  <input
                    type="checkbox"
                    checked={on}
                    onChange={() =>
                      onChange(on ? chosen.filter((one) => one !== part.id) : [...chosen, part.id])
                    }
                  />
                  <span className="part-name">{part.name}</span>
                  {!on && alsoOff.has(part.id) ? <span className="tag">{w.before.onTheWay}</span> : null}
                </label>
              </li>
            );
          })}
        </ul>
      </div>
      {chosen.length === 0 ? null : (
        <div className="also-off">
          <h3>{w.before.alsoOff}</h3>
          <p>
            {alsoOff.size === 0
              ? w.before.alsoOffNone
              : [...alsoOff]
                  .filter((part) => !chosen.includes(part))
                  .map((part) => names.get(part) ?? part)
                  .join(' · ') || w.before.alsoOffNone}
          </p>
        </div>
      )}
    </section>
  );
}
