/** Help: safety first, what can be said with its keys, privacy. */

import { keysFor } from '../../electron/core/job/keys.ts';
import type { PhraseId } from '../../electron/core/job/model.ts';
import { keyCap } from '../keys.ts';
import { Sheet } from '../parts/sheet.tsx';
import { useWords } from '../words/words.ts';

export function Help() {
  const w = useWords();
  const phrases = Object.keys(w.does) as PhraseId[];
  return (
    <Sheet title={w.help.title}>
      <section className="card safety-card" aria-labelledby="safety">
        <header>
          <h2 id="safety">{w.help.safety}</h2>
        </header>
        <ul className="body lines">
          {w.help.safetyLines.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      </section>
      <div className="columns wide-left">
        <section className="card" aria-labelledby="say">
          <header>
            <h2 id="say">{w.help.say}</h2>
            <p>{w.help.sayLine}</p>
          </header>
          <div className="scrolls">
            <table>
              <thead>
                <tr>
                  <th scope="col">{w.help.phrase}</th>
                  <th scope="col">{w.help.key}</th>
                  <th scope="col">{w.help.does}</th>
                </tr>
              </thead>
              <tbody>
                {phrases.map((phrase) => (
                  <tr key={phrase}>
                    <th scope="row" className="phrase-name">
                      {w.phrase[phrase]}
                    </th>
                    <td>
                      <span className="row keys">
                        {keysFor(phrase).map((key) => (
                          <kbd key={key}>{keyCap(key)}</kbd>
                        ))}
                      </span>
                    </td>
                    <td>{w.does[phrase]}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
        </section>
        <div className="stack">
          <section className="card">
            <header>
              <h2>{w.help.numbers}</h2>
            </header>
            <p className="body">{w.help.numbersLine}</p>
          </section>
          <section className="card">
            <header>
              <h2>{w.help.keys}</h2>
            </header>
            <p className="body">{w.help.keysLine}</p>
          </section>
          <section className="card">
            <header>
              <h2>{w.help.privacy}</h2>
            </header>
            <ul className="body lines">
              {w.help.privacyLines.map((line) => (
                <li key={line}>{line}</li>
              ))}
            </ul>
          </section>
        </div>
      </div>
    </Sheet>
  );
}
