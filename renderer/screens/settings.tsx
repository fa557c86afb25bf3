/** Settings: who, voice, screen, units. Each change is kept at once; there is no save button to forget. */
import { useId, useState } from 'react';
import { TALK_KEYS, type TalkKey } from '../../electron/core/job/keys.ts';
import type { Refusal, Settings } from '../../electron/ipc/contract.ts';
import { shownNumber } from '../figures.ts';
import { useAnswer } from '../host.tsx';
import { keyCap } from '../keys.ts';
import { Refused } from '../parts/refused.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { ARC_MINUTES, characterHeight_mm, fontSize_px, USUAL_PX_PER_MM } from '../reading-distance.ts';
import { useVoice } from '../voice.tsx';
import { useLanguage } from '../words/languages.ts';
import { useWords } from '../words/words.ts';

/** Width of a bank card (ISO/IEC 7810 ID-1) in millimetres, for measuring the screen. */
const CARD_MM = 85.6;
const SCALE_MIN_PX = 180;
const SCALE_MAX_PX = 900;

export type Save = (change: Partial<Settings>) => Promise<Refusal | null>;

export function SettingsScreen({ settings, onSave }: { settings: Settings; onSave: Save }) {
  const w = useWords();
  const info = useAnswer('app.info', null);
  const [refused, setRefused] = useState<Refusal | null>(null);
  const [saved, setSaved] = useState(0);
  const save = (change: Partial<Settings>): void => {
    void onSave(change).then((error) => {
      setRefused(error);
      if (error === null) setSaved((n) => n + 1);
    });
  };
  return (
    <Sheet title={w.settings.title} under={<p role="status">{saved > 0 ? w.settings.saved : ''}</p>}>
      {refused === null ? null : <Refused error={refused} />}
      <div className="columns even">
        <div className="stack">
          <PersonCard settings={settings} save={save} />
          <VoiceCard settings={settings} save={save} />
        </div>
        <div className="stack">
          <ScreenCard settings={settings} save={save} />
          <section className="card">
            <header>
              <h2>{w.settings.folders}</h2>
            </header>
            {info.state === 'answered' ? (
              <dl className="body folders">
                <dt>{w.settings.jobsFolder}</dt>
                <dd className="figures">{info.value.jobs_folder}</dd>
                <dt>{w.settings.proceduresFolder}</dt>
                <dd className="figures">{info.value.procedures_folder}</dd>
                <dt>{w.settings.version}</dt>
                <dd className="figures">{info.value.version}</dd>
              </dl>
            ) : null}
          </section>
        </div>
      </div>
    </Sheet>
  );
}

interface CardProps {
  readonly settings: Settings;
  readonly save: (change: Partial<Settings>) => void;
}

function PersonCard({ settings, save }: CardProps) {
  const w = useWords();
  const id = useId();
  const [name, setName] = useState(settings.technician);
  return (
    <section className="card">
      <header>
        <h2>{w.settings.person}</h2>
      </header>
      <div className="body">
        <div className="field">
          <label htmlFor={id}>{w.settings.technician}</label>
          <input
            id={id}
            value={name}
            autoComplete="off"
            maxLength={80}
            onChange={(event) => setName(event.target.value)}
            onBlur={() => name !== settings.technician && save({ technician: name.trim() })}
          />
          <small>{w.before.technicianHint}</small>
        </div>
        <Toggle
          label={w.settings.showNames}
          on={settings.show_names}
          onChange={(show_names) => save({ show_names })}
        />
      </div>
    </section>
  );
}

function VoiceCard({ settings, save }: CardProps) {
  const w = useWords();
  const voice = useVoice();
  const id = useId();
  const talkId = useId();
  return (
    <section className="card">
      <header>
        <h2>{w.settings.voice}</h2>
      </header>
      <div className="body">
        <Choices
          label={w.settings.voice}
          value={settings.voice}
          options={w.settings.voiceOf}
          onChange={(value) => save({ voice: value })}
        />
        <div className="field">
          <label htmlFor={id}>
            {w.settings.rate}: {w.settings.rateValue(shownNumber(settings.rate, w.language.tag, 2))}
          </label>
          <input
            id={id}
            type="range"
            min={0.6}
            max={1.6}
            step={0.05}
            value={settings.rate}
            onChange={(event) => save({ rate: Number(event.target.value) })}
          />
        </div>
        <button
          type="button"
          className="button"
          disabled={voice === null || settings.voice === 'off'}
          onClick={() => voice?.sample(w.settings.sample)}
        >
          {w.settings.listenTo}
        </button>
        <Choices
          label={w.settings.verbosity}
          value={settings.verbosity}
          options={w.settings.verbosityOf}
          onChange={(verbosity) => save({ verbosity })}
        />
        <Toggle
          label={w.settings.attention}
          hint={w.settings.attentionHint(w.attentionWord)}
          on={settings.attention_word}
          onChange={(attention_word) => save({ attention_word })}
        />
        <div className="field">
          <label htmlFor={talkId}>{w.settings.talkKey}</label>
          <select
            id={talkId}
            value={settings.talk_key ?? 'none'}
            onChange={(event) => save({ talk_key: event.target.value as TalkKey })}
          >
            {TALK_KEYS.map((key) => (
              <option value={key} key={key}>
                {key === 'none' ? w.settings.talkKeyNone : keyCap(key)}
              </option>
            ))}
          </select>
          <small>{w.settings.talkKeyHint}</small>
        </div>
      </div>
    </section>
  );
}

