/**
 * The ear's loop: samples in, messages out. Owns utterances, the decoder of the moment and the mouth's shadow; every
 * rule about accepting is in `decision.ts`, every rule about levels in `endpointer.ts`. No clock but the audio's own
 * (`computeNow` is only for reporting), so a recording and a microphone go through exactly the same code.
 * Silence is not decoded. When speech begins, the decoder gets the audio from a little before; when a short silence
 * follows a whole phrase the utterance is closed early; if it is not good enough and speech goes on, the whole is
 * decoded again with what follows.
 */
import type { Allowed, RefusalReason } from '../../electron/core/job/model.ts';
import type { FromEar, ToEar } from '../../electron/ipc/contract.ts';
import { type AttentionWord, createAttentionWord } from './attention-word.ts';
import {
  couldBecomePhrase,
  earlyAfterMs,
  FILLER,
  hangOverMs,
  isCommand,
  isPhrase,
  isSureEarly,
  judge,
  longestMs,
  mayGoOn,
  type Talk,
  type Utterance,
  type Verdict,
  withoutOuterFiller,
} from './decision.ts';
import { type Decoded, type Decoder, joinDecoded } from './decoder.ts';
import {
  createEndpointer,
  type Endpoint,
  FRAME_MS,
  isClipping,
  LEVEL_MIN_DBFS,
  levelDbfs,
} from './endpointer.ts';
import { concatenate, createFraming } from './frames.ts';
import { createLevelMeter } from './level-meter.ts';
import type { Listener, ListenerOptions } from './listener-options.ts';
import { CHECK_PHRASES, createMicrophoneCheck, type MicrophoneCheck } from './microphone-check.ts';
import { createMouthShadow, type MouthShadow, type OverMouth } from './mouth-shadow.ts';
import { createNoteRecorder, type NoteRecorder, type SpokenNote } from './note-recorder.ts';
import {
  cutToVoice,
  fromVoiceMs,
  type OpenUtterance,
  openUtterance,
  reopen,
  sinceVoiceMs,
  soundUntil,
  speechIn,
  voiceAmidOthers,
} from './open-utterance.ts';
import { createTalkGate } from './talk-gate.ts';
import { createTalkMemory, type Sound, type TalkMemory } from './talk-memory.ts';
import { withoutBackground } from './voice-span.ts';

/** Audio before the detected beginning that belongs to the utterance (soft first consonants). */
const PRE_ROLL_FRAMES = 30;
/** Frames given to the decoder at once. Fewer cost more; partial results come no finer than this. */
const BATCH_FRAMES = 4;
/**
 * The decoder is this far behind the sound (the network looks ahead), so the last short word of an utterance
 * may not be in its text yet. Speech no longer than this is closed at a short silence all the same.
 */
const CLOSE_UNSEEN_MAX_MS = 1_200;
/** Refusals of unknown words are told only for utterances as short as a command. */
const TELL_UNKNOWN_MAX_MS = 2_500;
/** Beside noise that does not end, a whole phrase counts as complete when it has stood for this long … */
const STEADY_MS = 280;
/** … and nothing as loud as itself has followed for this much longer than the silence it would need, whatever the words. */
const FAINT_MORE_MS = 160;
/** Sound this far below the voice that was last understood is not answered when it means nothing. */
const BELOW_VOICE_DB = 12;
/** A word that ends a spoken note was said at most this long before the note is ended. */
const WORD_TO_END_MS = 3_000;

const NOTHING_ALLOWED: Allowed = { phrases: [], number: 'none', spelling: false, answers: [] };

/** A listener that hears nothing until it is told a grammar. */
export function createListener(options: ListenerOptions): Listener {
  return new ListenerLoop(options);
}

