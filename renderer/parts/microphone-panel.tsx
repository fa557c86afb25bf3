/** Microphone check: level, noise around, and a verdict with advice. */
import { useVoice, useVoiceState } from '../voice.tsx';
import { useWords } from '../words/words.ts';
import { Meter } from './meter.tsx';

/** How long one check listens. */
export const CHECK_SECONDS = 4;

export function MicrophonePanel() {
  const w = useWords();
  const loop = useVoice();
  const voice = useVoiceState();
  const percent = Math.round(voice.loaded * 100);
  return (
    <section className="card no-print" aria-labelledby="microphone">
      <header>
        <h2 id="microphone">{w.plan.microphone}</h2>
        <p role="status">
          {voice.ear === 'ready' ? w.mic.ready : voice.ear === 'loading' ? w.mic.loading : w.mic.off}
        </p>
      </header>
      <div className="body">
        {voice.troubles.map((code) => (
          <p className="trouble" key={code} role="alert">
            <strong>{w.trouble[code].what}</strong> <span>{w.trouble[code].mend}</span>
          </p>
        ))}
        {voice.ear === 'loading' ? (
          <div
            className="bar"
            role="progressbar"
            aria-label={w.mic.loading}
            aria-valuemin={0}
            aria-valuemax={100}
            aria-valuenow={percent}
          >
            <span style={{ width: `${percent}%` }} />
          </div>
        ) : null}
        <Meter level={voice.level} />
        {voice.level?.clipping === true ? <p>{w.mic.clipping}</p> : null}
        {voice.check === null ? null : (
          <>
            <p className={`tag ${voice.check.verdict === 'poor' ? 'bad' : 'good'} verdict`}>
              {w.mic.verdict[voice.check.verdict]}
            </p>
            <dl className="check-figures">
              <dt>{w.mic.level}</dt>
              <dd className="figures">{w.mic.db(voice.check.levelDbfs)}</dd>
              <dt>{w.mic.noise}</dt>
              <dd className="figures">{w.mic.db(voice.check.noiseDbfs)}</dd>
              <dt>{w.mic.margin}</dt>
              <dd className="figures">{w.mic.db(voice.check.snrDb)}</dd>
            </dl>
            <ul>
              {voice.check.advice.map((one) => (
                <li key={one}>{one}</li>
              ))}
            </ul>
          </>
        )}
        {voice.checking ? <p role="status">{w.mic.speak(CHECK_SECONDS)}</p> : null}
        <button
          type="button"
          className="button"
          disabled={voice.ear !== 'ready' || voice.checking}
          onClick={() => loop?.checkMicrophone(CHECK_SECONDS)}
        >
          {voice.check === null ? w.mic.check : w.mic.again}
        </button>
      </div>
    </section>
  );
}
