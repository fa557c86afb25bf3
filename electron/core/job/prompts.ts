/**
 * Every word the engine says, in one table per language. The values are plain text with places to fill:
 * `{name}` puts in a fact, `{count:screw|screws}` the number with the word that agrees with it. So
 * another language is another table and no code. Numbers and units stay in printed form ("1.2 N·m"); the
 * mouth turns them into speech.
 *
 * Sentences are short, polite and calm; what to do comes last.
 */

export type Words = Readonly<Record<keyof typeof ENGLISH, string>>;
export type WordKey = keyof typeof ENGLISH;

export const ENGLISH = {
  'step.note': '{say} Your note: {note}.',
  'step.look-for': '{say} Look for this: {lookFor}',
  'step.why': '{say} The reason: {why}',
  'step.measure': '{say} Say: the reading is, and the number.',
  'step.record': '{say} Say: serial is, and spell it.',
  'step.hold': '{say} A second person must sign off here: {hold}',
  'caution.ask': 'Say understood.',
  'job.resumed': 'We go on. {say}',
  'job.reopened': 'Welcome back. This is step {n} of {m}.',
  'job.reopened-paused': 'Welcome back. The job is paused at step {n} of {m}. Say resume to go on.',
  'job.reopened-end': 'Welcome back. All steps are done. Say finish to close the job.',
  'job.paused': 'Paused. Say resume to go on.',
  'job.pause-long': 'The job has been paused for {time}. Say resume to go on.',
  'job.stopped': 'The job stops here. Say resume when the problem is solved, or finish to give up.',
  'job.injury': 'Stop work. Get help now. The job is paused.',
  'job.handed-over': '{name} goes on with this job. This is step {n} of {m}.',
  'job.completed': 'The job is finished. Thank you.',
  'job.given-up': 'The job is given up. {out}',
  'job.at-end': 'All steps are done. Say finish to close the job.',
  'listening.stopped': 'Not listening. Say start listening when you need me.',
  'listening.started': 'Listening.',
  'answer.where': 'Step {n} of {m}, {stage}. {part}{out}',
  'answer.part': 'Part: {part}. ',
  'answer.tray-empty': 'Nothing is in the tray.',
  'answer.tray': 'Out: {list}.',
  'answer.tray-line': '{counted} in compartment {n}',
  'answer.how-long': '{step} on this step. {job} in all. {left} to go.',
  'answer.no-fasteners': 'There are no fasteners in this step.',
  'answer.fasteners': '{counted}, {thread}{length}, {drive}{place}{compartment}.',
  'answer.length': ' by {length} mm',
  'answer.place': ', {place}',
  'answer.compartment': ', compartment {n}',
  'answer.tool': 'Use the {tool}.',
  'answer.no-tool': 'No tool is needed for this step.',
  'answer.torque': 'The torque is {torque} N·m.',
  'answer.torque-named': '{name}: the torque is {torque} N·m.',
  'answer.torque-later': 'The torque for putting back is {torque} N·m.',
  'answer.passes': '{count:pass|passes}: {list} N·m.',
  'answer.order': 'Order: {list}.',
  'answer.no-torque': 'No torque is given for this step.',
  'answer.no-caution': 'There is no caution for this step.',
  'answer.no-why': 'No reason is written for this step.',
  'answer.reading-how': 'Say: the reading is, and then the number.',
  'answer.serial-how': 'Say: serial is, and spell it with alfa, bravo, charlie.',
  'answer.noted': 'Noted.',
  'answer.signed': 'Signed off by {name}. Say next to go on.',
  'answer.recorded': 'Recorded. Say next to go on.',
  'answer.recorded-more': 'Recorded.',
  'answer.go-on': 'We go on.',
  'answer.not-done': 'Nothing is changed.',
  'answer.again': 'Say it again, please.',
  'answer.count-right': 'That is right. Say next to go on.',
  'answer.problem-noted': 'The problem is noted.',
  'answer.check-tray': 'Check the tray and the unit. Say back to see the steps, or finish when it is empty.',
  'answer.can-say': 'You can say: {list}.',
  'answer.can-say-number': 'the reading is, and a number',
  'answer.can-say-bare': 'a number',
  'answer.can-say-spelling': 'serial is, and the spelling',
  'reading.too-high': 'I have {value}. That is above the limit of {limit}. Measure again, or say problem.',
  'reading.too-low': 'I have {value}. That is below the limit of {limit}. Measure again, or say problem.',
  'reading.must': 'I have {value}. The limit is {limit}. Do not go on. Find the cause and measure again.',
  'question.reading': 'The reading is {value}. Is that right?',
  'question.serial': '{code}. Is that right?',
  'question.count-one': 'How many {name} are in compartment {n}?',
  'question.count-all': 'How many screws are in the tray?',
  'question.count-again': 'I expected {expected}, you counted {counted}. Count again, or say problem.',
  'question.finish': 'Is the last step done?',
  'question.give-up':
    'The job is not complete. {left:step is|steps are} left. {out} Do you want to give up this job?',
  'question.give-up-end': '{out} Do you want to give up this job?',
  'question.skip': 'Leave out this step?',
  'question.undo': 'Take back the last step? It was: {say}',
  'question.go-back': 'Go back to step {n}?',
  'question.problem-kind': 'What is the problem? {list}, or no?',
  'question.problem-decision': 'The problem is noted. Go on, or stop the job?',
  'question.fastener-compartment': 'Which compartment is it? Say its number.',
  'question.tray-empty': 'All steps are done. By my count the tray is empty. Is nothing left in the tray?',
  'question.note': 'Enter the note, or say no.',
  'question.variant': 'Please answer.',
  'end.not-settled':
    'All steps are done, but the tray is not empty. {out} Say problem to correct it, or back.',
  'refusal.not-sure': 'Say again, please.',
  'refusal.too-quiet': 'A little louder, please.',
  'refusal.too-noisy': 'It is too loud here. Use a key or touch the screen.',
  'refusal.unknown-words': 'I did not know those words.',
  'why.not-now': 'Not now. Say: what can I say.',
  'why.paused': 'The job is paused. Say resume first.',
  'why.answer-first': 'Please answer first. {question}',
  'why.caution-first': 'The caution comes first. Say understood.',
  'why.not-read': 'Please hear the caution to its end.',
  'why.no-caution': 'There is no caution to acknowledge.',
  'why.no-question': 'There is no question now.',
  'why.reading-first': 'The reading is missing. Say: the reading is, and the number.',
  'why.reading-bad': 'The reading is out of limits. Measure again, or say problem.',
  'why.serial-first': 'The serial is missing. Say: serial is, and spell it.',
  'why.sign-off-first': 'A second person must sign off first.',
  'why.at-end': 'That was the last step. Say finish.',
  'why.first-step': 'This is the first step.',
  'why.nothing-to-undo': 'There is nothing to take back.',
  'why.not-optional': 'This step cannot be left out.',
  'why.not-paused': 'The job is not paused.',
  'why.no-reading-here': 'No reading is needed now.',
  'why.no-serial-here': 'No serial is needed now.',
  'why.no-number-here': 'No number is needed now.',
  'why.no-answer-here': 'That is not one of the answers.',
  'why.no-text-here': 'That note is empty.',
  'why.no-sign-off-here': 'No sign-off is needed now.',
  'why.same-person': 'The sign-off must come from another person than the one who did the work.',
  'why.already-listening': 'I am listening already.',
  'why.not-listening': 'I am not listening already.',
  'why.bad-number': 'That number cannot be right. Say it again.',
  'why.wrong-unit': 'The reading is needed in {unit}.',
  'why.bad-code': 'That cannot be a serial. Spell it again.',
  'why.too-short': 'That is too short. It has at least {n:character|characters}. Spell it again.',
  'why.too-long': 'That is too long. It has at most {n:character|characters}. Spell it again.',
  'why.check-character': 'The check character does not fit. Spell it again.',
  'why.no-compartment': 'There is no such compartment. Say its number.',
  'why.not-reached': 'That step has not been reached yet.',
  'why.tray-not-empty': 'The tray is not empty by my count.',
  'trouble.no-microphone': 'There is no microphone. Use the keys or touch the screen.',
  'trouble.microphone-refused': 'The microphone is not permitted. Use the keys or touch the screen.',
  'trouble.microphone-lost': 'The microphone is gone. Plug it in, or use the keys.',
  'trouble.model-missing': 'The speech model is missing. Use the keys or touch the screen.',
  'trouble.model-damaged': 'The speech model is damaged. Use the keys or touch the screen.',
  'trouble.recogniser-stopped': 'I stopped hearing. I start again. Use the keys meanwhile.',
  'trouble.audio-suspended': 'The sound is held by the system. Touch the screen once.',
  'trouble.no-voice': 'There is no voice. Read the screen.',
  'trouble.log-not-written': 'The log cannot be written. The last step does not count. Call for help.',
  'trouble.disk-full': 'The disk is full. The last step does not count. Make room first.',
  'trouble.over': 'That is well again.',
  'stage.prepare': 'preparation',
  'stage.remove': 'taking apart',
  'stage.replace': 'replacing',
  'stage.install': 'putting together',
  'stage.check': 'final checks',
  'drive.phillips': 'cross recess {size}',
  'drive.pozidriv': 'cross recess with ribs, size {size}',
  'drive.slotted': 'slot {size} mm',
  'drive.hex': 'hex socket {size} mm',
  'drive.hexalobular': 'six-lobe socket {size}',
  'drive.hex-head': 'hexagon head {size} mm',
  'drive.none': 'no drive',
  'time.less-than-a-minute': 'less than a minute',
  'time.about': 'about {time}',
  'time.minutes': '{n:minute|minutes}',
  'time.hours': '{n:hour|hours}',
  'time.hours-minutes': '{n:hour|hours} {k:minute|minutes}',
} as const;