class ListenerLoop implements Listener {
  readonly #options: ListenerOptions;
  readonly #endpointer = createEndpointer();
  readonly #preRoll: Float32Array[] = [];
  readonly #framing = createFraming();
  #frames = 0;
  /** As told, and as in force (during the microphone check other phrases are). */
  #told: Allowed = NOTHING_ALLOWED;
  /** Since when "yes" may be said: an answer that began before its question is none. */
  #yesSinceMs = 0;
  #allowed: Allowed = NOTHING_ALLOWED;
  #listening = true;
  readonly #talk = createTalkGate();
  readonly #attention: AttentionWord;
  #decoder: Decoder | undefined;
  #decoderKey = '';
  #utterance: OpenUtterance | undefined;
  /** Speech, or noise, that is too long: let pass until it ends. */
  #lettingPass: 'talk' | 'noise' | undefined;
  #others: TalkMemory;
  #mouth: MouthShadow;
  #check: MicrophoneCheck | undefined;
  /** There only while a note is recorded that was asked for. */
  #note: NoteRecorder | undefined;
  /** Where the last word that was understood began. */
  #wordFromMs = Number.NEGATIVE_INFINITY;
  readonly #meter = createLevelMeter();
  /** Peak of the last utterance that was understood. */
  #voiceDbfs = LEVEL_MIN_DBFS;
  #out: FromEar[] = [];
  #feedStarted = 0;

  constructor(options: ListenerOptions) {
    this.#options = options;
    this.#attention = createAttentionWord(options.grammar.attentionWord);
    this.#others = createTalkMemory(options.thresholds);
    this.#mouth = createMouthShadow(this.#options);
  }

  nowMs(): number {
    return this.#frames * FRAME_MS;
  }

  tell(message: ToEar): readonly FromEar[] {
    this.#feedStarted = this.#options.computeNow();
    switch (message.type) {
      case 'grammar':
        this.#setAllowed(message.allowed, message.extraAnswers ?? []);
        break;
      case 'listen':
        if (!message.on) this.#close();
        this.#listening = message.on;
        break;
      case 'mouth':
        if (message.speaking) {
          this.#closeIfWhole();
          this.#drop();
          this.#mouth.begin(message.text, this.nowMs());
        } else this.#mouth.end(this.nowMs());
        break;
      case 'hold-to-talk':
        this.#talk.set(message.on, message.held, this.nowMs());
        // What is loud already is not the voice that will follow the key.
        if (message.held && this.#utterance === undefined) this.#endpointer.close();
        break;
      case 'attention-word':
        this.#attention.set(message.on);
        this.#renewDecoder();
        break;
      case 'check-microphone':
        this.#check = createMicrophoneCheck(message.seconds);
        this.#setCheckedPhrases();
        break;
      case 'record-note':
        this.#recordNote(message.on, message.keep);
        break;
    }
    return this.#take();
  }

  feed(samples: Float32Array): readonly FromEar[] {
    this.#feedStarted = this.#options.computeNow();
    for (const frame of this.#framing.cut(samples)) this.#frame(frame);
    return this.#take();
  }

  flush(): readonly FromEar[] {
    this.#feedStarted = this.#options.computeNow();
    this.#close();
    return this.#take();
  }

  release(): void {
    this.#drop();
    this.#decoder?.free();
    this.#decoder = undefined;
    this.#decoderKey = '';
    this.#mouth.release();
  }

  #take(): readonly FromEar[] {
    const out = this.#out;
    this.#out = [];
    return out;
  }

  #frame(frame: Float32Array): void {
    this.#frames += 1;
    const clipping = isClipping(frame);
    const level = levelDbfs(frame);
    const point = this.#endpointer.frame(level, this.#mouth.speaking());
    this.#tellLevel(point, clipping);
    this.#others.floor(point.nowMs, point.noiseDbfs);
    const open = this.#talk.isOpen(this.nowMs());
    if (this.#mouth.speaking()) {
      const phrase = this.#mouth.frame(frame, level, this.nowMs());
      if (phrase !== undefined && open) this.#heardOverMouth(phrase);
      this.#endpointer.close();
      this.#preRoll.length = 0;
      return;
    }
    this.#noteEnded(this.#note?.frame(frame, point.noiseDbfs));
    this.#preRoll.push(frame);
    if (this.#preRoll.length > PRE_ROLL_FRAMES) this.#preRoll.shift();
    if (!open) {
      this.#close();
    } else if (point.jumped && this.#isNoiseSoFar()) {
      this.#openAnew();
    } else if (this.#utterance === undefined) {
      if (point.began && this.#lettingPass === undefined) this.#open(point);
    } else {
      this.#utterance.frames.push(frame);
      this.#utterance.levels.push(level);
      this.#decode(false);
    }
    this.#endOfSpeech(this.#endpointer.now());
  }

  /** A note begins with the next frame, or ends: without the word that ended it, where it was spoken. */
  #recordNote(on: boolean, keep: boolean): void {
    if (on) {
      this.#note = createNoteRecorder();
      return;
    }
    const sinceWordMs = this.nowMs() - this.#wordFromMs;
    const dropMs = sinceWordMs < WORD_TO_END_MS ? sinceWordMs : 0;
    if (keep) this.#noteEnded((this.#note ?? createNoteRecorder()).end(dropMs));
    this.#note = undefined;
  }

  #noteEnded(note: SpokenNote | undefined): void {
    if (note === undefined) return;
    this.#note = undefined;
    // What was spoken into it was no talk of others.
    this.#others = createTalkMemory(this.#options.thresholds);
    this.#out.push({ type: 'note', ...note });
  }

