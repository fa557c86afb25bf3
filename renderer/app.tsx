/** Which screen is shown, and what passes from one to the next. Screens decide nothing about each other. */
import { lazy, Suspense, useCallback, useEffect, useState } from 'react';
import type { Plan } from '../electron/core/plan/model.ts';
import type { Refusal, Settings } from '../electron/ipc/contract.ts';
import { useAnswer, useHost } from './host.tsx';
import { HostTrouble } from './parts/host-trouble.tsx';
import { Mark } from './parts/mark.tsx';
import { Refused } from './parts/refused.tsx';
import { Sheet } from './parts/sheet.tsx';
import { Waiting } from './parts/waiting.tsx';
import { After } from './screens/after.tsx';
import { Before, type Entry, emptyEntry } from './screens/before.tsx';
import { Bench } from './screens/bench/bench.tsx';
import { Desk } from './screens/desk/desk.tsx';
import { Help } from './screens/help.tsx';
import { PlanScreen } from './screens/plan.tsx';
import { SettingsScreen } from './screens/settings.tsx';
import { PRACTICE_PRODUCT, Start } from './screens/start.tsx';
import { useVoice } from './voice.tsx';
import { LanguageProvider, usePageLanguage } from './words/languages.ts';
import { useWords, WordsProvider } from './words/words.ts';

/** Loaded when it is first opened: its drawing library is larger than all other screens together. */
const Review = lazy(async () => ({ default: (await import('./screens/review/review.tsx')).Review }));

export type Screen =
  | { readonly at: 'start' }
  | { readonly at: 'before' }
  | { readonly at: 'plan' }
  /** `recovered`: what was cut off the end of the log when the job was opened again, in the host's words. */
  | { readonly at: 'bench'; readonly job: string | null; readonly recovered?: string | undefined }
  | { readonly at: 'after'; readonly job: string }
  | { readonly at: 'review' }
  | { readonly at: 'desk'; readonly file: string | null }
  | { readonly at: 'settings' }
  | { readonly at: 'help' };

export function App() {
  const host = useHost();
  const voice = useVoice();
  const asked = useAnswer('settings.get', null);
  const [changed, setChanged] = useState<Settings | null>(null);
  const settings = changed ?? (asked.state === 'answered' ? asked.value : null);
  // That of the settings, beside which it is asked for, until another one is chosen.
  const another = asked.state === 'answered' && settings?.language !== asked.value.language;
  const opened = useAnswer('language.open', { language: another ? (settings?.language ?? '') : null });
  const language = usePageLanguage(opened.state === 'answered' ? opened.value : null);
  const { words } = language;
  useEffect(() => {
    document.documentElement.lang = words.language.tag;
    document.documentElement.dir = words.language.direction;
    document.title = words.app.name;
  }, [words]);
  useTheme(settings?.theme ?? 'system');
  useEffect(() => {
    if (settings !== null) voice?.settings(settings);
  }, [voice, settings]);
  useEffect(() => voice?.language(language.language), [voice, language]);
  const save = useCallback(
    async (change: Partial<Settings>): Promise<Refusal | null> => {
      const answer = await host.ask('settings.set', change);
      if (answer.ok) setChanged(answer.value);
      return answer.ok ? null : answer.error;
    },
    [host],
  );
  return (
    <LanguageProvider value={language}>
      <WordsProvider value={words}>
        {settings !== null && opened.state !== 'asking' ? (
          <Screens settings={settings} save={save} />
        ) : asked.state === 'refused' ? (
          <Refused error={asked.error} again={asked.again} />
        ) : (
          <p className="loading">{words.app.loading}</p>
        )}
      </WordsProvider>
    </LanguageProvider>
  );
}

/** Sets the theme on the document; "system" follows the system while the program runs. */
function useTheme(theme: Settings['theme']): void {
  useEffect(() => {
    const dark = window.matchMedia?.('(prefers-color-scheme: dark)');
    const set = (): void => {
      document.documentElement.dataset.theme =
        theme === 'system' ? (dark?.matches === true ? 'dark' : 'light') : theme;
    };
    set();
    if (theme !== 'system' || dark === undefined) return;
    dark.addEventListener('change', set);
    return () => dark.removeEventListener('change', set);
  }, [theme]);
}

