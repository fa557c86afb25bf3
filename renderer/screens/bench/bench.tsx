/**
 * The bench: one step at a time, seen from two steps away, run without hands. It shows what the host
 * says and sends what was touched or pressed; every decision is the step engine's.
 */
import { useCallback, useEffect, useMemo, useRef, useState } from 'react';
import { phraseForKey } from '../../../electron/core/job/keys.ts';
import type { BenchView, PhraseId, TroubleCode } from '../../../electron/core/job/model.ts';
import type { Plan } from '../../../electron/core/plan/model.ts';
import type { PageInput, Push, Settings } from '../../../electron/ipc/contract.ts';
import { Announcer } from '../../announcer.tsx';
import { clock } from '../../figures.ts';
import { useHost, usePush } from '../../host.tsx';
import { isTyping } from '../../keys.ts';
import { useHostTrouble } from '../../parts/host-trouble.tsx';
import { Rule, stageName } from '../../parts/rule.tsx';
import { Tray } from '../../parts/tray.tsx';
import { Waiting } from '../../parts/waiting.tsx';
import { usePlanNames } from '../../plan-names.ts';
import { ARC_MINUTES, fontSize_px, USUAL_PX_PER_MM } from '../../reading-distance.ts';
import { useVoiceState } from '../../voice.tsx';
import { useWords } from '../../words/words.ts';
import { EarPanel } from './ear-panel.tsx';
import { HandOver } from './hand-entries.tsx';
import { PhraseKeys } from './phrase-keys.tsx';
import { STEP_LIST_KEY, StepList, StepListButton } from './step-list.tsx';
import { LONG_TEXT, offeredAnswers, WorkCard } from './work-card.tsx';

/** Text sizes of the bench from the settings, in CSS pixels. */
export function benchSizes(settings: Settings): {
  minimum_px: number;
  preferred_px: number;
  largest_px: number;
} {
  const scale = settings.screen_px_per_mm ?? USUAL_PX_PER_MM;
  const at = (arc: number): number => fontSize_px(settings.viewing_distance_m, arc, scale);
  return {
    minimum_px: at(ARC_MINUTES.minimum),
    preferred_px: at(ARC_MINUTES.preferred),
    largest_px: at(ARC_MINUTES.largest),
  };
}

/** The input that a key stands for now: an answer by number, or a phrase. */
export function inputForKey(key: string, view: BenchView): PageInput | undefined {
  if (view.question !== null && /^[1-9]$/.test(key)) {
    const answer = offeredAnswers(view)[Number(key) - 1];
    if (answer !== undefined) return { type: 'answer', value: answer, source: 'key' };
  }
  const phrase = phraseForKey(key);
  // The pedal that confirms a step ends a note: nobody should have to look for another key.
  if (view.phase === 'recording' && phrase === 'next')
    return { type: 'phrase', phrase: 'stop', source: 'key' };
  return phrase === undefined ? undefined : { type: 'phrase', phrase, source: 'key' };
}

export function Bench({
  settings,
  plan,
  job,
  recovered,
  onLeft,
  onSeeJob,
}: {
  settings: Settings;
  /** Null where the job is gone on with. */
  plan: Plan | null;
  job: string | null;
  /** What was cut off the end of the log, in the host's words, or null. */
  recovered: string | null;
  onLeft: () => void;
  onSeeJob: () => void;
}) {
  const w = useWords();
  const host = useHost();
  const [view, setView] = useState<BenchView | null | 'asking'>('asking');
  const names = usePlanNames(plan, job);
  /** The last question as it was put: a second time it may say more than the question itself. */
  const [asked, setAsked] = useState('');
  const [shownAt, setShownAt] = useState(0);
  const show = useCallback((next: BenchView | null) => {
    setShownAt(performance.now());
    setView(next);
  }, []);
  useEffect(() => {
    // A push that came meanwhile is newer than this answer.
    void host.ask('job.view', null).then((answer) => {
      setView((old) => (old === 'asking' ? (answer.ok ? answer.value : null) : old));
    });
  }, [host]);
  usePush(
    useCallback(
      (push: Push) => {
        if (push.type === 'view') show(push.view);
        if (push.type === 'effect' && push.effect.type === 'say' && push.effect.kind === 'question')
          setAsked(push.effect.text);
      },
      [show],
    ),
  );
  const send = useCallback((input: PageInput) => void host.ask('job.input', input), [host]);
  useKeys(view === 'asking' ? null : view, send);

  if (view === 'asking') return <Waiting what={w.bench.waiting} />;
  if (view === null)
    return (
      <div className="loading">
        <p>{w.bench.closed}</p>
        <button type="button" className="button main" onClick={onLeft}>
          {w.bench.toStart}
        </button>
      </div>
    );
  const leave = (): void => {
    void host.ask('job.leave', null).then(onLeft);
  };
  return (
    <BenchSheet {...{ view, asked, shownAt, settings, names, recovered, send, onSeeJob }} onLeave={leave} />
  );
}