  /** Whether what is open, or let pass, has no words that could belong to something allowed. */
  #isNoiseSoFar(): boolean {
    if (this.#lettingPass !== undefined) return true;
    const utterance = this.#utterance;
    if (utterance === undefined || utterance.frames.length <= PRE_ROLL_FRAMES) return false;
    const text = this.#meant(utterance.partial);
    const { grammar } = this.#options;
    if (text === '') return utterance.partial === '';
    const isPhrase = grammar.understand(this.#allowed, text) !== undefined;
    return !isPhrase && !grammar.couldContinue(this.#allowed, text);
  }

  /** A voice has risen above the noise that was open: the utterance begins with it. */
  #openAnew(): void {
    const before = this.#utterance;
    this.#drop();
    this.#lettingPass = undefined;
    this.#endpointer.restart();
    const point = this.#endpointer.now();
    // Without words it may be the soft beginning of this very voice.
    if (before && before.partial !== '') this.#wasTalk(before.partial, soundUntil(before, point));
    this.#open(point);
  }

  #tellLevel(point: Endpoint, clipping: boolean): void {
    const done = this.#check?.frame(point, clipping);
    if (done !== undefined) {
      this.#check = undefined;
      this.#out.push(done);
      this.#setAllowed(this.#told, []);
    }
    const level = this.#meter.frame(point, clipping);
    if (level !== undefined) this.#out.push(level);
  }

  #open(point: Endpoint): void {
    if (this.#decoder === undefined) this.#renewDecoder();
    this.#utterance = openUtterance(point, this.#preRoll);
    this.#decode(true);
  }

