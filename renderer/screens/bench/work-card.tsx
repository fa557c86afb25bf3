/** The middle of the bench: the step, the caution before it, a question, a pause, or the end of the job. */
import type { BenchView } from '../../../electron/core/job/model.ts';
import type { PageInput, Settings } from '../../../electron/ipc/contract.ts';
import { clock } from '../../figures.ts';
import { NumberPad, SpellingPad } from '../../parts/pads.tsx';
import { SignalPanel } from '../../parts/signal-panel.tsx';
import { TitleBlock } from '../../parts/title-block.tsx';
import { useWords } from '../../words/words.ts';
import { PRACTICE_PRODUCT } from '../start.tsx';
import { FittedText } from './fitted-text.tsx';
import { NoteField, SignOff } from './hand-entries.tsx';
import { StepPicture } from './step-picture.tsx';

export interface CardProps {
  readonly view: BenchView;
  /** The last question as it was put aloud. */
  readonly asked: string;
  readonly units: Settings['units'];
  readonly names: ReadonlyMap<string, string>;
  readonly sizes: { readonly minimum_px: number; readonly preferred_px: number; readonly largest_px: number };
  readonly send: (input: PageInput) => void;
  readonly onSeeJob: () => void;
  /** With the voice on, what the mouth says is not told to a screen reader as well. */
  readonly voiceOff: boolean;
  /** True where the words did not fit beside everything else, which then gives way. */
  readonly crowded: boolean;
  readonly onCrowded: () => void;
}

/** Answers of the open question that are no phrases: "yes" and "no" have their own keys. */
export function offeredAnswers(view: BenchView): readonly string[] {
  return view.question?.answers.filter((answer) => answer !== 'yes' && answer !== 'no') ?? [];
}

export function WorkCard(props: CardProps) {
  const { view } = props;
  switch (view.phase) {
    case 'caution':
      return <CautionCard {...props} />;
    case 'question':
      return <QuestionCard {...props} />;
    case 'recording':
      return <RecordingCard {...props} />;
    case 'paused':
      return <PausedCard {...props} />;
    case 'finished':
      return <FinishedCard {...props} />;
    case 'step':
      return <StepCard {...props} />;
  }
}

/** A question without the answers it lists aloud, for where they stand below as buttons. */
export function withoutList(text: string): string {
  const end = text.indexOf('?');
  return end < 0 ? text : text.slice(0, end + 1);
}

/** What is said, one sentence a line; the eye finds the verb at the start of each. */
function Sentence({ text }: { text: string }) {
  return (
    <p className="sentence">
      {sentencesOf(text).map((one, i) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: the sentences of one text never move.
        <span key={i}>{one} </span>
      ))}
    </p>
  );
}

/** Splits a text after each full stop, question mark or exclamation mark that is followed by a blank. */
export function sentencesOf(text: string): readonly string[] {
  return text.split(/(?<=[.!?])\s+(?=\p{Lu})/u);
}

function CautionCard({ view, sizes, onCrowded }: CardProps) {
  const w = useWords();
  const caution = view.caution;
  if (caution === null) return null;
  return (
    <div className="work-card caution-card">
      <FittedText
        text={caution.hazard + caution.avoid}
        minimum_px={sizes.minimum_px}
        largest_px={sizes.largest_px}
        onCrowded={onCrowded}
      >
        <SignalPanel
          caution={caution}
          large
          {...(caution.total > 1 ? { place: w.bench.cautionOf(caution.index + 1, caution.total) } : {})}
        />
      </FittedText>
      {caution.read ? null : (
        <p className="card-foot">
          <b>{w.bench.readFirst}</b> {w.bench.readFirstHint}
        </p>
      )}
    </div>
  );
}

/** The practice teaches "next" aloud only after the first steps, which every job begins with. */
const PRACTICE_HINTS = 3;
/** From this many letters on, the sentence gets more of the card and the picture less. */
export const LONG_TEXT = 190;

function StepCard({ view, units, names, sizes, send, crowded, onCrowded }: CardProps) {
  const w = useWords();
  const { step } = view;
  const trainee = view.verbosity === 'trainee';
  const open = view.value_proposed === null;
  const signing = view.waits_for === 'sign-off';
  // A value that is in may still be said anew, but the pad now belongs to the second person.
  const reading = open && !signing && (view.waits_for === 'reading' || view.allowed.number === 'reading');
  const serial = open && !signing && (view.waits_for === 'serial' || view.allowed.spelling);
  return (
    <div className={`work-card ${signing ? 'signing' : ''}`}>
      <div className={`card-main ${crowded || step.say.length > LONG_TEXT ? 'long' : ''}`}>
        <FittedText
          text={`${signing} ${step.say}`}
          minimum_px={sizes.minimum_px}
          largest_px={sizes.largest_px}
          onCrowded={onCrowded}
        >
          <Sentence text={step.say} />
          {view.product === PRACTICE_PRODUCT && view.step_number <= PRACTICE_HINTS ? (
            <p className="aside">{w.practice.first}</p>
          ) : null}
          {trainee && step.look_for !== null ? (
            <p className="aside">
              <b>{w.bench.lookFor}:</b> {step.look_for}
            </p>
          ) : null}
          {trainee && step.why !== null ? (
            <p className="aside">
              <b>{w.bench.why}:</b> {step.why}
            </p>
          ) : null}
        </FittedText>
        {step.picture === null || signing ? null : (
          <StepPicture product={view.product} picture={step.picture} />
        )}
      </div>
      {view.value_proposed === null ? null : (
        <p className="proposed">
          <span>{w.bench.proposed}</span> <b className="figures">{view.value_proposed}</b>
        </p>
      )}
      {reading ? (
        <NumberPad
          label={step.measure === null ? w.bench.reading : w.bench.readingOf(step.measure.name)}
          {...(step.measure === null ? {} : { unit: step.measure.unit })}
          whole={false}
          onEnter={(value) => send({ type: 'reading', value, source: 'touch' })}
        />
      ) : null}
      {serial ? (
        <SpellingPad
          label={step.record?.name ?? w.bench.serial}
          onEnter={(value) => send({ type: 'serial', value, source: 'touch' })}
        />
      ) : null}
      {signing ? (
        <SignOff why={step.hold} onSign={(person) => send({ type: 'sign-off', person, source: 'touch' })} />
      ) : null}
      {signing ? null : <TitleBlock step={step} units={units} names={names} />}
    </div>
  );
}

