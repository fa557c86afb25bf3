/** Saves what is shown in one of the forms that the host writes, and says where it went or why not. */
import { useId, useState } from 'react';
import type { Answer, Refusal, Requests } from '../../electron/ipc/contract.ts';
import { useWords } from '../words/words.ts';
import { Refused } from './refused.tsx';
import { Waiting } from './waiting.tsx';

/** The forms of a record of a job and of a period are the same. */
export type SavedAs = Requests['report.save'][0]['as'] & Requests['review.save'][0]['as'];
const FORMS: readonly SavedAs[] = ['html', 'pdf', 'csv', 'json', 'xes'];

export function SaveAs({
  title,
  save,
}: {
  title: string;
  save: (as: SavedAs) => Promise<Answer<{ readonly path: string }>>;
}) {
  const w = useWords();
  const id = useId();
  const [saved, setSaved] = useState<string | null>(null);
  const [saving, setSaving] = useState(false);
  const [refused, setRefused] = useState<Refusal | null>(null);
  const begin = (as: SavedAs): void => {
    setSaving(true);
    void save(as).then((answer) => {
      setSaving(false);
      setSaved(answer.ok ? answer.value.path : null);
      setRefused(answer.ok ? null : answer.error);
    });
  };
  return (
    <section className="card no-print" aria-labelledby={id}>
      <header>
        <h2 id={id}>{title}</h2>
      </header>
      <div className="body">
        <div className="save-buttons">
          {FORMS.map((as) => (
            <button type="button" className="button" key={as} disabled={saving} onClick={() => begin(as)}>
              {w.after.saveAs[as]}
            </button>
          ))}
          <button type="button" className="button" onClick={() => window.print()}>
            {w.after.print}
          </button>
        </div>
        {saving ? <Waiting what={w.after.saving} /> : null}
        <p role="status" className="saved-path">
          {saved === null ? '' : w.after.savedTo(saved)}
        </p>
        {refused === null ? null : <Refused error={refused} />}
      </div>
    </section>
  );
}