  /** Gives the decoder what it has not got yet, in batches unless `all`. */
  #decode(all: boolean): void {
    const utterance = this.#utterance;
    const decoder = this.#decoder;
    if (utterance === undefined || decoder === undefined || utterance.closed !== undefined) return;
    const waiting = utterance.frames.length - utterance.given;
    if (waiting === 0 || (!all && waiting < BATCH_FRAMES)) return;
    const batch = concatenate(utterance.frames.slice(utterance.given));
    utterance.given = utterance.frames.length;
    const decoded = decoder.accept(batch);
    if (decoded.ended) utterance.parts.push({ text: decoded.text, words: decoded.words });
    const before = utterance.parts.map((part) => part.text);
    const partial = [...before, decoded.ended ? '' : decoded.text].filter((text) => text !== '').join(' ');
    if (partial !== utterance.partial) utterance.steadySinceMs = this.nowMs();
    utterance.partial = partial;
  }

  /** After each frame: is the utterance, or the speech that is let pass, over? */
  #endOfSpeech(point: Endpoint): void {
    const { thresholds, grammar } = this.#options;
    const utterance = this.#utterance;
    if (utterance === undefined) {
      if (point.speech && point.silenceMs >= thresholds.hangOverMs) {
        if (this.#lettingPass !== undefined) this.#others.goesOn(point.lastSpeechMs);
        this.#endpointer.close();
        this.#lettingPass = undefined;
      }
      return;
    }
    if (this.#isTooLong(utterance, point)) return;
    if (point.silenceMs === 0 && utterance.closed !== undefined) this.#decodeAgain(utterance);
    if (utterance.acted === undefined) {
      if (this.#closeEarly(utterance, point)) return;
      if (utterance.closed === undefined && this.#closeSteady(utterance, point)) return;
    }
    const text = this.#meant(utterance.closed?.text ?? utterance.partial);
    const afterMs = hangOverMs(grammar, thresholds, this.#allowed, text, this.#talkAt(point, text));
    const isVoiceOver = sinceVoiceMs(utterance, point) >= afterMs + FAINT_MORE_MS;
    if (point.silenceMs >= afterMs || isVoiceOver) this.#closeNow(utterance, point);
  }

  /** Drops what is too long for any phrase; from where a voice stands out of the background. */
  #isTooLong(utterance: OpenUtterance, point: Endpoint): boolean {
    const mostMs = longestMs(this.#allowed);
    if (point.nowMs - point.startMs <= mostMs) return false;
    const voiceMs = fromVoiceMs(utterance, point);
    if (voiceMs !== undefined && voiceMs <= mostMs) return false;
    this.#wasTalk(utterance.partial, point);
    this.#drop();
    // Background alone is not waited for: its end may not come.
    if (voiceMs !== undefined) this.#lettingPass = utterance.partial === '' ? 'noise' : 'talk';
    return true;
  }

  /** At a short silence: acts on a whole phrase. True where the utterance is over, or was acted on. */
  #closeEarly(utterance: OpenUtterance, point: Endpoint): boolean {
    const { thresholds, grammar } = this.#options;
    const partial = this.#meant(utterance.partial);
    const talk = this.#talkAt(point, utterance.closed?.text ?? partial);
    if (utterance.closed === undefined) {
      const seenAfterMs = earlyAfterMs(grammar, thresholds, this.#allowed, partial, talk);
      const unseen =
        talk === 'none' &&
        point.lastSpeechMs - point.startMs <= CLOSE_UNSEEN_MAX_MS &&
        (partial !== '' || utterance.partial === '') &&
        couldBecomePhrase(grammar, this.#allowed, partial);
      const afterMs = seenAfterMs ?? (unseen ? thresholds.earlySilenceMs : Number.POSITIVE_INFINITY);
      if (point.silenceMs < afterMs) return false;
      utterance.closed = this.#finish(utterance);
      utterance.judged = false;
      utterance.unseen = seenAfterMs === undefined;
    }
    if (utterance.judged) return false;
    const text = this.#meant(utterance.closed.text);
    const afterMs = earlyAfterMs(grammar, thresholds, this.#allowed, text, talk);
    if (afterMs !== undefined && point.silenceMs < afterMs) return false;
    utterance.judged = true;
    if (afterMs === undefined) return false;
    const verdict = this.#verdict(utterance, point, utterance.closed);
    // A phrase that was there before the last sounds were decoded, and is another one now, is not certain.
    const other = partial !== text && grammar.understand(this.#allowed, partial) !== undefined;
    if (verdict.kind !== 'heard' || other || !isSureEarly(thresholds, verdict)) return false;
    if (mayGoOn(grammar, this.#allowed, text)) {
      utterance.acted = text;
      this.#tellHeard(verdict, point, true);
    } else this.#act(verdict, point, true);
    return true;
  }

  /** Beside noise: acts on a whole phrase that stands and is followed by nothing as loud as itself. */
  #closeSteady(utterance: OpenUtterance, point: Endpoint): boolean {
    const { thresholds, grammar } = this.#options;
    const text = this.#meant(utterance.partial);
    if (text === '' || point.nowMs - utterance.steadySinceMs < STEADY_MS) return false;
    const talk = this.#talkAt(point, text);
    const isOpen = mayGoOn(grammar, this.#allowed, text);
    const early = isOpen ? undefined : earlyAfterMs(grammar, thresholds, this.#allowed, text, talk);
    const silenceMs = early ?? hangOverMs(grammar, thresholds, this.#allowed, text, talk);
    if (point.faintMs < silenceMs + FAINT_MORE_MS) return false;
    if (grammar.understand(this.#allowed, text) === undefined) return false;
    utterance.closed = this.#finish(utterance);
    utterance.judged = true;
    const verdict = this.#verdict(utterance, point, utterance.closed);
    // Not good enough: what follows is decoded with it, and it has to stand anew.
    utterance.steadySinceMs = point.nowMs;
    if (verdict.kind !== 'heard' || verdict.text !== text) return false;
    this.#act(verdict, point, early !== undefined);
    return true;
  }

  #closeNow(utterance: OpenUtterance, point: Endpoint): void {
    utterance.closed ??= this.#finish(utterance);
    let verdict = this.#verdict(utterance, point, utterance.closed);
    if (verdict.kind === 'refused' && utterance.unseen) {
      // Closed so early that the last sound was cut: decoded once more with the silence that followed it.
      this.#decodeAgain(utterance);
      utterance.closed = this.#finish(utterance);
      verdict = this.#verdict(utterance, point, utterance.closed);
    }
    if (verdict.kind === 'refused')
      verdict = this.#verdictOnVoice(utterance, utterance.closed, point, verdict);
    // What was acted on already is not told again, nor refused for what came after it.
    const more = verdict.kind === 'heard' && verdict.text !== utterance.acted;
    if (verdict.kind === 'refused') this.#wasTalk(utterance.closed.text, point, verdict.reason);
    if (utterance.acted === undefined || more) this.#act(verdict, point, false);
    else this.#forget();
  }

  #finish(utterance: OpenUtterance): Decoded {
    this.#decode(true);
    const last = this.#decoder?.finish() ?? { text: '', words: [] };
    return joinDecoded([...utterance.parts, last]);
  }

  /** Speech went on after an early close: the decoder has forgotten, so it gets the whole again. */
  #decodeAgain(utterance: OpenUtterance): void {
    reopen(utterance);
    this.#decode(true);
  }

  /** What was `refused` may be a phrase without the background: without its words, or decoded without its sound. */
  #verdictOnVoice(utterance: OpenUtterance, closed: Decoded, point: Endpoint, refused: Verdict): Verdict {
    const voice = voiceAmidOthers(utterance, point);
    if (voice === undefined) return refused;
    const own = { ...point, startMs: Math.max(point.startMs, utterance.originMs + voice.from * FRAME_MS) };
    const first = this.#verdict(utterance, own, withoutBackground(closed, utterance.levels, point.noiseDbfs));
    if (first.kind === 'heard') return first;
    const cut = cutToVoice(utterance, voice);
    this.#utterance = cut;
    return this.#verdict(cut, own, withoutBackground(this.#finish(cut), cut.levels, point.noiseDbfs));
  }

  #verdict(utterance: OpenUtterance, point: Endpoint, closed: Decoded): Verdict {
    const held = this.#talk.isOn();
    const known = held ? withoutOuterFiller(closed) : closed;
    const decoded = this.#withoutAttentionWord(utterance, point, known);
    if (decoded === undefined) return { kind: 'refused', reason: 'unknown-words', confidence: null };
    const opening = this.#options.grammar.openingWordCount(this.#allowed, decoded.text);
    const speech = speechIn(utterance, point, decoded.words.slice(opening));
    const measured: Utterance = {
      ...speech,
      decoded,
      partial: this.#meant(utterance.partial),
      speechStartMs: this.#attention.isOn() ? (decoded.words[0]?.startMs ?? 0) : speech.speechStartMs,
      held,
      sinceTalkMs: this.#isMarked() ? Number.POSITIVE_INFINITY : this.#others.sinceMs(point, decoded.text),
      lasting: this.#talkAt(point, decoded.text) === 'lasting',
    };
    const verdict = judge(this.#options.grammar, this.#options.thresholds, this.#allowed, measured);
    this.#options.observe?.(measured, verdict, point.silenceMs < this.#options.thresholds.hangOverMs);
    if (verdict.kind === 'heard' && this.#mouth.isOwnWord(verdict.text, point.startMs)) {
      return { kind: 'refused', reason: 'unknown-words', confidence: verdict.confidence };
    }
    if (isPhrase(verdict, 'yes') && point.startMs < this.#yesSinceMs) {
      return { kind: 'refused', reason: 'not-possible-now', confidence: verdict.confidence };
    }
    return verdict;
  }

  /** Undefined where it was not called, or by nothing but the word; a pause behind that may be heard as a word. */
  #withoutAttentionWord(utterance: OpenUtterance, point: Endpoint, closed: Decoded): Decoded | undefined {
    const called = this.#attention.decodedWithout(closed, this.nowMs());
    if (called === undefined || !this.#attention.isOn()) return called;
    const isPhrase = this.#options.grammar.understand(this.#allowed, called.text) !== undefined;
    return isPhrase ? called : withoutBackground(called, utterance.levels, point.noiseDbfs);
  }

  #act(verdict: Verdict, point: Endpoint, early: boolean): void {
    const lengthMs = point.lastSpeechMs - point.startMs;
    this.#forget();
    if (this.#check !== undefined) {
      this.#check.utterance(verdict);
      return;
    }
    if (verdict.kind === 'heard') {
      this.#tellHeard(verdict, point, early);
      return;
    }
    if (!this.#listening) return;
    const faint = verdict.confidence === null && point.peakDbfs < this.#voiceDbfs - BELOW_VOICE_DB;
    if (verdict.reason === 'unknown-words' && (lengthMs > TELL_UNKNOWN_MAX_MS || faint)) return;
    this.#out.push({ type: 'refused', reason: verdict.reason, confidence: verdict.confidence });
  }

  #tellHeard(verdict: Extract<Verdict, { kind: 'heard' }>, point: Endpoint, early: boolean): void {
    const decidedMs = point.silenceMs + (this.#options.computeNow() - this.#feedStarted);
    const { text, understood, confidence } = verdict;
    this.#voiceDbfs = point.peakDbfs;
    this.#wordFromMs = point.startMs;
    if (this.#isHeeded(verdict))
      this.#out.push({ type: 'heard', text, understood, confidence, decidedMs, early });
  }

  /** The utterance is over: what was decided on is not heard again as the pre-roll of the next sound. */
  #forget(): void {
    this.#drop();
    this.#preRoll.length = 0;
  }

  /** With listening off, only the way back is heard. */
  #isHeeded(verdict: Verdict): boolean {
    return this.#listening || isPhrase(verdict, 'start listening');
  }

  #heardOverMouth({ word, phrase, confidence, endMs }: OverMouth): void {
    if (!this.#listening) return;
    const decidedMs = this.nowMs() - endMs + (this.#options.computeNow() - this.#feedStarted);
    const understood = { type: 'phrase', phrase } as const;
    this.#out.push({ type: 'heard', text: word, understood, confidence, decidedMs, early: true });
  }

  /** Closes whatever is open, acting on it. */
  #close(): void {
    if (this.#utterance !== undefined) this.#closeNow(this.#utterance, this.#endpointer.now());
  }

  /** The mouth begins: what was said just before still counts if it is whole and was followed by silence. */
  #closeIfWhole(): void {
    const utterance = this.#utterance;
    if (utterance === undefined) return;
    const { grammar, thresholds } = this.#options;
    const text = this.#meant(utterance.partial);
    if (earlyAfterMs(grammar, thresholds, this.#allowed, text) !== undefined) this.#close();
  }

  /** Forgets the utterance without acting. */
  #drop(): void {
    const utterance = this.#utterance;
    if (utterance === undefined) return;
    // An unfinished decoder keeps the words of this utterance; closing it makes it begin anew.
    if (utterance.closed === undefined) this.#decoder?.finish();
    this.#utterance = undefined;
    this.#endpointer.close();
  }

  #setAllowed(allowed: Allowed, extraAnswers: readonly string[]): void {
    const answers = [...new Set([...allowed.answers, ...extraAnswers])];
    if (!this.#told.phrases.includes('yes')) this.#yesSinceMs = this.nowMs();
    this.#told = { ...allowed, answers };
    if (this.#check !== undefined) return;
    this.#allowed = this.#told;
    this.#renewDecoder();
  }

  /** During the check the five phrases are understood whatever the job allows, and nothing is acted on. */
  #setCheckedPhrases(): void {
    this.#drop();
    this.#allowed = { ...NOTHING_ALLOWED, phrases: CHECK_PHRASES };
    this.#renewDecoder();
  }

  /** Makes the decoder of what may be said now; an utterance in progress goes on in the new one. */
  #renewDecoder(): void {
    const grammar = this.#grammarNow();
    const key = grammar.join('|');
    if (this.#decoder !== undefined && key === this.#decoderKey) return;
    this.#decoder?.free();
    this.#decoder = this.#options.maker.decoder(grammar);
    this.#decoderKey = key;
    if (this.#utterance !== undefined) this.#decodeAgain(this.#utterance);
  }

  #grammarNow(): readonly string[] {
    const said = this.#options.grammar.grammarPhrases(this.#allowed);
    const phrases = said.filter((phrase) => phrase !== FILLER);
    return [...this.#attention.entries(phrases), ...phrases, ...this.#options.decoys, FILLER];
  }

  /** Whether a command is marked as one, so that it does not matter who talks beside it. */
  #isMarked(): boolean {
    return this.#attention.isOn() || this.#talk.isOn() || this.#check !== undefined;
  }

  #talkAt(point: Endpoint, text: string): Talk {
    if (this.#isMarked()) return 'none';
    const command = isCommand(this.#options.grammar, this.#allowed, text) ? text : '';
    const talk = this.#others.at(point, command);
    // A spoken note is talk, and "stop" has to end it.
    return talk === 'lasting' && this.#note !== undefined ? 'now' : talk;
  }

  /** Sound that did not count, and why; not the mouth's own, nor what is known but not possible now. */
  #wasTalk(text: string, sound: Sound, reason: RefusalReason = 'unknown-words'): void {
    if (reason === 'not-sure') this.#others.asked(sound, text);
    if (reason === 'not-possible-now' || this.#mouth.isTail(sound.startMs)) return;
    const isWords = text !== '' && reason === 'unknown-words';
    const words = this.#options.grammar.understand(this.#allowed, text) === undefined ? 'talk' : 'phrase';
    this.#others.heard(isWords ? words : 'sound', sound, text);
  }

  /** Without the attention word and, while a key is held, without what sounds before and behind. */
  #meant(text: string): string {
    const known = this.#talk.isOn() ? withoutOuterFiller({ text, words: [] }).text : text;
    return this.#attention.without(known, this.nowMs());
  }
}