function QuestionCard({ view, asked, sizes, send, voiceOff, onCrowded }: CardProps) {
  const w = useWords();
  const question = view.question;
  if (question === null) return null;
  const answers = offeredAnswers(view);
  const open = view.value_proposed === null;
  const bare = open && view.allowed.number !== 'none';
  const text = answers.length === 0 ? question.text : withoutList(question.text);
  // A wrong count is told with the question put again; whoever hears nothing must see it.
  const toldAgain = question.kind === 'count' && asked !== '' && asked !== question.text ? asked : null;
  return (
    <div className={`work-card question-card`}>
      <div className="card-main">
        <FittedText
          text={text + (toldAgain ?? '')}
          minimum_px={sizes.minimum_px}
          largest_px={sizes.largest_px}
          onCrowded={onCrowded}
        >
          <p className="question-mark">{w.bench.question}</p>
          <Sentence text={text} />
          <p className="aside" {...(voiceOff ? { role: 'status' } : {})}>
            {toldAgain}
          </p>
          {view.value_proposed === null ? null : (
            <p className="proposed">
              <b className="figures">{view.value_proposed}</b>
            </p>
          )}
        </FittedText>
      </div>
      {answers.length === 0 ? null : (
        <ul className="answers">
          {answers.map((answer, i) => (
            <li key={answer}>
              <button
                type="button"
                className="answer"
                onClick={() => send({ type: 'answer', value: answer, source: 'touch' })}
              >
                <span>{answer}</span>
                {i < 9 ? (
                  <span className="keycap" aria-hidden="true">
                    {i + 1}
                  </span>
                ) : null}
              </button>
            </li>
          ))}
        </ul>
      )}
      {bare ? (
        <NumberPad
          label={w.bench.count}
          whole={question.kind === 'count' || question.kind === 'fastener-compartment'}
          onEnter={(value) => send({ type: 'number', value, source: 'touch' })}
        />
      ) : null}
      {open && view.allowed.spelling ? (
        <SpellingPad
          label={w.bench.serial}
          onEnter={(value) => send({ type: 'serial', value, source: 'touch' })}
        />
      ) : null}
      {question.kind === 'note' ? (
        <NoteField
          onNote={(value) => send({ type: 'text', value, source: 'touch' })}
          onSpeak={
            view.allowed.phrases.includes('yes')
              ? () => send({ type: 'phrase', phrase: 'yes', source: 'touch' })
              : null
          }
        />
      ) : null}
    </div>
  );
}

/** Sound is being kept: nobody may overlook that, nor how it ends. */
function RecordingCard({ view }: CardProps) {
  const w = useWords();
  const on = view.recording?.on === true;
  return (
    <div className={`work-card recording-card ${on ? 'on' : ''}`}>
      <p className="big-word">
        <i className="lamp" aria-hidden="true" />
        {on ? w.bench.recording : w.bench.recordingSoon}
      </p>
      <p className="aside">{w.bench.recordingHint}</p>
    </div>
  );
}

/** From here on a pause counts as long: people have forgotten where they were. */
const LONG_PAUSE_MS = 15 * 60_000;

function PausedCard({ view }: CardProps) {
  const w = useWords();
  return (
    <div className="work-card paused-card">
      <p className="big-word">{w.bench.paused}</p>
      <p className="big-figure figures">{clock(view.paused_ms)}</p>
      {view.paused_ms > LONG_PAUSE_MS ? <p className="aside">{w.bench.pausedLong}</p> : null}
      <p className="aside">{view.step.say}</p>
    </div>
  );
}

function FinishedCard({ view, onSeeJob }: CardProps) {
  const w = useWords();
  return (
    <div className="work-card finished-card">
      <p className="big-word">{view.outcome === 'given-up' ? w.bench.givenUp : w.bench.finished}</p>
      <p className="big-figure figures">{clock(view.active_ms)}</p>
      <button type="button" className="button main" onClick={onSeeJob}>
        {w.bench.seeJob}
      </button>
    </div>
  );
}