/** Why a phrase is refused; each has a sentence in the table under `why.`. */
export type WhyNot = WordKey extends infer K ? (K extends `why.${infer Code}` ? Code : never) : never;

/** Answers to "what is the problem", as they are spoken. `kind` is what the log keeps. */
export const PROBLEM_KINDS = [
  'stripped screw',
  'lost screw',
  'extra screw',
  'missing part',
  'broken part',
  'does not fit',
  'wrong unit',
  'injury',
  'something else',
] as const;

export const PROBLEM_DECISIONS = ['go on', 'stop the job'] as const;

/** Fills a sentence of the table. A place with no fact becomes nothing; facts are put in as they are. */
export function fill(
  words: Words,
  key: WordKey,
  facts: Readonly<Record<string, string | number>> = {},
): string {
  return words[key].replace(/\{([a-zA-Z]+)(?::([^|}]*)\|([^}]*))?\}/g, (_, name: string, one, many) => {
    const fact = facts[name] ?? '';
    if (one === undefined) return String(fact);
    return `${fact} ${Number(fact) === 1 ? one : many}`;
  });
}

/** A length of time in whole minutes as it is said: "less than a minute", "1 hour 5 minutes". */
export function durationInWords(words: Words, ms: number): string {
  const minutes = Math.floor(Math.max(0, ms) / 60_000);
  if (minutes < 1) return fill(words, 'time.less-than-a-minute');
  const hours = Math.floor(minutes / 60);
  if (hours === 0) return fill(words, 'time.minutes', { n: minutes });
  if (minutes % 60 === 0) return fill(words, 'time.hours', { n: hours });
  return fill(words, 'time.hours-minutes', { n: hours, k: minutes % 60 });
}
