/** What went wrong and what to do, in plain words; never a code or an exception's text. */
import type { Finding, Refusal } from '../../electron/ipc/contract.ts';
import { NO_HOST } from '../host.tsx';
import { useWords } from '../words/words.ts';

export function Refused({ error, again }: { error: Refusal; again?: () => void }) {
  const w = useWords();
  const own: Readonly<Record<string, { readonly what: string; readonly mend: string }>> = w.bridge;
  const { what, mend } =
    error.code === NO_HOST
      ? { what: w.app.noHost, mend: w.app.noHostMend }
      : (own[error.code] ?? { what: error.message, mend: error.mend });
  return (
    <div className="trouble" role="alert">
      <div>
        <strong>{what || w.app.failed}</strong>
        <p>{mend}</p>
      </div>
      {again === undefined ? null : (
        <button type="button" className="button" onClick={again}>
          {w.app.tryAgain}
        </button>
      )}
    </div>
  );
}

/** The problems of a product file, worst first, each with its place, source line and how to mend it. */
export function Findings({ findings }: { findings: readonly Finding[] }) {
  const w = useWords();
  const order = { error: 0, warning: 1, advice: 2 };
  const sorted = [...findings].sort(
    (a, b) => order[a.severity] - order[b.severity] || (a.place?.line ?? 0) - (b.place?.line ?? 0),
  );
  return (
    <ul className="findings ruled">
      {sorted.map((finding) => (
        <li
          key={`${finding.code} ${finding.place?.offset ?? ''} ${finding.message}`}
          className={finding.severity}
        >
          <p className="row">
            <span className={`tag ${finding.severity === 'error' ? 'bad' : ''}`}>
              {w.desk.severity[finding.severity]}
            </span>
            <strong>{finding.message}</strong>
          </p>
          {finding.place === undefined ? null : (
            <>
              <p className="soft figures">{w.desk.line(finding.place.line, finding.place.column)}</p>
              <SourceLine line={finding.place.sourceLine} column={finding.place.column} />
            </>
          )}
          <p>
            <b>{w.desk.mend}:</b> {finding.mend}
          </p>
          <p className="soft figures code">{finding.code}</p>
        </li>
      ))}
    </ul>
  );
}

/** A source line with its fault marked. */
function SourceLine({ line, column }: { line: string; column: number }) {
  const at = Math.max(0, Math.min(line.length, column - 1));
  const rest = line.slice(at);
  const word = /^[^\s:,\]}]+/.exec(rest)?.[0] ?? rest.slice(0, 1);
  return (
    <pre className="source">
      {line.slice(0, at)}
      <mark>{word}</mark>
      {rest.slice(word.length)}
    </pre>
  );
}
