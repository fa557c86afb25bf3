/** The tray seen from above: its compartments with what lies in them, those of this step lit. */
import type { LedgerLine } from '../../electron/core/job/model.ts';
import type { Compartment } from '../../electron/core/plan/model.ts';
import { useWords } from '../words/words.ts';

/** At the bench: counts as they stand now. */
export function Tray({ ledger, lit }: { ledger: readonly LedgerLine[]; lit: readonly number[] }) {
  const w = useWords();
  const litLines = ledger.filter((line) => lit.includes(line.compartment));
  return (
    <section className="tray" aria-label={w.bench.trayPicture(lit.join(', '))}>
      {litLines.map((line) => (
        <p className="lit-label" key={line.compartment} aria-hidden="true">
          <b>{line.compartment}</b> {line.label}
        </p>
      ))}
      <ul className={`compartments ${ledger.length <= 4 ? 'few' : ledger.length <= 9 ? 'some' : ''}`}>
        {ledger.map((line) => {
          const on = lit.includes(line.compartment);
          return (
            <li
              key={line.compartment}
              className={`compartment ${on ? 'lit' : ''} ${line.out > 0 ? 'holds' : ''}`}
            >
              <span className="unseen">
                {w.bench.compartmentN(line.compartment)}: {line.label}, {w.bench.outOf(line.out, line.total)}
              </span>
              <span className="compartment-number" aria-hidden="true">
                {line.compartment}
              </span>
              <span className="compartment-count figures" aria-hidden="true">
                {line.out}
                <small>/{line.total}</small>
              </span>
            </li>
          );
        })}
      </ul>
    </section>
  );
}

/** Before the job: what each compartment is for. */
export function TrayLayout({ tray }: { tray: readonly Compartment[] }) {
  const w = useWords();
  return (
    <ol className="tray-layout">
      {tray.map((one) => (
        <li key={one.number}>
          <span className="compartment-number">{one.number}</span>
          <span className="compartment-label">{one.label}</span>
          <span className="figures count">{w.plan.count(one.count)}</span>
        </li>
      ))}
    </ol>
  );
}