function Screens({
  settings,
  save,
}: {
  settings: Settings;
  save: (c: Partial<Settings>) => Promise<Refusal | null>;
}) {
  const host = useHost();
  const w = useWords();
  const [screen, setScreen] = useState<Screen>({ at: 'start' });
  const [entry, setEntry] = useState<Entry>(() => emptyEntry('', settings.technician));
  const [plan, setPlan] = useState<Plan | null>(null);
  const [starting, setStarting] = useState(false);
  const [refused, setRefused] = useState<Refusal | null>(null);
  const go = useCallback((next: Screen) => {
    setRefused(null);
    setScreen(next);
    window.scrollTo?.(0, 0);
  }, []);
  // The job lives in the host: a page that was lost comes back to the same step.
  useEffect(() => {
    void host.ask('job.view', null).then((answer) => {
      if (answer.ok && answer.value !== null) go({ at: 'bench', job: null });
    });
  }, [host, go]);

  const openJob = (job: string): void => {
    void host.ask('job.reopen', { job }).then((answer) => {
      // The plan at hand belongs to another job.
      setPlan(null);
      if (answer.ok) go({ at: 'bench', job: answer.value.job, recovered: answer.value.recovered });
      else setRefused(answer.error);
    });
  };
  const seeJob = (job: string | null): void => {
    if (job !== null) {
      go({ at: 'after', job });
      return;
    }
    // The page was opened again in the middle of the job and never learned its name: it is the newest one.
    void host.ask('jobs.list', null).then((answer) => {
      const jobs = answer.ok ? [...answer.value].sort((a, b) => b.started.localeCompare(a.started)) : [];
      go(jobs[0] === undefined ? { at: 'start' } : { at: 'after', job: jobs[0].job });
    });
  };
  const startJob = (made: Plan): void => {
    setStarting(true);
    const textOrNull = (text: string): string | null => (text.trim() === '' ? null : text.trim());
    void host
      .ask('job.start', {
        file: entry.file,
        replace: entry.replace,
        variants: entry.variants,
        technician: entry.technician.trim(),
        unit_serial: textOrNull(entry.unit_serial),
        work_order: textOrNull(entry.work_order),
        reported_fault: textOrNull(entry.reported_fault),
      })
      .then((answer) => {
        setStarting(false);
        if (!answer.ok) {
          setRefused(answer.error);
          return;
        }
        setPlan(made);
        // Whoever only practises has not said who works here.
        if (made.product !== PRACTICE_PRODUCT) void save({ technician: entry.technician.trim() });
        go({ at: 'bench', job: answer.value.job });
      });
  };
  const practise = (file: string): void => {
    void host.ask('product.open', { file }).then((answer) => {
      if (!answer.ok) {
        setRefused(answer.error);
        return;
      }
      const part = answer.value.parts.find((one) => one.replaceable);
      const technician = settings.technician === '' ? w.before.technician : settings.technician;
      setEntry({ ...emptyEntry(file, technician), replace: part === undefined ? [] : [part.id] });
      go({ at: part === undefined ? 'before' : 'plan' });
    });
  };

  if (screen.at === 'bench')
    return (
      <Bench
        settings={settings}
        plan={plan}
        job={screen.job}
        recovered={screen.recovered ?? null}
        onLeft={() => go({ at: 'start' })}
        onSeeJob={() => seeJob(screen.job)}
      />
    );
  return (
    <Frame screen={screen} go={go}>
      {refused === null || screen.at === 'plan' ? null : <Refused error={refused} />}
      <Inner
        {...{ screen, settings, save, entry, setEntry, starting, refused, go, openJob, startJob, practise }}
      />
    </Frame>
  );
}

/** The screen's frame while it loads, so that a screen reader finds its place at once. */
function ReviewOnItsWay() {
  return (
    <Sheet title={useWords().review.title}>
      <Waiting />
    </Sheet>
  );
}

function Inner({
  screen,
  settings,
  save,
  entry,
  setEntry,
  starting,
  refused,
  go,
  openJob,
  startJob,
  practise,
}: {
  screen: Exclude<Screen, { at: 'bench' }>;
  settings: Settings;
  save: (change: Partial<Settings>) => Promise<Refusal | null>;
  entry: Entry;
  setEntry: (entry: Entry) => void;
  starting: boolean;
  refused: Refusal | null;
  go: (screen: Screen) => void;
  openJob: (job: string) => void;
  startJob: (plan: Plan) => void;
  practise: (file: string) => void;
}) {
  const start = (): void => go({ at: 'start' });
  switch (screen.at) {
    case 'start':
      return (
        <Start
          onChoose={(file) => {
            if (file !== entry.file) setEntry(emptyEntry(file, settings.technician));
            go({ at: 'before' });
          }}
          onGoOn={openJob}
          onSee={(job) => go({ at: 'after', job })}
          onDesk={(file) => go({ at: 'desk', file })}
          onPractice={practise}
        />
      );
    case 'before':
      return (
        <Before
          entry={entry}
          onChange={setEntry}
          onPlan={() => go({ at: 'plan' })}
          onBack={start}
          onDesk={(file) => go({ at: 'desk', file })}
        />
      );
    case 'plan':
      return (
        <PlanScreen
          entry={entry}
          units={settings.units}
          starting={starting}
          refused={refused}
          onStart={startJob}
          onBack={() => go({ at: 'before' })}
        />
      );
    case 'after':
      return <After job={screen.job} onGoOn={openJob} onBack={start} />;
    case 'review':
      return (
        <Suspense fallback={<ReviewOnItsWay />}>
          <Review />
        </Suspense>
      );
    case 'desk':
      return <Desk file={screen.file} units={settings.units} onFile={(file) => go({ at: 'desk', file })} />;
    case 'settings':
      return <SettingsScreen settings={settings} onSave={save} />;
    case 'help':
      return <Help />;
  }
}

function Frame({
  screen,
  go,
  children,
}: {
  screen: Screen;
  go: (screen: Screen) => void;
  children: React.ReactNode;
}) {
  const w = useWords();
  const doors: readonly { readonly at: Screen; readonly name: string; readonly here: boolean }[] = [
    { at: { at: 'start' }, name: w.app.jobs, here: ['start', 'before', 'plan', 'after'].includes(screen.at) },
    { at: { at: 'review' }, name: w.app.review, here: screen.at === 'review' },
    { at: { at: 'desk', file: null }, name: w.app.desk, here: screen.at === 'desk' },
    { at: { at: 'settings' }, name: w.app.settings, here: screen.at === 'settings' },
    { at: { at: 'help' }, name: w.app.help, here: screen.at === 'help' },
  ];
  return (
    <div className="frame">
      <a className="skip" href="#content">
        {w.app.skip}
      </a>
      <header className="rail">
        <div className="mark">
          <Mark />
          {w.app.name}
        </div>
        <nav aria-label={w.app.main}>
          <ul>
            {doors.map((door) => (
              <li key={door.name}>
                <button
                  type="button"
                  aria-current={door.here ? 'page' : undefined}
                  onClick={() => go(door.at)}
                >
                  {door.name}
                </button>
              </li>
            ))}
          </ul>
        </nav>
      </header>
      <div className="frame-body">
        <HostTrouble />
        {children}
      </div>
    </div>
  );
}