function useKeys(view: BenchView | null, send: (input: PageInput) => void): void {
  const latest = useRef(view);
  latest.current = view;
  useEffect(() => {
    const onKey = (event: KeyboardEvent): void => {
      const now = latest.current;
      if (now === null || event.ctrlKey || event.altKey || event.metaKey || event.repeat) return;
      if (isTyping(event.target, event.key)) return;
      const onButton = event.target instanceof HTMLButtonElement && event.target.matches(':focus-visible');
      if (onButton && (event.key === ' ' || event.key === 'Enter')) return;
      const input = inputForKey(event.key, now);
      if (input === undefined) return;
      event.preventDefault();
      send(input);
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, [send]);
}

function BenchSheet({
  view,
  asked,
  shownAt,
  settings,
  names,
  recovered,
  send,
  onLeave,
  onSeeJob,
}: {
  view: BenchView;
  asked: string;
  shownAt: number;
  settings: Settings;
  names: ReadonlyMap<string, string>;
  recovered: string | null;
  send: (input: PageInput) => void;
  onLeave: () => void;
  onSeeJob: () => void;
}) {
  const w = useWords();
  const sizes = useMemo(() => benchSizes(settings), [settings]);
  const [over, toggleOver, unasked] = useOver(view);
  const phrase = (said: PhraseId): void => send({ type: 'phrase', phrase: said, source: 'touch' });
  const style = {
    '--read': `${sizes.preferred_px}px`,
    '--read-min': `${sizes.minimum_px}px`,
  } as React.CSSProperties;
  const entry =
    view.value_proposed === null &&
    (view.waits_for !== null || view.allowed.spelling || view.allowed.number !== 'none');
  const voice = useVoiceState();
  const told = recovered !== null || view.troubles.length > 0 || voice.troubles.length > 0;
  const [crowded, onCrowded] = useCrowded(`${view.step.id} ${view.phase} ${view.waits_for}`);
  const long = crowded || (view.phase === 'step' && view.step.say.length > LONG_TEXT);
  // The tray gives way where words need its room; the compartment of the step stands in the title block.
  const wide =
    over !== null ||
    long ||
    told ||
    view.phase === 'caution' ||
    (entry && view.phase !== 'paused' && view.phase !== 'finished');
  return (
    <main
      className={`bench phase-${view.phase} ${wide ? 'wide' : ''} ${long && over === null ? 'long' : ''} ${crowded && over === null ? 'crowded' : ''}`}
      style={style}
      aria-label={w.bench.title}
    >
      <BenchHead {...{ view, shownAt, over, onLeave }} onOver={toggleOver} />
      <Rule steps={view.steps} number={view.step_number} total={view.step_total} />
      <div className="bench-middle">
        <Troubles view={view} voiceOff={settings.voice === 'off'} />
        {recovered === null ? null : <Recovered message={recovered} voiceOff={settings.voice === 'off'} />}
        {over === 'hand-over' ? (
          <HandOver
            onHandOver={(person) => {
              send({ type: 'hand-over', person, source: 'touch' });
              toggleOver(null);
            }}
            onCancel={() => toggleOver(null)}
          />
        ) : over === 'steps' ? (
          <StepList
            steps={view.steps}
            takesFocus={!unasked}
            onGoTo={(step, source) => {
              send({ type: 'go-to', step, source });
              toggleOver(null);
            }}
            onClose={() => toggleOver(null)}
          />
        ) : (
          <WorkCard
            {...{ view, asked, names, sizes, send, onSeeJob, crowded, onCrowded }}
            units={settings.units}
            voiceOff={settings.voice === 'off'}
          />
        )}
      </div>
      <aside className="bench-side">
        {view.ledger.length === 0 || wide ? null : <Tray ledger={view.ledger} lit={view.lit_compartments} />}
        <EarPanel view={view} />
      </aside>
      <PhraseKeys
        allowed={view.allowed}
        blocked={view.phase === 'caution' && view.caution?.read === false}
        scarce={long && over === null}
        atEnd={view.phase === 'step' && view.step_number === view.step_total && view.waits_for === null}
        onPhrase={phrase}
      />
      <Announcer view={view} voiceOff={settings.voice === 'off'} />
    </main>
  );
}

/** Whether the words of this place did not fit; another place begins anew. */
function useCrowded(place: string): readonly [crowded: boolean, onCrowded: () => void] {
  const [full, setFull] = useState('');
  const onCrowded = useCallback(() => setFull(place), [place]);
  return [full === place, onCrowded];
}

type Over = 'hand-over' | 'steps';
interface Opened {
  readonly what: Over;
  readonly at: string;
  /** Opened by a question to the job: it closes with the next one, and does not take the focus. */
  readonly unasked?: true;
}

/** What is open over the work card. It closes by itself when the job moves on under it. */
function useOver(
  view: BenchView,
): readonly [over: Over | null, toggle: (what: Over | null) => void, unasked: boolean] {
  const [opened, setOpened] = useState<Opened | null>(null);
  const at = `${view.step.id} ${view.phase} ${view.caution?.id ?? ''}`;
  const over = opened?.at === at ? opened.what : null;
  const toggle = useCallback(
    (what: Over | null) =>
      setOpened((old) => (what === null || (old?.what === what && old.at === at) ? null : { what, at })),
    [at],
  );
  // "Where am I" is answered aloud and, to the eye, by the list; the focus stays where the pedal's key works.
  const asked = view.phase === 'step' && view.last_help === 'where am i';
  useEffect(() => {
    if (asked) setOpened({ what: 'steps', at, unasked: true });
    else setOpened((old) => (old?.unasked === true ? null : old));
  }, [asked, at]);
  const canJump = view.phase === 'step' || view.phase === 'caution';
  useEffect(() => {
    const onKey = (event: KeyboardEvent): void => {
      if (event.ctrlKey || event.altKey || event.metaKey || event.repeat || !canJump) return;
      if (event.key.toLowerCase() !== STEP_LIST_KEY || isTyping(event.target, event.key)) return;
      event.preventDefault();
      toggle('steps');
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, [toggle, canJump]);
  return [over, toggle, opened?.unasked === true];
}

function BenchHead({
  view,
  shownAt,
  over: opened,
  onLeave,
  onOver,
}: {
  view: BenchView;
  shownAt: number;
  over: Over | null;
  onLeave: () => void;
  onOver: (what: Over) => void;
}) {
  const w = useWords();
  const running = view.phase === 'step' || view.phase === 'caution' || view.phase === 'question';
  const on_step_ms = useRunning(view.step_ms, shownAt, running);
  const over = view.expected_step_s > 0 && on_step_ms > view.expected_step_s * 1000;
  return (
    <header className="bench-head">
      <p className="step-number">
        <b>{view.step_number}</b>
        <span>{w.bench.of(view.step_total)}</span>
      </p>
      <div className="step-place">
        <h1>
          {stageName(view.step.stage, w)}
          {view.step.part_name === null ? null : <span>{view.step.part_name}</span>}
        </h1>
        <p>
          {view.product_name} · {view.technician}
        </p>
      </div>
      <dl className={`step-clock ${over ? 'over' : ''}`}>
        <div>
          <dt>{over ? w.bench.over : w.bench.onStep}</dt>
          <dd className="figures">{clock(on_step_ms)}</dd>
        </div>
        <div>
          <dt>{w.bench.expected}</dt>
          <dd className="figures">{clock(view.expected_step_s * 1000)}</dd>
        </div>
        <div>
          <dt>{w.bench.jobLeft}</dt>
          <dd className="figures">{clock(view.expected_left_s * 1000)}</dd>
        </div>
      </dl>
      {view.outcome !== null ? null : (
        <div className="bench-doors">
          {view.phase === 'step' || view.phase === 'caution' ? (
            <StepListButton open={opened === 'steps'} onClick={() => onOver('steps')} />
          ) : null}
          <button
            type="button"
            className="button"
            aria-expanded={opened === 'hand-over'}
            onClick={() => onOver('hand-over')}
          >
            {w.bench.handOver}
          </button>
          <button type="button" className="button" onClick={onLeave} title={w.bench.leaveHint}>
            {w.bench.leave}
          </button>
        </div>
      )}
    </header>
  );
}

/** A duration that runs on between two views, so that the clock moves without the host. */
function useRunning(base_ms: number, shownAt: number, running: boolean): number {
  const [, setBeat] = useState(0);
  useEffect(() => {
    if (!running) return;
    const timer = setInterval(() => setBeat((n) => n + 1), 1000);
    return () => clearInterval(timer);
  }, [running]);
  return running ? base_ms + Math.max(0, performance.now() - shownAt) : base_ms;
}

/** Told once, until it is hidden: what a loss of power left at the end of the log did not count. */
function Recovered({ message, voiceOff }: { message: string; voiceOff: boolean }) {
  const w = useWords();
  const [hidden, setHidden] = useState(false);
  if (hidden) return null;
  return (
    <div className="trouble recovered" role={voiceOff ? 'alert' : 'note'}>
      <div>
        <strong>{w.bench.recovered}</strong> <span>{w.bench.recoveredMend}</span>
        <p className="trouble-detail">{message}</p>
      </div>
      <button type="button" className="button" onClick={() => setHidden(true)}>
        {w.app.dismiss}
      </button>
    </div>
  );
}

/** Troubles that the mouth cannot tell of. */
const UNSPOKEN: ReadonlySet<TroubleCode> = new Set(['no-voice', 'audio-suspended']);

function Troubles({ view, voiceOff }: { view: BenchView; voiceOff: boolean }) {
  const w = useWords();
  const voice = useVoiceState();
  const [told] = useHostTrouble();
  const codes = [...new Set<TroubleCode>([...view.troubles, ...voice.troubles])];
  if (codes.length === 0) return null;
  return (
    <div className="bench-troubles">
      {codes.map((code) => (
        <p className="trouble" key={code} role={voiceOff || UNSPOKEN.has(code) ? 'alert' : 'note'}>
          <strong>{w.trouble[code].what}</strong> <span>{w.trouble[code].mend}</span>
          {told?.code === code && told.message !== '' ? (
            <span className="trouble-detail">{told.message}</span>
          ) : null}
        </p>
      ))}
    </div>
  );
}