function ScreenCard({ settings, save }: CardProps) {
  const w = useWords();
  const { choices } = useLanguage();
  const locale = w.language.tag;
  const ids = { distance: useId(), scale: useId(), language: useId() };
  const pxPerMm = settings.screen_px_per_mm ?? USUAL_PX_PER_MM;
  const distance = settings.viewing_distance_m;
  const height = characterHeight_mm(distance, ARC_MINUTES.preferred);
  return (
    <section className="card">
      <header>
        <h2>{w.settings.screen}</h2>
      </header>
      <div className="body">
        <Choices
          label={w.settings.theme}
          value={settings.theme}
          options={w.settings.themeOf}
          onChange={(theme) => save({ theme })}
        />
        <Choices
          label={w.settings.units}
          value={settings.units}
          options={w.settings.unitsOf}
          onChange={(units) => save({ units })}
        />
        <div className="field">
          <label htmlFor={ids.distance}>
            {w.settings.distance}: {w.settings.metres(shownNumber(distance, locale, 1))}
          </label>
          <input
            id={ids.distance}
            type="range"
            min={0.5}
            max={3}
            step={0.1}
            value={distance}
            onChange={(event) => save({ viewing_distance_m: Number(event.target.value) })}
          />
          <small>{w.settings.distanceHint}</small>
        </div>
        <div className="distance-sample">
          <p style={{ fontSize: `${fontSize_px(distance, ARC_MINUTES.preferred, pxPerMm)}px` }}>
            {w.settings.sample}
          </p>
          <small>
            {w.settings.sampleHint(shownNumber(height, locale, 1), String(ARC_MINUTES.preferred))}
          </small>
        </div>
        <div className="field">
          <label htmlFor={ids.scale}>{w.settings.scale}</label>
          <small>{w.settings.scaleHint}</small>
          <div className="scale-bar" style={{ width: `${CARD_MM * pxPerMm}px` }} aria-hidden="true" />
          <input
            id={ids.scale}
            type="range"
            aria-label={w.settings.scaleBar}
            min={SCALE_MIN_PX}
            max={SCALE_MAX_PX}
            step={1}
            value={Math.round(CARD_MM * pxPerMm)}
            onChange={(event) => save({ screen_px_per_mm: Number(event.target.value) / CARD_MM })}
          />
        </div>
        <button type="button" className="button" onClick={() => save({ screen_px_per_mm: USUAL_PX_PER_MM })}>
          {w.settings.scaleReset}
        </button>
        <div className="field">
          <label htmlFor={ids.language}>{w.settings.language}</label>
          <select
            id={ids.language}
            value={settings.language ?? ''}
            onChange={(event) => save({ language: event.target.value })}
          >
            <option value="">{w.settings.languageSystem}</option>
            {choices.map(({ tag, name }) => (
              <option value={tag} key={tag}>
                {name}
              </option>
            ))}
          </select>
          <LanguageFindings />
        </div>
      </div>
    </section>
  );
}

/** What is missing in the files of a language, for whoever translates it. */
function LanguageFindings() {
  const w = useWords();
  const { findings } = useLanguage();
  if (findings.length === 0) return null;
  return (
    <details className="language-findings">
      <summary>{w.settings.languageFindings(findings.length)}</summary>
      <ul>
        {findings.map((found) => (
          <li key={found.message}>
            {found.message} {found.mend}
          </li>
        ))}
      </ul>
    </details>
  );
}

function Choices<K extends string>({
  label,
  value,
  options,
  onChange,
}: {
  label: string;
  value: K;
  options: Readonly<Record<K, string>>;
  onChange: (value: K) => void;
}) {
  const name = useId();
  return (
    <fieldset className="choices">
      <legend>{label}</legend>
      <div className="options">
        {(Object.keys(options) as K[]).map((key) => (
          <label className="choice" key={key}>
            <input type="radio" name={name} checked={value === key} onChange={() => onChange(key)} />
            <span>{options[key]}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

function Toggle({
  label,
  hint,
  on,
  onChange,
}: {
  label: string;
  hint?: string;
  on: boolean;
  onChange: (on: boolean) => void;
}) {
  return (
    <label className="choice">
      <input type="checkbox" checked={on} onChange={(event) => onChange(event.target.checked)} />
      <span>
        {label}
        {hint === undefined ? null : <small className="hint"> {hint}</small>}
      </span>
    </label>
  );
}
